//! A small job for tests: a plan in feet, worked out without ground, with ground laid over it as a formula.

use std::sync::Arc;

use design::Design;
use land::{Land, Surveyed};
use measure::{FOOT_M, INCH_M, LengthUnit, Point, Units};
use plan::{
    Asked, DugShot, Joins, LaidStretch, Landmark, LandmarkId, LandmarkKind, Line, LineId, LineKind, OldTile, Outlet,
    Outline, Owner, Pin, Plan, Remedy, ShotOn, Signature, Spot, Taken,
};
use terrain::{Batch, FieldBook, Grid, Profile, Shot, SurveyShot, Swale};

use crate::{Finding, Rule, Site, Trial, Tried, punch_list, punch_list_of};

/// A main.
pub const MAIN: LineKind = LineKind::Main;
/// A lateral.
pub const LATERAL: LineKind = LineKind::Lateral;

/// A place given in feet.
pub fn ft(x: f64, y: f64) -> Point {
    Point::new(x * FOOT_M, y * FOOT_M)
}

/// A single place, in feet.
pub fn at(x: f64, y: f64) -> Outline {
    Outline::At(ft(x, y))
}

/// A course, in feet.
pub fn along(points: &[(f64, f64)]) -> Outline {
    Outline::Along(points.iter().map(|(x, y)| ft(*x, *y)).collect())
}

/// A rectangle, in feet: west, south, east, north.
pub fn around(west: f64, south: f64, east: f64, north: f64) -> Outline {
    Outline::Around(vec![ft(west, south), ft(east, south), ft(east, north), ft(west, north)])
}

/// An old tile of which nothing is known but a mark on the map.
pub fn suspected() -> LineKind {
    LineKind::OldTile(OldTile::default())
}

/// Ground along a line from a formula in feet, straight between places a foot apart and at the line's own bends.
fn formula(points: &[Point], length_m: f64, level: fn(f64, f64) -> f64) -> Profile {
    let mut stations: Vec<f64> = (0..=(length_m / FOOT_M) as usize).map(|k| k as f64 * FOOT_M).collect();
    stations.push(length_m);
    let place = |station_m: f64| {
        let at = measure::point_at(points, station_m).unwrap();
        (station_m, Some(level(at.x / FOOT_M, at.y / FOOT_M) * FOOT_M))
    };
    Profile::through(&stations.into_iter().map(place).collect::<Vec<_>>())
}

/// Plan, ground and swales of a test.
pub struct Job {
    pub plan: Plan,
    ground: Option<fn(f64, f64) -> f64>,
    swales: Vec<Swale>,
    book: FieldBook,
    lidar: Option<Grid>,
}

impl Job {
    pub fn new() -> Self {
        let mut plan = Plan::new("test", Units::Feet);
        plan.brief.asked = Asked { wells: true, septic: true, pumps: true, irrigation: true };
        Self { plan, ground: None, swales: Vec::new(), book: FieldBook::default(), lidar: None }
    }

    /// An outlet with plenty of freeboard.
    pub fn outlet(&mut self, name: &str, at: (f64, f64), invert_ft: f64) -> Joins {
        let invert_m = invert_ft * FOOT_M;
        let (low_water_m, flood_m) = (Some(invert_m - 1.0), Some(invert_m - 0.5));
        let (owner, photo) = (Owner::Own, format!("{name}.jpg"));
        let outlet = Outlet { low_water_m, flood_m, owner, photo, ..Outlet::new(name, ft(at.0, at.1), invert_m) };
        let (id, edit) = plan::place_outlet(&self.plan, outlet);
        self.plan.apply(&edit).unwrap();
        Joins::Outlet(id)
    }

    /// Adds a line through places in feet.
    pub fn line(&mut self, name: &str, kind: LineKind, points: &[(f64, f64)], joins: Joins) -> LineId {
        let points = points.iter().map(|(x, y)| ft(*x, *y)).collect();
        let (id, edit) = plan::add_line(&self.plan, Line { joins, ..Line::new(name, kind, points) });
        self.plan.apply(&edit).unwrap();
        id
    }

    /// A main of that length along the x axis that leaves at 100.00 ft, and its outlet.
    pub fn main(&mut self, length_ft: f64) -> LineId {
        let outlet = self.outlet("O1", (0.0, 0.0), 100.0);
        self.line("M1", MAIN, &[(0.0, 0.0), (length_ft, 0.0)], outlet)
    }

    /// Locks a level, in feet; the pipe runs straight to the locked level below.
    pub fn pin(&mut self, id: LineId, station_ft: f64, level_ft: f64) -> &mut Self {
        let edit = plan::set_pin(&self.plan, id, station_ft * FOOT_M, Some((level_ft * FOOT_M, true)));
        self.plan.apply(&edit.unwrap()).unwrap();
        self
    }

