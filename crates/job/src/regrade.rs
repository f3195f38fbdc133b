//! What is not dug yet, worked out again on what is down: the plan takes the levels as dug, and the rest of the network follows.

use design::LineDesign;
use measure::Units;
use plan::{Change, Criteria, Edit, Joins, Line, LineId, Outlet, OutletId, Pin, Plan};
use record::{Dug, DugLine};
use serde_json::{Value, json};

use crate::Worked;

/// Levels this near are told as one, metres: a thousandth of a foot, as level books go ([judgement]).
const SAME_M: f64 = design::ON_LIMIT_M;

/// The edit that fixes what is down; `None` where nothing was shot, or the plan has it all already.
///
/// Up to the last shot of a line the pipe lies straight from shot to shot: at the level that was shot where that is farther off than
/// the job allows, and at the last shot; elsewhere as planned, for there it was laid as planned. Levels that a person locked above the last
/// shot stay, unless `unlock` is asked for.
pub fn edit(worked: &Worked, unlock: bool) -> Option<Edit> {
    let plan = &worked.plan;
    let mut changes = Vec::new();
    for (id, dug) in &worked.dug().lines {
        let Some(line) = plan.lines.get(id) else { continue };
        let Some(last) = dug.shots.last() else { continue };
        let next = Line { pins: pins(worked, *id, dug, unlock), ..fitted(worked, (*id, line), dug, last.station_m) };
        if next != *line {
            changes.push(Change::Line(*id, Some(next)));
        }
        changes.extend(outlet(plan, line, dug).map(|(id, outlet)| Change::Outlet(id, Some(outlet))));
    }
    (!changes.is_empty()).then(|| Edit { label: "Regrade what is not dug".into(), changes })
}

/// The shot at the downstream end of a line, if there is one.
fn foot<'a>(plan: &Plan, dug: &'a DugLine) -> Option<&'a Dug> {
    dug.shots.first().filter(|shot| shot.station_m <= plan.criteria.shot_end_m)
}

/// An outlet whose pipe was shot where it comes out, off the plan.
fn outlet(plan: &Plan, line: &Line, dug: &DugLine) -> Option<(OutletId, Outlet)> {
    let Joins::Outlet(id) = line.joins else { return None };
    let shot = foot(plan, dug).filter(|shot| shot.is_off(&plan.criteria))?;
    let outlet = plan.outlets.get(&id)?;
    Some((id, Outlet { invert_m: shot.invert_m, invert_free: false, ..outlet.clone() }))
}

/// The line without what was asked of its dug part, and as high over its main as it was laid.
fn fitted(worked: &Worked, (id, line): (LineId, &Line), dug: &DugLine, last_m: f64) -> Line {
    let mut line = line.clone();
    line.reaches.iter_mut().for_each(|reach| reach.from_m = reach.from_m.max(last_m));
    line.reaches.retain(|reach| reach.to_m > reach.from_m);
    let joint = worked.design.joints.iter().find(|joint| joint.branch == id && !joint.in_line);
    if let Some((shot, joint)) = foot(&worked.plan, dug).filter(|shot| shot.is_off(&worked.plan.criteria)).zip(joint)
    {
        let main_off_m = off_at(worked, joint.main, joint.station_m);
        let rise = joint.main_centre_m.map(|centre_m| shot.invert_m - centre_m - main_off_m);
        line.drop_m = rise.filter(|rise_m| *rise_m >= 0.0).or(line.drop_m);
    }
    line
}

/// How far over the plan a main was laid at a station; 0 where it is not dug, or as planned.
fn off_at(worked: &Worked, main: LineId, station_m: f64) -> f64 {
    let near_m = worked.plan.criteria.shot_end_m;
    let shots = worked.dug().lines.get(&main).map_or(&[][..], |dug| &dug.shots);
    let shot = shots.iter().find(|shot| (shot.station_m - station_m).abs() <= near_m);
    shot.filter(|shot| shot.is_off(&worked.plan.criteria)).and_then(Dug::over_plan_m).unwrap_or(0.0)
}

/// Levels that hold the line: those of the dug part, and above it those that stay.
fn pins(worked: &Worked, id: LineId, dug: &DugLine, unlock: bool) -> Vec<Pin> {
    let (plan, Some(design)) = (&worked.plan, worked.design.lines.get(&id)) else { return Vec::new() };
    let Some(last) = dug.shots.last() else { return Vec::new() };
    let line = &plan.lines[&id];
    // The downstream end hangs on the main or the outlet.
    let joins = !matches!(line.joins, Joins::Nothing);
    let counts = |station_m: f64| !joins || station_m > plan.criteria.shot_end_m;
    let shots = dug.shots.iter().filter(|shot| counts(shot.station_m));
    let held = shots.filter_map(|shot| {
        let is_held = shot.is_off(&plan.criteria) || shot.station_m == last.station_m;
        let invert_m = if is_held { Some(shot.invert_m) } else { shot.plan_m };
        Some(Pin { station_m: shot.station_m, invert_m: invert_m?, straight: true })
    });
    let mut pins: Vec<Pin> = held.collect();
    pins.extend(as_planned(design, dug, &plan.criteria).into_iter().filter(|pin| counts(pin.station_m)));
    pins.extend(line.pins.iter().filter(|pin| pin.station_m > last.station_m + plan.criteria.shot_end_m && !unlock));
    pins.sort_by(|a, b| a.station_m.total_cmp(&b.station_m));
    pins.dedup_by(|above, below| above.station_m - below.station_m <= measure::INCH_M);
    pins
}

