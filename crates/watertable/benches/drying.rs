//! Speed of the water table, each time beside its error. The cases are those of `tests/reference/watertable_speed.py`, which
//! times scipy on the same ones in the same run.
//!
//! `cargo bench -p watertable`; with `-- season` the season of 200,000 cells too, which takes minutes for its converged run.

#![allow(clippy::print_stdout, reason = "a bench tells its times")]

use std::f64::consts::PI;
use std::ops::ControlFlow;
use std::time::Instant;

use watertable::{Drain, Entry, Equations, Field, OverLand, STEP_OFF_M, Season, Section, Strip, System, Weather};

const DAY_S: f64 = 86_400.0;

fn main() {
    implicit_step(1000);
    year_of_days(1000);
    if std::env::args().any(|word| word == "season") {
        season();
    }
}

/// The least of several times, seconds, and what came of the last run; only what `work` itself takes the time of counts.
fn least<T>(times: usize, mut work: impl FnMut() -> (f64, T)) -> (f64, T) {
    let (mut best_s, mut found) = work();
    for _ in 1..times {
        let (took_s, again) = work();
        (best_s, found) = (best_s.min(took_s), again);
    }
    (best_s, found)
}

/// Processor time of work on this thread, seconds, where the system tells it, else by the clock; and what comes of the work. A
/// busy machine lengthens it less.
fn timed<T>(work: impl FnOnce() -> T) -> (f64, T) {
    let told = || std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let on_processor_s = || told()?.split(' ').next()?.parse::<f64>().ok().map(|nanoseconds| nanoseconds * 1e-9);
    let (clock, before) = (Instant::now(), on_processor_s());
    let found = work();
    let by_clock_s = clock.elapsed().as_secs_f64();
    (before.zip(on_processor_s()).map_or(by_clock_s, |(before, after)| after - before), found)
}

/// A day's step on so many cells squared: drains every 15 cells held at their level, conductivity that varies smoothly.
fn equations(side: usize) -> Equations {
    let (drain_m, porosity, cells) = (2.0, 0.05, side * side);
    let is_drain = |cell: usize| (cell % side).is_multiple_of(15) && (4..side - 3).contains(&(cell / side));
    let level = |cell: usize| drain_m + 0.6 * (PI * (cell % side) as f64 / 15.0).sin().abs();
    let conveys = |cell: usize| {
        let (x, y) = ((cell % side) as f64, (cell / side) as f64);
        0.5 * (1.0 + 0.6 * (x / 90.0).sin() * (y / 70.0).cos()) * level(cell)
    };
    let mut equations = Equations {
        cols: side,
        faces: [vec![0.0; cells], vec![0.0; cells]],
        own: (0..cells).map(|cell| if is_drain(cell) { 0.0 } else { porosity }).collect(),
        right: (0..cells).map(|cell| if is_drain(cell) { 0.0 } else { 0.007 + porosity * level(cell) }).collect(),
        begin: (0..cells).map(|cell| if is_drain(cell) { 0.0 } else { level(cell) }).collect(),
    };
    for cell in 0..cells {
        for (way, other) in [cell + 1, cell + side].into_iter().enumerate() {
            if other >= cells || (way == 0 && other % side == 0) {
                continue;
            }
            let (one, two) = (conveys(cell), conveys(other));
            let face = 2.0 * one * two / (one + two);
            match (is_drain(cell), is_drain(other)) {
                (false, false) => equations.faces[way][cell] = face,
                (true, true) => {}
                (held, _) => {
                    let free = if held { other } else { cell };
                    equations.own[free] += face;
                    equations.right[free] += face * drain_m;
                }
            }
        }
    }
    equations
}

fn implicit_step(side: usize) {
    let equations = equations(side);
    let begun = System::of(&equations);
    let mut system = begun.clone();
    let (solving_s, cycles) = least(7, || {
        system.clone_from(&begun);
        timed(|| system.solve(1e-8))
    });
    let (all_s, _) = least(5, || timed(|| System::of(&equations).solve(1e-8)));
    let left = left_share(&equations, &system.answer());
    println!(
        "implicit step, {} cells: {solving_s:.4} s ({all_s:.4} s with the laying out), {} cycles, {left:.1e} left",
        side * side,
        cycles
    );
}

/// What an answer leaves, as a share of the right side, worked out plainly.
fn left_share(equations: &Equations, found: &[f64]) -> f64 {
    let mut left: Vec<f64> = (equations.right.iter().zip(&equations.own).zip(found))
        .map(|((right, own), found)| right - own * found)
        .collect();
    for (faces, step) in equations.faces.iter().zip([1, equations.cols]) {
        for (cell, face) in faces.iter().enumerate().filter(|(_, face)| **face > 0.0) {
            let flow = face * (found[cell + step] - found[cell]);
            left[cell] += flow;
            left[cell + step] -= flow;
        }
    }
    let square = |values: &[f64]| values.iter().map(|value| value * value).sum::<f64>();
    (square(&left) / square(&equations.right)).sqrt()
}

