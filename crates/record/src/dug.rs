//! Lines as they were dug: shots matched to lines, reduced to the invert, held against the design.

use std::collections::BTreeMap;

use design::{Design, LineDesign, ON_LIMIT_M, Pipe};
use measure::{FOOT_M, Paths, Point, distance, segments};
use plan::{Criteria, DugShot, LaidStretch, Line, LineId, Plan, ShotOn, Spot};
use terrain::{Piece, Stretch};

use crate::dips::{Dip, dips};
use crate::verdict::{Verdict, verdicts};
use crate::{OnLine, station_of};

/// Shots this near along a line are of one place, of which the last one stands, metres: 1 ft ([judgement]; a rod is not set
/// down twice on the same hand's breadth).
const SAME_PLACE_M: f64 = 1.0 * FOOT_M;
/// Shots may lie so much farther apart than stakes before one is missed, metres: 1 ft ([judgement]).
const SLACK_M: f64 = 1.0 * FOOT_M;

/// The record held against the design.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct AsDug {
    /// Lines with shots, or of which something was laid.
    pub lines: BTreeMap<LineId, DugLine>,
    /// Keys of the shots on pipe that belong to no new line within reach.
    pub astray: Vec<String>,
}

/// One line as it was dug.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct DugLine {
    /// Shots by rising station: at one place the last that was taken.
    pub shots: Vec<Dug>,
    /// Where water will stand, deeper than the limit, by rising station.
    pub dips: Vec<Dip>,
    /// Stretches with less cover than the job asks for; the worst is the cover there, metres. Pipe is taken as straight
    /// from shot to shot.
    pub thin: Vec<Stretch>,
    /// What is said of each stretch, by rising station.
    pub verdicts: Vec<Verdict>,
}

/// A shot on a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Dug {
    /// Its key in the record.
    pub key: String,
    /// Keys of earlier shots of the same place, which it replaces: the pipe was laid anew.
    pub replaces: Vec<String>,
    /// Distance from the downstream end, metres.
    pub station_m: f64,
    /// Where on the course.
    pub at: Point,
    /// How far to the left of the course it was taken, looking upstream, metres; `None` where it was told by station.
    pub left_m: Option<f64>,
    /// The nearest station of the design, metres: a stake, a bend, a joint.
    pub stake_m: f64,
    /// What it was held on.
    pub on: ShotOn,
    /// The invert that follows from it, metres.
    pub invert_m: f64,
    /// Scatter of what was averaged, metres.
    pub scatter_m: f64,
    /// The design's invert there, metres.
    pub plan_m: Option<f64>,
    /// The ground there, metres.
    pub ground_m: Option<f64>,
    /// The pipe that was laid.
    pub pipe: Pipe,
    /// True once the trench is filled there.
    pub backfilled: bool,
}

impl Dug {
    /// How far its invert lies over the plan's, metres; below 0 under it.
    pub fn over_plan_m(&self) -> Option<f64> {
        Some(self.invert_m - self.plan_m?)
    }

    /// How far upstream of the nearest stake it was taken, metres; below 0 downstream of it.
    pub fn past_stake_m(&self) -> f64 {
        self.station_m - self.stake_m
    }

    /// True where it lies farther from the plan's level than the job allows.
    pub fn is_off(&self, criteria: &Criteria) -> bool {
        self.over_plan_m().is_some_and(|over_m| over_m.abs() > criteria.off_design_m + ON_LIMIT_M)
    }

    /// Soil over the top of the pipe, metres.
    pub fn cover_m(&self) -> Option<f64> {
        Some(self.ground_m? - self.invert_m - self.pipe.top_above_invert_m())
    }
}

impl DugLine {
    /// Stretches between two stations along which nobody shot a level, from shot to shot farther apart than stakes.
    pub fn unshot(&self, (from_m, to_m): (f64, f64), criteria: &Criteria) -> Vec<(f64, f64)> {
        let inside = self.shots.iter().map(|shot| shot.station_m).filter(|at_m| (from_m..=to_m).contains(at_m));
        let places: Vec<f64> = std::iter::once(from_m).chain(inside).chain([to_m]).collect();
        let pairs = places.windows(2).map(|pair| (pair[0], pair[1]));
        pairs.filter(|(low_m, high_m)| high_m - low_m > criteria.staking_m + SLACK_M).collect()
    }

