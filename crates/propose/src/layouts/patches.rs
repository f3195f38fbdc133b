//! Wet patches away from swales: hollows, marked wet areas and wide low ground, and the lines that would be laid through them.

use measure::{Paths, Point, distance};

use super::Site;
use super::wet::Wet;

/// Smaller patches are left where somebody marked them, or water stands in them, square metres ([judgement]).
const LEAST_M2: f64 = 60.0;
/// Shortest line through a patch that is only low, metres: a stub there drains what will hardly be missed ([judgement]).
const LEAST_LOW_ROW_M: f64 = 30.0;
/// Most lines through patches (own choice).
const MOST_ROWS: usize = 40;
/// Shortest line through a patch, metres ([judgement]).
const LEAST_ROW_M: f64 = 5.0;
/// A line is looked at so often, metres (own choice).
const LOOK_M: f64 = 2.0;

/// A straight line through a wet patch, upper end first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Its upper end.
    pub from: Point,
    /// Its lower end.
    pub to: Point,
}

/// Lines through the wet patches that none of the given pieces serves, those of the largest patch first.
pub fn rows(site: &Site, served_by: &Paths) -> Vec<Row> {
    let served: Vec<bool> = site.wet.served_by(served_by).collect();
    let open = site.wet.places.iter().zip(served).filter(|(_, served)| !served).map(|(wet, _)| *wet);
    let mut patches = patches(open.collect());
    patches.sort_by_key(|patch| std::cmp::Reverse(patch.len()));
    let limits = &site.plan.criteria;
    let rows_of = |patch: &Vec<Wet>| {
        let is_low = patch.iter().all(|wet| wet.is_low);
        let (area_m2, row_m) =
            if is_low { (limits.hollow_area_m2, LEAST_LOW_ROW_M) } else { (LEAST_M2, LEAST_ROW_M) };
        let counts = patch.len() as f64 * site.wet.place_m2 >= area_m2;
        let rows = if counts { through(site, patch) } else { Vec::new() };
        rows.into_iter().filter(move |row| distance(row.from, row.to) >= row_m)
    };
    let rows: Vec<Row> = patches.iter().flat_map(rows_of).collect();
    rows.into_iter().take(MOST_ROWS).collect()
}

/// Places that touch, as patches.
pub fn patches(mut open: Vec<Wet>) -> Vec<Vec<Wet>> {
    open.sort_by_key(|wet| (wet.cell.1, wet.cell.0));
    let find =
        |cell: (usize, usize)| open.binary_search_by_key(&(cell.1, cell.0), |wet| (wet.cell.1, wet.cell.0)).ok();
    let mut seen = vec![false; open.len()];
    let mut found = Vec::new();
    for start in 0..open.len() {
        if std::mem::replace(&mut seen[start], true) {
            continue;
        }
        let (mut patch, mut next) = (vec![start], 0);
        while let Some(at) = patch.get(next).copied() {
            next += 1;
            let (col, row) = open[at].cell;
            let around = (0..9).filter_map(|k| Some(((col + k % 3).checked_sub(1)?, (row + k / 3).checked_sub(1)?)));
            let near = around.filter_map(find);
            patch.extend(near.filter(|other| !std::mem::replace(&mut seen[*other], true)));
        }
        found.push(patch.into_iter().map(|at| open[at]).collect());
    }
    found
}

/// The lines through a patch: along it, as far apart as they drain.
fn through(site: &Site, patch: &[Wet]) -> Vec<Row> {
    let count = patch.len() as f64;
    let middle = middle(patch);
    let axis = axis(patch, middle);
    let turned = |wet: &Wet| {
        let (x, y) = (wet.at.x - middle.x, wet.at.y - middle.y);
        (x * axis.0 + y * axis.1, x * axis.1 - y * axis.0)
    };
    let places: Vec<(f64, f64)> = patch.iter().map(turned).collect();
    let served_m = patch.iter().map(|wet| wet.served_m).sum::<f64>() / count;
    let ends = |values: &mut dyn Iterator<Item = f64>| {
        values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)))
    };
    let (low, high) = ends(&mut places.iter().map(|place| place.1));
    let many = ((high - low) / (2.0 * served_m)).ceil().max(1.0);
    let apart_m = (high - low) / many;
    let row = |number: usize| {
        let v = low + (number as f64 + 0.5) * apart_m;
        let reach_m = (apart_m / 2.0).max(site.wet.step_m);
        let (from, to) = ends(&mut places.iter().filter(|place| (place.1 - v).abs() <= reach_m).map(|place| place.0));
        let place = |u: f64| Point::new(middle.x + u * axis.0 + v * axis.1, middle.y + u * axis.1 - v * axis.0);
        open_part(site, place(from), place(to))
    };
    (0..many as usize).filter_map(row).collect()
}

/// The middle of places.
pub fn middle(places: &[Wet]) -> Point {
    let count = places.len().max(1) as f64;
    let sum = |value: fn(&Wet) -> f64| places.iter().map(value).sum::<f64>() / count;
    Point::new(sum(|wet| wet.at.x), sum(|wet| wet.at.y))
}

/// The direction in which places lie farthest apart, as a unit vector.
pub fn axis(patch: &[Wet], middle: Point) -> (f64, f64) {
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for wet in patch {
        let (x, y) = (wet.at.x - middle.x, wet.at.y - middle.y);
        (xx, xy, yy) = (xx + x * x, xy + x * y, yy + y * y);
    }
    let (sin, cos) = (0.5 * (2.0 * xy).atan2(xx - yy)).sin_cos();
    (cos, sin)
}

/// The longest part of a line where pipe may lie, its lower end last; `None` where that is too short.
fn open_part(site: &Site, a: Point, b: Point) -> Option<Row> {
    let (one, other) = site.longest_open(a, b, LOOK_M)?;
    let (high, low) = (site.ground.elevation(one)?, site.ground.elevation(other)?);
    let row = if high >= low { Row { from: one, to: other } } else { Row { from: other, to: one } };
    Some(row)
}
