//! Manners of fields, panels and dialogs: what is typed is kept whole or not at all, and what was asked for is shown.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use crate::hand::{self, press};
use app::desk::{Desk, Habits};
use app::view::{Selection, Stage};
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use plan::LineId;

/// The first demo field on the desk.
fn demo() -> Harness<'static, Desk> {
    hand::demo(860.0)
}

fn named(harness: &Harness<'_, Desk>, name: &str) -> LineId {
    harness.state().session.plan().line_named(name).unwrap()
}

fn type_text(harness: &mut Harness<'_, Desk>, text: &str) {
    harness.event(egui::Event::Text(text.into()));
    harness.run_steps(2);
}

/// A line is chosen, and its card's field for the name has the focus.
fn in_name_of_l1() -> Harness<'static, Desk> {
    let mut harness = demo();
    let id = named(&harness, "L1");
    harness.state_mut().view.selection = Selection::of(id);
    harness.run_steps(2);
    harness.get_by_role_and_label(egui::accesskit::Role::TextInput, "Name").focus();
    harness.run_steps(2);
    harness
}

/// Enter takes what was typed and stays, its text selected: what is typed next takes its place, and neither Ctrl+A nor Delete
/// reaches the map.
#[test]
fn enter_takes_what_was_typed_and_stays() {
    let mut harness = in_name_of_l1();
    let (id, count) = (named(&harness, "L1"), harness.state().session.plan().lines.len());
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    harness.run_steps(2);
    type_text(&mut harness, "West swale");
    press(&mut harness, Key::Enter);
    assert_eq!(harness.state().session.plan().lines[&id].name, "West swale");
    type_text(&mut harness, "East");
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    harness.run_steps(2);
    press(&mut harness, Key::Delete);
    type_text(&mut harness, "Middle");
    press(&mut harness, Key::Enter);
    let plan = harness.state().session.plan();
    assert_eq!((plan.lines[&id].name.as_str(), plan.lines.len()), ("Middle", count));
}

/// Escape puts back what stood there, also after an entry that was refused; the reason stands under the field till then.
#[test]
fn escape_puts_back_what_stood_there() {
    let mut harness = in_name_of_l1();
    let id = named(&harness, "L1");
    type_text(&mut harness, "other");
    press(&mut harness, Key::Escape);
    assert_eq!(harness.state().session.plan().lines[&id].name, "L1");
    harness.get_by_role_and_label(egui::accesskit::Role::TextInput, "Name").focus();
    harness.run_steps(2);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    harness.run_steps(2);
    type_text(&mut harness, "   ");
    press(&mut harness, Key::Enter);
    assert!(harness.query_by_label("a name of 1 to 60 letters").is_some(), "told under the field");
    press(&mut harness, Key::Escape);
    assert!(harness.query_by_label("a name of 1 to 60 letters").is_none(), "gone with Escape");
    assert_eq!(harness.state().session.plan().lines[&id].name, "L1");
}

/// Tab goes on to the next field and selects its text.
#[test]
fn tab_selects_the_text_of_the_next_field() {
    let mut harness = demo();
    let outlet = *harness.state().session.plan().outlets.keys().next().unwrap();
    harness.state_mut().view.selection = Selection::of(outlet);
    harness.run_steps(2);
    harness.get_by_role_and_label(egui::accesskit::Role::TextInput, "Name").focus();
    harness.run_steps(2);
    press(&mut harness, Key::Tab);
    type_text(&mut harness, "199.50");
    press(&mut harness, Key::Enter);
    let invert_m = harness.state().session.plan().outlets[&outlet].invert_m;
    assert!((invert_m - 199.5 * 0.3048).abs() < 1e-9, "{}", invert_m / 0.3048);
}

/// Every line is deleted only after a question, and one Undo brings them back.
#[test]
fn deleting_everything_asks() {
    let mut harness = demo();
    let count = harness.state().session.plan().lines.len();
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    harness.run_steps(2);
    press(&mut harness, Key::Delete);
    assert_eq!(harness.state().session.plan().lines.len(), count);
    press(&mut harness, Key::Escape);
    assert_eq!(harness.state().session.plan().lines.len(), count);
    press(&mut harness, Key::Delete);
    harness.get_by_label(&format!("Delete all {count} lines")).click();
    harness.run_steps(3);
    assert!(harness.state().session.plan().lines.is_empty());
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    harness.run_steps(3);
    assert_eq!(harness.state().session.plan().lines.len(), count);
}

