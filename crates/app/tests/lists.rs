//! The list of lines and the punch list, by their accessible labels: sorted, found, filtered, gone through by keys, and only
//! what is in sight is laid out.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use crate::hand::{self, press};
use app::desk::Desk;
use app::view::Selection;
use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use job::Session;
use land::Land;
use measure::{Point, Units};
use plan::{Change, Edit, Line, LineId, LineKind, Plan};

/// A plan of so many laterals without ground, one metre longer each, the last named with a quote.
fn many(count: u32) -> Session {
    let mut plan = Plan::new("Many", Units::Feet);
    let line = |i: u32| {
        let name = if i == count { "the \"old\" end".to_string() } else { format!("L{i}") };
        let (y, length) = (f64::from(i) * 10.0, 20.0 + f64::from(i));
        Line::new(&name, LineKind::Lateral, vec![Point::new(0.0, y), Point::new(length, y)])
    };
    let changes = (1..=count).map(|i| Change::Line(LineId(plan.next_id + i), Some(line(i)))).collect();
    plan.apply(&Edit { label: "Draw".into(), changes }).unwrap();
    Session::new(plan, None, Land::without_ground())
}

/// The list of lines, opened by its key.
fn listed(session: Session) -> Harness<'static, Desk> {
    let mut harness = hand::on_desk(session, 1280.0, 860.0);
    harness.key_press_modifiers(Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::L);
    harness.run_steps(3);
    harness
}

/// Names of the rows that are laid out, from the top.
fn rows(harness: &Harness<'_, Desk>) -> Vec<String> {
    let all = harness.get_all_by_role(Role::ListBoxOption);
    let mut rows: Vec<(f32, String)> =
        all.map(|row| (row.rect().top(), row.accesskit_node().label().unwrap())).collect();
    rows.sort_by(|one, other| one.0.total_cmp(&other.0));
    let name = |row: &String| row.trim_start_matches("Line: ").split(", Kind").next().unwrap().to_string();
    rows.iter().map(|(_, row)| name(row)).collect()
}

fn row(harness: &Harness<'_, Desk>, name: &str) -> egui::Pos2 {
    let label = format!("Line: {name}, ");
    harness
        .get_by(|node| node.role() == Role::ListBoxOption && node.label().is_some_and(|l| l.starts_with(&label)))
        .rect()
        .center()
}

fn click_row(harness: &mut Harness<'_, Desk>, name: &str, modifiers: Modifiers) {
    let at = row(harness, name);
    harness.hover_at(at);
    let button =
        |pressed| egui::Event::PointerButton { pos: at, button: egui::PointerButton::Primary, pressed, modifiers };
    harness.event_modifiers(button(true), modifiers);
    harness.event_modifiers(button(false), modifiers);
    harness.run_steps(3);
}

#[test]
fn only_the_rows_in_sight_of_500_lines_are_laid_out() {
    let mut harness = listed(many(500));
    harness.get_by_label("500 lines");
    let shown = rows(&harness);
    assert!((4..20).contains(&shown.len()), "{} rows", shown.len());
    assert_eq!(shown[..3], ["L1", "L2", "L3"], "as people count");
    harness.get_by_label("Sort by Length").click();
    harness.run_steps(2);
    harness.get_by_label("Sort by Length").click();
    harness.run_steps(2);
    assert_eq!(rows(&harness)[..2], ["the \"old\" end", "L499"]);
}

#[test]
fn a_line_is_found_by_its_name_and_what_is_hidden_is_said() {
    let mut harness = listed(many(50));
    harness.get_by_role_and_label(Role::TextInput, "Find line").focus();
    harness.run_steps(2);
    harness.event(egui::Event::Text("l4".into()));
    harness.run_steps(2);
    harness.get_by_label("11 of 50 lines shown");
    harness.get_by_label("Select those shown").click();
    harness.run_steps(3);
    assert_eq!(harness.state().view.several.len(), 11);
    harness.get_by_label("11 lines");
}

/// A click chooses and shows the line on the map, Ctrl adds one, Shift a range; the card then changes them at once.
#[test]
fn several_rows_are_chosen_and_changed_at_once() {
    let mut harness = listed(many(20));
    click_row(&mut harness, "L2", Modifiers::NONE);
    let l2 = harness.state().session.plan().line_named("L2").unwrap();
    assert_eq!(harness.state().view.selection, Selection::of(l2));
    let (centre, line) = (harness.state().view.camera.centre, &harness.state().session.plan().lines[&l2]);
    assert_eq!(centre, Point::new(line.length_m() / 2.0, line.points[0].y));
    click_row(&mut harness, "L4", Modifiers::SHIFT);
    assert_eq!(harness.state().view.several.len(), 3);
    click_row(&mut harness, "L1", Modifiers::COMMAND);
    assert_eq!(harness.state().view.several.len(), 4);
    harness.get_by_role_and_label(Role::ComboBox, "Size").click();
    harness.run_steps(3);
    harness.get_by_label("6 in").click();
    harness.run_steps(3);
    let plan = harness.state().session.plan();
    let changed = plan.lines.values().filter(|line| (line.size_m - 6.0 * measure::INCH_M).abs() < 1e-9);
    assert_eq!(changed.count(), 4);
    assert_eq!(harness.state().session.history().undo_label(), Some("Change the size of 4 lines"));
}

