//! Rain on the map: how much is poured on what land, and how it is looked at.

use drawing::rain::Rainfall;
use egui::{Button, ComboBox, RichText, Slider, Ui, vec2};
use hydraulics::{CURVE_NUMBERS, Group};
use measure::{INCH_M, Units, how_many, parse_rain};

use super::super::super::Sight;
use super::LARGE;
use crate::canvas::clock;
use crate::command::Command;
use crate::shower::{SPEEDS, Shower};
use crate::theme::bold;
use crate::wish::Wish;

/// Least and greatest rain that can be poured, inches and millimetres.
const AMOUNTS: [(f64, f64); 2] = [(0.1, 8.0), (2.0, 200.0)];
/// How long it may take to fall, and its words.
const LASTS: [(f64, &str); 6] = [
    (900.0, "15 minutes"),
    (1800.0, "half an hour"),
    (3600.0, "1 hour"),
    (3.0 * 3600.0, "3 hours"),
    (6.0 * 3600.0, "6 hours"),
    (24.0 * 3600.0, "24 hours"),
];
/// How readily soil takes water in.
const GROUPS: [(Group, &str); 4] = [
    (Group::A, "readily: deep sand (A)"),
    (Group::B, "well: loam (B)"),
    (Group::C, "slowly: clay loam (C)"),
    (Group::D, "hardly: clay, or wet ground (D)"),
];

/// Shows the controls and what the rain has done so far.
pub fn card(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    if sight.session.ground().is_none() {
        ui.label("Rain needs ground to fall on: bring the ground in first.");
        return;
    }
    let units = sight.session.plan().title.units;
    buttons(ui, &mut sight.view.shower, wishes);
    amount(ui, &mut sight.view.shower.rainfall, units);
    land(ui, &mut sight.view.shower.rainfall);
    speed(ui, &mut sight.view.shower);
    ui.add_space(4.0);
    so_far(ui, sight, units);
}

/// Begin, hold, a step on, and off the map.
fn buttons(ui: &mut Ui, shower: &mut Shower, wishes: &mut Vec<Wish>) {
    let words = match shower.clock {
        Some(clock) if clock.runs => "Hold",
        Some(clock) if clock.time_s < shower.lasts_s() => "Go on",
        _ => "Let it rain",
    };
    ui.horizontal(|ui| {
        let width = (ui.available_width() - 2.0 * ui.spacing().item_spacing.x) / 3.0;
        let large = |ui: &mut Ui, words: &str, key: &str| {
            let button = Button::new(RichText::new(words).strong()).min_size(vec2(width, LARGE));
            ui.add(button).on_hover_text(key).clicked()
        };
        if large(ui, words, "R") {
            wishes.push(Wish::Run(Command::PlayRain));
        }
        if large(ui, "5 min on", ".") {
            wishes.push(Wish::Run(Command::StepRain));
        }
        if shower.clock.is_some() && large(ui, "Dry again", "Takes the rain off the map") {
            shower.end();
        }
    });
}

/// How much falls, and in what time.
fn amount(ui: &mut Ui, rainfall: &mut Rainfall, units: Units) {
    let (unit_m, (least, most)) = if units.is_metric() { (1e-3, AMOUNTS[1]) } else { (INCH_M, AMOUNTS[0]) };
    let mut amount = rainfall.depth_m / unit_m;
    let slider = Slider::new(&mut amount, least..=most)
        .logarithmic(true)
        .custom_formatter(move |value, _| units.rain(value * unit_m))
        .custom_parser(move |text| parse_rain(text, units).ok().map(|depth_m| depth_m / unit_m))
        .text("of rain");
    if ui.add(slider).changed() {
        rainfall.depth_m = amount * unit_m;
    }
    let now = LASTS.iter().find(|(lasts_s, _)| *lasts_s == rainfall.lasts_s).map_or("", |(_, words)| words);
    ComboBox::from_label("to fall in").selected_text(now).show_ui(ui, |ui| {
        for (lasts_s, words) in LASTS {
            ui.selectable_value(&mut rainfall.lasts_s, lasts_s, words);
        }
    });
}

