//! Rain on the map: a moment of a rain that is poured on the land, from the drops to the water in the pipes.
//!
//! The ground is made ready once ([`RainGround`]), a rain on it is worked out once ([`Rain`]); any moment of it is cheap. What
//! moves is a function of the time alone, so that the same moment is always the same picture.

mod drops;
mod pipes;

use std::ops::ControlFlow;
use std::sync::Arc;

use hydraulics::{CURVE_NUMBERS, Group, runoff_m};
use land::Land;
use measure::{Point, SQUARE_M_PER_ACRE, distance};
use terrain::{Flood, Ground, Pace, Pool, Runoff, Storm, Swale, Water};

use crate::role::{RUNNING_M3S, Role};
use crate::scene::{Form, Item, Scene};
use drops::Drops;
pub use pipes::Pipes;

/// Watched places of a swale stand at least so far from each other, metres (own choice: no eye sees more).
const WATCHED_M: f64 = 8.0;
/// Places that are watched at most, so that a rain on large ground is worked out in a moment.
const MOST_WATCHED: usize = 3000;

/// A rain that is poured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rainfall {
    /// Its depth, metres.
    pub depth_m: f64,
    /// How long it falls, evenly, seconds.
    pub lasts_s: f64,
    /// What the land is covered with: a row of [`CURVE_NUMBERS`].
    pub cover: usize,
    /// How readily the soil takes water in.
    pub group: Group,
}

impl Rainfall {
    /// The curve number of its land.
    pub fn curve_number(&self) -> f64 {
        CURVE_NUMBERS.get(self.cover).map_or(100.0, |(_, numbers)| numbers[self.group as usize])
    }

    /// Depth that has fallen by a time, metres.
    pub fn fallen_m(&self, time_s: f64) -> f64 {
        self.depth_m * (time_s / self.lasts_s).clamp(0.0, 1.0)
    }

    /// Depth that has run off by a time, metres: the curve number is held to what has fallen so far.
    pub fn ran_off_m(&self, time_s: f64) -> f64 {
        runoff_m(self.fallen_m(time_s), self.curve_number())
    }

    /// How fast water runs over that cover, m/s at a slope of 1 ([HEC22]): bare soil 3.05, straight rows 2.74, rows on the
    /// contour 1.52; in swales as in grassed waterways 4.57.
    fn pace(&self) -> Pace {
        let word = CURVE_NUMBERS.get(self.cover).map_or("", |(word, _)| word);
        let land_ms = match word {
            "bare soil" => 3.05,
            contour if contour.contains("contour") => 1.52,
            _ => 2.74,
        };
        Pace { land_ms, gathered_ms: 4.57, gathered_from_m2: SQUARE_M_PER_ACRE }
    }
}

/// Land made ready for rain.
#[derive(Debug)]
pub struct RainGround {
    ground: Arc<Ground>,
    water: Arc<Water>,
    swales: Arc<Vec<Swale>>,
    pace: Pace,
    runoff: Runoff,
    /// For each swale the places on it that are watched.
    watched: Vec<Vec<Watched>>,
    drops: Drops,
}

impl RainGround {
    /// Makes land ready for a rain; `None` without ground. `frame` are two corners of what matters most, where half of the drops
    /// fall. `tell` hears how far it is, 0 to 1, and gives the work up by `Break`.
    pub fn of(
        land: &Land,
        rainfall: &Rainfall,
        frame: (Point, Point),
        tell: &dyn Fn(f64) -> ControlFlow<()>,
    ) -> ControlFlow<(), Option<Self>> {
        let (Some(ground), Some(water)) = (land.ground.clone(), land.water.clone()) else {
            return ControlFlow::Continue(None);
        };
        let (places, watched) = watched(&land.swales);
        let pace = rainfall.pace();
        let on = (ground.grid(), &*water);
        let runoff = Runoff::of(on, &land.depressions, &pace, &places, &|done| tell(0.6 * done))?;
        let drops = Drops::of(&runoff, on, frame, &|done| tell(0.6 + 0.4 * done))?;
        let swales = land.swales.clone();
        ControlFlow::Continue(Some(Self { ground, water, swales, pace, runoff, watched, drops }))
    }

