//! Which findings a line's sheet tells, where, and in what words; and those that stand on no cut sheet.

use std::collections::BTreeMap;

use checks::{Finding, Severity};
use design::Design;
use drawing::NoDig;
use measure::{LengthUnit, Units};
use plan::{Joins, LineId, Plan};
use takeoff::{CutSheet, Notice, SetUp, Weight};

use crate::tongue::Tongue;

/// A finding as sheets and tables list it.
#[derive(Debug, Clone)]
pub struct Listed<'a> {
    /// Its number on the punch list, by which rows name it: the same on paper and on the screen.
    pub number: usize,
    /// The finding.
    pub finding: &'a Finding,
    /// Stretches of each line that has a cut sheet and that it is about, stations in metres; none for the line as a whole.
    pub on: BTreeMap<LineId, Vec<(f64, f64)>>,
    /// True where nobody digs there, whatever was signed.
    pub no_dig: bool,
}

/// The stretches that nobody digs.
pub(crate) fn no_dig(listed: &[Listed]) -> Vec<NoDig> {
    let listed = listed.iter().filter(|listed| listed.no_dig);
    let parts = listed.flat_map(|listed| listed.on.iter().map(move |(line, parts)| (listed.number, *line, parts)));
    parts
        .flat_map(|(number, line, parts)| parts.iter().map(move |part| NoDig { number, line, stretch_m: *part }))
        .collect()
}

impl Listed<'_> {
    /// How much it weighs, in the words of a sheet; what was accepted by name says so.
    pub fn severity_words(&self) -> &'static str {
        match (self.no_dig, &self.finding.accepted, self.finding.severity) {
            (true, ..) => "DO NOT DIG",
            (_, Some(_), Severity::Block) => "accepted: to fix",
            (_, Some(_), Severity::Decide) => "accepted: to decide",
            (_, Some(_), Severity::Note) => "accepted: note",
            (.., Severity::Block) => "TO FIX",
            (.., Severity::Decide) => "to decide",
            (.., Severity::Note) => "note",
        }
    }

    /// True while it keeps sheets from being issued as they are: to be fixed, and not left to the machine operator to keep
    /// out of.
    pub fn holds_back(&self) -> bool {
        self.finding.blocks() && !self.no_dig
    }

    fn weight(&self) -> Weight {
        match (self.no_dig, &self.finding.accepted, self.finding.severity) {
            (true, ..) => Weight::NoDig,
            (_, Some(_), _) => Weight::Note,
            (.., Severity::Block) => Weight::Fix,
            (.., Severity::Decide) => Weight::Decide,
            (.., Severity::Note) => Weight::Note,
        }
    }

    /// What is wrong and what to do; where it was accepted, by whom, when and why.
    pub fn what_to_do(&self) -> String {
        self.what_to_do_in(Tongue::English)
    }

    /// The same in a language.
    pub(crate) fn what_to_do_in(&self, tongue: Tongue) -> String {
        let finding = self.finding;
        let accepted = finding.accepted.as_ref().map(|acceptance| &acceptance.signed);
        let accepted = accepted.map(|signed| {
            tongue.text("accepted", &[("because", &signed.because), ("by", &signed.by), ("day", &signed.on)])
        });
        let title = format!("{}:", tongue.say(&finding.title));
        let said = [title, tongue.say(&finding.message), ways_out(finding, tongue), accepted.unwrap_or_default()];
        said.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
    }

    /// What it is, and what to do where that is not told elsewhere in the set.
    pub(crate) fn told(&self, in_short: bool, tongue: Tongue) -> String {
        if in_short { format!("{}.", tongue.say(&self.finding.title)) } else { self.what_to_do_in(tongue) }
    }

    /// Its places on a line in words: "1+50 to 1+75", "0+00, 3+05.2"; "all of it" for the line as a whole.
    pub fn places_on(&self, line: LineId, units: Units) -> String {
        let words = |stretch: &(f64, f64)| stretch_words(*stretch, units);
        let places: Vec<String> = self.on.get(&line).into_iter().flatten().map(words).collect();
        if places.is_empty() { "all of it".into() } else { places.join(", ") }
    }

    /// Its place in words wherever it is: "L3 1+50 to 1+75", "outlet O1", "soil pit P1", or by its coordinates.
    pub fn place(&self, plan: &Plan, across: LengthUnit) -> String {
        let at = self.finding.at;
        let numbers = || format!("E {} N {} {}", across.figure(at.x, 1), across.figure(at.y, 1), across.sign());
        self.named_place(plan).unwrap_or_else(numbers)
    }

    /// Its place where it has a name: on lines, at an outlet or a mark.
    pub fn named_place(&self, plan: &Plan) -> Option<String> {
        let finding = self.finding;
        if !self.on.is_empty() && (finding.line.is_some() || !finding.places.is_empty()) {
            let name = |id: &LineId| plan.lines.get(id).map_or("", |line| line.name.as_str());
            let lines = self.on.keys().map(|id| format!("{} {}", name(id), self.places_on(*id, plan.title.units)));
            return Some(lines.collect::<Vec<_>>().join("; "));
        }
        let line = finding.line.and_then(|id| plan.lines.get(&id)).map(|line| line.name.clone());
        let outlet =
            finding.outlet.and_then(|id| plan.outlets.get(&id)).map(|outlet| format!("outlet {}", outlet.name));
        let mark = finding.landmark.and_then(|id| plan.landmarks.get(&id)).map(plan::Landmark::called);
        line.or(outlet).or(mark)
    }
}

