//! What leaves says what it stands on: sheets are held back while something is to be fixed, one hazard has one extent
//! wherever it is told, and whatever a crew holds hangs on the revision letter.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::path::Path;

use job::Progress;
use job::Worked;
use job::ground;
use job::handing::{self, NotIssued, PaperWish};
use land::Land;
use measure::{FOOT_M, Point, Units};
use plan::{
    Benchmark, Carries, Exposed, Field, Goods, Hub, Joins, Landmark, LandmarkKind, Line, LineId, LineKind, Outlet,
    Outline, Pin, Plan, Signature, Stretch, Utility, Wall,
};
use sheets::{Align, Book, Ink, Item, Page, Paper, Text, Tongue, Work};
use takeoff::SetUp;

fn ft(x: f64, y: f64) -> Point {
    Point::new(x * FOOT_M, y * FOOT_M)
}

fn signed() -> Signature {
    Signature { by: "A. Marsh".into(), on: "2031-04-02".into(), because: "as found".into() }
}

/// Ground that rises 0.5 ft in 100 ft from 100 ft, with a ridge 16 ft wide and 2.5 ft high across 0+75, as a grid of 1 ft
/// whose cells have their centres on whole feet.
fn ground(folder: &Path) -> Land {
    let (cols, rows) = (281, 81);
    let level_ft = |x: f64| 100.0 + 0.005 * x + (2.5 * (1.0 - (x - 75.0).abs() / 8.0)).max(0.0);
    let row: Vec<String> = (0..cols).map(|i| format!("{:.6}", level_ft(f64::from(i) - 40.0) * FOOT_M)).collect();
    let corner = |feet: f64| (feet - 0.5) * FOOT_M;
    let head = format!(
        "ncols {cols}\nnrows {rows}\nxllcorner {}\nyllcorner {}\ncellsize {FOOT_M}\nNODATA_value -9999\n",
        corner(-40.0),
        corner(-40.0)
    );
    let path = folder.join("ridge.asc");
    std::fs::write(&path, head + &vec![row.join(" "); rows].join("\n") + "\n").unwrap();
    let mut options = ground::read_options();
    options.horizontal_unit = Some(measure::LengthUnit::Metre);
    options.vertical_unit = Some(measure::LengthUnit::Metre);
    ground::read(&path, &options, &Progress::default()).unwrap().land
}

/// A main of 200 ft along the x axis whose trench, wall and bedding counted, is 3.5 ft deep but for the ridge; with what a
/// crew is told beside it.
fn job(units: Units, folder: &Path) -> (Plan, Land, LineId) {
    let land = ground(folder);
    let mut plan = Plan::new("Ridge", units);
    plan.ground = Some(plan::GroundRef {
        file: folder.join("ridge.asc").display().to_string(),
        crs: "local".into(),
        horizontal_unit: measure::LengthUnit::Metre,
        vertical_unit: measure::LengthUnit::Metre,
        datum: "local".into(),
        columns: None,
        level_attribute: None,
        part: None,
        brought_from: None,
    });
    let size_m = 6.0 * measure::INCH_M;
    let deep_m = 3.5 * FOOT_M - hydraulics::Body::CORRUGATED.wall_m(size_m) - plan.criteria.bedding_m;
    let level_m = |x: f64| (100.0 + 0.005 * x) * FOOT_M - deep_m;
    let outlet = Outlet { low_water_m: Some(level_m(0.0) - 1.0), ..Outlet::new("O1", ft(0.0, 0.0), level_m(0.0)) };
    let (outlet, edit) = plan::place_outlet(&plan, outlet);
    plan.apply(&edit).unwrap();
    let pin = |x: f64| Pin { station_m: x * FOOT_M, invert_m: level_m(x), straight: true };
    let main = Line {
        joins: Joins::Outlet(outlet),
        size_m,
        pins: vec![pin(200.0)],
        capped: true,
        ..Line::new("M1", LineKind::Main, vec![ft(0.0, 0.0), ft(200.0, 0.0)])
    };
    let (m1, edit) = plan::add_line(&plan, main);
    plan.apply(&edit).unwrap();
    plan.field = Some(Field {
        ring: vec![ft(-20.0, -30.0), ft(230.0, -30.0), ft(230.0, 30.0), ft(-20.0, 30.0)],
        holes: vec![],
    });
    plan.survey.benchmarks.push(Benchmark {
        name: "BM1".into(),
        at: ft(-10.0, 10.0),
        level_m: 101.0 * FOOT_M,
        datum: String::new(),
    });
    // A foot down where it was dug free: the ground lies at 100.75 ft there.
    let top_m = 99.75 * FOOT_M;
    let exposed = Exposed { by: "R. Sund".into(), on: "2031-04-01".into(), top_m, bottom_m: top_m - 0.1 };
    let (depth_m, exposed) = (Some(0.3), Some(exposed));
    let gas = Utility { carries: Carries::Gas, depth_m, exposed, ticket: "T-17".into(), ..Utility::default() };
    let outline = Outline::Along(vec![ft(150.0, -30.0), ft(150.0, 30.0)]);
    let gas = Landmark { name: "G1".into(), kind: LandmarkKind::Utility(gas), outline, note: String::new() };
    let (_, edit) = plan::add_landmark(&plan, gas);
    plan.apply(&edit).unwrap();
    (plan, land, m1)
}

