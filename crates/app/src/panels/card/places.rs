//! The places of what is chosen, each to be typed anew: coordinates, or a length and bearing from the place before.

use egui::{CollapsingHeader, RichText, ScrollArea, Ui};
use job::{Session, placing};
use measure::Point;
use plan::{Field, LandmarkId, LineId, OutletId, Outline, Plan, WatercourseId};

use super::table;
use crate::panels::field::{entry, wide_field};
use crate::theme::plain;
use crate::tools::{move_bend, move_corner, move_turn};
use crate::view::Selection;
use crate::wish::Wish;

/// Widest field of a place, points.
const WIDE: f32 = 180.0;
/// Height of a place with its field and its leg, points.
const ROW: f32 = 44.0;

/// The bends of a line; the one that is chosen stands in sight.
pub fn of_line(ui: &mut Ui, session: &Session, selection: Selection, id: LineId, wishes: &mut Vec<Wish>) {
    let plan = session.plan();
    let Some(line) = plan.lines.get(&id) else { return };
    let chosen = match selection {
        Selection::Bend(_, index) if index < line.points.len() => {
            table(ui, "bend", |ui| field(ui, plan, &line.points, (index, "Bend"))).map(|to| (index, to))
        }
        _ => None,
    };
    let moved = chosen.or_else(|| list(ui, plan, &line.points, ("Bend", false)));
    wishes.extend(moved.and_then(|(index, to)| move_bend(plan, id, index, to)).map(Wish::Edit));
}

/// The place of an outlet.
pub fn of_outlet(ui: &mut Ui, session: &Session, id: OutletId, wishes: &mut Vec<Wish>) {
    let plan = session.plan();
    let Some(outlet) = plan.outlets.get(&id) else { return };
    let moved = table(ui, "place", |ui| {
        wide_field(ui, ("East, north", WIDE), (placing::words(plan, outlet.at), ""), |text| {
            placing::read(plan, text, Some(outlet.at))
        })
    });
    wishes.extend(moved.and_then(|to| plan::move_outlet(plan, id, to)).map(Wish::Edit));
}

/// The bends of a ditch or culvert.
pub fn of_watercourse(ui: &mut Ui, session: &Session, id: WatercourseId, wishes: &mut Vec<Wish>) {
    let plan = session.plan();
    let Some(course) = plan.watercourses.get(&id) else { return };
    let moved = list(ui, plan, &course.points, ("Bend", false));
    wishes.extend(moved.and_then(|(index, to)| move_turn(plan, id, index, to)).map(Wish::Edit));
}

/// The corners of the boundary.
pub fn of_field(ui: &mut Ui, session: &Session, field: &Field, wishes: &mut Vec<Wish>) {
    let moved = list(ui, session.plan(), &field.ring, ("Corner", true));
    wishes.extend(moved.and_then(|(index, to)| move_corner(field, index, to)).map(Wish::Edit));
}

/// The places of a mark.
pub fn of_mark(ui: &mut Ui, session: &Session, id: LandmarkId, wishes: &mut Vec<Wish>) {
    let plan = session.plan();
    let Some(mark) = plan.landmarks.get(&id) else { return };
    let is_area = matches!(mark.outline, Outline::Around(_));
    let Some((index, to)) = list(ui, plan, mark.outline.points(), ("Place", is_area)) else { return };
    let mut next = mark.clone();
    let at = match &mut next.outline {
        Outline::At(at) => Some(at),
        Outline::Along(points) | Outline::Around(points) => points.get_mut(index),
    };
    at.into_iter().for_each(|at| *at = to);
    wishes.push(Wish::Edit(plan::set_landmark(id, next)));
}

/// A place in a row of a table.
fn field(ui: &mut Ui, plan: &Plan, points: &[Point], (i, word): (usize, &str)) -> Option<Point> {
    let from = i.checked_sub(1).and_then(|before| points.get(before)).copied();
    wide_field(ui, (&format!("{word} {} at", i + 1), WIDE), (placing::words(plan, points[i]), ""), |text| {
        placing::read(plan, text, from)
    })
}

/// All places, once they are asked for; only those in sight are laid out. Answers the one that was typed anew.
fn list(ui: &mut Ui, plan: &Plan, points: &[Point], (word, is_ring): (&str, bool)) -> Option<(usize, Point)> {
    let header = CollapsingHeader::new("Coordinates, lengths and bearings");
    let inside = header.show(ui, |ui| {
        let scroll = ScrollArea::vertical().id_salt("places").max_height(260.0).auto_shrink([false, true]);
        scroll.show_rows(ui, ROW, points.len(), |ui, range| {
            range.fold(None, |typed, i| typed.or(place(ui, plan, points, (i, word, is_ring)).map(|to| (i, to))))
        })
    });
    inside.body_returned.and_then(|scroll| scroll.inner)
}

/// One place: its field, and under it the way to the next, or why what was typed is no place.
fn place(ui: &mut Ui, plan: &Plan, points: &[Point], (i, word, is_ring): (usize, &str, bool)) -> Option<Point> {
    let name = format!("{word} {}", i + 1);
    let before = if i == 0 && is_ring { points.len() } else { i };
    let from = before.checked_sub(1).and_then(|before| points.get(before)).copied();
    let next = points.get(i + 1).or(points.first().filter(|_| is_ring));
    ui.allocate_ui(egui::vec2(ui.available_width(), ROW), |ui| {
        ui.set_min_height(ROW - ui.spacing().item_spacing.y);
        let entered = ui
            .horizontal(|ui| {
                ui.label(&name);
                let shown = placing::words(plan, points[i]);
                entry(ui, &name, (shown, ""), WIDE, |text| placing::read(plan, text, from))
            })
            .inner;
        let soft = ui.visuals().weak_text_color();
        match (entered.refused, next) {
            (Some(why), _) => {
                drop(ui.add(egui::Label::new(RichText::new(why).color(ui.visuals().error_fg_color)).wrap()))
            }
            (None, Some(next)) => {
                let leg = format!("on {}", placing::leg_words(plan, points[i], *next));
                ui.label(RichText::new(leg).font(plain(12.0)).color(soft));
            }
            (None, None) => {}
        }
        entered.value
    })
    .inner
}
