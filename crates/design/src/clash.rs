//! Why no grade line holds every limit, and what would free it.

use std::collections::BTreeMap;

use plan::{Joins, LineId, OutletId};

use crate::levels::{self, Solved, range_of_root};
use crate::network::{Network, Sizes};
use crate::{Slope, Tree};

/// Breaches under this are rounding, metres.
const ROUNDING_M: f64 = 1e-6;

/// A limit that the least-bad line breaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// The pipe lies too shallow: cover, or something it must pass under.
    TooHigh,
    /// The pipe lies too deep: the machine's reach, or something it must pass over.
    TooLow,
    /// A branch does not fit its joint and its fixed level at once.
    Joint,
}

/// A change that would let every limit hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Way {
    /// The outlet lower by so much, metres.
    LowerOutlet(OutletId, f64),
    /// The outlet higher by so much, metres.
    RaiseOutlet(OutletId, f64),
    /// So much more cut at a station of a line, metres both: the machine reaching deeper there.
    Deeper(LineId, f64, f64),
    /// A line of a larger size, metres, which may lie flatter.
    Larger(LineId, f64),
}

/// A place where limits clash.
#[derive(Debug, Clone, PartialEq)]
pub struct Clash {
    /// The line.
    pub line: LineId,
    /// Where it is worst, metres from the downstream end.
    pub station_m: f64,
    /// What is broken.
    pub limit: Limit,
    /// By how much, metres; 0 for a joint.
    pub by_m: f64,
    /// What would free it, each by itself.
    pub ways: Vec<Way>,
}

/// Every clash of the least-bad levels: one for each line and kind, the worst place of it.
pub(crate) fn clashes(solved: &Solved, levels: &[f64], sizes: &Sizes) -> Vec<Clash> {
    let network = &solved.network;
    let mut found: Vec<Clash> = Vec::new();
    for run in &network.runs {
        let stations = &network.basis.courses[&run.id].stations;
        let over = |node: usize| -> [(Limit, f64); 2] {
            let (low, high) = network.tree.nodes[node].bounds;
            [(Limit::TooHigh, levels[node] - high), (Limit::TooLow, low - levels[node])]
        };
        for kind in 0..2 {
            let nodes = run.first..run.first + run.count;
            let worst = nodes.map(|node| (node, over(node)[kind])).max_by(|a, b| a.1.1.total_cmp(&b.1.1));
            if let Some((node, (limit, by_m))) = worst.filter(|(_, (_, by_m))| *by_m > ROUNDING_M) {
                let station_m = stations[node - run.first].station_m;
                found.push(Clash { line: run.id, station_m, limit, by_m, ways: Vec::new() });
            }
        }
        if solved.loose.contains(&run.id) {
            let (line, limit) = (run.id, Limit::Joint);
            found.push(Clash { line, station_m: 0.0, limit, by_m: 0.0, ways: Vec::new() });
        }
    }
    let mut by_root: BTreeMap<usize, Vec<Way>> = BTreeMap::new();
    for clash in &mut found {
        if let Some(root) = root_of(network, clash.line) {
            clash.ways.clone_from(by_root.entry(root).or_insert_with(|| ways(solved, root)));
            clash.ways.extend(larger(solved, &members(&network.tree, root), clash.line, sizes));
        }
    }
    found
}

/// The node of the outlet that a line drains to.
fn root_of(network: &Network, line: LineId) -> Option<usize> {
    let mut node = network.node_at(line, 0.0)?;
    while let Some(down) = network.tree.nodes[node].down {
        node = down;
    }
    Some(node)
}

/// What would free the network above an outlet whatever line it is about, each by itself.
fn ways(solved: &Solved, root: usize) -> Vec<Way> {
    let network = &solved.network;
    let members = members(&network.tree, root);
    let tree = part(&network.tree, &members);
    let mut ways = Vec::new();
    let run = &network.runs[network.runs.partition_point(|run| run.first <= root) - 1];
    if let Joins::Outlet(outlet) = network.basis.plan.lines[&run.id].joins
        && let Ok((low, high)) = range_of_root(&tree, 0)
    {
        let invert_m = solved.levels[root];
        if invert_m > high {
            ways.push(Way::LowerOutlet(outlet, invert_m - high));
        } else if invert_m < low {
            ways.push(Way::RaiseOutlet(outlet, low - invert_m));
        }
    }
    ways.extend(deeper(network, &members));
    ways
}

/// Nodes that drain to a root, by index.
fn members(tree: &Tree, root: usize) -> Vec<usize> {
    let mut is_in = vec![false; tree.nodes.len()];
    for (i, node) in tree.nodes.iter().enumerate() {
        is_in[i] = i == root || node.down.is_some_and(|down| is_in[down]);
    }
    (0..is_in.len()).filter(|i| is_in[*i]).collect()
}

/// A tree of some nodes only, which hold everything downstream of each of them.
fn part(tree: &Tree, members: &[usize]) -> Tree {
    let mut new = Tree::default();
    for &i in members {
        let node = &tree.nodes[i];
        let down = node.down.and_then(|down| members.binary_search(&down).ok());
        new.push(down.map(|down| (down, node.tie)), node.bounds, &tree.slopes[node.slopes.clone()]);
    }
    new
}

/// How much deeper the trench would have to be, and where it is deepest, if everything else held.
fn deeper(network: &Network, members: &[usize]) -> Option<Way> {
    let mut tree = part(&network.tree, members);
    let lowest: Vec<f64> = tree.nodes.iter().map(|node| node.bounds.0).collect();
    for (k, node) in members.iter().enumerate() {
        if !network.is_fixed(*node) && lowest[k].is_finite() {
            tree.nodes[k].bounds.0 = f64::NEG_INFINITY;
            let price = Slope { from_m: lowest[k], price: levels::BREACH_PRICE, below: true };
            let from = tree.slopes.len();
            let own = tree.nodes[k].slopes.clone();
            tree.slopes.extend_from_within(own);
            tree.slopes.push(price);
            tree.nodes[k].slopes = from..tree.slopes.len();
        }
    }
    let solved = tree.solve().ok()?;
    let (k, by_m) = (0..members.len())
        .map(|k| (k, if network.is_fixed(members[k]) { 0.0 } else { lowest[k] - solved[k] }))
        .max_by(|a, b| a.1.total_cmp(&b.1))?;
    let run = &network.runs[network.runs.partition_point(|run| run.first <= members[k]) - 1];
    let station_m = network.basis.courses[&run.id].stations[members[k] - run.first].station_m;
    (by_m > ROUNDING_M).then_some(Way::Deeper(run.id, station_m, by_m))
}

/// The first line on the way from a line to its outlet whose next larger size alone lets everything hold.
fn larger(solved: &Solved, members: &[usize], line: LineId, sizes: &Sizes) -> Option<Way> {
    let network = &solved.network;
    let downstream = |id: &LineId| match network.basis.plan.lines[id].joins {
        Joins::Line(main) => Some(main),
        _ => None,
    };
    let way = std::iter::successors(Some(line), downstream).take(network.runs.len());
    way.filter(|id| sizes.contains_key(id)).find_map(|id| {
        let larger = hydraulics::next_size_up(sizes[&id])?;
        let mut sizes = sizes.clone();
        sizes.insert(id, larger);
        let other = Network::of(network.basis, &sizes, &solved.loose);
        part(&other.tree, members).solve().is_ok().then_some(Way::Larger(id, larger))
    })
}
