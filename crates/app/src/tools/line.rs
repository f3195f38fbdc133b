//! Draws a line: from the outlet or joint up, snapping to what is there, along swales between two clicks on one.

use measure::Point;
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
    /// The way that a click would take to `next`, without its ends.
    way: Vec<Point>,
    /// The line that is drawn on, from one of its ends, which is the first of the points.
    on: Option<(LineId, End)>,
}

impl DrawLine {
    /// Nothing drawn yet.
    pub const fn new(kind: LineKind) -> Self {
        Self { kind, clicks: Vec::new(), points: Vec::new(), next: None, way: Vec::new(), on: None }
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
            Touch::Move(at) => self.point_at(hand.snap(at, |_| true), hand),
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
        let way = self.way_to(snap, hand);
        self.points.extend(way);
        self.points.push(snap.at);
        self.clicks.push((snap, before));
        self.way.clear();
    }

    /// What is shown before the click is what the click takes.
    fn point_at(&mut self, snap: Snap, hand: &Hand) {
        self.way = self.way_to(snap, hand);
        self.next = Some(snap);
    }

    /// The way from the last click to a place, without its ends.
    fn way_to(&self, to: Snap, hand: &Hand) -> Vec<Point> {
        self.clicks.last().map_or_else(Vec::new, |(last, _)| along_swales(*last, to, hand))
    }

    fn take_back(&mut self) {
        // The end that is drawn on stays.
        if self.on.is_some() && self.clicks.len() == 1 {
            return;
        }
        if let Some((_, before)) = self.clicks.pop() {
            self.points.truncate(before);
            self.way.clear();
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
        let line = plan.new_line(&plan.free_name(self.kind.stem()), self.kind, points);
        let line = Line { size_by: SizeBy::usual(self.kind), ..line };
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
        let path = self.points.iter().chain(&self.way).copied().chain(self.next.map(|snap| snap.at)).collect();
        Sketch { path, closed: false, snap: self.next }
    }
}

/// The way along swales between two places on them, past confluences, without the two places themselves.
fn along_swales(from: Snap, to: Snap, hand: &Hand) -> Vec<Point> {
    let swales = &hand.session.land().swales;
    let ends = swale_of(from, hand).zip(swale_of(to, hand));
    let Some(way) = ends.and_then(|(a, b)| terrain::way_along(swales, (a, from.at), (b, to.at))) else {
        return Vec::new();
    };
    let mut way = terrain::simplify(&way, CUT_CORNERS_M);
    way.pop();
    way.into_iter().skip(1).collect()
}

/// The swale that a click met, or on which what it met lies: an outlet at a channel, a joint.
fn swale_of(snap: Snap, hand: &Hand) -> Option<usize> {
    let kind = match snap.kind? {
        SnapKind::Swale(_) => snap.kind,
        _ => hand.snaps.snap(snap.at, CUT_CORNERS_M, |kind| matches!(kind, SnapKind::Swale(_))).kind,
    };
    match kind? {
        SnapKind::Swale(number) => Some(number),
        _ => None,
    }
}