/// A year of days between drains 15 m apart, the table held 2 m over the base at both; half of 2,000 nodes, for the other half is
/// its mirror.
fn year_of_days(pieces: usize) {
    let section = Section {
        spacing_m: 15.0,
        drain_depth_m: 2.0,
        tight_depth_m: 4.0,
        radius_m: 0.05,
        conductivity_ms: 0.5 / DAY_S,
        porosity: 0.05,
    };
    let year = |off_m: f64| {
        let mut strip = Strip::over(&section, pieces, 2.0, 0.8);
        let mut steps = 0;
        let mut days = Vec::with_capacity(365);
        for day in 0..365 {
            let rain_m = if day % 5 == 0 { 0.015 } else { 0.0 };
            steps += strip.pass_day(Weather { rain_m, evaporation_m: 0.0 }, off_m);
            days.push(strip.heads_m.clone());
        }
        (steps, days)
    };
    let (_, converged) = year(1e-7);
    for off_m in [3e-4, 1e-3, 2e-3, 3e-3, 4e-3] {
        let (took_s, (steps, days)) = least(7, || timed(|| year(off_m)));
        let pairs = days.iter().flatten().zip(converged.iter().flatten());
        let off = pairs.map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        println!(
            "year of days, {} nodes: {took_s:.5} s, {steps} steps, {:.2} mm off at most on any evening",
            2 * pieces,
            off * 1000.0
        );
    }
}

/// Days of the season that a converged run goes through.
const JUDGED_DAYS: usize = 16;

/// Half a year on 200,000 cells: rolling soil on a slope, drains every 12 m on two thirds of it, rain every fifth day.
fn season() {
    let side = 448;
    let cells = side * side;
    let at = |cell: usize| ((cell % side) as f64, (cell / side) as f64);
    let level = |cell: usize| {
        let (x, y) = at(cell);
        (0.01 * y + 0.15 * (x / 25.0).sin() * (y / 40.0).cos()) as f32
    };
    let levels: Vec<f32> = (0..cells).map(level).collect();
    let surface_m: Vec<f64> = levels.iter().map(|level| f64::from(*level)).collect();
    let conductivity =
        |cell: usize| 1.2 / DAY_S * (1.0 + 0.6 * (at(cell).0 / 90.0).sin() * (at(cell).1 / 70.0).cos());
    let conductivity_ms: Vec<f64> = (0..cells).map(conductivity).collect();
    let grid = terrain::Grid::new((side, side), (0.0, side as f64), (1.0, 1.0), levels).expect("a sound grid");
    let drains = (0..cells).filter(|cell| (cell % side) % 12 == 6 && cell / side > side / 3).map(|cell| Drain {
        cell,
        level_m: surface_m[cell] - 1.1,
        length_m: 1.0,
        entry: Entry::new(conductivity_ms[cell], 1.1, 1.1, 12.0, 0.005),
    });
    let field = Field {
        cols: side,
        rows: side,
        cell_m: 1.0,
        is_land: vec![true; cells],
        base_m: surface_m.iter().map(|surface| surface - 2.2).collect(),
        porosity: vec![0.06; cells],
        drains: drains.collect(),
        over_land: OverLand::of(&terrain::Water::of(&grid), &surface_m, side),
        conductivity_ms,
        surface_m,
        ..Field::default()
    };
    let days: Vec<Weather> = (0..180)
        .map(|day| Weather { rain_m: if day % 5 == 0 { 0.015 } else { 0.0 }, evaporation_m: 0.002 })
        .collect();
    let mut evenings: Vec<Vec<f32>> = Vec::new();
    for off_m in [2e-3, STEP_OFF_M] {
        let is_judge = evenings.is_empty();
        let mut season = Season::at_depth(&field, 0.5, off_m);
        let (mut most, mut beyond, mut took_s, mut first_s) = (0.0_f64, 0_usize, 0.0, 0.0);
        // The judge goes no farther than it must to tell.
        for (number, day) in days.iter().take(if is_judge { JUDGED_DAYS } else { days.len() }).enumerate() {
            let (day_s, _) = timed(|| season.pass_day(*day, &mut |_, _| ControlFlow::Continue(())));
            took_s += day_s;
            if number == 0 {
                first_s = day_s;
            }
            if is_judge {
                evenings.push(season.heads_m.iter().map(|head| *head as f32).collect());
            }
            for (head, judge) in season.heads_m.iter().zip(evenings.get(number).into_iter().flatten()) {
                let off = (head - f64::from(*judge)).abs();
                most = most.max(off);
                beyond += usize::from(off > 0.01);
            }
        }
        println!(
            "season, {cells} cells, steps of {:.1} mm: {:.1} s ({first_s:.2} s for the first day), {} steps, {} cycles, {:.1} mm off at \
             most, {:.4} % of evenings more than 1 cm, balance off by {:.0e}",
            off_m * 1000.0,
            took_s,
            season.steps,
            season.cycles,
            most * 1000.0,
            100.0 * beyond as f64 / (cells * evenings.len()) as f64,
            season.balance().off()
        );
    }
}
