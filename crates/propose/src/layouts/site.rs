//! The job as a first layout sees it: where pipe may lie, and what digging costs there.

use land::{Land, Soils};
use measure::{Paths, Point, Segment, along, closed, distance, part_of, path_length, ring_holds, segments};
use plan::{CostWeights, Field, LandmarkKind, LineKind, Outlet, Outline, Plan, keep_off_m};
use terrain::Ground;

use super::wet::{holds, is_at};
use super::{NoLayout, WetLand};

/// Least distance of a line from the boundary, metres: room for the machine ([judgement]).
pub const EDGE_M: f64 = 3.0;
/// A straight run is looked at in parts no longer than this, metres (own choice).
const LOOK_M: f64 = 6.0;
/// What digging by hand where pipe crosses a buried line costs, as a length of usual trench, metres ([judgement]).
const BY_HAND_M: f64 = 20.0;

/// Plan, land and what follows from both before anything is drawn.
pub struct Site<'a> {
    /// The plan without the lines that would give way.
    pub plan: &'a Plan,
    /// Its land.
    pub land: &'a Land,
    /// Its field.
    pub field: &'a Field,
    /// Its ground.
    pub ground: &'a Ground,
    /// Its soil.
    pub soils: Soils<'a>,
    /// What is wet.
    pub wet: WetLand,
    /// What digging costs.
    pub digging: Digging<'a>,
    off: Vec<Off>,
    ditches: Vec<Off>,
    crossed: Vec<Off>,
    buried: Paths,
    sides: Paths,
}

/// Something that pipe stays away from.
struct Off {
    pieces: Paths,
    ring: Option<Vec<Point>>,
    off_m: f64,
}

impl<'a> Site<'a> {
    /// Looks at a plan and its land.
    pub fn of(plan: &'a Plan, land: &'a Land) -> Result<Self, NoLayout> {
        let field = plan.field.as_ref().ok_or(NoLayout::NoField)?;
        let ground = land.ground.as_deref().ok_or(NoLayout::NoGround)?;
        let soils = Soils::of(plan);
        let served_m = soils.served_m(field.middle(), plan.criteria.target_depth_m);
        let marks = plan.landmarks.values();
        let off = marks.filter_map(|mark| {
            let off_m = keep_off_m(&plan.criteria, &mark.kind, true, served_m)?;
            Some(Off::of(&mark.outline, off_m))
        });
        let left =
            plan.landmarks.values().filter(|mark| matches!(mark.kind, LandmarkKind::WetArea { leave: true, .. }));
        let ditches = plan.watercourses.values().map(|course| Off {
            pieces: Paths::new(segments(0, &course.points)),
            ring: None,
            off_m: plan.criteria.beside_ditch_m,
        });
        let off = off.chain(left.map(|mark| Off::of(&mark.outline, 0.0))).collect();
        let ditches = ditches.collect();
        let marks = plan.landmarks.values();
        let crossed = marks.filter_map(|mark| Some(Off::of(&mark.outline, along_m(plan, &mark.kind)?))).collect();
        let buried = plan.landmarks.values().filter(|mark| is_buried(&mark.kind));
        let buried = Paths::new(buried.flat_map(|mark| segments(0, &mark.outline.path())).collect());
        let sides = Paths::new(field.rings().flat_map(|ring| segments(0, &closed(ring))).collect());
        let (wet, digging) = (WetLand::of(plan, land), Digging::of(plan));
        Ok(Self { plan, land, field, ground, soils, wet, digging, off, ditches, crossed, buried, sides })
    }

