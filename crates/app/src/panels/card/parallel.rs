//! The grid of parallel laterals that is being laid: what it is asked to be, what comes of it.

use egui::{RichText, Ui};
use plan::{LineKind, Parallel, Plan};

use super::super::Sight;
use super::{length_field, row, table, text_field};
use crate::theme::bold;
use crate::wish::Wish;

/// The grid in hand, or the mains it may be laid off.
pub fn rows(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    let plan = sight.session.plan();
    match &sight.view.grid {
        Some(grid) => in_hand(ui, plan, grid, wishes),
        None => mains(ui, plan, wishes),
    }
    ui.separator();
}

/// For who does not point at the map.
fn mains(ui: &mut Ui, plan: &Plan, wishes: &mut Vec<Wish>) {
    let mains = plan.lines.iter().filter(|(_, line)| matches!(line.kind, LineKind::Main | LineKind::Submain));
    ui.horizontal_wrapped(|ui| {
        for (id, line) in mains {
            if ui.button(format!("Off {}", line.name)).clicked() {
                let middle = measure::point_at(&line.points, line.length_m() / 2.0);
                let grid = middle.and_then(|at| job::parallel::begin(plan, *id, at));
                wishes.push(Wish::Grid(grid));
            }
        }
    });
}

fn in_hand(ui: &mut Ui, plan: &Plan, grid: &Parallel, wishes: &mut Vec<Wish>) {
    let mut next = grid.clone();
    figures(ui, plan, &mut next);
    by_rows(ui, plan, &mut next);
    ui.checkbox(&mut next.both_sides, "To both sides of the main");
    ui.checkbox(&mut next.crosses, "May cross utilities and lanes");
    let former = grid.replaced(plan).len();
    if former > 0 {
        ui.checkbox(
            &mut next.replaces,
            format!("In place of the {} there", measure::how_many(former, "parallel lateral")),
        );
    }
    if ui.button("Turn round").on_hover_text("To the other side of the main").clicked() {
        next.bearing_deg = (next.bearing_deg + 180.0).rem_euclid(360.0);
    }
    let laid = grid.lay(plan);
    match &laid {
        Ok(laid) => job::parallel::words(plan, grid, laid).into_iter().for_each(|text| drop(ui.label(text))),
        Err(why) => drop(ui.colored_label(ui.visuals().error_fg_color, why.to_string())),
    }
    ui.horizontal(|ui| {
        let lay = egui::Button::new(RichText::new("Lay them").font(bold(14.0)));
        if ui.add_enabled(laid.is_ok(), lay).clicked() {
            wishes.push(Wish::LayGrid);
        }
        if ui.button("Leave").clicked() {
            wishes.push(Wish::Grid(None));
        }
    });
    if next != *grid {
        wishes.push(Wish::Grid(Some(next)));
    }
}

fn figures(ui: &mut Ui, plan: &Plan, next: &mut Parallel) {
    let units = plan.title.units;
    table(ui, "grid", |ui| {
        row(ui, "Off", plan.object_name(next.main).unwrap_or_default());
        if let Some(spacing_m) = length_field(ui, "Spacing", next.spacing_m, units) {
            next.spacing_m = spacing_m;
        }
        let read = |text: &str| {
            bearing(text).ok_or_else(|| format!("found '{text}', expected degrees from north, 0 to 360"))
        };
        if let Some(bearing_deg) = text_field(ui, "Bearing", format!("{:.1}°", next.bearing_deg), read) {
            next.bearing_deg = bearing_deg;
        }
        if let Some(headland_m) = length_field(ui, "Headland", next.headland_m, units) {
            next.headland_m = headland_m.max(0.0);
        }
    });
}

fn bearing(text: &str) -> Option<f64> {
    let degrees: f64 = text.trim().trim_end_matches('°').trim().parse().ok()?;
    (0.0..=360.0).contains(&degrees).then_some(degrees)
}

/// A row more or fewer between laterals along the rows, or the way to lay them along.
fn by_rows(ui: &mut Ui, plan: &Plan, next: &mut Parallel) {
    let Some(rows) = next.block_rows(plan) else { return };
    ui.horizontal_wrapped(|ui| {
        if next.rows(plan).is_none() {
            if ui.button("Along the rows").clicked() {
                next.bearing_deg = rows.bearing_deg.rem_euclid(360.0);
            }
            return;
        }
        let count = (next.spacing_m / rows.spacing_m).round();
        if ui.add_enabled(count > 1.0, egui::Button::new("One row fewer")).clicked() {
            next.spacing_m = (count - 1.0) * rows.spacing_m;
        }
        if ui.button("One row more").clicked() {
            next.spacing_m = (count + 1.0) * rows.spacing_m;
        }
    });
}