/// Grade breaks of the plan between two neighbouring shots that lie as planned.
fn as_planned(design: &LineDesign, dug: &DugLine, criteria: &Criteria) -> Vec<Pin> {
    let pairs = dug.shots.windows(2).filter(|pair| pair.iter().all(|shot| !shot.is_off(criteria)));
    let between = |pair: &[Dug]| {
        let inside = pair[0].station_m + measure::INCH_M..pair[1].station_m - measure::INCH_M;
        let breaks = design.breaks().filter(move |at| inside.contains(&at.station_m));
        let pin = |at: design::Break| {
            let invert_m = design.stations.get(at.index)?.invert_m?;
            Some(Pin { station_m: at.station_m, invert_m, straight: true })
        };
        breaks.filter_map(pin).collect::<Vec<_>>()
    };
    pairs.flat_map(between).collect()
}

/// A stake whose level becomes another.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved {
    /// The line.
    pub line: LineId,
    /// The stake, metres.
    pub station_m: f64,
    /// Its invert before and after, metres.
    pub invert_m: (f64, f64),
    /// Depth of the trench before and after, metres, where ground is known.
    pub trench_m: Option<(f64, f64)>,
}

/// The stakes above the last shots whose level becomes another.
pub fn moved(before: &Worked, after: &Worked) -> Vec<Moved> {
    let (criteria, dug) = (&before.plan.criteria, before.dug());
    let mut all = Vec::new();
    for (id, one) in &before.design.lines {
        let Some(other) = after.design.lines.get(id) else { continue };
        let last_m = dug.lines.get(id).and_then(|dug| dug.shots.last()).map_or(-1.0, |shot| shot.station_m);
        let stakes = (0..).map(|i| f64::from(i) * criteria.staking_m).take_while(|at_m| *at_m < one.length_m);
        for station_m in stakes.chain([one.length_m]).filter(|at_m| *at_m > last_m + SAME_M) {
            let Some((was, is)) = one.at(station_m).zip(other.at(station_m)) else { continue };
            let Some(invert_m) = was.invert_m.zip(is.invert_m) else { continue };
            let deep = |line: &LineDesign, station| line.trench_depth_m(station, criteria.bedding_m);
            if (invert_m.0 - invert_m.1).abs() > SAME_M {
                let trench_m = deep(one, &was).zip(deep(other, &is));
                all.push(Moved { line: *id, station_m, invert_m, trench_m });
            }
        }
    }
    all
}

/// What becomes otherwise, as lines of text: stakes, money, findings.
pub fn text_lines(before: &Worked, after: &Worked) -> Vec<String> {
    let (plan, units) = (&before.plan, before.plan.title.units);
    let stakes = moved(before, after);
    let mut text =
        vec![format!("Regraded: {} above what is down lie otherwise.", measure::how_many(stakes.len(), "stake"))];
    let name = |id: LineId| plan.lines.get(&id).map_or("", |line| line.name.as_str());
    text.extend(stakes.iter().map(|stake| format!("  {} {}", name(stake.line), stake.words(units))));
    let (one, other) = (before.estimate(), after.estimate());
    text.push(format!("Cost, an estimate: {} before, {} after.", one.about(one.total()), other.about(other.total())));
    text.extend(crate::words::came_and_went(&before.findings, &after.findings));
    let next = plan::revision_letter(plan.revisions.len());
    text.push(format!("Issue the sheets anew, as revision {next}, before anybody digs on."));
    text
}

impl Moved {
    /// "2+50 invert 414.63 to 414.80, trench 3.48 ft to 3.31 ft".
    pub fn words(&self, units: Units) -> String {
        let level = |level_m: f64| units.level(level_m);
        let trench =
            self.trench_m.map(|(was_m, is_m)| format!(", trench {} to {}", units.depth(was_m), units.depth(is_m)));
        let (was_m, is_m) = self.invert_m;
        let at = measure::station(self.station_m, units);
        format!("{at} invert {} to {}{}", level(was_m), level(is_m), trench.unwrap_or_default())
    }
}