/// A stage that is chosen shows, whatever was selected.
#[test]
fn a_stage_shows_whatever_was_selected() {
    let mut harness = in_name_of_l1();
    harness.get_by_label("4  Dig").click();
    harness.run_steps(3);
    assert_eq!((harness.state().view.stage, harness.state().view.selection), (Stage::Dig, Selection::Nothing));
}

/// A finding that is clicked shows its fix at the top of the card, over the card of its line.
#[test]
fn a_clicked_finding_shows_its_fix() {
    let mut harness = demo();
    let finding = harness.state().session.worked().findings[0].clone();
    harness.get_by_label_contains("Finding 1: ").click();
    harness.run_steps(6);
    assert_eq!(harness.state().view.selection.line(), finding.about().and_then(|id| id.line()));
    let map = harness.get_by_label("Map").rect();
    let remedy = harness.get_all_by_label("See it first").next().unwrap().rect();
    assert!(remedy.min.x > map.max.x && remedy.max.y < 480.0, "in sight beside the map: {remedy:?}");
}

/// A remedy that is seen first stands beside the map, and its line is in the profile; who leaves it is where he was.
#[test]
fn a_remedy_is_seen_beside_the_map() {
    let mut harness = demo();
    harness.get_by_label_contains("Finding 1: ").click();
    harness.run_steps(6);
    let chosen = harness.state().view.selection;
    harness.get_all_by_label("See it first").next().unwrap().click();
    harness.run_steps(4);
    assert!(harness.state().session.in_gesture());
    let map = harness.get_by_label("Map").rect();
    let button = harness.get_by_label("Do it").rect();
    assert!(button.min.x > map.max.x, "the map is free: {button:?} {map:?}");
    harness.get_by_label("Keep it as it is").click();
    harness.run_steps(4);
    assert_eq!(harness.state().view.selection, chosen);
    assert!(!harness.state().session.in_gesture());
}

/// The panel keeps its width whatever card it shows.
#[test]
fn the_panel_keeps_its_width() {
    let mut harness = demo();
    let edge = |harness: &Harness<'_, Desk>| harness.get_by_label("Map").rect().max.x;
    let before = edge(&harness);
    let ids: Vec<LineId> = harness.state().session.plan().lines.keys().copied().collect();
    for id in ids {
        harness.state_mut().view.selection = Selection::of(id);
        harness.run_steps(3);
        assert_eq!(edge(&harness), before, "{id:?}");
    }
    for stage in Stage::ALL {
        harness.state_mut().view.selection = Selection::Nothing;
        harness.state_mut().view.stage = stage;
        harness.run_steps(3);
        assert_eq!(edge(&harness), before, "{stage:?}");
    }
}

/// Pointed at, the profile reads out station, ground, invert, cut, cover and grade there; cut and cover add up with the levels.
#[test]
fn the_profile_reads_out_a_station() {
    let mut harness = demo();
    let id = named(&harness, "M1");
    harness.state_mut().view.selection = Selection::of(id);
    harness.run_steps(2);
    harness.hover_at(harness.get_by_label("Profile of M1").rect().center());
    harness.run_steps(3);
    let shown = harness.get_by_label_contains("   grade ").accesskit_node().value().unwrap();
    let figure = |word: &str| -> f64 {
        let rest = shown.split(word).nth(1).unwrap_or_else(|| panic!("{word} in {shown}"));
        rest.split_whitespace().next().unwrap().parse().unwrap()
    };
    let worked = &harness.state().session.worked().design.lines[&id];
    let station_m = harness.state().view.station_m.unwrap();
    assert!(shown.starts_with(&measure::station(station_m, measure::Units::Feet)), "{shown}");
    assert!((figure("ground ") - figure("invert ") - figure("cut ")).abs() < 0.011, "{shown}");
    let wall_ft = worked.pipe_at(station_m).top_above_invert_m() / 0.3048;
    assert!((figure("cut ") - figure("cover ") - wall_ft).abs() < 0.011, "{shown}");
}

