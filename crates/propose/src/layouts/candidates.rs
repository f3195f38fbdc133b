//! What could be dug: links along swales and ways over open ground as a network with prizes.

use std::collections::BTreeMap;

use measure::{Paths, Point, nearest_on, part_of, path_length, point_at, segments};
use plan::Outlet;

use super::lattice::{self, Lattice};
use super::site::Level;
use super::swales::{parts, runs};
use super::wet::Wet;
use super::{Kind, Site, patches, toe};
use crate::network::{Ask, Link, Network, Stopped};
use crate::threads::each;

/// Ways over open ground that are looked at from one place: to other lines, and to outlets (own choice).
const MOST_WAYS: usize = 8;
/// So many of the lowest joints of a swale may be left by a way over open ground (own choice).
const LOWEST_JOINTS: usize = 3;

/// Where a link runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Along {
    /// Along a swale.
    Swale,
    /// Along the toe of a slope.
    Toe,
    /// Over open ground.
    Open,
    /// Out into the open at an outlet.
    Outlet,
}

/// The course of a link.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// Its points, downstream.
    pub path: Vec<Point>,
    /// Where it runs.
    pub along: Along,
    /// The place whose prize it brings.
    pub serves: Option<usize>,
    /// The highest that pipe comes to the end of a way over open ground, where no more water than its own runs in it, metres.
    pub highest_m: Option<f64>,
}

/// What could be dug.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Candidates {
    /// The places of the network; the first stands for all outlets together, those after it are the outlets.
    pub places: Vec<Point>,
    /// How many outlets there are.
    pub outlets: usize,
    /// What counts as wet land that is served where the water of a place is led away, square metres.
    pub wet_m2: Vec<f64>,
    /// What of that lies beside the link that brings it, square metres.
    beside_m2: Vec<f64>,
    /// Links as numbers of places, with what digging costs.
    pub links: Vec<Link>,
    /// Their courses.
    pub courses: Vec<Course>,
    /// Levels with which pipe comes to a place from above, where they are known.
    comes: BTreeMap<usize, Level>,
    /// The lowest level at a joint with which what lies below it is not too deep for the machine, metres.
    lowest_m: BTreeMap<usize, f64>,
}

/// An outlet that may be used, and what using it costs beside the pipe.
pub struct Way<'a> {
    /// The outlet.
    pub outlet: &'a Outlet,
    /// What it costs, in cost weights.
    pub cost: f64,
}

impl Candidates {
    /// Gathers what could be dug toward outlets: along swales, and what else makes a kind of layout. `None` where it is given up.
    /// Ways are looked for in so many threads.
    pub fn of(
        site: &Site,
        outlets: &[Way],
        kind: Kind,
        threads: usize,
        go_on: &mut dyn FnMut() -> bool,
    ) -> Option<Self> {
        let mut found = Self { outlets: outlets.len(), ..Self::default() };
        found.place(site.field.middle());
        for way in outlets {
            let number = found.place(way.outlet.at);
            found.link(
                (number, 0),
                way.cost,
                Course { path: vec![way.outlet.at], along: Along::Outlet, serves: None, highest_m: None },
            );
        }
        let (mut joints, mut sources) = found.add_swales(site);
        match kind {
            Kind::WetAreas => found.add_patches(site, &mut joints, &mut sources),
            Kind::Interceptor => found.add_toes(site, &mut joints, &mut sources),
            Kind::Swales | Kind::Grid => {}
        }
        found.add_ways(site, outlets, (&joints, &sources), threads, go_on)?;
        found.share_out(site);
        Some(found)
    }

    fn place(&mut self, at: Point) -> usize {
        self.places.push(at);
        self.wet_m2.push(0.0);
        self.beside_m2.push(0.0);
        self.places.len() - 1
    }

    fn link(&mut self, (from, to): (usize, usize), cost: f64, course: Course) {
        self.links.push(Link { from, to, cost });
        self.courses.push(course);
    }

