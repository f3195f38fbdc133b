//! One line of a design: stations, reaches, depth and flow, and questions about them.

use std::sync::Arc;

use hydraulics::CapacityRange;
use measure::{FOOT_M, Point, Units};
use terrain::{Extreme, Piece, Profile, Stretch};

use crate::course::SAME_STATION_M;
use crate::pipe::{self, Pipe, Steps};
use crate::simplify::DugReach;
use crate::water::Inflow;

/// A station of a line with ground and pipe there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// Distance from the line's downstream end, metres.
    pub station_m: f64,
    /// Where it is.
    pub at: Point,
    /// Ground level, metres; `None` where no ground was measured.
    pub ground_m: Option<f64>,
    /// Invert of the pipe, metres; at a change of size that of the pipe below. `None` on old tile whose levels are not known.
    pub invert_m: Option<f64>,
    /// By how much the invert of the pipe above lies higher, metres: 0 but at a reducer whose crowns are level.
    pub step_m: f64,
    /// Hydraulic grade line: level of the water in the pipe, or above it under pressure, metres; `None` where the invert is.
    pub head_m: Option<f64>,
    /// What is at the station.
    pub mark: Mark,
}

/// What is at a station.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Mark {
    /// A bend or an end as drawn.
    pub bend: bool,
    /// A branch enters here.
    pub joint: bool,
    /// The invert was fixed by hand.
    pub pinned: bool,
}

/// Grades this near print as one, as ratios (0.005 percentage points, [judgement]).
pub const SAME_GRADE: f64 = 5e-5;

/// Differences of level this small are none, metres: a thousandth of a foot (judgement; no level book has more).
pub const ON_LIMIT_M: f64 = 1e-3 * FOOT_M;

/// A part of a line in pipe of one size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LaidSize {
    /// Lower station, metres from the downstream end.
    pub from_m: f64,
    /// Upper station, metres.
    pub to_m: f64,
    /// Nominal inside diameter, metres.
    pub size_m: f64,
}

/// Sizes from a downstream end up in words: "6 in", or "6 in to 5 in to 4 in".
pub fn size_words(sizes: &[LaidSize], units: Units) -> String {
    sizes.iter().map(|laid| units.pipe(laid.size_m)).collect::<Vec<_>>().join(" to ")
}

/// A part of a line that has one grade: each interval within [`SAME_GRADE`] of the lowest one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Graded {
    /// Index of the lower station.
    pub from: usize,
    /// Index of the upper station.
    pub to: usize,
    /// Grade from end to end, as a ratio.
    pub grade: f64,
}

/// A place where the grade of a line changes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Break {
    /// Distance from the downstream end, metres.
    pub station_m: f64,
    /// Index of the station.
    pub index: usize,
    /// Grade just downstream of it, as a ratio.
    pub below: f64,
    /// Grade just upstream of it, as a ratio.
    pub above: f64,
}

/// One line, worked out.
#[derive(Debug, Clone, PartialEq)]
pub struct LineDesign {
    /// Length on the plan, metres.
    pub length_m: f64,
    /// Nominal inside diameter at the downstream end where no stretch has its own, metres.
    pub size_m: f64,
    /// Sizes along it where no stretch has its own.
    pub steps: Steps,
    /// Its pipe from the downstream end up: at least one part.
    pub pipe: Vec<Pipe>,
    /// Stations from the downstream end up: where the pipe may change its grade.
    pub stations: Vec<Station>,
    /// The ground profile along it.
    pub ground: Arc<Profile>,
    /// Depth of the invert below the ground all along it, where both are known: pieces by rising station.
    pub depth: Vec<Piece>,
    /// Reaches dug at one grade each, from the downstream end up; none on old tile.
    pub reaches: Vec<DugReach>,
    /// What flows into it.
    pub inflows: Vec<Inflow>,
    /// Discharge in the pipe above each station, m³/s.
    pub through_m3s: Vec<f64>,
    /// What branches, inlets and seeps bring in at each station, m³/s.
    pub entering_m3s: Vec<f64>,
    /// Contributing area of the whole line, square metres.
    pub area_m2: f64,
    /// Factor on its capacity because its flow increases evenly along it; 1 unless that was asked for.
    pub even_factor: f64,
    /// What an old line of uncertain condition carries; `None` for new pipe and where its grade is not known.
    pub old_capacity: Option<CapacityRange>,
    /// The least grade at which the pipe is self-cleaning, as a ratio.
    pub least_grade: f64,
    /// True if the water of this line reaches an outlet.
    pub reaches_outlet: bool,
    /// Length of rigid solid pipe at the downstream end, metres; 0 unless the line ends in an open outlet.
    pub outlet_pipe_m: f64,
}

