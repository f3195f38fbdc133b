//! Buried utilities on a drawing: ink with a code letter, and a small swatch of the color in which they are marked on the
//! ground, so that nobody takes one for another, nor for water.
//!
//! Colors are those of the American Public Works Association's Uniform Color Code for marking underground utility lines, as
//! ANSI Z535.1 names them; from memory, unverified. Letters are common practice, no source.

use plan::Carries;

use crate::role::{MarkSort, Role};

/// A color of the code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Marking {
    /// Electric power.
    Red,
    /// Gas, oil, steam.
    Yellow,
    /// Communication.
    Orange,
    /// Drinking water.
    Blue,
    /// Sewers and drains.
    Green,
    /// Reclaimed water, irrigation, slurry.
    Purple,
    /// Survey marks.
    Pink,
}

impl Marking {
    /// Its name.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Red => "red",
            Self::Yellow => "yellow",
            Self::Orange => "orange",
            Self::Blue => "blue",
            Self::Green => "green",
            Self::Purple => "purple",
            Self::Pink => "pink",
        }
    }
}

impl Role {
    /// The code letter of what is marked on the ground by the code, and its color where that is known; `None` for everything
    /// else. What nobody knows has no color: white is for proposed digging.
    pub const fn code(self) -> Option<(&'static str, Option<Marking>)> {
        let (letter, marking) = match self {
            Self::Mark(MarkSort::Utility(carries)) => match carries {
                Carries::Power => ("E", Marking::Red),
                Carries::Gas => ("G", Marking::Yellow),
                Carries::Oil => ("O", Marking::Yellow),
                Carries::Telecom => ("C", Marking::Orange),
                Carries::Water => ("W", Marking::Blue),
                Carries::Sewer => ("S", Marking::Green),
                Carries::Reclaimed => ("R", Marking::Purple),
                Carries::Unknown => return Some(("?", None)),
            },
            Self::Mark(MarkSort::Irrigation) => ("I", Marking::Purple),
            Self::Benchmark => ("", Marking::Pink),
            _ => return None,
        };
        Some((letter, Some(marking)))
    }
}