fn book(worked: &Worked, paper: Paper, set_ups: &[SetUp], all_the_same: Option<&Signature>) -> Book {
    let reference = exchange::reference(&worked.plan);
    sheets::book(&Work {
        plan: &worked.plan,
        design: &worked.design,
        findings: &worked.findings,
        contours: &[],
        paper,
        reference: &reference,
        set_ups,
        all_the_same,
        tongue: Tongue::English,
    })
}

fn usual_book(worked: &Worked) -> Book {
    book(worked, Paper::usual(worked.plan.title.units), &[], None)
}

/// Every text of the pages with a title, in one line.
fn said(book: &Book, title: &str) -> String {
    let pages: Vec<&Page> = book.pages.iter().filter(|page| page.texts().contains(&title)).collect();
    assert!(!pages.is_empty(), "there is no page {title}");
    pages.iter().flat_map(|page| page.texts()).collect::<Vec<_>>().join(" ")
}

fn file(worked: &Worked, name: &str) -> String {
    let wish = PaperWish { all_the_same: Some(signed()), ..PaperWish::default() };
    let folder = handing::folder(worked, None, &wish, &|_, _| true).unwrap();
    String::from_utf8(folder.into_iter().find(|file| file.name == name).unwrap().bytes).unwrap()
}

/// The ridge stands midway between the stakes at 0+50 and 1+00. Where it is 1.5 ft high the trench is 5 ft deep: 3.2 ft to
/// either side of 0+75. Where it is 0.5 ft high it is 4 ft deep: 6.4 ft to either side. Findings, cut sheet, profile, plan
/// sheet, first page, quantities and tables tell the same stretches.
#[test]
fn one_hazard_has_one_extent() {
    let folder = tempfile::tempdir().unwrap();
    for units in [Units::Feet, Units::Metric] {
        let (mut plan, land, m1) = job(units, folder.path());
        // In feet, so that a metric plan has the same ridge to tell.
        (plan.criteria.protected_trench_m, plan.criteria.ladder_trench_m) = (5.0 * FOOT_M, 4.0 * FOOT_M);
        let worked = Worked::of(plan, &land);
        let near = |(from_m, to_m): (f64, f64), (from_ft, to_ft): (f64, f64)| {
            (from_m / FOOT_M - from_ft).abs() < 0.02 && (to_m / FOOT_M - to_ft).abs() < 0.02
        };
        let places = |check: u16| {
            let found = worked.findings.iter().find(|finding| finding.check == check).unwrap();
            found.places.iter().map(|place| (place.from_m, place.to_m)).collect::<Vec<_>>()
        };
        let (deep, ladder) = (places(20), places(19));
        assert!(deep.len() == 1 && near(deep[0], (71.8, 78.2)), "{deep:?}");
        assert!(ladder.len() == 2 && near(ladder[0], (68.6, 71.8)) && near(ladder[1], (78.2, 81.4)), "{ladder:?}");
        let of_takeoff = takeoff::Deep::of(&worked.design.lines[&m1], &worked.plan.criteria);
        let ends = |parts: &[terrain::Stretch]| parts.iter().map(|part| (part.from_m, part.to_m)).collect::<Vec<_>>();
        assert_eq!((ends(&of_takeoff.protected), ends(&of_takeoff.ladder)), (deep.clone(), ladder.clone()));
        let (protected_m, line) = (deep[0].1 - deep[0].0, &worked.estimate().lines[0]);
        assert_eq!(line.parts.protected_m, protected_m);
        let item = worked.estimate().items.iter().find(|item| item.goods == Goods::TrenchProtection).unwrap();
        assert_eq!((item.needed, item.price), (protected_m, None));

        // The same words everywhere.
        let stretch = |(from_m, to_m): (f64, f64)| {
            format!("{} to {}", measure::station(from_m, units), measure::station(to_m, units))
        };
        let length = plan::Measure::Length.words(protected_m, units);
        let (limit, ladder_limit) = (units.depth(5.0 * FOOT_M), units.depth(4.0 * FOOT_M));
        if units == Units::Feet {
            assert_eq!((stretch(deep[0]).as_str(), length.as_str()), ("0+71.8 to 0+78.2", "6.4 ft"));
        }
        let finding = worked.findings.iter().find(|finding| finding.check == 20).unwrap();
        let [from, to] = [deep[0].0, deep[0].1].map(|station_m| measure::station(station_m, units));
        assert!(finding.message.starts_with(&format!("From {from} to {to} the trench of M1")), "{}", finding.message);
        let book = usual_book(&worked);
        let cut = said(&book, "Cut sheet M1");
        for wanted in [
            format!("TRENCH {limit} OR DEEPER {}, {length}, up to {}", stretch(deep[0]), units.depth(6.0 * FOOT_M)),
            format!("PROTECTION NEEDED {}, {length}", stretch(deep[0])),
            format!("Ladder or ramp, trench from {ladder_limit}: {}, {}", stretch(ladder[0]), stretch(ladder[1])),
        ] {
            assert!(cut.contains(&wanted), "{wanted} is not in {cut}");
        }
        let profile = format!("trench {limit} or deeper {}, {length}", stretch(deep[0]));
        assert!(said(&book, "Profiles").contains(&profile), "{profile}");
        assert!(said(&book, "Plan").contains(&format!("trench {limit} or deeper, {length}")));
        assert!(said(&book, "Before digging").contains(&format!("M1 {from} {to} {length}")));
        let row = format!("M1,{from},{to},{},{}\n", units.number(protected_m, 2), units.number(6.0 * FOOT_M, 2));
        assert!(file(&worked, "trench-protection.csv").contains(&row), "{row}");
        let bought = plan::Measure::Length.quantity(item.bought, units);
        let row = format!("trench protection,{bought:.3},{bought:.3},{}", units.sign());
        let costs = file(&worked, "materials-and-cost.csv");
        assert!(costs.contains(&row) && costs.contains("trench protection"), "{row}: {costs}");
        let unit_m = units.length_unit().metres();
        assert!((bought - protected_m / unit_m).abs() <= 0.05, "to a tenth: {bought} {}", units.sign());
    }
}

