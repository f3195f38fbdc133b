//! The pointer of the keyboard: on the map the arrow keys move it, and Space or Enter clicks with it, as the mouse does.

use egui::{EventFilter, Key, Response, Stroke, Ui, Vec2, vec2};

use super::Sight;
use crate::camera::Lens;
use crate::canvas::Pen;
use crate::tools::{Tool, Touch};
use crate::view::{Aim, View};

/// How far an arrow key moves it, with Shift, and with Alt; screen points (own choice: under the reach of a snap, a fifth of a
/// usual map in ten presses, and what can just be seen).
const STEPS: [f32; 3] = [8.0, 48.0, 1.0];

/// Room it keeps to the edge of the map, which moves along; screen points.
const EDGE: f32 = 24.0;

/// The arrow keys with their ways on the screen.
const ARROWS: [(Key, Vec2); 4] = [
    (Key::ArrowLeft, vec2(-1.0, 0.0)),
    (Key::ArrowRight, vec2(1.0, 0.0)),
    (Key::ArrowUp, vec2(0.0, -1.0)),
    (Key::ArrowDown, vec2(0.0, 1.0)),
];

/// The hand on the mouse takes over from it, but for what is held.
pub fn yield_to_mouse(ui: &Ui, view: &mut View) {
    let by_mouse = ui.input(|input| input.pointer.delta() != Vec2::ZERO || input.pointer.any_pressed());
    view.aim = view.aim.filter(|aim| aim.holds || !by_mouse);
}

/// Moves the pointer by the keys that were pressed while the map had them, and tells what it did.
pub fn touches(ui: &Ui, sight: &mut Sight, map: &Response, lens: &Lens) -> Vec<Touch> {
    let held = sight.view.aim.filter(|aim| aim.holds);
    if !map.has_focus() {
        sight.view.aim = sight.view.aim.filter(|_| held.is_none());
        return held.map(|_| Touch::Escape).into_iter().collect();
    }
    keep_arrows(ui, map.id);
    let (way, clicked) = (way(ui), ui.input(|input| input.key_pressed(Key::Space)));
    let draws = !matches!(sight.tool, Tool::Select(_));
    if sight.view.aim.is_none() && !(clicked || draws && way != Vec2::ZERO) {
        return Vec::new();
    }
    let begun = sight.view.aim.is_none();
    let mut aim = sight.view.aim.unwrap_or_else(|| begin(sight.view, lens));
    let mut touches = moved(&mut aim, way, sight.view, lens);
    // With Select the first Space only brings it.
    if clicked && (draws || !begun) {
        let takes_hold = ui.input(|input| input.modifiers.shift) && sight.tool.takes_drags(sight.view);
        touches.push(click(&mut aim, takes_hold));
    }
    sight.view.aim = Some(aim);
    touches
}

/// Clicks where it is, or takes hold; what is held is let go.
fn click(aim: &mut Aim, takes_hold: bool) -> Touch {
    let held = aim.holds;
    (aim.fresh, aim.holds) = (false, takes_hold && !held);
    match (held, takes_hold) {
        (true, _) => Touch::Release(aim.at),
        (false, true) => Touch::Press(aim.at),
        (false, false) => Touch::Click(aim.at),
    }
}

/// The map, or the thing on it, that has the keys.
pub fn focused(map: &Response) -> Option<Response> {
    let id = map.ctx.memory(|memory| memory.focused())?;
    map.ctx.read_response(id).filter(|response| map.rect.contains_rect(response.rect))
}

/// Gives the arrow keys to the map or to the thing on it that has the keys.
pub fn keep_arrows(ui: &Ui, id: egui::Id) {
    let arrows = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(id, arrows));
}

/// Where the mouse was last on the map, else in its middle.
fn begin(view: &View, lens: &Lens) -> Aim {
    let seen = view.pointer.filter(|at| lens.rect.shrink(EDGE).contains(lens.to_screen(*at)));
    Aim::at(seen.unwrap_or(view.camera.centre))
}

/// Sum of the arrow keys that were pressed, screen points.
fn way(ui: &Ui) -> Vec2 {
    ui.input(|input| {
        let [usual, coarse, fine] = STEPS;
        let step = if input.modifiers.shift { coarse } else { usual };
        let step = if input.modifiers.alt { fine } else { step };
        ARROWS.iter().fold(Vec2::ZERO, |sum, (key, way)| sum + *way * input.num_presses(*key) as f32 * step)
    })
}

/// Takes the pointer along, and the map where it would leave it.
fn moved(aim: &mut Aim, way: Vec2, view: &mut View, lens: &Lens) -> Vec<Touch> {
    if way != Vec2::ZERO {
        aim.at = lens.to_plan(lens.to_screen(aim.at) + way);
        aim.fresh = true;
        let at = lens.to_screen(aim.at);
        view.camera.pan(lens.rect.shrink(EDGE).clamp(at) - at);
    }
    let touch = if aim.holds { Touch::Drag(aim.at) } else { Touch::Move(aim.at) };
    vec![touch]
}

/// What a key means while the pointer is there: Enter clicks where it was moved to, or lets go, and ends what is drawn only
/// after that; Escape with Select sends it away.
pub fn meant(touch: Touch, sight: &mut Sight) -> Touch {
    let Some(mut aim) = sight.view.aim else { return touch };
    let touch = match touch {
        Touch::Enter if aim.holds || aim.fresh => click(&mut aim, false),
        Touch::Escape => {
            aim.holds = false;
            touch
        }
        other => other,
    };
    let leaves = touch == Touch::Escape && matches!(sight.tool, Tool::Select(_));
    sight.view.aim = Some(aim).filter(|_| !leaves);
    touch
}

/// Draws it: a cross with an open middle.
pub fn paint(pen: &Pen) {
    let Some(aim) = pen.view.aim else { return };
    let at = pen.lens.to_screen(aim.at);
    let ink = if aim.holds { pen.palette.next } else { pen.palette.ink };
    for stroke in [Stroke::new(5.0, pen.palette.paper), Stroke::new(2.0, ink)] {
        for (_, way) in ARROWS {
            pen.painter.line_segment([at + way * 4.0, at + way * 15.0], stroke);
        }
    }
}
