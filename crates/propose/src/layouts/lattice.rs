//! Ways over open ground: a lattice of places in the field, and the cheapest way for a pipe from one of them down to others.

use std::cmp::Ordering;
use std::collections::{BinaryHeap, HashMap};

use measure::{Point, Segment, distance, extent};

use super::Site;
use super::site::Level;

/// Places that a field is laid out in (own choice: a lattice of some 6 to 15 m on farm fields).
const MOST_PLACES: f64 = 3_000.0;
/// Least distance of two of them, metres (own choice).
const LEAST_STEP_M: f64 = 4.0;
/// Steps from one place to others: to the eight round it, and as a knight moves, so that ways run in sixteen directions.
const STEPS: [(isize, isize); 16] = [
    (1, 0),
    (1, 1),
    (0, 1),
    (-1, 1),
    (-1, 0),
    (-1, -1),
    (0, -1),
    (1, -1),
    (2, 1),
    (1, 2),
    (-1, 2),
    (-2, 1),
    (-2, -1),
    (-1, -2),
    (1, -2),
    (2, -1),
];
/// How far an added place reaches for those of the lattice, in steps (own choice).
const REACH: f64 = 2.3;
/// What a metre outside the field costs on the way to an outlet, in metres of trench inside it: others' land is crossed the short
/// way ([judgement]).
const OUTSIDE: f64 = 8.0;
/// What a bend costs, as a length of usual trench, metres: a straight line is easier to dig and to find again ([judgement]).
const BEND_M: f64 = 3.0;

/// A lattice of places where pipe may lie, with the places of a network added.
pub struct Lattice {
    step_m: f64,
    places: Vec<Point>,
    ground_m: Vec<f64>,
    out_of: Vec<Vec<Step>>,
}

/// A step from a place to the next.
#[derive(Debug, Clone, Copy)]
struct Step {
    to: usize,
    length_m: f64,
    /// What it costs beside its trench, as a length of usual trench, metres.
    more_m: f64,
}

/// A way down from a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// The place it leads to.
    pub to: usize,
    /// Its course, downstream.
    pub path: Vec<Point>,
    /// What digging it costs.
    pub cost: f64,
    /// Levels of the pipe at its end.
    pub level: Level,
}

/// The best way to a place of a path: what it costs, its levels there, and the place before.
type Straight = Option<(f64, Level, usize)>;

#[derive(Clone, Copy)]
struct Reached {
    cost: f64,
    place: usize,
    level: Level,
}

impl PartialEq for Reached {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Reached {}

impl Ord for Reached {
    fn cmp(&self, other: &Self) -> Ordering {
        other.cost.total_cmp(&self.cost).then(other.place.cmp(&self.place))
    }
}

impl PartialOrd for Reached {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Lattice {
    /// Lays a lattice over the field and adds the places of a network, whose numbers are theirs here too. The first of them are
    /// outlets, so many, and may lie outside the field.
    pub fn of(site: &Site, added: &[Point], outlets: usize) -> Self {
        let step_m = (site.field.area_m2() / MOST_PLACES).sqrt().max(LEAST_STEP_M);
        let mut lattice = Self { step_m, places: added.to_vec(), ground_m: Vec::new(), out_of: Vec::new() };
        let (numbers, cols) = lattice.lay(site);
        lattice.ground_m = lattice.places.iter().map(|at| site.ground.elevation(*at).unwrap_or(f64::NAN)).collect();
        lattice.out_of = vec![Vec::new(); lattice.places.len()];
        lattice.link(site, &numbers, cols);
        (0..outlets).for_each(|number| lattice.link_outlet(site, number, added.len()));
        (outlets..added.len()).for_each(|number| lattice.link_added(site, number, added.len()));
        lattice
    }

