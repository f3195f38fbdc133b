//! Paints the triangles of the interface library into memory: what a graphics card would do, slowly and everywhere.

use std::collections::BTreeMap;

use egui::epaint::textures::TexturesDelta;
use egui::epaint::{ClippedPrimitive, ImageData, Mesh, Primitive, Vertex};
use egui::{Color32, Pos2, Rect, TextureId};

/// A picture in memory, with the textures it is painted from.
pub struct Canvas {
    width: usize,
    height: usize,
    pixels: Vec<Color32>,
    textures: BTreeMap<TextureKey, Texture>,
}

type TextureKey = (u8, u64);

struct Texture {
    size: [usize; 2],
    pixels: Vec<Color32>,
}

fn key(id: TextureId) -> TextureKey {
    match id {
        TextureId::Managed(n) => (0, n),
        TextureId::User(n) => (1, n),
    }
}

impl Canvas {
    /// A clear picture.
    pub fn new(width: usize, height: usize) -> Self {
        Self { width, height, pixels: vec![Color32::BLACK; width * height], textures: BTreeMap::new() }
    }

    /// Width and height, pixels.
    pub fn size(&self) -> (usize, usize) {
        (self.width, self.height)
    }

    /// The colour of a pixel.
    pub fn pixel(&self, x: usize, y: usize) -> Color32 {
        self.pixels[y * self.width + x]
    }

    /// Takes over new and changed textures.
    pub fn take_textures(&mut self, delta: &mut TexturesDelta) {
        let changes = delta.set.iter().flat_map(|(id, changes)| changes.iter().map(move |change| (*id, change)));
        for (id, change) in changes {
            let ImageData::Color(image) = &change.image;
            match change.pos {
                None => {
                    let texture = Texture { size: image.size, pixels: image.pixels.clone() };
                    self.textures.insert(key(id), texture);
                }
                Some([left, top]) => self.patch(id, left, top, image),
            }
        }
        delta.clear();
    }

    fn patch(&mut self, id: TextureId, left: usize, top: usize, image: &egui::ColorImage) {
        let Some(texture) = self.textures.get_mut(&key(id)) else { return };
        for row in 0..image.size[1].min(texture.size[1].saturating_sub(top)) {
            let to = (top + row) * texture.size[0] + left;
            let count = image.size[0].min(texture.size[0].saturating_sub(left));
            let from = row * image.size[0];
            texture.pixels[to..to + count].copy_from_slice(&image.pixels[from..from + count]);
        }
    }

    /// Paints all primitives in order.
    pub fn paint(&mut self, primitives: &[ClippedPrimitive], sharpness: f32) {
        for primitive in primitives {
            if let Primitive::Mesh(mesh) = &primitive.primitive {
                self.paint_mesh(mesh, primitive.clip_rect, sharpness);
            }
        }
    }

    fn paint_mesh(&mut self, mesh: &Mesh, clip: Rect, sharpness: f32) {
        // Taken out while it is read, so that the pixels can be written.
        let Some(texture) = self.textures.remove(&key(mesh.texture_id)) else { return };
        let clip = Rect::from_min_max(clip.min * sharpness, clip.max * sharpness);
        for [a, b, c] in mesh.triangles() {
            let corner = |i: u32| {
                let vertex = mesh.vertices[i as usize];
                Vertex { pos: vertex.pos * sharpness, ..vertex }
            };
            self.paint_triangle([corner(a), corner(b), corner(c)], clip, &texture);
        }
        self.textures.insert(key(mesh.texture_id), texture);
    }

    fn paint_triangle(&mut self, corners: [Vertex; 3], clip: Rect, texture: &Texture) {
        let [a, mut b, mut c] = corners;
        let mut area = turn(a.pos, b.pos, c.pos);
        if area == 0.0 || !area.is_finite() {
            return;
        }
        if area < 0.0 {
            std::mem::swap(&mut b, &mut c);
            area = -area;
        }
        let bounds = Rect::from_points(&[a.pos, b.pos, c.pos]).intersect(clip);
        let across = cells(bounds.min.x, bounds.max.x, self.width);
        let flat = a.uv == b.uv && b.uv == c.uv;
        let flat_texel = texture.at(a.uv);
        for y in cells(bounds.min.y, bounds.max.y, self.height) {
            for x in across.clone() {
                let at = Pos2::new(x as f32 + 0.5, y as f32 + 0.5);
                let weights = [(b.pos, c.pos), (c.pos, a.pos), (a.pos, b.pos)].map(|(from, to)| inside(from, to, at));
                let [Some(u), Some(v), Some(w)] = weights else { continue };
                let share = [u / area, v / area, w / area];
                let colour = blend_corners([a.color, b.color, c.color], share);
                let texel = if flat { flat_texel } else { texture.at(mix_uv([a.uv, b.uv, c.uv], share)) };
                let pixel = &mut self.pixels[y * self.width + x];
                *pixel = over(times(colour, texel), *pixel);
            }
        }
    }

    /// The picture as the bytes of a PNG.
    pub fn png(&self) -> Result<Vec<u8>, png::EncodingError> {
        let mut bytes = Vec::new();
        let mut encoder = png::Encoder::new(&mut bytes, self.width as u32, self.height as u32);
        encoder.set_color(png::ColorType::Rgb);
        encoder.set_depth(png::BitDepth::Eight);
        let mut writer = encoder.write_header()?;
        let data: Vec<u8> = self.pixels.iter().flat_map(|pixel| [pixel.r(), pixel.g(), pixel.b()]).collect();
        writer.write_image_data(&data)?;
        writer.finish()?;
        Ok(bytes)
    }
}

