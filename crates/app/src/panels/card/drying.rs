//! How the land dries after a rain: what is asked, and what came of it.

use egui::{ComboBox, Grid, RichText, TextEdit, Ui};
use job::Session;
use job::dry::{Answer, Ask, MOST_DAYS, USUAL_EVAPORATION_M, days_words};
use measure::{Units, parse_length};
use plan::Plan;

use super::title;
use crate::layers::{DryForm, Tint};
use crate::theme::{bold, plain};
use crate::view::View;
use crate::wish::Wish;

/// Most rain of a day that is asked about, metres ([judgement]).
const MOST_RAIN_M: f64 = 0.5;

/// Shows the section.
pub fn section(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    title(ui, "How it dries");
    let plan = session.plan();
    let units = plan.title.units;
    ui.horizontal_wrapped(|ui| {
        let rain = ui.label("Rain");
        ui.add(TextEdit::singleline(&mut view.drying.rain).desired_width(72.0)).labelled_by(rain.id);
        let days = ui.label("Days");
        ui.add(TextEdit::singleline(&mut view.drying.days).desired_width(36.0)).labelled_by(days.id);
        let asked = read(&view.drying, plan);
        let button = ui.add_enabled(asked.is_ok(), egui::Button::new("Work out"));
        let hint = "Days wet without drains, with this layout and with those put aside; it may take a minute";
        if button.on_hover_text(hint).clicked() {
            wishes.extend(asked.clone().ok().map(Wish::Dry));
        }
        if let Err(why) = asked {
            ui.label(RichText::new(why).font(plain(12.5)).color(view.palette().to_fix));
        }
    });
    let Some((revision, answer)) = view.drying.answer.clone() else {
        let text = "Tells how long each wet area stays wet after that rain, as a range: an estimate, no promise.";
        ui.label(RichText::new(text).font(plain(12.5)));
        return;
    };
    if revision != session.history().revision() {
        ui.label(RichText::new("Of the plan as it was before the last change:").font(bold(12.5)));
    }
    told(ui, &answer, units);
    map_choice(ui, view, &answer);
}

/// What is typed, or what is wrong with it.
fn read(form: &DryForm, plan: &Plan) -> Result<Ask, String> {
    let rain = parse_length(&form.rain, plan.title.units).map_err(|error| format!("Rain: {error}"))?;
    if !(0.0..=MOST_RAIN_M).contains(&rain) {
        let most = plan.title.units.depth(MOST_RAIN_M);
        return Err(format!("Rain: found '{}', expected up to {most}, such as 2in or 50mm", form.rain.trim()));
    }
    let days = form.days.trim().parse().ok().filter(|days| (1..=MOST_DAYS).contains(days));
    let days = days.ok_or_else(|| format!("Days: found '{}', expected 1 to {MOST_DAYS}", form.days.trim()))?;
    Ok(Ask::rain(plan, rain, days, USUAL_EVAPORATION_M))
}

/// Area by area, case by case.
fn told(ui: &mut Ui, answer: &Answer, units: Units) {
    let looked = answer.ask.days.len();
    for (index, area) in answer.areas.iter().enumerate() {
        ui.label(RichText::new(format!("{} ({})", area.name, units.area(area.area_m2))).font(bold(13.5)));
        Grid::new(("drying", index)).num_columns(2).show(ui, |ui| {
            for case in &answer.cases {
                ui.label(&case.name);
                let wet = &case.wet[index];
                ui.vertical(|ui| {
                    ui.label(format!("roots wet {}", days_words(wet.roots, looked)));
                    ui.label(format!("tractor after {}", days_words(wet.tractor, looked)));
                });
                ui.end_row();
            }
        });
    }
    let small = |ui: &mut Ui, text: &str| ui.label(RichText::new(text).font(plain(12.5)));
    answer.left.iter().for_each(|text| drop(small(ui, text)));
    small(ui, &answer.meaning(units));
    small(ui, Answer::ESTIMATE);
}

/// Which case the map is tinted by.
fn map_choice(ui: &mut Ui, view: &mut View, answer: &Answer) {
    ui.horizontal_wrapped(|ui| {
        let label = ui.label("On the map");
        let is_on = view.layers.tint == Tint::DaysWet;
        let of = |shown: usize| answer.cases.get(shown).map_or("", |case| case.name.as_str());
        let chosen = if is_on { of(view.drying.shown) } else { "nothing" };
        let choice = ComboBox::from_id_salt("drying map").selected_text(chosen).show_ui(ui, |ui| {
            for (number, case) in answer.cases.iter().enumerate() {
                let is_this = is_on && view.drying.shown == number;
                if ui.selectable_label(is_this, format!("days wet {}", case.name)).clicked() {
                    (view.drying.shown, view.layers.tint) = (number, Tint::DaysWet);
                }
            }
        });
        choice.response.labelled_by(label.id);
    });
}
