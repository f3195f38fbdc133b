//! Links along swales: where a lateral would follow the low ground.

use measure::{Point, Segment, distance, nearest_on, part_of, path_length, point_at};
use terrain::Swale;

use super::Site;

/// A swale is looked at so often, metres (own choice).
const LOOK_M: f64 = 6.0;
/// Length of a link, metres: as far as a lateral is cut back when its upper part does not pay (own choice).
const LINK_M: f64 = 25.0;
/// Shorter runs of a swale are none, metres ([judgement]).
const LEAST_RUN_M: f64 = 30.0;
/// Direction of a swale against the boundary is that of its chord this far up and down, metres ([judgement]).
const CHORD_M: f64 = 15.0;

/// A run of a swale in which pipe may lie.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Number of the swale.
    pub swale: usize,
    /// Stations of its joints, from the top of the swale down, metres: first its upper end, last its lower one.
    pub cuts_m: Vec<f64>,
    /// True where it ends on another run, at that place.
    pub joins: Option<(usize, Point)>,
}

/// The runs of all swales, the largest swale first.
pub fn runs(site: &Site) -> Vec<Run> {
    let swales = &site.land.swales;
    let mut found: Vec<Run> = Vec::new();
    for (number, swale) in swales.iter().enumerate() {
        for (from_m, to_m) in free_parts(site, swale) {
            let joins = joined(swale, to_m, swales, &found);
            found.push(Run { swale: number, cuts_m: vec![from_m, to_m], joins });
        }
    }
    cut(swales, &mut found);
    found
}

/// Parts of a swale in which pipe may lie, stations in metres.
fn free_parts(site: &Site, swale: &Swale) -> Vec<(f64, f64)> {
    let length_m = path_length(&swale.points);
    let count = (length_m / LOOK_M).ceil().max(1.0) as usize;
    let step_m = length_m / count as f64;
    let mut parts: Vec<(f64, f64)> = Vec::new();
    for look in 0..count {
        let (from_m, to_m) = (look as f64 * step_m, (look + 1) as f64 * step_m);
        let ends = point_at(&swale.points, from_m).zip(point_at(&swale.points, to_m));
        let free = ends.is_some_and(|(a, b)| {
            site.is_free(a) && site.is_free(b) && site.is_open(a, b) && !is_channel(site, swale, from_m)
        });
        match parts.last_mut().filter(|last| free && from_m - last.1 < 1e-6) {
            Some(last) => last.1 = to_m,
            None if free => parts.push((from_m, to_m)),
            None => {}
        }
    }
    parts.retain(|part| part.1 - part.0 >= LEAST_RUN_M);
    parts
}

/// True where a swale is the channel that takes the water: along the boundary, or below an outlet.
fn is_channel(site: &Site, swale: &Swale, station_m: f64) -> bool {
    let near_m = site.plan.criteria.channel_near_m;
    let place = |off_m: f64| point_at(&swale.points, (station_m + off_m).max(0.0));
    let Some(((a, b), at)) = place(-CHORD_M).zip(place(CHORD_M)).zip(place(0.0)) else { return false };
    let chord = Segment::new(a, b);
    let spot = Segment::new(at, at);
    let near = site.sides_near(&spot, near_m);
    let runs_along = near.iter().any(|side| side.square_to(at) <= near_m * near_m && chord.runs_along(side));
    let is_below = |outlet: &plan::Outlet| {
        let met = nearest_on(&swale.points, outlet.at).filter(|(_, _, away_m)| *away_m <= near_m);
        met.is_some_and(|(met_m, ..)| met_m <= station_m)
    };
    runs_along || site.plan.outlets.values().filter(|outlet| outlet.is_open()).any(is_below)
}

/// The run of another swale on which a swale ends, where its own run comes to its end.
fn joined(swale: &Swale, to_m: f64, swales: &[Swale], found: &[Run]) -> Option<(usize, Point)> {
    if path_length(&swale.points) - to_m > LOOK_M {
        return None;
    }
    let (other, end) = (swale.joins?, *swale.points.last()?);
    let (at_m, at, _) = nearest_on(&swales[other].points, end)?;
    let holds = |run: &Run| run.swale == other && run.cuts_m[0] <= at_m && at_m <= *run.cuts_m.last().unwrap_or(&0.0);
    Some((found.iter().position(holds)?, at))
}

/// Cuts every run into links of about one length, and where others join it.
fn cut(swales: &[Swale], runs: &mut [Run]) {
    let joints: Vec<(usize, Point)> = runs.iter().filter_map(|run| run.joins).collect();
    for (number, run) in runs.iter_mut().enumerate() {
        let points = &swales[run.swale].points;
        let own = joints.iter().filter(|joint| joint.0 == number);
        let mut fixed: Vec<f64> = own.filter_map(|joint| Some(nearest_on(points, joint.1)?.0)).collect();
        fixed.extend(run.cuts_m.iter().copied());
        fixed.sort_by(f64::total_cmp);
        fixed.dedup_by(|x, y| (*x - *y).abs() < LOOK_M / 2.0);
        let last = fixed.last().copied();
        run.cuts_m = fixed.windows(2).flat_map(|pair| parts(pair[0], pair[1])).chain(last).collect();
    }
}

/// Lower ends of equal parts of a stretch, the last left out.
pub fn parts(from_m: f64, to_m: f64) -> impl Iterator<Item = f64> {
    let count = ((to_m - from_m) / LINK_M).round().max(1.0);
    (0..count as usize).map(move |part| from_m + part as f64 * (to_m - from_m) / count)
}

impl Run {
    /// The places of its joints, from the top down.
    pub fn places(&self, swales: &[Swale]) -> Vec<Point> {
        let points = &swales[self.swale].points;
        self.cuts_m.iter().filter_map(|cut_m| point_at(points, *cut_m)).collect()
    }

    /// Area uphill of the middle of one of its links, square metres.
    pub fn gathers_m2(&self, swales: &[Swale], link: usize) -> f64 {
        let swale = &swales[self.swale];
        let middle_m = (self.cuts_m[link] + self.cuts_m[link + 1]) / 2.0;
        let mut station_m = 0.0;
        for (number, pair) in swale.points.windows(2).enumerate() {
            station_m += distance(pair[0], pair[1]);
            if station_m >= middle_m {
                return swale.area_m2[number];
            }
        }
        0.0
    }

    /// The course between two of its joints.
    pub fn course(&self, swales: &[Swale], link: usize) -> Vec<Point> {
        part_of(&swales[self.swale].points, self.cuts_m[link], self.cuts_m[link + 1])
    }

    /// Which of its joints lies at a place.
    pub fn joint_at(&self, swales: &[Swale], at: Point) -> Option<usize> {
        let places = self.places(swales);
        (0..places.len()).min_by(|x, y| distance(places[*x], at).total_cmp(&distance(places[*y], at)))
    }
}
