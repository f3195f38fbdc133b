//! What did not change is not drawn again, and what is shown is what would be drawn.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use app::canvas::Caches;
use app::desk::{Desk, Habits};
use app::pace::Pace;
use app::picture::Canvas;
use app::view::{Selection, Tint};
use egui::epaint::{ClippedPrimitive, Mesh, Primitive};
use egui::{ColorImage, Context, Event, Pos2, RawInput, Rect, TextureId, pos2, vec2};
use plan::LineId;

const SIZE: [usize; 2] = [900, 640];

/// A window whose frames are drawn in memory, with what is read off its screen.
struct Screen {
    ctx: Context,
    desk: Desk,
    canvas: Canvas,
    pace: Pace,
    /// How often a frame was asked for at once.
    asked: Arc<AtomicUsize>,
    time_s: f64,
    /// True while every frame is drawn; else only those are that are read off the screen, for drawing in memory is slow.
    looks: bool,
    /// Textures that the last frame brought.
    brought: usize,
    /// Corners of triangles in the map, in the last frame.
    corners: usize,
}

impl Screen {
    fn new() -> Self {
        let session = job::files::demo_session(job::demo::first_plan()).unwrap();
        let desk = Desk::new(session, Habits::default());
        let canvas = Canvas::new(SIZE[0], SIZE[1]);
        let (ctx, pace, asked) = (Context::default(), Pace::default(), Arc::new(AtomicUsize::new(0)));
        let count = asked.clone();
        pace.pass_on(&ctx, move |info| {
            if info.delay.is_zero() {
                count.fetch_add(1, Ordering::Relaxed);
            }
        });
        let mut screen = Self { ctx, desk, canvas, pace, asked, time_s: 0.0, looks: false, brought: 0, corners: 0 };
        (0..4).for_each(|_| screen.frame(Vec::new()));
        screen
    }

    fn rect() -> Rect {
        Rect::from_min_size(Pos2::ZERO, vec2(SIZE[0] as f32, SIZE[1] as f32))
    }

    fn map(&self) -> Rect {
        self.ctx.read_response(egui::Id::unique("map")).unwrap().rect
    }

    fn frame(&mut self, events: Vec<Event>) {
        self.time_s += 0.02;
        let input =
            RawInput { screen_rect: Some(Self::rect()), time: Some(self.time_s), events, ..RawInput::default() };
        self.pace.takes_in(&input.events);
        let mut output = self.ctx.run_ui(input, |ui| {
            self.pace.shows();
            self.desk.show(ui);
        });
        // Letters that were not written before join theirs.
        self.brought = output.textures_delta.set.keys().filter(|id| **id != TextureId::default()).count();
        self.canvas.take_textures(&mut output.textures_delta);
        let primitives = self.ctx.tessellate(output.shapes, 1.0);
        let map = self.map();
        let in_map = primitives.iter().filter(|primitive| primitive.clip_rect == map);
        let corners = |primitive: &ClippedPrimitive| match &primitive.primitive {
            Primitive::Mesh(mesh) => mesh.vertices.len(),
            Primitive::Callback(_) => 0,
        };
        self.corners = in_map.map(corners).sum();
        if self.looks || primitives.iter().any(|part| matches!(part.primitive, Primitive::Callback(_))) {
            self.draw(&primitives);
        }
    }

    /// The map as a frame leaves it on the screen.
    fn look(&mut self, events: Vec<Event>) -> ColorImage {
        self.looks = true;
        self.frame(events);
        self.looks = false;
        self.cut(self.map())
    }

    /// Draws a frame as the graphics do: on the panels' colour, and reading the screen where that is asked.
    fn draw(&mut self, primitives: &[ClippedPrimitive]) {
        let mut ground = Mesh::default();
        ground.add_colored_rect(Self::rect(), self.desk.view.palette().panel);
        let ground = ClippedPrimitive { clip_rect: Self::rect(), primitive: Primitive::Mesh(ground) };
        self.canvas.paint(&[ground], 1.0);
        for part in primitives.split_inclusive(|part| matches!(part.primitive, Primitive::Callback(_))) {
            self.canvas.paint(part, 1.0);
            if let Some(Primitive::Callback(reader)) = part.last().map(|part| &part.primitive) {
                let picture = self.cut(reader.rect);
                let asked = self.desk.caches.kept().iter_mut().find(|kept| kept.is_asked());
                asked.unwrap().arrived(picture);
            }
        }
    }

    fn cut(&self, rect: Rect) -> ColorImage {
        let [left, top, right, bottom] =
            [rect.left(), rect.top(), rect.right(), rect.bottom()].map(|side| side.round() as usize);
        let pixels = (top..bottom).flat_map(|y| (left..right).map(move |x| (x, y)));
        ColorImage::new([right - left, bottom - top], pixels.map(|(x, y)| self.canvas.pixel(x, y)).collect())
    }

