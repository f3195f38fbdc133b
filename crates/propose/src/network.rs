//! Which links to dig so that digging and what is left wet cost least together: a prize-collecting Steiner tree that runs down
//! to the outlet.
//!
//! Exact where every place has one way down ([`Network::choose`] then prunes a tree); elsewhere growth, pruning and an exchange of
//! ways, with a bound from below ([`Network::floor`]) so that the gap is known.

use std::cell::RefCell;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// A way for water from a place down to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Link {
    /// The upper place.
    pub from: usize,
    /// The lower place.
    pub to: usize,
    /// What digging it costs.
    pub cost: f64,
}

/// Places, what draining each is worth, and the links that could be dug.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Network {
    /// What it costs to leave each place wet; 0 for a mere joint.
    pub prizes: Vec<f64>,
    /// What could be dug.
    pub links: Vec<Link>,
    /// The place where all water leaves.
    pub outlet: usize,
}

/// The link by which each place drains; `None` for one that is left wet, and for the outlet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// Numbers of links by place.
    pub down: Vec<Option<usize>>,
}

/// It was given up before a choice was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stopped;

/// Says whether to go on; asked before every search through the network.
pub type Ask<'a> = &'a mut dyn FnMut() -> bool;

/// Rounds of exchanges before it is left (own choice: the small cases need three at most).
const MOST_ROUNDS: usize = 12;
/// Sums that differ by less are one.
const SAME: f64 = 1e-9;

impl Choice {
    /// Nothing dug.
    fn none(count: usize) -> Self {
        Self { down: vec![None; count] }
    }
}

/// Places on the way of a search, the cheapest first; of two the one with the lower number. Costs that are not below zero are in the
/// order of their bits, which are quicker to compare.
#[derive(Default)]
struct Queue(BinaryHeap<Reverse<(u64, usize)>>);

impl Queue {
    fn push(&mut self, cost: f64, place: usize) {
        self.0.push(Reverse((cost.to_bits(), place)));
    }

    fn pop(&mut self) -> Option<(f64, usize)> {
        self.0.pop().map(|Reverse((cost, place))| (f64::from_bits(cost), place))
    }
}

/// The cheapest way from every place down to what is dug.
struct Ways {
    cost: Vec<f64>,
    down: Vec<Option<usize>>,
}

/// Links by place, and who says whether to go on.
struct Sides<'a, 'f> {
    into: Vec<Vec<usize>>,
    out_of: Vec<Vec<usize>>,
    ask: &'a RefCell<Ask<'f>>,
}

impl Sides<'_, '_> {
    fn ask(&self) -> Result<(), Stopped> {
        let mut ask = self.ask.borrow_mut();
        if ask() { Ok(()) } else { Err(Stopped) }
    }
}

impl Network {
    /// What a choice costs: the links that are dug, and every place that is left wet.
    pub fn cost(&self, choice: &Choice) -> f64 {
        let dug: f64 = choice.down.iter().flatten().map(|link| self.links[*link].cost).sum();
        let left = (0..self.prizes.len()).filter(|place| !self.drains(choice, *place));
        dug + left.map(|place| self.prizes[place]).sum::<f64>()
    }

    /// True where a place is drained.
    pub fn drains(&self, choice: &Choice, place: usize) -> bool {
        place == self.outlet || choice.down[place].is_some()
    }

    /// Whether links that can be dug lead down from each place to the outlet.
    pub fn leading(&self, ask: Ask) -> Result<Vec<bool>, Stopped> {
        let ask = RefCell::new(ask);
        let ways = self.ways(&self.sides(&ask), |place| place == self.outlet, |_| false)?;
        Ok(ways.cost.into_iter().map(f64::is_finite).collect())
    }

    /// The best choice found.
    pub fn choose(&self, ask: Ask) -> Result<Choice, Stopped> {
        let ask = RefCell::new(ask);
        let sides = self.sides(&ask);
        let all = self.grown(&sides)?;
        let worthy = self.filled(&sides, Choice::none(self.prizes.len()))?;
        let starts = [self.pruned(&all), worthy, self.pruned(&self.on_paid_links(&sides)?)];
        let mut best: Option<(f64, Choice)> = None;
        for start in starts {
            let choice = self.exchanged(&sides, start)?;
            let cost = self.cost(&choice);
            if best.as_ref().is_none_or(|(least, _)| cost < *least) {
                best = Some((cost, choice));
            }
        }
        Ok(best.map_or_else(|| Choice::none(self.prizes.len()), |(_, choice)| choice))
    }

