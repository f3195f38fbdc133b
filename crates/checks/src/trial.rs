//! Trials: a remedy is told only after it was carried out on a copy of the plan, the design worked out anew and everything
//! looked for again. It must clear its finding, and nothing that weighs as much may come.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};

use measure::Said;
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

/// A label within a sentence.
fn uncapped(label: &str) -> String {
    let mut letters = label.chars();
    letters.next().map_or(String::new(), |first| first.to_lowercase().chain(letters).collect())
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
pub struct Trial<'a, 's> {
    /// The plan and what follows from it.
    pub site: &'a Site<'s>,
    /// Everything that was found in it.
    pub list: &'a [Finding],
    /// What is found in the plan after a change.
    pub rework: &'a (dyn Fn(&Plan) -> Vec<Finding> + Sync),
}

impl Trial<'_, '_> {
    /// All findings with what came of trying what they offer, in so many threads: each takes the next finding.
    pub fn all(&self, threads: usize) -> Vec<Finding> {
        let next = AtomicUsize::new(0);
        let work = || {
            let mut own: Vec<(usize, Tried)> = Vec::new();
            loop {
                let i = next.fetch_add(1, Ordering::Relaxed);
                let Some(finding) = self.list.get(i) else { return own };
                own.push((i, self.tried(finding)));
            }
        };
        let tried: BTreeMap<usize, Tried> = std::thread::scope(|scope| {
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
        let with = |(finding, tried): (&Finding, Tried)| finding.with_tried(Some(tried));
        self.list.iter().zip(tried.into_values()).map(with).collect()
    }

    /// Tries what a finding offers.
    pub fn tried(&self, finding: &Finding) -> Tried {
        if self.site.has_lesser_ground() {
            return Tried { untried: Some("the ground that the plan names is not all there"), ..Tried::default() };
        }
        let mut remedies: Vec<Edit> = Vec::new();
        let mut stands = None;
        for offer in finding.ways.offers(self.site) {
            if remedies.len() == MOST_TOLD {
                break;
            }
            match self.one(finding, offer) {
                Ok(edit) if remedies.iter().all(|known| known.changes != edit.changes) => remedies.push(edit),
                Ok(_) => {}
                Err(hindrance) => stands = stands.or(hindrance),
            }
        }
        let hindrance = stands.filter(|_| remedies.is_empty());
        Tried { remedies, hindrance, untried: None }
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
    format!("{}, and this comes: {what}", uncapped(&edit.label))
}

/// A correction of the survey is signed by whoever takes it up; a trial has nobody.
fn signed(edit: &Edit) -> Edit {
    let nobody = Signature { by: "trial".into(), on: "2000-01-01".into(), because: "trial".into() };
    if plan::wants_signature(edit) { plan::sign(edit, &nobody) } else { edit.clone() }
}

/// What a list has of a weight or more that another before it had not, or had with less weight, or left as it was.
pub fn comes<'a>(before: &[Finding], after: &'a [Finding], weight: Severity) -> impl Iterator<Item = &'a Finding> {
    let known: BTreeMap<&str, &Finding> = before.iter().map(|finding| (finding.key.as_str(), finding)).collect();
    let is_known = move |finding: &Finding| {
        known
            .get(finding.key.as_str())
            .is_some_and(|then| then.severity <= finding.severity && (then.left.is_none() || finding.left.is_some()))
    };
    after
        .iter()
        .filter(move |finding| finding.severity <= weight && !is_known(finding))
        .collect::<Vec<_>>()
        .into_iter()
}
