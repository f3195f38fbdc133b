//! The survey as the checks see it: corrected, held against itself and the lidar. Worked out once for each state of the
//! survey, not for each move of a line.

use std::collections::{BTreeMap, BTreeSet};

use measure::{FOOT_M, LengthUnit, Point, distance, nearest_on, path_length, point_at};
use plan::SurveyBook;
use terrain::{Agreement, FieldBook, Grid, LocalSurface, NEIGHBOURS, Outlier, Shot, ShotIndex, median};

/// A residual no greater than this is no outlier, metres: 1.0 ft ([judgement]).
const OUTLIER_M: f64 = 1.0 * FOOT_M;
/// A mean difference no greater than this is no shift, metres: 0.3 ft ([judgement]).
pub const SHIFT_M: f64 = 0.3 * FOOT_M;
/// Shots that tell of a shift at least ([judgement]).
const SHIFT_SHOTS: usize = 5;
/// How near the ratio of two middle levels comes to feet in a metre, as a share ([judgement]).
const UNIT_SHARE: f64 = 0.02;
/// Neighbours farther than this tell nothing of the ground between, metres: 100 ft ([judgement]).
pub const GAP_M: f64 = 100.0 * FOOT_M;
/// Shots nearer than this are in one place, metres: 1 ft ([judgement]).
const ONE_PLACE_M: f64 = 1.0 * FOOT_M;
/// Levels in one place may differ by this, metres: 0.2 ft ([judgement]).
const ONE_LEVEL_M: f64 = 0.2 * FOOT_M;
/// Error of lidar that nobody has held against levels, metres: 0.5 ft ([judgement]).
pub const UNVERIFIED_M: f64 = 0.5 * FOOT_M;
/// Beyond so many shots it is a point cloud, and no shot is looked at by itself (own choice).
const MOST_SHOTS: usize = 100_000;

/// What a batch was held against.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Against {
    /// The lidar under its shots.
    Lidar,
    /// The shots of the other batches round about.
    OtherBatches,
}

/// How a batch sits on what it was held against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Offset {
    /// The batch.
    pub batch: usize,
    /// What it was held against.
    pub against: Against,
    /// The batch less the other.
    pub agreement: Agreement,
}

/// A batch whose levels look as if they were in another unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnitMix {
    /// The batch.
    pub batch: usize,
    /// Its middle level, metres.
    pub middle_m: f64,
    /// The middle level of the ground or of the other batches, metres.
    pub other_m: f64,
    /// The unit its levels seem to be written in.
    pub written: LengthUnit,
}

/// How far the surface may be from the ground, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SurfaceError {
    /// Scatter of levels about the lidar, each batch about its own mean.
    Measured(f64),
    /// Nobody has looked.
    Unverified(f64),
}

impl SurfaceError {
    /// The error, metres.
    pub const fn metres(self) -> f64 {
        match self {
            Self::Measured(error_m) | Self::Unverified(error_m) => error_m,
        }
    }
}

/// The survey after its corrections, with what is odd about it.
#[derive(Debug, Clone)]
pub struct Surveyed {
    /// The shots that count.
    pub book: FieldBook,
    /// Their places and levels.
    pub shots: Vec<Shot>,
    /// Batches in another unit.
    pub unit_mixes: Vec<UnitMix>,
    /// Shots off their neighbours, the worst first.
    pub outliers: Vec<Outlier>,
    /// How the batches sit on lidar or on each other.
    pub offsets: Vec<Offset>,
    /// Pairs in one place with different levels: two shots and the difference, metres.
    pub pairs: Vec<(usize, usize, f64)>,
    /// Error of the surface; `None` where no lidar lies under the plan.
    pub error: Option<SurfaceError>,
    index: ShotIndex,
}

