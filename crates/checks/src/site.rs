//! What every check looks at: the plan, what follows from it, and the neighbours already found.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

use design::{Design, Joint, LineDesign};
use land::{Land, Soils};
use measure::{FOOT_M, Paths, Point, Segment, Units, closed, ray_meets, segments};
use plan::{Edit, Joins, Landmark, LandmarkId, Line, LineId, OutletId, Plan};
use record::{AsDug, DugLine};

use crate::Place;
use crate::rules::Course;
use crate::stretch::remaining;

/// Differences of level or length below this are none, metres: a thousandth of a foot ([judgement]).
pub(crate) const LEVEL_TOLERANCE_M: f64 = 1e-3 * FOOT_M;
/// Ends this near each other are one place, metres: 0.01 ft, the trade's tolerance at joints.
pub(crate) const TOUCH_M: f64 = 0.01 * FOOT_M;
/// Differences of level at a joint below this are none, metres: a hundredth of a foot (same).
pub const JOINT_TOLERANCE_M: f64 = 0.01 * FOOT_M;
/// Differences of grade below this are none, as a ratio: 0.005 percentage points (same).
pub(crate) const GRADE_TOLERANCE: f64 = design::SAME_GRADE;
/// Differences of angle below this are none, degrees (same).
pub(crate) const ANGLE_TOLERANCE_DEG: f64 = 0.1;

/// A plan worked out, as the checks see it.
pub struct Site<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// What follows from it.
    pub design: &'a Design,
    /// The land it lies on.
    pub land: &'a Land,
    /// Its soil.
    pub(crate) soils: Soils<'a>,
    /// Pieces of all lines; `path` is the number of the line's id.
    pub(crate) pieces: Paths,
    /// Sides of the field and its holes, once somebody asks.
    sides: OnceLock<Paths>,
    /// Pieces of all swales, once somebody asks; `path` is the number of the swale.
    swale_pieces: OnceLock<Paths>,
    /// The same without the channels that take the water.
    low_ground: OnceLock<Paths>,
    /// How each swale lies in the plan, once somebody asks.
    courses: OnceLock<Vec<Course<'a>>>,
    /// The record held against the design, once somebody asks.
    dug: OnceLock<AsDug>,
    /// Threads that may look for findings.
    pub(crate) threads: usize,
    /// Joints by the name of the branch.
    pub(crate) joints: Vec<&'a Joint>,
    by_name: Vec<LineId>,
    rank: BTreeMap<LineId, usize>,
    branches: BTreeMap<LineId, Vec<LineId>>,
}

impl<'a> Site<'a> {
    /// Gathers what the checks share.
    pub fn new(plan: &'a Plan, design: &'a Design, land: &'a Land) -> Self {
        let mut by_name: Vec<LineId> = plan.lines.keys().copied().collect();
        by_name.sort_by_cached_key(|id| (name_key(&plan.lines[id].name), *id));
        let rank: BTreeMap<LineId, usize> = by_name.iter().enumerate().map(|(rank, id)| (*id, rank)).collect();
        let mut joints: Vec<&Joint> = design.joints.iter().filter(|j| both_known(plan, j)).collect();
        joints.sort_by_key(|joint| rank[&joint.branch]);
        let mut branches: BTreeMap<LineId, Vec<LineId>> = BTreeMap::new();
        for id in &by_name {
            if let Some(main) = plan.lines[id].flows_into() {
                branches.entry(main).or_default().push(*id);
            }
        }
        let pieces = plan.lines.iter().flat_map(|(id, line)| segments(id.0, &line.points)).collect();
        let pieces = Paths::new(pieces);
        let (sides, swale_pieces, threads) = (OnceLock::new(), OnceLock::new(), 1);
        let (low_ground, courses, soils) = (OnceLock::new(), OnceLock::new(), Soils::of(plan));
        let dug = OnceLock::new();
        Self {
            plan,
            design,
            land,
            soils,
            pieces,
            sides,
            swale_pieces,
            low_ground,
            courses,
            dug,
            threads,
            joints,
            by_name,
            rank,
            branches,
        }
    }

