//! The punch list: every check run, one finding per place, in order of weight.

use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering as AtomicOrdering};

use design::Design;
use land::Land;
use measure::{FOOT_M, distance};
use plan::{Acceptance, Gathered, LineId, Plan, Subject};

use crate::{Finding, Place, RULES, Site};

/// Checks that look at one trouble from several sides: at one place only the worst is shown, the others are named under
/// it (judgement).
const GROUPS: [&[u16]; 9] = [
    &[1, 2, 3, 4],
    &[12, 13, 14, 113],
    &[14, 71],
    &[25, 57],
    &[36, 38],
    &[48, 90],
    &[53, 86, 88, 114],
    &[64, 65, 118],
    &[67, 68, 69, 70, 96],
];

/// Points this near are one place, metres: 5 ft ([judgement]).
pub(crate) const SAME_PLACE_M: f64 = 5.0 * FOOT_M;

/// Everything that is wrong with a plan, the heaviest first; one finding per place.
pub fn punch_list(plan: &Plan, design: &Design, land: &Land) -> Vec<Finding> {
    punch_list_of(&Site::new(plan, design, land))
}

/// The same for a site that knows of a survey.
pub fn punch_list_of(site: &Site) -> Vec<Finding> {
    let mut all = all_rules(site);
    crate::key::name_all(site, &mut all);
    let mut found: Vec<(Key, Finding)> = all.into_iter().map(|f| (key(site, &f), f)).collect();
    found.sort_by(order);
    found.iter_mut().for_each(|(_, finding)| finding.accepted = accepted(&site.plan.acceptances, finding));
    one_per_place(found.into_iter().map(|(_, finding)| finding).collect())
}

/// What every rule finds, in the order of the rules, with as many threads as the site allows: each takes the next rule.
fn all_rules(site: &Site) -> Vec<Finding> {
    if site.threads < 2 {
        return RULES.iter().flat_map(|rule| (rule.find)(site)).collect();
    }
    let next = AtomicUsize::new(0);
    let work = || {
        let mut own: Vec<(usize, Vec<Finding>)> = Vec::new();
        loop {
            let i = next.fetch_add(1, AtomicOrdering::Relaxed);
            let Some(rule) = RULES.get(i) else { return own };
            own.push((i, (rule.find)(site)));
        }
    };
    let mut all = std::thread::scope(|scope| {
        let others: Vec<_> = (1..site.threads).map(|_| scope.spawn(work)).collect();
        let mut all = work();
        for other in others {
            match other.join() {
                Ok(found) => all.extend(found),
                // A rule that panics is a fault of the program, told as it would be without threads.
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        all
    });
    all.sort_by_key(|(i, _)| *i);
    all.into_iter().flat_map(|(_, found)| found).collect()
}

/// The entry that leaves a finding as it is. It lapses when the finding weighs more than it did, misses its limit by more
/// than a tenth of the limit more ([judgement]), or gathers a place that it did not or one that has grown
/// by more than a tenth (judgement, after the same rule).
fn accepted(acceptances: &[Acceptance], finding: &Finding) -> Option<Acceptance> {
    const WORSE_BY: f64 = 0.1;
    let subject = finding.subject();
    let holds = |acceptance: &&Acceptance| {
        let worse = finding.excess.zip(acceptance.excess).is_some_and(|(now, then)| now > then + WORSE_BY + 1e-9);
        let known = |place: &Place| acceptance.gathered.iter().any(|then| covers(then, &place.gathered(), WORSE_BY));
        // The title names what the subject does not, and tells two things wrong at one place apart.
        acceptance.title == finding.title
            && is_same(&acceptance.subject, &subject, finding)
            && finding.severity as u8 >= acceptance.weight
            && finding.places.iter().all(known)
            && !worse
    };
    acceptances.iter().find(holds).cloned()
}

/// True for a place that was gathered before and has hardly grown.
fn covers(then: &Gathered, now: &Gathered, grown_by: f64) -> bool {
    let length_m = |place: &Gathered| place.stretch_m.1 - place.stretch_m.0;
    let near = match now.line {
        Some(_) => overlap(then.stretch_m, now.stretch_m),
        None => distance(then.at, now.at) <= SAME_PLACE_M,
    };
    then.line == now.line && near && length_m(now) <= length_m(then) * (1.0 + grown_by) + SAME_PLACE_M
}

/// True for the same trouble of the same thing at the same place; what gathers places of the whole plan has one place.
fn is_same(then: &Subject, now: &Subject, finding: &Finding) -> bool {
    let near = || distance(then.at, now.at) <= SAME_PLACE_M;
    let place = match (then.stretch_m, now.stretch_m) {
        (Some(then), Some(now)) => overlap(then, now),
        _ => now.of.is_some() || !finding.places.is_empty() || near(),
    };
    let mark = then.mark.zip(now.mark).is_none_or(|(then, now)| then == now);
    then.check == now.check && then.of == now.of && mark && place
}

/// What findings are sorted by; worked out once for each.
struct Key<'a> {
    first: (crate::Severity, u16, Option<usize>, Option<&'a str>),
    then: [f64; 3],
}

fn key<'a>(site: &Site<'a>, finding: &Finding) -> Key<'a> {
    let rank = finding.line.map(|line| site.rank(line));
    let outlet = finding.outlet.and_then(|id| site.plan.outlets.get(&id)).map(|outlet| outlet.name.as_str());
    let then = [finding.from_m.unwrap_or(0.0), finding.at.x, finding.at.y];
    Key { first: (finding.severity, finding.check, rank, outlet), then }
}

