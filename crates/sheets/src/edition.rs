//! Which revision the sheets are, what it tells otherwise than the one before, and whether sheets may be issued.

use std::fmt;

use checks::Finding;
use design::Design;
use plan::{Edit, OpenFinding, Plan, Reference, Revision, Signature, Told};

use crate::facts::{changes, is_rod};
use crate::notices::{Listed, listed};

/// What stands at the head of every sheet about its revision.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Edition {
    /// "Revision B, replaces revision A", or "DRAFT".
    pub title: String,
    /// What the reader must know before he digs by it.
    pub warning: Option<String>,
    /// What it tells otherwise than the revision before, each by name.
    pub changed: Vec<String>,
    /// True where these are the sheets that were issued last.
    pub in_force: bool,
}

/// What the sheets of a plan that tell so much are today.
pub fn edition(plan: &Plan, told: &Told) -> Edition {
    edition_among(plan, &plan.revisions, told)
}

/// The same for files that say nothing of the laser: its planes are left out on both sides.
pub fn edition_without_rods(plan: &Plan, told: &Told) -> Edition {
    let mut revisions = plan.revisions.clone();
    revisions.iter_mut().for_each(|revision| revision.facts.retain(|fact| !is_rod(fact)));
    let mut told = told.clone();
    told.facts.retain(|fact| !is_rod(fact));
    edition_among(plan, &revisions, &told)
}

fn edition_among(plan: &Plan, revisions: &[Revision], told: &Told) -> Edition {
    let Some((last, before)) = revisions.split_last() else {
        return Edition { title: "DRAFT, not issued".into(), ..Edition::default() };
    };
    if last.tells(told) {
        let replaces = before.last().map(|old| format!(", replaces revision {}", old.letter)).unwrap_or_default();
        let how = if last.is_all_the_same() { " ALL THE SAME" } else { "" };
        let title = format!("Revision {}{how}{replaces}, {}, {}", last.letter, last.signed.by, last.signed.on);
        return Edition { title, warning: None, changed: last.changed.clone(), in_force: true };
    }
    if let Some(old) = before.iter().rev().find(|old| old.tells(told)) {
        let warning = format!(
            "REVISION {} IS OUT OF DATE: revision {} of {} replaced it. Do not dig by it.",
            old.letter, last.letter, last.signed.on
        );
        let title = format!("Revision {}, replaced", old.letter);
        return Edition { title, warning: Some(warning), ..Edition::default() };
    }
    let changed = changes(plan, last, told);
    let warning = format!(
        "Differs from revision {}, which is in the cab. Issue the next revision before digging. Changed: {}.",
        last.letter,
        changed.join("; ")
    );
    Edition { title: format!("DRAFT after revision {}", last.letter), warning: Some(warning), ..Edition::default() }
}

/// The last revision where the sheets are its own.
pub(crate) fn in_force<'a>(plan: &'a Plan, edition: &Edition) -> Option<&'a Revision> {
    plan.revisions.last().filter(|_| edition.in_force)
}

/// Why sheets do not leave: what is to be fixed, where, and what would lift it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeldBack(pub Vec<String>);

impl fmt::Display for HeldBack {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let what = if self.0.len() == 1 { "finding blocks" } else { "findings block" };
        write!(f, "{} {what} digging:", self.0.len())?;
        self.0.iter().try_for_each(|finding| write!(f, "\n  {finding}"))
    }
}

impl std::error::Error for HeldBack {}

/// What holds sheets back, each with its place and what would lift it; nothing where they may be issued. A stretch that
/// nobody digs holds no sheet back: it is printed so.
pub fn held_back(plan: &Plan, design: &Design, findings: &[Finding], reference: &Reference) -> Vec<String> {
    let words = |listed: &Listed| {
        let finding = listed.finding;
        let place = listed.place(plan, reference.across);
        format!("{}. {}, at {place}: {}", listed.number, finding.title, finding.text())
    };
    listed(plan, design, findings).iter().filter(|listed| listed.holds_back()).map(words).collect()
}

/// Issues the sheets under the next letter. Refused while something holds them back, unless they leave all the same, which
/// the signature answers for; what is open is kept with the revision.
pub fn issue(
    plan: &Plan,
    design: &Design,
    findings: &[Finding],
    reference: &Reference,
    (told, signed): (Told, &Signature),
    all_the_same: bool,
) -> Result<Edit, HeldBack> {
    let held_back = held_back(plan, design, findings, reference);
    if !held_back.is_empty() && !all_the_same {
        return Err(HeldBack(held_back));
    }
    let open = |listed: &Listed| OpenFinding {
        subject: listed.finding.subject(),
        title: listed.finding.title.clone(),
        place: listed.place(plan, reference.across),
        no_dig: listed.no_dig,
    };
    let listed = listed(plan, design, findings);
    let open = listed.iter().filter(|listed| listed.holds_back() || listed.no_dig).map(open).collect();
    let changed = plan.revisions.last().map(|last| changes(plan, last, &told)).unwrap_or_default();
    Ok(plan::issue(plan, told, changed, open, signed))
}
