//! The map: one transform, picking, and one file a layer. Layers only paint; they know no widgets and no tools, so the
//! window and the headless picture draw the same map.

mod backdrop;
mod band;
mod cells;
mod contours;
mod draw;
mod fixed;
mod flow_path;
mod furniture;
mod kept;
mod label;
mod legend;
mod names;
mod rain;
mod relief;
mod snap;
mod tint;

use std::time::Duration;

use drawing::{Label, Layer, MapOf, Role, Scene};
use egui::{Painter, Rect};
use measure::Point;

pub use crate::camera::{Camera, Lens};
pub use contours::ContourCache;
pub use draw::{severity_mark, shot_mark, target_mark};
pub use kept::Kept;
pub use label::LabelBook;
pub use legend::{LegendPlace, share_of};
pub use rain::clock;
pub use relief::ReliefCache;
pub use snap::{Snap, SnapIndex, SnapKind};

use crate::theme::Palette;
use crate::view::{Stage, Switch, Tint, View};
use job::Session;
use kept::Drawn;

/// What a layer needs to paint.
pub struct Pen<'a> {
    /// Where the paint goes.
    pub painter: &'a Painter,
    /// From the plan to the screen.
    pub lens: Lens,
    /// Colours.
    pub palette: &'static Palette,
    /// The plan and what follows from it.
    pub session: &'a Session,
    /// What is chosen.
    pub view: &'a View,
}

impl Pen<'_> {
    /// What the map is made from.
    fn map(&self) -> MapOf<'_> {
        let worked = self.session.worked();
        let (low, high) = self.lens.seen();
        let far_m = self.lens.metres(SIGN);
        MapOf {
            findings: &worked.findings,
            land: Some(self.session.land()),
            contours: self.session.contours().map_or(&[], |contours| &contours.lines),
            chosen: self.view.chosen(),
            looked_at: self.view.finding,
            section: &self.view.section,
            wanted: self.view.sure.wanted(self.session.history().revision()),
            proposed: self.view.proposed().map(|proposal| &proposal.plan),
            seen: Some((Point::new(low.x - far_m, low.y - far_m), Point::new(high.x + far_m, high.y + far_m))),
            ..MapOf::new(&worked.plan, &worked.design)
        }
    }

    /// The part of the map that is painted.
    fn sight(&self) -> Rect {
        self.painter.clip_rect().intersect(self.lens.rect)
    }

    /// The layers that are on.
    fn shown(&self) -> Vec<Layer> {
        let guessing = self.view.is_guessing();
        let shows_water = |switch| self.view.shows(switch) && !guessing && !self.is_raining();
        let all = [
            (Layer::Depressions, shows_water(Switch::Depressions) && self.view.layers.tint != Tint::Depth),
            (Layer::Contours, self.view.shows(Switch::Contours)),
            (Layer::Edges, self.view.shows(Switch::Edges)),
            (Layer::Swales, shows_water(Switch::Swales)),
            (Layer::FlowPath, self.view.flow_path.is_some() && !guessing),
            (Layer::Boundary, true),
            (Layer::Watercourses, true),
            (Layer::Marks, true),
            (Layer::Lines, !guessing),
            (Layer::Ends, !guessing),
            (Layer::Outlets, true),
            (Layer::Stretches, !guessing),
            (Layer::Proposed, true),
            (Layer::Section, true),
            (Layer::Shots, self.view.shows(Switch::Shots)),
            (Layer::Benchmarks, self.view.shows(Switch::Benchmarks)),
            (Layer::Wanted, self.view.stage != Stage::Lesson),
            (Layer::Findings, !guessing),
        ];
        all.into_iter().filter(|(_, on)| *on).map(|(layer, _)| layer).collect()
    }

    /// False for what is switched off.
    fn sees(&self, role: Role) -> bool {
        Switch::of(role).is_none_or(|switch| self.view.shows(switch))
    }

    /// What is seen of those layers, of those that are on.
    fn scene<'m>(&self, map: &MapOf<'m>, layers: &[Layer]) -> Scene<'m> {
        let shown = self.shown();
        let on: Vec<Layer> = layers.iter().copied().filter(|layer| shown.contains(layer)).collect();
        let mut scene = map.scene(&on);
        scene.items.retain(|item| self.sees(item.role));
        scene
    }

    /// The words beside what is seen; the levels of contours are written apart.
    fn words<'m>(&self, map: &MapOf<'m>) -> Vec<Label<'m>> {
        let mut layers = self.shown();
        layers.retain(|layer| *layer != Layer::Contours);
        let mut words = map.labels(&layers);
        let is_named = self.view.shows(Switch::Names);
        words.retain(|label| self.sees(label.role) && (is_named || Switch::of(label.role).is_none()));
        // Lines that are proposed bear names that others may bear which are drawn.
        words.retain(|label| self.view.proposed().is_none() || !is_drawn_line(label.role));
        words
    }
}