fn order(x: &(Key, Finding), y: &(Key, Finding)) -> Ordering {
    let places = x.0.then.iter().zip(&y.0.then);
    let place = places.map(|(a, b)| a.total_cmp(b)).find(|order| order.is_ne()).unwrap_or(Ordering::Equal);
    x.0.first.cmp(&y.0.first).then(place).then_with(|| x.1.message.cmp(&y.1.message))
}

/// Of a group at one place keeps the first of the sorted list and names the others under it.
fn one_per_place(sorted: Vec<Finding>) -> Vec<Finding> {
    let mut kept: Vec<Finding> = Vec::with_capacity(sorted.len());
    // Which of the kept belong to each group, so that only those are asked.
    let mut members: [Members; GROUPS.len()] = Default::default();
    for finding in sorted {
        let groups: Vec<usize> = (0..GROUPS.len()).filter(|g| GROUPS[*g].contains(&finding.check)).collect();
        let others = groups.iter().flat_map(|g| members[*g].near(&finding));
        match others.filter(|i| same_place(&kept[*i], &finding) && may_gather(&kept[*i], &finding)).min() {
            Some(worse) => name_under(&mut kept[worse], &finding),
            None => {
                groups.iter().for_each(|g| members[*g].add(&finding, kept.len()));
                kept.push(finding);
            }
        }
    }
    kept
}

/// Findings of a group by line, and those at a point by a grid as wide as one place.
#[derive(Default)]
struct Members {
    by_line: BTreeMap<LineId, Vec<usize>>,
    by_cell: BTreeMap<(i64, i64), Vec<usize>>,
}

impl Members {
    fn add(&mut self, finding: &Finding, index: usize) {
        if let Some(line) = finding.line {
            self.by_line.entry(line).or_default().push(index);
        }
        if is_point(finding) {
            self.by_cell.entry(cell(finding)).or_default().push(index);
        }
    }

    /// Those that may lie at its place: all on its line, and points about it.
    fn near(&self, finding: &Finding) -> Vec<usize> {
        let mut near = finding.line.and_then(|line| self.by_line.get(&line)).cloned().unwrap_or_default();
        if is_point(finding) {
            let (col, row) = cell(finding);
            let around = (-1..=1).flat_map(|i| (-1..=1).map(move |j| (col.saturating_add(i), row.saturating_add(j))));
            near.extend(around.filter_map(|cell| self.by_cell.get(&cell)).flatten());
        }
        near
    }
}

fn cell(finding: &Finding) -> (i64, i64) {
    ((finding.at.x / SAME_PLACE_M).floor() as i64, (finding.at.y / SAME_PLACE_M).floor() as i64)
}

