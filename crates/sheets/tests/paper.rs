//! Sheets as data and as PDF: what is printed is what was worked out, nothing leaves its page, the same plan gives the same
//! bytes, and a revision that was replaced says so.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::sync::OnceLock;

use design::Design;
use land::{Land, Laying};
use measure::{FOOT_M, LengthUnit, Point, Units};
use plan::{
    Benchmark, Hub, Joins, Landmark, LandmarkKind, Line, LineId, LineKind, Outlet, Outline, Pin, Plan, Reference,
    Signature, Told, Utility,
};
use sheets::{Align, Item, Page, Paper, Work};
use takeoff::SetUp;
use terrain::{Grid, Ground};

fn ft(value: f64) -> f64 {
    value * FOOT_M
}

fn at(x: f64, y: f64) -> Point {
    Point::new(ft(x), ft(y))
}

/// The worked cut sheet of Tannet Rise: L2 with a break at 2+00 and the given levels at 2+00 and 4+00.
fn tannet_rise(at_break: f64, at_end: f64) -> (Plan, Design, LineId) {
    let mut plan = Plan::new("Tannet Rise", Units::Feet);
    let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", at(-100.0, 0.0), ft(412.0)));
    plan.apply(&edit).unwrap();
    let pin = |station: f64, level: f64| Pin { station_m: ft(station), invert_m: ft(level), straight: true };
    let main = Line {
        joins: Joins::Outlet(outlet),
        pins: vec![pin(100.0, 412.36)],
        ..Line::new("M1", LineKind::Main, vec![at(-100.0, 0.0), at(200.0, 0.0)])
    };
    let (m1, edit) = plan::add_line(&plan, main);
    plan.apply(&edit).unwrap();
    let levels = [416.31, 416.47, 416.85, 416.71, 417.52, 418.08, 419.11, 419.98, 420.83];
    let hub =
        |(i, level): (usize, &f64)| Hub { station_m: ft(50.0 * i as f64), level_m: ft(*level), left_m: ft(6.0) };
    let lateral = Line {
        joins: Joins::Line(m1),
        pins: vec![pin(0.0, 412.61), pin(200.0, at_break), pin(400.0, at_end)],
        hubs: levels.iter().enumerate().map(hub).collect(),
        ..Line::new("L2", LineKind::Lateral, vec![at(0.0, 0.0), at(0.0, 400.0)])
    };
    let (l2, edit) = plan::add_line(&plan, lateral);
    plan.apply(&edit).unwrap();
    let mut design = design::work_out(&plan, &Land::default());
    for line in design.lines.values_mut() {
        line.stations.iter_mut().for_each(|s| s.ground_m = s.invert_m.map(|invert_m| invert_m + ft(3.2)));
    }
    (plan, design, l2)
}

/// Tannet Rise lies on no named system.
fn reference() -> &'static Reference {
    static REFERENCE: OnceLock<Reference> = OnceLock::new();
    REFERENCE.get_or_init(|| Reference::without_ground(LengthUnit::Foot))
}

fn work<'a>(plan: &'a Plan, design: &'a Design, paper: Paper) -> Work<'a> {
    const PLANE: &[SetUp] = &[SetUp { level_m: 424.15 * FOOT_M, line: None, stretch: None }];
    let (contours, findings) = (&[], &[]);
    let tongue = sheets::Tongue::English;
    Work {
        plan,
        design,
        findings,
        contours,
        paper,
        reference: reference(),
        set_ups: PLANE,
        all_the_same: None,
        tongue,
    }
}

fn signed(because: &str) -> Signature {
    Signature { by: "A. Marsh".into(), on: "2031-04-02".into(), because: because.into() }
}

/// What the sheets of [`work`] tell.
fn told(plan: &Plan, design: &Design) -> Told {
    let work = work(plan, design, Paper::Letter);
    sheets::told(plan, design, work.findings, work.reference, work.set_ups)
}