    /// A choice without the links that cannot be dug at any cost, and without what drained through them.
    pub fn left(&self, choice: &Choice) -> Choice {
        let mut kept = choice.clone();
        for place in self.top_down(choice).into_iter().rev() {
            let link = kept.down[place].map(|link| (self.links[link].cost, self.links[link].to));
            if link.is_some_and(|(cost, to)| cost.is_infinite() || !self.drains(&kept, to)) {
                kept.down[place] = None;
            }
        }
        self.pruned(&kept)
    }

    /// A choice to which all is added that gains, place by place.
    pub fn refilled(&self, choice: &Choice, ask: Ask) -> Result<Choice, Stopped> {
        let ask = RefCell::new(ask);
        Ok(self.pruned(&self.filled(&self.sides(&ask), choice.clone())?))
    }

    /// A choice bettered by exchanges.
    pub fn bettered(&self, choice: Choice, ask: Ask) -> Result<Choice, Stopped> {
        let ask = RefCell::new(ask);
        self.exchanged(&self.sides(&ask), choice)
    }

    /// All places with a prize by links that are paid for where the floor is reached: often the least there is, for the floor is
    /// seldom far below it.
    fn on_paid_links(&self, sides: &Sides) -> Result<Choice, Stopped> {
        let left = self.pay(sides)?.1;
        let paid: Vec<usize> = (0..left.len()).filter(|link| left[*link] <= SAME).collect();
        let links = paid.iter().map(|link| self.links[*link]).collect();
        let network = Self { links, ..self.clone() };
        let chosen = network.grown(&network.sides(sides.ask))?;
        Ok(Choice { down: chosen.down.into_iter().map(|link| link.map(|link| paid[link])).collect() })
    }

    fn sides<'a, 'f>(&self, ask: &'a RefCell<Ask<'f>>) -> Sides<'a, 'f> {
        let by_place = vec![Vec::new(); self.prizes.len()];
        let mut sides = Sides { into: by_place.clone(), out_of: by_place, ask };
        for (number, link) in self.links.iter().enumerate() {
            sides.into[link.to].push(number);
            sides.out_of[link.from].push(number);
        }
        sides
    }

    /// The cheapest ways down to the places that `is_dug` names, through none that `is_barred`.
    fn ways(
        &self,
        sides: &Sides,
        is_dug: impl Fn(usize) -> bool,
        is_barred: impl Fn(usize) -> bool,
    ) -> Result<Ways, Stopped> {
        let count = self.prizes.len();
        let mut ways = Ways { cost: vec![f64::INFINITY; count], down: vec![None; count] };
        let dug: Vec<usize> = (0..count).filter(|place| is_dug(*place)).collect();
        self.lead_to(sides, &mut ways, &dug, is_barred)?;
        Ok(ways)
    }

    /// Leads ways to places that are dug too by now, where that is cheaper.
    fn lead_to(
        &self,
        sides: &Sides,
        ways: &mut Ways,
        dug: &[usize],
        is_barred: impl Fn(usize) -> bool,
    ) -> Result<(), Stopped> {
        sides.ask()?;
        let mut queue = Queue::default();
        for place in dug {
            (ways.cost[*place], ways.down[*place]) = (0.0, None);
            queue.push(0.0, *place);
        }
        while let Some((cost, place)) = queue.pop() {
            if cost > ways.cost[place] {
                continue;
            }
            for number in &sides.into[place] {
                let link = self.links[*number];
                let further = cost + link.cost;
                if further < ways.cost[link.from] && !is_barred(link.from) {
                    ways.cost[link.from] = further;
                    ways.down[link.from] = Some(*number);
                    queue.push(further, link.from);
                }
            }
        }
        Ok(())
    }

