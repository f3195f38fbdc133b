//! Photos on paper.

use std::sync::Arc;

use crate::pdf;

/// A photo that can be put on a page: a JPEG or a PNG.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    bytes: Arc<Vec<u8>>,
    /// Quarter turns clockwise by which it stands upright, 0 to 3.
    turns: u8,
    /// Width and height as it stands upright, pixels.
    size_px: (f64, f64),
}

impl Picture {
    /// A photo and the quarter turns clockwise by which it stands upright; `None` where it is of another form or could not be
    /// written into a PDF that is to be kept.
    pub fn of(bytes: &[u8], turns: u8) -> Option<Self> {
        let bytes = Arc::new(bytes.to_vec());
        let (width, height) = pdf::embedded_px(&bytes)?;
        let lying = (f64::from(width), f64::from(height));
        let turns = turns % 4;
        Some(Self { bytes, turns, size_px: if turns.is_multiple_of(2) { lying } else { (lying.1, lying.0) } })
    }

    /// The file as it is.
    pub(crate) fn bytes(&self) -> &Arc<Vec<u8>> {
        &self.bytes
    }

    /// Quarter turns clockwise by which it stands upright, 0 to 3.
    pub(crate) const fn turns(&self) -> u8 {
        self.turns
    }

    /// Its width and height as large as they fit, in the unit of what they are to fit.
    pub(crate) fn fitted(&self, width: f64, height: f64) -> (f64, f64) {
        let scale = (width / self.size_px.0).min(height / self.size_px.1);
        (self.size_px.0 * scale, self.size_px.1 * scale)
    }
}
