//! The desk: the window's whole state.

use std::collections::VecDeque;
use std::path::PathBuf;
use std::time::Instant;

use egui::Context;
use exchange::{PlanLock, ReadOptions};
use plan::{Edit, GroundRef, SurveyBook};

use crate::canvas::{Caches, SnapIndex};
use crate::jobs::{Done, Job, Jobs, Outcome, Task};
use crate::panels::Sight;
use crate::panels::dialog::Dialog;
use crate::receiving::Receiving;
use crate::tools::Tool;
use crate::trying::Trying;
use crate::view::View;
use crate::weighing::Weigher;
use job::Progress;
use job::Session;
use job::on_file::OnFile;
use job::settings::Settings;

/// What differs between a real start and a test.
#[derive(Debug, Clone, Default)]
pub struct Habits {
    /// Ask the system for file dialogs; otherwise a path is typed.
    pub native_dialogs: bool,
    /// Where work on a plan without a file is kept; `None` keeps none.
    pub unsaved: Option<PathBuf>,
    /// Work long for a frame beside the window; otherwise at once, so that nothing hangs on time.
    pub beside: bool,
    /// The program that opens folders; that of the system for `None`.
    pub opener: Option<PathBuf>,
    /// Where is kept what is remembered from one start to the next; `None` keeps nothing.
    pub settings: Option<PathBuf>,
}

/// What is done on the desk with what came of a task.
pub fn then(done: impl FnOnce(&mut Desk, u64, &Context) + Send + 'static) -> Done<Desk> {
    Box::new(done)
}

/// A ground and the corrections it is to be laid with.
#[derive(Debug, Clone, PartialEq)]
pub struct Laying {
    /// The ground, as the plan names it.
    pub reference: GroundRef,
    /// The corrections.
    pub book: SurveyBook,
    /// Why the ground is not being laid so, where it was given up.
    pub given_up: Option<String>,
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
    /// Dialogs that wait until the open one is answered.
    pub waiting: VecDeque<Dialog>,
    /// Work beside the window.
    pub jobs: Jobs<Desk>,
    /// The last thing told.
    pub told: Option<String>,
    /// Real or test.
    pub habits: Habits,
    /// What the findings offer, tried beside the window.
    pub trying: Option<Trying>,
    /// The choices on old tile, weighed beside the window.
    pub weigher: Option<Weigher>,
    /// The corrections that the ground is being laid with, or that it was not laid with.
    pub laying: Option<Laying>,
    /// The ground that the next new plan is begun on.
    pub new_on: Option<(PathBuf, ReadOptions)>,
    /// True once leaving without saving was agreed to.
    pub may_close: bool,
    /// The receiver that is listened to.
    pub receiving: Option<Receiving>,
    /// The file under the open plan.
    pub file: OnFile,
    /// What is known of unsaved work on disk.
    pub keeping: Keeping,
    /// What is remembered from one start to the next.
    pub settings: Settings,
    /// The same as it is on the disk.
    pub settings_written: Settings,
    /// True while a text field has the keys, as the last frame left it: the key that ends typing is still the field's.
    pub typing: bool,
    /// The theme that is put on; `None` before the first frame.
    pub dressed: Option<bool>,
}

impl Desk {
    /// A desk with a plan on it.
    pub fn new(session: Session, habits: Habits) -> Self {
        let on = session.plan().title.as_of.clone().unwrap_or_default();
        let signature = plan::Signature { on, ..plan::Signature::default() };
        Self {
            session,
            view: View { signature, ..View::default() },
            tool: Tool::default(),
            snaps: SnapIndex::default(),
            caches: Caches::default(),
            dialog: None,
            waiting: VecDeque::new(),
            jobs: Jobs::new(habits.beside),
            told: None,
            habits,
            trying: None,
            weigher: None,
            laying: None,
            new_on: None,
            may_close: false,
            receiving: None,
            file: OnFile::default(),
            keeping: Keeping::default(),
            settings: Settings::default(),
            settings_written: Settings::default(),
            typing: false,
            dressed: None,
        }
    }

    /// Begins work beside the window, for the plan as it stands; what the same work is doing already is not begun again.
    pub fn begin(
        &mut self,
        task: Task,
        ctx: &Context,
        work: impl FnOnce(&Progress) -> Outcome<Desk> + Send + 'static,
    ) {
        let (name, revision) = (task.name.clone(), self.session.history().revision());
        if !self.jobs.start(task, revision, ctx, work) {
            self.told = Some(format!("{name}: this is under way already."));
        }
    }

    /// Opens a dialog, once the one that is open is answered.
    pub fn ask(&mut self, dialog: Dialog) {
        match self.dialog {
            None => self.dialog = Some(dialog),
            Some(_) => self.waiting.push_back(dialog),
        }
    }

    /// What the panels see, and beside it the dialog that is open and what only the map needs.
    pub fn sight(&mut self) -> (Sight<'_>, &mut Option<Dialog>, (&SnapIndex, &mut Caches)) {
        let sight = Sight {
            session: &self.session,
            view: &mut self.view,
            tool: &mut self.tool,
            trying: self.trying.as_ref(),
            weigher: self.weigher.as_ref(),
            receiving: self.receiving.as_ref(),
            file: &self.file,
            recent: &self.settings.recent,
            open_last: self.settings.open_last,
            told: self.told.as_deref(),
            jobs: self.jobs.shown(),
            former_ground: self.laying.as_ref().and_then(|laying| laying.given_up.as_deref()),
        };
        (sight, &mut self.dialog, (&self.snaps, &mut self.caches))
    }

    /// A finding with what came of trying what it offers, where that is known of the plan as it stands.
    pub fn known(&self, finding: &checks::Finding) -> checks::Finding {
        Trying::known(self.trying.as_ref(), &self.session, finding)
    }
}

/// Work that a save has not taken yet.
#[derive(Debug, Clone, PartialEq)]
pub struct InHand {
    /// The plan's revision.
    pub revision: u64,
    /// What is being dragged.
    pub gesture: Option<Edit>,
    /// What is half drawn, as if it ended here.
    pub sketch: Option<Edit>,
}

/// What is known of kept work.
#[derive(Default)]
pub struct Keeping {
    /// The file that this window wrote or took up; any other is somebody's work and is never written over.
    pub ours: Option<PathBuf>,
    /// What was kept last, or given up.
    pub kept: Option<InHand>,
    /// What is to be kept in a moment.
    pub waiting: Option<Waiting>,
    /// What is told once the plan is kept as it was at a revision: nothing of the record is called taken before.
    pub owed: Option<(u64, String)>,
    /// What is being written.
    pub writing: Option<Writing>,
    /// Keeps other windows off the file for plans without one.
    pub slot: Option<PlanLock>,
}

/// Work that is to be kept on disk once nothing changes for a moment.
#[derive(Debug)]
pub struct Waiting {
    /// The work.
    pub work: InHand,
    /// When the first change came that is not kept.
    pub first: Instant,
    /// When the last one came.
    pub last: Instant,
}

/// Work on its way to disk, beside the window.
pub struct Writing {
    /// The work.
    pub work: InHand,
    /// Where it is written.
    pub path: PathBuf,
    /// What came of it: the name that former work there was given.
    pub job: Job<Result<Option<PathBuf>, String>>,
}
