//! Old tile found in the trench: the form, and under it the choices side by side.

use egui::{Button, ComboBox, Grid, Label, RichText, TextEdit, Ui, vec2};
use job::find_form::{CONDITIONS, FindForm};
use job::found::{Weighed, Weighing};
use job::found_words;
use plan::{Material, Plan, Signature};
use record::OnLine;

use super::Sight;
use super::dialog::{Dialog, title};
use crate::theme::{bold, plain};
use crate::weighing::Asked;
use crate::wish::Wish;

/// Width that the choices take side by side, points.
pub const WIDTH: f32 = 1180.0;
/// Width of a field, points.
const FIELD: f32 = 240.0;
/// Type that is read beside the trench, points.
const LARGE: f32 = 16.0;

/// A new form: at a place of a line where one is known, by who signed last, on the plan's day.
pub fn asked(plan: &Plan, on: Option<OnLine>, signed: &Signature) -> Asked {
    let line = on.and_then(|on| plan.lines.get(&on.line)).map(|line| line.name.clone()).unwrap_or_default();
    let station = on.map(|on| measure::station(on.station_m, plan.title.units)).unwrap_or_default();
    let form = FindForm { line, station, by: signed.by.clone(), at: signed.on.clone(), ..FindForm::default() };
    Asked { form, keep: false }
}

/// Shows the form and the choices; choosing one is one edit.
pub fn show(ui: &mut Ui, sight: &Sight, wishes: &mut Vec<Wish>, mut asked: Box<Asked>) -> Option<Dialog> {
    title(ui, "Old tile found in the trench");
    let mut stay = true;
    let height = ui.ctx().content_rect().height() - 150.0;
    // Of one height, so that nothing moves under the pointer when the choices come.
    let scroll =
        super::scrolling(ui.ctx()).auto_shrink([false, false]).min_scrolled_height(height).max_height(height);
    scroll.show(ui, |ui| {
        form(ui, sight.session.plan(), &mut asked);
        ui.separator();
        match asked.form.read(sight.session.plan()) {
            Err(missing) => drop(ui.label(RichText::new(missing.to_string()).font(plain(LARGE)))),
            Ok(_) => stay = choices(ui, sight, wishes, &asked),
        }
    });
    ui.horizontal(|ui| {
        ui.label(RichText::new(plan::CAUTION_SHORT).font(plain(11.5)));
    });
    if ui.button(RichText::new("Close").font(plain(LARGE))).clicked() {
        stay = false;
    }
    stay.then_some(Dialog::Found(asked))
}

/// The fields, three beside each other.
fn form(ui: &mut Ui, plan: &Plan, asked: &mut Asked) {
    let form = &mut asked.form;
    ui.push_id("found form", |ui| {
        Grid::new("fields").num_columns(6).spacing(vec2(12.0, 8.0)).show(ui, |ui| {
            lines(ui, plan, &mut form.line);
            field(ui, "Station", &mut form.station, "4+37");
            field(ui, "or place", &mut form.place, "easting, northing");
            ui.end_row();
            field(ui, "Invert", &mut form.invert, "level");
            field(ui, "Size", &mut form.size, "4 in");
            listed(ui, "Material", &mut form.material, &Material::ALL);
            ui.end_row();
            field(ui, "Falls toward", &mut form.falls, "S, 185, from left");
            field(ui, "Running", &mut form.running, "5 gal in 22 s, dry");
            field(ui, "Silt", &mut form.silt, "depth");
            ui.end_row();
            listed(ui, "Condition", &mut form.condition, &CONDITIONS);
            field(ui, "Land above", &mut form.upstream, "area");
            field(ui, "Photo", &mut form.photo, "its file");
            ui.end_row();
            field(ui, "Who", &mut form.by, "name");
            field(ui, "When", &mut form.at, "YYYY-MM-DD");
            field(ui, "Note", &mut form.note, "and why so");
            ui.end_row();
        });
    });
    ui.horizontal(|ui| {
        let large = |text: &str| RichText::new(text).font(plain(LARGE));
        ui.checkbox(&mut form.beyond, large("Water comes from beyond the boundary"));
        ui.checkbox(&mut asked.keep, large("Leave every planned line as it is"));
    });
}

fn field(ui: &mut Ui, name: &str, text: &mut String, hint: &str) {
    let label = ui.label(RichText::new(name).font(plain(LARGE)));
    let field = TextEdit::singleline(text).hint_text(hint).font(plain(LARGE)).margin(vec2(6.0, 6.0));
    ui.add_sized(vec2(FIELD, 32.0), field).labelled_by(label.id);
}

fn lines(ui: &mut Ui, plan: &Plan, name: &mut String) {
    let label = ui.label(RichText::new("Line").font(plain(LARGE)));
    let shown = RichText::new(if name.is_empty() { "choose" } else { name.as_str() }).font(plain(LARGE));
    let list = ComboBox::from_id_salt("line").selected_text(shown).width(FIELD).show_ui(ui, |ui| {
        for line in plan.lines.values().filter(|line| !line.kind.is_old()) {
            ui.selectable_value(name, line.name.clone(), RichText::new(&line.name).font(plain(LARGE)));
        }
    });
    list.response.labelled_by(label.id);
}

