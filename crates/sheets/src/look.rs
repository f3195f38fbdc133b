//! How each role is drawn on paper: millimetres, points of type and grey.

use checks::Severity;
use drawing::{MarkSort, Pipe, Role, Taught};

use crate::page::Stroke;

/// Dashes where a line passes something in a profile, millimetres.
pub(crate) const PASSED: [f64; 2] = [0.6, 1.2];
/// Radius of a joint's dot and of a mark at one place, millimetres.
pub(crate) const DOT: f64 = 0.8;
/// Radius of the sign of a stretch that nobody digs, millimetres.
pub(crate) const BARRED: f64 = 2.0;

/// A sign on paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Sign {
    /// None.
    Nothing,
    /// A dot with a black rim, filled so.
    Dot(u8),
    /// A square.
    Square,
    /// An upright triangle.
    Triangle,
    /// The same with a dot in it, as on maps.
    Benchmark,
    /// A bar across the end of a line.
    Bar,
    /// A wedge, wide toward the lower end of a line.
    Wedge,
    /// A cross in a ring, at the middle of its stretch.
    Barred,
    /// Ticks across its stretch.
    Ticks,
    /// An arrow head half-way along, toward where its path begins.
    Arrow,
}

/// How things of a role are drawn on paper.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Look {
    /// Its line.
    pub stroke: Option<Stroke>,
    /// The filling of an area or of a stretch of a profile.
    pub fill: Option<u8>,
    /// Its sign.
    pub sign: Sign,
    /// Size of its words, points.
    pub type_pt: f64,
    /// Heavy words.
    pub bold: bool,
}

const PLAIN: Look = Look { stroke: None, fill: None, sign: Sign::Nothing, type_pt: 7.0, bold: false };

fn line(stroke: Stroke) -> Look {
    Look { stroke: Some(stroke), ..PLAIN }
}

fn area(fill: u8) -> Look {
    Look { fill: Some(fill), type_pt: 9.0, bold: true, ..PLAIN }
}

fn sign(sign: Sign) -> Look {
    Look { sign, ..PLAIN }
}

fn words(type_pt: f64, bold: bool) -> Look {
    Look { type_pt, bold, ..PLAIN }
}

/// The look of a role.
pub(crate) fn look(role: Role) -> Look {
    match role {
        Role::Line(pipe) => Look { type_pt: 7.5, bold: true, ..line(pipe_stroke(pipe)) },
        Role::Mark(sort) => mark(sort),
        Role::Taught(what) => taught(what),
        Role::Solid(_) | Role::OutletPipe(_) => sign(Sign::Ticks),
        Role::Flow(_) => sign(Sign::Arrow),
        Role::CappedEnd(_) => sign(Sign::Bar),
        Role::OpenEnd(_) => sign(Sign::Dot(255)),
        Role::Reducer(_) => Look { bold: true, ..sign(Sign::Wedge) },
        // No filling: what lies under it, a utility above all, must be seen.
        Role::Doubt => line(Stroke::dashed(0.2, &[0.6, 0.9])),
        Role::Protected => Look { stroke: Some(Stroke::grey(2.6, 195)), ..area(90) },
        Role::NoDig => Look { stroke: Some(Stroke::black(2.2)), sign: Sign::Barred, type_pt: 7.5, ..area(170) },
        Role::Joint => sign(Sign::Dot(0)),
        Role::Outlet => Look { bold: true, ..sign(Sign::Square) },
        Role::Stretch(severity) | Role::Fault(severity) => line(Stroke::black(severity_mm(severity))),
        Role::Finding(_) => Look { bold: true, ..sign(Sign::Dot(255)) },
        Role::Boundary => line(Stroke::dashed(0.35, &[5.0, 1.2, 1.0, 1.2])),
        Role::Contour => line(Stroke::grey(0.13, 175)),
        Role::IndexContour => Look { type_pt: 7.0, ..line(Stroke::grey(0.3, 150)) },
        Role::HoleEdge => line(Stroke::dashed(0.3, &[1.6, 0.8])),
        Role::BreakLine => line(Stroke::grey(0.2, 110)),
        Role::Swale => line(Stroke::grey(0.5, 150)),
        Role::Ditch => line(Stroke::dashed(0.5, &[2.5, 0.8])),
        Role::Culvert => line(Stroke::dashed(0.9, &[1.4, 0.5])),
        Role::Depression => area(225),
        Role::FlowPathLand => area(238),
        Role::FlowPath => line(Stroke::dashed(0.4, &[1.6, 0.8])),
        Role::ProposedMain => line(Stroke::dashed(0.9, &[2.4, 1.0])),
        Role::ProposedLateral => line(Stroke::dashed(0.5, &[1.8, 1.0])),
        Role::Section => line(Stroke::dashed(0.4, &[0.6, 0.6])),
        Role::FlowPathFoot | Role::SectionStart | Role::Outlier => sign(Sign::Dot(255)),
        Role::Shot(_) | Role::SmallShot(_) => sign(Sign::Dot(0)),
        Role::WantedShot => Look { bold: true, ..sign(Sign::Dot(255)) },
        Role::Benchmark => Look { bold: true, ..sign(Sign::Benchmark) },
        Role::Band => area(240),
        Role::CoverLimit => line(Stroke::dashed(0.2, &[1.6, 1.2])),
        Role::Ground => line(Stroke::dashed(0.4, &[2.4, 0.9])),
        Role::GroundName => words(7.0, true),
        Role::NoGround => area(236),
        Role::Invert(_) => line(Stroke::black(0.8)),
        Role::PipeTop(_) => line(Stroke::black(0.25)),
        Role::WaterLevel => line(Stroke::dashed(0.25, &[0.4, 0.8])),
        Role::OutletWater => line(Stroke::dashed(0.35, &[2.0, 0.6])),
        Role::GradeBreak(_) => sign(Sign::Triangle),
        Role::Bend(_) | Role::Enters(_) => sign(Sign::Dot(0)),
        Role::Pin(_) => sign(Sign::Square),
        Role::Reach(_) | Role::AdverseReach => words(7.5, true),
        Role::ReachEnd => line(Stroke::grey(0.12, 150)),
        Role::AsDug => line(Stroke::dashed(0.35, &[0.5, 0.7])),
        Role::DugShot => sign(Sign::Dot(255)),
        Role::OffShot => Look { bold: true, ..sign(Sign::Square) },
        Role::RainDrop | Role::RunningDrop | Role::PipeWater => sign(Sign::Dot(255)),
        Role::Pond => area(215),
        Role::Guess => line(Stroke::grey(2.0, 200)),
        Role::Running(class) => line(Stroke::grey(0.3 + 0.2 * f64::from(class), 130)),
    }
}

