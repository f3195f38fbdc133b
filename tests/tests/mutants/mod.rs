//! Plans with mistakes in them, by the hundred: small changes of whole fields and of invented plans, the same for the same
//! number.

mod changes;

use job::Worked;
use land::{Land, Laying};
use measure::{LengthUnit, Point, Units};
use plan::{Field, Joins, Line, LineId, LineKind, OldTile, Outlet, Pattern, Plan};
use std::collections::BTreeMap;
use terrain::{Grid, Ground};

/// A plan on its land.
#[derive(Clone)]
pub struct Place {
    /// What it is called when it is told about.
    pub name: String,
    /// The plan.
    pub plan: Plan,
    /// Its land.
    pub land: Land,
}

impl Place {
    /// What follows from a plan on this land, the land laid anew where the plan corrects it; nothing is known from before.
    pub fn work_out(&self, plan: Plan) -> Worked {
        if self.land.fits(&plan.survey) {
            return Worked::of(plan, &self.land);
        }
        let relaid = self.land.relaid(&plan.survey, &Laying::PLAIN);
        Worked::of(plan, relaid.as_ref().unwrap_or(&self.land))
    }

    /// This place with a few mistakes; `None` where they make no plan.
    pub fn with_mistakes(&self, number: u64) -> Option<Self> {
        let mut dice = Dice::of(number);
        let mut plan = self.plan.clone();
        let design = design::work_out(&plan, &self.land);
        for _ in 0..1 + dice.below(4) {
            changes::change(&mut plan, &mut dice, &design);
        }
        plan.validate().ok()?;
        Some(Self { name: format!("{}, {number}", self.name), plan, land: self.land.clone() })
    }
}

/// Numbers that look random and are the same for the same start (SplitMix64).
pub struct Dice(u64);

