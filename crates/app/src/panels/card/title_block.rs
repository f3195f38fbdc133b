//! The title block of the sheets: name, date, owner, parcel, county, who drew and checked, the locate ticket of the site.

use egui::Ui;
use plan::{TITLE_ENTRIES, Title};

use super::{table, text_field};
use crate::wish::Wish;
use job::Session;

/// Its fields; each change is an edit of its own.
pub fn section(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let title = &session.plan().title;
    let fields = |ui: &mut Ui| table(ui, "title block", |ui| changed(ui, title));
    let shown = egui::CollapsingHeader::new("Title block").show(ui, fields);
    let edit = shown.body_returned.flatten().map(|(what, title)| plan::set_title(&format!("Change {what}"), title));
    wishes.extend(edit.map(Wish::Edit));
}

/// The title with what was typed, and what that is called.
fn changed(ui: &mut Ui, title: &Title) -> Option<(String, Title)> {
    let mut next: Option<(String, Title)> = None;
    let mut take = |what: &str, change: &dyn Fn(&mut Title)| {
        let mut after = title.clone();
        change(&mut after);
        next = Some((what.to_lowercase(), after));
    };
    if let Some(name) = text_field(ui, "Job", title.name.clone(), named) {
        take("the job's name", &|title| title.name.clone_from(&name));
    }
    if let Some(day) = text_field(ui, "Date of the plan", title.as_of.clone().unwrap_or_default(), day) {
        take("the date", &|title| title.as_of.clone_from(&day));
    }
    for entry in TITLE_ENTRIES {
        let shown = (entry.of)(&title.block).to_string();
        if let Some(text) = text_field(ui, entry.label, shown, |text| Ok(text.trim().to_string())) {
            take(entry.label, &|title| (entry.of_mut)(&mut title.block).clone_from(&text));
        }
    }
    let until = title.block.ticket_until.clone().unwrap_or_default();
    if let Some(until) = text_field(ui, "Ticket holds until", until, day) {
        take("the last day of the ticket", &|title| title.block.ticket_until.clone_from(&until));
    }
    next
}

fn named(text: &str) -> Result<String, String> {
    match text.trim() {
        "" => Err("A job has a name.".into()),
        name => Ok(name.into()),
    }
}

/// A day, or none for an empty field.
fn day(text: &str) -> Result<Option<String>, String> {
    match text.trim() {
        "" => Ok(None),
        day if plan::is_date(day) => Ok(Some(day.into())),
        other => Err(format!("'{other}' is no date; expected YYYY-MM-DD")),
    }
}
