//! The fewest straight reaches through a corridor: from a range of starting levels to the far end, with breaks only at
//! stations, between a lowest and a highest level at each station and a least and a greatest grade between neighbours.
//!
//! All straight reaches that start at one station within a range of levels form a convex polygon in the plane (level at the
//! start, grade); every station they pass cuts the polygon. Its projection at a station is the range of levels that one more
//! reach can end at. Processing the stations in rounds of one more reach each, the first round that gets to the far end gives
//! the minimum. Nothing is sampled, so the number is exact.

/// A corridor.
#[derive(Debug, Clone, Copy)]
pub struct Corridor<'a> {
    /// Distance of each station from the first, metres, in rising order.
    pub stations_m: &'a [f64],
    /// Lowest and highest level at each station, metres; the first is the range of starting levels.
    pub levels_m: &'a [(f64, f64)],
    /// Least and greatest grade between each station and the next, as ratios.
    pub grades: &'a [(f64, f64)],
    /// Levels to prefer where there is a choice, metres.
    pub wanted_m: &'a [f64],
}

/// A range of levels at a station reachable in some number of reaches, and the window in which the last of these starts.
#[derive(Debug, Clone, Copy)]
struct Window {
    station: usize,
    low: f64,
    high: f64,
    before: usize,
}

/// Corners of a convex polygon in the plane (level at the start of a reach, grade).
pub(crate) type Polygon = Vec<(f64, f64)>;

impl Corridor<'_> {
    /// Upper ends of the reaches of such a profile, as station and level; `None` if at most `most` reaches do not suffice.
    pub fn fewest_reaches(&self, most: usize) -> Option<Vec<(usize, f64)>> {
        let last = self.stations_m.len().checked_sub(1)?;
        let (low, high) = self.levels_m[0];
        let mut windows = vec![Window { station: 0, low, high, before: 0 }];
        // Ranges of levels at each station reachable in as many reaches or fewer.
        let mut reached: Vec<Vec<(f64, f64)>> = vec![Vec::new(); last + 1];
        let mut turn: Vec<Window> = windows.clone();
        for _ in 0..most {
            let from = windows.len();
            for (k, start) in turn.iter().enumerate() {
                let before = from - turn.len() + k;
                self.extend(start, before, &reached, &mut windows);
            }
            if let Some(end) = (from..windows.len()).find(|window| windows[*window].station == last) {
                return Some(self.trace(&windows, end));
            }
            turn = news(&windows[from..], &mut reached);
            windows.extend(&turn);
            if turn.is_empty() {
                break;
            }
        }
        (last == 0).then(Vec::new)
    }

    /// Adds the windows reachable from a window by one reach, unless they hold nothing new.
    fn extend(&self, start: &Window, before: usize, reached: &[Vec<(f64, f64)>], windows: &mut Vec<Window>) {
        let mut figure = self.figure(start);
        for (station, known) in reached.iter().enumerate().skip(start.station + 1) {
            if !self.pass(&mut figure, start.station, station) {
                return;
            }
            let away_m = self.stations_m[station] - self.stations_m[start.station];
            let (low, high) = ends(&figure, away_m);
            if !known.iter().any(|known| known.0 <= low && known.1 >= high) {
                windows.push(Window { station, low, high, before });
            }
        }
    }

    /// All reaches that may start in a window, before any station cuts them.
    fn figure(&self, start: &Window) -> Polygon {
        let (least, most) = self.grades[start.station];
        let (low, high) = (start.low, start.high);
        vec![(low, least), (high, least), (high, most), (low, most)]
    }

    /// Removes the reaches that do not pass a station; false if none is left.
    fn pass(&self, figure: &mut Polygon, start: usize, station: usize) -> bool {
        let away_m = self.stations_m[station] - self.stations_m[start];
        let (low, high) = self.levels_m[station];
        let (lowest, highest) = ends(figure, away_m);
        if lowest < low {
            cut(figure, |level, grade| level + grade * away_m - low);
        }
        if highest > high {
            cut(figure, |level, grade| high - level - grade * away_m);
        }
        if station > start + 1 && self.grades[station - 1] != self.grades[station - 2] {
            let (least, most) = self.grades[station - 1];
            cut(figure, |_, grade| grade - least);
            cut(figure, |_, grade| most - grade);
        }
        !figure.is_empty()
    }

    /// Traces the reaches back from a window at the far end, at the preferred levels.
    fn trace(&self, windows: &[Window], end: usize) -> Vec<(usize, f64)> {
        let mut window = windows[end];
        let mut level = self.wanted_m[window.station].clamp(window.low, window.high);
        let mut ends = Vec::new();
        while window.station > 0 {
            ends.push((window.station, level));
            let before = windows[window.before];
            let mut figure = self.figure(&before);
            for station in before.station + 1..=window.station {
                self.pass(&mut figure, before.station, station);
            }
            let away_m = self.stations_m[window.station] - self.stations_m[before.station];
            level = start_of(&figure, away_m, level, self.wanted_m[before.station]).unwrap_or(before.low);
            window = holder(windows, before, level);
        }
        ends.reverse();
        ends
    }
}

