//! Where an entry of the record lies: on which line, at which station, at which place.

use measure::{Point, nearest_on, point_at};
use plan::{Line, LineId, Plan, Spot};

/// A place on a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OnLine {
    /// The line.
    pub line: LineId,
    /// Distance from its downstream end, metres.
    pub station_m: f64,
    /// The place on its course.
    pub at: Point,
    /// How far from its course the entry was made, metres; 0 for one that was told by line and station.
    pub off_m: f64,
}

/// Where a spot lies on the plan; `None` where its line, or that station of it, is no longer there.
pub fn place_of(plan: &Plan, spot: &Spot) -> Option<Point> {
    match spot {
        Spot::Place(at) => Some(*at),
        Spot::Station { line, station_m } => point_at(&plan.lines.get(line)?.points, *station_m),
    }
}

/// The station of a spot: as it was told, or on the nearest line within reach, the first by id where two are as near.
pub fn station_of(plan: &Plan, spot: &Spot, reach_m: f64) -> Option<OnLine> {
    match spot {
        Spot::Station { line, station_m } => {
            Some(OnLine { line: *line, station_m: *station_m, at: place_of(plan, spot)?, off_m: 0.0 })
        }
        Spot::Place(place) => nearest_line(plan, *place, reach_m, |_| true),
    }
}

/// The nearest of the lines that are asked for within reach of a place, the first by id where two are as near.
pub(crate) fn nearest_line(plan: &Plan, to: Point, reach_m: f64, is_asked: impl Fn(&Line) -> bool) -> Option<OnLine> {
    let nearest = |(id, line): (&LineId, &Line)| {
        let (station_m, at, off_m) = nearest_on(&line.points, to)?;
        Some(OnLine { line: *id, station_m, at, off_m })
    };
    let near = plan.lines.iter().filter(|(_, line)| is_asked(line)).filter_map(nearest);
    near.filter(|on| on.off_m <= reach_m).min_by(|a, b| a.off_m.total_cmp(&b.off_m))
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests may stop the test")]
mod tests {
    use measure::Units;
    use plan::LineKind;

    use super::*;

    fn two_lines() -> Plan {
        let mut plan = Plan::new("Spots", Units::Metric);
        for (id, north) in [(1, 0.0), (2, 10.0)] {
            let points = vec![Point::new(0.0, north), Point::new(100.0, north)];
            plan.lines.insert(LineId(id), Line::new("L", LineKind::Lateral, points));
        }
        plan
    }

    #[test]
    fn a_place_is_on_the_nearest_line_within_reach() {
        let plan = two_lines();
        let on = |x, y| station_of(&plan, &Spot::Place(Point::new(x, y)), 3.0);
        assert_eq!(on(40.0, 8.0).map(|on| (on.line, on.station_m, on.off_m)), Some((LineId(2), 40.0, 2.0)));
        assert_eq!(on(40.0, 5.0), None);
        assert_eq!(on(40.0, 1.0).map(|on| on.line), Some(LineId(1)));
    }

    #[test]
    fn a_station_beyond_its_line_has_no_place() {
        let plan = two_lines();
        assert_eq!(place_of(&plan, &Spot::Station { line: LineId(1), station_m: 40.0 }), Some(Point::new(40.0, 0.0)));
        assert_eq!(place_of(&plan, &Spot::Station { line: LineId(9), station_m: 40.0 }), None);
    }
}
