//! Many lines that never change: tessellated and cut into tiles once a zoom band, as far as they are near what is seen; a frame
//! only moves the tiles in sight.

use std::collections::BTreeMap;
use std::sync::Arc;

use egui::epaint::{Mesh, Shape, Stroke, TessellationOptions, Tessellator};
use egui::{Pos2, Rect, TextureId, pos2};
use measure::Point;

use super::Pen;

/// Zoom bands are half octaves: lines are at most a fifth thicker or thinner than meant.
const BANDS_PER_OCTAVE: f64 = 2.0;
/// Side of a tile, screen points.
const TILE: f32 = 512.0;

/// Side of the squares in which lines are put together, screen points.
const SQUARE: f64 = 1024.0;

/// South-west and north-east corner of the squares that a map touches.
pub type Region = (Point, Point);

/// A line on the plan and how it is drawn.
pub struct Stroked {
    /// Its course.
    pub points: Vec<Point>,
    /// Width and colour.
    pub stroke: Stroke,
}

/// The tiles made for one band of one thing.
pub struct BandCache<T> {
    made: Option<Made<T>>,
}

struct Made<T> {
    of: Arc<T>,
    band: i32,
    region: Region,
    dark: bool,
    sharpness: f32,
    origin: Point,
    tiles: Vec<Tile>,
}

/// A piece of the map, tessellated at the band's scale round the origin.
struct Tile {
    bounds: Rect,
    mesh: Mesh,
}

impl<T> Default for BandCache<T> {
    fn default() -> Self {
        Self { made: None }
    }
}

impl<T> BandCache<T> {
    /// Paints the tiles in sight. `strokes` draws `of` at a scale, screen points a metre, where it comes into a region; it is
    /// asked only when band, region, theme or `of` itself changed, and then the answer is true.
    pub fn paint(&mut self, pen: &Pen, of: &Arc<T>, strokes: impl FnOnce(f64, Region) -> Vec<Stroked>) -> bool {
        let band = (pen.lens.camera.scale.log2() * BANDS_PER_OCTAVE).round() as i32;
        let region = region(pen, scale_of(band));
        let sharpness = pen.painter.ctx().pixels_per_point();
        let is_fresh = |made: &Made<T>| {
            Arc::ptr_eq(&made.of, of)
                && (made.band, made.dark, made.sharpness) == (band, pen.palette.dark, sharpness)
                && made.region == region
        };
        let anew = !self.made.as_ref().is_some_and(is_fresh);
        if anew {
            let strokes = strokes(scale_of(band), region);
            let origin = strokes.first().and_then(|line| line.points.first()).copied();
            let origin = origin.unwrap_or(pen.lens.camera.centre);
            let near = Rect::from_points(&at_scale(&[region.0, region.1], origin, scale_of(band)));
            let tiles = tiles(&strokes, (origin, near), scale_of(band), sharpness);
            self.made = Some(Made { of: of.clone(), band, region, dark: pen.palette.dark, sharpness, origin, tiles });
        }
        if let Some(made) = &self.made {
            made.paint(pen);
        }
        anew
    }
}

impl<T> Made<T> {
    fn paint(&self, pen: &Pen) {
        let zoom = (pen.lens.camera.scale / scale_of(self.band)) as f32;
        let zero = pen.lens.to_screen(self.origin);
        let place = |p: Pos2| pos2(zero.x + p.x * zoom, zero.y + p.y * zoom);
        for tile in &self.tiles {
            let seen = Rect::from_min_max(place(tile.bounds.min), place(tile.bounds.max));
            if seen.intersects(pen.sight()) {
                let mut mesh = tile.mesh.clone();
                mesh.vertices.iter_mut().for_each(|vertex| vertex.pos = place(vertex.pos));
                pen.painter.add(Shape::mesh(mesh));
            }
        }
    }
}

/// Scale in the middle of a band, screen points a metre.
fn scale_of(band: i32) -> f64 {
    (band as f64 / BANDS_PER_OCTAVE).exp2()
}

/// The squares that the map touches at a scale.
fn region(pen: &Pen, scale: f64) -> Region {
    let side_m = SQUARE / scale;
    let (low, high) = pen.lens.seen();
    let whole = |x: f64, round: fn(f64) -> f64| round(x / side_m) * side_m;
    let low = Point::new(whole(low.x, f64::floor), whole(low.y, f64::floor));
    (low, Point::new(whole(high.x, f64::ceil), whole(high.y, f64::ceil)))
}

/// A course at a scale, round an origin, north up.
pub fn at_scale(points: &[Point], origin: Point, scale: f64) -> Vec<Pos2> {
    let place = |p: &Point| pos2(((p.x - origin.x) * scale) as f32, ((origin.y - p.y) * scale) as f32);
    points.iter().map(place).collect()
}

/// The tiles of what comes near what is seen, round an origin.
fn tiles(strokes: &[Stroked], (origin, near): (Point, Rect), scale: f64, sharpness: f32) -> Vec<Tile> {
    let mut tiles: BTreeMap<(i32, i32), Mesh> = BTreeMap::new();
    let mut tessellator = Tessellator::new(sharpness, TessellationOptions::default(), [1, 1], Vec::new());
    for line in strokes {
        let pieces = pieces(&at_scale(&line.points, origin, scale)).into_iter();
        for piece in pieces.filter(|piece| near.intersects(Rect::from_points(piece))) {
            let tile = ((piece[0].x / TILE).floor() as i32, (piece[0].y / TILE).floor() as i32);
            let mesh = tiles.entry(tile).or_insert_with(|| Mesh::with_texture(TextureId::default()));
            tessellator.tessellate_shape(Shape::line(piece, line.stroke), mesh);
        }
    }
    tiles.into_values().map(|mesh| Tile { bounds: mesh.calc_bounds(), mesh }).collect()
}

/// A long line in pieces short enough that each belongs to a tile; neighbours share their end.
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