    /// Lets so many threads look; their number changes nothing but the time it takes.
    pub fn with_threads(self, threads: usize) -> Self {
        Self { threads, ..self }
    }

    /// Pieces of all swales.
    pub(crate) fn swale_pieces(&self) -> &Paths {
        self.swale_pieces.get_or_init(|| {
            let swales = (0u32..).zip(self.land.swales.iter());
            Paths::new(swales.flat_map(|(i, swale)| segments(i, &swale.points)).collect())
        })
    }

    /// Pieces of the swales that are no channel which takes the water; `path` is the number of the swale.
    pub(crate) fn low_ground(&self) -> &Paths {
        if self.courses().iter().all(|course| course.channel.is_empty()) {
            return self.swale_pieces();
        }
        self.low_ground.get_or_init(|| {
            let of_swale = |(i, course): (u32, &Course)| {
                let pieces = segments(i, &course.swale.points);
                pieces.iter().flat_map(|piece| remaining(piece, &course.channel)).collect::<Vec<_>>()
            };
            Paths::new((0u32..).zip(self.courses()).flat_map(of_swale).collect())
        })
    }

    /// How each swale lies in the plan.
    pub(crate) fn courses(&self) -> &[Course<'a>] {
        self.courses.get_or_init(|| Course::all(self))
    }

    /// The record held against the design.
    pub(crate) fn dug(&self) -> &AsDug {
        self.dug.get_or_init(|| record::as_dug(self.plan, self.design))
    }

    /// New lines as they were dug, by name.
    pub(crate) fn dug_lines(&self) -> impl Iterator<Item = (LineId, &'a Line, &DugLine)> + '_ {
        self.new_lines().filter_map(|(id, line, _)| Some((id, line, self.dug().lines.get(&id)?)))
    }

    /// Sides of the field and its holes; `path` is 0 for the field, the number of the hole from 1 else.
    pub(crate) fn sides(&self) -> &Paths {
        self.sides.get_or_init(|| {
            let rings = (0u32..).zip(self.plan.field.iter().flat_map(|field| field.rings()));
            let sides = rings.flat_map(|(i, ring)| segments(i, &closed(ring)));
            Paths::new(sides.collect())
        })
    }

    /// True inside the field, its holes left out; everywhere where no field is drawn.
    pub(crate) fn in_field(&self, at: Point) -> bool {
        if self.plan.field.is_none() {
            return true;
        }
        // Even-odd along a ray to the east, for each ring by itself: holes may overlap and reach over the edge.
        let crosses = |side: &&Segment| ray_meets((side.a, side.b), at);
        let mut within: Vec<u32> = Vec::new();
        for side in self.sides().east_of(at).filter(crosses) {
            match within.iter().position(|ring| *ring == side.path) {
                Some(i) => drop(within.swap_remove(i)),
                None => within.push(side.path),
            }
        }
        within == [0]
    }

    /// The ground's file, where it was not read, without its folders.
    pub(crate) fn unread(&self) -> Option<&'a str> {
        let named = self.plan.ground.as_ref().filter(|_| self.land.is_awaited && self.land.ground.is_none());
        named.map(|ground| plan::bare_name(&ground.file))
    }

    /// True where ground or levels that the plan names were not read: what is worked out is not the plan.
    pub(crate) fn has_lesser_ground(&self) -> bool {
        self.unread().is_some() || !self.land.left_out.is_empty()
    }

