//! Parallel laterals: a grid of them laid off one main at a bearing and a spacing, clipped to the block.

use std::collections::BTreeMap;

use measure::{Point, Segment, bearing, closed, distance, nearest_on, ring_holds, segments};

use crate::landmark::middle_of;
use crate::{
    Change, Criteria, Edit, Field, Joins, Landmark, LandmarkKind, Line, LineId, LineKind, Pattern, Plan, Rows,
    SizeBy, bounds,
};

/// Rows farther than this from the place where the grid begins are another block's, metres ([judgement]).
const BLOCK_NEAR_M: f64 = 30.0;
/// Laterals and rows whose bearings differ by less run along each other, degrees ([judgement]).
const ALONG_ROWS_DEG: f64 = 1.0;
/// Rows that meet the main at less have no room for laterals along them, degrees ([judgement]).
const LEAST_TURN_DEG: f64 = 30.0;
/// Spacings under this are no grid, metres ([judgement]).
const LEAST_SPACING_M: f64 = 1.0;

/// What a grid of parallel laterals is asked to be.
#[derive(Debug, Clone, PartialEq)]
pub struct Parallel {
    /// The main or submain they join.
    pub main: LineId,
    /// The way they run from the main up, degrees from north.
    pub bearing_deg: f64,
    /// From one to the next, metres.
    pub spacing_m: f64,
    /// A place that one of them passes, or comes nearest to: along rows they lie in the middles.
    pub through: Point,
    /// True where they leave the main to both sides.
    pub both_sides: bool,
    /// How far they stay away from the edge of the block at their upper ends, metres.
    pub headland_m: f64,
    /// True where they may cross utilities, lanes and land on which others have a right.
    pub crosses: bool,
    /// True where the parallel laterals that join the main already give way to them.
    pub replaces: bool,
}

/// A grid that was laid out.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    /// Draws it; one undo step.
    pub edit: Edit,
    /// How many laterals it has.
    pub count: usize,
    /// Their length, metres.
    pub length_m: f64,
    /// What ends some of them short of the edge, and how many.
    pub short_of: BTreeMap<String, usize>,
    /// How far those of one side are set off from those of the other, metres; 0 where they leave to one side, or where rows
    /// leave no room for it.
    pub stagger_m: f64,
}

/// Why no grid was laid out.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoGrid {
    /// The main is not in the plan.
    #[error("the main is no longer in the plan")]
    NoMain,
    /// There is nothing to clip to.
    #[error("there is no field and no block of rows: draw the boundary first")]
    NoBlock,
    /// A figure is of no use.
    #[error("expected a spacing of 1 m (3.3 ft) or more")]
    Spacing,
    /// More laterals than a plan holds.
    #[error("more than {} laterals: widen the spacing", bounds::LINES.most)]
    TooMany,
    /// No lateral fits.
    #[error("no lateral fits between the main and the edge of the block at this bearing")]
    NoneFits,
}

impl Parallel {
    /// The grid to begin with off a main from a place on it: along the rows of the block there, else square to the main, and
    /// into the block.
    pub fn usual(plan: &Plan, main: LineId, through: Point, spacing_m: f64) -> Option<Self> {
        let line = plan.lines.get(&main)?;
        let (rows, into) = match block(plan, through) {
            Some((rows, ring)) => (Some(rows), middle_of(ring)),
            None => (None, plan.field.as_ref().map_or(through, Field::middle)),
        };
        let pieces = segments(0, &line.points);
        let here = pieces.iter().min_by(|x, y| x.square_to(through).total_cmp(&y.square_to(through)))?;
        let main_deg = bearing(here.a, here.b);
        let along = rows.filter(|rows| turn_deg(rows.bearing_deg, main_deg) >= LEAST_TURN_DEG);
        let way_deg = along.map_or(main_deg + 90.0, |rows| rows.bearing_deg);
        let frame = Frame::new(through, way_deg);
        let bearing_deg = if frame.turned(into).0 >= 0.0 { way_deg } else { way_deg + 180.0 };
        Some(Self {
            main,
            bearing_deg: bearing_deg.rem_euclid(360.0),
            spacing_m,
            through,
            both_sides: false,
            headland_m: 0.0,
            crosses: false,
            replaces: true,
        })
    }

