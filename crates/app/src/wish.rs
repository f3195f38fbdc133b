//! What a panel, a dialog or a tool asks for. Only `apply` carries it out.

use std::collections::BTreeSet;
use std::path::PathBuf;

use exchange::ReadOptions;
use job::dry::Ask;
use lesson::Topic;
use measure::Point;
use plan::{Benchmark, Edit, End, LineId, Parallel};
use record::OnLine;

use crate::command::{Command, ToolKind};
use crate::purpose::Purpose;
use crate::view::{Selection, Stage};
use crate::weighing::Asked;

/// One thing asked for.
#[derive(Debug, Clone, PartialEq)]
pub enum Wish {
    /// Make an edit; one undo step.
    Edit(Edit),
    /// Show a gesture that is not yet an edit, or drop it.
    Gesture(Option<Edit>),
    /// See an edit before it is made.
    See(Edit),
    /// Choose something.
    Select(Selection),
    /// Choose several lines.
    Several(BTreeSet<LineId>),
    /// Draw a line on from one of its ends.
    DrawOn(LineId, End),
    /// Go to a finding: its check and its place.
    Look(u16, Point),
    /// Take a tool in hand.
    Take(ToolKind),
    /// Go to a stage of the job.
    Go(Stage),
    /// Go to a lesson.
    Teach(Topic),
    /// Run a command.
    Run(Command),
    /// Leave the plan without saving it, for a command; `None` closes the window.
    Leave(Option<Command>),
    /// Ask for a path.
    AskPath(Purpose),
    /// List a folder for who looks for a file.
    List(Purpose, PathBuf),
    /// Do what a path was asked for, after a question where something would be replaced.
    Path(Purpose, PathBuf),
    /// Do what a path was asked for: nothing lies there, or it may be replaced.
    FreePath(Purpose, PathBuf),
    /// Open what was dropped on the window: a plan, lines, or ground.
    Drop(PathBuf),
    /// Read ground with what the person answered.
    ReadGround(PathBuf, ReadOptions),
    /// Begin a new plan on a ground, after a question where work would be lost.
    NewOn(PathBuf, ReadOptions),
    /// Open a folder in the program of the system.
    OpenFolder(PathBuf),
    /// Read the plan's ground from where it lies outside its folder.
    Allow(PathBuf),
    /// Settle what was asked about the plan's file.
    File(FileWish),
    /// Draw contours at another interval, metres.
    Interval(Option<f64>),
    /// Show the ground along a line; none for an empty one.
    Section(Vec<Point>),
    /// Draw the flow path from a place, or none any more.
    FlowPath(Option<Point>),
    /// Take these strokes as where water is thought to gather.
    Guess(Vec<Vec<Point>>),
    /// Show where it does, and how near the strokes came.
    SeeGuess,
    /// Enter old tile that was found, at a place of a line where one is known.
    Found(Option<OnLine>),
    /// Decide on a find of the record, by its key.
    Decide(String),
    /// Weigh the choices on old tile.
    Weigh(Box<Asked>),
    /// Show a grid of parallel laterals that is being laid, or drop it.
    Grid(Option<Parallel>),
    /// Lay the grid that is shown.
    LayGrid,
    /// Take a layout that is proposed, by its name, after a question where lines are drawn.
    TakeLayout(String),
    /// Work out how the land dries.
    Dry(Ask),
    /// Show a place on a line, at a station in metres, in the middle of the map, and the profile of that line.
    Center(Point, (LineId, f64)),
    /// Ask what a wet spot tells, or no more.
    WetSpot(Option<Point>),
    /// Give up a task beside the window, by its number.
    Cancel(u64),
    /// Lay the ground with the plan's corrections, after that was given up.
    LayGround,
    /// Something of the receiver at the trench.
    Receiver(ReceiverWish),
    /// Open the last plan at the start, or the demo field.
    OpenLast(bool),
    /// Tell something.
    Say(String),
}

/// What is asked of the receiver at the trench.
#[derive(Debug, Clone, PartialEq)]
pub enum ReceiverWish {
    /// Listen to one at an address, its antenna so high over what is shot, metres.
    Open(String, f64),
    /// Listen no more.
    Close,
    /// Take a check shot on a benchmark.
    Check(Benchmark),
    /// Take what the check shot missed in height as a shift of datum.
    Shift,
    /// Take a shot.
    Shoot,
}

/// What is to become of the plan's file, of what another wrote there, and of kept work.
#[derive(Debug, Clone, PartialEq)]
pub enum FileWish {
    /// Save this plan beside the file, and leave the file as the other wrote it.
    KeepBoth(PathBuf),
    /// Read the file anew.
    TakeTheirs(PathBuf),
    /// Save over what the other wrote.
    WriteOver(PathBuf),
    /// See what differs.
    Compare(PathBuf),
    /// Work on the plan here, once it is closed in the other window.
    WorkHere,
    /// Go on with kept work or a backup.
    Recover {
        /// The file that holds it.
        kept: PathBuf,
        /// The plan file it belongs to, if there is one.
        plan: Option<PathBuf>,
    },
    /// Delete kept work.
    ThrowAway(PathBuf),
}