impl Station {
    /// Depth of the invert below ground, metres.
    pub fn depth_m(&self) -> Option<f64> {
        Some(self.ground_m? - self.invert_m?)
    }

    /// Invert of the pipe above it, metres.
    pub fn invert_above_m(&self) -> Option<f64> {
        Some(self.invert_m? + self.step_m)
    }
}

/// The fullest interval of a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fullest {
    /// Index of its lower station.
    pub index: usize,
    /// Its grade, as a ratio.
    pub grade: f64,
    /// Discharge there, m³/s.
    pub required_m3s: f64,
    /// What the pipe carries there when full, m³/s.
    pub capacity_m3s: f64,
}

impl Fullest {
    /// Discharge as a share of the capacity; infinite where water flows and nothing can be carried.
    pub fn share(&self) -> f64 {
        if self.required_m3s <= 0.0 { 0.0 } else { self.required_m3s / self.capacity_m3s }
    }
}

impl LineDesign {
    /// Grade from station `index` up to the next, as a ratio; positive falls toward the outlet.
    pub fn grade(&self, index: usize) -> Option<f64> {
        self.grade_between(index, index + 1)
    }

    fn grade_between(&self, from: usize, to: usize) -> Option<f64> {
        let (low, high) = (self.stations.get(from)?, self.stations.get(to)?);
        let length_m = high.station_m - low.station_m;
        (length_m > 0.0).then_some((high.invert_m? - low.invert_above_m()?) / length_m)
    }

    /// Grade of the pipe at a station, as a ratio; at a break that of the part below.
    pub fn grade_at(&self, station_m: f64) -> Option<f64> {
        let at_m = |index: usize| self.stations[index].station_m;
        let holds = |part: &Graded| at_m(part.from) <= station_m && station_m <= at_m(part.to);
        self.grades().into_iter().find(holds).map(|part| part.grade)
    }

    /// The parts of the line that have one grade each, from the downstream end up; gaps where levels are not known. The one
    /// definition of where a grade changes, together with [`Self::breaks`].
    pub fn grades(&self) -> Vec<Graded> {
        let mut parts: Vec<Graded> = Vec::new();
        for i in 0..self.stations.len().saturating_sub(1) {
            let Some(grade) = self.grade(i) else { continue };
            match parts.last_mut() {
                Some(part)
                    if part.to == i && self.stations[i].step_m == 0.0 && (part.grade - grade).abs() <= SAME_GRADE =>
                {
                    part.to = i + 1;
                }
                _ => parts.push(Graded { from: i, to: i + 1, grade }),
            }
        }
        for part in &mut parts {
            part.grade = self.grade_between(part.from, part.to).unwrap_or(part.grade);
        }
        parts
    }

    /// All changes of grade, from the downstream end up.
    pub fn breaks(&self) -> impl Iterator<Item = Break> {
        let parts = self.grades();
        let places: Vec<usize> =
            parts.windows(2).filter(|pair| pair[0].to == pair[1].from).map(|pair| pair[1].from).collect();
        places.into_iter().filter_map(|index| {
            let (below, above) = (self.grade(index - 1)?, self.grade(index)?);
            let Station { station_m, step_m, .. } = self.stations[index];
            // A reducer may end a part without a change of grade.
            let is_reducer = step_m != 0.0 && (above - below).abs() <= SAME_GRADE;
            (!is_reducer).then_some(Break { station_m, index, below, above })
        })
    }

    /// Grade between the two ends, as a ratio.
    pub fn mean_grade(&self) -> Option<f64> {
        let (low, high) = (self.stations.first()?, self.stations.last()?);
        (self.length_m > 0.0).then_some((high.invert_m? - low.invert_m?) / self.length_m)
    }

