//! Fittings and structures, counted from the network.

use std::collections::BTreeMap;

use design::{Design, Joint, LineDesign};
use measure::{INCH_M, apart_deg, bearing};
use plan::{Goods, Joins, Line, LineId, Plan, StructureKind};

use crate::pieces::{Piece, SAME_SIZE_M, pieces};

/// Sizes in tenths of a millimetre, so that fittings can be sorted and told apart.
type Key = (Goods, Option<i64>, Option<i64>);

/// So many of one kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Count {
    /// What it is.
    pub goods: Goods,
    /// Size, metres; that of the main for a branch.
    pub size_m: Option<f64>,
    /// Size of the branch, or of the smaller end of a reducer, metres.
    pub branch_m: Option<f64>,
    /// How many.
    pub pieces: usize,
}

/// Fittings of one line.
#[derive(Debug, Default)]
struct Tally(BTreeMap<Key, usize>);

/// A size in tenths of a millimetre.
pub(crate) fn key_of(size_m: f64) -> i64 {
    (size_m * 1e4).round() as i64
}

impl Tally {
    fn add(&mut self, goods: Goods, size_m: Option<f64>, branch_m: Option<f64>, pieces: usize) {
        if pieces > 0 {
            *self.0.entry((goods, size_m.map(key_of), branch_m.map(key_of))).or_default() += pieces;
        }
    }

    fn counts(self) -> Vec<Count> {
        let metres = |key: Option<i64>| key.map(|key| key as f64 / 1e4);
        let count = |((goods, size, branch), pieces): (Key, usize)| Count {
            goods,
            size_m: metres(size),
            branch_m: metres(branch),
            pieces,
        };
        self.0.into_iter().map(count).collect()
    }
}

/// Fittings of every new line, each with the line that asks for it; `splices` are those of the cutting plan by line, each the
/// size of its pipe, metres.
pub(crate) fn by_line(
    plan: &Plan,
    design: &Design,
    splices: &BTreeMap<LineId, Vec<f64>>,
) -> Vec<(LineId, Vec<Count>)> {
    let carried_on = crate::carried_on(design);
    let mut found = Vec::new();
    for (id, line) in plan.lines.iter().filter(|(_, line)| !line.kind.is_old()) {
        let Some(worked) = design.lines.get(id) else { continue };
        let (mut tally, size_m) = (Tally::default(), worked.pipe.first().map(|pipe| pipe.size_m));
        let top_m = worked.pipe.last().map(|pipe| pipe.size_m);
        tally.add(Goods::Cap, top_m, None, usize::from(line.capped && !carried_on.contains(id)));
        splices.get(id).into_iter().flatten().for_each(|size_m| tally.add(Goods::Coupler, Some(*size_m), None, 1));
        meetings(&mut tally, &pieces(*id, worked));
        for station_m in elbows(plan, design, *id, line) {
            tally.add(Goods::Elbow, Some(worked.pipe_at(station_m).size_m), None, 1);
        }
        structures(&mut tally, line, worked);
        if let Joins::Outlet(outlet) = line.joins {
            let guarded = plan.outlets.get(&outlet).is_some_and(|outlet| outlet.guard && outlet.is_open());
            tally.add(Goods::Guard, size_m, None, usize::from(guarded));
        }
        found.push((*id, tally));
    }
    for joint in &design.joints {
        joint_fitting(plan, design, joint, &mut found);
    }
    found.into_iter().map(|(id, tally)| (id, tally.counts())).collect()
}

/// Where pipe of one kind or size meets pipe of another: a coupler, or a reducer.
fn meetings(tally: &mut Tally, pieces: &[(Goods, Piece)]) {
    for pair in pieces.windows(2) {
        let (below_m, above_m) = (pair[0].1.size_m, pair[1].1.size_m);
        match (below_m - above_m).abs() > SAME_SIZE_M {
            true => tally.add(Goods::Reducer, Some(below_m.max(above_m)), Some(below_m.min(above_m)), 1),
            false => tally.add(Goods::Coupler, Some(below_m), None, 1),
        }
    }
}

