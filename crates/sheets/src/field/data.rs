//! What the page's script looks things up in: lines with their rows, ground, what lies ahead and what is open. Lengths and
//! levels in metres, places in metres from an origin that is told beside them.

use checks::Severity;
use measure::{GALLON_M3, LengthUnit, Point, plain};
use plan::{Condition, FIELD_FORMAT, Landmark, LineId, Material, NoteOn, ShotOn, Utility};
use serde_json::{Value, json};
use takeoff::{CutSheet, Row, Stake};

use super::Field;
use crate::book::Making;
use crate::edition::in_force;
use crate::notices::Listed;
use crate::tongue::Tongue;

/// How far the ground told between two stations may lie off the ground that is known, metres (judgement: a rod is read to
/// no less).
const OFF_M: f64 = 0.005;
/// Room round what the map shows, and how far off a benchmark is shown on it still, as shares of its longer side (judgement).
const MARGIN: f64 = 0.04;
const NEAR: f64 = 0.15;

impl Field<'_> {
    pub(super) fn data(&self) -> Value {
        let (work, units) = (self.making.work, self.making.work.plan.title.units);
        let (across, origin) = (work.reference.across, self.corners.0);
        let bucket = if units.is_metric() { (0.001, "page-liters") } else { (GALLON_M3, "page-gallons") };
        let sign = self.making.word(bucket.1);
        let plan = work.plan;
        let last = in_force(plan, &self.making.edition);
        json!({
            "format": FIELD_FORMAT,
            "plan": plain(&plan.title.name),
            "revision": last.map_or("", |revision| revision.letter.as_str()),
            "mark": self.mark,
            "first": plan.revisions.first().map_or(String::new(), |first| super::mark(&first.lines, &first.facts)),
            "caution": plan::CAUTION,
            "units": unit(units.length_unit()),
            "across": unit(across),
            "bucket": { "m3": bucket.0, "sign": sign },
            "origin": [origin.x, origin.y],
            "high": micro(self.corners.1.y - origin.y),
            "degrees": self.degrees.map(|near| json!({ "at": [near.at.x, near.at.y], "lon": near.lon, "lat": near.lat })),
            "tickets": self.tickets(),
            "choices": choices(work.tongue),
            "words": work.tongue.templates("script-"),
            "lines": self.making.sheets.iter().filter_map(|sheet| self.line(sheet)).collect::<Vec<_>>(),
        })
    }

    /// Utilities with their locate tickets.
    pub(super) fn utilities(&self) -> impl Iterator<Item = (&Landmark, &Utility)> {
        self.making.work.plan.landmarks.values().filter_map(|mark| Some((mark, mark.kind.utility()?)))
    }

    fn tickets(&self) -> Vec<Value> {
        let ticket = |(mark, utility): (&Landmark, &Utility)| json!({ "what": plain(&self.making.say(&mark.called())), "ticket": plain(utility.ticket.trim()), "until": utility.valid_until });
        self.utilities().map(ticket).collect()
    }

    /// "4 in, from M1 at 4+30".
    pub(super) fn line_words(&self, sheet: &CutSheet) -> String {
        let (plan, design) = (self.making.work.plan, self.making.work.design);
        let worked = design.lines.get(&sheet.line);
        let size = worked.map(|worked| worked.size_words(plan.title.units)).unwrap_or_default();
        let Some(from) = plan.lines.get(&sheet.line).and_then(|line| plan.name_of(line.joins)) else { return size };
        match design.joints.iter().find(|joint| joint.branch == sheet.line) {
            Some(joint) => {
                let station = self.making.station(joint.station_m);
                self.making.text("page-line-from-at", &[("size", &size), ("name", from), ("station", &station)])
            }
            None => self.making.text("page-line-from", &[("size", &size), ("name", from)]),
        }
    }

    fn line(&self, sheet: &CutSheet) -> Option<Value> {
        let work = self.making.work;
        let (line, worked) = (work.plan.lines.get(&sheet.line)?, work.design.lines.get(&sheet.line)?);
        let origin = self.corners.0;
        let course: Vec<[f64; 2]> =
            line.points.iter().map(|at| [micro(at.x - origin.x), micro(at.y - origin.y)]).collect();
        let bedding_m = work.plan.criteria.bedding_m;
        let above = |i: usize| sheet.rows.get(i + 1).map(|next| (sheet.rows[i].station_m + next.station_m) / 2.0);
        let row = |(i, row): (usize, &Row)| {
            let upward = above(i).map(|station_m| micro(worked.below_invert_m(station_m, bedding_m)));
            self.row_data(row, worked.below_invert_m(row.station_m, bedding_m), upward)
        };
        let ahead = sheet.rows.iter().flat_map(|row| &row.ahead);
        Some(json!({
            "id": sheet.line.0,
            "name": plain(&sheet.name),
            "words": plain(&self.line_words(sheet)),
            "zero": plain(&self.making.say(&sheet.zero)),
            "length": micro(worked.length_m),
            "course": course,
            "rows": sheet.rows.iter().enumerate().map(row).collect::<Vec<_>>(),
            "ground": worked.ground.drawn().iter().map(|part| thinned(part)).collect::<Vec<_>>(),
            "ahead": ahead.map(|ahead| json!([micro(ahead.station_m), plain(&self.making.say(&ahead.words))])).collect::<Vec<_>>(),
            "open": self.open(sheet.line, worked.length_m),
        }))
    }

    /// What is open on a line, stretch by stretch: number, from, to, how heavy, what, and whether nobody digs.
    fn open(&self, line: LineId, length_m: f64) -> Vec<Value> {
        let of = |listed: &Listed| {
            let Some(stretches) = listed.on.get(&line) else { return Vec::new() };
            let whole = [(0.0, length_m)];
            let stretches = if stretches.is_empty() { &whole[..] } else { stretches };
            let tongue = self.making.work.tongue;
            let (words, heavy) =
                (listed.what_to_do_in(tongue), listed.no_dig || listed.finding.severity == Severity::Block);
            let said = |(from_m, to_m): &(f64, f64)| {
                let severity = tongue.say(listed.severity_words());
                let stretch = [micro(*from_m), micro(*to_m)];
                json!([listed.number, stretch[0], stretch[1], severity, plain(&words), heavy, listed.no_dig])
            };
            stretches.iter().map(said).collect::<Vec<_>>()
        };
        self.making.listed.iter().flat_map(of).collect()
    }

    /// A row: station, invert, level and offset of its hub, grade to the next, wall and bedding below the invert here and on
    /// the way to the next, what is here, whether nobody digs.
    fn row_data(&self, row: &Row, below_m: f64, above_m: Option<f64>) -> Value {
        let hub = match row.stake {
            Some(Stake::Hub(hub)) => Some([micro(hub.level_m), micro(hub.left_m)]),
            _ => None,
        };
        let here: Vec<_> = row.here.iter().map(|text| plain(&self.making.say(text)).into_owned()).collect();
        json!({
            "s": micro(row.station_m), "i": micro(row.invert_m), "hub": hub, "g": row.grade, "z": row.ground_m.map(micro),
            "b": micro(below_m), "u": above_m, "here": here, "n": row.no_dig,
        })
    }
}

