//! How the lists stand: what is looked for in them, how they are sorted and grouped.

use job::line_list::Column;
use plan::LineId;

/// The list of lines.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct LineList {
    /// True while it stands under the map, where else the profile does.
    pub open: bool,
    /// What is looked for, as typed.
    pub find: String,
    /// The column it is sorted by.
    pub by: Column,
    /// True where the greatest stands first.
    pub falling: bool,
    /// The line that was chosen last: from it Shift chooses on.
    pub from: Option<LineId>,
}

impl LineList {
    /// Sorts by a column; by the same once more the other way round.
    pub fn sort_by(&mut self, column: Column) {
        self.falling = self.by == column && !self.falling;
        self.by = column;
    }
}
