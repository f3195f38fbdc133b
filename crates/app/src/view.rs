//! The view: what a person looks at and has in hand. Nothing here is saved with the plan.

use std::collections::BTreeSet;
use std::path::PathBuf;
use std::sync::Arc;

use drawing::Chosen;
use job::dug::TypedShot;
use job::settings::PanelSizes;
use lesson::{Dip, Drying, Pipe, Setting, Topic};
use measure::{Point, Units};
use plan::{Goods, LandmarkKind, LineId, ObjectId, OutletId, Parallel, Signature, Stretch};
use propose::Proposal;
use sheets::{Paper, Tongue};
use terrain::Guessed;

use crate::backdrop::Shown;
use crate::camera::Camera;
pub use crate::certainty::SureForm;
pub use crate::layers::{DryForm, Layers, Switch, Tint};
use crate::lists::{LineList, PunchList};
use crate::proposals::Proposals;
use crate::shower::Shower;
use crate::signing;
use crate::theme::{DARK, LIGHT, Palette};

/// The stages of the job, in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Stage {
    /// Bring the land in and look at it.
    Ground,
    /// Outlet, main, laterals, old tile.
    #[default]
    Lines,
    /// Levels and limits.
    Grade,
    /// Quantities.
    Dig,
    /// What is really down there.
    Record,
    /// Show where water goes, and why.
    Lesson,
}

impl Stage {
    /// All stages.
    pub const ALL: [Stage; 6] = [Stage::Ground, Stage::Lines, Stage::Grade, Stage::Dig, Stage::Record, Stage::Lesson];

    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ground => "Ground",
            Self::Lines => "Lines",
            Self::Grade => "Grade",
            Self::Dig => "Dig",
            Self::Record => "Record",
            Self::Lesson => "Lesson",
        }
    }

    /// What is done there, for a tooltip.
    pub const fn purpose(self) -> &'static str {
        match self {
            Self::Ground => "Bring the land in and see where water gathers",
            Self::Lines => "Draw boundary, outlet, main, laterals and old tile",
            Self::Grade => "Set levels and the job's limits",
            Self::Dig => "Count, price, print and hand over",
            Self::Record => "Enter what was laid, hold it against the plan, and keep what is seen later",
            Self::Lesson => "Show a class where water goes, what happens under the ground, and what grade does",
        }
    }
}

/// What is chosen on the map.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Selection {
    /// Nothing.
    #[default]
    Nothing,
    /// The field's boundary.
    Field,
    /// A thing of the plan.
    Object(ObjectId),
    /// One point of a line.
    Bend(LineId, usize),
    /// Several lines: those of [`View::several`].
    Lines,
}

impl Selection {
    /// A thing of the plan is chosen.
    pub fn of(id: impl Into<ObjectId>) -> Self {
        Self::Object(id.into())
    }

    /// The line that is chosen, or whose bend is.
    pub const fn line(self) -> Option<LineId> {
        match self {
            Self::Object(id) => id.line(),
            Self::Bend(id, _) => Some(id),
            Self::Nothing | Self::Field | Self::Lines => None,
        }
    }
}

/// What a mark is drawn as.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DrawnAs {
    /// A single place.
    #[default]
    Place,
    /// A course.
    Course,
    /// An area.
    Area,
}

impl DrawnAs {
    /// The ways a kind may be drawn.
    pub fn of(kind: &LandmarkKind) -> Vec<Self> {
        let (place, course, area) = kind.outlines();
        let all = [(place, Self::Place), (course, Self::Course), (area, Self::Area)];
        all.into_iter().filter(|(may, _)| *may).map(|(_, way)| way).collect()
    }

    /// Its word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Place => "place",
            Self::Course => "course",
            Self::Area => "area",
        }
    }
}

/// A wet spot that was asked about, and what it told then.
#[derive(Debug, Clone, PartialEq)]
pub struct WetSpot {
    /// Revision of the plan by which it was told.
    pub revision: u64,
    /// What it told.
    pub told: record::Trouble,
}

/// A flow that is being entered.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct FlowForm {
    /// The outlet; the first one until another is chosen.
    pub outlet: Option<OutletId>,
    /// What ran, as typed.
    pub ran: String,
    /// True where it ran cloudy.
    pub cloudy: bool,
}

/// Where a class thinks that water gathers.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Guess {
    /// Its strokes.
    pub strokes: Vec<Vec<Point>>,
    /// How near they came, once that is shown.
    pub seen: Option<Guessed>,
}

