//! The grade lines of a whole network as one problem, and its exact solution.
//!
//! A station's level may rise over that of the station downstream by no less and no more than given; it has bounds; and
//! it costs something convex. From the upper ends down to the outlet each station gathers what everything above it
//! costs at best, as a function of its own level ([`Valley`]); at the outlet the cheapest level is plain, and from there
//! up each station takes the level nearest to its own cheapest that the rise allows. The way down and up is the whole
//! method: nothing is iterated and nothing is approximate but for the rounding of numbers.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use crate::known::{Content, KnownLines, Token};
use crate::laid::Laid;
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
    },
    /// It lies on a straight line from the downstream level to a fixed one: share of the way, and the fixed level.
    Straight {
        /// Share of the way from the downstream station to the fixed one, 0 to 1, not 1.
        share: f64,
        /// The fixed level, metres.
        to_m: f64,
    },
}

/// A rise that is wished for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Missing {
    /// The rise, metres.
    pub wanted_m: f64,
    /// What each metre short of it costs.
    pub price: f64,
}

/// A limit on the straight pipe between a station and the one downstream of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Between {
    /// Share of the way up from the station downstream, 0 to 1.
    pub share: f64,
    /// Lowest level there, metres; may be infinite.
    pub low: f64,
    /// Highest level there, metres; may be infinite.
    pub high: f64,
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
    /// Index of its line.
    line: u32,
    /// What is its own among the slopes, wishes and limits of its line.
    slopes: Own,
    missing: Own,
    between: Own,
}

/// A part of a list: from one number up to another.
type Own = (u32, u32);

fn part_of<T>(list: &[T], own: Own) -> &[T] {
    &list[own.0 as usize..own.1 as usize]
}

/// The grade lines of one or more networks.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tree {
    /// Stations, each after the one downstream of it.
    pub nodes: Vec<Node>,
    /// The lines, one after the other without a gap: each station but a line's first hangs on one of its own line.
    pub(crate) lines: Vec<TreeLine>,
    /// Number of all wishes.
    wishes: usize,
}

/// The stations of one line in a tree.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct TreeLine {
    pub nodes: Range<usize>,
    /// The same for lines whose ties, costs and wishes are the same; `None` where that is not known.
    pub number: Option<u64>,
    /// Its wishes, among those of the tree.
    pub missing: Range<usize>,
    costs: Arc<Costs>,
    /// True where limits between stations are looked at.
    is_tight: bool,
}

/// What the stations of a line cost, wish for and are limited by; trees share it.
#[derive(Debug, Clone, PartialEq, Default)]
struct Costs {
    slopes: Vec<Slope>,
    missing: Vec<Missing>,
    between: Vec<Between>,
}

/// The station at which the bounds of everything above it leave no level.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NoLevel {
    /// Index of the station.
    pub node: usize,
}

/// Stands for the tie of an outlet, which is not read.
const NO_TIE: Tie = Tie::Rise { least_m: 0.0, most_m: 0.0 };

impl Tree {
    /// Slopes of a station's cost.
    pub fn slopes(&self, node: usize) -> &[Slope] {
        let node = &self.nodes[node];
        part_of(&self.lines[node.line as usize].costs.slopes, node.slopes)
    }

    /// The rises wished for on the way to a station from the one downstream: the greatest first.
    pub fn missing(&self, node: usize) -> &[Missing] {
        let node = &self.nodes[node];
        part_of(&self.lines[node.line as usize].costs.missing, node.missing)
    }

    /// Limits of the pipe on that way.
    pub fn between(&self, node: usize) -> &[Between] {
        let node = &self.nodes[node];
        let line = &self.lines[node.line as usize];
        if line.is_tight { part_of(&line.costs.between, node.between) } else { &[] }
    }

    /// Where the wishes of a station stand among those of the tree.
    fn wishes_at(&self, node: &Node) -> Range<usize> {
        let from = self.lines[node.line as usize].missing.start;
        from + node.missing.0 as usize..from + node.missing.1 as usize
    }

    /// Begins a line: the station that is added next is its first.
    pub(crate) fn begin_line(&mut self) {
        self.lines.push(TreeLine {
            nodes: self.nodes.len()..self.nodes.len(),
            number: None,
            missing: self.wishes..self.wishes,
            costs: Arc::default(),
            is_tight: true,
        });
    }

