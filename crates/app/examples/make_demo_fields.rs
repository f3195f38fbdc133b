//! Makes the two invented demo fields: ground by formula, plans by the program's own edits. Run from the repository:
//! `cargo run -p app --example make_demo_fields`. It ends with an error when a field does not give the findings it should.

#![allow(clippy::print_stdout, reason = "a maker says what it made")]

use checks::{Finding, Severity};
use job::Worked;
use measure::{FOOT_M, Point, Units, nearest_on, point_at};
use plan::{
    Asked, BatchFacts, Benchmark, Brief, Carries, Cause, Change, Crop, Edit, Exposed, GroundRef, Joins, Landmark,
    LandmarkKind, Line, LineId, LineKind, Material, OldTile, Outlet, Outline, Owner, Pattern, Pin, Pit, Plan,
    PriceList, PriceRow, Rows, SelfCleaning, SizeBy, SoilLayer, Stretch, SurveyBook, SurveyFile, Texture, Title,
    Utility,
};
use terrain::{Grid, Ground, Swale, Water, simplify, swales};

/// South-west corner of both fields: open sea in the system's own zone, so that they lie on nobody's land.
const CORNER: Point = Point::new(203_000.0, 96_000.0);
const CELL_M: f64 = 2.0;
/// Levels along the lines stand no farther apart.
const SHOT_EVERY_M: f64 = 25.0;
const ACRE_M2: f64 = 4_046.856_422_4;
/// Number of the check that must find the planted mistake.
const ADVERSE_GRADE: u16 = 1;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut rolling = rolling_block();
    rolling.level_lines("larkmoor-bench", [at(20.0, 15.0), at(30.0, 260.0)]);
    write("larkmoor-bench", &rolling)?;
    expect("Larkmoor Bench", &rolling, &[ADVERSE_GRADE])?;
    expect_mended(&rolling)?;
    let mut flat = flat_field();
    flat.level_lines("saltern-flat", [at(20.0, 20.0), at(20.0, 250.0)]);
    write("saltern-flat", &flat)?;
    expect("Saltern Flat", &flat, &[])?;
    let mut faulty = ten_mistakes();
    faulty.level_lines("fernholt-piece", [at(20.0, 15.0), at(30.0, 260.0)]);
    faulty.misread_one();
    write("fernholt-piece", &faulty)?;
    std::fs::remove_file(folder().join("fernholt-piece.asc"))?;
    expect_all("Fernholt Piece", &faulty)
}

/// The mistakes of the teaching plan, by the checks that find them (judgement: ten that a class can be asked to
/// find).
const TEN: [u16; 10] = [1, 26, 48, 53, 55, 63, 68, 82, 87, 99];

struct Field {
    plan: Plan,
    ground: Ground,
    swales: Vec<Swale>,
    text: String,
    levels: String,
}

impl Field {
    /// A field whose ground is read back from its own file, so that plan and file agree to the last digit.
    fn new(name: &str, file: &str, units: Units, size_m: (f64, f64), level: impl Fn(f64, f64) -> f64) -> Self {
        let (cols, rows) = ((size_m.0 / CELL_M) as usize, (size_m.1 / CELL_M) as usize);
        let mut text = format!(
            "ncols {cols}\nnrows {rows}\nxllcorner {}\nyllcorner {}\ncellsize {CELL_M}\nNODATA_value -9999\n",
            CORNER.x, CORNER.y
        );
        let mut levels = Vec::new();
        for row in 0..rows {
            let y = size_m.1 - (row as f64 + 0.5) * CELL_M;
            let line: Vec<String> =
                (0..cols).map(|col| format!("{:.2}", level((col as f64 + 0.5) * CELL_M, y))).collect();
            levels.extend(line.iter().filter_map(|level| level.parse::<f32>().ok()));
            text.push_str(&line.join(" "));
            text.push('\n');
        }
        let grid =
            Grid::new((cols, rows), (CORNER.x, CORNER.y + size_m.1), (CELL_M, CELL_M), levels).expect("a grid");
        let water = Water::of(&grid);
        let swales = swales(&grid, &water, ACRE_M2);
        let mut plan = Plan::new(name, units);
        let reference = GroundRef {
            file: format!("{file}.asc"),
            crs: "EPSG:32631".into(),
            horizontal_unit: measure::LengthUnit::Metre,
            vertical_unit: measure::LengthUnit::Metre,
            datum: format!("{name} local, invented"),
            columns: None,
            level_attribute: None,
            part: None,
            brought_from: None,
        };
        apply(&mut plan, &Edit::one("Bring in the ground", Change::Ground(Some(reference))));
        Self { plan, ground: Ground::from_grid(grid), swales, text, levels: String::new() }
    }