    /// Ground, invert and water at any station; pipe and water are interpolated between its neighbours.
    pub fn at(&self, station_m: f64) -> Option<Station> {
        let after = self.stations.partition_point(|s| s.station_m < station_m);
        let high = self.stations.get(after).or(self.stations.last())?;
        let low = self.stations.get(after.saturating_sub(1))?;
        let length_m = high.station_m - low.station_m;
        let t = if length_m > 0.0 { ((station_m - low.station_m) / length_m).clamp(0.0, 1.0) } else { 0.0 };
        // At a station only its own level counts, even if its neighbour has none.
        let between = |a: Option<f64>, b: Option<f64>| match t {
            0.0 => a,
            1.0 => b,
            t => Some(a? + (b? - a?) * t),
        };
        let station_m = low.station_m + length_m * t;
        Some(Station {
            station_m,
            at: measure::along(low.at, high.at, t),
            ground_m: self.ground.level(station_m),
            invert_m: if t == 0.0 { low.invert_m } else { between(low.invert_above_m(), high.invert_m) },
            step_m: if t == 1.0 {
                high.step_m
            } else if t == 0.0 {
                low.step_m
            } else {
                0.0
            },
            head_m: between(low.head_m, high.head_m),
            mark: Mark::default(),
        })
    }

    /// The fullest interval at the design flow, or the flattest if nothing flows; `None` without inverts.
    pub fn fullest(&self) -> Option<Fullest> {
        self.fullest_of(|_| true)
    }

    /// The same among intervals of some grades.
    pub fn fullest_of(&self, counts: impl Fn(f64) -> bool) -> Option<Fullest> {
        let reaches = (0..self.stations.len().saturating_sub(1)).filter_map(|i| {
            let (grade, required_m3s) =
                (self.grade(i).filter(|grade| counts(*grade))?, self.through_m3s.get(i).copied().unwrap_or(0.0));
            let capacity_m3s = self.above(i).full_capacity_m3s(grade) * self.even_factor;
            Some(Fullest { index: i, grade, required_m3s, capacity_m3s })
        });
        let by_fullness = |a: &Fullest, b: &Fullest| {
            a.share()
                .total_cmp(&b.share())
                .then(b.capacity_m3s.total_cmp(&a.capacity_m3s))
                .then(b.index.cmp(&a.index))
        };
        reaches.max_by(by_fullness)
    }

    /// Discharge at the downstream end, m³/s.
    pub fn required_m3s(&self) -> f64 {
        self.through_m3s.first().copied().unwrap_or(0.0)
    }

    /// Least and greatest value over the stations that have one.
    pub fn range(&self, value: impl Fn(&Station) -> Option<f64>) -> Option<(f64, f64)> {
        self.stations
            .iter()
            .filter_map(value)
            .fold(None, |range, v| Some(range.map_or((v, v), |(low, high): (f64, f64)| (low.min(v), high.max(v)))))
    }

    /// Puts the line on another ground profile without grading it anew.
    pub fn lay_on(&mut self, ground: Arc<Profile>) {
        self.ground = ground;
        for station in &mut self.stations {
            station.ground_m = self.ground.level(station.station_m);
        }
        self.fathom();
    }

    /// Computes the depth of the pipe all along it.
    pub(crate) fn fathom(&mut self) {
        let mut depth: Vec<Piece> = Vec::with_capacity(self.ground.pieces().len() + self.stations.len());
        for pair in self.stations.windows(2) {
            let Some((low_m, high_m)) = pair[0].invert_above_m().zip(pair[1].invert_m) else { continue };
            let pipe = Piece::straight((pair[0].station_m, low_m), (pair[1].station_m, high_m));
            depth.extend(self.ground.between(pipe.from_m, pipe.to_m).map(|ground| ground.less(&pipe)));
        }
        self.depth = depth;
    }

