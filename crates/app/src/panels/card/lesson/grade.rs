//! What grade does: the pipe that is looked at, and its dip.

use egui::{RichText, Ui};
use lesson::{GRADES, Topic};
use measure::{INCH_M, INCH_PER_DAY_MS};

use super::super::super::Sight;
use super::{Reach, bold_at, slider};

/// Water of the land and what a pipe sank, in inches.
const FEET: [Reach; 2] = [
    Reach { least: 0.25, most: 1.0, step: 0.125, unit: INCH_PER_DAY_MS },
    Reach { least: 0.0, most: 3.0, step: 0.2, unit: INCH_M },
];
/// The same in millimetres.
const METRIC: [Reach; 2] = [
    Reach { least: 6.0, most: 25.0, step: 0.5, unit: 0.001 / measure::DAY_S },
    Reach { least: 0.0, most: 75.0, step: 5.0, unit: 0.001 },
];

/// Sizes to choose from, as stocked: 3 to 8 in.
const SIZES: usize = 5;

/// Shows both.
pub fn controls(ui: &mut Ui, sight: &mut Sight) {
    let (units, palette) = (sight.session.plan().title.units, sight.view.palette());
    let teaching = &mut sight.view.lesson;
    ui.label(RichText::new("Pipe").color(palette.soft_ink));
    ui.horizontal_wrapped(|ui| {
        for size_m in hydraulics::stocked_sizes_m().into_iter().take(SIZES) {
            ui.selectable_value(&mut teaching.pipe.inside_m, size_m, units.pipe(size_m));
        }
    });
    let [water, sunk] = if units.is_metric() { METRIC } else { FEET };
    slider(ui, "Water to take in a day", &mut teaching.pipe.coefficient_ms, &water, |ms| units.coefficient(ms));
    if teaching.step == Topic::WhatGradeDoes.steps() {
        slider(ui, "Sunk in the middle", &mut teaching.dip.sunk_m, &sunk, |metres| {
            lesson::small_words(metres, units)
        });
        ui.label(RichText::new("Grade").color(palette.soft_ink));
        ui.horizontal_wrapped(|ui| {
            for grade in GRADES {
                ui.selectable_value(&mut teaching.dip.grade, grade, lesson::grade_words(grade));
            }
        });
    }
    let clears = format!(
        "A {} pipe carries its silt out from {} on.",
        units.pipe(teaching.pipe.inside_m),
        lesson::grade_words(teaching.pipe.silt_grade())
    );
    ui.label(RichText::new(clears).font(bold_at(ui, 15.0)));
}
