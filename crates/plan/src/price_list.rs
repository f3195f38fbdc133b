//! The price list: what pipe, fittings and work cost on this job. No price is shipped as fact; an empty list counts
//! pieces and says that it has no prices.

use measure::{FOOT_M, SQUARE_M_PER_ACRE, SQUARE_M_PER_HECTARE, Units, round_half_up, trimmed};
use serde::{Deserialize, Serialize};

use crate::{FEET_STARTS, Starts};

/// What a row of the price list is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Goods {
    /// Perforated pipe.
    Perforated,
    /// Pipe without openings.
    Solid,
    /// Pipe without openings and with a heavy wall.
    Heavy,
    /// The rigid solid pipe at an outlet.
    OutletStick,
    /// A branch at a right angle.
    Tee,
    /// A branch that points downstream.
    Wye,
    /// From one size to another in line.
    Reducer,
    /// Joins two ends of pipe.
    Coupler,
    /// Closes an upper end.
    Cap,
    /// Turns a line.
    Elbow,
    /// Joins new pipe to old tile.
    Adapter,
    /// Keeps animals out of an outlet.
    Guard,
    /// Stand pipe of an open inlet, with its cap.
    Riser,
    /// Holds water of an inlet back.
    Orifice,
    /// Lets air in.
    Breather,
    /// Lets water out.
    ReliefWell,
    /// Holds silt back.
    SiltTrap,
    /// Joins lines.
    JunctionBox,
    /// Lets a branch down.
    Drop,
    /// Knitted sock.
    Sock,
    /// Stone or gravel.
    Stone,
    /// An hour of the machine with its operator.
    MachineHour,
    /// Bringing the machine.
    Mobilisation,
    /// Putting the surface back.
    Restoration,
    /// A length of trench that is sloped, shored or boxed.
    TrenchProtection,
}

/// Most decimals of a price: enough for one that was given for another unit.
const PRICE_PLACES: usize = 4;

/// By what goods are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// Metres, in packs where they come so.
    Length,
    /// Pieces.
    Piece,
    /// Cubic metres.
    Volume,
    /// Hours.
    Hour,
    /// Square metres.
    Area,
}

/// Pipe that comes in longer lengths than this is rolled up, metres: sticks of rigid pipe have 10 to 40 ft, coils of tubing
/// 50 ft and more (common practice, no source).
const LONGEST_STICK_M: f64 = 12.5;

/// What pipe that comes in such lengths is counted by: rolls or sticks.
pub const fn pack_word(pack_m: f64) -> &'static str {
    if pack_m > LONGEST_STICK_M { "roll" } else { "stick" }
}

impl Measure {
    /// How much of the base unit one of the person's units is, and the sign of that.
    pub const fn unit(self, units: Units) -> (f64, &'static str) {
        match (self, units.is_metric()) {
            (Self::Length, _) => (units.length_unit().metres(), units.sign()),
            (Self::Piece, _) => (1.0, "each"),
            (Self::Hour, _) => (1.0, "h"),
            (Self::Volume, true) => (1.0, "m³"),
            (Self::Volume, false) => (FOOT_M * FOOT_M * FOOT_M * 27.0, "yd³"),
            (Self::Area, true) => (SQUARE_M_PER_HECTARE, "ha"),
            (Self::Area, false) => (SQUARE_M_PER_ACRE, "ac"),
        }
    }

    /// Decimals in which a quantity is bought and printed.
    const fn places(self) -> usize {
        match self {
            Self::Piece => 0,
            Self::Length | Self::Volume => 1,
            Self::Area => 2,
            // Half a minute of the machine.
            Self::Hour => 2,
        }
    }

    /// A quantity in base units as it is printed, in the person's unit: what is multiplied by the price.
    pub fn quantity(self, value: f64, units: Units) -> f64 {
        round_half_up(value / self.unit(units).0, self.places() as i32)
    }

    /// A quantity in base units, in words: "236 ft", "3", "1.5 h".
    pub fn words(self, value: f64, units: Units) -> String {
        let figure = trimmed(self.quantity(value, units), 0, self.places());
        if self == Self::Piece { figure } else { format!("{figure} {}", self.unit(units).1) }
    }

