//! The likely course of an old line from a place where it was seen or shows itself: up the low ground, or beside old lines that
//! run straight there, with how far aside it may lie, and where a probe tells most.

use land::Land;
use measure::{
    FOOT_M, Point, SQUARE_M_PER_ACRE, apart_deg, bearing, crossings, distance, nearest_on, path_length, point_at,
    toward,
};
use plan::{Clues, Confidence, Edit, Evidence, Line, LineId, LineKind, OldTile, Plan};

/// Land above which an old line is worth while in low ground: a quarter of an acre (judgement).
pub const LEAST_LAND_M2: f64 = 0.25 * SQUARE_M_PER_ACRE;
/// A proposal goes no farther, metres: 1,000 ft (judgement; beyond that a guess tells nothing).
const LONGEST_M: f64 = 1000.0 * FOOT_M;
/// Downhill it goes no farther, metres: 500 ft (judgement; its outlet was nearer to hand than its upper end).
const DOWN_M: f64 = 500.0 * FOOT_M;
/// A shorter one is none, metres: 50 ft (judgement).
const SHORTEST_M: f64 = 50.0 * FOOT_M;
/// Old lines were laid straight from bend to bend: bends smaller than this are the terrain's, metres: 15 ft (judgement).
const STRAIGHT_M: f64 = 15.0 * FOOT_M;
/// Depth of an old line where it shows itself, metres: 3 ft (judgement).
const DEPTH_M: f64 = 3.0 * FOOT_M;
/// The fall that a tile needs, as a ratio: 0.1 % (judgement).
const LEAST_FALL: f64 = 0.001;
/// Soil it needs over it, metres: 1 ft (judgement; shallower it was broken by the plough).
const LEAST_SOIL_M: f64 = FOOT_M;
/// How far aside a line may lie that was read from a photo or seen in the open, metres: 4 ft ([PURDUE23 ±4 ft]).
const ASIDE_M: f64 = 4.0 * FOOT_M;
/// By how much more, as a share of the way from there: straight lines six degrees (judgement), low ground as wide as it is, at
/// most a third.
const ASIDE_STRAIGHT: f64 = 0.1;
const ASIDE_LOW: f64 = 1.0 / 3.0;
/// Low ground is as wide as it lies within this of its lowest way, metres: 0.5 ft (judgement), and at most 60 ft to a side.
const LOW_M: f64 = 0.5 * FOOT_M;
const WIDEST_M: f64 = 60.0 * FOOT_M;
/// Old lines this far off may be of one system, metres: 300 ft, and those that point this near to one way, degrees (judgement).
const NEIGHBOUR_M: f64 = 300.0 * FOOT_M;
const PARALLEL_DEG: f64 = 15.0;
/// Places to probe that are named at most.
const MOST_PROBES: usize = 4;

/// What shows the old line at the place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Shown {
    /// Its outlet.
    Outlet,
    /// A hole above it.
    Hole,
    /// A wet streak.
    #[default]
    WetStreak,
    /// It was met in a trench or by a probe.
    Find,
}

