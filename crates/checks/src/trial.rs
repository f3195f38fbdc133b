//! Trials: a remedy is told only after it was carried out on a copy of the plan, the design worked out anew and everything
//! looked for again. It must clear its finding, and nothing that weighs as much may come.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

use measure::{Said, uncapped};
use plan::{Edit, Plan, Signature};

use crate::offer::{Least, Offer, Ways};
use crate::{Finding, Severity, Site};

/// Remedies that are told of one finding at most; the others are not even tried (own choice).
const MOST_TOLD: usize = 4;
/// Times an amount that does not do is made larger, and times it is halved back toward the least that does.
const GROWS: usize = 7;
const HALVES: usize = 12;
/// How much larger each time.
const GROWTH: f64 = 1.5;

/// What came of trying what a finding offers.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tried {
    /// The changes that clear it; the label of each says what is done.
    pub remedies: Vec<Edit>,
    /// Where there are none, what stands in the way of one that was offered.
    pub hindrance: Option<String>,
    /// Why nothing was tried, where nothing was.
    pub untried: Option<&'static str>,
}

/// Work that is done unasked for all findings together: trials times how much a plan holds. By count and not by time, so
/// that one plan always gives one list (own choice: some seconds).
const MOST_WORK: usize = 200_000;
/// Where not even so many trials are done unasked, as many as one finding may take, none is.
const FEWEST_TRIALS: usize = GROWS + HALVES;
/// Why nothing was tried.
const LARGE: &str = "the plan is large, ask for this finding alone";
const LESSER: &str = "the ground that the plan names is not all there";

impl Tried {
    /// The remedies in a sentence; that there is none, where changes were offered or nothing else helps.
    pub(crate) fn words(&self, ways: &Ways, advice: &str) -> String {
        if let Some(why) = self.untried {
            return if ways.is_empty() { String::new() } else { format!("No change was tried: {why}.") };
        }
        match &self.remedies[..] {
            [] if ways.is_empty() && !advice.is_empty() => String::new(),
            [] => match &self.hindrance {
                Some(hindrance) => format!("No single change clears it: {hindrance}."),
                None => "No single change clears it.".into(),
            },
            remedies => format!("{}.", either(&remedies.iter().map(|edit| edit.label.as_str()).collect::<Vec<_>>())),
        }
    }
}

/// "Raise it, or lower the other": of several the last after an "or".
fn either(labels: &[&str]) -> String {
    let (first, others) = labels.split_first().map_or(("", &[][..]), |(first, others)| (*first, others));
    let mut text = first.to_string();
    for (i, label) in others.iter().enumerate() {
        text.push_str(if i + 1 == others.len() { ", or " } else { ", " });
        text.push_str(&uncapped(label));
    }
    text
}

/// What came of one change.
enum Outcome {
    /// The finding is gone and nothing of its weight came.
    Clears,
    /// It is still there.
    Stays,
    /// It is gone, but something of its weight came.
    Brings(String),
    /// The plan refuses the change.
    Refused,
}

/// A plan with what was found in it, on which changes are tried.
#[derive(Clone, Copy)]
pub struct Trial<'a, 's> {
    /// The plan and what follows from it.
    pub site: &'a Site<'s>,
    /// Everything that was found in it.
    pub list: &'a [Finding],
    /// What is found in the plan after a change.
    pub rework: &'a (dyn Fn(&Plan) -> Vec<Finding> + Sync),
}

impl Trial<'_, '_> {
    /// All findings with what came of trying what they offer, in so many threads: each takes the next finding. The heaviest
    /// come first; once they took all the work that is done unasked, the others are told as skipped.
    pub fn all(&self, threads: usize) -> Vec<Finding> {
        let most = MOST_WORK / self.holds().max(1);
        self.first(if most < FEWEST_TRIALS { 0 } else { most }, threads)
    }

    /// The same with so many trials at most for all findings but the last that is tried.
    fn first(&self, most: usize, threads: usize) -> Vec<Finding> {
        let (next, spent) = (AtomicUsize::new(0), Mutex::new(Spent::default()));
        let work = || {
            let mut own: Vec<(usize, Tried)> = Vec::new();
            loop {
                let i = next.fetch_add(1, Ordering::Relaxed);
                let Some(finding) = self.list.get(i) else { return own };
                if spent.lock().unwrap_or_else(PoisonError::into_inner).sum >= most {
                    return own;
                }
                let (tried, count) = self.counted(finding, most);
                spent.lock().unwrap_or_else(PoisonError::into_inner).add(i, count, most);
                own.push((i, tried));
            }
        };
        let mut tried: BTreeMap<usize, Tried> = std::thread::scope(|scope| {
            let others: Vec<_> = (1..threads).map(|_| scope.spawn(work)).collect();
            let mut all = work();
            for other in others {
                match other.join() {
                    Ok(tried) => all.extend(tried),
                    // A trial that panics is a fault of the program, told as it would be without threads.
                    Err(panic) => std::panic::resume_unwind(panic),
                }
            }
            all.into_iter().collect()
        });
        let done = spent.into_inner().unwrap_or_else(PoisonError::into_inner).within;
        let with = |(i, finding): (usize, &Finding)| {
            // What other threads had begun meanwhile is dropped: the list does not hang on how many there are.
            let own = tried.remove(&i).filter(|_| i < done);
            finding.with_tried(Some(own.unwrap_or_else(|| skipped(finding))))
        };
        self.list.iter().enumerate().map(with).collect()
    }