    fn level(&self, at: Point) -> f64 {
        self.ground.elevation(at).expect("ground")
    }

    /// An outlet that stays clear of its ditch in a flood, its invert so much over the bottom of the ditch.
    fn outlet(&mut self, at: Point, bottom_m: f64, over_m: f64) -> Joins {
        let outlet = Outlet {
            channel_bottom_m: Some(bottom_m),
            low_water_m: Some(bottom_m + 0.1),
            flood_m: Some(bottom_m + 0.4),
            owner: Owner::Other,
            consent: true,
            bank_run: Some(1.5),
            armoured: true,
            photo: "outlet-looking-upstream.jpg".into(),
            ..Outlet::new("O1", at, bottom_m + over_m)
        };
        let (id, edit) = plan::place_outlet(&self.plan, outlet);
        apply(&mut self.plan, &edit);
        Joins::Outlet(id)
    }

    /// Sets the day against which tickets and findings left are held.
    fn date(&mut self) {
        let title = Title { as_of: Some("2031-04-02".into()), ..self.plan.title.clone() };
        apply(&mut self.plan, &plan::set_title("Set the date", title));
    }

    /// Puts a mark on the land.
    fn mark(&mut self, name: &str, kind: LandmarkKind, outline: Outline) {
        let landmark = Landmark { name: name.into(), kind, outline, note: String::new() };
        let (_, edit) = plan::add_landmark(&self.plan, landmark);
        apply(&mut self.plan, &edit);
    }

    /// Lays solid heavy pipe over a stretch given in metres.
    fn heavy(&mut self, line: LineId, from_m: f64, to_m: f64) {
        let pipe = Stretch { from_m, to_m, solid: true, heavy: true, ..Stretch::default() };
        let edit = plan::lay_stretch(&self.plan, line, pipe).expect("a line");
        apply(&mut self.plan, &edit);
    }

    /// Sets the outlet a hand over low water.
    fn lower_outlet(&mut self, bottom_m: f64) {
        let (id, outlet) = self.plan.outlets.iter().next().expect("an outlet");
        let low = Outlet { invert_m: bottom_m + 0.16, ..outlet.clone() };
        let edit = plan::set_outlet(&self.plan, *id, low);
        apply(&mut self.plan, &edit);
    }

    /// The rod misread by ten feet at one shot.
    fn misread_one(&mut self) {
        let mut rows: Vec<String> = self.levels.lines().map(String::from).collect();
        let (front, level) = rows[9].rsplit_once(',').map(|(a, b)| (a.to_string(), b.to_string())).expect("a row");
        let wrong = level.parse::<f64>().expect("a level") + 10.0 * FOOT_M;
        rows[9] = format!("{front},{wrong:.3}");
        self.levels = rows.join("\n") + "\n";
    }

    fn line(&mut self, line: Line) -> LineId {
        let (id, edit) = plan::add_line(&self.plan, line);
        apply(&mut self.plan, &edit);
        id
    }

    /// The points of a main nearest to a place, as the foot of a lateral there.
    fn foot(&self, main: LineId, at: Point) -> Point {
        nearest_on(&self.plan.lines[&main].points, at).expect("a main").1
    }