impl Shown {
    /// Each with its word.
    pub const ALL: [(Self, &'static str); 4] =
        [(Self::Outlet, "outlet"), (Self::Hole, "hole"), (Self::WetStreak, "streak"), (Self::Find, "find")];

    const fn clues(self) -> Clues {
        let none =
            Clues { photo: false, outlet: false, wet_streak: false, memory: false, probe: false, trench: false };
        match self {
            Self::Outlet => Clues { outlet: true, ..none },
            Self::Hole | Self::WetStreak => Clues { wet_streak: true, ..none },
            Self::Find => Clues { trench: true, ..none },
        }
    }
}

/// Why a course is likely.
#[derive(Debug, Clone, PartialEq)]
pub enum Why {
    /// It follows the low ground.
    LowGround,
    /// It runs beside old lines that run one way; their spacing where there are two, metres.
    Beside(Vec<LineId>, Option<f64>),
}

/// A likely course.
#[derive(Debug, Clone, PartialEq)]
pub struct Likely {
    /// Its course, the lower end first.
    pub points: Vec<Point>,
    /// How far to each side it may lie at each of them, metres.
    pub aside_m: Vec<f64>,
    /// Why.
    pub why: Why,
}

/// A place where a probe tells much.
#[derive(Debug, Clone, PartialEq)]
pub struct ToProbe {
    /// The place.
    pub at: Point,
    /// How far along the first course, metres.
    pub along_m: f64,
    /// How far aside to look, metres.
    pub aside_m: f64,
    /// Why there.
    pub why: WhyThere,
}

/// Why a probe tells much there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WhyThere {
    /// A planned trench crosses it: the line and its station, metres.
    Crosses(LineId, f64),
    /// Two likely courses part so far, metres.
    Part(f64),
    /// It is least sure there.
    Widest,
}

/// Likely courses of an old line that shows itself at a place, the likeliest first.
pub fn likely(plan: &Plan, land: &Land, at: Point, shown: Shown) -> Vec<Likely> {
    let beside = beside(plan, land, at);
    let low = low_ground(plan, land, at, shown);
    // Two lines that run one way tell more than the ground, one less.
    let is_system = beside.as_ref().is_some_and(|likely| matches!(&likely.why, Why::Beside(_, Some(_))));
    let both = if is_system { [beside, low] } else { [low, beside] };
    both.into_iter().flatten().filter(|likely| path_length(&likely.points) >= SHORTEST_M).collect()
}

/// Along the low ground: up from the place, and down from it where it did not end there.
fn low_ground(plan: &Plan, land: &Land, at: Point, shown: Shown) -> Option<Likely> {
    /// Cells around the place in which the low ground is looked for.
    const AROUND: usize = 3;
    let (grid, water) = land.grid().zip(land.water.as_ref())?;
    let foot = water.wettest_near(grid, at, AROUND)?;
    // The wettest cell near lies a little below the place.
    let from_here = |way: Vec<Point>| {
        let off_m = |k: &usize| distance(way[*k], at);
        let nearest = (0..way.len()).min_by(|a, b| off_m(a).total_cmp(&off_m(b))).unwrap_or(0);
        std::iter::once(at).chain(way.into_iter().skip(nearest + 1)).collect::<Vec<_>>()
    };
    let up = arm(land, &deep_enough(land, &from_here(water.way_up(grid, foot, LEAST_LAND_M2))));
    let down = match shown {
        Shown::Outlet => Vec::new(),
        _ => {
            // Beyond the field it came out long before, into the channel that takes the water.
            let is_ours = |at: &Point| plan.field.as_ref().is_none_or(|field| measure::ring_holds(&field.ring, *at));
            let way: Vec<Point> = from_here(water.path_from(grid, foot)).into_iter().take_while(is_ours).collect();
            arm(land, &measure::part_of(&way, 0.0, DOWN_M))
        }
    };
    let (points, aside_m) = down.into_iter().skip(1).rev().chain(up).unzip();
    Some(Likely { points, aside_m, why: Why::LowGround })
}

/// A way from the place made straight from bend to bend, and how far aside it may lie at each.
fn arm(land: &Land, way: &[Point]) -> Vec<(Point, f64)> {
    let points = terrain::simplify(way, STRAIGHT_M);
    let mut along_m = 0.0;
    let mut arm: Vec<(Point, f64)> = points.first().map(|at| (*at, ASIDE_M)).into_iter().collect();
    for pair in points.windows(2) {
        along_m += distance(pair[0], pair[1]);
        let width_m = half_width(land, pair[0], pair[1]).min(ASIDE_LOW * along_m);
        arm.push((pair[1], ASIDE_M + width_m.max(ASIDE_STRAIGHT * along_m)));
    }
    arm
}

/// How far low ground reaches to a side of its lowest way at the upper end of a piece, the wider side, metres.
fn half_width(land: &Land, below: Point, at: Point) -> f64 {
    let level = |at: Point| land.ground.as_ref()?.elevation(at);
    let Some(foot_m) = level(at) else { return WIDEST_M };
    let up_deg = bearing(below, at);
    let side = |side_deg: f64| {
        let steps = (1..).map(|k| f64::from(k) * FOOT_M).take_while(|aside_m| *aside_m <= WIDEST_M);
        let is_high =
            |aside_m: &f64| level(toward(at, up_deg + side_deg, *aside_m)).is_none_or(|m| m > foot_m + LOW_M);
        steps.into_iter().find(is_high).unwrap_or(WIDEST_M)
    };
    side(90.0).max(side(-90.0))
}

/// The part of a way along which a tile that falls enough still has soil over it.
fn deep_enough(land: &Land, way: &[Point]) -> Vec<Point> {
    let level = |at: Point| land.ground.as_ref()?.elevation(at);
    let Some(start_m) = way.first().and_then(|at| level(*at)) else { return way.to_vec() };
    let mut along_m = 0.0;
    let mut part: Vec<Point> = Vec::new();
    for at in way {
        along_m += part.last().map_or(0.0, |last| distance(*last, *at));
        let invert_m = start_m - DEPTH_M + LEAST_FALL * along_m;
        if along_m > LONGEST_M || level(*at).is_none_or(|ground_m| ground_m - invert_m < LEAST_SOIL_M) {
            break;
        }
        part.push(*at);
    }
    part
}

/// Straight, as old lines beside it run.
fn beside(plan: &Plan, land: &Land, at: Point) -> Option<Likely> {
    let straight = |line: &Line| Some((line.downstream_end()?, line.upper_end()?));
    let old = plan.lines.iter().filter(|(_, line)| line.kind.is_old());
    let mut near: Vec<(f64, LineId, f64, f64)> = old
        .filter_map(|(id, line)| {
            let ((low, high), (_, _, off_m)) = (straight(line)?, nearest_on(&line.points, at)?);
            (off_m <= NEIGHBOUR_M && off_m > ASIDE_M).then(|| (off_m, *id, bearing(low, high), line.length_m()))
        })
        .collect();
    near.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (off_m, first, up_deg, length_m) = *near.first()?;
    let second = near.iter().skip(1).find(|(_, _, deg, _)| apart_deg(*deg, up_deg) <= PARALLEL_DEG);
    let spacing_m =
        second.map(|(other_m, ..)| if *other_m - off_m > ASIDE_M { other_m - off_m } else { off_m + other_m });
    let way: Vec<Point> = (0..)
        .map(|k| f64::from(k) * FOOT_M)
        .take_while(|m| *m <= length_m.min(LONGEST_M))
        .map(|m| toward(at, up_deg, m))
        .collect();
    let way = deep_enough(land, &way);
    let points = vec![*way.first()?, *way.last()?];
    let aside_m = vec![ASIDE_M, ASIDE_M + ASIDE_STRAIGHT / 2.0 * path_length(&points)];
    let lines = std::iter::once(first).chain(second.map(|other| other.1)).collect();
    Some(Likely { points, aside_m, why: Why::Beside(lines, spacing_m) })
}

impl Likely {
    /// How far to each side it may lie at a place along it, metres.
    pub fn aside_at(&self, along_m: f64) -> f64 {
        let mut from_m = 0.0;
        for (pair, aside) in self.points.windows(2).zip(self.aside_m.windows(2)) {
            let length_m = distance(pair[0], pair[1]);
            if along_m <= from_m + length_m && length_m > 0.0 {
                return aside[0] + (aside[1] - aside[0]) * ((along_m - from_m) / length_m).max(0.0);
            }
            from_m += length_m;
        }
        self.aside_m.last().copied().unwrap_or(ASIDE_M)
    }

