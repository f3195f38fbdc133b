//! The grade lines of a whole network as one problem, and its exact solution.
//!
//! A station's level may rise over that of the station downstream by no less and no more than given; it has bounds; and
//! it costs something convex. From the upper ends down to the outlet each station gathers what everything above it
//! costs at best, as a function of its own level ([`Valley`]); at the outlet the cheapest level is plain, and from there
//! up each station takes the level nearest to its own cheapest that the rise allows. The way down and up is the whole
//! method: nothing is iterated and nothing is approximate but for the rounding of numbers.

use std::ops::Range;

use crate::valley::{Parts, Valley};

/// A straight piece of a station's cost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slope {
    /// Level at which it begins, metres.
    pub from_m: f64,
    /// Cost for each metre further.
    pub price: f64,
    /// True where it counts the metres below `from_m`, false where it counts those above.
    pub below: bool,
}

/// How a station's level hangs on that of the station downstream.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Tie {
    /// It rises by so much, metres.
    Rise {
        /// Least rise.
        least_m: f64,
        /// Greatest rise; may be infinite.
        most_m: f64,
        /// A rise that is wished for, and what each metre short of it costs.
        wish: Option<(f64, f64)>,
    },
    /// It lies on a straight line from the downstream level to a fixed one: share of the way, and the fixed level.
    Straight {
        /// Share of the way from the downstream station to the fixed one, 0 to 1, not 1.
        share: f64,
        /// The fixed level, metres.
        to_m: f64,
    },
}

/// One station.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// The station downstream; it comes earlier in the list. `None` for an outlet.
    pub down: Option<usize>,
    /// How its level hangs on that one; not read at an outlet.
    pub tie: Tie,
    /// Lowest and highest level, metres; may be infinite.
    pub bounds: (f64, f64),
    /// Its slopes in [`Tree::slopes`].
    pub slopes: Range<usize>,
}

/// The grade lines of one or more networks.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tree {
    /// Stations, each after the one downstream of it.
    pub nodes: Vec<Node>,
    /// Costs of all stations.
    pub slopes: Vec<Slope>,
}

/// The station at which the bounds of everything above it leave no level.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NoLevel {
    /// Index of the station.
    pub node: usize,
}

impl Tree {
    /// Adds a station; answers its index.
    pub fn push(&mut self, down: Option<(usize, Tie)>, bounds: (f64, f64), slopes: &[Slope]) -> usize {
        let from = self.slopes.len();
        self.slopes.extend_from_slice(slopes);
        let tie = down.map_or(Tie::Rise { least_m: 0.0, most_m: 0.0, wish: None }, |(_, tie)| tie);
        let down = down.map(|(node, _)| node);
        self.nodes.push(Node { down, tie, bounds, slopes: from..self.slopes.len() });
        self.nodes.len() - 1
    }

    /// The cheapest levels, metres, one a station.
    pub fn solve(&self) -> Result<Vec<f64>, NoLevel> {
        let mut places = vec![Place::default(); self.nodes.len()];
        self.gather(|node, place, _| places[node] = place)?;
        Ok(self.settle(&places))
    }

    /// Lowest and highest level of an outlet at which everything above it holds.
    pub(crate) fn range(&self, root: usize) -> Result<(f64, f64), NoLevel> {
        let mut range = (f64::NEG_INFINITY, f64::INFINITY);
        self.gather(|node, _, valley| {
            if node == root {
                range = valley.range();
            }
        })?;
        Ok(range)
    }

    /// Where each station would lie by itself, and what each of a choice, with all above it, costs the station
    /// downstream as a function of its level.
    pub(crate) fn places(&self, wanted: impl Fn(usize) -> bool) -> Result<Placed, NoLevel> {
        let mut places = vec![Place::default(); self.nodes.len()];
        let mut costs = vec![None; self.nodes.len()];
        self.gather(|node, place, valley| {
            places[node] = place;
            if wanted(node) {
                costs[node] = Some(valley.parts());
            }
        })?;
        Ok((places, costs))
    }

    /// The way down: shows each station's own best places, and its cost with all above it as the station downstream
    /// sees it.
    fn gather(&self, mut show: impl FnMut(usize, Place, &Valley)) -> Result<(), NoLevel> {
        let mut waiting: Vec<Option<Valley>> = Vec::new();
        waiting.resize_with(self.nodes.len(), || None);
        for (i, node) in self.nodes.iter().enumerate().rev() {
            let mut valley = waiting[i].take().unwrap_or_else(Valley::flat);
            if !valley.bound(node.bounds) {
                return Err(NoLevel { node: i });
            }
            self.slopes[node.slopes.clone()].iter().for_each(|slope| slope.add_to(&mut valley));
            let cheapest_m = valley.lowest_place();
            let dear_m = node.down.and_then(|_| node.tie.carry(&mut valley)).unwrap_or(cheapest_m);
            show(i, Place { cheapest_m, dear_m }, &valley);
            let Some(down) = node.down else { continue };
            let joined = match waiting[down].take() {
                Some(gathered) => gathered.and(valley),
                None => Some(valley),
            };
            waiting[down] = Some(joined.ok_or(NoLevel { node: down })?);
        }
        Ok(())
    }