    /// Levels along every new line and two benchmarks: the ground's own level, off by up to 2 cm as levels are.
    fn level_lines(&mut self, file: &str, marks: [Point; 2]) {
        let mut text = String::from("point,easting,northing,elevation_m\n");
        let lines = self.plan.lines.values().filter(|line| !line.kind.is_old());
        let stops = |line: &Line| (line.length_m() / SHOT_EVERY_M).ceil() as usize;
        let places = lines.flat_map(|line| {
            let stops = stops(line);
            (0..=stops).filter_map(move |i| point_at(&line.points, line.length_m() * i as f64 / stops as f64))
        });
        for (i, place) in places.enumerate() {
            let off_m = ((i * 7 % 5) as f64 - 2.0) / 100.0;
            let level_m = self.level(place) + off_m;
            text.push_str(&format!("{},{:.2},{:.2},{level_m:.3}\n", i + 1, place.x, place.y));
        }
        let datum = self.plan.ground.as_ref().map(|ground| ground.datum.clone()).unwrap_or_default();
        let mark = |(i, at): (usize, Point)| Benchmark {
            name: format!("BM{}, iron pin", i + 1),
            at,
            level_m: (self.level(at) * 1000.0).round() / 1000.0,
            datum: datum.clone(),
        };
        let benchmarks = marks.into_iter().enumerate().map(mark).collect();
        let file = format!("{file}-levels.csv");
        let named = SurveyFile { file, batch: "level".into(), vertical_unit: measure::LengthUnit::Metre };
        let facts = BatchFacts { datum, date: Some("2031-03-14".into()) };
        let batches = [("level".to_string(), facts)].into();
        let book = SurveyBook { files: vec![named], batches, benchmarks, ..SurveyBook::default() };
        apply(&mut self.plan, &plan::set_survey("Bring in the levels", book));
        self.levels = text;
    }

    /// What the program finds in the files as they were written.
    fn findings(&self, plan: &Plan) -> Result<Vec<Finding>, exchange::FileError> {
        let land = job::ground::open_plan(plan, Some(&folder()), &job::Progress::default())?;
        Ok(Worked::of(plan.clone(), &land).tried().to_vec())
    }
}

fn folder() -> std::path::PathBuf {
    std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo-fields")
}

fn apply(plan: &mut Plan, edit: &Edit) {
    plan.apply(edit).expect("a sound edit");
}

fn at(x: f64, y: f64) -> Point {
    Point::new(CORNER.x + x, CORNER.y + y)
}

/// The grower was asked for every line of the farm's own.
const ASKED: Asked = Asked { wells: true, septic: true, pumps: true, irrigation: true };

/// A pit: layers by the depth of their underside, and the tight layer below.
fn pit(layers: &[(f64, Texture, f64)], tight_m: f64) -> LandmarkKind {
    let layer = |(to_m, texture, m_per_day): &(f64, Texture, f64)| SoilLayer {
        conductivity_ms: Some(m_per_day / 86_400.0),
        ..SoilLayer::of(*to_m, *texture)
    };
    let layers = layers.iter().map(layer).collect();
    LandmarkKind::Pit(Pit { layers, mottles_m: Some(0.6), tight_m: Some(tight_m), iron: false, ph: Some(6.4) })
}