    /// Adds the links along swales; answers all joints, by run, and those from which ways over open ground may lead.
    fn add_swales(&mut self, site: &Site) -> (Vec<Vec<usize>>, Vec<usize>) {
        let (swales, runs) = (&site.land.swales, runs(site));
        let mut joints: Vec<Vec<usize>> = Vec::new();
        let mut sources = Vec::new();
        for run in &runs {
            let mut own: Vec<usize> = run.places(swales).into_iter().map(|at| self.place(at)).collect();
            let joined = run.joins.and_then(|(other, at)| Some(joints[other][runs[other].joint_at(swales, at)?]));
            match (joined, own.last_mut()) {
                // The place that was made for its end is the other's; it stays without a link.
                (Some(joint), Some(last)) => *last = joint,
                _ => sources.extend(own.iter().rev().take(LOWEST_JOINTS).copied()),
            }
            let courses: Vec<Vec<Point>> =
                (0..own.len().saturating_sub(1)).map(|link| run.course(swales, link)).collect();
            for (link, course) in courses.iter().enumerate() {
                let counted_m2 = running_m2(site, path_length(course), run.gathers_m2(swales, link));
                let ends = (own[link], own[link + 1]);
                // What comes to a bar that is too deep to be dug through may leave by another way.
                if !self.add_link(site, ends, (course, Along::Swale), counted_m2) && !sources.contains(&ends.0) {
                    sources.push(ends.0);
                }
            }
            self.set_lowest(site, &own, &courses);
            joints.push(own);
        }
        (joints, sources)
    }

    /// Adds links through the wet patches that no link along a swale serves; each may be joined and left like a swale.
    fn add_patches(&mut self, site: &Site, joints: &mut Vec<Vec<usize>>, sources: &mut Vec<usize>) {
        let along_swales = Paths::new(self.courses.iter().flat_map(|course| segments(0, &course.path)).collect());
        for row in patches::rows(site, &along_swales) {
            let (from, to) = (self.place(row.from), self.place(row.to));
            self.add_link(site, (from, to), (&[row.from, row.to], Along::Swale), 0.0);
            self.set_lowest(site, &[from, to], &[vec![row.from, row.to]]);
            joints.push(vec![from, to]);
            sources.push(to);
        }
    }

    /// Adds links along the toes of slopes; each serves the wet land below it whose water it takes.
    fn add_toes(&mut self, site: &Site, joints: &mut Vec<Vec<usize>>, sources: &mut Vec<usize>) {
        for path in toe::toes(site) {
            let length_m = path_length(&path);
            let cuts_m: Vec<f64> = parts(0.0, length_m).chain([length_m]).collect();
            let own: Vec<usize> =
                cuts_m.iter().filter_map(|cut_m| point_at(&path, *cut_m)).map(|at| self.place(at)).collect();
            for (ends, cut_m) in own.windows(2).zip(cuts_m.windows(2)) {
                let part = part_of(&path, cut_m[0], cut_m[1]);
                self.add_link(site, (ends[0], ends[1]), (&part, Along::Toe), cut_off_m2(site, &part));
            }
            sources.extend(own.last());
            joints.push(own);
        }
    }

    /// Holds for the joints of a run how low pipe may come to them.
    fn set_lowest(&mut self, site: &Site, own: &[usize], courses: &[Vec<Point>]) {
        let mut below_m = own.last().and_then(|last| self.lowest_m.get(last)).copied();
        for (joint, course) in own.iter().zip(courses).rev() {
            below_m = site.lowest_m(course, below_m);
            self.lowest_m.extend(below_m.map(|lowest_m| (*joint, lowest_m)));
        }
    }

    /// Levels with which pipe goes on from a place.
    pub fn level(&self, site: &Site, place: usize) -> Option<Level> {
        self.comes.get(&place).copied().or_else(|| site.start(self.places[place]))
    }

    /// Adds a link in two halves, between which it gathers its prize; pipe comes to it as the link above brings it. False where that
    /// cannot be dug.
    fn add_link(
        &mut self,
        site: &Site,
        (from, to): (usize, usize),
        (course, along): (&[Point], Along),
        counted_m2: f64,
    ) -> bool {
        let length_m = path_length(course);
        let half = |from_m: f64, to_m: f64| part_of(course, from_m, to_m);
        let (upper, lower) = (half(0.0, length_m / 2.0), half(length_m / 2.0, length_m));
        let run = self.level(site, from).and_then(|start| site.run_down(start, course));
        let Some((middle, (cost, level))) = lower.first().copied().zip(run) else { return false };
        // Where several come together the lowest holds.
        let comes = self.comes.entry(to).or_insert(level);
        *comes = comes.lower(level);
        let middle = self.place(middle);
        self.wet_m2[middle] = counted_m2;
        let course = |path: Vec<Point>| Course { path, along, serves: Some(middle), highest_m: None };
        self.link((from, middle), cost / 2.0, course(upper));
        self.link((middle, to), cost / 2.0, course(lower));
        true
    }

