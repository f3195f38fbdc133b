//! The local surface at a survey point, and shots that do not fit it.

use std::collections::BTreeSet;

use measure::{Point, distance};
use rstar::RTree;
use rstar::primitives::GeomWithData;

use crate::Shot;

/// Neighbours that make the local surface ([judgement]).
pub const NEIGHBOURS: usize = 8;
/// A residual beyond this many local deviations makes an outlier ([judgement]).
const DEVIATIONS: f64 = 6.0;
/// Share of their length within which neighbours count as one line (own choice).
const LINE_WIDTH: f64 = 1e-2;

/// Shots in a tree, so that near ones are found without asking all.
#[derive(Debug, Clone, Default)]
pub struct ShotIndex {
    tree: RTree<GeomWithData<[f64; 2], usize>>,
}

impl ShotIndex {
    /// Lays shots in a tree; those for which `keep` is false stay out.
    pub fn of(shots: &[Shot], keep: impl Fn(usize) -> bool) -> Self {
        let kept = shots.iter().enumerate().filter(|(index, _)| keep(*index));
        let leaves = kept.map(|(index, shot)| GeomWithData::new([shot.at.x, shot.at.y], index));
        Self { tree: RTree::bulk_load(leaves.collect()) }
    }

    /// Shots from the nearest to the farthest.
    pub fn nearest(&self, at: Point) -> impl Iterator<Item = usize> + '_ {
        self.tree.nearest_neighbor_iter(&[at.x, at.y]).map(|leaf| leaf.data)
    }

    /// Shots no farther than `reach_m`, in order of their number.
    pub fn within(&self, at: Point, reach_m: f64) -> Vec<usize> {
        let near = self.tree.locate_within_distance([at.x, at.y], reach_m * reach_m);
        let mut found: Vec<usize> = near.map(|leaf| leaf.data).collect();
        found.sort_unstable();
        found
    }

    fn remove(&mut self, shot: &Shot, index: usize) {
        self.tree.remove_with_selection_function(Numbered { at: [shot.at.x, shot.at.y], index });
    }
}

/// Finds one leaf by place and number.
struct Numbered {
    at: [f64; 2],
    index: usize,
}

impl rstar::SelectionFunction<GeomWithData<[f64; 2], usize>> for Numbered {
    fn should_unpack_parent(&self, envelope: &rstar::AABB<[f64; 2]>) -> bool {
        use rstar::Envelope;
        envelope.contains_point(&self.at)
    }

    fn should_unpack_leaf(&self, leaf: &GeomWithData<[f64; 2], usize>) -> bool {
        leaf.data == self.index
    }
}

/// The least-squares plane through the neighbours of a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LocalSurface {
    /// Its level at the place, metres.
    pub level_m: f64,
    /// Median absolute residual of the neighbours to the plane, metres.
    pub deviation_m: f64,
}

impl LocalSurface {
    /// The plane through shots, taken at a place; `None` without shots. Where the shots lie on a line, the plane is
    /// level across it.
    pub fn through(shots: &[Shot], at: Point) -> Option<Self> {
        let plane = Plane::through(shots)?;
        let mut off: Vec<f64> = shots.iter().map(|shot| (shot.level_m - plane.level(shot.at)).abs()).collect();
        Some(Self { level_m: plane.level(at), deviation_m: median(&mut off)? })
    }
}

/// A plane about the middle of its shots.
struct Plane {
    middle: Point,
    level_m: f64,
    slope: (f64, f64),
}

impl Plane {
    fn through(shots: &[Shot]) -> Option<Self> {
        if shots.is_empty() {
            return None;
        }
        let mean = |of: &dyn Fn(&Shot) -> f64| shots.iter().map(of).sum::<f64>() / shots.len() as f64;
        let middle = Point::new(mean(&|s| s.at.x), mean(&|s| s.at.y));
        let level_m = mean(&|s| s.level_m);
        let (dx, dy) = (|s: &Shot| s.at.x - middle.x, |s: &Shot| s.at.y - middle.y);
        let spread = [mean(&|s| dx(s) * dx(s)), mean(&|s| dx(s) * dy(s)), mean(&|s| dy(s) * dy(s))];
        let rise = (mean(&|s| dx(s) * (s.level_m - level_m)), mean(&|s| dy(s) * (s.level_m - level_m)));
        Some(Self { middle, level_m, slope: solve(spread, rise) })
    }

    fn level(&self, at: Point) -> f64 {
        self.level_m + self.slope.0 * (at.x - self.middle.x) + self.slope.1 * (at.y - self.middle.y)
    }
}

