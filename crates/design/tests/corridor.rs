//! The fewest reaches through a corridor against brute force: every choice of breaks, the smallest first, and for each a
//! linear program (microlp through good_lp) that says whether levels exist.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use design::Corridor;
use good_lp::{ProblemVariables, Solution, SolverModel, microlp, variable};
use proptest::prelude::*;

/// A corridor as drawn by lot.
#[derive(Debug, Clone)]
struct Lot {
    stations_m: Vec<f64>,
    levels_m: Vec<(f64, f64)>,
    grades: Vec<(f64, f64)>,
}

fn lot() -> impl Strategy<Value = Lot> {
    (2usize..8).prop_flat_map(|n| {
        let steps = prop::collection::vec(3.0..12.0f64, n - 1);
        let middles = prop::collection::vec(-0.15..0.4f64, n - 1);
        let widths = prop::collection::vec(0.0..0.3f64, n);
        let grades = prop::collection::vec((-0.01..0.02f64, 0.01..0.06f64), n - 1);
        (steps, middles, widths, grades).prop_map(|(steps, middles, widths, grades)| {
            let (mut stations_m, mut middle) = (vec![0.0], 100.0);
            let mut levels_m = vec![(100.0, 100.0)];
            for (k, step) in steps.iter().enumerate() {
                stations_m.push(stations_m[k] + step);
                middle += middles[k];
                levels_m.push((middle - widths[k + 1], middle + widths[k + 1]));
            }
            let grades = grades.into_iter().map(|(least, room)| (least, least + room)).collect();
            Lot { stations_m, levels_m, grades }
        })
    })
}

/// True if a line that breaks only at the given stations fits; `slack` widens every limit.
fn fits(lot: &Lot, ends: &[usize], slack: f64) -> bool {
    let mut variables = ProblemVariables::new();
    let levels: Vec<_> = (0..lot.levels_m.len())
        .map(|i| variables.add(variable().min(lot.levels_m[i].0 - slack).max(lot.levels_m[i].1 + slack)))
        .collect();
    let mut constraints = Vec::new();
    let mut from = 0;
    for &to in ends {
        for i in from + 1..to {
            let share = (lot.stations_m[i] - lot.stations_m[from]) / (lot.stations_m[to] - lot.stations_m[from]);
            constraints.push((levels[i] - (1.0 - share) * levels[from] - share * levels[to]).eq(0.0));
        }
        from = to;
    }
    for (i, (least, most)) in lot.grades.iter().enumerate() {
        let length_m = lot.stations_m[i + 1] - lot.stations_m[i];
        constraints.push((levels[i + 1] - levels[i]).geq(least * length_m - slack));
        constraints.push((levels[i + 1] - levels[i]).leq(most * length_m + slack));
    }
    let problem = variables.minimise(levels[0]).using(microlp);
    let solved = constraints.into_iter().fold(problem, |problem, constraint| problem.with(constraint)).solve();
    solved.is_ok_and(|solution| solution.value(levels[0]).is_finite())
}

/// The fewest reaches by trying every choice of breaks.
fn by_force(lot: &Lot, slack: f64) -> Option<usize> {
    let last = lot.stations_m.len() - 1;
    (0..1u32 << (last - 1))
        .map(|mask| (1..last).filter(|i| mask >> (i - 1) & 1 == 1).chain([last]).collect::<Vec<_>>())
        .filter(|ends| fits(lot, ends, slack))
        .map(|ends| ends.len())
        .min()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(300) })]

    #[test]
    fn the_fewest_are_the_fewest(lot in lot()) {
        let wanted_m: Vec<f64> = lot.levels_m.iter().map(|(low, high)| (low + high) / 2.0).collect();
        let corridor = Corridor {
            stations_m: &lot.stations_m,
            levels_m: &lot.levels_m,
            grades: &lot.grades,
            wanted_m: &wanted_m,
        };
        let found = corridor.fewest_reaches(lot.stations_m.len());
        // Where a hair's breadth decides, either answer is right.
        let (tight, wide) = (by_force(&lot, -1e-6), by_force(&lot, 1e-6));
        // No line is more than any number of reaches.
        let [count, tight, wide] = [found.as_ref().map(Vec::len), tight, wide].map(|n| n.unwrap_or(usize::MAX));
        prop_assert!((wide..=tight).contains(&count), "{count}, by force {wide} to {tight}");
        if let Some(ends) = found {
            let mut from = (0, 100.0);
            for end in ends {
                let grade = (end.1 - from.1) / (lot.stations_m[end.0] - lot.stations_m[from.0]);
                for i in from.0 + 1..=end.0 {
                    let level = from.1 + grade * (lot.stations_m[i] - lot.stations_m[from.0]);
                    prop_assert!(level >= lot.levels_m[i].0 - 1e-6 && level <= lot.levels_m[i].1 + 1e-6);
                    let (least, most) = lot.grades[i - 1];
                    prop_assert!(grade >= least - 1e-6 && grade <= most + 1e-6);
                }
                from = end;
            }
        }
    }
}
