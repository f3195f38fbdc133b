//! Which revision the sheets are: what was given out is known by a digest of what each sheet prints.

use std::collections::BTreeMap;

use design::Design;
use plan::{LineId, Plan};
use takeoff::{CutSheet, Stake};

/// What stands at the head of every sheet about its revision.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Edition {
    /// "Revision B, replaces revision A", or "DRAFT".
    pub title: String,
    /// What the reader must know before he digs by it.
    pub warning: Option<String>,
}

/// The digest of every sheet of a plan.
pub fn digests(plan: &Plan, design: &Design) -> BTreeMap<LineId, String> {
    let of_line = |id: &LineId| Some((*id, digest(plan, &takeoff::cut_sheet(plan, design, *id, &[])?)));
    plan.lines.keys().filter_map(of_line).collect()
}

/// A digest of what a sheet tells a crew: the same sheet has the same one, at any time and on any machine (FNV-1a, 64
/// bit).
fn digest(plan: &Plan, sheet: &CutSheet) -> String {
    let units = plan.title.units;
    let head = [units.amount(sheet.below_invert_m), units.depth(plan.criteria.least_cover_m)];
    let wide = units.pipe(plan.criteria.trench_width_m);
    let mut text = format!("{} {} {} {} {wide}", sheet.name, sheet.pipe, sheet.zero, head.join(" "));
    for row in &sheet.rows {
        let dig = row.dig_to_m.map(|dig_m| units.number(dig_m, 2)).unwrap_or_default();
        let station = measure::station(row.station_m, units);
        let from = match row.stake {
            Some(Stake::Hub(hub)) => format!("hub {} {}", units.level(hub.level_m), units.number(hub.left_m, 2)),
            Some(Stake::Ground(level_m)) => format!("ground {}", units.level(level_m)),
            None => String::new(),
        };
        text.push_str(&format!(
            "|{station} {from} {} {dig} {} {}",
            units.level(row.invert_m),
            row.here.join(","),
            row.ahead.join(",")
        ));
    }
    let hash = text
        .bytes()
        .fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3));
    format!("{hash:016x}")
}

/// What the sheets of a plan are today.
pub fn edition(plan: &Plan, digests: &BTreeMap<LineId, String>) -> Edition {
    let Some((last, before)) = plan.revisions.split_last() else {
        return Edition { title: "DRAFT, not given out".into(), warning: None };
    };
    if last.lines == *digests {
        let replaces = before.last().map(|old| format!(", replaces revision {}", old.letter)).unwrap_or_default();
        let title = format!("Revision {}{replaces}, {}, {}", last.letter, last.signed.by, last.signed.on);
        return Edition { title, warning: None };
    }
    if let Some(old) = before.iter().rev().find(|old| old.lines == *digests) {
        let warning = format!(
            "REVISION {} IS OUT OF DATE: revision {} of {} replaced it. Do not dig by it.",
            old.letter, last.letter, last.signed.on
        );
        return Edition { title: format!("Revision {}, replaced", old.letter), warning: Some(warning) };
    }
    let changed: Vec<&str> = changed(plan, &last.lines, digests);
    let warning = format!(
        "Differs from revision {}, which is in the cab: {}. Give out the next revision before digging.",
        last.letter,
        changed.join(", ")
    );
    Edition { title: format!("DRAFT after revision {}", last.letter), warning: Some(warning) }
}

/// Names of the lines whose sheet is not what it was, those that are gone too.
fn changed<'a>(plan: &'a Plan, then: &BTreeMap<LineId, String>, now: &BTreeMap<LineId, String>) -> Vec<&'a str> {
    let ids: std::collections::BTreeSet<LineId> = then.keys().chain(now.keys()).copied().collect();
    let differs = ids.into_iter().filter(|id| then.get(id) != now.get(id));
    differs.map(|id| plan.lines.get(&id).map_or("a line that is gone", |line| line.name.as_str())).collect()
}