/// Issues the sheets of [`work`], of which nothing is held back.
fn issue(plan: &mut Plan, design: &Design, because: &str) {
    let told = told(plan, design);
    let edit = sheets::issue(plan, design, &[], reference(), (told, &signed(because)), false).unwrap();
    plan.apply(&edit).unwrap();
}

/// The page with a title.
fn page_called<'b>(book: &'b sheets::Book, title: &str) -> &'b Page {
    book.pages.iter().find(|page| page.texts().first() == Some(&title)).unwrap()
}

/// Tannet Rise issued twice: revision A (0.80 and 1.50 %) would have cut 2.90 ft at 1+50, revision B (0.60 and 1.65
/// %) cuts 3.20 ft, 3'-2 3/8". A sheet of A printed after B was issued says that it is out of date.
#[test]
fn sheet_a_sheet_b_and_the_warning() {
    let (mut plan, design_a, l2) = tannet_rise(414.21, 417.21);
    let cut = |plan: &Plan, design: &Design| {
        let sheet = takeoff::cut_sheet(plan, design, l2, &[]).unwrap();
        let row = sheet.rows.iter().find(|row| (row.station_m - ft(150.0)).abs() < 0.01).unwrap().cut_m.unwrap();
        (Units::Feet.number(row, 2), measure::feet_and_eighths(row))
    };
    assert_eq!(cut(&plan, &design_a).0, "2.90");
    let told_a = told(&plan, &design_a);
    assert_eq!(sheets::edition(&plan, &told_a).title, "DRAFT, not issued");
    issue(&mut plan, &design_a, "first issue");
    assert_eq!(sheets::edition(&plan, &told_a).title, "Revision A, A. Marsh, 2031-04-02");

    let (plan_b, design_b, _) = tannet_rise(413.81, 417.11);
    let mut b = Plan { revisions: plan.revisions.clone(), ..plan_b };
    let told_b = told(&b, &design_b);
    let draft = sheets::edition(&b, &told_b);
    assert_eq!(draft.title, "DRAFT after revision A");
    let warning = draft.warning.unwrap();
    assert!(
        warning.starts_with("Differs from revision A, which is in the cab. Issue the next revision before digging.")
    );
    assert!(warning.ends_with(" Changed: rows of L2."), "{warning}");
    issue(&mut b, &design_b, "depth at 1+50");
    assert_eq!(cut(&b, &design_b), ("3.20".into(), "3'-2 3/8\"".into()));
    let edition = sheets::edition(&b, &told_b);
    assert_eq!(edition.title, "Revision B, replaces revision A, A. Marsh, 2031-04-02");
    // The new sheets say what is other than on the old ones.
    assert_eq!(edition.changed, ["rows of L2"]);
    let book = sheets::book(&work(&b, &design_b, Paper::Letter));
    let says = |page: &Page| page.texts().contains(&"Changed since revision A: rows of L2.");
    assert!(book.pages.iter().all(says), "it stands on every page");

    let again = Plan { revisions: b.revisions.clone(), ..plan };
    let book = sheets::line_book(&work(&again, &design_a, Paper::Letter), l2);
    let warning = book.edition.warning.unwrap();
    assert_eq!(warning, "REVISION A IS OUT OF DATE: revision B of 2031-04-02 replaced it. Do not dig by it.");
    assert!(book.pages.iter().all(|page| page.texts().contains(&warning.as_str())), "it stands on every page");
}