    /// The same for a plan that differs in its outlets only.
    pub fn on<'b>(self, plan: &'b Plan) -> Site<'b>
    where
        'a: 'b,
    {
        Site { plan, ..self }
    }

    /// True where pipe may lie: in the field, off its edge and off all it must stay away from.
    pub fn is_free(&self, at: Point) -> bool {
        let edge = self.sides.nearest(at).map_or(f64::INFINITY, |side| side.square_to(at));
        holds(self.field, at) && edge >= EDGE_M * EDGE_M && self.is_clear(at) && self.ground.elevation(at).is_some()
    }

    /// True off all that pipe must stay away from, inside the field or not.
    pub fn is_clear(&self, at: Point) -> bool {
        !self.off.iter().chain(&self.ditches).any(|off| off.holds(at))
    }

    /// True where pipe may run straight from one place to another that are both free.
    pub fn is_open(&self, from: Point, to: Point) -> bool {
        let run = Segment::new(from, to);
        self.is_clear_run(&run) && !self.sides.reached(&run, 0.0).iter().any(|side| run.crossing(side).is_some())
    }

    /// The same whether inside the field or not.
    pub fn is_clear_run(&self, run: &Segment) -> bool {
        let is_barred =
            self.ditches.iter().any(|off| off.meets(run)) || self.crossed.iter().any(|off| off.leads(run));
        self.may_leave(run) && !is_barred
    }

    /// The same for a run that ends at an outlet, which may lie in a ditch.
    pub fn may_leave(&self, run: &Segment) -> bool {
        !self.off.iter().any(|off| off.meets(run))
    }

    /// The place on the boundary nearest to another place.
    pub fn nearest_edge(&self, at: Point) -> Option<Point> {
        self.sides.nearest(at).map(|side| side.nearest(at).1)
    }

    /// How far off a place is from the boundary, metres.
    pub fn off_edge_m(&self, at: Point) -> f64 {
        self.sides.nearest(at).map_or(f64::INFINITY, |side| side.square_to(at).sqrt())
    }

    /// The longest part of a straight run where pipe may lie, looked at so often, metres; `None` where there is none.
    pub fn longest_open(&self, from: Point, to: Point, look_m: f64) -> Option<(Point, Point)> {
        let count = (distance(from, to) / look_m).ceil().max(1.0) as usize;
        let place = |look: usize| along(from, to, look as f64 / count as f64);
        let (mut best, mut first) = ((0, 0), 0);
        for look in 0..=count {
            let is_next = look == first || self.is_open(place(look - 1), place(look));
            if !self.is_free(place(look)) {
                first = look + 1;
            } else if !is_next {
                first = look;
            } else if look - first > best.1 - best.0 {
                best = (first, look);
            }
        }
        (best.1 > best.0).then(|| (place(best.0), place(best.1)))
    }

    /// Length of a straight run outside the field, metres.
    pub fn outside_m(&self, from: Point, to: Point) -> f64 {
        let run = Segment::new(from, to);
        let out = |part: &Segment| !holds(self.field, along(part.a, part.b, 0.5));
        run.parts(1.0).filter(out).map(|part| part.length_m()).sum()
    }

    /// Sides of the field near a piece.
    pub fn sides_near(&self, piece: &Segment, reach_m: f64) -> Vec<&Segment> {
        self.sides.reached(piece, reach_m)
    }

    /// Runs a pipe straight from a place to another: what it costs, and the levels at its end. `None` without ground, and where even the
    /// highest pipe would lie deeper than the machine digs.
    pub fn run(&self, (from, level): (Point, Level), to: Point) -> Option<(f64, Level)> {
        let run = Segment::new(from, to);
        let length_m = run.length_m();
        let count = (length_m / LOOK_M).ceil().max(1.0) as usize;
        let mut done = (0.0, level);
        let mut ground_m = self.ground.elevation(from)?;
        for look in 1..=count {
            let at = along(from, to, look as f64 / count as f64);
            let next_m = self.ground.elevation(at)?;
            let (cost, level) = self.digging.on((done.1, ground_m), next_m, length_m / count as f64)?;
            (done, ground_m) = ((done.0 + cost, level), next_m);
        }
        let by_hand = self.buried.reached(&run, 0.0).iter().filter(|line| run.crossing(line).is_some()).count();
        Some((done.0 + by_hand as f64 * BY_HAND_M * self.digging.usual_per_m(), done.1))
    }

    /// The levels with which a pipe begins at a place.
    pub fn start(&self, at: Point) -> Option<Level> {
        self.ground.elevation(at).map(|ground_m| self.digging.start(ground_m))
    }

    /// True where pipe down a path can leave by an outlet at its end: the last rigid pipe may come out of the ground.
    pub fn can_leave(&self, outlet: &Outlet, start: Level, path: &[Point]) -> bool {
        let length_m = path_length(path);
        let last_m = outlet.outlet_pipe_m.min(length_m);
        let covered = part_of(path, 0.0, length_m - last_m);
        let level =
            if covered.len() > 1 { self.run_down(start, &covered).map(|(_, level)| level) } else { Some(start) };
        outlet.invert_free
            || level.is_some_and(|level| level.highest_m - self.digging.grade * last_m >= outlet.invert_m)
    }

    /// The lowest level at the upper end of a path with which pipe is nowhere on it deeper than the machine digs, metres; from the same
    /// at its lower end. `None` without ground.
    pub fn lowest_m(&self, path: &[Point], end_m: Option<f64>) -> Option<f64> {
        let deepest = |at: &Point| Some(self.ground.elevation(*at)? - self.digging.reach_m);
        let last = deepest(path.last()?)?;
        path.windows(2).rev().try_fold(end_m.map_or(last, |end_m| end_m.max(last)), |lowest_m, pair| {
            let fall_m = self.digging.grade * distance(pair[0], pair[1]);
            Some((lowest_m + fall_m).max(deepest(&pair[0])?))
        })
    }

    /// What digging a path costs at least, whatever comes to it: a pipe never rises, so it lies as deep as the lowest ground before it
    /// asks for.
    pub fn least_cost(&self, path: &[Point]) -> f64 {
        let mut highest_m = f64::INFINITY;
        let pieces =
            path.windows(2).flat_map(|pair| Segment::new(pair[0], pair[1]).parts(LOOK_M).collect::<Vec<_>>());
        pieces
            .map(|part| {
                let ends = self.ground.elevation(part.a).zip(self.ground.elevation(part.b));
                let per_m = ends.map_or(0.0, |(from_m, to_m)| {
                    highest_m = highest_m.min(from_m - self.digging.least_m);
                    self.digging.per_m((from_m + to_m) / 2.0 - highest_m)
                });
                per_m.max(self.digging.usual_per_m()) * part.length_m()
            })
            .sum()
    }

    /// True where the ground at a place is lower than at another.
    pub fn is_below(&self, at: Point, than: Point) -> bool {
        self.ground.elevation(at).zip(self.ground.elevation(than)).is_some_and(|(low_m, high_m)| low_m < high_m)
    }

    /// Runs a pipe that comes with some levels down a path: its cost and the levels at its end.
    pub fn run_down(&self, start: Level, path: &[Point]) -> Option<(f64, Level)> {
        path.windows(2).try_fold((0.0, start), |(cost, level), pair| {
            let (more, level) = self.run((pair[0], level), pair[1])?;
            Some((cost + more, level))
        })
    }
}

