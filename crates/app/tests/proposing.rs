//! First layouts in the window, by their labels: proposed beside it, looked at, taken in one step and changed by hand.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::time::Duration;

use crate::hand::{self, ask, opened, push, says};
use app::command::Command;
use app::desk::{Desk, Habits};
use app::jobs::Kind;
use app::panels::dialog::Dialog;
use app::proposals::Search;
use app::view::Stage;
use app::wish::Wish;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use job::{Progress, Session, ground};
use measure::{Point, Units};
use plan::{Joins, Plan};

type Window = Harness<'static, Desk>;

/// A plan of a demo field on its ground, without the lines that were drawn in it.
fn bare(plan: Plan) -> Plan {
    let mut plan = plan;
    plan.lines.retain(|_, line| line.kind.is_old());
    let gone = |joins: Joins| matches!(joins, Joins::Line(other) if !plan.lines.contains_key(&other));
    let loose: Vec<_> = plan.lines.iter().filter(|(_, line)| gone(line.joins)).map(|(id, _)| *id).collect();
    loose.iter().for_each(|id| plan.lines.get_mut(id).unwrap().joins = Joins::Nothing);
    plan
}

fn session(plan: Plan) -> Session {
    let land = ground::open_plan(&plan, None, &Progress::default()).unwrap();
    Session::new(plan, None, land)
}

fn first() -> Plan {
    job::demo::first_plan().unwrap()
}

fn window(plan: Plan) -> Window {
    hand::on_desk(session(plan), 1280.0, 2600.0)
}

/// The same with work beside the window, as a person has it.
fn beside(plan: Plan) -> Window {
    let desk = Desk::new(session(plan), Habits { beside: true, ..Habits::default() });
    opened(desk, 1280.0, 2600.0)
}

/// Steps until something holds; false when it does not within two minutes.
fn waits(harness: &mut Window, mut until: impl FnMut(&Window) -> bool) -> bool {
    (0..24_000).any(|_| {
        std::thread::sleep(Duration::from_millis(5));
        harness.run_steps(1);
        until(harness)
    })
}

fn proposed(plan: Plan) -> Window {
    let mut harness = window(plan);
    ask(&mut harness, Wish::Run(Command::Propose));
    harness
}

fn names(harness: &Window) -> Vec<String> {
    harness.state().view.proposals.found().iter().map(|proposal| proposal.name.clone()).collect()
}

/// From the next step of a plan without lines: cards come in one after the other beside the window, the cheapest first.
#[test]
fn layouts_stream_in_and_each_is_looked_at() {
    let mut harness = beside(bare(first()));
    assert!(says(&harness, "or have first layouts proposed") || says(&harness, "Or have first layouts proposed"));
    push(&mut harness, "Propose a layout");
    assert!(harness.state().jobs.runs(Kind::Propose), "it runs beside the window");
    ask(&mut harness, Wish::Run(Command::Propose));
    assert!(harness.state().told.as_ref().unwrap().contains("under way already"));
    let mut counts = vec![0];
    let is_done = |harness: &Window| *harness.state().view.proposals.search() == Search::Done;
    assert!(waits(&mut harness, |harness| {
        let count = names(harness).len();
        counts.extend((*counts.last().unwrap() != count).then_some(count));
        is_done(harness)
    }));
    assert!(counts.len() > 2, "they come one after the other: {counts:?}");
    let found = harness.state().view.proposals.found().to_vec();
    assert!(found.len() >= 2, "{:?}", names(&harness));
    assert!(found.windows(2).all(|pair| pair[0].estimate.total() <= pair[1].estimate.total()));
    assert!(says(&harness, job::proposing::ESTIMATE));
    for (number, proposal) in found.iter().enumerate() {
        push(&mut harness, &format!("Look at {}", proposal.name));
        assert_eq!(harness.state().view.proposed().unwrap().name, proposal.name);
        assert!(says(&harness, "Why it runs where it runs"));
        assert_eq!(proposal.why_lines.len(), proposal.plan.lines.values().filter(|line| !line.kind.is_old()).count());
        for why in proposal.why.iter().chain(proposal.why_lines.values()) {
            assert!(says(&harness, why), "{why}");
        }
        let id = harness.state().view.proposals.line_of(proposal).unwrap();
        let profile = format!("Profile of {}", proposal.plan.lines[&id].name);
        assert!(harness.query_by_label(&profile).is_some(), "{profile}");
        let served = job::proposing::served(Units::Feet, proposal.served_m2, proposal.wet_m2);
        assert!(says(&harness, &format!("{}, {}: ", number + 1, proposal.name)) && says(&harness, &served));
        assert!(says(&harness, &job::proposing::drawn(proposal)) && says(&harness, &job::proposing::found(proposal)));
    }
    assert!(harness.state().session.history().undo_label().is_none(), "looking leaves no trace");
    push(&mut harness, "Look no more");
    assert!(harness.state().view.proposed().is_none());
}

