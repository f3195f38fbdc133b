//! Wet land, and how much of it drains serve: the same measure for what is proposed and for what is drawn by hand.

use design::{Design, PipeKind};
use land::{Land, Soils};
use measure::{FOOT_M, Paths, Point, Segment, closed, distance, extent, nearest_on, ring_holds, segments};
use plan::{Decision, Evidence, Field, LandmarkKind, Line, LineKind, OldTile, Outline, Pattern, Plan};
use terrain::{Grid, Water};

/// Land that lies less than this over the swale its water runs to is wet with it, metres: half a foot ([judgement]; height above the
/// nearest channel is a usual measure of wetness).
const RISE_M: f64 = 0.5 * FOOT_M;
/// An interceptor keeps seepage off the land below it, so many times as far as it draws by itself ([judgement]: what lies farther
/// gets rain enough of its own).
const CUT_OFF: f64 = 3.0;
/// Places that a field is looked at in (own choice).
const MOST_PLACES: f64 = 40_000.0;
/// Nearest distance of two of them, metres (own choice).
const LEAST_STEP_M: f64 = 1.0;

/// The wet land of a field, place by place.
#[derive(Debug, Clone, PartialEq)]
pub struct WetLand {
    /// Where it is wet.
    pub places: Vec<Wet>,
    /// What each place stands for, square metres.
    pub place_m2: f64,
    /// Distance of neighboring places, metres.
    pub step_m: f64,
}

/// A place that is wet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wet {
    /// Where.
    pub at: Point,
    /// How far off a drain may lie that dries it, metres.
    pub served_m: f64,
    /// Column and row among the places of the field.
    pub cell: (usize, usize),
    /// True for low ground along a swale, where nobody marked anything and no water stands.
    pub is_low: bool,
}

impl Wet {
    /// The piece of pipe nearest to it, where that dries it.
    pub fn drained_by<'a>(&self, drains: &'a Paths) -> Option<&'a Segment> {
        drains.nearest(self.at).filter(|piece| piece.square_to(self.at) <= self.served_m * self.served_m)
    }

    /// How far off an interceptor may lie, on higher ground, that keeps it dry, metres.
    pub fn cut_off_m(&self) -> f64 {
        CUT_OFF * self.served_m
    }
}

impl WetLand {
    /// Finds the wet land of a field: marked wet areas and springs, land round pits with mottles above the water table that is
    /// wanted, closed depressions, and low ground along swales. Not what is left wet, wetlands, nor the channel that takes the water.
    pub fn of(plan: &Plan, land: &Land) -> Self {
        let mut found = Self { places: Vec::new(), place_m2: 0.0, step_m: LEAST_STEP_M };
        let Some((field, (low, high))) =
            plan.field.as_ref().and_then(|field| Some((field, extent(field.ring.iter().copied())?)))
        else {
            return found;
        };
        found.step_m = (field.area_m2() / MOST_PLACES).sqrt().max(LEAST_STEP_M);
        found.place_m2 = found.step_m * found.step_m;
        let (looks, soils) = (Looks::of(plan, land), Soils::of(plan));
        let count = |from_m: f64, to_m: f64| ((to_m - from_m) / found.step_m).ceil() as usize;
        for row in 0..count(low.y, high.y) {
            for col in 0..count(low.x, high.x) {
                let off = |number: usize| (number as f64 + 0.5) * found.step_m;
                let at = Point::new(low.x + off(col), low.y + off(row));
                if let Some(is_low) = Some(at).filter(|at| holds(field, *at)).and_then(|at| looks.look(at)) {
                    let served_m = soils.served_m(at, plan.criteria.target_depth_m);
                    found.places.push(Wet { at, served_m, cell: (col, row), is_low });
                }
            }
        }
        found
    }

    /// All of it, square metres.
    pub fn area_m2(&self) -> f64 {
        self.places.len() as f64 * self.place_m2
    }

    /// What the drains of a plan serve of it, square metres: perforated pipe, and old tile that was seen, runs and stays; and below
    /// an interceptor what that keeps dry.
    pub fn served_m2(&self, plan: &Plan, design: &Design, land: &Land) -> f64 {
        let cut_off = Paths::new(drains(plan, design, |line: &Line| line.pattern == Pattern::Interceptor));
        let drains = Paths::new(drains(plan, design, |_: &Line| true));
        let level = |at: Point| land.ground.as_ref()?.elevation(at);
        let is_below = |wet: &Wet| {
            let reach_m = wet.cut_off_m();
            let near = cut_off.nearest(wet.at).filter(|piece| piece.square_to(wet.at) <= reach_m * reach_m);
            let levels = near.and_then(|piece| level(wet.at).zip(level(piece.nearest(wet.at).1)));
            levels.is_some_and(|(low_m, high_m)| low_m < high_m)
        };
        let served = self.places.iter().zip(self.served_by(&drains)).filter(|(wet, served)| *served || is_below(wet));
        served.count() as f64 * self.place_m2
    }

    /// Whether each place is served by pieces of pipe.
    pub fn served_by<'a>(&'a self, drains: &'a Paths) -> impl Iterator<Item = bool> + 'a {
        self.places.iter().map(|wet| wet.drained_by(drains).is_some())
    }
}

/// True inside a field, its holes left out.
pub(crate) fn holds(field: &Field, at: Point) -> bool {
    ring_holds(&field.ring, at) && !field.holes.iter().any(|hole| ring_holds(hole, at))
}