fn listed<T: PartialEq + Copy>(ui: &mut Ui, name: &str, value: &mut T, words: &[(T, &str)]) {
    let label = ui.label(RichText::new(name).font(plain(LARGE)));
    let shown = words.iter().find(|(other, _)| other == value).map_or("", |(_, word)| word);
    let list = ComboBox::from_id_salt(name).selected_text(RichText::new(shown).font(plain(LARGE))).width(FIELD);
    let list = list.show_ui(ui, |ui| {
        for (other, word) in words {
            ui.selectable_value(value, *other, RichText::new(*word).font(plain(LARGE)));
        }
    });
    list.response.labelled_by(label.id);
}

/// The choices, weighed beside the window; false once one was chosen.
fn choices(ui: &mut Ui, sight: &Sight, wishes: &mut Vec<Wish>, asked: &Asked) -> bool {
    let is_known = sight.weigher.is_some_and(|weigher| weigher.is_of(asked, sight.session));
    if !is_known {
        wishes.push(Wish::Weigh(Box::new(asked.clone())));
    }
    let (answer, busy) = sight.weigher.map_or((None, true), |weigher| weigher.answer());
    let fresh = is_known && !busy;
    match answer {
        None => drop(ui.label(RichText::new("weighing the choices…").font(plain(LARGE)))),
        Some(Err(why)) => drop(ui.colored_label(ui.visuals().error_fg_color, why)),
        Some(Ok(weighing)) => {
            let chosen = ui.add_enabled_ui(fresh, |ui| side_by_side(ui, sight.session.plan(), weighing)).inner;
            if let Some(weighed) = chosen {
                wishes.push(Wish::Edit(weighed.edit.clone()));
                return false;
            }
        }
    }
    true
}

/// What is known of it, and a column for each choice; the one that was chosen.
fn side_by_side<'a>(ui: &mut Ui, plan: &Plan, weighing: &'a Weighing) -> Option<&'a Weighed> {
    for say in found_words::head(weighing, plan) {
        ui.label(RichText::new(say).font(plain(15.0)));
    }
    ui.add_space(8.0);
    let columns = weighing.choices.len() as f32;
    let width = ((ui.available_width() - 130.0) / columns - 14.0).max(110.0);
    let mut chosen = None;
    Grid::new("choices").num_columns(weighing.choices.len() + 1).spacing(vec2(14.0, 6.0)).striped(true).show(
        ui,
        |ui| {
            ui.label(RichText::new("Choose").font(bold(LARGE)));
            for weighed in &weighing.choices {
                if choose(ui, width, &found_words::title(weighed, plan.title.units)) {
                    chosen = Some(weighed);
                }
            }
            ui.end_row();
            for row in found_words::rows(weighing, plan) {
                ui.label(RichText::new(row.what).font(plain(13.0)));
                for cell in row.cells {
                    column(ui, width, |ui| drop(ui.add(Label::new(RichText::new(cell).font(plain(15.0))).wrap())));
                }
                ui.end_row();
            }
            sentences(ui, "First", width, weighing.choices.iter().map(|weighed| weighed.asked.clone()));
            let changes = weighing.choices.iter().map(|weighed| found_words::changes(weighed, plan));
            sentences(ui, "Findings", width, changes);
        },
    );
    chosen
}

/// A row of sentences.
fn sentences(ui: &mut Ui, what: &str, width: f32, columns: impl Iterator<Item = Vec<String>>) {
    column(ui, 0.0, |ui| drop(ui.label(RichText::new(what).font(plain(13.0)))));
    for says in columns {
        column(ui, width, |ui| {
            says.iter().for_each(|say| drop(ui.add(Label::new(RichText::new(say).font(plain(13.5))).wrap())));
        });
    }
    ui.end_row();
}

/// The button of a choice at the head of its column; true where it is taken.
fn choose(ui: &mut Ui, width: f32, name: &str) -> bool {
    let button = Button::new(RichText::new(name).font(bold(15.0))).wrap().min_size(vec2(width, 48.0));
    let mut chosen = false;
    column(ui, width, |ui| {
        let button = ui.add(button);
        let words = format!("Choose: {name}");
        button.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, ui.is_enabled(), words.clone()));
        chosen = button.on_hover_text("Into the record and the plan, as one step that can be undone").clicked();
    });
    chosen
}

/// A cell of a column's width.
fn column(ui: &mut Ui, width: f32, add: impl FnOnce(&mut Ui)) {
    ui.vertical(|ui| {
        ui.set_width(width);
        add(ui);
    });
}

/// Finds of the record on the card of the stage, and the way to the form.
pub fn card(ui: &mut Ui, sight: &Sight, wishes: &mut Vec<Wish>) {
    let plan = sight.session.plan();
    ui.add_space(8.0);
    let button = Button::new(RichText::new("Old tile found…").font(bold(LARGE))).min_size(vec2(220.0, 40.0));
    let tip = "Beside the trench: the form and the five choices";
    if ui.add(button).on_hover_text(tip).clicked() {
        wishes.push(Wish::Found(None));
    }
    for find in plan.record.finds() {
        let on = record::trench_of(plan, &find.spot);
        let place = on.map_or("off the lines".into(), |on| {
            format!("{} of {}", measure::station(on.station_m, plan.title.units), plan.lines[&on.line].name)
        });
        let state = find.decided.as_ref().map_or("undecided", |decided| decided.what.word());
        if ui.button(format!("Found at {place}: {state}")).on_hover_text("Open it, and decide").clicked() {
            wishes.push(Wish::Decide(find.key.clone()));
        }
    }
}
