//! Dialogs: a typed path, questions about a table of points, unsaved work, kept work, help, trouble.

use std::path::{Path, PathBuf};

use egui::{Context, Modal, RichText, Ui};
use exchange::{ColumnGuess, Columns, Crs, FileError, ReadOptions};
use measure::LengthUnit;
use plan::Edit;

use super::Sight;
use super::browse;
pub use super::browse::PathAsk;
use super::changed::{self, ChangedAsk, RecoverAsk};
use super::find::{self, FindAsk};
use super::found;
use super::handed_back::{self, HandedBackAsk};
use super::keys;
use super::limits::{self, LimitsAsk};
use super::part::{self, PartAsk};
use super::preview::{self, PreviewAsk};
use super::system::{self, SystemAsk};
use super::unit::{self, UnitAsk};
use crate::command::Command;
use crate::purpose::Purpose;
use crate::theme::bold;
use crate::view::Selection;
use crate::weighing::Asked;
use crate::wish::Wish;
use job::Session;
use job::files::Damaged;
use job::ground;

/// What would be replaced.
#[derive(Debug, Clone, PartialEq)]
pub struct ReplaceAsk {
    /// What is written.
    pub purpose: Purpose,
    /// Where.
    pub path: PathBuf,
    /// What lies there.
    pub question: String,
}

/// The ground file of a plan, which lies outside its folder.
#[derive(Debug, Clone, PartialEq)]
pub struct AllowAsk {
    /// Where it lies.
    pub file: PathBuf,
}

/// What a table of points leaves open.
#[derive(Debug, Clone, PartialEq)]
pub struct GroundAsk {
    path: PathBuf,
    guess: ColumnGuess,
    columns: Columns,
    crs: String,
    horizontal: Option<LengthUnit>,
    vertical: LengthUnit,
    trouble: Option<String>,
}

impl GroundAsk {
    /// The questions about a file; `None` when it is no table of points.
    pub fn of(path: &Path) -> Result<Option<Self>, FileError> {
        let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default();
        if !matches!(ending.as_str(), "csv" | "txt" | "xyz") {
            return Ok(None);
        }
        let bytes = exchange::read_bytes(path)?;
        let guess = exchange::guess_columns(&bytes)?;
        let vertical = guess.vertical_unit.or(guess.horizontal_unit).unwrap_or(LengthUnit::Metre);
        let (columns, horizontal) = (guess.columns.clone(), guess.horizontal_unit);
        let (path, crs) = (path.to_path_buf(), "local".into());
        Ok(Some(Self { path, guess, columns, crs, horizontal, vertical, trouble: None }))
    }
}

/// The dialog that is open.
#[derive(Debug, Clone, PartialEq)]
pub enum Dialog {
    /// A path is asked for.
    Path(PathAsk),
    /// Questions about a table of points.
    Ground(Box<GroundAsk>),
    /// Which part of a large grid is wanted.
    Part(Box<PartAsk>),
    /// In what unit the coordinates of a local ground are.
    Unit(Box<UnitAsk>),
    /// The ground is in another coordinate system than the plan.
    System(Box<SystemAsk>),
    /// Unsaved work would be lost; `None` closes the window.
    Unsaved {
        /// What was to be done.
        then: Option<Command>,
    },
    /// Work that was not saved last time.
    Recover(Box<RecoverAsk>),
    /// Another program wrote the plan file since it was read.
    Changed(Box<ChangedAsk>),
    /// The plan is open in another window.
    Another {
        /// Its file.
        path: PathBuf,
        /// Who has it open.
        by: String,
    },
    /// A plan file that cannot be read.
    Damaged(Damaged),
    /// The job's limits.
    Limits(Box<LimitsAsk>),
    /// An edit to be looked at before it is made.
    Fix(Box<FixAsk>),
    /// Old tile that was found.
    Found(Box<Asked>),
    /// Something would be replaced.
    Replace(ReplaceAsk),
    /// The ground lies where nobody chose it.
    Allow(AllowAsk),
    /// What a field page handed back.
    HandedBack(Box<HandedBackAsk>),
    /// The sheets before they are printed.
    Preview(Box<PreviewAsk>),
    /// A command is looked for.
    Find(FindAsk),
    /// An edit that takes much away.
    Sure(SureAsk),
    /// How it works.
    Help,
    /// Something went wrong.
    Trouble(String),
}

impl Dialog {
    /// The question as it is put over a plan.
    pub fn for_plan(self, session: &Session) -> Self {
        match self {
            Self::Part(ask) => Self::Part(ask.for_plan(session).into()),
            other => other,
        }
    }
}