impl Surveyed {
    /// Applies the corrections to a survey as it was read and looks at what is left; `lidar` is as it was read too.
    pub fn of(read: &FieldBook, corrections: &SurveyBook, lidar: Option<&Grid>) -> Self {
        let book = crate::corrected(read, corrections);
        let shots = book.bare();
        let lidar = lidar.map(|grid| Lidar { grid, shift_m: crate::lidar_shift_m(corrections) });
        let mut look = Look::new(&book, &shots, lidar);
        let unit_mixes = look.unit_mixes();
        look.distrust(unit_mixes.iter().flat_map(|mix| book.of_batch(mix.batch).map(|(i, _)| i)));
        let outliers = if shots.len() > MOST_SHOTS { Vec::new() } else { look.outliers() };
        look.distrust(outliers.iter().map(|outlier| outlier.index));
        let offsets = look.offsets();
        let index = ShotIndex::of(&shots, |i| look.trusted[i]);
        let pairs = terrain::disagreeing_pairs(&shots, &index, ONE_PLACE_M, ONE_LEVEL_M);
        let error = lidar.map(|_| surface_error(&offsets));
        Self { unit_mixes, outliers, offsets, pairs, error, index, shots, book }
    }

    /// True where lidar agrees with levels and may stand where there are none: it was held against a batch, and no
    /// batch sits off it by more than a shift.
    pub fn lidar_is_trusted(&self) -> bool {
        let on_lidar = |offset: &&Offset| offset.against == Against::Lidar;
        let mut compared = self.offsets.iter().filter(on_lidar).peekable();
        compared.peek().is_some() && compared.all(|offset| offset.agreement.mean_m.abs() <= SHIFT_M)
    }

    /// A shot's place as plans name it.
    pub fn shot_name(&self, index: usize) -> plan::ShotName {
        crate::shot_name(&self.book, index)
    }

    /// Name of a batch.
    pub fn batch_name(&self, batch: usize) -> &str {
        &self.book.batches[batch].name
    }

    /// Stations of a path, metres, beside which a shot lies no farther than `reach_m`, rising.
    pub fn stations_beside(&self, path: &[Point], reach_m: f64) -> Vec<f64> {
        let step_m = reach_m.max(5.0);
        let count = (path_length(path) / step_m).ceil().max(1.0) as usize;
        let places = (0..=count).filter_map(|i| point_at(path, i as f64 * step_m));
        let mut near: Vec<usize> = places.flat_map(|at| self.index.within(at, reach_m + step_m)).collect();
        near.sort_unstable();
        near.dedup();
        let beside = near.into_iter().filter_map(|i| nearest_on(path, self.shots[i].at));
        let mut stations: Vec<f64> =
            beside.filter(|(_, _, off_m)| *off_m <= reach_m).map(|(station_m, _, _)| station_m).collect();
        stations.sort_by(f64::total_cmp);
        stations
    }
}

/// Parts of a stretch longer than `longest_m` in which no station stands; the ends of the stretch count.
pub fn gaps(stations: &[f64], (from_m, to_m): (f64, f64), longest_m: f64) -> Vec<(f64, f64)> {
    let inside = stations.iter().copied().filter(|s| (from_m..=to_m).contains(s));
    let stops: Vec<f64> = std::iter::once(from_m).chain(inside).chain([to_m]).collect();
    stops.windows(2).map(|pair| (pair[0], pair[1])).filter(|(a, b)| b - a > longest_m).collect()
}

fn surface_error(offsets: &[Offset]) -> SurfaceError {
    let on_lidar = offsets.iter().filter(|offset| offset.against == Against::Lidar).map(|offset| offset.agreement);
    let (count, squares) = on_lidar.fold((0, 0.0), |(count, squares), agreement| {
        (count + agreement.count, squares + agreement.count as f64 * agreement.scatter_m().powi(2))
    });
    match count {
        0 => SurfaceError::Unverified(UNVERIFIED_M),
        count => SurfaceError::Measured((squares / count as f64).sqrt()),
    }
}

