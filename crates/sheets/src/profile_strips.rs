//! How profiles stand on their pages: at common scales, heights at most so many times the lengths, long lines in parts.

use drawing::{Form, Item, Profile, Role};
use measure::{Point, Units};

use crate::scale;

/// In what hand profiles are drawn.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Hand {
    /// The coarsest scales of lengths, in feet and metric, at which stations can be read; a longer line is cut into parts.
    coarsest: [f64; 2],
    /// True for the close hand: title and scales in one line where they have room, on paper that stands.
    pub close: bool,
}

/// The hand of a job of a few lines: 1 inch = 200 feet (own choice).
pub(crate) const LARGE: Hand = Hand { coarsest: [2400.0, 2500.0], close: false };
/// The hand of a large job, so that the set can be carried: 1 inch = 400 feet (own choice). The figures are on the cut sheets.
pub(crate) const CLOSE: Hand = Hand { coarsest: [4800.0, 5000.0], close: true };

/// Most that heights are drawn larger than lengths (own choice: steeper looks like a cliff).
const MOST_EXAGGERATED: f64 = 20.0;
/// A line that fits into half the width at this scale is drawn there.
const HALF_AT: [f64; 2] = [1200.0, 1250.0];

/// What stands round a chart: above it its title and the scales, in two lines or in one; levels at its left, and below it stations, then so many rows of levels where reaches end,
/// millimetres.
pub(crate) const ABOVE: f64 = 12.0;
pub(crate) const ABOVE_IN_ONE: f64 = 7.0;
pub(crate) const LEFT: f64 = 14.0;
pub(crate) const RIGHT: f64 = 4.0;
pub(crate) const STATIONS: f64 = 7.2;
pub(crate) const LEVEL_ROW: f64 = 3.0;
pub(crate) const LEVEL_ROWS: usize = 3;
/// Room under the lowest pipe for the grades of its reaches, millimetres.
const GRADES: f64 = 5.0;
/// Way between two charts beside each other, millimetres.
pub(crate) const BETWEEN: f64 = 8.0;

/// A part of a line on paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Strip {
    /// Its stations, metres.
    pub stretch_m: (f64, f64),
    /// Its lowest and highest level, with a margin, metres.
    pub levels_m: (f64, f64),
    /// Metres of land for a metre of paper, along and up.
    pub scales: (f64, f64),
    /// Which part it is, from 1, and of how many.
    pub part: (usize, usize),
    /// Width that it takes with what stands round it, millimetres.
    pub cell_mm: f64,
}

impl Strip {
    /// Width and height of the chart, millimetres.
    pub fn chart_mm(&self) -> (f64, f64) {
        let (across_m, up_m) = (self.stretch_m.1 - self.stretch_m.0, self.levels_m.1 - self.levels_m.0);
        (across_m * 1000.0 / self.scales.0, up_m * 1000.0 / self.scales.1)
    }

    /// "across 1 inch = 100 feet, 1:1,200; up 1 inch = 5 feet, 1:60; 20 times exaggerated".
    pub fn scale_words(&self, units: Units) -> String {
        let (along, up) = self.scales;
        let times = measure::trimmed(along / up, 0, 1);
        let [along, up] = [along, up].map(|of| scale::words(of, units));
        format!("across {along}; up {up}; {times} times exaggerated")
    }
}

/// The strips of a profile in so much width, none higher than so much.
pub(crate) fn strips(profile: &Profile, (units, hand): (Units, &Hand), width_mm: f64, most_mm: f64) -> Vec<Strip> {
    let (whole_mm, half_mm) = (width_mm - LEFT - RIGHT, (width_mm - BETWEEN) / 2.0 - LEFT - RIGHT);
    let (scales, metric) = (scale::of_maps(units), usize::from(units.is_metric()));
    let fits = |room_mm: f64| scale::from(&scales, profile.length_m * 1000.0 / room_mm);
    let (along, cell_mm) = match (fits(half_mm), fits(whole_mm)) {
        (half, _) if half <= HALF_AT[metric] => (half, half_mm + LEFT + RIGHT),
        (_, whole) => (whole.min(hand.coarsest[metric]), width_mm),
    };
    let parts = (profile.length_m * 1000.0 / along / whole_mm).ceil().max(1.0) as usize;
    let part_m = profile.length_m / parts as f64;
    let strip = |k: usize| {
        let stretch_m = (part_m * k as f64, part_m * (k + 1) as f64);
        let (low_m, high_m) = levels_between(profile, stretch_m)?;
        let margin_m = ((high_m - low_m) * 0.12).max(0.3);
        let whole_m = high_m - low_m + 2.0 * margin_m;
        let least = (along / MOST_EXAGGERATED).max(whole_m * 1000.0 / most_mm);
        let up = scale::from(&scale::close_up(units), least);
        // Under the lowest pipe its grade has a row, where that takes no coarser scale.
        let (wanted_m, spare_m) = (GRADES * up / 1000.0 - margin_m, most_mm * up / 1000.0 - whole_m);
        let more_m = if hand.close { 0.0 } else { wanted_m.min(spare_m).max(0.0) };
        let levels_m = (low_m - margin_m - more_m, high_m + margin_m);
        Some(Strip { stretch_m, levels_m, scales: (along, up), part: (k + 1, parts), cell_mm })
    };
    (0..parts).filter_map(strip).collect()
}

/// The lowest and the highest of ground, pipe and what is met on a stretch, metres.
fn levels_between(profile: &Profile, (from_m, to_m): (f64, f64)) -> Option<(f64, f64)> {
    let inside = |p: &Point| (from_m..=to_m).contains(&p.x).then_some(p.y);
    let of = |item: &Item| -> Vec<f64> {
        match &item.form {
            Form::Path(points) if item.role != Role::CoverLimit => {
                let ends = [from_m, to_m].into_iter().filter_map(|station_m| level_at(points, station_m));
                points.iter().filter_map(inside).chain(ends).collect()
            }
            Form::Sign(at, _) => inside(at).into_iter().collect(),
            Form::Upright(station_m, Some(level_m)) => {
                inside(&Point::new(*station_m, *level_m)).into_iter().collect()
            }
            _ => Vec::new(),
        }
    };
    let levels = profile.scene.items.iter().flat_map(of);
    levels.map(|level_m| (level_m, level_m)).reduce(|one, other| (one.0.min(other.0), one.1.max(other.1)))
}

/// The level of a path at a station inside it.
fn level_at(points: &[Point], station_m: f64) -> Option<f64> {
    let pair = points.windows(2).find(|pair| pair[0].x < station_m && station_m < pair[1].x)?;
    Some(measure::along(pair[0], pair[1], (station_m - pair[0].x) / (pair[1].x - pair[0].x)).y)
}
