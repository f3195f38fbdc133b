//! Limits that ground and water may break though the pipe lies as designed, and by how much they are kept.

use checks::JOINT_TOLERANCE_M;
use design::{Design, Joint, LineDesign, ON_LIMIT_M};
use plan::{Criteria, Joins, Line, LineId, Outlet, Plan};

use super::errors::{BOTTOM_M, LOW_WATER_M, OLD_TILE_M};
use super::normal::{Draw, Normals};

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

    /// What is asked for of a line, metres: cover, depth, height of an outlet over the water, of old tile over the center it enters.
    pub fn asked_m(self, plan: &Plan, line: LineId) -> f64 {
        let criteria = &plan.criteria;
        match self {
            Self::Cover => plan.lines.get(&line).map_or(criteria.least_cover_m, |line| cover_m(line, criteria)),
            Self::Depth => criteria.target_depth_m - criteria.target_tolerance_m,
            Self::Reach => criteria.machine_reach_m,
            Self::Protection => criteria.protected_trench_m,
            Self::Freeboard => criteria.outlet_wanted_m.max(criteria.outlet_least_m),
            Self::OldTile => 0.0,
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

/// Cover that is asked for over a line, metres: once the soil has settled where it is organic.
fn cover_m(line: &Line, criteria: &Criteria) -> f64 {
    match line.bed.organic {
        true => criteria.organic_cover_m + line.bed.settlement_m.unwrap_or(0.0),
        false => criteria.least_cover_m,
    }
}

/// Stretches on which cover is asked for, metres: the outlet pipe and heavy solid pipe are exempt.
pub(crate) fn covered_m(line: &Line, worked: &LineDesign) -> Vec<(f64, f64)> {
    let exempt = line.stretches.iter().filter(|pipe| pipe.solid && pipe.heavy).map(|pipe| (pipe.from_m, pipe.to_m));
    let mut exempt: Vec<(f64, f64)> = exempt.collect();
    exempt.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut from_m, mut found) = (worked.outlet_pipe_m, Vec::new());
    for (start_m, end_m) in exempt.into_iter().chain([(worked.length_m, worked.length_m)]) {
        if start_m > from_m {
            found.push((from_m, start_m));
        }
        from_m = from_m.max(end_m);
    }
    found
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
            Self::OldTile { over_m } => over_m + error_m(OLD_TILE_M, 2) + JOINT_TOLERANCE_M - ON_LIMIT_M,
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
        let wanted_m = Limit::Freeboard.asked_m(plan, *line);
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