/// Every figure of the worked sheet stands on the page as the table prints it.
#[test]
fn the_cut_sheet_prints_what_was_worked_out() {
    let (plan, design, l2) = tannet_rise(413.81, 417.11);
    let book = sheets::line_book(&work(&plan, &design, Paper::Letter), l2);
    let texts: Vec<&str> = book.pages.iter().flat_map(Page::texts).collect();
    for wanted in [
        "3.70",
        "3'-8 3/8\"",
        "3.56",
        "3'-6 3/4\"",
        "3.20",
        "3'-2 3/8\"",
        "3.45",
        "3'-5 3/8\"",
        "414.63",
        "416.28",
        "0.60 % ↑",
        "1.65 % ↑",
        "6 L",
        "418.08",
        "11.54",
        "9.52",
        "7.04",
        "GRADE BREAK to 1.65 %",
        "END CAP; post marker",
    ] {
        assert!(texts.contains(&wanted), "{wanted} is missing");
    }
    assert!(
        texts
            .iter()
            .any(|text| text.contains("lengths × grades as printed 4.50 ft, last invert less first 4.50 ft: agrees"))
    );
    assert!(texts.iter().any(|text| text.starts_with("0+00 is the joint with M1 at 1+00; stations run upstream")));
    assert!(texts.contains(&plan::CAUTION_SHORT));
}

/// On every paper nothing is written beyond the edge of its page, and pages are numbered.
#[test]
fn nothing_leaves_its_page() {
    let (plan, design, _) = tannet_rise(413.81, 417.11);
    let ink = sheets::Ink::default();
    for (paper, name) in Paper::ALL {
        let book = sheets::book(&work(&plan, &design, paper));
        let count = book.pages.len();
        for (i, page) in book.pages.iter().enumerate() {
            assert!(page.texts().contains(&format!("page {} of {count}", i + 1).as_str()));
            for item in page.flat() {
                if let Item::Text(text) = item {
                    let wide_mm = ink.width_mm(&text.text, text.size_pt, text.bold);
                    let left_mm = match text.align {
                        Align::Left => text.at.0,
                        Align::Middle => text.at.0 - wide_mm / 2.0,
                        Align::Right => text.at.0 - wide_mm,
                    };
                    let inside = left_mm >= 0.0 && left_mm + wide_mm <= page.width_mm;
                    assert!(inside && (0.0..=page.height_mm).contains(&text.at.1), "{name} {}: {}", i + 1, text.text);
                }
            }
        }
    }
}

/// The scale bar is as long as its figures say at the scale that is printed.
#[test]
fn the_scale_bar_is_true() {
    let (plan, design, _) = tannet_rise(413.81, 417.11);
    let book = sheets::book(&work(&plan, &design, Paper::Letter));
    let page = page_called(&book, "Plan");
    let words = page.texts().into_iter().find(|text| text.starts_with("Scale 1 in = ")).unwrap().to_string();
    let feet: f64 = words["Scale 1 in = ".len()..].split(' ').next().unwrap().parse().unwrap();
    let bars: Vec<f64> = page
        .flat()
        .into_iter()
        .filter_map(|item| match item {
            Item::Shape(shape) if shape.closed && shape.points.len() == 4 => {
                let (left, right) = (shape.points[0], shape.points[1]);
                ((shape.points[2].1 - right.1 - 2.2).abs() < 1e-9).then_some(right.0 - left.0)
            }
            _ => None,
        })
        .collect();
    assert_eq!(bars.len(), 4);
    let after = page.texts().into_iter().skip_while(|text| !text.starts_with("Scale")).skip(1).take(3);
    let far: f64 = after.map(|text| text.parse::<f64>().unwrap()).fold(0.0, f64::max);
    let wanted_mm = far / feet * 25.4;
    assert!((bars.iter().sum::<f64>() - wanted_mm).abs() < 1e-6, "{bars:?} for {far} ft at {words}");
}

#[test]
fn the_same_plan_gives_the_same_bytes() {
    let (plan, design, _) = tannet_rise(413.81, 417.11);
    let once = || {
        let book = sheets::book(&work(&plan, &design, Paper::A4));
        sheets::pdf(&book, &|_| true).unwrap()
    };
    let (one, other) = (once(), once());
    assert!(one.starts_with(b"%PDF-") && one == other);
    let book = sheets::book(&work(&plan, &design, Paper::A4));
    assert!(sheets::pdf(&book, &|page| page < 1).is_err(), "it stops when told to");
}

