//! What the rows of a sheet tell of a stretch beside its figures: open findings, and where nobody digs.

use measure::Units;

use crate::cut_sheet::{Ahead, Row, SAME_ROW_M};

/// How much a notice weighs; the heaviest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// Nobody digs here.
    NoDig,
    /// To be fixed before digging.
    Fix,
    /// To be decided.
    Decide,
    /// Worth knowing, or left by name.
    Note,
}

/// What must be told of a stretch of a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Notice {
    /// Number under which it is listed.
    pub number: usize,
    /// Lower station, metres.
    pub from_m: f64,
    /// Upper station, metres; the same for a point.
    pub to_m: f64,
    /// How heavy it is in the words of the sheet: "TO FIX", "to decide".
    pub severity: &'static str,
    /// What it is, in short.
    pub title: String,
    /// How much it weighs.
    pub weight: Weight,
}

/// A notice as a row tells it.
#[derive(Debug, Clone, PartialEq)]
pub struct Seen {
    /// Its number.
    pub number: usize,
    /// How much it weighs.
    pub weight: Weight,
    /// What is told in the row at which it begins: "TO FIX 1+50 to 1+75: L3 runs uphill"; `None` in those on which it goes on.
    pub words: Option<String>,
}

impl Notice {
    /// Its place in words: "1+18 to 1+22", or "1+20" for a point.
    pub fn place(&self, units: Units) -> String {
        let [from, to] = [self.from_m, self.to_m].map(|station_m| measure::station(station_m, units));
        if from == to { from } else { format!("{from} to {to}") }
    }

    /// What is told of it: "TO FIX 1+50 to 1+75: L3 runs uphill toward the outlet".
    pub fn words(&self, units: Units) -> String {
        format!("{} {}: {}", self.severity, self.place(units), self.title)
    }

    fn is_no_dig(&self) -> bool {
        self.weight == Weight::NoDig
    }

    /// True for a row from which the digging touches it: the row lies in it or before it, and the next one beyond its
    /// beginning.
    fn touches(&self, station_m: f64, next_m: f64) -> bool {
        if self.to_m - self.from_m <= SAME_ROW_M {
            return station_m <= self.from_m + SAME_ROW_M && self.from_m + SAME_ROW_M < next_m;
        }
        station_m < self.to_m - SAME_ROW_M && next_m > self.from_m + SAME_ROW_M
    }

    /// True where a station lies inside it, its ends not counted unless they are those of the line: figures to dig by are
    /// not given there.
    fn holds(&self, station_m: f64, length_m: f64) -> bool {
        let from = station_m > self.from_m + SAME_ROW_M || self.from_m <= SAME_ROW_M;
        let to = station_m < self.to_m - SAME_ROW_M || self.to_m >= length_m - SAME_ROW_M;
        from && to
    }
}

/// True where nobody digs at a station.
pub(crate) fn is_no_dig(notices: &[Notice], station_m: f64, length_m: f64) -> bool {
    notices.iter().any(|notice| notice.is_no_dig() && notice.holds(station_m, length_m))
}

/// The stretch at a station that nobody digs, its ends counted.
pub(crate) fn no_dig_about(notices: &[Notice], station_m: f64) -> Option<&Notice> {
    let about = |notice: &&Notice| {
        (notice.from_m - SAME_ROW_M..=notice.to_m + SAME_ROW_M).contains(&station_m) && notice.is_no_dig()
    };
    notices.iter().find(about)
}

/// Where rows of their own stand for notices: at the ends of what nobody digs always, at those of what is to be fixed where
/// no other row is near.
pub(crate) fn stops(notices: &[Notice], weight: Weight) -> impl Iterator<Item = f64> + '_ {
    notices.iter().filter(move |notice| notice.weight == weight).flat_map(|notice| [notice.from_m, notice.to_m])
}

/// Tells each row what it touches, the first with words; where nobody digs the row before says so too, and the row at the
/// end that digging goes on.
pub(crate) fn tell(rows: &mut [Row], notices: &[Notice], length_m: f64, units: Units) {
    let ends: Vec<f64> = rows.iter().skip(1).map(|row| row.station_m).chain([length_m + 2.0 * SAME_ROW_M]).collect();
    for notice in notices {
        let mut words = Some(notice.words(units));
        for i in (0..rows.len()).filter(|i| notice.touches(rows[*i].station_m, ends[*i])).collect::<Vec<_>>() {
            rows[i].seen.push(Seen { number: notice.number, weight: notice.weight, words: words.take() });
        }
        if notice.is_no_dig() {
            tell_ends(rows, notice, length_m, units);
        }
    }
    rows.iter_mut().for_each(|row| row.seen.sort_by_key(|seen| (seen.weight, seen.number)));
}

fn tell_ends(rows: &mut [Row], notice: &Notice, length_m: f64, units: Units) {
    let before = rows.iter().rposition(|row| row.station_m < notice.from_m - SAME_ROW_M);
    if let Some(row) = before.and_then(|i| rows.get_mut(i)) {
        let words = format!("{} DO NOT DIG", notice.place(units));
        row.ahead.insert(0, Ahead { station_m: notice.from_m, words, buried: false });
    }
    let after = rows.iter_mut().find(|row| row.station_m >= notice.to_m - SAME_ROW_M);
    if let Some(row) = after.filter(|row| !row.no_dig && row.station_m <= length_m) {
        row.here.push(format!("DO NOT DIG between here and {}", measure::station(notice.from_m, units)));
    }
}
