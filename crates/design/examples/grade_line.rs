//! Solves a grade-line instance and prints objective, worst violation and milliseconds.
//!
//! `cargo run --release -p design --example grade_line -- INSTANCE.json`
//!
//! The format: `n` stations; `ds[i]` the station downstream of `i` (-1 at the outlet, always smaller than `i`);
//! `lo[i]` and `hi[i]` the least and greatest rise from there; `ground[i]`; `len[i]` the length the cost of `i` stands
//! for, 0 at a joint; `cover` the least depth where `len[i]` is not 0; `z_outlet_min`; the cost of a metre of line by
//! depth under that cover in segments of `seg_width` and `seg_slope`. Metres.

#![allow(clippy::print_stdout, clippy::unwrap_used, reason = "an example prints and may stop")]

use std::time::Instant;

use design::{Hinge, Tie, Tree};
use serde_json::Value;

fn main() {
    let path = std::env::args().nth(1).expect("the file of an instance");
    let instance: Value = serde_json::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap();
    let tree = tree(&instance);
    let mut best_ms = f64::INFINITY;
    let mut solved = Err(design::NoLevel { node: 0 });
    for _ in 0..15 {
        let start = Instant::now();
        solved = tree.solve();
        best_ms = best_ms.min(start.elapsed().as_secs_f64() * 1e3);
    }
    match solved {
        Ok(levels) => {
            println!("objective {:.9}", tree.cost(&levels));
            println!("worst violation {:.3e} m", tree.worst_violation(&levels));
        }
        Err(no_level) => println!("no solution: the limits above station {} leave no level", no_level.node),
    }
    println!("{best_ms:.3} ms (least of 15)");
    if let Some(expected) = instance["optimal_objective"].as_f64() {
        println!("stated optimum {expected:.9}");
    }
}

fn tree(instance: &Value) -> Tree {
    let list = |name: &str| -> Vec<f64> {
        instance[name].as_array().unwrap().iter().map(|value| value.as_f64().unwrap()).collect()
    };
    let (down, lo, hi, ground, length) = (list("ds"), list("lo"), list("hi"), list("ground"), list("len"));
    let (width, slope) = (list("seg_width"), list("seg_slope"));
    let cover = instance["cover"].as_f64().unwrap();
    let mut tree = Tree::default();
    for i in 0..down.len() {
        let is_pipe = length[i] > 0.0;
        let top = ground[i] - cover;
        let mut hinges = Vec::new();
        let (mut from_m, mut before) = (top, 0.0);
        for (width, slope) in width.iter().zip(&slope).filter(|_| is_pipe) {
            hinges.push(Hinge { from_m, price: length[i] * (slope - before), below: true });
            (from_m, before) = (from_m - width, *slope);
        }
        let lowest = if i == 0 { instance["z_outlet_min"].as_f64().unwrap() } else { f64::NEG_INFINITY };
        let tie = (down[i] >= 0.0).then(|| (down[i] as usize, Tie::Rise { least_m: lo[i], most_m: hi[i] }));
        tree.push(tie, (lowest, if is_pipe { top } else { f64::INFINITY }), &hinges);
    }
    tree
}