    /// The way up: from each station's own best places to the level it takes.
    fn settle(&self, places: &[Place]) -> Vec<f64> {
        let mut levels: Vec<f64> = Vec::with_capacity(places.len());
        for (node, place) in self.nodes.iter().zip(places) {
            levels.push(match node.down {
                Some(down) => node.tie.settle(levels[down], place),
                None if place.cheapest_m.is_finite() => place.cheapest_m,
                None => 0.0,
            });
        }
        levels
    }

    /// The cost of levels, bounds not looked at; a rise short of its wish pays its price.
    pub fn cost(&self, levels: &[f64]) -> f64 {
        (0..self.nodes.len()).map(|node| self.cost_of(node, levels)).sum()
    }

    /// The cost of one station, with what its rise misses.
    pub fn cost_of(&self, node: usize, levels: &[f64]) -> f64 {
        let Node { down, tie, slopes, .. } = &self.nodes[node];
        let own: f64 = self.slopes[slopes.clone()].iter().map(|slope| slope.at(levels[node])).sum();
        let missed = match (down, tie) {
            (Some(down), Tie::Rise { wish: Some((wanted_m, price)), .. }) => {
                price * (wanted_m - (levels[node] - levels[*down])).max(0.0)
            }
            _ => 0.0,
        };
        own + missed
    }

    /// The greatest breach of a bound or a rise, metres.
    pub fn worst_violation(&self, levels: &[f64]) -> f64 {
        let of_node = |(i, node): (usize, &Node)| {
            let (low, high) = node.bounds;
            let bounds = (low - levels[i]).max(levels[i] - high);
            let tie = node.down.map_or(0.0, |down| node.tie.violation(levels[down], levels[i]));
            bounds.max(tie)
        };
        self.nodes.iter().enumerate().map(of_node).fold(0.0, f64::max)
    }
}

impl Slope {
    fn add_to(&self, valley: &mut Valley) {
        if self.below {
            valley.add_below(self.from_m, self.price);
        } else {
            valley.add_above(self.from_m, self.price);
        }
    }

    /// What it costs at a level.
    pub fn at(&self, level_m: f64) -> f64 {
        let metres = if self.below { self.from_m - level_m } else { level_m - self.from_m };
        self.price * metres.max(0.0)
    }
}

/// Places of all stations, and the costs of some.
pub(crate) type Placed = (Vec<Place>, Vec<Option<Parts>>);

/// Where a station would lie if nothing downstream held it, metres.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Place {
    /// Its cheapest level.
    cheapest_m: f64,
    /// The level up to which going higher costs less than the price of a missing rise.
    dear_m: f64,
}

impl Tie {
    /// Turns a cost into what the station downstream sees; answers [`Place::dear_m`] where a rise has its price.
    fn carry(&self, valley: &mut Valley) -> Option<f64> {
        match *self {
            Self::Rise { least_m, most_m, wish: None } => valley.downstream((least_m, most_m)),
            Self::Rise { least_m, most_m, wish: Some((wanted_m, price)) } => {
                return Some(valley.downstream_at_a_price((least_m, most_m), wanted_m, price));
            }
            Self::Straight { share, to_m } => valley.in_terms_of(1.0 - share, share * to_m),
        }
        None
    }

    pub(crate) fn settle(&self, down_m: f64, place: &Place) -> f64 {
        match *self {
            Self::Rise { least_m, most_m, wish } => {
                let wished_m = wish.map_or(f64::NEG_INFINITY, |(wanted_m, _)| down_m + wanted_m);
                let level_m = place.cheapest_m.max(wished_m.min(place.dear_m));
                level_m.min(down_m + most_m).max(down_m + least_m)
            }
            Self::Straight { share, to_m } => down_m * (1.0 - share) + to_m * share,
        }
    }

    /// A rise that is wished for, and what each metre short of it costs.
    pub(crate) fn wish(&self) -> Option<(f64, f64)> {
        match *self {
            Self::Rise { wish, .. } => wish,
            Self::Straight { .. } => None,
        }
    }

    fn violation(&self, down_m: f64, own_m: f64) -> f64 {
        match *self {
            Self::Rise { least_m, most_m, .. } => {
                let rise_m = own_m - down_m;
                (least_m - rise_m).max(rise_m - most_m)
            }
            Self::Straight { share, to_m } => (down_m * (1.0 - share) + to_m * share - own_m).abs(),
        }
    }
}
