//! The card of several lines: what is changed on all of them at once.

use std::collections::BTreeSet;

use egui::Ui;
use job::Session;
use measure::how_many;
use plan::{Edit, Line, LineId, LineKind, Plan, Wall};

use super::grading::{Sizing, stock};
use super::{row, table, title};
use crate::command::Command;
use crate::view::View;
use crate::wish::Wish;

/// Shows the card.
pub fn card(ui: &mut Ui, session: &Session, view: &View, wishes: &mut Vec<Wish>) {
    let (plan, lines) = (session.plan(), &view.several);
    let chosen: Vec<&Line> = lines.iter().filter_map(|id| plan.lines.get(id)).collect();
    title(ui, how_many(chosen.len(), "line"));
    let units = plan.title.units;
    table(ui, "several", |ui| {
        row(ui, "Length", units.length(chosen.iter().map(|line| line.length_m()).sum()));
        wishes.extend(size(ui, plan, lines).map(Wish::Edit));
        wishes.extend(kind(ui, plan, lines).map(Wish::Edit));
        wishes.extend(wall(ui, plan, lines).map(Wish::Edit));
    });
    ui.horizontal(|ui| {
        if ui.button("Delete them").clicked() {
            wishes.push(Wish::Run(Command::Delete));
        }
        if ui.button("Select all lines").clicked() {
            wishes.push(Wish::Run(Command::SelectAll));
        }
    });
}

/// One of several words for all lines; the word they share, if they share one, is shown.
fn pick<T: PartialEq + Copy>(ui: &mut Ui, name: &str, shared: Option<T>, words: &[(T, String)]) -> Option<T> {
    let label = ui.label(egui::RichText::new(name).color(ui.visuals().weak_text_color()));
    let shown = words.iter().find(|(value, _)| Some(*value) == shared).map_or("as they are", |(_, word)| word);
    let mut picked = None;
    let list = egui::ComboBox::from_id_salt(name).selected_text(shown).show_ui(ui, |ui| {
        for (value, word) in words {
            if ui.selectable_label(Some(*value) == shared, word).clicked() {
                picked = Some(*value);
            }
        }
    });
    list.response.labelled_by(label.id);
    ui.end_row();
    picked.filter(|value| Some(*value) != shared)
}

/// What all lines have in common.
fn shared<T: PartialEq>(plan: &Plan, lines: &BTreeSet<LineId>, of: impl Fn(&Line) -> T) -> Option<T> {
    let mut values = lines.iter().filter_map(|id| plan.lines.get(id)).map(of);
    let first = values.next()?;
    values.all(|value| value == first).then_some(first)
}

fn size(ui: &mut Ui, plan: &Plan, lines: &BTreeSet<LineId>) -> Option<Edit> {
    let by_flow = Sizing::BY_FLOW.into_iter().map(|(sizing, words)| (sizing, words.to_string()));
    let sizes = stock(plan).into_iter().map(|(size_m, word)| (Sizing::Fixed(size_m), word));
    let words: Vec<(Sizing, String)> = by_flow.chain(sizes).collect();
    let sizing = pick(ui, "Size", shared(plan, lines, Sizing::of), &words)?;
    plan::set_lines(plan, "Change the size", lines.iter().copied(), |line| sizing.give(line))
}

fn kind(ui: &mut Ui, plan: &Plan, lines: &BTreeSet<LineId>) -> Option<Edit> {
    let words = [LineKind::Main, LineKind::Submain, LineKind::Lateral].map(|kind| (kind, kind.word().to_string()));
    let kind = pick(ui, "Kind", shared(plan, lines, |line| line.kind), &words)?;
    let new = lines.iter().copied().filter(|id| plan.lines.get(id).is_some_and(|line| !line.kind.is_old()));
    plan::set_lines(plan, "Change the kind", new, |line| line.kind = kind)
}

fn wall(ui: &mut Ui, plan: &Plan, lines: &BTreeSet<LineId>) -> Option<Edit> {
    let words = Wall::ALL.map(|(wall, word)| (wall, word.to_string()));
    let wall = pick(ui, "Wall", shared(plan, lines, |line| line.wall), &words)?;
    plan::set_lines(plan, "Change the wall", lines.iter().copied(), |line| line.wall = wall)
}
