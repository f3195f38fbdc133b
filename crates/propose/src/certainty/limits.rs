//! Limits that ground and water may break though the pipe lies as designed, and by how much they are kept.

use design::{Design, Joint, LineDesign, ON_LIMIT_M};
use measure::FOOT_M;
use plan::{Criteria, Joins, Line, LineId, Outlet, Plan};
use terrain::Extreme;

use super::errors::{BOTTOM_M, LOW_WATER_M, OLD_TILE_M};
use super::normal::{Draw, Normals};

/// Differences of level at a joint below this are none, metres: a hundredth of a foot, as in the checks.
const JOINT_M: f64 = 0.01 * FOOT_M;

/// A limit that may be broken when a line is dug as staked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Limit {
    /// Soil over the pipe, checks 12 and 13.
    Cover,
    /// The depth wanted, less its tolerance, check 16.
    Depth,
    /// The depth to which the machine digs, check 18.
    Reach,
    /// The depth from which a trench must be protected, check 20.
    Protection,
    /// Height of the outlet over channel bottom and low water, check 26.
    Freeboard,
    /// Level of an old tile where it is joined, check 90.
    OldTile,
}

impl Limit {
    /// Every limit.
    pub const ALL: [Self; 6] =
        [Self::Cover, Self::Depth, Self::Reach, Self::Protection, Self::Freeboard, Self::OldTile];

    /// What breaking it is called: "too little cover".
    pub const fn words(self) -> &'static str {
        match self {
            Self::Cover => "too little cover",
            Self::Depth => "shallower than wanted",
            Self::Reach => "deeper than the machine digs",
            Self::Protection => "trench asks for protection",
            Self::Freeboard => "outlet too low over the water",
            Self::OldTile => "old tile enters too low",
        }
    }

    /// Its name in data.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Cover => "cover",
            Self::Depth => "depth",
            Self::Reach => "reach",
            Self::Protection => "protection",
            Self::Freeboard => "freeboard",
            Self::OldTile => "old-tile",
        }
    }

    /// Number of the check that holds it.
    pub const fn check(self) -> u16 {
        match self {
            Self::Cover => 12,
            Self::Depth => 16,
            Self::Reach => 18,
            Self::Protection => 20,
            Self::Freeboard => 26,
            Self::OldTile => 90,
        }
    }

    /// True where one more shot on the ground tells of it.
    pub const fn is_of_ground(self) -> bool {
        !matches!(self, Self::Freeboard | Self::OldTile)
    }
}

/// A line's own part of the limits that hang on its ground.
#[derive(Debug, Clone)]
pub(crate) struct Covered {
    /// Cover that is asked for, metres.
    cover_m: f64,
    /// Stretches on which it is: heavy solid pipe and the outlet pipe are exempt.
    stretches_m: Vec<(f64, f64)>,
}

impl Covered {
    /// Of a line of a plan.
    pub fn of(line: &Line, worked: &LineDesign, criteria: &Criteria) -> Self {
        let cover_m = match line.bed.organic {
            true => criteria.organic_cover_m + line.bed.settlement_m.unwrap_or(0.0),
            false => criteria.least_cover_m,
        };
        let mut exempt: Vec<(f64, f64)> = line
            .stretches
            .iter()
            .filter(|pipe| pipe.solid && pipe.heavy)
            .map(|pipe| (pipe.from_m, pipe.to_m))
            .collect();
        exempt.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (mut from_m, mut stretches_m) = (worked.outlet_pipe_m, Vec::new());
        for (start_m, end_m) in exempt.into_iter().chain([(worked.length_m, worked.length_m)]) {
            if start_m > from_m {
                stretches_m.push((from_m, start_m));
            }
            from_m = from_m.max(end_m);
        }
        Self { cover_m, stretches_m }
    }

    /// By how much the cover is kept, metres, and where least.
    fn kept(&self, worked: &LineDesign) -> Option<Extreme> {
        let in_stretch = |(from_m, to_m): &(f64, f64)| {
            let (from_m, to_m) = (*from_m, *to_m);
            let least = move |body: design::Pipe| {
                let parts = worked.depth_in(body, from_m).map_while(move |piece| piece.part(from_m, to_m));
                let least = parts.map(|part| part.least()).reduce(Extreme::lower_of)?;
                Some(Extreme { value_m: least.value_m - body.top_above_invert_m(), ..least })
            };
            worked.bodies().filter_map(least).reduce(Extreme::lower_of)
        };
        let least = self.stretches_m.iter().filter_map(in_stretch).reduce(Extreme::lower_of)?;
        Some(Extreme { value_m: least.value_m - self.cover_m, ..least })
    }
}

