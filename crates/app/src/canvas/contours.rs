//! Contours: simplified, tessellated and cut into tiles once a zoom band; a frame only moves the tiles in sight.

use std::sync::Arc;

use egui::epaint::{Mesh, Shape, Stroke, TessellationOptions, Tessellator};
use egui::{Pos2, Rect, TextureId, Vec2, pos2, vec2};
use measure::{Point, Units};
use terrain::simplify;

use super::Pen;
use crate::land::Contours;
use crate::theme::{Palette, plain};

/// Zoom bands are half octaves: lines are at most a fifth thicker or thinner than meant.
const BANDS_PER_OCTAVE: f64 = 2.0;
/// Side of a tile, screen points.
const TILE: f32 = 512.0;
/// How far a drawn contour may stray from the true one, screen points.
const STRAY: f64 = 0.45;
/// Contours on average nearer than this are thinned out to index contours, and those again, screen points.
const CROWDED: f64 = 5.0;
/// Way along an index contour between two labels, screen points.
const LABEL_EVERY: f32 = 520.0;

/// What was made for one band of one set of contours.
#[derive(Default)]
pub struct ContourCache {
    key: Option<Key>,
    tiles: Vec<Tile>,
    labels: Vec<Label>,
}

#[derive(Clone, Copy, PartialEq)]
struct Key {
    contours: usize,
    band: i32,
    dark: bool,
    sharpness: f32,
    units: Units,
}

/// A piece of the map, tessellated at the band's scale with the origin at its first contour's place.
struct Tile {
    bounds: Rect,
    mesh: Mesh,
}

struct Label {
    at: Pos2,
    angle: f32,
    text: String,
}

impl ContourCache {
    /// Paints the contours in sight.
    pub fn paint(&mut self, pen: &Pen) {
        let Some(contours) = pen.session.contours() else { return };
        let band = (pen.lens.camera.scale.log2() * BANDS_PER_OCTAVE).round() as i32;
        let key = Key {
            contours: Arc::as_ptr(contours) as usize,
            band,
            dark: pen.palette.dark,
            sharpness: pen.painter.ctx().pixels_per_point(),
            units: pen.session.plan().title.units,
        };
        let Some(origin) = contours.lines.first().and_then(|line| line.points.first()).copied() else { return };
        if self.key != Some(key) {
            let crowd = crowding(pen, contours, band_scale(band));
            let drawn: Vec<&terrain::Contour> =
                contours.lines.iter().filter(|c| is_drawn(c, contours, crowd)).collect();
            let maker = Maker { origin, scale: band_scale(band), palette: pen.palette, sharpness: key.sharpness };
            self.tiles = maker.tiles(&drawn);
            self.labels = maker.labels(&drawn, key.units);
            self.key = Some(key);
        }
        let zoom = (pen.lens.camera.scale / band_scale(band)) as f32;
        let place = |p: Pos2, zero: Pos2| pos2(zero.x + p.x * zoom, zero.y + p.y * zoom);
        let zero = pen.lens.to_screen(origin);
        for tile in &self.tiles {
            let seen = Rect::from_min_max(place(tile.bounds.min, zero), place(tile.bounds.max, zero));
            if seen.intersects(pen.lens.rect) {
                let mut mesh = tile.mesh.clone();
                mesh.vertices.iter_mut().for_each(|vertex| vertex.pos = place(vertex.pos, zero));
                pen.painter.add(Shape::mesh(mesh));
            }
        }
        for label in &self.labels {
            let at = place(label.at, zero);
            if pen.lens.rect.shrink(14.0).contains(at) {
                write(pen, at, label);
            }
        }
    }
}

fn band_scale(band: i32) -> f64 {
    (band as f64 / BANDS_PER_OCTAVE).exp2()
}

/// How many contours make one that is drawn, so that they stay apart: 1, 5, 25 …
fn crowding(pen: &Pen, contours: &Contours, scale: f64) -> i64 {
    let Some(land) = pen.session.land() else { return 1 };
    let (low, high) = land.ground.grid().extent();
    let area_m2 = (high.x - low.x) * (high.y - low.y);
    let length_m: f64 = contours.lines.iter().map(|line| measure::path_length(&line.points)).sum();
    let apart = area_m2 / length_m.max(1.0) * scale;
    let mut every = 1;
    while apart * (every as f64) < CROWDED && every < 625 {
        every *= 5;
    }
    every
}

fn is_drawn(contour: &terrain::Contour, contours: &Contours, every: i64) -> bool {
    let number = (contour.level_m / contours.interval_m).round() as i64;
    number % every == 0
}

struct Maker {
    origin: Point,
    scale: f64,
    palette: &'static Palette,
    sharpness: f32,
}