/// The pieces of pipe that draw, of the lines that count.
fn drains(plan: &Plan, design: &Design, counts: impl Fn(&Line) -> bool) -> Vec<Segment> {
    let of_line = |(id, line): (&plan::LineId, &plan::Line)| {
        let Some(worked) = design.lines.get(id) else { return Vec::new() };
        if let LineKind::OldTile(old) = line.kind {
            return if draws(old) { segments(id.0, &line.points) } else { Vec::new() };
        }
        let open = worked.pipe.iter().filter(|pipe| pipe.kind == PipeKind::Perforated);
        open.flat_map(|pipe| segments(id.0, &measure::part_of(&line.points, pipe.from_m, pipe.to_m))).collect()
    };
    plan.lines.iter().filter(|(_, line)| counts(line)).flat_map(of_line).collect()
}

/// True for old tile that was seen, runs as far as anybody knows, and stays.
fn draws(old: OldTile) -> bool {
    let goes = [Decision::Plug, Decision::Bypass, Decision::Replace];
    let stays = old.decision.is_none_or(|decision| !goes.contains(&decision));
    old.evidence != Evidence::Suspected && old.runs != Some(false) && stays
}

/// What tells whether a place is wet.
struct Looks<'a> {
    plan: &'a Plan,
    flow: Option<(&'a Grid, &'a Water)>,
    hollows: Vec<u32>,
    channels: Vec<(Vec<Point>, f64)>,
}

impl<'a> Looks<'a> {
    fn of(plan: &'a Plan, land: &'a Land) -> Self {
        let limits = &plan.criteria;
        let counts = |pond: &&terrain::Depression| {
            pond.area_m2 >= limits.hollow_area_m2 && pond.depth_m >= limits.hollow_depth_m
        };
        let mut hollows: Vec<u32> =
            land.depressions.iter().filter(counts).flat_map(|pond| pond.cells.iter().copied()).collect();
        hollows.sort_unstable();
        let ditches = plan.watercourses.values().map(|course| (course.points.clone(), limits.swale_near_m));
        Self { plan, flow: land.grid().zip(land.water.as_deref()), hollows, channels: ditches.collect() }
    }

    /// Whether a wet place is merely low; `None` for one that is not wet.
    fn look(&self, at: Point) -> Option<bool> {
        let in_channel = |(path, near_m): &(Vec<Point>, f64)| is_near(path, at, *near_m);
        let marks = || self.plan.landmarks.values();
        if marks().any(|mark| is_left(&mark.kind, &mark.outline, at)) || self.channels.iter().any(in_channel) {
            return None;
        }
        let (near_m, table_m) = (self.plan.brief.served_m, self.plan.brief.water_table_m);
        if marks().any(|mark| is_marked(&mark.kind, &mark.outline, at, (near_m, table_m))) {
            return Some(false);
        }
        let (grid, water) = self.flow?;
        let (col, row) = grid.cell_at(at)?;
        let cell = row * grid.cols() + col;
        let stands = self.hollows.binary_search(&(cell as u32)).is_ok();
        (stands || self.is_low(grid, water, cell)).then_some(!stands)
    }

    /// True on ground hardly higher than the swale that its water runs to.
    fn is_low(&self, grid: &Grid, water: &Water, cell: usize) -> bool {
        let least = (land::SWALE_AREA_M2 / grid.cell_area_m2()) as u32;
        let level = |cell: usize| f64::from(water.filled()[cell]);
        let way = std::iter::successors(Some(cell), |cell| water.next(*cell));
        // Water only runs down: where it is lower by more than that, no swale can lie near enough.
        let mut low = way.take_while(|next| level(cell) - level(*next) <= RISE_M);
        low.any(|next| water.cells_uphill()[next] >= least && self.is_ours(grid, next))
    }

    /// True for a swale inside the field: beyond it runs what takes the water.
    fn is_ours(&self, grid: &Grid, cell: usize) -> bool {
        let at = grid.centre(cell % grid.cols(), cell / grid.cols());
        self.plan.field.as_ref().is_some_and(|field| holds(field, at))
    }
}

/// True where land is left as it is.
fn is_left(kind: &LandmarkKind, outline: &Outline, at: Point) -> bool {
    let is_kind = matches!(kind, LandmarkKind::WetArea { leave: true, .. } | LandmarkKind::Wetland { .. });
    is_kind && matches!(outline, Outline::Around(ring) if ring_holds(ring, at))
}

/// True where somebody marked it wet, or a pit shows it.
fn is_marked(kind: &LandmarkKind, outline: &Outline, at: Point, (near_m, table_m): (f64, f64)) -> bool {
    let is_wet = match kind {
        LandmarkKind::WetArea { leave: false, .. } | LandmarkKind::Spring => true,
        LandmarkKind::Pit(pit) => pit.mottles_m.is_some_and(|mottles_m| mottles_m < table_m),
        _ => false,
    };
    is_wet
        && match outline {
            Outline::At(place) => distance(*place, at) <= near_m,
            Outline::Along(path) => is_near(path, at, near_m),
            Outline::Around(ring) => ring_holds(ring, at),
        }
}

fn is_near(path: &[Point], at: Point, near_m: f64) -> bool {
    nearest_on(path, at).is_some_and(|(_, _, away_m)| away_m <= near_m)
}

/// True within reach of a ring, or in it.
pub(crate) fn is_at(ring: &[Point], at: Point, reach_m: f64) -> bool {
    ring_holds(ring, at) || is_near(&closed(ring), at, reach_m)
}
