//! Shaded relief: one texture, drawn as one rectangle.

use std::sync::Arc;

use egui::{Color32, ColorImage, Rect, TextureHandle, TextureOptions, pos2};

use terrain::Grid;

use super::Pen;
use land::{Base, Land};

/// Longest side of a texture of the ground; larger ground, or a driver that takes less, has it thinned (own choice: finer
/// than any screen).
const LONGEST: usize = 4096;

/// The texture, made anew when the land or the theme changes.
#[derive(Default)]
pub struct ReliefCache {
    made: Option<(Arc<Base>, bool, TextureHandle)>,
}

impl ReliefCache {
    /// Paints the relief under everything.
    pub fn paint(&mut self, pen: &Pen, land: &Land) {
        let Some((grid, base)) = land.grid().zip(land.base.as_ref()) else { return };
        let dark = pen.palette.dark;
        if !self.made.as_ref().is_some_and(|(of, in_dark, _)| Arc::ptr_eq(of, base) && *in_dark == dark) {
            let image = image(pen, grid, land.shade());
            let texture = pen.painter.ctx().load_texture("relief", image, TextureOptions::LINEAR);
            self.made = Some((base.clone(), dark, texture));
        }
        if let Some((_, _, texture)) = &self.made {
            paint_over(pen, grid, texture);
        }
    }
}

/// Paints a texture of the ground where the ground lies.
pub fn paint_over(pen: &Pen, grid: &Grid, texture: &TextureHandle) {
    let (low, high) = grid.extent();
    let rect = Rect::from_two_pos(pen.lens.to_screen(low), pen.lens.to_screen(high));
    let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
    pen.painter.image(texture.id(), rect, whole, Color32::WHITE);
}

fn image(pen: &Pen, grid: &Grid, shade: &[u8]) -> ColorImage {
    let tones: Vec<Color32> = (0..=255).map(|shade| pen.palette.relief(shade)).collect();
    picture_of(pen, (grid.cols(), grid.rows()), |cell| match shade[cell] {
        0 => Color32::TRANSPARENT,
        shade => tones[shade as usize],
    })
}

/// A picture of so many columns and rows from the colour of each cell, thinned to what the driver takes.
pub fn picture_of(pen: &Pen, (across, down): (usize, usize), colour: impl Fn(usize) -> Color32) -> ColorImage {
    let longest = pen.painter.ctx().input(|input| input.max_texture_side).clamp(1, LONGEST);
    let step = across.max(down).div_ceil(longest);
    let (cols, rows) = ((across / step).max(1), (down / step).max(1));
    let cells = (0..rows).flat_map(|row| (0..cols).map(move |col| row * step * across + col * step));
    ColorImage::new([cols, rows], cells.map(colour).collect())
}
