//! The rows a crew digs by (columns as in [OLD1867]; the rest judgement): how far down the trench bottom is at every stake, what is here
//! and what comes next.

use design::{Design, Joint, LineDesign, Pipe};
use measure::{FOOT_M, Point, Units, crossings};
use plan::{Envelope, Hub, Joins, Line, LineId, Measure, Passed, Plan, Slots, StructureKind, Wall};
use terrain::{Extreme, Stretch};

use crate::deep::Deep;
use crate::fall::{Stand, stands};
use crate::notice::{self, Notice, Seen, Weight};
use crate::pieces::pieces;
use crate::printed::printed;
use crate::rod::{SetUp, set_up_at, tell_moves};

/// Places this near are one row, metres (an inch).
pub(crate) const SAME_ROW_M: f64 = 0.0254;
/// A row at an even distance is left out this near to another, metres: 10 ft (judgement).
const CROWDED_M: f64 = 10.0 * FOOT_M;
/// The place where cover is least or the trench deepest, and the ends of a stretch to be protected or fixed, have a row of
/// their own this far from every other, metres: 3 ft (judgement).
const NEAR_EXTREME_M: f64 = 3.0 * FOOT_M;
/// A hub this near to a row is the row's, metres (6 in; judgement).
const OWN_HUB_M: f64 = 0.15;

/// What the cut is measured from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stake {
    /// A hub whose level was read.
    Hub(Hub),
    /// The ground at the centre line, as the surface has it.
    Ground(f64),
}

impl Stake {
    /// Level the cut is measured from, metres.
    pub const fn level_m(&self) -> f64 {
        match self {
            Self::Hub(hub) => hub.level_m,
            Self::Ground(level_m) => *level_m,
        }
    }
}

/// Something that the digging comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Ahead {
    /// Where it begins, metres from the downstream end.
    pub station_m: f64,
    /// Its place and what it is: "1+41 water line W1, 1.15 ft down".
    pub words: String,
    /// True for what lies buried there and must be located and dug free by hand.
    pub buried: bool,
}

/// One stake.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Distance from the downstream end, metres.
    pub station_m: f64,
    /// Where it is.
    pub at: Point,
    /// What the cut is measured from; `None` where neither hub nor ground is known.
    pub stake: Option<Stake>,
    /// Invert, metres.
    pub invert_m: f64,
    /// From the stake down to the invert, metres.
    pub cut_m: Option<f64>,
    /// From the stake down to the bottom of the trench, metres.
    pub to_trench_bottom_m: Option<f64>,
    /// Grade to the next row, as a ratio; `None` in the last.
    pub grade: Option<f64>,
    /// Ground at the centre line, metres.
    pub ground_m: Option<f64>,
    /// Depth of the invert, metres.
    pub depth_m: Option<f64>,
    /// Soil over the pipe, metres.
    pub cover_m: Option<f64>,
    /// Reading of a rod that stands on the invert, metres, where a plane was given.
    pub rod_m: Option<f64>,
    /// What is here: fittings, changes of pipe and grade.
    pub here: Vec<String>,
    /// What comes before the next row.
    pub ahead: Vec<Ahead>,
    /// Findings that touch the digging from here to the next row, the heaviest first.
    pub seen: Vec<Seen>,
    /// True where nobody digs: cut, way down to the trench bottom and reading of the rod are not given.
    pub no_dig: bool,
}

