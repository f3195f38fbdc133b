//! Readings on a levelling rod: the set-ups of the laser, which rows each serves, and whether a rod can be read there.

use std::fmt;

use design::Design;
use measure::{FOOT_M, Units};
use plan::{LineId, Plan};

use crate::cut_sheet::{CutSheet, Row, cut_sheet};

/// Readings this far beyond the rod are rounding, metres.
const ROUNDING_M: f64 = 1e-6;
/// Stations this near are one where set-ups meet, metres: they are written to a tenth of a foot or metre.
const SAME_STATION_M: f64 = 0.051;

/// A set-up of the laser or level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SetUp {
    /// Level of its plane, metres.
    pub level_m: f64,
    /// The line it serves; every line for `None`.
    pub line: Option<LineId>,
    /// The stations it serves, from and to, metres; the whole line for `None`.
    pub stretch: Option<(f64, f64)>,
}

impl SetUp {
    fn serves(&self, line: LineId, station_m: f64) -> bool {
        let within =
            |(from_m, to_m): (f64, f64)| (from_m - SAME_STATION_M..=to_m + SAME_STATION_M).contains(&station_m);
        self.line.is_none_or(|own| own == line) && self.stretch.is_none_or(within)
    }

    /// How much it is meant for a place: for a stretch most, for every line least.
    fn closeness(&self) -> u8 {
        u8::from(self.line.is_some()) + u8::from(self.stretch.is_some())
    }

    /// True where both are meant for the same rows, and not only for the one at which the instrument is moved.
    fn clashes(&self, other: &Self) -> bool {
        let apart = match (self.stretch, other.stretch) {
            (Some(a), Some(b)) => a.1 <= b.0 + ROUNDING_M || b.1 <= a.0 + ROUNDING_M,
            _ => false,
        };
        self.line == other.line && self.closeness() == other.closeness() && !apart
    }
}

/// A rod is so long where nobody says otherwise, metres: 16 ft, or 5 m (common practice, no source).
pub fn usual_rod_m(units: Units) -> f64 {
    if units.is_metric() { 5.0 } else { 16.0 * FOOT_M }
}

/// The set-up that serves a station of a line: that of the stretch before that of the line before that of all; of two that
/// meet at a station the first.
pub fn set_up_at(set_ups: &[SetUp], line: LineId, station_m: f64) -> Option<&SetUp> {
    let serving = set_ups.iter().filter(|set_up| set_up.serves(line, station_m));
    serving.rev().max_by_key(|set_up| set_up.closeness())
}

/// Writes on each row whose plane is another than that of the row before that it is.
pub(crate) fn tell_moves(rows: &mut [Row], units: Units) {
    let plane = |row: &Row| row.rod_m.map(|rod_m| units.level(row.invert_m + rod_m));
    let planes: Vec<Option<String>> = rows.iter().map(plane).collect();
    for (row, pair) in rows.iter_mut().skip(1).zip(planes.windows(2)).filter(|(_, pair)| pair[0] != pair[1]) {
        row.here.push(match &pair[1] {
            Some(level) => format!("{MOVED}: laser plane {level} from here up"),
            None => NO_PLANE.into(),
        });
    }
}

/// What is written where the plane is another from here up, and where none is given.
const MOVED: &str = "INSTRUMENT MOVED";
const NO_PLANE: &str = "NO LASER PLANE GIVEN from here up";

/// True for a remark of a row that hangs on the set-ups of the laser.
pub fn is_move(remark: &str) -> bool {
    remark.starts_with(MOVED) || remark == NO_PLANE
}

