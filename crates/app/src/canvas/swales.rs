//! Swales: low ground where water gathers, heavier with more uphill area.

use std::sync::Arc;

use egui::Stroke;
use measure::SQUARE_M_PER_HECTARE;
use terrain::Swale;

use super::Pen;
use super::band::{BandCache, Stroked};

/// Widths nearer than this are one weight, screen points.
const SAME_WEIGHT: f32 = 0.25;

/// What was made for the zoom band in use.
pub type SwaleCache = BandCache<Vec<Swale>>;

/// Paints the swales in sight.
pub fn paint(pen: &Pen, swales: &Arc<Vec<Swale>>, cache: &mut SwaleCache) {
    cache.paint(pen, swales, |_| swales.iter().flat_map(|swale| stretches(pen, swale)).collect());
}

/// Width of a swale with so much land above it, screen points: 1.5 at an acre, growing with the fourth root of the area.
fn width(area_m2: f64) -> f32 {
    (1.6 * (area_m2 / SQUARE_M_PER_HECTARE).sqrt().sqrt() + 0.2).clamp(1.2, 6.0) as f32
}

/// A swale in stretches of like weight.
fn stretches(pen: &Pen, swale: &Swale) -> Vec<Stroked> {
    let colour = pen.palette.faint(pen.palette.water, 0.62);
    let mut stretches = Vec::new();
    let mut from = 0;
    while from + 1 < swale.points.len() {
        let weight = width(swale.area_m2[from]);
        let mut to = from + 1;
        while to + 1 < swale.points.len() && (width(swale.area_m2[to]) - weight).abs() < SAME_WEIGHT {
            to += 1;
        }
        stretches.push(Stroked { points: swale.points[from..=to].to_vec(), stroke: Stroke::new(weight, colour) });
        from = to;
    }
    stretches
}
