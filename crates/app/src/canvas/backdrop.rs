//! The air photo or map image under the plan: one texture, laid piece by piece.

use std::sync::Arc;

use egui::epaint::{Mesh, Shape, Vertex};
use egui::{Color32, TextureHandle, TextureOptions, pos2};
use job::backdrop::Laid;

use super::Pen;
use super::relief::picture_of;
use crate::view::Switch;

/// The texture, made anew when another picture is laid.
#[derive(Default)]
pub struct BackdropCache {
    made: Option<(Arc<Laid>, TextureHandle)>,
}

impl BackdropCache {
    /// Paints the picture, as strongly as the plan says.
    pub fn paint(&mut self, pen: &Pen) {
        let (shown, plan) = (&pen.view.backdrop, pen.session.plan());
        let Some((laid, backdrop)) = shown.laid.as_ref().zip(plan.backdrop.as_ref()) else { return };
        if !backdrop.shown || !pen.view.shows(Switch::Backdrop) {
            return;
        }
        if !self.made.as_ref().is_some_and(|(of, _)| Arc::ptr_eq(of, laid)) {
            let pixel = |i: usize| {
                let pixel = laid.rgba.get(i * 4..i * 4 + 4).and_then(|pixel| <[u8; 4]>::try_from(pixel).ok());
                pixel.map_or(Color32::TRANSPARENT, |[r, g, b, a]| Color32::from_rgba_unmultiplied(r, g, b, a))
            };
            let image = picture_of(pen, laid.size, pixel);
            let texture = pen.painter.ctx().load_texture("backdrop", image, TextureOptions::LINEAR);
            self.made = Some((laid.clone(), texture));
        }
        if let Some((_, texture)) = &self.made {
            let strength = shown.strength.unwrap_or(backdrop.strength) as f32;
            pen.painter.add(Shape::mesh(mesh(pen, laid, texture, Color32::WHITE.gamma_multiply(strength))));
        }
    }
}

fn mesh(pen: &Pen, laid: &Laid, texture: &TextureHandle, color: Color32) -> Mesh {
    let mut mesh = Mesh::with_texture(texture.id());
    let across = laid.pieces + 1;
    let share = |i: usize| i as f32 / laid.pieces as f32;
    for (i, at) in laid.corners.iter().enumerate() {
        let uv = pos2(share(i % across), share(i / across));
        mesh.vertices.push(Vertex { pos: pen.lens.to_screen(*at), uv, color });
    }
    for (row, col) in (0..laid.pieces).flat_map(|row| (0..laid.pieces).map(move |col| (row, col))) {
        let first = (row * across + col) as u32;
        let below = first + across as u32;
        mesh.add_triangle(first, first + 1, below);
        mesh.add_triangle(first + 1, below, below + 1);
    }
    mesh
}