    /// How far a place lies to the right of the lateral that passes [`Parallel::through`], metres.
    pub fn aside_m(&self, at: Point) -> f64 {
        Frame::new(self.through, self.bearing_deg).turned(at).1
    }

    /// The rows of the block in which these laterals lie.
    pub fn block_rows<'a>(&self, plan: &'a Plan) -> Option<&'a Rows> {
        block(plan, self.through).map(|(rows, _)| rows)
    }

    /// The rows along which these laterals run, if they run along any.
    pub fn rows<'a>(&self, plan: &'a Plan) -> Option<&'a Rows> {
        let rows = self.block_rows(plan)?;
        (turn_deg(rows.bearing_deg, self.bearing_deg) < ALONG_ROWS_DEG).then_some(rows)
    }

    /// Lays the grid out.
    pub fn lay(&self, plan: &Plan) -> Result<Laid, NoGrid> {
        if !(self.spacing_m >= LEAST_SPACING_M && self.spacing_m.is_finite()) {
            return Err(NoGrid::Spacing);
        }
        let mut bare = plan.clone();
        let gone = if self.replaces { self.replaced(plan) } else { Vec::new() };
        gone.iter().for_each(|id| drop(bare.lines.remove(id)));
        let main = bare.lines.get(&self.main).ok_or(NoGrid::NoMain)?;
        let grid = Grid::of(self, &bare, main)?;
        let mut short_of = BTreeMap::new();
        let mut runs = Vec::new();
        for foot in grid.feet()? {
            let Some((end, short)) = grid.run(foot) else { continue };
            short.into_iter().for_each(|what| *short_of.entry(what).or_insert(0) += 1);
            runs.push((foot.at, end));
        }
        if runs.is_empty() {
            return Err(NoGrid::NoneFits);
        }
        let length_m = runs.iter().map(|(foot, end)| distance(*foot, *end)).sum();
        let (count, stagger_m) = (runs.len(), if self.both_sides { grid.stagger_m } else { 0.0 });
        Ok(Laid { edit: self.edit(plan, &bare, gone, &runs), count, length_m, short_of, stagger_m })
    }

    fn edit(&self, plan: &Plan, bare: &Plan, gone: Vec<LineId>, runs: &[(Point, Point)]) -> Edit {
        let drawn = |((id, name), (foot, end)): ((u32, String), &(Point, Point))| {
            let line = plan.new_line(&name, LineKind::Lateral, vec![*foot, *end]);
            let joins = Joins::Line(self.main);
            Change::Line(LineId(id), Some(Line { size_by: SizeBy::Flow, pattern: Pattern::Parallel, joins, ..line }))
        };
        let named = (plan.next_id..).zip(bare.free_names(LineKind::Lateral.stem()));
        let removed = gone.into_iter().map(|id| Change::Line(id, None));
        let changes = removed.chain(named.zip(runs).map(drawn)).collect();
        Edit { label: format!("Lay {}", measure::how_many(runs.len(), "parallel lateral")), changes }
    }

    /// The parallel laterals that join the main already and into which nothing comes.
    pub fn replaced(&self, plan: &Plan) -> Vec<LineId> {
        let of_grid = |(_, line): &(LineId, &Line)| line.pattern == Pattern::Parallel && !line.kind.is_old();
        let branches = plan.branches(self.main).filter(of_grid).map(|(id, _)| id);
        branches.filter(|id| plan.branches(*id).next().is_none()).collect()
    }
}

/// The block of rows at a place: the one that holds it, else the nearest within [`BLOCK_NEAR_M`].
fn block(plan: &Plan, at: Point) -> Option<(&Rows, &[Point])> {
    let away_m = |ring: &[Point]| match ring_holds(ring, at) {
        true => 0.0,
        false => nearest_on(&closed(ring), at).map_or(f64::INFINITY, |(_, _, off_m)| off_m),
    };
    let near = plan.row_blocks().map(|block| (away_m(block.1), block)).filter(|(off_m, _)| *off_m <= BLOCK_NEAR_M);
    near.min_by(|x, y| x.0.total_cmp(&y.0)).map(|(_, block)| block)
}

/// The angle between two ways, whichever way round each is meant, degrees.
fn turn_deg(one_deg: f64, other_deg: f64) -> f64 {
    let turn = (one_deg - other_deg).rem_euclid(180.0);
    turn.min(180.0 - turn)
}