    /// True where it is made of that land.
    pub fn is_on(&self, land: &Land) -> bool {
        land.water.as_ref().is_some_and(|water| Arc::ptr_eq(water, &self.water))
    }

    /// True where it is made of that land, for the pace of that rain.
    pub fn is_of(&self, land: &Land, rainfall: &Rainfall) -> bool {
        self.is_on(land) && self.pace == rainfall.pace()
    }
}

/// A watched place of a swale.
#[derive(Debug, Clone, Copy)]
struct Watched {
    /// The number of its point on the swale.
    point: usize,
    /// Its number among all that are watched.
    place: usize,
}

/// The places to be watched on swales, each with the land above it, and where they stand.
fn watched(swales: &[Swale]) -> (Vec<(Point, f64)>, Vec<Vec<Watched>>) {
    let (mut places, mut watched) = (Vec::new(), Vec::new());
    for swale in swales {
        let mut on: Vec<Watched> = Vec::new();
        for (point, (at, area_m2)) in swale.points.iter().zip(&swale.area_m2).enumerate() {
            let is_far = on.last().is_none_or(|last| distance(swale.points[last.point], *at) >= WATCHED_M);
            if is_far && places.len() < MOST_WATCHED {
                on.push(Watched { point, place: places.len() });
                places.push((*at, *area_m2));
            }
        }
        watched.push(on);
    }
    (places, watched)
}

/// What the gauge and the clock say at a moment.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Gauge {
    /// Depth that has fallen, metres.
    pub fallen_m: f64,
    /// Of that what has run off, metres.
    pub ran_off_m: f64,
    /// Water that stands in hollows, cubic metres.
    pub stands_m3: f64,
    /// Water on its way over the ground, cubic metres.
    pub moves_m3: f64,
    /// Water that has left the ground, cubic metres.
    pub left_m3: f64,
    /// Hollows that are full and spill.
    pub full: usize,
    /// All hollows.
    pub hollows: usize,
}

impl Gauge {
    /// Depth that has soaked in or stayed where it fell, metres.
    pub fn soaked_m(&self) -> f64 {
        self.fallen_m - self.ran_off_m
    }
}

/// Hollows as they stand at a moment: what is under water in each, kept from one moment to the next.
#[derive(Debug, Clone, Default)]
pub struct Ponds {
    pools: Vec<Vec<Pool>>,
    cells: Vec<Vec<u32>>,
}

/// A rain on land, from its first drop until all water is where it stays.
#[derive(Debug)]
pub struct Rain {
    on: Arc<RainGround>,
    rainfall: Rainfall,
    flood: Flood,
}

impl Rain {
    /// Lets a rain fall on land that is ready for it.
    pub fn of(on: Arc<RainGround>, rainfall: Rainfall) -> Self {
        let storm = Storm::over(&on.runoff, rainfall.lasts_s, |time_s| rainfall.ran_off_m(time_s));
        let flood = on.runoff.under(storm);
        Self { on, rainfall, flood }
    }

    /// The rain that falls.
    pub fn rainfall(&self) -> &Rainfall {
        &self.rainfall
    }

    /// The land it falls on.
    pub fn ground(&self) -> &Arc<RainGround> {
        &self.on
    }

    /// When all water is where it stays, seconds.
    pub fn lasts_s(&self) -> f64 {
        self.flood.lasts_s()
    }

    /// When the first hollow spills, seconds; `None` where none does.
    pub fn first_spill_s(&self) -> Option<f64> {
        (0..self.on.runoff.hollows().len()).filter_map(|k| self.flood.full_s(k)).reduce(f64::min)
    }

    /// What gauge and clock say.
    pub fn gauge(&self, time_s: f64) -> Gauge {
        let (stands_m3, left_m3) = (self.flood.stands_m3(&self.on.runoff, time_s), self.flood.left_m3(time_s));
        let hollows = self.on.runoff.hollows().len();
        Gauge {
            fallen_m: self.rainfall.fallen_m(time_s),
            ran_off_m: self.rainfall.ran_off_m(time_s),
            stands_m3,
            moves_m3: (self.flood.shed_m3(time_s) - stands_m3 - left_m3).max(0.0),
            left_m3,
            full: (0..hollows).filter(|&k| self.flood.full_s(k).is_some_and(|full_s| full_s <= time_s)).count(),
            hollows,
        }
    }