/// The planes of a sheet in words: "424.15 from 0+00 to 2+50, 430.10 from 3+00 to 4+00"; `None` where none serves it.
pub fn planes_words(sheet: &CutSheet, units: Units) -> Option<String> {
    let plane = |row: &Row| row.rod_m.map(|rod_m| units.level(row.invert_m + rod_m));
    let parts = sheet.rows.chunk_by(|a, b| plane(a) == plane(b));
    let words = parts.filter_map(|part| {
        let ends = part.first().zip(part.last()).map(|(a, b)| (a.station_m, b.station_m))?;
        let stations = [ends.0, ends.1].map(|station_m| measure::station(station_m, units)).join(" to ");
        Some(format!("{} from {stations}", plane(part.first()?)?))
    });
    let words: Vec<String> = words.collect();
    (!words.is_empty()).then(|| words.join(", "))
}

/// Why a set-up is refused.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RodTrouble {
    /// Line and station.
    pub place: String,
    /// The reading, or what else is wrong.
    pub found: String,
    /// What would do.
    pub expected: String,
}

impl fmt::Display for RodTrouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: found {}, expected {}", self.place, self.found, self.expected)
    }
}

impl std::error::Error for RodTrouble {}

/// Refuses set-ups that leave open which plane holds, and readings that no rod gives: below its foot or above its top.
pub fn hold_rods(plan: &Plan, design: &Design, set_ups: &[SetUp], rod_m: f64) -> Result<(), RodTrouble> {
    let held = Held { plan, design, set_ups, rod_m, units: plan.title.units };
    held.clashes()?;
    plan.lines.keys().try_for_each(|id| held.line(*id))
}

struct Held<'a> {
    plan: &'a Plan,
    design: &'a Design,
    set_ups: &'a [SetUp],
    rod_m: f64,
    units: Units,
}

impl Held<'_> {
    fn clashes(&self) -> Result<(), RodTrouble> {
        let pairs = self.set_ups.iter().enumerate();
        let mut pairs = pairs.flat_map(|(i, one)| self.set_ups[i + 1..].iter().map(move |other| (one, other)));
        let Some((one, other)) = pairs.find(|(one, other)| one.clashes(other)) else { return Ok(()) };
        let whose = one.line.and_then(|id| self.plan.lines.get(&id)).map_or("all lines", |line| line.name.as_str());
        Err(RodTrouble {
            place: whose.into(),
            found: format!("two planes, {} and {}", self.units.level(one.level_m), self.units.level(other.level_m)),
            expected: "one plane for each stretch, such as 424.15@L2:0+00-2+50 and 430.10@L2:2+50-4+00".into(),
        })
    }

    /// Holds every reading of a line.
    fn line(&self, id: LineId) -> Result<(), RodTrouble> {
        let Some(sheet) = cut_sheet(self.plan, self.design, id, self.set_ups) else { return Ok(()) };
        let range = -ROUNDING_M..=self.rod_m + ROUNDING_M;
        let Some(bad) = sheet.rows.iter().find(|row| row.rod_m.is_some_and(|rod_m| !range.contains(&rod_m))) else {
            return Ok(());
        };
        let reading_m = bad.rod_m.unwrap_or_default();
        let why = if reading_m < 0.0 { "the plane lies below the pipe" } else { "beyond the top of the rod" };
        Err(RodTrouble {
            place: format!("{} {}", sheet.name, measure::station(bad.station_m, self.units)),
            found: format!(
                "a rod reading of {} with the plane at {}, {why}",
                self.units.depth(reading_m),
                self.units.level(bad.invert_m + reading_m)
            ),
            expected: format!("0 to {} of rod: {}", self.units.depth(self.rod_m), self.remedy(&sheet, bad)),
        })
    }

    /// What would do for the rows that the set-up of a row serves, or else for the whole line.
    fn remedy(&self, sheet: &CutSheet, bad: &Row) -> String {
        let own = set_up_at(self.set_ups, sheet.line, bad.station_m);
        let same = |row: &&Row| set_up_at(self.set_ups, sheet.line, row.station_m) == own;
        let rows: Vec<&Row> = sheet.rows.iter().filter(same).collect();
        let parts = self.parts(&rows);
        if let [part] = parts.as_slice() {
            let line =
                if own.is_some_and(|own| own.stretch.is_some()) { part.stations(self.units) } else { String::new() };
            return format!("a plane from {} would do, --instrument LEVEL@{}{line}", part.range(), sheet.name);
        }
        let words = parts.iter().map(|part| {
            let stations = part.stations(self.units);
            format!("{} for --instrument LEVEL@{}{stations}", part.range(), sheet.name)
        });
        format!("no one plane would do, move the instrument: {}", words.collect::<Vec<_>>().join(", then "))
    }

    /// Rows from the downstream end up in as few stretches as one plane each can serve, each with the planes that can, as
    /// they are printed.
    fn parts(&self, rows: &[&Row]) -> Vec<Part> {
        let unit_m = self.units.length_unit().metres();
        let mut parts: Vec<Part> = Vec::new();
        for row in rows {
            // Rounded to the inside, so that a plane typed as it is printed holds.
            let low = (row.invert_m / unit_m * 100.0 - 1e-6).ceil() / 100.0;
            let high = ((row.invert_m + self.rod_m) / unit_m * 100.0 + 1e-6).floor() / 100.0;
            match parts.last_mut() {
                Some(last) if last.low.max(low) <= last.high.min(high) => {
                    *last = Part { to_m: row.station_m, low: last.low.max(low), high: last.high.min(high), ..*last };
                }
                last => {
                    let from_m = last.map_or(row.station_m, |last| last.to_m);
                    parts.push(Part { from_m, to_m: row.station_m, low, high });
                }
            }
        }
        parts
    }
}

