//! Inverts at minimum cost for a whole drainage network, solved exactly by dynamic programming over the tree.
//!
//! The unknowns are the invert levels at the stations. Each level has bounds; the rise from the station downstream has a
//! least and a greatest value; each level costs something convex and piecewise linear ([`ConvexCost`]). Going from the upper
//! ends down to the outlet, each station gets the least cost of everything upstream as a function of its own level. At the
//! outlet the minimum is read off; going back up, each station takes the level nearest to its own minimum that the rise
//! allows. The method is direct: no iteration, and no approximation but the rounding of numbers.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use crate::convex_cost::{ConvexCost, CostTable};
use crate::cost_cache::{Content, CostCache, CostKey};
use crate::line_cache::LineBlock;

/// A hinge function, of which a station's cost is the sum: zero up to a level and growing linearly beyond it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hinge {
    /// Level at which it begins to grow, metres.
    pub from_m: f64,
    /// Cost for each metre beyond.
    pub price: f64,
    /// True if it grows below `from_m`, false if above.
    pub below: bool,
}

/// How a station's level depends on that of the station downstream.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Tie {
    /// It lies higher by an amount within limits, metres.
    Rise {
        /// Least rise.
        least_m: f64,
        /// Greatest rise; may be infinite.
        most_m: f64,
    },
    /// It lies on the straight line from the downstream level to a given one.
    Straight {
        /// How far along that line, 0 to 1, not 1.
        share: f64,
        /// The given level, metres.
        to_m: f64,
    },
}

/// A rise that is wanted but not required: falling short of it is penalised.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WantedRise {
    /// The rise, metres.
    pub wanted_m: f64,
    /// Penalty for each metre short of it.
    pub price: f64,
}

/// A limit on the level of the straight pipe between a station and the one downstream of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpanConstraint {
    /// How far along the way up from the station downstream, 0 to 1.
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
    /// How its level depends on that one; not read at an outlet.
    pub tie: Tie,
    /// Lowest and highest level, metres; may be infinite.
    pub bounds: (f64, f64),
    /// Index of its line.
    line: u32,
    /// Which of its line's hinges, wanted rises and span constraints are its own.
    hinges: Own,
    missing: Own,
    between: Own,
}

/// A range of a list: from one index up to another.
type Own = (u32, u32);

fn part_of<T>(list: &[T], own: Own) -> &[T] {
    &list[own.0 as usize..own.1 as usize]
}

/// One or more networks: stations with their costs, bounds and constraints.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tree {
    /// Stations, each after the one downstream of it.
    pub nodes: Vec<Node>,
    /// The lines in order of their stations, without gaps: each station of a line but the first depends on one of the same
    /// line.
    pub(crate) lines: Vec<TreeLine>,
    /// Number of wanted rises of all stations.
    wanted: usize,
}

/// The stations of one line in a tree.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct TreeLine {
    pub nodes: Range<usize>,
    /// Equal for lines with equal ties, costs and wanted rises; `None` if not known.
    pub number: Option<u64>,
    /// Its wanted rises among those of the whole tree.
    pub missing: Range<usize>,
    costs: Arc<Costs>,
    /// True if span constraints are to be kept.
    is_tight: bool,
}

/// Costs, wanted rises and span constraints of a line's stations; trees share them.
#[derive(Debug, Clone, PartialEq, Default)]
struct Costs {
    hinges: Vec<Hinge>,
    missing: Vec<WantedRise>,
    between: Vec<SpanConstraint>,
}

/// There is no solution: the station at which everything upstream leaves no level.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NoLevel {
    /// Index of the station.
    pub node: usize,
}

/// Placeholder for the tie of an outlet, which is not read.
const NO_TIE: Tie = Tie::Rise { least_m: 0.0, most_m: 0.0 };

impl Tree {
    /// The hinge functions of a station's cost.
    pub fn hinges(&self, node: usize) -> &[Hinge] {
        let node = &self.nodes[node];
        part_of(&self.lines[node.line as usize].costs.hinges, node.hinges)
    }

