//! The list of lines under the map: sorted by a column, found by a word, several chosen to be changed at once on their card.
//! Only the rows in sight are laid out.

use std::collections::BTreeSet;

use egui::{Align2, Key, Rect, Response, RichText, Role, ScrollArea, Sense, TextEdit, Ui, WidgetInfo};
use egui::{pos2, vec2};
use job::line_list::{Column, LineRow, listed};
use measure::{how_many, point_at};

use super::rows::keys;
use super::{Sight, field};
use crate::lists::LineList;
use crate::theme::{Palette, bold, plain};
use crate::view::Selection;
use crate::wish::Wish;

/// Height of a row, points.
const ROW: f32 = 22.0;

/// Width of a column, points: as wide as its longest words in either unit.
const fn width(column: Column) -> f32 {
    match column {
        Column::Name => 84.0,
        Column::Kind | Column::Length | Column::Joins | Column::Findings => 70.0,
        Column::Size | Column::Grade => 88.0,
        Column::Cut | Column::Cover => 106.0,
        Column::Pipe => 200.0,
    }
}

/// Each column with its heading, its left edge and its width.
fn columns() -> impl Iterator<Item = (Column, &'static str, f32, f32)> {
    Column::ALL.into_iter().scan(0.0, |left, (column, heading)| {
        let at = *left;
        *left += width(column);
        Some((column, heading, at, width(column)))
    })
}

/// Shows the list.
pub fn show(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    let session = sight.session;
    let list = &mut sight.view.line_list;
    let all = session.worked().line_list();
    let rows = head(ui, list, all, wishes);
    if rows.is_empty() {
        ui.label(if all.is_empty() { "No line is drawn yet." } else { "No line matches." });
        return;
    }
    ScrollArea::horizontal().show(ui, |ui| {
        let wide = columns().map(|(_, _, _, width)| width).sum::<f32>().max(ui.available_width());
        ui.set_width(wide);
        headings(ui, sight);
        body(ui, sight, &rows, wishes);
    });
}

/// What is looked for, how many are shown, and selecting those; answers their rows.
fn head<'a>(ui: &mut Ui, list: &mut LineList, all: &'a [LineRow], wishes: &mut Vec<Wish>) -> Vec<&'a LineRow> {
    let head = ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new("Lines").font(bold(14.0)));
        if ui.small_button("Profile").on_hover_text("The profile of the selected line").clicked() {
            list.open = false;
        }
        let label = ui.label("Find line");
        let find = TextEdit::singleline(&mut list.find).hint_text("L3, main, solid …").desired_width(130.0);
        field::add(ui, find).labelled_by(label.id);
        let rows = listed(all, &list.find, list.by, list.falling);
        ui.label(match rows.len() == all.len() {
            true => how_many(all.len(), "line"),
            false => format!("{} of {} shown", rows.len(), how_many(all.len(), "line")),
        });
        if ui.add_enabled(!rows.is_empty(), egui::Button::new("Select those shown").small()).clicked() {
            wishes.push(Wish::Several(rows.iter().map(|row| row.id).collect()));
        }
        rows
    });
    head.inner
}

/// Headings; a click sorts.
fn headings(ui: &mut Ui, sight: &mut Sight) {
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::hover());
    let palette = sight.view.palette();
    for (column, heading, left, width) in columns() {
        let cell = Rect::from_min_size(pos2(rect.left() + left, rect.top()), vec2(width - 4.0, ROW));
        let response = ui.interact(cell, ui.scope_id().with(("sort by", heading)), Sense::click());
        response.widget_info(|| WidgetInfo::labeled(Role::ColumnHeader, true, format!("Sort by {heading}")));
        let list = &mut sight.view.line_list;
        let mark = if list.by != column { "" } else { [" ↑", " ↓"][usize::from(list.falling)] };
        let colour = if response.hovered() || response.has_focus() { palette.ink } else { palette.soft_ink };
        let at = pos2(cell.left() + 6.0, cell.center().y);
        ui.painter().text(at, Align2::LEFT_CENTER, format!("{heading}{mark}"), bold(12.5), colour);
        if response.clicked() {
            list.sort_by(column);
        }
    }
    ui.painter().hline(rect.x_range(), rect.bottom(), egui::Stroke::new(1.0, palette.edge));
}