    pub fn change(&mut self, id: LineId, change: impl FnOnce(&mut Line)) -> &mut Self {
        change(self.plan.lines.get_mut(&id).unwrap());
        self
    }

    pub fn change_outlet(&mut self, joins: Joins, change: impl FnOnce(&mut Outlet)) -> &mut Self {
        let Joins::Outlet(id) = joins else { panic!("no outlet") };
        change(self.plan.outlets.get_mut(&id).unwrap());
        self
    }

    /// Puts a mark on the land.
    pub fn mark(&mut self, name: &str, kind: LandmarkKind, outline: Outline) -> LandmarkId {
        let landmark = Landmark { name: name.into(), kind, outline, note: String::new() };
        let (id, edit) = plan::add_landmark(&self.plan, landmark);
        self.plan.apply(&edit).unwrap();
        id
    }

    /// Marks one thing anew.
    pub fn remark(&mut self, id: LandmarkId, kind: LandmarkKind) -> &mut Self {
        self.plan.landmarks.get_mut(&id).unwrap().kind = kind;
        self
    }

    pub fn size(&mut self, id: LineId, inches: f64) -> &mut Self {
        self.change(id, |line| line.size_m = inches * INCH_M)
    }

    /// Enters a stretch as laid, stations in feet.
    pub fn laid(&mut self, line: LineId, (from_ft, to_ft): (f64, f64), backfilled: bool) -> &mut Self {
        let stretch_m = (from_ft * FOOT_M, to_ft * FOOT_M);
        let on = String::new();
        let laid = LaidStretch { line, stretch_m, on, size_m: None, wall: None, solid: None, backfilled };
        self.plan.record.laid.push(laid);
        self
    }

    /// Lays ground over the plan: level in feet from place in feet.
    pub fn ground(&mut self, level: fn(f64, f64) -> f64) -> &mut Self {
        self.ground = Some(level);
        self
    }

    pub fn swale(&mut self, points: &[(f64, f64)]) -> &mut Self {
        let points: Vec<Point> = points.iter().map(|(x, y)| ft(*x, *y)).collect();
        let area_m2 = vec![10_000.0; points.len()];
        self.swales.push(Swale { points, area_m2, joins: None });
        self
    }

    /// Areas uphill of the points of the last swale, square metres.
    pub fn gathering(&mut self, area_m2: &[f64]) -> &mut Self {
        self.swales.last_mut().unwrap().area_m2 = area_m2.to_vec();
        self
    }

    pub fn field(&mut self, corners: &[(f64, f64)]) -> &mut Self {
        let ring = corners.iter().map(|(x, y)| ft(*x, *y)).collect();
        self.plan.field = Some(plan::Field { ring, holes: Vec::new() });
        self
    }

    pub fn design(&self) -> Design {
        let mut design = design::work_out(&self.plan, &Land::default());
        if let Some(level) = self.ground {
            for (id, line) in &mut design.lines {
                let points = &self.plan.lines[id].points;
                line.lay_on(Arc::new(formula(points, line.length_m, level)));
            }
        }
        design
    }

    /// Looks at the job as the checks see it.
    fn look<T>(&self, look: impl FnOnce(&Site) -> T) -> T {
        let (design, land) = (self.design(), self.land());
        look(&Site::new(&self.plan, &design, &land))
    }

    /// The land as far as the checks are told of it: swales and survey.
    pub fn land(&self) -> Land {
        let has_survey = self.lidar.is_some() || !self.book.shots.is_empty();
        let survey = has_survey.then(|| Arc::new(self.surveyed()));
        let (swales, lidar_beside) = (Arc::new(self.swales.clone()), self.lidar.clone().map(Arc::new));
        Land { swales, survey, lidar_beside, ..Land::default() }
    }

    /// What one check finds.
    pub fn found(&self, rule: &Rule) -> Vec<Finding> {
        self.look(|site| {
            let mut found = (rule.find)(site);
            crate::key::name_all(site, &mut found);
            found
        })
    }

    /// What came of trying what a finding offers.
    pub fn tried(&self, finding: &Finding) -> Tried {
        let rework = |plan: &Plan| self.with_plan(plan.clone()).look(punch_list_of);
        self.look(|site| Trial { site, list: &punch_list_of(site), rework: &rework }.tried(finding))
    }

    /// What the remedies of a finding say.
    pub fn remedies(&self, finding: &Finding) -> Vec<String> {
        self.tried(finding).remedies.into_iter().map(|edit| edit.label).collect()
    }

