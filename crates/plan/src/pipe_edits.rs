//! Edits of the pipe of a line: its size from station to station.

use crate::{Change, Edit, LineId, Plan, SizeBy, Stretch};

/// Two places nearer to each other than this along a line are one, metres.
const SAME_PLACE_M: f64 = 1e-3;
/// Shortest pipe of one size that a pull leaves, metres: a coupler's length (judgement).
const SHORTEST_M: f64 = 0.3;

/// Gives a line one size between two stations, metres, chosen by hand; over its whole length it is the line's own.
pub fn set_size(plan: &Plan, id: LineId, (from_m, to_m): (f64, f64), size_m: f64) -> Option<Edit> {
    let line = plan.lines.get(&id)?;
    let units = plan.title.units;
    let is_whole = from_m <= SAME_PLACE_M && to_m >= line.length_m() - SAME_PLACE_M;
    let mut next = line.with_stretch_added(Stretch { from_m, to_m, size_m: Some(size_m), ..Stretch::default() });
    if is_whole {
        (next.size_m, next.size_by) = (size_m, SizeBy::Hand);
        next.stretches.iter_mut().for_each(|laid| laid.size_m = None);
        next.stretches.retain(Stretch::asks);
    }
    let place = |station_m| measure::station(station_m, units);
    let along = if is_whole { String::new() } else { format!(" from {} to {}", place(from_m), place(to_m)) };
    Some(Edit::one(format!("Lay {} in {}{along}", line.name, units.pipe(size_m)), Change::Line(id, Some(next))))
}

/// Lets a line end at a station, metres: what lies above it is taken out with everything that stands there. `None` where
/// nothing of it would be left, or nothing lies above.
pub fn end_at(plan: &Plan, id: LineId, station_m: f64) -> Option<Edit> {
    let line = plan.lines.get(&id)?;
    if station_m <= SHORTEST_M || station_m >= line.length_m() - SAME_PLACE_M {
        return None;
    }
    let mut next = line.clone();
    next.points = measure::part_of(&line.points, 0.0, station_m);
    next.pins.retain(|pin| pin.station_m <= station_m);
    next.hubs.retain(|hub| hub.station_m <= station_m);
    next.passes.retain(|pass| pass.station_m <= station_m);
    next.structures.retain(|structure| structure.station_m <= station_m);
    next.reaches.iter_mut().for_each(|reach| reach.to_m = reach.to_m.min(station_m));
    next.reaches.retain(|reach| reach.to_m > reach.from_m);
    next.stretches.iter_mut().for_each(|laid| laid.to_m = laid.to_m.min(station_m));
    next.stretches.retain(|laid| laid.to_m > laid.from_m);
    let label = format!("End {} at {}", line.name, measure::station(station_m, plan.title.units));
    Some(Edit::one(label, Change::Line(id, Some(next))))
}

/// Moves the place where a line changes its pipe from one station to another, metres, no farther than its neighbours let
/// it; `None` where nothing changes there.
pub fn move_change(plan: &Plan, id: LineId, at_m: f64, to_m: f64) -> Option<Edit> {
    let line = plan.lines.get(&id)?;
    let is_here = |end_m: f64| (end_m - at_m).abs() <= SAME_PLACE_M;
    let ends = || line.stretches.iter().flat_map(|laid| [laid.from_m, laid.to_m]);
    let others = || ends().filter(|end_m| !is_here(*end_m)).chain([0.0, line.length_m()]);
    let below_m = others().filter(|end_m| *end_m < at_m).fold(0.0, f64::max) + SHORTEST_M;
    let above_m = others().filter(|end_m| *end_m > at_m).fold(f64::INFINITY, f64::min) - SHORTEST_M;
    if !ends().any(is_here) || below_m > above_m {
        return None;
    }
    let to_m = to_m.clamp(below_m, above_m);
    let mut next = line.clone();
    for end_m in next.stretches.iter_mut().flat_map(|laid| [&mut laid.from_m, &mut laid.to_m]) {
        *end_m = if is_here(*end_m) { to_m } else { *end_m };
    }
    let label = format!("Move a change of pipe of {} to {}", line.name, measure::station(to_m, plan.title.units));
    Some(Edit::one(label, Change::Line(id, Some(next))))
}

