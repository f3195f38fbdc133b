//! First layouts: looked for, told in words and for programs.

use std::ops::ControlFlow;

use checks::Severity;
use exchange::FileError;
use land::Land;
use measure::{Units, how_many};
use plan::Plan;
use propose::{LeftOut, NoLayout, Proposal, Told, WetLand};
use serde_json::{Value, json};
use takeoff::Estimate;

use crate::ground::threads;
use crate::{Progress, Worked};

/// What is told beside all proposals.
pub const ESTIMATE: &str =
    "Proposals by computation, to begin from: walk the field before you dig. Costs and wet land are estimates.";

/// Looks for first layouts of a plan, on its land as its ditches lead the water; `hear` hears each as soon as it is there, again
/// under the same name when it is bettered, and when it is left out.
pub fn search(
    plan: &Plan,
    land: &Land,
    progress: &Progress,
    mut hear: impl FnMut(&Told),
) -> Result<Vec<Proposal>, NoLayout> {
    let land = land.under(plan);
    let mut tell = |told: Told| match told {
        Told::Step(step) => go_on(progress.step(step)),
        _ => {
            hear(&told);
            ControlFlow::Continue(())
        }
    };
    propose::propose(plan, &land, threads(), &mut tell)
}

fn go_on(step: Result<(), FileError>) -> ControlFlow<()> {
    if step.is_ok() { ControlFlow::Continue(()) } else { ControlFlow::Break(()) }
}

/// A proposal in a few lines: what it takes, what it serves, what was found, why it runs where it runs.
pub fn lines(proposal: &Proposal) -> Vec<String> {
    let units = proposal.plan.title.units;
    let served = served(units, proposal.served_m2, proposal.wet_m2);
    let pipe = units.length(proposal.totals.pipe_m);
    let mut told = vec![format!("{}: {}, {pipe}, {served}", proposal.name, cost(&proposal.estimate))];
    told.push(format!("  {}", drawn(proposal)));
    told.push(format!("  {}", found(proposal)));
    told.extend(gap(proposal).map(|gap| format!("  {gap}")));
    told.extend(out_of_reach(proposal).map(|beyond| format!("  {beyond}")));
    told.extend(proposal.why.iter().map(|why| format!("  {why}")));
    told.extend(stays(proposal).into_iter().map(|why| format!("  {why}")));
    told.extend(proposal.why_lines.values().map(|why| format!("    {why}")));
    told
}

/// "about $14,900 with contingency"; whether it lacks what has no price.
pub fn cost(estimate: &Estimate) -> String {
    let sum = format!("{} with contingency", estimate.about(estimate.with_contingency()));
    match estimate.unpriced.is_empty() {
        true => sum,
        false if estimate.total() > 0.0 => format!("{sum} (incomplete)"),
        false => "no prices yet".into(),
    }
}

/// "serves 2.10 of 5.30 ac of wet land".
pub fn served(units: Units, served_m2: f64, wet_m2: f64) -> String {
    let areas = measure::unit_once(&units.area(served_m2), "of", &units.area(wet_m2));
    format!("serves {areas} of wet land")
}

/// How near a layout comes to the best there can be; of a grid that it is not known.
pub fn gap(proposal: &Proposal) -> Option<String> {
    let Some(bound) = proposal.bound else {
        return Some("How near a grid comes to the best there can be is not known.".into());
    };
    let better = match at_most_percent(bound.gap()) {
        percent if percent == "0.0" => "better".to_string(),
        percent => format!("more than {percent} % better"),
    };
    Some(format!(
        "Proved: no other choice of the courses looked at is {better}, wet land left wet counted as a loss."
    ))
}

/// Wet land below this is not worth a word, square metres ([judgement]).
const LEAST_BEYOND_M2: f64 = 200.0;

/// What of the wet land no line can be brought to, where that is worth a word.
pub fn out_of_reach(proposal: &Proposal) -> Option<String> {
    let plan = &proposal.plan;
    let (area, reach) =
        (plan.title.units.area(proposal.out_of_reach_m2), plan.title.units.depth(plan.criteria.machine_reach_m));
    (proposal.out_of_reach_m2 >= LEAST_BEYOND_M2).then(|| {
        format!("To {area} of wet land no trench was found that leads to an outlet within the machine's reach of {reach}: it takes a deeper trench, another outlet or a pump.")
    })
}

/// A share in percent, rounded up: what is said to be the most is.
fn at_most_percent(share: f64) -> String {
    measure::fixed((1000.0 * share).ceil() / 10.0, 1)
}

/// What is drawn in a plan, in the measure of proposals.
#[derive(Debug, Clone, PartialEq)]
pub struct AsDrawn {
    /// What it costs.
    pub estimate: Estimate,
    /// Wet land of the field, square metres.
    pub wet_m2: f64,
    /// Wet land that the lines serve, square metres.
    pub served_m2: f64,
}

/// What is drawn; `None` where no new line is.
pub fn as_drawn(worked: &Worked) -> Option<AsDrawn> {
    let plan = &worked.plan;
    if plan.lines.values().all(|line| line.kind.is_old()) {
        return None;
    }
    let wet = WetLand::of(plan, &worked.land);
    let served_m2 = wet.served_m2(plan, &worked.design, &worked.land);
    Some(AsDrawn { estimate: worked.estimate().clone(), wet_m2: wet.area_m2(), served_m2 })
}

