//! The punch list: filtered, grouped, gone through by the arrow keys. Only the findings in sight are laid out.

use checks::{Finding, Severity};
use egui::collapsing_header::paint_default_icon;
use egui::{Align, ComboBox, Id, Key, Layout, Rect, RichText, Sense, TextEdit, Ui};
use egui::{pos2, vec2};

use super::{finding_row, title};
use crate::command::Command;
use crate::lists::{Group, Grouping, PunchList};
use crate::panels::{Sight, field, rows};
use crate::theme::{bold, plain};
use crate::wish::Wish;

/// A list no longer than this is read without a filter.
const SHORT: usize = 4;
/// Height of a finding that was not laid out yet, points.
const GUESSED: f32 = 96.0;
/// How far beyond what is in sight findings are laid out, points: what comes next is there when it is scrolled to.
const BEYOND: f32 = 300.0;

/// Shows the list.
pub fn show(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    let findings = &sight.session.worked().findings;
    // A line that is gone hides nothing.
    let lines = &sight.session.plan().lines;
    sight.view.punch.line = sight.view.punch.line.filter(|id| lines.contains_key(id));
    keys(ui, &mut sight.view.punch.takes_keys, wishes);
    title(ui, "Punch list");
    ui.label(RichText::new(job::words::counted(findings)).font(plain(13.0)).color(sight.view.palette().soft_ink));
    if findings.is_empty() {
        ui.label("Nothing found. That is no promise: walk the lines before you dig.");
    }
    let groups = sight.view.punch.groups(findings, &sight.session.worked().plan);
    let shown: usize = groups.iter().map(|group| group.findings.len()).sum();
    if findings.len() > SHORT || shown < findings.len() {
        filter(ui, sight);
        hidden(ui, &mut sight.view.punch, (shown, findings.len()));
    }
    for group in &groups {
        if group.name.is_empty() || heading(ui, sight, group) {
            members(ui, sight, group, wishes);
        }
    }
}

/// The list as one thing that has the keys; it keeps them while what stands over it changes.
fn list_id() -> Id {
    Id::unique("punch list")
}

/// The arrows go from finding to finding while the list has the keys.
fn keys(ui: &Ui, takes: &mut bool, wishes: &mut Vec<Wish>) {
    let line = Rect::from_min_size(ui.cursor().min, vec2(ui.available_width(), 22.0));
    let list = rows::keys(ui, list_id(), line, "Findings", takes);
    for (key, command) in [(Key::ArrowDown, Command::NextFinding), (Key::ArrowUp, Command::FindingBefore)] {
        if list.has_focus() && ui.input(|input| input.key_pressed(key)) {
            wishes.push(Wish::Run(command));
        }
    }
}

/// What is shown and how it is grouped.
fn filter(ui: &mut Ui, sight: &mut Sight) {
    let plan = sight.session.plan();
    let punch = &mut sight.view.punch;
    ui.horizontal_wrapped(|ui| {
        for severity in [Severity::Block, Severity::Decide, Severity::Note] {
            let mut is_shown = !punch.without.contains(&severity);
            if ui.checkbox(&mut is_shown, severity.word()).changed() && !punch.without.remove(&severity) {
                punch.without.insert(severity);
            }
        }
    });
    ui.horizontal_wrapped(|ui| {
        let label = ui.label("Grouped by");
        let by = Grouping::ALL.into_iter().find(|(by, _)| *by == punch.by).map_or("", |(_, word)| word);
        let list = ComboBox::from_id_salt("grouped by").selected_text(by).width(76.0).show_ui(ui, |ui| {
            for (by, word) in Grouping::ALL {
                ui.selectable_value(&mut punch.by, by, word);
            }
        });
        list.response.labelled_by(label.id);
        let label = ui.label("Of line");
        let name = |id| plan.lines.get(&id).map_or("all lines", |line| line.name.as_str());
        let line = punch.line.map_or("all lines", name).to_string();
        let list = ComboBox::from_id_salt("of line").selected_text(line).width(76.0).show_ui(ui, |ui| {
            ui.selectable_value(&mut punch.line, None, "all lines");
            for (id, line) in &plan.lines {
                ui.selectable_value(&mut punch.line, Some(*id), &line.name);
            }
        });
        list.response.labelled_by(label.id);
    });
    ui.horizontal(|ui| {
        let label = ui.label("Find finding");
        let find = TextEdit::singleline(&mut punch.find).hint_text("cover, swale, 26 …").desired_width(150.0);
        field::add(ui, find).labelled_by(label.id);
    });
}

