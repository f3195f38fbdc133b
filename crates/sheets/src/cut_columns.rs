//! The columns of a cut sheet: which there are, how wide they are, and what stands in them.

use measure::{Units, feet_and_eighths};
use takeoff::{Printed, Row, Stake, printed};

use crate::ink::Ink;
use crate::page::{Align, LEAST_PT};
use crate::tongue::Tongue;

/// In what size a cut sheet is written: millimetres, and points of type.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Hand {
    /// Height of the figures of a row, and of each line below them.
    pub row_mm: f64,
    pub line_mm: f64,
    /// From the top of a row to the line its figures stand on.
    pub base_mm: f64,
    /// Height of a line of small type, and what a heading over it has beside its lines.
    pub small_mm: f64,
    pub heading_mm: f64,
    /// Height of the line for who dug and when, below the checks.
    pub signed_mm: f64,
    /// Type of the cut, of stations and of the cut in inches, of other figures, of lines below a row, of small type, of the
    /// heads of columns, and of the name of a sheet.
    pub cut_pt: f64,
    pub station_pt: f64,
    pub figure_pt: f64,
    pub line_pt: f64,
    pub small_pt: f64,
    pub heads_pt: f64,
    pub name_pt: f64,
    /// Room between two columns of figures.
    pub apart_mm: f64,
    /// Widths of number, severity and place in the list of what is open; in the close hand the last two stand before what is
    /// told.
    pub list_mm: [f64; 3],
    /// True for the close hand, of which all that stands elsewhere in the set is left out.
    pub close: bool,
}

/// The hand of a job of a few lines: read at arm's length, in a cab.
pub(crate) const LARGE: Hand = Hand {
    row_mm: 9.0,
    line_mm: 5.0,
    base_mm: 6.2,
    small_mm: 3.9,
    heading_mm: 3.9,
    signed_mm: 6.6,
    cut_pt: 17.0,
    station_pt: 11.0,
    figure_pt: 10.0,
    line_pt: 9.5,
    small_pt: 8.5,
    heads_pt: 8.0,
    name_pt: 13.0,
    apart_mm: 2.6,
    list_mm: [9.0, 24.0, 40.0],
    close: false,
};

/// The hand of a large job, so that the set can be carried.
pub(crate) const CLOSE: Hand = Hand {
    row_mm: 3.35,
    line_mm: 3.15,
    base_mm: 2.65,
    small_mm: 3.1,
    heading_mm: 0.8,
    signed_mm: 0.0,
    cut_pt: 9.0,
    station_pt: 7.5,
    figure_pt: 7.5,
    line_pt: 7.5,
    small_pt: 7.5,
    heads_pt: 7.0,
    name_pt: 10.0,
    apart_mm: 1.2,
    list_mm: [7.0, 0.0, 0.0],
    close: true,
};

impl Hand {
    /// The same with smaller figures; `None` where they are as small as type may be.
    fn smaller(&self) -> Option<Self> {
        let less = |size_pt: f64| (size_pt * 0.94).max(LEAST_PT);
        let [cut_pt, station_pt, figure_pt] = [self.cut_pt, self.station_pt, self.figure_pt].map(less);
        (cut_pt < self.cut_pt).then(|| Self { cut_pt, station_pt, figure_pt, ..self.clone() })
    }
}

/// Height of a line of the heads of columns by its type.
const HEADS_LINE: f64 = 0.42;
/// Widths of the box for what was measured and of the one for a photo, millimetres, and the most that the first takes of
/// what is left over.
const DUG: f64 = 20.0;
const PHOTO: f64 = 10.0;
const MOST_DUG: f64 = 16.0;

/// What stands in a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    Station,
    Hub,
    /// Level that the cut is measured from.
    Stake,
    Cut,
    Inches,
    Bottom,
    Invert,
    Grade,
    Ground,
    Depth,
    Cover,
    Rod,
    /// A box for what was measured.
    Dug,
    /// A box to tick.
    Photo,
}

/// What is left out where there is no room, the first first.
const MAY_GO: [Kind; 6] = [Kind::Photo, Kind::Ground, Kind::Depth, Kind::Dug, Kind::Cover, Kind::Inches];

