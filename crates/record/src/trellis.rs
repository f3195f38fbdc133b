//! Where a row of vines or trees, an end post, an anchor or a ripper meets a pipe.

use design::{Design, LineDesign};
use measure::{Paths, Point, Segment, distance, nearest_on, segments};
use plan::{LineId, Outline, Plan, Row, Rows};

/// Two meetings of a row with one line nearer to each other than this are one, metres (a hand; [judgement]).
const SAME_MEETING_M: f64 = 0.1;

const ANCHOR: &str = "anchor";

/// How a row meets a pipe.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Meets {
    /// The row passes over the pipe: a post of the row may stand on it.
    Crosses,
    /// The pipe runs under the row, or as near beside it as a row is told to lie over it.
    Along,
    /// An end post with its anchor stands beside the pipe.
    EndPost,
}

impl Meets {
    /// Its words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Crosses => "row crosses the pipe",
            Self::Along => "pipe runs under the row",
            Self::EndPost => "end post or anchor beside the pipe",
        }
    }
}

/// A place where a row meets a pipe.
#[derive(Debug, Clone, PartialEq)]
pub struct Meeting {
    /// Name of the block.
    pub block: String,
    /// Number of the row, from 1.
    pub row: u32,
    /// From the beginning of the row, metres: where it begins and where it ends, the same for a place.
    pub along_m: (f64, f64),
    /// How they meet.
    pub meets: Meets,
    /// The line.
    pub line: LineId,
    /// Station on the line, metres, where the top of the pipe is nearest to the ground.
    pub station_m: f64,
    /// The place on the line.
    pub at: Point,
    /// From the ground down to the top of the pipe there, metres; `None` where no level is known.
    pub top_m: Option<f64>,
    /// How deep posts stand, anchors reach and the ground is ripped, metres, as far as entered.
    pub reach: Reach,
}

/// How deep what goes into the ground of a block reaches, metres, as far as entered.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Reach {
    /// Posts.
    pub post_m: Option<f64>,
    /// Anchors.
    pub anchor_m: Option<f64>,
    /// The ripper, after the pipe is laid.
    pub rip_m: Option<f64>,
}

impl Reach {
    /// Each with its word, as far as entered.
    pub fn each(&self) -> impl Iterator<Item = (&'static str, f64)> {
        let all = [("post", self.post_m), (ANCHOR, self.anchor_m), ("ripper", self.rip_m)];
        all.into_iter().filter_map(|(what, depth_m)| Some((what, depth_m?)))
    }
}

impl Meeting {
    /// What reaches the pipe, or comes nearer to its top than `clear_m`, metres.
    pub fn reached_by(&self, clear_m: f64) -> Vec<&'static str> {
        let Some(top_m) = self.top_m else { return Vec::new() };
        let near = |(_, depth_m): &(&str, f64)| depth_m + clear_m > top_m;
        // Anchors stand at the ends of rows.
        let there = self.reach.each().filter(|(what, _)| *what != ANCHOR || self.meets == Meets::EndPost);
        there.filter(near).map(|(what, _)| what).collect()
    }
}

/// Every meeting, block by block, row by row, along the row.
pub fn meetings(plan: &Plan, design: &Design) -> Vec<Meeting> {
    let pieces = plan.lines.iter().flat_map(|(id, line)| segments(id.0, &line.points));
    let site = Site { plan, design, pieces: Paths::new(pieces.collect()) };
    let blocks = plan.landmarks.values().filter_map(|mark| match (&mark.kind.rows(), &mark.outline) {
        (Some(rows), Outline::Around(ring)) => Some((mark.name.as_str(), *rows, ring)),
        _ => None,
    });
    blocks.flat_map(|(name, rows, ring)| site.of_block(name, rows, ring)).collect()
}

/// A meeting of a row: how, from where to where along the row, the line and the station.
type Met = (Meets, (f64, f64), LineId, f64);

struct Site<'a> {
    plan: &'a Plan,
    design: &'a Design,
    pieces: Paths,
}

