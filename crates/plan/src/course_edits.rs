//! Edits of whole courses: drawn on from an end, split, joined into one, moved, doubled.

use measure::{Point, distance, nearest_on, part_of};

use crate::edits::{Moved, keep_share};
use crate::{Change, Edit, Joins, Line, LineId, Plan, Stretch};

/// Ends nearer to each other than this are one place, metres.
const SAME_PLACE_M: f64 = 1e-3;
/// Shorter pieces are not split off, metres: a coupler's length (judgement).
const SHORTEST_M: f64 = 0.3;
/// A copy whose lower end lies this near to the main of its model joins it too, metres ([judgement]).
const JOINS_WITHIN_M: f64 = 1.0;

/// An end of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// The downstream end.
    Lower,
    /// The upper end.
    Upper,
}

/// Draws a line on from one of its ends, through points from there outward; what stands on it stays in its place. A new lower
/// end joins nothing yet. `None` without a point that leads on.
pub fn extend(plan: &Plan, id: LineId, end: End, outward: &[Point]) -> Option<Edit> {
    let mut line = plan.lines.get(&id)?.clone();
    let from = match end {
        End::Lower => line.downstream_end()?,
        End::Upper => line.upper_end()?,
    };
    let first = outward.iter().position(|p| distance(*p, from) > SAME_PLACE_M)?;
    let outward = &outward[first..];
    match end {
        End::Upper => line.points.extend(outward),
        End::Lower => {
            let before_m = line.length_m();
            line.points.splice(0..0, outward.iter().rev().copied());
            let added_m = line.length_m() - before_m;
            line.map_stations(|station_m| station_m + added_m);
            line.joins = Joins::Nothing;
        }
    }
    Some(Edit::one(format!("Draw {} on", line.name), Change::Line(id, Some(line))))
}

/// Splits a line at a station, metres: the part above becomes a line of its own that joins the end of the part below, with all
/// that stands on it and the branches that come into it. `None` too near to an end.
pub fn split(plan: &Plan, id: LineId, station_m: f64) -> Option<(LineId, Edit)> {
    let line = plan.lines.get(&id)?;
    let length_m = line.length_m();
    if !(station_m > SHORTEST_M && station_m < length_m - SHORTEST_M) {
        return None;
    }
    let above = LineId(plan.next_id);
    let mut upper = part(line, station_m, length_m);
    (upper.name, upper.joins) = (plan.free_name(line.kind.stem()), Joins::Line(id));
    let rejoined = plan.branches(id).filter(|(_, branch)| station_of(line, branch).is_some_and(|m| m > station_m));
    let rejoined = rejoined.map(|(id, branch)| rejoined_to(id, branch, above));
    let label = format!("Split {} at {}", line.name, measure::station(station_m, plan.title.units));
    let lower = Change::Line(id, Some(part(line, 0.0, station_m)));
    let changes = [lower, Change::Line(above, Some(upper))].into_iter().chain(rejoined).collect();
    Some((above, Edit { label, changes }))
}

/// Makes one line of two of which the upper one joins the end of the lower one; the lower one's name stays, and the pipe of
/// each part. `None` where they do not meet end to end.
pub fn unite(plan: &Plan, lower_id: LineId, upper_id: LineId) -> Option<Edit> {
    let (lower, upper) = (plan.lines.get(&lower_id)?, plan.lines.get(&upper_id)?);
    let meet = distance(lower.upper_end()?, upper.downstream_end()?) <= SAME_PLACE_M;
    if !meet
        || upper.joins != Joins::Line(lower_id)
        || lower_id == upper_id
        || lower.kind.is_old()
        || upper.kind.is_old()
    {
        return None;
    }
    let (at_m, mut shifted) = (lower.length_m(), upper.clone());
    shifted.map_stations(|station_m| station_m + at_m);
    let mut one = lower.clone();
    one.points.extend(&upper.points[1..]);
    one.pins.extend(shifted.pins);
    one.reaches.extend(shifted.reaches);
    one.passes.extend(shifted.passes);
    one.structures.extend(shifted.structures);
    one.hubs.extend(shifted.hubs);
    one.capped = upper.capped;
    let (size_m, wall) = (Some(upper.size_m), Some(upper.wall));
    let differs = upper.size_m != lower.size_m || upper.wall != lower.wall;
    let own = Stretch { from_m: at_m, to_m: one.length_m(), size_m, wall, ..Stretch::default() };
    one = if differs { one.with_stretch(own) } else { one };
    one = shifted.stretches.into_iter().fold(one, |one, stretch| one.with_stretch_added(stretch));
    let rejoined = plan.branches(upper_id).map(|(id, branch)| rejoined_to(id, branch, lower_id));
    let label = format!("Make {} and {} one line", lower.name, upper.name);
    let own = [Change::Line(upper_id, None), Change::Line(lower_id, Some(one))];
    Some(Edit { label, changes: own.into_iter().chain(rejoined).collect() })
}

