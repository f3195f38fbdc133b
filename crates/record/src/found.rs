//! Old tile found in the trench: how its level stands to the new pipe there, what water it brings, and what there is room for.

use design::Design;
use hydraulics::CapacityRange;
use land::{Land, Soils};
use measure::{FOOT_M, INCH_M, Point, apart_deg, bearing, distance, nearest_on, point_at, toward};
use plan::{Decision, Find, Joins, Line, LineId, LineKind, OutletId, Plan, Running, Spot};

use crate::spot::nearest_line;
use crate::{OnLine, station_of};

/// Levels this near to each other are one, metres: 0.01 ft, the trade's tolerance at joints.
const SAME_LEVEL_M: f64 = 0.01 * FOOT_M;
/// How far two lines may point apart that do the same work, degrees (judgement: beyond that they drain other land).
const SAME_WAY_DEG: f64 = 60.0;
/// Sizes an old line may have that nobody measured, metres: 4 to 6 in (judgement, the common ones).
const UNKNOWN_SIZE_M: (f64, f64) = (4.0 * INCH_M, 6.0 * INCH_M);
/// Grade of an old line where no ground is known, as a ratio: 0.5 % (judgement).
const UNKNOWN_GRADE: f64 = 0.005;
/// Over how much ground the grade of an old line is guessed, metres: 100 ft (judgement).
const GUESSED_OVER_M: f64 = 100.0 * FOOT_M;

/// One of the choices that stand side by side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Choice {
    /// What is done with the old line.
    pub what: Decision,
    /// True where larger pipe is laid from there down to the outlet, so that it carries the old line's water.
    pub larger_below: bool,
}

/// Old tile in the trench of a new line.
#[derive(Debug, Clone, Copy)]
pub struct Trench<'a> {
    pub(crate) plan: &'a Plan,
    pub(crate) find: &'a Find,
    /// Where in the trench.
    pub on: OnLine,
    /// The old line of the plan that passes there, if one does.
    pub known: Option<LineId>,
    /// The way to its upper end, degrees clockwise from north.
    pub up_deg: f64,
    /// True where nobody saw which way it falls: it is taken to come square to the trench, from the higher side.
    pub is_guess: bool,
    /// The planned pipe that it would spare, if any.
    pub spared: Option<Spared>,
    /// Grade that the ground gives it, as a ratio.
    grade: f64,
}

/// Planned pipe whose work the old line does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spared {
    /// The lateral.
    pub line: LineId,
    /// The station above which it is not dug, metres; 0 for the whole of it.
    pub from_m: f64,
    /// How much of it that is, metres.
    pub length_m: f64,
}

/// How an old line would enter the new one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Enters {
    /// At or above the centre of the new pipe; in line at or above its invert.
    Fits,
    /// So high above it that it needs a riser bend.
    FitsWithDrop,
    /// Its invert under the centre, its own centre not.
    Low,
    /// Its centre under the centre of the new pipe: it would stand in the new one's water.
    TooLow,
}

/// How the levels of the old line and the new pipe stand to each other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// Invert of the new pipe there, metres.
    pub invert_m: f64,
    /// Its centre, metres.
    pub centre_m: f64,
    /// Its crown, metres.
    pub crown_m: f64,
    /// Invert of the old line, metres.
    pub old_m: f64,
    /// Clear height between the outsides of the two, metres; 0 or less where they meet.
    pub clear_m: f64,
    /// How it would enter.
    pub entry: Enters,
}

/// The water that an old line brings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Brings {
    /// What ran when it was found, m³/s: today's flow, not what it must carry.
    pub today_m3s: Option<f64>,
    /// The same spread over its land, m/s.
    pub today_ms: Option<f64>,
    /// What it brings at the job's coefficient, m³/s: least and most, the same where its land is known. Else between what ran
    /// and what the old pipe can carry at best.
    pub design_m3s: (f64, f64),
}

/// The fullest pipe from a place down to the outlet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// Its line.
    pub line: LineId,
    /// Lower station of the reach, metres.
    pub station_m: f64,
    /// What must flow there, m³/s.
    pub required_m3s: f64,
    /// What it carries full, m³/s.
    pub capacity_m3s: f64,
}

impl Room {
    /// How full it is, as a share.
    pub fn share(&self) -> f64 {
        if self.required_m3s <= 0.0 { 0.0 } else { self.required_m3s / self.capacity_m3s }
    }
}

/// The new line in whose trench a find lies; `None` where there is none within reach.
pub fn trench_of(plan: &Plan, spot: &Spot) -> Option<OnLine> {
    let is_new = |line: &Line| !line.kind.is_old();
    match spot {
        Spot::Place(place) => nearest_line(plan, *place, plan.criteria.old_tile_near_m, is_new),
        Spot::Station { line, .. } => station_of(plan, spot, 0.0).filter(|_| is_new(&plan.lines[line])),
    }
}