/// South-west and north-east corner of the map, metres: field, lines and outlets, and benchmarks that lie near.
pub(super) fn corners(making: &Making) -> (Point, Point) {
    let (low, high) = making.corners(std::iter::empty());
    let side_m = (high.x - low.x).max(high.y - low.y).max(10.0);
    let (from, to) = widened((low, high), side_m * NEAR);
    let is_near = |at: &Point| (from.x..=to.x).contains(&at.x) && (from.y..=to.y).contains(&at.y);
    let benchmarks = making.work.plan.survey.benchmarks.iter().map(|mark| mark.at).filter(is_near);
    let shown = measure::extent([low, high].into_iter().chain(benchmarks));
    widened(shown.unwrap_or((low, high)), side_m * MARGIN)
}

fn widened((low, high): (Point, Point), by_m: f64) -> (Point, Point) {
    (Point::new(low.x - by_m, low.y - by_m), Point::new(high.x + by_m, high.y + by_m))
}

/// Ground along a stretch by as few places as tell it to within [`OFF_M`]: from each the farthest that does.
fn thinned(part: &[(f64, f64)]) -> Vec<[f64; 2]> {
    let mut kept: Vec<(f64, f64)> = part.first().copied().into_iter().collect();
    let (mut from, mut to) = (0, 1);
    while to < part.len() {
        if to + 1 == part.len() || !is_straight(&part[from..=to + 1]) {
            kept.push(part[to]);
            from = to;
        }
        to += 1;
    }
    kept.into_iter().map(|(station_m, level_m)| [micro(station_m), micro(level_m)]).collect()
}