/// The same for machines.
pub fn as_json(before: &Worked, after: &Worked) -> Value {
    let stake = |stake: &Moved| {
        json!({
            "line": before.plan.lines.get(&stake.line).map(|line| &line.name),
            "station_m": stake.station_m,
            "invert_before_m": stake.invert_m.0, "invert_after_m": stake.invert_m.1,
            "trench_before_m": stake.trench_m.map(|both| both.0), "trench_after_m": stake.trench_m.map(|both| both.1),
        })
    };
    let keys = |worked: &Worked| worked.findings.iter().map(|finding| finding.key.clone()).collect::<Vec<_>>();
    json!({
        "stakes": moved(before, after).iter().map(stake).collect::<Vec<_>>(),
        "total_before": before.estimate().total(), "total_after": after.estimate().total(),
        "findings_before": keys(before), "findings_after": keys(after),
        "next_revision": plan::revision_letter(before.plan.revisions.len()),
        "caution": plan::CAUTION,
    })
}

#[cfg(test)]
mod tests {
    use land::Land;
    use measure::{FOOT_M, Point};
    use plan::{DugShot, LineKind, ShotOn, Spot, Taken};

    use super::*;

    fn at(x: f64, y: f64) -> Point {
        Point::new(x * FOOT_M, y * FOOT_M)
    }

    fn pin(station: f64, level: f64) -> Pin {
        Pin { station_m: station * FOOT_M, invert_m: level * FOOT_M, straight: true }
    }

    fn shot(line: LineId, station: f64, level: f64) -> DugShot {
        let taken = Taken { by: "R. Wren".into(), at: "2031-04-02".into(), revision: "B".into() };
        let spot = Spot::Station { line, station_m: station * FOOT_M };
        crate::dug::shot(spot, ShotOn::Invert, level * FOOT_M, String::new(), &taken)
    }

    /// Tannet Rise, L2 issued at 0.60 % to 2+00 and 1.65 % to 4+00, dug to 2+00 over rock that kept it 0.30 ft high from 1+50.
    fn over_rock() -> (Plan, LineId) {
        let mut plan = Plan::new("Tannet Rise", Units::Feet);
        let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", at(-100.0, 0.0), 412.0 * FOOT_M));
        plan.apply(&edit).unwrap();
        let main = Line {
            joins: Joins::Outlet(outlet),
            pins: vec![pin(100.0, 412.36)],
            ..Line::new("M1", LineKind::Main, vec![at(-100.0, 0.0), at(200.0, 0.0)])
        };
        let (m1, edit) = plan::add_line(&plan, main);
        plan.apply(&edit).unwrap();
        let lateral = Line {
            joins: Joins::Line(m1),
            pins: vec![pin(0.0, 412.61), pin(200.0, 413.81), pin(400.0, 417.11)],
            ..Line::new("L2", LineKind::Lateral, vec![at(0.0, 0.0), at(0.0, 400.0)])
        };
        let (l2, edit) = plan::add_line(&plan, lateral);
        plan.apply(&edit).unwrap();
        let held = [(0.0, 412.61), (50.0, 412.93), (100.0, 413.20), (150.0, 413.81), (200.0, 414.11)];
        plan.record.shots = held.iter().map(|(station, level)| shot(l2, *station, *level)).collect();
        (plan, l2)
    }

    fn worked(plan: &Plan) -> Worked {
        Worked::of(plan.clone(), &Land::without_ground())
    }

    #[test]
    fn the_rest_follows_from_what_is_down() {
        let (plan, l2) = over_rock();
        let before = worked(&plan);
        let after = worked(&plan.with(&edit(&before, false).unwrap()));
        let level = |station: f64| {
            let invert_m = after.design.lines[&l2].at(station * FOOT_M).unwrap().invert_m.unwrap();
            (invert_m / FOOT_M * 1e3).round() / 1e3
        };
        // As planned to 1+00, as dug at 1+50 and 2+00, then straight to the level that was locked at 4+00.
        assert_eq!([0.0, 50.0, 100.0].map(level), [412.61, 412.91, 413.21]);
        assert_eq!([150.0, 200.0, 300.0, 400.0].map(level), [413.81, 414.11, 415.61, 417.11]);
        let has_111 = |worked: &Worked| worked.findings.iter().any(|finding| finding.check == 111);
        assert!(has_111(&before) && !has_111(&after));
        let stakes = moved(&before, &after);
        assert!(stakes.iter().all(|stake| stake.line == l2 && stake.station_m > 200.0 * FOOT_M), "{stakes:?}");
        let words: Vec<String> = stakes.iter().map(|stake| stake.words(Units::Feet)).collect();
        assert_eq!(words[1], "3+00 invert 415.46 to 415.61");
        let text = text_lines(&before, &after).join("\n");
        assert!(text.contains("gone: 111@L2:45.7m") && text.contains("as revision A"), "{text}");
        assert_eq!(edit(&after, false), None, "what is down is in the plan already");
    }

    #[test]
    fn levels_above_are_freed_where_that_is_asked() {
        let (plan, l2) = over_rock();
        let unlocked = plan.with(&edit(&worked(&plan), true).unwrap());
        assert_eq!(unlocked.lines[&l2].pins.last().map(|pin| pin.station_m), Some(200.0 * FOOT_M));
        assert_eq!(edit(&worked(&Plan::new("Nothing", Units::Feet)), true), None);
    }
}