    /// A price of one base unit as that of one of the person's, as it is printed.
    pub fn price(self, price: f64, units: Units) -> f64 {
        round_half_up(price * self.unit(units).0, PRICE_PLACES as i32)
    }

    /// A price of one base unit as that of one of the person's: "0.75 / ft", "22.00 each".
    pub fn price_words(self, price: f64, units: Units) -> String {
        let of = if self == Self::Piece { "" } else { "/ " };
        format!("{} {of}{}", trimmed(self.price(price, units), 2, PRICE_PLACES), self.unit(units).1)
    }
}

impl Goods {
    /// Every kind with its word.
    pub const ALL: [(Self, &'static str); 25] = [
        (Self::Perforated, "perforated pipe"),
        (Self::Solid, "solid pipe"),
        (Self::Heavy, "heavy solid pipe"),
        (Self::OutletStick, "outlet stick"),
        (Self::Tee, "tee"),
        (Self::Wye, "wye"),
        (Self::Reducer, "reducer"),
        (Self::Coupler, "coupler"),
        (Self::Cap, "end cap"),
        (Self::Elbow, "elbow"),
        (Self::Adapter, "adapter to old tile"),
        (Self::Guard, "animal guard"),
        (Self::Riser, "riser"),
        (Self::Orifice, "orifice"),
        (Self::Breather, "breather"),
        (Self::ReliefWell, "relief well"),
        (Self::SiltTrap, "silt trap"),
        (Self::JunctionBox, "junction box"),
        (Self::Drop, "drop fitting"),
        (Self::Sock, "sock"),
        (Self::Stone, "stone"),
        (Self::MachineHour, "machine hour"),
        (Self::Mobilisation, "mobilization"),
        (Self::Restoration, "restoration"),
        (Self::TrenchProtection, "trench protection"),
    ];

    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL.into_iter().find(|(goods, _)| *goods == self).map_or("", |(_, word)| word)
    }

    /// By what it is counted.
    pub const fn measure(self) -> Measure {
        match self {
            Self::Perforated | Self::Solid | Self::Heavy | Self::Sock | Self::TrenchProtection => Measure::Length,
            Self::Stone => Measure::Volume,
            Self::MachineHour => Measure::Hour,
            Self::Restoration => Measure::Area,
            _ => Measure::Piece,
        }
    }

    /// True for what a supplier delivers; false for work.
    pub const fn is_material(self) -> bool {
        !matches!(self, Self::MachineHour | Self::Mobilisation | Self::Restoration | Self::TrenchProtection)
    }
}

/// A row of the price list.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PriceRow {
    /// What it is for.
    pub goods: Goods,
    /// Nominal size, metres; any size for `None`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size_m: Option<f64>,
    /// Size of the branch of a tee or wye, or of the smaller end of a reducer, metres; any for `None`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub branch_m: Option<f64>,
    /// Price of a metre, piece, cubic metre, hour or square metre.
    pub price: f64,
    /// Length of a roll or stick, metres, where it comes so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pack_m: Option<f64>,
}

impl PriceRow {
    /// True where both rows are for the same: the same goods of the same sizes, as far as they name sizes.
    pub fn is_for_same(&self, other: &Self) -> bool {
        let is_same = |a: Option<f64>, b: Option<f64>| match (a, b) {
            (None, None) => true,
            (Some(a), Some(b)) => (a - b).abs() <= SAME_SIZE * a.max(b),
            _ => false,
        };
        self.goods == other.goods && is_same(self.size_m, other.size_m) && is_same(self.branch_m, other.branch_m)
    }
}

/// How fast the machine digs from a depth of trench down.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct DigRate {
    /// Depth of trench from which it holds, metres.
    pub from_m: f64,
    /// Metres of trench in an hour.
    pub per_hour_m: f64,
}

