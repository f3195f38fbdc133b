//! Places that are typed: read by the plan they are typed on, and written so that they are read again.

use measure::{Point, Typed, distance, point_at};
use plan::Plan;

use crate::ground::plane;

/// Decimals of a coordinate that is shown: no stake is set finer ([judgement]).
const PLACES: usize = 2;
/// Half the length over which the direction of a line is taken, metres.
const AROUND_M: f64 = 0.05;

/// A place as easting and northing in the unit of the plane: "1200.50, 850.00".
pub fn words(plan: &Plan, at: Point) -> String {
    let unit = plane(plan).unit();
    measure::true_minus(&format!("{}, {}", unit.figure(at.x, PLACES), unit.figure(at.y, PLACES)))
}

/// How far and in which direction it is from one place to another: "120 ft N35°10'E".
pub fn leg_words(plan: &Plan, from: Point, to: Point) -> String {
    let length = plan.title.units.number(distance(from, to), 1);
    format!("{length} {} {}", plan.title.units.sign(), measure::quadrant(measure::bearing(from, to)))
}

/// Reads a place; a length and bearing lead on from `from`. A text that shows a place is that place to the last digit.
pub fn read(plan: &Plan, text: &str, from: Option<Point>) -> Result<Point, String> {
    let typed =
        measure::parse_place(text, plan.title.units, plane(plan).unit()).map_err(|error| error.to_string())?;
    let on = || from.ok_or("a length and bearing lead on from a place: the first is typed as east and north");
    match typed {
        Typed::At(at) => Ok(at),
        Typed::By(east_m, north_m) => {
            on().map(|from| Point::new(from.x + east_m, from.y + north_m)).map_err(String::from)
        }
        Typed::Toward(length_m, degrees) => {
            let (sin, cos) = degrees.to_radians().sin_cos();
            on().map(|from| Point::new(from.x + length_m * sin, from.y + length_m * cos)).map_err(String::from)
        }
        Typed::Beside { line, station_m, left_m } => beside(plan, &line, station_m, left_m),
    }
}

/// A place beside a line, looking upstream.
fn beside(plan: &Plan, name: &str, station_m: f64, left_m: f64) -> Result<Point, String> {
    let called = |line: &&plan::Line| line.name.eq_ignore_ascii_case(name);
    let line = plan.lines.values().find(called).ok_or_else(|| format!("no line is called '{name}'"))?;
    let (length_m, units) = (line.length_m(), plan.title.units);
    if station_m > length_m {
        return Err(format!("{} is {} long", line.name, units.length(length_m)));
    }
    let at = |station_m: f64| point_at(&line.points, station_m.clamp(0.0, length_m));
    let around = at(station_m - AROUND_M).zip(at(station_m + AROUND_M)).zip(at(station_m));
    let ((low, high), foot) = around.ok_or_else(|| format!("{} has no course", line.name))?;
    let along = measure::bearing(low, high).to_radians();
    Ok(Point::new(foot.x - left_m * along.cos(), foot.y + left_m * along.sin()))
}

#[cfg(test)]
mod tests {
    use measure::{FOOT_M, Units};
    use plan::{Line, LineKind};

    use super::*;

    /// A line due north, 200 ft long.
    fn plan() -> Plan {
        let mut plan = Plan::new("Typed", Units::Feet);
        let up = vec![Point::new(0.0, 0.0), Point::new(0.0, 200.0 * FOOT_M)];
        let (_, edit) = plan::add_line(&plan, Line::new("M1", LineKind::Main, up));
        plan.apply(&edit).expect("a plain line");
        plan
    }

    fn feet(text: &str, from: Option<Point>) -> Result<(f64, f64), String> {
        let tenth = |m: f64| (m / FOOT_M * 10.0).round() / 10.0;
        read(&plan(), text, from).map(|at| (tenth(at.x), tenth(at.y)))
    }

    /// A traverse of 3, 4 and 5: from the origin 400 ft north, 300 ft east, and back by the bearing whose tangent is 3/4.
    #[test]
    fn a_traverse_closes() {
        let from = |east: f64, north: f64| Some(Point::new(east * FOOT_M, north * FOOT_M));
        assert_eq!(feet("400 ft N0°E", from(0.0, 0.0)), Ok((0.0, 400.0)));
        assert_eq!(feet("+300, 0", from(0.0, 400.0)), Ok((300.0, 400.0)));
        assert_eq!(feet("500 S36°52'12\"W", from(300.0, 400.0)), Ok((0.0, 0.0)));
        assert!(feet("500 S36W", None).is_err_and(|why| why.contains("first is typed")));
    }

    #[test]
    fn left_of_a_line_is_looking_upstream() {
        assert_eq!(feet("m1 1+00 left 10", None), Ok((-10.0, 100.0)));
        assert_eq!(feet("M1 2+00 right 10", None), Ok((10.0, 200.0)));
        assert_eq!(feet("M1 3+00", None), Err("M1 is 200 ft long".into()));
        assert_eq!(feet("M9 1+00", None), Err("no line is called 'M9'".into()));
    }

    #[test]
    fn what_is_shown_is_read_again() {
        let plan = plan();
        let at = Point::new(1234.5 * FOOT_M, -20.25 * FOOT_M);
        assert_eq!(words(&plan, at), "1234.50, −20.25");
        let read = read(&plan, &words(&plan, at), None).expect("a place");
        assert!(distance(read, at) < 1e-9);
        assert_eq!(leg_words(&plan, Point::new(0.0, 0.0), Point::new(FOOT_M, FOOT_M)), "1.4 ft N45°00'E");
    }
}