/// Moves a whole line; its branches go along, its lower end stays on what it joins.
pub fn shift(plan: &Plan, id: LineId, (east_m, north_m): (f64, f64)) -> Option<Edit> {
    let line = plan.lines.get(&id)?;
    let mut points: Vec<Point> = line.points.iter().map(|p| Point::new(p.x + east_m, p.y + north_m)).collect();
    points[0] = match line.joins {
        Joins::Nothing => points[0],
        Joins::Outlet(outlet) => plan.outlets.get(&outlet)?.at,
        Joins::Line(main) => nearest_on(&plan.lines.get(&main)?.points, points[0])?.1,
    };
    let mut moved = Moved::default();
    moved.reshape(plan, id, points, keep_share);
    Some(Edit { label: format!("Move {}", line.name), changes: moved.changes })
}

/// Moves several lines alike: one edit.
pub fn shift_all(plan: &Plan, ids: &[LineId], by_m: (f64, f64)) -> Option<Edit> {
    let mut after = plan.clone();
    for id in ids {
        let edit = shift(&after, *id, by_m)?;
        after.apply(&edit).ok()?;
    }
    let moved = after.lines.iter().filter(|(id, line)| plan.lines.get(id) != Some(line));
    let changes: Vec<Change> = moved.map(|(id, line)| Change::Line(*id, Some(line.clone()))).collect();
    let what = match ids {
        [id] => plan.lines.get(id)?.name.clone(),
        _ => measure::how_many(ids.len(), "line"),
    };
    (!changes.is_empty()).then_some(Edit { label: format!("Move {what}"), changes })
}

/// Draws a line once more, so far off; it joins the same main where it reaches it. Levels fixed by hand do not go along.
pub fn double(plan: &Plan, id: LineId, (east_m, north_m): (f64, f64)) -> Option<(LineId, Edit)> {
    let line = plan.lines.get(&id)?;
    let mut copy = line.clone();
    copy.name = plan.free_name(line.kind.stem());
    copy.points.iter_mut().for_each(|p| *p = Point::new(p.x + east_m, p.y + north_m));
    (copy.pins, copy.hubs) = (Vec::new(), Vec::new());
    let foot = match line.joins {
        Joins::Line(main) => plan.lines.get(&main).and_then(|main| nearest_on(&main.points, copy.points[0])),
        _ => None,
    };
    match foot.filter(|(_, _, off_m)| *off_m <= JOINS_WITHIN_M) {
        Some((_, at, _)) => copy.points[0] = at,
        None => copy.joins = Joins::Nothing,
    }
    let new = LineId(plan.next_id);
    Some((new, Edit::one(format!("Draw {} like {}", copy.name, line.name), Change::Line(new, Some(copy)))))
}

/// Changes several lines alike.
pub fn set_lines(
    plan: &Plan,
    label: &str,
    ids: impl IntoIterator<Item = LineId>,
    change: impl Fn(&mut Line),
) -> Option<Edit> {
    let changed = |id: LineId| {
        let before = plan.lines.get(&id)?;
        let mut line = before.clone();
        change(&mut line);
        (line != *before).then_some(Change::Line(id, Some(line)))
    };
    let changes: Vec<Change> = ids.into_iter().filter_map(changed).collect();
    let label = format!("{label} of {}", measure::how_many(changes.len(), "line"));
    (!changes.is_empty()).then_some(Edit { label, changes })
}

/// The part of a line between two stations, with what stands on it; its upper end is capped as the line's is.
fn part(line: &Line, from_m: f64, to_m: f64) -> Line {
    let (mut part, holds) = (line.clone(), |station_m: f64| station_m >= from_m && station_m <= to_m);
    part.points = part_of(&line.points, from_m, to_m);
    part.pins.retain(|pin| holds(pin.station_m));
    part.hubs.retain(|hub| holds(hub.station_m));
    part.passes.retain(|pass| holds(pass.station_m));
    part.structures.retain(|structure| holds(structure.station_m));
    for reach in &mut part.reaches {
        (reach.from_m, reach.to_m) = (reach.from_m.clamp(from_m, to_m), reach.to_m.clamp(from_m, to_m));
    }
    for stretch in &mut part.stretches {
        (stretch.from_m, stretch.to_m) = (stretch.from_m.clamp(from_m, to_m), stretch.to_m.clamp(from_m, to_m));
    }
    part.map_stations(|station_m| station_m - from_m);
    part
}

/// Where a branch comes into a line, metres from its downstream end.
fn station_of(line: &Line, branch: &Line) -> Option<f64> {
    nearest_on(&line.points, branch.downstream_end()?).map(|(station_m, _, _)| station_m)
}

fn rejoined_to(id: LineId, branch: &Line, main: LineId) -> Change {
    Change::Line(id, Some(Line { joins: Joins::Line(main), ..branch.clone() }))
}