impl Off {
    fn of(outline: &Outline, off_m: f64) -> Self {
        let points = outline.points();
        let pieces = match outline {
            Outline::At(at) => vec![Segment::new(*at, *at)],
            _ => segments(0, &outline.path()),
        };
        let ring = matches!(outline, Outline::Around(_)).then(|| points.to_vec());
        Self { pieces: Paths::new(pieces), ring, off_m }
    }

    fn holds(&self, at: Point) -> bool {
        let near = self.pieces.nearest(at).is_some_and(|piece| piece.square_to(at) < self.off_m * self.off_m);
        near || self.ring.as_ref().is_some_and(|ring| is_at(ring, at, 0.0))
    }

    fn meets(&self, run: &Segment) -> bool {
        // No distance at all would let a run pass that only crosses.
        let off_m = self.off_m.max(0.01);
        let near = self.pieces.reached(run, off_m).iter().any(|piece| run.reaches(piece, off_m).next().is_some());
        near || self.ring.as_ref().is_some_and(|ring| ring_holds(ring, run.a))
    }

    /// True where a run within its reach runs along it rather than across.
    fn leads(&self, run: &Segment) -> bool {
        let near = self.pieces.reached(run, self.off_m);
        near.iter().any(|piece| run.runs_along(piece) && run.reaches(piece, self.off_m).next().is_some())
    }
}

