//! How long the whole set of sheets takes for 60 lines.

#![allow(clippy::unwrap_used, reason = "a bench may stop")]

use design::Design;
use measure::{FOOT_M, LengthUnit, Point, Units};
use plan::{Joins, Line, LineKind, Outlet, Plan, Reference};
use sheets::{Paper, Work};

fn main() {
    divan::main();
}

fn at(x: f64, y: f64) -> Point {
    Point::new(x * FOOT_M, y * FOOT_M)
}

/// A main of 1,800 ft with 59 laterals of 400 ft.
fn plan() -> Plan {
    let mut plan = Plan::new("grid", Units::Feet);
    let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", at(0.0, 0.0), 30.0));
    plan.apply(&edit).unwrap();
    let main =
        Line { joins: Joins::Outlet(outlet), ..Line::new("M1", LineKind::Main, vec![at(0.0, 0.0), at(1800.0, 0.0)]) };
    let (m1, edit) = plan::add_line(&plan, main);
    plan.apply(&edit).unwrap();
    for i in 0..59 {
        let x = 30.0 * f64::from(i) + 15.0;
        let line = Line::new(&format!("L{i}"), LineKind::Lateral, vec![at(x, 0.0), at(x, 400.0)]);
        plan.apply(&plan::add_line(&plan, Line { joins: Joins::Line(m1), ..line }).1).unwrap();
    }
    plan
}

fn work<'a>(plan: &'a Plan, design: &'a Design, reference: &'a Reference) -> Work<'a> {
    let (findings, contours) = (&[], &[]);
    Work {
        plan,
        design,
        findings,
        contours,
        paper: Paper::Letter,
        reference,
        set_ups: &[],
        all_the_same: None,
        tongue: sheets::Tongue::English,
    }
}

#[divan::bench(sample_count = 10)]
fn sixty_lines_to_pdf(bencher: divan::Bencher) {
    let (plan, reference) = (plan(), Reference::without_ground(LengthUnit::Foot));
    let mut design = design::work_out(&plan, &land::Land::default());
    for line in design.lines.values_mut() {
        line.stations.iter_mut().for_each(|s| s.ground_m = s.invert_m.map(|invert_m| invert_m + 1.0));
    }
    let work = work(&plan, &design, &reference);
    bencher.bench(|| {
        let book = sheets::book(&work);
        (book.pages.len(), sheets::pdf(&book, &|_| true).unwrap().len())
    });
}

/// How many pages that is, told once.
#[divan::bench(sample_count = 1)]
fn pages() -> usize {
    let (plan, reference) = (plan(), Reference::without_ground(LengthUnit::Foot));
    let design = design::work_out(&plan, &land::Land::default());
    let work = work(&plan, &design, &reference);
    sheets::book(&work).pages.len()
}
