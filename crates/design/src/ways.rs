//! Ways out of a clash: changes of the plan, each tried, after which every limit of the network can be satisfied.

use land::Land;
use plan::{Edit, Hold, Joins, LineId, OutletId, Plan, SizeBy};

use crate::clash::{Bound, Cause, Clash, Flattest};
use crate::{Design, Memory, work_out_again};

/// A change of the plan that resolves a clash.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Way {
    /// The outlet lower by so much, metres.
    LowerOutlet(OutletId, f64),
    /// The outlet higher by so much, metres.
    RaiseOutlet(OutletId, f64),
    /// Unlocking the level locked at a station of a line, metres.
    Unlock(LineId, f64),
    /// Releasing the grade held between two stations of a line, metres.
    Release(LineId, (f64, f64)),
    /// A machine that digs deeper by so much, metres.
    DeeperMachine(f64),
    /// Solid heavy pipe between two stations of a line, metres, which needs less cover.
    SolidHeavy(LineId, (f64, f64)),
    /// A larger size for a line, metres, which may be laid flatter.
    Larger(LineId, f64),
    /// Passing something in the ground, by its index on the line, on its other side.
    OtherSide(LineId, usize),
}

/// How the figures of a way are rounded before it is tried: what is printed is what was tried.
pub struct Printed<'a> {
    /// Rounds an amount up to the next that is printed, metres.
    pub amount: &'a dyn Fn(f64) -> f64,
    /// Rounds a station down to the next that is printed, metres.
    pub station_down: &'a dyn Fn(f64) -> f64,
    /// Rounds a station up to the next that is printed, metres.
    pub station_up: &'a dyn Fn(f64) -> f64,
}

/// How often an amount is increased before a way is given up, and then bisected.
const GROWS: usize = 6;
const HALVES: usize = 8;
/// Greatest amount that is tried, metres.
const MOST_M: f64 = 10.0;

/// A plan with its ground and design, on which changes are tried.
pub struct Trial<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// Its land.
    pub land: &'a Land,
    /// The design of the plan.
    pub design: &'a Design,
}