/// The largest sign, screen points.
const SIGN: f32 = 15.0;

/// What the map keeps between frames.
#[derive(Default)]
pub struct Caches {
    relief: ReliefCache,
    backdrop: backdrop::BackdropCache,
    contours: ContourCache,
    tint: tint::TintCache,
    flow_path: flow_path::FlowPathCache,
    fixed: fixed::FixedCache,
    rain: rain::RainCache,
    legend: LegendPlace,
    /// The ground, and the whole map.
    kept: [Kept; 2],
    /// The camera of the last frame.
    camera: Option<Camera>,
    /// True where the last frame showed the ground as it was drawn at another scale.
    scaled: bool,
}

impl Caches {
    /// Where the legend stands.
    pub fn legend(&self) -> Option<Rect> {
        self.legend.rect()
    }

    /// The pictures that are kept: of the ground, and of the whole map.
    pub fn kept(&mut self) -> &mut [Kept; 2] {
        &mut self.kept
    }
}

/// How long a zoomed map shows its ground scaled before it is drawn anew (own choice).
const REST: Duration = Duration::from_millis(120);

/// Shows the ground with the water on it: the picture that is kept, moved along with the map and drawn anew where it does not
/// reach, or scaled for as long as the map is being zoomed. True where that is what would be drawn anew.
fn show_ground(pen: &Pen, map: &MapOf, caches: &mut Caches, drawn: Drawn) -> bool {
    let was_scaled = std::mem::take(&mut caches.scaled);
    let is_zoomed = caches.camera.is_some_and(|camera| camera.scale != pen.lens.camera.scale);
    let has_scale = caches.kept[0].has_scale(&drawn);
    let shown = if has_scale || is_zoomed { caches.kept[0].show_moved(pen, &drawn) } else { None };
    let rest = shown.map_or(vec![pen.lens.rect], |(place, _)| kept::round(pen.lens.rect, place));
    caches.scaled = shown.is_some() && !has_scale;
    // What is drawn beside a picture that was moved is drawn as it lies: what is kept of both then has no seam, and however
    // often it is moved on it stays within half a pixel.
    let camera = shown.filter(|_| has_scale).map_or(pen.lens.camera, |(_, camera)| camera);
    for part in rest {
        let painter = pen.painter.with_clip_rect(part.intersect(pen.painter.clip_rect()));
        let pen = Pen { painter: &painter, lens: Lens { camera, ..pen.lens }, ..*pen };
        pen.painter.rect_filled(part, 0.0, pen.palette.paper);
        paint_ground(&pen, map, caches);
    }
    if caches.scaled {
        pen.painter.ctx().request_repaint_after(REST);
    } else if shown.is_none_or(|(place, _)| place != pen.lens.rect) {
        caches.kept[0].keep(pen, drawn.through(camera), was_scaled);
    }
    !caches.scaled
}

