//! Costs line by line, and what the whole estimate holds beside the lines, so that the rows add up to it.

use measure::Units;
use plan::{Goods, Measure};

use crate::estimate::hundredths;
use crate::{Estimate, Item};

/// A row of the costs by line. Money is in hundredths, as it is printed.
#[derive(Debug, Clone, PartialEq)]
pub struct CostRow {
    /// What it is: the name of a line, or what stands beside the lines.
    pub name: String,
    /// What it comes to part by part; `None` for what belongs to no line.
    pub parts: Option<CostParts>,
    /// Everything together.
    pub total: f64,
}

/// What a line, or all of them, comes to part by part.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct CostParts {
    /// Length on the plan, metres.
    pub length_m: f64,
    /// Pipe at the price of its length.
    pub pipe: f64,
    /// Fittings and structures.
    pub fittings: f64,
    /// Machine.
    pub machine: f64,
    /// Length of trench that must be sloped, shored or boxed, metres.
    pub protected_m: f64,
    /// Its protection.
    pub protection: f64,
}

impl CostParts {
    /// Everything together.
    pub fn total(&self) -> f64 {
        hundredths(self.pipe + self.fittings + self.machine + self.protection)
    }

    /// Both together, money to the cent.
    fn and(self, other: Self) -> Self {
        Self {
            length_m: self.length_m + other.length_m,
            pipe: hundredths(self.pipe + other.pipe),
            fittings: hundredths(self.fittings + other.fittings),
            machine: hundredths(self.machine + other.machine),
            protected_m: self.protected_m + other.protected_m,
            protection: hundredths(self.protection + other.protection),
        }
    }
}

/// What belongs to no line by itself, in the order of the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Beside {
    WholePacks,
    Envelope,
    Mobilization,
    Restoration,
    Rounding,
}

impl Beside {
    const ALL: [(Self, &'static str); 5] = [
        (Self::WholePacks, "whole rolls and sticks, waste"),
        (Self::Envelope, "sock and stone"),
        (Self::Mobilization, "mobilization"),
        (Self::Restoration, "restoration"),
        (Self::Rounding, "rounding of hours and lengths"),
    ];

    /// Where an item is counted that is bought for all lines together.
    const fn of(goods: Goods) -> Self {
        match goods {
            Goods::Perforated | Goods::Solid | Goods::Heavy | Goods::OutletStick => Self::WholePacks,
            Goods::Sock | Goods::Stone => Self::Envelope,
            Goods::Mobilisation => Self::Mobilization,
            Goods::Restoration => Self::Restoration,
            _ => Self::Rounding,
        }
    }
}

impl Estimate {
    /// Every line, all of them, what the estimate holds beside them row by row, and the estimate without its contingency,
    /// which the rows before it add up to.
    pub fn by_line(&self, units: Units) -> Vec<CostRow> {
        let row =
            |name: &str, parts: CostParts| CostRow { name: name.into(), parts: Some(parts), total: parts.total() };
        let mut rows: Vec<CostRow> = self.lines.iter().map(|line| row(&line.name, line.parts)).collect();
        let together = self.lines.iter().map(|line| line.parts).fold(CostParts::default(), CostParts::and);
        rows.push(row("all lines", together));
        let alone = |name: &str, total: f64| CostRow { name: name.into(), parts: None, total: hundredths(total) };
        let beside = Beside::ALL.iter().map(|(which, words)| alone(words, self.beside(*which, &together, units)));
        rows.extend(beside.filter(|row| row.total != 0.0));
        rows.push(alone("estimate, material and work", self.total()));
        rows
    }

    /// What the items of a kind come to beyond what the lines hold of them.
    fn beside(&self, which: Beside, lines: &CostParts, units: Units) -> f64 {
        let alike = self.items.iter().filter(|item| Beside::of(item.goods) == which);
        let items: f64 = alike.filter_map(|item| item.amount(units)).sum();
        match which {
            Beside::WholePacks => items - lines.pipe,
            Beside::Rounding => items - lines.fittings - lines.machine - lines.protection,
            _ => items,
        }
    }
}

impl CostRow {
    /// Its cells in words, as every table has them: name, length, pipe, fittings, machine, to protect, protection, together;
    /// `money` writes a sum.
    pub fn cells(&self, units: Units, money: impl Fn(f64) -> String) -> [String; 8] {
        let Some(parts) = self.parts else {
            let [a, b, c, d, e, f]: [String; 6] = Default::default();
            return [self.name.clone(), a, b, c, d, e, f, money(self.total)];
        };
        [
            self.name.clone(),
            units.length(parts.length_m),
            money(parts.pipe),
            money(parts.fittings),
            money(parts.machine),
            Measure::Length.words(parts.protected_m, units),
            money(parts.protection),
            money(self.total),
        ]
    }
}

impl Item {
    /// What its packs are called: "roll", "stick"; `None` where it comes in none.
    pub fn pack_word(&self) -> Option<&'static str> {
        self.packs.map(|(_, pack_m)| plan::pack_word(pack_m))
    }
}
