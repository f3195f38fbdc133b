//! The job's limits: every threshold of the checks, changed by name and with a reason.

use egui::{RichText, ScrollArea, TextEdit, Ui};
use measure::Units;
use plan::{Criteria, LIMITS, Limit};

use super::dialog::{Dialog, title};
use super::field;
use super::survey::signature;
use crate::command::Command;
use crate::signing;
use crate::view::View;
use crate::wish::Wish;
use job::Session;

/// Limits being changed.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitsAsk {
    next: Criteria,
    texts: Vec<String>,
    filter: String,
}

impl LimitsAsk {
    /// The limits as they stand.
    pub fn of(criteria: &Criteria, units: Units) -> Self {
        let texts = LIMITS.iter().map(|limit| shown(limit, criteria, units)).collect();
        Self { next: criteria.clone(), texts, filter: String::new() }
    }
}

/// A limit as it stands, in the units of the job.
fn shown(limit: &Limit, criteria: &Criteria, units: Units) -> String {
    limit.words((limit.value)(criteria), units)
}

/// Shows the limits.
pub fn show(
    ui: &mut Ui,
    session: &Session,
    view: &mut View,
    wishes: &mut Vec<Wish>,
    mut ask: Box<LimitsAsk>,
) -> Option<Dialog> {
    let units = session.plan().title.units;
    title(ui, "Limits of the job");
    ui.label("Start values are the trade's. A change is kept with your name and reason, and printed on the sheets.");
    let label = ui.label("Find");
    field::add(ui, TextEdit::singleline(&mut ask.filter).hint_text("cover, trees, 26 …")).labelled_by(label.id);
    ScrollArea::vertical().max_height(340.0).show(ui, |ui| {
        egui::Grid::new("limits").num_columns(3).striped(true).show(ui, |ui| {
            for (i, limit) in LIMITS.iter().enumerate().filter(|(_, limit)| wanted(limit, &ask.filter)) {
                limit_row(ui, &mut ask.next, &mut ask.texts[i], limit, (session.plan(), units));
            }
        });
    });
    signature(ui, &mut view.signature);
    let missing = signing::missing_reason(&view.signature);
    missing.iter().for_each(|text| drop(ui.label(*text)));
    let plan = session.plan();
    let changed = ask.next.changed_from(&plan.criteria).count();
    let mut stay = true;
    ui.horizontal(|ui| {
        let ready = changed > 0 && missing.is_none();
        if ui
            .add_enabled(ready, egui::Button::new(format!("Change {}", measure::how_many(changed, "limit"))))
            .clicked()
        {
            let edit = plan::change_limits(session.plan(), ask.next.clone(), &view.signature);
            wishes.push(Wish::Edit(edit));
            stay = false;
        } else if ui.button("Read local rules…").clicked() {
            wishes.push(Wish::Run(Command::ReadRules));
            stay = false;
        } else if ui.button("Close").clicked() {
            stay = false;
        }
    });
    stay.then_some(Dialog::Limits(ask))
}

fn wanted(limit: &Limit, filter: &str) -> bool {
    let filter = filter.trim().to_lowercase();
    let numbers = limit.checks.iter().any(|check| check.to_string() == filter);
    filter.is_empty() || numbers || limit.label.to_lowercase().contains(&filter)
}

fn limit_row(
    ui: &mut Ui,
    next: &mut Criteria,
    text: &mut String,
    limit: &Limit,
    (plan, units): (&plan::Plan, Units),
) {
    let checks: Vec<String> = limit.checks.iter().map(u16::to_string).collect();
    let told = format!(
        "{} · checks {}\n{}",
        plan::in_words(limit.source),
        checks.join(", "),
        plan::written_out(limit.source)
    );
    let label = ui.label(limit.label).on_hover_text(told.trim_end());
    let field = field::add(ui, TextEdit::singleline(text).desired_width(110.0)).labelled_by(label.id);
    if field.changed() {
        let read = if *text == shown(limit, &plan.criteria, units) {
            Some((limit.value)(&plan.criteria))
        } else {
            exchange::limit_value(limit, text, units)
        };
        match read {
            Some(value) => (limit.set)(next, value),
            None => (limit.set)(next, (limit.value)(&plan.criteria)),
        }
    }
    let unread = exchange::limit_value(limit, text, units).is_none() && *text != shown(limit, &plan.criteria, units);
    let mark = if unread {
        "not read"
    } else if (limit.value)(next) != (limit.value)(&plan.criteria) {
        "changed"
    } else {
        ""
    };
    ui.label(RichText::new(mark).small());
    ui.end_row();
}
