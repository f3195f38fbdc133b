//! The range of one figure, a line's grade or an outlet's invert, for which every limit can be satisfied, and what ends it.
//!
//! The limits are linear in levels and figure together, so the feasible figures form one interval. Each trial is a full
//! design; if it is infeasible, the two limits that contradict each other tell in which direction the figure must go, so
//! bisection finds the interval and its ends to the step.

use plan::{Change, Edit, Hold, LineId, Outlet, OutletId, Plan, SelfCleaning, SizeBy};

use crate::clash::{Bound, Cause, Clash, Flattest};
use crate::simplify::LASER_STEP;
use crate::ways::Trial;
use crate::{Design, Memory, Pipe, work_out_again};

/// The feasible range of a figure, and what ends it.
#[derive(Debug, Clone, PartialEq)]
pub struct Leeway {
    /// The least value: a grade as a ratio, or a level in metres; feasible, and a whole number of steps.
    pub from: f64,
    /// The greatest value.
    pub to: f64,
    /// What ends it below.
    pub below: End,
    /// What ends it above.
    pub above: End,
}

/// What ends a range.
#[derive(Debug, Clone, PartialEq)]
pub enum End {
    /// One step further two limits contradict each other.
    Limits(Bound, Bound),
    /// One step further a branch does not fit its joint.
    Joint(LineId),
    /// The least grade allowed.
    Flattest(Flattest),
    /// The greatest grade allowed.
    Steepest,
    /// The height an outlet should have above the channel's bottom and low water.
    OverWater,
    /// Nothing within the range searched.
    Open,
}

/// Inverts of an outlet are searched this far from where it is, metres (own choice).
const FARTHEST_M: f64 = 5.0;

/// The result of a trial.
enum Verdict {
    Holds,
    /// The figure must be greater, or less; or no figure is feasible.
    Greater(Clash),
    Less(Clash),
    None(Clash),
}