fn change_gas(plan: &mut Plan, change: impl FnOnce(&mut Utility)) {
    let LandmarkKind::Utility(gas) = &mut plan.landmarks.values_mut().next().unwrap().kind else {
        panic!("no utility")
    };
    change(gas);
}

fn outlet(plan: &mut Plan) -> &mut Outlet {
    plan.outlets.values_mut().next().unwrap()
}

/// One thing changed, and how the next sheets tell it.
type Told = (&'static str, fn(&mut Plan, LineId));

/// Everything that a crew holds, each changed alone.
const HELD: [Told; 22] = [
    ("Benchmark BM1 moved 0.10 ft up", |plan, _| plan.survey.benchmarks[0].level_m += 0.1 * FOOT_M),
    ("Place of benchmark BM1 is not what it was", |plan, _| plan.survey.benchmarks[0].at.x += 1.0),
    ("Benchmark BM1 is gone", |plan, _| plan.survey.benchmarks.clear()),
    ("Datum of benchmark BM1 is new", |plan, _| plan.survey.benchmarks[0].datum = "old map".into()),
    ("Datum: 'local' became 'old map'", |plan, _| plan.ground.as_mut().unwrap().datum = "old map".into()),
    (
        "Coordinate system: 'local, no coordinate system named, easting and northing in meters' became 'WGS 84 / UTM zone",
        |plan, _| {
            plan.ground.as_mut().unwrap().crs = "EPSG:32631".into();
        },
    ),
    ("Outlet O1 moved 0.20 ft down", |plan, _| outlet(plan).invert_m -= 0.2 * FOOT_M),
    ("Low water at outlet O1 moved 0.30 ft up", |plan, _| {
        *outlet(plan).low_water_m.as_mut().unwrap() += 0.3 * FOOT_M
    }),
    ("Flood at outlet O1 is new, at 98.00", |plan, _| outlet(plan).flood_m = Some(98.0 * FOOT_M)),
    ("Boundary is not what it was", |plan, _| plan.field.as_mut().unwrap().ring[0].x -= 1.0),
    ("Pipe of M1 was 6 in corrugated", |plan, m1| plan.lines.get_mut(&m1).unwrap().size_m = 8.0 * measure::INCH_M),
    ("Pipe of M1 was 6 in corrugated", |plan, m1| plan.lines.get_mut(&m1).unwrap().wall = Wall::Smooth),
    ("Pipe of M1 was 6 in corrugated", |plan, m1| {
        let (from_m, to_m) = (100.0 * FOOT_M, 140.0 * FOOT_M);
        let heavy = Stretch { from_m, to_m, heavy: true, solid: true, ..Stretch::default() };
        plan.lines.get_mut(&m1).unwrap().stretches.push(heavy);
    }),
    ("is 1.64 ft down, ticket T-17", |plan, _| {
        change_gas(plan, |gas| (gas.depth_m, gas.exposed) = (Some(0.5), None));
    }),
    ("is top at 99.80, underside at 99.40, exposed by hand", |plan, _| {
        let exposed =
            Exposed { by: "R. Sund".into(), on: "2031-04-01".into(), top_m: 99.8 * FOOT_M, bottom_m: 99.4 * FOOT_M };
        change_gas(plan, |gas| gas.exposed = Some(exposed));
    }),
    ("DO NOT DIG on M1 1+48 to 1+52", |plan, _| change_gas(plan, |gas| gas.ticket.clear())),
    ("Place of gas line G1 is not what it was", |plan, _| {
        plan.landmarks.values_mut().next().unwrap().outline = Outline::Along(vec![ft(150.0, -30.0), ft(150.0, 29.0)]);
    }),
    ("Gas line G1 is gone", |plan, _| plan.landmarks.clear()),
    ("Protected trench of M1 was 0+71.8 to 0+78.2, is 0+70.2 to 0+79.8", |plan, _| {
        plan.criteria.protected_trench_m = 4.5 * FOOT_M;
    }),
    ("Finding \"M1 runs uphill toward the outlet\" at M1", |plan, m1| {
        let pin = Pin { station_m: 100.0 * FOOT_M, invert_m: 98.5 * FOOT_M, straight: true };
        plan.lines.get_mut(&m1).unwrap().pins.insert(0, pin);
    }),
    ("rows of M1", |plan, m1| {
        let hub = Hub { station_m: 50.0 * FOOT_M, level_m: 101.0 * FOOT_M, left_m: FOOT_M };
        plan.lines.get_mut(&m1).unwrap().hubs.push(hub);
    }),
    ("Course of M1 is not what it was", |plan, m1| {
        plan.lines.get_mut(&m1).unwrap().points[1] = ft(200.0, 1.0);
    }),
];

/// What no crew holds.
const NOT_HELD: [Told; 3] = [
    ("a price", |plan, _| plan.price_list.source = "another dealer".into()),
    ("a layout put aside", |plan, _| {
        let aside = plan::put_aside(plan, "as first drawn");
        plan.apply(&aside).unwrap();
    }),
    ("a note of the surveyor", |plan, _| plan.landmarks.values_mut().next().unwrap().note = "painted yellow".into()),
];

fn issued(plan: &Plan, land: &Land, set_ups: &[SetUp]) -> Plan {
    let wish = PaperWish { all_the_same: Some(signed()), set_ups: set_ups.to_vec(), ..PaperWish::default() };
    let edit = handing::issue(&Worked::of(plan.clone(), land), &wish, &signed()).unwrap();
    let mut plan = plan.clone();
    plan.apply(&edit).unwrap();
    plan
}

/// Whatever a crew holds makes the sheets a draft that names it, and the next ones say it on every page under the next
/// letter.
#[test]
fn what_a_crew_holds_hangs_on_the_letter() {
    let folder = tempfile::tempdir().unwrap();
    let (plan, land, m1) = job(Units::Feet, folder.path());
    let first = issued(&plan, &land, &[]);
    assert!(usual_book(&Worked::of(first.clone(), &land)).edition.title.starts_with("Revision A"));
    for (wanted, change) in HELD {
        let mut plan = first.clone();
        change(&mut plan, m1);
        let draft = usual_book(&Worked::of(plan.clone(), &land)).edition;
        assert_eq!(draft.title, "DRAFT after revision A", "{wanted}");
        assert!(
            draft.warning.as_ref().is_some_and(|warning| warning.contains(wanted)),
            "{wanted}: {:?}",
            draft.warning
        );
        let second = issued(&plan, &land, &[]);
        assert_eq!(second.revisions[1].letter, "B");
        let book = usual_book(&Worked::of(second, &land));
        assert!(
            book.edition.changed.iter().any(|change| change.contains(wanted)),
            "{wanted}: {:?}",
            book.edition.changed
        );
        for page in &book.pages {
            let said = page.texts().join(" ");
            assert!(said.contains("Changed since revision A: "), "{wanted}: {said}");
        }
    }
    for (what, change) in NOT_HELD {
        let mut plan = first.clone();
        change(&mut plan, m1);
        let edition = usual_book(&Worked::of(plan, &land)).edition;
        assert!(edition.in_force && edition.warning.is_none(), "{what}: {edition:?}");
    }
}

/// The plane of the laser is told by name too, as is one that is given no more.
#[test]
fn another_rod_plane_is_another_revision() {
    let folder = tempfile::tempdir().unwrap();
    let (plan, land, _) = job(Units::Feet, folder.path());
    let plane = |level_ft: f64| [SetUp { level_m: level_ft * FOOT_M, line: None, stretch: None }];
    let first = issued(&plan, &land, &plane(105.5));
    let worked = Worked::of(first, &land);
    assert!(book(&worked, Paper::Letter, &plane(105.5), None).edition.in_force);
    let told = |set_ups: &[SetUp]| book(&worked, Paper::Letter, set_ups, None).edition.warning.unwrap();
    let warning = told(&plane(106.0));
    assert!(warning.contains("Rod plane of M1 was 105.50, is 106.00"), "{warning}");
    let warning = told(&[]);
    assert!(warning.contains("Rod plane of M1 is gone, was 105.50"), "{warning}");
}

/// A finding to fix holds the sheets back by name, place and what would lift it; a utility without ticket does not, for it is
/// printed as not to be dug, and no signature lifts that.
#[test]
fn sheets_are_held_back_and_nobody_signs_for_a_utility() {
    let folder = tempfile::tempdir().unwrap();
    let (mut plan, land, m1) = job(Units::Feet, folder.path());
    plan.title.as_of = Some("2031-04-02".into());
    change_gas(&mut plan, |gas| gas.ticket.clear());
    let no_dig = Worked::of(plan.clone(), &land);
    assert!(no_dig.held_back().is_empty(), "{:?}", no_dig.held_back());
    let edit = handing::issue(&no_dig, &PaperWish::default(), &signed()).unwrap();
    plan.apply(&edit).unwrap();
    let revision = plan.revisions[0].clone();
    assert!(!revision.is_all_the_same());
    assert_eq!(
        revision.open.iter().map(|open| (open.no_dig, open.place.as_str())).collect::<Vec<_>>(),
        [(true, "M1 1+48 to 1+52")]
    );
    let worked = Worked::of(plan.clone(), &land);
    let book = usual_book(&worked);
    let cut = said(&book, "Cut sheet M1");
    for wanted in
        ["DO NOT DIG 1+48 to 1+52: gas line G1", "AHEAD 1+48 to 1+52 DO NOT DIG", "DO NOT DIG between here and 1+48"]
    {
        assert!(cut.contains(wanted), "{wanted} is not in {cut}");
    }
    for title in ["Before digging", "Plan"] {
        assert!(
            said(&book, title).contains("DO NOT DIG") && said(&book, title).contains("M1 1+48 to 1+52"),
            "{title}"
        );
    }
    for name in ["field-page.html", "stakes.csv", "findings.csv", "plan.dxf", "plan.xml", "READ-ME-FIRST.txt"] {
        let text = file(&worked, name);
        assert!(text.contains("DO NOT DIG") && text.contains("1+48 to 1+52"), "{name}");
    }
    let stakes = file(&worked, "stakes.csv");
    assert!(stakes.lines().any(|row| row.starts_with("M1,1+48,") && row.contains(",yes,")), "{stakes}");

    // Now the line runs uphill too.
    let pin = Pin { station_m: 100.0 * FOOT_M, invert_m: 98.5 * FOOT_M, straight: true };
    plan.lines.get_mut(&m1).unwrap().pins.insert(0, pin);
    let worked = Worked::of(plan, &land);
    worked.tried();
    let refused = handing::issue(&worked, &PaperWish::default(), &signed()).unwrap_err();
    let NotIssued::HeldBack(held_back) = &refused else { panic!("{refused}") };
    let words = held_back.to_string();
    assert!(words.contains("M1 runs uphill toward the outlet, at M1 1+00 to 2+00: "), "{words}");
    assert!(
        words.contains("nlock the level at 1+00 of M1") && !words.contains("gas line"),
        "what would lift it, and no utility: {words}"
    );
    assert!(handing::folder(&worked, None, &PaperWish::default(), &|_, _| true).is_err());
    let wish = PaperWish { all_the_same: Some(signed()), ..PaperWish::default() };
    let edit = handing::issue(&worked, &wish, &signed()).unwrap();
    let mut plan = worked.plan.clone();
    plan.apply(&edit).unwrap();
    let revision = plan.revisions.last().unwrap();
    assert!(revision.is_all_the_same() && revision.open.iter().any(|open| open.no_dig));
    assert_eq!((revision.signed.by.as_str(), revision.signed.on.as_str()), ("A. Marsh", "2031-04-02"));
    let kept = exchange::plan_from_text(&exchange::plan_text(&plan).unwrap()).unwrap();
    assert_eq!(kept.revisions, plan.revisions, "the plan file keeps it");
    let cut = said(&usual_book(&Worked::of(plan, &land)), "Cut sheet M1");
    for wanted in [
        "TO FIX 1+00 to 2+00: M1 runs uphill toward the outlet",
        "Issued all the same by A. Marsh, 2031-04-02: as found",
        "DO NOT DIG 1+48 to 1+52",
        "DOES NOT FALL ALL THE WAY: from 2+00 down to 1+00 it RISES",
    ] {
        assert!(cut.contains(wanted), "{wanted} is not in {cut}");
    }
}

/// The corners of the box that capitals and figures of a text take, turned with it.
pub fn corners(ink: &Ink, text: &Text) -> [(f64, f64); 4] {
    let wide_mm = ink.width_mm(&text.text, text.size_pt, text.bold);
    let left_mm = match text.align {
        Align::Left => 0.0,
        Align::Middle => -wide_mm / 2.0,
        Align::Right => -wide_mm,
    };
    let high_mm = 0.72 * text.size_pt * 25.4 / 72.0;
    let (sin, cos) = text.turned_deg.to_radians().sin_cos();
    let corner = |(x, y): (f64, f64)| (text.at.0 + x * cos + y * sin, text.at.1 - x * sin + y * cos);
    [(left_mm, 0.0), (left_mm + wide_mm, 0.0), (left_mm + wide_mm, -high_mm), (left_mm, -high_mm)].map(corner)
}

fn point((x, y): (f64, f64)) -> Point {
    Point::new(x, y)
}

/// True where two rectangles lie on each other, by the axes of both.
fn overlap(a: &[(f64, f64); 4], b: &[(f64, f64); 4]) -> bool {
    // Most lie far apart: cheap to see.
    let (centre, reach) = (
        |r: &[(f64, f64); 4]| measure::along(point(r[0]), point(r[2]), 0.5),
        |r: &[(f64, f64); 4]| measure::distance(point(r[0]), point(r[2])) / 2.0,
    );
    if measure::distance(centre(a), centre(b)) > reach(a) + reach(b) {
        return false;
    }
    let axes = [a, b].map(|r| [(r[1].0 - r[0].0, r[1].1 - r[0].1), (r[3].0 - r[0].0, r[3].1 - r[0].1)]);
    let span = |r: &[(f64, f64); 4], (x, y): (f64, f64)| {
        let along = r.map(|p| (p.0 * x + p.1 * y) / x.hypot(y).max(1e-9));
        along.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(*v), high.max(*v)))
    };
    axes.concat().into_iter().all(|axis| {
        let ((a_low, a_high), (b_low, b_high)) = (span(a, axis), span(b, axis));
        a_low < b_high - 1e-6 && b_low < a_high - 1e-6
    })
}

