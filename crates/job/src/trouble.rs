//! What a wet spot tells, in lines and for programs.

use plan::Plan;
use record::{Suspect, Trouble};
use serde_json::{Value, json};

/// What is done before anybody digs for it.
pub const FIRST: &str =
    "Before digging: look at the outlet first; have every buried line located; nobody enters an unprotected trench.";

/// The suspects in lines, so many at most, with where to dig first.
pub fn lines(plan: &Plan, found: &Trouble, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for (number, suspect) in (1..).zip(found.suspects.iter().take(most)) {
        lines.push(format!("{number}. {}: {}", suspect.name, suspect.lies));
        lines.extend(suspect.reasons.iter().take(most).map(|reason| format!("   - {}", reason.words)));
        if suspect.reasons.is_empty() {
            lines.push("   - nothing is known against it but that it is near".into());
        }
        lines.push(format!("   {}", dig_words(plan, suspect)));
    }
    lines.extend(found.else_words.iter().cloned());
    lines.push(FIRST.into());
    lines
}

/// "Dig first at L2 1+50, E 203164.50, N 96040.20: invert 412.91, 3.20 ft down".
pub fn dig_words(plan: &Plan, suspect: &Suspect) -> String {
    let (units, across) = (plan.title.units, exchange::reference(plan).across);
    let station = measure::station(suspect.dig_station_m, units);
    let [easting, northing] = [suspect.dig_at.x, suspect.dig_at.y].map(|m| across.figure(m, 2));
    let invert = suspect.dig_invert_m.map(|m| format!(": invert {}", units.level(m))).unwrap_or_default();
    let down = suspect.dig_depth_m.map(|m| format!(", {} down", units.depth(m))).unwrap_or_default();
    format!("Dig first at {} {station}, E {easting}, N {northing}{invert}{down}", suspect.name)
}

/// The same for programs, lengths in metres.
pub fn json(found: &Trouble) -> Value {
    let suspect = |suspect: &Suspect| {
        let reasons: Vec<Value> = (suspect.reasons.iter())
            .map(|reason| json!({ "station_m": reason.station_m, "weight": reason.weight, "words": reason.words }))
            .collect();
        json!({
            "line": suspect.name, "lies": suspect.lies, "off_m": suspect.nearest.off_m,
            "station_m": suspect.nearest.station_m, "blame": suspect.blame, "reasons": reasons,
            "dig_first": {
                "station_m": suspect.dig_station_m, "easting_m": suspect.dig_at.x, "northing_m": suspect.dig_at.y,
                "invert_m": suspect.dig_invert_m, "depth_m": suspect.dig_depth_m,
            },
        })
    };
    json!({
        "caution": format!("{FIRST} {}", plan::CAUTION),
        "at_m": [found.at.x, found.at.y], "ground_m": found.ground_m,
        "suspects": found.suspects.iter().map(suspect).collect::<Vec<_>>(), "else": found.else_words,
    })
}
