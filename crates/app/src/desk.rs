//! The desk: the window's whole state.

use std::path::PathBuf;
use std::time::{Duration, Instant};

use exchange::{FileError, PlanLock};
use plan::Edit;

use crate::canvas::{Caches, SnapIndex};
use crate::jobs::Job;
use crate::panels::Sight;
use crate::panels::dialog::Dialog;
use crate::purpose::Purpose;
use crate::tools::Tool;
use crate::trying::Trying;
use crate::view::View;
use job::Progress;
use job::Session;
use job::files::Landing;
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
    Path(Purpose, Job<(Option<PathBuf>, Duration)>),
}

/// What came of a ground file.
pub enum Brought {
    /// The land.
    Land(Box<ground::Opened>),
    /// A question about it.
    Asked(Box<Dialog>),
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
    /// The plan's revision for which the ground was last laid anew.
    pub relaid: u64,
    /// True once leaving without saving was agreed to.
    pub may_close: bool,
    /// The file under the open plan.
    pub file: OnFile,
    /// What is known of unsaved work on disk.
    pub keeping: Keeping,
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
            work: None,
            told: None,
            habits,
            trying: None,
            relaid: 0,
            may_close: false,
            file: OnFile::default(),
            keeping: Keeping::default(),
            dressed: None,
        }
    }

    /// What the panels see, and beside it the dialog that is open and what only the map needs.
    pub fn sight(&mut self) -> (Sight<'_>, &mut Option<Dialog>, (&SnapIndex, &mut Caches)) {
        let sight = Sight {
            session: &self.session,
            view: &mut self.view,
            tool: &mut self.tool,
            trying: self.trying.as_ref(),
            file: &self.file,
            told: self.told.as_deref(),
            work: self.work.as_ref().map(Work::shown),
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
#[derive(Debug, Default)]
pub struct Keeping {
    /// The file that this window wrote or took up; any other is somebody's work and is never written over.
    pub ours: Option<PathBuf>,
    /// What was kept last, or given up.
    pub kept: Option<InHand>,
    /// What is to be kept in a moment.
    pub waiting: Option<Waiting>,
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
