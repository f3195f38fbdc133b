//! How sure the plan is: what is stated of the ground, and what came of it line by line, in money, and in shots to take.

use egui::{Button, CollapsingHeader, RichText, Sense, Stroke, Ui, vec2};
use job::Session;
use job::certainty::{self, ESTIMATE, NO_SHOT};
use measure::{capital, point_at};
use plan::Plan;
use propose::certainty::{Certainty, Chance, Errors, Place, Whence};

use super::{table, title};
use crate::canvas::target_mark;
use crate::certainty::SureAnswer;
use crate::command::Command;
use crate::panels::field::wide_field;
use crate::theme::{bold, plain};
use crate::view::{Switch, View};
use crate::wish::Wish;

/// Chances that are told at once, the worst; the rest once it is opened (own choice: a screen's worth).
const FIRST: usize = 8;
/// What breaks more often is not worth a row of its own at once: the punch list has it (own choice).
const SURE: f64 = 0.99;
/// Moves that are told, the largest (own choice).
const MOST_MOVES: usize = 6;

/// Shows the section.
pub fn section(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    ui.separator();
    title(ui, "How sure is this plan");
    asked(ui, session, view, wishes);
    let Some(answer) = view.sure.answer.clone() else {
        let text = "Draws the ground a thousand times as it may be and digs the plan as staked: which limits break, what it \
                    costs, and where one more shot settles most. An estimate.";
        small(ui, text);
        return;
    };
    let is_fresh = answer.revision == session.history().revision();
    if !is_fresh {
        ui.label(RichText::new("The plan has changed since. This is of the plan as it was:").font(bold(12.5)));
    }
    // Units may be others since.
    let plan = if is_fresh { session.plan() } else { &answer.worked.plan };
    ui.add_enabled_ui(is_fresh, |ui| told(ui, plan, (view, &answer), wishes));
    ui.separator();
}

fn small(ui: &mut Ui, text: impl Into<String>) {
    ui.label(RichText::new(text).font(plain(12.5)));
}

/// What is stated of the ground, and the button that asks.
fn asked(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let units = session.plan().title.units;
    let shown = view.sure.stated.ground_m.map(|error_m| units.amount(error_m)).unwrap_or_default();
    let hint = units.amount(usual_m(view));
    table(ui, "how sure", |ui| {
        let read = |text: &str| certainty::read_accuracy(text, units);
        if let Some(stated) = wide_field(ui, ("Ground is off by, if known", 90.0), (shown, &hint), read) {
            view.sure.stated = stated;
            // What is told follows what is stated.
            wishes.extend(view.sure.answer.is_some().then_some(Wish::Run(Command::HowSure)));
        }
    });
    ui.horizontal_wrapped(|ui| {
        let can = Command::HowSure.is_enabled(session, view);
        let word = if view.sure.answer.is_some() { "Ask again" } else { "How sure is it?" };
        let hint = "From ground, lines and levels as they stand; a second or two, beside the window";
        let why_not = "Bring the ground in and draw a line first; corrections of the survey must be laid.";
        let button = ui.add_enabled(can, Button::new(RichText::new(word).font(bold(14.0))));
        if button.on_hover_text(hint).on_disabled_hover_text(why_not).clicked() {
            wishes.push(Wish::Run(Command::HowSure));
        }
        if view.sure.answer.is_some() {
            let crew = ui.add_enabled(can, Button::new("Print the crew page…"));
            if crew.on_hover_text("A PDF with the shots that are asked for and their coordinates").clicked() {
                wishes.push(Wish::Run(Command::WriteCrew));
            }
        }
    });
}

/// What stands where nothing is stated: what was found of a grid, else a tenth of a meter, as lidar is often said to be off by.
fn usual_m(view: &View) -> f64 {
    let errors = view.sure.answer.as_ref().map(|answer| &answer.sure.errors);
    errors.filter(|errors| !matches!(errors.whence, Whence::Between(_))).map_or(0.1, Errors::ground_m)
}

/// All that came of it.
fn told(ui: &mut Ui, plan: &Plan, (view, answer): (&View, &SureAnswer), wishes: &mut Vec<Wish>) {
    let certainty = &answer.sure.certainty;
    small(ui, certainty::errors_words(plan, &answer.sure.errors));
    chances(ui, plan, certainty, wishes);
    heading(ui, "What it costs");
    match certainty::cost_words(plan, certainty) {
        Some(cost) => small(ui, cost),
        None => small(ui, "The plan has no price for what hangs on depth."),
    }
    places(ui, plan, (view, certainty), wishes);
    moved(ui, plan, view.sure.before.as_ref(), certainty);
    small(ui, ESTIMATE);
}

fn heading(ui: &mut Ui, text: &str) {
    ui.add_space(4.0);
    ui.label(RichText::new(text).font(bold(13.5)));
}

