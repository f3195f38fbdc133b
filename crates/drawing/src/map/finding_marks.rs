//! A numbered mark at the place of every finding above a note, and of the one that is looked at; what nobody digs has
//! a sign of its own.

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
    let is_barred = |i: usize| map.no_dig.iter().any(|part| part.number == i + 1);
    let is_shown = |(i, finding): &(usize, &Finding)| {
        map.is_looked_at(finding) || (finding.severity != Severity::Note && !is_barred(*i))
    };
    map.findings.iter().enumerate().filter(is_shown).map(mark).rev().collect()
}