    /// Adds a line as it was laid by itself: what its first station hangs on, and the bounds of that, are told here. Limits
    /// between stations are left out where they are not looked at.
    pub(crate) fn add_line(&mut self, laid: &Laid, down: Option<(usize, Tie)>, bounds: (f64, f64), is_tight: bool) {
        let Some(own) = laid.tree.lines.first() else { return };
        let (first, line) = (self.nodes.len(), self.lines.len() as u32);
        let later = |node: &Node| Node { down: node.down.map(|down| down + first), line, ..node.clone() };
        self.nodes.extend(laid.tree.nodes.iter().map(later));
        if let Some(node) = self.nodes.get_mut(first) {
            node.down = down.map(|(node, _)| node);
            node.tie = down.map_or(NO_TIE, |(_, tie)| tie);
            node.bounds = bounds;
        }
        let missing = self.wishes..self.wishes + own.costs.missing.len();
        self.wishes = missing.end;
        let (nodes, number) = (first..self.nodes.len(), Some(laid.number));
        self.lines.push(TreeLine { nodes, number, missing, costs: own.costs.clone(), is_tight });
    }

    /// True for the same ties, costs and wishes, whatever the bounds and limits, of two lines by themselves.
    pub(crate) fn costs_as(&self, other: &Tree) -> bool {
        let alike = |(one, two): (&Node, &Node)| {
            one.tie == two.tie && one.down == two.down && one.slopes == two.slopes && one.missing == two.missing
        };
        let costs = |(one, two): (&TreeLine, &TreeLine)| {
            one.costs.slopes == two.costs.slopes && one.costs.missing == two.costs.missing
        };
        self.nodes.len() == other.nodes.len()
            && self.nodes.iter().zip(&other.nodes).all(alike)
            && self.lines.iter().zip(&other.lines).all(costs)
    }

    /// Takes everything out and keeps the room.
    pub(crate) fn clear(&mut self) {
        self.nodes.clear();
        self.lines.clear();
        self.wishes = 0;
    }

    /// Adds a station; answers its index. Where no line was begun it belongs to that of the station before if it hangs on a
    /// station of it.
    pub fn push(&mut self, down: Option<(usize, Tie)>, bounds: (f64, f64), slopes: &[Slope]) -> usize {
        let is_its = |line: &Range<usize>| line.is_empty() || down.is_some_and(|(down, _)| line.contains(&down));
        if !self.lines.last().is_some_and(|line| is_its(&line.nodes)) {
            self.begin_line();
        }
        let index = self.lines.len() as u32 - 1;
        if let Some(line) = self.lines.last_mut() {
            let costs = Arc::make_mut(&mut line.costs);
            let from = costs.slopes.len() as u32;
            costs.slopes.extend_from_slice(slopes);
            let (missing, between) = (costs.missing.len() as u32, costs.between.len() as u32);
            self.nodes.push(Node {
                down: down.map(|(node, _)| node),
                tie: down.map_or(NO_TIE, |(_, tie)| tie),
                bounds,
                line: index,
                slopes: (from, costs.slopes.len() as u32),
                missing: (missing, missing),
                between: (between, between),
            });
            line.nodes.end += 1;
        }
        self.nodes.len() - 1
    }

    /// Adds the rises wished for on the way to the station added last; they are read for a [`Tie::Rise`] whose least rise is
    /// finite.
    pub fn wish(&mut self, missing: impl IntoIterator<Item = Missing>) {
        let (Some(node), Some(line)) = (self.nodes.last_mut(), self.lines.last_mut()) else { return };
        let all = &mut Arc::make_mut(&mut line.costs).missing;
        all.extend(missing.into_iter().filter(|missing| missing.price > 0.0));
        node.missing.1 = all.len() as u32;
        line.missing.end = line.missing.start + all.len();
        self.wishes = line.missing.end;
        let own = &mut all[node.missing.0 as usize..];
        if !own.is_sorted_by(|a, b| a.wanted_m >= b.wanted_m) {
            own.sort_by(|a, b| b.wanted_m.total_cmp(&a.wanted_m));
        }
    }

    /// Adds limits on the way to the station added last.
    pub fn limit(&mut self, between: impl IntoIterator<Item = Between>) {
        let (Some(node), Some(line)) = (self.nodes.last_mut(), self.lines.last_mut()) else { return };
        let all = &mut Arc::make_mut(&mut line.costs).between;
        all.extend(between);
        node.between.1 = all.len() as u32;
    }

    /// The cheapest levels, metres, one a station.
    ///
    /// Exact where no limit between stations stands in the way; those are kept by bounds at the stations, which may cost a
    /// little more than need be, and never break one.
    pub fn solve(&self) -> Result<Vec<f64>, NoLevel> {
        self.solve_tight(0.0, &mut KnownLines::default()).map(|(levels, _)| levels)
    }

    /// Bounds of all stations.
    pub(crate) fn bounds(&self) -> Vec<(f64, f64)> {
        self.nodes.iter().map(|node| node.bounds).collect()
    }

