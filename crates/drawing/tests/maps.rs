//! Maps as data, and their legends.

mod common;

use std::collections::BTreeSet;

use common::{ground, listed, plan, worked};
use drawing::{Chosen, Emphasis, Form, Layer, MapOf, NoDig, Role, Scene, legend};

const ALL: [Layer; 21] = [
    Layer::Findings,
    Layer::NoDig,
    Layer::Benchmarks,
    Layer::Shots,
    Layer::Section,
    Layer::Proposed,
    Layer::Stretches,
    Layer::Outlets,
    Layer::Joints,
    Layer::Ends,
    Layer::Solid,
    Layer::Lines,
    Layer::Protected,
    Layer::Marks,
    Layer::Watercourses,
    Layer::Boundary,
    Layer::FlowPath,
    Layer::Swales,
    Layer::Edges,
    Layer::Contours,
    Layer::Depressions,
];

/// From the ground up, in whatever order the layers are asked for.
#[test]
fn a_map_as_text() {
    let ((plan, design, findings), ground) = (worked(), ground());
    let contours = terrain::contours(ground.grid(), 0.5, 1);
    let land = land::Land { ground: Some(ground.into()), ..land::Land::default() };
    let main = plan.line_named("M1").unwrap();
    let no_dig = [NoDig { number: 2, line: main, stretch_m: (45.0, 48.0) }];
    let map = MapOf {
        findings: &findings[..3],
        no_dig: &no_dig,
        land: Some(&land),
        contours: &contours,
        chosen: Chosen::of(main),
        ..MapOf::new(&plan, &design)
    };
    insta::assert_snapshot!(listed(&map.scene(&ALL)));
}

/// A layer that is off leaves nothing behind, one that is on nothing out.
#[test]
fn a_map_shows_the_layers_that_are_asked_for() {
    let (plan, design, findings) = worked();
    let map = MapOf { findings: &findings, ..MapOf::new(&plan, &design) };
    let whole = map.scene(&ALL);
    for layer in ALL {
        let others: Vec<Layer> = ALL.into_iter().filter(|other| *other != layer).collect();
        let alone = map.scene(&[layer]).items.len() + map.scene(&others).items.len();
        let on_lines = [Layer::Lines, Layer::Solid, Layer::Ends].contains(&layer);
        assert!(on_lines || alone == whole.items.len(), "{layer:?}");
    }
    let lines = map.scene(&[Layer::Lines]).items;
    let is_on_lines = |role: Role| matches!(role, Role::Line(_) | Role::OutletPipe(_) | Role::Flow(_));
    assert!(!lines.is_empty() && lines.iter().all(|item| is_on_lines(item.role)));
    assert!(map.scene(&[]).items.is_empty());
}

#[test]
fn what_is_chosen_stands_out_and_nothing_else() {
    let (plan, design, _) = worked();
    let main = plan.line_named("M1").unwrap();
    let all = plan.lines.keys().copied().collect();
    for (chosen, count) in [(Chosen::of(main), 1), (Chosen::Lines(&all), 3), (Chosen::Field, 1), (Chosen::Nothing, 0)]
    {
        let scene = MapOf { chosen, ..MapOf::new(&plan, &design) }.scene(&ALL);
        let out = scene.items.iter().filter(|item| item.emphasis == Emphasis::Chosen).count();
        assert_eq!(out, count, "{chosen:?}");
    }
}

/// Every row of a legend has its sign in the scene, and whatever has a word stands in it once.
#[test]
fn the_legend_shows_what_is_in_the_scene() {
    let (plan, design, findings) = worked();
    let map = MapOf { findings: &findings, ..MapOf::new(&plan, &design) };
    for layer in ALL {
        let scene = map.scene(&[layer]);
        let roles: BTreeSet<(Role, bool)> =
            scene.items.iter().map(|item| (item.role, matches!(item.form, Form::Sign(..)))).collect();
        let keys = legend(&scene);
        assert!(keys.iter().all(|key| roles.contains(&(key.role, key.is_sign))), "{layer:?}: {keys:?}");
        let words: BTreeSet<&str> = keys.iter().map(|key| key.word).collect();
        assert_eq!(words.len(), keys.len(), "{layer:?}: {keys:?}");
    }
    let words = |scene: &Scene| legend(scene).iter().map(|key| key.word).collect::<Vec<&'static str>>();
    let lines = words(&map.scene(&[Layer::Lines]));
    assert_eq!(lines, ["main", "lateral", "old tile, seen", "solid or heavy pipe", "direction of flow"]);
    assert_eq!(words(&map.scene(&[Layer::Watercourses])), ["ditch or stream"]);
    assert!(words(&map.scene(&[])).is_empty());

    // The last lateral goes, and with it its row.
    let mut less = self::plan();
    let lateral = less.line_named("L1").unwrap();
    less.apply(&plan::remove_line(&less, lateral).unwrap()).unwrap();
    let design = design::work_out(&less, &land::Land::default());
    let lines = words(&MapOf::new(&less, &design).scene(&[Layer::Lines]));
    assert_eq!(lines, ["main", "old tile, seen", "solid or heavy pipe", "direction of flow"]);
}

/// A level is told as finely as it is and no finer: 2.5 ft is not 3.
#[test]
fn contours_tell_their_level() {
    use measure::{FOOT_M, Units};
    let told = |level: f64, units: Units| drawing::level_words(level * units.length_unit().metres(), units);
    let feet = [(416.0, "416"), (417.5, "417.5"), (417.25, "417.25")];
    assert!(feet.iter().all(|(level, words)| told(*level, Units::Feet) == *words), "{}", told(417.5, Units::Feet));
    let metric = [(12.0, "12.0"), (12.5, "12.5"), (12.25, "12.25")];
    assert!(metric.iter().all(|(level, words)| told(*level, Units::Metric) == *words));
    assert_eq!(drawing::level_words(1000.0 * FOOT_M + 1e-9, Units::Feet), "1000");
}

/// Hazards before lines, lines before other marks; what each says in full.
#[test]
fn the_words_of_a_map_as_text() {
    let (plan, design, findings) = worked();
    let main = plan.line_named("M1").unwrap();
    let no_dig = [NoDig { number: 2, line: main, stretch_m: (45.0, 48.0) }];
    let map = MapOf { findings: &findings[..3], no_dig: &no_dig, ..MapOf::new(&plan, &design) };
    let row = |label: &drawing::Label| {
        let at = label.anchor.middle().unwrap();
        let full = label.in_full("  ", true);
        format!("{:?} at {:.2},{:.2}: {full:?} {:?} {:?}\n", label.role, at.x, at.y, label.what, label.more)
    };
    let words: String = map.labels(&ALL).iter().map(row).collect();
    insta::assert_snapshot!(words);
}