/// Paints the ground and the water on it; while it is zoomed, only what is filled.
fn paint_ground(pen: &Pen, map: &MapOf, caches: &mut Caches) {
    let land = pen.session.land();
    if land.ground.is_some() && pen.view.shows(Switch::Relief) {
        caches.relief.paint(pen, land);
    }
    caches.backdrop.paint(pen);
    if land.ground.is_none() {
        return;
    }
    let layers = pen.shown();
    let is_on = |layer| layers.contains(&layer);
    caches.tint.paint(pen, land);
    if caches.scaled {
        return;
    }
    if is_on(Layer::Depressions) {
        pen.draw(&map.scene(&[Layer::Depressions]));
    }
    if is_on(Layer::Contours) {
        caches.contours.paint(pen, map);
    }
    if is_on(Layer::Edges) {
        caches.fixed.paint_edges(pen, map, land);
    }
    if is_on(Layer::Swales) {
        caches.fixed.paint_swales(pen, map, land);
    }
}

/// What lies on the ground, in three lots from the ground up: what lies under the lines, the lines with old tile under new pipe, and signs.
const LOTS: [&[Layer]; 3] = [
    &[Layer::FlowPath, Layer::Boundary, Layer::Watercourses, Layer::Marks],
    &[Layer::Lines, Layer::Ends, Layer::Proposed],
    &[
        Layer::Outlets,
        Layer::Stretches,
        Layer::Section,
        Layer::Shots,
        Layer::Benchmarks,
        Layer::Wanted,
        Layer::Findings,
    ],
];

/// How strong lines that are drawn show under a layout that is looked at in their place.
const FADED: f32 = 0.3;

/// What belongs to a new line that is drawn.
fn is_drawn_line(role: Role) -> bool {
    Switch::of(role) == Some(Switch::Lines)
}

/// Draws a lot; new lines faded while a layout is looked at that would take their place.
fn draw_lot(pen: &Pen, scene: &Scene) {
    if pen.view.proposed().is_none() {
        return pen.draw(scene);
    }
    let (lines, others) = scene.items.iter().cloned().partition(|item| is_drawn_line(item.role));
    let mut painter = pen.painter.clone();
    painter.multiply_opacity(FADED);
    Pen { painter: &painter, ..*pen }.draw(&Scene { time_s: None, items: lines });
    pen.draw(&Scene { time_s: None, items: others });
}

/// What of the ground is drawn from its own stores, as the legend tells it.
const GROUND: [Layer; 3] = [Layer::Depressions, Layer::Edges, Layer::Swales];

/// Shows the whole map: the picture that is kept, or drawn anew from the ground up.
pub fn paint(pen: &Pen, caches: &mut Caches) {
    caches.kept.iter_mut().for_each(|kept| kept.take_up(pen));
    let drawn = Drawn::map(pen);
    if !caches.kept[1].show(pen, &drawn) && paint_map(pen, caches, drawn.clone().ground()) {
        caches.kept[1].keep(pen, drawn, false);
    }
    caches.camera = Some(pen.lens.camera);
}

/// Paints the map from the ground up; true where it looks as it will at rest.
fn paint_map(pen: &Pen, caches: &mut Caches, ground: Drawn) -> bool {
    let mut labels = LabelBook::new(pen.lens.rect);
    furniture::reserve(pen, &mut labels);
    if pen.is_raining() {
        labels.reserve(rain::plate(pen));
    }
    let map = pen.map();
    let is_at_rest = show_ground(pen, &map, caches, ground);
    if pen.session.ground().is_some() {
        caches.contours.keep_room(pen);
        rain::paint_guess(pen);
        caches.rain.paint(pen);
    }
    let map = MapOf { flow_path: caches.flow_path.of(pen), ..map };
    let mut scenes = Vec::from(LOTS.map(|lot| pen.scene(&map, lot)));
    for (lot, scene) in LOTS.iter().zip(&scenes) {
        draw_lot(pen, scene);
        names::reserve(pen, scene, &mut labels);
        if lot.contains(&Layer::Lines) {
            rain::paint_pipes(pen);
        }
    }
    scenes.push(pen.scene(&map, &GROUND));
    scenes.push(caches.contours.shown(pen));
    caches.legend.place(pen, &scenes, &mut labels);
    names::write(pen, &pen.words(&map), &mut labels);
    caches.contours.write_levels(pen, &labels);
    furniture::paint(pen);
    caches.legend.paint(pen);
    rain::paint_gauge(pen);
    is_at_rest
}
