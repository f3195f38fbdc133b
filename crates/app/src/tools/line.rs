//! Draws a line: from the outlet or joint up, snapping to what is there, along swales between two clicks on one.

use measure::{Point, nearest_on};
use plan::{End, Line, LineId, LineKind, Plan, SizeBy};

use super::{Hand, Sketch, Touch};
use crate::canvas::{Snap, SnapKind};
use crate::command::ToolKind;
use crate::view::Selection;
use crate::wish::Wish;
use job::joining::{self, Reach};

/// How far a line that follows a swale may cut its corners, metres: less than a bucket's width.
const CUT_CORNERS_M: f64 = 0.5;

/// Points so far; those of a stretch along a swale came with one click.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawLine {
    /// What is drawn.
    pub kind: LineKind,
    clicks: Vec<(Snap, usize)>,
    points: Vec<Point>,
    next: Option<Snap>,
    /// The line that is drawn on, from one of its ends, which is the first of the points.
    on: Option<(LineId, End)>,
}

impl DrawLine {
    /// Nothing drawn yet.
    pub const fn new(kind: LineKind) -> Self {
        Self { kind, clicks: Vec::new(), points: Vec::new(), next: None, on: None }
    }

    /// Draws a line on from one of its ends.
    pub fn on(plan: &Plan, id: LineId, end: End) -> Option<Self> {
        let line = plan.lines.get(&id)?;
        let from = match end {
            End::Lower => line.downstream_end()?,
            End::Upper => line.upper_end()?,
        };
        let clicks = vec![(Snap::free(from), 0)];
        Some(Self { clicks, points: vec![from], on: Some((id, end)), ..Self::new(line.kind) })
    }

    /// Does what a touch asks.
    pub fn touch(&mut self, touch: Touch, hand: &Hand) -> Vec<Wish> {
        match touch {
            Touch::Move(at) => self.next = Some(hand.snap(at, |_| true)),
            Touch::Click(at) => self.add(hand.snap(at, |_| true), hand),
            Touch::At(at) => self.add(Snap::free(at), hand),
            Touch::Backspace => self.take_back(),
            Touch::Enter | Touch::DoubleClick => return self.end(hand),
            Touch::Escape if self.clicks.is_empty() || self.on.is_some() => {
                return vec![Wish::Take(ToolKind::Select)];
            }
            Touch::Escape => *self = Self::new(self.kind),
            _ => {}
        }
        Vec::new()
    }

    fn add(&mut self, snap: Snap, hand: &Hand) {
        if self.points.last() == Some(&snap.at) {
            return;
        }
        let before = self.points.len();
        if let Some((last, _)) = self.clicks.last() {
            self.points.extend(along_swale(*last, snap, hand));
        }
        self.points.push(snap.at);
        self.clicks.push((snap, before));
    }

    fn take_back(&mut self) {
        // The end that is drawn on stays.
        if self.on.is_some() && self.clicks.len() == 1 {
            return;
        }
        if let Some((_, before)) = self.clicks.pop() {
            self.points.truncate(before);
        }
    }

    fn end(&mut self, hand: &Hand) -> Vec<Wish> {
        if self.points.len() < 2 {
            return vec![Wish::Say("A line needs at least two points.".into())];
        }
        let plan = hand.session.plan();
        let points = std::mem::take(&mut self.points);
        let on = self.on;
        *self = Self::new(self.kind);
        if let Some((id, end)) = on {
            let edit = plan::extend(plan, id, end, &points).map(Wish::Edit);
            return edit.into_iter().chain([Wish::Select(Selection::of(id)), Wish::Take(ToolKind::Select)]).collect();
        }
        let line = Line { size_by: SizeBy::Flow, ..Line::new(&plan.free_name(self.kind.stem()), self.kind, points) };
        let ground = hand.session.land().ground.as_deref();
        let placed = joining::place(plan, ground, line, Reach::DRAWN);
        vec![Wish::Edit(placed.edit), Wish::Select(Selection::of(placed.id)), Wish::Say(placed.told.join(". "))]
    }

    /// The points so far.
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// The preview.
    pub fn sketch(&self) -> Sketch {
        let path = self.points.iter().copied().chain(self.next.map(|snap| snap.at)).collect();
        Sketch { path, closed: false, snap: self.next }
    }
}

/// The way along a swale between two places on it, without the two places themselves.
fn along_swale(from: Snap, to: Snap, hand: &Hand) -> Vec<Point> {
    let (Some(SnapKind::Swale(a)), Some(SnapKind::Swale(b))) = (from.kind, to.kind) else { return Vec::new() };
    let Some(swale) = hand.session.land().swales.get(a).filter(|_| a == b) else {
        return Vec::new();
    };
    let station = |at| nearest_on(&swale.points, at).map_or(0.0, |(station_m, _, _)| station_m);
    let (start_m, end_m) = (station(from.at), station(to.at));
    let mut way =
        terrain::simplify(&measure::part_of(&swale.points, start_m.min(end_m), start_m.max(end_m)), CUT_CORNERS_M);
    if start_m > end_m {
        way.reverse();
    }
    way.pop();
    way.into_iter().skip(1).collect()
}