impl Trial<'_> {
    /// The ways out of a clash, each tried by itself with the figures that are printed.
    pub fn ways(&self, clash: &Clash, printed: &Printed) -> Vec<Way> {
        let mut ways: Vec<Way> = Vec::new();
        for way in self.candidates(clash) {
            let found = match way {
                Way::LowerOutlet(id, by_m) => self.least(by_m, printed, |by_m| Way::LowerOutlet(id, by_m)),
                Way::RaiseOutlet(id, by_m) => self.least(by_m, printed, |by_m| Way::RaiseOutlet(id, by_m)),
                Way::DeeperMachine(by_m) => self.least(by_m, printed, Way::DeeperMachine),
                Way::SolidHeavy(id, (from_m, to_m)) => {
                    let to_m = (printed.station_up)(to_m);
                    Some(Way::SolidHeavy(id, ((printed.station_down)(from_m), to_m))).filter(|way| self.frees(way))
                }
                way => Some(way).filter(|way| self.frees(way)),
            };
            ways.extend(found.filter(|found| !ways.contains(found)));
        }
        ways
    }

    /// The least printed amount that resolves the clash, searched from a likely one.
    fn least(&self, likely_m: f64, printed: &Printed, way: impl Fn(f64) -> Way) -> Option<Way> {
        let mut fails_m = 0.0;
        let mut frees_m = (printed.amount)(likely_m.max(0.0));
        for grown in 0.. {
            if frees_m > MOST_M || grown > GROWS {
                return None;
            }
            if self.frees(&way(frees_m)) {
                break;
            }
            (fails_m, frees_m) = (frees_m, (printed.amount)(frees_m * 1.6));
        }
        for _ in 0..HALVES {
            let middle_m = (printed.amount)((fails_m + frees_m) / 2.0);
            if middle_m >= frees_m {
                break;
            }
            if self.frees(&way(middle_m)) { frees_m = middle_m } else { fails_m = middle_m }
        }
        Some(way(frees_m))
    }

    /// True if the changed plan has one clash less.
    fn frees(&self, way: &Way) -> bool {
        let Some(edit) = way.edit(self.plan) else { return false };
        let mut changed = self.plan.clone();
        if changed.apply(&edit).is_err() || changed.validate().is_err() {
            return false;
        }
        let after = work_out_again(&changed, self.land, &mut Memory::default());
        after.clashes.len() < self.design.clashes.len()
    }

    /// Changes worth trying, from the two limits that clash and the places where the least-bad profile violates a limit.
    fn candidates(&self, clash: &Clash) -> Vec<Way> {
        let mut ways = Vec::new();
        let by_m =
            clash.by_m().unwrap_or(0.0).max(clash.breaches.iter().map(|breach| breach.by_m).fold(0.0, f64::max));
        for (bound, is_lowest) in clash.bounds.iter().flat_map(|(low, high)| [(low, true), (high, false)]) {
            ways.extend(self.against(bound, is_lowest, by_m));
        }
        for breach in &clash.breaches {
            let pins = self.plan.lines.get(&breach.line).map_or(&[][..], |line| &line.pins);
            if clash.bounds.is_none() {
                ways.extend(pins.iter().map(|pin| Way::Unlock(breach.line, pin.station_m)));
            }
        }
        ways.extend(self.downstream(clash.line).filter_map(|id| self.larger(id)));
        ways
    }

    /// Changes that move one of the two limits.
    fn against(&self, bound: &Bound, is_lowest: bool, by_m: f64) -> Vec<Way> {
        let mut ways = match bound.cause {
            Cause::Outlet(id) if is_lowest => vec![Way::LowerOutlet(id, by_m)],
            Cause::Outlet(id) => vec![Way::RaiseOutlet(id, by_m)],
            Cause::Locked => self.pin_near(bound.line, bound.station_m).into_iter().collect(),
            Cause::Machine => vec![Way::DeeperMachine(by_m)],
            Cause::Cover => self.thin(bound.line).map(|part| Way::SolidHeavy(bound.line, part)).into_iter().collect(),
            Cause::Pass(k) => vec![Way::OtherSide(bound.line, k)],
            Cause::Joint(_) | Cause::Crossing(_) | Cause::Utility(_) => Vec::new(),
        };
        if bound.flattest == Some(Flattest::Held) {
            let held =
                self.plan.lines.iter().flat_map(|(id, line)| line.reaches.iter().map(move |reach| (*id, reach)));
            let grades = held.filter(|(_, reach)| matches!(reach.hold, Hold::Grade(_)));
            ways.extend(grades.map(|(id, reach)| Way::Release(id, (reach.from_m, reach.to_m))));
        }
        ways
    }

    /// The level locked by hand at a station of a line.
    fn pin_near(&self, id: LineId, station_m: f64) -> Option<Way> {
        let pins = &self.plan.lines.get(&id)?.pins;
        let near =
            pins.iter().min_by(|a, b| (a.station_m - station_m).abs().total_cmp(&(b.station_m - station_m).abs()));
        near.map(|pin| Way::Unlock(id, pin.station_m))
    }

    /// From the first to the last place where the least-bad profile has too little cover.
    fn thin(&self, id: LineId) -> Option<(f64, f64)> {
        let worked = self.design.lines.get(&id)?;
        let thin = worked.cover_under(worked.outlet_pipe_m, self.plan.criteria.least_cover_m);
        Some((thin.first()?.from_m, thin.last()?.to_m))
    }

    /// A line and those downstream of it.
    pub(crate) fn downstream(&self, id: LineId) -> impl Iterator<Item = LineId> + '_ {
        let next = |id: &LineId| match self.plan.lines.get(id)?.joins {
            Joins::Line(main) => Some(main),
            _ => None,
        };
        std::iter::successors(Some(id), next).take(self.plan.lines.len())
    }

    fn larger(&self, id: LineId) -> Option<Way> {
        let line = self.plan.lines.get(&id).filter(|line| !line.kind.is_old() && line.size_by == SizeBy::Hand)?;
        Some(Way::Larger(id, self.plan.cost_weights.next_larger(line.size_m)?))
    }
}

impl Way {
    /// The edit of the plan.
    pub fn edit(&self, plan: &Plan) -> Option<Edit> {
        match *self {
            Self::LowerOutlet(id, by_m) => moved_outlet(plan, id, -by_m),
            Self::RaiseOutlet(id, by_m) => moved_outlet(plan, id, by_m),
            Self::Unlock(id, station_m) => plan::set_pin(plan, id, station_m, None),
            Self::Release(id, stretch_m) => plan::set_reach(plan, id, stretch_m, None),
            Self::DeeperMachine(by_m) => {
                let mut criteria = plan.criteria.clone();
                criteria.machine_reach_m += by_m;
                Some(plan::set_criteria(criteria))
            }
            Self::SolidHeavy(id, (from_m, to_m)) => {
                let to_m = to_m.min(plan.lines.get(&id)?.length_m());
                let stretch = plan::Stretch { from_m, to_m, solid: true, heavy: true, ..plan::Stretch::default() };
                plan::lay_stretch(plan, id, stretch)
            }
            Self::Larger(id, size_m) => {
                let line = plan.lines.get(&id)?;
                Some(plan::set_line(
                    format!("Another size for {}", line.name),
                    id,
                    plan::Line { size_m, ..line.clone() },
                ))
            }
            Self::OtherSide(id, k) => {
                let mut line = plan.lines.get(&id)?.clone();
                let pass = line.passes.get_mut(k)?;
                pass.side = match pass.side {
                    plan::Side::Over => plan::Side::Under,
                    plan::Side::Under => plan::Side::Over,
                };
                Some(plan::set_line(format!("Pass {} on the other side", pass.what), id, line))
            }
        }
    }
}

fn moved_outlet(plan: &Plan, id: OutletId, by_m: f64) -> Option<Edit> {
    let outlet = plan.outlets.get(&id)?;
    let invert_m = outlet.invert_m + by_m;
    Some(plan::set_outlet(plan, id, plan::Outlet { invert_m, ..outlet.clone() }))
}
