//! The record as one list: every entry in words, in the order of its day.

use design::Design;
use measure::{Point, Units};
use plan::{Condition, DugShot, Find, LaidStretch, Material, NoteOn, Plan, Running, ShotOn, Signature, Spot, Taken};

use crate::{flow_words, place_of, station_of};

/// An entry tells the line it lies on within so far, metres ([judgement]).
const ON_LINE_M: f64 = 1.0;

/// An entry of the record.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// What it is: "shot", "found tile", "probe", "note", "flow", "laid".
    pub kind: &'static str,
    /// Its key; empty for what has none.
    pub key: String,
    /// Who, when, by which sheets.
    pub taken: Taken,
    /// The line, and the station on it in metres.
    pub on: Option<(String, f64)>,
    /// Where it lies.
    pub at: Option<Point>,
    /// A level that was measured, metres.
    pub level_m: Option<f64>,
    /// What it says.
    pub says: String,
    /// Who struck it and why.
    pub struck: Option<Signature>,
}

impl Entry {
    /// "2031-04-02 R. Wren: shot L1 4+30.6 at 213.20: invert"; what was struck says so.
    pub fn words(&self, units: Units) -> String {
        let on = self.on.as_ref().map(|(line, m)| format!(" {line} {}", measure::station(*m, units)));
        let level = self.level_m.map(|level_m| format!(" at {}", units.level(level_m)));
        let struck = if self.struck.is_some() { " (struck)" } else { "" };
        let (on, level) = (on.unwrap_or_default(), level.unwrap_or_default());
        format!("{} {}: {}{on}{level}: {}{struck}", self.taken.at, self.taken.by, self.kind, self.says)
    }
}

/// Every entry, by day, as they were entered on one day.
pub fn entries(plan: &Plan, design: &Design) -> Vec<Entry> {
    let record = &plan.record;
    let mut found: Vec<Entry> = record.shots.iter().map(|entry| shot(plan, entry)).collect();
    found.extend(record.finds.iter().map(|entry| find(plan, entry)));
    found.extend(record.probes.iter().map(|probe| {
        let sought = probe.line.and_then(|id| plan.lines.get(&id)).map(|line| format!(" {}", line.name));
        let met = if probe.met { "met" } else { "not met" };
        let says = format!("old tile{} {met}{}", sought.unwrap_or_default(), after(&probe.note));
        entry(plan, "probe", (&probe.key, &probe.taken), Some(&probe.spot), says)
    }));
    found.extend(record.notes.iter().map(|note| {
        let agreed = if note.agreed_by.is_empty() { String::new() } else { format!(" (agreed: {})", note.agreed_by) };
        let says = format!("{}{agreed}", note.says);
        entry(plan, note_kind(note.on), (&note.key, &note.taken), note.spot.as_ref(), says)
    }));
    found.extend(record.flows.iter().map(|flow| {
        let outlet = plan.outlets.get(&flow.outlet);
        let name = outlet.map_or("outlet", |outlet| outlet.name.as_str());
        // Day and name stand in cells of their own.
        let words = flow_words(plan, design, flow);
        let says = words.split_once(": ").map_or(words.clone(), |(_, says)| format!("{name}: {says}"));
        let spot = outlet.map(|outlet| Spot::Place(outlet.at));
        entry(plan, "flow", (&flow.key, &flow.taken), spot.as_ref(), says)
    }));
    found.extend(record.laid.iter().map(|stretch| laid(plan, stretch)));
    found.sort_by(|a, b| a.taken.at.cmp(&b.taken.at));
    found
}

fn entry(plan: &Plan, kind: &'static str, (key, taken): (&str, &Taken), spot: Option<&Spot>, says: String) -> Entry {
    let on = spot.and_then(|spot| station_of(plan, spot, ON_LINE_M));
    let on = on.and_then(|on| Some((plan.lines.get(&on.line)?.name.clone(), on.station_m)));
    let at = spot.and_then(|spot| place_of(plan, spot));
    Entry { kind, key: key.into(), taken: taken.clone(), on, at, level_m: None, says, struck: None }
}