impl Texture {
    /// The colour at texture coordinates, mixed from the four nearest texels.
    fn at(&self, uv: Pos2) -> Color32 {
        let [width, height] = self.size;
        let (x, y) = (uv.x * width as f32 - 0.5, uv.y * height as f32 - 0.5);
        let (left, top) = (x.floor(), y.floor());
        let texel = |dx: f32, dy: f32| {
            let column = ((left + dx).max(0.0) as usize).min(width - 1);
            let row = ((top + dy).max(0.0) as usize).min(height - 1);
            self.pixels[row * width + column]
        };
        let (fx, fy) = (x - left, y - top);
        let corners = [texel(0.0, 0.0), texel(1.0, 0.0), texel(0.0, 1.0), texel(1.0, 1.0)];
        let shares = [(1.0 - fx) * (1.0 - fy), fx * (1.0 - fy), (1.0 - fx) * fy, fx * fy];
        let channel = |i: usize| {
            let sum: f32 = corners.iter().zip(shares).map(|(corner, share)| corner[i] as f32 * share).sum();
            (sum + 0.5) as u8
        };
        Color32::from_rgba_premultiplied(channel(0), channel(1), channel(2), channel(3))
    }
}

/// Pixels whose centres lie between two bounds.
fn cells(low: f32, high: f32, most: usize) -> std::ops::Range<usize> {
    let start = (low - 0.5).ceil().max(0.0) as usize;
    let end = ((high - 0.5).floor() + 1.0).max(0.0) as usize;
    start.min(most)..end.min(most)
}

/// Twice the area of a triangle, positive when it turns clockwise on a screen.
fn turn(a: Pos2, b: Pos2, c: Pos2) -> f32 {
    (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
}

/// How far inside an edge a point lies; on the edge it belongs to the triangle of which this is a top or left edge, so
/// that neighbours never paint a pixel twice.
fn inside(from: Pos2, to: Pos2, at: Pos2) -> Option<f32> {
    let weight = turn(from, to, at);
    let top_or_left = (to.y == from.y && to.x > from.x) || to.y < from.y;
    (weight > 0.0 || (weight == 0.0 && top_or_left)).then_some(weight)
}

fn mix_uv(uv: [Pos2; 3], share: [f32; 3]) -> Pos2 {
    let mix = |f: fn(Pos2) -> f32| uv.iter().zip(share).map(|(uv, share)| f(*uv) * share).sum();
    Pos2::new(mix(|p| p.x), mix(|p| p.y))
}

fn blend_corners(colours: [Color32; 3], share: [f32; 3]) -> Color32 {
    if colours[0] == colours[1] && colours[1] == colours[2] {
        return colours[0];
    }
    let channel = |i: usize| (colours.iter().zip(share).map(|(c, s)| c[i] as f32 * s).sum::<f32>() + 0.5) as u8;
    Color32::from_rgba_premultiplied(channel(0), channel(1), channel(2), channel(3))
}

fn times(a: Color32, b: Color32) -> Color32 {
    if b == Color32::WHITE {
        return a;
    }
    let channel = |i: usize| ((a[i] as u32 * b[i] as u32 + 127) / 255) as u8;
    Color32::from_rgba_premultiplied(channel(0), channel(1), channel(2), channel(3))
}

/// One premultiplied colour over another.
fn over(top: Color32, under: Color32) -> Color32 {
    let left = 255 - top.a() as u32;
    let channel = |i: usize| (top[i] as u32 + (under[i] as u32 * left + 127) / 255).min(255) as u8;
    Color32::from_rgba_premultiplied(channel(0), channel(1), channel(2), channel(3))
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::{Stroke, vec2};

    fn drawn(show: impl FnMut(&mut egui::Ui)) -> Canvas {
        super::super::render(vec2(40.0, 30.0), 1.0, show)
    }

    #[test]
    fn a_half_clear_square_is_painted_once_on_every_pixel() {
        let canvas = drawn(|ui| {
            ui.painter().rect_filled(Rect::EVERYTHING, 0.0, Color32::WHITE);
            let rect = Rect::from_min_max(Pos2::new(10.0, 10.0), Pos2::new(30.0, 20.0));
            let mut mesh = Mesh::default();
            mesh.add_colored_rect(rect, Color32::from_black_alpha(128));
            ui.painter().add(egui::Shape::mesh(mesh));
        });
        for (x, y) in [(10, 10), (20, 15), (29, 19), (15, 12), (25, 17)] {
            assert_eq!(canvas.pixel(x, y), Color32::from_rgb(127, 127, 127), "at {x}, {y}");
        }
        assert_eq!(canvas.pixel(9, 15), Color32::WHITE);
        assert_eq!(canvas.pixel(30, 15), Color32::WHITE);
    }

    #[test]
    fn lines_and_letters_leave_ink() {
        let canvas = drawn(|ui| {
            ui.painter().rect_filled(Rect::EVERYTHING, 0.0, Color32::WHITE);
            ui.painter().line_segment([Pos2::new(0.0, 5.0), Pos2::new(40.0, 5.0)], Stroke::new(3.0, Color32::RED));
            ui.painter().text(
                Pos2::new(4.0, 12.0),
                egui::Align2::LEFT_TOP,
                "8",
                crate::theme::bold(14.0),
                Color32::BLACK,
            );
        });
        assert_eq!(canvas.pixel(20, 5), Color32::RED);
        let dark = (0..40)
            .flat_map(|x| (10..30).map(move |y| (x, y)))
            .filter(|(x, y)| canvas.pixel(*x, *y).r() < 90)
            .count();
        assert!(dark > 10, "{dark} dark pixels");
    }

    #[test]
    fn a_png_has_its_signature_and_size() {
        let bytes = drawn(|_| {}).png().unwrap();
        assert_eq!(&bytes[1..4], b"PNG");
    }
}