/// Plan places as so far up a bearing and so far to its right.
#[derive(Debug, Clone, Copy)]
struct Frame {
    origin: Point,
    sin: f64,
    cos: f64,
}

impl Frame {
    fn new(origin: Point, bearing_deg: f64) -> Self {
        let (sin, cos) = bearing_deg.to_radians().sin_cos();
        Self { origin, sin, cos }
    }

    fn turned(&self, at: Point) -> (f64, f64) {
        let (dx, dy) = (at.x - self.origin.x, at.y - self.origin.y);
        (dx * self.sin + dy * self.cos, dx * self.cos - dy * self.sin)
    }

    fn place(&self, (u, v): (f64, f64)) -> Point {
        Point::new(self.origin.x + u * self.sin + v * self.cos, self.origin.y + u * self.cos - v * self.sin)
    }
}

/// Where a lateral leaves the main, and to which side: 1 up the bearing, -1 down.
#[derive(Debug, Clone, Copy)]
struct Foot {
    at: Point,
    side: f64,
}

/// Something that a lateral stays away from.
struct Obstacle {
    what: String,
    pieces: Vec<Segment>,
    off_m: f64,
}

/// What laterals are laid out in.
struct Grid<'a> {
    asked: &'a Parallel,
    frame: Frame,
    /// The main, turned into the frame.
    main: Vec<(f64, f64)>,
    /// Where the first lateral lies to the right of the frame's origin, metres.
    first_m: f64,
    stagger_m: f64,
    /// Parts of the main that no lateral may leave from: its outlet pipe.
    skipped: Vec<Segment>,
    /// Rings that hold the laterals, the block's first.
    within: Vec<&'a [Point]>,
    holes: Vec<&'a [Point]>,
    obstacles: Vec<Obstacle>,
    /// Shorter laterals are left out, metres.
    shortest_m: f64,
    /// Longer than anything in the block, metres.
    reach_m: f64,
}

impl<'a> Grid<'a> {
    fn of(asked: &'a Parallel, plan: &'a Plan, main: &'a Line) -> Result<Self, NoGrid> {
        let frame = Frame::new(asked.through, asked.bearing_deg);
        let ring = block(plan, asked.through).map(|(_, ring)| ring);
        let field = plan.field.as_ref();
        let within: Vec<&[Point]> = ring.into_iter().chain(field.map(|field| field.ring.as_slice())).collect();
        let (low, high) =
            measure::extent(within.iter().flat_map(|ring| ring.iter().copied())).ok_or(NoGrid::NoBlock)?;
        let (low, high) = measure::extent(main.points.iter().copied().chain([low, high])).ok_or(NoGrid::NoMain)?;
        let rows = asked.rows(plan).zip(ring);
        Ok(Self {
            asked,
            frame,
            main: main.points.iter().map(|p| frame.turned(*p)).collect(),
            first_m: rows.map_or(0.0, |(rows, ring)| middle_near(&frame, rows, ring)),
            stagger_m: stagger_m(asked.spacing_m, rows.map(|(rows, _)| rows.spacing_m)),
            skipped: outlet_pipe(plan, main),
            within,
            holes: field.map_or_else(Vec::new, |field| field.holes.iter().map(Vec::as_slice).collect()),
            obstacles: obstacles(plan, asked),
            shortest_m: plan.criteria.shortest_line_m,
            reach_m: 2.0 * distance(low, high),
        })
    }

    /// Where laterals leave the main, from its left to its right.
    fn feet(&self) -> Result<Vec<Foot>, NoGrid> {
        let across = |pick: fn(f64, f64) -> f64| self.main.iter().map(|(_, v)| *v).reduce(pick);
        let (low, high) = across(f64::min).zip(across(f64::max)).ok_or(NoGrid::NoMain)?;
        let sides: &[f64] = if self.asked.both_sides { &[1.0, -1.0] } else { &[1.0] };
        let mut feet = Vec::new();
        for side in sides {
            let first_m = self.first_m + if *side < 0.0 { self.stagger_m } else { 0.0 };
            let (from, to) = ((low - first_m) / self.asked.spacing_m, (high - first_m) / self.asked.spacing_m);
            if to - from > bounds::LINES.most as f64 {
                return Err(NoGrid::TooMany);
            }
            let places = (from.ceil() as i64..=to.floor() as i64).map(|k| first_m + k as f64 * self.asked.spacing_m);
            feet.extend(places.filter_map(|v| self.foot(v, *side)));
        }
        Ok(feet)
    }