    /// Adds the free places in rows and columns; answers their numbers by row and column, and how many columns there are.
    fn lay(&mut self, site: &Site) -> (Vec<Option<usize>>, usize) {
        let Some((low, high)) = extent(site.field.ring.iter().copied()) else { return (Vec::new(), 0) };
        let count = |from_m: f64, to_m: f64| ((to_m - from_m) / self.step_m).floor() as usize + 1;
        let (cols, rows) = (count(low.x, high.x), count(low.y, high.y));
        let mut numbers = Vec::with_capacity(cols * rows);
        for row in 0..rows {
            for col in 0..cols {
                let off = |number: usize| number as f64 * self.step_m;
                let at = Point::new(low.x + off(col), low.y + off(row));
                let free = site.is_free(at);
                numbers.push(free.then_some(self.places.len()));
                self.places.extend(free.then_some(at));
            }
        }
        (numbers, cols)
    }

    fn link(&mut self, site: &Site, numbers: &[Option<usize>], cols: usize) {
        for (index, number) in numbers.iter().enumerate() {
            let Some(number) = *number else { continue };
            // Each pair once.
            for (east, north) in STEPS.into_iter().filter(|step| (step.1, step.0) > (0, 0)) {
                let col = (index % cols).checked_add_signed(east).filter(|col| *col < cols);
                let other = col.and_then(|col| {
                    let row = (index / cols).checked_add_signed(north)?;
                    *numbers.get(row * cols + col)?
                });
                if let Some(other) = other {
                    self.join(site, number, other);
                }
            }
        }
    }

    fn join(&mut self, site: &Site, one: usize, other: usize) {
        let (a, b) = (self.places[one], self.places[other]);
        if site.is_open(a, b) {
            let length_m = distance(a, b);
            self.out_of[one].push(Step { to: other, length_m, more_m: 0.0 });
            self.out_of[other].push(Step { to: one, length_m, more_m: 0.0 });
        }
    }

    /// Joins an added place to the lattice round it.
    fn link_added(&mut self, site: &Site, number: usize, added: usize) {
        let at = self.places[number];
        let near =
            (added..self.places.len()).filter(|other| distance(self.places[*other], at) <= REACH * self.step_m);
        for other in near.collect::<Vec<_>>() {
            self.join(site, number, other);
        }
    }

    /// Joins the outlet to the places nearest to it: its pipe may leave the field.
    fn link_outlet(&mut self, site: &Site, outlet: usize, added: usize) {
        let at = self.places[outlet];
        let away = |other: usize| distance(self.places[other], at);
        let clear = |other: &usize| site.may_leave(&Segment::new(at, self.places[*other]));
        let others: Vec<usize> = (added..self.places.len()).filter(clear).collect();
        let nearest_m = others.iter().map(|other| away(*other)).fold(f64::INFINITY, f64::min);
        let near: Vec<usize> =
            others.into_iter().filter(|other| away(*other) <= nearest_m + REACH * self.step_m).collect();
        for other in near {
            let more_m = OUTSIDE * site.outside_m(self.places[other], at);
            self.out_of[other].push(Step { to: outlet, length_m: away(other), more_m });
        }
    }

    /// The cheapest ways for a pipe that comes with some levels to an added place down to others, so many of those that are wanted, and
    /// to as many outlets, each course made straight where that costs less.
    pub fn ways_from(
        &self,
        site: &Site,
        (start, level): (usize, Level),
        wanted: &[usize],
        (outlets, most): (usize, usize),
    ) -> Vec<Way> {
        let before = self.search(site, (start, level));
        let straight = HashMap::from([(start, Some((0.0, level, start)))]);
        let mut found = Found { lattice: self, site, start, before, straight };
        let cheapest = |among: &mut dyn Iterator<Item = usize>| {
            let reached =
                among.filter(|to| *to != start).filter_map(|to| found.before[to].map(|(cost, _)| (cost, to)));
            let mut ranked: Vec<(f64, usize)> = reached.collect();
            ranked.sort_by(|x, y| x.0.total_cmp(&y.0).then(x.1.cmp(&y.1)));
            ranked.into_iter().take(most).map(|(_, to)| to).collect::<Vec<_>>()
        };
        let (kept, out) = (cheapest(&mut wanted.iter().copied()), cheapest(&mut (0..outlets)));
        kept.into_iter().chain(out).filter_map(|to| found.way(to)).collect()
    }

