//! First layouts on random fields: where their lines may not lie, what is told of them, outlets, toes, and when there is none.
//! Distances are held by brute force over places of the lines, not by the geometry of the program.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "helpers of tests may stop the test, figures are shown")]

#[path = "common/brute.rs"]
#[allow(dead_code, reason = "not every test uses all of it")]
mod brute;

use std::ops::ControlFlow;

use brute::{away_m, goes_round, places};
use checks::Severity;
use land::{Land, Laying};
use measure::{LengthUnit, Point, Units};
use plan::{
    Cause, Change, Criteria, Edit, Field, Joins, Landmark, LandmarkKind, LineKind, Outlet, Outline, Owner, Pattern,
    Plan, SizeBy, Utility, Watercourse, WatercourseKind,
};
use propose::{Kind, NoLayout, Proposal, Told};
use terrain::{Grid, Ground};

const SIDE_M: f64 = 240.0;
const CELL_M: f64 = 4.0;

fn at(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

/// Land of 240 by 240 m from a formula.
fn land(level: impl Fn(f64, f64) -> f64) -> Land {
    let count = (SIDE_M / CELL_M) as usize;
    let centre = |cell: usize| ((cell % count) as f64 * CELL_M + 2.0, SIDE_M - (cell / count) as f64 * CELL_M - 2.0);
    let levels = (0..count * count).map(centre).map(|(x, y)| level(x, y) as f32).collect();
    let grid = Grid::new((count, count), (0.0, SIDE_M), (CELL_M, CELL_M), levels).unwrap();
    Land::of(Ground::from_grid(grid), LengthUnit::Metre, &Laying::PLAIN).unwrap()
}

/// A valley that falls to the west, 0.8 %, its sides 2 %, with waves.
fn valley(x: f64, y: f64, waves: (f64, f64)) -> f64 {
    let side = 0.02 * (y - 120.0 - 25.0 * (x / waves.0).sin()).abs();
    20.0 + 0.008 * x + side + 0.1 * (x / waves.1).cos() * (y / 19.0).sin()
}

fn field(ring: Vec<Point>) -> Plan {
    let mut plan = Plan::new("Oat \"Long\" piece", Units::Feet);
    plan.apply(&Edit::one("Draw", Change::Field(Some(Field { ring, holes: Vec::new() })))).unwrap();
    plan
}

fn mark(plan: &mut Plan, name: &str, kind: LandmarkKind, outline: Outline) {
    let mark = Landmark { name: name.into(), kind, outline, note: String::new() };
    plan.apply(&plan::add_landmark(plan, mark).1).unwrap();
}

fn outlet(plan: &mut Plan, place: Point, invert_m: f64) {
    let edit = plan::place_outlet(plan, Outlet::new("O1", place, invert_m)).1;
    plan.apply(&edit).unwrap();
}

fn propose(plan: &Plan, land: &Land, threads: usize) -> Result<Vec<Proposal>, NoLayout> {
    propose::propose(plan, land, threads, &mut |_| ControlFlow::Continue(()))
}

fn closed(ring: &[Point]) -> Vec<Point> {
    ring.iter().chain(ring.first()).copied().collect()
}

/// Length of the longest stretch of each new line within reach of a path, by places a quarter of a metre apart; what leads to an
/// outlet from the last corner left out.
fn beside_m(plan: &Plan, path: &[Point], reach_m: f64) -> Vec<(String, f64)> {
    const LOOK_M: f64 = 0.25;
    let of_line = |line: &plan::Line| {
        let (mut now_m, mut most_m) = (0.0f64, 0.0f64);
        for pair in line.points.windows(2).skip(usize::from(matches!(line.joins, Joins::Outlet(_)))) {
            let length_m = (pair[1].x - pair[0].x).hypot(pair[1].y - pair[0].y);
            let count = (length_m / LOOK_M).ceil().max(1.0);
            for look in 0..count as usize {
                let share = (look as f64 + 0.5) / count;
                let place =
                    at(pair[0].x + (pair[1].x - pair[0].x) * share, pair[0].y + (pair[1].y - pair[0].y) * share);
                now_m = if away_m(place, path) < reach_m { now_m + length_m / count } else { 0.0 };
                most_m = most_m.max(now_m);
            }
        }
        (line.name.clone(), most_m)
    };
    plan.lines.values().filter(|line| !line.kind.is_old()).map(of_line).collect()
}

/// No line of a proposal lies off the land, in what is set back or nearer to a mark than is asked, whatever the field; a buried line
/// or a lane is crossed and not followed; every line has its reason, every finding to fix says why it stays; nothing that is handed out is dearer than another one and serves no more.
#[test]
fn lines_keep_off_what_they_must() {
    let mut random = fastrand::Rng::with_seed(1907);
    let (mut shown, mut crossed) = (0, 0);
    for number in 0..10 {
        let mut spot = |low: f64, high: f64| low + (high - low) * random.f64();
        let waves = (spot(30.0, 60.0), spot(12.0, 25.0));
        let ring = vec![
            at(spot(8.0, 25.0), spot(8.0, 40.0)),
            at(spot(200.0, 232.0), spot(8.0, 40.0)),
            at(spot(200.0, 232.0), spot(200.0, 232.0)),
            at(spot(110.0, 130.0), spot(180.0, 232.0)),
            at(spot(8.0, 25.0), spot(200.0, 232.0)),
        ];
        let mut plan = field(ring.clone());
        let land = land(|x, y| valley(x, y, waves));
        let low = at(ring[0].x.min(ring[4].x) - 4.0, 120.0 + 25.0 * (8.0 / waves.0).sin());
        outlet(&mut plan, low, valley(low.x, low.y, waves) - 1.1);
        let (x, y) = (spot(90.0, 170.0), spot(60.0, 180.0));
        let wet = vec![at(x, y), at(x + 25.0, y), at(x + 20.0, y + 18.0)];
        let (tree, well) = (at(spot(60.0, 200.0), spot(50.0, 190.0)), at(spot(60.0, 200.0), spot(50.0, 190.0)));
        let neighbor = vec![at(spot(160.0, 190.0), 5.0), at(spot(190.0, 230.0), 60.0)];
        mark(
            &mut plan,
            "W",
            LandmarkKind::Wetland { setback_m: Some(12.0), determined: None },
            Outline::Around(wet.clone()),
        );
        mark(&mut plan, "T", LandmarkKind::Trees { species: "willow".into(), thirsty: true }, Outline::At(tree));
        mark(&mut plan, "P", LandmarkKind::Well { keep_off_m: Some(18.0) }, Outline::At(well));
        mark(&mut plan, "N", LandmarkKind::Neighbour { agreed: false }, Outline::Along(neighbor.clone()));
        // Down the valley, where a lateral would lie too, and out of it.
        let low_y = |x: f64| 120.0 + 25.0 * (x / waves.0).sin();
        let gas = [5.0, 60.0, 120.0, 180.0, 235.0].map(|x| at(x, low_y(x) + spot(-12.0, 12.0))).to_vec();
        mark(&mut plan, "G", LandmarkKind::Utility(Utility::default()), Outline::Along(gas.clone()));
        let lane = vec![at(spot(90.0, 170.0), 5.0), at(spot(70.0, 150.0), 110.0), at(spot(90.0, 170.0), 235.0)];
        let width_m = spot(3.0, 6.0);
        let road = LandmarkKind::Road { width_m, public: false, permission: false };
        mark(&mut plan, "R", road, Outline::Along(lane.clone()));
        let limits = Criteria::default();
        let trees_m = limits.thirsty_trees_m;
        let found = match propose(&plan, &land, 2) {
            Ok(found) => found,
            Err(why) => {
                println!("{number}: {why}");
                continue;
            }
        };
        shown += found.len();
        for proposal in &found {
            let told = format!("{number}: {}", proposal.name);
            for (name, place) in places(&proposal.plan) {
                assert!(goes_round(&ring, place), "{told}: {name} leaves the land at {place:?}");
                let wet_m = if goes_round(&wet, place) { 0.0 } else { away_m(place, &closed(&wet)) };
                assert!(wet_m > 12.0 - 0.05, "{told}: {name} {wet_m} m off the wetland");
                let off = |mark: Point| (mark.x - place.x).hypot(mark.y - place.y);
                assert!(off(tree) > trees_m - 0.05 && off(well) > 18.0 - 0.05, "{told}: {name} near tree or well");
                let side_m = away_m(place, &neighbor);
                assert!(
                    side_m > plan.brief.served_m - 0.05,
                    "{told}: {name} drains the neighbor's land at {place:?}"
                );
            }
            // Square across it is twice the reach; at less than 30° more than four times.
            let beside =
                [(&gas, limits.alongside_m, limits.alongside_length_m), (&lane, width_m / 2.0, 2.0 * width_m)];
            for (path, reach_m, most_m) in beside {
                for (name, beside_m) in beside_m(&proposal.plan, path, reach_m) {
                    crossed += usize::from(beside_m > 0.0);
                    assert!(beside_m <= most_m, "{told}: {name} runs {beside_m} m along what it may only cross");
                }
            }
            let mut drawn = proposal.plan.lines.values().filter(|line| !line.kind.is_old());
            assert!(
                drawn.all(|line| line.size_by == SizeBy::usual(line.kind)),
                "{told}: sizes as they are drawn by hand"
            );
            let new = proposal.plan.lines.iter().filter(|(_, line)| !line.kind.is_old());
            assert!(new.into_iter().all(|(id, line)| proposal.why_lines[id].starts_with(&line.name)), "{told}");
            let to_fix = proposal.findings.iter().filter(|finding| finding.severity == Severity::Block);
            assert!(to_fix.into_iter().all(|finding| proposal.stays.contains_key(&finding.key)), "{told}");
            let weight = |of: &Proposal| of.design.cost.dug + of.design.cost.pipe;
            let worse = |other: &Proposal| weight(other) < weight(proposal) && other.served_m2 >= proposal.served_m2;
            assert!(!found.iter().any(|other| worse(other) && other.to_fix() <= proposal.to_fix()), "{told} is idle");
        }
    }
    println!("{shown} layouts, {crossed} crossings of buried line and lane");
    assert!(shown >= 6 && crossed >= 6);
}

/// The same lines with one thread and with two; what is told again comes under a name that was told, and the last of each is handed out.
#[test]
fn threads_change_nothing_and_better_ones_take_the_place() {
    let land = land(|x, y| valley(x, y, (40.0, 15.0)));
    let mut plan = field(vec![at(10.0, 10.0), at(230.0, 10.0), at(230.0, 230.0), at(10.0, 230.0)]);
    outlet(&mut plan, at(6.0, 122.0), valley(6.0, 122.0, (40.0, 15.0)) - 1.1);
    let mut told: Vec<(String, Edit)> = Vec::new();
    let mut left: Vec<String> = Vec::new();
    let found = propose::propose(&plan, &land, 1, &mut |heard| {
        match heard {
            Told::Layout(proposal) => {
                told.retain(|one| one.0 != proposal.name);
                told.push((proposal.name.clone(), proposal.edit.clone()));
            }
            Told::LeftOut(one) => left.push(one.name.clone()),
            Told::Step(_) => {}
        }
        ControlFlow::Continue(())
    });
    let found = found.unwrap();
    told.retain(|one| !left.contains(&one.0));
    told.sort_by(|x, y| x.0.cmp(&y.0));
    let mut handed: Vec<(String, Edit)> = found.iter().map(|one| (one.name.clone(), one.edit.clone())).collect();
    handed.sort_by(|x, y| x.0.cmp(&y.0));
    assert_eq!(told, handed);
    let with_two = propose(&plan, &land, 2).unwrap();
    assert_eq!(
        found.iter().map(|one| &one.edit).collect::<Vec<_>>(),
        with_two.iter().map(|one| &one.edit).collect::<Vec<_>>()
    );
    // One step: taken back, the plan is as it was.
    let mut taken = plan.clone();
    let back = taken.apply(&found[0].edit).unwrap();
    assert_eq!(taken.lines, found[0].plan.lines);
    taken.apply(&back).unwrap();
    assert_eq!(taken.lines, plan.lines);
}

/// Given up at whichever word, it stops there and hands nothing out.
#[test]
fn it_stops_when_it_is_told_to() {
    let land = land(|x, y| valley(x, y, (40.0, 15.0)));
    let mut plan = field(vec![at(10.0, 10.0), at(230.0, 10.0), at(230.0, 230.0), at(10.0, 230.0)]);
    outlet(&mut plan, at(6.0, 122.0), valley(6.0, 122.0, (40.0, 15.0)) - 1.1);
    for most in [1, 2, 5, 9, 20] {
        let mut heard = 0;
        let found = propose::propose(&plan, &land, 1, &mut |_| {
            heard += 1;
            if heard == most { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        });
        assert_eq!((found.err(), heard), (Some(NoLayout::Stopped), most));
    }
}

/// Without an outlet one is placed on the ditch along the low side, as high over its bottom as is wanted, by consent, and the reason told;
/// without ditch and low ground that leads away there is none, and words say so.
#[test]
fn an_outlet_on_the_ditch() {
    let level = |x: f64, y: f64| if x < 6.0 { 18.4 } else { valley(x, y, (40.0, 15.0)) };
    let land_with = land(level);
    let mut plan = field(vec![at(10.0, 10.0), at(230.0, 10.0), at(230.0, 230.0), at(10.0, 230.0)]);
    let ditch =
        Watercourse { name: "D1".into(), kind: WatercourseKind::Ditch, points: vec![at(4.0, 235.0), at(4.0, 4.0)] };
    plan.apply(&plan::add_watercourse(&plan, ditch).1).unwrap();
    let under = land_with.under(&plan);
    let found = propose(&plan, &under, 2).unwrap();
    for proposal in &found {
        let used: Vec<&Outlet> = proposal.plan.outlets.values().collect();
        assert!(!used.is_empty() && used.iter().all(|outlet| outlet.owner == Owner::Unknown && outlet.at.x < 10.0));
        let wanted_m = 18.4 + plan.criteria.outlet_wanted_m;
        assert!(used.iter().all(|outlet| (outlet.invert_m - wanted_m).abs() < 0.01), "{used:?}");
        let why = proposal.why.join(" ");
        assert!(why.contains("consent") && why.contains("ditch D1") && why.contains("Shoot the bottom"), "{why}");
        let mains = proposal.plan.lines.values().filter(|line| matches!(line.joins, Joins::Outlet(_)));
        assert!(mains.count() >= 1);
    }
    let hollow = land(|x, y| 20.0 + 0.01 * (x - 120.0).hypot(y - 120.0));
    plan.apply(&plan::remove_watercourse(&plan, *plan.watercourses.keys().next().unwrap()).unwrap()).unwrap();
    assert_eq!(propose(&plan, &hollow, 1).err(), Some(NoLayout::NoOutlet));
}

/// A slope of 8 % that breaks to 0.5 % above a seep: a lateral along the toe, above the seep and nearly level, by its own kind of layout.
/// On even ground with the same seep there is none.
#[test]
fn an_interceptor_along_the_toe() {
    let breaks = |x: f64, y: f64| 20.0 + 0.003 * x + if y > 150.0 { 0.75 + 0.08 * (y - 150.0) } else { 0.005 * y };
    let even = |x: f64, y: f64| 20.0 + 0.003 * x + 0.02 * y;
    let plan_on = |level: &dyn Fn(f64, f64) -> f64| {
        let mut plan = field(vec![at(10.0, 10.0), at(230.0, 10.0), at(230.0, 230.0), at(10.0, 230.0)]);
        outlet(&mut plan, at(5.0, 60.0), level(5.0, 60.0) - 1.1);
        let seep = vec![at(60.0, 125.0), at(180.0, 125.0), at(180.0, 150.0), at(60.0, 150.0)];
        let kind = LandmarkKind::WetArea { cause: Some(Cause::SideFlow), leave: false };
        mark(&mut plan, "seep", kind, Outline::Around(seep));
        plan
    };
    let found = propose(&plan_on(&breaks), &land(breaks), 2).unwrap();
    let proposal = found.iter().find(|one| one.kind == Kind::Interceptor).unwrap();
    let (id, line) = proposal.plan.lines.iter().find(|(_, line)| line.pattern == Pattern::Interceptor).unwrap();
    assert_eq!(line.kind, LineKind::Lateral);
    // The upper corners lie along the toe; the foot leads to its main.
    let along: Vec<Point> = line.points.iter().copied().filter(|place| place.y > 140.0).collect();
    assert!(along.len() >= 2 && along.iter().all(|place| (149.0..162.0).contains(&place.y)), "{:?}", line.points);
    let length_m = (along[0].x - along[along.len() - 1].x).abs();
    assert!(length_m > 80.0, "{:?}", line.points);
    assert!(proposal.why_lines[id].contains("toe of the slope"), "{:?}", proposal.why_lines);
    let none = propose(&plan_on(&even), &land(even), 2).unwrap_or_default();
    assert!(none.iter().all(|one| one.kind != Kind::Interceptor));
}

/// Land that is dry, and lines that lie in the ground already.
#[test]
fn no_layout_says_why() {
    let even = land(|x, y| 20.0 + 0.02 * x + 0.01 * y);
    let mut plan = field(vec![at(60.0, 60.0), at(120.0, 60.0), at(120.0, 120.0), at(60.0, 120.0)]);
    outlet(&mut plan, at(58.0, 58.0), 20.5);
    assert_eq!(propose(&plan, &even, 1).err(), Some(NoLayout::NothingWet));
    assert_eq!(propose(&Plan::new("No field", Units::Metric), &even, 1).err(), Some(NoLayout::NoField));
    assert_eq!(propose(&plan, &Land::default(), 1).err(), Some(NoLayout::NoGround));
}