fn is_straight(part: &[(f64, f64)]) -> bool {
    let [(from_m, low_m), .., (to_m, high_m)] = *part else { return true };
    let level = |station_m: f64| low_m + (high_m - low_m) * (station_m - from_m) / (to_m - from_m).max(1e-9);
    part.iter().all(|(station_m, level_m)| (level(*station_m) - level_m).abs() <= OFF_M)
}

/// A figure to the micrometre, which is finer than any rounding told of it.
fn micro(value: f64) -> f64 {
    (value * 1e6).round() / 1e6 + 0.0
}

fn unit(unit: LengthUnit) -> Value {
    json!({ "m": unit.metres(), "sign": unit.sign(), "feet": unit != LengthUnit::Metre })
}

/// What may be chosen, as files write it and in words.
fn choices(tongue: Tongue) -> Value {
    let word = |id: &str| tongue.word(&format!("page-{id}"));
    let on = [
        (ShotOn::Invert, "on-invert"),
        (ShotOn::Top, "on-top"),
        (ShotOn::TrenchBottom, "on-trench"),
        (ShotOn::Ground, "on-ground"),
    ];
    let condition = [
        (Condition::Unknown, "condition-unknown"),
        (Condition::Good, "condition-good"),
        (Condition::Fair, "condition-fair"),
        (Condition::Poor, "condition-poor"),
    ];
    let about = [
        (NoteOn::Digging, "about-digging"),
        (NoteOn::Changed, "about-changed"),
        (NoteOn::Repair, "about-repair"),
        (NoteOn::Care, "about-care"),
    ];
    let running = ["unknown", "dry", "runs", "flow"].map(|how| (how, word(&format!("running-{how}"))));
    let material = Material::ALL.map(|(material, name)| (material, word(&format!("made-{name}"))));
    json!({
        "on": on.map(|(on, id)| (on, word(id))), "material": material,
        "condition": condition.map(|(condition, id)| (condition, word(id))),
        "about": about.map(|(about, id)| (about, word(id))), "running": running,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thinned_ground_is_told_within_five_millimetres() {
        let ground: Vec<(f64, f64)> =
            (0..=200).map(|i| f64::from(i) * 0.5).map(|s| (s, 100.0 + (s / 9.0).sin() * 0.4 + s * 0.01)).collect();
        let kept = thinned(&ground);
        assert!(kept.len() < ground.len() / 3, "{}", kept.len());
        assert_eq!((kept[0][0], kept[kept.len() - 1][0]), (0.0, 100.0));
        for (station_m, level_m) in ground {
            let i = kept.partition_point(|at| at[0] < station_m).clamp(1, kept.len() - 1);
            let ([a, low], [b, high]) = (kept[i - 1], kept[i]);
            let told_m = low + (high - low) * (station_m - a) / (b - a);
            assert!((told_m - level_m).abs() <= OFF_M + 1e-6, "{station_m}");
        }
    }

    #[test]
    fn choices_are_written_as_the_plan_file_writes_them() {
        assert_eq!(choices(Tongue::English)["on"][2], json!(["trench-bottom", "bottom of the trench"]));
        assert_eq!(choices(Tongue::English)["material"][1], json!(["clay", "clay"]));
    }
}
