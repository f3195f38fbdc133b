//! Where a drawn line's water goes: which end is the lower one and what it joins, by nearness.

use measure::{Point, distance, nearest_on};
use plan::{Change, Edit, Joins, Line, LineId, LineKind, OutletId, Plan};
use terrain::Ground;

/// How near an end must be to count as joined, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// To an outlet.
    pub outlet_m: f64,
    /// To another line.
    pub line_m: f64,
}

impl Reach {
    /// For lines drawn in the window, which were snapped before the click.
    pub const DRAWN: Reach = Reach { outlet_m: 0.01, line_m: 0.01 };
    /// For lines from a file: 10 ft to an outlet; 1.6 ft to a line, so that a real gap is still told as one.
    pub const FROM_FILE: Reach = Reach { outlet_m: 3.0, line_m: 0.5 };
}

/// A line ready to be added: the edit and what a person should be told.
#[derive(Debug)]
pub struct Placed {
    /// The line's id once the edit is made.
    pub id: LineId,
    /// Adds the line and ties in old tile, in one step.
    pub edit: Edit,
    /// What its lower end joins.
    pub joins: Joins,
    /// What was found: the joint, the direction, old tile tied in.
    pub told: Vec<String>,
}

/// What an end lies on.
#[derive(Debug, Clone, Copy)]
struct Met {
    joins: Joins,
    at: Point,
    away_m: f64,
}

/// Lays a drawn line out: lower end first, the joint found, its end laid on the joint, old tile at the upper end tied in.
pub fn place(plan: &Plan, ground: Option<&Ground>, mut line: Line, reach: Reach) -> Placed {
    let mut told = Vec::new();
    let ends = [line.downstream_end(), line.upper_end()];
    let met = ends.map(|end| end.and_then(|end| meet(plan, end, line.kind, reach)));
    let reversed = lower_is_last(plan, ground, &line, &met);
    let [first, last] = met;
    let (lower, upper) = if reversed { (last, first) } else { (first, last) };
    if reversed {
        line.points.reverse();
        told.push(format!("{}: drawn from the upper end, turned round", line.name));
    }
    if let Some(met) = lower {
        line.joins = met.joins;
        line.points[0] = met.at;
    }
    told.push(joint_told(plan, &line, lower));
    let cut = upper.and_then(|met| cut(plan, &line, met));
    if let Some(cut) = &cut {
        let last = line.points.len() - 1;
        line.points[last] = cut.at;
        told.push(format!("{}: ties in old tile {} at its upper end", line.name, cut.old.name));
    }
    let (id, mut edit) = plan::add_line(plan, line);
    edit.changes.extend(cut.iter().flat_map(|cut| cut.tie_in(plan, id)));
    Placed { id, joins: lower.map_or(Joins::Nothing, |met| met.joins), edit, told }
}

/// True when the last point drawn is the downstream end.
fn lower_is_last(plan: &Plan, ground: Option<&Ground>, line: &Line, met: &[Option<Met>; 2]) -> bool {
    let worth = |met: &Option<Met>| {
        met.map_or(0, |met| match met.joins {
            Joins::Outlet(_) => 3,
            Joins::Line(id) if plan.lines.get(&id).is_some_and(|line| line.kind.is_old()) => 1,
            Joins::Line(_) => 2,
            Joins::Nothing => 0,
        })
    };
    let (first, last) = (worth(&met[0]), worth(&met[1]));
    if first != last {
        return last > first;
    }
    let level = |end: Option<Point>| end.and_then(|at| ground?.elevation(at));
    match (level(line.downstream_end()), level(line.upper_end())) {
        (Some(first), Some(last)) => last < first,
        _ => false,
    }
}

/// The outlet or line that an end meets: an outlet first, else the nearest line, a main before others as near.
fn meet(plan: &Plan, end: Point, kind: LineKind, reach: Reach) -> Option<Met> {
    let outlets = plan.outlets.iter().map(|(id, outlet)| outlet_met(*id, outlet.at, end));
    let outlet = outlets.filter(|met| met.away_m <= reach.outlet_m).min_by(|a, b| a.away_m.total_cmp(&b.away_m));
    // Old tile is found where it lies; it is never taken to run into an outlet by nearness alone.
    if let Some(met) = outlet.filter(|met| !kind.is_old() || met.away_m <= Reach::DRAWN.outlet_m) {
        return Some(met);
    }
    let lines = plan.lines.iter().filter_map(|(id, line)| {
        let (_, at, away_m) = nearest_on(&line.points, end)?;
        Some((line.kind != LineKind::Main, Met { joins: Joins::Line(*id), at, away_m }))
    });
    let near = lines.filter(|(_, met)| met.away_m <= reach.line_m);
    let nearest = near.min_by(|a, b| a.1.away_m.total_cmp(&b.1.away_m).then(a.0.cmp(&b.0))).map(|(_, met)| met);
    nearest.map(|met| past_foot(plan, end, met))
}

