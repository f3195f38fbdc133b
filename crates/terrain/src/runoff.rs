//! How water runs off a ground: the time that it takes from each cell to the next, and where it is held up on its way.

use std::ops::ControlFlow;

use measure::Point;

use crate::hollow::Hollow;
use crate::{Depression, Grid, Water};

/// How fast water runs over the ground: `velocity = pace · √slope`, m/s.
///
/// The relation for shallow concentrated flow: [HEC22], velocity from slope and land cover (k = 0.076 for metres and a slope in
/// percent is 0.76 here).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pace {
    /// On the land, m/s at a slope of 1.
    pub land_ms: f64,
    /// Where water is gathered, m/s at a slope of 1.
    pub gathered_ms: f64,
    /// Area uphill from which it is gathered, square metres.
    pub gathered_from_m2: f64,
}

/// Flatter ground is taken to slope so much: there water is driven by its own depth, which the relation does not know (own
/// choice).
const LEAST_SLOPE: f64 = 0.001;
/// Cells between two reports of progress.
const REPORT: usize = 1 << 18;
/// How far from a watched place its cell is looked for, cells.
const REACH: usize = 2;
/// The sink of a cell whose water leaves the ground without passing anything else.
const EDGE: u32 = u32::MAX;

/// Where water is held or counted on its way: a hollow or a watched place.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Stop {
    /// Its sinks: one for each end part of a hollow, one for a watched place.
    pub sinks: std::ops::Range<usize>,
    /// What it holds before it lets anything go, cubic metres.
    pub holds_m3: f64,
    /// Seconds from it to the edge of the ground.
    pub to_edge_s: f32,
    /// The sink that its water comes to next; the last one is the edge.
    pub next: usize,
    /// Cells uphill: the order from the top down.
    uphill: u32,
    /// The cell whose time to the edge is its own, and the cell that its water goes to.
    pub at: Option<usize>,
    exit: Option<usize>,
}

/// How water runs off a ground, whatever rain falls: along the directions of [`Water`], each cell's water at the pace of its
/// slope. A hollow is crossed in no time and holds its volume back; shallower ones than those given hold nothing.
///
/// That routing, by one direction with a time for each cell, is our own.
#[derive(Debug, Clone)]
pub struct Runoff {
    pub(crate) cell_area_m2: f64,
    /// Seconds from each cell to where its water leaves the ground; `NaN` on missing ground.
    pub(crate) to_edge_s: Vec<f32>,
    /// The sink that the water of each cell comes to first.
    pub(crate) sink_of: Vec<u32>,
    /// Hollows and watched places from the top down.
    pub(crate) stops: Vec<Stop>,
    /// Seconds from each sink to the edge; the last is the edge itself.
    pub(crate) sink_s: Vec<f32>,
    hollows: Vec<Hollow>,
    /// The first sink of each hollow.
    pub(crate) firsts: Vec<usize>,
    /// The sink of each watched place; `None` where no ground is, or where water stands.
    pub(crate) watched: Vec<Option<usize>>,
    longest_s: f64,
}

/// The way of a drop over the ground in time.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Course {
    /// Its places, from where it fell.
    pub points: Vec<Point>,
    /// When it is there if nothing holds it, seconds after it fell.
    pub after_s: Vec<f32>,
    /// The hollows it comes to: the number of the place where it enters, and of the hollow.
    pub hollows: Vec<(usize, usize)>,
}

impl Runoff {
    /// Works out the times over a ground. `watched` are places with the area uphill that is meant, square metres, whose flow
    /// is asked for later. `tell` hears how far it is, 0 to 1, and gives the work up by `Break`.
    pub fn of(
        (grid, water): (&Grid, &Water),
        depressions: &[Depression],
        pace: &Pace,
        watched: &[(Point, f64)],
        tell: &dyn Fn(f64) -> ControlFlow<()>,
    ) -> ControlFlow<(), Self> {
        let mut setting = Setting::new(grid, water);
        for (k, depression) in depressions.iter().enumerate() {
            setting.hold(depression);
            tell(0.5 * k as f64 / depressions.len() as f64)?;
        }
        let watched = watched.iter().map(|(at, area_m2)| setting.watch(*at, *area_m2)).collect();
        setting.time(pace, tell)?;
        ControlFlow::Continue(setting.finish(watched))
    }

    /// Hollows that hold water back, in the order in which they were given.
    pub fn hollows(&self) -> &[Hollow] {
        &self.hollows
    }