pub fn texts(items: &[Item]) -> Vec<&Text> {
    let mut all = Vec::new();
    for item in items {
        match item {
            Item::Text(text) => all.push(text),
            Item::Within(_, inner) | Item::Part(_, inner) => all.extend(texts(inner)),
            Item::Shape(_) | Item::Picture(..) => {}
        }
    }
    all
}

/// Texts of a page that lie on each other.
pub fn overlaps<'p>(ink: &Ink, page: &'p Page) -> Vec<(&'p str, &'p str)> {
    let boxes: Vec<_> = texts(&page.items).into_iter().map(|text| (&*text.text, corners(ink, text))).collect();
    let pairs = boxes.iter().enumerate().flat_map(|(k, one)| boxes[k + 1..].iter().map(move |other| (one, other)));
    pairs.filter(|((_, a), (_, b))| overlap(a, b)).map(|((one, _), (other, _))| (*one, *other)).collect()
}

/// The check itself: texts side by side, one on the other, and one turned across another.
#[test]
fn a_text_on_another_is_seen() {
    let ink = Ink::default();
    let on = |at: (f64, f64), turned_deg: f64| {
        let mut page = Page::new((100.0, 100.0));
        page.text((20.0, 50.0), 10.0, false, Align::Left, "DO NOT DIG");
        page.items.push(Item::Text(Text { turned_deg, ..Text::new(at, 10.0, false, Align::Left, "416.90") }));
        overlaps(&ink, &page).len()
    };
    assert_eq!([on((20.0, 54.0), 0.0), on((60.0, 50.0), 0.0), on((20.0, 52.0), 0.0)], [0, 0, 1]);
    assert_eq!([on((30.0, 55.0), 90.0), on((18.0, 55.0), 90.0)], [1, 0]);
}

