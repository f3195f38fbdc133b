//! Where a slope breaks from steep to flat above wet land: lines along its toe that catch what seeps down the slope.

use measure::{Point, along, bearing, distance, path_length, toward};
use plan::{Line, Plan};

use super::patches::{axis, middle, patches};
use super::wet::Wet;
use super::{Site, WetLand};

/// Ground over which the slope about a place is told, metres to either side ([judgement]).
const ABOUT_M: f64 = 8.0;
/// How far up and down the ground is looked at from the edge of wet land, metres ([judgement]).
const LOOK_M: f64 = 20.0;
/// A toe lies under ground of at least this slope, and ground below it is so many times flatter ([judgement]).
const STEEP: f64 = 0.03;
const FLATTER: f64 = 2.5;
/// The line lies so far above the wet land, metres: "just above the place where water comes to the surface" ([judgement]).
const ABOVE_M: f64 = 3.0;
/// Shortest toe that gets a line, metres ([judgement]).
const LEAST_M: f64 = 30.0;
/// A toe wider than this share of its length is no line along a slope ([judgement]).
const WIDEST: f64 = 0.5;
/// A line along a toe has a corner so often, metres (own choice).
const CORNER_M: f64 = 15.0;
/// The ground may rise so much toward its lower end, metres: more would make a trench deeper than a line is worth ([judgement]).
const RISE_M: f64 = 0.5;
/// Most lines along toes (own choice).
const MOST_TOES: usize = 6;

/// The courses along toes, each downstream, the longest first.
pub fn toes(site: &Site) -> Vec<Vec<Point>> {
    let edges: Vec<Wet> = edge(&site.wet).into_iter().filter_map(|wet| above(site, wet)).collect();
    let mut found: Vec<Vec<Point>> = patches(edges).iter().filter_map(|edge| course(site, edge)).collect();
    found.sort_by(|x, y| path_length(y).total_cmp(&path_length(x)));
    found.truncate(MOST_TOES);
    found
}

/// Wet places with dry land beside them.
fn edge(wet: &WetLand) -> Vec<Wet> {
    let mut cells: Vec<(usize, usize)> = wet.places.iter().map(|place| place.cell).collect();
    cells.sort_unstable();
    let is_wet = |cell: (usize, usize)| cells.binary_search(&cell).is_ok();
    let is_edge = |(col, row): (usize, usize)| {
        ![(col + 1, row), (col.wrapping_sub(1), row), (col, row + 1), (col, row.wrapping_sub(1))]
            .into_iter()
            .all(is_wet)
    };
    wet.places.iter().filter(|place| is_edge(place.cell)).copied().collect()
}

/// The place above an edge of wet land where its slope breaks; `None` where it does not, or pipe may not lie there.
fn above(site: &Site, wet: Wet) -> Option<Wet> {
    let level = |at: Point| site.ground.elevation(at);
    let (x, y) = up(site, wet.at)?;
    let place = |up_m: f64| Point::new(wet.at.x + x * up_m, wet.at.y + y * up_m);
    let (here, top, foot) = (level(wet.at)?, level(place(LOOK_M))?, level(place(-LOOK_M))?);
    let (steep, flat) = ((top - here) / LOOK_M, (here - foot) / LOOK_M);
    let is_toe = steep >= STEEP && steep >= FLATTER * flat && flat > -STEEP / FLATTER;
    let at = place(ABOVE_M);
    (is_toe && site.is_free(at)).then_some(Wet { at, ..wet })
}

/// The direction straight up the slope about a place, as a unit vector.
fn up(site: &Site, at: Point) -> Option<(f64, f64)> {
    let level = |x: f64, y: f64| site.ground.elevation(Point::new(at.x + x, at.y + y));
    let rise = (level(ABOUT_M, 0.0)? - level(-ABOUT_M, 0.0)?, level(0.0, ABOUT_M)? - level(0.0, -ABOUT_M)?);
    let length = rise.0.hypot(rise.1);
    (length > 0.0).then(|| (rise.0 / length, rise.1 / length))
}

/// A line along a toe: through the middles of its parts, downstream; `None` for one that is short, crooked or falls both ways.
fn course(site: &Site, toe: &[Wet]) -> Option<Vec<Point>> {
    let centre = middle(toe);
    let axis = axis(toe, centre);
    let along_m = |wet: &Wet| (wet.at.x - centre.x) * axis.0 + (wet.at.y - centre.y) * axis.1;
    let across_m = |wet: &Wet| (wet.at.x - centre.x) * axis.1 - (wet.at.y - centre.y) * axis.0;
    let span = |value: &dyn Fn(&Wet) -> f64| {
        toe.iter().map(value).fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)))
    };
    let ((low, high), (left, right)) = (span(&along_m), span(&across_m));
    let count = ((high - low) / CORNER_M).round().max(2.0);
    if high - low < LEAST_M || right - left > WIDEST * (high - low) {
        return None;
    }
    let part = |wet: &Wet| (((along_m(wet) - low) / (high - low) * count) as usize).min(count as usize - 1);
    let corner = |number: usize| {
        let own: Vec<Wet> = toe.iter().filter(|wet| part(wet) == number).copied().collect();
        (!own.is_empty()).then(|| middle(&own))
    };
    let mut path: Vec<Point> = (0..count as usize).filter_map(corner).collect();
    let level = |at: &Point| site.ground.elevation(*at);
    if level(path.first()?)? < level(path.last()?)? {
        path.reverse();
    }
    let levels: Vec<f64> = path.iter().map(level).collect::<Option<_>>()?;
    let lowest_m = levels
        .iter()
        .scan(f64::INFINITY, |low, level| Some((*level - std::mem::replace(low, low.min(*level))).max(0.0)));
    let rises = lowest_m.filter(|rise| rise.is_finite()).any(|rise_m| rise_m > RISE_M);
    let is_open =
        path.iter().all(|at| site.is_free(*at)) && path.windows(2).all(|pair| site.is_open(pair[0], pair[1]));
    (!rises && is_open && path_length(&path) >= LEAST_M).then_some(path)
}

/// What seeps down the slope to a line along its toe, m³/s, by Darcy; `None` where no pit tells how the soil conducts.
pub fn seepage_m3s(site: &Site, plan: &Plan, line: &Line) -> Option<f64> {
    let depth_m = plan.criteria.target_depth_m;
    let pieces = line.points.windows(2).filter_map(|pair| {
        let at = along(pair[0], pair[1], 0.5);
        let conducts_ms = site.soils.known(at, depth_m)?.conductivity.likely;
        let inflow_m2s = hydraulics::darcy_inflow_m2s(
            conducts_ms,
            slope_above(site, pair)?,
            site.soils.wet_thickness_m(at, depth_m),
        );
        Some(inflow_m2s * distance(pair[0], pair[1]))
    });
    pieces.reduce(|x, y| x + y)
}

/// Slope of the ground above a piece of a line along a toe, on the side that is higher.
fn slope_above(site: &Site, pair: &[Point]) -> Option<f64> {
    let at = along(pair[0], pair[1], 0.5);
    let across_deg = bearing(pair[0], pair[1]) + 90.0;
    let level = |off_m: f64| site.ground.elevation(toward(at, across_deg, off_m));
    let here_m = level(0.0)?;
    let rises = [level(LOOK_M), level(-LOOK_M)].into_iter().flatten().map(|level_m| (level_m - here_m) / LOOK_M);
    rises.reduce(f64::max).filter(|slope| *slope > 0.0)
}
