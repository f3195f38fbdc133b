//! Chooses, and moves what is chosen.

use std::collections::BTreeSet;

use measure::{Point, crossings};
use plan::{Edit, Field, LineId, ObjectId, Plan};

use super::outlet::channel_snap;
use super::{Hand, Sketch, Touch};
use crate::canvas::SnapKind;
use crate::view::Selection;
use crate::wish::Wish;

/// What is being dragged: a thing, or a box from corner to corner.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Select {
    held: Option<SnapKind>,
    boxed: Option<(Point, Point)>,
}

impl Select {
    /// Does what a touch asks.
    pub fn touch(&mut self, touch: Touch, hand: &Hand) -> Vec<Wish> {
        match touch {
            Touch::Press(at) => self.press(at, hand),
            Touch::Drag(at) => self.drag(at, hand),
            Touch::Release(at) => self.release(at, hand),
            Touch::Click(at) => click(at, hand),
            Touch::Escape => self.escape(),
            _ => Vec::new(),
        }
    }

    /// The box in hand.
    pub fn sketch(&self) -> Sketch {
        let Some((a, b)) = self.boxed.filter(|(a, b)| a != b) else { return Sketch::default() };
        let path = vec![a, Point::new(a.x, b.y), b, Point::new(b.x, a.y)];
        Sketch { path, closed: true, snap: None }
    }

    fn press(&mut self, at: Point, hand: &Hand) -> Vec<Wish> {
        self.held = pick(at, hand).filter(|kind| {
            matches!(
                kind,
                SnapKind::Object(ObjectId::Outlet(_))
                    | SnapKind::Bend(..)
                    | SnapKind::PipeChange(..)
                    | SnapKind::Turn(..)
            ) || matches!(kind, SnapKind::Corner(_)) && hand.view.selection == Selection::Field
        });
        self.boxed = pick(at, hand).is_none().then_some((at, at));
        self.held.map(|held| Wish::Select(selection(held))).into_iter().collect()
    }

    fn drag(&mut self, at: Point, hand: &Hand) -> Vec<Wish> {
        if let Some((_, to)) = &mut self.boxed {
            *to = at;
        }
        self.held.map(|held| Wish::Gesture(moved(held, at, hand))).into_iter().collect()
    }

    fn release(&mut self, at: Point, hand: &Hand) -> Vec<Wish> {
        if let Some((from, _)) = self.boxed.take() {
            let within = lines_within(hand.session.plan(), from, at);
            let before = if hand.adding { hand.view.lines() } else { BTreeSet::new() };
            return vec![Wish::Several(before.union(&within).copied().collect())];
        }
        let edit = self.held.take().and_then(|held| moved(held, at, hand));
        edit.map(Wish::Edit).into_iter().collect()
    }

    fn escape(&mut self) -> Vec<Wish> {
        if self.boxed.take().is_some() {
            return Vec::new();
        }
        match self.held.take() {
            Some(_) => vec![Wish::Gesture(None)],
            None => vec![Wish::Select(Selection::Nothing)],
        }
    }
}

/// The lines that lie in a box or reach into it.
fn lines_within(plan: &Plan, one: Point, other: Point) -> BTreeSet<LineId> {
    let (low, high) =
        (Point::new(one.x.min(other.x), one.y.min(other.y)), Point::new(one.x.max(other.x), one.y.max(other.y)));
    let edge = [low, Point::new(low.x, high.y), high, Point::new(high.x, low.y), low];
    let holds = |p: &Point| p.x >= low.x && p.x <= high.x && p.y >= low.y && p.y <= high.y;
    let reached = |line: &plan::Line| line.points.iter().any(holds) || !crossings(&line.points, &edge).is_empty();
    plan.lines.iter().filter(|(_, line)| reached(line)).map(|(id, _)| *id).collect()
}

fn pick(at: Point, hand: &Hand) -> Option<SnapKind> {
    hand.snaps.snap(at, hand.reach_m, |kind| !matches!(kind, SnapKind::Swale(_))).kind
}

fn selection(kind: SnapKind) -> Selection {
    match kind {
        SnapKind::Object(id) => Selection::Object(id),
        SnapKind::Bend(id, index) => Selection::Bend(id, index),
        SnapKind::Line(id, _) | SnapKind::PipeChange(id, _) => Selection::of(id),
        SnapKind::Corner(_) | SnapKind::Boundary(_) => Selection::Field,
        SnapKind::Turn(id, _) => Selection::of(id),
        SnapKind::Swale(_) => Selection::Nothing,
    }
}