/// A demo field with much to tell: many benchmarks of long names, a gas line without ticket across it, findings left by
/// name, and sheets that differ from the ones issued.
pub fn crowded(mut plan: Plan, units: Units, land: &Land) -> Plan {
    plan.title.units = units;
    plan.title.name = format!("{}, north of the \"old\" sheep wash by the weir", plan.title.name);
    let (low, high) = land.grid().unwrap().extent();
    let at = |x: f64, y: f64| Point::new(low.x + (high.x - low.x) * x, low.y + (high.y - low.y) * y);
    for i in 0..30 {
        let name = format!("BM{}, bolt in the step of the pump house beside the lane", i + 10);
        let at = at(0.03 * f64::from(i) + 0.02, 0.3 + 0.4 * f64::from(i % 3) / 2.0);
        plan.survey.benchmarks.push(Benchmark { name, at, level_m: 60.0 + f64::from(i), datum: String::new() });
    }
    let gas = Utility { carries: Carries::Gas, ..Utility::default() };
    let outline = Outline::Along(vec![at(0.02, 0.1), at(0.5, 0.45), at(0.95, 0.9)]);
    let name = "=G-7, \"high\" pressure, from the pump house".to_string();
    let gas = Landmark { name, kind: LandmarkKind::Utility(gas), outline, note: String::new() };
    let (_, edit) = plan::add_landmark(&plan, gas);
    plan.apply(&edit).unwrap();
    let worked = Worked::of(plan.clone(), land);
    for finding in worked.findings.iter().filter(|finding| !finding.is_no_dig()).take(6) {
        let edit = plan::accept(&plan, finding.acceptance(&signed()));
        plan.apply(&edit).unwrap();
    }
    let mut plan = issued(&plan, land, &[]);
    plan.survey.benchmarks.iter_mut().for_each(|mark| mark.level_m += 0.1);
    plan
}