impl Kind {
    /// The id of its head, whose lines are parted by strokes.
    const fn head(self, has_hubs: bool) -> &'static str {
        match self {
            Self::Station => "cut-head-station",
            Self::Hub => "cut-head-hub",
            Self::Stake if has_hubs => "cut-head-hub-level",
            Self::Stake | Self::Ground => "cut-head-ground",
            Self::Cut => "cut-head-cut",
            Self::Inches => "cut-head-inches",
            Self::Bottom => "cut-head-bottom",
            Self::Invert => "cut-head-invert",
            Self::Grade => "cut-head-grade",
            Self::Depth => "cut-head-depth",
            Self::Cover => "cut-head-cover",
            Self::Rod => "cut-head-rod",
            Self::Dug => "cut-head-dug",
            Self::Photo => "cut-head-photo",
        }
    }

    /// Size of its type, points, and whether it is heavy.
    pub fn hand(self, hand: &Hand) -> (f64, bool) {
        match self {
            Self::Cut => (hand.cut_pt, true),
            Self::Station | Self::Inches => (hand.station_pt, true),
            _ => (hand.figure_pt, false),
        }
    }

    pub fn align(self) -> Align {
        match self {
            Self::Station | Self::Hub | Self::Dug => Align::Left,
            Self::Photo => Align::Middle,
            _ => Align::Right,
        }
    }

    /// Where a text of a column hangs.
    pub fn at(self, (left_mm, wide_mm): (f64, f64), hand: &Hand) -> f64 {
        match self.align() {
            Align::Left => left_mm + hand.apart_mm / 2.0,
            Align::Middle => left_mm + wide_mm / 2.0,
            Align::Right => left_mm + wide_mm - hand.apart_mm / 2.0,
        }
    }

    /// What stands in a row; nothing in a box that is filled in by hand.
    fn text(self, row: &Row, printed: &Printed, (units, tongue): (Units, Tongue)) -> String {
        let figure = |value: Option<f64>| value.map(|value| units.figure(value)).unwrap_or_default();
        match self {
            Self::Station => measure::station(row.station_m, units),
            Self::Hub => row.stake.map(|stake| hub_words(stake, units, tongue)).unwrap_or_default(),
            Self::Stake => figure(printed.stake_m),
            Self::Cut => figure(printed.cut_m),
            Self::Inches => printed.cut_m.map(feet_and_eighths).unwrap_or_default(),
            Self::Bottom => figure(printed.bottom_m),
            Self::Invert => units.figure(printed.invert_m),
            Self::Grade => grade_words(row.grade, units, tongue),
            Self::Ground => figure(printed.ground_m),
            Self::Depth => figure(printed.depth_m),
            Self::Cover => figure(printed.cover_m),
            Self::Rod => figure(printed.rod_m),
            Self::Dug | Self::Photo => String::new(),
        }
    }
}

/// Where a hub stands: "6 L", looking upstream.
fn hub_words(stake: Stake, units: Units, tongue: Tongue) -> String {
    match stake {
        Stake::Hub(hub) if hub.left_m == 0.0 => tongue.word("cut-on-line"),
        Stake::Hub(hub) => {
            let off = units.number(hub.left_m.abs(), 2);
            let off = off.trim_end_matches('0').trim_end_matches('.');
            tongue.text(if hub.left_m > 0.0 { "cut-left" } else { "cut-right" }, &[("off", off)])
        }
        Stake::Ground(_) => tongue.word("cut-ground"),
    }
}

fn grade_words(grade: Option<f64>, units: Units, tongue: Tongue) -> String {
    let Some(grade) = grade else { return tongue.word("end-of-line") };
    let figure = units.grade(grade.abs());
    if grade == 0.0 {
        return tongue.text("cut-level", &[("grade", &figure)]);
    }
    format!("{figure} {}", if grade > 0.0 { "↑" } else { "↓" })
}

/// A column as it is drawn.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Column {
    /// What stands in it.
    pub kind: Kind,
    /// Its head, line by line.
    pub head: Vec<String>,
    /// What stands in each row.
    pub texts: Vec<String>,
    /// Its width, millimetres.
    pub wide_mm: f64,
}