/// Prices that nobody asks: they make the sums of the demo fields, and say so.
fn invented_prices() -> PriceList {
    use plan::Goods as G;
    let row = |goods, inches: Option<f64>, price: f64, pack_ft: Option<f64>| PriceRow {
        goods,
        size_m: inches.map(|inches| inches * measure::INCH_M),
        branch_m: None,
        price,
        pack_m: pack_ft.map(|feet| feet * FOOT_M),
    };
    let foot = |price: f64| price / FOOT_M;
    let rows = vec![
        row(G::Perforated, Some(4.0), foot(0.75), Some(250.0)),
        row(G::Perforated, Some(5.0), foot(1.10), Some(100.0)),
        row(G::Perforated, Some(6.0), foot(1.60), Some(100.0)),
        row(G::Perforated, Some(8.0), foot(2.90), Some(20.0)),
        row(G::Solid, Some(4.0), foot(0.90), Some(100.0)),
        row(G::Solid, Some(5.0), foot(1.30), Some(100.0)),
        row(G::Solid, Some(6.0), foot(1.90), Some(20.0)),
        row(G::Solid, Some(8.0), foot(3.40), Some(20.0)),
        row(G::Heavy, None, foot(4.80), Some(20.0)),
        row(G::OutletStick, Some(5.0), 120.0, Some(20.0)),
        row(G::OutletStick, Some(6.0), 140.0, Some(20.0)),
        row(G::OutletStick, Some(8.0), 210.0, Some(20.0)),
        row(G::Tee, None, 22.0, None),
        row(G::Wye, None, 26.0, None),
        row(G::Reducer, None, 15.0, None),
        row(G::Coupler, None, 3.0, None),
        row(G::Cap, None, 4.0, None),
        row(G::Elbow, None, 12.0, None),
        row(G::Adapter, None, 24.0, None),
        row(G::Guard, None, 30.0, None),
        row(G::SiltTrap, None, 260.0, None),
        row(G::MachineHour, None, 150.0, None),
        row(G::Mobilisation, None, 450.0, None),
        row(G::Restoration, None, 320.0 / ACRE_M2, None),
        row(G::TrenchProtection, None, foot(12.0), None),
    ];
    let source = "invented for this demo field".into();
    PriceList { source, currency: "$".into(), rows, ..PriceList::default() }
}

/// A bell of height 1 and that half-width.
fn bell(distance: f64, width: f64) -> f64 {
    (-(distance / width).powi(2)).exp()
}