/// What the filter hides is said.
fn hidden(ui: &mut Ui, punch: &mut PunchList, (shown, all): (usize, usize)) {
    if shown < all {
        ui.horizontal(|ui| {
            ui.label(RichText::new(format!("{shown} of {all} shown")).font(bold(13.0)));
            if ui.small_button("Show all").clicked() {
                punch.show_all();
            }
        });
    }
}

/// The name of a group with its counts; a click folds it. True while what is in it is shown.
fn heading(ui: &mut Ui, sight: &mut Sight, group: &Group) -> bool {
    let findings = &sight.session.worked().findings;
    let counts: Vec<String> = [Severity::Block, Severity::Decide, Severity::Note]
        .into_iter()
        .filter_map(|severity| {
            let count = group.findings.iter().filter(|i| findings[**i].severity == severity).count();
            (count > 0).then(|| format!("{count} {}", severity.word()))
        })
        .collect();
    let text = format!("{}: {}", group.name, counts.join(", "));
    ui.add_space(6.0);
    let folded = &mut sight.view.punch.folded;
    let is_open = !folded.contains(&group.name);
    let response = ui
        .with_layout(Layout::left_to_right(Align::Min), |ui| {
            let (rect, icon) = ui.allocate_exact_size(vec2(14.0, 18.0), Sense::hover());
            let icon =
                icon.with_new_rect(Rect::from_center_size(pos2(rect.center().x, rect.top() + 9.0), vec2(10.0, 10.0)));
            paint_default_icon(ui, if is_open { 1.0 } else { 0.0 }, &icon);
            ui.add(egui::Button::new(RichText::new(&text).font(bold(13.5))).frame(false).wrap())
        })
        .inner;
    if response.clicked() && !folded.remove(&group.name) {
        folded.insert(group.name.clone());
    }
    is_open
}

/// The findings of a group; what is out of sight keeps the room it took when it was seen last.
fn members(ui: &mut Ui, sight: &mut Sight, group: &Group, wishes: &mut Vec<Wish>) {
    let findings = &sight.session.worked().findings;
    for i in &group.findings {
        let finding = &findings[*i];
        // The one that is looked at stands at the top of the card.
        if sight.view.finding != Some((finding.check, finding.at)) {
            row(ui, sight, (*i, finding), wishes);
        }
    }
}

fn row(ui: &mut Ui, sight: &mut Sight, (i, finding): (usize, &Finding), wishes: &mut Vec<Wish>) {
    let width = ui.available_width();
    let id = list_id().with((&finding.key, width as i32));
    let height = ui.data(|data| data.get_temp(id)).unwrap_or(GUESSED);
    let place = Rect::from_min_size(ui.cursor().min, vec2(width, height));
    if !ui.is_rect_visible(place.expand(BEYOND)) {
        ui.allocate_rect(place, Sense::hover());
        return;
    }
    let (top, before) = (ui.cursor().top(), wishes.len());
    ui.push_id(i, |ui| finding_row(ui, sight, i, &sight.known(finding), wishes));
    let height = ui.cursor().top() - top - ui.spacing().item_spacing.y;
    ui.data_mut(|data| data.insert_temp(id, height));
    if matches!(wishes.get(before..), Some([.., Wish::Look(..)])) {
        sight.view.punch.takes_keys = true;
    }
}
