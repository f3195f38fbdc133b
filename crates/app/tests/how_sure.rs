//! How sure the plan is, in the window, by its labels: asked, told, gone to, stale once the plan changes, given up, printed.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::path::Path;
use std::time::Duration;

use crate::hand::{ask, opened, push, says};
use app::command::Command;
use app::desk::{Desk, Habits};
use app::jobs::Kind;
use app::panels::dialog::Dialog;
use app::purpose::Purpose;
use app::view::Stage;
use app::wish::Wish;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use job::Session;
use measure::Point;
use plan::{Line, LineId, LineKind, Plan};
use propose::certainty::Place;

type Window = Harness<'static, Desk>;

fn window(session: Session, habits: Habits) -> Window {
    let mut desk = Desk::new(session, habits);
    desk.view.stage = Stage::Grade;
    opened(desk, 1440.0, 3000.0)
}

/// The demo field that is shown at the first start.
fn first() -> Window {
    window(job::files::demo_session(job::demo::first_plan()).unwrap(), Habits::default())
}

/// Where shots are asked for on the map now.
fn wanted(harness: &Window) -> Vec<Point> {
    let desk = harness.state();
    desk.view.sure.wanted(desk.session.history().revision()).0.to_vec()
}

/// An edit that leaves other levels: a line two decimetres off where it was.
fn move_a_line(harness: &mut Window) {
    let plan = harness.state().session.plan();
    let (id, line): (LineId, _) = plan.lines.iter().next().map(|(id, line)| (*id, line.clone())).unwrap();
    let mut moved = line;
    moved.points.last_mut().unwrap().x += 0.2;
    ask(harness, Wish::Edit(plan::set_line("Move a line", id, moved)));
}

#[test]
fn asked_it_tells_limits_cost_and_five_places() {
    let mut harness = first();
    assert!(says(&harness, "How sure is this plan") && !says(&harness, "of 100"));
    push(&mut harness, "How sure is it?");
    for text in ["of 100", "cover thinner than 2.00 ft", "From place to place", "Costs about", "are estimates"] {
        assert!(says(&harness, text), "{text}");
    }
    assert_eq!(wanted(&harness).len(), 5);
    let chances = &harness.state().view.sure.answer.as_ref().unwrap().sure.certainty.clone();
    let told: Vec<f64> = job::certainty::worst_first(chances).iter().map(|chance| chance.chance).collect();
    assert!(told.is_sorted_by(|a, b| a >= b), "the worst first: {told:?}");
    for shot in ["Shot 1", "Shot 2", "Shot 3", "Shot 4", "Shot 5"] {
        assert!(says(&harness, &format!("{shot}: ")) && says(&harness, &format!("{shot}, asked for")), "{shot}");
    }
}

/// From the list and on the map: the place stands in the middle, and its mark stands out.
#[test]
fn a_place_is_gone_to() {
    let mut harness = first();
    push(&mut harness, "How sure is it?");
    let places = wanted(&harness);
    harness.get_by_label_contains("Shot 2: ").click();
    harness.run_steps(4);
    assert!(profile_is_of(&harness, 1), "the profile follows");
    assert_eq!(harness.state().view.camera.centre, places[1]);
    assert_eq!(harness.state().view.sure.looked_at, Some(1));
    push(&mut harness, "Shot 1, asked for");
    assert!(profile_is_of(&harness, 0), "from the map too");
    assert_eq!((harness.state().view.camera.centre, harness.state().view.sure.looked_at), (places[0], Some(0)));
    assert!(says(&harness, "Shot 5: "), "the list stays");
    harness.get_by_label("Line L1").click();
    harness.run_steps(4);
    assert!(harness.query_by_label("Profile of L1").is_some(), "a line that is chosen goes before");
}

/// True where the profile is of the line on which a shot is asked for, and stands at its station.
fn profile_is_of(harness: &Window, shot: usize) -> bool {
    let view = &harness.state().view;
    let place = &view.sure.answer.as_ref().unwrap().sure.certainty.places[shot];
    let name = &harness.state().session.plan().lines[&place.line].name;
    harness.query_by_label(&format!("Profile of {name}")).is_some() && view.station_m == Some(place.station_m)
}

/// A change of the plan takes the marks off the map and greys what is told; asked again it tells what moved.
#[test]
fn a_change_of_the_plan_makes_it_stale() {
    let mut harness = first();
    push(&mut harness, "How sure is it?");
    move_a_line(&mut harness);
    assert!(wanted(&harness).is_empty() && says(&harness, "The plan has changed since"));
    assert!(!says(&harness, "Shot 1, asked for"));
    assert!(harness.get_by_label_contains("Shot 1: ").accesskit_node().is_disabled());
    push(&mut harness, "Ask again");
    assert!(!says(&harness, "The plan has changed since") && says(&harness, "Since it was asked before"));
    assert!(says(&harness, "Left open") && !wanted(&harness).is_empty());
}

/// Switching units changes how numbers are written and nothing else.
#[test]
fn in_meters_it_stands_as_it_was() {
    let mut harness = first();
    push(&mut harness, "How sure is it?");
    let before = wanted(&harness);
    ask(&mut harness, Wish::Run(Command::Units));
    assert_eq!(wanted(&harness), before);
    assert!(says(&harness, "cover thinner than 0.61 m") && !says(&harness, "cover thinner than 2.00 ft"));
}