/// The sheet of one line.
#[derive(Debug, Clone, PartialEq)]
pub struct CutSheet {
    /// The line.
    pub line: LineId,
    /// Its name.
    pub name: String,
    /// Pipe from the downstream end up, in words.
    pub pipe: String,
    /// Where zero is and which way the stations run.
    pub zero: String,
    /// Rows from the downstream end up.
    pub rows: Vec<Row>,
    /// From the invert down to the bottom of the trench, metres: wall and bedding.
    pub below_invert_m: f64,
    /// True where at least one hub has a level.
    pub has_hubs: bool,
    /// Sum of length times grade, and last invert less first, all as they are printed, metres.
    pub rise_m: (f64, f64),
    /// What reducers with level crowns lift the invert besides, each as it is printed, metres.
    pub steps_m: f64,
    /// True where sum and steps differ from the ends by no more than printing rounds off.
    pub adds_up: bool,
    /// Least cover and where, metres; the outlet pipe does not count.
    pub least_cover: Option<Extreme>,
    /// Deepest trench and where, metres.
    pub deepest: Option<Extreme>,
    /// Stretches whose trench is as deep as asks for protection, or for a ladder.
    pub deep: Deep,
    /// Stretches along which no ground is known, metres.
    pub unknown_m: Vec<(f64, f64)>,
    /// Stretches that do not fall toward the downstream end.
    pub stands: Vec<Stand>,
    /// True where every cut goes down.
    pub cuts_are_down: bool,
}

impl CutSheet {
    /// What lies buried along the line.
    pub fn buried(&self) -> impl Iterator<Item = &Ahead> {
        self.rows.iter().flat_map(|row| &row.ahead).filter(|ahead| ahead.buried)
    }
}

/// The sheet of a new line; `None` for old tile and where no invert is known. `set_ups` are those of the laser, where
/// one is used.
pub fn cut_sheet(plan: &Plan, design: &Design, id: LineId, set_ups: &[SetUp]) -> Option<CutSheet> {
    told_sheet(plan, design, id, set_ups, &[])
}

/// True for a line that has a sheet: new, with inverts.
pub fn has_sheet(plan: &Plan, design: &Design, id: LineId) -> bool {
    let is_new = plan.lines.get(&id).is_some_and(|line| !line.kind.is_old());
    let worked = design.lines.get(&id);
    is_new && worked.is_some_and(|worked| worked.stations.iter().any(|station| station.invert_m.is_some()))
}

/// The same with what must be told of its stretches.
pub fn told_sheet(
    plan: &Plan,
    design: &Design,
    id: LineId,
    set_ups: &[SetUp],
    notices: &[Notice],
) -> Option<CutSheet> {
    let (line, worked) = (plan.lines.get(&id)?, design.lines.get(&id)?);
    if !has_sheet(plan, design, id) {
        return None;
    }
    let below_invert_m = worked.below_invert_m(0.0, plan.criteria.bedding_m);
    let sheet = Sheet { plan, design, id, line, worked, notices, deep: Deep::of(worked, &plan.criteria) };
    let mut rows = sheet.rows(set_ups);
    sheet.remark(&mut rows);
    notice::tell(&mut rows, notices, worked.length_m, plan.title.units);
    tell_moves(&mut rows, plan.title.units);
    let (sum_m, rounding_m) = printed_rise(&rows, plan.title.units);
    let (steps_m, steps_rounding_m) = printed_steps(worked, plan.title.units);
    let invert_m = |row: &Row| printed(row, plan.title.units).invert_m;
    let ends = rows.first().zip(rows.last()).map_or(0.0, |(low, high)| invert_m(high) - invert_m(low));
    Some(CutSheet {
        line: id,
        name: line.name.clone(),
        pipe: sheet.pipe_words(),
        zero: sheet.zero_words(),
        below_invert_m,
        has_hubs: rows.iter().any(|row| matches!(row.stake, Some(Stake::Hub(_)))),
        rise_m: (sum_m, ends),
        steps_m,
        adds_up: (sum_m + steps_m - ends).abs() <= rounding_m + steps_rounding_m,
        least_cover: worked.least_cover(),
        deepest: worked.deepest_trench(plan.criteria.bedding_m),
        unknown_m: worked.unknown_ground(),
        stands: stands(worked),
        deep: sheet.deep,
        cuts_are_down: rows.iter().all(|row| row.cut_m.is_none_or(|cut_m| cut_m > 0.0)),
        rows,
    })
}