/// Solves the symmetric system `[a b; b c] s = r` along its axes; an axis along which nothing is spread gives no slope.
fn solve([a, b, c]: [f64; 3], rise: (f64, f64)) -> (f64, f64) {
    let turn = 0.5 * (2.0 * b).atan2(a - c);
    let (long, across) = ((turn.cos(), turn.sin()), (-turn.sin(), turn.cos()));
    let along = |axis: (f64, f64)| {
        let spread = a * axis.0 * axis.0 + 2.0 * b * axis.0 * axis.1 + c * axis.1 * axis.1;
        (spread, rise.0 * axis.0 + rise.1 * axis.1)
    };
    let parts = [(long, along(long)), (across, along(across))];
    let most = parts.iter().map(|(_, (spread, _))| *spread).fold(0.0, f64::max);
    let spread_out = parts.iter().filter(|(_, (spread, _))| *spread > most * LINE_WIDTH * LINE_WIDTH);
    spread_out.fold((0.0, 0.0), |sum, (axis, (spread, rise))| {
        (sum.0 + axis.0 * rise / spread, sum.1 + axis.1 * rise / spread)
    })
}

/// The middle value; the mean of the two middle ones of an even number.
pub fn median(values: &mut [f64]) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let upper = *values.get(values.len() / 2)?;
    Some(if values.len().is_multiple_of(2) { (values[values.len() / 2 - 1] + upper) / 2.0 } else { upper })
}

/// A shot that does not fit its neighbours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outlier {
    /// Its place in the list of shots.
    pub index: usize,
    /// Its level less that of the local surface, metres.
    pub residual_m: f64,
    /// The local deviation, metres.
    pub deviation_m: f64,
}

/// Shots off their local surface by more than `least_m` and six local deviations, the worst first; each is looked for
/// without those found before, so that a bad shot makes none of its neighbours look bad. Shots
/// for which `trusted` is false neither count nor are found. Fewer than eight neighbours tell nothing.
pub fn outliers(shots: &[Shot], trusted: impl Fn(usize) -> bool, least_m: f64) -> Vec<Outlier> {
    let mut index = ShotIndex::of(shots, &trusted);
    let mut fits: Vec<Option<Fit>> =
        (0..shots.len()).map(|i| Fit::at(shots, &index, i).filter(|_| trusted(i))).collect();
    let mut suspects: BTreeSet<usize> = (0..fits.len()).filter(|i| is_off(&fits[*i], least_m)).collect();
    let mut found = Vec::new();
    let residual = |fits: &[Option<Fit>], i: usize| fits[i].as_ref().map_or(0.0, |fit| fit.residual_m.abs());
    while let Some(worst) =
        suspects.iter().copied().max_by(|a, b| residual(&fits, *a).total_cmp(&residual(&fits, *b)).then(b.cmp(a)))
    {
        found.extend(fits[worst].take().map(|fit| fit.outlier(worst)));
        suspects.remove(&worst);
        index.remove(&shots[worst], worst);
        let beside = |fit: &Option<Fit>| fit.as_ref().is_some_and(|fit| fit.neighbours.contains(&worst));
        for i in (0..fits.len()).filter(|i| beside(&fits[*i])).collect::<Vec<_>>() {
            fits[i] = Fit::at(shots, &index, i);
            if is_off(&fits[i], least_m) {
                suspects.insert(i)
            } else {
                suspects.remove(&i)
            };
        }
    }
    found
}

fn is_off(fit: &Option<Fit>, least_m: f64) -> bool {
    fit.as_ref().is_some_and(|fit| fit.residual_m.abs() > least_m.max(DEVIATIONS * fit.deviation_m))
}

/// How a shot fits its neighbours.
struct Fit {
    neighbours: Vec<usize>,
    residual_m: f64,
    deviation_m: f64,
}

impl Fit {
    fn at(shots: &[Shot], index: &ShotIndex, i: usize) -> Option<Self> {
        let shot = shots[i];
        let neighbours: Vec<usize> = index.nearest(shot.at).filter(|other| *other != i).take(NEIGHBOURS).collect();
        let near: Vec<Shot> = neighbours.iter().map(|other| shots[*other]).collect();
        let surface = LocalSurface::through(&near, shot.at).filter(|_| near.len() == NEIGHBOURS)?;
        Some(Self { neighbours, residual_m: shot.level_m - surface.level_m, deviation_m: surface.deviation_m })
    }

    fn outlier(&self, index: usize) -> Outlier {
        Outlier { index, residual_m: self.residual_m, deviation_m: self.deviation_m }
    }
}

