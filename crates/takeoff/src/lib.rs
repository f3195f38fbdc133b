//! How much of it: pipe, fittings and trench of a plan, counted from the worked-out design.
//!
//! [`totals`] counts along the plan, [`estimate`] buys pipe along the slope and in whole rolls; on the grades of drainage
//! the two lengths differ by less than a thousandth ([computed]). Old tile is listed for itself and
//! counts for nothing new. [`cut_sheet`] gives what a crew digs by.

mod bid;
mod by_line;
mod cut_sheet;
mod deep;
mod estimate;
mod fall;
mod fittings;
mod notice;
mod pieces;
mod printed;
mod rod;
mod rolls;
mod trench;

use std::collections::{BTreeMap, BTreeSet};

use design::{Design, Joint, LaidSize, LineDesign, Pipe};
use plan::{Field, Line, LineId, LineKind, Plan};

use crate::pieces::SAME_SIZE_M;

pub use bid::{Bid, BidRow, bid};
pub use by_line::{CostParts, CostRow};
pub use cut_sheet::{Ahead, CutSheet, Row, Stake, cut_sheet, has_sheet, told_sheet};
pub use deep::Deep;
pub use estimate::{
    Band, Cutting, Difference, Estimate, Item, LineCost, Saving, cost_of_depth, differences, estimate, savings,
    unfathomed, with_currency, words,
};
pub use fall::{Stand, stands};
pub use fittings::Count;
pub use notice::{Notice, Seen, Weight};
pub use pieces::{Piece, PipeUse, pipe, slope_length_m};
pub use printed::{Printed, printed};
pub use rod::{RodTrouble, SetUp, hold_rods, is_move, planes_words, set_up_at, usual_rod_m};
pub use rolls::{Cut, CuttingPlan, cut, cut_lengths, rolls_for};
pub use trench::trench_m3;

/// Topsoil that goes back over stone, metres: 1 ft (judgement).
pub(crate) const TOPSOIL_M: f64 = 0.3048;

/// What one line takes.
#[derive(Debug, Clone, PartialEq)]
pub struct LineTotal {
    /// Which line it is.
    pub id: LineId,
    /// Its name on the plan.
    pub name: String,
    /// What it is for.
    pub kind: LineKind,
    /// Its sizes from the downstream end up.
    pub sizes: Vec<LaidSize>,
    /// Length on the plan, metres.
    pub length_m: f64,
    /// Length of solid outlet pipe in it, metres.
    pub solid_m: f64,
    /// Soil out of its trench, cubic metres; 0 for old tile and where no depth is known.
    pub trench_m3: f64,
    /// Length of its trench whose depth is not known, metres; 0 for old tile.
    pub unknown_m: f64,
}

/// What a whole plan takes.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Totals {
    /// Every line in order of id, old tile too.
    pub lines: Vec<LineTotal>,
    /// Length of new pipe by what it is for ("main", "submain", "lateral"), metres.
    pub by_role: BTreeMap<&'static str, f64>,
    /// New pipe by size, smallest first: inside diameter and length, metres.
    pub by_size: Vec<(f64, f64)>,
    /// Length of all new pipe, metres.
    pub pipe_m: f64,
    /// Length of solid outlet pipe in it, metres.
    pub solid_m: f64,
    /// Length of old tile on the plan, metres.
    pub old_tile_m: f64,
    /// Branches that enter a line sideways: tees and wyes.
    pub joints: usize,
    /// Lines that carry on in line at another size.
    pub reducers: usize,
    /// Upper ends of new lines closed by a cap.
    pub caps: usize,
    /// Outlets into which new pipe leads.
    pub outlets: usize,
    /// Soil out of all trenches, cubic metres.
    pub trench_m3: f64,
    /// Length of trench whose depth is not known, so that it has no volume, metres.
    pub unknown_m: f64,
    /// Deepest trench, metres; `None` where no ground is known.
    pub deepest_trench_m: Option<f64>,
    /// The field, holes taken out, square metres.
    pub field_area_m2: Option<f64>,
}

/// Counts what a plan takes.
pub fn totals(plan: &Plan, design: &Design) -> Totals {
    let mut totals = Totals { field_area_m2: plan.field.as_ref().map(Field::area_m2), ..Totals::default() };
    for (id, line) in &plan.lines {
        if let Some(worked) = design.lines.get(id) {
            count_line(&mut totals, plan, *id, line, worked);
        }
    }
    for joint in design.joints.iter().filter(|joint| is_new_work(plan, joint)) {
        count_joint(&mut totals, design, joint);
    }
    totals.caps = caps(plan, design);
    totals.outlets = outlets(plan);
    totals
}