/// Lidar with the shift it was given.
#[derive(Clone, Copy)]
struct Lidar<'a> {
    grid: &'a Grid,
    shift_m: f64,
}

impl Lidar<'_> {
    fn level(&self, at: Point) -> Option<f64> {
        self.grid.elevation(at).map(|level_m| level_m + self.shift_m)
    }
}

/// The survey while it is looked at.
struct Look<'a> {
    book: &'a FieldBook,
    shots: &'a [Shot],
    lidar: Option<Lidar<'a>>,
    of_batch: Vec<Vec<usize>>,
    trusted: Vec<bool>,
}

impl<'a> Look<'a> {
    fn new(book: &'a FieldBook, shots: &'a [Shot], lidar: Option<Lidar<'a>>) -> Self {
        let mut of_batch = vec![Vec::new(); book.batches.len()];
        book.shots.iter().enumerate().for_each(|(i, shot)| of_batch[shot.batch].push(i));
        Self { book, shots, lidar, of_batch, trusted: vec![true; shots.len()] }
    }

    fn distrust(&mut self, odd: impl IntoIterator<Item = usize>) {
        odd.into_iter().for_each(|i| self.trusted[i] = false);
    }

    fn of_batch(&self, batch: usize) -> impl Iterator<Item = usize> + '_ {
        self.of_batch[batch].iter().copied().filter(|i| self.trusted[*i])
    }

    /// The batch that the others are held against: the one with most shots, the first of them.
    fn largest(&self) -> Option<usize> {
        let size = |batch: &usize| (self.of_batch(*batch).count(), std::cmp::Reverse(*batch));
        (0..self.of_batch.len()).max_by_key(size)
    }

    fn unit_mixes(&self) -> Vec<UnitMix> {
        let largest = self.largest();
        let largest = largest.and_then(|batch| Some((batch, self.middle(self.of_batch(batch))?)));
        (0..self.of_batch.len()).filter_map(|batch| self.unit_mix(batch, largest)).collect()
    }

    fn unit_mix(&self, batch: usize, largest: Option<(usize, f64)>) -> Option<UnitMix> {
        let middle_m = self.middle(self.of_batch(batch))?;
        let under = |lidar: &Lidar| {
            median(&mut self.of_batch(batch).filter_map(|i| lidar.level(self.shots[i].at)).collect::<Vec<_>>())
        };
        let ground = self.lidar.as_ref().and_then(under);
        let other = largest.filter(|(largest, _)| *largest != batch).map(|(_, other_m)| other_m);
        let mut mixed =
            ground.into_iter().chain(other).filter_map(|other_m| Some((other_m, written(other_m / middle_m)?)));
        mixed.next().map(|(other_m, written)| UnitMix { batch, middle_m, other_m, written })
    }

    fn middle(&self, shots: impl Iterator<Item = usize>) -> Option<f64> {
        median(&mut shots.map(|i| self.shots[i].level_m).collect::<Vec<_>>())
    }

    /// Outliers once what the batches differ by is taken away; a shift of a whole batch is no slip of its shots.
    fn outliers(&self) -> Vec<Outlier> {
        let mut level: Vec<Shot> = self.shots.to_vec();
        for (batch, mut off) in self.off_others() {
            let off_m = median(&mut off).filter(|off_m| off_m.abs() > SHIFT_M).unwrap_or(0.0);
            self.of_batch(batch).for_each(|i| level[i].level_m -= off_m);
        }
        let mut outliers = terrain::outliers(&level, |i| self.trusted[i], OUTLIER_M);
        let confirmed = self.confirmed();
        outliers.retain(|outlier| !confirmed.contains(&outlier.index));
        outliers
    }

    /// Shots that lidar under them confirms once the middle difference of their batch is taken away.
    fn confirmed(&self) -> BTreeSet<usize> {
        let mut confirmed = BTreeSet::new();
        let Some(lidar) = &self.lidar else { return confirmed };
        for batch in 0..self.of_batch.len() {
            let off = |i: usize| Some((i, self.shots[i].level_m - lidar.level(self.shots[i].at)?));
            let off: Vec<(usize, f64)> = self.of_batch(batch).filter_map(off).collect();
            let Some(middle_m) = median(&mut off.iter().map(|(_, off_m)| *off_m).collect::<Vec<_>>()) else {
                continue;
            };
            confirmed.extend(off.iter().filter(|(_, off_m)| (off_m - middle_m).abs() <= OUTLIER_M).map(|(i, _)| *i));
        }
        confirmed
    }

    /// Against the lidar where enough shots lie on it, else against the other batches.
    fn offsets(&self) -> Vec<Offset> {
        let on_lidar: BTreeMap<usize, Vec<f64>> = self.lidar.iter().flat_map(|lidar| self.off_lidar(lidar)).collect();
        let among: BTreeMap<usize, Vec<f64>> = self.off_others().filter(|(b, _)| !on_lidar.contains_key(b)).collect();
        let offsets = |against: Against, off: BTreeMap<usize, Vec<f64>>| {
            off.into_iter()
                .filter_map(move |(batch, off)| Some(Offset { batch, against, agreement: Agreement::of(&off)? }))
        };
        offsets(Against::Lidar, on_lidar).chain(offsets(Against::OtherBatches, among)).collect()
    }

    /// Shots of each batch less the lidar under them, where enough lie on it.
    fn off_lidar(&self, lidar: &Lidar) -> impl Iterator<Item = (usize, Vec<f64>)> {
        let off = |i: usize| Some(self.shots[i].level_m - lidar.level(self.shots[i].at)?);
        (0..self.of_batch.len())
            .map(move |batch| (batch, self.of_batch(batch).filter_map(off).collect::<Vec<_>>()))
            .filter(|(_, off)| off.len() >= SHIFT_SHOTS)
    }

    /// Shots of each batch but the largest less the local surface of the other batches, where enough of them have the
    /// others round about.
    fn off_others(&self) -> impl Iterator<Item = (usize, Vec<f64>)> {
        let index = ShotIndex::of(self.shots, |i| self.trusted[i]);
        let largest = self.largest();
        let batches = (0..self.of_batch.len()).filter(move |batch| Some(*batch) != largest);
        let enough = batches.filter(|batch| self.of_batch[*batch].len() >= SHIFT_SHOTS);
        enough
            .map(move |batch| {
                (batch, self.of_batch(batch).filter_map(|i| self.off_near(&index, i)).collect::<Vec<_>>())
            })
            .filter(|(_, off)| off.len() >= SHIFT_SHOTS)
    }

    /// A shot less the plane through the eight nearest shots of other batches; `None` where these are not near.
    fn off_near(&self, index: &ShotIndex, i: usize) -> Option<f64> {
        let Shot { at, level_m } = self.shots[i];
        let near = index.nearest(at).take_while(|other| distance(self.shots[*other].at, at) <= GAP_M);
        let others = near.filter(|other| self.book.shots[*other].batch != self.book.shots[i].batch);
        let near: Vec<Shot> = others.take(NEIGHBOURS).map(|other| self.shots[other]).collect();
        LocalSurface::through(&near, at).filter(|_| near.len() == NEIGHBOURS).map(|surface| level_m - surface.level_m)
    }
}

/// The unit a batch was written in, from how many times higher the others lie; `None` where that is no unit's doing.
fn written(ratio: f64) -> Option<LengthUnit> {
    const FEET_IN_A_METRE: f64 = 1.0 / FOOT_M;
    let is = |wanted: f64| (ratio / wanted - 1.0).abs() <= UNIT_SHARE;
    if is(FEET_IN_A_METRE) {
        return Some(LengthUnit::Metre);
    }
    is(1.0 / FEET_IN_A_METRE).then_some(LengthUnit::Foot)
}