    /// How far to each side it may lie at most, metres.
    pub fn widest_m(&self) -> f64 {
        self.aside_m.iter().copied().fold(0.0, f64::max)
    }
}

/// Where a probe tells most of courses that are likely: in planned trenches, where two part, and where the first is least sure.
pub fn to_probe(plan: &Plan, all: &[Likely]) -> Vec<ToProbe> {
    let Some(first) = all.first() else { return Vec::new() };
    let new = plan.lines.iter().filter(|(_, line)| !line.kind.is_old());
    let mut probes: Vec<ToProbe> = new
        .flat_map(|(id, line)| crossings(&line.points, &first.points).into_iter().map(move |met| (*id, met)))
        .filter_map(|(id, (station_m, at))| {
            let along_m = nearest_on(&first.points, at)?.0;
            let why = WhyThere::Crosses(id, station_m);
            Some(ToProbe { at, along_m, aside_m: first.aside_at(along_m), why })
        })
        .collect();
    probes.sort_by(|a, b| a.along_m.total_cmp(&b.along_m));
    probes.extend(all.get(1).and_then(|other| parting(first, other)));
    let length_m = path_length(&first.points);
    let ends = [0.0, length_m];
    let widest = ends.into_iter().max_by(|a, b| first.aside_at(*a).total_cmp(&first.aside_at(*b)));
    let widest = widest.and_then(|along_m| Some((along_m, point_at(&first.points, along_m)?)));
    probes.extend(widest.map(|(along_m, at)| ToProbe {
        at,
        along_m,
        aside_m: first.aside_at(along_m),
        why: WhyThere::Widest,
    }));
    probes.truncate(MOST_PROBES);
    probes
}

/// The first place along a course from which another is farther off than both may lie aside.
fn parting(first: &Likely, other: &Likely) -> Option<ToProbe> {
    let steps = (1..).map(|k| f64::from(k) * FOOT_M * 5.0).take_while(|m| *m <= path_length(&first.points));
    let mut places = steps.filter_map(|along_m| {
        let at = point_at(&first.points, along_m)?;
        let (_, _, off_m) = nearest_on(&other.points, at)?;
        let aside_m = first.aside_at(along_m);
        (off_m > aside_m + ASIDE_M).then_some(ToProbe { at, along_m, aside_m, why: WhyThere::Part(off_m) })
    });
    places.next()
}

/// The edit that draws a likely course as a suspected old line.
pub fn draw_likely(plan: &Plan, likely: &Likely, shown: Shown) -> Edit {
    let tile = OldTile {
        evidence: Evidence::Suspected,
        clues: shown.clues(),
        aside_m: Some(likely.widest_m()),
        confidence: Some(if matches!(likely.why, Why::Beside(_, Some(_))) {
            Confidence::Fair
        } else {
            Confidence::Low
        }),
        ..OldTile::default()
    };
    let name = plan.free_name("T");
    let (_, edit) = plan::add_line(plan, plan.new_line(&name, LineKind::OldTile(tile), likely.points.clone()));
    edit
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests may stop the test")]
mod tests {
    use land::Laying;
    use measure::{LengthUnit, Units};
    use terrain::{Grid, Ground};

    use super::*;

    /// A valley of 200 × 400 m that falls 1 % to the south, its lowest way at easting 100, and 2 % up to both sides.
    fn valley() -> Land {
        let level = |cell: usize| {
            let (x, y) = ((cell % 100) as f64 * 2.0 + 1.0, (199 - cell / 100) as f64 * 2.0 + 1.0);
            (50.0 + 0.01 * y + 0.02 * (x - 101.0).abs()) as f32
        };
        let grid = Grid::new((100, 200), (0.0, 400.0), (2.0, 2.0), (0..20_000).map(level).collect()).unwrap();
        Land::of(Ground::from_grid(grid), LengthUnit::Metre, &Laying::PLAIN).unwrap()
    }

    fn old(plan: &mut Plan, east: f64) {
        let points = vec![Point::new(east, 100.0), Point::new(east, 250.0)];
        let (_, edit) = plan::add_line(plan, Line::new("T", LineKind::OldTile(OldTile::default()), points));
        plan.apply(&edit).unwrap();
    }

    /// From an outlet in the valley up its lowest way, the band as wide as low ground: 0.5 ft at 2 % are 25 ft to a side.
    #[test]
    fn up_the_low_ground_from_an_outlet() {
        let (plan, land) = (Plan::new("Likely", Units::Metric), valley());
        let all = likely(&plan, &land, Point::new(102.0, 40.0), Shown::Outlet);
        let first = &all[0];
        assert_eq!((all.len(), &first.why), (1, &Why::LowGround));
        assert!(first.points.iter().all(|at| (at.x - 101.0).abs() < 3.0 && at.y >= 39.0), "{:?}", first.points);
        assert!(path_length(&first.points) > 250.0);
        assert!(first.aside_at(0.0) < 1.3 && first.widest_m() > first.aside_at(30.0));
        let down = likely(&plan, &land, Point::new(102.0, 200.0), Shown::WetStreak);
        assert!(down[0].points[0].y < 60.0, "{:?}", down[0].points);
    }

    /// Beside two old lines 20 m apart that run one way the next is straight and goes before the low ground.
    #[test]
    fn beside_a_system() {
        let (mut plan, land) = (Plan::new("Likely", Units::Metric), valley());
        [40.0, 60.0].into_iter().for_each(|east| old(&mut plan, east));
        let all = likely(&plan, &land, Point::new(80.0, 110.0), Shown::Hole);
        let Why::Beside(lines, Some(spacing_m)) = &all[0].why else { panic!("{:?}", all[0].why) };
        assert_eq!(lines.len(), 2);
        assert!((spacing_m - 20.0).abs() < 1e-6);
        assert!(all[0].points.iter().all(|at| (at.x - 80.0).abs() < 1e-6));
        let edit = draw_likely(&plan, &all[0], Shown::Hole);
        let LineKind::OldTile(tile) = plan.with(&edit).lines.values().last().unwrap().kind else { panic!() };
        assert_eq!((tile.evidence, tile.confidence), (Evidence::Suspected, Some(Confidence::Fair)));
        assert!(tile.clues.wet_streak && tile.aside_m.unwrap() > ASIDE_M);
    }

    /// A planned trench across it is named first, then its least sure end.
    #[test]
    fn a_trench_tells_most() {
        let (mut plan, land) = (Plan::new("Likely", Units::Metric), valley());
        let trench = vec![Point::new(50.0, 120.0), Point::new(150.0, 120.0)];
        let (id, edit) = plan::add_line(&plan, Line::new("L1", LineKind::Lateral, trench));
        plan.apply(&edit).unwrap();
        let probes = to_probe(&plan, &likely(&plan, &land, Point::new(102.0, 40.0), Shown::Outlet));
        let WhyThere::Crosses(line, station_m) = probes[0].why else { panic!("{probes:?}") };
        assert!(line == id && (station_m - 51.0).abs() < 3.0 && (probes[0].along_m - 80.0).abs() < 3.0);
        assert_eq!(probes.last().unwrap().why, WhyThere::Widest);
    }
}