fn ramp(value: f64, from: f64, to: f64) -> f64 {
    let t = ((value - from) / (to - from)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

fn west_swale(y: f64) -> f64 {
    150.0 + 20.0 * (y / 70.0).sin()
}

fn east_swale(y: f64) -> f64 {
    296.0 - 0.10 * y + 12.0 * (y / 55.0).sin()
}

/// Rolling ground that falls to the south and a little to the west, two soft swales, one hollow, a ditch at the foot.
fn rolling_level(x: f64, y: f64) -> f64 {
    let slope = 61.0 + 0.030 * y + 0.004 * x + 0.5 * ramp(y, 180.0, 340.0) * (x / 90.0).cos();
    let deep = 0.22 + 0.78 * ramp(y, 60.0, 140.0) * (1.0 - 0.6 * ramp(y, 260.0, 350.0));
    let swales = 1.15 * deep * bell(x - west_swale(y), 20.0) + 1.0 * deep * bell(x - east_swale(y), 17.0);
    let hollow = 1.05 * bell((x - 226.0).hypot(y - 196.0), 15.0);
    let ditch = 1.75 * bell(y - 18.0, 3.2);
    let unrest = 0.035 * (x / 13.0).sin() * (y / 17.0).cos() + 0.025 * ((x + 2.0 * y) / 23.0).sin();
    slope - swales - hollow - ditch + unrest
}

fn rolling_block() -> Field {
    let mut field = Field::new("Larkmoor Bench", "larkmoor-bench", Units::Feet, (420.0, 360.0), rolling_level);
    let ring =
        [(62.0, 31.0), (372.0, 33.0), (384.0, 190.0), (352.0, 318.0), (190.0, 334.0), (70.0, 300.0), (48.0, 150.0)];
    apply(&mut field.plan, &plan::set_field(Some(ring.map(|(x, y)| at(x, y)).into())));
    let end = at(84.0, 24.0);
    let bottom_m = field.level(at(84.0, 18.0));
    let joins = field.outlet(end, bottom_m, 0.48);
    let course = vec![
        end,
        at(88.0, 36.0),
        at(102.0, 46.0),
        at(150.0, 50.0),
        at(226.0, 50.0),
        at(300.0, 52.0),
        at(336.0, 56.0),
    ];
    // Clay loam needs no grade for silt; the grower wants every line to carry along what gets in all the same.
    let brief = Brief {
        texture: Some(Texture::ClayLoam),
        self_cleaning: SelfCleaning::Require,
        asked: ASKED,
        ..Brief::default()
    };
    apply(&mut field.plan, &plan::set_brief(brief));
    apply(&mut field.plan, &plan::set_price_list(invented_prices()));
    field.date();
    let size_by = SizeBy::Flow;
    let main = field.line(Line { joins, size_by, ..Line::new("M1", LineKind::Main, course) });
    let up = |field: &mut Field, name: &str, course: Vec<Point>| {
        let mut points = simplify(&course, 0.8);
        points[0] = field.foot(main, points[0]);
        field.line(Line { joins: Joins::Line(main), ..Line::new(name, LineKind::Lateral, points) })
    };
    let along = |swale: fn(f64) -> f64, to: f64| {
        (5..).map(|i| i as f64 * 10.0).take_while(|y| *y <= to).map(|y| at(swale(y), y)).collect()
    };
    up(&mut field, "L1", along(west_swale, 290.0));
    up(&mut field, "L2", along(east_swale, 280.0));
    let l3 = up(&mut field, "L3", vec![at(232.0, 50.0), at(230.0, 100.0), at(227.0, 150.0), at(226.0, 202.0)]);
    field.line(Line {
        size_m: 4.0 * measure::INCH_M,
        ..Line::new(
            "T1",
            LineKind::OldTile(OldTile { material: Material::Clay, ..OldTile::default() }),
            vec![at(96.0, 96.0), at(104.0, 150.0), at(98.0, 214.0)],
        )
    });
    field.mark(
        "P1",
        pit(&[(0.35, Texture::Loam, 0.6), (2.2, Texture::ClayLoam, 0.6)], 2.1),
        Outline::At(at(205.0, 120.0)),
    );
    what_lies_there(&mut field, main);
    slip(&mut field, l3);
    field
}

/// A water line, a farm lane, the block to be planted and a wet place on the rolling block.
fn what_lies_there(field: &mut Field, main: LineId) {
    let course = [at(190.0, 33.0), at(196.0, 110.0)];
    let (_, crossed) = measure::crossings(&field.plan.lines[&main].points, &course)[0];
    let top_m = round(field.level(crossed) - 0.35);
    let seen = Exposed { by: "A. Marsh".into(), on: "2031-04-01".into(), top_m, bottom_m: top_m - 0.05 };
    let water = Utility {
        carries: Carries::Water,
        exposed: Some(seen),
        depth_m: Some(0.35),
        size_m: Some(0.05),
        ticket: "1042".into(),
        valid_until: Some("2031-05-30".into()),
        ..Utility::default()
    };
    field.mark("W1", LandmarkKind::Utility(water), Outline::Along(course.into()));
    let lane = LandmarkKind::Road { width_m: 4.0, public: false, permission: false };
    let course = vec![at(262.0, 34.0), at(262.0, 74.0)];
    let (station_m, ..) = nearest_on(&field.plan.lines[&main].points, at(262.0, 51.0)).expect("a main");
    field.mark("farm lane", lane, Outline::Along(course));
    field.heavy(main, station_m - 4.0, station_m + 4.0);
    let block =
        Rows { bearing_deg: 90.0, spacing_m: 9.0 * FOOT_M, post_depth_m: Some(0.75), anchor_depth_m: Some(0.9) };
    let corners = [(112.0, 78.0), (250.0, 78.0), (250.0, 300.0), (112.0, 300.0)];
    field.mark("B1", LandmarkKind::Rows(block), Outline::Around(corners.map(|(x, y)| at(x, y)).into()));
    let wet = [(221.5, 188.0), (231.0, 188.0), (230.0, 204.0), (222.0, 204.0)];
    let cause = LandmarkKind::WetArea { cause: Some(Cause::Perched), leave: false };
    field.mark("wet hollow", cause, Outline::Around(wet.map(|(x, y)| at(x, y)).into()));
}

/// The planted mistake: at 1+75 the ground is well up, yet the level written down lies below the one at 1+50, as if the
/// rod had been misread by a foot.
fn slip(field: &mut Field, line: LineId) {
    let design = design::work_out(&field.plan, &land::Land::from(&field.ground));
    let worked = &design.lines[&line];
    let station_m = 175.0 * FOOT_M;
    let sound_m = |station_m: f64| worked.at(station_m).and_then(|s| s.invert_m).expect("a level");
    let below_m = 150.0 * FOOT_M;
    let pins = vec![
        Pin { station_m: below_m, invert_m: round(sound_m(below_m)), straight: false },
        Pin { station_m, invert_m: round(sound_m(below_m) - 0.35 * FOOT_M), straight: true },
    ];
    let fixed = Line { pins, ..field.plan.lines[&line].clone() };
    apply(&mut field.plan, &plan::set_line("Lock levels of L3", line, fixed));
}

/// A plan with ten mistakes for a class to find, on the ground of the rolling block: a reach that rises, a cap taken off, a
/// crossing without a joint, a low outlet, a lateral in the lower half of its main, laterals too far apart, an old tile
/// joined unseen, a misread level, a run over the fence, a willow.
fn ten_mistakes() -> Field {
    let mut field = Field::new("Fernholt Piece", "larkmoor-bench", Units::Feet, (420.0, 360.0), rolling_level);
    let ring =
        [(62.0, 31.0), (372.0, 33.0), (384.0, 190.0), (352.0, 318.0), (190.0, 334.0), (70.0, 300.0), (48.0, 150.0)];
    apply(&mut field.plan, &plan::set_field(Some(ring.map(|(x, y)| at(x, y)).into())));
    let brief = Brief { texture: Some(Texture::ClayLoam), asked: ASKED, ..Brief::default() };
    apply(&mut field.plan, &plan::set_brief(brief));
    apply(&mut field.plan, &plan::set_price_list(invented_prices()));
    field.date();
    let bottom_m = field.level(at(84.0, 18.0));
    let joins = field.outlet(at(84.0, 24.0), bottom_m, 0.48);
    field.lower_outlet(bottom_m);
    let course =
        vec![at(84.0, 24.0), at(88.0, 36.0), at(102.0, 46.0), at(150.0, 50.0), at(226.0, 50.0), at(336.0, 56.0)];
    let main = field.line(Line { joins, ..Line::new("M1", LineKind::Main, course) });
    let lateral = |field: &mut Field, name: &str, course: &[(f64, f64)]| {
        let mut points: Vec<Point> = course.iter().map(|(x, y)| at(*x, *y)).collect();
        points[0] = field.foot(main, points[0]);
        field.line(Line { joins: Joins::Line(main), ..Line::new(name, LineKind::Lateral, points) })
    };
    let l1 = lateral(&mut field, "L1", &[(158.0, 50.0), (168.0, 110.0), (150.0, 200.0)]);
    lateral(&mut field, "L2", &[(292.0, 53.0), (290.0, 120.0), (268.0, 230.0)]);
    let l3 = lateral(&mut field, "L3", &[(232.0, 50.0), (230.0, 100.0), (226.0, 200.0)]);
    // It cuts across L2 on its way up.
    lateral(&mut field, "L4", &[(318.0, 55.0), (300.0, 110.0), (262.0, 150.0)]);
    // It runs on beyond the fence.
    lateral(&mut field, "L5", &[(330.0, 55.5), (350.0, 100.0), (392.0, 120.0)]);
    for (i, x) in [108.0, 128.0, 148.0].into_iter().enumerate() {
        let id = lateral(&mut field, &format!("G{}", i + 1), &[(x, 48.0), (x - 12.0, 130.0)]);
        let line = Line { pattern: Pattern::Parallel, ..field.plan.lines[&id].clone() };
        apply(&mut field.plan, &plan::set_line("One of a grid", id, line));
    }
    let foot = field.foot(main, at(196.0, 50.0));
    let tile = LineKind::OldTile(OldTile { material: Material::Clay, ..OldTile::default() });
    let level_m = field.level(foot);
    field.line(Line {
        joins: Joins::Line(main),
        size_m: 4.0 * measure::INCH_M,
        pins: vec![
            Pin { station_m: 0.0, invert_m: round(level_m - 0.7), straight: false },
            Pin { station_m: 60.0, invert_m: round(level_m + 0.6), straight: false },
        ],
        ..Line::new("T1", tile, vec![foot, at(198.0, 120.0)])
    });
    let willow = LandmarkKind::Trees { species: "willow".into(), thirsty: true };
    field.mark("by the swale", willow, Outline::At(at(280.0, 190.0)));
    field.mark(
        "P1",
        pit(&[(0.35, Texture::Loam, 0.6), (2.2, Texture::ClayLoam, 0.25)], 2.1),
        Outline::At(at(205.0, 120.0)),
    );
    let open = Line { capped: false, ..field.plan.lines[&l1].clone() };
    apply(&mut field.plan, &plan::set_line("Take the cap of L1 off", l1, open));
    slip(&mut field, l3);
    enter_low(&mut field, l1);
    field
}

/// A lateral fixed so low at its end that it enters the lower half of its main.
fn enter_low(field: &mut Field, line: LineId) {
    let design = design::work_out(&field.plan, &land::Land::from(&field.ground));
    let joint = design.joints.iter().find(|joint| joint.branch == line).expect("a joint");
    let main_m = joint.main_invert_m.expect("a level");
    // The main is held where it lies, or it would go down with the lateral.
    let held = plan::set_pin(&field.plan, joint.main, joint.station_m, Some((round(main_m), false))).expect("a line");
    let low_m = main_m - 0.02;
    apply(&mut field.plan, &held);
    let pins = vec![Pin { station_m: 0.0, invert_m: round(low_m), straight: false }];
    let fixed = Line { pins, ..field.plan.lines[&line].clone() };
    apply(&mut field.plan, &plan::set_line("Fix the end of L1", line, fixed));
}

fn round(level_m: f64) -> f64 {
    (level_m * 100.0).round() / 100.0
}

/// Nearly flat ground with a hump in the middle, one hollow, a ditch along the east side.
fn flat_level(x: f64, y: f64) -> f64 {
    let slope = 12.0 - 0.0022 * x + 0.0004 * y;
    let hump = 0.7 * bell((x - 190.0).hypot((y - 230.0) * 0.8), 55.0);
    let hollow = 0.24 * bell((x - 285.0).hypot(y - 120.0), 18.0);
    let ditch = 2.15 * bell(x - 420.0, 4.0) + 0.1 * ramp(x, 400.0, 424.0) * (1.0 - y / 400.0);
    slope + hump - hollow - ditch + 0.01 * (x / 11.0).sin() * (y / 19.0).cos()
}

fn flat_field() -> Field {
    let mut field = Field::new("Saltern Flat", "saltern-flat", Units::Metric, (440.0, 400.0), flat_level);
    let ring = [(40.0, 30.0), (408.0, 30.0), (408.0, 370.0), (60.0, 370.0), (40.0, 350.0)];
    apply(&mut field.plan, &plan::set_field(Some(ring.map(|(x, y)| at(x, y)).into())));
    // Flat ground asks for a deeper main, so that the far ends of the laterals keep their cover.
    let deeper = plan::Criteria { target_depth_m: 1.15, ..field.plan.criteria.clone() };
    apply(&mut field.plan, &plan::set_criteria(deeper));
    apply(&mut field.plan, &plan::set_brief(Brief { crop: Crop::FieldCrops, asked: ASKED, ..Brief::default() }));
    apply(&mut field.plan, &plan::set_price_list(invented_prices()));
    field.date();
    let end = at(413.0, 60.0);
    let bottom_m = field.level(at(420.0, 60.0));
    let joins = field.outlet(end, bottom_m, 0.66);
    let course = vec![end, at(390.0, 60.0), at(80.0, 58.0)];
    let size_m = 8.0 * measure::INCH_M;
    let main = field.line(Line { joins, size_m, ..Line::new("M1", LineKind::Main, course) });
    for i in 0..7 {
        let x = 372.0 - 44.0 * i as f64;
        let foot = field.foot(main, at(x, 60.0));
        let points = vec![foot, at(x, 340.0)];
        let name = format!("L{}", i + 1);
        field.line(Line {
            joins: Joins::Line(main),
            pattern: Pattern::Parallel,
            ..Line::new(&name, LineKind::Lateral, points)
        });
    }
    field.mark(
        "P1",
        pit(&[(0.4, Texture::Loam, 1.5), (4.0, Texture::ClayLoam, 2.4)], 3.6),
        Outline::At(at(200.0, 180.0)),
    );
    field
}

/// Tells what a field gives and holds the checks that found more than a note against those that should.
fn expect(name: &str, field: &Field, meant: &[u16]) -> Result<(), Box<dyn std::error::Error>> {
    let findings = field.findings(&field.plan)?;
    println!("{name}: {} swales", field.swales.len());
    for finding in &findings {
        println!("  [{}] {} ({}): {}", finding.severity.word(), finding.title, finding.slug, finding.message);
    }
    let found = above_a_note(&findings);
    if found != meant {
        return Err(format!("{name}: above a note found checks {found:?}, meant {meant:?}").into());
    }
    let middle = field.plan.lines.values().map(|line| point_at(&line.points, line.length_m() / 2.0));
    assert!(middle.flatten().all(|p| field.ground.elevation(p).is_some()));
    Ok(())
}

/// Every one of the ten mistakes must be found, by itself or named under a worse one at its place.
fn expect_all(name: &str, field: &Field) -> Result<(), Box<dyn std::error::Error>> {
    let findings = field.findings(&field.plan)?;
    for finding in &findings {
        println!("  [{}] {} ({})", finding.severity.word(), finding.title, finding.check);
    }
    let found =
        |check: &u16| findings.iter().any(|f| f.check == *check || f.also.iter().any(|(also, _)| also == check));
    let missed: Vec<u16> = TEN.into_iter().filter(|check| !found(check)).collect();
    println!("{name}: {} findings, missed {missed:?}", findings.len());
    if missed.is_empty() { Ok(()) } else { Err(format!("{name}: missed {missed:?}").into()) }
}

/// The planted mistake must go by the fix that its finding offers, and leave nothing above a note.
fn expect_mended(field: &Field) -> Result<(), Box<dyn std::error::Error>> {
    let findings = field.findings(&field.plan)?;
    let fix = findings.first().and_then(|finding| finding.fix()).ok_or("the mistake has no fix")?;
    let mut plan = field.plan.clone();
    plan.apply(fix)?;
    let left = above_a_note(&field.findings(&plan)?);
    println!("  {}: {} above a note left", fix.label, left.len());
    if left.is_empty() { Ok(()) } else { Err(format!("{}: checks {left:?} stay", fix.label).into()) }
}

fn above_a_note(findings: &[Finding]) -> Vec<u16> {
    findings.iter().filter(|finding| finding.severity != Severity::Note).map(|finding| finding.check).collect()
}

fn write(name: &str, field: &Field) -> Result<(), Box<dyn std::error::Error>> {
    let folder = folder();
    std::fs::write(folder.join(format!("{name}.asc")), &field.text)?;
    std::fs::write(folder.join(format!("{name}-levels.csv")), &field.levels)?;
    exchange::replace_file(
        &folder.join(format!("{name}.drain")),
        exchange::plan_text(&field.plan)?.as_bytes(),
        false,
    )?;
    Ok(())
}
