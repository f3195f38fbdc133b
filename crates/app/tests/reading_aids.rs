//! For who reads with a screen reader, or with type twice as large: every widget has a name, and nothing is out of reach.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use crate::hand::{self, ask};
use app::command::Command;
use app::desk::Desk;
use app::panels::dialog::Dialog;
use app::view::{Selection, Stage};
use app::wish::Wish;
use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::{By, NodeT, Queryable};

/// What can be worked or looked at by itself. Bars that scroll are left out: what they do the keys do, and egui names none.
const WITH_NAMES: [Role; 14] = [
    Role::Button,
    Role::CheckBox,
    Role::RadioButton,
    Role::ComboBox,
    Role::TextInput,
    Role::MultilineTextInput,
    Role::SearchInput,
    Role::Slider,
    Role::SpinButton,
    Role::Link,
    Role::Canvas,
    Role::Image,
    Role::ProgressIndicator,
    Role::Splitter,
];

/// Goes through every stage, every kind of thing chosen and every dialog that is at hand without a file, and looks each time.
fn everywhere(harness: &mut Harness<'_, Desk>, mut look: impl FnMut(&mut Harness<'_, Desk>, &str)) {
    for stage in Stage::ALL {
        ask(harness, Wish::Go(stage));
        look(harness, stage.name());
    }
    ask(harness, Wish::Go(Stage::Lines));
    let plan = harness.state().session.plan();
    let (line, outlet) = (*plan.lines.keys().next().unwrap(), *plan.outlets.keys().next().unwrap());
    let mark = plan.landmarks.keys().next().copied();
    let chosen =
        [Some(Selection::of(line)), Some(Selection::of(outlet)), mark.map(Selection::of), Some(Selection::Field)];
    for selection in chosen.into_iter().flatten() {
        ask(harness, Wish::Select(selection));
        look(harness, &format!("{selection:?}"));
    }
    ask(harness, Wish::Run(Command::SelectAll));
    look(harness, "all lines");
    let commands =
        [Command::Help, Command::Find, Command::Limits, Command::SaveAs, Command::OpenGround, Command::Delete];
    for command in commands {
        ask(harness, Wish::Run(command));
        assert!(harness.state().dialog.is_some(), "{command:?} opens a dialog");
        look(harness, &format!("{command:?}"));
        harness.state_mut().dialog = None;
    }
    ask(harness, Wish::Found(None));
    look(harness, "old tile found");
    harness.state_mut().dialog = Some(Dialog::Trouble("It was not there.".into()));
    harness.run_steps(4);
    look(harness, "trouble");
}

#[test]
fn every_widget_has_a_name() {
    let mut harness = hand::demo(860.0);
    let mut nameless = Vec::new();
    everywhere(&mut harness, |harness, place| {
        let all = harness.query_all(By::new().predicate(|node| WITH_NAMES.contains(&node.role())));
        for node in all {
            let (role, name) = (node.accesskit_node().role(), node.accesskit_node().label().unwrap_or_default());
            if name.trim().is_empty() {
                nameless.push(format!("{place}: {role:?} at {:?}", node.rect()));
            }
        }
    });
    assert!(nameless.is_empty(), "{}", nameless.join("\n"));
}

/// Each thing of the plan stands on the map under its name.
#[test]
fn every_thing_on_the_map_has_a_name() {
    let mut harness = hand::demo(860.0);
    ask(&mut harness, Wish::Run(Command::Fit));
    let plan = harness.state().session.plan().clone();
    let names = plan.lines.values().map(|line| format!("Line {}", line.name));
    let names = names.chain(plan.outlets.values().map(|outlet| format!("Outlet {}", outlet.name)));
    let names = names.chain(plan.landmarks.values().map(|mark| format!("{} {}", mark.kind.word(), mark.name)));
    let names =
        names.chain(plan.watercourses.values().map(|course| format!("{} {}", course.kind.word(), course.name)));
    for name in names.chain(["Map".into(), "Field boundary".into()]) {
        assert!(harness.query_all_by_label(&name).next().is_some(), "{name}");
    }
}

/// Type twice as large at 1024 × 700 leaves 512 × 350 points: what lies outside is scrolled to, and what stands still is inside.
#[test]
fn nothing_is_out_of_reach_with_type_twice_as_large() {
    let (width, height) = (512.0, 350.0);
    let session = job::files::demo_session(job::demo::first_plan()).unwrap();
    let mut harness = hand::on_desk(session, width, height);
    let window = egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(width, height)).expand(1.0);
    let mut lost = Vec::new();
    everywhere(&mut harness, |harness, place| {
        let outside = |node: &egui_kittest::Node<'_>| !window.contains_rect(node.rect());
        let seen = |node: &egui_kittest::Node<'_>| window.contains(node.rect().center());
        let all = || By::new().predicate(|node| WITH_NAMES.contains(&node.role()) || node.role() == Role::Label);
        let far: Vec<usize> =
            harness.query_all(all()).enumerate().filter(|(_, node)| outside(node)).map(|(i, _)| i).collect();
        // The first, the last and one in the middle: what scrolls to them scrolls to all between.
        let some = [far.first(), far.get(far.len() / 2), far.last()];
        for i in some.into_iter().flatten() {
            harness.query_all(all()).nth(*i).unwrap().scroll_to_me();
            harness.run_steps(8);
            let node = harness.query_all(all()).nth(*i).unwrap();
            if !seen(&node) {
                lost.push(format!("{place}: {:?} at {:?}", node.accesskit_node().label(), node.rect()));
            }
        }
        let map = harness.query_by_label("Map").map(|map| map.rect());
        if map.is_some_and(|map| map.width() < 90.0 || map.height() < 60.0) {
            lost.push(format!("{place}: the map is left {map:?}"));
        }
    });
    assert!(lost.is_empty(), "{}", lost.join("\n"));
}
