//! Stored numbers as levels in metres, and what was met among them.

use std::ops::AddAssign;

use half::f16;

use crate::ground::{LAND_M, Stated};
use crate::tiff_layout::{Format, Layout};

/// Levels of land, in the precision of a grid.
const LAND: std::ops::RangeInclusive<f32> = *LAND_M.start() as f32..=*LAND_M.end() as f32;
/// A stored value of this size or more stands for a missing one (own choice; no level in any unit comes near).
const NEVER_A_LEVEL: f32 = 1e30;

/// How a stored number becomes a level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Scaling {
    /// Multiplies the stored number.
    pub scale: f64,
    /// Is added then.
    pub offset: f64,
    /// The number that stands for a missing level.
    pub nodata: Option<f64>,
    /// Metres of a unit of level.
    pub unit_m: f64,
}

impl Scaling {
    /// The level, metres; `NaN` where missing.
    pub fn level(&self, value: f64, single: bool) -> f32 {
        // A missing value that is written with more digits than a 32-bit cell holds still means that cell.
        let missing =
            self.nodata.is_some_and(|nodata| value == nodata || (single && value == f64::from(nodata as f32)));
        if missing { f32::NAN } else { ((value * self.scale + self.offset) * self.unit_m) as f32 }
    }
}

/// What was met among the levels.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Tally {
    all: u64,
    odd: u64,
    /// The level farthest from all land, metres.
    worst: f32,
    endless: u64,
    huge: u64,
    /// Cells that a mask hides.
    pub hidden: u64,
}

impl AddAssign for Tally {
    fn add_assign(&mut self, other: Self) {
        self.all += other.all;
        self.odd += other.odd;
        self.endless += other.endless;
        self.huge += other.huge;
        self.hidden += other.hidden;
        let farther = other.worst.abs().total_cmp(&self.worst.abs()).then(other.worst.total_cmp(&self.worst));
        self.worst = if farther.is_gt() { other.worst } else { self.worst };
    }
}

impl Tally {
    /// So many cells hidden by a mask.
    pub fn hidden(hidden: u64) -> Self {
        Self { hidden, ..Self::default() }
    }

    /// Takes markers out of levels just read and counts what is odd.
    pub fn of(levels: &mut [f32]) -> Self {
        let known = levels.iter().filter(|level| !level.is_nan()).count();
        let on_land = levels.iter().filter(|level| LAND.contains(*level)).count();
        if known == on_land {
            return Self { all: known as u64, ..Self::default() };
        }
        levels.iter_mut().fold(Self::default(), |mut tally, level| {
            tally += Self::of_one(level);
            tally
        })
    }

    fn of_one(level: &mut f32) -> Self {
        if level.abs() >= NEVER_A_LEVEL {
            let endless = u64::from(level.is_infinite());
            *level = f32::NAN;
            return Self { endless, huge: 1 - endless, ..Self::default() };
        }
        let odd = !level.is_nan() && !LAND.contains(level);
        let worst = if odd { *level } else { 0.0 };
        Self { all: u64::from(!level.is_nan()), odd: u64::from(odd), worst, ..Self::default() }
    }

    /// Tells of markers taken out and of levels that no land has.
    pub fn tell(&self, stated: &mut Stated) {
        let Self { all, odd, worst, endless, huge, .. } = *self;
        if endless > 0 {
            stated.note(format!("{endless} cells hold infinity and are taken as missing"));
        }
        if huge > 0 {
            stated.note(format!(
                "{huge} cells hold values beyond 1e30, no level of any land, and are taken as missing"
            ));
        }
        stated.tell_odd(all, odd, f64::from(worst));
    }
}

/// Numbers of one row of a stored piece.
pub(crate) struct Samples<'a> {
    /// The row's bytes.
    pub row: &'a [u8],
    /// What they are.
    pub layout: &'a Layout,
    /// Byte order.
    pub big_endian: bool,
    /// The first column wanted.
    pub first: usize,
}

impl Samples<'_> {
    /// The levels of the first band.
    pub fn levels(&self, scaling: &Scaling, levels: &mut [f32]) {
        let single = self.layout.bits == 32;
        self.each(levels, |level, value| *level = scaling.level(value, single));
    }

    /// The levels of the first band but where a mask has taken them out.
    pub fn unmasked_levels(&self, scaling: &Scaling, levels: &mut [f32]) {
        let single = self.layout.bits == 32;
        self.each(levels, |level, value| {
            if !level.is_nan() {
                *level = scaling.level(value, single);
            }
        });
    }

    /// Hides what a mask holds 0 for.
    pub fn mask(&self, levels: &mut [f32]) -> u64 {
        let mut hidden = 0;
        self.each(levels, |level, value| {
            if value == 0.0 {
                *level = f32::NAN;
                hidden += 1;
            }
        });
        hidden
    }

    /// Calls `put` with each level and the first band's number for it.
    fn each(&self, levels: &mut [f32], mut put: impl FnMut(&mut f32, f64)) {
        macro_rules! each {
            ($number:ty, $size:literal, $to:expr) => {{
                let wanted = self.row.as_chunks::<$size>().0.iter().skip(self.first * self.layout.step);
                let to = $to;
                let read = |n: &[u8; $size]| {
                    to(if self.big_endian { <$number>::from_be_bytes(*n) } else { <$number>::from_le_bytes(*n) })
                };
                if self.layout.step == 1 {
                    levels.iter_mut().zip(wanted).for_each(|(level, n)| put(level, read(n)));
                } else {
                    let wanted = wanted.step_by(self.layout.step);
                    levels.iter_mut().zip(wanted).for_each(|(level, n)| put(level, read(n)));
                }
            }};
        }
        match (self.layout.format, self.layout.bits) {
            (_, 1) => {
                for (col, level) in levels.iter_mut().enumerate() {
                    let bit = (self.first + col) * self.layout.step;
                    put(level, f64::from(self.row[bit / 8] >> (7 - bit % 8) & 1));
                }
            }
            (Format::Signed, 8) => each!(i8, 1, f64::from),
            (_, 8) => each!(u8, 1, f64::from),
            (Format::Float, 16) => each!(f16, 2, f64::from),
            (Format::Signed, 16) => each!(i16, 2, f64::from),
            (_, 16) => each!(u16, 2, f64::from),
            (Format::Float, 32) => each!(f32, 4, f64::from),
            (Format::Signed, 32) => each!(i32, 4, f64::from),
            (_, 32) => each!(u32, 4, f64::from),
            (Format::Float, _) => each!(f64, 8, |value| value),
            (Format::Signed, _) => each!(i64, 8, |value| value as f64),
            _ => each!(u64, 8, |value| value as f64),
        }
    }
}