    /// Rises wanted between a station and the one downstream, the greatest first.
    pub fn wanted_rises(&self, node: usize) -> &[WantedRise] {
        let node = &self.nodes[node];
        part_of(&self.lines[node.line as usize].costs.missing, node.missing)
    }

    /// Limits on the level of the pipe between the two.
    pub fn span_constraints(&self, node: usize) -> &[SpanConstraint] {
        let node = &self.nodes[node];
        let line = &self.lines[node.line as usize];
        if line.is_tight { part_of(&line.costs.between, node.between) } else { &[] }
    }

    /// Indices of a station's wanted rises among those of the tree.
    fn wanted_at(&self, node: &Node) -> Range<usize> {
        let from = self.lines[node.line as usize].missing.start;
        from + node.missing.0 as usize..from + node.missing.1 as usize
    }

    /// Starts a new line with the station that is added next.
    pub(crate) fn begin_line(&mut self) {
        self.lines.push(TreeLine {
            nodes: self.nodes.len()..self.nodes.len(),
            number: None,
            missing: self.wanted..self.wanted,
            costs: Arc::default(),
            is_tight: true,
        });
    }

    /// Adds a line that was set up by itself. What its first station depends on, and that station's bounds, are given here;
    /// span constraints are left out unless `is_tight`.
    pub(crate) fn add_line(
        &mut self,
        block: &LineBlock,
        down: Option<(usize, Tie)>,
        bounds: (f64, f64),
        is_tight: bool,
    ) {
        let Some(own) = block.tree.lines.first() else { return };
        let (first, line) = (self.nodes.len(), self.lines.len() as u32);
        let later = |node: &Node| Node { down: node.down.map(|down| down + first), line, ..node.clone() };
        self.nodes.extend(block.tree.nodes.iter().map(later));
        if let Some(node) = self.nodes.get_mut(first) {
            node.down = down.map(|(node, _)| node);
            node.tie = down.map_or(NO_TIE, |(_, tie)| tie);
            node.bounds = bounds;
        }
        let missing = self.wanted..self.wanted + own.costs.missing.len();
        self.wanted = missing.end;
        let (nodes, number) = (first..self.nodes.len(), Some(block.number));
        self.lines.push(TreeLine { nodes, number, missing, costs: own.costs.clone(), is_tight });
    }

    /// True if two single lines have equal ties, costs and wanted rises; bounds and span constraints may differ.
    pub(crate) fn costs_as(&self, other: &Tree) -> bool {
        let alike = |(one, two): (&Node, &Node)| {
            one.tie == two.tie && one.down == two.down && one.hinges == two.hinges && one.missing == two.missing
        };
        let costs = |(one, two): (&TreeLine, &TreeLine)| {
            one.costs.hinges == two.costs.hinges && one.costs.missing == two.costs.missing
        };
        self.nodes.len() == other.nodes.len()
            && self.nodes.iter().zip(&other.nodes).all(alike)
            && self.lines.iter().zip(&other.lines).all(costs)
    }

    /// Empties the tree and keeps its memory.
    pub(crate) fn clear(&mut self) {
        self.nodes.clear();
        self.lines.clear();
        self.wanted = 0;
    }

    /// Adds a station and returns its index. Unless a line was just begun, the station belongs to the current line if it
    /// depends on a station of it, and starts a new one otherwise.
    pub fn push(&mut self, down: Option<(usize, Tie)>, bounds: (f64, f64), hinges: &[Hinge]) -> usize {
        let is_its = |line: &Range<usize>| line.is_empty() || down.is_some_and(|(down, _)| line.contains(&down));
        if !self.lines.last().is_some_and(|line| is_its(&line.nodes)) {
            self.begin_line();
        }
        let index = self.lines.len() as u32 - 1;
        if let Some(line) = self.lines.last_mut() {
            let costs = Arc::make_mut(&mut line.costs);
            let from = costs.hinges.len() as u32;
            costs.hinges.extend_from_slice(hinges);
            let (missing, between) = (costs.missing.len() as u32, costs.between.len() as u32);
            self.nodes.push(Node {
                down: down.map(|(node, _)| node),
                tie: down.map_or(NO_TIE, |(_, tie)| tie),
                bounds,
                line: index,
                hinges: (from, costs.hinges.len() as u32),
                missing: (missing, missing),
                between: (between, between),
            });
            line.nodes.end += 1;
        }
        self.nodes.len() - 1
    }

