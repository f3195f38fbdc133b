//! Who the job is for, where it lies, who made the plan and under which ticket it is dug: the title block of its sheets.

use serde::{Deserialize, Serialize};

/// What stands in the title block beside the job's name and date. Nothing of it is asked for; what is empty is left out.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct TitleBlock {
    /// Who owns the land.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub owner: String,
    /// Number or name of the parcel.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub parcel: String,
    /// County or district in which it lies.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub county: String,
    /// Who drew the plan.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub planner: String,
    /// Who checked it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub checker: String,
    /// Number of the ticket under which utilities over the whole site are located; those of single utilities are with them.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub ticket: String,
    /// Last day on which that ticket holds, `YYYY-MM-DD`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ticket_until: Option<String>,
}

/// A text of the title block.
#[derive(Debug, Clone, Copy)]
pub struct TitleEntry {
    /// What it is called.
    pub label: &'static str,
    /// The text.
    pub of: fn(&TitleBlock) -> &str,
    /// Where it is kept.
    pub of_mut: fn(&mut TitleBlock) -> &mut String,
}

macro_rules! entries {
    ($($label:literal: $member:ident),+ $(,)?) => {
        [$(TitleEntry { label: $label, of: |block| &block.$member, of_mut: |block| &mut block.$member }),+]
    };
}

/// The texts of the title block, in the order in which they stand there.
pub const TITLE_ENTRIES: [TitleEntry; 6] = entries! {
    "Owner": owner,
    "Parcel": parcel,
    "County or district": county,
    "Drawn by": planner,
    "Checked by": checker,
    "Locate ticket of the site": ticket,
};

impl TitleBlock {
    /// True where nothing is entered.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}
