//! Profiles as data.

mod common;

use common::{listed, worked};
use drawing::{Form, NoDig, Parts, Role};

#[test]
fn the_profile_of_a_main_as_text() {
    let (plan, design, findings) = worked();
    let main = plan.line_named("M1").unwrap();
    let no_dig = [NoDig { number: 3, line: main, stretch_m: (45.0, 48.0) }];
    let parts = Parts { at_work: true, to_dig: true, findings: &findings, no_dig: &no_dig, dug: None };
    let profile = drawing::profile(&plan, &design, main, parts).unwrap();
    insta::assert_snapshot!(listed(&profile.scene));
}

/// Who works on a line and who digs it see the same ground, pipe, joints, reaches and whatever the line passes.
#[test]
fn window_and_paper_are_told_the_same() {
    let (plan, design, findings) = worked();
    for id in plan.lines.keys() {
        let at_work = Parts { at_work: true, findings: &findings, ..Parts::default() };
        let [at_work, to_dig] = [at_work, Parts { to_dig: true, ..Parts::default() }]
            .map(|parts| drawing::profile(&plan, &design, *id, parts).unwrap());
        assert_eq!((at_work.length_m, at_work.levels_m), (to_dig.length_m, to_dig.levels_m));
        let told = |profile: &drawing::Profile| {
            let only_one = |role: Role| {
                use Role::{Band, Bend, CoverLimit, Fault, GradeBreak, Pin, Protected, ReachEnd, WaterLevel};
                matches!(
                    role,
                    Band | CoverLimit
                        | WaterLevel
                        | GradeBreak(_)
                        | Bend(_)
                        | Pin(_)
                        | Fault(_)
                        | Protected
                        | ReachEnd
                )
            };
            let mut scene = profile.scene.clone();
            scene.items.retain(|item| !only_one(item.role));
            listed(&scene)
        };
        assert_eq!(told(&at_work), told(&to_dig));
    }
}

/// The water line lies half a metre under the ground at the station where the main passes it, the lane has no level.
#[test]
fn what_a_line_passes_stands_at_its_station_and_level() {
    let (plan, design, _) = worked();
    let main = plan.line_named("M1").unwrap();
    let profile = drawing::profile(&plan, &design, main, Parts::default()).unwrap();
    let met: Vec<(&str, f64, Option<f64>)> = profile
        .scene
        .items
        .iter()
        .filter_map(|item| match item.form {
            Form::Upright(station_m, level_m) => Some((item.says.as_str(), station_m, level_m)),
            _ => None,
        })
        .collect();
    let ground_m = design.lines[&main].at(46.0).unwrap().ground_m.unwrap();
    let names: Vec<&str> = met.iter().map(|(name, ..)| *name).collect();
    assert_eq!(names, ["water line W1", "road or lane farm lane", "old tile T1"]);
    assert!((met[0].1 - 46.0).abs() < 1e-9 && (met[0].2.unwrap() - (ground_m - 0.5)).abs() < 1e-9, "{met:?}");
    assert_eq!(met[1].2, None);
}

/// Two shots on the main, one as planned, one 0.20 m under it: a path through both, a sign for each, words at the one.
#[test]
fn what_was_dug_lies_over_the_design() {
    let (mut plan, design, _) = worked();
    let line = plan.line_named("M1").unwrap();
    for (key, station_m, over_m) in [("one", 10.0, 0.0), ("two", 25.0, -0.20)] {
        let level_m = design.lines[&line].at(station_m).unwrap().invert_m.unwrap() + over_m;
        let taken = plan::Taken { by: "R. Wren".into(), at: "2031-04-02".into(), revision: String::new() };
        let (on, note) = (plan::ShotOn::Invert, String::new());
        let (spot, key) = (plan::Spot::Station { line, station_m }, key.into());
        let shot = plan::DugShot { key, taken, spot, on, level_m, scatter_m: None, fix: None, note, struck: None };
        plan.record.shots.push(shot);
    }
    let dug = record::as_dug(&plan, &design);
    let parts = Parts { dug: dug.lines.get(&line), ..Parts::default() };
    let profile = drawing::profile(&plan, &design, line, parts).unwrap();
    let of = |role: Role| profile.scene.items.iter().filter(move |item| item.role == role);
    let Form::Path(points) = &of(Role::AsDug).next().unwrap().form else { panic!("a path") };
    assert_eq!(points.iter().map(|at| at.x).collect::<Vec<_>>(), [10.0, 25.0]);
    assert_eq!((of(Role::DugShot).count(), of(Role::OffShot).count()), (1, 1));
    assert!(of(Role::OffShot).next().unwrap().says.contains("0.20"), "{:?}", of(Role::OffShot).next());
}