/// A station pulled above the ground stays under it, and why is told.
#[test]
fn the_pipe_is_held_at_the_ground() {
    let mut harness = demo();
    let id = named(&harness, "L2");
    harness.state_mut().view.selection = Selection::of(id);
    harness.run_steps(3);
    let rect = harness.get_by_label("Profile of L2").rect();
    // From a grade break straight up to the upper edge.
    let from = (0..60).flat_map(|i| (0..24).map(move |j| (i as f32 / 60.0, j as f32 / 24.0)));
    let mut pulled = false;
    for (x, y) in from {
        let at = rect.min + egui::vec2(rect.width() * x, rect.height() * y);
        harness.hover_at(at);
        harness.run_steps(1);
        harness.drag_at(at);
        harness.run_steps(1);
        harness.hover_at(egui::pos2(at.x, rect.min.y + 8.0));
        harness.run_steps(1);
        pulled = harness.state().session.in_gesture();
        harness.hover_at(egui::pos2(at.x, rect.min.y + 4.0));
        harness.run_steps(1);
        harness.drop_at(egui::pos2(at.x, rect.min.y + 4.0));
        harness.run_steps(2);
        if pulled {
            break;
        }
    }
    assert!(pulled, "no station was taken hold of");
    assert_eq!(harness.state().told.as_deref().map(|told| told.contains("held at the ground")), Some(true));
    let worked = &harness.state().session.worked().design.lines[&id];
    let pins = &harness.state().session.plan().lines[&id].pins;
    for pin in pins {
        let ground_m = worked.ground.level(pin.station_m).unwrap();
        assert!(pin.invert_m < ground_m, "{pin:?} {ground_m}");
    }
}

/// While a line is drawn its ground stands in the profile.
#[test]
fn the_profile_follows_a_line_that_is_drawn() {
    let mut harness = demo();
    press(&mut harness, Key::M);
    let map = harness.get_by_label("Map").rect();
    let at = map.center();
    harness.hover_at(at);
    harness.run_steps(1);
    harness.drag_at(at);
    harness.run_steps(1);
    harness.drop_at(at);
    harness.run_steps(2);
    harness.hover_at(at + egui::vec2(60.0, -80.0));
    harness.run_steps(2);
    harness.get_by_label("Profile of the section");
    harness.get_by_label_contains("that is being drawn");
    press(&mut harness, Key::Escape);
    assert!(harness.query_by_label("Profile of the section").is_none());
}

/// A new plan says what comes next until its first lateral is drawn, is tagged new and not demo, and takes the name of its file.
#[test]
fn a_new_plan_says_what_comes_next() {
    let plan = plan::Plan::new(job::files::UNNAMED, measure::Units::Feet);
    let session = job::Session::new(plan, None, land::Land::without_ground());
    let habits = Habits { beside: false, ..Habits::default() };
    let mut harness = Harness::builder()
        .with_size(egui::vec2(1280.0, 860.0))
        .build_ui_state(|ui, desk: &mut Desk| desk.show(ui), Desk::new(session, habits));
    harness.run_steps(3);
    harness.get_by_label("new");
    assert!(harness.query_by_label("demo").is_none());
    harness.get_by_label("Next, step 1 of 5");
    let mut shown = demo();
    shown.get_by_label("demo");
    assert!(shown.query_by_label_contains("Next, step").is_none());
    let plan = shown.state().session.plan().clone();
    for (number, keep) in [(2, 0), (3, 1), (4, 2), (5, 3)] {
        let mut less = plan.clone();
        less.lines.retain(|_, line| keep > 2 && line.kind == plan::LineKind::Main);
        if keep < 2 {
            less.outlets.clear();
        }
        less.field = less.field.filter(|_| keep > 0);
        let session = job::files::demo_session(Ok(less)).unwrap();
        app::saving::put_on(shown.state_mut(), session);
        shown.run_steps(3);
        shown.get_by_label(&format!("Next, step {number} of 5"));
    }
    let folder = tempfile::tempdir().unwrap();
    harness.key_press_modifiers(Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::S);
    harness.run_steps(4);
    harness.get_by_label("Path").type_text(&folder.path().join("North \"40\".drain").display().to_string());
    harness.run_steps(2);
    harness.get_by_label("Write").click();
    harness.run_steps(6);
    assert_eq!(harness.state().session.plan().title.name, "North \"40\"");
    assert!(folder.path().join("North \"40\".drain").exists());
}