/// Lines are told apart by weight and dash.
fn pipe_stroke(pipe: Pipe) -> Stroke {
    match pipe {
        Pipe::Main => Stroke::black(0.9),
        Pipe::Submain => Stroke::black(0.65),
        Pipe::Lateral => Stroke::black(0.4),
        Pipe::SuspectedTile => Stroke::dashed(0.35, &[0.8, 1.4]),
        Pipe::SeenTile => Stroke::dashed(0.45, &[3.0, 1.2]),
        Pipe::ProvedTile => Stroke::dashed(0.5, &[6.0, 1.0, 0.8, 1.0]),
    }
}

fn mark(sort: MarkSort) -> Look {
    let stroke = match sort {
        MarkSort::Utility(_) | MarkSort::Irrigation => Stroke::dashed(0.3, &[4.0, 0.8, 0.4, 0.8, 0.4, 0.8]),
        MarkSort::Overhead => Stroke::dashed(0.25, &[6.0, 1.0]),
        MarkSort::Road => Stroke::grey(0.9, 170),
        MarkSort::Rows | MarkSort::Easement => Stroke::dashed(0.2, &[1.0, 1.0]),
        MarkSort::Wet | MarkSort::Spring | MarkSort::Footing | MarkSort::Other => Stroke::grey(0.3, 90),
    };
    let fill = (sort == MarkSort::Wet).then_some(232);
    Look { stroke: Some(stroke), fill, sign: Sign::Dot(255), type_pt: 7.0, bold: false }
}

/// A thing on a drawing for a class.
fn taught(what: Taught) -> Look {
    let words = |look: Look| Look { type_pt: 8.0, ..look };
    match what {
        Taught::HeldWater | Taught::Bore => area(240),
        Taught::FullSoil | Taught::Standing => area(205),
        Taught::TightSoil => area(165),
        Taught::AirPore => sign(Sign::Dot(255)),
        Taught::WaterPore => sign(Sign::Dot(110)),
        Taught::FormerTable => words(line(Stroke::dashed(0.25, &[1.6, 1.2]))),
        Taught::WaterTable => line(Stroke::black(0.7)),
        Taught::Root => line(Stroke::grey(0.2, 90)),
        Taught::Stem => line(Stroke::black(0.5)),
        Taught::Leaves => sign(Sign::Dot(150)),
        Taught::RootDepth => line(Stroke::dashed(0.35, &[2.6, 1.4])),
        Taught::Drain => sign(Sign::Dot(255)),
        Taught::Running => area(120),
        Taught::Wall => line(Stroke::black(0.35)),
        Taught::SiltLine => line(Stroke::dashed(0.4, &[2.0, 1.0])),
        Taught::Words => Look { type_pt: 8.0, ..PLAIN },
    }
}

fn severity_mm(severity: Severity) -> f64 {
    match severity {
        Severity::Block => 1.6,
        Severity::Decide => 1.2,
        Severity::Note => 0.8,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A role that were drawn in nothing would be missed by nobody.
    #[test]
    fn every_role_has_ink() {
        for role in Role::all() {
            let look = look(role);
            let has_line = look.stroke.as_ref().is_some_and(|stroke| stroke.width_mm > 0.0 && stroke.grey < 255);
            let has_fill = look.fill.is_some_and(|grey| grey < 255);
            let is_words =
                matches!(role, Role::GroundName | Role::Reach(_) | Role::AdverseReach | Role::Taught(Taught::Words))
                    && look.type_pt > 0.0;
            assert!(has_line || has_fill || look.sign != Sign::Nothing || is_words, "{role:?}");
        }
    }

    /// A grey print must tell them apart.
    #[test]
    fn kinds_of_line_are_told_apart_without_colour() {
        for (i, pipe) in Pipe::ALL.into_iter().enumerate() {
            assert!(Pipe::ALL[..i].iter().all(|other| pipe_stroke(*other) != pipe_stroke(pipe)), "{pipe:?}");
        }
    }
}
