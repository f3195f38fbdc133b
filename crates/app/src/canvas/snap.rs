//! Snapping and picking: what lies under or near the pointer.

use measure::{Point, distance};
use plan::{LandmarkId, LineId, OutletId, WatercourseId};
use rstar::primitives::GeomWithData;
use rstar::{AABB, PointDistance, RTree};

use job::Session;

/// What a place was drawn to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SnapKind {
    /// An outlet.
    Outlet(OutletId),
    /// A point of a line.
    Bend(LineId, usize),
    /// A corner of the boundary.
    Corner(usize),
    /// A line between its points; the number is the segment.
    Line(LineId, usize),
    /// A point of a ditch or culvert.
    Turn(WatercourseId, usize),
    /// A ditch or culvert between its points.
    Watercourse(WatercourseId),
    /// A mark on the land.
    Landmark(LandmarkId),
    /// The boundary; the number is the side.
    Boundary(usize),
    /// A swale, by its number.
    Swale(usize),
}

impl SnapKind {
    /// Outlets and points reach half as far again as lines, so that ends can be met on a line.
    const fn reach(self) -> f64 {
        match self {
            Self::Outlet(_) | Self::Bend(..) | Self::Corner(_) | Self::Turn(..) => 1.5,
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

type Piece = GeomWithData<geo::Line<f64>, SnapKind>;

/// Everything that can be met, in one tree; rebuilt when the plan or the land changes.
#[derive(Default)]
pub struct SnapIndex {
    stamp: u64,
    tree: RTree<Piece>,
}

fn coord(p: Point) -> geo::Coord<f64> {
    geo::Coord { x: p.x, y: p.y }
}

fn piece(a: Point, b: Point, kind: SnapKind) -> Piece {
    GeomWithData::new(geo::Line::new(coord(a), coord(b)), kind)
}

impl SnapIndex {
    /// Brings the index up to what is shown.
    pub fn refresh(&mut self, session: &Session) {
        if self.stamp == session.stamp() {
            return;
        }
        let mut pieces: Vec<Piece> = Vec::new();
        let plan = &session.derived().plan;
        for (id, outlet) in &plan.outlets {
            pieces.push(piece(outlet.at, outlet.at, SnapKind::Outlet(*id)));
        }
        for (id, line) in &plan.lines {
            pieces.extend(line.points.iter().enumerate().map(|(i, p)| piece(*p, *p, SnapKind::Bend(*id, i))));
            let segments = line.points.windows(2).enumerate();
            pieces.extend(segments.map(|(i, pair)| piece(pair[0], pair[1], SnapKind::Line(*id, i))));
        }
        for (id, course) in &plan.watercourses {
            pieces.extend(course.points.iter().enumerate().map(|(i, p)| piece(*p, *p, SnapKind::Turn(*id, i))));
            let segments = course.points.windows(2);
            pieces.extend(segments.map(|pair| piece(pair[0], pair[1], SnapKind::Watercourse(*id))));
        }
        for (id, mark) in &plan.landmarks {
            let path = mark.outline.path();
            let first = path.first().filter(|_| path.len() == 1).map(|at| piece(*at, *at, SnapKind::Landmark(*id)));
            pieces.extend(first);
            pieces.extend(path.windows(2).map(|pair| piece(pair[0], pair[1], SnapKind::Landmark(*id))));
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
        self.tree = RTree::bulk_load(pieces);
        self.stamp = session.stamp();
    }

    /// The best thing to meet within `reach_m` of a place, of those that `wanted` lets through.
    pub fn snap(&self, at: Point, reach_m: f64, wanted: impl Fn(SnapKind) -> bool) -> Snap {
        let far = reach_m * 1.5;
        let corner = |by: f64| geo::Point::new(at.x + by, at.y + by);
        let near = AABB::from_corners(corner(-far), corner(far));
        let here = geo::Point::new(at.x, at.y);
        let candidates = self.tree.locate_in_envelope_intersecting(&near).filter(|piece| wanted(piece.data));
        let best = candidates
            .map(|piece| (rank(piece.data), piece.geom().distance_2(&here).sqrt(), piece))
            .filter(|(_, away, piece)| *away <= reach_m * piece.data.reach())
            .min_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.data.cmp(&b.2.data)));
        best.map_or(Snap::free(at), |(_, _, piece)| Snap { at: foot(piece.geom(), at), kind: Some(piece.data) })
    }
}

/// Points before lines, lines before the boundary, the boundary before swales.
fn rank(kind: SnapKind) -> u8 {
    match kind {
        SnapKind::Outlet(_) => 0,
        SnapKind::Bend(..) | SnapKind::Corner(_) | SnapKind::Turn(..) => 1,
        SnapKind::Line(..) | SnapKind::Watercourse(_) => 2,
        SnapKind::Boundary(_) | SnapKind::Landmark(_) => 3,
        SnapKind::Swale(_) => 4,
    }
}

fn foot(line: &geo::Line<f64>, at: Point) -> Point {
    let (a, b) = (Point::new(line.start.x, line.start.y), Point::new(line.end.x, line.end.y));
    if distance(a, b) == 0.0 { a } else { measure::nearest_on(&[a, b], at).map_or(a, |(_, foot, _)| foot) }
}