    /// The most that flows through a place at a time, m³/s, and when, seconds; `None` where no ground is, and under water that
    /// stands.
    pub fn most_at(&self, at: Point) -> Option<(f64, f64)> {
        let come = self.flood.arrived_m3(&self.on.runoff, (self.on.ground.grid(), &self.on.water), at);
        let step_s = self.flood.step_s();
        let flows = come.windows(2).enumerate().map(|(k, two)| ((two[1] - two[0]) / step_s, (k + 1) as f64 * step_s));
        flows.reduce(|most, next| if next.0 > most.0 { next } else { most })
    }

    /// Brings the hollows to a moment; only those that stand otherwise than before are looked at cell by cell.
    pub fn fill(&self, ponds: &mut Ponds, time_s: f64) {
        let hollows = self.on.runoff.hollows();
        ponds.pools.resize(hollows.len(), Vec::new());
        ponds.cells.resize(hollows.len(), Vec::new());
        for (k, hollow) in hollows.iter().enumerate() {
            let pools = self.flood.pools(&self.on.runoff, k, time_s);
            let covers = |pools: &[Pool]| pools.iter().map(Pool::covers).collect::<Vec<_>>();
            if covers(&pools) != covers(&ponds.pools[k]) {
                ponds.cells[k] = hollow.under(&pools);
            }
            ponds.pools[k] = pools;
        }
    }

    /// The moment over the ground as a scene: hollows as far as they stand, running water, and drops; `seen` are two corners of
    /// what is in sight. What is in the pipes lies over the lines: [`Pipes::scene`].
    pub fn scene<'a>(&'a self, ponds: &'a Ponds, time_s: f64, seen: (Point, Point)) -> Scene<'a> {
        let wet = ponds.cells.iter().filter(|cells| !cells.is_empty());
        let grid = self.on.ground.grid();
        let mut items: Vec<Item<'a>> = wet.map(|cells| Item::new(Role::Pond, Form::Cells(grid, cells))).collect();
        self.running(time_s, seen, &mut items);
        self.on.drops.running(&self.rainfall, &self.flood, time_s, seen, &mut items);
        drops::falling(&self.rainfall, time_s, both(seen, grid.extent()), &mut items);
        Scene { time_s: Some(time_s), items }
    }

    /// Swales in stretches of like flow.
    fn running<'a>(&self, time_s: f64, seen: (Point, Point), items: &mut Vec<Item<'a>>) {
        for (swale, watched) in self.on.swales.iter().zip(&self.on.watched) {
            let flow = |on: &Watched| self.flood.flow_m3s(&self.on.runoff, on.place, time_s);
            let classes: Vec<Option<u8>> = watched.iter().map(|on| class(flow(on))).collect();
            let mut from = 0;
            while from < watched.len() {
                let alike = classes[from..].iter().take_while(|class| **class == classes[from]).count();
                let end = watched.get(from + alike).map_or(swale.points.len() - 1, |next| next.point);
                let points = &swale.points[watched[from].point..=end];
                if let Some(class) = classes[from].filter(|_| points.iter().any(|at| is_seen(*at, seen))) {
                    items.push(Item::new(Role::Running(class), Form::Path(points.to_vec().into())));
                }
                from += alike;
            }
        }
    }
}

/// The class of a flow: how many of the bounds it has reached; none below the first.
fn class(flow_m3s: f64) -> Option<u8> {
    RUNNING_M3S.iter().rposition(|bound| flow_m3s >= *bound).map(|class| class as u8)
}

/// What lies between two corners and two others.
fn both(one: (Point, Point), other: (Point, Point)) -> (Point, Point) {
    let low = Point::new(one.0.x.max(other.0.x), one.0.y.max(other.0.y));
    (low, Point::new(one.1.x.min(other.1.x), one.1.y.min(other.1.y)))
}

fn is_seen(at: Point, (low, high): (Point, Point)) -> bool {
    at.x >= low.x && at.x <= high.x && at.y >= low.y && at.y <= high.y
}
