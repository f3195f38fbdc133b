//! The network's choice and floor against the exact least of 50 small cases, by HiGHS through scipy
//! (`tests/reference/steiner_values.py`), and against every choice there is where there are few.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a test may stop, and prints its table")]

use propose::network::{Choice, Link, Network, Stopped};
use serde_json::Value;

fn cases() -> Vec<(Network, f64)> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/steiner_values.json");
    let values: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let number = |value: &Value| value.as_f64().unwrap();
    let case = |case: &Value| {
        let prizes = case["prizes"].as_array().unwrap().iter().map(number).collect();
        let link = |link: &Value| Link {
            from: number(&link[0]) as usize,
            to: number(&link[1]) as usize,
            cost: number(&link[2]),
        };
        let links = case["links"].as_array().unwrap().iter().map(link).collect();
        (Network { prizes, links, outlet: 0 }, number(&case["least"]))
    };
    values["cases"].as_array().unwrap().iter().map(case).collect()
}

/// The least cost, by trying for every place every link down and none.
fn tried(network: &Network) -> f64 {
    fn next(network: &Network, choice: &mut Choice, place: usize) -> f64 {
        if place == network.prizes.len() {
            return if drains(network, choice) { network.cost(choice) } else { f64::INFINITY };
        }
        let mut best = next(network, choice, place + 1);
        for link in
            (0..network.links.len()).filter(|link| network.links[*link].from == place && place != network.outlet)
        {
            choice.down[place] = Some(link);
            best = best.min(next(network, choice, place + 1));
        }
        choice.down[place] = None;
        best
    }
    next(network, &mut Choice { down: vec![None; network.prizes.len()] }, 0)
}

/// True where all that is dug leads to the outlet.
fn drains(network: &Network, choice: &Choice) -> bool {
    (0..network.prizes.len()).all(|start| {
        let (mut at, mut steps) = (start, 0);
        while let Some(link) = choice.down[at] {
            (at, steps) = (network.links[link].to, steps + 1);
            if steps > network.prizes.len() {
                return false;
            }
        }
        at == network.outlet || at == start
    })
}

#[test]
fn the_choice_is_near_the_exact_least_and_the_floor_below_it() {
    let (mut worst, mut exact, mut sum, mut floors) = (0.0f64, 0, 0.0, 0.0);
    println!("case  places  links      least     chosen   gap %      floor  below %");
    for (number, (network, least)) in cases().iter().enumerate() {
        let choice = network.choose(&mut || true).unwrap();
        assert!(drains(network, &choice));
        let (cost, floor) = (network.cost(&choice), network.floor(&mut || true).unwrap());
        let (gap, below) = (cost / least - 1.0, 1.0 - floor / least);
        let (places, links) = (network.prizes.len(), network.links.len());
        println!(
            "{:>4} {places:>7} {links:>6} {least:>10.1} {cost:>10.1} {:>7.2} {floor:>10.1} {:>8.2}",
            number + 1,
            100.0 * gap,
            100.0 * below
        );
        assert!(gap > -1e-6 && floor <= least + 1e-6, "case {number}");
        exact += usize::from(gap < 1e-6);
        (worst, sum, floors) = (worst.max(gap), sum + gap, floors + below);
    }
    println!(
        "exact {exact} of 50, mean gap {:.3} %, worst {:.3} %, floor below by {:.2} % on average",
        2.0 * sum,
        100.0 * worst,
        2.0 * floors
    );
    assert!(exact >= 45 && worst < 0.03, "exact {exact}, worst {worst}");
}

#[test]
fn every_choice_tried_agrees_with_the_solver() {
    let few = |network: &Network| {
        let ways = (1..network.prizes.len())
            .map(|place| 1.0 + network.links.iter().filter(|link| link.from == place).count() as f64);
        ways.product::<f64>() < 3e5
    };
    let small: Vec<(Network, f64)> = cases().into_iter().filter(|(network, _)| few(network)).collect();
    assert!(small.len() >= 5);
    for (network, least) in small {
        assert!((tried(&network) - least).abs() < 1e-6);
    }
}

/// On a forest, where every place has one way down, pruning alone is exact: here against every choice there is.
#[test]
fn a_forest_is_exact() {
    let mut random = fastrand::Rng::with_seed(1912);
    for _ in 0..40 {
        let count = 12;
        let link = |from: usize, random: &mut fastrand::Rng| Link {
            from,
            to: random.usize(..from),
            cost: random.f64() * 60.0,
        };
        let links = (1..count).map(|from| link(from, &mut random)).collect();
        let prizes = (0..count).map(|place| if place == 0 { 0.0 } else { random.f64() * 50.0 }).collect();
        let network = Network { prizes, links, outlet: 0 };
        assert!((network.cost(&network.choose(&mut || true).unwrap()) - tried(&network)).abs() < 1e-9);
    }
}

/// So many places, each with a way of its own to the outlet that pays.
fn star(count: usize) -> Network {
    let links = (1..=count).map(|from| Link { from, to: 0, cost: 1.0 }).collect();
    let prizes = (0..=count).map(|place| if place == 0 { 0.0 } else { 2.0 }).collect();
    Network { prizes, links, outlet: 0 }
}

/// Somebody who says stop waits for one search through the network and no more: it is asked before each, and the first no ends it.
/// Counted on a star, where growth and greed look once for each place they dig and once more.
#[test]
fn it_stops_at_the_first_no() {
    for count in [20, 80] {
        let network = star(count);
        let mut asks = 0;
        let mut counted = || {
            asks += 1;
            true
        };
        assert!(network.choose(&mut counted).unwrap().down.iter().flatten().count() == count);
        assert!(asks >= 2 * (count + 1), "{asks} asks for {count} places");
        for most in [1, 2, count, asks / 2, asks - 1] {
            let mut heard = 0;
            let mut no = || {
                heard += 1;
                heard < most
            };
            assert_eq!((network.choose(&mut no), heard), (Err(Stopped), most));
        }
        let mut heard = 0;
        let mut no = || {
            heard += 1;
            heard < count / 2
        };
        assert_eq!((network.floor(&mut no), heard), (Err(Stopped), count / 2));
    }
}
