//! Tints over the relief: how steep the ground is, how deep water would stand in its hollows, how many days it is wet.

use std::sync::Arc;

use egui::{Color32, ColorImage, TextureHandle, TextureOptions};

use super::Pen;
use super::relief::{paint_over, picture_of};
use crate::view::Tint;
use job::ground::threads;
use land::Land;
use terrain::{Grid, Ground, Water};

/// Bounds of the classes of slope, ratios: what drainage handbooks call flat, gentle, rolling and steep differs widely
/// (own choice: the first is the least grade of a small main, the last where a field is no longer worked across).
const SLOPES: [f32; 5] = [0.002, 0.01, 0.03, 0.06, 0.12];
/// Bounds of the classes of depth, metres (own choice).
const DEPTHS: [f32; 5] = [0.02, 0.1, 0.2, 0.4, 0.8];

/// Bounds of the classes of days wet (own choice).
const DAYS: [f32; 5] = [1.0, 2.0, 4.0, 7.0, 10.0];

/// What a texture was made of.
#[derive(Clone, PartialEq)]
struct Made {
    ground: *const Ground,
    water: *const Water,
    days_wet: Option<*const Grid>,
    tint: Tint,
    dark: bool,
}

/// The texture, made anew when what it shows changes.
#[derive(Default)]
pub struct TintCache {
    made: Option<(Made, TextureHandle)>,
}

impl TintCache {
    /// Paints the tint that is chosen.
    pub fn paint(&mut self, pen: &Pen, land: &Land) {
        let Some((ground, water)) = land.ground.as_ref().zip(land.water.as_ref()) else { return };
        let (tint, dark) = (pen.view.layers.tint, pen.palette.dark);
        if tint == Tint::Nothing {
            return;
        }
        let map = pen.view.drying.map().filter(|_| tint == Tint::DaysWet);
        let grid = match tint {
            Tint::DaysWet => map.map(Arc::as_ref),
            _ => Some(ground.grid()),
        };
        let Some(grid) = grid else { return };
        let days_wet = map.map(Arc::as_ptr);
        let wanted = Made { ground: Arc::as_ptr(ground), water: Arc::as_ptr(water), days_wet, tint, dark };
        if self.made.as_ref().is_none_or(|(made, _)| *made != wanted) {
            let image = image(pen, grid, &figures(tint, grid, water));
            self.made = Some((wanted, pen.painter.ctx().load_texture("tint", image, TextureOptions::NEAREST)));
        }
        if let Some((_, texture)) = &self.made {
            paint_over(pen, grid, texture);
        }
    }
}

/// Bounds of the classes of a tint.
pub fn bounds(tint: Tint) -> &'static [f32] {
    match tint {
        Tint::Nothing => &[],
        Tint::Slope => &SLOPES,
        Tint::Depth => &DEPTHS,
        Tint::DaysWet => &DAYS,
    }
}

/// The figure of every cell that is tinted by; `NaN` without ground. Days wet stand in their own grid.
fn figures(tint: Tint, grid: &Grid, water: &Water) -> Vec<f32> {
    match tint {
        Tint::Nothing => Vec::new(),
        Tint::Slope => terrain::slope_ratio(grid, threads()),
        Tint::DaysWet => grid.levels().to_vec(),
        Tint::Depth => water.filled().iter().zip(grid.levels()).map(|(filled, z)| filled - z).collect(),
    }
}

fn image(pen: &Pen, grid: &Grid, figures: &[f32]) -> ColorImage {
    let tint = pen.view.layers.tint;
    let bounds = bounds(tint);
    let tints: Vec<Color32> = (0..=bounds.len()).map(|class| pen.palette.tint(tint, class, bounds.len())).collect();
    picture_of(pen, (grid.cols(), grid.rows()), |cell| {
        match bounds.iter().filter(|bound| figures[cell] >= **bound).count() {
            0 => Color32::TRANSPARENT,
            class => tints[class],
        }
    })
}