    /// Cost and the place before on the cheapest way from a start to every place that it reaches.
    fn search(&self, site: &Site, (start, level): (usize, Level)) -> Vec<Option<(f64, usize)>> {
        let mut before: Vec<Option<(f64, usize)>> = vec![None; self.places.len()];
        let mut done = vec![false; self.places.len()];
        let mut queue = BinaryHeap::from([Reached { cost: 0.0, place: start, level }]);
        before[start] = Some((0.0, start));
        while let Some(Reached { cost, place, level }) = queue.pop() {
            if std::mem::replace(&mut done[place], true) {
                continue;
            }
            for step in &self.out_of[place] {
                if done[step.to] || self.ground_m[step.to].is_nan() {
                    continue;
                }
                let next = site.digging.on((level, self.ground_m[place]), self.ground_m[step.to], step.length_m);
                let Some((more, level)) = next else { continue };
                let cost = cost + more + step.more_m * site.digging.usual_per_m();
                if before[step.to].is_none_or(|(known, _)| cost < known) {
                    before[step.to] = Some((cost, place));
                    queue.push(Reached { cost, place: step.to, level });
                }
            }
        }
        before
    }
}

/// What a search from one place found.
struct Found<'a> {
    lattice: &'a Lattice,
    site: &'a Site<'a>,
    start: usize,
    /// Cost and the place before on the cheapest way to every place.
    before: Vec<Option<(f64, usize)>>,
    /// What was made straight so far: other ways begin alike.
    straight: HashMap<usize, Straight>,
}

impl Found<'_> {
    /// The way to a place, made straight.
    fn way(&mut self, to: usize) -> Option<Way> {
        let mut numbers = vec![to];
        while let Some((_, place)) = self.before[*numbers.last()?].filter(|_| numbers.last() != Some(&self.start)) {
            numbers.push(place);
        }
        numbers.reverse();
        for end in 1..numbers.len() {
            if !self.straight.contains_key(&numbers[end]) {
                let best = self.straightened(&numbers[..=end]);
                self.straight.insert(numbers[end], best);
            }
        }
        let mut kept = vec![to];
        while let Some(last) = kept.last().copied().filter(|last| *last != self.start) {
            kept.push(self.straight[&last]?.2);
        }
        let path: Vec<Point> = kept.iter().rev().map(|number| self.lattice.places[*number]).collect();
        let (cost, level) = self.site.run_down(self.straight[&self.start]?.1, &path)?;
        Some(Way { to, path, cost, level })
    }

    /// The best way to the last place of a path through some of the places before it: only the bends that pay, each counted.
    fn straightened(&self, path: &[usize]) -> Straight {
        let usual = self.site.digging.usual_per_m();
        let bend = BEND_M * usual;
        let (to, before) = path.split_last()?;
        let end = self.lattice.places[*to];
        let mut best: Straight = None;
        for (number, from) in before.iter().enumerate() {
            let Some((cost, level, _)) = self.straight[from] else { continue };
            let at = self.lattice.places[*from];
            // No pipe costs less than the usual one.
            if best.is_some_and(|(least, ..)| cost + bend + usual * distance(at, end) >= least) {
                continue;
            }
            // Neighbors were joined before, the outlet from outside the field too.
            let open = number + 1 == before.len() || self.site.is_open(at, end);
            let run = Some((at, level)).filter(|_| open).and_then(|from| self.site.run(from, end));
            let Some((more, level)) = run else { continue };
            let sum = cost + more + bend;
            if best.is_none_or(|(known, ..)| sum < known) {
                best = Some((sum, level, *from));
            }
        }
        best
    }
}