    /// Marks on the land of a kind, by id.
    pub(crate) fn marks(
        &self,
        is_kind: impl Fn(&Landmark) -> bool + 'a,
    ) -> impl Iterator<Item = (LandmarkId, &'a Landmark)> + 'a {
        self.plan.landmarks.iter().filter(move |(_, mark)| is_kind(mark)).map(|(id, mark)| (*id, mark))
    }

    /// Units in which the person reads.
    pub(crate) fn units(&self) -> Units {
        self.plan.title.units
    }

    /// A station as written on a plan.
    pub(crate) fn station(&self, station_m: f64) -> String {
        measure::station(station_m, self.units())
    }

    /// A stretch in words: "from 1+20 to 1+85", or "at 1+20" for a point.
    pub(crate) fn stretch(&self, from_m: f64, to_m: f64) -> String {
        let (from, to) = (self.station(from_m), self.station(to_m));
        if from == to { format!("at {from}") } else { format!("from {from} to {to}") }
    }

    /// A vertical amount for a label, without idle zeros: "0.7 ft"; more figures where two would show nothing.
    pub(crate) fn short(&self, amount_m: f64) -> String {
        let two = self.units().number(amount_m, 2);
        let told = match shows_something(&two) {
            true => self.units().depth(amount_m),
            false => self.units().depths(amount_m, 0.0)[0].clone(),
        };
        let number = told.split(' ').next().unwrap_or_default();
        let number = if number.contains('.') { number.trim_end_matches('0').trim_end_matches('.') } else { number };
        format!("{number} {}", self.units().sign())
    }

    /// A length that was found; more figures where whole ones would show nothing.
    pub(crate) fn length(&self, length_m: f64) -> String {
        let told = self.units().length(length_m);
        if shows_something(&told) { told } else { self.units().lengths(length_m, 0.0)[0].clone() }
    }

    /// A cover for a label: "0.7 ft of cover", "0.3 ft out of the ground".
    pub(crate) fn cover(&self, cover_m: f64) -> String {
        match cover_m {
            over_m if over_m >= LEVEL_TOLERANCE_M => format!("{} of cover", self.short(over_m)),
            out_m if out_m <= -LEVEL_TOLERANCE_M => format!("{} out of the ground", self.short(-out_m)),
            _ => "no cover".into(),
        }
    }

    /// Name of a line.
    pub(crate) fn name(&self, id: LineId) -> &'a str {
        self.plan.lines.get(&id).map_or("a line", |line| line.name.as_str())
    }

