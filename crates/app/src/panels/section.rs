//! The ground along a section: a look at the land without any pipe.

use egui::{RichText, Ui, Vec2};
use egui_plot::Line;
use measure::{Point, Units, path_length};
use terrain::Ground;

use super::profile::plot;
use crate::desk::Desk;
use crate::theme::{Palette, bold, plain};

/// Samples along a section; as many as a wide screen has points.
const SAMPLES: f64 = 2000.0;

/// Heading and chart of the section in hand, nothing without ground; the station under the pointer, metres.
pub fn show(ui: &mut Ui, desk: &Desk) -> Option<f64> {
    let land = desk.session.land()?;
    let units = desk.session.plan().title.units;
    let points = sample(&land.ground, &desk.view.section);
    heading(ui, &points, path_length(&desk.view.section), units, desk.view.palette());
    chart(ui, &points, units, desk.view.palette(), ui.available_size())
}

/// Station and level, metres, finer than the cells; `None` where there is no ground.
fn sample(ground: &Ground, line: &[Point]) -> Vec<(f64, Option<f64>)> {
    let (cell_x_m, cell_y_m) = ground.grid().cell_m();
    let step_m = (path_length(line) / SAMPLES).max(cell_x_m.min(cell_y_m) / 4.0);
    terrain::profile(ground, line, step_m).into_iter().map(|(station_m, _, level_m)| (station_m, level_m)).collect()
}

/// Lowest and highest level, metres.
fn reach(points: &[(f64, Option<f64>)]) -> Option<(f64, f64)> {
    let levels = points.iter().filter_map(|(_, level_m)| *level_m).map(|z| (z, z));
    levels.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
}

fn heading(ui: &mut Ui, points: &[(f64, Option<f64>)], length_m: f64, units: Units, palette: &Palette) {
    ui.horizontal(|ui| {
        ui.label(RichText::new("Section").font(bold(14.0)));
        ui.label(RichText::new("the ground alone, from the first click").font(plain(12.0)).color(palette.soft_ink));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            ui.label(RichText::new(figures(points, length_m, units)).font(plain(12.0)).color(palette.soft_ink));
        });
    });
}

fn figures(points: &[(f64, Option<f64>)], length_m: f64, units: Units) -> String {
    let Some((low_m, high_m)) = reach(points) else { return format!("{}, no ground here", units.length(length_m)) };
    let levels = format!("{} to {} {}", units.level(low_m), units.level(high_m), units.sign());
    let mut text = format!("{}, ground {levels}", units.length(length_m));
    let end = |point: Option<&(f64, Option<f64>)>| point.and_then(|(_, level_m)| *level_m);
    if let Some((first_m, last_m)) = end(points.first()).zip(end(points.last())).filter(|_| length_m > 0.0) {
        text.push_str(&format!(", from end to end {}", units.grade((last_m - first_m) / length_m)));
    }
    let gaps = points.iter().filter(|(_, level_m)| level_m.is_none()).count();
    if gaps > 0 {
        text.push_str(&format!(", {} % without ground", (100 * gaps).div_ceil(points.len())));
    }
    text
}

fn chart(ui: &mut Ui, points: &[(f64, Option<f64>)], units: Units, palette: &Palette, size: Vec2) -> Option<f64> {
    let unit_m = units.length_unit().metres();
    let (low, high) = reach(points).map_or((0.0, 1.0), |(low_m, high_m)| (low_m / unit_m, high_m / unit_m));
    let room = ((high - low) * 0.15).max(0.3 / unit_m);
    let length = points.last().map_or(1.0, |(station_m, _)| station_m / unit_m);
    let shown = plot(size, units, palette, length, (low - room, high + room)).show(ui, |plot| {
        for piece in points.split(|(_, level_m)| level_m.is_none()) {
            let ground: Vec<[f64; 2]> =
                piece.iter().filter_map(|(station_m, z)| Some([station_m / unit_m, (*z)? / unit_m])).collect();
            plot.line(Line::new("ground", ground).color(palette.index_contour).width(2.2));
        }
        plot.pointer_coordinate().filter(|_| plot.response().hovered()).map(|at| at.x * unit_m)
    });
    shown.response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Canvas, true, "Profile of the section"));
    shown.inner
}
