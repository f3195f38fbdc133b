//! From a wet spot: which line is likely to blame, why, and where to dig first.
//!
//! Every reason has a weight of one to five ([judgement], after the signs that a repair manual gives, [REPAIR-PLAN]): what was
//! measured or found weighs more than what a plan lets fear. It counts for less the farther it lies from the spot along its
//! line, and the farther the line lies from the spot.

use design::{Design, LineDesign};
use land::Land;
use measure::{Point, distance};
use plan::{Condition, Decision, LandmarkKind, LineId, LineKind, NoteOn, Plan, Running, Spot};

use crate::{AsDug, Dip, Meeting, OnLine, as_dug, place_of, station_of};

/// Lines farther than this from a wet spot are not blamed for it, metres (200 ft; [judgement]).
const REACH_M: f64 = 60.96;
/// A cause shows upstream of itself, and a little below: from so far above the spot to so far below it along the line, metres
/// ([judgement]: water rises at the block, [REPAIR-PLAN]).
const ABOVE_M: f64 = 30.0;
const BELOW_M: f64 = 120.0;
/// At this distance a reason counts half, metres, along its line and from the spot to the line ([judgement]).
const HALF_ALONG_M: f64 = 40.0;
const HALF_OFF_M: f64 = 15.0;

/// Why a line may be to blame.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    /// Station of the place, metres from the line's downstream end.
    pub station_m: f64,
    /// One to five.
    pub weight: f64,
    /// What speaks for it, a sentence.
    pub words: String,
}

/// A line that may be to blame.
#[derive(Debug, Clone, PartialEq)]
pub struct Suspect {
    /// The line.
    pub line: LineId,
    /// Its name.
    pub name: String,
    /// The place on it that is nearest to the spot.
    pub nearest: OnLine,
    /// How the spot lies to it, in words.
    pub lies: String,
    /// What speaks against it, heaviest first; none where it is only near.
    pub reasons: Vec<Reason>,
    /// How much of it, for the order.
    pub blame: f64,
    /// Where to dig first.
    pub dig_at: Point,
    /// Its station, metres.
    pub dig_station_m: f64,
    /// Invert there, metres, where known.
    pub dig_invert_m: Option<f64>,
    /// From the ground down to the invert there, metres, where known.
    pub dig_depth_m: Option<f64>,
}

/// What is told of a wet spot.
#[derive(Debug, Clone, PartialEq)]
pub struct Trouble {
    /// The spot.
    pub at: Point,
    /// Ground there, metres.
    pub ground_m: Option<f64>,
    /// The suspects, the likeliest first.
    pub suspects: Vec<Suspect>,
    /// What else may be the cause, in sentences.
    pub else_words: Vec<String>,
}

/// Looks at a wet spot.
pub fn trouble(plan: &Plan, design: &Design, land: &Land, at: Point) -> Trouble {
    let (meetings, dug) = (crate::meetings(plan, design), as_dug(plan, design));
    let asked = Asked { plan, design, land, at, meetings, dug };
    let mut suspects: Vec<Suspect> = plan.lines.keys().filter_map(|id| asked.suspect(*id)).collect();
    suspects.sort_by(|a, b| b.blame.total_cmp(&a.blame).then(a.nearest.off_m.total_cmp(&b.nearest.off_m)));
    Trouble { at, ground_m: asked.ground_m(at), else_words: asked.else_words(&suspects), suspects }
}

struct Asked<'a> {
    plan: &'a Plan,
    design: &'a Design,
    land: &'a Land,
    at: Point,
    /// Where rows and posts meet pipe.
    meetings: Vec<Meeting>,
    /// Lines as they were dug.
    dug: AsDug,
}

/// A line beside the spot.
#[derive(Clone, Copy)]
struct Beside<'a> {
    id: LineId,
    line: &'a plan::Line,
    worked: &'a LineDesign,
    on: OnLine,
}

impl Beside<'_> {
    /// True for a station from which water may be held back up to the spot.
    fn holds_back(&self, station_m: f64) -> bool {
        (self.on.station_m - BELOW_M..=self.on.station_m + ABOVE_M).contains(&station_m)
    }
}

impl<'a> Asked<'a> {
    fn ground_m(&self, at: Point) -> Option<f64> {
        self.land.ground.as_ref()?.elevation(at)
    }

