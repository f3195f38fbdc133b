//! Makes plans that are hard to work out, each for a reason of its own: `cargo run --release -p app --example
//! worst_plans -- FOLDER [NAME]`. `tests/worst_plans.sh` then holds what each takes to check against its bounds.

#![allow(clippy::print_stdout, reason = "a maker says what it made")]

use std::path::Path;

use measure::{LengthUnit, Point, Units};
use plan::{
    GroundRef, Joins, Landmark, LandmarkId, LandmarkKind, Line, LineId, LineKind, Outlet, OutletId, Outline, Pit,
    Plan, Utility,
};

/// South-west corner of all ground: open sea.
const CORNER: Point = Point::new(200_000.0, 90_000.0);

/// A plan by its name and how it is made.
type Worst = (&'static str, fn() -> Plan);

const WORST: [Worst; 20] = [
    ("crossing-400", || crossing(200)),
    ("zigzag-chain-300", zigzag_chain),
    ("main-of-29-km", || long_lines(1, 29_000.0)),
    ("thirty-of-29-km", || long_lines(30, 29_000.0)),
    ("far-corner", far_corner),
    ("short-lines-2000", short_lines),
    ("bends-10000", bends),
    ("pits-5000", || marks(5_000)),
    ("outlets-500", outlets),
    ("utilities-1000", || utilities(false)),
    ("exposed-1000", || utilities(true)),
    ("fine-stakes", fine_stakes),
    ("tiny-rolls", tiny_rolls),
    ("comb-1000", || comb(1000)),
    ("deep-chain-200", deep_chain),
    ("side-by-side-300", side_by_side),
    ("pins-1000", pins),
    ("layouts-20", layouts),
    ("star-500", star),
    ("two-hundred-lines", two_hundred_lines),
];

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let folder = arguments.next().ok_or("a folder is missing")?;
    let only = arguments.next();
    let folder = Path::new(&folder);
    std::fs::create_dir_all(folder)?;
    std::fs::write(folder.join("near.asc"), tilted(300, 4.0))?;
    std::fs::write(folder.join("wide.asc"), tilted(310, 100.0))?;
    for (name, make) in WORST.iter().filter(|(name, _)| only.as_ref().is_none_or(|only| only == name)) {
        match made(make()) {
            Ok(plan) => {
                exchange::save_plan(&plan, &folder.join(format!("{name}.drain")))?;
                println!("{name}");
            }
            Err(error) => println!("{name}: refused: {error}"),
        }
    }
    Ok(())
}

fn made(plan: Plan) -> Result<Plan, plan::PlanError> {
    plan.validate()?;
    Ok(plan)
}

/// Ground that falls to the south-west by half a percent, with waves across.
fn tilted(cells: usize, cell_m: f64) -> String {
    let mut text = format!(
        "ncols {cells}\nnrows {cells}\nxllcorner {}\nyllcorner {}\ncellsize {cell_m}\nNODATA_value -9999\n",
        CORNER.x, CORNER.y
    );
    for row in (0..cells).rev() {
        let level = |col: usize| {
            let (x, y) = (col as f64 * cell_m, row as f64 * cell_m);
            format!("{:.2}", 50.0 + 0.005 * (x + y) / 2.0 + 0.4 * (x / 60.0).sin() * (y / 45.0).cos())
        };
        text.push_str(&(0..cells).map(level).collect::<Vec<_>>().join(" "));
        text.push('\n');
    }
    text
}

fn at(x: f64, y: f64) -> Point {
    Point::new(CORNER.x + x, CORNER.y + y)
}

fn on(ground: &str, size_m: f64) -> Plan {
    on_in(Units::Metric, ground, size_m)
}

fn on_in(units: Units, ground: &str, size_m: f64) -> Plan {
    let mut plan = Plan::new("Worst", units);
    plan.ground = Some(GroundRef {
        file: ground.into(),
        crs: "EPSG:32631".into(),
        horizontal_unit: LengthUnit::Metre,
        vertical_unit: LengthUnit::Metre,
        datum: "EGM2008".into(),
        columns: None,
        level_attribute: None,
        part: None,
        brought_from: None,
    });
    let ring = vec![at(5.0, 5.0), at(size_m - 5.0, 5.0), at(size_m - 5.0, size_m - 5.0), at(5.0, size_m - 5.0)];
    plan.apply(&plan::set_field(Some(ring))).expect("a field");
    plan
}

fn near() -> Plan {
    on("near.asc", 1200.0)
}

/// Adds a line of a name of its own; many at once, so that the plan is held against its invariants once, at the end.
fn add(plan: &mut Plan, kind: LineKind, points: Vec<Point>, joins: Joins) -> LineId {
    let id = LineId(plan.next_id);
    plan.next_id += 1;
    plan.lines.insert(id, Line { joins, ..Line::new(&format!("{}{}", kind.stem(), id.0), kind, points) });
    id
}