impl<'a> Trench<'a> {
    /// Holds a find against the plan; `None` where it lies in the trench of no new line.
    pub fn of(plan: &'a Plan, land: &Land, find: &'a Find) -> Option<Self> {
        let on = trench_of(plan, &find.spot)?;
        let up_deg = find.falls_deg.map(|deg| (deg + 180.0).rem_euclid(360.0));
        let is_guess = up_deg.is_none();
        let up_deg = up_deg.unwrap_or_else(|| higher_side(plan, land, on));
        let known = old_line_at(plan, on.at);
        let grade = ground_grade(land, on.at, up_deg).unwrap_or(UNKNOWN_GRADE);
        let spared = if is_guess { None } else { spared(plan, on, up_deg) };
        Some(Self { plan, find, on, known, up_deg, is_guess, spared, grade })
    }

    /// The same, which leaves every planned line as it is.
    pub fn sparing_nothing(self) -> Self {
        Self { spared: None, ..self }
    }

    /// True where the planned line stops at the find, and the old one carries on from its end.
    pub fn stops_here(&self) -> bool {
        self.spared.is_some_and(|spared| spared.line == self.on.line)
    }

    /// Inside diameter of the old line, metres: as measured, else the smallest that is common.
    pub fn size_m(&self) -> f64 {
        self.find.size_m.unwrap_or(UNKNOWN_SIZE_M.0)
    }

    /// How the levels stand to each other in a design; `None` where one is not known.
    pub fn fit(&self, design: &Design) -> Option<Fit> {
        let worked = design.lines.get(&self.on.line)?;
        let (invert_m, old_m) = (worked.at(self.on.station_m)?.invert_m?, self.find.invert_m?);
        let (pipe, old_size_m) = (worked.pipe_at(self.on.station_m), self.size_m());
        let centre_m = invert_m + pipe.size_m / 2.0;
        let over = old_m - pipe.wall_m() - invert_m - pipe.top_above_invert_m();
        let under = invert_m - pipe.wall_m() - old_m - old_size_m - pipe.body().wall_m(old_size_m);
        let entry = match old_m - if self.stops_here() { invert_m } else { centre_m } {
            above_m if above_m > self.plan.criteria.joint_drop_m + SAME_LEVEL_M => Enters::FitsWithDrop,
            above_m if above_m >= -SAME_LEVEL_M => Enters::Fits,
            above_m if above_m + old_size_m / 2.0 >= -SAME_LEVEL_M => Enters::Low,
            _ => Enters::TooLow,
        };
        let crown_m = invert_m + pipe.size_m;
        Some(Fit { invert_m, centre_m, crown_m, old_m, clear_m: over.max(under), entry })
    }

    /// The water it brings.
    pub fn brings(&self) -> Brings {
        let today_m3s = match self.find.running {
            Running::Flow(flow_m3s) => Some(flow_m3s),
            Running::Dry => Some(0.0),
            Running::Runs | Running::Unknown => None,
        };
        let land_m2 = self.find.upstream_m2.filter(|area_m2| *area_m2 > 0.0);
        let today_ms = today_m3s.zip(land_m2).map(|(flow_m3s, area_m2)| flow_m3s / area_m2);
        let design_m3s = match land_m2 {
            Some(area_m2) => {
                let flow_m3s = hydraulics::drainage_m3s(area_m2, self.plan.brief.coefficient_ms());
                (flow_m3s, flow_m3s)
            }
            None => (today_m3s.unwrap_or(0.0), self.carries().most_m3s.max(today_m3s.unwrap_or(0.0))),
        };
        Brings { today_m3s, today_ms, design_m3s }
    }

    /// What the old pipe may carry, by its size, its condition and the fall of the ground.
    pub fn carries(&self) -> CapacityRange {
        let (n, silt) = (design::old_roughness(self.find.material), design::silt_share(self.find.condition));
        let silt = self.find.silt_m.map_or(silt, |depth_m| {
            let share = (depth_m / self.size_m()).clamp(0.0, 1.0);
            (share, share)
        });
        let of = |size_m: f64| hydraulics::old_capacity(size_m, self.grade, n, silt);
        let (least_m, most_m) = self.find.size_m.map_or(UNKNOWN_SIZE_M, |size_m| (size_m, size_m));
        CapacityRange { least_m3s: of(least_m).least_m3s, most_m3s: of(most_m).most_m3s }
    }

    /// The fullest pipe from the find down to the outlet, with so much more water than in the design, m³/s.
    pub fn room(&self, plan: &Plan, design: &Design, more_m3s: f64) -> Option<Room> {
        let below = way_down(plan, design, (self.on.line, self.on.station_m));
        let rooms = below.into_iter().flat_map(|(id, to_m)| {
            let worked = design.lines.get(&id);
            worked.into_iter().flat_map(move |worked| {
                let reaches = worked.stations.iter().enumerate().take_while(move |(_, s)| s.station_m < to_m);
                reaches.filter_map(move |(i, station)| {
                    let grade = worked.grade(i).filter(|grade| *grade > 0.0)?;
                    Some(Room {
                        line: id,
                        station_m: station.station_m,
                        required_m3s: worked.through_m3s.get(i)? + more_m3s,
                        capacity_m3s: worked.above(i).full_capacity_m3s(grade) * worked.even_factor,
                    })
                })
            })
        });
        rooms.reduce(|most, room| if room.share() > most.share() { room } else { most })
    }
}

