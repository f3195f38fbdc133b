//! The grade lines of a network against a general solver of linear programs (the microlp crate through good_lp), on
//! random networks; and against the optima stated for the instances in `../shared/gradeline`, found by HiGHS.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use design::{Hinge, SpanConstraint, Tie, Tree, WantedRise};
use good_lp::{Expression, ProblemVariables, Solution, SolverModel, microlp, variable};
use proptest::prelude::*;

/// A station as drawn by lot, without its place in the tree.
#[derive(Debug, Clone)]
struct Lot {
    down: prop::sample::Index,
    is_chain: bool,
    least_m: f64,
    room_m: f64,
    wishes: Vec<(f64, f64)>,
    straight: Option<(f64, f64)>,
    low: Option<f64>,
    band_m: f64,
    hinges: Vec<(f64, f64, bool)>,
}

fn lot() -> impl Strategy<Value = Lot> {
    // Often the same prices as at other stations, as flat pipe has them; then also others.
    let wishes = prop_oneof![
        Just(vec![(0.4, 0.4), (0.25, 0.8), (0.12, 1.7), (0.05, 2.6)]),
        (0.2..3.0f64).prop_map(|by| vec![(0.4 * by, 0.4), (0.25 * by, 0.8), (0.12 * by, 1.7), (0.05 * by, 2.6)]),
        prop::collection::vec((0.0..0.5f64, 0.1..6.0f64), 0..4),
    ];
    let tie = (-0.05..0.2f64, 0.0..0.6f64, wishes);
    let straight = prop::option::weighted(0.1, (0.1..0.9f64, 99.0..104.0f64));
    let bounds = (prop::option::weighted(0.4, 98.0..101.0f64), 1.0..6.0f64);
    let hinges = prop::collection::vec((98.0..106.0f64, 0.1..5.0f64, any::<bool>()), 0..4);
    (any::<prop::sample::Index>(), prop::bool::weighted(0.8), tie, straight, bounds, hinges).prop_map(
        |(down, is_chain, (least_m, room_m, wishes), straight, (low, band_m), hinges)| Lot {
            down,
            is_chain,
            least_m,
            room_m,
            wishes,
            straight,
            low,
            band_m,
            hinges,
        },
    )
}

fn tree(lots: &[Lot]) -> Tree {
    let mut tree = Tree::default();
    for (i, lot) in lots.iter().enumerate() {
        let hinges: Vec<Hinge> = lot
            .hinges
            .iter()
            .map(|(from_m, price, below)| Hinge { from_m: *from_m, price: *price, below: *below })
            .collect();
        let bounds = lot.low.map_or((90.0, 110.0), |low| (low, low + lot.band_m));
        let tie = match lot.straight {
            Some((share, to_m)) => Tie::Straight { share, to_m },
            None => Tie::Rise { least_m: lot.least_m, most_m: lot.least_m + lot.room_m },
        };
        let down = (i > 0).then(|| if lot.is_chain { i - 1 } else { lot.down.index(i) });
        tree.push(down.map(|down| (down, tie)), bounds, &hinges);
        tree.want(lot.wishes.iter().map(|(wanted_m, price)| WantedRise { wanted_m: *wanted_m, price: *price }));
    }
    tree
}

/// The optimum by linear programming; `None` where there is no solution.
fn by_program(tree: &Tree) -> Option<f64> {
    let mut variables = ProblemVariables::new();
    let levels: Vec<_> =
        tree.nodes.iter().map(|node| variables.add(variable().min(node.bounds.0).max(node.bounds.1))).collect();
    let mut cost = Expression::from(0.0);
    let mut constraints = Vec::new();
    for (i, node) in tree.nodes.iter().enumerate() {
        for slope in tree.hinges(i) {
            let metres = variables.add(variable().min(0.0));
            cost += slope.price * metres;
            let over = if slope.below { slope.from_m - levels[i] } else { levels[i] - slope.from_m };
            constraints.push((metres - over).geq(0.0));
        }
        let Some(down) = node.down else { continue };
        for limit in tree.span_constraints(i) {
            let level = (1.0 - limit.share) * levels[down] + limit.share * levels[i];
            constraints.push(level.clone().geq(limit.low));
            constraints.push(level.leq(limit.high));
        }
        match node.tie {
            Tie::Rise { least_m, most_m } => {
                constraints.push((levels[i] - levels[down]).geq(least_m));
                constraints.push((levels[i] - levels[down]).leq(most_m));
                for wish in tree.wanted_rises(i) {
                    let missing = variables.add(variable().min(0.0));
                    cost += wish.price * missing;
                    constraints.push((missing + levels[i] - levels[down]).geq(wish.wanted_m));
                }
            }
            Tie::Straight { share, to_m } => {
                constraints.push((levels[i] - (1.0 - share) * levels[down]).eq(share * to_m));
            }
        }
    }
    let problem = variables.minimise(cost.clone()).using(microlp);
    let solution =
        constraints.into_iter().fold(problem, |problem, constraint| problem.with(constraint)).solve().ok()?;
    Some(solution.eval(cost))
}

