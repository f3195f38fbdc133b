//! The ground along a section: a look at the land without any pipe.

use egui::{RichText, Ui, Vec2};
use egui_plot::Line;
use measure::{Point, Units, path_length};
use terrain::Profile;

use super::profile::plot;
use crate::theme::{Palette, bold, plain};
use job::Session;

/// Heading and chart of the ground along a path, nothing without ground; the station under the pointer, metres.
pub fn show(
    ui: &mut Ui,
    session: &Session,
    palette: &Palette,
    path: &[Point],
    (name, what): (&str, &str),
) -> Option<f64> {
    let ground = session.ground()?;
    let units = session.plan().title.units;
    let length_m = path_length(path);
    let profile = Profile::along(ground, path);
    heading(ui, (name, what), &figures(&profile, length_m, units), palette);
    chart(ui, &profile, length_m, units, palette, ui.available_size())
}

/// Lowest and highest level, metres.
fn reach(profile: &Profile) -> Option<(f64, f64)> {
    let levels = profile.pieces().iter().map(|piece| (piece.least().value_m, piece.greatest().value_m));
    levels.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
}

fn heading(ui: &mut Ui, (name, what): (&str, &str), figures: &str, palette: &Palette) {
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new(name).font(bold(14.0)));
        for text in [what, figures] {
            ui.label(RichText::new(text).font(plain(12.0)).color(palette.soft_ink));
        }
    });
}

fn figures(profile: &Profile, length_m: f64, units: Units) -> String {
    let Some((low_m, high_m)) = reach(profile) else { return format!("{}, no ground here", units.length(length_m)) };
    let levels = format!("{} to {} {}", units.level(low_m), units.level(high_m), units.sign());
    let mut text = format!("{}, ground {levels}", units.length(length_m));
    if let Some((first_m, last_m)) = profile.level(0.0).zip(profile.level(length_m)).filter(|_| length_m > 0.0) {
        text.push_str(&format!(", from end to end {}", units.grade((last_m - first_m) / length_m)));
    }
    let gaps_m: f64 = profile.gaps(length_m).iter().map(|(from_m, to_m)| to_m - from_m).sum();
    if gaps_m > 0.0 {
        text.push_str(&format!(", {} without ground", units.length(gaps_m)));
    }
    text
}

fn chart(ui: &mut Ui, profile: &Profile, length_m: f64, units: Units, palette: &Palette, size: Vec2) -> Option<f64> {
    let unit_m = units.length_unit().metres();
    let (low, high) = reach(profile).map_or((0.0, 1.0), |(low_m, high_m)| (low_m / unit_m, high_m / unit_m));
    let room = ((high - low) * 0.15).max(0.3 / unit_m);
    let length = (length_m / unit_m).max(1e-3);
    let shown = plot(size, units, palette, length, (low - room, high + room)).show(ui, |plot| {
        for stretch in profile.drawn() {
            let ground: Vec<[f64; 2]> =
                stretch.iter().map(|(at_m, level_m)| [at_m / unit_m, level_m / unit_m]).collect();
            plot.line(Line::new("ground", ground).color(palette.index_contour).width(2.2));
        }
        plot.pointer_coordinate().filter(|_| plot.response().hovered()).map(|at| at.x * unit_m)
    });
    shown.response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Canvas, true, "Profile of the section"));
    shown.inner
}
