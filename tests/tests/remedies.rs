//! Whoever does what a finding says, to the digit printed, is rid of it, and nothing of its weight comes: every remedy that
//! is printed of hundreds of plans with mistakes is carried out as a person reads it, and the plan worked out from nothing.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "helpers of tests may stop the test")]

use std::collections::{BTreeMap, BTreeSet};

use crate::mutants::{Place, demo_fields, for_each, small_plans, with_mistakes};
use crate::typist;
use checks::Finding;
use plan::{Edit, Signature};

/// How many remedies of a check there were, how many cleared, and how many were carried out from their words alone.
#[derive(Default, Clone, Copy)]
struct Count {
    findings: usize,
    with_remedy: usize,
    remedies: usize,
    typed: usize,
    cleared: usize,
}

fn signed(edit: &Edit) -> Edit {
    let signed = Signature { by: "R. Wren".into(), on: "2031-04-02".into(), because: "checked".into() };
    if plan::wants_signature(edit) { plan::sign(edit, &signed) } else { edit.clone() }
}

/// What is wrong with a remedy after it was carried out.
fn fails(place: &Place, before: &[Finding], finding: &Finding, edit: &Edit) -> Option<String> {
    let mut plan = place.plan.clone();
    if let Err(error) = plan.apply(&signed(edit)) {
        return Some(format!("is refused: {error}"));
    }
    let after = place.work_out(plan).findings;
    if after.iter().any(|other| other.key == finding.key || other.hides.contains(&finding.key)) {
        return Some("leaves it".into());
    }
    let mut came = checks::comes(before, &after, finding.severity);
    came.next().map(|other| format!("brings {} {}: {}", other.key, other.title, other.message))
}

fn sweep(place: &Place) -> (BTreeMap<u16, Count>, Vec<String>) {
    let derived = place.work_out(place.plan.clone());
    let (mut counts, mut wrong) = (BTreeMap::<u16, Count>::new(), Vec::new());
    let tried = derived.tried();
    let keys: BTreeSet<&str> = tried.iter().map(|finding| finding.key.as_str()).collect();
    if keys.len() != tried.len() {
        wrong.push(format!("{}: two findings have one key", place.name));
    }
    for finding in tried {
        let count = counts.entry(finding.check).or_default();
        let remedies = finding.tried.iter().flat_map(|tried| &tried.remedies);
        count.findings += 1;
        count.with_remedy += usize::from(finding.fix().is_some());
        for remedy in remedies {
            let typed = typist::typed(&place.plan, &remedy.label);
            let fault = fails(place, tried, finding, typed.as_ref().unwrap_or(remedy));
            count.remedies += 1;
            count.typed += usize::from(typed.is_some());
            count.cleared += usize::from(fault.is_none());
            let what = |fault| format!("{}: {} \"{}\" {fault}", place.name, finding.key, remedy.label);
            wrong.extend(fault.map(what));
        }
    }
    (counts, wrong)
}

fn all_clear(places: &[Place]) {
    let (mut total, mut wrong) = (BTreeMap::<u16, Count>::new(), Vec::new());
    for (counts, faults) in for_each(places, sweep) {
        for (check, count) in counts {
            let sum = total.entry(check).or_default();
            sum.findings += count.findings;
            sum.with_remedy += count.with_remedy;
            sum.remedies += count.remedies;
            sum.typed += count.typed;
            sum.cleared += count.cleared;
        }
        wrong.extend(faults);
    }
    println!("{} plans\ncheck findings with-remedy remedies from-words cleared", places.len());
    for (check, c) in &total {
        println!(
            "{check:>5} {:>8} {:>11} {:>8} {:>10} {:>7}",
            c.findings, c.with_remedy, c.remedies, c.typed, c.cleared
        );
    }
    let sum = |of: fn(&Count) -> usize| total.values().map(of).sum::<usize>();
    let (remedies, typed, cleared) = (sum(|c| c.remedies), sum(|c| c.typed), sum(|c| c.cleared));
    println!(
        "  all {:>8} {:>11} {remedies:>8} {typed:>10} {cleared:>7}",
        sum(|c| c.findings),
        sum(|c| c.with_remedy)
    );
    assert!(wrong.is_empty(), "{} of {remedies}:\n{}", wrong.len(), wrong.join("\n"));
    assert!(typed > places.len() && remedies > typed, "{remedies} remedies, {typed} of them from their words");
}

#[test]
fn what_is_printed_clears() {
    let places = [with_mistakes(&demo_fields(), 12), with_mistakes(&small_plans(), 70)].concat();
    all_clear(&places);
}

/// The same over some thousands of plans.
#[test]
#[ignore = "runs for many minutes; cargo test -p whole-house --test all remedies:: -- --ignored --nocapture"]
fn what_is_printed_clears_in_thousands_of_plans() {
    let places = [with_mistakes(&demo_fields(), 120), with_mistakes(&small_plans(), 700)].concat();
    all_clear(&places);
}
