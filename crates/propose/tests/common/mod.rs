//! A small plan on ground of a formula, and a true ground that differs from it by a field drawn from its full covariance matrix.

#![allow(dead_code, reason = "not every test uses all of it")]

use std::cell::RefCell;
use std::collections::BTreeMap;

use design::{Design, Layout, LineDesign, Memory};
use land::Land;
use measure::{Point, Units, distance};
use plan::{DigRate, Goods, Joins, Line, LineId, LineKind, Outlet, Plan, PriceList, PriceRow};
use propose::certainty::Covariance;
use terrain::{Grid, Ground};

/// A plan with its land and design.
pub struct Job {
    pub plan: Plan,
    pub layout: Layout,
    pub design: Design,
}

/// Land of 240 by 240 m that falls 0.6 % to the west with low waves, known in cells of 4 m.
fn land() -> Land {
    let level = |cell: usize| {
        let (x, y) = ((cell % 60) as f64 * 4.0, (cell / 60) as f64 * 4.0);
        (50.0 + 0.006 * x + 0.12 * (x / 31.0).sin() * (y / 23.0).cos()) as f32
    };
    Land::from(Ground::from_grid(
        Grid::new((60, 60), (0.0, 240.0), (4.0, 4.0), (0..3600).map(level).collect()).unwrap(),
    ))
}

/// A main of 160 m and three laterals.
pub fn job() -> Job {
    let mut plan = Plan::new("Wavering piece", Units::Feet);
    let outlet = Outlet { channel_bottom_m: Some(48.0), ..Outlet::new("O1", Point::new(10.0, 120.0), 48.45) };
    let (id, edit) = plan::place_outlet(&plan, outlet);
    plan.apply(&edit).unwrap();
    let main = line(&mut plan, "M1", LineKind::Main, [(10.0, 120.0), (170.0, 120.0)], Joins::Outlet(id));
    for (i, x) in [40.0, 80.0, 120.0].into_iter().enumerate() {
        let ends = [(x, 120.0), (x + 15.0, 30.0)];
        line(&mut plan, &format!("L{}", i + 1), LineKind::Lateral, ends, Joins::Line(main));
    }
    plan.apply(&plan::set_price_list(prices())).unwrap();
    let land = land();
    let mut memory = Memory::default();
    let layout = design::lay_out(&plan, &land, &mut memory);
    let design = design::grade(&plan, &layout, &mut memory);
    Job { plan, layout, design }
}

/// A machine that is slower in deep trench, and protection by the meter.
fn prices() -> PriceList {
    let row = |goods, price| PriceRow { goods, size_m: None, branch_m: None, price, pack_m: None };
    let rows = vec![row(Goods::MachineHour, 240.0), row(Goods::TrenchProtection, 20.0)];
    let rate = |from_m, per_hour_m| DigRate { from_m, per_hour_m };
    let rates = vec![rate(0.0, 60.0), rate(0.9, 45.0), rate(1.05, 35.0), rate(1.2, 25.0), rate(1.4, 20.0)];
    PriceList { source: "invented".into(), rows, rates, ..PriceList::default() }
}

fn line(plan: &mut Plan, name: &str, kind: LineKind, ends: [(f64, f64); 2], joins: Joins) -> LineId {
    let points = ends.map(|(x, y)| Point::new(x, y)).to_vec();
    let (id, edit) = plan::add_line(plan, Line { joins, ..Line::new(name, kind, points) });
    plan.apply(&edit).unwrap();
    id
}

/// Numbers that look like chance, from another source than the program's: a congruential generator of Knuth's.
pub struct Chancy(pub u64);

impl Chancy {
    pub fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    /// A normal number after Box and Muller.
    pub fn normal(&mut self) -> f64 {
        let (u, v) = (self.uniform(), self.uniform());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }
}

/// Every place at which a layout asks for ground, and more places.
pub struct Truth {
    places: Vec<Point>,
    number: BTreeMap<(LineId, u64), usize>,
    factor: Vec<Vec<f64>>,
    pub more: usize,
}

impl Truth {
    /// Factors the whole covariance of the true error at those places.
    pub fn of(layout: &Layout, field: &Covariance, more: &[Point]) -> Self {
        let asked: RefCell<BTreeMap<(LineId, u64), Point>> = RefCell::default();
        layout.with_ground(|id, station_m, at, level_m| {
            asked.borrow_mut().insert((id, station_m.to_bits()), at);
            level_m
        });
        let asked = asked.into_inner();
        let number = asked.keys().enumerate().map(|(i, key)| (*key, i)).collect();
        let places: Vec<Point> = asked.into_values().chain(more.iter().copied()).collect();
        let between = |i: usize, j: usize| {
            let alike_m2 = field.sill_m2 * (-3.0 * distance(places[i], places[j]) / field.range_m).exp();
            field.shift_m2 + alike_m2 + if i == j { 1e-10 } else { 0.0 }
        };
        let mut factor: Vec<Vec<f64>> = Vec::new();
        for i in 0..places.len() {
            let mut row: Vec<f64> = Vec::new();
            for j in 0..=i {
                let known: f64 = (0..j).map(|k| row[k] * factor.get(j).unwrap_or(&row)[k]).sum();
                let left = between(i, j) - known;
                row.push(if i == j { left.sqrt() } else { left / factor[j][j] });
            }
            factor.push(row);
        }
        Self { more: more.len(), places, number, factor }
    }

    /// Draws a true error at every place, metres; those of the further places come last.
    pub fn draw(&self, chance: &mut Chancy) -> Vec<f64> {
        let normals: Vec<f64> = self.places.iter().map(|_| chance.normal()).collect();
        self.factor.iter().map(|row| row.iter().zip(&normals).map(|(a, b)| a * b).sum()).collect()
    }

    /// A design on the true ground, its levels as they were.
    pub fn staked(&self, job: &Job, error_m: &[f64]) -> Design {
        let error = |id: LineId, station_m: f64| error_m[self.number[&(id, station_m.to_bits())]];
        let layout = job.layout.with_ground(|id, station_m, _, level_m| level_m + error(id, station_m));
        let mut design = job.design.clone();
        let lay = |(id, line): (&LineId, &mut LineDesign)| line.lay_on(layout.courses[id].ground.clone());
        design.lines.iter_mut().for_each(lay);
        design
    }
}