fn add_outlet(plan: &mut Plan, place: Point, invert_m: f64) -> OutletId {
    let id = OutletId(plan.next_id);
    plan.next_id += 1;
    plan.outlets.insert(id, Outlet::new(&format!("O{}", id.0), place, invert_m));
    id
}

fn add_mark(plan: &mut Plan, kind: LandmarkKind, outline: Outline) {
    let id = LandmarkId(plan.next_id);
    plan.next_id += 1;
    plan.landmarks.insert(id, Landmark { name: format!("K{}", id.0), kind, outline, note: String::new() });
}

/// As many lines one way as across them; none joins another.
fn crossing(each: usize) -> Plan {
    let mut plan = near();
    for i in 0..each {
        let off = 20.0 + 1160.0 * i as f64 / each as f64;
        add(&mut plan, LineKind::Lateral, vec![at(10.0, off), at(1190.0, off)], Joins::Nothing);
        add(&mut plan, LineKind::Lateral, vec![at(off, 10.0), at(off, 1190.0)], Joins::Nothing);
    }
    plan
}

/// Lines that zigzag over each other, each joined to the one before.
fn zigzag_chain() -> Plan {
    let mut plan = near();
    let mut joins = Joins::Outlet(add_outlet(&mut plan, at(20.0, 20.0), 48.0));
    let mut end = at(20.0, 20.0);
    for i in 0..300 {
        let next = at(20.0 + 3.5 * i as f64, if i % 2 == 0 { 1150.0 } else { 40.0 });
        let id = add(&mut plan, LineKind::Lateral, vec![end, next], joins);
        (joins, end) = (Joins::Line(id), next);
    }
    plan
}

fn long_lines(count: usize, length_m: f64) -> Plan {
    let mut plan = on("wide.asc", 31_000.0);
    for i in 0..count {
        let off = 500.0 + 900.0 * i as f64;
        let outlet = add_outlet(&mut plan, at(600.0, off), 49.0);
        let points = vec![at(600.0, off), at(600.0 + length_m, off)];
        add(&mut plan, LineKind::Main, points, Joins::Outlet(outlet));
    }
    plan
}

/// Easting and northing of one bend of a short lateral are swapped.
fn far_corner() -> Plan {
    let mut plan = comb(20);
    let far = Point::new(CORNER.y + 30.0, CORNER.x + 600.0);
    if let Some(line) = plan.lines.values_mut().last() {
        line.points.push(far);
    }
    plan
}

fn short_lines() -> Plan {
    let mut plan = near();
    for i in 0..2_000 {
        let (x, y) = (20.0 + 25.0 * (i % 45) as f64, 20.0 + 25.0 * (i / 45) as f64);
        add(&mut plan, LineKind::Lateral, vec![at(x, y), at(x + 15.0, y + 12.0)], Joins::Nothing);
    }
    plan
}

fn bends() -> Plan {
    let mut plan = near();
    let outlet = add_outlet(&mut plan, at(20.0, 20.0), 48.5);
    let bend = |i: usize| {
        let (row, along) = (i / 500, (i % 500) as f64 * 2.2);
        at(20.0 + if row % 2 == 0 { along } else { 1100.0 - along }, 20.0 + 20.0 * row as f64 + (i % 2) as f64)
    };
    let points = (0..10_000).map(bend).collect();
    add(&mut plan, LineKind::Main, points, Joins::Outlet(outlet));
    plan
}

fn marks(count: usize) -> Plan {
    let mut plan = comb(100);
    for i in 0..count {
        let place = at(20.0 + 16.0 * (i % 72) as f64, 20.0 + 16.0 * (i / 72) as f64);
        let kind = match i % 3 {
            0 => LandmarkKind::Pit(Pit::default()),
            1 => LandmarkKind::Trees { species: "willow".into(), thirsty: true },
            _ => LandmarkKind::Spring,
        };
        add_mark(&mut plan, kind, Outline::At(place));
    }
    plan
}

fn outlets() -> Plan {
    let mut plan = near();
    for i in 0..500 {
        let x = 20.0 + 2.3 * i as f64;
        let outlet = add_outlet(&mut plan, at(x, 10.0), 49.0);
        add(&mut plan, LineKind::Lateral, vec![at(x, 10.0), at(x, 800.0)], Joins::Outlet(outlet));
    }
    plan
}

fn utilities(exposed: bool) -> Plan {
    let mut plan = comb(50);
    for i in 0..1_000 {
        let y = 30.0 + 1.1 * i as f64;
        let exposed = exposed.then(|| plan::Exposed {
            by: "A".into(),
            on: "2030-05-01".into(),
            top_m: 50.0 + 0.0025 * y,
            bottom_m: 49.8 + 0.0025 * y,
        });
        let utility = Utility { clear_m: Some(0.3), exposed, ..Utility::default() };
        add_mark(&mut plan, LandmarkKind::Utility(utility), Outline::Along(vec![at(10.0, y), at(1190.0, y)]));
    }
    plan
}