/// Every demo field in feet and in metres, as it is and crowded, with its land and the papers of its units.
pub fn each_field(look: impl Fn([Plan; 2], &Land, [Paper; 2])) {
    let plans = [job::demo::first_plan(), job::demo::second_plan(), job::demo::ten_mistakes()].map(Result::unwrap);
    for plan in plans {
        let land = ground::open_plan(&plan, None, &Progress::default()).unwrap();
        for (units, papers) in
            [(Units::Feet, [Paper::Letter, Paper::Tabloid]), (Units::Metric, [Paper::A4, Paper::A3])]
        {
            let mut usual = plan.clone();
            usual.title.units = units;
            look([usual, crowded(plan.clone(), units, &land)], &land, papers);
        }
    }
}

/// On no page of any demo field, in feet and metres, as it is and crowded, on every paper, lying and standing, is one text
/// printed over another.
#[test]
fn no_text_lies_on_another() {
    let ink = Ink::default();
    each_field(|[usual, crowded], land, papers| {
        for (plan, papers) in [(usual, &papers[..1]), (crowded, &papers[..])] {
            let worked = Worked::of(plan, land);
            let pages = papers.iter().flat_map(|paper| book(&worked, *paper, &[], None).pages);
            for page in pages {
                let found = overlaps(&ink, &page);
                assert!(found.is_empty(), "{}, {}: {found:?}", worked.plan.title.name, page.texts().join(" "));
            }
        }
    });
}

