//! First layouts by computation, side by side: what each costs and serves, why it runs where it runs, and a way to take it.

mod served;

use egui::{Button, CollapsingHeader, Frame, Margin, Response, RichText, Role, Stroke, Ui, WidgetInfo};
use job::{Session, proposing};
use measure::capital;
use propose::Proposal;

use super::title;
use crate::command::Command;
use crate::panels::next;
use crate::proposals::Search;
use crate::theme::{bold, plain};
use crate::view::View;
use crate::wish::Wish;

/// Shows the section.
pub fn section(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    if *view.proposals.search() == Search::NotAsked {
        // The next step of a new plan has the very same button.
        if !next::proposes(session) && ui.button("Propose a layout").on_hover_text(TIP).clicked() {
            wishes.push(Wish::Run(Command::Propose));
        }
        return;
    }
    ui.add_space(6.0);
    title(ui, "Proposals");
    state(ui, session, view, wishes);
    if view.proposals.found().is_empty() {
        return;
    }
    small(ui, proposing::ESTIMATE);
    if !view.proposals.is_priced() {
        small(ui, "There are no prices yet (stage Dig): layouts are told apart by their pipe.");
    }
    let is_fresh = !view.proposals.is_stale();
    ui.add_enabled_ui(is_fresh, |ui| {
        served::chart(ui, view);
        for number in 0..view.proposals.found().len() {
            ui.push_id(("proposal", number), |ui| card(ui, session, view, number, wishes));
        }
    });
    view.proposals.left_out().iter().for_each(|one| drop(small(ui, capital(&one.told()))));
    if view.proposals.looked_at().is_some() && ui.button("Look no more").clicked() {
        view.proposals.look_at(None);
    }
    ui.separator();
}

/// What the command does, under the pointer.
const TIP: &str = "First layouts by computation: look at each on the map, take one, change it as you like";

/// How far the search is, and a way to begin anew.
fn state(ui: &mut Ui, session: &Session, view: &View, wishes: &mut Vec<Wish>) {
    let proposals = &view.proposals;
    if let Some(taken) = proposals.taken(session.plan()) {
        let name = &taken.name;
        ui.label(format!("The layout \"{name}\" is in the plan: change its lines like any others, or undo."));
    }
    let says = match proposals.search() {
        _ if proposals.is_stale() => "The plan has changed since these were worked out.".into(),
        Search::Going if proposals.found().is_empty() => "Looking for layouts.".into(),
        Search::Going => "Looking for more.".into(),
        Search::Ended(why) => sentence(why),
        Search::NotAsked | Search::Done => {
            let found = measure::how_many(proposals.found().len(), "layout");
            let order = match (proposals.found().len(), proposals.is_priced()) {
                (1, _) => "",
                (_, true) => ", the cheapest first",
                (_, false) => ", the one with the least pipe first",
            };
            format!("{found} found{order}.")
        }
    };
    ui.label(says);
    // It stands there while they come in too, so that no card moves from under the pointer.
    let may = proposals.is_stale() || *proposals.search() != Search::Going;
    if ui.add_enabled(may, Button::new("Propose again")).clicked() {
        wishes.push(Wish::Run(Command::Propose));
    }
}

/// Words as a sentence.
fn sentence(words: &str) -> String {
    format!("{}.", capital(words).trim_end_matches('.'))
}

fn small(ui: &mut Ui, text: impl Into<String>) -> Response {
    ui.label(RichText::new(text.into()).font(plain(12.5)))
}

/// One proposal; that which is looked at has a frame of its colour, and tells why it runs where it runs.
fn card(ui: &mut Ui, session: &Session, view: &mut View, number: usize, wishes: &mut Vec<Wish>) {
    let Some(proposal) = view.proposals.found().get(number).cloned() else { return };
    let palette = view.palette();
    let is_looked_at = view.proposals.looked_at().is_some_and(|other| other.name == proposal.name);
    let edge = if is_looked_at { Stroke::new(2.0, palette.proposed) } else { Stroke::new(1.0, palette.edge) };
    let frame = Frame::new().fill(palette.paper).stroke(edge).corner_radius(4.0);
    let shown = frame.inner_margin(Margin::symmetric(10, 8)).show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 3.0;
        ui.horizontal_wrapped(|ui| {
            served::number(ui, number, is_looked_at, palette);
            ui.label(RichText::new(capital(&proposal.name)).font(bold(14.0)));
        });
        figures(&proposal).into_iter().for_each(|text| drop(small(ui, text)));
        ui.horizontal_wrapped(|ui| buttons(ui, view, &proposal, is_looked_at, wishes));
        if is_looked_at {
            reasons(ui, session, view, &proposal);
        }
    });
    if is_looked_at && std::mem::take(&mut view.proposals.to_sight[0]) {
        ui.scroll_to_rect(shown.response.rect, None);
    }
}

/// What it takes, what it serves, how deep it lies, what was found in it, how near it is to the best.
fn figures(proposal: &Proposal) -> Vec<String> {
    let units = proposal.plan.title.units;
    let takes = format!("{}, {} of pipe", proposing::cost(&proposal.estimate), units.length(proposal.totals.pipe_m));
    let served = proposing::served(units, proposal.served_m2, proposal.wet_m2);
    let first = [takes, served, proposing::drawn(proposal), proposing::found(proposal)];
    let more = proposing::gap(proposal).into_iter().chain(proposing::out_of_reach(proposal));
    first.into_iter().chain(proposing::stays(proposal)).chain(more).collect()
}

/// Why it runs where it runs: as a whole, then line by line.
fn reasons(ui: &mut Ui, session: &Session, view: &View, proposal: &Proposal) {
    ui.label(RichText::new("Why it runs where it runs").font(bold(13.0)));
    if let Some(units) = view.proposals.told_in(session.plan()) {
        let [then, now] = if units.is_metric() { ["meters", "feet"] } else { ["feet", "meters"] };
        small(ui, format!("Told in {then}, as it was worked out; propose again to have it in {now}."));
    }
    proposal.why.iter().for_each(|why| drop(small(ui, why)));
    let lines = &proposal.why_lines;
    let heading = format!("Line by line ({})", lines.len());
    CollapsingHeader::new(heading).id_salt("by line").default_open(lines.len() <= MOST_OPEN).show(ui, |ui| {
        lines.values().for_each(|why| drop(small(ui, why)));
    });
}

/// So many lines are told at once; more are unfolded by who wants them (own choice).
const MOST_OPEN: usize = 12;

fn buttons(ui: &mut Ui, view: &mut View, proposal: &Proposal, is_looked_at: bool, wishes: &mut Vec<Wish>) {
    if named(ui, Button::new("Look").selected(is_looked_at), format!("Look at {}", proposal.name)).clicked() {
        view.proposals.look_at((!is_looked_at).then_some(&proposal.name));
    }
    if named(ui, Button::new("Take this one"), format!("Take {}", proposal.name)).clicked() {
        wishes.push(Wish::TakeLayout(proposal.name.clone()));
    }
}

/// A button whose name tells which proposal it belongs to.
fn named(ui: &mut Ui, button: Button, name: String) -> Response {
    let shown = ui.add(button);
    shown.widget_info(|| WidgetInfo::labeled(Role::Button, shown.enabled(), &name));
    shown
}