fn fine_stakes() -> Plan {
    let mut plan = comb(50);
    plan.criteria.staking_m = 1.0;
    plan
}

fn tiny_rolls() -> Plan {
    let mut plan = long_lines(5, 29_000.0);
    plan.price_list.rows.iter_mut().for_each(|row| row.pack_m = row.pack_m.map(|_| 0.1));
    plan
}

/// A main along the low side and laterals up from it.
fn comb(laterals: usize) -> Plan {
    let mut plan = near();
    let outlet = add_outlet(&mut plan, at(15.0, 15.0), 48.6);
    let main = add(&mut plan, LineKind::Main, vec![at(15.0, 15.0), at(1185.0, 15.0)], Joins::Outlet(outlet));
    for i in 0..laterals {
        let x = 20.0 + 1160.0 * i as f64 / laterals as f64;
        add(&mut plan, LineKind::Lateral, vec![at(x, 15.0), at(x, 1180.0)], Joins::Line(main));
    }
    plan
}

/// A job in feet whose sheets must still be carried: a main of 5,269 ft up the fall with a hundred laterals of 2,600 ft on either
/// side, some 10,600 stakes; a gas line across half of them.
fn two_hundred_lines() -> Plan {
    const FOOT_M: f64 = 0.3048;
    let mut plan = on_in(Units::Feet, "wide.asc", 2_100.0);
    plan.title.name = "Two Hundred Lines".into();
    let along = |feet: f64| at(60.0 + feet * FOOT_M / 2f64.sqrt(), 60.0 + feet * FOOT_M / 2f64.sqrt());
    let outlet = add_outlet(&mut plan, along(0.0), 48.6);
    let main = add(&mut plan, LineKind::Main, vec![along(0.0), along(5_269.0)], Joins::Outlet(outlet));
    for i in 0..200 {
        let start = along(26.0 * (f64::from(i) + 1.0));
        let far_m = 2_600.0 * FOOT_M;
        let end = match i % 2 {
            0 => Point::new(start.x + far_m, start.y),
            _ => Point::new(start.x, start.y + far_m),
        };
        add(&mut plan, LineKind::Lateral, vec![start, end], Joins::Line(main));
    }
    let gas = Utility { depth_m: Some(1.0), ticket: "T-17".into(), ..Utility::default() };
    let outline = Outline::Along(vec![at(900.0, 20.0), at(900.0, 2_000.0)]);
    let gas = Landmark { name: "G1".into(), kind: LandmarkKind::Utility(gas), outline, note: String::new() };
    plan.apply(&plan::add_landmark(&plan, gas).1).expect("a gas line");
    plan
}

/// Each line joins the one before half-way along it.
fn deep_chain() -> Plan {
    let mut plan = near();
    let mut joins = Joins::Outlet(add_outlet(&mut plan, at(20.0, 20.0), 48.0));
    let mut start = at(20.0, 20.0);
    for i in 0..200 {
        let end = if i % 2 == 0 { Point::new(start.x + 10.0, start.y) } else { Point::new(start.x, start.y + 10.0) };
        let id = add(&mut plan, LineKind::Submain, vec![start, end], joins);
        joins = Joins::Line(id);
        start = Point::new((start.x + end.x) / 2.0, (start.y + end.y) / 2.0);
    }
    plan
}

/// Lines in one trench with each other.
fn side_by_side() -> Plan {
    let mut plan = near();
    for i in 0..300 {
        let y = 500.0 + 0.05 * i as f64;
        add(&mut plan, LineKind::Lateral, vec![at(10.0, y), at(1190.0, y)], Joins::Nothing);
    }
    plan
}

/// Levels fixed by hand, up and down.
fn pins() -> Plan {
    let mut plan = comb(10);
    for line in plan.lines.values_mut() {
        let level = |i: usize| 50.0 + 0.3 * (i % 2) as f64;
        let pin =
            |i: usize| plan::Pin { station_m: 1.1 * i as f64, invert_m: level(i), straight: i.is_multiple_of(3) };
        line.pins = (0..1_000).map(pin).collect();
    }
    plan
}

fn layouts() -> Plan {
    let mut plan = comb(100);
    for i in 0..20 {
        plan = plan.with(&plan::put_aside(&plan, &format!("layout {i}")));
    }
    plan
}

/// All lines meet in one place.
fn star() -> Plan {
    let mut plan = near();
    let middle = at(600.0, 600.0);
    let outlet = add_outlet(&mut plan, at(600.0, 20.0), 48.6);
    let main = add(&mut plan, LineKind::Main, vec![at(600.0, 20.0), middle], Joins::Outlet(outlet));
    for i in 0..500 {
        let angle = std::f64::consts::TAU * i as f64 / 500.0;
        let end = Point::new(middle.x + 550.0 * angle.cos(), middle.y + 550.0 * angle.sin());
        add(&mut plan, LineKind::Lateral, vec![middle, end], Joins::Line(main));
    }
    plan
}