    /// Longest time that water takes over the ground where nothing holds it back, seconds.
    pub fn longest_s(&self) -> f64 {
        self.longest_s
    }

    /// Seconds that water takes from a cell to where it leaves the ground if nothing holds it; `None` on missing ground.
    pub fn to_edge_s(&self, cell: usize) -> Option<f64> {
        self.to_edge_s.get(cell).filter(|time| !time.is_nan()).map(|time| f64::from(*time))
    }

    /// The way of a drop from a place in time, no more than so many cells of it.
    pub fn course(&self, grid: &Grid, water: &Water, at: Point, most: usize) -> Course {
        let mut course = Course::default();
        let cell = grid.cell_at(at).filter(|_| water.fits(grid)).map(|(col, row)| row * grid.cols() + col);
        let Some((start, begin_s)) = cell.and_then(|cell| Some((cell, self.to_edge_s(cell)?))) else { return course };
        let mut within = None;
        for cell in std::iter::successors(Some(start), |&cell| water.next(cell)).take(most) {
            let hollow = self.hollow_at(cell);
            if hollow != within {
                course.hollows.extend(hollow.map(|hollow| (course.points.len(), hollow)));
                within = hollow;
            }
            course.points.push(grid.centre(cell % grid.cols(), cell / grid.cols()));
            course.after_s.push((begin_s - f64::from(self.to_edge_s[cell])) as f32);
        }
        course
    }

    /// The hollow under whose water a cell comes to lie.
    pub(crate) fn hollow_at(&self, cell: usize) -> Option<usize> {
        let number = self.firsts.partition_point(|first| *first <= self.sink_of[cell] as usize).checked_sub(1)?;
        self.hollows[number].holds(cell).then_some(number)
    }
}

/// A ground whose times are being worked out.
struct Setting<'a> {
    grid: &'a Grid,
    water: &'a Water,
    to_edge_s: Vec<f32>,
    sink_of: Vec<u32>,
    stops: Vec<Stop>,
    sinks: usize,
    hollows: Vec<Hollow>,
    firsts: Vec<usize>,
}

impl<'a> Setting<'a> {
    fn new(grid: &'a Grid, water: &'a Water) -> Self {
        let cells = water.directions().len();
        Self {
            grid,
            water,
            to_edge_s: vec![f32::NAN; cells],
            sink_of: vec![EDGE; cells],
            stops: Vec::new(),
            sinks: 0,
            hollows: Vec::new(),
            firsts: Vec::new(),
        }
    }

    /// Lets a depression hold water: its cells come to its end parts, and it lets go where most water leaves it.
    fn hold(&mut self, depression: &Depression) {
        let hollow = Hollow::of(self.grid, depression);
        for (cell, end) in hollow.homes() {
            self.sink_of[cell as usize] = self.sinks as u32 + end;
        }
        let uphill = |cell: u32| self.water.cells_uphill()[cell as usize];
        // Whatever else leaves it, this way never comes back.
        let last = depression
            .cells
            .iter()
            .copied()
            .reduce(|best, next| if uphill(next) > uphill(best) { next } else { best });
        let exit = last.and_then(|cell| self.water.next(cell as usize));
        self.firsts.push(self.sinks);
        self.stop(hollow.ends(), hollow.holds_m3(), last.map_or(0, uphill), (exit, exit));
        self.hollows.push(hollow);
    }

    fn stop(&mut self, ends: usize, holds_m3: f64, uphill: u32, (at, exit): (Option<usize>, Option<usize>)) {
        let sinks = self.sinks..self.sinks + ends;
        self.sinks = sinks.end;
        self.stops.push(Stop { sinks, holds_m3, to_edge_s: 0.0, next: 0, uphill, at, exit });
    }

    /// Watches the cell near a place whose area uphill is nearest to the one that is meant; its sink.
    fn watch(&mut self, at: Point, area_m2: f64) -> Option<usize> {
        let (col, row) = self.grid.cell_at(at)?;
        let rows = row.saturating_sub(REACH)..(row + REACH + 1).min(self.grid.rows());
        let cols = col.saturating_sub(REACH)..(col + REACH + 1).min(self.grid.cols());
        let width = self.grid.cols();
        let cells = rows.flat_map(|row| cols.clone().map(move |col| row * width + col));
        let meant = area_m2 / self.grid.cell_area_m2();
        let off = |cell: usize| (f64::from(self.water.cells_uphill()[cell]) - meant).abs();
        let cell =
            cells.min_by(|a, b| off(*a).total_cmp(&off(*b))).filter(|&cell| self.water.cells_uphill()[cell] > 0)?;
        match self.sink_of[cell] {
            EDGE => {
                self.sink_of[cell] = self.sinks as u32;
                self.stop(1, 0.0, self.water.cells_uphill()[cell], (Some(cell), self.water.next(cell)));
                Some(self.sinks - 1)
            }
            sink => self.held_by(cell).is_none().then_some(sink as usize),
        }
    }