/// The rectangle a text takes: left, top, right, bottom, millimetres.
fn taken(ink: &sheets::Ink, text: &sheets::Text) -> [f64; 4] {
    let wide_mm = ink.width_mm(&text.text, text.size_pt, text.bold);
    let left_mm = match text.align {
        Align::Left => text.at.0,
        Align::Middle => text.at.0 - wide_mm / 2.0,
        Align::Right => text.at.0 - wide_mm,
    };
    let high_mm = text.size_pt * 25.4 / 72.0;
    [left_mm, text.at.1 - 0.75 * high_mm, left_mm + wide_mm, text.at.1 + 0.2 * high_mm]
}

/// A plan that names benchmarks, in terms that take room, whose sheets are no longer what was issued.
fn replaced() -> (Plan, Design, Reference) {
    let (plan, design, _) = tannet_rise(414.21, 417.21);
    let (mut changed, design_b, _) = tannet_rise(413.81, 417.11);
    changed.title.as_of = Some("2031-04-02".into());
    for (name, x) in [("BM1, nail in the root of the old oak by the gate", -120.0), ("BM2, iron pin", 60.0)] {
        let (name, datum) = (name.to_string(), String::new());
        changed.survey.benchmarks.push(Benchmark { name, at: at(x, 40.0), level_m: ft(416.90), datum });
    }
    let told = told(&plan, &design);
    changed.apply(&plan::issue(&changed, told, Vec::new(), Vec::new(), &signed("first issue"))).unwrap();
    let reference = Reference {
        system: "NAD83 / California zone 1 (ftUS) (EPSG:2225)".into(),
        across: LengthUnit::SurveyFoot,
        up: LengthUnit::Foot,
        datum: "NAVD88 height (ft), North American Vertical Datum of 1988".into(),
    };
    (changed, design_b, reference)
}

/// On every paper, lying and standing, what is long stands in full on the first page; nothing in the head of a page is printed over anything else, and the rule below it
/// lies below all of it. The warning, the terms of levels and coordinates and the benchmark are all there.
#[test]
fn the_warning_prints_over_nothing() {
    let (plan, design, reference) = replaced();
    let ink = sheets::Ink::default();
    for (paper, name) in Paper::ALL {
        let book = sheets::book(&Work { reference: &reference, ..work(&plan, &design, paper) });
        let warning = book.edition.warning.clone().unwrap();
        assert!(warning.starts_with("Differs from revision A"));
        assert!(
            page_called(&book, "Before digging").texts().join(" ").contains(&warning),
            "{name}: in full on page 1"
        );
        for (i, page) in book.pages.iter().enumerate() {
            let rule_mm = page.flat().into_iter().find_map(|item| match item {
                Item::Shape(shape) => Some(shape.points[0].1),
                _ => None,
            });
            let rule_mm = rule_mm.unwrap();
            let texts = page.flat().into_iter().filter_map(|item| match item {
                Item::Text(text) if text.at.1 < rule_mm + 2.0 => Some(text),
                _ => None,
            });
            let head: Vec<(&str, [f64; 4])> = texts.map(|text| (text.text.as_str(), taken(&ink, text))).collect();
            for (k, (one, a)) in head.iter().enumerate() {
                assert!(a[3] <= rule_mm && a[0] >= 0.0 && a[2] <= page.width_mm, "{name} {}: {one}", i + 1);
                for (other, b) in &head[k + 1..] {
                    let apart = a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1];
                    assert!(apart, "{name} {}: '{one}' over '{other}'", i + 1);
                }
            }
            let said = head.iter().map(|(text, _)| *text).collect::<Vec<_>>().join(" ");
            for wanted in [
                "Differs from revision A, which is in the cab. Issue the next revision before digging. Changed: rows of L2; Datum",
                "levels in feet and hundredths, vertical datum: NAVD88 height (ft), North American Vertical Datum of 1988",
                "BM1, nail in the root of the old oak by the gate = 416.90",
                "Coordinates: NAD83 / California zone 1 (ftUS) (EPSG:2225), easting and northing in US survey feet",
            ] {
                assert!(said.contains(wanted), "{name} {}: {wanted} is not in {said}", i + 1);
            }
        }
    }
}