/// What was left by name stands on the cut sheet of its line with reason, name and day, what is open with what to do; what
/// is about no line stands on the first page.
#[test]
fn open_and_left_findings_stand_where_they_are_dug() {
    let folder = tempfile::tempdir().unwrap();
    let (plan, land, _) = job(Units::Feet, folder.path());
    let left = |plan: &Plan| {
        let worked = Worked::of(plan.clone(), &land);
        let finding = worked.findings.iter().find(|finding| finding.check == 20).unwrap();
        let edit = plan::accept(plan, finding.acceptance(&signed()));
        let mut plan = plan.clone();
        plan.apply(&edit).unwrap();
        plan
    };
    let cut = said(&usual_book(&Worked::of(left(&plan), &land)), "Cut sheet M1");
    for wanted in [
        "accepted: to decide 0+71.8 to 0+78.2 Nobody may enter the open trench of M1",
        "Accepted: as found. A. Marsh, 2031-04-02.",
        "note 1+48 to 1+52 Dig by hand at buried lines: 1 place to dig by hand, 2 ft either side of the mark.",
    ] {
        assert!(cut.contains(wanted), "{wanted} is not in {cut}");
    }
    let mistakes = job::demo::ten_mistakes().unwrap();
    let land = ground::open_plan(&mistakes, None, &Progress::default()).unwrap();
    let first = said(&usual_book(&Worked::of(mistakes, &land)), "Before digging");
    assert!(first.contains("For the whole job") && first.contains("Shot 9 sticks out: Shot 9 lies"), "{first}");
}
