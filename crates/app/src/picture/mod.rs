//! The headless picture: map, profiles and punch list drawn by the same code as the window, without a display.

mod raster;
mod sheet;

use egui::{Pos2, RawInput, Rect, vec2};

pub use raster::Canvas;

use crate::theme;
use job::Session;

/// Pixels a point.
const SHARPNESS: f32 = 2.0;
/// Most pixels a picture may have.
const MOST_PIXELS: f32 = 200.0e6;

/// How the picture is laid out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sheet {
    /// Width, points; the height follows from what there is to show.
    pub width: f32,
    /// Dark paper.
    pub dark: bool,
}

/// Why no picture could be made.
#[derive(Debug, thiserror::Error)]
pub enum PictureError {
    /// The picture would be too large.
    #[error("a picture of {width} × {height} points is too large; found {lines} lines, choose a narrower one")]
    Size {
        /// Width, points.
        width: f32,
        /// Height, points.
        height: f32,
        /// Lines of the plan.
        lines: usize,
    },
    /// The PNG could not be made.
    #[error("no PNG could be made: {0}")]
    Png(#[from] png::EncodingError),
}

/// Draws a plan as the bytes of a PNG.
pub fn draw(session: &Session, sheet: Sheet) -> Result<Vec<u8>, PictureError> {
    let (mut paper, mut height) = (sheet::Paper::new(session, sheet), 0.0);
    render(vec2(sheet.width, 1.0), SHARPNESS, |ui| height = paper.height(ui));
    if sheet.width * height * SHARPNESS * SHARPNESS > MOST_PIXELS {
        return Err(PictureError::Size { width: sheet.width, height, lines: session.plan().lines.len() });
    }
    let canvas = render(vec2(sheet.width, height), SHARPNESS, |ui| paper.show(ui));
    Ok(canvas.png()?)
}

/// Runs a piece of interface without a window and draws what it painted.
pub fn render(size: egui::Vec2, sharpness: f32, mut show: impl FnMut(&mut egui::Ui)) -> Canvas {
    let ctx = egui::Context::default();
    theme::install_fonts(&ctx);
    ctx.set_pixels_per_point(sharpness);
    let input = || RawInput { screen_rect: Some(Rect::from_min_size(Pos2::ZERO, size)), ..RawInput::default() };
    let mut canvas = Canvas::new((size.x * sharpness) as usize, (size.y * sharpness) as usize);
    // The first passes settle fonts and sizes; the last is the one that is drawn.
    let mut output = ctx.run_ui(input(), &mut show);
    for _ in 0..2 {
        canvas.take_textures(&mut output.textures_delta);
        output = ctx.run_ui(input(), &mut show);
    }
    canvas.take_textures(&mut output.textures_delta);
    let primitives = ctx.tessellate(output.shapes, sharpness);
    canvas.paint(&primitives, sharpness);
    canvas
}