    /// Lets the pointer go over the map until what was drawn is kept, and holds it against a map that is drawn anew.
    fn hold_against_fresh(&mut self, what: &str) {
        let at = |x: f32| vec![Event::PointerMoved(pos2(x, 120.0))];
        for x in [197.0, 198.0, 199.0, 200.0, 201.0, 202.0] {
            self.frame(at(x));
        }
        let kept = self.look(at(203.0));
        let corners = self.corners;
        self.desk.caches = Caches::default();
        let drawn = self.look(at(203.0));
        assert!(
            corners * 5 < self.corners,
            "{what}: {corners} corners where the map is kept, {} drawn",
            self.corners
        );
        assert!(kept == drawn, "{what}: what is shown is not what is drawn");
    }
}

#[test]
fn what_is_kept_of_the_map_is_what_would_be_drawn() {
    let mut screen = Screen::new();
    screen.hold_against_fresh("at first");
    screen.desk.view.selection = Selection::of(LineId(2));
    screen.hold_against_fresh("a line is chosen");
    screen.desk.view.dark = true;
    screen.hold_against_fresh("dark");
    screen.desk.view.layers.tint = Tint::Slope;
    screen.hold_against_fresh("tinted");
    screen.desk.view.camera.pan(vec2(37.0, -12.0));
    screen.hold_against_fresh("moved");
    screen.desk.view.camera.scale *= 1.3;
    screen.hold_against_fresh("zoomed");
    let plan = screen.desk.session.plan().clone();
    let id = *plan.lines.keys().next().unwrap();
    let at = plan.lines[&id].points[0];
    let moved = plan::move_point(&plan, id, 0, measure::Point::new(at.x + 9.0, at.y + 5.0)).unwrap();
    screen.desk.session.edit(&moved).unwrap();
    screen.hold_against_fresh("edited");
    screen.desk.session.undo();
    screen.hold_against_fresh("taken back");
    screen.desk.session.set_interval(Some(0.5));
    screen.hold_against_fresh("contours");
}

/// A pan moves the ground that is kept and draws what comes into sight: the same as the whole drawn anew.
#[test]
fn a_map_that_is_moved_is_what_would_be_drawn() {
    let mut screen = Screen::new();
    screen.hold_against_fresh("at first");
    for _ in 0..4 {
        screen.frame(Vec::new());
    }
    screen.desk.view.camera.pan(vec2(41.0, 17.0));
    let moved = screen.look(Vec::new());
    screen.desk.caches = Caches::default();
    let drawn = screen.look(Vec::new());
    // Lines of the ground are put together anew from pieces: a shade may differ where two strips meet.
    let far = |(a, b): (&egui::Color32, &egui::Color32)| (0..3).any(|i| a[i].abs_diff(b[i]) > 24);
    let differ = moved.pixels.iter().zip(&drawn.pixels).filter(|pair| far(*pair)).count();
    assert!(differ * 1000 < moved.pixels.len(), "{differ} pixels of {} differ", moved.pixels.len());
}

#[test]
fn the_pointer_over_a_map_at_rest_uploads_and_draws_nothing_of_it() {
    let mut screen = Screen::new();
    screen.hold_against_fresh("at first");
    for x in [300.0, 310.0, 320.0, 330.0, 340.0, 350.0] {
        screen.frame(vec![Event::PointerMoved(pos2(x, 200.0))]);
    }
    assert_eq!(screen.brought, 0, "textures were uploaded");
    assert!(screen.corners < 200, "{} corners were drawn", screen.corners);
}

/// A frame for each movement of the pointer and none after it, none where nothing is done; what asks in between is heard.
#[test]
fn frames_are_asked_for_where_something_changes_and_no_more() {
    let mut screen = Screen::new();
    let asked = |screen: &mut Screen, events: Vec<Event>| {
        screen.asked.store(0, Ordering::Relaxed);
        screen.frame(events);
        screen.asked.load(Ordering::Relaxed)
    };
    (0..8).for_each(|_| screen.frame(Vec::new()));
    assert_eq!(asked(&mut screen, Vec::new()), 0, "nothing was done");
    for x in [300.0, 310.0, 320.0] {
        assert_eq!(asked(&mut screen, vec![Event::PointerMoved(pos2(x, 200.0))]), 0, "the pointer moved");
    }
    screen.asked.store(0, Ordering::Relaxed);
    let ctx = screen.ctx.clone();
    std::thread::spawn(move || ctx.request_repaint()).join().unwrap();
    assert_eq!(screen.asked.load(Ordering::Relaxed), 1, "work beside the window is done");
    let press = Event::Key {
        key: egui::Key::D,
        physical_key: None,
        pressed: true,
        repeat: false,
        modifiers: egui::Modifiers::COMMAND,
    };
    assert!(asked(&mut screen, vec![press]) > 0, "a key was pressed");
}