    /// The cell that a cell's water goes to, out of a hollow at once.
    fn goes_to(&self, cell: usize) -> Option<usize> {
        match self.held_by(cell) {
            Some(hollow) => self.stops[hollow].exit,
            None => self.water.next(cell),
        }
    }

    /// The hollow that a cell belongs to; hollows are the first stops, and only their cells and those of watched places have
    /// a sink before times are known.
    fn held_by(&self, cell: usize) -> Option<usize> {
        let sink = self.sink_of[cell];
        let hollow = self.firsts.partition_point(|first| *first <= sink as usize).checked_sub(1)?;
        (sink != EDGE && self.hollows[hollow].holds(cell)).then_some(hollow)
    }

    /// Works out the time to the edge and the first sink of every cell, each way from its lower end up.
    fn time(&mut self, pace: &Pace, tell: &dyn Fn(f64) -> ControlFlow<()>) -> ControlFlow<()> {
        let mut way: Vec<(usize, Option<usize>)> = Vec::new();
        for start in 0..self.to_edge_s.len() {
            if start % REPORT == 0 {
                tell(0.5 + 0.5 * start as f64 / self.to_edge_s.len() as f64)?;
            }
            let mut at = Some(start).filter(|&cell| self.water.cells_uphill()[cell] > 0);
            while let Some(cell) = at.filter(|&cell| self.to_edge_s[cell].is_nan()) {
                at = self.goes_to(cell);
                way.push((cell, at));
            }
            while let Some((cell, next)) = way.pop() {
                self.settle(cell, next, pace);
            }
        }
        ControlFlow::Continue(())
    }

    fn settle(&mut self, cell: usize, next: Option<usize>, pace: &Pace) {
        let Some(next) = next else {
            self.to_edge_s[cell] = 0.0;
            return;
        };
        let takes_s = if self.held_by(cell).is_some() { 0.0 } else { self.takes_s(cell, next, pace) };
        self.to_edge_s[cell] = self.to_edge_s[next] + takes_s as f32;
        if self.sink_of[cell] == EDGE {
            self.sink_of[cell] = self.sink_of[next];
        }
    }

    /// Time from a cell to its neighbour, seconds.
    fn takes_s(&self, cell: usize, next: usize, pace: &Pace) -> f64 {
        let (x_m, y_m) = self.grid.cell_m();
        let (east, south) =
            (cell % self.grid.cols() != next % self.grid.cols(), cell / self.grid.cols() != next / self.grid.cols());
        let way_m = f64::hypot(if east { x_m } else { 0.0 }, if south { y_m } else { 0.0 });
        let fall_m = f64::from(self.water.filled()[cell]) - f64::from(self.water.filled()[next]);
        let uphill_m2 = f64::from(self.water.cells_uphill()[cell]) * self.grid.cell_area_m2();
        let pace_ms = if uphill_m2 < pace.gathered_from_m2 { pace.land_ms } else { pace.gathered_ms };
        way_m / (pace_ms * (fall_m / way_m).max(LEAST_SLOPE).sqrt())
    }

    fn finish(mut self, watched: Vec<Option<usize>>) -> Runoff {
        let mut sink_s = vec![0.0; self.sinks + 1];
        for stop in &mut self.stops {
            stop.to_edge_s = stop.at.map_or(0.0, |cell| self.to_edge_s[cell]);
            stop.next = stop.exit.map_or(self.sinks, |exit| (self.sink_of[exit] as usize).min(self.sinks));
            sink_s[stop.sinks.clone()].fill(stop.to_edge_s);
        }
        self.stops.sort_by_key(|stop| stop.uphill);
        let longest_s = self.to_edge_s.iter().copied().fold(0.0, f32::max);
        Runoff {
            cell_area_m2: self.grid.cell_area_m2(),
            to_edge_s: self.to_edge_s,
            sink_of: self.sink_of,
            stops: self.stops,
            sink_s,
            hollows: self.hollows,
            firsts: self.firsts,
            watched,
            longest_s: f64::from(longest_s),
        }
    }
}
