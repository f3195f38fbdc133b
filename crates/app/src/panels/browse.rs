//! A path is asked for in the window, where the system shows no dialog of its own: folders and files to click, or typed.

use std::path::{Path, PathBuf};

use egui::{RichText, ScrollArea, TextEdit, Ui};
use job::Session;
use job::browse::{self, Entry};

use super::dialog::{Dialog, title};
use super::field;
use crate::purpose::Purpose;
use crate::wish::Wish;

/// Height of the list, points.
const LIST_HEIGHT: f32 = 240.0;

/// A path being asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct PathAsk {
    purpose: Purpose,
    /// The folder that is shown.
    folder: PathBuf,
    /// What was typed or clicked: a name in the folder, or a whole path.
    text: String,
    /// What is in the folder, or why it was not read; `None` while it is being read.
    entries: Option<Result<Vec<Entry>, String>>,
    /// True once the folder was asked for.
    asked: bool,
}

impl PathAsk {
    /// A path that begins in a folder with a name.
    pub fn new(purpose: Purpose, folder: PathBuf, text: String) -> Self {
        Self { purpose, folder, text, entries: None, asked: false }
    }

    /// Takes up what is in a folder, if it is still the one that is shown.
    pub fn listed(&mut self, folder: &Path, entries: Result<Vec<Entry>, String>) {
        if self.folder == folder {
            self.entries = Some(entries);
        }
    }

    fn go(&mut self, folder: PathBuf) {
        let name = if self.purpose.writes() { std::mem::take(&mut self.text) } else { String::new() };
        *self = Self::new(self.purpose, folder, name);
    }

    fn path(&self) -> PathBuf {
        self.folder.join(self.text.trim())
    }
}

/// Shows the folder, and takes what is clicked or typed.
pub fn show(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>, mut ask: PathAsk) -> Option<Dialog> {
    title(ui, ask.purpose.title());
    if !std::mem::replace(&mut ask.asked, true) {
        wishes.push(Wish::List(ask.purpose, ask.folder.clone()));
    }
    places(ui, session, &mut ask);
    let opened = entries(ui, &mut ask);
    let label = ui.label("Path");
    let field =
        field::add(ui, TextEdit::singleline(&mut ask.text).desired_width(f32::INFINITY)).labelled_by(label.id);
    if !ask.purpose.endings().is_empty() {
        ui.label(RichText::new(format!("Endings: {}", ask.purpose.endings().join(", "))).small().weak());
    }
    let entered = field.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter));
    let word = if ask.purpose.writes() { "Write" } else { "Open" };
    let (done, cancel) = ui.horizontal(|ui| (ui.button(word).clicked(), ui.button("Cancel").clicked())).inner;
    if done || entered || opened {
        wishes.push(Wish::Path(ask.purpose, ask.path()));
        return None;
    }
    if ui.memory(|memory| memory.focused().is_none()) {
        field.request_focus();
        field::select_all(ui, field.id, &ask.text);
    }
    (!cancel).then_some(Dialog::Path(ask))
}

/// The folder that is shown, the one above it, and where else one may begin.
fn places(ui: &mut Ui, session: &Session, ask: &mut PathAsk) {
    ui.label(RichText::new(ask.folder.display().to_string()).small());
    ui.horizontal(|ui| {
        let up = ask.folder.parent().map(Path::to_path_buf);
        let own = session.path().and_then(Path::parent).map(Path::to_path_buf);
        for (word, folder) in [("Folder above", up), ("Home", browse::home()), ("Folder of the plan", own)] {
            if let Some(folder) = folder.filter(|folder| *folder != ask.folder)
                && ui.button(word).clicked()
            {
                ask.go(folder);
            }
        }
    });
}

/// The folders and files to click; true where a file was double-clicked.
fn entries(ui: &mut Ui, ask: &mut PathAsk) -> bool {
    let mut opened = false;
    let entries = ask.entries.clone();
    ScrollArea::vertical().max_height(LIST_HEIGHT).auto_shrink([false, true]).show(ui, |ui| match entries {
        None => drop(ui.label("Looking …")),
        Some(Err(why)) => drop(ui.label(why)),
        Some(Ok(entries)) if entries.is_empty() => drop(ui.label("Nothing of that kind is in this folder.")),
        Some(Ok(entries)) => {
            for entry in &entries {
                opened |= row(ui, ask, entry);
            }
        }
    });
    opened
}

fn row(ui: &mut Ui, ask: &mut PathAsk, entry: &Entry) -> bool {
    let words = if entry.is_file { entry.name.clone() } else { format!("{}/", entry.name) };
    let shown = ui.selectable_label(entry.is_file && ask.text == entry.name, words);
    match entry.is_file {
        true if shown.clicked() => ask.text.clone_from(&entry.name),
        false if shown.clicked() => ask.go(ask.folder.join(&entry.name)),
        _ => {}
    }
    entry.is_file && shown.double_clicked()
}
