//! What a wet spot tells: causes planted on the first demo field come first, with where to dig.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use job::Worked;
use measure::Point;
use plan::{
    Additions, DugShot, FieldNote, Landmark, LandmarkKind, LineId, NoteOn, OutletFlow, Outline, Plan, Running,
    ShotOn, Signature, Spot, Taken,
};
use record::{Suspect, trouble};

struct Field {
    plan: Plan,
    land: land::Land,
}

impl Field {
    fn new() -> Self {
        let session = job::files::demo_session(job::demo::first_plan()).unwrap();
        Self { plan: session.plan().clone(), land: session.land().clone() }
    }

    fn line(&self, name: &str) -> LineId {
        self.plan.line_named(name).unwrap()
    }

    /// A place on a line, so far to its left looking upstream.
    fn beside(&self, name: &str, station_m: f64, left_m: f64) -> Point {
        let points = &self.plan.lines[&self.line(name)].points;
        let (at, up) =
            (measure::point_at(points, station_m).unwrap(), measure::point_at(points, station_m + 0.5).unwrap());
        Point::new(at.x - (up.y - at.y) * 2.0 * left_m, at.y + (up.x - at.x) * 2.0 * left_m)
    }

    fn add(&mut self, additions: Additions) {
        let signed = Signature { by: "R. Wren".into(), on: "2031-04-02".into(), because: String::new() };
        let edit = plan::add_to_record(&self.plan, additions, &signed).unwrap();
        self.plan.apply(&edit).unwrap();
    }

    fn first(&self, at: Point) -> Suspect {
        let worked = Worked::of(self.plan.clone(), &self.land);
        trouble(&worked.plan, &worked.design, &worked.land, at).suspects.remove(0)
    }
}

fn taken() -> Taken {
    Taken { by: "R. Wren".into(), at: "2031-04-02".into(), revision: String::new() }
}

fn shot(line: LineId, station_m: f64, level_m: f64) -> DugShot {
    let (key, spot) = (format!("s{station_m:.0}"), Spot::Station { line, station_m });
    let (scatter_m, fix, struck, note) = (None, None, None, String::new());
    DugShot { key, taken: taken(), spot, on: ShotOn::Invert, level_m, scatter_m, fix, note, struck }
}

/// A dip that was shot 20 m below the spot: that line, dug at the low shot.
#[test]
fn a_dip_as_dug_comes_first() {
    let mut field = Field::new();
    let line = field.line("L2");
    let levels = [(60.0, 63.0), (70.0, 63.2), (80.0, 63.1), (90.0, 63.5), (100.0, 63.7)];
    field.add(Additions { shots: levels.map(|(m, level_m)| shot(line, m, level_m)).into(), ..Additions::default() });
    let first = field.first(field.beside("L2", 100.0, 4.0));
    assert_eq!((first.name.as_str(), first.dig_station_m), ("L2", 80.0));
    assert!(first.reasons[0].words.contains("as dug, the pipe lies 0.33 ft lower"), "{:?}", first.reasons);
    assert!(first.dig_invert_m.is_some() && first.dig_depth_m.unwrap() > 0.3);
}

/// A willow beside a lateral, and a post that reaches the other: roots are told where the willow stands.
#[test]
fn a_willow_is_told() {
    let mut field = Field::new();
    let tree = field.beside("L3", 60.0, 6.0);
    let kind = LandmarkKind::Trees { species: "willow".into(), thirsty: true };
    let mark = Landmark { name: "W9".into(), kind, outline: Outline::At(tree), note: String::new() };
    field.plan.apply(&job::bring::add_marks(&field.plan, vec![mark])).unwrap();
    let first = field.first(field.beside("L3", 75.0, -3.0));
    assert_eq!(first.name, "L3");
    let roots = first.reasons.iter().find(|reason| reason.words.contains("roots: willow W9")).unwrap();
    assert!((roots.station_m - 60.0).abs() < 3.0, "{roots:?}");
}

/// Cloudy water at the outlet, and a repair near the spot.
#[test]
fn what_was_seen_later_counts() {
    let mut field = Field::new();
    let (line, outlet) = (field.line("M1"), *field.plan.outlets.keys().next().unwrap());
    let flow = OutletFlow {
        key: "w".into(),
        taken: taken(),
        outlet,
        running: Running::Runs,
        cloudy: true,
        note: String::new(),
    };
    let spot = Some(Spot::Station { line, station_m: 200.0 });
    let says = "joint dug up and set again".into();
    let note =
        FieldNote { key: "n".into(), taken: taken(), on: NoteOn::Repair, spot, says, agreed_by: String::new() };
    field.add(Additions { flows: vec![flow], notes: vec![note], ..Additions::default() });
    let first = field.first(field.beside("M1", 205.0, 2.0));
    let words: Vec<&str> = first.reasons.iter().map(|reason| reason.words.as_str()).collect();
    assert_eq!(first.name, "M1", "{words:?}");
    assert!(words.iter().any(|words| words.contains("ran cloudy")), "{words:?}");
    assert!(words.iter().any(|words| words.contains("repaired at")), "{words:?}");
}

/// A cause far off does not outweigh one at hand, and where no line is near that is said.
#[test]
fn a_spot_without_a_line_is_told() {
    let field = Field::new();
    let worked = Worked::of(field.plan.clone(), &field.land);
    let far = trouble(&worked.plan, &worked.design, &worked.land, Point::new(202_000.0, 95_000.0));
    assert!(far.suspects.is_empty() && far.else_words[0].starts_with("No line lies within 200 ft"), "{far:?}");
    let near = trouble(&worked.plan, &worked.design, &worked.land, field.beside("L1", 100.0, 1.5));
    assert_eq!(near.suspects[0].name, "L1");
    let blames: Vec<f64> = near.suspects.iter().map(|suspect| suspect.blame).collect();
    assert!(blames.windows(2).all(|pair| pair[0] >= pair[1]));
    let lines = job::trouble::lines(&worked.plan, &near, 3);
    assert!(
        lines[0].starts_with("1. L1: ") && lines.iter().any(|line| line.contains("Dig first at L1 ")),
        "{lines:?}"
    );
    assert!(lines.last().unwrap().contains("located"), "{lines:?}");
}
