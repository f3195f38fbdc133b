//! Swales on real ground, measured against the ground itself and the accumulation.
//!
//! The data lie beside the project, not in it; where they are absent these tests say so and pass. The figures show
//! with `cargo test -p terrain --test swales -- --nocapture`.

#![allow(clippy::unwrap_used, clippy::print_stdout)] // helpers of tests, outside the test functions themselves

use std::path::Path;

use measure::{Point, bearing, distance, nearest_on, path_length, point_at};
use terrain::{Grid, Swale, Water, swales};

/// An acre: the area uphill from which swales are drawn.
const LEAST_M2: f64 = 4046.856;

struct Scene {
    grid: Grid,
    water: Water,
    found: Vec<Swale>,
}

impl Scene {
    fn new(file: &str) -> Option<Self> {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../shared/terrain/dem").join(file);
        let Ok(bytes) = std::fs::read(path) else {
            println!("skipped: {file} is not there");
            return None;
        };
        let read = exchange::read_geotiff(&bytes, &exchange::ReadOptions::default()).unwrap();
        let terrain::Surface::Grid(grid) = read.surface else { return None };
        let water = Water::of(&grid);
        let found = swales(&grid, &water, LEAST_M2);
        let length_m: f64 = found.iter().map(|swale| path_length(&swale.points)).sum();
        println!("{file}: {} swales, {length_m:.0} m", found.len());
        Some(Self { grid, water, found })
    }

    /// 1000 × 1000 cells of 1 m: a plain with a stream, roads and dwellings between hills, levels 255 to 325 m.
    fn hills() -> Option<Self> {
        Self::new("slo_hills_1m.tif")
    }

    /// 356 × 258 cells of 3 m: gently sloping farmland with soft swales.
    fn farmland() -> Option<Self> {
        Self::new("ia_slope_s_3m.tif")
    }

    fn cell_m(&self) -> f64 {
        self.grid.cell_m().0
    }

    /// Area uphill of the cells within some cells of a place, measured from place to cell centre.
    fn areas_near(&self, at: Point, cells: f64) -> impl Iterator<Item = f64> {
        let steps = || (-5..=5).map(|k| f64::from(k) * self.cell_m());
        let around = steps().flat_map(move |x| steps().map(move |y| Point::new(at.x + x, at.y + y)));
        around.filter_map(move |place| {
            let (col, row) = self.grid.cell_at(place)?;
            let centre = self.grid.centre(col, row);
            let near = distance(centre, at) <= cells * self.cell_m();
            self.water.uphill_area_m2(&self.grid, centre).filter(|_| near)
        })
    }

    /// True within two cells of the centre of a cell with an acre uphill.
    fn on_thread(&self, at: Point) -> bool {
        self.areas_near(at, 2.0).any(|area_m2| area_m2 >= LEAST_M2)
    }

    /// Metres of water that would stand at a place if every hollow were full.
    fn under_water_m(&self, at: Point) -> f64 {
        let cell = self.grid.cell_at(at).map(|(col, row)| row * self.grid.cols() + col);
        cell.map_or(0.0, |cell| (self.water.filled()[cell] - self.grid.levels()[cell]) as f64)
    }

    /// True within ten metres of a swale that this one joins or that joins it.
    fn beside_another(&self, swale: usize, at: Point) -> bool {
        let others = self.found.iter().enumerate().filter(|(k, _)| *k != swale);
        others.filter_map(|(_, other)| nearest_on(&other.points, at)).any(|(_, _, away_m)| away_m < SIDE_M)
    }

    fn kind(&self, swale: usize, section: &Section) -> usize {
        let wet = |off_m: f64| self.under_water_m(section.place(off_m)) > 0.01;
        let tests = [
            wet(0.0) || wet(section.lowest_m()),
            self.beside_another(swale, section.at),
            !section.is_valley(),
            section.rise_before_lowest_m() > 0.1,
            !self.on_thread(section.place(section.lowest_m())),
        ];
        tests.iter().position(|holds| *holds).map_or(0, |k| k + 1)
    }

    /// The cross-section through a place of a swale, read every quarter of a metre from left to right.
    fn section(&self, points: &[Point], station_m: f64) -> Option<Section> {
        let at = point_at(points, station_m)?;
        let half_m = 1.5 * self.cell_m();
        let way = bearing(point_at(points, station_m - half_m)?, point_at(points, station_m + half_m)?).to_radians();
        let mut section = Section { at, right: Point::new(way.cos(), -way.sin()), levels: Vec::new() };
        let offsets = (0..=(8.0 * SIDE_M) as usize).map(|k| k as f64 * 0.25 - SIDE_M);
        section.levels =
            offsets.map(|off_m| Some((off_m, self.grid.elevation(section.place(off_m))?))).collect::<Option<_>>()?;
        Some(section)
    }
}

