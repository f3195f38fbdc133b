//! The survey on the Ground card: batches, what is odd about them with the ways out, marks and days, and the log.

use checks::Finding;
use egui::{RichText, Sense, TextEdit, Ui, vec2};
use land::Surveyed;
use plan::{Edit, Remedy, Signature, SurveyBook, signed_level};

use super::Sight;
use super::field;
use crate::canvas::shot_mark;
use crate::command::Command;
use crate::signing;
use crate::theme::{Palette, bold, plain};
use crate::wish::Wish;
use job::Session;

/// Shows the survey; nothing where there is no ground.
pub fn show(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    let (session, palette) = (sight.session, sight.view.palette());
    if session.land().survey.is_none() {
        return;
    }
    ui.add_space(8.0);
    ui.separator();
    ui.label(RichText::new("Survey").font(bold(17.0)));
    batches(ui, session, palette);
    if ui
        .button("Add levels or lidar…")
        .on_hover_text("A further table of levels, or a grid to hold them against")
        .clicked()
    {
        wishes.push(Wish::Run(Command::AddLevels));
    }
    let found = job::words::of_the_survey(&session.worked().findings).map(|finding| sight.known(finding));
    let found: Vec<Finding> = found.collect();
    if found.iter().any(|finding| finding.tried.is_none() || finding.fix().is_some()) {
        ui.label(RichText::new("To correct, sign here").font(bold(13.0)));
        signature(ui, &mut sight.view.signature);
    }
    for (i, finding) in found.iter().enumerate() {
        ui.push_id(i, |ui| choice(ui, sight, finding, wishes));
    }
    marks(ui, session, palette, wishes);
    log(ui, session);
}

fn batches(ui: &mut Ui, session: &Session, palette: &Palette) {
    let worked = session.worked();
    let (Some(survey), units) = (&worked.land.survey, worked.plan.title.units) else { return };
    for (i, row) in land::batch_rows(survey).iter().enumerate() {
        ui.horizontal_top(|ui| {
            let (rect, _) = ui.allocate_exact_size(vec2(16.0, 18.0), Sense::hover());
            shot_mark(ui.painter(), palette, rect.center(), 5.0, i);
            ui.vertical(|ui| {
                ui.spacing_mut().item_spacing.y = 1.0;
                ui.label(RichText::new(format!("Batch {}", row.name)).font(bold(14.0)));
                ui.label(RichText::new(row.words(units)).font(plain(13.0)));
            });
        });
    }
    if let Some(error) = land::error_words(survey, units) {
        ui.label(RichText::new(format!("Error of the surface: {error}")).font(plain(13.0)));
    }
}

/// Fields of the signature: who, when, why.
pub fn signature(ui: &mut Ui, signed: &mut Signature) {
    egui::Grid::new("signature").num_columns(2).spacing(vec2(12.0, 4.0)).show(ui, |ui| {
        let fields = [
            ("Your name", &mut signed.by, ""),
            ("Day", &mut signed.on, "YYYY-MM-DD"),
            ("Because", &mut signed.because, "as found"),
        ];
        for (name, text, hint) in fields {
            let label = ui.label(RichText::new(name).color(ui.visuals().weak_text_color()));
            field::add(ui, TextEdit::singleline(text).hint_text(hint).desired_width(190.0)).labelled_by(label.id);
            ui.end_row();
        }
    });
}

/// One finding of the survey with a button for each way out.
fn choice(ui: &mut Ui, sight: &Sight, finding: &Finding, wishes: &mut Vec<Wish>) {
    let edits = ways_out(sight.session, finding);
    if edits.is_empty() {
        return;
    }
    ui.add_space(4.0);
    let heading = egui::Button::new(RichText::new(&finding.title).font(bold(13.0))).frame(false).wrap();
    if ui.add(heading).on_hover_text(&finding.message).clicked() {
        wishes.push(Wish::Look(finding.check, finding.at));
    }
    let missing = signing::missing_signature(&sight.view.signature);
    ui.horizontal_wrapped(|ui| {
        for edit in edits {
            let button = ui.add_enabled(missing.is_none(), egui::Button::new(&edit.label));
            if button.on_disabled_hover_text(missing.unwrap_or_default()).clicked() {
                wishes.push(Wish::Edit(edit));
            }
        }
    });
}

