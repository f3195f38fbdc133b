//! The desk: the window's whole state and the order in which a frame is made.

use std::path::{Path, PathBuf};
use std::time::Duration;

use exchange::FileError;

use crate::apply;
use crate::canvas::{Caches, SnapIndex};
use crate::command::COMMANDS;
use crate::jobs::Job;
use crate::keeping::Keeping;
use crate::panels;
use crate::panels::dialog::Dialog;
use crate::panels::part::PartAsk;
use crate::panels::unit::UnitAsk;
use crate::saving;
use crate::theme;
use crate::tools::{Tool, Touch};
use crate::trying::{self, Trying};
use crate::view::View;
use crate::wish::Wish;
use job::Progress;
use job::Session;
use job::files::{self, Landing};
use job::ground;
use job::on_file::OnFile;

/// What differs between a real start and a test.
#[derive(Debug, Clone, Default)]
pub struct Habits {
    /// Ask the system for file dialogs; otherwise a path is typed.
    pub native_dialogs: bool,
    /// Where work on a plan without a file is kept; `None` keeps none.
    pub unsaved: Option<PathBuf>,
}

/// Work that runs beside the window.
pub enum Work {
    /// A plan file being opened.
    Plan(Job<Result<Landing, FileError>>),
    /// A ground file being read.
    Ground(Job<Result<Brought, FileError>>),
    /// The ground being laid anew with other corrections, for what the plan names so.
    Relay(plan::GroundRef, Job<Result<land::Land, FileError>>),
    /// Sheets or a folder being written; what is told when they are.
    Paper(Job<Result<String, FileError>>),
    /// A system file dialog.
    Path(panels::dialog::Purpose, Job<(Option<PathBuf>, Duration)>),
}

/// What came of a ground file.
pub enum Brought {
    /// The land.
    Land(Box<ground::Opened>),
    /// A grid that is too large to be worked on whole.
    Part(Box<PartAsk>),
    /// A local ground whose unit nobody has said.
    Unit(Box<UnitAsk>),
}

impl Work {
    /// What is being done, and how far it has come.
    pub fn shown(&self) -> (&str, &Progress) {
        match self {
            Self::Plan(job) => (&job.name, &job.progress),
            Self::Ground(job) => (&job.name, &job.progress),
            Self::Relay(_, job) => (&job.name, &job.progress),
            Self::Paper(job) => (&job.name, &job.progress),
            Self::Path(_, job) => (&job.name, &job.progress),
        }
    }
}

/// The window.
pub struct Desk {
    /// The open plan.
    pub session: Session,
    /// What is looked at.
    pub view: View,
    /// The tool in hand.
    pub tool: Tool,
    /// What can be met on the map.
    pub snaps: SnapIndex,
    /// What the map keeps between frames.
    pub caches: Caches,
    /// The dialog that is open.
    pub dialog: Option<Dialog>,
    /// Work beside the window.
    pub work: Option<Work>,
    /// The last thing told.
    pub told: Option<String>,
    /// Real or test.
    pub habits: Habits,
    /// What the findings offer, tried beside the window.
    pub trying: Option<Trying>,
    /// Who corrects the survey, when and why.
    pub signature: plan::Signature,
    /// The plan's revision for which the ground was last laid anew.
    pub relaid: u64,
    /// True once leaving without saving was agreed to.
    pub may_close: bool,
    /// The file under the open plan.
    pub file: OnFile,
    /// Unsaved work on disk.
    pub keeping: Keeping,
    dressed: Option<bool>,
}

impl Desk {
    /// A desk with a plan on it.
    pub fn new(session: Session, habits: Habits) -> Self {
        let on = session.plan().title.as_of.clone().unwrap_or_default();
        let signature = plan::Signature { on, ..plan::Signature::default() };
        Self {
            session,
            view: View::default(),
            tool: Tool::default(),
            snaps: SnapIndex::default(),
            caches: Caches::default(),
            dialog: None,
            work: None,
            told: None,
            habits,
            trying: None,
            signature,
            relaid: 0,
            may_close: false,
            file: OnFile::default(),
            keeping: Keeping::default(),
            dressed: None,
        }
    }

    /// One frame.
    pub fn show(&mut self, ui: &mut egui::Ui) {
        self.dress(ui.ctx());
        apply::poll(self, ui.ctx());
        apply::relay(self, ui.ctx());
        let waker = ui.ctx().clone();
        self.file.follow(self.session.path(), move || waker.request_repaint());
        trying::follow(self, ui.ctx());
        let mut wishes = self.keys(ui.ctx());
        self.dropped(ui.ctx());
        self.snaps.refresh(&self.session);
        ui.painter().rect_filled(ui.max_rect(), 0.0, self.view.palette().panel);
        panels::head(ui, self, &mut wishes);
        panels::changed::banner(ui, self);
        panels::readout(ui, self);
        panels::bench(ui, self, &mut wishes);
        panels::card::show(ui, self, &mut wishes);
        panels::profile_strip(ui, self, &mut wishes);
        panels::map::show(ui, self, &mut wishes);
        panels::dialog::show(ui.ctx(), self);
        for wish in wishes {
            apply::carry_out(self, wish, ui.ctx());
        }
        self.keep(ui.ctx());
        self.closing(ui.ctx());
    }