/// Sum of length times grade as a reader with a pencil finds it from the printed figures, and what their rounding may
/// add to it, metres: half of the last place of each.
fn printed_rise(rows: &[Row], units: Units) -> (f64, f64) {
    let unit_m = units.length_unit().metres();
    let station_m = |row: &Row| measure::round_half_up(row.station_m / unit_m, 1) * unit_m;
    rows.windows(2).fold((0.0, 0.01 * unit_m), |(sum_m, rounding_m), pair| {
        let grade = pair[0].grade.unwrap_or(0.0);
        let places = measure::grade_places(grade);
        let printed = measure::round_half_up(grade * 100.0, places) / 100.0;
        let length_m = station_m(&pair[1]) - station_m(&pair[0]);
        let of_grade_m = 0.005 * 0.1_f64.powi(places) * length_m.abs();
        (sum_m + printed * length_m, rounding_m + of_grade_m + 0.1 * unit_m * printed.abs())
    })
}

/// What reducers lift the invert as it is printed, and what rounding may add to that, metres: half of the last place of
/// each.
fn printed_steps(worked: &LineDesign, units: Units) -> (f64, f64) {
    let half_m = 0.5 * 0.1_f64.powi(units.last_place()) * units.length_unit().metres();
    let steps = worked.changes().into_iter().map(|pair| pair[1].over_guide_m - pair[0].over_guide_m);
    steps.filter(|step_m| *step_m != 0.0).fold((0.0, 0.0), |(sum_m, rounding_m), step_m| {
        (sum_m + step_m.signum() * units.as_printed(step_m.abs()), rounding_m + half_m)
    })
}

struct Sheet<'a> {
    plan: &'a Plan,
    design: &'a Design,
    id: LineId,
    line: &'a Line,
    worked: &'a LineDesign,
    notices: &'a [Notice],
    deep: Deep,
}