/// The lines from a place down to the outlet, each with the station up to which water from there runs through it.
pub(crate) fn way_down(plan: &Plan, design: &Design, from: (LineId, f64)) -> Vec<(LineId, f64)> {
    let mut way = vec![from];
    loop {
        let (last, _) = way[way.len() - 1];
        let next = design.joints.iter().find(|joint| joint.branch == last);
        match next.filter(|joint| way.iter().all(|(id, _)| *id != joint.main) && plan.lines.contains_key(&joint.main))
        {
            Some(joint) => way.push((joint.main, joint.station_m)),
            None => return way,
        }
    }
}

/// The outlet to which the water of a line comes; `None` where it comes to none.
pub(crate) fn outlet_of(plan: &Plan, design: &Design, line: LineId) -> Option<OutletId> {
    let (last, _) = *way_down(plan, design, (line, 0.0)).last()?;
    match plan.lines.get(&last)?.joins {
        Joins::Outlet(outlet) => Some(outlet),
        Joins::Line(_) | Joins::Nothing => None,
    }
}

/// The old line that passes within reach of a place, the nearest.
fn old_line_at(plan: &Plan, at: Point) -> Option<LineId> {
    nearest_line(plan, at, plan.criteria.old_tile_near_m, |line| line.kind.is_old()).map(|on| on.line)
}

/// Direction of a line at a station, degrees clockwise from north, looking up it.
pub fn line_deg(line: &Line, station_m: f64) -> f64 {
    /// Over how much of it, metres.
    const ALONG_M: f64 = 1.0;
    let at = |m: f64| point_at(&line.points, m).unwrap_or(line.points[0]);
    let upper_m = (station_m + ALONG_M).min(line.length_m());
    bearing(at((upper_m - 2.0 * ALONG_M).max(0.0)), at(upper_m))
}

/// The way square to a trench on which the ground is higher; left of it, looking up the line, where no ground tells.
fn higher_side(plan: &Plan, land: &Land, on: OnLine) -> f64 {
    let along_deg = plan.lines.get(&on.line).map_or(0.0, |line| line_deg(line, on.station_m));
    let [left, right] = [along_deg - 90.0, along_deg + 90.0].map(|deg| deg.rem_euclid(360.0));
    let level = |deg: f64| land.ground.as_ref()?.elevation(toward(on.at, deg, GUESSED_OVER_M / 2.0));
    match level(left).zip(level(right)) {
        Some((left_m, right_m)) if right_m > left_m => right,
        _ => left,
    }
}

/// How much the ground rises from a place in a direction, as a ratio; `None` where it does not, or is not known.
fn ground_grade(land: &Land, at: Point, up_deg: f64) -> Option<f64> {
    let level = |at: Point| land.ground.as_ref()?.elevation(at);
    let rise_m = level(toward(at, up_deg, GUESSED_OVER_M))? - level(at)?;
    Some(rise_m / GUESSED_OVER_M).filter(|grade| *grade > 0.0)
}

/// The planned pipe whose work an old line does that comes from a direction: the rest of the lateral in whose trench it lies,
/// or a lateral that leaves the trench beside it the same way, as far as a line drains. Never one into which others lead.
fn spared(plan: &Plan, on: OnLine, up_deg: f64) -> Option<Spared> {
    let own = plan.lines.get(&on.line)?;
    let leads_on = |id: LineId, from_m: f64| {
        let joint_m = |line: &Line| Some(nearest_on(&plan.lines.get(&id)?.points, line.downstream_end()?)?.0);
        plan.branches(id).any(|(_, branch)| joint_m(branch).is_some_and(|m| m > from_m - FOOT_M))
    };
    let left_m = own.length_m() - on.station_m;
    if own.kind == LineKind::Lateral {
        let goes_on = left_m > FOOT_M && apart_deg(line_deg(own, on.station_m + 1.0), up_deg) <= SAME_WAY_DEG;
        let rest = Spared { line: on.line, from_m: on.station_m, length_m: left_m };
        return Some(rest).filter(|_| goes_on && !leads_on(on.line, on.station_m));
    }
    let reach_m = Soils::of(plan).served_m(on.at, plan.criteria.target_depth_m);
    let beside = plan.branches(on.line).filter_map(|(id, line)| {
        let off_m = distance(line.downstream_end()?, on.at);
        let (first, last) = (line.downstream_end()?, line.upper_end()?);
        let same = line.kind == LineKind::Lateral && apart_deg(bearing(first, last), up_deg) <= SAME_WAY_DEG;
        (same && off_m <= reach_m && !leads_on(id, 0.0)).then_some((id, line.length_m(), off_m))
    });
    let (line, length_m, _) = beside.min_by(|a, b| a.2.total_cmp(&b.2))?;
    Some(Spared { line, from_m: 0.0, length_m })
}
