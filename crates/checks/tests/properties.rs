//! What holds of the punch list for every plan: it never panics, and it does not hang on the order of drawing.

use checks::{Finding, Site, Trial, punch_list};
use design::{Design, work_out};
use land::Land;
use measure::{Point, Units};
use plan::{Field, Joins, Line, LineId, LineKind, OldTile, Outlet, OutletId, Pattern, Pin, Plan};
use proptest::prelude::*;
use terrain::Swale;

/// A line as drawn at random: kind, points on a 5 m mesh, what it joins, locked levels, size in inches, cap.
type Drawn = (u8, Vec<(u8, u8)>, Option<u8>, Vec<(u8, i8)>, u8, bool);

fn drawn() -> impl Strategy<Value = Drawn> {
    let points = prop::collection::vec((0u8..24, 0u8..12), 2..6);
    let pins = prop::collection::vec((0u8..=100, -8i8..8), 0..4);
    (0u8..6, points, prop::option::of(0u8..12), pins, 2u8..10, any::<bool>())
}

fn kind(code: u8) -> LineKind {
    match code {
        0 => LineKind::Main,
        1 => LineKind::Submain,
        2 => LineKind::OldTile(OldTile::default()),
        _ => LineKind::Lateral,
    }
}

fn line(index: usize, drawn: &Drawn) -> Line {
    let points: Vec<Point> =
        drawn.1.iter().map(|(x, y)| Point::new(f64::from(*x) * 5.0, f64::from(*y) * 5.0)).collect();
    let mut line = Line::new(&format!("L{index}"), kind(drawn.0), points);
    let length_m = line.length_m();
    let pin = |(share, level): &(u8, i8)| Pin {
        station_m: length_m * f64::from(*share) / 100.0,
        invert_m: 100.0 + f64::from(*level) / 8.0,
        straight: *share % 2 == 0,
    };
    line.pins = drawn.3.iter().map(pin).collect();
    line.pins.sort_by(|a, b| a.station_m.total_cmp(&b.station_m));
    line.pins.dedup_by(|a, b| a.station_m == b.station_m);
    line.size_m = f64::from(drawn.4) * measure::INCH_M;
    line.capped = drawn.5;
    line.pattern = if drawn.5 { Pattern::Targeted } else { Pattern::Parallel };
    line
}

/// A plan of these lines; `order[i]` is the id of line `i`. In a tree a line joins only lines before it.
fn plan(lines: &[Drawn], order: &[u32], is_tree: bool) -> Plan {
    let mut plan = Plan::new("random", Units::Feet);
    let outlet = OutletId(lines.len() as u32 + 1);
    plan.outlets.insert(outlet, Outlet::new("O1", Point::new(0.0, 0.0), 99.0));
    for (index, drawn) in lines.iter().enumerate() {
        let target = drawn.2.map(usize::from).filter(|target| *target != index);
        let joins = match target {
            Some(target) if target < index || (!is_tree && target < lines.len()) => {
                Joins::Line(LineId(order[target]))
            }
            Some(_) => Joins::Outlet(outlet),
            None => Joins::Nothing,
        };
        plan.lines.insert(LineId(order[index]), Line { joins, ..line(index, drawn) });
    }
    let corner = |x, y| Point::new(x, y);
    let ring = vec![corner(10.0, 5.0), corner(100.0, 5.0), corner(105.0, 50.0), corner(10.0, 45.0)];
    plan.field = Some(Field { ring, holes: vec![vec![corner(40.0, 20.0), corner(50.0, 20.0), corner(50.0, 30.0)]] });
    plan.next_id = outlet.0 + 1;
    plan
}

/// Works a plan out and lays a gentle slope over it, part of it without ground.
fn worked(plan: &Plan) -> Design {
    let mut design = work_out(plan, &Land::default());
    for station in design.lines.values_mut().flat_map(|line| &mut line.stations) {
        station.ground_m = (station.at.x < 90.0).then_some(100.4 + station.at.y * 0.02 + station.at.x * 0.01);
    }
    design
}

fn swales() -> Vec<Swale> {
    let points = vec![Point::new(120.0, 30.0), Point::new(60.0, 28.0), Point::new(0.0, 20.0)];
    vec![Swale { area_m2: vec![1e4, 2e4, 3e4], points, joins: None }]
}

/// Land with these swales.
fn land() -> Land {
    Land { swales: std::sync::Arc::new(swales()), ..Land::default() }
}

