//! Under the ground: what is set, and how many days it stays wet.

use egui::{Frame, Margin, RichText, Ui};
use lesson::{AIR_WITHIN_DAYS, ROOTS_M, SOILS, wet_words};
use measure::{FOOT_M, INCH_M};

use super::super::super::Sight;
use super::{Reach, bold_at, slider};

/// Spacing, depth of the pipes and rain in feet and inches.
const FEET: [Reach; 3] = [
    Reach { least: 15.0, most: 100.0, step: 1.0, unit: FOOT_M },
    Reach { least: 2.0, most: 5.5, step: 0.1, unit: FOOT_M },
    Reach { least: 0.0, most: 4.0, step: 0.2, unit: INCH_M },
];
/// The same in metres and millimetres.
const METRIC: [Reach; 3] = [
    Reach { least: 5.0, most: 30.0, step: 0.5, unit: 1.0 },
    Reach { least: 0.6, most: 1.7, step: 0.05, unit: 1.0 },
    Reach { least: 0.0, most: 100.0, step: 5.0, unit: 0.001 },
];

/// Shows both.
pub fn controls(ui: &mut Ui, sight: &mut Sight) {
    let units = sight.session.plan().title.units;
    let [spacing, depth, rain] = if units.is_metric() { METRIC } else { FEET };
    let setting = &mut sight.view.lesson.setting;
    let long = |metres: f64| lesson::length_words(metres, units);
    slider(ui, "Spacing", &mut setting.spacing_m, &spacing, long);
    slider(ui, "Depth of the pipe", &mut setting.depth_m, &depth, long);
    let mut kind = SOILS.iter().position(|texture| *texture == setting.texture).unwrap_or_default() as f64;
    let word = |kind: f64| SOILS.get(kind as usize).map_or(String::new(), |texture| texture.word().into());
    let kinds = Reach { least: 0.0, most: (SOILS.len() - 1) as f64, step: 1.0, unit: 1.0 };
    slider(ui, "Soil", &mut kind, &kinds, word);
    setting.texture = SOILS.get(kind as usize).copied().unwrap_or(setting.texture);
    slider(ui, "Rain", &mut setting.rain_m, &rain, |metres| lesson::small_words(metres, units));
    wet(ui, sight);
}

/// Days that the roots stand wet, without pipes and with them.
fn wet(ui: &mut Ui, sight: &mut Sight) {
    let (units, palette) = (sight.session.plan().title.units, sight.view.palette());
    let drying = sight.view.lesson.drying();
    let (without, with) = (wet_words(drying.wet_undrained), wet_words(drying.wet));
    Frame::new().fill(palette.paper).stroke((1.0, palette.edge)).corner_radius(4).inner_margin(Margin::same(10)).show(
        ui,
        |ui| {
            let roots = lesson::roots_words(ROOTS_M, units);
            ui.label(RichText::new(format!("Wet {roots} down, midway, after this rain")).color(palette.soft_ink));
            for (name, days, colour) in
                [("without pipe", without, palette.ink), ("with pipe", with, palette.lateral)]
            {
                ui.horizontal(|ui| {
                    ui.label(name);
                    ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                        ui.label(RichText::new(days).font(bold_at(ui, 18.0)).color(colour));
                    });
                });
            }
            let why = format!(
                "ranges: one soil pit says no more than that. Above the dashed line roots want the air back within {AIR_WITHIN_DAYS} days."
            );
            ui.label(RichText::new(why).small().color(palette.soft_ink));
        },
    );
}