fn body(ui: &mut Ui, sight: &mut Sight, rows: &[&LineRow], wishes: &mut Vec<Wish>) {
    ui.spacing_mut().item_spacing.y = 0.0;
    let place = (ui.scope_id().with("rows"), ui.available_rect_before_wrap());
    let keys = keys(ui, place.0, place.1, "List of lines", &mut sight.view.line_list.takes_keys);
    let at = sight.view.line_list.at.and_then(|id| rows.iter().position(|row| row.id == id));
    let stepped = stepped(ui, &keys).map(|step| next(at, step, rows.len()));
    let mut scroll = ScrollArea::vertical().id_salt("lines").auto_shrink([false, false]);
    if let Some(to) = stepped {
        let shift = ui.input(|input| input.modifiers.shift);
        choose(sight, rows, to, (shift, false), wishes);
        // In the middle, so that what comes next is seen too.
        scroll = scroll.vertical_scroll_offset((to as f32 * ROW - ui.available_height() / 2.0).max(0.0));
    }
    let chosen = sight.view.lines();
    let clicked = scroll.show_rows(ui, ROW, rows.len(), |ui, range| {
        range.fold(None, |clicked, i| {
            let is_chosen = chosen.contains(&rows[i].id);
            let response = row(ui, sight, rows[i], is_chosen, i % 2 == 1);
            clicked.or(response.clicked().then_some(i))
        })
    });
    if let Some(i) = clicked.inner {
        let keys_held = ui.input(|input| (input.modifiers.shift, input.modifiers.command));
        choose(sight, rows, i, keys_held, wishes);
        sight.view.line_list.takes_keys = true;
    }
}

/// How many rows a key goes on.
fn stepped(ui: &Ui, list: &Response) -> Option<isize> {
    let steps = [(Key::ArrowDown, 1), (Key::ArrowUp, -1), (Key::PageDown, 10), (Key::PageUp, -10)];
    let pressed = |key| ui.input(|input| input.key_pressed(key));
    steps.into_iter().find(|(key, _)| list.has_focus() && pressed(*key)).map(|(_, step)| step)
}

/// The row so many on from one, no farther than the first and the last.
fn next(at: Option<usize>, step: isize, count: usize) -> usize {
    at.map_or(0, |at| at.saturating_add_signed(step)).min(count - 1)
}

/// Chooses a row as a click with these keys does: alone, with Shift all from the last one on, with Ctrl besides others. The
/// map goes there.
fn choose(sight: &mut Sight, rows: &[&LineRow], i: usize, (shift, command): (bool, bool), wishes: &mut Vec<Wish>) {
    let id = rows[i].id;
    let mut chosen = sight.view.lines();
    let from = sight.view.line_list.from.and_then(|from| rows.iter().position(|row| row.id == from));
    match from {
        Some(from) if shift => {
            chosen = rows[from.min(i)..=from.max(i)].iter().map(|row| row.id).collect();
        }
        _ if command && !chosen.remove(&id) => drop(chosen.insert(id)),
        _ if command => {}
        _ => chosen = BTreeSet::from([id]),
    }
    sight.view.line_list.at = Some(id);
    if !shift || from.is_none() {
        sight.view.line_list.from = Some(id);
    }
    wishes.push(match chosen.len() {
        1 => Wish::Select(chosen.first().map_or(Selection::Nothing, |id| Selection::of(*id))),
        _ => Wish::Several(chosen),
    });
    let line = sight.session.plan().lines.get(&id);
    if let Some(middle) = line.and_then(|line| point_at(&line.points, line.length_m() / 2.0)) {
        sight.view.camera.centre = middle;
    }
}

/// One row.
fn row(ui: &mut Ui, sight: &Sight, row: &LineRow, chosen: bool, odd: bool) -> Response {
    let (palette, units) = (sight.view.palette(), sight.session.plan().title.units);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::ListBoxOption, true, chosen, told(row, units)));
    let fill = match (chosen, response.hovered(), odd) {
        (true, ..) => palette.faint(palette.next, 0.35),
        (_, true, _) => palette.faint(palette.next, 0.15),
        (.., true) => palette.faint(palette.ink, 0.04),
        _ => egui::Color32::TRANSPARENT,
    };
    ui.painter().rect_filled(rect, 0.0, fill);
    cells(ui, row, rect, palette, units);
    response
}

fn cells(ui: &Ui, row: &LineRow, rect: Rect, palette: &Palette, units: measure::Units) {
    for (column, _, left, width) in columns() {
        let cell = Rect::from_min_size(pos2(rect.left() + left, rect.top()), vec2(width - 4.0, ROW));
        let font = if column == Column::Name { bold(13.0) } else { plain(13.0) };
        let painter = ui.painter().with_clip_rect(cell.intersect(ui.clip_rect()));
        let at = pos2(cell.left() + 6.0, cell.center().y);
        painter.text(at, Align2::LEFT_CENTER, column.words(row, units), font, palette.ink);
    }
}

/// A row for who hears it: "Line: L3, Kind: lateral, Length: 236 ft …", without what is not known.
fn told(row: &LineRow, units: measure::Units) -> String {
    let cells = Column::ALL.into_iter().map(|(column, heading)| (heading, column.words(row, units)));
    let known = cells.filter(|(_, words)| !words.is_empty());
    known.map(|(heading, words)| format!("{heading}: {words}")).collect::<Vec<_>>().join(", ")
}