#[cfg(test)]
mod tests {
    use measure::{INCH_M, Point, Units};

    use super::*;
    use crate::{Line, LineKind};

    fn plan() -> (Plan, LineId) {
        let mut plan = Plan::new("Sizes", Units::Metric);
        let points = vec![Point::new(0.0, 0.0), Point::new(100.0, 0.0)];
        let (id, edit) = crate::add_line(&plan, Line::new("M1", LineKind::Main, points));
        plan.apply(&edit).unwrap();
        (plan, id)
    }

    fn sizes(plan: &Plan, id: LineId) -> Vec<(f64, f64, f64)> {
        let stretches = plan.lines[&id].stretches.iter();
        stretches.map(|laid| (laid.from_m, laid.to_m, (laid.size_m.unwrap_or(0.0) / INCH_M).round())).collect()
    }

    #[test]
    fn a_size_is_laid_over_a_part_and_over_the_whole() {
        let (mut plan, id) = plan();
        plan.apply(&set_size(&plan, id, (60.0, 100.0), 5.0 * INCH_M).unwrap()).unwrap();
        plan.apply(&set_size(&plan, id, (80.0, 100.0), 4.0 * INCH_M).unwrap()).unwrap();
        assert_eq!(sizes(&plan, id), [(60.0, 80.0, 5.0), (80.0, 100.0, 4.0)]);
        plan.apply(&set_size(&plan, id, (0.0, 100.0), 8.0 * INCH_M).unwrap()).unwrap();
        assert!(plan.lines[&id].stretches.is_empty());
        assert_eq!(plan.lines[&id].size_m, 8.0 * INCH_M);
    }

    #[test]
    fn what_was_asked_of_a_stretch_stays_when_its_size_changes() {
        let (mut plan, id) = plan();
        let solid = Stretch { from_m: 10.0, to_m: 30.0, solid: true, ..Stretch::default() };
        plan.apply(&crate::lay_stretch(&plan, id, solid).unwrap()).unwrap();
        plan.apply(&set_size(&plan, id, (20.0, 100.0), 4.0 * INCH_M).unwrap()).unwrap();
        let solid: Vec<(f64, f64)> =
            plan.lines[&id].stretches.iter().filter(|laid| laid.solid).map(|laid| (laid.from_m, laid.to_m)).collect();
        assert_eq!(solid, [(10.0, 20.0), (20.0, 30.0)]);
    }

    #[test]
    fn a_line_ends_at_a_station_with_what_stands_there() {
        let (mut plan, id) = plan();
        plan.apply(&set_size(&plan, id, (60.0, 100.0), 5.0 * INCH_M).unwrap()).unwrap();
        plan.apply(&crate::set_pin(&plan, id, 90.0, Some((7.0, false))).unwrap()).unwrap();
        plan.apply(&end_at(&plan, id, 80.0).unwrap()).unwrap();
        assert_eq!((plan.lines[&id].length_m(), sizes(&plan, id)), (80.0, vec![(60.0, 80.0, 5.0)]));
        assert!(plan.lines[&id].pins.is_empty());
        assert_eq!((end_at(&plan, id, 80.0), end_at(&plan, id, 0.0)), (None, None));
    }

    #[test]
    fn a_change_is_pulled_as_far_as_its_neighbours() {
        let (mut plan, id) = plan();
        plan.apply(&set_size(&plan, id, (60.0, 80.0), 5.0 * INCH_M).unwrap()).unwrap();
        plan.apply(&set_size(&plan, id, (80.0, 100.0), 4.0 * INCH_M).unwrap()).unwrap();
        plan.apply(&move_change(&plan, id, 80.0, 70.0).unwrap()).unwrap();
        assert_eq!(sizes(&plan, id), [(60.0, 70.0, 5.0), (70.0, 100.0, 4.0)]);
        plan.apply(&move_change(&plan, id, 70.0, 20.0).unwrap()).unwrap();
        assert_eq!(sizes(&plan, id)[0].1, 60.0 + SHORTEST_M);
        assert!(move_change(&plan, id, 50.0, 40.0).is_none());
    }
}