    /// Where the lateral at `v` leaves the main: the last place on its way, so that it does not cross the main again.
    fn foot(&self, v: f64, side: f64) -> Option<Foot> {
        let on = |pair: &[(f64, f64)]| {
            let ((au, av), (bu, bv)) = (pair[0], pair[1]);
            let t = if av == bv { 0.0 } else { (v - av) / (bv - av) };
            (0.0..=1.0).contains(&t).then_some(au + t * (bu - au))
        };
        let met = self.main.windows(2).filter(|pair| pair[0].1 != pair[1].1).filter_map(on);
        let u = met.max_by(|x, y| (x * side).total_cmp(&(y * side)))?;
        let at = self.frame.place((u, v));
        let is_skipped = self.skipped.iter().any(|piece| piece.square_to(at) < 1e-6);
        (!is_skipped).then_some(Foot { at, side })
    }

    /// The upper end of the lateral from a foot, and what ended it short of the edge; `None` where none fits.
    fn run(&self, foot: Foot) -> Option<(Point, Option<String>)> {
        let (u, v) = self.frame.turned(foot.at);
        let ray = Segment::new(foot.at, self.frame.place((u + foot.side * self.reach_m, v)));
        let (from_m, exit_m) = self.inside(&ray)?;
        let edge_m = self.headland(&ray, exit_m);
        let (mut end_m, mut short) = (edge_m, None);
        for obstacle in &self.obstacles {
            if let Some(at_m) = obstacle.met(&ray).filter(|at_m| *at_m < end_m) {
                (end_m, short) = (at_m, Some(obstacle.what.clone()));
            }
        }
        let at = |along_m: f64| measure::along(ray.a, ray.b, along_m / self.reach_m);
        (end_m - from_m >= self.shortest_m).then(|| (at(end_m), short))
    }

    /// The first part of a ray that lies in the block and the field: from and to along it.
    fn inside(&self, ray: &Segment) -> Option<(f64, f64)> {
        let edges = self.within.iter().chain(&self.holes).flat_map(|ring| segments(0, &closed(ring)));
        let mut cuts: Vec<f64> = edges.filter_map(|edge| Some(ray.crossing(&edge)?.0)).collect();
        cuts.push(0.0);
        cuts.sort_by(f64::total_cmp);
        let is_in = |along_m: f64| {
            let at = measure::along(ray.a, ray.b, along_m / self.reach_m);
            self.within.iter().all(|ring| ring_holds(ring, at)) && !self.holes.iter().any(|hole| ring_holds(hole, at))
        };
        let parts = cuts.windows(2).filter(|pair| pair[1] - pair[0] > 1e-6);
        let mut inside = parts.filter(|pair| is_in((pair[0] + pair[1]) / 2.0)).map(|pair| (pair[0], pair[1]));
        let first = inside.next()?;
        // Edges of block and field that lie on each other cut nothing.
        Some(inside.fold(first, |(from, to), next| if next.0 - to < 1e-6 { (from, next.1) } else { (from, to) }))
    }

    /// Where a ray comes so near to the edge by which it leaves that it must end.
    fn headland(&self, ray: &Segment, exit_m: f64) -> f64 {
        if self.asked.headland_m <= 0.0 {
            return exit_m;
        }
        let edges = self.within.iter().chain(&self.holes).flat_map(|ring| segments(0, &closed(ring)));
        let near = edges.flat_map(|edge| ray.reaches(&edge, self.asked.headland_m));
        let mut near: Vec<(f64, f64)> = near.filter(|(from_m, _)| *from_m < exit_m).collect();
        near.sort_by(|x, y| y.1.total_cmp(&x.1));
        near.into_iter().fold(exit_m, |end_m, (from_m, to_m)| if to_m >= end_m { end_m.min(from_m) } else { end_m })
    }
}

/// The middle between two rows that is nearest to the frame's origin: so far to the right of it, metres.
fn middle_near(frame: &Frame, rows: &Rows, ring: &[Point]) -> f64 {
    let row_m = ring.first().map_or(0.0, |corner| frame.turned(*corner).1);
    let middle_m = row_m + rows.spacing_m / 2.0;
    middle_m - (middle_m / rows.spacing_m).round() * rows.spacing_m
}