/// A finding without ids: names and figures only.
fn told(plan: &Plan, finding: &Finding) -> String {
    let name = |id: LineId| plan.lines[&id].name.clone();
    let places: Vec<&str> = finding.places.iter().map(|place| place.text.as_str()).collect();
    let at = |value: Option<f64>| value.map(|value| (value * 1e4).round());
    format!(
        "{:?} {} {} {} {:?} {:?} {:?} {places:?} {:?} {} {} {:?}",
        finding.severity,
        finding.check,
        finding.title,
        finding.message,
        finding.line.map(name),
        at(finding.from_m),
        at(finding.to_m),
        finding.also,
        finding.key,
        finding.advice,
        finding.amount
    )
}

/// Turns a line's points so that they run east without coming back: lines that do not meet themselves.
fn eastward(mut drawn: Drawn) -> Option<Drawn> {
    drawn.1.sort();
    drawn.1.dedup_by_key(|point| point.0);
    (drawn.1.len() >= 2).then_some(drawn)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// Rings, lines of no length, old tile everywhere, levels up and down: a list comes out, and each finding has a key of
    /// its own.
    #[test]
    fn no_plan_breaks_it(lines in prop::collection::vec(drawn(), 0..12)) {
        let order: Vec<u32> = (1..=lines.len() as u32).collect();
        let plan = plan(&lines, &order, false);
        let list = punch_list(&plan, &worked(&plan), &land());
        prop_assert!(list.windows(2).all(|pair| pair[0].severity <= pair[1].severity));
        let keys: std::collections::BTreeSet<&str> = list.iter().map(|finding| finding.key.as_str()).collect();
        prop_assert_eq!(keys.len(), list.len());
    }

    /// The same lines drawn in another order give the same list, word for word.
    #[test]
    fn the_order_of_drawing_does_not_matter(
        (lines, order) in prop::collection::vec(drawn().prop_filter_map("too short", eastward), 1..12)
            .prop_flat_map(|lines| {
                let ids: Vec<u32> = (1..=lines.len() as u32).collect();
                (Just(lines), Just(ids).prop_shuffle())
            })
    ) {
        let ids: Vec<u32> = (1..=lines.len() as u32).collect();
        let list = |order: &[u32]| {
            let plan = plan(&lines, order, true);
            punch_list(&plan, &worked(&plan), &land()).iter().map(|f| told(&plan, f)).collect::<Vec<_>>()
        };
        prop_assert_eq!(list(&ids), list(&order));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 24, ..ProptestConfig::default() })]

    /// The remedies that are told of a finding are the same in whatever order the lines were drawn.
    #[test]
    fn remedies_do_not_hang_on_the_order_of_drawing(
        (lines, order) in prop::collection::vec(drawn().prop_filter_map("too short", eastward), 1..7)
            .prop_flat_map(|lines| {
                let ids: Vec<u32> = (1..=lines.len() as u32).collect();
                (Just(lines), Just(ids).prop_shuffle())
            }),
        pick in 0usize..100
    ) {
        let ids: Vec<u32> = (1..=lines.len() as u32).collect();
        let told = |order: &[u32]| {
            let plan = plan(&lines, order, true);
            let (design, land) = (worked(&plan), land());
            let (list, site) = (punch_list(&plan, &design, &land), Site::new(&plan, &design, &land));
            let rework = |plan: &Plan| punch_list(plan, &worked(plan), &land);
            let trial = Trial { site: &site, list: &list, rework: &rework };
            let some = list.get(pick % list.len().max(1)).into_iter();
            some.map(|finding| finding.with_tried(Some(trial.tried(finding))).text()).collect::<Vec<_>>()
        };
        prop_assert_eq!(told(&ids), told(&order));
    }

    /// On the same plans every remedy that is told is an edit the plan takes if it was sound before, and clears.
    #[test]
    fn what_is_told_was_tried(lines in prop::collection::vec(drawn(), 0..8), pick in 0usize..100) {
        let order: Vec<u32> = (1..=lines.len() as u32).collect();
        let plan = plan(&lines, &order, false);
        let (design, land) = (worked(&plan), land());
        let list = punch_list(&plan, &design, &land);
        let rework = |plan: &Plan| punch_list(plan, &worked(plan), &land);
        let site = Site::new(&plan, &design, &land);
        let trial = Trial { site: &site, list: &list, rework: &rework };
        let some = list.iter().skip(pick % list.len().max(1)).take(2);
        for finding in some.filter(|_| plan.validate().is_ok()) {
            for remedy in trial.tried(finding).remedies {
                let mut after = plan.clone();
                prop_assert!(after.apply(&remedy).is_ok(), "{}", remedy.label);
                prop_assert!(rework(&after).iter().all(|other| other.key != finding.key), "{}", remedy.label);
            }
        }
    }
}
