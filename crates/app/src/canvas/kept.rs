//! What was drawn, kept as a picture: as long as it would be drawn the same, the picture is shown. Where a machine draws
//! without graphics hardware, filling the map layer over layer is most of what a frame costs.

use std::sync::Arc;

use eframe::egui_glow::CallbackFn;
use egui::epaint::{PaintCallback, Shape};
use egui::mutex::Mutex;
use egui::{Color32, ColorImage, Rect, TextureHandle, TextureOptions, pos2, vec2};
use job::Worked;
use land::Contours;

use super::Pen;
use crate::camera::{Camera, Lens};
use crate::shower::{Clock, Shower};
use crate::view::{Selection, View};

/// All that a map, or the ground on it, is drawn from.
#[derive(Debug, Clone)]
pub struct Drawn {
    /// Of the plan at rest; it holds for the land under it too.
    worked: Arc<Worked>,
    contours: Option<Arc<Contours>>,
    /// Of what is shown, steps of a gesture too; the same for all steps where they do not matter.
    stamp: u64,
    /// What is looked at, but for what is painted over the picture.
    view: View,
    rect: Rect,
    sharpness: f32,
    camera: Camera,
}

impl Drawn {
    /// The whole map.
    pub fn map(pen: &Pen) -> Self {
        let view = View {
            pointer: None,
            aim: None,
            station_m: None,
            camera: Camera::default(),
            // What stands in lists and fields is not on the map.
            line_list: Default::default(),
            punch: Default::default(),
            signature: Default::default(),
            shot: Default::default(),
            otherwise: Default::default(),
            receiver: Default::default(),
            layout_name: String::new(),
            ..pen.view.clone()
        };
        Self {
            worked: pen.session.resting(),
            contours: pen.session.contours().cloned(),
            stamp: pen.session.stamp(),
            view,
            rect: pen.lens.rect,
            sharpness: pen.painter.ctx().pixels_per_point(),
            camera: pen.lens.camera,
        }
    }

    /// Of it the ground and the water on it, whatever is chosen, dragged or looked at there; of a rain only that there is one.
    pub fn ground(self) -> Self {
        let clock = self.view.shower.clock.map(|_| Clock { time_s: 0.0, runs: false });
        let view = View {
            selection: Selection::Nothing,
            several: Default::default(),
            finding: None,
            flow_path: None,
            section: Vec::new(),
            sure: Default::default(),
            proposals: Default::default(),
            shower: Shower { clock, ..Shower::default() },
            ..self.view
        };
        Self { stamp: 0, view, ..self }
    }

    /// The same through another camera.
    pub fn through(self, camera: Camera) -> Self {
        Self { camera, ..self }
    }

    /// True for the same thing, seen from wherever.
    fn is_of_same(&self, other: &Self) -> bool {
        let contours = |drawn: &Self| drawn.contours.as_ref().map(Arc::as_ptr);
        Arc::ptr_eq(&self.worked, &other.worked)
            && contours(self) == contours(other)
            && (self.stamp, self.rect, self.sharpness) == (other.stamp, other.rect, other.sharpness)
            && self.view == other.view
    }

    /// True for the very same picture.
    fn is(&self, other: &Self) -> bool {
        self.camera == other.camera && self.is_of_same(other)
    }
}

/// A picture and what it shows.
type Picture = (Drawn, ColorImage);

/// A picture that is kept.
#[derive(Default)]
pub struct Kept {
    picture: Option<(Drawn, TextureHandle)>,
    /// What was drawn in the last frame.
    last: Option<Drawn>,
    /// True where it is being read off the screen.
    asked: bool,
    /// Where it arrives from the graphics.
    read: Arc<Mutex<Option<Picture>>>,
}

impl Kept {
    /// Shows the picture, if it is of just that.
    pub fn show(&self, pen: &Pen, drawn: &Drawn) -> bool {
        let picture = self.picture.as_ref().filter(|(of, _)| of.is(drawn));
        picture.iter().for_each(|(_, texture)| paint(pen, texture, pen.lens.rect));
        picture.is_some()
    }

    /// Shows the picture moved or scaled to where a camera has what it shows, if it is of the same thing: where it lies then,
    /// and the camera through which it lies just there. It is moved by whole pixels, so that is not quite the camera of the map.
    pub fn show_moved(&self, pen: &Pen, drawn: &Drawn) -> Option<(Rect, Camera)> {
        let (of, texture) = self.picture.as_ref().filter(|(of, _)| of.is_of_same(drawn))?;
        let place = place(&Lens { camera: of.camera, rect: of.rect }, &pen.lens, drawn.sharpness);
        paint(pen, texture, place);
        let mut camera = of.camera;
        camera.pan(place.min - of.rect.min);
        Some((place, camera))
    }