impl Sheet<'_> {
    fn station(&self, station_m: f64) -> String {
        measure::station(station_m, self.plan.title.units)
    }

    fn rows(&self, set_ups: &[SetUp]) -> Vec<Row> {
        let stations = self.stops();
        let place = |i: usize| {
            let station_m = stations[i];
            let at = self.worked.at(station_m)?;
            let hub = self.line.hubs.iter().find(|hub| (hub.station_m - station_m).abs() <= OWN_HUB_M);
            let stake = hub.map(|hub| Stake::Hub(*hub)).or(at.ground_m.map(Stake::Ground));
            let invert_m = at.invert_m?;
            let next = stations.get(i + 1).and_then(|next_m| Some((*next_m, self.worked.at(*next_m)?.invert_m?)));
            let no_dig = notice::is_no_dig(self.notices, station_m, self.worked.length_m);
            let cut_m = stake.map(|stake| stake.level_m() - invert_m).filter(|_| !no_dig);
            let set_up = set_up_at(set_ups, self.id, station_m).filter(|_| !no_dig);
            Some(Row {
                station_m,
                at: at.at,
                stake,
                invert_m,
                cut_m,
                to_trench_bottom_m: cut_m
                    .map(|cut_m| cut_m + self.worked.below_invert_m(station_m, self.plan.criteria.bedding_m)),
                grade: next.map(|(next_m, level_m)| (level_m - invert_m - at.step_m) / (next_m - station_m)),
                ground_m: at.ground_m,
                depth_m: at.depth_m(),
                cover_m: self.worked.cover_m(&at),
                rod_m: set_up.map(|set_up| set_up.level_m - invert_m),
                here: Vec::new(),
                ahead: Vec::new(),
                seen: Vec::new(),
                no_dig,
            })
        };
        (0..stations.len()).filter_map(place).collect()
    }

    /// Where rows stand: at even distances, hubs, ends, changes of grade and pipe, joints and structures, and where cover is
    /// least and the trench deepest.
    fn stops(&self) -> Vec<f64> {
        let (length_m, every_m) = (self.worked.length_m, self.plan.criteria.staking_m);
        let mut stops = vec![0.0, length_m];
        stops.extend(self.worked.breaks().map(|change| change.station_m));
        stops.extend(self.branches().map(|joint| joint.station_m));
        stops.extend(self.line.structures.iter().map(|structure| structure.station_m));
        stops.extend(self.line.hubs.iter().map(|hub| hub.station_m));
        stops.extend(pieces(self.id, self.worked).iter().map(|(_, piece)| piece.to_m));
        stops.sort_by(f64::total_cmp);
        let regular = (1..=(length_m / every_m) as usize).map(|i| i as f64 * every_m);
        // Hubs stand at even distances: where one is, its row stays however near the next one lies.
        let near = |station_m: f64| stops.iter().any(|stop_m| (stop_m - station_m).abs() <= CROWDED_M);
        let regular: Vec<f64> = regular.filter(|station_m| !near(*station_m)).collect();
        stops.extend(regular);
        // Beside the stakes a crew wants, which give way to nothing; where digging ends, it ends to the inch.
        stops.extend(notice::stops(self.notices, Weight::NoDig));
        let deepest = self.worked.deepest_trench(self.plan.criteria.bedding_m);
        let extremes = [self.worked.least_cover(), deepest].into_iter().flatten().map(|extreme| extreme.station_m);
        let protected = self.deep.protected.iter().flat_map(|part| [part.from_m, part.to_m]);
        let wanted: Vec<f64> = extremes.chain(protected).chain(notice::stops(self.notices, Weight::Fix)).collect();
        for station_m in wanted {
            if stops.iter().all(|stop_m| (stop_m - station_m).abs() > NEAR_EXTREME_M) {
                stops.push(station_m);
            }
        }
        stops.sort_by(f64::total_cmp);
        stops.dedup_by(|later, earlier| *later - *earlier <= SAME_ROW_M);
        stops.retain(|station_m| (0.0..=length_m).contains(station_m));
        stops
    }

    fn branches(&self) -> impl Iterator<Item = &Joint> {
        self.design.joints.iter().filter(|joint| joint.main == self.id)
    }

    fn pipe_words(&self) -> String {
        let units = self.plan.title.units;
        let body = |size_m: f64, wall: Wall| format!("{} {}", units.pipe(size_m), wall.word());
        let one = self.worked.bodies().count() == 1;
        let parts = pieces(self.id, self.worked).into_iter().map(|(goods, piece)| {
            let (from, to) = (self.station(piece.from_m), self.station(piece.to_m));
            let body = if one { String::new() } else { format!("{} ", body(piece.size_m, piece.wall)) };
            format!("{body}{} {from} to {to}", goods.word())
        });
        let parts: Vec<String> = parts.chain(self.bed_words()).collect();
        match self.worked.bodies().next().filter(|_| one) {
            Some(whole) => format!("{}: {}", body(whole.size_m, whole.wall), parts.join(", ")),
            None => parts.join(", "),
        }
    }

    /// What is round the pipe, where it is not the soil and ordinary slots.
    fn bed_words(&self) -> impl Iterator<Item = String> + use<> {
        let (bed, units) = (self.line.bed, self.plan.title.units);
        let envelope = match bed.envelope {
            Envelope::None => None,
            Envelope::Sock => Some("sock".to_string()),
            Envelope::Granular(thick_m) => Some(format!("stone {} all round", units.pipe(thick_m))),
        };
        let slots = (bed.slots == Slots::Narrow).then(|| "narrow slots".to_string());
        let fill = bed.permeable_backfill.then(|| "trench filled with stone".to_string());
        [envelope, slots, fill].into_iter().flatten()
    }

    fn zero_words(&self) -> String {
        let zero = match self.line.joins {
            Joins::Outlet(id) => format!("outlet {}", self.plan.outlets.get(&id).map_or("", |outlet| &outlet.name)),
            Joins::Line(main) => {
                let joint = self.design.joints.iter().find(|joint| joint.branch == self.id);
                let at = joint.map(|joint| format!(" at {}", self.station(joint.station_m))).unwrap_or_default();
                format!("the joint with {}{at}", self.plan.lines.get(&main).map_or("", |line| &line.name))
            }
            Joins::Nothing => "the downstream end, which joins nothing".into(),
        };
        format!("0+00 is {zero}; stations run upstream")
    }

    fn no_level_to(&self, end_m: f64) -> String {
        format!("NO LEVEL from here to {}: no ground", self.station(end_m))
    }

    /// Writes what is at each row and what comes before the next one.
    fn remark(&self, rows: &mut [Row]) {
        if let Some(last) = rows.last_mut().filter(|last| self.worked.length_m - last.station_m > SAME_ROW_M) {
            last.here.push(self.no_level_to(self.worked.length_m));
        }
        if let Some(first) = rows.first_mut().filter(|first| first.station_m > SAME_ROW_M) {
            first.here.push(self.no_level_to(0.0));
        }
        for (station_m, text) in self.things_here() {
            let row = rows
                .iter_mut()
                .min_by(|x, y| (x.station_m - station_m).abs().total_cmp(&(y.station_m - station_m).abs()));
            row.into_iter().for_each(|row| row.here.push(text.clone()));
        }
        for ahead in self.hazards() {
            let before = rows.partition_point(|row| row.station_m < ahead.station_m - SAME_ROW_M).saturating_sub(1);
            if let Some(row) = rows.get_mut(before) {
                row.ahead
                    .push(Ahead { words: format!("{} {}", self.station(ahead.station_m), ahead.words), ..ahead });
            }
        }
    }

    /// Changes of size on the way up.
    fn reducers(&self) -> impl Iterator<Item = (f64, String)> + '_ {
        let units = self.plan.title.units;
        let change = move |pair: [Pipe; 2]| {
            let (station_m, step_m) = (pair[1].from_m, pair[1].over_guide_m - pair[0].over_guide_m);
            let (below, above) = (units.pipe(pair[0].size_m), units.pipe(pair[1].size_m));
            let words = match (pair[0].size_m == pair[1].size_m, step_m == 0.0) {
                (true, _) => format!("COUPLER, {} from here up", pair[1].wall.word()),
                (false, true) => format!("ECCENTRIC REDUCER {below} to {above}, inverts level"),
                (false, false) => {
                    let way = if step_m > 0.0 { "up" } else { "down" };
                    let to = self.worked.at(station_m).and_then(|at| at.invert_above_m());
                    let to = to.map(|level_m| format!(" to {}", units.level(level_m))).unwrap_or_default();
                    let by = units.amount(step_m.abs());
                    format!("REDUCER {below} to {above}, crowns level: invert {way} {by}{to}")
                }
            };
            (station_m, words)
        };
        self.worked.changes().into_iter().map(change)
    }

    /// Fittings, changes of grade and pipe, structures, ends.
    fn things_here(&self) -> Vec<(f64, String)> {
        let units = self.plan.title.units;
        let mut found: Vec<(f64, String)> = Vec::new();
        if let Some(joint) = self.design.joints.iter().find(|joint| joint.branch == self.id) {
            let main = &self.plan.lines[&joint.main].name;
            let (main_m, own_m) = joint.sizes_m(self.design).unwrap_or_default();
            let (large, small) = (units.pipe(main_m), units.pipe(own_m));
            let up = joint.branch_invert_m.zip(joint.main_invert_m).map(|(branch, main)| units.amount(branch - main));
            found.push((
                0.0,
                match joint.in_line {
                    true => format!("Carries on from {main}: {large} to {small}"),
                    false => format!("Tee {large} × {small} in {main}, branch up {}", up.unwrap_or_default()),
                },
            ));
        }
        found.extend(self.branches().map(|joint| {
            let name = &self.plan.lines[&joint.branch].name;
            let (own_m, branch_m) = joint.sizes_m(self.design).unwrap_or_default();
            let (large, small) = (units.pipe(own_m), units.pipe(branch_m));
            let text = match joint.in_line {
                true => format!("{name} carries on: {large} to {small}"),
                false => format!("TEE {large} × {small}, {name} leaves {}", self.side_of(joint)),
            };
            (joint.station_m, text)
        }));
        // Where a branch joins at a change of size its tee has the lower size, and the reducer follows.
        found.extend(self.reducers());
        found.extend(
            self.worked
                .breaks()
                .map(|change| (change.station_m, format!("GRADE BREAK to {}", units.grade(change.above)))),
        );
        found.extend(self.line.structures.iter().map(|s| (s.station_m, structure_words(s.kind))));
        let changes = pieces(self.id, self.worked);
        found.extend(
            changes
                .windows(2)
                .filter(|pair| pair[0].0 != pair[1].0)
                .map(|pair| (pair[1].1.from_m, format!("PIPE CHANGE to {}", pair[1].0.word()))),
        );
        found.extend(self.protected_words());
        let on = self.branches().any(|joint| joint.in_line);
        if !on {
            let end = if self.line.capped { "END CAP; post marker" } else { "END, no cap" };
            found.push((self.worked.length_m, end.into()));
        }
        found
    }

    fn protected_words(&self) -> Vec<(f64, String)> {
        let units = self.plan.title.units;
        let limit = units.depth(self.plan.criteria.protected_trench_m);
        let words = |part: &Stretch| {
            let [from, to] = [part.from_m, part.to_m].map(|station_m| self.station(station_m));
            let (length, depth) = (Measure::Length.words(part.length_m(), units), units.depth(part.worst));
            let deep = format!("TRENCH {limit} OR DEEPER {from} to {to}, {length}, up to {depth}");
            (part.from_m, format!("{deep}: nobody enters unprotected"))
        };
        self.deep.protected.iter().map(words).collect()
    }

    /// On which side a branch leaves, looking upstream.
    fn side_of(&self, joint: &Joint) -> &'static str {
        let branch = &self.plan.lines[&joint.branch].points;
        let ahead = measure::point_at(&self.line.points, (joint.station_m + 1.0).min(self.worked.length_m));
        let behind = measure::point_at(&self.line.points, (joint.station_m - 1.0).max(0.0));
        match (behind, ahead, branch.get(1)) {
            (Some(a), Some(b), Some(p)) if (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x) > 0.0 => "left",
            _ => "right",
        }
    }

    /// What lies in the ground or stands on it where the line crosses it, its station not yet in words.
    fn hazards(&self) -> Vec<Ahead> {
        let mut found: Vec<Ahead> = Vec::new();
        let plain = |station_m: f64, words: String| Ahead { station_m, words, buried: false };
        for mark in self.plan.landmarks.values() {
            let buried = matches!(mark.kind.row().passed, Passed::Buried { .. });
            for (station_m, _) in crossings(&self.line.points, &mark.outline.path()) {
                found.extend(self.hazard_words(mark, station_m).map(|words| Ahead { station_m, words, buried }));
            }
        }
        for (id, other) in self.plan.lines.iter().filter(|(id, _)| **id != self.id) {
            let joined = self.line.joins == Joins::Line(*id) || other.joins == Joins::Line(self.id);
            let what = match other.kind.is_old() {
                true => format!("old tile {}: slow down, watch, record it", other.name),
                false => format!("{} crosses", other.name),
            };
            let hits = crossings(&self.line.points, &other.points).into_iter().filter(|_| !joined);
            found.extend(hits.map(|(station_m, _)| plain(station_m, what.clone())));
        }
        found.extend(self.line.passes.iter().map(|pass| plain(pass.station_m, pass.what.clone())));
        found.sort_by(|x, y| x.station_m.total_cmp(&y.station_m).then_with(|| x.words.cmp(&y.words)));
        found
    }

    fn hazard_words(&self, mark: &plan::Landmark, station_m: f64) -> Option<String> {
        let units = self.plan.title.units;
        let down = |depth_m: Option<f64>| match depth_m {
            Some(depth_m) => format!("{} down", units.depth(depth_m)),
            None => "DEPTH UNKNOWN".into(),
        };
        let how = match notice::no_dig_about(self.notices, station_m) {
            Some(notice) => format!("DO NOT DIG {}", notice.place(units)),
            None => format!("dig by hand {} either side", units.length(self.plan.criteria.hand_dig_m)),
        };
        match &mark.kind.row().passed {
            Passed::Buried { depth_m, .. } => {
                let where_it_lies = match mark.kind.exposed() {
                    Some(exposed) => exposed.words(units),
                    None => down(depth_m.get(&mark.kind).copied().flatten()),
                };
                Some(format!("{}, {where_it_lies}, {how}", mark.called()))
            }
            Passed::Overhead(words) | Passed::Named(words) => Some(format!("{words} {}", mark.name)),
            Passed::Untold => None,
        }
    }
}