fn after(note: &str) -> String {
    if note.is_empty() { String::new() } else { format!(": {note}") }
}

const fn note_kind(on: NoteOn) -> &'static str {
    match on {
        NoteOn::Digging => "note",
        NoteOn::Changed => "change",
        NoteOn::Repair => "repair",
        NoteOn::Care => "care",
    }
}

fn shot(plan: &Plan, shot: &DugShot) -> Entry {
    let on = match shot.on {
        ShotOn::Invert => "invert",
        ShotOn::Top => "top of the pipe",
        ShotOn::TrenchBottom => "bottom of the trench",
        ShotOn::Ground => "ground",
    };
    let fix = shot.fix.as_ref().map(|fix| format!(", by receiver, checked on {}", fix.checked_on));
    let says = format!("{on}{}{}", fix.unwrap_or_default(), after(&shot.note));
    let own = entry(plan, "shot", (&shot.key, &shot.taken), Some(&shot.spot), says);
    Entry { level_m: Some(shot.level_m), struck: shot.struck.clone(), ..own }
}

fn find(plan: &Plan, find: &Find) -> Entry {
    let own =
        entry(plan, "found tile", (&find.key, &find.taken), Some(&find.spot), find_words(find, plan.title.units));
    Entry { level_m: find.invert_m, struck: find.struck.clone(), ..own }
}

/// Old tile as it was found, in words: "6 in clay tile, runs, falls toward 210°, fair; join (R. Wren, 2031-04-02: it runs)".
pub fn find_words(find: &Find, units: Units) -> String {
    let mut parts: Vec<String> = Vec::new();
    let material = if find.material == Material::Unknown { "" } else { find.material.word() };
    let size = find.size_m.map(|size_m| units.pipe(size_m)).unwrap_or("size not known,".into());
    parts.push(format!("{size} {material} tile").replace("  ", " "));
    match find.running {
        Running::Unknown => {}
        Running::Dry => parts.push("dry".into()),
        Running::Runs => parts.push("runs".into()),
        Running::Flow(m3s) => parts.push(format!("runs {}", units.flow(m3s))),
    }
    parts.extend(find.falls_deg.map(|deg| format!("falls toward {deg:.0}°")));
    parts.extend(find.silt_m.map(|silt_m| format!("silt {}", units.amount(silt_m))));
    match find.condition {
        Condition::Unknown => {}
        Condition::Good => parts.push("in good condition".into()),
        Condition::Fair => parts.push("in fair condition".into()),
        Condition::Poor => parts.push("in poor condition".into()),
    }
    if find.from_beyond {
        parts.push("water from beyond the boundary".into());
    }
    let decided = find.decided.as_ref().map(|decided| {
        let signed = &decided.signed;
        format!("; {} ({}, {}{})", decided.what.word(), signed.by, signed.on, after(&signed.because))
    });
    format!("{}{}{}", parts.join(", "), decided.unwrap_or("; nothing decided".into()), after(&find.note))
}

fn laid(plan: &Plan, laid: &LaidStretch) -> Entry {
    let units = plan.title.units;
    let [from, to] = [laid.stretch_m.0, laid.stretch_m.1].map(|m| measure::station(m, units));
    let size = laid.size_m.map(|size_m| format!(", {} pipe and not as planned", units.pipe(size_m)));
    let filled = if laid.backfilled { ", trench filled" } else { ", trench open" };
    let taken = Taken { at: laid.on.clone(), ..Taken::default() };
    let spot = Spot::Station { line: laid.line, station_m: laid.stretch_m.0 };
    entry(
        plan,
        "laid",
        ("", &taken),
        Some(&spot),
        format!("laid from {from} to {to}{}{filled}", size.unwrap_or_default()),
    )
}