/// A foot that lies on a main is no place to join: whoever meets it meets the main there, as the lateral opposite does.
fn past_foot(plan: &Plan, end: Point, met: Met) -> Met {
    let Joins::Line(id) = met.joins else { return met };
    let line = &plan.lines[&id];
    let main = line.flows_into().and_then(|main| Some((main, plan.lines.get(&main)?)));
    let Some((main, through)) = main.filter(|_| line.downstream_end().is_some_and(|foot| is_one(foot, met.at)))
    else {
        return met;
    };
    match nearest_on(&through.points, met.at) {
        Some((_, at, off_m)) if off_m <= Reach::DRAWN.line_m => {
            Met { joins: Joins::Line(main), at, away_m: distance(at, end) }
        }
        _ => met,
    }
}

/// True for two places that are one.
fn is_one(a: Point, b: Point) -> bool {
    distance(a, b) <= Reach::DRAWN.line_m
}

fn outlet_met(id: OutletId, at: Point, end: Point) -> Met {
    Met { joins: Joins::Outlet(id), at, away_m: distance(at, end) }
}

fn joint_told(plan: &Plan, line: &Line, lower: Option<Met>) -> String {
    let units = plan.title.units;
    let Some(met) = lower else {
        return format!("{}: joins nothing; no outlet or line lies at its lower end", line.name);
    };
    let name = plan.name_of(met.joins).unwrap_or_default();
    let station = match met.joins {
        Joins::Line(id) => {
            let found = nearest_on(&plan.lines[&id].points, met.at);
            found.map_or(String::new(), |(station_m, _, _)| format!(" at {}", measure::station(station_m, units)))
        }
        _ => String::new(),
    };
    format!("{}: joins {name}{station}, {} from its drawn end", line.name, units.amount(met.away_m))
}

/// Nearer than this to an end of old tile a cut leaves nothing on that side, metres.
const NO_PIECE_M: f64 = 0.05;

/// The old tile at a new line's upper end, and how far up it is cut; `None` where nothing of it lies above the cut.
fn cut<'a>(plan: &'a Plan, line: &Line, met: Met) -> Option<Cut<'a>> {
    let Joins::Line(id) = met.joins else { return None };
    let old = plan.lines.get(&id).filter(|old| old.kind.is_old() && !line.kind.is_old())?;
    let (cut_m, _, _) = nearest_on(&old.points, met.at)?;
    (old.length_m() - cut_m > NO_PIECE_M).then_some(Cut { id, old, cut_m, at: met.at })
}

/// Old tile cut in two by a trench.
struct Cut<'a> {
    id: LineId,
    old: &'a Line,
    cut_m: f64,
    at: Point,
}

