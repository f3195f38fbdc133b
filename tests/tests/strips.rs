//! The area each line drains against the land nearest to it (shapely, tests/reference/strips_values.py).

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "helpers of tests may stop the test, figures are shown")]

use design::{LineDesign, Origin, work_out};
use measure::{Point, Units};
use plan::{Change, Edit, Field, Line, LineId, LineKind, Plan};
use serde_json::Value;

/// Greatest difference, as a share of the line's area.
const NEAR: f64 = 0.03;

fn layouts() -> (Vec<f64>, Vec<Value>) {
    let all: Value = serde_json::from_str(include_str!("../reference/strips_values.json")).unwrap();
    let layouts = all["layouts"].as_array().unwrap().clone();
    assert!(layouts.len() >= 12, "{} layouts", layouts.len());
    (all["shares"].as_array().unwrap().iter().map(|share| share.as_f64().unwrap()).collect(), layouts)
}

fn points(value: &Value) -> Vec<Point> {
    let pair = |p: &Value| Point::new(p[0].as_f64().unwrap(), p[1].as_f64().unwrap());
    value.as_array().unwrap().iter().map(pair).collect()
}

/// The plan of a layout: lines that join nothing, so that none brings its water to another.
fn plan(layout: &Value) -> (Plan, Vec<LineId>) {
    let mut plan = Plan::new("Strips", Units::Metric);
    // Near enough that between two stakes what drains to a line grows about evenly.
    plan.criteria.staking_m = 7.5;
    plan.brief.served_m = layout["served_m"].as_f64().unwrap();
    let rings = layout["rings"].as_array().unwrap().iter().map(points).collect();
    plan.apply(&Edit::one("Draw", Change::Field(Field::of_rings(rings)))).unwrap();
    let lines = layout["lines"].as_array().unwrap().iter().map(|line| points(&line["points"]));
    let ids = lines.map(|points| {
        let (id, edit) = plan::add_line(&plan, Line::new("L", LineKind::Lateral, points));
        plan.apply(&edit).unwrap();
        id
    });
    let ids = ids.collect();
    (plan, ids)
}

/// Areas that drain to places above the stations below and above a place of a line, and the share of the way between.
fn areas_round_m2(line: &LineDesign, station_m: f64, coefficient_ms: f64) -> (f64, f64, f64) {
    let after = line.stations.partition_point(|s| s.station_m < station_m).max(1);
    let (low, high) = (&line.stations[after - 1], &line.stations[after]);
    let t = (station_m - low.station_m) / (high.station_m - low.station_m);
    (line.through_m3s[after - 1] / coefficient_ms, line.through_m3s[after] / coefficient_ms, t)
}

#[test]
fn every_line_drains_the_land_nearest_to_it() {
    let (_, layouts) = layouts();
    let mut worst = 0.0f64;
    for layout in &layouts {
        let (plan, ids) = plan(layout);
        let design = work_out(&plan, &land::Land::default());
        for (i, id) in ids.iter().enumerate() {
            let line = &layout["lines"][i];
            let theirs = line["area_above_m2"][0].as_f64().unwrap();
            let ours = design.lines[id].area_m2;
            let off = if theirs > 0.0 { (ours - theirs).abs() / theirs } else { ours };
            let what = format!("{}, line {i}", layout["name"]);
            println!("{what}: {ours:.0} m², shapely {theirs:.0}, off by {:.2} %", off * 100.0);
            assert!(off <= NEAR, "{what}: {ours} m², shapely {theirs}");
            let own = design.lines[id].inflows.first();
            assert!(
                own.is_none_or(|own| matches!(own.origin, Origin::Strip(_)) && own.off <= NEAR),
                "{what}: {own:?}"
            );
            worst = worst.max(off);
        }
    }
    println!("worst {:.2} %", worst * 100.0);
}

#[test]
fn land_drains_to_the_nearest_place_of_its_line() {
    let (shares, layouts) = layouts();
    for layout in &layouts {
        let (plan, ids) = plan(layout);
        let (design, coefficient_ms) = (work_out(&plan, &land::Land::default()), plan.brief.coefficient_ms());
        for (i, id) in ids.iter().enumerate() {
            let line = &design.lines[id];
            let off_m2 = NEAR * line.area_m2.max(1.0);
            for (k, share) in shares.iter().enumerate().skip(1) {
                let theirs = layout["lines"][i]["area_above_m2"][k].as_f64().unwrap();
                let (below, above, t) = areas_round_m2(line, share * line.length_m, coefficient_ms);
                let what = format!("{}, line {i} above {share} of its length: shapely {theirs}", layout["name"]);
                assert!((above - off_m2..=below + off_m2).contains(&theirs), "{what}, {above} to {below}");
                // Between two stations of a long line what drains to it hardly changes.
                let ours = below + (above - below) * t;
                assert!(line.length_m < 60.0 || (ours - theirs).abs() <= off_m2, "{what}, {ours}");
            }
        }
    }
}
