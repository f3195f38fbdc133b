//! Snapping and picking: what lies under or near the pointer.

use measure::{Paths, Point, Segment};
use plan::{LineId, ObjectId, WatercourseId};

use job::Session;

/// What a place was drawn to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SnapKind {
    /// A point of a line.
    Bend(LineId, usize),
    /// A place where a line changes its pipe; the number is that of the pipe above it.
    PipeChange(LineId, usize),
    /// A corner of the boundary.
    Corner(usize),
    /// A line between its points; the number is the segment.
    Line(LineId, usize),
    /// A point of a ditch or culvert.
    Turn(WatercourseId, usize),
    /// A thing of the plan other than a line: an outlet, a ditch or culvert between its points, a mark on the land.
    Object(ObjectId),
    /// The boundary; the number is the side.
    Boundary(usize),
    /// A swale, by its number.
    Swale(usize),
}

impl SnapKind {
    /// The thing of the plan that it is, or is a part of; `None` for the boundary and the swales.
    pub fn object(self) -> Option<ObjectId> {
        match self {
            Self::Object(id) => Some(id),
            Self::Bend(id, _) | Self::PipeChange(id, _) | Self::Line(id, _) => Some(id.into()),
            Self::Turn(id, _) => Some(id.into()),
            Self::Corner(_) | Self::Boundary(_) | Self::Swale(_) => None,
        }
    }

    /// Outlets and points reach half as far again as lines, so that ends can be met on a line.
    const fn reach(self) -> f64 {
        match self {
            Self::Object(ObjectId::Outlet(_))
            | Self::Bend(..)
            | Self::PipeChange(..)
            | Self::Corner(_)
            | Self::Turn(..) => 1.5,
            _ => 1.0,
        }
    }
}

/// A place on the plan and what it was drawn to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Snap {
    /// The place.
    pub at: Point,
    /// What it lies on; `None` in the open.
    pub kind: Option<SnapKind>,
}

impl Snap {
    /// A place in the open.
    pub const fn free(at: Point) -> Self {
        Self { at, kind: None }
    }
}

/// Everything that can be met, in one tree; rebuilt when the plan or the land changes.
#[derive(Default)]
pub struct SnapIndex {
    stamp: u64,
    /// What the pieces are of; `path` counts here.
    kinds: Vec<SnapKind>,
    paths: Paths,
}

impl SnapIndex {
    /// Brings the index up to what is shown.
    pub fn refresh(&mut self, session: &Session) {
        if self.stamp == session.stamp() {
            return;
        }
        let mut pieces: Vec<(Segment, SnapKind)> = Vec::new();
        let piece = |a: Point, b: Point, kind: SnapKind| (Segment::new(a, b), kind);
        let plan = &session.worked().plan;
        for (id, outlet) in &plan.outlets {
            pieces.push(piece(outlet.at, outlet.at, SnapKind::Object((*id).into())));
        }
        for (id, line) in &plan.lines {
            pieces.extend(line.points.iter().enumerate().map(|(i, p)| piece(*p, *p, SnapKind::Bend(*id, i))));
            let segments = line.points.windows(2).enumerate();
            pieces.extend(segments.map(|(i, pair)| piece(pair[0], pair[1], SnapKind::Line(*id, i))));
        }
        for (id, worked) in &session.worked().design.lines {
            let places = worked.bodies().skip(1).filter_map(|body| worked.at(body.from_m));
            pieces.extend((1..).zip(places).map(|(k, s)| piece(s.at, s.at, SnapKind::PipeChange(*id, k))));
        }
        for (id, course) in &plan.watercourses {
            pieces.extend(course.points.iter().enumerate().map(|(i, p)| piece(*p, *p, SnapKind::Turn(*id, i))));
            let segments = course.points.windows(2);
            pieces.extend(segments.map(|pair| piece(pair[0], pair[1], SnapKind::Object((*id).into()))));
        }
        for (id, mark) in &plan.landmarks {
            let path = mark.outline.path();
            let first =
                path.first().filter(|_| path.len() == 1).map(|at| piece(*at, *at, SnapKind::Object((*id).into())));
            pieces.extend(first);
            pieces.extend(path.windows(2).map(|pair| piece(pair[0], pair[1], SnapKind::Object((*id).into()))));
        }
        if let Some(field) = &plan.field {
            let ring = &field.ring;
            for (i, corner) in ring.iter().enumerate() {
                pieces.push(piece(*corner, *corner, SnapKind::Corner(i)));
                pieces.push(piece(*corner, ring[(i + 1) % ring.len()], SnapKind::Boundary(i)));
            }
        }
        for (i, swale) in session.land().swales.iter().enumerate() {
            pieces.extend(swale.points.windows(2).map(|pair| piece(pair[0], pair[1], SnapKind::Swale(i))));
        }
        self.kinds = pieces.iter().map(|(_, kind)| *kind).collect();
        let numbered = (0u32..).zip(pieces).map(|(path, (piece, _))| Segment { path, ..piece });
        self.paths = Paths::new(numbered.collect());
        self.stamp = session.stamp();
    }

    /// The best thing to meet within `reach_m` of a place, of those that `wanted` lets through.
    pub fn snap(&self, at: Point, reach_m: f64, wanted: impl Fn(SnapKind) -> bool) -> Snap {
        let near = self.paths.reached(&Segment::new(at, at), reach_m * 1.5).into_iter();
        let candidates = near.map(|piece| (piece, self.kinds[piece.path as usize])).filter(|(_, kind)| wanted(*kind));
        let best = candidates
            .map(|(piece, kind)| (rank(kind), piece.square_to(at).sqrt(), kind, piece))
            .filter(|(_, away, kind, _)| *away <= reach_m * kind.reach())
            .min_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)));
        best.map_or(Snap::free(at), |(_, _, kind, piece)| Snap { at: piece.nearest(at).1, kind: Some(kind) })
    }
}

/// Points before lines, lines before the boundary, the boundary before swales.
fn rank(kind: SnapKind) -> u8 {
    match kind {
        SnapKind::Object(ObjectId::Outlet(_)) => 0,
        SnapKind::Bend(..) | SnapKind::PipeChange(..) | SnapKind::Corner(_) | SnapKind::Turn(..) => 1,
        SnapKind::Line(..) | SnapKind::Object(ObjectId::Line(_) | ObjectId::Watercourse(_)) => 2,
        SnapKind::Boundary(_) | SnapKind::Object(ObjectId::Landmark(_)) => 3,
        SnapKind::Swale(_) => 4,
    }
}