impl Trial<'_> {
    /// The range of a single grade for a line from end to end, in laser steps, with control points kept and start and main
    /// free within their limits. The error is the clash if no grade is feasible.
    pub fn even_grades(&self, id: LineId) -> Result<Leeway, Option<Box<Clash>>> {
        let ((least, flattest), most) = self.grades_allowed(id).ok_or(None)?;
        let steps = ((least / LASER_STEP - 1e-9).ceil() as i64, (most / LASER_STEP + 1e-9).floor() as i64);
        let now = self.design.lines.get(&id).and_then(mean_grade).unwrap_or(least);
        let mut memory = Memory::default();
        let mut verdict = |step: i64| {
            let edit = even_edit(self.plan, id, grade_of(step));
            self.verdict(edit, id, &mut memory, |design, low, high| {
                let (low_m, high_m) = (self.on_line(design, id, low), self.on_line(design, id, high));
                (low_m - high_m).partial_cmp(&0.0).filter(|order| order.is_ne())
            })
        };
        let found = range(steps, (now / LASER_STEP).round() as i64, &mut verdict)?;
        Ok(found.leeway(grade_of, End::Flattest(flattest), End::Steepest))
    }

    /// The range of inverts of an outlet, in whole steps, metres.
    pub fn outlet_inverts(&self, id: OutletId, step_m: f64) -> Result<Leeway, Option<Box<Clash>>> {
        let outlet = self.plan.outlets.get(&id).ok_or(None)?;
        let line = self.plan.lines.iter().find(|(_, line)| line.joins == plan::Joins::Outlet(id));
        let line = *line.ok_or(None)?.0;
        let now_m = self.design.outlet_inverts_m.get(&id).copied().unwrap_or(outlet.invert_m);
        let wet_m = outlet.channel_bottom_m.into_iter().chain(outlet.low_water_m).reduce(f64::max);
        let over_water_m = wet_m.map(|wet_m| wet_m + self.plan.criteria.outlet_least_m);
        let least_m = over_water_m.unwrap_or(now_m - FARTHEST_M).max(now_m - FARTHEST_M);
        let steps = ((least_m / step_m - 1e-6).ceil() as i64, ((now_m + FARTHEST_M) / step_m).floor() as i64);
        let mut memory = Memory::default();
        let mut verdict = |step: i64| {
            let edit = Some(invert_edit(id, outlet, step as f64 * step_m));
            self.verdict(edit, line, &mut memory, |_, (low, _), (high, _)| match (low.cause, high.cause) {
                (Cause::Outlet(by), _) if by == id => Some(std::cmp::Ordering::Less),
                (_, Cause::Outlet(by)) if by == id => Some(std::cmp::Ordering::Greater),
                _ => None,
            })
        };
        let found = range(steps, (now_m / step_m).round() as i64, &mut verdict)?;
        let is_at_water = over_water_m.is_some_and(|over_m| (over_m - least_m).abs() < 1e-9);
        Ok(found.leeway(|step| step as f64 * step_m, if is_at_water { End::OverWater } else { End::Open }, End::Open))
    }

    /// The least grade allowed for a line all along, with where it comes from, and the greatest.
    fn grades_allowed(&self, id: LineId) -> Option<((f64, Flattest), f64)> {
        let (plan, worked) = (self.plan, self.design.lines.get(&id)?);
        let line = plan.lines.get(&id).filter(|line| !line.kind.is_old())?;
        let (criteria, brief) = (&plan.criteria, &plan.brief);
        let most = |of: &dyn Fn(&Pipe) -> f64| worked.pipe.iter().map(of).fold(0.0, f64::max);
        let carried = (0..worked.through_m3s.len()).map(|i| {
            let pipe = worked.above(i);
            hydraulics::friction_grade(pipe.n, pipe.size_m, worked.through_m3s[i] / worked.even_factor)
        });
        let fastest = brief.texture.map_or(f64::INFINITY, |texture| texture.greatest_velocity_ms());
        let steepest =
            worked.pipe.iter().map(|pipe| pipe.grade_for_velocity(fastest)).fold(criteria.steepest_grade, f64::min);
        let asked = [
            Some((most(&|pipe| pipe.grade_for_velocity(criteria.clean_velocity_ms)), Flattest::Clean)),
            (brief.self_cleaning == SelfCleaning::Require)
                .then(|| (most(&|pipe| pipe.grade_for_velocity(criteria.silt_velocity_ms)), Flattest::Silt)),
            (line.size_by == SizeBy::Hand).then(|| (carried.fold(0.0, f64::max), Flattest::Flow)),
        ];
        let flattest = asked.into_iter().flatten().max_by(|a, b| a.0.total_cmp(&b.0))?;
        Some((flattest, steepest))
    }

    /// Tries a change of the plan; `way` tells from two limits that clash, each with the line and station where they meet,
    /// whether the figure must be greater or less.
    fn verdict(
        &self,
        edit: Option<Edit>,
        id: LineId,
        memory: &mut Memory,
        way: impl Fn(&Design, (&Bound, (LineId, f64)), (&Bound, (LineId, f64))) -> Option<std::cmp::Ordering>,
    ) -> Verdict {
        let mut changed = self.plan.clone();
        let design = match edit.is_some_and(|edit| changed.apply(&edit).is_ok()) {
            true => work_out_again(&changed, self.land, memory),
            false => self.design.clone(),
        };
        let end = |line: LineId| self.downstream(line).last();
        let Some(clash) = design.clashes.iter().find(|clash| end(clash.line) == end(id)) else {
            return Verdict::Holds;
        };
        let place = (clash.line, clash.station_m);
        let order = clash.bounds.as_ref().and_then(|(low, high)| way(&design, (low, place), (high, place)));
        let clash = clash.clone();
        match order {
            Some(std::cmp::Ordering::Greater) => Verdict::Greater(clash),
            Some(_) => Verdict::Less(clash),
            None => Verdict::None(clash),
        }
    }

    /// Length of a line on the way from where a limit applies down to where it meets another, metres.
    fn on_line(&self, design: &Design, id: LineId, (bound, (line, station_m)): (&Bound, (LineId, f64))) -> f64 {
        let mut at = (bound.line, bound.station_m);
        for _ in 0..self.plan.lines.len() {
            if at.0 == id {
                return at.1 - if line == id { station_m } else { 0.0 };
            }
            let joint = design.joints.iter().find(|joint| joint.branch == at.0);
            match joint.filter(|_| at.0 != line) {
                Some(joint) => at = (joint.main, joint.station_m),
                None => return 0.0,
            }
        }
        0.0
    }
}