    /// The way down under given bounds: each station's own best places. What each line costs that hangs on another is put into
    /// `parts` by its first station, as the station downstream sees it, where that is wanted.
    pub(crate) fn gather(
        &self,
        bounds: &[(f64, f64)],
        known: &mut KnownLines,
        mut parts: Option<&mut BTreeMap<usize, Arc<Parts>>>,
    ) -> Result<Places, NoLevel> {
        let mut places = Places::of(self);
        // Lines that join, by the station at which they do; those of lines farther down the list are gone by now.
        let mut waiting: BTreeMap<usize, Vec<Branch>> = BTreeMap::new();
        for line in self.lines.iter().rev() {
            let first = line.nodes.start;
            let joined = waiting.split_off(&first);
            let content = Content::of(self, line, &bounds[line.nodes.clone()], &joined);
            let cost = match known.find(&content, &mut places) {
                Some(token) => Cost::Known(token),
                None => {
                    let valley = self.up_the_line(line.nodes.clone(), bounds, joined, known, &mut places)?;
                    known.keep(content, valley, &places)
                }
            };
            let Some(down) = self.nodes[first].down else { continue };
            if let Some(parts) = &mut parts {
                parts.insert(first, self.parts_of(first, &cost, known, &mut places));
            }
            waiting.entry(down).or_default().push(Branch { first, cost });
        }
        Ok(places)
    }

    /// The way down one line, to the cost of its first station with all above it.
    fn up_the_line(
        &self,
        line: Range<usize>,
        bounds: &[(f64, f64)],
        mut joined: BTreeMap<usize, Vec<Branch>>,
        known: &KnownLines,
        places: &mut Places,
    ) -> Result<Valley, NoLevel> {
        // Costs of the line's own stations that hang on another than the next.
        let mut waiting: BTreeMap<usize, Valley> = BTreeMap::new();
        let mut above: Option<Valley> = None;
        for i in line.clone().rev() {
            let branches = joined.remove(&i).unwrap_or_default().into_iter();
            let branches = branches.map(|branch| self.seen(branch.first, branch.cost, known, places));
            let costs: Vec<Valley> = branches.chain(waiting.remove(&i)).chain(above.take()).collect();
            let mut costs = costs.into_iter();
            let mut valley = costs.next().unwrap_or_else(Valley::flat);
            for cost in costs {
                valley = valley.and(cost).ok_or(NoLevel { node: i })?;
            }
            if !valley.bound(bounds[i]) {
                return Err(NoLevel { node: i });
            }
            self.slopes(i).iter().for_each(|slope| slope.add_to(&mut valley));
            places.cheapest_m[i] = valley.lowest_place();
            match self.nodes[i].down {
                _ if i == line.start => return Ok(valley),
                Some(down) => {
                    self.carry(i, &mut valley, places);
                    if down + 1 == i {
                        above = Some(valley);
                    } else {
                        let gathered = match waiting.remove(&down) {
                            Some(gathered) => gathered.and(valley).ok_or(NoLevel { node: down })?,
                            None => valley,
                        };
                        waiting.insert(down, gathered);
                    }
                }
                None => (),
            }
        }
        Ok(Valley::flat())
    }

    /// The cost of a line as the station sees it that its first hangs on.
    fn seen(&self, first: usize, cost: Cost, known: &KnownLines, places: &mut Places) -> Valley {
        let mut valley = match cost {
            Cost::Known(token) => known.valley(token),
            Cost::Own(valley) => valley,
        };
        self.carry(first, &mut valley, places);
        valley
    }

    /// The same taken apart.
    fn parts_of(&self, first: usize, cost: &Cost, known: &mut KnownLines, places: &mut Places) -> Arc<Parts> {
        let tie = self.nodes[first].tie;
        if let Cost::Known(token) = cost
            && let Some(parts) = known.parts(*token, tie)
        {
            return parts;
        }
        let parts = Arc::new(self.seen(first, cost.clone(), known, places).parts());
        if let Cost::Known(token) = cost {
            known.keep_parts(*token, tie, &parts);
        }
        parts
    }

    /// Turns the cost of a station into what the one downstream sees.
    fn carry(&self, i: usize, valley: &mut Valley, places: &mut Places) {
        let node = &self.nodes[i];
        if node.down.is_some() {
            node.tie.carry(self.missing(i), &mut places.dear_m[self.wishes_at(node)], valley);
        }
    }

    /// The way up: from each station's own best places to the level it takes.
    pub(crate) fn settle(&self, places: &Places) -> Vec<f64> {
        let mut levels: Vec<f64> = Vec::with_capacity(self.nodes.len());
        for (i, node) in self.nodes.iter().enumerate() {
            let cheapest_m = places.cheapest_m[i];
            levels.push(match node.down {
                Some(down) => self.settle_at(i, levels[down], places),
                None if cheapest_m.is_finite() => cheapest_m,
                None => 0.0,
            });
        }
        levels
    }