    /// Fall from a shot down to the next below it, as a ratio; below 0 where the pipe falls the wrong way.
    pub fn grade_below(&self, index: usize) -> Option<f64> {
        let (low, high) = (self.shots.get(index.checked_sub(1)?)?, self.shots.get(index)?);
        let length_m = high.station_m - low.station_m;
        (length_m > 0.0).then(|| (high.invert_m - low.invert_m) / length_m)
    }
}

/// Holds the shots of the record against the design. Shots on the ground are left out: they say nothing of pipe.
pub fn as_dug(plan: &Plan, design: &Design) -> AsDug {
    let mut found = AsDug::default();
    let lines = new_lines(plan);
    for laid in &plan.record.laid {
        if design.lines.contains_key(&laid.line) {
            found.lines.entry(laid.line).or_default();
        }
    }
    for shot in plan.record.shots().filter(|shot| shot.on != ShotOn::Ground) {
        let on = line_under(plan, &lines, shot);
        let Some((on, worked)) = on.and_then(|on| Some((on, design.lines.get(&on.line)?))) else {
            found.astray.push(shot.key.clone());
            continue;
        };
        let dug = matched(plan, worked, shot, on);
        found.lines.entry(on.line).or_default().take(dug, plan);
    }
    for (id, dug) in &mut found.lines {
        if let Some((line, worked)) = plan.lines.get(id).zip(design.lines.get(id)) {
            dug.judge(plan, (*id, line), worked);
        }
    }
    found
}

/// Pieces of the new lines; none where no shot is told by its place.
fn new_lines(plan: &Plan) -> Paths {
    let asked = plan.record.shots().any(|shot| matches!(shot.spot, Spot::Place(_)));
    let new = plan.lines.iter().filter(|(_, line)| asked && !line.kind.is_old());
    Paths::new(new.flat_map(|(id, line)| segments(id.0, &line.points)).collect())
}

/// The new line a shot belongs to, and its station: as told, or on the nearest within reach; where lines meet, the one that
/// its note names goes first.
fn line_under(plan: &Plan, lines: &Paths, shot: &DugShot) -> Option<OnLine> {
    let Spot::Place(place) = shot.spot else {
        let on = station_of(plan, &shot.spot, 0.0);
        return on.filter(|on| on.station_m <= plan.lines[&on.line].length_m() + SLACK_M);
    };
    let near = lines.paths_near(place, plan.criteria.shot_reach_m).into_iter();
    let on = |(id, station_m, at, off_m)| OnLine { line: LineId(id), station_m, at, off_m };
    let is_other = |on: &OnLine| !plan.lines.get(&on.line).is_some_and(|line| is_named(&shot.note, &line.name));
    near.map(on).min_by(|a, b| {
        let by_name = is_other(a).cmp(&is_other(b));
        by_name.then(a.off_m.total_cmp(&b.off_m)).then(a.line.cmp(&b.line))
    })
}

/// True where a name stands in a note as a word of its own: L1 does not stand in "L12 inv".
fn is_named(note: &str, name: &str) -> bool {
    let is_free = |c: Option<char>| !c.is_some_and(char::is_alphanumeric);
    let stands = |(at, _): (usize, &str)| {
        is_free(note[..at].chars().next_back()) && is_free(note[at + name.len()..].chars().next())
    };
    !name.is_empty() && note.match_indices(name).any(stands)
}

/// What was laid at a station: the last entry that covers it.
pub(crate) fn laid_at(plan: &Plan, id: LineId, station_m: f64) -> Option<&LaidStretch> {
    let covers = |laid: &&LaidStretch| {
        laid.line == id && (laid.stretch_m.0 - ON_LIMIT_M..=laid.stretch_m.1 + ON_LIMIT_M).contains(&station_m)
    };
    plan.record.laid.iter().rev().find(covers)
}

/// A shot with what the plan says of its place.
fn matched(plan: &Plan, worked: &LineDesign, shot: &DugShot, on: OnLine) -> Dug {
    let laid = laid_at(plan, on.line, on.station_m);
    let planned = *worked.pipe_at(on.station_m);
    let pipe = Pipe {
        size_m: laid.and_then(|laid| laid.size_m).unwrap_or(planned.size_m),
        wall: laid.and_then(|laid| laid.wall).unwrap_or(planned.wall),
        ..planned
    };
    let invert_m = shot.level_m
        + match shot.on {
            ShotOn::Top => -pipe.top_above_invert_m(),
            ShotOn::TrenchBottom => pipe.wall_m() + plan.criteria.bedding_m,
            ShotOn::Invert | ShotOn::Ground => 0.0,
        };
    let stakes = worked.stations.iter().map(|station| station.station_m);
    let nearest = stakes.min_by(|a, b| (a - on.station_m).abs().total_cmp(&(b - on.station_m).abs()));
    let there = worked.at(on.station_m);
    let left_m = match shot.spot {
        Spot::Place(place) => Some(left_of(&plan.lines[&on.line], &on, place)),
        Spot::Station { .. } => None,
    };
    Dug {
        key: shot.key.clone(),
        replaces: Vec::new(),
        station_m: on.station_m,
        at: on.at,
        left_m,
        stake_m: nearest.unwrap_or(on.station_m),
        on: shot.on,
        invert_m,
        scatter_m: shot.scatter_m.unwrap_or(0.0),
        plan_m: there.and_then(|station| station.invert_m),
        ground_m: there.and_then(|station| station.ground_m),
        pipe,
        backfilled: laid.is_some_and(|laid| laid.backfilled),
    }
}