/// What a class is shown.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Teaching {
    /// What it is about.
    pub topic: Topic,
    /// True where type is large, for the back row.
    pub large: bool,
    /// How many steps of the lesson are shown.
    pub step: usize,
    /// The answer that was given to the question, by its number.
    pub answered: Option<usize>,
    /// What is set under the ground.
    pub setting: Setting,
    /// How the ground dries, as it was set when it was last looked at.
    dries: Option<Drying>,
    /// The pipe whose grade is looked at.
    pub pipe: Pipe,
    /// Its dip.
    pub dip: Dip,
}

impl Teaching {
    /// Goes to a lesson, from its beginning.
    pub fn open(&mut self, topic: Topic) {
        if topic != self.topic {
            *self = Self { topic, step: 0, answered: None, ..self.clone() };
        }
    }

    /// True where another step or lesson follows.
    pub fn goes_on(&self) -> bool {
        self.step < self.topic.steps() || self.topic.after().is_some()
    }

    /// True where a step or lesson stands before this one.
    pub fn goes_back(&self) -> bool {
        self.step > 0 || self.topic.before().is_some()
    }

    /// Shows the next step, after the last the next lesson.
    pub fn next(&mut self) {
        if self.step < self.topic.steps() {
            self.step += 1;
        } else if let Some(topic) = self.topic.after() {
            self.open(topic);
        }
    }

    /// Goes a step back, before the first to the lesson before.
    pub fn back(&mut self) {
        match self.step.checked_sub(1) {
            Some(step) => self.step = step,
            None => self.topic.before().into_iter().for_each(|topic| self.open(topic)),
        }
    }

    /// How the ground dries as it is set.
    pub fn drying(&mut self) -> &Drying {
        let setting = self.setting;
        let known = self.dries.take().filter(|drying| drying.setting == setting);
        self.dries.insert(known.unwrap_or_else(|| Drying::of(setting)))
    }

    /// How much larger type is than elsewhere.
    pub const fn scale(&self) -> f32 {
        if self.large { 1.5 } else { 1.0 }
    }
}

/// The pointer that the arrow keys move over the map.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aim {
    /// Where it is.
    pub at: Point,
    /// True until something is clicked where it is.
    pub fresh: bool,
    /// True while it drags what it took hold of.
    pub holds: bool,
}

impl Aim {
    /// A pointer at a place, nothing clicked there.
    pub const fn at(at: Point) -> Self {
        Self { at, fresh: true, holds: false }
    }
}

/// All of it.
#[derive(Debug, Clone, PartialEq)]
pub struct View {
    /// The stage of the job.
    pub stage: Stage,
    /// Where the map looks.
    pub camera: Camera,
    /// True until the map has been fitted to what there is.
    pub fit: bool,
    /// What it is fitted to then, from corner to corner; `None` for the whole field.
    pub fit_to: Option<(Point, Point)>,
    /// What is drawn.
    pub layers: Layers,
    /// Interval of contours that was asked for, metres; `None` for one that fits the zoom.
    pub interval_m: Option<f64>,
    /// The picture under the plan.
    pub backdrop: Shown,
    /// Where the legend was put, as shares of the room it has from left to right and from top to bottom; `None` for the
    /// freest corner.
    pub legend: Option<(f32, f32)>,
    /// What is chosen.
    pub selection: Selection,
    /// The lines of [`Selection::Lines`].
    pub several: BTreeSet<LineId>,
    /// The list of lines.
    pub line_list: LineList,
    /// How the punch list stands.
    pub punch: PunchList,
    /// The finding looked at: its check and its place.
    pub finding: Option<(u16, Point)>,
    /// Where the pointer is on the map.
    pub pointer: Option<Point>,
    /// The pointer that the arrow keys move, once they do.
    pub aim: Option<Aim>,
    /// True until the map has taken the keys, for a tool that was taken in hand.
    pub to_map: bool,
    /// Sizes of the panels.
    pub panels: PanelSizes,
    /// The line whose ground is looked at; empty for none.
    pub section: Vec<Point>,
    /// The place from which the flow path is drawn.
    pub flow_path: Option<Point>,
    /// An outlet that was moved and not yet asked what level it has, and where it stood.
    pub moved_outlet: Option<(OutletId, Point)>,
    /// The folder that was handed over last.
    pub handed: Option<PathBuf>,
    /// The feet that the plan was shown in before it was shown in metres.
    pub feet: Option<Units>,
    /// The wet spot that is looked into.
    pub wet_spot: Option<WetSpot>,
    /// The parallel laterals that are being laid.
    pub grid: Option<Parallel>,
    /// A flow that is being entered.
    pub flow: FlowForm,
    /// Station pointed at in the profile, metres.
    pub station_m: Option<f64>,
    /// Kind of mark that is drawn next, by its number among all kinds, and what it is drawn as.
    pub marking: (usize, DrawnAs),
    /// The stretch of other pipe that is being entered.
    pub stretch: Stretch,
    /// The goods whose prices by size are shown.
    pub price_goods: Goods,
    /// Paper of the sheets, once it was looked at.
    pub paper: Option<Paper>,
    /// Language of what the crew reads.
    pub tongue: Tongue,
    /// True where sheets are to leave though findings are to be fixed.
    pub all_the_same: bool,
    /// Name under which the layout would be put aside.
    pub layout_name: String,
    /// How the land dries.
    pub drying: DryForm,
    /// How sure the plan is.
    pub sure: SureForm,
    /// The finding that is being accepted, by its check and place.
    pub accepting: Option<(u16, Point)>,
    /// Who signs what is signed, when and why.
    pub signature: Signature,
    /// The shot that is being typed.
    pub shot: TypedShot,
    /// What was laid otherwise than planned, and who agreed, as it is being typed.
    pub otherwise: (String, String),
    /// Address of the receiver and height of its antenna, as they are being typed.
    pub receiver: (String, String),
    /// True where levels locked above the last shots are unlocked when the rest is regraded.
    pub unlock_above: bool,
    /// True while it is told above the map what became of the plan's file.
    pub file_told: bool,
    /// The first layouts that are proposed.
    pub proposals: Proposals,
    /// What is shown in the stage Lesson.
    pub lesson: Teaching,
    /// The rain on the map.
    pub shower: Shower,
    /// Where a class thinks that water gathers.
    pub guess: Guess,
    /// Dark theme.
    pub dark: bool,
}