/// How far a cross-section reaches to either side, metres.
const SIDE_M: f64 = 10.0;
/// Rise towards an end of a cross-section below which there is no valley in it, metres.
const BANK_M: f64 = 0.25;

struct Section {
    at: Point,
    /// A metre to the right of the line.
    right: Point,
    /// Offsets to the right and ground levels, metres.
    levels: Vec<(f64, f64)>,
}

impl Section {
    fn place(&self, off_m: f64) -> Point {
        Point::new(self.at.x + off_m * self.right.x, self.at.y + off_m * self.right.y)
    }

    /// Offset of the lowest ground; of equals the one nearest to the line.
    fn lowest_m(&self) -> f64 {
        let order = |a: &&(f64, f64), b: &&(f64, f64)| a.1.total_cmp(&b.1).then(a.0.abs().total_cmp(&b.0.abs()));
        self.levels.iter().min_by(order).unwrap().0
    }

    /// The highest ground between two offsets.
    fn highest_m(&self, from_m: f64, to_m: f64) -> f64 {
        let between = self.levels.iter().filter(|(off_m, _)| (from_m..=to_m).contains(off_m));
        between.map(|(_, z)| *z).fold(f64::MIN, f64::max)
    }

    fn is_valley(&self) -> bool {
        let low_m = self.lowest_m();
        let bank_m = self.highest_m(-SIDE_M, low_m).min(self.highest_m(low_m, SIDE_M));
        bank_m - self.highest_m(low_m, low_m) >= BANK_M
    }

    /// How far the ground rises above the line on the way from it to the lowest point, metres.
    fn rise_before_lowest_m(&self) -> f64 {
        let low_m = self.lowest_m();
        self.highest_m(low_m.min(0.0), low_m.max(0.0)) - self.highest_m(0.0, 0.0)
    }
}

fn stations(points: &[Point], step_m: f64) -> impl Iterator<Item = f64> {
    (0..=(path_length(points) / step_m) as usize).map(move |k| k as f64 * step_m)
}

/// How far each sample of some kind lies off the lowest of its cross-section.
#[derive(Default)]
struct Off {
    all: Vec<f64>,
}

impl Off {
    fn share(&self, within_m: f64) -> f64 {
        self.all.iter().filter(|off_m| **off_m <= within_m).count() as f64 / self.all.len().max(1) as f64
    }

    fn say(&self, kind: &str, within_m: f64) {
        let worst_m = self.all.iter().copied().fold(0.0, f64::max);
        let mean_m = self.all.iter().sum::<f64>() / self.all.len().max(1) as f64;
        let share = 100.0 * self.share(within_m);
        println!(
            "  {kind}: {} samples, {share:.2} % within {within_m} m, mean {mean_m:.2} m, worst {worst_m:.2} m",
            self.all.len()
        );
    }
}

/// What a sample is counted as.
const KINDS: [&str; 6] = [
    "valleys",
    "full hollows",
    "beside another swale",
    "no valley",
    "lower ground beyond a rise",
    "lower ground with no thread on it",
];

/// Sections are taken every metre, square to the line as it runs over three cells. Counted apart, the first that holds:
/// samples whose place or whose section's lowest lies in a hollow more than a centimetre below its spill level, where
/// water stands level and follows no bed; those within ten metres of another swale, whose floor the section may cut;
/// those whose section does not rise by a quarter of a metre on both sides of its lowest point, which is then no
/// valley's floor; those with a rise of a tenth of a metre between the line and the lowest point, which lies in
/// another valley; and those whose lowest point has no cell with an acre uphill within two cells, so that the line cannot
/// be near both: a thread on its way down a bank, say.
fn off_the_floor(scene: &Scene) -> [Off; KINDS.len()] {
    let mut off: [Off; KINDS.len()] = Default::default();
    for (k, swale) in scene.found.iter().enumerate() {
        for station_m in stations(&swale.points, 1.0) {
            let Some(section) = scene.section(&swale.points, station_m) else { continue };
            off[scene.kind(k, &section)].all.push(section.lowest_m().abs());
        }
    }
    off
}

#[test]
fn swales_lie_on_the_floor_of_real_valleys() {
    let Some(scene) = Scene::hills() else { return };
    let off = off_the_floor(&scene);
    for (off, kind) in off.iter().zip(KINDS) {
        off.say(kind, 2.0);
    }
    let all = Off { all: off.iter().flat_map(|off| off.all.iter().copied()).collect() };
    all.say("all", 2.0);
    assert!(off[0].all.len() > 800 && off[0].share(2.0) > 0.97);
    // Even with the samples that lie beside lower ground with no thread on it.
    let valleys = Off { all: off[0].all.iter().chain(&off[5].all).copied().collect() };
    assert!(valleys.share(2.0) > 0.87);
}

