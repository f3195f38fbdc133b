//! The card of a ditch or culvert.

use egui::{RichText, Ui};
use plan::{WatercourseId, WatercourseKind};

use super::{choice, name_of, places, row, table, text_field, title};
use crate::theme::plain;
use crate::view::Selection;
use crate::wish::Wish;
use job::Session;

/// Shows it.
pub fn card(ui: &mut Ui, session: &Session, id: WatercourseId, wishes: &mut Vec<Wish>) {
    let plan = &session.worked().plan;
    let course = &plan.watercourses[&id];
    let units = plan.title.units;
    let mut next = course.clone();
    title(ui, format!("{}   {}", course.name, course.kind.word()));
    table(ui, "watercourse", |ui| {
        if let Some(name) = text_field(ui, "Name", course.name.clone(), name_of) {
            next.name = name;
        }
        let kinds = [WatercourseKind::Ditch, WatercourseKind::Culvert].map(|kind| (kind, kind.word()));
        choice(ui, "Kind", &mut next.kind, &kinds);
        row(ui, "Length", units.length(measure::path_length(&course.points)));
        let level = |at| session.ground().and_then(|ground| ground.elevation(at));
        let (first, last) = (course.points[0], course.points[course.points.len() - 1]);
        for (name, at) in [("Ground at its first end", first), ("Ground at its other end", last)] {
            let shown =
                level(at).map_or("none".into(), |level_m| format!("{} {}", units.level(level_m), units.sign()));
            row(ui, name, shown);
        }
    });
    let told = "Where water goes and the swales follow it. Ground, contours and profiles stay as measured.";
    ui.label(RichText::new(told).font(plain(12.0)));
    if next != *course {
        wishes.push(Wish::Edit(plan::set_watercourse(id, next)));
    }
    places::of_watercourse(ui, session, id, wishes);
    if ui.button(format!("Delete {}", course.kind.word())).clicked() {
        wishes.extend(plan::remove_watercourse(session.plan(), id).map(Wish::Edit));
        wishes.push(Wish::Select(Selection::Nothing));
    }
}