/// Pairs of shots nearer than `apart_m` whose levels differ by more than `level_m`: their numbers and the difference,
/// metres.
pub fn disagreeing_pairs(shots: &[Shot], index: &ShotIndex, apart_m: f64, level_m: f64) -> Vec<(usize, usize, f64)> {
    let pairs = |i: usize| {
        let near = index.within(shots[i].at, apart_m).into_iter();
        let near = near.filter(move |other| *other > i && distance(shots[i].at, shots[*other].at) < apart_m);
        near.map(move |other| (i, other, (shots[i].level_m - shots[other].level_m).abs()))
    };
    let kept: BTreeSet<usize> = index.tree.iter().map(|leaf| leaf.data).collect();
    kept.into_iter().flat_map(pairs).filter(|(_, _, off_m)| *off_m > level_m).collect()
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;

    use super::*;

    fn shots(levels: &[(f64, f64, f64)]) -> Vec<Shot> {
        levels.iter().map(|(x, y, z)| Shot { at: Point::new(*x, *y), level_m: *z }).collect()
    }

    /// The worked example Tarrow End, in feet: the plane through the eight neighbours of 112.43 gives 102.40 there,
    /// off by 10.03; the local deviation is 0.03.
    #[test]
    fn the_eight_neighbours_of_tarrow_end() {
        let rows = [[102.1, 102.3, 102.5], [102.2, 112.43, 102.6], [102.4, 102.5, 102.6]];
        let at = |i: usize| ((i % 3) as f64 * 50.0, (2 - i / 3) as f64 * 50.0);
        let nine: Vec<_> = (0..9).map(|i| (at(i).0, at(i).1, rows[i / 3][i % 3])).collect();
        let found = outliers(&shots(&nine), |_| true, 1.0);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].index, 4);
        assert!((found[0].residual_m - 10.03).abs() < 1e-9);
        assert!((found[0].deviation_m - 0.0333).abs() < 1e-4);
    }

    /// A slope of 5 % with ripples; two slips, one of 10 ft and one of 1 m, side by side.
    #[test]
    fn each_slip_is_found_and_no_neighbour() {
        let ground = |x: f64, y: f64| 30.0 + 0.05 * x + 0.02 * (x * 0.4).sin() + 0.01 * (y * 0.3).cos();
        let mut all: Vec<Shot> = (0..400)
            .map(|i| Point::new((i % 20) as f64 * 15.0, (i / 20) as f64 * 15.0))
            .map(|at| Shot { at, level_m: ground(at.x, at.y) })
            .collect();
        all[210].level_m += 10.0 * FOOT_M;
        all[211].level_m -= 1.0;
        all[0].level_m += 1.0;
        let mut found: Vec<usize> = outliers(&all, |_| true, FOOT_M).iter().map(|o| o.index).collect();
        assert_eq!(found[0], 210, "the worst comes first");
        found.sort_unstable();
        assert_eq!(found, [0, 210, 211]);
        assert_eq!(outliers(&all, |i| i != 210, FOOT_M).len(), 2);
    }

    /// Levels along one line rise 1 in 10; nothing is known across.
    #[test]
    fn shots_on_a_line_give_the_slope_along_it() {
        let line: Vec<Shot> = shots(&(0..8).map(|i| (i as f64, 2.0 * i as f64, 0.1 * i as f64)).collect::<Vec<_>>());
        let surface = LocalSurface::through(&line, Point::new(10.0, 20.0)).unwrap();
        assert!((surface.level_m - 1.0).abs() < 1e-9 && surface.deviation_m < 1e-12);
        assert_eq!(LocalSurface::through(&[], Point::new(0.0, 0.0)), None);
        let one_place = shots(&[(1.0, 1.0, 3.0), (1.0, 1.0, 5.0)]);
        assert_eq!(LocalSurface::through(&one_place, Point::new(9.0, 9.0)).unwrap().level_m, 4.0);
    }

    #[test]
    fn too_few_neighbours_tell_nothing() {
        let eight: Vec<_> = (0..8).map(|i| (i as f64, (i * i) as f64, if i == 3 { 99.0 } else { 1.0 })).collect();
        assert!(outliers(&shots(&eight), |_| true, 1.0).is_empty());
    }

    #[test]
    fn pairs_in_one_place_that_disagree() {
        let all = shots(&[(0.0, 0.0, 1.0), (0.2, 0.0, 1.5), (0.0, 0.2, 1.1), (5.0, 5.0, 9.0)]);
        let pairs = disagreeing_pairs(&all, &ShotIndex::of(&all, |_| true), 0.3, 0.2);
        assert_eq!(pairs.iter().map(|(a, b, _)| (*a, *b)).collect::<Vec<_>>(), [(0, 1), (1, 2)]);
        assert!((pairs[0].2 - 0.5).abs() < 1e-12);
    }
}