/// The ranges a round reached for the first time: overlapping windows at a station merged, and those left out that hold
/// nothing new.
fn news(found: &[Window], reached: &mut [Vec<(f64, f64)>]) -> Vec<Window> {
    let mut order: Vec<usize> = (0..found.len()).collect();
    order.sort_by(|a, b| (found[*a].station.cmp(&found[*b].station)).then(found[*a].low.total_cmp(&found[*b].low)));
    let mut whole: Vec<Window> = Vec::new();
    for window in order.into_iter().map(|k| found[k]) {
        match whole.last_mut() {
            Some(below) if below.station == window.station && window.low <= below.high => {
                below.high = below.high.max(window.high);
            }
            _ => whole.push(Window { before: WHOLE, ..window }),
        }
    }
    whole.retain(|window| !reached[window.station].iter().any(|k| k.0 <= window.low && k.1 >= window.high));
    whole.iter().for_each(|window| reached[window.station].push((window.low, window.high)));
    whole
}

/// Marks a merged window, which has no single predecessor.
const WHOLE: usize = usize::MAX;

/// The original window that a level of a merged window came from; it was found in the same round.
fn holder(windows: &[Window], whole: Window, level: f64) -> Window {
    if whole.before != WHOLE {
        return whole;
    }
    let outside = |window: &Window| (window.low - level).max(level - window.high);
    let parts = windows.iter().filter(|w| w.before != WHOLE && w.station == whole.station);
    let within = parts.filter(|w| w.low >= whole.low && w.high <= whole.high);
    within.min_by(|a, b| outside(a).max(0.0).total_cmp(&outside(b).max(0.0))).copied().unwrap_or(whole)
}

/// Lowest and highest level of the reaches of a polygon at a distance from their start.
fn ends(figure: &Polygon, away_m: f64) -> (f64, f64) {
    let levels = figure.iter().map(|(level, grade)| level + grade * away_m);
    levels.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), z| (low.min(z), high.max(z)))
}

/// Tolerance when a polygon is cut, metres: a given level is a corridor of zero height.
const ROUNDING: f64 = 1e-9;

/// Keeps the part of a polygon where the linear function `inside` is not negative.
pub(crate) fn cut(figure: &mut Polygon, inside: impl Fn(f64, f64) -> f64) {
    let value = |&(level, grade): &(f64, f64)| inside(level, grade) + ROUNDING;
    if figure.iter().all(|corner| value(corner) >= 0.0) {
        return;
    }
    let mut kept = Polygon::with_capacity(figure.len() + 1);
    for (i, corner) in figure.iter().enumerate() {
        let other = figure[(i + 1) % figure.len()];
        let (here, there) = (value(corner), value(&other));
        if here >= 0.0 {
            kept.push(*corner);
        }
        if (here >= 0.0) != (there >= 0.0) {
            let share = here / (here - there);
            kept.push((corner.0 + (other.0 - corner.0) * share, corner.1 + (other.1 - corner.1) * share));
        }
    }
    *figure = kept;
}

/// The starting level nearest to a preferred one among the reaches of a polygon that end at `end` after `away_m`.
fn start_of(figure: &Polygon, away_m: f64, end: f64, wanted: f64) -> Option<f64> {
    let off = |corner: &(f64, f64)| corner.0 + corner.1 * away_m - end;
    let mut starts: Vec<f64> = Vec::new();
    for (i, corner) in figure.iter().enumerate() {
        let other = figure[(i + 1) % figure.len()];
        let (one, two) = (off(corner), off(&other));
        if one.abs() <= 2.0 * ROUNDING {
            starts.push(corner.0);
        }
        if one * two < 0.0 {
            starts.push(corner.0 + (other.0 - corner.0) * one / (one - two));
        }
    }
    let low = starts.iter().copied().reduce(f64::min)?;
    let high = starts.iter().copied().reduce(f64::max)?;
    Some(wanted.clamp(low, high))
}