/// How far a place lies to the left of a line, looking upstream, metres.
fn left_of(line: &Line, on: &OnLine, place: Point) -> f64 {
    let ahead = |station_m: f64| measure::point_at(&line.points, station_m).unwrap_or(on.at);
    let (below, above) = (ahead(on.station_m - ON_LIMIT_M), ahead(on.station_m + ON_LIMIT_M));
    let turn = (above.x - below.x) * (place.y - on.at.y) - (above.y - below.y) * (place.x - on.at.x);
    distance(place, on.at).copysign(turn)
}

impl DugLine {
    /// Takes a shot: of two at one place the one that was taken later stands; where that cannot be told, as between a day and
    /// an hour of it, the one that came into the record later.
    fn take(&mut self, mut dug: Dug, plan: &Plan) {
        let Some(i) = self.shots.iter().position(|own| (own.station_m - dug.station_m).abs() <= SAME_PLACE_M) else {
            let at = self.shots.partition_point(|own| own.station_m <= dug.station_m);
            self.shots.insert(at, dug);
            return;
        };
        let at = |key: &str| plan.record.shots.iter().find(|shot| shot.key == key).map_or("", |shot| &shot.taken.at);
        if is_before(at(&dug.key), at(&self.shots[i].key)) {
            self.shots[i].replaces.push(dug.key);
            return;
        }
        let old = self.shots.remove(i);
        dug.replaces = old.replaces;
        dug.replaces.push(old.key);
        self.take(dug, plan);
    }

    fn judge(&mut self, plan: &Plan, (id, line): (LineId, &Line), worked: &LineDesign) {
        let criteria = &plan.criteria;
        self.dips = dips(&self.shots).into_iter().filter(|dip| dip.counts(criteria)).collect();
        self.thin = thin(&self.shots, line, worked, criteria);
        self.verdicts = verdicts(plan, id, self);
    }
}

/// True where a time lies surely before another: two times of one day, or two days.
fn is_before(one: &str, other: &str) -> bool {
    let day = |at: &str| at.get(..10).unwrap_or(at).to_string();
    let timed = one.contains('T') && other.contains('T');
    if timed { one < other } else { day(one) < day(other) }
}

/// Where the pipe as dug has less cover than asked for, straight from shot to shot, without the solid outlet pipe and pipe
/// marked heavy.
fn thin(shots: &[Dug], line: &Line, worked: &LineDesign, criteria: &Criteria) -> Vec<Stretch> {
    let limit_m = if line.bed.organic { criteria.organic_cover_m } else { criteria.least_cover_m } - ON_LIMIT_M;
    let counts = |shot: &Dug| shot.station_m >= worked.outlet_pipe_m && shot.pipe.kind != design::PipeKind::Heavy;
    let between = |pair: &[Dug]| {
        let [low, high] = [&pair[0], &pair[1]];
        let from_m = low.station_m.max(worked.outlet_pipe_m);
        let top_m = low.pipe.top_above_invert_m().max(high.pipe.top_above_invert_m());
        let top = Piece::straight((low.station_m, low.invert_m + top_m), (high.station_m, high.invert_m + top_m));
        let ground = worked.ground.between(from_m, high.station_m);
        ground.map(|ground| ground.less(&top)).collect::<Vec<_>>()
    };
    if let [only] = shots {
        let cover_m = only.cover_m().filter(|cover_m| counts(only) && *cover_m < limit_m);
        let at = |worst| Stretch { from_m: only.station_m, to_m: only.station_m, worst_m: only.station_m, worst };
        return cover_m.map(at).into_iter().collect();
    }
    terrain::under(shots.windows(2).filter(|pair| pair.iter().all(counts)).flat_map(between), limit_m)
}