    /// The level that a station takes over that of the one downstream, metres.
    pub(crate) fn settle_at(&self, i: usize, down_m: f64, places: &Places) -> f64 {
        let node = &self.nodes[i];
        match node.tie {
            Tie::Rise { least_m, most_m } => {
                let wishes = self.missing(i).iter().zip(&places.dear_m[self.wishes_at(node)]);
                let wished = wishes.map(|(missing, dear_m)| (down_m + missing.wanted_m).min(*dear_m));
                let level_m = wished.fold(places.cheapest_m[i], f64::max);
                level_m.min(down_m + most_m).max(down_m + least_m)
            }
            Tie::Straight { share, to_m } => down_m * (1.0 - share) + to_m * share,
        }
    }

    /// The cost of levels, bounds not looked at; a rise short of its wishes pays their prices.
    pub fn cost(&self, levels: &[f64]) -> f64 {
        (0..self.nodes.len()).map(|node| self.cost_of(node, levels)).sum()
    }

    /// The cost of one station, with what its rise misses.
    pub fn cost_of(&self, node: usize, levels: &[f64]) -> f64 {
        self.own_cost(node, levels[node]) + self.missed(node, levels)
    }

    /// The cost of a station's level alone.
    pub(crate) fn own_cost(&self, node: usize, level_m: f64) -> f64 {
        self.slopes(node).iter().map(|slope| slope.at(level_m)).sum()
    }

    /// What the rise to a station misses of its wishes.
    fn missed(&self, node: usize, levels: &[f64]) -> f64 {
        let Node { down: Some(down), tie: Tie::Rise { .. }, .. } = &self.nodes[node] else { return 0.0 };
        let rise_m = levels[node] - levels[*down];
        self.missing(node).iter().map(|missing| missing.at(rise_m)).sum()
    }

    /// The greatest breach of a bound, a rise or a limit between stations, metres.
    pub fn worst_violation(&self, levels: &[f64]) -> f64 {
        let of_node = |(i, node): (usize, &Node)| {
            let (low, high) = node.bounds;
            let bounds = (low - levels[i]).max(levels[i] - high);
            let Some(down) = node.down else { return bounds };
            let between = self.between(i).iter();
            let between = between.map(|limit| limit.breach(levels[down], levels[i]));
            between.fold(bounds.max(node.tie.violation(levels[down], levels[i])), f64::max)
        };
        self.nodes.iter().enumerate().map(of_node).fold(0.0, f64::max)
    }
}

impl Missing {
    /// What a rise costs.
    pub fn at(&self, rise_m: f64) -> f64 {
        self.price * (self.wanted_m - rise_m).max(0.0)
    }
}

impl Between {
    /// By how much a straight pipe breaks it, metres; below 0 where it keeps it.
    pub(crate) fn breach(&self, down_m: f64, up_m: f64) -> f64 {
        let level_m = down_m + (up_m - down_m) * self.share;
        (self.low - level_m).max(level_m - self.high)
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

/// A line that joins another: its first station, and the cost of that with all above it.
pub(crate) struct Branch {
    pub first: usize,
    pub cost: Cost,
}

/// What a line costs by the level of its first station.
#[derive(Clone)]
pub(crate) enum Cost {
    /// Among those that are known.
    Known(Token),
    /// Of a line that is not known again.
    Own(Valley),
}

/// Where each station would lie if nothing downstream held it, metres.
#[derive(Debug, Clone, Default)]
pub(crate) struct Places {
    /// Its cheapest level.
    pub cheapest_m: Vec<f64>,
    /// For each wish of a tree, the level up to which going higher costs less than the prices of that wish and the ones
    /// before it.
    pub dear_m: Vec<f64>,
}

impl Places {
    fn of(tree: &Tree) -> Self {
        Self { cheapest_m: vec![0.0; tree.nodes.len()], dear_m: vec![f64::INFINITY; tree.wishes] }
    }
}

impl Tie {
    /// Turns a cost into what the station downstream sees, and notes up to which levels wishes are worth their price.
    fn carry(&self, missing: &[Missing], dear_m: &mut [f64], valley: &mut Valley) {
        match *self {
            Self::Rise { least_m, most_m } if missing.is_empty() => valley.downstream((least_m, most_m)),
            Self::Rise { least_m, most_m } => valley.downstream_at_prices((least_m, most_m), missing, dear_m),
            Self::Straight { share, to_m } => valley.in_terms_of(1.0 - share, share * to_m),
        }
    }

    fn violation(&self, down_m: f64, own_m: f64) -> f64 {
        match *self {
            Self::Rise { least_m, most_m } => {
                let rise_m = own_m - down_m;
                (least_m - rise_m).max(rise_m - most_m)
            }
            Self::Straight { share, to_m } => (down_m * (1.0 - share) + to_m * share - own_m).abs(),
        }
    }
}