    /// The one finding of a check.
    pub fn only(&self, rule: &Rule) -> Finding {
        let mut found = self.found(rule);
        assert_eq!(found.len(), 1, "{found:#?}");
        found.remove(0)
    }

    pub fn list(&self) -> Vec<Finding> {
        punch_list(&self.plan, &self.design(), &self.land())
    }

    /// A batch of shots: places and levels in feet, read as feet.
    pub fn batch(&mut self, name: &str, shots: &[(f64, f64, f64)]) -> &mut Self {
        let (file, datum) = (format!("{name}.csv"), String::new());
        let shots = shots.iter().enumerate().map(|(i, (x, y, level))| SurveyShot {
            name: format!("{name}{}", i + 1),
            code: String::new(),
            batch: 0,
            row: i + 1,
            shot: Shot { at: ft(*x, *y), level_m: level * FOOT_M },
        });
        self.book.add(
            Batch { name: name.into(), file, unit: LengthUnit::Foot, datum, date: None },
            shots.collect::<Vec<_>>(),
        );
        self
    }

    /// Lidar over a rectangle, corners in feet, on 5-ft cells: level in feet from place in feet.
    pub fn lidar(
        &mut self,
        (west, south): (f64, f64),
        (east, north): (f64, f64),
        level: impl Fn(f64, f64) -> f64,
    ) -> &mut Self {
        let (cols, rows) = (((east - west) / 5.0) as usize, ((north - south) / 5.0) as usize);
        let place = |i: usize| (west + 5.0 * (i % cols) as f64 + 2.5, north - 5.0 * (i / cols) as f64 - 2.5);
        let levels = (0..cols * rows).map(|i| (level(place(i).0, place(i).1) * FOOT_M) as f32).collect();
        let corner = (west * FOOT_M, north * FOOT_M);
        self.lidar = Some(Grid::new((cols, rows), corner, (5.0 * FOOT_M, 5.0 * FOOT_M), levels).unwrap());
        self
    }

    /// What the survey shows.
    pub fn surveyed(&self) -> Surveyed {
        Surveyed::of(&self.book, &self.plan.survey, self.lidar.as_ref())
    }

    /// The job after a signed correction.
    pub fn corrected(&self, remedy: Remedy) -> Job {
        let signed = Signature { by: "R. Wren".into(), on: "2031-04-02".into(), because: "checked".into() };
        self.with_plan(self.plan.with(&plan::correct(&self.plan, vec![remedy], &signed)))
    }

    fn with_plan(&self, plan: Plan) -> Job {
        Job {
            plan,
            ground: self.ground,
            swales: self.swales.clone(),
            book: self.book.clone(),
            lidar: self.lidar.clone(),
        }
    }

    /// The job after the first remedy of a finding.
    pub fn mended(&self, finding: &Finding) -> Job {
        let mut plan = self.plan.clone();
        let signed = Signature { by: "R. Wren".into(), on: "2031-04-02".into(), because: String::new() };
        plan.apply(&plan::sign(self.tried(finding).remedies.first().unwrap(), &signed)).unwrap();
        self.with_plan(plan)
    }
}

/// Enters shots on the invert, taken one after the other: stations and levels in feet.
pub fn shoot(job: &mut Job, line: LineId, held_ft: &[(f64, f64)]) {
    let first = job.plan.record.shots.len();
    let shot = |(i, (station, level)): (usize, &(f64, f64))| DugShot {
        key: format!("s{}", first + i),
        taken: Taken { by: "R. Wren".into(), at: "2031-04-02".into(), revision: "A".into() },
        spot: Spot::Station { line, station_m: station * FOOT_M },
        on: ShotOn::Invert,
        level_m: level * FOOT_M,
        scatter_m: None,
        fix: None,
        note: String::new(),
        struck: None,
    };
    let shots: Vec<DugShot> = held_ft.iter().enumerate().map(shot).collect();
    job.plan.record.shots.extend(shots);
}

/// Stations of a finding in feet, to a thousandth.
pub fn stations_ft(finding: &Finding) -> (f64, f64) {
    let feet = |value: Option<f64>| (value.unwrap() / FOOT_M * 1e3).round() / 1e3;
    (feet(finding.from_m), feet(finding.to_m))
}

/// A locked level as the plan holds it, in feet.
pub fn pins_ft(job: &Job, id: LineId) -> Vec<(f64, f64)> {
    let round = |value: f64| (value / FOOT_M * 1e3).round() / 1e3;
    job.plan.lines[&id].pins.iter().map(|pin: &Pin| (round(pin.station_m), round(pin.invert_m))).collect()
}