/// The plan sheet lists benchmarks with place and level and marks them on the map; the grid is that of the system.
#[test]
fn benchmarks_and_grid_are_on_the_plan_sheet() {
    let (plan, design, reference) = replaced();
    let book = sheets::book(&Work { reference: &reference, ..work(&plan, &design, Paper::Letter) });
    let texts = page_called(&book, "Plan").texts();
    for wanted in ["BM2, iron pin", "416.90 ft", "BM2 416.90", "benchmark, level"] {
        assert!(texts.contains(&wanted), "{wanted} is missing: {texts:?}");
    }
    // 60 ft are 59.99988 US survey feet.
    assert!(texts.contains(&"E 60.00  N 40.00 us-ft"), "{texts:?}");
    assert!(texts.iter().any(|text| text.starts_with("E ") && text.ends_with("0 us-ft") && !text.contains("N ")));
}

/// A moved instrument: each row has the reading of its own plane, and the row after the move says so.
#[test]
fn rods_are_read_by_their_own_plane() {
    let (plan, design, l2) = tannet_rise(413.81, 417.11);
    let set_up = |level: f64, from: f64, to: f64| SetUp {
        level_m: ft(level),
        line: Some(l2),
        stretch: Some((ft(from), ft(to))),
    };
    let set_ups = [set_up(424.15, 0.0, 200.0), set_up(430.10, 200.0, 400.0)];
    let book = sheets::line_book(&Work { set_ups: &set_ups, ..work(&plan, &design, Paper::Letter) }, l2);
    let texts: Vec<&str> = book.pages.iter().flat_map(Page::texts).collect();
    // 424.15 less 413.81, and 430.10 less 414.63 (414.635, whose half goes down) and 417.11.
    for wanted in ["10.34", "15.47", "12.99", "INSTRUMENT MOVED: laser plane 430.10 from here up"] {
        assert!(texts.contains(&wanted), "{wanted} is missing: {texts:?}");
    }
    let head = "Laser plane at 424.15 from 0+00 to 2+00, 430.10 from 2+50 to 4+00. Rod on the invert";
    assert!(texts.iter().any(|text| text.starts_with(head)), "{texts:?}");
}

/// Every letter of the Basic Multilingual Plane and some beyond, alone and beside others, makes a PDF: the writer holds it against
/// the rules of PDF/A-2a and refuses a letter without a glyph or a meaning.
#[test]
fn any_letter_is_written() {
    let letters: Vec<char> = (0x20..0x1_0000u32).chain(0x1_F300..0x1_F340).filter_map(char::from_u32).collect();
    let pages = letters.chunks(64 * 60).map(|of_page| {
        let mut page = sheets::Page::new((400.0, 400.0));
        for (i, of_line) in of_page.chunks(64).enumerate() {
            let text: String = of_line.iter().collect();
            page.text((5.0, 5.0 + 6.0 * i as f64), 6.0, i % 2 == 0, Align::Left, text);
        }
        page
    });
    let (plan, design, _) = tannet_rise(413.81, 417.11);
    let book = sheets::book(&work(&plan, &design, Paper::A4));
    let book = sheets::Book { pages: pages.collect(), title: "\u{202e}李 🌾 <b>".into(), as_of: None, ..book };
    let pdf = sheets::pdf(&book, &|_| true);
    assert!(pdf.is_ok(), "{:?}", pdf.err().map(|error| error.to_string().chars().take(400).collect::<String>()));
}