/// The edit that holds a line at a single grade from end to end.
pub fn even_edit(plan: &Plan, id: LineId, grade: f64) -> Option<Edit> {
    let length_m = plan.lines.get(&id)?.length_m();
    plan::set_reach(plan, id, (0.0, length_m), Some(Hold::Grade(grade)))
}

/// The grade of a number of laser steps.
fn grade_of(steps: i64) -> f64 {
    steps as f64 / (1.0 / LASER_STEP)
}

fn invert_edit(id: OutletId, outlet: &Outlet, invert_m: f64) -> Edit {
    let moved = Outlet { invert_m, invert_free: false, ..outlet.clone() };
    Edit::one(format!("Invert of {}", outlet.name), Change::Outlet(id, Some(moved)))
}

fn mean_grade(worked: &crate::LineDesign) -> Option<f64> {
    let (first, last) = (worked.stations.first()?, worked.stations.last()?);
    Some((last.invert_m? - first.invert_m?) / (last.station_m - first.station_m))
}

/// A feasible range in steps, and the clashes just beyond it.
struct Found {
    steps: (i64, i64),
    below: Option<Clash>,
    above: Option<Clash>,
}

impl Found {
    fn leeway(self, value: impl Fn(i64) -> f64, below: End, above: End) -> Leeway {
        let end = |clash: Option<Clash>, otherwise: End| match clash {
            Some(Clash { bounds: Some((low, high)), .. }) => End::Limits(low, high),
            Some(clash) => End::Joint(clash.line),
            None => otherwise,
        };
        let (from, to) = (value(self.steps.0), value(self.steps.1));
        Leeway { from, to, below: end(self.below, below), above: end(self.above, above) }
    }
}

/// The feasible steps between `first` and `last`, searched from one of them.
fn range(
    (first, last): (i64, i64),
    start: i64,
    verdict: &mut dyn FnMut(i64) -> Verdict,
) -> Result<Found, Option<Box<Clash>>> {
    let (mut low, mut high, mut why) = (first, last, None);
    let (mut below, mut above) = (None, None);
    let mut at = start.clamp(low, high.max(low));
    while low <= high {
        match verdict(at) {
            Verdict::Holds => break,
            Verdict::Greater(clash) => (low, below, why) = (at + 1, Some(clash.clone()), Some(Box::new(clash))),
            Verdict::Less(clash) => (high, above, why) = (at - 1, Some(clash.clone()), Some(Box::new(clash))),
            Verdict::None(clash) => return Err(Some(Box::new(clash))),
        }
        at = low + (high - low) / 2;
    }
    if low > high {
        return Err(why);
    }
    let mut clash = |step: i64| match verdict(step) {
        Verdict::Holds => None,
        Verdict::Greater(clash) | Verdict::Less(clash) | Verdict::None(clash) => Some(clash),
    };
    let (mut least, mut most) = (at, at);
    while low < least {
        let middle = low + (least - low - 1) / 2;
        match clash(middle) {
            None => least = middle,
            Some(found) => (low, below) = (middle + 1, Some(found)),
        }
    }
    while most < high {
        let middle = most + (high - most + 1) / 2;
        match clash(middle) {
            None => most = middle,
            Some(found) => (high, above) = (middle - 1, Some(found)),
        }
    }
    Ok(Found { steps: (least, most), below, above })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn clash() -> Clash {
        Clash { line: LineId(1), station_m: 0.0, bounds: None, other_side: None, breaches: Vec::new() }
    }

    /// Whatever the range and wherever the search starts, it finds both ends, and says what ended it only there.
    #[test]
    fn ranges_are_found_to_the_step() {
        for (least, most) in [(3, 17), (0, 40), (9, 9), (0, 0), (40, 40), (12, 11)] {
            for start in [-5, 0, 7, 23, 40, 60] {
                let mut verdict = |step: i64| match () {
                    () if step < least => Verdict::Greater(clash()),
                    () if step > most => Verdict::Less(clash()),
                    () => Verdict::Holds,
                };
                let found = range((0, 40), start, &mut verdict);
                match found {
                    Ok(found) => {
                        assert_eq!(found.steps, (least, most));
                        assert_eq!((found.below.is_some(), found.above.is_some()), (least > 0, most < 40));
                    }
                    Err(_) => assert!(least > most),
                }
            }
        }
    }
}
