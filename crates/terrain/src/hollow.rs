//! A closed hollow as it fills: the hollows inside it, which fill first and join, and what level goes with what volume.

use crate::cells::{neighbours, rank};
use crate::{Depression, Grid};

/// Hollows inside a hollow are told apart where each is so deep below the saddle between them, metres; shallower ones fill
/// as one (own choice: half a hand).
const APART_M: f32 = 0.05;

/// A closed hollow with the hollows inside it.
///
/// A tree of parts: those at its ends hold water by themselves up to the saddle to their neighbour, over which they spill into
/// it; once both are full they are one part, which rises on. The last part is the whole hollow. (The idea of such a tree:
/// Barnes, Callaghan and Wickert, "Computing water flow through complex landscapes – Part 2: Finding hierarchies in
/// depressions and morphological segmentations", Earth Surface Dynamics 8, 2020; from memory, unverified.)
#[derive(Debug, Clone, PartialEq)]
pub struct Hollow {
    /// Its parts, those inside another before it.
    parts: Vec<Part>,
    /// The cells under water when it is full, ascending, and for each the end part that water in it comes to.
    cells: Vec<u32>,
    homes: Vec<u32>,
    /// Their ground, metres.
    levels: Vec<f32>,
}

/// A hollow, or a hollow inside one.
#[derive(Debug, Clone, PartialEq)]
struct Part {
    /// Levels of the cells that it has beside those of its inner parts, the lowest first, metres.
    levels: Vec<f64>,
    /// Water held when it stands at the level of each of them, cubic metres.
    volumes: Vec<f64>,
    /// Cells, level and water from which it rises: none, or what its inner parts have when they join.
    from: (usize, f64, f64),
    cell_area_m2: f64,
    /// Level at which it spills, metres.
    brim_m: f64,
    /// What it holds then, cubic metres.
    holds_m3: f64,
    /// The two parts that joined to this one.
    inner: Option<[usize; 2]>,
    /// The part that it belongs to with its neighbour, and the end part that it spills into.
    outer: Option<(usize, usize)>,
}

/// Water that stands in a hollow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pool {
    /// The part of the hollow that it fills.
    part: usize,
    /// How many of the part's own cells are under water.
    own: usize,
    /// Its volume, cubic metres.
    pub volume_m3: f64,
    /// Its level, metres.
    pub level_m: f64,
}

impl Pool {
    /// What it covers: two pools of a hollow with the same number and count lie over the same cells.
    pub fn covers(&self) -> (usize, usize) {
        (self.part, self.own)
    }
}

impl Part {
    fn new(levels: Vec<f64>, from: Option<(usize, f64, f64)>, brim: f32, cell_area_m2: f64) -> Self {
        let from = from.unwrap_or((0, levels.first().copied().unwrap_or(0.0), 0.0));
        let (under, mut last_m, mut held_m3) = from;
        let mut volumes = Vec::with_capacity(levels.len());
        for (k, level) in levels.iter().enumerate() {
            held_m3 += (under + k) as f64 * (level - last_m) * cell_area_m2;
            last_m = *level;
            volumes.push(held_m3);
        }
        let brim_m = f64::from(brim);
        let holds_m3 = held_m3 + (under + levels.len()) as f64 * (brim_m - last_m) * cell_area_m2;
        Self { levels, volumes, from, cell_area_m2, brim_m, holds_m3, inner: None, outer: None }
    }

    /// Cells under water when it is full.
    fn count(&self) -> usize {
        self.from.0 + self.levels.len()
    }

    /// A volume of water in it, not less than what its inner parts hold; the level is exact, for it rises evenly from cell to
    /// cell.
    fn pool(&self, part: usize, volume_m3: f64) -> Pool {
        let own = self.volumes.partition_point(|volume| *volume < volume_m3);
        let (last_m, held_m3) =
            own.checked_sub(1).map_or((self.from.1, self.from.2), |k| (self.levels[k], self.volumes[k]));
        let area_m2 = (self.from.0 + own) as f64 * self.cell_area_m2;
        let rise_m = if area_m2 > 0.0 { (volume_m3 - held_m3) / area_m2 } else { 0.0 };
        Pool { part, own, volume_m3, level_m: (last_m + rise_m).min(self.brim_m) }
    }
}

impl Hollow {
    /// The parts of a depression of a grid.
    pub fn of(grid: &Grid, depression: &Depression) -> Self {
        let mut sweep = Sweep::new(grid, depression);
        let mut order = depression.cells.clone();
        order.sort_by_key(|&cell| std::cmp::Reverse(rank(grid.levels()[cell as usize], cell as usize)));
        order.into_iter().for_each(|cell| sweep.take(cell));
        sweep.finish(depression.spill_level_m as f32)
    }

    /// What it holds when full, cubic metres.
    pub fn holds_m3(&self) -> f64 {
        self.parts.last().map_or(0.0, |whole| whole.holds_m3)
    }