/// Line by line, the worst first.
fn chances(ui: &mut Ui, plan: &Plan, certainty: &Certainty, wishes: &mut Vec<Wish>) {
    heading(ui, "Broken when dug as staked");
    let (sure, open): (Vec<&Chance>, Vec<&Chance>) =
        certainty::worst_first(certainty).into_iter().partition(|chance| chance.chance > SURE);
    if !sure.is_empty() {
        let words = format!("{}: over 99 of 100", measure::how_many(sure.len(), "limit"));
        CollapsingHeader::new(words).show(ui, |ui| chance_rows(ui, plan, ("sure to break", &sure), wishes));
    }
    let (first, rest) = open.split_at(open.len().min(FIRST));
    chance_rows(ui, plan, ("worst chances", first), wishes);
    if !rest.is_empty() {
        let words = format!("{} more, less often broken", rest.len());
        CollapsingHeader::new(words).show(ui, |ui| chance_rows(ui, plan, ("other chances", rest), wishes));
    }
    certainty::others_words(certainty).into_iter().for_each(|text| small(ui, text));
}

fn chance_rows(ui: &mut Ui, plan: &Plan, (name, rows): (&str, &[&Chance]), wishes: &mut Vec<Wish>) {
    for (i, chance) in rows.iter().enumerate() {
        ui.push_id((name, i), |ui| {
            ui.horizontal_wrapped(|ui| {
                ui.spacing_mut().item_spacing = vec2(0.0, 1.0);
                ui.label(RichText::new(format!("{}   ", certainty::of_hundred(chance.chance))).font(bold(12.5)));
                place_link(ui, plan, chance, wishes);
                let what = certainty::limit_words(plan, chance.line, chance.limit);
                let what = RichText::new(format!(": {what}")).font(plain(12.5));
                ui.label(what).on_hover_text(certainty::kept_words(plan, chance));
            });
        });
    }
}

/// Where a limit is kept least, as a way to there.
fn place_link(ui: &mut Ui, plan: &Plan, chance: &Chance, wishes: &mut Vec<Wish>) {
    let (line, station_m) = (plan.lines.get(&chance.line), chance.station_m.unwrap_or(0.0));
    let at = line.and_then(|line| point_at(&line.points, station_m));
    let words = RichText::new(certainty::where_words(plan, chance)).font(plain(12.5));
    let link = ui.link(words.color(ui.visuals().hyperlink_color));
    if link.on_hover_text("Show it on map and profile").clicked() {
        wishes.extend(at.map(|at| Wish::Center(at, (chance.line, station_m))));
    }
}

/// The places where one more shot settles most.
fn places(ui: &mut Ui, plan: &Plan, (view, certainty): (&View, &Certainty), wishes: &mut Vec<Wish>) {
    heading(ui, "Where one more shot settles most");
    if certainty.places.is_empty() {
        small(ui, NO_SHOT);
        return;
    }
    if !view.shows(Switch::Wanted) {
        small(ui, "\"Shots asked for\" is switched off among what is on the map.");
    }
    for (i, place) in certainty.places.iter().enumerate() {
        place_row(ui, plan, (view, certainty), (i, place), wishes);
    }
    let tip = "Once they are taken: a table with name, easting, northing and level of each; then ask again";
    if ui.button("Add the levels shot…").on_hover_text(tip).clicked() {
        wishes.push(Wish::Run(Command::AddLevels));
    }
}

fn place_row(
    ui: &mut Ui,
    plan: &Plan,
    (view, certainty): (&View, &Certainty),
    (i, place): (usize, &Place),
    wishes: &mut Vec<Wish>,
) {
    ui.add_space(3.0);
    ui.horizontal(|ui| {
        let (mark, _) = ui.allocate_exact_size(vec2(24.0, 22.0), Sense::hover());
        if view.sure.looked_at == Some(i) {
            ui.painter().circle_stroke(mark.center(), 11.0, Stroke::new(2.5, view.palette().next));
        }
        target_mark(ui.painter(), view.palette(), mark.center(), 3.8);
        let name = format!("{}: {}", capital(&drawing::wanted_name(i)), certainty::place_name(plan, place));
        let link = ui.link(RichText::new(name).font(bold(13.0)).color(ui.visuals().hyperlink_color));
        if link.on_hover_text("Show it on map and profile").clicked() {
            wishes.push(Wish::Center(place.at, (place.line, place.station_m)));
        }
    });
    let level = certainty::level_words(plan, place);
    let settles = certainty::settles_words(plan, certainty, place);
    small(ui, format!("Ground expected at {level}. Settles {settles}."));
}

/// How the chances moved since it was last asked.
fn moved(ui: &mut Ui, plan: &Plan, before: Option<&SureAnswer>, certainty: &Certainty) {
    let Some(before) = before else { return };
    heading(ui, "Since it was asked before");
    let was = (&before.worked.plan, &before.sure.certainty);
    let mut told = certainty::moved_lines(was, (plan, certainty));
    let left = told.pop();
    told.iter().take(MOST_MOVES).for_each(|text| small(ui, text));
    if told.len() > MOST_MOVES {
        small(ui, format!("{} moved less.", measure::how_many(told.len() - MOST_MOVES, "other")));
    }
    left.into_iter().for_each(|text| small(ui, text));
}