/// What is stated of the ground counts, in either unit; what is no length is told.
#[test]
fn the_accuracy_is_stated_with_its_unit() {
    let mut harness = first();
    push(&mut harness, "How sure is it?");
    let field = "Ground is off by, if known";
    let enter = |harness: &mut Window, text: &str| {
        harness.get_by_role_and_label(egui::accesskit::Role::TextInput, field).focus();
        harness.run_steps(2);
        harness.get_by_role_and_label(egui::accesskit::Role::TextInput, field).type_text(text);
        harness.run_steps(2);
        harness.key_press(egui::Key::Enter);
        harness.run_steps(6);
    };
    enter(&mut harness, "10cm");
    assert_eq!(harness.state().view.sure.stated.ground_m, Some(0.1));
    assert!(says(&harness, "as stated"), "told anew at once");
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    enter(&mut harness, "far");
    assert_eq!(harness.state().view.sure.stated.ground_m, Some(0.1));
    assert!(says(&harness, "far"));
}

/// The demo field with fifty laterals more: enough for a while.
fn many_lines() -> Plan {
    let mut plan = job::demo::first_plan().unwrap();
    let (low, high) = measure::extent(plan.field.as_ref().unwrap().ring.iter().copied()).unwrap();
    let at = |x: f64, y: f64| Point::new(low.x + (high.x - low.x) * x, low.y + (high.y - low.y) * y);
    for k in 0..50 {
        let x = 0.25 + 0.01 * f64::from(k);
        let line = Line::new(&format!("E{k}"), LineKind::Lateral, vec![at(x, 0.4), at(x, 0.7)]);
        let (_, edit) = plan::add_line(&plan, line);
        plan.apply(&edit).unwrap();
    }
    plan
}

/// It runs beside the window, and can be given up there.
#[test]
fn it_is_given_up_beside_the_window() {
    let session = job::files::demo_session(Ok(many_lines())).unwrap();
    let mut harness = window(session, Habits { beside: true, ..Habits::default() });
    push(&mut harness, "How sure is it?");
    let is_shown = |harness: &Window| harness.query_by_label("Cancel How sure is this plan").is_some();
    let shown = (0..400).any(|_| {
        std::thread::sleep(Duration::from_millis(5));
        harness.run_steps(1);
        is_shown(&harness) || !harness.state().jobs.runs(Kind::Sure)
    });
    assert!(shown && is_shown(&harness), "it lasts long enough to be seen");
    push(&mut harness, "Cancel How sure is this plan");
    assert!(!harness.state().jobs.runs(Kind::Sure) && harness.state().view.sure.answer.is_none());
    assert!(harness.state().dialog.is_none(), "nothing is complained of");
}

#[test]
fn the_crew_page_is_printed() {
    let folder = tempfile::tempdir().unwrap();
    let mut harness = first();
    push(&mut harness, "How sure is it?");
    push(&mut harness, "Print the crew page…");
    assert!(matches!(harness.state().dialog, Some(Dialog::Path(_))), "it asks for the file");
    let path = folder.path().join("crew.pdf");
    harness.state_mut().dialog = None;
    ask(&mut harness, Wish::FreePath(Purpose::WriteCrew, path.clone()));
    assert!(std::fs::read(path).unwrap().starts_with(b"%PDF"));
}

/// Shots as they are asked for, a tenth of a foot under what is expected, in a table of levels in the units of the ground.
fn shoot(harness: &Window, path: &Path) {
    let ground = harness.state().session.plan().ground.clone().unwrap();
    let (across, up) = (ground.horizontal_unit.metres(), ground.vertical_unit.metres());
    let certainty = &harness.state().view.sure.answer.as_ref().unwrap().sure.certainty;
    let row = |(i, place): (usize, &Place)| {
        let level_m = place.level_m - 0.1 * measure::FOOT_M;
        format!("S{},{:.3},{:.3},{:.3}\n", i + 1, place.at.x / across, place.at.y / across, level_m / up)
    };
    let rows: String = certainty.places.iter().enumerate().map(row).collect();
    std::fs::write(path, format!("name,easting,northing,level\n{rows}")).unwrap();
}

/// The shots that were asked for are entered: asked again, the card tells how the chances moved, and less is open.
#[test]
fn shots_that_are_entered_move_the_chances() {
    let folder = tempfile::tempdir().unwrap();
    let mut harness = first();
    push(&mut harness, "How sure is it?");
    let told = |harness: &Window| harness.state().view.sure.answer.clone().unwrap().sure;
    let before = told(&harness);
    push(&mut harness, "Add the levels shot…");
    assert!(matches!(harness.state().dialog, Some(Dialog::Path(_))), "it asks for the file");
    harness.state_mut().dialog = None;
    shoot(&harness, &folder.path().join("more.csv"));
    ask(&mut harness, Wish::FreePath(Purpose::AddLevels, folder.path().join("more.csv")));
    harness.run_steps(20);
    assert!(wanted(&harness).is_empty());
    ask(&mut harness, Wish::Run(Command::HowSure));
    assert!(says(&harness, "Since it was asked before") && says(&harness, " before, "));
    let after = told(&harness);
    let shots = [&before, &after].map(|sure| sure.errors.checks.all().len());
    assert_eq!(shots[1], shots[0] + 5);
    assert!(after.certainty.unsettled() < before.certainty.unsettled());
}
