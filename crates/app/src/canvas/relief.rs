//! Shaded relief: one texture, drawn as one rectangle.

use std::sync::Arc;

use egui::{Color32, ColorImage, Rect, TextureHandle, TextureOptions, pos2};

use super::Pen;
use crate::land::Land;
use crate::theme::Palette;

/// Longest side of the texture; larger ground is thinned to it (every graphics driver takes this much).
pub const LONGEST: usize = 4096;

/// The texture, made anew when the land or the theme changes.
#[derive(Default)]
pub struct ReliefCache {
    made: Option<(Arc<Land>, bool, TextureHandle)>,
}

impl ReliefCache {
    /// Paints the relief under everything.
    pub fn paint(&mut self, pen: &Pen, land: &Arc<Land>) {
        let dark = pen.palette.dark;
        if !self.made.as_ref().is_some_and(|(of, in_dark, _)| Arc::ptr_eq(of, land) && *in_dark == dark) {
            let texture = pen.painter.ctx().load_texture("relief", image(land, pen.palette), TextureOptions::LINEAR);
            self.made = Some((land.clone(), dark, texture));
        }
        if let Some((_, _, texture)) = &self.made {
            let (low, high) = land.ground.grid().extent();
            let rect = Rect::from_two_pos(pen.lens.to_screen(low), pen.lens.to_screen(high));
            let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
            pen.painter.image(texture.id(), rect, whole, Color32::WHITE);
        }
    }
}

fn image(land: &Land, palette: &Palette) -> ColorImage {
    let grid = land.ground.grid();
    let step = grid.cols().max(grid.rows()).div_ceil(LONGEST);
    let (cols, rows) = (grid.cols() / step, grid.rows() / step);
    let tones: Vec<Color32> = (0..=255).map(|shade| palette.relief(shade)).collect();
    let colour = |col: usize, row: usize| match land.shade[row * step * grid.cols() + col * step] {
        0 => Color32::TRANSPARENT,
        shade => tones[shade as usize],
    };
    let pixels =
        (0..rows).flat_map(|row| (0..cols).map(move |col| (col, row))).map(|(col, row)| colour(col, row)).collect();
    ColorImage::new([cols, rows], pixels)
}