/// A click chooses; on a segment of the line that is chosen already it adds a bend.
fn click(at: Point, hand: &Hand) -> Vec<Wish> {
    let snap = hand.snaps.snap(at, hand.reach_m, |kind| !matches!(kind, SnapKind::Swale(_)));
    let line = snap.kind.and_then(SnapKind::object).and_then(|id| id.line());
    if let Some(id) = line.filter(|_| hand.adding) {
        let mut lines = hand.view.lines();
        if !lines.remove(&id) {
            lines.insert(id);
        }
        return vec![Wish::Several(lines)];
    }
    match snap.kind {
        None if hand.adding => Vec::new(),
        Some(SnapKind::Line(id, segment)) if hand.view.selection == Selection::of(id) => {
            let edit = plan::insert_point(hand.session.plan(), id, segment + 1, snap.at);
            let chosen = Wish::Select(Selection::Bend(id, segment + 1));
            edit.map(|edit| vec![Wish::Edit(edit), chosen]).unwrap_or_default()
        }
        Some(kind) => vec![Wish::Select(selection(kind))],
        None => vec![Wish::Select(Selection::Nothing)],
    }
}

/// The edit that a drag amounts to.
fn moved(held: SnapKind, at: Point, hand: &Hand) -> Option<Edit> {
    let plan = hand.session.plan();
    let others = |kind: SnapKind| match held {
        SnapKind::Bend(own, _) => kind.object() != Some(ObjectId::Line(own)),
        SnapKind::Turn(own, _) => kind.object() != Some(ObjectId::Watercourse(own)),
        SnapKind::Corner(_) => !matches!(kind, SnapKind::Corner(_) | SnapKind::Boundary(_) | SnapKind::Swale(_)),
        _ => matches!(kind, SnapKind::Boundary(_)),
    };
    match held {
        SnapKind::Object(ObjectId::Outlet(id)) => {
            let channel = channel_snap(at, hand);
            let snap = if channel.kind.is_some() { channel } else { hand.snap(at, others) };
            plan::move_outlet(plan, id, snap.at)
        }
        SnapKind::Bend(id, index) => move_bend(plan, id, index, hand.snap(at, others).at),
        SnapKind::PipeChange(id, k) => move_change(hand, id, k, at),
        SnapKind::Turn(id, index) => move_turn(plan, id, index, hand.snap(at, others).at),
        SnapKind::Corner(index) => move_corner(plan.field.as_ref()?, index, hand.snap(at, others).at),
        _ => None,
    }
}

/// Moves a bend of a line; a joined lower end slides along what it joins.
pub fn move_bend(plan: &Plan, id: LineId, index: usize, to: Point) -> Option<Edit> {
    let joined = match plan.lines.get(&id)?.joins {
        plan::Joins::Line(main) if index == 0 => plan.lines.get(&main),
        _ => None,
    };
    let to = joined.and_then(|main| measure::nearest_on(&main.points, to)).map_or(to, |(_, foot, _)| foot);
    plan::move_point(plan, id, index, to)
}

/// A change of pipe slides along its line.
fn move_change(hand: &Hand, id: plan::LineId, k: usize, to: Point) -> Option<Edit> {
    let plan = hand.session.plan();
    let line = plan.lines.get(&id)?;
    let steps = &hand.session.worked().design.lines.get(&id)?.steps;
    // In the plan without the gesture in hand the change still stands where it was.
    let at_m = design::bodies(&design::pipe_of(plan, line, steps, line.length_m())).nth(k)?.from_m;
    let (to_m, _, _) = measure::nearest_on(&line.points, to)?;
    plan::move_change(plan, id, at_m, to_m)
}

/// Moves a bend of a ditch or culvert.
pub fn move_turn(plan: &Plan, id: plan::WatercourseId, index: usize, to: Point) -> Option<Edit> {
    let mut course = plan.watercourses.get(&id)?.clone();
    *course.points.get_mut(index)? = to;
    Some(plan::set_watercourse(id, course))
}

/// Moves a corner of the boundary.
pub fn move_corner(field: &Field, index: usize, to: Point) -> Option<Edit> {
    let mut field = field.clone();
    *field.ring.get_mut(index)? = to;
    Some(Edit::one("Move a corner of the boundary", plan::Change::Field(Some(field))))
}