/// The edits that settle a finding: the remedies that were tried, and of shots in one place each by itself.
fn ways_out(session: &Session, finding: &Finding) -> Vec<Edit> {
    let (plan, Some(survey)) = (session.plan(), &session.worked().land.survey) else { return Vec::new() };
    let either = drop_either(survey, finding).into_iter();
    let either = either.map(|remedy| plan::correct(plan, vec![remedy], &Signature::default()));
    let remedies = finding.tried.iter().flat_map(|tried| tried.remedies.iter().cloned());
    remedies.chain(either).collect()
}

/// Of two shots that disagree in one place, either may go.
fn drop_either(survey: &Surveyed, finding: &Finding) -> Vec<Remedy> {
    let pairs = if finding.check == 107 { &survey.pairs[..] } else { &[] };
    let both = pairs.iter().take(4).flat_map(|(a, b, _)| [*a, *b]);
    both.map(|i| Remedy::LeaveOut { shot: survey.shot_name(i) }).collect()
}

/// Benchmarks, level loops and the day of the last earthwork.
fn marks(ui: &mut Ui, session: &Session, palette: &Palette, wishes: &mut Vec<Wish>) {
    let (plan, book) = (session.plan(), &session.plan().survey);
    let units = plan.title.units;
    ui.add_space(6.0);
    ui.label(RichText::new("Benchmarks").font(bold(13.0)));
    for (i, mark) in book.benchmarks.iter().enumerate() {
        ui.horizontal(|ui| {
            ui.label(format!("{}   {} {}", mark.name, units.level(mark.level_m), units.sign()));
            if ui.small_button("Remove").on_hover_text(format!("Remove {}", mark.name)).clicked() {
                let mut book = book.clone();
                book.benchmarks.remove(i);
                wishes.push(Wish::Edit(plan::set_survey(format!("Remove benchmark {}", mark.name), book)));
            }
        });
    }
    for run in &book.loops {
        let closure = signed_level(run.closure_m(), units);
        ui.label(format!("Loop {}: closes to {closure} over {}", run.name, units.length(run.length_m)));
    }
    let read = |text: &str| job::bring::benchmark(text, plan);
    egui::Grid::new("marks").num_columns(2).spacing(vec2(12.0, 4.0)).show(ui, |ui| {
        let hint = "Name, easting, northing, level";
        if let Some(mark) = super::card::text_field(ui, "New benchmark", String::new(), read) {
            let label = format!("Enter benchmark {}", mark.name);
            let mut book = book.clone();
            book.benchmarks.push(mark);
            wishes.push(Wish::Edit(plan::set_survey(label, book)));
        }
        ui.label("");
        ui.label(RichText::new(hint).font(plain(11.5)).color(palette.soft_ink));
        ui.end_row();
        let moved = book.earthwork.clone().unwrap_or_default();
        if let Some(earthwork) = super::card::text_field(ui, "Ground last moved", moved, day) {
            let book = SurveyBook { earthwork, ..book.clone() };
            wishes.push(Wish::Edit(plan::set_survey("Say when ground was last moved", book)));
        }
    });
}

fn day(text: &str) -> Result<Option<String>, String> {
    match text.trim() {
        "" => Ok(None),
        day if plan::is_date(day) => Ok(Some(day.to_string())),
        _ => Err("a day as YYYY-MM-DD".into()),
    }
}

fn log(ui: &mut Ui, session: &Session) {
    let (corrections, units) = (&session.plan().survey.corrections, session.plan().title.units);
    if corrections.is_empty() {
        return;
    }
    ui.add_space(6.0);
    ui.label(RichText::new("Log of corrections").font(bold(13.0)));
    for correction in corrections {
        ui.label(RichText::new(correction.words(units)).font(plain(13.0)));
    }
}