/// What is known to clear a finding: remedies that were tried, of several the last after an "or", and what is done in the
/// field.
fn ways_out(finding: &Finding, tongue: Tongue) -> String {
    let remedies = finding.tried.iter().flat_map(|tried| &tried.remedies);
    let labels: Vec<String> = remedies.map(|edit| tongue.say(&edit.label)).collect();
    let Some((first, others)) = labels.split_first() else { return tongue.say(&finding.way_out()) };
    let mut text = first.clone();
    for (i, label) in others.iter().enumerate() {
        let last = i + 1 == others.len();
        text.push_str(&tongue.text(if last { "or" } else { "or-else" }, &[("next", &measure::uncapped(label))]));
    }
    [format!("{text}."), tongue.say(&finding.advice)].join(" ").trim_end().to_string()
}

/// A stretch in words: "1+50 to 1+75", or "1+50" for a point.
pub(crate) fn stretch_words((from_m, to_m): (f64, f64), units: Units) -> String {
    let [from, to] = [from_m, to_m].map(|station_m| measure::station(station_m, units));
    if from == to { from } else { format!("{from} to {to}") }
}

/// Every finding with where sheets tell it, in the order of the punch list.
pub fn listed<'a>(plan: &Plan, design: &Design, findings: &'a [Finding]) -> Vec<Listed<'a>> {
    let is_dug = |id: &&LineId| takeoff::has_sheet(plan, design, **id);
    let lines: Vec<LineId> = plan.lines.keys().filter(is_dug).copied().collect();
    let list = |(i, finding): (usize, &'a Finding)| {
        let stretches = |id: &LineId| Some((*id, stretches(plan, finding, *id)?));
        let on = lines.iter().filter_map(stretches).collect();
        Listed { number: i + 1, finding, on, no_dig: finding.is_no_dig() }
    };
    findings.iter().enumerate().map(list).collect()
}

/// Lines that pass a place so near meet there, metres: half a foot (judgement).
const MEETS_M: f64 = 0.15;

/// The stretches of a line that a finding is about. What is about an outlet is about the end of the line that leaves there,
/// and what is about one point of a line about the lines that meet it there: both sides of a joint or a crossing are dug.
fn stretches(plan: &Plan, finding: &Finding, id: LineId) -> Option<Vec<(f64, f64)>> {
    if finding.is_no_dig() {
        return (finding.line == Some(id)).then(|| finding.no_dig(plan));
    }
    let outlet = finding.outlet.map(Joins::Outlet);
    let ends_there = outlet.is_some() && plan.lines.get(&id).map(|line| line.joins) == outlet;
    let own = finding.stretches_on(id);
    own.or_else(|| ends_there.then(|| vec![(0.0, 0.0)])).or_else(|| Some(vec![meets(plan, finding, id)?]))
}

/// Where a line meets the one point of another line that a finding is about.
fn meets(plan: &Plan, finding: &Finding, id: LineId) -> Option<(f64, f64)> {
    let (from_m, to_m) = finding.line.and(finding.from_m.zip(finding.to_m))?;
    let (station_m, _, off_m) = measure::nearest_on(&plan.lines.get(&id)?.points, finding.at)?;
    (from_m == to_m && finding.places.is_empty() && off_m <= MEETS_M).then_some((station_m, station_m))
}

/// What the rows of a line's sheet tell of findings.
pub fn notices(listed: &[Listed], line: LineId) -> Vec<Notice> {
    let of = |listed: &Listed| {
        let notice = |(from_m, to_m): &(f64, f64)| Notice {
            number: listed.number,
            from_m: *from_m,
            to_m: *to_m,
            severity: listed.severity_words(),
            title: listed.finding.title.clone(),
            weight: listed.weight(),
        };
        listed.on.get(&line).into_iter().flatten().map(notice).collect::<Vec<_>>()
    };
    listed.iter().flat_map(of).collect()
}

/// The cut sheet of a line with what must be told of its stretches.
pub fn cut_sheet(plan: &Plan, design: &Design, listed: &[Listed], id: LineId, set_ups: &[SetUp]) -> Option<CutSheet> {
    takeoff::told_sheet(plan, design, id, set_ups, &notices(listed, id))
}
