//! The profile of one line: ground, pipe and water over the stations, what is met on the way, what is wrong where.

use std::borrow::Cow;

use checks::{Finding, Severity};
use design::{Design, Graded, LineDesign, Station};
use measure::Point;
use plan::{Joins, Line, LineId, Plan};
use record::{Dug, DugLine};
use takeoff::Deep;

use crate::role::{MarkSort, Pipe, Role};
use crate::scene::{Form, Item, Scene};

/// How far in from the outlet its water is drawn, as a share of the line (own choice).
const OUTLET_WATER: f64 = 0.06;

/// A profile as data.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile<'a> {
    /// Length of the line, metres.
    pub length_m: f64,
    /// The lowest and the highest of ground, pipe and what is met, metres; `None` where none of them is known.
    pub levels_m: Option<(f64, f64)>,
    /// What is in it: x is the station, y the level, metres.
    pub scene: Scene<'a>,
}

/// What of a profile is asked for beside ground, pipe, joints, reaches and what is met.
#[derive(Debug, Clone, Copy, Default)]
pub struct Parts<'a> {
    /// The band the pipe may lie in, the water in the pipe, bends, grade breaks and given levels: for whoever works on it.
    pub at_work: bool,
    /// Trench that must be protected, and the levels where reaches end: for whoever digs it. Either way the water at the outlet.
    pub to_dig: bool,
    /// What is wrong; the worst first.
    pub findings: &'a [Finding],
    /// Where nobody digs.
    pub no_dig: &'a [NoDig],
    /// The line as it was dug, where it was.
    pub dug: Option<&'a DugLine>,
}

/// A stretch that nobody digs.
#[derive(Debug, Clone, PartialEq)]
pub struct NoDig {
    /// Its number on the punch list.
    pub number: usize,
    /// The line.
    pub line: LineId,
    /// Where it begins and ends, stations in metres.
    pub stretch_m: (f64, f64),
}

/// The profile of a line, from its downstream end up; `None` for a line that is not in the plan.
pub fn profile<'a>(plan: &'a Plan, design: &'a Design, id: LineId, parts: Parts) -> Option<Profile<'a>> {
    let (line, worked) = (plan.lines.get(&id)?, design.lines.get(&id)?);
    let of = Of { plan, design, id, line, worked, pipe: Pipe::of(line.kind) };
    let ground: Vec<Vec<Point>> = worked.ground.drawn().into_iter().map(points).collect();
    let met = of.met();
    let buried = met.iter().filter_map(|met| match met.form {
        Form::Upright(_, level_m) => level_m,
        _ => None,
    });
    let inverts = worked.stations.iter().filter_map(|s| s.invert_m);
    let dug = parts.dug.iter().flat_map(|dug| &dug.shots).map(|shot| shot.invert_m);
    let outlet_water = if parts.to_dig || parts.at_work { of.outlet_water() } else { Vec::new() };
    let waters = outlet_water.iter().filter_map(|water| match &water.form {
        Form::Path(points) => points.first().map(|point| point.y),
        _ => None,
    });
    let levels = inverts
        .chain(dug)
        .chain(ground.iter().flatten().map(|p| p.y))
        .chain(buried)
        .chain(waters)
        .map(|level_m| (level_m, level_m));
    let levels_m = levels.reduce(|(low, high), (level_m, _)| (low.min(level_m), high.max(level_m)));
    let mut items = Vec::new();
    if parts.at_work {
        items.extend(of.band(&ground));
    }
    items.extend(of.spans(parts));
    items.extend(ground.first().and_then(|stretch| Some(*stretch.get(stretch.len() / 12)?)).map(ground_name));
    items.extend(ground.into_iter().map(|stretch| Item::new(Role::Ground, Form::Path(stretch.into()))));
    items.extend(of.pipe());
    items.extend(outlet_water);
    if parts.at_work {
        items.extend(of.signs());
    }
    items.extend(of.faults(parts.findings));
    items.extend(parts.dug.iter().flat_map(|dug| of.dug(dug)));
    items.extend(of.joints());
    items.extend(of.changes());
    items.extend(met);
    items.extend(of.reaches(parts.to_dig));
    Some(Profile { length_m: worked.length_m, levels_m, scene: Scene { time_s: None, items } })
}