/// A check that finds two things at one place says both; another check on the same thing is named under the worse. What
/// concerns two marks stays apart, and so does what was accepted: it hides nothing.
fn may_gather(worse: &Finding, other: &Finding) -> bool {
    let one_thing = worse.check != other.check || worse.title == other.title;
    let one_mark = worse.landmark.zip(other.landmark).is_none_or(|(a, b)| a == b);
    one_thing && one_mark && worse.accepted.is_none() && other.accepted.is_none()
}

/// Names a finding under the worse one at its place, which offers after its own what that one offers.
fn name_under(worse: &mut Finding, other: &Finding) {
    let named = (other.check, other.slug);
    worse.ways.join(&other.ways);
    worse.hides.push(other.key.clone());
    if other.check != worse.check && !worse.also.contains(&named) {
        worse.also.push(named);
    }
}

/// Same line with overlapping stretch, or points near each other.
fn same_place(x: &Finding, y: &Finding) -> bool {
    let same_line = x.line.is_some() && x.line == y.line;
    match extent(x).zip(extent(y)) {
        Some((x, y)) if same_line => overlap(x, y),
        _ => is_point(x) && is_point(y) && distance(x.at, y.at) <= SAME_PLACE_M,
    }
}

fn extent(finding: &Finding) -> Option<(f64, f64)> {
    finding.from_m.zip(finding.to_m)
}

fn is_point(finding: &Finding) -> bool {
    extent(finding).is_none_or(|(from_m, to_m)| to_m <= from_m)
}

/// True when two stretches share some length, when a point lies in a stretch, or when two points are near.
fn overlap(x: (f64, f64), y: (f64, f64)) -> bool {
    let shared_m = x.1.min(y.1) - x.0.max(y.0);
    let points = [x, y].iter().filter(|extent| extent.1 <= extent.0).count();
    match points {
        0 => shared_m > 0.0,
        1 => shared_m >= 0.0,
        _ => shared_m >= -SAME_PLACE_M,
    }
}

#[cfg(test)]
mod tests {
    use plan::{Joins, Signature};

    use super::*;
    use crate::Severity;
    use crate::job::{Job, LATERAL, MAIN};

    fn checks(list: &[Finding]) -> Vec<u16> {
        list.iter().map(|finding| finding.check).collect()
    }

    /// The worked example Quillmere Bench with its grades: levels 97.48 at 1+80, 98.98 at 4+30, 100.24 at 6+40;
    /// laterals from the main's centre. Ground lies 3.5 ft over every pipe. Nothing is wrong with it.
    #[test]
    fn quillmere_bench_is_clean() {
        let mut job = Job::new();
        let outlet = job.outlet("O1", (0.0, 0.0), 96.40);
        job.change_outlet(outlet, |outlet| {
            outlet.channel_bottom_m = Some(94.20 * FOOT_M);
            outlet.low_water_m = Some(94.90 * FOOT_M);
        });
        let m = job.line("M", MAIN, &[(0.0, 0.0), (640.0, 0.0)], outlet);
        let l1 = job.line("L1", LATERAL, &[(180.0, 0.0), (180.0, 310.0)], Joins::Line(m));
        let l2 = job.line("L2", LATERAL, &[(430.0, 0.0), (430.0, 265.0)], Joins::Line(m));
        let l3 = job.line("L3", LATERAL, &[(640.0, 0.0), (640.0, 150.0)], Joins::Line(m));
        job.pin(m, 640.0, 100.24).pin(l1, 310.0, 104.55).pin(l2, 265.0, 107.18).pin(l3, 150.0, 102.94);
        let mut design = job.design();
        for line in design.lines.values_mut() {
            let over = |s: &design::Station| (s.station_m, s.invert_m.map(|invert_m| invert_m + 3.5 * FOOT_M));
            let ground = terrain::Profile::through(&line.stations.iter().map(over).collect::<Vec<_>>());
            line.lay_on(std::sync::Arc::new(ground));
        }
        assert_eq!(punch_list(&job.plan, &design, &Land::default()), []);
    }