fn check(tree: &Tree) -> Result<(), TestCaseError> {
    match (tree.solve(), by_program(tree)) {
        (Ok(levels), Some(optimum)) => {
            let cost = tree.cost(&levels);
            prop_assert!((cost - optimum).abs() <= 1e-7 * (1.0 + optimum.abs()), "{cost}, by program {optimum}");
            prop_assert!(tree.worst_violation(&levels) < 1e-9, "{}", tree.worst_violation(&levels));
        }
        (Err(_), None) => {}
        (Ok(levels), None) => {
            // The program refuses what misses a bound by its own tolerance; what we hold is shown by the levels.
            prop_assert!(tree.worst_violation(&levels) < 1e-9);
        }
        (Err(no_level), Some(_)) => prop_assert!(false, "no level at {}, but there is one", no_level.node),
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    /// Small networks, with wishes, straight pipes, bounds and costs of every kind.
    #[test]
    fn the_optimum_is_the_optimum(lots in prop::collection::vec(lot(), 1..14)) {
        check(&tree(&lots))?;
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(40) })]

    #[test]
    fn the_optimum_of_larger_networks(lots in prop::collection::vec(lot(), 30..70)) {
        check(&tree(&lots))?;
    }

    /// All costs twice or a thousand times as high: the same levels.
    #[test]
    fn a_scale_of_costs_changes_nothing(lots in prop::collection::vec(lot(), 1..40), by in prop::sample::select(vec![0.5, 2.0, 1024.0])) {
        let plain = tree(&lots);
        let mut dear = Tree::default();
        for (i, node) in plain.nodes.iter().enumerate() {
            let hinges = plain.hinges(i).iter().map(|slope| Hinge { price: slope.price * by, ..*slope });
            dear.push(node.down.map(|down| (down, node.tie)), node.bounds, &hinges.collect::<Vec<_>>());
            dear.want(plain.wanted_rises(i).iter().map(|wish| WantedRise { price: wish.price * by, ..*wish }));
        }
        prop_assert_eq!(plain.solve(), dear.solve());
    }

    /// A looser limit never costs more.
    #[test]
    fn a_looser_limit_never_costs_more(lots in prop::collection::vec(lot(), 2..40), which in any::<prop::sample::Index>(), by in 0.0..0.5f64) {
        let tight = tree(&lots);
        let Ok(levels) = tight.solve() else { return Ok(()) };
        let mut loose = tight.clone();
        let node = &mut loose.nodes[which.index(lots.len())];
        node.bounds = (node.bounds.0 - by, node.bounds.1 + by);
        if let Tie::Rise { least_m, most_m } = &mut node.tie {
            (*least_m, *most_m) = (*least_m - by, *most_m + by);
        }
        let looser = loose.solve().unwrap();
        prop_assert!(loose.cost(&looser) <= tight.cost(&levels) * (1.0 + 1e-12) + 1e-9);
    }
}

/// A network with limits between some of its stations.
fn limited(lots: &[Lot], limits: &[(prop::sample::Index, f64, f64, f64)]) -> Tree {
    let mut tree = Tree::default();
    let plain = crate::tree(lots);
    for (i, node) in plain.nodes.iter().enumerate() {
        let tie = node.down.map(|down| (down, node.tie));
        tree.push(tie, node.bounds, plain.hinges(i));
        tree.want(plain.wanted_rises(i).iter().copied());
        let own = limits.iter().filter(|(at, ..)| at.index(lots.len()) == i && i > 0);
        tree.constrain(own.map(|(_, share, low, room_m)| SpanConstraint {
            share: *share,
            low: *low,
            high: low + room_m,
        }));
    }
    tree
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(300) })]

    /// Limits between stations are never broken; levels that keep them are found whenever there are any; and where none
    /// stands in the way the optimum is the optimum.
    #[test]
    fn limits_between_stations_hold(
        lots in prop::collection::vec(lot(), 2..14),
        limits in prop::collection::vec((any::<prop::sample::Index>(), 0.05..0.95f64, 97.0..102.0f64, 0.3..6.0f64), 0..6),
    ) {
        let tree = limited(&lots, &limits);
        match (tree.solve(), by_program(&tree)) {
            (Ok(levels), Some(optimum)) => {
                prop_assert!(tree.worst_violation(&levels) < 1e-8, "{}", tree.worst_violation(&levels));
                prop_assert!(tree.cost(&levels) >= optimum - 1e-7 * (1.0 + optimum.abs()));
                let unlimited = crate::tree(&lots);
                if let Ok(free) = unlimited.solve() && tree.worst_violation(&free) <= 0.0 {
                    prop_assert!((tree.cost(&levels) - optimum).abs() <= 1e-7 * (1.0 + optimum.abs()));
                }
            }
            (Err(_), None) => {}
            (Ok(levels), None) => prop_assert!(tree.worst_violation(&levels) < 1e-8),
            (Err(no_level), Some(_)) => prop_assert!(false, "no level at {}, but there is one", no_level.node),
        }
    }
}