    /// How much a plan holds that every trial works out anew.
    fn holds(&self) -> usize {
        let stations: usize = self.site.design.lines.values().map(|line| line.stations.len()).sum();
        stations + self.site.design.crossings.len() + self.site.plan.landmarks.len() + self.list.len()
    }

    /// Tries what a finding offers.
    pub fn tried(&self, finding: &Finding) -> Tried {
        self.counted(finding, usize::MAX).0
    }

    /// The same with how many changes were tried; after so many no further offer is looked at.
    fn counted(&self, finding: &Finding, most: usize) -> (Tried, usize) {
        let count = AtomicUsize::new(0);
        let rework = |plan: &Plan| {
            count.fetch_add(1, Ordering::Relaxed);
            (self.rework)(plan)
        };
        let is_spent = || count.load(Ordering::Relaxed) >= most;
        let tried = Trial { rework: &rework, ..*self }.offers_tried(finding, &is_spent);
        (tried, count.into_inner())
    }

    fn offers_tried(&self, finding: &Finding, is_spent: &dyn Fn() -> bool) -> Tried {
        if self.site.has_lesser_ground() {
            return Tried { untried: Some(LESSER), ..Tried::default() };
        }
        let mut remedies: Vec<Edit> = Vec::new();
        let mut stands = None;
        let mut untried = None;
        for offer in finding.ways.offers(self.site) {
            if remedies.len() == MOST_TOLD {
                break;
            }
            if is_spent() {
                untried = Some(LARGE).filter(|_| remedies.is_empty());
                break;
            }
            match self.one(finding, offer) {
                Ok(edit) if remedies.iter().all(|known| known.changes != edit.changes) => remedies.push(edit),
                Ok(_) => {}
                Err(hindrance) => stands = stands.or(hindrance),
            }
        }
        let hindrance = stands.filter(|_| remedies.is_empty());
        Tried { remedies, hindrance, untried }
    }

    /// The change that an offer comes to, or what stands in its way.
    fn one(&self, finding: &Finding, offer: Offer) -> Result<Edit, Option<String>> {
        let edits = match offer {
            Offer::One(edit) => vec![edit],
            Offer::First(edits) => edits,
            Offer::Least(least) => return self.least(finding, &least),
        };
        let mut stands = None;
        for edit in edits {
            match self.outcome(finding, &edit) {
                Outcome::Clears => return Ok(edit),
                Outcome::Brings(what) => stands = stands.or(Some(hindrance(&edit, &what))),
                Outcome::Stays | Outcome::Refused => {}
            }
        }
        Err(stands)
    }

    /// The change by the least amount in print that does it, looked for from the likely one: made larger until the finding is
    /// gone, then halved back.
    fn least(&self, finding: &Finding, least: &Least) -> Result<Edit, Option<String>> {
        let said = |amount_m: f64| (least.said)(self.site.units(), amount_m);
        let smallest_m = said(1e-6).value;
        let mut sought = Sought { fails_m: 0.0, goes_m: f64::INFINITY, best: None, hindrance: None };
        let mut amount = said(least.likely_m.max(smallest_m));
        for _ in 0..GROWS {
            if amount.value > least.most_m || sought.goes_m.is_finite() {
                break;
            }
            let Some(edit) = (least.edit)(&amount) else { break };
            sought.learn(amount.value, self.outcome(finding, &edit), edit);
            amount = said(sought.fails_m.max(amount.value) * GROWTH);
        }
        for _ in 0..HALVES {
            let middle = said((sought.fails_m + sought.goes_m.min(least.most_m)) / 2.0);
            if sought.is_found(&middle) {
                break;
            }
            let Some(edit) = (least.edit)(&middle) else { break };
            sought.learn(middle.value, self.outcome(finding, &edit), edit);
        }
        sought.best.ok_or(sought.hindrance)
    }

    /// Carries a change out on a copy and looks again.
    fn outcome(&self, finding: &Finding, edit: &Edit) -> Outcome {
        let mut plan = self.site.plan.clone();
        if plan.apply(&signed(edit)).is_err() {
            return Outcome::Refused;
        }
        let after = (self.rework)(&plan);
        if after.iter().any(|other| other.key == finding.key || other.hides.contains(&finding.key)) {
            return Outcome::Stays;
        }
        match comes(self.list, &after, finding.severity).next() {
            Some(other) => Outcome::Brings(other.title.clone()),
            None => Outcome::Clears,
        }
    }
}

/// Trials that findings took, added up in the order of the list.
#[derive(Default)]
struct Spent {
    /// Those that are done before one that comes earlier in the list.
    ahead: BTreeMap<usize, usize>,
    /// Findings that are done in turn, their trials, and how many of them began before the work was spent.
    turn: usize,
    sum: usize,
    within: usize,
}