/// The arrows go from row to row once the list has the keys, and the row gone to is in sight.
#[test]
fn arrows_go_through_the_list() {
    let mut harness = listed(many(40));
    click_row(&mut harness, "L1", Modifiers::NONE);
    (0..14).for_each(|_| press(&mut harness, Key::ArrowDown));
    let l15 = harness.state().session.plan().line_named("L15").unwrap();
    assert_eq!(harness.state().view.selection, Selection::of(l15));
    assert!(rows(&harness).contains(&"L15".to_string()), "{:?}", rows(&harness));
    press(&mut harness, Key::ArrowUp);
    assert_eq!(harness.state().view.selection.line(), harness.state().session.plan().line_named("L14"));
    // With Shift all between where it began and where it is by now.
    (0..3).for_each(|_| {
        harness.key_press_modifiers(Modifiers::SHIFT, Key::ArrowDown);
        harness.run_steps(3);
    });
    assert_eq!(harness.state().view.several.len(), 4, "L14 to L17");
}

/// The list is reached from the profile and left for it.
#[test]
fn the_list_stands_where_the_profile_does() {
    let mut harness = hand::demo(860.0);
    harness.get_by_label("All lines").click();
    harness.run_steps(3);
    let count = harness.state().session.plan().lines.len();
    assert_eq!(rows(&harness).len(), count.min(rows(&harness).len()));
    harness.get_by_label("Profile").click();
    harness.run_steps(3);
    assert!(harness.query_by_label("Find line").is_none());
}

/// A plan with more than three hundred findings, on the desk.
fn three_hundred() -> Harness<'static, Desk> {
    let mut harness = hand::on_desk(many(160), 1280.0, 860.0);
    let all = harness.state().session.worked().findings.len();
    assert!(all >= 300, "{all} findings");
    harness.run_steps(3);
    harness
}

/// How many findings are laid out: each names its check by number.
fn findings(harness: &Harness<'_, Desk>) -> usize {
    let is_one = |text: String| {
        let number = text.strip_prefix("Check ").map(|rest| rest.starts_with(|c: char| c.is_ascii_digit()));
        number == Some(true)
    };
    let all = harness.query_all_by_label_contains("Check ").map(|node| {
        let node = node.accesskit_node();
        node.label().or(node.value())
    });
    all.filter(|text| text.clone().is_some_and(is_one)).count()
}

#[test]
fn only_the_findings_in_sight_of_300_are_laid_out() {
    let harness = three_hundred();
    let laid_out = findings(&harness);
    assert!((1..20).contains(&laid_out), "{laid_out}");
}

#[test]
fn findings_are_filtered_and_grouped_and_what_is_hidden_is_said() {
    let session = job::files::demo_session(job::demo::ten_mistakes()).unwrap();
    let mut harness = hand::on_desk(session, 1280.0, 860.0);
    let list = harness.state().session.worked().findings.clone();
    let of = |severity| list.iter().filter(|finding| finding.severity == severity).count();
    let (all, heavy) = (list.len(), of(checks::Severity::Block));
    assert!(heavy > 0 && heavy < all);
    for word in ["to decide", "note"] {
        harness.get_by_role_and_label(Role::CheckBox, word).click();
        harness.run_steps(2);
    }
    harness.get_by_label(&format!("{heavy} of {all} shown"));
    harness.get_by_role_and_label(Role::ComboBox, "Grouped by").click();
    harness.run_steps(3);
    harness.get_by_label("severity").click();
    harness.run_steps(3);
    assert!(findings(&harness) > 0);
    harness.get_by_label(&format!("to fix: {heavy} to fix")).click();
    harness.run_steps(3);
    assert_eq!(findings(&harness), 0, "folded");
    harness.get_by_label("Show all").click();
    harness.run_steps(3);
    assert!(harness.query_by_label_contains(" shown").is_none());
    harness.get_by_role_and_label(Role::TextInput, "Find finding").focus();
    harness.run_steps(2);
    harness.event(egui::Event::Text("there is no such word".into()));
    harness.run_steps(2);
    harness.get_by_label(&format!("0 of {all} shown"));
}

/// The arrows go from finding to finding once the list has the keys, N does from anywhere; both go through what is shown.
#[test]
fn keys_go_through_the_findings() {
    let session = job::files::demo_session(job::demo::ten_mistakes()).unwrap();
    let mut harness = hand::on_desk(session, 1280.0, 860.0);
    let list = harness.state().session.worked().findings.clone();
    let at = |i: usize| Some((list[i].check, list[i].at));
    press(&mut harness, Key::N);
    assert_eq!(harness.state().view.finding, at(0));
    press(&mut harness, Key::N);
    assert_eq!(harness.state().view.finding, at(1));
    harness.get_by_role_and_label(Role::List, "Findings").focus();
    harness.run_steps(2);
    press(&mut harness, Key::ArrowDown);
    assert_eq!(harness.state().view.finding, at(2));
    press(&mut harness, Key::ArrowUp);
    press(&mut harness, Key::ArrowUp);
    assert_eq!(harness.state().view.finding, at(0), "the list keeps the keys while the card changes");
    harness.key_press_modifiers(Modifiers::SHIFT, Key::N);
    harness.run_steps(3);
    assert_eq!(harness.state().view.finding, at(0), "it stops at the first");
}