fn is_buried(kind: &LandmarkKind) -> bool {
    matches!(kind, LandmarkKind::Utility(_) | LandmarkKind::Irrigation { .. })
}

/// How near pipe may cross a mark but not run along it, metres: what is buried, and a lane under its wheels; `None` for others.
fn along_m(plan: &Plan, kind: &LandmarkKind) -> Option<f64> {
    match kind {
        LandmarkKind::Road { width_m, .. } => Some(width_m / 2.0),
        kind => is_buried(kind).then_some(plan.criteria.alongside_m),
    }
}

/// What digging costs, in the cost weights of the plan.
#[derive(Debug, Clone, Copy)]
pub struct Digging<'a> {
    weights: &'a CostWeights,
    /// Depth that costs least where nothing stands against it, metres.
    wanted_m: f64,
    /// Least depth, metres.
    least_m: f64,
    /// Greatest depth that the machine digs to, metres.
    reach_m: f64,
    /// Least grade.
    grade: f64,
    pipe_per_m: f64,
}

/// Levels of a pipe that was brought so far: as deep as is wanted or deeper where the ground makes it, and the highest it can be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level {
    /// With the wanted depth, metres.
    pub wanted_m: f64,
    /// With the least cover, metres.
    pub highest_m: f64,
}

impl Level {
    /// The lower of both, each by itself.
    pub fn lower(self, other: Self) -> Self {
        Self { wanted_m: self.wanted_m.min(other.wanted_m), highest_m: self.highest_m.min(other.highest_m) }
    }
}

impl<'a> Digging<'a> {
    fn of(plan: &'a Plan) -> Self {
        let (limits, weights) = (&plan.criteria, &plan.cost_weights);
        let size_m = plan.starts().least_size_m(LineKind::Lateral);
        let least_m = limits.least_cover_m + hydraulics::Body::CORRUGATED.top_above_invert_m(size_m);
        let bands = weights.digging.iter().map(|band| band.from_m).filter(|from_m| *from_m < limits.target_depth_m);
        let wanted_m = bands.chain([least_m, limits.target_depth_m]).filter(|depth_m| *depth_m >= least_m);
        let sum = |depth_m: &f64| {
            weights.digging_per_m(*depth_m)
                + weights.missing_depth_per_m2 * (limits.target_depth_m - depth_m).max(0.0)
        };
        let wanted_m = wanted_m.min_by(|x, y| sum(x).total_cmp(&sum(y))).unwrap_or(least_m);
        let reach_m = limits.machine_reach_m - limits.bedding_m;
        Self { weights, wanted_m, least_m, reach_m, grade: limits.even_grade, pipe_per_m: weights.pipe_per_m(size_m) }
    }

    /// A metre of pipe at a depth.
    fn per_m(&self, depth_m: f64) -> f64 {
        self.weights.digging_per_m(depth_m) + self.pipe_per_m
    }

    /// A metre of pipe at the wanted depth: less does no pipe cost, whatever its levels, missing depth counted.
    pub fn usual_per_m(&self) -> f64 {
        self.per_m(self.wanted_m)
    }

    /// Levels of an upper end.
    pub fn start(&self, ground_m: f64) -> Level {
        Level { wanted_m: ground_m - self.wanted_m, highest_m: ground_m - self.least_m }
    }

    /// Brings a pipe on to ground of another level: what it costs and its levels there; `None` where the machine does not reach so deep.
    pub fn on(&self, (level, ground_m): (Level, f64), next_m: f64, length_m: f64) -> Option<(f64, Level)> {
        let fall_m = self.grade * length_m;
        let next = Level {
            wanted_m: (level.wanted_m - fall_m).min(next_m - self.wanted_m),
            highest_m: (level.highest_m - fall_m).min(next_m - self.least_m),
        };
        let depth_m = (ground_m - level.wanted_m + next_m - next.wanted_m) / 2.0;
        (next_m - next.highest_m <= self.reach_m).then(|| (self.per_m(depth_m) * length_m, next))
    }
}