impl Spent {
    fn add(&mut self, index: usize, count: usize, most: usize) {
        self.ahead.insert(index, count);
        while let Some(count) = self.ahead.remove(&self.turn) {
            self.within += usize::from(self.sum < most);
            (self.turn, self.sum) = (self.turn + 1, self.sum + count);
        }
    }
}

/// What is told of a finding whose remedies were not tried; one that offers none has none, tried or not.
fn skipped(finding: &Finding) -> Tried {
    match finding.ways.is_empty() {
        true => Tried::default(),
        false => Tried { untried: Some(LARGE), ..Tried::default() },
    }
}

/// What is known of the amount that is looked for.
struct Sought {
    /// The greatest amount after which the finding stays, metres.
    fails_m: f64,
    /// The least after which it is gone, metres.
    goes_m: f64,
    /// The change by the least after which nothing came.
    best: Option<Edit>,
    /// What came after the others.
    hindrance: Option<String>,
}

impl Sought {
    fn learn(&mut self, amount_m: f64, outcome: Outcome, edit: Edit) {
        match outcome {
            Outcome::Clears => (self.goes_m, self.best) = (amount_m, Some(edit)),
            Outcome::Brings(what) => {
                self.goes_m = amount_m;
                self.hindrance = Some(hindrance(&edit, &what));
            }
            Outcome::Stays | Outcome::Refused => self.fails_m = self.fails_m.max(amount_m),
        }
    }

    /// True where nothing is gained by looking at an amount between: the likely one did at once, none did, or no other is
    /// printed.
    fn is_found(&self, middle: &Said) -> bool {
        let at_once = self.best.is_some() && self.fails_m == 0.0;
        at_once || !self.goes_m.is_finite() || middle.value >= self.goes_m || middle.value <= self.fails_m
    }
}

fn hindrance(edit: &Edit, what: &str) -> String {
    format!("{}, but that brings: {what}", uncapped(&edit.label))
}

/// A correction of the survey is signed by whoever takes it up; a trial has nobody.
fn signed(edit: &Edit) -> Edit {
    let nobody = Signature { by: "trial".into(), on: "2000-01-01".into(), because: "trial".into() };
    if plan::wants_signature(edit) { plan::sign(edit, &nobody) } else { edit.clone() }
}

/// What a list has of a weight or more that another before it had not, or had with less weight, or was accepted.
pub fn comes<'a>(before: &[Finding], after: &'a [Finding], weight: Severity) -> impl Iterator<Item = &'a Finding> {
    let known: BTreeMap<&str, &Finding> = before.iter().map(|finding| (finding.key.as_str(), finding)).collect();
    let is_known = move |finding: &Finding| {
        known.get(finding.key.as_str()).is_some_and(|then| {
            then.severity <= finding.severity && (then.accepted.is_none() || finding.accepted.is_some())
        })
    };
    after
        .iter()
        .filter(move |finding| finding.severity <= weight && !is_known(finding))
        .collect::<Vec<_>>()
        .into_iter()
}

#[cfg(test)]
mod tests {
    use plan::Joins;

    use super::*;
    use crate::job::{Job, LATERAL};
    use crate::punch_list;

    /// What is done unasked is bounded by count: the heaviest findings are tried, the others say that they were not, and
    /// the list is the same whatever the number of threads.
    #[test]
    fn trials_are_bounded_and_what_was_not_tried_is_told() {
        let mut job = Job::new();
        for i in 0..6 {
            let y = 40.0 * f64::from(i);
            let line = job.line(&format!("L{i}"), LATERAL, &[(0.0, y), (100.0, y)], Joins::Nothing);
            job.change(line, |line| line.capped = false);
        }
        let (plan, land, count) = (&job.plan, job.land(), AtomicUsize::new(0));
        let design = design::work_out(plan, &land::Land::default());
        let (site, list) = (Site::new(plan, &design, &land), punch_list(plan, &design, &land));
        let rework = |plan: &Plan| {
            count.fetch_add(1, Ordering::Relaxed);
            punch_list(plan, &design::work_out(plan, &land::Land::default()), &land)
        };
        let trial = Trial { site: &site, list: &list, rework: &rework };
        let is_skipped = |finding: &Finding| finding.tried.as_ref().is_some_and(|tried| tried.untried.is_some());
        let whole = trial.all(1);
        assert!(!whole.iter().any(is_skipped), "a small plan is tried whole");
        let all = count.swap(0, Ordering::Relaxed);
        let some = trial.first(2, 1);
        assert!((2..all).contains(&count.swap(0, Ordering::Relaxed)));
        let skipped: Vec<&Finding> = some.iter().filter(|finding| is_skipped(finding)).collect();
        assert!(
            !skipped.is_empty() && skipped.iter().all(|finding| finding.way_out().contains("No change was tried"))
        );
        assert!(some.iter().zip(&whole).all(|(one, other)| is_skipped(one) || one == other));
        for threads in [2, 3] {
            assert_eq!(trial.first(2, threads), some);
        }
    }
}