/// Shows the open dialog; what it asks for is wished, and it is gone once it is answered or left.
pub fn show(ctx: &Context, open: &mut Option<Dialog>, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    let Some(dialog) = open.take() else { return };
    let aside = matches!(dialog, Dialog::Fix(_));
    let inside = |ui: &mut Ui| {
        let wide = match dialog {
            Dialog::Found(_) => found::WIDTH,
            Dialog::Fix(_) => 336.0,
            Dialog::Preview(_) => f32::INFINITY,
            _ => 560.0,
        };
        let room = ctx.content_rect().size() - egui::vec2(60.0, 60.0);
        ui.set_width(wide.min(room.x));
        if matches!(dialog, Dialog::Preview(_)) {
            ui.set_height(room.y);
        }
        // What a small window, or large type, has no room for scrolls.
        let scroll = super::scrolling(ctx).max_height(room.y).min_scrolled_height(room.y);
        scroll
            .show(ui, |ui| match dialog {
                Dialog::Path(ask) => browse::show(ui, sight.session, wishes, ask),
                Dialog::Ground(ask) => ground(ui, wishes, ask),
                Dialog::Part(ask) => part::show(ui, sight.session, wishes, ask),
                Dialog::Unit(ask) => unit::show(ui, wishes, ask),
                Dialog::System(ask) => system::show(ui, wishes, ask),
                Dialog::Unsaved { then } => unsaved(ui, sight.session, wishes, then),
                Dialog::Recover(ask) => changed::recover(ui, sight, wishes, ask),
                Dialog::Changed(ask) => changed::changed(ui, sight.session, wishes, ask),
                Dialog::Another { path, by } => changed::another(ui, wishes, path, by),
                Dialog::Damaged(damaged) => changed::damaged(ui, wishes, damaged),
                Dialog::Limits(ask) => limits::show(ui, sight.session, sight.view, wishes, ask),
                Dialog::Fix(ask) => fix(ui, sight, wishes, ask),
                Dialog::Found(asked) => found::show(ui, sight, wishes, asked),
                Dialog::Replace(ask) => replace(ui, wishes, ask),
                Dialog::Allow(ask) => allow(ui, wishes, ask),
                Dialog::HandedBack(ask) => handed_back::show(ui, sight.session, wishes, ask),
                Dialog::Preview(ask) => preview::show(ui, sight, wishes, ask),
                Dialog::Find(ask) => find::show(ui, (sight.session, sight.view), wishes, ask),
                Dialog::Sure(ask) => sure(ui, wishes, ask),
                Dialog::Help => help(ui),
                Dialog::Trouble(text) => trouble(ui, text),
            })
            .inner
    };
    let answered = if aside { beside_the_map(ctx, inside) } else { Modal::new(dialog_id()).show(ctx, inside).inner };
    let leave = ctx.input(|input| input.key_pressed(egui::Key::Escape));
    *open = answered.filter(|_| !leave);
}

fn dialog_id() -> egui::Id {
    egui::Id::unique("dialog")
}

/// A dialog that shows something on the map stands aside and dims nothing; what lies under it is not touched all the same.
fn beside_the_map<R>(ctx: &Context, inside: impl FnOnce(&mut Ui) -> R) -> R {
    let area = egui::Area::new(dialog_id())
        .kind(egui::UiKind::Modal)
        .anchor(egui::Align2::RIGHT_TOP, egui::vec2(-10.0, 48.0))
        .order(egui::Order::Foreground);
    ctx.memory_mut(|memory| memory.set_modal_layer(area.layer()));
    area.show(ctx, |ui| egui::Frame::popup(ui.style()).show(ui, inside).inner).inner
}

/// The heading of a dialog.
pub fn title(ui: &mut Ui, text: &str) {
    ui.label(RichText::new(text).font(bold(17.0)));
    ui.add_space(6.0);
}

