//! What a plan file holds beside the plan: members that this program does not know, a newer program's or a colleague's.

/// One step of the way to a member of a plan file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Step {
    /// Into a member, by its name.
    Member(String),
    /// Into an item of a list.
    Item {
        /// Its place in the list, from 0.
        index: usize,
        /// What is known of it, as JSON: by that it is found again when the list has changed.
        was: String,
        /// What is known of the items before and after it; with both beside it, one that was changed is known again.
        beside: [String; 2],
    },
}

/// A member of a plan file that this program does not know. It is kept and written again with what it belongs to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unknown {
    /// The way to it from the head of the file, its own name last.
    pub way: Vec<Step>,
    /// What it holds, as JSON.
    pub json: String,
    /// The known member that may have been meant.
    pub meant: Option<String>,
}

impl Unknown {
    /// Its place in the file: `plan.lines[3].namme`.
    pub fn place(&self) -> String {
        let mut place = String::new();
        for step in &self.way {
            match step {
                Step::Item { index, .. } => place.push_str(&format!("[{index}]")),
                Step::Member(id) if id.bytes().all(|b| b.is_ascii_digit()) => place.push_str(&format!("[{id}]")),
                Step::Member(name) if place.is_empty() => place.push_str(name),
                Step::Member(name) => place.push_str(&format!(".{name}")),
            }
        }
        place
    }

    /// A sentence about it: "plan.lines\[3\].namme is not known and is kept as it is; did you mean name?".
    pub fn words(&self) -> String {
        let asked = self.meant.as_ref().map_or(String::new(), |meant| format!("; did you mean {meant}?"));
        format!("{} is not known and is kept as it is{asked}", self.place())
    }
}