/// Flow is area times coefficient; the full pipe carries by Manning in the trade's units, V = 1.486 / n R^2/3 S^1/2 (US
/// highway manual HEC-22): both reckoned here from the figures of the plan, and held against what the table prints.
#[test]
fn the_design_table_agrees_with_manning_and_continuity() {
    let (plan, design, l2) = tannet_rise(413.81, 417.11);
    let book = sheets::book(&work(&plan, &design, Paper::Letter));
    let texts = page_called(&book, "Design table").texts();
    let row: Vec<&str> = texts.iter().copied().skip_while(|text| *text != "L2, lateral").take(11).collect();
    let figure = |cell: &str| cell.split(' ').next().unwrap().parse::<f64>().unwrap();
    let worked = &design.lines[&l2];
    let cfs = worked.area_m2 / 4046.8564224 * 43_560.0 * (plan.brief.coefficient_ms() / FOOT_M);
    assert!((figure(row[4]) - cfs).abs() < 6e-4, "{row:?} for {cfs} cfs");
    // The flatter reach, 0.60 %, is the fullest; 4 in of n 0.015.
    let (foot, grade) = (4.0_f64 / 12.0, (413.81 - 412.61) / 200.0);
    let fps = 1.486 / 0.015 * (foot / 4.0).powf(2.0 / 3.0) * f64::sqrt(grade);
    let full = fps * std::f64::consts::PI * foot * foot / 4.0;
    assert_eq!(row[6], "0.60 to 1.65 %");
    assert!(
        (figure(row[7]) - full).abs() < 6e-4 && (figure(row[9]) - fps).abs() < 6e-3,
        "{row:?} for {full} cfs, {fps} ft/s"
    );
    assert!((figure(row[8]) - 100.0 * cfs / full).abs() < 0.6, "{row:?}");
    for line in plan.lines.values() {
        assert!(texts.iter().any(|text| text.starts_with(&format!("{}, ", line.name))), "{} has no row", line.name);
    }
}

/// A reach of 100 ft measures an inch on a profile at 1 inch = 100 feet, whatever the scale is; heights are drawn at most
/// twenty times larger.
#[test]
fn profiles_are_true_to_their_scales() {
    let (plan, design, _) = tannet_rise(413.81, 417.11);
    for paper in [Paper::Letter, Paper::A3] {
        let book = sheets::book(&work(&plan, &design, paper));
        let page = page_called(&book, "Profiles");
        let texts = page.texts();
        let words = texts.iter().find(|text| text.starts_with("across 1 inch = ")).unwrap();
        let feet: Vec<f64> =
            words.split("1 inch = ").skip(1).map(|of| of.split(' ').next().unwrap().parse().unwrap()).collect();
        assert!(feet[0] / feet[1] <= 20.0 + 1e-9, "{words}");
        let at = |wanted: &str| {
            let found = page.flat().into_iter().find_map(|item| match item {
                Item::Text(text) if text.text == wanted => Some(text.at.0),
                _ => None,
            });
            found.unwrap()
        };
        let apart_mm = at("1+00") - at("0+00");
        assert!((apart_mm - 100.0 / feet[0] * 25.4).abs() < 1e-6, "{apart_mm} mm for {words}");
    }
}

