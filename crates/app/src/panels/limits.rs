//! The job's limits: every threshold of the checks, changed by name and with a reason.

use egui::{RichText, ScrollArea, TextEdit, TextStyle, Ui};
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
        let columns = Columns::of(ui, &ask.texts);
        for (i, limit) in LIMITS.iter().enumerate().filter(|(_, limit)| wanted(limit, &ask.filter)) {
            limit_row(ui, &columns, &mut ask.next, &mut ask.texts[i], limit, (session.plan(), units));
        }
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

/// Widths of the columns, points: a figure is never cut, what is left is the label's, which wraps.
struct Columns {
    label: f32,
    figure: f32,
    mark: f32,
}

impl Columns {
    fn of(ui: &Ui, figures: &[String]) -> Self {
        let wide = |text: &str, style: TextStyle| {
            let font = style.resolve(ui.style());
            ui.painter().layout_no_wrap(text.to_string(), font, egui::Color32::PLACEHOLDER).size().x
        };
        let figure = figures.iter().map(|text| wide(text, TextStyle::Body)).fold(0.0, f32::max) + 16.0;
        let mark = wide(NOT_READ, TextStyle::Small).max(wide(CHANGED, TextStyle::Small)) + 4.0;
        let label = (ui.available_width() - figure - mark - 40.0).max(100.0);
        Self { label, figure, mark }
    }
}

const NOT_READ: &str = "not read";
const CHANGED: &str = "changed";

fn limit_row(
    ui: &mut Ui,
    columns: &Columns,
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
    ui.horizontal(|ui| {
        let place = egui::Layout::left_to_right(egui::Align::Center).with_main_wrap(true);
        let room = egui::vec2(columns.label, ui.spacing().interact_size.y);
        let label = ui.allocate_ui_with_layout(room, place, |ui| {
            ui.set_width(columns.label);
            ui.add(egui::Label::new(limit.label).wrap())
        });
        let label = label.inner.on_hover_text(told.trim_end());
        let field = TextEdit::singleline(text).desired_width(columns.figure);
        if field::add(ui, field).labelled_by(label.id).changed() {
            let now = (limit.value)(&plan.criteria);
            let read = Some(now).filter(|_| *text == shown(limit, &plan.criteria, units));
            (limit.set)(next, read.or_else(|| exchange::limit_value(limit, text, units)).unwrap_or(now));
        }
        let unread =
            exchange::limit_value(limit, text, units).is_none() && *text != shown(limit, &plan.criteria, units);
        let is_changed = (limit.value)(next) != (limit.value)(&plan.criteria);
        let mark = if unread { NOT_READ } else { Some(CHANGED).filter(|_| is_changed).unwrap_or_default() };
        ui.add_sized(egui::vec2(columns.mark, 0.0), egui::Label::new(RichText::new(mark).small()));
    });
}