impl Cut<'_> {
    /// The part above the cut runs into the new line from now on; the part below stays in the ground as a line of its
    /// own, with what joined it there, and carries nothing from above.
    fn tie_in(&self, plan: &Plan, new: LineId) -> Vec<Change> {
        let mut changes = vec![Change::Line(self.id, Some(Line { joins: Joins::Line(new), ..self.above() }))];
        if self.cut_m > NO_PIECE_M {
            let rest = LineId(new.0 + 1);
            let name = plan.free_name(&format!("{} below cut ", self.old.name));
            changes.push(Change::Line(rest, Some(Line { name, ..self.below() })));
            let low = plan.branches(self.id).filter(|(_, branch)| self.enters_below(branch));
            changes.extend(
                low.map(|(id, branch)| Change::Line(id, Some(Line { joins: Joins::Line(rest), ..branch.clone() }))),
            );
        }
        changes
    }

    fn enters_below(&self, branch: &Line) -> bool {
        let foot = branch.downstream_end().and_then(|end| nearest_on(&self.old.points, end));
        foot.is_some_and(|(station_m, _, _)| station_m < self.cut_m)
    }

    fn above(&self) -> Line {
        let mut points = vec![self.at];
        points.extend(self.points_where(|station_m| station_m > self.cut_m + 1e-6));
        let pins = self.old.pins.iter().filter(|pin| pin.station_m >= self.cut_m);
        let pins = pins.map(|pin| plan::Pin { station_m: pin.station_m - self.cut_m, ..*pin }).collect();
        Line { points, pins, ..self.old.clone() }
    }

    fn below(&self) -> Line {
        let mut points: Vec<Point> = self.points_where(|station_m| station_m < self.cut_m - 1e-6).collect();
        points.push(self.at);
        let pins = self.old.pins.iter().copied().filter(|pin| pin.station_m <= self.cut_m).collect();
        Line { points, pins, ..self.old.clone() }
    }

    /// The points of the old line whose station passes a test.
    fn points_where(&self, keep: impl Fn(f64) -> bool) -> impl Iterator<Item = Point> {
        let points = &self.old.points;
        let stations = (0..points.len()).map(|i| measure::path_length(&points[..=i]));
        stations.zip(points).filter(move |(station_m, _)| keep(*station_m)).map(|(_, point)| *point)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use measure::Units;
    use plan::{OldTile, Outlet};

    fn p(x: f64, y: f64) -> Point {
        Point::new(x, y)
    }

    fn with_outlet_and_main() -> Plan {
        let mut plan = Plan::new("Sketch", Units::Metric);
        plan.apply(&plan::place_outlet(&plan, Outlet::new("O1", p(0.0, 0.0), 98.0)).1).unwrap();
        draw(&mut plan, "M1", LineKind::Main, &[p(0.0, 0.0), p(200.0, 0.0)]);
        plan
    }

    fn draw(plan: &mut Plan, name: &str, kind: LineKind, points: &[Point]) -> Placed {
        let placed = place(plan, None, Line::new(name, kind, points.to_vec()), Reach::FROM_FILE);
        plan.apply(&placed.edit).unwrap();
        placed
    }

    #[test]
    fn a_line_drawn_either_way_ends_at_its_joint() {
        let mut plan = with_outlet_and_main();
        let down = draw(&mut plan, "L1", LineKind::Lateral, &[p(50.0, 80.0), p(50.0, 0.3)]);
        assert_eq!(plan.lines[&down.id].points, [p(50.0, 0.0), p(50.0, 80.0)]);
        assert!(down.told[0].contains("turned round"), "{:?}", down.told);
        assert!(down.told[1].contains("joins M1 at 0+50"), "{:?}", down.told);
        let up = draw(&mut plan, "L2", LineKind::Lateral, &[p(90.0, 0.0), p(90.0, 80.0)]);
        assert_eq!(up.told.len(), 1);
    }

    /// The second of two laterals that meet at one station is drawn to the foot of the first; both join the main, on a main that
    /// does not lie along an axis as well.
    #[test]
    fn opposite_laterals_both_join_the_main() {
        let mut plan = Plan::new("Sketch", Units::Metric);
        plan.apply(&plan::place_outlet(&plan, Outlet::new("O1", p(0.0, 0.0), 98.0)).1).unwrap();
        let main = draw(&mut plan, "M1", LineKind::Main, &[p(0.0, 0.0), p(171.3, 93.7)]).id;
        let foot = measure::along(p(0.0, 0.0), p(171.3, 93.7), 0.371);
        for reach in [Reach::DRAWN, Reach::FROM_FILE] {
            for (name, end) in [("L1", p(30.0, 110.0)), ("L2", p(100.0, -60.0))] {
                let placed = place(&plan, None, Line::new(name, LineKind::Lateral, vec![foot, end]), reach);
                plan.apply(&placed.edit).unwrap();
                assert_eq!(placed.joins, Joins::Line(main), "{name}");
            }
        }
    }

    #[test]
    fn a_gap_of_two_feet_is_no_joint() {
        let mut plan = with_outlet_and_main();
        let gap = draw(&mut plan, "L1", LineKind::Lateral, &[p(50.0, 0.61), p(50.0, 80.0)]);
        assert_eq!(gap.joins, Joins::Nothing);
    }

    #[test]
    fn a_lateral_that_stops_at_old_tile_ties_it_in() {
        let mut plan = with_outlet_and_main();
        let old = draw(&mut plan, "T1", LineKind::OldTile(OldTile::default()), &[p(20.0, 60.0), p(120.0, 100.0)]);
        let lateral = draw(&mut plan, "L1", LineKind::Lateral, &[p(70.0, 0.0), p(70.0, 80.0)]);
        assert_eq!(plan.lines[&old.id].joins, Joins::Line(lateral.id));
        assert_eq!(plan.lines[&old.id].points, [p(70.0, 80.0), p(120.0, 100.0)]);
        let rest = plan.lines.values().find(|line| line.name.starts_with("T1 below")).unwrap();
        assert_eq!(rest.points, [p(20.0, 60.0), p(70.0, 80.0)]);
        assert_eq!(plan.lines[&lateral.id].upper_end(), Some(p(70.0, 80.0)));
    }

    #[test]
    fn a_lateral_that_stops_at_the_very_top_of_old_tile_leaves_it_whole() {
        let mut plan = with_outlet_and_main();
        let old = draw(&mut plan, "T1", LineKind::OldTile(OldTile::default()), &[p(20.0, 60.0), p(70.0, 80.0)]);
        let before = plan.lines[&old.id].clone();
        draw(&mut plan, "L1", LineKind::Lateral, &[p(70.0, 0.0), p(70.0, 80.0)]);
        assert_eq!(plan.lines[&old.id], before);
        assert_eq!(plan.lines.len(), 3);
    }

    #[test]
    fn what_joined_old_tile_below_the_cut_stays_below_the_cut() {
        let mut plan = with_outlet_and_main();
        let tile = LineKind::OldTile(OldTile::default());
        draw(&mut plan, "T1", tile, &[p(20.0, 60.0), p(120.0, 100.0)]);
        let (low, high) = (
            draw(&mut plan, "T2", tile, &[p(45.0, 70.0), p(30.0, 110.0)]).id,
            draw(&mut plan, "T3", tile, &[p(95.0, 90.0), p(80.0, 130.0)]).id,
        );
        draw(&mut plan, "L1", LineKind::Lateral, &[p(70.0, 0.0), p(70.0, 80.0)]);
        let name = |id| plan.name_of(plan.lines[&id].joins).unwrap();
        assert!(name(low).starts_with("T1 below"), "{}", name(low));
        assert_eq!(name(high), "T1");
    }
}
