//! Edits as a person makes them, one function a gesture. Each looks at the plan and answers with an [`Edit`]; none
//! changes anything. What hangs on a moved part follows: joints stay on their main, locked levels on their place.

use std::collections::BTreeSet;

use measure::{Point, distance, nearest_on, path_length, point_at};

use crate::{
    Brief, Change, CostWeights, Criteria, Edit, Field, Hold, Joins, Line, LineId, Outlet, OutletId, Pin, Plan, Reach,
    Title, Watercourse, WatercourseId,
};

/// Sets or clears the field's boundary.
pub fn set_field(ring: Option<Vec<Point>>) -> Edit {
    let label = if ring.is_some() { "Draw the boundary" } else { "Remove the boundary" };
    Edit::one(label, Change::Field(ring.map(|ring| Field { ring, holes: Vec::new() })))
}

/// Sets name, units and date.
pub fn set_title(label: &str, title: Title) -> Edit {
    Edit::one(label, Change::Title(title))
}

/// Sets the job's limits.
pub fn set_criteria(criteria: Criteria) -> Edit {
    Edit::one("Change the job's limits", Change::Criteria(criteria))
}

/// Sets what the grower asked for.
pub fn set_brief(brief: Brief) -> Edit {
    Edit::one("Change the brief", Change::Brief(brief))
}

/// Sets the cost weights.
pub fn set_cost_weights(weights: CostWeights) -> Edit {
    Edit::one("Change the cost weights", Change::CostWeights(weights))
}

/// Places a new outlet; answers its id too.
pub fn place_outlet(plan: &Plan, outlet: Outlet) -> (OutletId, Edit) {
    let id = OutletId(plan.next_id);
    (id, Edit::one(format!("Place outlet {}", outlet.name), Change::Outlet(id, Some(outlet))))
}

/// Sets what is known of an outlet; lines that end there follow its place.
pub fn set_outlet(plan: &Plan, id: OutletId, outlet: Outlet) -> Edit {
    let mut edit = Edit::one(format!("Change outlet {}", outlet.name), Change::Outlet(id, Some(outlet.clone())));
    if plan.outlets.get(&id).is_some_and(|before| before.at != outlet.at) {
        let mut moved = Moved::default();
        let at_outlet = plan.lines.iter().filter(|(_, line)| line.joins == Joins::Outlet(id));
        at_outlet.for_each(|(line, _)| moved.move_end(plan, *line, outlet.at));
        edit.changes.extend(moved.changes);
    }
    edit
}

/// Moves an outlet and the ends that lie in it.
pub fn move_outlet(plan: &Plan, id: OutletId, to: Point) -> Option<Edit> {
    let outlet = plan.outlets.get(&id)?;
    let mut edit = set_outlet(plan, id, Outlet { at: to, ..outlet.clone() });
    edit.label = format!("Move outlet {}", outlet.name);
    Some(edit)
}

/// Removes an outlet; lines that ended there go nowhere until they are given another.
pub fn remove_outlet(plan: &Plan, id: OutletId) -> Option<Edit> {
    let outlet = plan.outlets.get(&id)?;
    let mut changes = detach(plan, Joins::Outlet(id));
    changes.push(Change::Outlet(id, None));
    Some(Edit { label: format!("Delete outlet {}", outlet.name), changes })
}

/// Adds a ditch or culvert; answers its id too.
pub fn add_watercourse(plan: &Plan, watercourse: Watercourse) -> (WatercourseId, Edit) {
    let id = WatercourseId(plan.next_id);
    let label = format!("Draw {} {}", watercourse.kind.word(), watercourse.name);
    (id, Edit::one(label, Change::Watercourse(id, Some(watercourse))))
}

/// Sets what is known of a ditch or culvert.
pub fn set_watercourse(id: WatercourseId, watercourse: Watercourse) -> Edit {
    let label = format!("Change {} {}", watercourse.kind.word(), watercourse.name);
    Edit::one(label, Change::Watercourse(id, Some(watercourse)))
}

/// Removes a ditch or culvert.
pub fn remove_watercourse(plan: &Plan, id: WatercourseId) -> Option<Edit> {
    let watercourse = plan.watercourses.get(&id)?;
    let label = format!("Delete {} {}", watercourse.kind.word(), watercourse.name);
    Some(Edit::one(label, Change::Watercourse(id, None)))
}

/// Adds a line; answers its id too.
pub fn add_line(plan: &Plan, line: Line) -> (LineId, Edit) {
    let id = LineId(plan.next_id);
    (id, Edit::one(format!("Draw {}", line.name), Change::Line(id, Some(line))))
}

