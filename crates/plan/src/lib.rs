//! The drainage plan: what the person wants. Field, outlets, lines, old tile, levels locked by hand, the job's limits.
//!
//! A [`Plan`] changes only by an [`Edit`], which [`Plan::apply`] carries out whole or not at all and answers with the
//! edit that takes it back. Plans name the surface file and never hold the surface; all lengths are metres.

mod backdrop;
mod bounds;
mod brief;
mod cautions;
mod check;
mod cost_weights;
mod course_edits;
mod criteria;
mod edit;
mod edits;
mod history;
mod landmark;
mod laying;
mod ledger;
mod ledger_edits;
mod line;
mod mark_kinds;
mod object;
mod outlet;
mod parallel;
mod pipe_edits;
mod price_list;
mod record;
mod record_check;
mod record_edits;
mod reference;
mod sources;
mod starts;
mod survey;
mod survey_edits;
mod texture;
mod title_block;
mod unknown;
mod watercourse;

use std::collections::{BTreeMap, BTreeSet};

use measure::{LengthUnit, Point, Units};
use serde::{Deserialize, Serialize};

pub use backdrop::{Backdrop, Placing, set_backdrop};
pub use bounds::{BOUNDS, Bound, COUNTS, Count};
pub use brief::{Asked, Brief, Crop, SelfCleaning};
pub use cautions::{CAUTION, CAUTION_SHORT};
pub use check::PlanError;
pub use cost_weights::{CostWeights, DigWeight, PipeWeight};
pub use course_edits::{End, double, extend, set_lines, shift, shift_all, split, unite};
pub use criteria::{Criteria, LIMITS, Limit, LimitChange, Quantity, Roughness, limit_named};
pub use edit::{Change, Edit};
pub use edits::{
    add_line, add_watercourse, delete_point, insert_point, join, move_outlet, move_point, place_outlet, remove_line,
    remove_outlet, remove_watercourse, reverse, set_brief, set_cost_weights, set_criteria, set_field, set_line,
    set_outlet, set_pin, set_reach, set_title, set_watercourse,
};
pub use history::History;
pub use landmark::{
    Carries, Cause, Exposed, Landmark, LandmarkId, LandmarkKind, Outline, Pit, Row, Rows, SoilLayer, Utility,
};
pub use laying::{
    Bed, BoxFacts, Catching, Decision, Envelope, Hold, Hub, Pass, Reach, Served, Side, SizeBy, Slots, Stretch,
    Structure, StructureKind, Wall,
};
pub use ledger::{
    Acceptance, Alternative, Fact, FactKind, Gathered, OpenFinding, Revision, Subject, Told, revision_letter,
};
pub use ledger_edits::{
    accept, add_landmark, change_limits, drop_alternative, issue, lay_stretch, put_aside, remove_landmark, reopen,
    set_landmark, set_price_list, take_out,
};
pub use line::{
    Clues, Condition, Confidence, Evidence, Joins, Line, LineId, LineKind, Material, OldTile, Pattern, Pin,
};
pub use mark_kinds::{Choice, MARK_KINDS, MarkField, MarkKind, MarkValue, Member, Passed};
pub use object::{ObjectId, remove};
pub use outlet::{LeadsTo, Outlet, OutletId, Owner, Pump, Receiving};
pub use parallel::{Laid, NoGrid, Parallel, keep_off_m};
pub use pipe_edits::{end_at, move_change, set_size};
pub use price_list::{DigRate, Goods, Measure, PriceList, PriceRow, is_currency, pack_word};
pub use record::{
    Decided, DugShot, FIELD_FORMAT, FieldNote, Find, Fix, FixQuality, LaidStretch, LogEntry, NoteOn, OutletFlow,
    Photo, Probe, Record, Running, ShotOn, Spot, Taken,
};
pub use record_edits::{Additions, add_to_record, decide, finish_digging, sign_record, strike};
pub use reference::{Reference, bare_name};
pub use sources::{Known, SOURCES, Source, cited, in_words, written_out};
pub use starts::{FEET_STARTS, METRIC_STARTS, Starts, in_units};
pub use survey::{
    BatchFacts, Benchmark, Correction, LevelLoop, Remedy, ShotName, Signature, SurveyBook, SurveyFile, days_between,
    is_date,
};
pub use survey_edits::{correct, set_survey, sign, signed_level, wants_signature};
pub use texture::Texture;
pub use title_block::{TITLE_ENTRIES, TitleBlock, TitleEntry};
pub use unknown::{Step, Unknown};
pub use watercourse::{Watercourse, WatercourseId, WatercourseKind};

