//! Every place of the lines that a later digger looks for: ends, bends, joints, crossings, changes of size and grade, what
//! stands on a line, outlets.

use design::{Design, LineDesign, Station};
use measure::Point;
use plan::{Joins, Line, LineId, LineKind, Plan};

use crate::{DugLine, Tie, as_dug, corners, tie};

/// Places on a line this near to each other are one, metres (a hundredth of a foot; [judgement]).
const SAME_PLACE_M: f64 = 0.003;
/// A shot stands for a place on its line within so far of it, metres ([judgement]).
const SHOT_REACH_M: f64 = 0.6;

/// A place on a line, or an outlet.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// The line; `None` for an outlet by itself.
    pub line: Option<LineId>,
    /// Name of the line, or of the outlet.
    pub name: String,
    /// Distance from the downstream end of the line, metres.
    pub station_m: Option<f64>,
    /// Where it is.
    pub at: Point,
    /// Ground there, metres.
    pub ground_m: Option<f64>,
    /// Invert as planned, metres.
    pub invert_m: Option<f64>,
    /// Invert as it was shot before backfill, metres, the shot nearest to it.
    pub dug_m: Option<f64>,
    /// Nominal inside diameter above it, metres.
    pub size_m: Option<f64>,
    /// What is there, in words.
    pub what: String,
    /// So far from two corners of the field, where there is one.
    pub tie: Option<Tie>,
}

/// Every place, line by line from the downstream end up, then the outlets that no line reaches.
pub fn places(plan: &Plan, design: &Design) -> Vec<Place> {
    let corners = plan.field.as_ref().map(|field| corners(&field.ring)).unwrap_or_default();
    let dug = as_dug(plan, design);
    let on_lines = plan.lines.iter().filter_map(|(id, line)| Some((*id, line, design.lines.get(id)?)));
    let mut found: Vec<Place> =
        on_lines.flat_map(|(id, line, worked)| of_line(plan, design, (id, line, worked))).collect();
    let reached = |id| plan.lines.values().any(|line| line.joins == Joins::Outlet(id));
    found.extend(plan.outlets.iter().filter(|(id, _)| !reached(**id)).map(|(id, outlet)| Place {
        line: None,
        name: outlet.name.clone(),
        station_m: None,
        at: outlet.at,
        ground_m: None,
        invert_m: Some(design.outlet_invert_m(*id, outlet)),
        dug_m: None,
        size_m: None,
        what: "outlet".into(),
        tie: None,
    }));
    for place in &mut found {
        place.tie = tie(&corners, place.at);
        place.dug_m = place.line.zip(place.station_m).and_then(|(line, m)| dug_at(dug.lines.get(&line)?, m));
    }
    found
}

/// The invert as dug at a station, from the shot nearest to it.
fn dug_at(dug: &DugLine, station_m: f64) -> Option<f64> {
    let near = dug.shots.iter().map(|shot| ((shot.station_m - station_m).abs(), shot.invert_m));
    near.filter(|(off_m, _)| *off_m <= SHOT_REACH_M).min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, invert_m)| invert_m)
}

/// The places of a line, those at one station together.
fn of_line(plan: &Plan, design: &Design, (id, line, worked): (LineId, &Line, &LineDesign)) -> Vec<Place> {
    let mut told = told(plan, design, (id, line, worked));
    told.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut found: Vec<Place> = Vec::new();
    for (station_m, what) in told {
        match found.last_mut() {
            Some(last) if last.station_m.is_some_and(|m| station_m - m <= SAME_PLACE_M) => {
                last.what.push_str(&format!("; {what}"));
            }
            _ => found.extend(worked.at(station_m).map(|station| place(id, line, (worked, station), what))),
        }
    }
    found
}

fn place(id: LineId, line: &Line, (worked, station): (&LineDesign, Station), what: String) -> Place {
    Place {
        line: Some(id),
        name: line.name.clone(),
        station_m: Some(station.station_m),
        at: station.at,
        ground_m: station.ground_m,
        invert_m: station.invert_m,
        dug_m: None,
        size_m: Some(worked.pipe_above(station.station_m).size_m),
        what,
        tie: None,
    }
}

/// What is on a line: station and words.
fn told(plan: &Plan, design: &Design, (id, line, worked): (LineId, &Line, &LineDesign)) -> Vec<(f64, String)> {
    let units = plan.title.units;
    let name = |id: &LineId| plan.lines.get(id).map_or("", |line| line.name.as_str());
    let lower = match plan.name_of(line.joins) {
        Some(other) if matches!(line.joins, Joins::Outlet(_)) => format!("outlet {other}"),
        Some(other) => format!("lower end, joins {other}"),
        None => "lower end".into(),
    };
    let upper = if line.capped { "upper end, capped" } else { "upper end" };
    let mut found = vec![(0.0, lower), (worked.length_m, upper.into())];
    let inner = worked.stations.iter().filter(|s| s.station_m > 0.0 && s.station_m < worked.length_m);
    found.extend(inner.filter(|s| s.mark.bend).map(|s| (s.station_m, "bend".to_string())));
    found.extend(worked.breaks().map(|change| (change.station_m, "grade changes".to_string())));
    found.extend(design.joints.iter().filter(|joint| joint.main == id).map(|joint| {
        let at = joint.branch_invert_m.map(|m| format!(", its invert {}", units.level(m))).unwrap_or_default();
        (joint.station_m, format!("joint of {}{at}", name(&joint.branch)))
    }));
    found.extend(design.crossings.iter().filter(|x| x.a == id || x.b == id).map(|x| {
        let (station_m, other, above_m) = match x.a == id {
            true => (x.a_station_m, x.b, x.a_above_b_m),
            false => (x.b_station_m, x.a, x.a_above_b_m.map(|m| -m)),
        };
        let side = |m: f64| if m >= 0.0 { "above" } else { "below" };
        let how = above_m.map(|m| format!(", {} {} it", units.depth(m.abs()), side(m))).unwrap_or_default();
        (station_m, format!("crosses {}{how}", name(&other)))
    }));
    found.extend(worked.pipe.windows(2).filter(|pair| pair[0].size_m != pair[1].size_m).map(|pair| {
        let [below, above] = [pair[0].size_m, pair[1].size_m].map(|size_m| units.pipe(size_m));
        (pair[1].from_m, format!("reducer, {below} below, {above} above"))
    }));
    found.extend(line.structures.iter().map(|stands| (stands.station_m, stands.kind.word().to_string())));
    if let LineKind::OldTile(_) = line.kind {
        found.iter_mut().for_each(|(_, what)| *what = format!("old tile, {what}"));
    }
    found
}