/// Sets a line's properties (name, kind, size, cap, what is known of old tile); its points stay.
pub fn set_line(label: impl Into<String>, id: LineId, line: Line) -> Edit {
    Edit::one(label, Change::Line(id, Some(line)))
}

/// Removes a line; its branches go nowhere until they are joined again.
pub fn remove_line(plan: &Plan, id: LineId) -> Option<Edit> {
    let line = plan.lines.get(&id)?;
    let mut changes = detach(plan, Joins::Line(id));
    changes.push(Change::Line(id, None));
    Some(Edit { label: format!("Delete {}", line.name), changes })
}

/// Joins the downstream end of a line to an outlet or another line and lays the end on it.
pub fn join(plan: &Plan, id: LineId, joins: Joins) -> Option<Edit> {
    let line = plan.lines.get(&id)?;
    let end = line.downstream_end()?;
    let at = match joins {
        Joins::Nothing => end,
        Joins::Outlet(outlet) => plan.outlets.get(&outlet)?.at,
        Joins::Line(other) => nearest_on(&plan.lines.get(&other)?.points, end)?.1,
    };
    let mut joined = plan.clone();
    joined.lines.get_mut(&id)?.joins = joins;
    let mut moved = Moved::default();
    moved.move_end(&joined, id, at);
    let label = match plan.name_of(joins) {
        Some(name) => format!("Join {} to {name}", line.name),
        None => format!("Detach {}", line.name),
    };
    Some(Edit { label, changes: moved.changes })
}

/// Moves one point of a line; joints on it and levels locked on it keep their place along it.
pub fn move_point(plan: &Plan, id: LineId, index: usize, to: Point) -> Option<Edit> {
    let line = plan.lines.get(&id)?;
    let mut points = line.points.clone();
    *points.get_mut(index)? = to;
    let mut moved = Moved::default();
    moved.reshape(plan, id, points, keep_share);
    Some(Edit { label: format!("Move a bend of {}", line.name), changes: moved.changes })
}

/// Adds a point to a line so that it becomes point `index`.
pub fn insert_point(plan: &Plan, id: LineId, index: usize, at: Point) -> Option<Edit> {
    let line = plan.lines.get(&id)?;
    let mut points = line.points.clone();
    if index > points.len() {
        return None;
    }
    points.insert(index, at);
    let mut moved = Moved::default();
    moved.reshape(plan, id, points, keep_place);
    Some(Edit { label: format!("Add a bend to {}", line.name), changes: moved.changes })
}

/// Takes one point out of a line; `None` when only two are left.
pub fn delete_point(plan: &Plan, id: LineId, index: usize) -> Option<Edit> {
    let line = plan.lines.get(&id)?;
    if line.points.len() <= 2 || index >= line.points.len() {
        return None;
    }
    let mut points = line.points.clone();
    points.remove(index);
    let mut moved = Moved::default();
    moved.reshape(plan, id, points, keep_place);
    Some(Edit { label: format!("Delete a bend of {}", line.name), changes: moved.changes })
}

/// Turns a line round: what was its upper end becomes its downstream end, which joins nothing yet.
pub fn reverse(plan: &Plan, id: LineId) -> Option<Edit> {
    let mut line = plan.lines.get(&id)?.clone();
    let length_m = line.length_m();
    line.points.reverse();
    line.map_stations(|station_m| (length_m - station_m).max(0.0));
    line.joins = Joins::Nothing;
    Some(Edit::one(format!("Reverse {}", line.name), Change::Line(id, Some(line))))
}

/// Locks the invert at a station, or unlocks it with `None`.
pub fn set_pin(plan: &Plan, id: LineId, station_m: f64, pin: Option<(f64, bool)>) -> Option<Edit> {
    /// Two locked levels closer than this are one (an inch).
    const SAME_PLACE_M: f64 = 0.0254;
    let mut line = plan.lines.get(&id)?.clone();
    line.pins.retain(|other| (other.station_m - station_m).abs() > SAME_PLACE_M);
    if let Some((invert_m, straight)) = pin {
        line.pins.push(Pin { station_m: station_m.clamp(0.0, line.length_m()), invert_m, straight });
        line.pins.sort_by(|a, b| a.station_m.total_cmp(&b.station_m));
    }
    let verb = if pin.is_some() { "Lock" } else { "Unlock" };
    Some(Edit::one(format!("{verb} a level of {}", line.name), Change::Line(id, Some(line))))
}