/// A file is found by clicking: folders open, a file is taken.
#[test]
fn a_plan_is_found_by_clicking() {
    let folder = tempfile::tempdir().unwrap();
    let inner = folder.path().join("fields");
    std::fs::create_dir(&inner).unwrap();
    let mut harness = demo();
    let path = folder.path().join("here.drain");
    job::files::save(harness.state().session.plan(), &path).unwrap();
    job::files::save(harness.state().session.plan(), &inner.join("there.drain")).unwrap();
    app::saving::open(harness.state_mut(), &path, &egui::Context::default());
    harness.run_steps(6);
    assert!(harness.state().session.path().is_some());
    harness.key_press_modifiers(Modifiers::COMMAND, Key::O);
    harness.run_steps(6);
    harness.get_by_label("here.drain");
    harness.get_by_label("fields/").click();
    harness.run_steps(6);
    harness.get_by_label("there.drain").click();
    harness.run_steps(3);
    harness.get_by_label("Open").click();
    harness.run_steps(8);
    assert_eq!(harness.state().session.path().unwrap(), inner.join("there.drain"));
}

/// What is remembered is on the disk once it changed: the plan that was opened, the theme, the units of new plans.
#[test]
fn theme_units_and_recent_plans_are_remembered() {
    let folder = tempfile::tempdir().unwrap();
    let (place, path) = (folder.path().join("settings.json"), folder.path().join("field \"7\".drain"));
    let session = job::files::demo_session(job::demo::first_plan()).unwrap();
    job::files::save(session.plan(), &path).unwrap();
    let habits = Habits { beside: false, settings: Some(place.clone()), ..Habits::default() };
    let mut harness = Harness::builder()
        .with_size(egui::vec2(1280.0, 860.0))
        .with_max_steps(60)
        .build_ui_state(|ui, desk: &mut Desk| desk.show(ui), Desk::new(session, habits));
    harness.run_steps(3);
    for key in [Key::D, Key::U] {
        harness.key_press_modifiers(Modifiers::COMMAND, key);
        harness.run_steps(3);
    }
    app::saving::open(harness.state_mut(), &path, &egui::Context::default());
    harness.run_steps(6);
    harness.get_by_label("Plan").click();
    harness.run_steps(4);
    harness.get_by_label("Open the last plan at the start").click();
    harness.run_steps(4);
    let kept = job::settings::Settings::read(&place);
    assert_eq!(kept.recent, [path]);
    assert!(kept.dark && kept.metric && kept.open_last, "{kept:?}");
}

fn texts(shape: &egui::Shape, tell: &mut impl FnMut(&str, egui::Rect)) {
    match shape {
        egui::Shape::Text(text) => tell(text.galley.text(), shape.visual_bounding_rect()),
        egui::Shape::Vec(shapes) => shapes.iter().for_each(|shape| texts(shape, tell)),
        _ => {}
    }
}

/// Nothing in a card is cut off at the panel's edge: every stage, the card of every line, feet and metres.
#[test]
fn nothing_in_a_card_is_cut_off() {
    let mut cut = Vec::new();
    for plan in [job::demo::first_plan(), job::demo::second_plan()] {
        let mut harness = demo();
        app::saving::put_on(harness.state_mut(), job::files::demo_session(plan).unwrap());
        harness.run_steps(3);
        let ids: Vec<LineId> = harness.state().session.plan().lines.keys().copied().collect();
        let stages = [Stage::Ground, Stage::Lines, Stage::Grade, Stage::Dig, Stage::Record];
        let stages = stages.map(|stage| (stage, Selection::Nothing)).into_iter();
        for (stage, selection) in stages.chain(ids.into_iter().map(|id| (Stage::Lines, Selection::of(id)))) {
            harness.state_mut().view.stage = stage;
            harness.state_mut().view.selection = selection;
            harness.run_steps(4);
            let map = harness.get_by_label("Map").rect();
            for clipped in &harness.output().shapes {
                texts(&clipped.shape, &mut |text, rect| {
                    if rect.min.x > map.max.x && rect.max.x > 1280.5 {
                        cut.push(format!("{stage:?}: {text}"));
                    }
                });
            }
        }
    }
    assert!(cut.is_empty(), "{cut:#?}");
}