    /// Adds wanted rises for the station added last; they are used for a [`Tie::Rise`] whose least rise is finite.
    pub fn want(&mut self, missing: impl IntoIterator<Item = WantedRise>) {
        let (Some(node), Some(line)) = (self.nodes.last_mut(), self.lines.last_mut()) else { return };
        let all = &mut Arc::make_mut(&mut line.costs).missing;
        all.extend(missing.into_iter().filter(|missing| missing.price > 0.0));
        node.missing.1 = all.len() as u32;
        line.missing.end = line.missing.start + all.len();
        self.wanted = line.missing.end;
        let own = &mut all[node.missing.0 as usize..];
        if !own.is_sorted_by(|a, b| a.wanted_m >= b.wanted_m) {
            own.sort_by(|a, b| b.wanted_m.total_cmp(&a.wanted_m));
        }
    }

    /// Adds span constraints for the station added last.
    pub fn constrain(&mut self, between: impl IntoIterator<Item = SpanConstraint>) {
        let (Some(node), Some(line)) = (self.nodes.last_mut(), self.lines.last_mut()) else { return };
        let all = &mut Arc::make_mut(&mut line.costs).between;
        all.extend(between);
        node.between.1 = all.len() as u32;
    }

    /// The levels of minimum cost, metres, one for each station.
    ///
    /// Exact unless a span constraint is active: those are turned into bounds at the stations, which may cost slightly more
    /// than necessary and never break a constraint.
    pub fn solve(&self) -> Result<Vec<f64>, NoLevel> {
        self.solve_tight(0.0, &mut CostCache::default()).map(|(levels, _)| levels)
    }

    /// Bounds of all stations.
    pub(crate) fn bounds(&self) -> Vec<(f64, f64)> {
        self.nodes.iter().map(|node| node.bounds).collect()
    }