/// How far the laterals of one side are set off: half the spacing, along rows as many whole rows as fit in that.
fn stagger_m(spacing_m: f64, row_m: Option<f64>) -> f64 {
    let half_m = spacing_m / 2.0;
    // The digits of either unit must not decide.
    row_m.map_or(half_m, |row_m| (half_m / row_m + 1e-9).floor() * row_m)
}

/// The part of a main that is its outlet pipe.
fn outlet_pipe(plan: &Plan, main: &Line) -> Vec<Segment> {
    let Joins::Outlet(id) = main.joins else { return Vec::new() };
    let length_m = plan.outlets.get(&id).map_or(0.0, |outlet| outlet.outlet_pipe_m);
    segments(0, &measure::part_of(&main.points, 0.0, length_m))
}

/// What laterals of a grid end short of.
fn obstacles(plan: &Plan, asked: &Parallel) -> Vec<Obstacle> {
    let of_mark = |mark: &Landmark| {
        let off_m = keep_off_m(&plan.criteria, &mark.kind, asked.crosses, asked.spacing_m / 2.0)?;
        Some(Obstacle { what: mark.called(), pieces: segments(0, &mark.outline.path()), off_m })
    };
    let ditches = plan.watercourses.values().filter(|course| course.kind == crate::WatercourseKind::Ditch);
    let ditch = |course: &crate::Watercourse| Obstacle {
        what: format!("ditch {}", course.name),
        pieces: segments(0, &course.points),
        off_m: plan.criteria.beside_ditch_m,
    };
    let others = plan.lines.iter().filter(|(id, line)| **id != asked.main && !line.kind.is_old());
    let line = |(_, line): (_, &Line)| Obstacle {
        what: line.name.clone(),
        pieces: segments(0, &line.points),
        off_m: asked.spacing_m / 2.0,
    };
    plan.landmarks.values().filter_map(of_mark).chain(ditches.map(ditch)).chain(others.map(line)).collect()
}

/// How far perforated pipe that is laid out stays away from a mark, metres; `None` where it may come to it. `crosses` says
/// whether it may cross what is only crossed with care, `served_m` how far it drains to either side.
pub fn keep_off_m(limits: &Criteria, kind: &LandmarkKind, crosses: bool, served_m: f64) -> Option<f64> {
    match kind {
        LandmarkKind::Utility(_) | LandmarkKind::Irrigation { .. } => (!crosses).then_some(limits.hand_dig_m),
        LandmarkKind::Road { width_m, .. } => (!crosses).then_some(width_m / 2.0),
        LandmarkKind::Easement { .. } => (!crosses).then_some(0.0),
        LandmarkKind::Wetland { setback_m, .. } => Some(setback_m.unwrap_or(limits.wetland_ask_m)),
        LandmarkKind::Well { keep_off_m } | LandmarkKind::Septic { keep_off_m } => {
            Some(keep_off_m.unwrap_or(limits.well_ask_m))
        }
        LandmarkKind::Trees { thirsty: true, .. } => Some(limits.thirsty_trees_m),
        LandmarkKind::Trees { .. } => Some(limits.other_trees_m),
        LandmarkKind::Hedge => Some(limits.hedge_m),
        LandmarkKind::Bank => Some(limits.bank_near_m),
        // A trench as deep as wanted undermines what stands no farther off.
        LandmarkKind::Footing { .. } => Some(limits.target_depth_m),
        LandmarkKind::Store => Some(limits.store_near_m),
        LandmarkKind::Neighbour { agreed } => (!agreed).then_some(served_m),
        LandmarkKind::SiteFlag { decision } => decision.is_empty().then_some(0.0),
        LandmarkKind::OverheadLine { .. }
        | LandmarkKind::Rows(_)
        | LandmarkKind::Pit(_)
        | LandmarkKind::WetArea { .. }
        | LandmarkKind::Spring => None,
    }
}

impl Obstacle {
    /// How far along a ray it comes too near, metres.
    fn met(&self, ray: &Segment) -> Option<f64> {
        // No reach at all would let a ray pass that only crosses.
        let off_m = self.off_m.max(0.01);
        let near = self.pieces.iter().filter(|piece| piece.may_reach(ray, off_m));
        near.flat_map(|piece| ray.reaches(piece, off_m)).map(|(from_m, _)| from_m).min_by(f64::total_cmp)
    }
}