/// A field of 3,000 by 2,000 ft on letter: its parts lie side by side without a gap and cover all of it, and each names its
/// neighbors.
#[test]
fn match_lines_leave_no_gap() {
    let (mut plan, _, _) = tannet_rise(413.81, 417.11);
    let ring = vec![at(-100.0, -1000.0), at(2900.0, -1000.0), at(2900.0, 1000.0), at(-100.0, 1000.0)];
    plan.apply(&plan::set_field(Some(ring))).unwrap();
    let design = design::work_out(&plan, &Land::default());
    let book = sheets::book(&work(&plan, &design, Paper::Letter));
    let parts: Vec<&Page> = book.pages.iter().filter(|page| page.texts()[0].starts_with("Plan, part ")).collect();
    assert!(parts.len() > 1 && page_called(&book, "Plan").texts().iter().any(|text| text.starts_with("KEY MAP")));
    // The whole plan's dashed outlines of the parts, in millimeters of the sheet.
    let dashed = |item: &Item| match item {
        Item::Shape(shape) if shape.closed && shape.stroke.as_ref().is_some_and(|s| s.dash_mm == [4.0, 1.5]) => {
            Some((shape.points[0], shape.points[2]))
        }
        _ => None,
    };
    let map = page_called(&book, "Plan").flat().into_iter().find_map(|item| match item {
        Item::Within(_, inner) => Some(inner.iter().filter_map(dashed).collect::<Vec<_>>()),
        _ => None,
    });
    let frames = map.unwrap();
    assert_eq!(frames.len(), parts.len());
    let area = |((left, top), (right, bottom)): ((f64, f64), (f64, f64))| (right - left) * (bottom - top);
    let all = frames.iter().fold(frames[0], |all, one| {
        ((all.0.0.min(one.0.0), all.0.1.min(one.0.1)), (all.1.0.max(one.1.0), all.1.1.max(one.1.1)))
    });
    let sum: f64 = frames.iter().copied().map(area).sum();
    assert!((sum - area(all)).abs() < 1e-6, "{sum} of {}", area(all));
    let scale =
        page_called(&book, "Plan").texts().into_iter().find(|text| text.starts_with("Scale 1 in = ")).unwrap();
    let feet: f64 = scale["Scale 1 in = ".len()..].split(' ').next().unwrap().parse().unwrap();
    let wide_enough = [(all.1.0 - all.0.0, 3000.0), (all.1.1 - all.0.1, 2000.0)];
    assert!(wide_enough.iter().all(|(mm, wide)| *mm >= wide / feet * 25.4 - 1e-6), "{all:?} at {scale}");
    for page in parts {
        let texts = page.texts();
        assert!(texts.iter().any(|text| text.starts_with("Joins ")));
        assert!(texts.iter().any(|text| text.starts_with("MATCH LINE, see plan part ")));
    }
}

/// Ground that falls to the south-west by half a percent, with waves across, 2,500 m wide.
fn waves() -> Land {
    let level = |row: i32, col: i32| {
        let (x, y) = (f64::from(col) * 100.0, f64::from(24 - row) * 100.0);
        (50.0 + 0.0025 * (x + y) + 0.4 * (x / 60.0).sin() * (y / 45.0).cos()) as f32
    };
    let levels = (0..25).flat_map(|row| (0..25).map(move |col| level(row, col))).collect();
    let grid = Grid::new((25, 25), (0.0, 2_500.0), (100.0, 100.0), levels).unwrap();
    Land::of(Ground::from_grid(grid), LengthUnit::Metre, &Laying::PLAIN).unwrap()
}

/// A main of 5,269 ft up the fall with a hundred laterals of 2,600 ft on either side, some 10,600 stations, in a field of 2,100 m,
/// with a gas line across half of them.
fn two_hundred_lines() -> Plan {
    let mut plan = Plan::new("Two Hundred Lines", Units::Feet);
    let (low_m, high_m) = (5.0, 2_095.0);
    let ring = [(low_m, low_m), (high_m, low_m), (high_m, high_m), (low_m, high_m)].map(|(x, y)| Point::new(x, y));
    plan.apply(&plan::set_field(Some(ring.to_vec()))).unwrap();
    let along = |feet: f64| Point::new(60.0 + ft(feet) / 2f64.sqrt(), 60.0 + ft(feet) / 2f64.sqrt());
    let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", along(0.0), 48.6));
    plan.apply(&edit).unwrap();
    let main = Line::new("M1", LineKind::Main, vec![along(0.0), along(5_269.0)]);
    let (m1, edit) = plan::add_line(&plan, Line { joins: Joins::Outlet(outlet), ..main });
    plan.apply(&edit).unwrap();
    for i in 0..200 {
        let (start, far_m) = (along(26.0 * (f64::from(i) + 1.0)), ft(2_600.0));
        let end = match i % 2 {
            0 => Point::new(start.x + far_m, start.y),
            _ => Point::new(start.x, start.y + far_m),
        };
        let line = Line::new(&format!("L{}", i + 2), LineKind::Lateral, vec![start, end]);
        plan.apply(&plan::add_line(&plan, Line { joins: Joins::Line(m1), ..line }).1).unwrap();
    }
    let gas = Utility { depth_m: Some(1.0), ticket: "T-17".into(), ..Utility::default() };
    let outline = Outline::Along(vec![Point::new(900.0, 20.0), Point::new(900.0, 2_000.0)]);
    let gas = Landmark { name: "G1".into(), kind: LandmarkKind::Utility(gas), outline, note: String::new() };
    plan.apply(&plan::add_landmark(&plan, gas).1).unwrap();
    plan
}