    /// The pass from the upper ends down to the outlets, under given bounds: returns each station's own optimum. If `parts`
    /// is given it receives, by first station, the cost of each line that joins another, as a function of the level it joins
    /// at.
    pub(crate) fn gather(
        &self,
        bounds: &[(f64, f64)],
        known: &mut CostCache,
        mut parts: Option<&mut BTreeMap<usize, Arc<CostTable>>>,
    ) -> Result<Places, NoLevel> {
        let mut places = Places::of(self);
        // Branches by the station they join; those of lines farther along the list have been used up by now.
        let mut waiting: BTreeMap<usize, Vec<Branch>> = BTreeMap::new();
        for line in self.lines.iter().rev() {
            let first = line.nodes.start;
            let joined = waiting.split_off(&first);
            let content = Content::of(self, line, &bounds[line.nodes.clone()], &joined);
            let cost = match known.find(&content, &mut places) {
                Some(token) => Cost::Known(token),
                None => {
                    let convex = self.up_the_line(line.nodes.clone(), bounds, joined, known, &mut places)?;
                    known.keep(content, convex, &places)
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

    /// The pass down one line: the cost of its first station with everything upstream.
    fn up_the_line(
        &self,
        line: Range<usize>,
        bounds: &[(f64, f64)],
        mut joined: BTreeMap<usize, Vec<Branch>>,
        known: &CostCache,
        places: &mut Places,
    ) -> Result<ConvexCost, NoLevel> {
        // Costs of stations of this line that depend on another than the one just before them.
        let mut waiting: BTreeMap<usize, ConvexCost> = BTreeMap::new();
        let mut above: Option<ConvexCost> = None;
        for i in line.clone().rev() {
            let branches = joined.remove(&i).unwrap_or_default().into_iter();
            let mut branches = branches.map(|branch| self.seen(branch.first, branch.cost, known, places));
            let both = |one: ConvexCost, other: ConvexCost| one.and(other).ok_or(NoLevel { node: i });
            let first = branches.next().or_else(|| waiting.remove(&i)).or_else(|| above.take());
            let first = first.unwrap_or_else(ConvexCost::flat);
            let gathered = branches.try_fold(first, both)?;
            let mut convex = waiting.remove(&i).into_iter().chain(above.take()).try_fold(gathered, both)?;
            if !convex.bound(bounds[i]) {
                return Err(NoLevel { node: i });
            }
            self.hinges(i).iter().for_each(|hinge| hinge.add_to(&mut convex));
            places.cheapest_m[i] = convex.lowest_place();
            match self.nodes[i].down {
                _ if i == line.start => return Ok(convex),
                Some(down) => {
                    self.carry(i, &mut convex, places);
                    if down + 1 == i {
                        above = Some(convex);
                    } else {
                        let gathered = match waiting.remove(&down) {
                            Some(gathered) => gathered.and(convex).ok_or(NoLevel { node: down })?,
                            None => convex,
                        };
                        waiting.insert(down, gathered);
                    }
                }
                None => (),
            }
        }
        Ok(ConvexCost::flat())
    }

    /// The cost of a line as a function of the level it joins at.
    fn seen(&self, first: usize, cost: Cost, known: &CostCache, places: &mut Places) -> ConvexCost {
        let mut convex = match cost {
            Cost::Known(token) => known.cost(token),
            Cost::Own(convex) => convex,
        };
        self.carry(first, &mut convex, places);
        convex
    }

    /// The same as a table.
    fn parts_of(&self, first: usize, cost: &Cost, known: &mut CostCache, places: &mut Places) -> Arc<CostTable> {
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

    /// Turns the cost of a station into a function of the level of the station downstream.
    fn carry(&self, i: usize, convex: &mut ConvexCost, places: &mut Places) {
        let node = &self.nodes[i];
        if node.down.is_some() {
            node.tie.carry(self.wanted_rises(i), &mut places.dear_m[self.wanted_at(node)], convex);
        }
    }

    /// The pass back up: the level each station takes, from its own optimum.
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

    /// The level a station takes given that of the one downstream, metres.
    pub(crate) fn settle_at(&self, i: usize, down_m: f64, places: &Places) -> f64 {
        let node = &self.nodes[i];
        match node.tie {
            Tie::Rise { least_m, most_m } => {
                let wanted = self.wanted_rises(i).iter().zip(&places.dear_m[self.wanted_at(node)]);
                let lifted = wanted.map(|(missing, dear_m)| (down_m + missing.wanted_m).min(*dear_m));
                let level_m = lifted.fold(places.cheapest_m[i], f64::max);
                level_m.min(down_m + most_m).max(down_m + least_m)
            }
            Tie::Straight { share, to_m } => down_m * (1.0 - share) + to_m * share,
        }
    }

    /// The cost of given levels, penalties for missing rise included; bounds are not checked.
    pub fn cost(&self, levels: &[f64]) -> f64 {
        let of_line = |line: &TreeLine| {
            let costs = line.costs.clone();
            line.nodes.clone().map(move |node| self.nodes[node].cost(&costs, node, levels))
        };
        self.lines.iter().flat_map(of_line).sum()
    }

    /// The cost of one station, its penalties included.
    pub fn cost_of(&self, node: usize, levels: &[f64]) -> f64 {
        let own = &self.nodes[node];
        own.cost(&self.lines[own.line as usize].costs, node, levels)
    }

    /// The cost of a station's level, without penalties.
    pub(crate) fn own_cost(&self, node: usize, level_m: f64) -> f64 {
        self.hinges(node).iter().map(|hinge| hinge.at(level_m)).sum()
    }

    /// The largest violation of a bound, a tie or a span constraint, metres.
    pub fn worst_violation(&self, levels: &[f64]) -> f64 {
        let of_node = |(i, node): (usize, &Node)| {
            let (low, high) = node.bounds;
            let bounds = (low - levels[i]).max(levels[i] - high);
            let Some(down) = node.down else { return bounds };
            let between = self.span_constraints(i).iter();
            let between = between.map(|limit| limit.breach(levels[down], levels[i]));
            between.fold(bounds.max(node.tie.violation(levels[down], levels[i])), f64::max)
        };
        self.nodes.iter().enumerate().map(of_node).fold(0.0, f64::max)
    }
}

impl Node {
    /// The cost of its level with the penalties for missing rise; it is the station `own` of some levels.
    fn cost(&self, costs: &Costs, own: usize, levels: &[f64]) -> f64 {
        let level_m = levels[own];
        let digging: f64 = part_of(&costs.hinges, self.hinges).iter().map(|hinge| hinge.at(level_m)).sum();
        let (Some(down), Tie::Rise { .. }) = (self.down, self.tie) else { return digging };
        let rise_m = level_m - levels[down];
        let missed = part_of(&costs.missing, self.missing).iter().take_while(|missing| missing.wanted_m > rise_m);
        digging + missed.map(|missing| missing.at(rise_m)).sum::<f64>()
    }
}

impl WantedRise {
    /// The penalty for a given rise.
    pub fn at(&self, rise_m: f64) -> f64 {
        self.price * (self.wanted_m - rise_m).max(0.0)
    }
}

impl SpanConstraint {
    /// By how much a straight pipe violates it, metres; negative if it is kept.
    pub(crate) fn breach(&self, down_m: f64, up_m: f64) -> f64 {
        let level_m = down_m + (up_m - down_m) * self.share;
        (self.low - level_m).max(level_m - self.high)
    }
}

impl Hinge {
    fn add_to(&self, convex: &mut ConvexCost) {
        if self.below {
            convex.add_below(self.from_m, self.price);
        } else {
            convex.add_above(self.from_m, self.price);
        }
    }

    /// Its value at a level.
    pub fn at(&self, level_m: f64) -> f64 {
        let metres = if self.below { self.from_m - level_m } else { level_m - self.from_m };
        self.price * metres.max(0.0)
    }
}

/// A line that joins another: its first station, and the cost of everything upstream as a function of that station's level.
pub(crate) struct Branch {
    pub first: usize,
    pub cost: Cost,
}

/// The cost of a line as a function of the level of its first station.
#[derive(Clone)]
pub(crate) enum Cost {
    /// Held in the cache.
    Known(CostKey),
    /// Of a line that cannot be cached.
    Own(ConvexCost),
}

/// The optimum of each station if nothing downstream constrained it, metres.
#[derive(Debug, Clone, Default)]
pub(crate) struct Places {
    /// Its level of least cost.
    pub cheapest_m: Vec<f64>,
    /// For each wanted rise of a tree, the level up to which rising further costs less than its penalty and those before it.
    pub dear_m: Vec<f64>,
}

impl Places {
    fn of(tree: &Tree) -> Self {
        Self { cheapest_m: vec![0.0; tree.nodes.len()], dear_m: vec![f64::INFINITY; tree.wanted] }
    }
}

impl Tie {
    /// Turns a cost into a function of the level downstream, and notes up to which levels the penalties are worth avoiding.
    fn carry(&self, missing: &[WantedRise], dear_m: &mut [f64], convex: &mut ConvexCost) {
        match *self {
            Self::Rise { least_m, most_m } if missing.is_empty() => convex.downstream((least_m, most_m)),
            Self::Rise { least_m, most_m } => convex.downstream_at_prices((least_m, most_m), missing, dear_m),
            Self::Straight { share, to_m } => convex.in_terms_of(1.0 - share, share * to_m),
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