/// What it falls on.
fn land(ui: &mut Ui, rainfall: &mut Rainfall) {
    let cover = CURVE_NUMBERS.get(rainfall.cover).map_or("", |(words, _)| words);
    ComboBox::from_label("land").selected_text(cover).width(200.0).show_ui(ui, |ui| {
        for (k, (words, _)) in CURVE_NUMBERS.iter().enumerate() {
            ui.selectable_value(&mut rainfall.cover, k, *words);
        }
    });
    let group = GROUPS.iter().find(|(group, _)| *group == rainfall.group).map_or("", |(_, words)| words);
    ComboBox::from_label("soil takes water").selected_text(group).width(200.0).show_ui(ui, |ui| {
        for (group, words) in GROUPS {
            ui.selectable_value(&mut rainfall.group, group, words);
        }
    });
}

/// How much faster than real the clock runs.
fn speed(ui: &mut Ui, shower: &mut Shower) {
    ComboBox::from_label("faster than real").selected_text(format!("{} times", shower.speed)).show_ui(ui, |ui| {
        for speed in SPEEDS {
            ui.selectable_value(&mut shower.speed, speed, format!("{speed} times"));
        }
    });
}

/// What the rain has done so far, and how it is worked out.
fn so_far(ui: &mut Ui, sight: &Sight, units: Units) {
    let soft = sight.view.palette().soft_ink;
    let shower = &sight.view.shower;
    let runs_off = shower.rainfall.ran_off_m(shower.rainfall.lasts_s);
    let text = format!(
        "Of {} about {} run off, the rest soaks in.",
        units.rain(shower.rainfall.depth_m),
        units.rain(runs_off)
    );
    ui.label(RichText::new(text).font(bold(14.0 * sight.view.lesson.scale())));
    if let Some((rain, time_s)) = shower.falling() {
        let gauge = rain.gauge(time_s);
        ui.label(hollows(gauge.hollows, gauge.full, rain.first_spill_s()));
        ui.label(format!(
            "{} stand in hollows, {} are on their way over the ground, {} have left the land shown.",
            water(gauge.stands_m3, units),
            water(gauge.moves_m3, units),
            water(gauge.left_m3, units)
        ));
    }
    if let Some((flow_m3s, time_s)) = shower.passing.as_ref().and_then(|passing| passing.most) {
        ui.label(format!("Where you clicked {} pass at the most, after {}.", units.flow(flow_m3s), clock(time_s)));
    }
    let notes = format!(
        "Estimates for teaching. How much runs off: curve number {}, TR-55. How fast: the speed of shallow water on that slope \
         and land, HEC-22. The clock runs faster than real. Water that soaks in takes hours to days to reach a pipe; here it is \
         shown there after a quarter of an hour.",
        shower.rainfall.curve_number()
    );
    ui.label(RichText::new(notes).small().color(soft));
}

/// What the hollows do.
fn hollows(all: usize, full: usize, first_s: Option<f64>) -> String {
    match (all, full, first_s) {
        (0, ..) => "No hollow holds water back on this land.".into(),
        (_, 0, None) => format!("{}: this rain fills none of them.", how_many(all, "hollow")),
        (_, 0, Some(first_s)) => {
            format!("{} filling; the first spills after {}.", how_many(all, "hollow"), clock(first_s))
        }
        (_, _, first_s) => {
            format!(
                "{full} of {} full and spilling, the first after {}.",
                how_many(all, "hollow"),
                clock(first_s.unwrap_or(0.0))
            )
        }
    }
}

/// A volume of water: `1,200 gal`, `4.5 m³`.
fn water(volume_m3: f64, units: Units) -> String {
    if units.is_metric() {
        format!("{} m³", measure::thousands(volume_m3, usize::from(volume_m3 < 10.0)))
    } else {
        format!("{} gal", measure::thousands(volume_m3 / measure::GALLON_M3, 0))
    }
}