    /// The links of the cheapest way from a place down to the nearest that `is_dug`, through none that `is_barred`.
    fn way_down(
        &self,
        sides: &Sides,
        start: usize,
        is_dug: impl Fn(usize) -> bool,
        is_barred: impl Fn(usize) -> bool,
    ) -> Result<Option<Vec<usize>>, Stopped> {
        sides.ask()?;
        let mut cost = vec![f64::INFINITY; self.prizes.len()];
        let mut before: Vec<Option<usize>> = vec![None; self.prizes.len()];
        let mut queue = Queue::default();
        cost[start] = 0.0;
        queue.push(0.0, start);
        while let Some((so_far, place)) = queue.pop() {
            if so_far > cost[place] {
                continue;
            }
            if place != start && is_dug(place) {
                let up = |link: &usize| before[self.links[*link].from];
                return Ok(Some(std::iter::successors(before[place], up).collect()));
            }
            for number in &sides.out_of[place] {
                let link = self.links[*number];
                let further = so_far + link.cost;
                if further < cost[link.to] && !is_barred(link.to) {
                    cost[link.to] = further;
                    before[link.to] = Some(*number);
                    queue.push(further, link.to);
                }
            }
        }
        Ok(None)
    }

    /// Digs the way from a place down to what is dug; answers the places that are dug by that.
    fn dig(&self, choice: &mut Choice, ways: &Ways, mut place: usize) -> Vec<usize> {
        let mut dug = Vec::new();
        while let Some(link) = ways.down[place].filter(|_| !self.drains(choice, place)) {
            choice.down[place] = Some(link);
            dug.push(place);
            place = self.links[link].to;
        }
        dug
    }

    /// All places with a prize, the nearest first, each by the cheapest way to what is dug by then.
    fn grown(&self, sides: &Sides) -> Result<Choice, Stopped> {
        let mut choice = Choice::none(self.prizes.len());
        let wanted = (0..self.prizes.len()).filter(|place| self.prizes[*place] > 0.0).collect();
        self.grow(sides, &mut choice, wanted, |_| false)?;
        Ok(choice)
    }

    /// Digs to the places that are wanted, through none that `is_barred`.
    fn grow(
        &self,
        sides: &Sides,
        choice: &mut Choice,
        mut wanted: Vec<usize>,
        is_barred: impl Fn(usize) -> bool,
    ) -> Result<(), Stopped> {
        let mut ways = self.ways(sides, |place| self.drains(choice, place), &is_barred)?;
        loop {
            wanted.retain(|place| !self.drains(choice, *place));
            let next = wanted.iter().copied().filter(|place| ways.cost[*place].is_finite());
            let Some(next) = next.min_by(|x, y| ways.cost[*x].total_cmp(&ways.cost[*y])) else { return Ok(()) };
            let dug = self.dig(choice, &ways, next);
            self.lead_to(sides, &mut ways, &dug, &is_barred)?;
        }
    }

    /// Place by place, each time the way that gains most, as long as one gains anything.
    fn filled(&self, sides: &Sides, mut choice: Choice) -> Result<Choice, Stopped> {
        let mut ways = self.ways(sides, |place| self.drains(&choice, place), |_| false)?;
        while let Some(place) = self.gainful(&ways) {
            let dug = self.dig(&mut choice, &ways, place);
            self.lead_to(sides, &mut ways, &dug, |_| false)?;
        }
        Ok(choice)
    }

    /// The place whose way down gains most beyond what it costs.
    fn gainful(&self, ways: &Ways) -> Option<usize> {
        let brought = self.brought(ways);
        let open = (0..self.prizes.len()).filter(|place| ways.down[*place].is_some());
        let ranked = open.map(|place| (brought[place] - ways.cost[place], place)).filter(|(gain, _)| *gain > SAME);
        ranked.max_by(|x, y| x.0.total_cmp(&y.0).then(y.1.cmp(&x.1))).map(|(_, place)| place)
    }

