//! Contours that fit the zoom: made beside the window, and kept by interval.

use egui::Context;
use job::ground::threads;
use measure::LengthUnit;

use crate::desk::{Desk, then};
use crate::jobs::{Kind, Task};
use crate::view::Switch;
use land::Land;

/// Contours lie so far from each other on average, or farther, screen points (own choice: a finger's breadth holds three).
const APART: f64 = 14.0;
/// No finer than ground is measured from the air, units of the plan: a tenth of a foot, five centimetres (own choice).
const FINEST: (f64, f64) = (0.1, 0.05);
/// Metres of contour for each cell of the ground, at most: finer ones take more memory than they show (own choice).
const MOST_M_A_CELL: f64 = 8.0;

/// The interval that fits a zoom, metres: a step of 1, 2 or 5 in a unit. `None` without ground.
pub fn fitting_m(land: &Land, unit: LengthUnit, scale: f64) -> Option<f64> {
    let (contoured, grid) = (land.contoured()?, land.grid()?);
    let cell_m = (grid.cell_m().0 * grid.cell_m().1).sqrt();
    let is_metric = unit == LengthUnit::Metre;
    let least = (if is_metric { FINEST.1 } else { FINEST.0 }) * unit.metres();
    let most_m_a_m2 = MOST_M_A_CELL / (cell_m * cell_m);
    let least_m = (APART / scale * contoured).max(contoured / most_m_a_m2).max(least);
    Some(step_up(least_m / unit.metres()) * unit.metres())
}

/// The least step of 1, 2 or 5 times a power of ten that is not less.
fn step_up(least: f64) -> f64 {
    let power = least.log10().floor() as i32;
    // Dividing by a whole power keeps 0.1 and its kin exact.
    let step =
        |(step, power): (f64, i32)| if power < 0 { step / 10f64.powi(-power) } else { step * 10f64.powi(power) };
    let steps = [(1.0, power), (2.0, power), (5.0, power), (1.0, power + 1)].map(step);
    steps.into_iter().find(|step| *step >= least * (1.0 - 1e-9)).unwrap_or(steps[3])
}

/// Draws contours at the interval that fits the zoom, or at the one that was asked for.
pub fn follow(desk: &mut Desk, ctx: &Context) {
    // Half octaves, so that no two intervals take turns while the hand is still.
    let scale = ((desk.view.camera.scale.log2() * 2.0).round() / 2.0).exp2();
    let unit = desk.session.plan().title.units.length_unit();
    let fitting_m = desk.view.interval_m.or_else(|| fitting_m(desk.session.land(), unit, scale));
    let Some(interval_m) = fitting_m.filter(|_| desk.view.shows(Switch::Contours) && !desk.view.fit) else { return };
    if desk.session.recall_interval(interval_m) || desk.jobs.runs(Kind::Contours) {
        return;
    }
    let land = desk.session.land().clone();
    desk.begin(Task::new(Kind::Contours, "Contours"), ctx, move |_| {
        let contours = land.contours(Some(interval_m), unit, threads());
        Ok(then(move |desk, _, _| desk.session.take_contours(contours, &land)))
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_one_two_and_five() {
        let steps = [0.03, 0.05, 0.1, 0.11, 1.0, 1.2, 4.0, 6.0, 20.0, 37.0].map(step_up);
        assert_eq!(steps, [0.05, 0.05, 0.1, 0.2, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0]);
    }
}