/// A stretch that one plane can serve.
#[derive(Debug, Clone, Copy)]
struct Part {
    from_m: f64,
    to_m: f64,
    /// The lowest and highest plane, in the person's unit.
    low: f64,
    high: f64,
}

impl Part {
    fn range(&self) -> String {
        format!("{:.2} to {:.2}", self.low, self.high)
    }

    fn stations(&self, units: Units) -> String {
        format!(":{}-{}", measure::station(self.from_m, units), measure::station(self.to_m, units))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LINE: LineId = LineId(7);

    fn set_up(level_m: f64, line: Option<LineId>, stretch: Option<(f64, f64)>) -> SetUp {
        SetUp { level_m, line, stretch }
    }

    /// A stretch before a line before all; where two stretches meet, the first.
    #[test]
    fn the_nearest_set_up_serves() {
        let set_ups = [
            set_up(1.0, None, None),
            set_up(2.0, Some(LINE), None),
            set_up(3.0, Some(LINE), Some((10.0, 20.0))),
            set_up(4.0, Some(LINE), Some((20.0, 30.0))),
        ];
        let level = |line, station_m| set_up_at(&set_ups, line, station_m).map(|set_up| set_up.level_m);
        let levels = [5.0, 10.0, 20.0, 20.1, 30.0, 31.0].map(|station_m| level(LINE, station_m));
        assert_eq!(levels, [2.0, 3.0, 3.0, 4.0, 4.0, 2.0].map(Some));
        assert_eq!(level(LineId(8), 15.0), Some(1.0));
        assert_eq!(set_up_at(&set_ups[2..], LineId(8), 15.0), None);
    }

    #[test]
    fn set_ups_clash_where_both_hold() {
        let stretch = |from_m, to_m| set_up(1.0, Some(LINE), Some((from_m, to_m)));
        assert!(stretch(0.0, 10.0).clashes(&stretch(9.0, 20.0)));
        assert!(!stretch(0.0, 10.0).clashes(&stretch(10.0, 20.0)));
        assert!(!stretch(0.0, 10.0).clashes(&set_up(2.0, Some(LINE), None)));
        assert!(set_up(1.0, None, None).clashes(&set_up(2.0, None, None)));
    }

    #[test]
    fn rods_are_sixteen_feet_or_five_metres() {
        assert_eq!([Units::Feet, Units::Metric].map(|units| units.depth(usual_rod_m(units))), ["16.00 ft", "5.00 m"]);
    }
}