    /// Puts the theme on when it changed.
    fn dress(&mut self, ctx: &egui::Context) {
        if self.dressed.is_none() {
            theme::install_fonts(ctx);
        }
        if self.dressed != Some(self.view.dark) {
            theme::apply(ctx, self.view.palette());
            self.dressed = Some(self.view.dark);
        }
    }

    /// Keys of commands and of the tool in hand; text fields keep their own.
    fn keys(&mut self, ctx: &egui::Context) -> Vec<Wish> {
        if ctx.text_edit_focused() || self.dialog.is_some() {
            return Vec::new();
        }
        let pressed = |shortcut: &egui::KeyboardShortcut| ctx.input_mut(|input| input.consume_shortcut(shortcut));
        // Keys with Shift first, or the shorter ones would take theirs.
        let mut keys: Vec<_> =
            COMMANDS.iter().flat_map(|entry| entry.keys.iter().map(|key| (key, entry.command))).collect();
        keys.sort_by_key(|(key, _)| !key.modifiers.shift);
        let commands = keys.into_iter().filter(|(key, _)| pressed(key)).map(|(_, command)| command);
        let mut wishes: Vec<Wish> =
            commands.filter(|command| command.is_enabled(&self.session, &self.view)).map(Wish::Run).collect();
        let on_map = [
            (egui::Key::Enter, Touch::Enter),
            (egui::Key::Escape, Touch::Escape),
            (egui::Key::Backspace, Touch::Backspace),
        ];
        for (key, touch) in on_map {
            if ctx.input(|input| input.key_pressed(key)) {
                wishes.extend(panels::map::touch(self, touch, ctx));
            }
        }
        wishes.extend(panels::tool_keys(ctx));
        wishes
    }

    fn dropped(&mut self, ctx: &egui::Context) {
        let files = ctx.input(|input| input.raw.dropped_files.clone());
        let path = files.first().map(|file| file.path().to_path_buf());
        if let Some(path) = path {
            apply::open_any(self, &path, ctx);
        }
    }

    /// The signature that answers for what leaves though findings are to be fixed, where one was given.
    pub fn all_the_same(&self) -> Option<plan::Signature> {
        let signed = Some(&self.signature).filter(|signed| apply::missing_reason(signed).is_none());
        signed.filter(|_| self.view.all_the_same).cloned()
    }

    /// Puts another plan on the desk.
    pub fn lay(&mut self, session: Session) {
        self.keep_now();
        self.keep_anew(None);
        self.file = OnFile::default();
        self.session = session;
        // Whatever is still being read was meant for the plan before.
        self.work = None;
        self.trying = None;
        self.view = View { dark: self.view.dark, ..View::default() };
        self.tool = Tool::default();
        self.snaps = SnapIndex::default();
    }

    /// Asks before unsaved work is left.
    fn closing(&mut self, ctx: &egui::Context) {
        if ctx.input(|input| input.viewport().close_requested())
            && !self.may_close
            && self.session.history().is_unsaved()
        {
            ctx.send_viewport_cmd(egui::ViewportCommand::CancelClose);
            self.dialog = Some(Dialog::Unsaved { then: None });
        }
    }
}

impl eframe::App for Desk {
    fn ui(&mut self, ui: &mut egui::Ui, _frame: &mut eframe::Frame) {
        self.show(ui);
    }
}

/// Opens the window; an error when there is no display to open it on.
pub fn run(plan: Option<&Path>) -> Result<(), String> {
    let (unsaved, slot) = files::unsaved_slot().unzip();
    let habits = Habits { native_dialogs: true, unsaved };
    let session = match plan {
        Some(_) => Session::new(plan::Plan::new("Unnamed", measure::Units::Feet), None, land::Land::without_ground()),
        None => files::demo_session(job::demo::first_plan()).map_err(|error| error.to_string())?,
    };
    let mut desk = Desk::new(session, habits);
    desk.keeping.slot = slot;
    match plan {
        Some(path) => {
            let landing = files::land(path, &Progress::default()).map_err(|error| error.to_string())?;
            saving::lay(&mut desk, landing);
        }
        None => desk.offer_recovery(),
    }
    let viewport = egui::ViewportBuilder::default()
        .with_title("Drainwright")
        .with_app_id("drainwright")
        .with_inner_size([1280.0, 860.0])
        .with_min_inner_size([900.0, 600.0]);
    let options = eframe::NativeOptions { viewport, ..eframe::NativeOptions::default() };
    eframe::run_native("Drainwright", options, Box::new(|_| Ok(Box::new(desk)))).map_err(|error| error.to_string())
}