    /// Depth of the invert below the ground from a station up: pieces by rising station.
    pub fn depth_from(&self, from_m: f64) -> impl Iterator<Item = Piece> + '_ {
        let first = self.depth.partition_point(|piece| piece.to_m <= from_m);
        self.depth[first..].iter().filter_map(move |piece| piece.part(from_m, f64::INFINITY))
    }

    /// Where the invert lies least deep above a station, and how deep, metres.
    pub fn shallowest_from(&self, from_m: f64) -> Option<Extreme> {
        self.depth_from(from_m).map(|piece| piece.least()).reduce(Extreme::lower_of)
    }

    /// The part of the pipe that a station lies in; of two that meet there the lower one.
    pub fn pipe_at(&self, station_m: f64) -> &Pipe {
        pipe::at(&self.pipe, station_m)
    }

    /// The part of the pipe above a station; at the upper end the last.
    pub fn pipe_above(&self, station_m: f64) -> &Pipe {
        pipe::above(&self.pipe, station_m)
    }

    /// The same by the index of the station.
    pub fn above(&self, index: usize) -> &Pipe {
        self.pipe_above(self.stations.get(index).map_or(0.0, |station| station.station_m))
    }

    /// Soil over the top of the pipe at a station, metres.
    pub fn cover_m(&self, station: &Station) -> Option<f64> {
        Some(station.depth_m()? - self.pipe_at(station.station_m).top_above_invert_m())
    }

    /// Parts of the pipe of one size and wall, whatever their kind: from the downstream end up.
    pub fn bodies(&self) -> impl Iterator<Item = Pipe> + '_ {
        pipe::bodies(&self.pipe)
    }

    /// Where the pipe changes its size or wall: the part below and the part above, from the downstream end up.
    pub fn changes(&self) -> Vec<[Pipe; 2]> {
        let bodies: Vec<Pipe> = self.bodies().collect();
        bodies.windows(2).map(|pair| [pair[0], pair[1]]).collect()
    }

    /// Parts of the pipe of one size, whatever their wall and kind: from the downstream end up.
    pub fn laid_sizes(&self) -> Vec<LaidSize> {
        let alike = self.pipe.chunk_by(|below, above| below.size_m == above.size_m);
        let ends = alike.filter_map(|parts| parts.first().zip(parts.last()));
        ends.map(|(low, high)| LaidSize { from_m: low.from_m, to_m: high.to_m, size_m: low.size_m }).collect()
    }

    /// The sizes of its pipe in words.
    pub fn size_words(&self, units: Units) -> String {
        size_words(&self.laid_sizes(), units)
    }

    /// Smallest and largest nominal inside diameter, metres.
    pub fn sizes_m(&self) -> (f64, f64) {
        let sizes = self.pipe.iter().map(|pipe| pipe.size_m);
        sizes.fold((f64::INFINITY, 0.0), |(least, most), size_m| (least.min(size_m), most.max(size_m)))
    }

    /// Depth of the invert in a part of the pipe and above a station: pieces by rising station.
    pub fn depth_in(&self, body: Pipe, from_m: f64) -> impl Iterator<Item = Piece> + '_ {
        let to_m = if body.to_m >= self.length_m { f64::INFINITY } else { body.to_m };
        self.depth_from(from_m.max(body.from_m)).map_while(move |piece| piece.part(0.0, to_m))
    }

    /// Where there is least soil over the pipe, and how much, metres; the solid outlet pipe does not count.
    pub fn least_cover(&self) -> Option<Extreme> {
        let least = |body: Pipe| {
            let least =
                self.depth_in(body, self.outlet_pipe_m).map(|piece| piece.least()).reduce(Extreme::lower_of)?;
            Some(Extreme { value_m: least.value_m - body.top_above_invert_m(), ..least })
        };
        self.bodies().filter_map(least).reduce(Extreme::lower_of)
    }

    /// Where there is most soil over the pipe, and how much, metres; the solid outlet pipe does not count.
    pub fn greatest_cover(&self) -> Option<Extreme> {
        let most = |body: Pipe| {
            let most =
                self.depth_in(body, self.outlet_pipe_m).map(|piece| piece.greatest()).reduce(Extreme::higher_of)?;
            Some(Extreme { value_m: most.value_m - body.top_above_invert_m(), ..most })
        };
        self.bodies().filter_map(most).reduce(Extreme::higher_of)
    }

    /// Stretches above a station with less soil over the pipe than a limit, metres; the worst is the cover there.
    pub fn cover_under(&self, from_m: f64, limit_m: f64) -> Vec<Stretch> {
        let thin = |body: Pipe| {
            let top_m = body.top_above_invert_m();
            let thin = terrain::under(self.depth_in(body, from_m), limit_m + top_m).into_iter();
            thin.map(move |part| part.with_worst(part.worst - top_m))
        };
        together(self.bodies().flat_map(thin), |one, other| one <= other)
    }

    /// Stretches above a station where the invert lies less deep than a limit, metres; the worst is the depth there.
    pub fn depth_under(&self, from_m: f64, limit_m: f64) -> Vec<Stretch> {
        terrain::under(self.depth_from(from_m), limit_m)
    }

    /// Stretches whose trench is deeper than a limit, metres; the worst is the depth of the trench there.
    pub fn trench_over(&self, limit_m: f64, bedding_m: f64) -> Vec<Stretch> {
        let deep = |body: Pipe| {
            let below_m = body.wall_m() + bedding_m;
            let deep = terrain::over(self.depth_in(body, 0.0), limit_m - below_m).into_iter();
            deep.map(move |part| part.with_worst(part.worst + below_m))
        };
        together(self.bodies().flat_map(deep), |one, other| one >= other)
    }

    /// Stretches whose trench is as deep as a limit or deeper, metres: what is deep enough for a rule counts, to a
    /// thousandth of a foot. One extent for findings, sheets and quantities.
    pub fn trench_from(&self, limit_m: f64, bedding_m: f64) -> Vec<Stretch> {
        self.trench_over(limit_m - ON_LIMIT_M, bedding_m)
    }

    /// Where the invert lies deepest, and how deep, metres.
    pub fn deepest(&self) -> Option<Extreme> {
        self.depth.iter().map(Piece::greatest).reduce(Extreme::higher_of)
    }

    /// From the invert down to the bottom of the trench at a station, metres: wall and bedding.
    pub fn below_invert_m(&self, station_m: f64, bedding_m: f64) -> f64 {
        self.pipe_at(station_m).wall_m() + bedding_m
    }

    /// Where the trench is deepest, and how deep, metres: invert, wall and bedding below ground.
    pub fn deepest_trench(&self, bedding_m: f64) -> Option<Extreme> {
        let deepest = |body: Pipe| {
            let deepest = self.depth_in(body, 0.0).map(|piece| piece.greatest()).reduce(Extreme::higher_of)?;
            Some(Extreme { value_m: deepest.value_m + body.wall_m() + bedding_m, ..deepest })
        };
        self.bodies().filter_map(deepest).reduce(Extreme::higher_of)
    }

    /// Depth of the trench at a station, metres: invert, wall and bedding below ground.
    pub fn trench_depth_m(&self, station: &Station, bedding_m: f64) -> Option<f64> {
        Some(station.depth_m()? + self.below_invert_m(station.station_m, bedding_m))
    }

    /// Length along which the depth is known, metres: over ground, with a level.
    pub fn fathomed_m(&self) -> f64 {
        self.depth.iter().map(Piece::length_m).sum()
    }

    /// Length along which no ground is known, metres.
    pub fn unknown_ground_m(&self) -> f64 {
        self.unknown_ground().iter().map(|part| part.1 - part.0).sum()
    }

    /// Stretches along which no ground is known: from and to, metres.
    pub fn unknown_ground(&self) -> Vec<(f64, f64)> {
        self.ground.gaps(self.length_m)
    }
}

/// Stretches of parts that meet made one, by rising station; of two worst values the one stays that goes before.
fn together(parts: impl Iterator<Item = Stretch>, goes_before: impl Fn(f64, f64) -> bool) -> Vec<Stretch> {
    let mut found: Vec<Stretch> = Vec::new();
    for part in parts {
        match found.last_mut().filter(|last| part.from_m - last.to_m <= SAME_STATION_M) {
            Some(last) => {
                let worst = if goes_before(last.worst, part.worst) { *last } else { part };
                *last = Stretch { from_m: last.from_m, to_m: part.to_m, ..worst };
            }
            None => found.push(part),
        }
    }
    found
}