fn points(stretch: Vec<(f64, f64)>) -> Vec<Point> {
    stretch.into_iter().map(|(station_m, level_m)| Point::new(station_m, level_m)).collect()
}

fn ground_name<'a>(at: Point) -> Item<'a> {
    Item::new(Role::GroundName, Form::Words(at)).saying("ground")
}

fn path<'a>(role: Role, points: Vec<Point>) -> Item<'a> {
    Item::new(role, Form::Path(Cow::Owned(points)))
}

/// A line and what was worked out for it.
struct Of<'a> {
    plan: &'a Plan,
    design: &'a Design,
    id: LineId,
    line: &'a Line,
    worked: &'a LineDesign,
    pipe: Pipe,
}

impl<'a> Of<'a> {
    /// The band the pipe may lie in, under every stretch of known ground.
    fn band(&self, ground: &[Vec<Point>]) -> Vec<Item<'a>> {
        let criteria = &self.plan.criteria;
        // Of several sizes the one that leaves least room.
        let most = |of: fn(&design::Pipe) -> f64| self.worked.pipe.iter().map(of).fold(0.0, f64::max);
        let top_m = criteria.least_cover_m + most(design::Pipe::top_above_invert_m);
        let bottom_m = criteria.machine_reach_m - most(design::Pipe::wall_m) - criteria.bedding_m;
        let below =
            |ground: &[Point], down_m: f64| ground.iter().map(|p| Point::new(p.x, p.y - down_m)).collect::<Vec<_>>();
        let band = |ground: &Vec<Point>| {
            let (lower, upper) = (below(ground, bottom_m), below(ground, top_m));
            [Item::new(Role::Band, Form::Strip(lower, upper.clone())), path(Role::CoverLimit, upper)]
        };
        ground.iter().filter(|_| bottom_m > top_m).flat_map(band).collect()
    }

    /// Stretches over the whole height: no ground, nobody digs; and trench to be protected.
    fn spans(&self, parts: Parts) -> Vec<Item<'a>> {
        let span = |role, (from_m, to_m)| Item::new(role, Form::Span(from_m, to_m));
        let unknown = self.worked.unknown_ground();
        let unknown = unknown.into_iter().map(|part| span(Role::NoGround, part).saying("no ground"));
        let no_dig = parts.no_dig.iter().filter(|no_dig| no_dig.line == self.id);
        let no_dig = no_dig.map(|no_dig| span(Role::NoDig, no_dig.stretch_m));
        let deep = Deep::of(self.worked, &self.plan.criteria).protected.into_iter().filter(|_| parts.to_dig);
        let deep = deep.map(|part| span(Role::Protected, (part.from_m, part.to_m)));
        unknown.chain(no_dig).chain(deep).collect()
    }

    fn along(&self, level_m: impl Fn(&Station) -> Option<f64>) -> Vec<Point> {
        let stations = self.worked.stations.iter();
        stations.filter_map(|s| Some(Point::new(s.station_m, level_m(s)?))).collect()
    }

    fn pipe(&self) -> [Item<'a>; 2] {
        // At a reducer the pipe has two inverts at one station.
        let both = |rise: fn(&design::Pipe) -> f64| {
            let ends = |s: &Station| {
                let (low, high) = (s.invert_m?, s.invert_above_m()?);
                let below = Point::new(s.station_m, low + rise(self.worked.pipe_at(s.station_m)));
                let above = Point::new(s.station_m, high + rise(self.worked.pipe_above(s.station_m)));
                Some([Some(below), (above != below).then_some(above)].into_iter().flatten())
            };
            self.worked.stations.iter().filter_map(ends).flatten().collect::<Vec<_>>()
        };
        let (invert, top) = (both(|_| 0.0), both(design::Pipe::top_above_invert_m));
        [path(Role::Invert(self.pipe), invert), path(Role::PipeTop(self.pipe), top)]
    }

    /// The water, and a sign at every grade break, bend and given level.
    fn signs(&self) -> Vec<Item<'a>> {
        let stations = &self.worked.stations;
        let sign = |role, s: &Station| Some(sign(role, Point::new(s.station_m, s.invert_m?)));
        let breaks = self.worked.reaches.iter().filter(|reach| reach.to + 1 < stations.len());
        let breaks = breaks.filter_map(|reach| sign(Role::GradeBreak(self.pipe), stations.get(reach.to)?));
        let bends = stations.iter().filter(|s| s.mark.bend).filter_map(|s| sign(Role::Bend(self.pipe), s));
        let pins = stations.iter().filter(|s| s.mark.pinned).filter_map(|s| sign(Role::Pin(self.pipe), s));
        let water = path(Role::WaterLevel, self.along(|s| s.head_m));
        [water].into_iter().chain(breaks).chain(bends).chain(pins).collect()
    }

    /// The levels of the water that the line lets out into, a short way in from its end.
    fn outlet_water(&self) -> Vec<Item<'a>> {
        let Joins::Outlet(id) = self.line.joins else { return Vec::new() };
        let Some(outlet) = self.plan.outlets.get(&id) else { return Vec::new() };
        let units = self.plan.title.units;
        let far_m = self.worked.length_m * OUTLET_WATER;
        let water = |(what, level_m): (&str, Option<f64>)| {
            let level_m = level_m?;
            let ends = vec![Point::new(0.0, level_m), Point::new(far_m, level_m)];
            Some(path(Role::OutletWater, ends).saying(format!("{what} {}", units.level(level_m))))
        };
        [("low water", outlet.low_water_m), ("flood", outlet.flood_m)].into_iter().filter_map(water).collect()
    }

    /// What is wrong, along the pipe; the worst last, over all others.
    fn faults(&self, findings: &[Finding]) -> Vec<Item<'a>> {
        let here = findings.iter().rev().filter(|f| f.line == Some(self.id) && f.severity != Severity::Note);
        let fault = |f: &Finding| Some(path(Role::Fault(f.severity), self.stretch(f.from_m?, f.to_m?)));
        here.filter_map(fault).collect()
    }

    /// The line as it was dug: straight from shot to shot, the shots on it; one too far from the plan says how far.
    fn dug(&self, dug: &DugLine) -> Vec<Item<'a>> {
        let (criteria, units) = (&self.plan.criteria, self.plan.title.units);
        let place = |shot: &Dug| Point::new(shot.station_m, shot.invert_m);
        let shot = |shot: &Dug| match shot.over_plan_m().filter(|_| shot.is_off(criteria)) {
            Some(over_m) => sign(Role::OffShot, place(shot)).saying(plan::signed_level(over_m, units)),
            None => sign(Role::DugShot, place(shot)),
        };
        let line = path(Role::AsDug, dug.shots.iter().map(place).collect());
        std::iter::once(line).chain(dug.shots.iter().map(shot)).collect()
    }

    /// The invert between two stations.
    fn stretch(&self, from_m: f64, to_m: f64) -> Vec<Point> {
        let inner = self.worked.stations.iter().filter(|s| s.station_m > from_m && s.station_m < to_m).copied();
        let stations = self.worked.at(from_m).into_iter().chain(inner).chain(self.worked.at(to_m));
        stations.filter_map(|s| Some(Point::new(s.station_m, s.invert_m?))).collect()
    }

    /// Where the pipe changes its size or wall, at the lower invert; each looks at the top of the pipe.
    fn changes(&self) -> Vec<Item<'a>> {
        let units = self.plan.title.units;
        let change = |pair: [design::Pipe; 2]| {
            let station_m = pair[1].from_m;
            let at = Point::new(station_m, self.worked.at(station_m)?.invert_m?);
            let top = Point::new(station_m, at.y + pair[0].top_above_invert_m());
            let sign = Item::new(Role::Reducer(self.pipe), Form::Sign(at, top));
            Some(sign.saying(crate::change_words(&pair, units)))
        };
        self.worked.changes().into_iter().filter_map(change).collect()
    }

    /// Branches where they come in, at the invert of this line; each looks toward its own.
    fn joints(&self) -> Vec<Item<'a>> {
        let here = self.design.joints.iter().filter(|joint| joint.main == self.id);
        let joint = |joint: &design::Joint| {
            let at = Point::new(joint.station_m, self.worked.at(joint.station_m)?.invert_m?);
            let branch = Point::new(joint.station_m, joint.branch_invert_m.unwrap_or(at.y));
            let name = self.plan.lines.get(&joint.branch).map_or("", |line| line.name.as_str());
            Some(Item::new(Role::Enters(self.pipe), Form::Sign(at, branch)).saying(name))
        };
        here.filter_map(joint).collect()
    }

    /// Marks on the land and old tile where the line meets them; those that are buried at their level, where it is known.
    fn met(&self) -> Vec<Item<'a>> {
        let marks = self.plan.landmarks.values().flat_map(|mark| {
            let depth_m = mark.kind.buried().and_then(|(depth_m, _)| depth_m);
            self.crossed(Role::Mark(MarkSort::of(&mark.kind)), &mark.called(), depth_m, &mark.outline.path())
        });
        let old = self.plan.lines.iter().filter(|(id, other)| **id != self.id && other.kind.is_old());
        let old = old.flat_map(|(_, other)| {
            let name = format!("old tile {}", other.name);
            self.crossed(Role::Line(Pipe::of(other.kind)), &name, None, &other.points)
        });
        marks.chain(old).collect()
    }

    fn crossed(&self, role: Role, name: &str, depth_m: Option<f64>, path: &[Point]) -> Vec<Item<'a>> {
        let hits = measure::crossings(&self.line.points, path).into_iter();
        let hit = |(station_m, _): (f64, Point)| {
            let ground_m = self.worked.at(station_m).and_then(|station| station.ground_m);
            let level_m = ground_m.zip(depth_m).map(|(ground_m, down_m)| ground_m - down_m);
            Item::new(role, Form::Upright(station_m, level_m)).saying(name)
        };
        hits.map(hit).collect()
    }

    /// Reaches as they are printed, with their grades; then, where asked for, where they end, with their levels.
    fn reaches(&self, ends_too: bool) -> Vec<Item<'a>> {
        let (units, stations) = (self.plan.title.units, &self.worked.stations);
        let parts = self.worked.grades();
        let reach = |part: &Graded| {
            let (low, high) = (&stations[part.from], &stations[part.to]);
            let ends = [Point::new(low.station_m, low.invert_above_m()?), Point::new(high.station_m, high.invert_m?)];
            let role = if part.grade < 0.0 { Role::AdverseReach } else { Role::Reach(self.pipe) };
            Some(path(role, ends.into()).saying(units.grade(part.grade)))
        };
        let mut ends: Vec<usize> = parts.iter().flat_map(|part| [part.from, part.to]).collect();
        ends.dedup();
        let level = |i: usize| {
            let level_m = stations[i].invert_m?;
            Some(sign(Role::ReachEnd, Point::new(stations[i].station_m, level_m)).saying(units.level(level_m)))
        };
        let levels = ends.into_iter().filter(|_| ends_too).filter_map(level);
        parts.iter().filter_map(reach).chain(levels).collect()
    }
}

fn sign<'a>(role: Role, at: Point) -> Item<'a> {
    Item::new(role, Form::Sign(at, at))
}