    /// Adds the ways over open ground from sources to joints and outlets.
    fn add_ways(
        &mut self,
        site: &Site,
        outlets: &[Way],
        (joints, sources): (&[Vec<usize>], &[usize]),
        threads: usize,
        go_on: &mut dyn FnMut() -> bool,
    ) -> Option<()> {
        // The lattice counts without the place that stands for all outlets.
        let lattice = Lattice::of(site, &self.places[1..], outlets.len());
        for some in sources.chunks(threads.max(1)) {
            if !go_on() {
                return None;
            }
            let ways = each(threads, some, |source| self.ways(site, outlets, (&lattice, joints), *source));
            for (source, way) in
                some.iter().zip(ways).flat_map(|(source, ways)| ways.into_iter().map(move |way| (source, way)))
            {
                let course =
                    Course { path: way.path, along: Along::Open, serves: None, highest_m: Some(way.level.highest_m) };
                self.link((*source, way.to + 1), way.cost, course);
            }
        }
        Some(())
    }

    /// The ways from a source by which its water can go on.
    fn ways(
        &self,
        site: &Site,
        outlets: &[Way],
        (lattice, joints): (&Lattice, &[Vec<usize>]),
        source: usize,
    ) -> Vec<lattice::Way> {
        let Some(level) = self.level(site, source) else { return Vec::new() };
        let others = joints.iter().filter(|run| !run.contains(&source)).flatten();
        let wanted: Vec<usize> = others.map(|joint| joint - 1).collect();
        let mut ways = lattice.ways_from(site, (source - 1, level), &wanted, (outlets.len(), MOST_WAYS));
        ways.retain(|way| match outlets.get(way.to) {
            Some(out) => site.can_leave(out.outlet, level, &way.path),
            None => self.lowest_m.get(&(way.to + 1)).is_none_or(|lowest_m| way.level.highest_m >= *lowest_m),
        });
        ways
    }

    /// Gives each wet place to the link nearest to it within reach.
    fn share_out(&mut self, site: &Site) {
        let serving = self.courses.iter().filter_map(|course| Some((course.serves?, &course.path)));
        let pieces = Paths::new(serving.flat_map(|(place, path)| segments(place as u32, path)).collect());
        for wet in &site.wet.places {
            if let Some(piece) = wet.drained_by(&pieces) {
                self.wet_m2[piece.path as usize] += site.wet.place_m2;
                self.beside_m2[piece.path as usize] += site.wet.place_m2;
            }
        }
    }

    /// Wet land beside links from which nothing that may be dug in a network leads to an outlet, square metres.
    pub fn out_of_reach_m2(&self, network: &Network, go_on: Ask) -> Result<f64, Stopped> {
        let leads = network.leading(go_on)?;
        Ok((0..leads.len()).filter(|place| !leads[*place]).map(|place| self.beside_m2[place]).sum())
    }

    /// The network where a square meter of wet land is worth so much, in cost weights.
    pub fn network(&self, worth_per_m2: f64) -> Network {
        let prizes = self.wet_m2.iter().map(|area_m2| area_m2 * worth_per_m2).collect();
        Network { prizes, links: self.links.clone(), outlet: 0 }
    }

    /// The same network with every link at the least that it can cost, whatever the levels.
    pub fn least_network(&self, site: &Site, worth_per_m2: f64) -> Network {
        let outlet_pipe = |number: usize| {
            let outlet = site.plan.outlets.values().nth(number);
            outlet.map_or(0.0, |outlet| design::least_outlet_pipe_cost(site.plan, outlet.outlet_pipe_m))
        };
        let least = |(link, course): (&Link, &Course)| match course.along {
            Along::Outlet => Link { cost: outlet_pipe(link.from - 1), ..*link },
            _ => Link { cost: site.least_cost(&course.path), ..*link },
        };
        let links = self.links.iter().zip(&self.courses).map(least).collect();
        Network { links, ..self.network(worth_per_m2) }
    }
}

/// Wet land below a part of a line along a toe that it keeps dry and does not draw itself, square metres.
fn cut_off_m2(site: &Site, part: &[Point]) -> f64 {
    let is_below = |wet: &&Wet| {
        let near = nearest_on(part, wet.at).filter(|met| met.2 > wet.served_m && met.2 <= wet.cut_off_m());
        near.is_some_and(|(_, at, _)| site.is_below(wet.at, at))
    };
    site.wet.places.iter().filter(is_below).count() as f64 * site.wet.place_m2
}

/// What running water makes wet beside what lies low: where so much gathers that a swale needs a line, as much as a drain serves,
/// and in proportion where less does ([judgement]), square metres.
fn running_m2(site: &Site, length_m: f64, gathers_m2: f64) -> f64 {
    let share = (gathers_m2 / site.plan.criteria.swale_area_m2).min(1.0);
    let served_m = site.soils.served_m(site.field.middle(), site.plan.criteria.target_depth_m);
    share * length_m * 2.0 * served_m
}