/// Where the ground comes from and in what terms it speaks.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct GroundRef {
    /// The surface file, relative to the plan file where it lies beside or below it.
    pub file: String,
    /// Coordinate system, `EPSG:32631` or `local`.
    pub crs: String,
    /// Unit of the coordinates in the file.
    pub horizontal_unit: LengthUnit,
    /// Unit of the levels in the file.
    pub vertical_unit: LengthUnit,
    /// What the levels count from, as stated by the file or the person; empty when unknown.
    #[serde(default)]
    pub datum: String,
    /// Columns of easting, northing and level in a file of survey points, counted from 0, where they were chosen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub columns: Option<[usize; 3]>,
    /// The attribute that holds the level of contours and break lines, where it was chosen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub level_attribute: Option<String>,
    /// The part of a grid that is read: west, south, east and north edge in the file's own coordinates and unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<[f64; 4]>,
    /// The system that the file is in, where its ground is brought from there into that of the plan.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub brought_from: Option<String>,
}

/// The ground to be drained: one outer ring and its holes, corners in metres, the first not repeated at the end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Field {
    /// The boundary.
    pub ring: Vec<Point>,
    /// Parts left out (a pond, a yard).
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub holes: Vec<Vec<Point>>,
}

impl Field {
    /// Its area without what is left out, square metres.
    pub fn area_m2(&self) -> f64 {
        let left_out: f64 = self.holes.iter().map(|hole| measure::ring_m2(hole).abs()).sum();
        (measure::ring_m2(&self.ring).abs() - left_out).max(0.0)
    }

    /// A place in its middle: the mean of its corners.
    pub fn middle(&self) -> Point {
        landmark::middle_of(&self.ring)
    }

    /// A field from its rings, the boundary first; `None` without any.
    pub fn of_rings(rings: Vec<Vec<Point>>) -> Option<Self> {
        let mut rings = rings.into_iter();
        Some(Self { ring: rings.next()?, holes: rings.collect() })
    }

    /// Its rings, the boundary first.
    pub fn rings(&self) -> impl Iterator<Item = &Vec<Point>> {
        std::iter::once(&self.ring).chain(&self.holes)
    }
}

/// What stands at the head of every sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Title {
    /// The job's name.
    pub name: String,
    /// Units in which the person reads and types.
    pub units: Units,
    /// The date against which tickets and accepted findings are held, `YYYY-MM-DD`; no clock is read for it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub as_of: Option<String>,
    /// Owner, parcel, county, planner and ticket, as far as they are entered.
    #[serde(default, skip_serializing_if = "TitleBlock::is_empty")]
    pub block: TitleBlock,
}

/// The whole plan of one job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    /// Name, units, date.
    pub title: Title,
    /// The surface the plan lies on, once there is one.
    pub ground: Option<GroundRef>,
    /// An air photo or map image under the plan, once there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub backdrop: Option<Backdrop>,
    /// The field, once it is drawn.
    pub field: Option<Field>,
    /// Outlets by id.
    pub outlets: BTreeMap<OutletId, Outlet>,
    /// New lines and old tile by id.
    pub lines: BTreeMap<LineId, Line>,
    /// Ditches and culverts by id.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub watercourses: BTreeMap<WatercourseId, Watercourse>,
    /// Marks on the land by id.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub landmarks: BTreeMap<LandmarkId, Landmark>,
    /// The job's limits.
    #[serde(default)]
    pub criteria: Criteria,
    /// Limits that were changed, by whom and why.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub limit_log: Vec<LimitChange>,
    /// What the grower asked for.
    #[serde(default)]
    pub brief: Brief,
    /// What levels and sizes weigh against each other.
    #[serde(default, rename = "prices")]
    pub cost_weights: CostWeights,
    /// What pipe, fittings and work cost.
    #[serde(default)]
    pub price_list: PriceList,
    /// Findings that were accepted as they are.
    #[serde(default, rename = "waivers", skip_serializing_if = "Vec::is_empty")]
    pub acceptances: Vec<Acceptance>,
    /// Sheets that were issued, oldest first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub revisions: Vec<Revision>,
    /// Layouts put aside.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub alternatives: Vec<Alternative>,
    /// Batches, benchmarks and corrections of the survey.
    #[serde(default, skip_serializing_if = "SurveyBook::is_empty")]
    pub survey: SurveyBook,
    /// What is really down there, as it was shot, found and noted.
    #[serde(default, skip_serializing_if = "Record::is_empty")]
    pub record: Record,
    /// The next free id; ids are never given twice in the life of a plan.
    pub next_id: u32,
    /// Members of its file that this program does not know; they are written again with what they belong to.
    #[serde(skip)]
    pub unknown: Vec<Unknown>,
}