impl Dice {
    pub fn of(number: u64) -> Self {
        Self(number.wrapping_mul(0x2545_f491_4f6c_dd1d) ^ 0x5851_f42d_4c95_7f2d)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From 0 up to below the limit.
    pub fn below(&mut self, limit: usize) -> usize {
        (self.next() % limit.max(1) as u64) as usize
    }

    /// A number between two.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// One of several.
    pub fn one<T: Clone>(&mut self, of: &[T]) -> T {
        of[self.below(of.len())].clone()
    }

    /// True one time in so many.
    pub fn once_in(&mut self, times: usize) -> bool {
        self.below(times) == 0
    }
}

/// The demo fields.
pub fn demo_fields() -> Vec<Place> {
    let plans = [
        ("Larkmoor Bench", job::demo::first_plan()),
        ("Saltern Flat", job::demo::second_plan()),
        ("Fernholt Piece", job::demo::ten_mistakes()),
    ];
    let place = |(name, plan): (&str, Result<Plan, _>)| {
        let session = job::files::demo_session(plan).unwrap();
        Place { name: name.into(), plan: session.plan().clone(), land: session.land().clone() }
    };
    plans.into_iter().map(place).collect()
}

/// Invented plans: one without ground, one on a slope with a swale and a hollow, in feet and in metres.
pub fn small_plans() -> Vec<Place> {
    let slope = |x: f64, y: f64| {
        let swale = -0.6 * (-((y - 90.0) / 22.0).powi(2)).exp();
        let hollow = -0.5 * (-(((x - 190.0) / 16.0).powi(2) + ((y - 40.0) / 16.0).powi(2))).exp();
        31.2 + 0.012 * x + 0.004 * y + swale + hollow
    };
    let flat = |x: f64, y: f64| 31.3 + 0.002 * x + 0.12 * (x / 25.0).sin() + 0.06 * (y / 14.0).cos();
    vec![
        Place { name: "bare".into(), plan: comb(Units::Feet), land: Land::without_ground() },
        Place { name: "slope".into(), plan: comb(Units::Feet), land: land(slope, LengthUnit::Foot) },
        Place { name: "flat".into(), plan: comb(Units::Metric), land: land(flat, LengthUnit::Metre) },
    ]
}

fn land(level: impl Fn(f64, f64) -> f64, unit: LengthUnit) -> Land {
    let (cols, rows, cell_m) = (80, 60, 3.0);
    let place = |i: usize| ((i % cols) as f64 * cell_m + 1.5, (rows - i / cols) as f64 * cell_m - 1.5);
    let levels = (0..cols * rows).map(|i| level(place(i).0, place(i).1) as f32).collect();
    let grid = Grid::new((cols, rows), (0.0, rows as f64 * cell_m), (cell_m, cell_m), levels).unwrap();
    Land::of(Ground::from_grid(grid), unit, &Laying::PLAIN).unwrap()
}

/// A main with four laterals and an old tile, in a field.
fn comb(units: Units) -> Plan {
    let mut plan = Plan::new("comb", units);
    plan.brief.asked = plan::Asked { wells: true, septic: true, pumps: true, irrigation: true };
    let invert_m = 30.0;
    let outlet = Outlet {
        low_water_m: Some(invert_m - 0.6),
        flood_m: Some(invert_m + 0.1),
        channel_bottom_m: Some(invert_m - 0.8),
        photo: "O1.jpg".into(),
        ..Outlet::new("O1", Point::new(12.0, 60.0), invert_m)
    };
    let (outlet, edit) = plan::place_outlet(&plan, outlet);
    plan.apply(&edit).unwrap();
    let main =
        drawn(&mut plan, "M1", LineKind::Main, &[(12.0, 60.0), (120.0, 62.0), (215.0, 70.0)], Joins::Outlet(outlet));
    plan.lines.get_mut(&main).unwrap().size_m = 6.0 * measure::INCH_M;
    for (i, x) in [50.0, 95.0, 140.0, 185.0].into_iter().enumerate() {
        let foot_y = 60.0 + (x - 12.0) * 0.02 + if x > 120.0 { (x - 120.0) * 0.06 } else { 0.0 };
        let end_y = if i % 2 == 0 { 120.0 } else { 20.0 };
        drawn(
            &mut plan,
            &format!("L{}", i + 1),
            LineKind::Lateral,
            &[(x, foot_y), (x + 6.0, end_y)],
            Joins::Line(main),
        );
    }
    let (old, apart) = (LineKind::OldTile(OldTile::default()), [(60.0, 100.0), (120.0, 130.0)]);
    drawn(&mut plan, "T1", old, &apart, Joins::Nothing);
    let ring = [(10.0, 8.0), (232.0, 8.0), (232.0, 150.0), (10.0, 150.0)].map(|(x, y)| Point::new(x, y));
    plan.field = Some(Field { ring: ring.to_vec(), holes: Vec::new() });
    plan
}

/// Draws a line that ends on what it joins.
pub fn drawn(plan: &mut Plan, name: &str, kind: LineKind, points: &[(f64, f64)], joins: Joins) -> LineId {
    let mut points: Vec<Point> = points.iter().map(|(x, y)| Point::new(*x, *y)).collect();
    if let Some(main) = match joins {
        Joins::Line(id) => plan.lines.get(&id),
        _ => None,
    } {
        points[0] = measure::nearest_on(&main.points, points[0]).map_or(points[0], |(_, at, _)| at);
    }
    let (id, edit) =
        plan::add_line(plan, Line { joins, pattern: Pattern::Parallel, ..Line::new(name, kind, points) });
    plan.apply(&edit).unwrap();
    id
}

/// Places with mistakes: so many of each, and each as it stands.
pub fn with_mistakes(places: &[Place], each: u64) -> Vec<Place> {
    let of = |place: &Place| {
        let wrong: Vec<Place> = (1..=each).filter_map(|number| place.with_mistakes(number)).collect();
        std::iter::once(place.clone()).chain(wrong).collect::<Vec<_>>()
    };
    places.iter().flat_map(of).collect()
}

/// Does something for every place on two threads; the results in the order of the places.
pub fn for_each<T: Send>(places: &[Place], work: impl Fn(&Place) -> T + Sync) -> Vec<T> {
    let next = std::sync::atomic::AtomicUsize::new(0);
    let run = || {
        let mut own = BTreeMap::new();
        while let Some((i, place)) =
            Some(next.fetch_add(1, std::sync::atomic::Ordering::Relaxed)).and_then(|i| Some((i, places.get(i)?)))
        {
            own.insert(i, work(place));
        }
        own
    };
    std::thread::scope(|scope| {
        let other = scope.spawn(run);
        let mut all = run();
        all.append(&mut other.join().unwrap());
        all.into_values().collect()
    })
}