fn ground(ui: &mut Ui, wishes: &mut Vec<Wish>, mut ask: Box<GroundAsk>) -> Option<Dialog> {
    title(ui, "Survey points: what is what?");
    ui.label(format!("{}: please confirm what the file does not say for sure.", ask.path.display()));
    preview(ui, &ask.guess);
    let columns = ask.guess.rows.first().map_or(3, Vec::len).max(ask.guess.headers.len());
    let names: Vec<String> = (0..columns).map(|i| column_name(&ask.guess, i)).collect();
    for (label, column) in
        [("Easting", &mut ask.columns.x), ("Northing", &mut ask.columns.y), ("Level", &mut ask.columns.z)]
    {
        egui::ComboBox::from_label(label).selected_text(names.get(*column).cloned().unwrap_or_default()).show_ui(
            ui,
            |ui| {
                for (i, name) in names.iter().enumerate() {
                    ui.selectable_value(column, i, name);
                }
            },
        );
    }
    egui::ComboBox::from_label("Unit of the levels").selected_text(ask.vertical.words()).show_ui(ui, |ui| {
        for unit in [LengthUnit::Metre, LengthUnit::Foot, LengthUnit::SurveyFoot] {
            ui.selectable_value(&mut ask.vertical, unit, unit.words());
        }
    });
    let label = ui.label("Coordinate system: a code such as EPSG:32631, or local");
    ui.text_edit_singleline(&mut ask.crs).labelled_by(label.id);
    let is_local = ask.crs.trim().eq_ignore_ascii_case("local") && !ask.guess.degrees;
    if is_local {
        ui.label("Unit of local coordinates");
        unit::choice(ui, &mut ask.horizontal);
    }
    if let Some(trouble) = &ask.trouble {
        ui.colored_label(ui.visuals().error_fg_color, trouble);
    }
    let may_read = !is_local || ask.horizontal.is_some();
    let buttons = ui.horizontal(|ui| {
        let read = ui.add_enabled(may_read, egui::Button::new("Read points")).clicked();
        (read, ui.button("Cancel").clicked())
    });
    let (read, cancel) = buttons.inner;
    if read {
        match Crs::parse(&ask.crs) {
            Ok(crs) => {
                let crs = Some(crs).filter(|crs| !crs.is_local());
                let options = ReadOptions {
                    crs,
                    horizontal_unit: ask.horizontal,
                    vertical_unit: Some(ask.vertical),
                    columns: Some(ask.columns),
                    ..ground::read_options()
                };
                wishes.push(Wish::ReadGround(ask.path, options));
                return None;
            }
            Err(error) => ask.trouble = Some(error.to_string()),
        }
    }
    (!cancel).then_some(Dialog::Ground(ask))
}

fn column_name(guess: &ColumnGuess, i: usize) -> String {
    let header = guess.headers.get(i).map(|header| format!(" ({header})")).unwrap_or_default();
    format!("column {}{header}", i + 1)
}

fn preview(ui: &mut Ui, guess: &ColumnGuess) {
    egui::Grid::new("preview").striped(true).show(ui, |ui| {
        let rows = std::iter::once(&guess.headers).chain(guess.rows.iter().take(3));
        for row in rows.filter(|row| !row.is_empty()) {
            for cell in row.iter().take(6) {
                ui.label(RichText::new(cell).small());
            }
            ui.end_row();
        }
    });
}

fn unsaved(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>, then: Option<Command>) -> Option<Dialog> {
    title(ui, "Save the plan first?");
    ui.label(format!("{} has changes that are not saved.", session.plan().title.name));
    let mut stay = true;
    ui.horizontal(|ui| {
        if ui.button("Save").clicked() {
            stay = false;
            wishes.push(Wish::Run(Command::Save));
        } else if ui.button("Discard changes").clicked() {
            stay = false;
            wishes.push(Wish::Leave(then));
        } else if ui.button("Cancel").clicked() {
            stay = false;
        }
    });
    stay.then_some(Dialog::Unsaved { then })
}

/// An edit that takes much away.
#[derive(Debug, Clone, PartialEq)]
pub struct SureAsk {
    /// The edit.
    pub edit: Edit,
    /// What goes with it, where its label does not tell.
    pub says: String,
    /// What its button says.
    pub button: String,
}

impl SureAsk {
    /// The question about an edit whose label tells all.
    pub fn of(edit: Edit) -> Self {
        Self { button: edit.label.clone(), says: String::new(), edit }
    }
}

/// Asks before much is taken away.
fn sure(ui: &mut Ui, wishes: &mut Vec<Wish>, ask: SureAsk) -> Option<Dialog> {
    title(ui, &format!("{}?", ask.edit.label));
    ui.label(format!("{} One Undo brings them back.", ask.says).trim_start());
    let (made, left) = ui.horizontal(|ui| (ui.button(&ask.button).clicked(), ui.button("Cancel").clicked())).inner;
    if made {
        wishes.push(Wish::Edit(ask.edit.clone()));
    }
    (!made && !left).then_some(Dialog::Sure(ask))
}

/// Asks before a file, or a folder that was handed over, is replaced.
fn replace(ui: &mut Ui, wishes: &mut Vec<Wish>, ask: ReplaceAsk) -> Option<Dialog> {
    title(ui, "Replace what is there?");
    ui.label(&ask.question);
    ui.label(RichText::new(ask.path.display().to_string()).small().weak());
    ui.add_space(6.0);
    let buttons =
        ui.horizontal(|ui| ["Choose another name", "Replace it", "Cancel"].map(|word| ui.button(word).clicked()));
    let [another, replaced, cancel] = buttons.inner;
    if another {
        wishes.push(Wish::AskPath(ask.purpose));
    } else if replaced {
        wishes.push(Wish::FreePath(ask.purpose, ask.path.clone()));
    }
    (!another && !replaced && !cancel).then_some(Dialog::Replace(ask))
}

