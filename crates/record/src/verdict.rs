//! What is said of a stretch that was laid: within limits, or not yet, and which shot decides.

use measure::{Units, station};
use plan::{LineId, Plan};
use terrain::Stretch;

use crate::dug::laid_at;
use crate::{Dip, Dug, DugLine};

/// What every verdict leaves to others; it stands wherever one is shown.
pub const NOT_THE_INSPECTOR: &str = "Shots are held against the limits of the plan, no more: the inspector decides, and \
     nothing is said of the safety of the trench.";

/// What is said of a stretch.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// Lower station, metres.
    pub from_m: f64,
    /// Upper station, metres.
    pub to_m: f64,
    /// True once the trench is filled there.
    pub backfilled: bool,
    /// What keeps it from being within limits; `None` where nothing does.
    pub why_not: Option<NotYet>,
}

/// What keeps a stretch from being within limits, the heaviest first.
#[derive(Debug, Clone, PartialEq)]
pub enum NotYet {
    /// Water will stand.
    Dip(Dip),
    /// Too little soil over the pipe; the worst is the cover there.
    Thin(Stretch),
    /// A shot lies too far from the plan's level.
    Off(Box<Dug>),
    /// Nobody shot a level between two stations.
    Unshot(f64, f64),
}

impl Verdict {
    /// True where nothing keeps it from being within limits.
    pub fn is_within(&self) -> bool {
        self.why_not.is_none()
    }

    /// "within limits, ready for the inspector", or "not yet" with the shot that decides.
    pub fn words(&self, units: Units) -> String {
        match &self.why_not {
            None => "Within limits, ready for the inspector.".into(),
            Some(why_not) => format!("Not yet: {}", why_not.words(units)),
        }
    }

    /// "0+00 to 2+00".
    pub fn place(&self, units: Units) -> String {
        format!("{} to {}", station(self.from_m, units), station(self.to_m, units))
    }
}

impl NotYet {
    fn words(&self, units: Units) -> String {
        match self {
            Self::Dip(dip) => {
                let [depth, _] = units.depths(dip.depth_m, 0.0);
                let (low, lip) = (station(dip.lowest_m, units), station(dip.lip_m, units));
                format!("the shot at {low} lies {depth} under the one at {lip}, downstream of it.")
            }
            Self::Thin(thin) => {
                let at = station(thin.worst_m, units);
                format!("at {at} there is {} of soil over the pipe.", units.depth(thin.worst))
            }
            Self::Off(shot) => off_words(shot, units),
            Self::Unshot(from_m, to_m) if from_m == to_m => {
                format!("one shot alone, at {}, says nothing of the fall.", station(*from_m, units))
            }
            Self::Unshot(from_m, to_m) => {
                format!("no shot between {} and {}.", station(*from_m, units), station(*to_m, units))
            }
        }
    }
}

fn off_words(shot: &Dug, units: Units) -> String {
    let over_m = shot.over_plan_m().unwrap_or(0.0);
    let side = if over_m < 0.0 { "under" } else { "over" };
    let at = station(shot.station_m, units);
    format!("the shot at {at} lies {} {side} the plan.", units.amount(over_m.abs()))
}

/// What is said of every stretch of a line: those that were laid, and what was shot outside them.
pub(crate) fn verdicts(plan: &Plan, id: LineId, dug: &DugLine) -> Vec<Verdict> {
    let mut parts = laid_parts(plan, id);
    parts.extend(shot_outside(&parts, &dug.shots));
    parts.sort_by(|a, b| a.0.total_cmp(&b.0));
    let verdict = |(from_m, to_m): (f64, f64)| Verdict {
        from_m,
        to_m,
        backfilled: laid_at(plan, id, (from_m + to_m) / 2.0).is_some_and(|laid| laid.backfilled),
        why_not: why_not(plan, dug, (from_m, to_m)),
    };
    parts.into_iter().map(verdict).collect()
}

/// Stretches that were laid, cut where a later entry says otherwise of one part than of its neighbour.
fn laid_parts(plan: &Plan, id: LineId) -> Vec<(f64, f64)> {
    let own = plan.record.laid.iter().filter(|laid| laid.line == id);
    let mut cuts: Vec<f64> = own.flat_map(|laid| [laid.stretch_m.0, laid.stretch_m.1]).collect();
    cuts.sort_by(f64::total_cmp);
    cuts.dedup();
    let mut parts: Vec<(f64, f64)> = Vec::new();
    for pair in cuts.windows(2) {
        let here = laid_at(plan, id, (pair[0] + pair[1]) / 2.0);
        let before = parts.last().filter(|last| last.1 == pair[0]).map(|last| (last.0 + last.1) / 2.0);
        match (here, before.and_then(|middle_m| laid_at(plan, id, middle_m))) {
            (None, _) => {}
            (Some(here), Some(before)) if std::ptr::eq(here, before) => {
                parts.last_mut().into_iter().for_each(|last| last.1 = pair[1]);
            }
            (Some(_), _) => parts.push((pair[0], pair[1])),
        }
    }
    parts
}

/// Runs of shots that lie in no stretch that was entered as laid, each from its first shot to its last.
fn shot_outside(parts: &[(f64, f64)], shots: &[Dug]) -> Vec<(f64, f64)> {
    let part_of = |shot: &Dug| parts.iter().position(|part| (part.0..=part.1).contains(&shot.station_m));
    let below = |shot: &Dug| parts.iter().filter(|part| part.1 < shot.station_m).count();
    let runs = shots.chunk_by(|a, b| (part_of(a), below(a)) == (part_of(b), below(b)));
    let ends = |run: &[Dug]| Some((run.first()?.station_m, run.last()?.station_m));
    runs.filter(|run| run.first().is_some_and(|shot| part_of(shot).is_none())).filter_map(ends).collect()
}

/// The heaviest reason against a stretch.
fn why_not(plan: &Plan, dug: &DugLine, (from_m, to_m): (f64, f64)) -> Option<NotYet> {
    let holds = |at_m: f64| (from_m..=to_m).contains(&at_m);
    let dips = dug.dips.iter().filter(|dip| holds(dip.lowest_m));
    let deepest = dips.max_by(|a, b| a.depth_m.total_cmp(&b.depth_m)).map(|dip| NotYet::Dip(*dip));
    let thinnest = || {
        let thin = dug.thin.iter().filter(|thin| thin.from_m <= to_m && from_m <= thin.to_m);
        thin.min_by(|a, b| a.worst.total_cmp(&b.worst)).map(|thin| NotYet::Thin(*thin))
    };
    let farthest = || {
        let off = dug.shots.iter().filter(|shot| holds(shot.station_m) && shot.is_off(&plan.criteria));
        let by = |shot: &Dug| shot.over_plan_m().unwrap_or(0.0).abs();
        off.max_by(|a, b| by(a).total_cmp(&by(b))).map(|shot| NotYet::Off(Box::new(shot.clone())))
    };
    let unshot = || {
        let gap = dug.unshot((from_m, to_m), &plan.criteria).into_iter().next();
        // One shot alone says nothing of a fall.
        let lone = Some((from_m, to_m)).filter(|_| dug.shots.iter().filter(|shot| holds(shot.station_m)).count() < 2);
        gap.or(lone).map(|(from_m, to_m)| NotYet::Unshot(from_m, to_m))
    };
    deepest.or_else(thinnest).or_else(farthest).or_else(unshot)
}