    /// Name of an outlet.
    pub(crate) fn outlet_name(&self, id: OutletId) -> &'a str {
        self.plan.outlets.get(&id).map_or("an outlet", |outlet| outlet.name.as_str())
    }

    /// Place of a line among all lines by name, so that nothing hangs on the order in which they were drawn.
    pub(crate) fn rank(&self, id: LineId) -> usize {
        self.rank.get(&id).copied().unwrap_or(usize::MAX)
    }

    /// A line with what follows from it.
    pub(crate) fn line(&self, id: LineId) -> Option<(&'a Line, &'a LineDesign)> {
        Some((self.plan.lines.get(&id)?, self.design.lines.get(&id)?))
    }

    /// True for tile that was there before.
    pub(crate) fn is_old(&self, id: LineId) -> bool {
        self.plan.lines.get(&id).is_some_and(|line| line.kind.is_old())
    }

    /// New lines by name.
    pub(crate) fn new_lines(&self) -> impl Iterator<Item = (LineId, &'a Line, &'a LineDesign)> + '_ {
        let lines = self.by_name.iter().filter_map(|id| self.line(*id).map(|(line, worked)| (*id, line, worked)));
        lines.filter(|(_, line, _)| !line.kind.is_old())
    }

    /// Old tile by name.
    pub(crate) fn old_lines(&self) -> impl Iterator<Item = (LineId, &'a Line, &'a LineDesign)> + '_ {
        let lines = self.by_name.iter().filter_map(|id| self.line(*id).map(|(line, worked)| (*id, line, worked)));
        lines.filter(|(_, line, _)| line.kind.is_old())
    }

    /// The place at a station of a line.
    pub(crate) fn point(&self, id: LineId, station_m: f64) -> Point {
        let points = self.plan.lines.get(&id).map_or(&[][..], |line| &line.points);
        measure::point_at(points, station_m).unwrap_or(Point::new(0.0, 0.0))
    }

    /// Lines that drain into a line, near or far, each once, nearest first.
    pub(crate) fn upstream(&self, id: LineId) -> Vec<LineId> {
        let mut seen = BTreeSet::from([id]);
        let mut found = vec![id];
        let mut next = 0;
        while next < found.len() {
            let branches = self.branches.get(&found[next]).map_or(&[][..], Vec::as_slice);
            found.extend(branches.iter().copied().filter(|branch| seen.insert(*branch)));
            next += 1;
        }
        found.remove(0);
        found
    }

    /// The last line the water of a line comes through; in a ring the one that comes first by name.
    pub(crate) fn root(&self, id: LineId) -> LineId {
        let mut way = vec![id];
        let mut seen = BTreeSet::from([id]);
        while let Some(next) = self.downstream(way[way.len() - 1]) {
            if !seen.insert(next) {
                let ring = way.iter().skip_while(|on_way| **on_way != next);
                return ring.copied().min_by_key(|on_ring| self.rank(*on_ring)).unwrap_or(next);
            }
            way.push(next);
        }
        way[way.len() - 1]
    }

    /// The line that the water of a line comes into.
    pub(crate) fn downstream(&self, id: LineId) -> Option<LineId> {
        self.plan.lines.get(&id)?.flows_into().filter(|next| self.plan.lines.contains_key(next))
    }

    /// The joint at a line's downstream end.
    pub(crate) fn joint_of(&self, branch: LineId) -> Option<&'a Joint> {
        let index = self.joints.binary_search_by_key(&self.rank(branch), |joint| self.rank(joint.branch)).ok()?;
        self.joints.get(index).copied()
    }

    /// True when one of two lines joins the other within reach of a place.
    pub(crate) fn joined_near(&self, one: LineId, other: LineId, at: Point, reach_m: f64) -> bool {
        let joint = |branch: LineId, main: LineId| self.joint_of(branch).filter(|joint| joint.main == main);
        let joints = [joint(one, other), joint(other, one)];
        joints.into_iter().flatten().any(|joint| measure::distance(joint.at, at) <= reach_m)
    }

    /// True when another line carries on from the upper end of a line.
    pub(crate) fn carries_on(&self, id: LineId) -> bool {
        let branches = self.branches.get(&id).map_or(&[][..], Vec::as_slice);
        branches.iter().any(|branch| self.joint_of(*branch).is_some_and(|joint| joint.in_line))
    }

    /// Joins the end of a line to what it stops short of; `None` where the plan would refuse, as for a line that would
    /// have no length left, and where the lines would make a ring.
    pub(crate) fn join(&self, id: LineId, target: Joins) -> Option<Edit> {
        if let Joins::Line(other) = target
            && self.upstream(id).contains(&other)
        {
            return None;
        }
        let edit = plan::join(self.plan, id, target)?;
        self.plan.clone().apply(&edit).ok().map(|_| edit)
    }

    /// A place of a finding that gathers several; `figure` closes the text.
    pub(crate) fn place(&self, line: LineId, (from_m, to_m): (f64, f64), worst_m: f64, figure: &str) -> Place {
        let text = format!("{} {}, {figure}", self.name(line), self.stretch(from_m, to_m));
        Place { line: Some(line), from_m, to_m, at: self.point(line, worst_m), text }
    }
}

/// True for a figure that is not all noughts.
fn shows_something(figure: &str) -> bool {
    figure.contains(|c: char| ('1'..='9').contains(&c))
}

fn both_known(plan: &Plan, joint: &Joint) -> bool {
    plan.lines.contains_key(&joint.branch) && plan.lines.contains_key(&joint.main)
}

/// Splits a name so that L2 comes before L10.
fn name_key(name: &str) -> (String, u64, String) {
    let stem = name.trim_end_matches(|c: char| c.is_ascii_digit());
    (stem.to_string(), name[stem.len()..].parse().unwrap_or(0), name.to_string())
}