impl Site<'_> {
    fn of_block(&self, name: &str, rows: &Rows, ring: &[Point]) -> Vec<Meeting> {
        let reach =
            Reach { post_m: rows.post_depth_m, anchor_m: rows.anchor_depth_m, rip_m: self.plan.brief.rip_after_m };
        let mut found: Vec<Meeting> = Vec::new();
        let mut before_m = (0, 0.0);
        for row in rows.rows(ring) {
            // A row in pieces is walked as one, from its first post.
            let start = if before_m.0 == row.number { before_m.1 } else { 0.0 };
            let mut of_row = self.of_row(&row);
            of_row.iter_mut().for_each(|(_, along_m, ..)| *along_m = (along_m.0 + start, along_m.1 + start));
            found.extend(of_row.into_iter().map(|(meets, along_m, line, station_m)| {
                let (at, top_m) = self.top(line, station_m, row.from);
                Meeting { block: name.into(), row: row.number, along_m, meets, line, station_m, at, top_m, reach }
            }));
            before_m = (row.number, start + distance(row.from, row.to));
        }
        found.sort_by(|a, b| a.row.cmp(&b.row).then(a.along_m.0.total_cmp(&b.along_m.0)).then(a.line.cmp(&b.line)));
        found
    }

    /// Place on a line and depth of the pipe's top there.
    fn top(&self, line: LineId, station_m: f64, near: Point) -> (Point, Option<f64>) {
        let station = self.design.lines.get(&line).and_then(|worked| Some((worked, worked.at(station_m)?)));
        station.map_or((near, None), |(worked, station)| (station.at, worked.cover_m(&station)))
    }

    /// How a row meets each line: how, from where to where along the row, the line and the station.
    fn of_row(&self, row: &Row) -> Vec<Met> {
        let criteria = &self.plan.criteria;
        let own = Segment::new(row.from, row.to);
        let length_m = own.length_m();
        let mut found: Vec<Met> = Vec::new();
        for piece in self.pieces.around(&own, criteria.row_beside_m) {
            let line = LineId(piece.path);
            if let Some((from_m, to_m)) = piece.beside(&own, criteria.row_beside_m).filter(|_| piece.runs_along(&own))
            {
                let (along_m, station_m) = self.under(row, piece, (from_m, to_m));
                found.push((Meets::Along, along_m, line, station_m));
            }
            if let Some((on_piece_m, at)) = piece.crossing(&own) {
                let along_m = distance(row.from, at);
                found.push((Meets::Crosses, (along_m, along_m), line, piece.start_m + on_piece_m));
            }
        }
        let mut found = told_apart(joined(found), criteria.row_length_m);
        for (post, along_m) in [(row.from, 0.0), (row.to, length_m)] {
            let near = self.pieces.paths_near(post, criteria.post_beside_m).into_iter();
            found.extend(
                near.map(|(path, station_m, ..)| (Meets::EndPost, (along_m, along_m), LineId(path), station_m)),
            );
        }
        found
    }

    /// The part of a row under which a piece of pipe runs, and the station where its top is nearest to the ground.
    fn under(&self, row: &Row, piece: &Segment, (from_m, to_m): (f64, f64)) -> ((f64, f64), f64) {
        let ends = [from_m, to_m].map(|m| piece.start_m + m);
        let line = self.plan.lines.get(&LineId(piece.path));
        let along = |station_m: f64| {
            let at = line.and_then(|line| measure::point_at(&line.points, station_m)).unwrap_or(row.from);
            nearest_on(&[row.from, row.to], at).map_or(0.0, |(along_m, ..)| along_m)
        };
        let [a, b] = ends.map(along);
        let worked = self.design.lines.get(&LineId(piece.path));
        let shallowest = worked.and_then(|worked| shallowest(worked, (ends[0], ends[1])));
        ((a.min(b), a.max(b)), shallowest.unwrap_or(ends[0]))
    }
}

/// The station between two at which the pipe has least cover.
fn shallowest(worked: &LineDesign, (from_m, to_m): (f64, f64)) -> Option<f64> {
    let inner = worked.depth.iter().flat_map(|piece| [piece.from_m, piece.to_m]);
    let inner = inner.filter(|m| *m > from_m && *m < to_m).chain([from_m, to_m]);
    let covered = inner.filter_map(|m| Some((m, worked.cover_m(&worked.at(m)?)?)));
    covered.min_by(|a, b| a.1.total_cmp(&b.1).then(a.0.total_cmp(&b.0))).map(|(m, _)| m)
}

/// Where a pipe crosses a row it runs beside it for a little: that is a crossing; where it runs so for longer than `long_m`, it is
/// told as running under the row, and not as crossing there too.
fn told_apart(found: Vec<Met>, long_m: f64) -> Vec<Met> {
    let holds = |along: &Met, place: &Met| {
        along.2 == place.2 && (along.1.0 - SAME_MEETING_M..=along.1.1 + SAME_MEETING_M).contains(&place.1.0)
    };
    let (along, places): (Vec<Met>, Vec<Met>) = found.into_iter().partition(|met| met.0 == Meets::Along);
    let is_long = |met: &Met| met.1.1 - met.1.0 > long_m || !places.iter().any(|place| holds(met, place));
    let along: Vec<Met> = along.into_iter().filter(is_long).collect();
    let apart = places.iter().filter(|place| !along.iter().any(|met| holds(met, place)));
    apart.copied().chain(along.iter().copied()).collect()
}

/// Meetings of one kind with one line that touch along the row are one.
fn joined(mut found: Vec<Met>) -> Vec<Met> {
    found.sort_by(|a, b| (a.0, a.2).cmp(&(b.0, b.2)).then(a.1.0.total_cmp(&b.1.0)));
    found.dedup_by(|next, last| {
        let is_one = (next.0, next.2) == (last.0, last.2) && next.1.0 <= last.1.1 + SAME_MEETING_M;
        if is_one {
            last.1.1 = last.1.1.max(next.1.1);
        }
        is_one
    });
    found
}
