//! How each role is drawn on paper: millimetres, points of type and grey.

use drawing::Role;

use crate::page::Stroke;

/// Dashes where a line passes something, millimetres.
pub(crate) const PASSED: [f64; 2] = [0.6, 1.2];

/// How things of a role are drawn on paper.
pub(crate) struct Look {
    /// Its line.
    pub stroke: Option<Stroke>,
    /// The filling of an area or of a stretch of a profile.
    pub fill: Option<u8>,
    /// Its words: size in points, and whether they are heavy.
    pub type_pt: f64,
    pub bold: bool,
}

/// The look of a role.
pub(crate) fn look(role: Role) -> Look {
    let line = |stroke| Look { stroke: Some(stroke), fill: None, type_pt: 7.0, bold: false };
    let area = |fill| Look { stroke: None, fill: Some(fill), type_pt: 9.0, bold: true };
    let words = |type_pt, bold| Look { stroke: None, fill: None, type_pt, bold };
    match role {
        Role::Ground => line(Stroke::dashed(0.4, &[2.4, 0.9])),
        Role::NoGround => area(236),
        Role::NoDig => Look { stroke: Some(Stroke::black(2.2)), ..area(170) },
        Role::Protected => Look { stroke: Some(Stroke::grey(2.6, 195)), ..area(90) },
        Role::Invert(_) => line(Stroke::black(0.8)),
        Role::PipeTop(_) => line(Stroke::black(0.25)),
        Role::ReachEnd => line(Stroke::grey(0.12, 150)),
        Role::Reach(_) | Role::AdverseReach => words(7.5, true),
        Role::Band => area(240),
        Role::CoverLimit => line(Stroke::dashed(0.2, &[1.6, 1.2])),
        Role::WaterLevel => line(Stroke::dashed(0.25, &[0.4, 0.8])),
        Role::Fault(_) => line(Stroke::black(1.4)),
        _ => words(7.0, false),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_role_has_ink() {
        for role in Role::all() {
            let look = look(role);
            let is_seen = look.stroke.is_some_and(|stroke| stroke.width_mm > 0.0 && stroke.grey < 255)
                || look.fill.is_some_and(|grey| grey < 255)
                || look.type_pt > 0.0;
            assert!(is_seen, "{role:?}");
        }
    }
}
