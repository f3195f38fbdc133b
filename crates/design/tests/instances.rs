//! Exact grade lines against HiGHS: networks of `tests/reference/grade_lines.py` with their optima (tolerances 1e-10), and
//! the instances in `../shared/gradeline`.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use design::{Hinge, Tie, Tree, WantedRise};
use serde_json::Value;

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|value| value.as_f64().unwrap()).collect()
}

fn within(value: &Value, i: usize, none: f64) -> f64 {
    value[i].as_f64().unwrap_or(none)
}

fn network(value: &Value) -> Tree {
    let (down, least, most) = (numbers(&value["down"]), numbers(&value["least"]), numbers(&value["most"]));
    let mut tree = Tree::default();
    for i in 0..down.len() {
        let own = value["slopes"].as_array().unwrap().iter().filter(|slope| slope[0] == i);
        let hinges: Vec<Hinge> = own
            .map(|slope| Hinge {
                from_m: slope[1].as_f64().unwrap(),
                price: slope[2].as_f64().unwrap(),
                below: slope[3].as_bool().unwrap(),
            })
            .collect();
        let bounds = (within(&value["low"], i, f64::NEG_INFINITY), within(&value["high"], i, f64::INFINITY));
        let tie = Tie::Rise { least_m: least[i], most_m: most[i] };
        tree.push((down[i] >= 0.0).then_some((down[i] as usize, tie)), bounds, &hinges);
        let own = value["missing"].as_array().unwrap().iter().filter(|missing| missing[0] == i);
        tree.want(own.map(|missing| WantedRise {
            wanted_m: missing[1].as_f64().unwrap(),
            price: missing[2].as_f64().unwrap(),
        }));
    }
    tree
}

#[test]
fn networks_with_their_optima() {
    let values: Value =
        serde_json::from_str(include_str!("../../../tests/reference/grade_lines_values.json")).unwrap();
    let (mut solved, mut clashed, mut with_kinks) = (0, 0, 0);
    for value in values["networks"].as_array().unwrap() {
        let tree = network(value);
        match (tree.solve(), value["optimum"].as_f64()) {
            (Ok(levels), Some(optimum)) => {
                let cost = tree.cost(&levels);
                assert!((cost - optimum).abs() <= 1e-9 * optimum, "{cost}, HiGHS {optimum}");
                assert!(tree.worst_violation(&levels) < 1e-9);
                solved += 1;
                with_kinks += usize::from(!value["missing"].as_array().unwrap().is_empty());
            }
            (Err(_), None) => clashed += 1,
            (ours, theirs) => panic!("ours {:?}, HiGHS {theirs:?}", ours.map(|levels| tree.cost(&levels))),
        }
    }
    assert!(solved >= 30 && clashed >= 10, "{solved} solved, {clashed} without a solution");
    assert!(with_kinks >= 12, "{with_kinks} with many kinks in the price of grade");
}

#[test]
fn the_shared_instances() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../../shared/gradeline");
    for name in ["100_free", "1000_free", "10000_free"] {
        let Ok(text) = std::fs::read_to_string(format!("{folder}/{name}.json")) else {
            eprintln!("skipped: {folder} is not there");
            return;
        };
        let instance: Value = serde_json::from_str(&text).unwrap();
        let tree = shared(&instance);
        let levels = tree.solve().unwrap();
        let (cost, optimum) = (tree.cost(&levels), instance["optimal_objective"].as_f64().unwrap());
        assert!((cost - optimum).abs() <= 1e-9 * optimum, "{name}: {cost}, stated {optimum}");
        assert!(tree.worst_violation(&levels) < 1e-9, "{name}");
        // No cover, grade or outlet holds at once any more: told, not failed.
        let mut drowned = tree.clone();
        drowned.nodes[0].bounds.0 = 200.0;
        assert!(drowned.solve().is_err());
    }
}

fn shared(instance: &Value) -> Tree {
    let list = |name: &str| numbers(&instance[name]);
    let (down, lo, hi, ground, length) = (list("ds"), list("lo"), list("hi"), list("ground"), list("len"));
    let (width, slope) = (list("seg_width"), list("seg_slope"));
    let cover = instance["cover"].as_f64().unwrap();
    let mut tree = Tree::default();
    for i in 0..down.len() {
        let (top, is_pipe) = (ground[i] - cover, length[i] > 0.0);
        let mut hinges = Vec::new();
        let (mut from_m, mut before) = (top, 0.0);
        for (width, slope) in width.iter().zip(&slope).filter(|_| is_pipe) {
            hinges.push(Hinge { from_m, price: length[i] * (slope - before), below: true });
            (from_m, before) = (from_m - width, *slope);
        }
        let low = if i == 0 { instance["z_outlet_min"].as_f64().unwrap() } else { f64::NEG_INFINITY };
        let tie = Tie::Rise { least_m: lo[i], most_m: hi[i] };
        let down = (down[i] >= 0.0).then_some((down[i] as usize, tie));
        tree.push(down, (low, if is_pipe { top } else { f64::INFINITY }), &hinges);
    }
    tree
}
