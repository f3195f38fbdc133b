//! What the lessons are about.

/// What a class is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Topic {
    /// Rain on the map: where water gathers.
    #[default]
    WhereWaterGoes,
    /// A section between two pipes, day by day.
    UnderTheGround,
    /// One pipe at five grades.
    WhatGradeDoes,
    /// Where does water gather? The class draws it before it is shown.
    GuessFirst,
}

impl Topic {
    /// All of them, as they are listed.
    pub const ALL: [Self; 4] = [Self::WhereWaterGoes, Self::UnderTheGround, Self::WhatGradeDoes, Self::GuessFirst];

    /// The ready lessons, as they are numbered from 1.
    pub const READY: [Self; 3] = [Self::WhereWaterGoes, Self::UnderTheGround, Self::WhatGradeDoes];

    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::WhereWaterGoes => "Where water goes",
            Self::UnderTheGround => "Under the ground",
            Self::WhatGradeDoes => "What grade does",
            Self::GuessFirst => "Guess first",
        }
    }

    /// How many steps it has beyond its first picture: the rain and the days after it; the grades one after the other and the dip.
    pub const fn steps(self) -> usize {
        match self {
            Self::UnderTheGround => 1 + crate::DAYS,
            Self::WhatGradeDoes => crate::GRADES.len() + 1,
            Self::WhereWaterGoes | Self::GuessFirst => 0,
        }
    }

    /// What stands beside its figures.
    pub const fn caution(self) -> &'static str {
        match self {
            Self::UnderTheGround => {
                "Worked out for teaching, from an invented soil: an estimate. A field needs its own pits."
            }
            Self::WhatGradeDoes => {
                "Worked out for teaching, for a clean pipe that runs full: an estimate. Silt, roots and dips leave less."
            }
            Self::WhereWaterGoes | Self::GuessFirst => {
                "Worked out for teaching, from an invented field: an estimate. Walk the ground before you draw on it."
            }
        }
    }

    /// The one before it in the list; the first has none.
    pub fn before(self) -> Option<Self> {
        let at = Self::ALL.iter().position(|topic| *topic == self)?;
        Self::ALL.get(at.checked_sub(1)?).copied()
    }

    /// The one after it in the list; the last has none.
    pub fn after(self) -> Option<Self> {
        let at = Self::ALL.iter().position(|topic| *topic == self)?;
        Self::ALL.get(at + 1).copied()
    }
}