/// The prices of a job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct PriceList {
    /// Where the prices come from: "quote of 3 May". Printed with every sum.
    pub source: String,
    /// Sign or code of the currency: "$", "EUR"; empty until somebody says.
    pub currency: String,
    /// The rows.
    pub rows: Vec<PriceRow>,
    /// How fast the machine digs, from the surface down; one rate at any depth to begin with.
    pub rates: Vec<DigRate>,
    /// How much longer digging takes in this ground than in ordinary soil: 1 for ordinary, 2 for twice as long.
    pub hardness: f64,
    /// Share of pipe that is lost in cutting and laps: 5 % (3 to 5 %, common practice, no source).
    pub waste: f64,
    /// Contingency, a share for what nobody knows yet: 12 % (10 to 15 %, judgement).
    #[serde(rename = "reserve")]
    pub contingency: f64,
    /// Width of the land that digging tears up, metres.
    pub disturbed_m: f64,
}

impl Default for PriceList {
    fn default() -> Self {
        Self {
            source: String::new(),
            currency: String::new(),
            rows: Vec::new(),
            rates: vec![DigRate { from_m: 0.0, per_hour_m: FEET_STARTS.dig_rate_m }],
            hardness: 1.0,
            waste: 0.05,
            contingency: 0.12,
            disturbed_m: FEET_STARTS.disturbed_m,
        }
    }
}

/// True for what can be the sign or code of a currency: letters or signs, no figures, no blanks.
pub fn is_currency(text: &str) -> bool {
    let fits = |c: char| !c.is_whitespace() && !c.is_control() && !c.is_numeric() && !",;\"'".contains(c);
    text.chars().count() <= 12 && text.chars().all(fits)
}

/// Sizes this near are one, as a share: 150 mm in a metric list is what 6 in is in the plan, 1.6 % off; the nearest
/// stocked sizes are 20 % apart.
const SAME_SIZE: f64 = 0.02;

impl PriceList {
    /// The empty list that a job of those units starts with.
    pub fn of(units: Units) -> Self {
        let starts = Starts::of(units.is_metric());
        let rates = vec![DigRate { from_m: 0.0, per_hour_m: starts.dig_rate_m }];
        Self { rates, disturbed_m: starts.disturbed_m, ..Self::default() }
    }

    /// The row for goods of a size: the one that names most of it.
    pub fn row(&self, goods: Goods, size_m: Option<f64>, branch_m: Option<f64>) -> Option<&PriceRow> {
        let fits = |asked: Option<f64>, row: Option<f64>| match (asked, row) {
            (_, None) => Some(0),
            (Some(asked), Some(row)) if (asked - row).abs() <= SAME_SIZE * asked => Some(1),
            _ => None,
        };
        let rows = self.rows.iter().filter(|row| row.goods == goods);
        let named = rows.filter_map(|row| Some((fits(size_m, row.size_m)? + fits(branch_m, row.branch_m)?, row)));
        // The first of those that name as much.
        named.rev().max_by_key(|(named, _)| *named).map(|(_, row)| row)
    }

    /// Hours for a length of trench of a depth.
    pub fn hours(&self, length_m: f64, trench_m: f64) -> f64 {
        let rate = self.rates.iter().rfind(|rate| rate.from_m <= trench_m).or(self.rates.first());
        rate.map_or(0.0, |rate| length_m / rate.per_hour_m * self.hardness)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The sizes of metric lists (nominal 100 to 375 mm) price the inch sizes they stand for, and no other.
    #[test]
    fn metric_rows_price_inch_sizes() {
        let row = |size_mm: f64| PriceRow {
            goods: Goods::Perforated,
            size_m: Some(size_mm / 1000.0),
            branch_m: None,
            price: size_mm,
            pack_m: None,
        };
        let nominal = [75.0, 100.0, 125.0, 150.0, 200.0, 250.0, 300.0, 375.0];
        let list = PriceList { rows: nominal.map(row).to_vec(), ..PriceList::default() };
        for (inches, size_mm) in [3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0].into_iter().zip(nominal) {
            let found = list.row(Goods::Perforated, Some(inches * 0.0254), None);
            assert_eq!(found.map(|row| row.price), Some(size_mm), "{inches} in");
        }
        assert!(list.row(Goods::Perforated, Some(0.138), None).is_none());
    }
}
