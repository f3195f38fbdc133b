//! The fewest straight reaches through a corridor: from a given level to the far end, broken only at stations, between
//! a lowest and a highest level at each and a least and a greatest grade between neighbours.
//!
//! All straight reaches that start at a station within a range of levels form a convex figure in the plane of (level at
//! the start, grade); every station they pass cuts it. What is left, seen at a station, is the range of levels that one
//! more reach can end at there. Taking the stations in turns of one more reach each, the first turn that meets the far
//! end is the fewest. Nothing is sampled, so the number is exact.

/// A corridor.
#[derive(Debug, Clone, Copy)]
pub struct Corridor<'a> {
    /// Distance of each station from the first, metres, rising.
    pub stations_m: &'a [f64],
    /// Lowest and highest level at each, metres; the first holds the level at the start.
    pub levels_m: &'a [(f64, f64)],
    /// Least and greatest grade between each station and the next, as ratios.
    pub grades: &'a [(f64, f64)],
    /// Levels that are preferred where there is a choice, metres.
    pub wanted_m: &'a [f64],
}

/// Levels at a station that a number of reaches lead to, and the window the last of them starts from.
#[derive(Debug, Clone, Copy)]
struct Window {
    station: usize,
    low: f64,
    high: f64,
    before: usize,
}

/// Corners of a convex figure: level at the start of a reach, and grade.
pub(crate) type Figure = Vec<(f64, f64)>;

impl Corridor<'_> {
    /// The stations at which the reaches of the shortest such line end, the first station left out, and the level there;
    /// `None` where no line of at most so many reaches fits.
    pub fn fewest_reaches(&self, most: usize) -> Option<Vec<(usize, f64)>> {
        let last = self.stations_m.len().checked_sub(1)?;
        let (low, high) = self.levels_m[0];
        let mut windows = vec![Window { station: 0, low, high, before: 0 }];
        // Levels known to be reached at each station, in as many or fewer reaches.
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

    /// Adds the windows that one reach from a window leads to, but for those that hold nothing new.
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

    /// Every reach that may start in a window, whatever it meets further on.
    fn figure(&self, start: &Window) -> Figure {
        let (least, most) = self.grades[start.station];
        let (low, high) = (start.low, start.high);
        vec![(low, least), (high, least), (high, most), (low, most)]
    }

    /// Cuts away the reaches that do not get past a station; false where none is left.
    fn pass(&self, figure: &mut Figure, start: usize, station: usize) -> bool {
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

    /// The way back from a window at the far end, at the preferred levels.
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

/// What a turn has reached for the first time: for each station its windows made one where they overlap, without those
/// that hold nothing new.
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

/// Stands in a window made of several for the window before it.
const WHOLE: usize = usize::MAX;

/// The window of which a level of a window made of several was taken; it was found in the same turn, just before.
fn holder(windows: &[Window], whole: Window, level: f64) -> Window {
    if whole.before != WHOLE {
        return whole;
    }
    let outside = |window: &Window| (window.low - level).max(level - window.high);
    let parts = windows.iter().filter(|w| w.before != WHOLE && w.station == whole.station);
    let within = parts.filter(|w| w.low >= whole.low && w.high <= whole.high);
    within.min_by(|a, b| outside(a).max(0.0).total_cmp(&outside(b).max(0.0))).copied().unwrap_or(whole)
}

/// Lowest and highest level that the reaches of a figure have so far from their start.
fn ends(figure: &Figure, away_m: f64) -> (f64, f64) {
    let levels = figure.iter().map(|(level, grade)| level + grade * away_m);
    levels.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), z| (low.min(z), high.max(z)))
}

/// Rounding allowed when a figure is cut, metres: a level fixed by hand is a corridor of no height.
const ROUNDING: f64 = 1e-9;

/// Keeps the part of a figure where `inside` is not negative; `inside` is linear.
pub(crate) fn cut(figure: &mut Figure, inside: impl Fn(f64, f64) -> f64) {
    let value = |&(level, grade): &(f64, f64)| inside(level, grade) + ROUNDING;
    if figure.iter().all(|corner| value(corner) >= 0.0) {
        return;
    }
    let mut kept = Figure::with_capacity(figure.len() + 1);
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

/// The level at the start of a reach of a figure that ends at a level `away_m` further, nearest to a preferred one.
fn start_of(figure: &Figure, away_m: f64, end: f64, wanted: f64) -> Option<f64> {
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