/// What is looked at is on the map and in the legend, in a look of its own; elsewhere than in stage Lines it is not.
#[test]
fn what_is_looked_at_is_drawn_over_the_plan() {
    let mut harness = proposed(first());
    let bare = harness.state().caches.legend();
    let name = names(&harness)[0].clone();
    push(&mut harness, &format!("Look at {name}"));
    let view = &harness.state().view;
    let map = drawing::MapOf {
        proposed: view.proposed().map(|proposal| &proposal.plan),
        ..drawing::MapOf::new(harness.state().session.plan(), &harness.state().session.worked().design)
    };
    let words: Vec<&str> =
        drawing::legend(&map.scene(&[drawing::Layer::Proposed])).iter().map(|key| key.word).collect();
    assert!(words.contains(&"proposed main"), "{words:?}");
    assert!(harness.state().caches.legend().unwrap().height() > bare.unwrap().height(), "the legend tells it");
    ask(&mut harness, Wish::Go(Stage::Dig));
    assert!(harness.state().view.proposed().is_none());
    ask(&mut harness, Wish::Go(Stage::Lines));
    assert_eq!(harness.state().view.proposed().unwrap().name, name);
}

/// Where nothing is drawn, one is taken at once and in one step; its lines are then lines like any other.
#[test]
fn one_is_taken_changed_and_given_back() {
    let before = bare(first());
    let mut harness = proposed(before.clone());
    let taken = harness.state().view.proposals.found()[0].clone();
    push(&mut harness, &format!("Take {}", taken.name));
    assert!(harness.state().dialog.is_none());
    let plan = harness.state().session.plan().clone();
    assert_eq!(plan.lines, taken.plan.lines, "main, laterals, joints and sizes");
    assert!(says(&harness, "The plan has changed since these were worked out."));
    let is_in = format!("The layout \"{}\" is in the plan", taken.name);
    assert!(says(&harness, &is_in), "why they are grey");
    let (id, line) = plan.lines.iter().find(|(_, line)| !line.kind.is_old()).unwrap();
    let bent = line.points.len() / 2;
    let to = Point::new(line.points[bent].x + 3.0, line.points[bent].y);
    ask(&mut harness, Wish::Edit(plan::move_point(&plan, *id, bent, to).unwrap()));
    assert_ne!(harness.state().session.plan().lines, taken.plan.lines);
    assert!(!says(&harness, &is_in));
    ask(&mut harness, Wish::Run(Command::Undo));
    ask(&mut harness, Wish::Run(Command::Undo));
    assert_eq!(harness.state().session.plan().lines, before.lines, "one step brings all back");
    assert!(!harness.state().view.proposals.is_stale(), "and the proposals hold again");
    ask(&mut harness, Wish::Run(Command::Redo));
    assert_eq!(harness.state().session.plan().lines, taken.plan.lines);
}

/// Lines that are drawn give way only after a question; what they cost and serve is in the chart beside the proposals.
#[test]
fn drawn_lines_give_way_after_a_question() {
    let mut harness = proposed(first());
    let before = harness.state().session.plan().clone();
    let drawn = harness.state().view.proposals.drawn().unwrap();
    assert!(drawn.served_m2 > 0.0 && drawn.served_m2 <= drawn.wet_m2);
    assert!(says(&harness, "Drawn now: about "));
    let taken = harness.state().view.proposals.found()[0].clone();
    push(&mut harness, &format!("Take {}", taken.name));
    assert!(matches!(harness.state().dialog, Some(Dialog::Sure(_))));
    assert!(
        says(&harness, "The new lines that are drawn give way to it") && says(&harness, "One Undo brings them back.")
    );
    push(&mut harness, "Cancel");
    assert_eq!(*harness.state().session.plan(), before);
    push(&mut harness, &format!("Take {}", taken.name));
    push(&mut harness, "Replace what is drawn");
    assert_eq!(harness.state().session.plan().lines, taken.plan.lines);
    ask(&mut harness, Wish::Run(Command::Undo));
    assert_eq!(harness.state().session.plan().lines, before.lines);
}