    fn suspect(&self, id: LineId) -> Option<Suspect> {
        let (line, worked) = (self.plan.lines.get(&id)?, self.design.lines.get(&id)?);
        let (station_m, at, off_m) = measure::nearest_on(&line.points, self.at)?;
        let on = OnLine { line: id, station_m, at, off_m };
        if off_m > REACH_M {
            return None;
        }
        let beside = Beside { id, line, worked, on };
        let mut reasons = self.reasons(beside);
        reasons.sort_by(|a, b| self.counts(beside, b).total_cmp(&self.counts(beside, a)));
        // Many reasons of little weight say less than one that was seen: each next one counts half.
        let counted =
            reasons.iter().zip(0..).map(|(reason, k)| self.counts(beside, reason) / f64::from(1 << k.min(8)));
        let blame = counted.sum::<f64>() + 0.1 * nearness(off_m, HALF_OFF_M);
        let dig_station_m = reasons.first().map_or(station_m, |reason| reason.station_m).clamp(0.0, worked.length_m);
        let dig = worked.at(dig_station_m)?;
        Some(Suspect {
            line: id,
            name: line.name.clone(),
            nearest: on,
            lies: self.lies(beside),
            reasons,
            blame,
            dig_at: dig.at,
            dig_station_m,
            dig_invert_m: dig.invert_m,
            dig_depth_m: dig.depth_m(),
        })
    }

    /// How much a reason counts for the spot.
    fn counts(&self, beside: Beside, reason: &Reason) -> f64 {
        let along_m = (reason.station_m - beside.on.station_m).abs();
        reason.weight * nearness(along_m, HALF_ALONG_M) * nearness(beside.on.off_m, HALF_OFF_M)
    }

    /// Whether the ground falls from the spot to the line or the other way, and whether a drop on the spot gets there.
    fn lies(&self, beside: Beside) -> String {
        let units = self.plan.title.units;
        let off = units.length(beside.on.off_m);
        let station = measure::station(beside.on.station_m, units);
        let name = &beside.line.name;
        if beside.on.off_m < 1.0 {
            return format!("over {name} at {station}");
        }
        let levels = self.ground_m(self.at).zip(self.ground_m(beside.on.at));
        let runs_there = self.runs_over(&beside.line.points);
        match levels {
            _ if runs_there => format!("{off} off; water from the spot runs over {name}"),
            Some((here_m, there_m)) if here_m > there_m => format!("{off} off, uphill of {name} at {station}"),
            Some(_) => format!("{off} off, downhill of {name} at {station}"),
            None => format!("{off} off {name} at {station}"),
        }
    }

    /// True where a drop on the spot runs over a line.
    fn runs_over(&self, course: &[Point]) -> bool {
        let (Some(grid), Some(water)) = (self.land.grid(), &self.land.water) else { return false };
        let way: Vec<Point> = water.path_from(grid, self.at);
        let near = way.iter().take_while(|p| distance(**p, self.at) <= REACH_M).count();
        !measure::crossings(course, &way[..near]).is_empty()
    }

    fn reasons(&self, beside: Beside) -> Vec<Reason> {
        let mut found = self.dips(beside);
        found.extend(self.finds(beside));
        found.extend(self.old_tile(beside));
        found.extend(self.surcharge(beside));
        found.extend(self.roots(beside));
        found.extend(self.joints(beside));
        found.extend(self.flat(beside));
        found.extend(self.outlet_seen(beside));
        found.extend(self.repaired(beside));
        found.extend(self.posts(beside));
        found.retain(|reason| beside.holds_back(reason.station_m));
        found
    }

    /// Where water stands in the pipe as it was dug.
    fn dips(&self, beside: Beside) -> Vec<Reason> {
        let units = self.plan.title.units;
        let reason = |dip: &Dip| Reason {
            station_m: dip.lowest_m,
            weight: 5.0,
            words: format!(
                "as dug, the pipe lies {} lower at {} than below it at {}: water and silt stand there",
                units.amount(dip.depth_m),
                measure::station(dip.lowest_m, units),
                measure::station(dip.lip_m, units)
            ),
        };
        self.dug.lines.get(&beside.id).map_or_else(Vec::new, |dug| dug.dips.iter().map(reason).collect())
    }