/// "1 main, 3 laterals, inverts 2.40 to 4.10 ft deep".
pub fn drawn(proposal: &Proposal) -> String {
    let plan = &proposal.plan;
    let count = |word: &str| plan.lines.values().filter(|line| line.kind.word() == word).count();
    let mut parts: Vec<String> = ["main", "submain", "lateral"]
        .into_iter()
        .map(|word| (count(word), word))
        .filter(|(count, _)| *count > 0)
        .map(|(count, word)| how_many(count, word))
        .collect();
    parts.extend(proposal.depth_m.map(|(least_m, greatest_m)| {
        let [least, greatest] = plan.title.units.depths(least_m, greatest_m);
        format!("inverts {} deep", measure::unit_once(&least, "to", &greatest))
    }));
    parts.join(", ")
}

/// "0 to fix, 1 to decide, 9 notes".
pub fn found(proposal: &Proposal) -> String {
    let (fix, decide) = (proposal.count(Severity::Block), proposal.count(Severity::Decide));
    format!("{fix} to fix, {decide} to decide, {}", how_many(proposal.count(Severity::Note), "note"))
}

/// What is to fix and stays, each with why.
pub fn stays(proposal: &Proposal) -> Vec<String> {
    let with_why = |finding: &checks::Finding| Some((finding.title.clone(), proposal.stays.get(&finding.key)?));
    let mut told: Vec<((String, &String), usize)> = Vec::new();
    for finding in proposal.findings.iter().filter_map(with_why) {
        match told.iter_mut().find(|(known, _)| *known == finding) {
            Some((_, count)) => *count += 1,
            None => told.push((finding, 1)),
        }
    }
    let places = |count: usize| if count > 1 { format!(" in {}", how_many(count, "place")) } else { String::new() };
    told.into_iter().map(|((title, why), count)| format!("To fix: {title}{}. {why}", places(count))).collect()
}

/// Check of shots that stick out.
const OUTLIER: u16 = 99;

/// What should be mended before layouts are looked at: shots that stick out make hollows and bars that are none.
pub fn beforehand(proposals: &[Proposal]) -> Option<String> {
    let mut findings = proposals.iter().flat_map(|proposal| &proposal.findings);
    let found = findings.find(|finding| finding.check == OUTLIER && finding.accepted.is_none())?;
    Some(format!("{}: mend the survey first, for layouts follow the ground as it was read.", found.title))
}

/// All proposals for programs: metres, square metres.
pub fn json(plan: &Plan, proposals: &[Proposal], left_out: &[LeftOut]) -> Value {
    json!({
        "name": plan.title.name,
        "estimate": true,
        "layouts": proposals.iter().map(one_json).collect::<Vec<_>>(),
        "left_out": left_out.iter().map(|one| json!({ "name": one.name, "why": one.why })).collect::<Vec<_>>(),
        "told": ESTIMATE,
        "caution": plan::CAUTION,
    })
}

fn one_json(proposal: &Proposal) -> Value {
    let estimate = &proposal.estimate;
    json!({
        "name": proposal.name,
        "kind": proposal.kind.word(),
        "currency": estimate.currency,
        "total": estimate.total(),
        "with_contingency": estimate.with_contingency(),
        "unpriced": estimate.unpriced,
        "pipe_m": proposal.totals.pipe_m,
        "wet_m2": proposal.wet_m2,
        "served_m2": proposal.served_m2,
        "out_of_reach_m2": proposal.out_of_reach_m2,
        "least_depth_m": proposal.depth_m.map(|range| range.0),
        "greatest_depth_m": proposal.depth_m.map(|range| range.1),
        "to_fix": proposal.count(Severity::Block),
        "to_decide": proposal.count(Severity::Decide),
        "notes": proposal.count(Severity::Note),
        "findings": proposal.findings.iter().filter(|f| f.severity != Severity::Note).map(|finding| json!({
            "key": finding.key, "weight": finding.severity.name(), "title": finding.title, "text": finding.message,
            "stays": proposal.stays.get(&finding.key),
        })).collect::<Vec<_>>(),
        "bound": proposal.bound.map(|bound| json!({ "least": bound.least, "worked": bound.worked, "gap": bound.gap() })),
        "why": proposal.why,
        "outlets": proposal.plan.outlets.values().map(|outlet| json!({
            "name": outlet.name, "at": [outlet.at.x, outlet.at.y], "invert_m": outlet.invert_m, "consent": outlet.consent,
        })).collect::<Vec<_>>(),
        "lines": proposal.plan.lines.iter().filter(|(_, line)| !line.kind.is_old()).map(|(id, line)| json!({
            "name": line.name,
            "why": proposal.why_lines.get(id),
            "kind": line.kind.word(),
            "joins": proposal.plan.name_of(line.joins),
            "points": line.points.iter().map(|at| [at.x, at.y]).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_most_that_can_be_saved_is_no_less_than_it_is() {
        assert_eq!([0.0, 0.0911, 0.1, 0.25].map(at_most_percent), ["0.0", "9.2", "10.0", "25.0"]);
    }
}