/// Once the plan is another, proposals are greyed and neither looked at nor taken, until they are worked out anew.
#[test]
fn a_changed_plan_makes_them_stale() {
    let mut harness = proposed(bare(first()));
    let name = names(&harness)[0].clone();
    push(&mut harness, &format!("Look at {name}"));
    let (id, outlet) =
        harness.state().session.plan().outlets.first_key_value().map(|(id, o)| (*id, o.clone())).unwrap();
    let lower = plan::Outlet { invert_m: outlet.invert_m - 0.1, ..outlet };
    let edit = plan::set_outlet(harness.state().session.plan(), id, lower);
    ask(&mut harness, Wish::Edit(edit));
    assert!(says(&harness, "The plan has changed since these were worked out."));
    assert!(harness.state().view.proposed().is_none(), "nothing of them stays on the map");
    for label in [format!("Look at {name}"), format!("Take {name}")] {
        assert!(harness.get_by_label(&label).accesskit_node().is_disabled(), "{label}");
    }
    ask(&mut harness, Wish::TakeLayout(name.clone()));
    assert!(harness.state().session.plan().lines.values().all(|line| line.kind.is_old()));
    push(&mut harness, "Propose again");
    assert!(!harness.state().view.proposals.is_stale() && !names(&harness).is_empty());
    assert!(!harness.get_by_label(&format!("Look at {name}")).accesskit_node().is_disabled());
}

#[test]
fn a_search_is_canceled_and_one_for_another_plan_given_up() {
    let mut harness = beside(bare(first()));
    ask(&mut harness, Wish::Run(Command::Propose));
    assert!(waits(&mut harness, |harness| harness.query_by_label("Cancel First layouts").is_some()));
    push(&mut harness, "Cancel First layouts");
    assert!(!harness.state().jobs.runs(Kind::Propose));
    assert!(says(&harness, "The search was canceled.") && harness.state().dialog.is_none());
    push(&mut harness, "Propose again");
    assert!(harness.state().jobs.runs(Kind::Propose));
    let mark = harness.state().session.plan().outlets.keys().next().copied().unwrap();
    let edit = plan::remove_outlet(harness.state().session.plan(), mark).unwrap();
    ask(&mut harness, Wish::Edit(edit));
    assert!(!harness.state().jobs.runs(Kind::Propose), "what is older than the plan is not waited for");
    assert!(says(&harness, "The plan has changed since"));
}

#[test]
fn what_is_missing_is_said() {
    let mut harness = hand::on_desk(
        Session::new(Plan::new("Block", Units::Feet), None, land::Land::without_ground()),
        1280.0,
        1400.0,
    );
    ask(&mut harness, Wish::Run(Command::Propose));
    assert!(says(&harness, "The plan has no field boundary; draw it first."));
    assert!(harness.state().dialog.is_none());
    // The block lies over its ditch, and nothing beside it takes the water but that.
    let mut plan = bare(first());
    plan.outlets.clear();
    let mut harness = proposed(plan);
    match names(&harness).first().cloned() {
        None => assert!(says(&harness, "The plan has no outlet")),
        Some(name) => {
            push(&mut harness, &format!("Take {name}"));
            assert!(!harness.state().session.plan().outlets.is_empty(), "it brings its outlet along");
        }
    }
}

/// Figures follow the units of the plan, switched too, and money its currency; a plan without prices tells pipe instead.
#[test]
fn units_and_currency_are_those_of_the_plan() {
    let mut plan = bare(first());
    plan.title.units = Units::Metric;
    plan.price_list.currency = "NOK".into();
    let mut harness = proposed(plan);
    assert!(says(&harness, "about NOK ") && says(&harness, " ha of wet land") && !says(&harness, " ac of"));
    ask(&mut harness, Wish::Run(Command::Units));
    assert!(!harness.state().view.proposals.is_stale(), "switching units changes how numbers are written, no more");
    assert!(says(&harness, " ac of wet land") && !says(&harness, " ha of"));
    let mut plan = bare(first());
    plan.price_list = plan::PriceList::of(Units::Metric);
    let harness = proposed(plan);
    assert!(says(&harness, "no prices yet") && says(&harness, "told apart by their pipe"));
    assert!(says(&harness, "the one with the least pipe first") && !says(&harness, "the cheapest first"));
    assert!(says(&harness, "1, ") && !says(&harness, "about $0"));
}

/// By keyboard alone: the command, a look, and a step back.
#[test]
fn the_keyboard_reaches_all_of_it() {
    let mut harness = window(bare(first()));
    harness.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::F);
    harness.run_steps(6);
    let name = names(&harness)[0].clone();
    harness.get_by_label(&format!("Look at {name}")).focus();
    harness.run_steps(2);
    hand::press(&mut harness, Key::Enter);
    assert_eq!(harness.state().view.proposed().unwrap().name, name);
    let dot = format!("1, {name}: ");
    harness.query_all_by_label_contains(&dot).next().unwrap().focus();
    harness.run_steps(2);
    hand::press(&mut harness, Key::Enter);
    assert!(harness.state().view.proposed().is_none(), "a dot looks at it, and once more does not");
}