    /// True for a cell under its water.
    pub(crate) fn holds(&self, cell: usize) -> bool {
        self.cells.binary_search(&(cell as u32)).is_ok()
    }

    /// The cells under its water, and the end part that water in each comes to.
    pub(crate) fn homes(&self) -> impl Iterator<Item = (u32, u32)> {
        self.cells.iter().copied().zip(self.homes.iter().copied())
    }

    /// How many end parts it has.
    pub(crate) fn ends(&self) -> usize {
        self.parts.iter().filter(|part| part.inner.is_none()).count()
    }

    /// The water that stands once so much has come to each end part, cubic metres; what is more than it holds has run over.
    pub fn pools(&self, arrived_m3: &[f64]) -> Vec<Pool> {
        let mut arrived = self.sums(arrived_m3);
        let mut pools = Vec::new();
        let mut open: Vec<usize> = self.parts.len().checked_sub(1).into_iter().collect();
        while let Some(k) = open.pop() {
            let part = &self.parts[k];
            match part.inner {
                Some(inner) if arrived[k] < inner.iter().map(|&i| self.parts[i].holds_m3).sum() => {
                    self.share(&mut arrived, inner);
                    open.extend(inner);
                }
                _ => pools.push(part.pool(k, arrived[k].min(part.holds_m3))),
            }
        }
        pools.retain(|pool| pool.volume_m3 > 0.0);
        pools
    }

    /// The cells under the water of pools, ascending: every frame asks for them, so none are sorted.
    pub fn under(&self, pools: &[Pool]) -> Vec<u32> {
        let ends = numbered(&self.parts.iter().map(|part| part.inner.is_none()).collect::<Vec<bool>>());
        let mut level_of = vec![f64::NEG_INFINITY; self.ends()];
        for pool in pools {
            let mut open = vec![pool.part];
            while let Some(k) = open.pop() {
                match self.parts[k].inner {
                    Some(inner) => open.extend(inner),
                    None => level_of[ends[k]] = pool.level_m,
                }
            }
        }
        let cells = self.cells.iter().zip(&self.homes).zip(&self.levels);
        let wet = cells.filter(|((_, home), level)| f64::from(**level) < level_of[**home as usize]);
        wet.map(|((cell, _), _)| *cell).collect()
    }

    /// What has come to each part.
    fn sums(&self, arrived_m3: &[f64]) -> Vec<f64> {
        let mut ends = arrived_m3.iter().copied();
        let mut sums: Vec<f64> = Vec::with_capacity(self.parts.len());
        for part in &self.parts {
            let sum = part.inner.map_or_else(|| ends.next().unwrap_or(0.0), |[one, other]| sums[one] + sums[other]);
            sums.push(sum);
        }
        sums
    }

    /// Lets the part of two that has more than it holds spill into the other.
    fn share(&self, arrived: &mut [f64], inner: [usize; 2]) {
        for k in inner {
            let more = arrived[k] - self.parts[k].holds_m3;
            if let Some((outer, into)) = self.parts[k].outer.filter(|_| more > 0.0) {
                arrived[k] -= more;
                let mut up = Some(self.end(into));
                while let Some(part) = up.filter(|part| *part != outer) {
                    arrived[part] += more;
                    up = self.parts[part].outer.map(|(outer, _)| outer);
                }
            }
        }
    }

    /// The part that is an end part by its number among them.
    fn end(&self, number: usize) -> usize {
        let mut ends = self.parts.iter().enumerate().filter(|(_, part)| part.inner.is_none());
        ends.nth(number).map_or(0, |(k, _)| k)
    }
}

/// Water let rise in a hollow, cell by cell.
struct Sweep<'a> {
    grid: &'a Grid,
    /// The cells of the hollow, ascending.
    all: &'a [u32],
    /// For each that is under water, the body of water it lies in when it was reached.
    body_of: Vec<Option<usize>>,
    bodies: Vec<Body>,
}

/// Connected water; one that joined another knows it.
struct Body {
    joined: Option<usize>,
    /// A shallow one: the body that its water came to.
    leads: usize,
    lowest: f32,
    /// Levels of its cells but those that it had when it was made of two.
    levels: Vec<f32>,
    /// The bodies it was made of.
    inner: Option<[usize; 2]>,
    /// The body it met at its brim, the cell beyond, and that level.
    brim: Option<(f32, u32)>,
    outer: Option<usize>,
}

impl<'a> Sweep<'a> {
    fn new(grid: &'a Grid, depression: &'a Depression) -> Self {
        Self { grid, all: &depression.cells, body_of: vec![None; depression.cells.len()], bodies: Vec::new() }
    }

    fn index(&self, cell: u32) -> Option<usize> {
        self.all.binary_search(&cell).ok()
    }

    fn root(&self, body: usize) -> usize {
        let mut at = body;
        while let Some(next) = self.bodies[at].joined {
            at = next;
        }
        at
    }