impl Maker {
    fn place(&self, p: Point) -> Pos2 {
        pos2(((p.x - self.origin.x) * self.scale) as f32, ((self.origin.y - p.y) * self.scale) as f32)
    }

    fn path(&self, contour: &terrain::Contour) -> Vec<Pos2> {
        simplify(&contour.points, STRAY / self.scale).into_iter().map(|p| self.place(p)).collect()
    }

    fn tiles(&self, drawn: &[&terrain::Contour]) -> Vec<Tile> {
        let mut tiles: std::collections::BTreeMap<(i32, i32), Mesh> = std::collections::BTreeMap::new();
        let mut tessellator = Tessellator::new(self.sharpness, TessellationOptions::default(), [1, 1], Vec::new());
        for contour in drawn {
            let stroke = if contour.index {
                Stroke::new(1.5, self.palette.index_contour)
            } else {
                Stroke::new(0.8, self.palette.contour)
            };
            for piece in pieces(&self.path(contour)) {
                let tile = ((piece[0].x / TILE).floor() as i32, (piece[0].y / TILE).floor() as i32);
                let mesh = tiles.entry(tile).or_insert_with(|| Mesh::with_texture(TextureId::default()));
                tessellator.tessellate_shape(Shape::line(piece, stroke), mesh);
            }
        }
        tiles.into_values().map(|mesh| Tile { bounds: mesh.calc_bounds(), mesh }).collect()
    }

    fn labels(&self, drawn: &[&terrain::Contour], units: Units) -> Vec<Label> {
        let index = drawn.iter().filter(|contour| contour.index);
        let mut labels = Vec::new();
        for contour in index {
            let text = units.number(contour.level_m, decimals(contour.level_m / units.length_unit().metres()));
            labels.extend(label_places(&self.path(contour)).map(|(at, angle)| Label {
                at,
                angle,
                text: text.clone(),
            }));
        }
        labels
    }
}

fn decimals(level: f64) -> i32 {
    if (level - level.round()).abs() < 1e-6 { 0 } else { 1 }
}

/// A long contour in pieces short enough that each belongs to a tile; neighbours share their end.
fn pieces(path: &[Pos2]) -> Vec<Vec<Pos2>> {
    let mut pieces = Vec::new();
    let mut piece: Vec<Pos2> = Vec::new();
    for point in path {
        piece.push(*point);
        let away = piece[0].distance(*point) > TILE / 2.0;
        if piece.len() > 1 && (away || piece.len() >= 256) {
            pieces.push(std::mem::replace(&mut piece, vec![*point]));
        }
    }
    if piece.len() > 1 {
        pieces.push(piece);
    }
    pieces
}

/// Where labels stand along a path and how they are turned: upright, on pieces that are straight enough.
fn label_places(path: &[Pos2]) -> impl Iterator<Item = (Pos2, f32)> {
    let mut places = Vec::new();
    let mut due = LABEL_EVERY / 3.0;
    let mut way = 0.0;
    for i in 1..path.len() {
        let step: Vec2 = path[i] - path[i - 1];
        way += step.length();
        if way >= due {
            let reach = |from: usize, to: usize| path[to.min(path.len() - 1)] - path[from];
            let direction = reach(i.saturating_sub(3), i + 2);
            let mut angle = direction.angle();
            if angle.abs() > std::f32::consts::FRAC_PI_2 {
                angle -= std::f32::consts::PI * angle.signum();
            }
            places.push((path[i - 1] + step * 0.5, angle));
            due = way + LABEL_EVERY;
        }
    }
    places.into_iter()
}

fn write(pen: &Pen, at: Pos2, label: &Label) {
    let galley = pen.painter.layout_no_wrap(label.text.clone(), plain(11.0), pen.palette.contour_ink);
    let half = galley.size() / 2.0;
    let rot = egui::emath::Rot2::from_angle(label.angle);
    let corner = at - rot * half;
    // A strip of paper under the level keeps the contour from striking it through.
    let strip = [
        vec2(-half.x - 2.0, 1.0 - half.y),
        vec2(half.x + 2.0, 1.0 - half.y),
        vec2(half.x + 2.0, half.y - 1.0),
        vec2(-half.x - 2.0, half.y - 1.0),
    ];
    let strip = strip.map(|corner| at + rot * corner).to_vec();
    pen.painter.add(Shape::convex_polygon(strip, pen.palette.faint(pen.palette.paper, 0.82), Stroke::NONE));
    let text = egui::epaint::TextShape::new(corner, galley, pen.palette.contour_ink).with_angle(label.angle);
    pen.painter.add(text);
}