fn structure_words(kind: StructureKind) -> String {
    match kind {
        StructureKind::OpenInlet(_) => "SURFACE RISER".into(),
        kind => kind.word().to_uppercase(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use plan::{LandmarkKind, LineKind, Outlet, Pin};

    fn ft(value: f64) -> f64 {
        value * FOOT_M
    }

    /// The worked cut sheet of Tannet Rise, line L2: 0.60 % to 2+00, then 1.65 % to 4+00, hubs 6 ft left.
    fn tannet_rise() -> (Plan, Design, LineId) {
        let mut plan = Plan::new("Tannet Rise", Units::Feet);
        let point = |x: f64, y: f64| Point::new(ft(x), ft(y));
        let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", point(-100.0, 0.0), ft(412.00)));
        plan.apply(&edit).unwrap();
        let pin = |station: f64, level: f64| Pin { station_m: ft(station), invert_m: ft(level), straight: true };
        let course = vec![point(-100.0, 0.0), point(200.0, 0.0)];
        let (joins, pins) = (Joins::Outlet(outlet), vec![pin(100.0, 412.36)]);
        let (m1, edit) = plan::add_line(&plan, Line { joins, pins, ..Line::new("M1", LineKind::Main, course) });
        plan.apply(&edit).unwrap();
        let hubs = [416.31, 416.47, 416.85, 416.71, 417.52, 418.08, 419.11, 419.98, 420.83];
        let hubs = hubs.iter().enumerate().map(|(i, level)| Hub {
            station_m: ft(50.0 * i as f64),
            level_m: ft(*level),
            left_m: ft(6.0),
        });
        let lateral = Line {
            joins: Joins::Line(m1),
            pins: vec![pin(0.0, 412.61), pin(200.0, 413.81), pin(400.0, 417.11)],
            hubs: hubs.collect(),
            ..Line::new("L2", LineKind::Lateral, vec![point(0.0, 0.0), point(0.0, 400.0)])
        };
        let (l2, edit) = plan::add_line(&plan, lateral);
        plan.apply(&edit).unwrap();
        let mut design = design::work_out(&plan, &land::Land::default());
        let ground = [415.92, 416.10, 416.42, 416.29, 417.05, 417.70, 418.62, 419.55, 420.40];
        let places: Vec<_> = ground.iter().enumerate().map(|(i, z)| (ft(50.0 * i as f64), Some(ft(*z)))).collect();
        design.lines.get_mut(&l2).unwrap().lay_on(std::sync::Arc::new(terrain::Profile::through(&places)));
        (plan, design, l2)
    }

    /// The table as printed: invert, cut, cut in feet and inches, down to the trench bottom, depth, cover, rod on the invert.
    #[test]
    fn the_worked_sheet_to_the_hundredth_and_the_eighth() {
        let (plan, design, l2) = tannet_rise();
        let sheet =
            cut_sheet(&plan, &design, l2, &[SetUp { level_m: ft(424.15), line: None, stretch: None }]).unwrap();
        let printed: Vec<String> = sheet
            .rows
            .iter()
            .map(|row| {
                let two = |value: Option<f64>| Units::Feet.number(value.unwrap(), 2);
                format!(
                    "{} {} {} {} {} {} {} {}",
                    measure::station(row.station_m, Units::Feet),
                    Units::Feet.level(row.invert_m),
                    two(row.cut_m),
                    measure::feet_and_eighths(row.cut_m.unwrap()),
                    two(row.to_trench_bottom_m),
                    two(row.depth_m),
                    two(row.cover_m),
                    Units::Feet.level(row.rod_m.unwrap())
                )
            })
            .collect();
        assert_eq!(
            printed,
            [
                "0+00 412.61 3.70 3'-8 3/8\" 3.73 3.31 2.95 11.54",
                "0+50 412.91 3.56 3'-6 3/4\" 3.59 3.19 2.83 11.24",
                "1+00 413.21 3.64 3'-7 5/8\" 3.67 3.21 2.85 10.94",
                "1+50 413.51 3.20 3'-2 3/8\" 3.23 2.78 2.42 10.64",
                "2+00 413.81 3.71 3'-8 1/2\" 3.74 3.24 2.88 10.34",
                "2+50 414.635 3.45 3'-5 3/8\" 3.48 3.07 2.71 9.515",
                "3+00 415.46 3.65 3'-7 3/4\" 3.68 3.16 2.80 8.69",
                "3+50 416.285 3.70 3'-8 3/8\" 3.73 3.27 2.91 7.865",
                "4+00 417.11 3.72 3'-8 5/8\" 3.75 3.29 2.93 7.04",
            ]
        );
        assert!((sheet.rise_m.0 / FOOT_M - 4.5).abs() < 1e-6 && (sheet.rise_m.1 / FOOT_M - 4.5).abs() < 1e-6);
        assert!(sheet.adds_up);
        let worst = |extreme: Option<Extreme>| {
            extreme.map(|e| (Units::Feet.number(e.value_m, 2), measure::station(e.station_m, Units::Feet)))
        };
        assert_eq!(worst(sheet.least_cover), Some(("2.42".into(), "1+50".into())));
        assert_eq!(worst(sheet.deepest), Some(("3.34".into(), "0+00".into())));
        assert!(sheet.cuts_are_down && sheet.has_hubs);
        assert_eq!((sheet.deep, sheet.stands.len()), (Deep::default(), 0));
        assert_eq!(sheet.rows[4].here, ["GRADE BREAK to 1.65 %"]);
        assert_eq!(sheet.rows[0].here, ["Tee 6 in × 4 in in M1, branch up 0.25 ft"]);
        assert_eq!(sheet.rows[8].here, ["END CAP; post marker"]);
    }

    /// Flat grades are printed to a thousandth of a percent: 1,000 ft at 0.045 % are 0.45 ft on paper too, and
    /// hundredths of a foot would be seen.
    #[test]
    fn the_sum_is_of_what_is_printed() {
        let row = |station: f64, invert: f64, grade: Option<f64>| Row {
            station_m: ft(station),
            at: Point::new(0.0, 0.0),
            stake: None,
            invert_m: ft(invert),
            cut_m: None,
            to_trench_bottom_m: None,
            grade,
            ground_m: None,
            depth_m: None,
            cover_m: None,
            rod_m: None,
            here: Vec::new(),
            ahead: Vec::new(),
            seen: Vec::new(),
            no_dig: false,
        };
        let rows = [row(0.0, 100.0, Some(0.00045)), row(1000.0, 100.45, None)];
        let (sum_m, rounding_m) = printed_rise(&rows, Units::Feet);
        assert!((sum_m / FOOT_M - 0.45).abs() < 1e-9);
        assert!((0.005..0.02).contains(&(rounding_m / FOOT_M)), "{}", rounding_m / FOOT_M);
    }

    /// A gas line at 1+20 is told of at 1+00, and an end-post line at 0+41 at 0+00.
    #[test]
    fn hazards_are_told_before_the_place() {
        let (mut plan, design, l2) = tannet_rise();
        let point = |x: f64, y: f64| Point::new(ft(x), ft(y));
        let gas = plan::Utility { carries: plan::Carries::Gas, depth_m: Some(ft(3.2)), ..plan::Utility::default() };
        let mark = plan::Landmark {
            name: "G1".into(),
            kind: LandmarkKind::Utility(gas),
            outline: plan::Outline::Along(vec![point(-20.0, 120.0), point(20.0, 120.0)]),
            note: String::new(),
        };
        plan.apply(&plan::add_landmark(&plan, mark).1).unwrap();
        let sheet = cut_sheet(&plan, &design, l2, &[]).unwrap();
        let told: Vec<&str> = sheet.rows[2].ahead.iter().map(|ahead| ahead.words.as_str()).collect();
        assert_eq!(told, ["1+20 gas line G1, 3.20 ft down, dig by hand 2 ft either side"]);
        assert!(sheet.rows[3].ahead.is_empty());
    }
}
