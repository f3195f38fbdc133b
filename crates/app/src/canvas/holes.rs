//! Where the survey leaves the ground unknown, and the break lines it was held to.

use egui::Stroke;
use measure::Point;

use super::Pen;
use super::band::{BandCache, Stroked};
use land::{Base, Land};

/// What was made for the zoom band in use.
pub type HoleCache = BandCache<Base>;

/// Paints the outlines of the holes and the break lines.
pub fn paint(pen: &Pen, land: &Land, cache: &mut HoleCache) {
    let Some(base) = &land.base else { return };
    cache.paint(pen, base, |_| strokes(pen, land));
}

fn strokes(pen: &Pen, land: &Land) -> Vec<Stroked> {
    let hole = Stroke::new(1.4, pen.palette.faint(pen.palette.to_decide, 0.8));
    let rings = land.holes().iter().flat_map(|hole| &hole.rings);
    let rings = rings.map(|ring| Stroked { points: closed(ring.clone()), stroke: hole });
    let edge = Stroke::new(1.0, pen.palette.faint(pen.palette.ink, 0.55));
    let lines = land.ground.iter().filter_map(|ground| ground.survey()).flat_map(|survey| &survey.break_lines);
    let breaks = lines.map(|line| Stroked { points: line.iter().map(|shot| shot.at).collect(), stroke: edge });
    rings.chain(breaks).collect()
}

fn closed(mut ring: Vec<Point>) -> Vec<Point> {
    ring.extend(ring.first().copied());
    ring
}