/// What the sheets of a large job take is held, so that they can be carried: half a ream of letter (judgement).
#[test]
fn two_hundred_lines_can_be_carried() {
    let (plan, land) = (two_hundred_lines(), waves());
    let design = design::work_out(&plan, &land);
    let findings = checks::punch_list(&plan, &design, &land);
    assert!(findings.len() > 400, "{} findings", findings.len());
    let book = sheets::book(&Work { set_ups: &[], findings: &findings, ..work(&plan, &design, Paper::Letter) });
    let tables = book.pages.iter().flat_map(Page::texts).filter(|text| *text == "CUT").count();
    assert!(tables >= 201, "a table of each line");
    assert!(book.pages.len() <= 250, "{} pages", book.pages.len());
}

/// The survey crew finds each shot with its place, room for its level, the names of the lines, and the benchmarks to shoot from.
#[test]
fn the_crew_page_names_lines_and_benchmarks() {
    let (mut plan, ..) = tannet_rise(414.21, 417.21);
    let name = "BM1, iron pin".into();
    plan.survey.benchmarks.push(Benchmark { name, at: at(20.0, 40.0), level_m: ft(412.5), datum: String::new() });
    let shot = sheets::WantedShot {
        name: "shot 1".into(),
        at: at(0.0, 150.0),
        on: "L2 at 1+50".into(),
        expected: "416.71 give or take 0.20 ft".into(),
        settles: "L2, cover thinner than 2.00 ft (31 of 100)".into(),
    };
    let told = ["Shoot the ground itself.".to_string()];
    let work =
        sheets::CrewWork { plan: &plan, reference: reference(), told: &told, shots: &[shot], paper: Paper::Letter };
    let book = sheets::crew_book(&work);
    let texts = book.pages[0].texts();
    for text in ["shot 1", "L2 at 1+50", "Level shot", "M1", "L2", "BM1", "N"] {
        assert!(texts.contains(&text), "{text}: {texts:?}");
    }
    assert!(
        texts.iter().any(|text| text.starts_with("Benchmark BM1, iron pin: E 20.00, N 40.00, level 412.500 ft")),
        "{texts:?}"
    );
}

/// On every paper the heads of the design table stand whole in their columns, whatever the size of the type there.
#[test]
fn the_heads_of_the_design_table_are_whole() {
    let (plan, design, _) = tannet_rise(414.21, 417.21);
    for paper in [Paper::Letter, Paper::Tabloid, Paper::A4, Paper::A3] {
        let book = sheets::book(&work(&plan, &design, paper));
        let page =
            book.pages.iter().find(|page| page.texts().contains(&"Design table") && page.texts().contains(&"Speed"));
        let texts = page.unwrap().texts();
        for head in ["Length", "drained", "Coefficient", "Flow", "Pipe", "Grade", "Cover"] {
            assert!(texts.contains(&head), "{paper:?}: {head} in {texts:?}");
        }
    }
}