    /// An outlet under the bottom, a cap taken off, a short stub: the heaviest first.
    #[test]
    fn the_heaviest_comes_first() {
        let mut job = Job::new();
        let m1 = job.main(12.0);
        let outlet = job.plan.lines[&m1].joins;
        job.change(m1, |line| line.capped = false);
        job.change_outlet(outlet, |outlet| outlet.channel_bottom_m = Some(outlet.invert_m));
        let list = job.list();
        assert_eq!(checks(&list), [26, 55, 56]);
        assert_eq!(list.iter().map(|f| f.severity.word()).collect::<Vec<_>>(), ["to fix", "to decide", "note"]);
    }

    /// A rise and, higher up, a level stretch: two places, two findings; nothing is named under the other.
    #[test]
    fn places_that_touch_are_two() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.pin(m1, 100.0, 101.0).pin(m1, 200.0, 100.5).pin(m1, 300.0, 100.5);
        let list = job.list();
        assert_eq!(checks(&list), [1, 2]);
        assert!(list.iter().all(|finding| finding.also.is_empty()));
    }

    /// Two new lines cross where an old tile is suspected: one finding, the other named under it.
    #[test]
    fn one_finding_per_place() {
        let mut job = Job::new();
        job.main(200.0);
        let outlet = job.outlet("O2", (100.0, -50.0), 104.0);
        job.line("L1", LATERAL, &[(100.0, -50.0), (100.0, 50.0)], outlet);
        job.line("T1", crate::job::suspected(), &[(50.0, 4.0), (150.0, 4.0)], Joins::Nothing);
        let list = job.list();
        assert_eq!(checks(&list), [53]);
        assert_eq!(list[0].also, [(86, "suspected-tile")]);
    }

    /// An outlet 0.40 ft over low water wants 1.00: 60 % short. Accepted by name it stays accepted at 0.32 ft (68 %), and comes back
    /// at 0.28 (72 %, more than a tenth of the limit worse, and to fix by then). An acceptance of another outlet is no help.
    #[test]
    fn what_is_left_comes_back_when_it_gets_worse() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        let outlet = job.plan.lines[&m1].joins;
        let set = |job: &mut Job, feet: f64| {
            job.change_outlet(outlet, |outlet| outlet.low_water_m = Some(outlet.invert_m - feet * FOOT_M));
        };
        set(&mut job, 0.40);
        let finding = job.list().remove(0);
        assert_eq!((finding.check, finding.blocks(), finding.accepted.is_none()), (26, false, true));
        let signed =
            Signature { by: "A. Marsh".into(), on: "2031-04-02".into(), because: "the creek is cleaned".into() };
        let acceptance = finding.acceptance(&signed);
        job.plan.apply(&plan::accept(&job.plan, acceptance.clone())).unwrap();
        assert_eq!(job.list()[0].accepted, Some(acceptance.clone()));
        set(&mut job, 0.32);
        assert_eq!(job.list()[0].accepted, Some(acceptance.clone()));
        set(&mut job, 0.28);
        assert_eq!(job.list()[0].accepted, None);
        set(&mut job, 0.40);
        job.plan.apply(&plan::reopen(&job.plan, &acceptance)).unwrap();
        assert_eq!(job.list()[0].accepted, None);
    }

    /// Two gas lines that cross a main at one place, neither with a name, neither with a ticket, both too near. Each is one
    /// finding that names the other trouble; leaving one leaves open what it named, and says nothing of the other mark.
    #[test]
    fn two_utilities_at_one_place_are_accepted_one_by_one() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.pin(m1, 300.0, 101.5).ground(|x, _| 103.0 + 0.005 * x);
        // Both without a name, so that their titles are alike too.
        for _ in 0..2 {
            let carries = plan::Carries::Gas;
            let utility = plan::Utility { carries, depth_m: Some(1.5 * FOOT_M), ..plan::Utility::default() };
            let across = crate::job::along(&[(120.0, -50.0), (120.0, 50.0)]);
            job.mark("", plan::LandmarkKind::Utility(utility), across);
        }
        let shown = |job: &Job| -> Vec<(u16, bool, bool)> {
            let of_marks = job.list().into_iter().filter(|finding| finding.landmark.is_some());
            of_marks.map(|f| (f.check, f.accepted.is_some(), f.also == [(65, "utility-clearance")])).collect()
        };
        assert_eq!(shown(&job), [(64, false, true), (64, false, true)]);
        let found: Vec<Finding> = job.list().into_iter().filter(|finding| finding.check == 64).collect();
        assert_eq!((found[0].line, found[0].from_m), (found[1].line, found[1].from_m));
        let signed =
            |because: &str| Signature { by: "A. Marsh".into(), on: "2031-04-02".into(), because: because.into() };
        job.plan.apply(&plan::accept(&job.plan, found[0].acceptance(&signed("cleared by telephone")))).unwrap();
        assert_eq!(shown(&job), [(64, true, false), (64, false, true), (65, false, false)]);
        job.plan.apply(&plan::accept(&job.plan, found[1].acceptance(&signed("dead for years")))).unwrap();
        assert_eq!(shown(&job), [(64, true, false), (64, true, false), (65, false, false), (65, false, false)]);
        let first = job.list().remove(0).accepted.unwrap();
        job.plan.apply(&plan::reopen(&job.plan, &first)).unwrap();
        assert_eq!(shown(&job), [(64, false, true), (64, true, false), (65, false, false)]);
    }

    /// Utilities to dig by hand at are gathered: leaving two places does not leave a third.
    #[test]
    fn what_is_left_comes_back_when_it_gathers_more() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.pin(m1, 300.0, 101.5).ground(|x, _| 106.0 + 0.005 * x);
        let cross = |job: &mut Job, name: &str, x: f64| {
            let kind = plan::LandmarkKind::Utility(plan::Utility::default());
            job.mark(name, kind, crate::job::along(&[(x, -50.0), (x, 50.0)]));
        };
        let by_hand = |job: &Job| job.list().into_iter().find(|f| f.slug == "hand-dig").unwrap();
        cross(&mut job, "C1", 100.0);
        cross(&mut job, "C2", 200.0);
        let signed = Signature { by: "A. Marsh".into(), on: "2031-04-02".into(), because: "told the crew".into() };
        job.plan.apply(&plan::accept(&job.plan, by_hand(&job).acceptance(&signed))).unwrap();
        assert!(by_hand(&job).accepted.is_some());
        cross(&mut job, "C3", 250.0);
        assert!(by_hand(&job).accepted.is_none());
        // One of the first two less: still two, but not those that were accepted.
        let (c2, _) = job.plan.landmarks.iter().find(|(_, mark)| mark.name == "C2").unwrap();
        let c2 = *c2;
        job.plan.landmarks.remove(&c2);
        assert!(by_hand(&job).accepted.is_none());
    }

    /// 60 ft of the trench are deeper than 5 ft and accepted by name; so are 64, but not 200.
    #[test]
    fn what_is_left_comes_back_when_a_place_grows() {
        let acceptance = Gathered { line: Some(1), stretch_m: (100.0, 160.0), at: crate::job::ft(0.0, 0.0) };
        let now = |from_m: f64, to_m: f64| Gathered { stretch_m: (from_m, to_m), ..acceptance.clone() };
        assert!(covers(&acceptance, &now(98.0, 162.0), 0.1));
        assert!(!covers(&acceptance, &now(100.0, 300.0), 0.1));
        assert!(!covers(&acceptance, &now(200.0, 210.0), 0.1));
        assert!(!covers(&acceptance, &Gathered { line: Some(2), ..acceptance.clone() }, 0.1));
    }

    #[test]
    fn weights_are_in_order() {
        assert!(Severity::Block < Severity::Decide && Severity::Decide < Severity::Note);
    }

    #[test]
    fn checks_are_in_order_and_say_what_they_are() {
        assert!(RULES.windows(2).all(|pair| pair[0].number < pair[1].number));
        assert!(RULES.iter().all(|rule| !rule.manual.is_empty() && !rule.source.is_empty()));
    }
}