/// Asks before ground is read from outside the plan's folder.
fn allow(ui: &mut Ui, wishes: &mut Vec<Wish>, ask: AllowAsk) -> Option<Dialog> {
    title(ui, "Read the ground from there?");
    ui.label("The plan is open, its ground is not. The plan names a file outside its own folder, which nobody chose on this machine:");
    ui.label(RichText::new(ask.file.display().to_string()).font(bold(14.0)));
    ui.label("Read it if you know it. Once you say so it is read without a question. Or copy it beside the plan and bring it in.");
    ui.add_space(6.0);
    let (read, leave) =
        ui.horizontal(|ui| (ui.button("Read it from there").clicked(), ui.button("Not now").clicked())).inner;
    if read {
        wishes.push(Wish::Allow(ask.file.clone()));
    }
    (!read && !leave).then_some(Dialog::Allow(ask))
}

/// An edit with how things stood before it.
#[derive(Debug, Clone, PartialEq)]
pub struct FixAsk {
    edit: Edit,
    before: Vec<String>,
    /// What was chosen, for who leaves it as it is.
    chosen: Selection,
}

impl FixAsk {
    /// The question about an edit, put while so much was chosen.
    pub fn of(edit: Edit, session: &Session, chosen: Selection) -> Self {
        Self { edit, before: figures(session), chosen }
    }

    /// The edit.
    pub fn edit(&self) -> &Edit {
        &self.edit
    }
}

/// Findings, length and cost of what is shown.
fn figures(session: &Session) -> Vec<String> {
    let worked = session.worked();
    let (units, estimate) = (worked.plan.title.units, worked.estimate());
    vec![
        job::words::counted(&worked.findings),
        format!("{} of new line", units.length(estimate.length_m())),
        format!("{} (estimate)", estimate.about(estimate.total())),
    ]
}

/// Shows an edit on map and profile without making it.
fn fix(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>, ask: Box<FixAsk>) -> Option<Dialog> {
    let session = sight.session;
    title(ui, &ask.edit.label);
    if session.gesture_in_hand() != Some(&ask.edit) {
        wishes.push(Wish::Gesture(Some(ask.edit.clone())));
    }
    let is_there = session.in_gesture() && session.steps_behind() == 0;
    ui.label(if is_there { "Map and profile show it as it would be." } else { "Working it out…" });
    let after = if is_there { figures(session) } else { vec!["…".to_string(); ask.before.len()] };
    ui.columns(2, |sides| {
        for (ui, (head, figures)) in sides.iter_mut().zip([("now", &ask.before), ("with it", &after)]) {
            ui.label(RichText::new(head).weak());
            figures.iter().for_each(|figure| drop(ui.label(figure)));
        }
    });
    let (make, leave) =
        ui.horizontal(|ui| (ui.button("Do it").clicked(), ui.button("Keep it as it is").clicked())).inner;
    let escaped = ui.input(|input| input.key_pressed(egui::Key::Escape));
    if make {
        wishes.push(Wish::Edit(ask.edit.clone()));
    } else if leave || escaped {
        wishes.push(Wish::Gesture(None));
        sight.view.selection = ask.chosen;
    }
    (!make && !leave).then_some(Dialog::Fix(ask))
}

fn trouble(ui: &mut Ui, text: String) -> Option<Dialog> {
    title(ui, "That did not work");
    egui::ScrollArea::vertical().max_height(420.0).show(ui, |ui| ui.label(&text));
    let seen = ui.button("OK").clicked();
    (!seen).then_some(Dialog::Trouble(text))
}

fn help(ui: &mut Ui) -> Option<Dialog> {
    title(ui, "How it works");
    let steps = [
        "1  Ground: open a terrain file; contours, swales and hollows appear.",
        "2  Lines: draw the boundary, place the outlet with its measured levels.",
        "3  Draw the main from the outlet up, then laterals off it along the swales; or have a first layout proposed (Edit).",
        "4  Grade: look at each profile; pull a station to lock its level.",
        "5  Work through the punch list until nothing blocks digging.",
        "6  Dig: enter prices, compare layouts, print cut sheets, hand the folder over.",
    ];
    steps.iter().for_each(|step| drop(ui.label(*step)));
    ui.add_space(6.0);
    let seen = ui.button("Close").clicked();
    ui.label(RichText::new(plan::CAUTION).small());
    keys::list(ui);
    (!seen).then_some(Dialog::Help)
}
