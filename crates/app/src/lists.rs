//! How the lists stand: what is looked for in them, how they are sorted and grouped.

use std::collections::BTreeSet;

use checks::{Finding, Severity};
use job::line_list::Column;
use measure::Point;
use plan::{LineId, Plan};

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
    /// The line that was chosen last without Shift: from it Shift chooses on.
    pub from: Option<LineId>,
    /// The line that was gone to last: from it the arrow keys go on.
    pub at: Option<LineId>,
    /// True where it is to take the keys.
    pub takes_keys: bool,
}

impl LineList {
    /// Sorts by a column; by the same once more the other way round.
    pub fn sort_by(&mut self, column: Column) {
        self.falling = self.by == column && !self.falling;
        self.by = column;
    }
}

/// By what findings are put together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Grouping {
    /// All in one list, the heaviest first.
    #[default]
    None,
    /// By the check that found them.
    Check,
    /// By what they are about.
    Line,
    /// By how much they weigh.
    Severity,
}

impl Grouping {
    /// All of them with their words.
    pub const ALL: [(Self, &'static str); 4] =
        [(Self::None, "nothing"), (Self::Check, "check"), (Self::Line, "line"), (Self::Severity, "severity")];

    /// The group of a finding, in words.
    fn of(self, finding: &Finding, plan: &Plan) -> String {
        match self {
            Self::None => String::new(),
            Self::Check => checks::RULES
                .iter()
                .find(|rule| rule.number == finding.check)
                .map_or(finding.slug, |rule| rule.title)
                .into(),
            Self::Line => finding.about().and_then(|id| plan.object_name(id)).unwrap_or("the plan as a whole").into(),
            Self::Severity => finding.severity.word().into(),
        }
    }
}

/// Findings that are put together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Group {
    /// What they share; empty where nothing is grouped.
    pub name: String,
    /// Their numbers in the punch list, from 0.
    pub findings: Vec<usize>,
}

/// How the punch list stands.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PunchList {
    /// What is looked for, as typed.
    pub find: String,
    /// Severities that are hidden.
    pub without: BTreeSet<Severity>,
    /// The line that they must be about.
    pub line: Option<LineId>,
    /// By what they are grouped.
    pub by: Grouping,
    /// Groups of which only the name is shown.
    pub folded: BTreeSet<String>,
    /// True where it is to take the keys.
    pub takes_keys: bool,
}

impl PunchList {
    /// True for a finding that is shown.
    pub fn shows(&self, finding: &Finding) -> bool {
        let is_here = self.line.is_none_or(|line| finding.stretches_on(line).is_some());
        is_here && !self.without.contains(&finding.severity) && self.is_meant(finding)
    }

    /// Every word that was typed stands in what a finding says; its number alone means its check.
    fn is_meant(&self, finding: &Finding) -> bool {
        let find = self.find.trim().to_lowercase();
        let words = || format!("{} {} {}", finding.title, finding.message, finding.slug).to_lowercase();
        find.is_empty() || find == finding.check.to_string() || {
            let words = words();
            find.split_whitespace().all(|word| words.contains(word))
        }
    }

    /// What is shown, group by group, in the order in which each has its heaviest.
    pub fn groups(&self, findings: &[Finding], plan: &Plan) -> Vec<Group> {
        let mut groups: Vec<Group> = Vec::new();
        for (i, finding) in findings.iter().enumerate().filter(|(_, finding)| self.shows(finding)) {
            let name = self.by.of(finding, plan);
            match groups.iter_mut().find(|group| group.name == name) {
                Some(group) => group.findings.push(i),
                None => groups.push(Group { name, findings: vec![i] }),
            }
        }
        groups
    }

    /// The finding so many on from one in the order in which they are shown; the first where that one is not shown. It stops at
    /// both ends.
    pub fn from<'a>(
        &self,
        (findings, plan): (&'a [Finding], &Plan),
        now: Option<(u16, Point)>,
        step: isize,
    ) -> Option<&'a Finding> {
        let order: Vec<usize> = self.groups(findings, plan).into_iter().flat_map(|group| group.findings).collect();
        let is_now = |i: &usize| now == Some((findings[*i].check, findings[*i].at));
        let next = order.iter().position(is_now).map_or(0, |at| at.saturating_add_signed(step));
        order.get(next.min(order.len().saturating_sub(1))).map(|i| &findings[*i])
    }

    /// Shows everything again; how it is grouped stays.
    pub fn show_all(&mut self) {
        *self = Self { by: self.by, ..Self::default() };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The plan with ten mistakes: groups hold what is shown, each once, and none but that.
    #[test]
    fn groups_hold_each_finding_once() {
        let session = job::files::demo_session(job::demo::ten_mistakes()).expect("the plan with ten mistakes");
        let (findings, plan) = (&session.worked().findings, session.plan());
        for (by, _) in Grouping::ALL {
            let punch = PunchList { by, ..PunchList::default() };
            let mut all: Vec<usize> = punch.groups(findings, plan).into_iter().flat_map(|g| g.findings).collect();
            all.sort_unstable();
            assert_eq!(all, (0..findings.len()).collect::<Vec<_>>(), "{by:?}");
        }
        let severity = PunchList { by: Grouping::Severity, ..PunchList::default() };
        let names: Vec<String> = severity.groups(findings, plan).into_iter().map(|group| group.name).collect();
        assert_eq!(names, ["to fix", "to decide", "note"]);
        let heavy = PunchList { without: [Severity::Decide, Severity::Note].into(), ..PunchList::default() };
        assert!(findings.iter().all(|finding| heavy.shows(finding) == (finding.severity == Severity::Block)));
        let find = PunchList { find: findings[0].title.to_uppercase(), ..PunchList::default() };
        assert!(find.shows(&findings[0]));
    }

    #[test]
    fn stepping_goes_through_what_is_shown_and_stops_at_both_ends() {
        let session = job::files::demo_session(job::demo::ten_mistakes()).expect("the plan with ten mistakes");
        let of = (session.worked().findings.as_slice(), session.plan());
        let punch = PunchList { by: Grouping::Line, ..PunchList::default() };
        let mut now = None;
        let mut seen = Vec::new();
        for _ in 0..of.0.len() + 3 {
            let next = punch.from(of, now, 1).expect("a finding");
            now = Some((next.check, next.at));
            seen.push(next.key.clone());
        }
        seen.dedup();
        assert_eq!(seen.len(), of.0.len());
        assert_eq!(punch.from(of, now, -1).map(|f| &f.key), seen.get(seen.len() - 2));
    }
}