fn count_line(totals: &mut Totals, plan: &Plan, id: LineId, line: &Line, worked: &LineDesign) {
    let is_old = line.kind.is_old();
    let total = LineTotal {
        id,
        name: line.name.clone(),
        kind: line.kind,
        sizes: worked.laid_sizes(),
        length_m: worked.length_m,
        solid_m: if is_old { 0.0 } else { worked.outlet_pipe_m.min(worked.length_m) },
        trench_m3: if is_old { 0.0 } else { trench_m3(worked, &plan.criteria) },
        unknown_m: if is_old { 0.0 } else { unknown_m(worked) },
    };
    if is_old {
        totals.old_tile_m += total.length_m;
    } else {
        count_new(totals, plan, &total, worked);
    }
    totals.lines.push(total);
}

/// Length of trench whose depth is not known, metres; less than a millimetre is none.
pub(crate) fn unknown_m(worked: &LineDesign) -> f64 {
    Some(worked.length_m - worked.fathomed_m()).filter(|unknown_m| *unknown_m >= 1e-3).unwrap_or(0.0)
}

fn count_new(totals: &mut Totals, plan: &Plan, line: &LineTotal, worked: &LineDesign) {
    totals.pipe_m += line.length_m;
    totals.solid_m += line.solid_m;
    totals.trench_m3 += line.trench_m3;
    totals.unknown_m += line.unknown_m;
    *totals.by_role.entry(line.kind.word()).or_default() += line.length_m;
    worked.bodies().for_each(|body| add_size(&mut totals.by_size, body.size_m, body.to_m - body.from_m));
    let differ = |pair: &&[Pipe; 2]| (pair[0].size_m - pair[1].size_m).abs() > SAME_SIZE_M;
    totals.reducers += worked.changes().iter().filter(differ).count();
    let deepest = worked.deepest_trench(plan.criteria.bedding_m).map(|deepest| deepest.value_m);
    totals.deepest_trench_m = totals.deepest_trench_m.into_iter().chain(deepest).reduce(f64::max);
}

fn add_size(by_size: &mut Vec<(f64, f64)>, size_m: f64, length_m: f64) {
    match by_size.iter_mut().find(|(size, _)| (size - size_m).abs() < SAME_SIZE_M) {
        Some((_, total_m)) => *total_m += length_m,
        None => {
            let place = by_size.partition_point(|(size, _)| *size < size_m);
            by_size.insert(place, (size_m, length_m));
        }
    }
}

/// True when at least one of the two pipes is new, so that a fitting must be bought.
fn is_new_work(plan: &Plan, joint: &Joint) -> bool {
    [joint.branch, joint.main].iter().any(|id| is_new(plan, *id))
}

fn is_new(plan: &Plan, id: LineId) -> bool {
    plan.lines.get(&id).is_some_and(|line| !line.kind.is_old())
}

fn count_joint(totals: &mut Totals, design: &Design, joint: &Joint) {
    if !joint.in_line {
        totals.joints += 1;
    } else if let Some((main_m, branch_m)) = joint.sizes_m(design) {
        totals.reducers += usize::from((branch_m - main_m).abs() > SAME_SIZE_M);
    }
}

/// The upper end of each new line that has its cap and on which nothing carries on.
fn caps(plan: &Plan, design: &Design) -> usize {
    let carried_on = carried_on(design);
    let capped = plan.lines.iter().filter(|(_, line)| !line.kind.is_old() && line.capped);
    capped.filter(|(id, _)| !carried_on.contains(id)).count()
}

/// Lines on whose upper end another carries on.
pub(crate) fn carried_on(design: &Design) -> BTreeSet<LineId> {
    design.joints.iter().filter(|joint| joint.in_line).map(|joint| joint.main).collect()
}

fn outlets(plan: &Plan) -> usize {
    let new_lines = plan.lines.values().filter(|line| !line.kind.is_old());
    let used: BTreeSet<_> = new_lines
        .filter_map(|line| match line.joins {
            plan::Joins::Outlet(id) => Some(id),
            _ => None,
        })
        .collect();
    used.len()
}

#[cfg(test)]
mod tests;