    /// Old tile that was cut and not joined.
    fn finds(&self, beside: Beside) -> Vec<Reason> {
        let found = self.plan.record.finds().filter_map(|find| {
            let on = station_of(self.plan, &find.spot, 2.0).filter(|on| on.line == beside.id)?;
            let weight = match find.decided.as_ref().map(|decided| decided.what) {
                Some(Decision::Join | Decision::Replace) => return None,
                _ if matches!(find.running, Running::Dry) => 2.0,
                _ => 4.0,
            };
            let decided = find.decided.as_ref().map_or("nothing was decided", |decided| decided.what.word());
            let at = measure::station(on.station_m, self.plan.title.units);
            let words = format!("old tile was cut at {at} ({decided}): its water may come up there");
            Some(Reason { station_m: on.station_m, weight, words })
        });
        found.collect()
    }

    /// An old line by itself: poor, or not known.
    fn old_tile(&self, beside: Beside) -> Vec<Reason> {
        let LineKind::OldTile(old) = beside.line.kind else { return Vec::new() };
        let told = match (old.condition, old.decision) {
            (Condition::Poor, _) => Some((3.5, "it is old tile in poor condition")),
            (_, None) => Some((2.5, "it is old tile of which nothing was decided")),
            (Condition::Unknown, _) => Some((1.5, "it is old tile into which nobody has looked")),
            _ => None,
        };
        told.map(|(weight, words)| Reason { station_m: beside.on.station_m, weight, words: words.into() })
            .into_iter()
            .collect()
    }

    /// Where the water of the design rises over the pipe.
    fn surcharge(&self, beside: Beside) -> Option<Reason> {
        let over = |station: &design::Station| {
            let crown_m = station.invert_m? + beside.worked.pipe_at(station.station_m).size_m;
            Some((station.head_m? - crown_m, *station))
        };
        let stations = beside.worked.stations.iter().filter(|station| beside.holds_back(station.station_m));
        let (over_m, station) = stations.filter_map(over).max_by(|a, b| a.0.total_cmp(&b.0))?;
        let out = station.head_m.zip(station.ground_m).is_some_and(|(head_m, ground_m)| head_m > ground_m);
        (over_m > 0.01).then(|| Reason {
            station_m: station.station_m,
            weight: if out { 4.0 } else { 2.5 },
            words: format!(
                "by its design the water stands {} over the pipe at {}{}",
                self.plan.title.units.depth(over_m),
                measure::station(station.station_m, self.plan.title.units),
                if out { ", above the ground" } else { "" }
            ),
        })
    }

    /// Trees and hedges whose roots reach perforated pipe.
    fn roots(&self, beside: Beside) -> Vec<Reason> {
        let criteria = &self.plan.criteria;
        let trees = self.plan.landmarks.values().filter_map(|mark| {
            let (reach_m, weight) = match &mark.kind {
                LandmarkKind::Trees { thirsty: true, .. } => (criteria.thirsty_trees_m, 3.0),
                LandmarkKind::Trees { .. } | LandmarkKind::Hedge => (criteria.other_trees_m, 2.0),
                _ => return None,
            };
            let near = |p: &Point| measure::nearest_on(&beside.line.points, *p);
            let (station_m, _, off_m) =
                mark.outline.points().iter().filter_map(near).min_by(|a, b| a.2.total_cmp(&b.2))?;
            let solid = beside.worked.pipe_at(station_m).kind != design::PipeKind::Perforated;
            (off_m <= reach_m && !solid).then(|| Reason {
                station_m,
                weight: weight * nearness(off_m, reach_m),
                words: format!("roots: {} stands {} from it", mark.called(), self.plan.title.units.length(off_m)),
            })
        });
        trees.collect()
    }

    /// Joints: the weakest places of a line; worse where the branch lies lower than its main.
    fn joints(&self, beside: Beside) -> Vec<Reason> {
        let units = self.plan.title.units;
        let own = self.design.joints.iter().filter(|joint| joint.main == beside.id);
        let reason = |joint: &design::Joint| {
            let low_m = joint.main_invert_m? - joint.branch_invert_m?;
            let branch = self.plan.lines.get(&joint.branch).map_or("", |line| line.name.as_str());
            let at = measure::station(joint.station_m, units);
            let (weight, how) = match low_m > 0.0 {
                true => (3.0, format!(", the branch {} too low", units.depth(low_m))),
                false => (1.2, String::new()),
            };
            Some(Reason { station_m: joint.station_m, weight, words: format!("joint of {branch} at {at}{how}") })
        };
        own.filter_map(reason).collect()
    }