    /// What the way down from each place brings: the prizes on it, each place after the next one below it.
    fn brought(&self, ways: &Ways) -> Vec<f64> {
        let mut brought: Vec<Option<f64>> =
            ways.down.iter().map(|link| if link.is_some() { None } else { Some(0.0) }).collect();
        let mut way = Vec::new();
        for start in 0..brought.len() {
            let mut at = start;
            while let Some(link) = ways.down[at].filter(|_| brought[at].is_none()) {
                way.push(at);
                at = self.links[link].to;
            }
            let mut sum = brought[at].unwrap_or(0.0);
            while let Some(place) = way.pop() {
                sum += self.prizes[place];
                brought[place] = Some(sum);
            }
        }
        brought.into_iter().flatten().collect()
    }

    /// The choice without the branches that cost more than they bring; exact for what is dug.
    pub fn pruned(&self, choice: &Choice) -> Choice {
        let mut kept = choice.clone();
        let order = self.top_down(choice);
        let mut worth = self.prizes.clone();
        for place in order {
            let Some(link) = choice.down[place].map(|number| self.links[number]) else { continue };
            let net = worth[place] - link.cost;
            if net > SAME {
                worth[link.to] += net;
            } else {
                kept.down[place] = None;
            }
        }
        // What drained through a branch that went is left too.
        for place in self.top_down(choice).into_iter().rev() {
            let goes = kept.down[place].is_some_and(|link| !self.drains(&kept, self.links[link].to));
            if goes {
                kept.down[place] = None;
            }
        }
        kept
    }

    /// Places that are dug, each before the one it drains to.
    pub fn top_down(&self, choice: &Choice) -> Vec<usize> {
        let mut depth = vec![usize::MAX; self.prizes.len()];
        depth[self.outlet] = 0;
        for start in 0..depth.len() {
            let mut way = Vec::new();
            let mut at = start;
            while depth[at] == usize::MAX && way.len() <= depth.len() {
                way.push(at);
                match choice.down[at] {
                    Some(link) => at = self.links[link].to,
                    None => break,
                }
            }
            let mut below = if depth[at] == usize::MAX { 0 } else { depth[at] };
            for place in way.into_iter().rev() {
                below += 1;
                depth[place] = below;
            }
        }
        let mut order: Vec<usize> = (0..depth.len()).filter(|place| choice.down[*place].is_some()).collect();
        order.sort_by_key(|place| (std::cmp::Reverse(depth[*place]), *place));
        order
    }

    /// Branches hung elsewhere and places added as long as that gains.
    fn exchanged(&self, sides: &Sides, start: Choice) -> Result<Choice, Stopped> {
        let (mut best, mut cost) = (start.clone(), self.cost(&start));
        for _ in 0..MOST_ROUNDS {
            let before = cost;
            for place in 0..self.prizes.len() {
                for tried in [self.rehung(sides, &best, place)?, self.without(sides, &best, place)?] {
                    let Some(tried) = tried else { continue };
                    let tried = self.pruned(&self.filled(sides, tried)?);
                    let sum = self.cost(&tried);
                    if sum < cost - SAME {
                        (best, cost) = (tried, sum);
                    }
                }
            }
            if cost >= before - SAME {
                break;
            }
        }
        Ok(best)
    }

    /// True for the places that drain through a place, itself among them.
    fn above(&self, choice: &Choice, place: usize) -> Vec<bool> {
        let mut above = vec![false; self.prizes.len()];
        above[place] = true;
        for other in self.top_down(choice).into_iter().rev() {
            let next = choice.down[other].map(|link| self.links[link].to);
            above[other] |= next.is_some_and(|next| above[next]);
        }
        above
    }

    /// A place with all that drains through it hung to the rest by the cheapest way there is, or added where it is left wet.
    fn rehung(&self, sides: &Sides, choice: &Choice, place: usize) -> Result<Option<Choice>, Stopped> {
        if place == self.outlet {
            return Ok(None);
        }
        let above =
            if self.drains(choice, place) { self.above(choice, place) } else { vec![false; self.prizes.len()] };
        let mut bare = choice.clone();
        self.cut_below(&mut bare, place);
        let way = self.way_down(sides, place, |at| self.drains(&bare, at) && !above[at], |at| above[at])?;
        let Some(way) = way else { return Ok(None) };
        for link in way {
            bare.down[self.links[link].from] = Some(link);
        }
        Ok((bare != *choice).then_some(bare))
    }

