//! A numbered mark at the place of every finding above a note, and of the one that is looked at.

use checks::{Finding, Severity};

use super::{MapOf, sign};
use crate::role::Role;
use crate::scene::{Emphasis, Item};

/// The marks with their numbers on the punch list, the worst last.
pub fn items<'a>(map: &MapOf<'a>) -> Vec<Item<'a>> {
    let mark = |(i, finding): (usize, &Finding)| {
        let emphasis = if map.is_looked_at(finding) { Emphasis::LookedAt } else { Emphasis::Plain };
        let item = sign(Role::Finding(finding.severity), finding.at).saying((i + 1).to_string());
        Item { emphasis, ..item }
    };
    let is_shown = |finding: &Finding| finding.severity != Severity::Note || map.is_looked_at(finding);
    map.findings.iter().enumerate().filter(|(_, finding)| is_shown(finding)).map(mark).rev().collect()
}
