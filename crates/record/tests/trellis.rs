//! Where rows and posts meet pipe, against shapely, and how deep.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use land::Land;
use measure::{FOOT_M, Point, Units};
use plan::{Landmark, LandmarkId, LandmarkKind, Line, LineId, LineKind, Outline, Plan, Rows};
use record::{Meets, Reach, meetings};
use serde_json::Value;

fn point(value: &Value) -> Point {
    Point::new(value[0].as_f64().unwrap(), value[1].as_f64().unwrap())
}

fn points(value: &Value) -> Vec<Point> {
    value.as_array().unwrap().iter().map(point).collect()
}

fn plan_of(rows: Rows, ring: Vec<Point>, lines: Vec<Vec<Point>>) -> Plan {
    let mut plan = Plan::new("Rows", Units::Feet);
    for (id, points) in (1..).zip(lines) {
        plan.lines.insert(LineId(id), Line::new(&format!("L{id}"), LineKind::Lateral, points));
    }
    let kind = LandmarkKind::Rows(rows);
    let mark = Landmark { name: "B1".into(), kind, outline: Outline::Around(ring), note: String::new() };
    plan.landmarks.insert(LandmarkId(90), mark);
    plan
}

/// Values of shapely 2.1.2 by tests/reference/trellis_values.py: every crossing and every end post, none more, to a centimetre.
#[test]
fn rows_meet_pipe_where_shapely_says() {
    let all: Value = serde_json::from_str(include_str!("../../../tests/reference/trellis_values.json")).unwrap();
    let mut count = 0;
    for case in all["cases"].as_array().unwrap() {
        let number = |name: &str| case[name].as_f64().unwrap();
        let rows = Rows { bearing_deg: number("bearing_deg"), spacing_m: number("spacing_m"), ..Rows::default() };
        let lines = case["lines"].as_array().unwrap().iter().map(points).collect();
        let plan = plan_of(rows, points(&case["ring"]), lines);
        let found = meetings(&plan, &design::work_out(&plan, &Land::without_ground()));
        for (kind, meets) in [("crosses", Meets::Crosses), ("posts", Meets::EndPost)] {
            let own = found.iter().filter(|meeting| meeting.meets == meets);
            let mut own: Vec<(u32, u32, f64, f64)> =
                own.map(|m| (m.row, m.line.0 - 1, m.along_m.0, m.station_m)).collect();
            own.sort_by(|a, b| (a.0, a.1).cmp(&(b.0, b.1)).then(a.2.total_cmp(&b.2)));
            let wanted = case[kind].as_array().unwrap();
            assert_eq!(own.len(), wanted.len(), "{kind} {case}");
            for (own, wanted) in own.iter().zip(wanted) {
                let [row, along_m, line, station_m] = [0, 1, 2, 3].map(|k| wanted[k].as_f64().unwrap());
                assert_eq!((f64::from(own.0), f64::from(own.1)), (row, line), "{kind} {case}");
                assert!((own.2 - along_m).abs() < 0.01 && (own.3 - station_m).abs() < 0.01, "{own:?} {wanted}");
                count += 1;
            }
        }
    }
    assert!(count > 500, "{count}");
}

/// A line 1 ft beside a row that runs along it for 60 ft: one meeting from 20 to 80 ft.
#[test]
fn pipe_under_a_row_is_one_stretch() {
    let at = |x: f64, y: f64| Point::new(x * FOOT_M, y * FOOT_M);
    let ring = vec![at(0.0, 0.0), at(0.0, 100.0), at(40.0, 100.0), at(40.0, 0.0)];
    let line = vec![at(10.0, 20.0), at(10.0, 50.0), at(10.0, 80.0)];
    let plan = plan_of(Rows::default(), ring, vec![line]);
    let found = meetings(&plan, &design::work_out(&plan, &Land::without_ground()));
    let [only] = &found[..] else { panic!("{found:?}") };
    let (from_m, to_m) = only.along_m;
    assert_eq!((only.row, only.meets), (2, Meets::Along));
    assert!((from_m / FOOT_M - 20.0).abs() < 0.01 && (to_m / FOOT_M - 80.0).abs() < 0.01, "{only:?}");
    assert!(only.top_m.is_none() && only.reached_by(FOOT_M).is_empty());
}

/// What reaches a pipe whose top is 3 ft down, a foot to be kept clear: a post of 2.1 ft, an anchor of 3.5 ft only where it stands.
#[test]
fn what_reaches_the_pipe_is_named() {
    let reach = Reach { post_m: Some(2.1 * FOOT_M), anchor_m: Some(3.5 * FOOT_M), rip_m: Some(1.9 * FOOT_M) };
    let of = |meets| record::Meeting {
        block: "B1".into(),
        row: 1,
        along_m: (0.0, 0.0),
        meets,
        line: LineId(1),
        station_m: 0.0,
        at: Point::new(0.0, 0.0),
        top_m: Some(3.0 * FOOT_M),
        reach,
    };
    assert_eq!(of(Meets::Crosses).reached_by(FOOT_M), ["post"]);
    assert_eq!(of(Meets::EndPost).reached_by(FOOT_M), ["post", "anchor"]);
    assert_eq!(of(Meets::EndPost).reached_by(0.0), ["anchor"]);
}