/// Adds the fitting of a joint to the new line that asks for it: the branch, or the main where the branch is old.
fn joint_fitting(plan: &Plan, design: &Design, joint: &Joint, found: &mut [(LineId, Tally)]) {
    let is_old = |id: LineId| plan.lines.get(&id).is_none_or(|line| line.kind.is_old());
    let asks = if is_old(joint.branch) { joint.main } else { joint.branch };
    let Some((_, tally)) = found.iter_mut().find(|(id, _)| *id == asks) else { return };
    let Some((main_m, branch_m)) = joint.sizes_m(design) else { return };
    if is_old(joint.branch) || is_old(joint.main) {
        tally.add(Goods::Adapter, Some(main_m), Some(branch_m), 1);
    }
    if joint.in_line {
        let (large_m, small_m) = (main_m.max(branch_m), main_m.min(branch_m));
        match large_m - small_m > SAME_SIZE_M {
            true => tally.add(Goods::Reducer, Some(large_m), Some(small_m), 1),
            false => tally.add(Goods::Coupler, Some(large_m), None, 1),
        }
    } else {
        // Up to 15° off square a tee is bent into place; a branch that points further downstream takes a wye.
        let goods = if joint.angle_deg < 75.0 { Goods::Wye } else { Goods::Tee };
        tally.add(goods, Some(main_m), Some(branch_m), 1);
    }
}

/// Stations of turns too sharp for pipe, without a box or branch at them, metres.
fn elbows(plan: &Plan, design: &Design, id: LineId, line: &Line) -> Vec<f64> {
    let mut station_m = 0.0;
    let mut found = Vec::new();
    for three in line.points.windows(3) {
        station_m += measure::distance(three[0], three[1]);
        let turn_deg = apart_deg(bearing(three[1], three[2]), bearing(three[0], three[1]));
        let near = |other_m: f64| (other_m - station_m).abs() < 1.0;
        let boxed =
            line.structures.iter().any(|s| matches!(s.kind, StructureKind::JunctionBox(_)) && near(s.station_m));
        let branched = design.joints.iter().any(|joint| joint.main == id && near(joint.station_m));
        found.extend((turn_deg > plan.criteria.sharpest_bend_deg && !boxed && !branched).then_some(station_m));
    }
    found
}

fn structures(tally: &mut Tally, line: &Line, worked: &LineDesign) {
    for structure in &line.structures {
        let size_m = Some(worked.pipe_at(structure.station_m).size_m);
        match structure.kind {
            StructureKind::OpenInlet(catching) => {
                tally.add(Goods::Riser, catching.riser_m.or(size_m), None, 1);
                tally.add(Goods::Orifice, size_m, None, usize::from(catching.throttled));
                tally.add(Goods::SiltTrap, size_m, None, usize::from(catching.trapped));
            }
            StructureKind::BlindInlet(_) => {}
            StructureKind::Breather => tally.add(Goods::Breather, Some(4.0 * INCH_M), None, 1),
            StructureKind::ReliefWell => tally.add(Goods::ReliefWell, size_m, None, 1),
            StructureKind::SiltTrap => tally.add(Goods::SiltTrap, size_m, None, 1),
            StructureKind::JunctionBox(_) => tally.add(Goods::JunctionBox, size_m, None, 1),
            StructureKind::Drop => tally.add(Goods::Drop, size_m, None, 1),
        }
    }
}

/// Adds the same kinds of several lines together.
pub(crate) fn together<'a>(all: impl Iterator<Item = &'a Count>) -> Vec<Count> {
    let mut tally = Tally::default();
    all.for_each(|count| tally.add(count.goods, count.size_m, count.branch_m, count.pieces));
    tally.counts()
}