impl Default for View {
    fn default() -> Self {
        Self {
            stage: Stage::default(),
            camera: Camera::default(),
            fit: true,
            fit_to: None,
            layers: Layers::default(),
            interval_m: None,
            backdrop: Shown::default(),
            legend: None,
            selection: Selection::Nothing,
            several: BTreeSet::new(),
            line_list: LineList::default(),
            punch: PunchList::default(),
            finding: None,
            pointer: None,
            aim: None,
            to_map: false,
            panels: PanelSizes::default(),
            section: Vec::new(),
            flow_path: None,
            moved_outlet: None,
            handed: None,
            feet: None,
            wet_spot: None,
            grid: None,
            flow: FlowForm::default(),
            station_m: None,
            marking: (0, DrawnAs::Course),
            stretch: Stretch::default(),
            price_goods: Goods::Perforated,
            paper: None,
            tongue: Tongue::English,
            all_the_same: false,
            layout_name: String::new(),
            drying: DryForm::default(),
            sure: SureForm::default(),
            accepting: None,
            signature: Signature::default(),
            shot: TypedShot::default(),
            otherwise: (String::new(), String::new()),
            receiver: (String::new(), String::new()),
            unlock_above: false,
            file_told: false,
            proposals: Proposals::default(),
            lesson: Teaching::default(),
            shower: Shower::default(),
            guess: Guess::default(),
            dark: false,
        }
    }
}

impl View {
    /// Whether something is drawn on the map.
    pub fn shows(&self, switch: Switch) -> bool {
        self.layers.is_on(switch, self.stage == Stage::Ground)
    }

    /// The proposal that is looked at on map and profile.
    pub fn proposed(&self) -> Option<&Arc<Proposal>> {
        self.proposals.looked_at().filter(|_| self.stage == Stage::Lines)
    }

    /// What stands out on the map.
    pub fn chosen(&self) -> Chosen<'_> {
        match self.selection {
            Selection::Nothing => Chosen::Nothing,
            Selection::Field => Chosen::Field,
            Selection::Object(id) => Chosen::Object(id),
            Selection::Bend(id, _) => Chosen::Object(ObjectId::Line(id)),
            Selection::Lines => Chosen::Lines(&self.several),
        }
    }

    /// The lines that are chosen, one or several.
    pub fn lines(&self) -> BTreeSet<LineId> {
        match self.selection {
            Selection::Lines => self.several.clone(),
            one => one.line().into_iter().collect(),
        }
    }

    /// The colours in use.
    pub fn palette(&self) -> &'static Palette {
        if self.dark { &DARK } else { &LIGHT }
    }

    /// True while a class is to guess: nothing on the map tells it.
    pub fn is_guessing(&self) -> bool {
        self.stage == Stage::Lesson && self.lesson.topic == Topic::GuessFirst && self.guess.seen.is_none()
    }

    /// The signature that answers for what leaves though findings are to be fixed, where one was given.
    pub fn answered_for(&self) -> Option<Signature> {
        let signed = Some(&self.signature).filter(|signed| signing::missing_reason(signed).is_none());
        signed.filter(|_| self.all_the_same).cloned()
    }
}