impl Plan {
    /// An empty plan.
    pub fn new(name: &str, units: Units) -> Self {
        Self {
            title: Title { name: name.into(), units, as_of: None, block: TitleBlock::default() },
            ground: None,
            backdrop: None,
            field: None,
            outlets: BTreeMap::new(),
            lines: BTreeMap::new(),
            watercourses: BTreeMap::new(),
            landmarks: BTreeMap::new(),
            criteria: Criteria::of(units),
            limit_log: Vec::new(),
            brief: Brief::of(units),
            cost_weights: CostWeights::of(units),
            price_list: PriceList::of(units),
            acceptances: Vec::new(),
            revisions: Vec::new(),
            alternatives: Vec::new(),
            survey: SurveyBook::default(),
            record: Record::default(),
            next_id: 1,
            unknown: Vec::new(),
        }
    }

    /// What is usual in the system the job was begun in, whatever it is shown in.
    pub const fn starts(&self) -> &'static Starts {
        Starts::of(self.brief.metric)
    }

    /// A line of the size its kind starts with in this job, which joins nothing yet.
    pub fn new_line(&self, name: &str, kind: LineKind, points: Vec<Point>) -> Line {
        Line { size_m: self.starts().size_m(kind), ..Line::new(name, kind, points) }
    }

    /// An outlet with nothing known but its place and invert.
    pub fn new_outlet(&self, name: &str, at: Point, invert_m: f64) -> Outlet {
        Outlet { outlet_pipe_m: self.starts().outlet_pipe_m, ..Outlet::new(name, at, invert_m) }
    }

    /// A line by its name, the first by id where names repeat.
    pub fn line_named(&self, name: &str) -> Option<LineId> {
        self.lines.iter().find(|(_, line)| line.name == name).map(|(id, _)| *id)
    }

    /// The first unused name made of `stem` and a number: `L3`.
    pub fn free_name(&self, stem: &str) -> String {
        self.free_names(stem).next().unwrap_or_else(|| stem.to_string())
    }

    /// The unused names made of `stem` and a number, in order.
    pub fn free_names(&self, stem: &str) -> impl Iterator<Item = String> {
        let lines = self.lines.values().map(|line| &line.name);
        let outlets = self.outlets.values().map(|outlet| &outlet.name);
        let watercourses = self.watercourses.values().map(|watercourse| &watercourse.name);
        let landmarks = self.landmarks.values().map(|landmark| &landmark.name);
        let taken: BTreeSet<&str> =
            lines.chain(outlets).chain(watercourses).chain(landmarks).map(String::as_str).collect();
        (1u32..).map(move |n| format!("{stem}{n}")).filter(move |name| !taken.contains(name.as_str()))
    }

    /// The soil pit nearest to a place.
    pub fn pit_near(&self, at: Point) -> Option<&Pit> {
        let pits = self.landmarks.values().filter_map(|landmark| match &landmark.kind {
            LandmarkKind::Pit(pit) => Some((measure::distance(landmark.outline.middle(), at), pit)),
            _ => None,
        });
        pits.min_by(|x, y| x.0.total_cmp(&y.0)).map(|(_, pit)| pit)
    }

    /// The rows of the block in which a place lies.
    pub fn rows_at(&self, at: Point) -> Option<&Rows> {
        self.row_blocks().find(|(_, ring)| measure::ring_holds(ring, at)).map(|(rows, _)| rows)
    }

    /// Blocks of rows with their edges, in order of id.
    pub fn row_blocks(&self) -> impl Iterator<Item = (&Rows, &[Point])> {
        self.landmarks.values().filter_map(|mark| match &mark.outline {
            Outline::Around(ring) => Some((mark.kind.rows()?, ring.as_slice())),
            _ => None,
        })
    }

    /// True where iron was seen on the job or in a pit.
    pub fn has_iron(&self) -> bool {
        let pits = self.landmarks.values().any(|mark| matches!(&mark.kind, LandmarkKind::Pit(pit) if pit.iron));
        self.brief.iron || pits
    }

    /// The plan with the layout that was put aside under a name.
    pub fn with_alternative(&self, name: &str) -> Option<Plan> {
        Some(self.with(&take_out(self, name)?))
    }

    /// Lines whose downstream end joins `id`, in order of id.
    pub fn branches(&self, id: LineId) -> impl Iterator<Item = (LineId, &Line)> {
        self.lines.iter().filter(move |(_, line)| line.joins == Joins::Line(id)).map(|(id, line)| (*id, line))
    }

    /// Lines whose water comes into `id`, in order of id.
    pub fn feeders(&self, id: LineId) -> impl Iterator<Item = (LineId, &Line)> {
        self.branches(id).filter(|(_, line)| line.flows_into().is_some())
    }

    /// The name of what a line joins, for a sentence.
    pub fn name_of(&self, joins: Joins) -> Option<&str> {
        match joins {
            Joins::Nothing => None,
            Joins::Outlet(id) => self.object_name(id),
            Joins::Line(id) => self.object_name(id),
        }
    }
}