/// What a sheet has columns for.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Has {
    pub hubs: bool,
    pub rods: bool,
    pub units: Units,
    pub tongue: Tongue,
}

/// The columns of a sheet, as wide as what stands in them, over a whole width; and the hand they are written in, which is
/// smaller where figures are so long that they find no room else.
pub(crate) fn columns(ink: &Ink, hand: &Hand, has: Has, rows: &[Row], width_mm: f64) -> (Hand, Vec<Column>) {
    let figures: Vec<Printed> = rows.iter().map(|row| printed(row, has.units)).collect();
    let column = |kind: Kind| {
        let texts: Vec<String> = rows
            .iter()
            .zip(&figures)
            .map(|(row, printed)| kind.text(row, printed, (has.units, has.tongue)))
            .collect();
        let head = has.tongue.word(kind.head(has.hubs));
        let head: Vec<String> = head.split('/').map(str::to_string).collect();
        Column { kind, wide_mm: natural_mm(ink, hand, (kind, &head), &texts), head, texts }
    };
    let mut columns: Vec<Column> = kinds(has).into_iter().map(column).collect();
    let too_wide = |columns: &[Column]| columns.iter().map(|column| column.wide_mm).sum::<f64>() > width_mm;
    for kind in MAY_GO {
        if too_wide(&columns) {
            columns.retain(|column| column.kind != kind);
        }
    }
    if let Some(smaller) = hand.smaller().filter(|_| too_wide(&columns)) {
        return self::columns(ink, &smaller, has, rows, width_mm);
    }
    spread(&mut columns, width_mm);
    (hand.clone(), columns)
}

/// Columns in their order. Where no hub has a level the cut is from the ground, and what would stand there twice is left out.
fn kinds(has: Has) -> Vec<Kind> {
    use Kind::*;
    let all = [
        (Station, true),
        (Hub, has.hubs),
        (Stake, true),
        (Cut, true),
        (Inches, !has.units.is_metric()),
        (Bottom, true),
        (Invert, true),
        (Grade, true),
        (Ground, has.hubs),
        (Depth, has.hubs),
        (Cover, true),
        (Rod, has.rods),
        (Dug, true),
        (Photo, true),
    ];
    all.into_iter().filter_map(|(kind, there)| there.then_some(kind)).collect()
}

/// Width of a column by its texts and its head, millimetres.
fn natural_mm(ink: &Ink, hand: &Hand, (kind, head): (Kind, &[String]), texts: &[String]) -> f64 {
    let (size_pt, bold) = kind.hand(hand);
    let texts = texts.iter().map(|text| ink.width_mm(text, size_pt, bold));
    let heads = head.iter().map(|line| ink.width_mm(line, hand.heads_pt, true));
    let box_mm = match kind {
        Kind::Dug => DUG,
        Kind::Photo => PHOTO,
        _ => 0.0,
    };
    (texts.chain(heads).fold(0.0, f64::max) + hand.apart_mm).max(box_mm)
}

/// Hands out what is left of the width: the box to write in takes the first of it, the rest goes to all alike.
fn spread(columns: &mut [Column], width_mm: f64) {
    let left_mm = width_mm - columns.iter().map(|column| column.wide_mm).sum::<f64>();
    let dug_mm = left_mm.clamp(0.0, MOST_DUG);
    let dug = columns.iter_mut().find(|column| column.kind == Kind::Dug);
    let taken_mm = dug.map_or(0.0, |column| {
        column.wide_mm += dug_mm;
        dug_mm
    });
    let each_mm = (left_mm - taken_mm) / columns.len() as f64;
    columns.iter_mut().for_each(|column| column.wide_mm += each_mm);
}

/// Height of the heads of columns, millimetres.
pub(crate) fn heads_mm(columns: &[Column], hand: &Hand) -> f64 {
    let lines = columns.iter().map(|column| column.head.len()).max().unwrap_or(1);
    lines as f64 * hand.heads_pt * HEADS_LINE + 1.8
}

/// From the top of the heads down to a line of them, counted from the last up, millimetres.
pub(crate) fn heads_base_mm(heads_mm: f64, hand: &Hand, from_last: usize) -> f64 {
    heads_mm - 1.3 - from_last as f64 * hand.heads_pt * HEADS_LINE
}