    /// Takes out the way below a place as far as nothing else needs it.
    fn cut_below(&self, choice: &mut Choice, place: usize) {
        let mut feeders = vec![0usize; self.prizes.len()];
        choice.down.iter().flatten().for_each(|link| feeders[self.links[*link].to] += 1);
        let mut at = place;
        while let Some(link) = choice.down[at].take() {
            at = self.links[link].to;
            feeders[at] -= 1;
            if feeders[at] > 0 || self.prizes[at] > 0.0 || at == self.outlet {
                return;
            }
        }
    }

    /// The choice with a place barred: what drained through it goes another way, or is left.
    fn without(&self, sides: &Sides, choice: &Choice, place: usize) -> Result<Option<Choice>, Stopped> {
        if place == self.outlet || !self.drains(choice, place) {
            return Ok(None);
        }
        let above = self.above(choice, place);
        let mut bare = choice.clone();
        for at in (0..above.len()).filter(|at| above[*at]) {
            bare.down[at] = None;
        }
        let lost = (0..above.len()).filter(|at| above[*at] && *at != place && self.prizes[*at] > 0.0).collect();
        self.grow(sides, &mut bare, lost, |at| at == place)?;
        Ok(Some(bare))
    }

    /// A sum that no choice goes below: for each place with a prize what every way from it must pay, no link paid for twice (dual
    /// ascent over directed cuts, Wong 1984, with what a place is worth as its way out).
    pub fn floor(&self, ask: Ask) -> Result<f64, Stopped> {
        let ask = RefCell::new(ask);
        Ok(self.pay(&self.sides(&ask))?.0)
    }

    /// The floor, and what is left to pay of every link where it is reached.
    fn pay(&self, sides: &Sides) -> Result<(f64, Vec<f64>), Stopped> {
        let mut left: Vec<f64> = self.links.iter().map(|link| link.cost).collect();
        let mut slack = self.prizes.clone();
        let mut open: Vec<usize> = (0..slack.len()).filter(|p| slack[*p] > 0.0 && *p != self.outlet).collect();
        let mut floor = 0.0;
        let mut reach: Vec<Vec<usize>> = (0..slack.len()).map(|_| Vec::new()).collect();
        for place in &open {
            reach[*place] = self.within(sides, &left, *place)?;
        }
        // The place with the fewest others in its reach pays first.
        while let Some(place) = open.iter().copied().min_by_key(|place| (reach[*place].len(), *place)) {
            let holds = |reach: &[usize], at: usize| reach.binary_search(&at).is_ok();
            if holds(&reach[place], self.outlet) {
                open.retain(|other| *other != place);
                continue;
            }
            let out = reach[place].iter().flat_map(|at| &sides.out_of[*at]).copied();
            let cut: Vec<usize> = out.filter(|link| !holds(&reach[place], self.links[*link].to)).collect();
            let pays = cut.iter().map(|link| left[*link]).fold(slack[place], f64::min);
            cut.iter().for_each(|link| left[*link] -= pays);
            slack[place] -= pays;
            floor += pays;
            open.retain(|other| slack[*other] > SAME);
            // Only who reaches a link that is paid for now reaches farther.
            let paid: Vec<usize> = cut.into_iter().filter(|link| left[*link] <= SAME).collect();
            for other in &open {
                if paid.iter().any(|link| holds(&reach[*other], self.links[*link].from)) {
                    reach[*other] = self.within(sides, &left, *other)?;
                }
            }
        }
        Ok((floor, left))
    }

    /// Places that a place reaches over links that are paid for, ascending.
    fn within(&self, sides: &Sides, left: &[f64], place: usize) -> Result<Vec<usize>, Stopped> {
        sides.ask()?;
        let mut seen = vec![false; self.prizes.len()];
        let mut stack = vec![place];
        seen[place] = true;
        while let Some(at) = stack.pop() {
            for number in sides.out_of[at].iter().filter(|number| left[**number] <= SAME) {
                let to = self.links[*number].to;
                if !std::mem::replace(&mut seen[to], true) {
                    stack.push(to);
                }
            }
        }
        Ok((0..seen.len()).filter(|at| seen[*at]).collect())
    }
}