/// By how much a line keeps a limit that hangs on its ground, metres, below 0 where it is broken; and where least.
pub(crate) fn kept(limit: Limit, worked: &LineDesign, covered: &Covered, criteria: &Criteria) -> Option<Extreme> {
    let under = |most_m: f64| {
        let deepest = worked.deepest_trench(criteria.bedding_m)?;
        Some(Extreme { value_m: most_m - deepest.value_m, ..deepest })
    };
    match limit {
        Limit::Cover => covered.kept(worked),
        Limit::Depth => {
            let least = worked.shallowest_from(worked.outlet_pipe_m)?;
            let limit_m = criteria.target_depth_m - criteria.target_tolerance_m;
            Some(Extreme { value_m: least.value_m - limit_m, ..least })
        }
        Limit::Reach => under(criteria.machine_reach_m),
        // As deep as the limit to a thousandth of a foot is deep enough: broken is what is no less deep.
        Limit::Protection => under(criteria.protected_trench_m - 2.0 * ON_LIMIT_M),
        Limit::Freeboard | Limit::OldTile => None,
    }
}

/// True where a limit that is kept by so much is broken: what is off by less than a thousandth of a foot is not.
pub(crate) fn is_broken(kept_m: f64) -> bool {
    kept_m < -ON_LIMIT_M
}

/// A limit that hangs on other levels than those of the ground.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Other<'a> {
    /// Height of an outlet.
    Outlet { outlet: &'a Outlet, invert_m: f64, wanted_m: f64 },
    /// Level of an old tile over the center it enters.
    OldTile { over_m: f64 },
}

impl Other<'_> {
    /// Which limit it is.
    pub const fn limit(&self) -> Limit {
        match self {
            Self::Outlet { .. } => Limit::Freeboard,
            Self::OldTile { .. } => Limit::OldTile,
        }
    }

    /// By how much it is kept, metres: as planned, or in a sample for the so-many-th of them.
    pub fn kept_m(&self, sample: Option<(Normals, usize)>) -> f64 {
        let error_m = |spread_m: f64, of: usize| {
            sample.map_or(0.0, |(normals, row)| spread_m * normals.at(Draw::Level, 3 * row + of))
        };
        match self {
            Self::Outlet { outlet, invert_m, wanted_m } => {
                let bottom_m = outlet.channel_bottom_m.map(|level_m| level_m + error_m(BOTTOM_M, 0));
                let water_m = outlet.low_water_m.map(|level_m| level_m + error_m(LOW_WATER_M, 1));
                let under_m = bottom_m.into_iter().chain(water_m).fold(f64::NEG_INFINITY, f64::max);
                invert_m - under_m - wanted_m
            }
            Self::OldTile { over_m } => over_m + error_m(OLD_TILE_M, 2) + JOINT_M - ON_LIMIT_M,
        }
    }
}

/// The limits of a plan that hang on other levels, each with the line it is told for.
pub(crate) fn others<'a>(plan: &'a Plan, design: &'a Design) -> Vec<(LineId, Other<'a>)> {
    let mut found: Vec<(LineId, Other)> = Vec::new();
    for (id, outlet) in plan.outlets.iter().filter(|(_, outlet)| outlet.is_open()) {
        let leads = |(_, line): &(&LineId, &Line)| line.joins == Joins::Outlet(*id) && !line.kind.is_old();
        let is_measured = outlet.channel_bottom_m.or(outlet.low_water_m).is_some();
        let Some((line, _)) = plan.lines.iter().find(leads).filter(|_| is_measured) else { continue };
        let wanted_m = plan.criteria.outlet_wanted_m.max(plan.criteria.outlet_least_m);
        let invert_m = design.outlet_invert_m(*id, outlet);
        found.push((*line, Other::Outlet { outlet, invert_m, wanted_m }));
    }
    found.extend(design.joints.iter().filter_map(|joint| old_tile(plan, joint)));
    found
}

/// An old tile that enters new pipe sideways, where both levels are known.
fn old_tile<'a>(plan: &Plan, joint: &Joint) -> Option<(LineId, Other<'a>)> {
    let is_old = |id: LineId| plan.lines.get(&id).is_some_and(|line| line.kind.is_old());
    let tapped = is_old(joint.branch) && !is_old(joint.main) && !joint.in_line;
    let over_m = joint.branch_invert_m? - joint.main_centre_m?;
    tapped.then_some((joint.branch, Other::OldTile { over_m }))
}