/// Stations nearer to each other than this are one, metres.
const SAME_STATION_M: f64 = 1e-3;

/// Lets a reach keep a grade or a depth, or releases it with `None`. What was kept there before gives way.
pub fn set_reach(plan: &Plan, id: LineId, (from_m, to_m): (f64, f64), hold: Option<Hold>) -> Option<Edit> {
    let mut line = plan.lines.get(&id)?.clone();
    let (from_m, to_m) = (from_m.min(to_m).max(0.0), from_m.max(to_m).min(line.length_m()));
    let before = std::mem::take(&mut line.reaches);
    let outside = |reach: Reach| {
        let below = Reach { to_m: reach.to_m.min(from_m), ..reach };
        let above = Reach { from_m: reach.from_m.max(to_m), ..reach };
        [below, above].into_iter().filter(|left| left.to_m - left.from_m > SAME_STATION_M)
    };
    line.reaches.extend(before.into_iter().flat_map(outside));
    line.reaches.extend(hold.map(|hold| Reach { from_m, to_m, hold }));
    line.reaches.sort_by(|a, b| a.from_m.total_cmp(&b.from_m));
    let label = match hold {
        Some(Hold::Grade(_)) => format!("Hold a grade of {}", line.name),
        Some(Hold::Depth(_)) => format!("Let {} follow the ground", line.name),
        Some(Hold::IntoLayer(_)) => format!("Hold {} in the tight layer", line.name),
        None => format!("Release a reach of {}", line.name),
    };
    Some(Edit::one(label, Change::Line(id, Some(line))))
}

/// Changes that leave everything that joined `joins` without a joint.
fn detach(plan: &Plan, joins: Joins) -> Vec<Change> {
    let joined = plan.lines.iter().filter(|(_, line)| line.joins == joins);
    joined.map(|(id, line)| Change::Line(*id, Some(Line { joins: Joins::Nothing, ..line.clone() }))).collect()
}

/// Carries a place on the old course of a line over to its new course.
type Carry = fn(old: &[Point], new: &[Point], station_m: f64) -> f64;

/// Same segment, same share of it: for a moved point.
pub(crate) fn keep_share(old: &[Point], new: &[Point], station_m: f64) -> f64 {
    let mut left = station_m;
    for i in 0..old.len().saturating_sub(1) {
        let length = distance(old[i], old[i + 1]);
        if left <= length || i + 2 == old.len() {
            let share = if length > 0.0 { (left / length).min(1.0) } else { 0.0 };
            return path_length(&new[..=i]) + share * distance(new[i], new[i + 1]);
        }
        left -= length;
    }
    0.0
}

/// The nearest place: for a point added or taken out.
fn keep_place(old: &[Point], new: &[Point], station_m: f64) -> f64 {
    point_at(old, station_m).and_then(|at| nearest_on(new, at)).map_or(0.0, |(station_m, _, _)| station_m)
}

/// The changes that follow from a moved line, each line once.
#[derive(Default)]
pub(crate) struct Moved {
    seen: BTreeSet<LineId>,
    pub(crate) changes: Vec<Change>,
}

impl Moved {
    /// Moves a line's downstream end.
    fn move_end(&mut self, plan: &Plan, id: LineId, to: Point) {
        if let Some(line) = plan.lines.get(&id) {
            let mut points = line.points.clone();
            points[0] = to;
            self.reshape(plan, id, points, keep_share);
        }
    }

    /// Gives a line a new course; its locked levels and the branches on it go along.
    pub(crate) fn reshape(&mut self, plan: &Plan, id: LineId, points: Vec<Point>, carry: Carry) {
        let Some(line) = plan.lines.get(&id).filter(|_| self.seen.insert(id)) else { return };
        let mut reshaped = Line { points: points.clone(), ..line.clone() };
        reshaped.map_stations(|station_m| carry(&line.points, &points, station_m));
        self.changes.push(Change::Line(id, Some(reshaped)));
        for (branch, joined) in plan.branches(id) {
            let foot = joined.downstream_end().and_then(|end| nearest_on(&line.points, end));
            let at = foot.and_then(|(station_m, _, _)| {
                let carried = carry(&line.points, &points, station_m);
                point_at(&points, carried)
            });
            if let Some(at) = at {
                self.move_end(plan, branch, settle(at, joined));
            }
        }
    }
}

/// Keeps an end exactly where it was when it has not really moved, so that no edit stirs the last digits.
fn settle(at: Point, line: &Line) -> Point {
    line.downstream_end().filter(|end| distance(*end, at) < 1e-9).unwrap_or(at)
}