    /// A reach so flat that silt stays.
    fn flat(&self, beside: Beside) -> Option<Reason> {
        let worked = beside.worked;
        let parts = worked.grades().into_iter().filter(|part| part.grade < worked.least_grade);
        let flattest = parts.min_by(|a, b| a.grade.total_cmp(&b.grade))?;
        let station_m = worked.stations[flattest.from].station_m.max(beside.on.station_m - BELOW_M / 2.0);
        let grade = self.plan.title.units.grade(flattest.grade);
        let station_m = station_m.min(worked.stations[flattest.to].station_m);
        Some(Reason { station_m, weight: 1.5, words: format!("its grade of {grade} does not carry silt away") })
    }

    /// What was last seen at the outlet.
    fn outlet_seen(&self, beside: Beside) -> Option<Reason> {
        let plan::Joins::Outlet(outlet) = beside.line.joins else { return None };
        let flows = self.plan.record.flows.iter().filter(|flow| flow.outlet == outlet);
        let last = flows.max_by(|a, b| a.taken.at.cmp(&b.taken.at))?;
        let (weight, what) = match last.running {
            _ if last.cloudy => (3.0, "ran cloudy: soil enters the pipe somewhere above"),
            Running::Dry => (2.0, "was dry: the line may be blocked"),
            _ => return None,
        };
        let words = format!("its outlet {what} ({})", last.taken.at);
        Some(Reason { station_m: beside.on.station_m, weight, words })
    }

    /// Earlier repairs.
    fn repaired(&self, beside: Beside) -> Vec<Reason> {
        let repairs = self.plan.record.notes.iter().filter(|note| note.on == NoteOn::Repair);
        let on_line = repairs.filter_map(|note| {
            let on = station_of(self.plan, note.spot.as_ref()?, 5.0).filter(|on| on.line == beside.id)?;
            let at = measure::station(on.station_m, self.plan.title.units);
            let words = format!("it was repaired at {at} on {}: {}", note.taken.at, note.says);
            Some(Reason { station_m: on.station_m, weight: 2.0, words })
        });
        on_line.collect()
    }

    /// Posts, anchors and the ripper that reach the pipe.
    fn posts(&self, beside: Beside) -> Vec<Reason> {
        let reached = self.meetings.iter().filter(|meeting| meeting.line == beside.id);
        let reason = |meeting: &Meeting| {
            let by = meeting.reached_by(0.0);
            (!by.is_empty()).then(|| Reason {
                station_m: meeting.station_m,
                weight: 3.0,
                words: format!("{} of {} row {} may have gone into it", by.join(" and "), meeting.block, meeting.row),
            })
        };
        reached.filter_map(reason).collect()
    }

    /// What else may keep the spot wet.
    fn else_words(&self, suspects: &[Suspect]) -> Vec<String> {
        let units = self.plan.title.units;
        let mut words = Vec::new();
        let served_m = self.plan.brief.served_m;
        match suspects.iter().map(|suspect| suspect.nearest.off_m).min_by(f64::total_cmp) {
            None => words.push(format!("No line lies within {}: nothing drains this place.", units.length(REACH_M))),
            Some(off_m) if off_m > served_m => words.push(format!(
                "The nearest line is {} off, a line dries {} to either side: a line may be missing here.",
                units.length(off_m),
                units.length(served_m)
            )),
            Some(_) => {}
        }
        let uphill_m2 = self.land.grid().zip(self.land.water.as_ref());
        let uphill_m2 = uphill_m2.and_then(|(grid, water)| water.uphill_area_m2(grid, self.at));
        // An acre sheds more in a storm than a drain takes in at one place ([judgement]).
        if let Some(area_m2) = uphill_m2.filter(|area_m2| *area_m2 > measure::SQUARE_M_PER_ACRE) {
            words.push(format!(
                "{} drain over the surface to this place: look for a way for surface water.",
                units.area(area_m2)
            ));
        }
        let undecided = self.plan.record.finds().filter(|find| find.decided.is_none());
        let near = undecided
            .filter(|find| place_of(self.plan, &find.spot).is_some_and(|place| distance(place, self.at) <= REACH_M));
        words.extend(near.map(|find| {
            let where_to = match find.spot {
                Spot::Station { .. } => "in the trench",
                Spot::Place(_) => "beside the lines",
            };
            format!("Old tile found {where_to} near here on {} waits for a decision.", find.taken.at)
        }));
        words
    }
}

/// 1 at hand, a half at `half_m`, less and less beyond.
fn nearness(away_m: f64, half_m: f64) -> f64 {
    half_m / (half_m + away_m)
}
