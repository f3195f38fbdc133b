//! The map of a plan, layer by layer from the ground up; one file a layer.

mod benchmarks;
mod boundary;
mod contours;
mod edges;
mod finding_marks;
mod flow_path;
mod joints;
mod lines;
mod marks;
mod no_dig;
mod outlets;
pub(crate) mod proposed;
mod protected;
mod section;
mod shots;
mod stretches;
pub(crate) mod wanted;
mod water;
mod watercourses;

use std::collections::BTreeSet;

use checks::Finding;
use design::Design;
use land::Land;
use measure::Point;
use plan::{LineId, ObjectId, Plan};
use terrain::{Contour, Grid};

use crate::profile::NoDig;
use crate::role::Role;
use crate::scene::{Emphasis, Item, Scene};

pub use contours::level_words;
pub use flow_path::FlowPath;

/// What a map may show, in the order in which it lies on each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Layer {
    /// Closed depressions.
    Depressions,
    /// Contours.
    Contours,
    /// Where the survey leaves the ground unknown, and the break lines it is held to.
    Edges,
    /// Low ground where water gathers.
    Swales,
    /// A flow path.
    FlowPath,
    /// The field's boundary.
    Boundary,
    /// Ditches and culverts.
    Watercourses,
    /// Marks on the land.
    Marks,
    /// Trench that must be protected.
    Protected,
    /// Lines of pipe, new and old.
    Lines,
    /// Stretches without openings or with a heavy wall; they lie on their lines.
    Solid,
    /// Upper ends; they lie on their lines.
    Ends,
    /// Joints.
    Joints,
    /// Outlets.
    Outlets,
    /// Stretches that findings name.
    Stretches,
    /// A layout that is proposed; it lies over what is drawn.
    Proposed,
    /// The section that is looked at.
    Section,
    /// Shots of the survey.
    Shots,
    /// Benchmarks.
    Benchmarks,
    /// Where one more shot is asked for.
    Wanted,
    /// Where nobody digs.
    NoDig,
    /// A mark at the place of every finding.
    Findings,
}

/// What is selected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Chosen<'a> {
    /// Nothing.
    #[default]
    Nothing,
    /// The field.
    Field,
    /// A thing of the plan.
    Object(ObjectId),
    /// These lines.
    Lines(&'a BTreeSet<LineId>),
}

impl Chosen<'_> {
    /// A thing of the plan is selected.
    pub fn of(id: impl Into<ObjectId>) -> Self {
        Self::Object(id.into())
    }
}

/// What a map is made from.
#[derive(Debug, Clone, Copy)]
pub struct MapOf<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// What follows from it.
    pub design: &'a Design,
    /// The punch list, the worst first.
    pub findings: &'a [Finding],
    /// Where nobody digs.
    pub no_dig: &'a [NoDig],
    /// The land, where it is drawn.
    pub land: Option<&'a Land>,
    /// Its contours.
    pub contours: &'a [Contour],
    /// What is selected.
    pub chosen: Chosen<'a>,
    /// The finding that is looked at, by its check and its place.
    pub looked_at: Option<(u16, Point)>,
    /// Where one more shot is asked for, the first first, and the number of the one that is looked at.
    pub wanted: (&'a [Point], Option<usize>),
    /// The section that is looked at; empty for none.
    pub section: &'a [Point],
    /// The plan with the layout that is looked at among those that are proposed.
    pub proposed: Option<&'a Plan>,
    /// The flow path that is asked for.
    pub flow_path: Option<FlowPath<'a>>,
    /// South-west and north-east corner of what can be seen, where the rest need not be drawn.
    pub seen: Option<(Point, Point)>,
}

impl<'a> MapOf<'a> {
    /// A map of a plan alone.
    pub fn new(plan: &'a Plan, design: &'a Design) -> Self {
        Self {
            plan,
            design,
            findings: &[],
            no_dig: &[],
            land: None,
            contours: &[],
            chosen: Chosen::Nothing,
            looked_at: None,
            wanted: (&[], None),
            section: &[],
            proposed: None,
            flow_path: None,
            seen: None,
        }
    }

    /// The map with those layers.
    pub fn scene(&self, layers: &[Layer]) -> Scene<'a> {
        let mut layers_up = layers.to_vec();
        layers_up.sort_unstable();
        let items = layers_up.iter().flat_map(|layer| self.layer(*layer, layers)).collect();
        Scene { time_s: None, items }
    }

    fn layer(&self, layer: Layer, all: &[Layer]) -> Vec<Item<'a>> {
        match layer {
            Layer::Depressions => water::depressions(self),
            Layer::Contours => contours::items(self),
            Layer::Edges => edges::items(self),
            Layer::Swales => water::swales(self),
            Layer::FlowPath => flow_path::items(self),
            Layer::Boundary => boundary::items(self),
            Layer::Watercourses => watercourses::items(self),
            Layer::Marks => marks::items(self),
            Layer::Protected => protected::items(self),
            Layer::Lines => lines::items(self, all),
            Layer::Solid | Layer::Ends => Vec::new(),
            Layer::Joints => joints::items(self),
            Layer::Outlets => outlets::items(self),
            Layer::Stretches => stretches::items(self),
            Layer::Proposed => proposed::items(self),
            Layer::Section => section::items(self),
            Layer::Shots => shots::items(self),
            Layer::Benchmarks => benchmarks::items(self),
            Layer::Wanted => wanted::items(self),
            Layer::NoDig => no_dig::items(self),
            Layer::Findings => finding_marks::items(self),
        }
    }

    fn grid(&self) -> Option<&'a Grid> {
        self.land.and_then(Land::grid)
    }

    fn emphasis(&self, thing: Chosen) -> Emphasis {
        let chosen = match (self.chosen, thing) {
            (Chosen::Lines(lines), Chosen::Object(ObjectId::Line(id))) => lines.contains(&id),
            (chosen, thing) => chosen == thing,
        };
        if chosen { Emphasis::Chosen } else { Emphasis::Plain }
    }

    /// True for the finding that is looked at.
    pub(crate) fn is_looked_at(&self, finding: &Finding) -> bool {
        self.looked_at == Some((finding.check, finding.at))
    }

    /// False for a place that need not be drawn.
    fn may_be_seen(&self, at: Point) -> bool {
        self.seen.is_none_or(|(low, high)| at.x >= low.x && at.x <= high.x && at.y >= low.y && at.y <= high.y)
    }
}

/// A sign that looks nowhere.
fn sign<'a>(role: Role, at: Point) -> Item<'a> {
    Item::new(role, crate::scene::Form::Sign(at, at))
}