/// Every vertex, and every place half a cell on along the line, within two cells of the centre of a cell with an acre
/// uphill.
fn follow_the_thread(scene: &Scene) -> bool {
    let cell_m = scene.cell_m();
    let mut off = [Off::default(), Off::default()];
    for swale in &scene.found {
        let along = stations(&swale.points, cell_m / 2.0).map(|at| point_at(&swale.points, at).unwrap());
        for (kind, at) in swale.points.iter().map(|&at| (0, at)).chain(along.map(|at| (1, at))) {
            off[kind].all.push(if scene.on_thread(at) { 0.0 } else { f64::INFINITY });
        }
    }
    println!("  vertices near the thread {:.4}, places {:.4}", off[0].share(0.0), off[1].share(0.0));
    off.iter().all(|off| off.share(0.0) == 1.0)
}

/// Two successive turns of opposite hand whose product passes 30° × 30° with a leg under two cells between, or a turn
/// of more than 60° beside a leg under two cells.
fn stair_steps(scene: &Scene) -> usize {
    let cell_m = scene.cell_m();
    let turn = |w: &[Point]| (bearing(w[1], w[2]) - bearing(w[0], w[1]) + 540.0).rem_euclid(360.0) - 180.0;
    let zigzag = |w: &[Point]| distance(w[1], w[2]) < 2.0 * cell_m && turn(w) * turn(&w[1..]) < -900.0;
    let corner = |w: &[Point]| turn(w).abs() > 60.0 && distance(w[0], w[1]).min(distance(w[1], w[2])) < 2.0 * cell_m;
    let of = |swale: &Swale| {
        swale.points.windows(4).filter(|w| zigzag(w)).count() + swale.points.windows(3).filter(|w| corner(w)).count()
    };
    scene.found.iter().map(of).sum()
}

/// The longest run of samples, one every cell, along one swale within three cells of another, in cells.
fn longest_beside(scene: &Scene) -> usize {
    let cell_m = scene.cell_m();
    let mut longest = 0;
    for (k, swale) in scene.found.iter().enumerate() {
        for (_, other) in scene.found.iter().enumerate().filter(|(o, _)| *o != k) {
            let mut run = 0;
            for station_m in stations(&swale.points, cell_m) {
                let at = point_at(&swale.points, station_m).unwrap();
                let near = nearest_on(&other.points, at).is_some_and(|(_, _, away_m)| away_m < 3.0 * cell_m);
                run = if near { run + 1 } else { 0 };
                longest = longest.max(run);
            }
        }
    }
    longest
}

/// Swales whose lower end lies neither on another swale (within a micrometre) nor within a cell and a half of the
/// edge of the ground.
fn loose_ends(scene: &Scene) -> usize {
    let steps = || [-1.5, 0.0, 1.5].map(|k| k * scene.cell_m()).into_iter();
    let around = |at: Point| steps().flat_map(move |x| steps().map(move |y| Point::new(at.x + x, at.y + y)));
    let edge = |at: Point| around(at).any(|place| scene.grid.elevation(place).is_none());
    let loose = |k: usize| {
        let end = *scene.found[k].points.last().unwrap();
        let joined = scene.found[..k].iter().any(|other| nearest_on(&other.points, end).unwrap().2 < 1e-6);
        !joined && !edge(end)
    };
    (0..scene.found.len()).filter(|&k| loose(k)).count()
}

/// Area never falls, and each is that of a cell within four cells; the last point may lie farther from its cell, on the
/// swale that it joins.
fn carry_their_area(scene: &Scene) {
    for swale in &scene.found {
        assert!(swale.points.len() == swale.area_m2.len() && swale.area_m2.is_sorted());
        let known = |(at, area_m2): (&Point, &f64)| scene.areas_near(*at, 4.0).any(|near_m2| near_m2 == *area_m2);
        let inner = swale.points.len() - 1;
        let unknown = swale.points.iter().zip(&swale.area_m2).take(inner).filter(|pair| !known(*pair)).count();
        assert_eq!(unknown, 0, "{:?}", swale.points.last());
    }
}

fn drawn_as_by_hand(scene: &Scene) {
    let follow = follow_the_thread(scene);
    let (steps, beside, loose) = (stair_steps(scene), longest_beside(scene), loose_ends(scene));
    println!("  stair-steps {steps}, longest run within three cells of another {beside} cells, loose ends {loose}");
    assert!(follow && steps == 0 && loose == 0 && beside <= 20);
    carry_their_area(scene);
}

#[test]
fn swales_of_hills_are_drawn_as_by_hand() {
    Scene::hills().iter().for_each(drawn_as_by_hand);
}

#[test]
fn swales_of_farmland_are_drawn_as_by_hand() {
    Scene::farmland().iter().for_each(drawn_as_by_hand);
}