    /// True where the picture is of the same thing at the same scale.
    pub fn has_scale(&self, drawn: &Drawn) -> bool {
        self.picture.as_ref().is_some_and(|(of, _)| of.camera.scale == drawn.camera.scale)
    }

    /// Notes what was just drawn on the map's own layer, and keeps it once it is drawn a second time, or at once: what changes
    /// with every frame is not worth keeping.
    pub fn keep(&mut self, pen: &Pen, drawn: Drawn, at_once: bool) {
        self.asked = at_once || self.last.as_ref().is_some_and(|last| last.is(&drawn));
        if self.asked {
            pen.painter.add(self.reader(pen, &drawn));
        }
        self.last = Some(drawn);
    }

    /// True where the last frame asked for what it drew.
    pub const fn is_asked(&self) -> bool {
        self.asked
    }

    /// Takes what was read off the screen for what [`Kept::keep`] asked last.
    pub fn arrived(&mut self, picture: ColorImage) {
        self.asked = false;
        *self.read.lock() = self.last.clone().map(|drawn| (drawn, picture));
    }

    /// Reads off the screen what was painted before it.
    fn reader(&self, pen: &Pen, drawn: &Drawn) -> Shape {
        let (read, drawn) = (self.read.clone(), drawn.clone());
        let callback = CallbackFn::new(move |info, painter| {
            let map = info.viewport_in_pixels();
            let (corner, size) = ([map.left_px, map.top_px], [map.width_px, map.height_px]);
            let screen = painter.read_screen_rgba(info.screen_size_px);
            let picture = screen.region_by_pixels(corner.map(|px| px as usize), size.map(|px| px as usize));
            // In a window that shrinks meanwhile the map may lie outside.
            *read.lock() = Some((drawn.clone(), picture)).filter(|(_, picture)| !picture.pixels.is_empty());
        });
        Shape::Callback(PaintCallback { rect: pen.lens.rect, callback: Arc::new(callback) })
    }

    /// Makes a texture of what arrived; once a frame.
    pub fn take_up(&mut self, pen: &Pen) {
        let Some((drawn, picture)) = self.read.lock().take() else { return };
        let texture = match self.picture.take() {
            Some((_, mut texture)) => {
                texture.set(picture, TextureOptions::NEAREST);
                texture
            }
            None => pen.painter.ctx().load_texture("kept", picture, TextureOptions::NEAREST),
        };
        self.picture = Some((drawn, texture));
    }
}

/// Where a picture that was taken through one lens lies in another, in whole pixels where it is only moved.
fn place(taken: &Lens, now: &Lens, sharpness: f32) -> Rect {
    let corner = |at| now.to_screen(taken.to_plan(at));
    let place = Rect::from_min_max(corner(taken.rect.min), corner(taken.rect.max));
    if taken.camera.scale != now.camera.scale {
        return place;
    }
    let by = (place.min - taken.rect.min) * sharpness;
    taken.rect.translate(vec2(by.x.round(), by.y.round()) / sharpness)
}

/// Paints a picture of the map into a rectangle. What was read begins and ends on whole pixels.
fn paint(pen: &Pen, texture: &TextureHandle, place: Rect) {
    let sharpness = pen.painter.ctx().pixels_per_point();
    let whole = |rect: Rect| {
        let [left, top, right, bottom] =
            [rect.left(), rect.top(), rect.right(), rect.bottom()].map(|side| (side * sharpness).round() / sharpness);
        Rect::from_min_max(pos2(left, top), pos2(right, bottom))
    };
    pen.painter.image(texture.id(), whole(place), Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0)), Color32::WHITE);
}

/// What of a rectangle lies round another.
pub fn round(whole: Rect, middle: Rect) -> Vec<Rect> {
    let middle = middle.intersect(whole);
    if !middle.is_positive() {
        return vec![whole];
    }
    let strips = [
        Rect::from_min_max(whole.min, pos2(whole.right(), middle.top())),
        Rect::from_min_max(pos2(whole.left(), middle.bottom()), whole.max),
        Rect::from_min_max(pos2(whole.left(), middle.top()), middle.left_bottom()),
        Rect::from_min_max(middle.right_top(), pos2(whole.right(), middle.bottom())),
    ];
    strips.into_iter().filter(|strip| strip.is_positive()).collect()
}
