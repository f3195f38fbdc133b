//! Lines of the land that stay while the plan changes: edges of the survey and swales.

use drawing::{Form, Item, Layer, MapOf};
use egui::Stroke;
use measure::{Point, SQUARE_M_PER_HECTARE};

use super::Pen;
use super::band::{BandCache, Stroked};
use super::draw::closed;
use land::{Base, Land};
use terrain::Swale;

/// Widths nearer than this are one weight, screen points.
const SAME_WEIGHT: f32 = 0.25;

/// What was made for the zoom band in use.
#[derive(Default)]
pub struct FixedCache {
    edges: BandCache<Base>,
    swales: BandCache<Vec<Swale>>,
}

impl FixedCache {
    /// Paints where the survey leaves the ground unknown, and its break lines.
    pub fn paint_edges(&mut self, pen: &Pen, map: &MapOf, land: &Land) {
        let Some(base) = &land.base else { return };
        self.edges.paint(pen, base, |_, _| strokes(pen, map, Layer::Edges));
    }

    /// Paints the swales in sight.
    pub fn paint_swales(&mut self, pen: &Pen, map: &MapOf, land: &Land) {
        self.swales.paint(pen, &land.swales, |_, _| strokes(pen, map, Layer::Swales));
    }
}

fn strokes(pen: &Pen, map: &MapOf, layer: Layer) -> Vec<Stroked> {
    map.scene(&[layer]).items.iter().flat_map(|item| stroked(pen, item)).collect()
}

fn stroked(pen: &Pen, item: &Item) -> Vec<Stroked> {
    let look = pen.palette.look(item.role);
    let stroke = |width| Stroke::new(width, look.colour);
    match &item.form {
        Form::Path(points) => vec![Stroked { points: points.to_vec(), stroke: stroke(look.width) }],
        Form::Ring(points) => vec![Stroked { points: closed(points), stroke: stroke(look.width) }],
        Form::Stream(points, area_m2) => stretches(points, area_m2, stroke),
        _ => Vec::new(),
    }
}

/// Width of a swale with so much land above it, screen points: 1.5 at an acre, growing with the fourth root of the area.
fn width(area_m2: f64) -> f32 {
    (1.6 * (area_m2 / SQUARE_M_PER_HECTARE).sqrt().sqrt() + 0.2).clamp(1.2, 6.0) as f32
}

/// A swale in stretches of like weight.
fn stretches(points: &[Point], area_m2: &[f64], stroke: impl Fn(f32) -> Stroke) -> Vec<Stroked> {
    let mut stretches = Vec::new();
    let mut from = 0;
    while from + 1 < points.len() {
        let weight = width(area_m2[from]);
        let mut to = from + 1;
        while to + 1 < points.len() && (width(area_m2[to]) - weight).abs() < SAME_WEIGHT {
            to += 1;
        }
        stretches.push(Stroked { points: points[from..=to].to_vec(), stroke: stroke(weight) });
        from = to;
    }
    stretches
}