    /// Water rises over one more cell.
    fn take(&mut self, cell: u32) {
        let level = self.grid.levels()[cell as usize];
        let size = (self.grid.cols(), self.grid.rows());
        let wet: Vec<(u32, usize)> = neighbours(size, cell as usize)
            .filter_map(|(_, n)| Some((n as u32, self.body_of[self.index(n as u32)?]?)))
            .collect();
        // Water on a cell runs to its lowest neighbour under water.
        let down = wet.iter().min_by(|a, b| self.level(a.0).total_cmp(&self.level(b.0)).then(a.0.cmp(&b.0)));
        let home = down.map_or_else(|| self.begin(level), |(_, body)| *body);
        if let Some(index) = self.index(cell) {
            self.body_of[index] = Some(home);
        }
        for (beyond, body) in wet {
            self.meet(home, (cell, beyond), body, level);
        }
        let root = self.root(home);
        self.bodies[root].levels.push(level);
    }

    fn level(&self, cell: u32) -> f32 {
        self.grid.levels()[cell as usize]
    }

    fn begin(&mut self, lowest: f32) -> usize {
        let (levels, leads) = (Vec::new(), self.bodies.len());
        self.bodies.push(Body { joined: None, leads, lowest, levels, inner: None, brim: None, outer: None });
        self.bodies.len() - 1
    }

    /// Two bodies of water meet at a level: a shallow one joins the other, two deep ones become one that holds both.
    fn meet(&mut self, home: usize, (cell, beyond): (u32, u32), other: usize, level: f32) {
        let (one, two) = (self.root(home), self.root(other));
        if one == two {
            return;
        }
        let depth = |body: usize| level - self.bodies[body].lowest;
        if depth(one).min(depth(two)) < APART_M {
            return if depth(one) < depth(two) { self.absorb(two, one, other) } else { self.absorb(one, two, home) };
        }
        let both = self.begin(self.bodies[one].lowest.min(self.bodies[two].lowest));
        for (body, far) in [(one, beyond), (two, cell)] {
            let inside = &mut self.bodies[body];
            (inside.brim, inside.outer, inside.joined) = (Some((level, far)), Some(both), Some(both));
        }
        self.bodies[both].inner = Some([one, two]);
    }

    fn absorb(&mut self, into: usize, from: usize, leads: usize) {
        let levels = std::mem::take(&mut self.bodies[from].levels);
        self.bodies[into].levels.extend(levels);
        (self.bodies[from].joined, self.bodies[from].leads) = (Some(into), leads);
    }

    fn finish(mut self, spill: f32) -> Hollow {
        // Bodies that were absorbed are no parts.
        let is_part: Vec<bool> =
            self.bodies.iter().map(|body| body.outer.is_some() || body.joined.is_none()).collect();
        let numbers = numbered(&is_part);
        let is_end: Vec<bool> =
            self.bodies.iter().zip(&is_part).map(|(b, part)| *part && b.inner.is_none()).collect();
        let ends = numbered(&is_end);
        let homes: Vec<u32> =
            self.body_of.iter().map(|body| ends[self.end(body.unwrap_or(0), &is_end)] as u32).collect();
        let home_at = |cell: u32| self.index(cell).map_or(0, |k| homes[k] as usize);
        let outers: Vec<_> = self.bodies.iter().map(|b| Some((numbers[b.outer?], home_at(b.brim?.1)))).collect();
        let area_m2 = self.grid.cell_area_m2();
        let mut parts: Vec<Part> = Vec::new();
        for (k, body) in self.bodies.iter_mut().enumerate().filter(|(k, _)| is_part[*k]) {
            let mut own: Vec<f64> = std::mem::take(&mut body.levels).into_iter().map(f64::from).collect();
            own.sort_by(f64::total_cmp);
            let inner = body.inner.map(|inner| inner.map(|i| numbers[i]));
            let from = inner.map(|[one, two]| joined(&parts[one], &parts[two]));
            let part = Part::new(own, from, body.brim.map_or(spill, |(level, _)| level), area_m2);
            parts.push(Part { inner, outer: outers[k], ..part });
        }
        let levels = self.all.iter().map(|cell| self.level(*cell)).collect();
        Hollow { parts, cells: self.all.to_vec(), homes, levels }
    }

    /// The end part that the water of a body comes to.
    fn end(&self, body: usize, is_end: &[bool]) -> usize {
        let mut at = body;
        while !is_end[at] {
            at = self.bodies[at].leads;
        }
        at
    }
}

/// Cells, level and water of two parts where they join.
fn joined(one: &Part, other: &Part) -> (usize, f64, f64) {
    (one.count() + other.count(), one.brim_m, one.holds_m3 + other.holds_m3)
}

/// The number of each that counts among those that count.
fn numbered(counts: &[bool]) -> Vec<usize> {
    let before = counts.iter().scan(0, |so_far, &count| {
        let number = *so_far;
        *so_far += usize::from(count);
        Some(number)
    });
    before.collect()
}
