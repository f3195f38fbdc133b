//! The map in the window: panning, zooming, touches for the tool in hand, and a named handle on every object.

use egui::{
    CentralPanel, Event, Frame, Id, MouseWheelUnit, PointerButton, Pos2, Rect, Response, Role, Sense, Stroke, Ui,
    Vec2, WidgetInfo, vec2,
};
use measure::{Point, point_at};
use plan::{Change, Edit, ObjectId};

use super::{Sight, aim, menu};
use crate::camera::{Camera, Lens};
use crate::canvas::{self, Caches, Pen, SnapIndex, SnapKind};
use crate::tools::{Hand, Tool, Touch};
use crate::view::{Selection, Switch};
use crate::wish::Wish;

/// Screen points an arrow key moves the map.
const KEY_PAN: f32 = 60.0;

/// The map among all widgets: it has the keys when this has the focus.
pub fn id() -> Id {
    Id::unique("map")
}

/// The legend on it, which the arrow keys move when it has the focus.
pub fn legend_id() -> Id {
    Id::unique("legend")
}

/// Passes a touch to the tool in hand.
pub fn touch(sight: &mut Sight, snaps: &SnapIndex, touch: Touch, ctx: &egui::Context) -> Vec<Wish> {
    let touch = aim::meant(touch, sight);
    let hand = Hand::on(sight.session, sight.view, snaps, ctx.input(|input| input.modifiers));
    sight.tool.touch(touch, &hand)
}

/// Takes in where the pointer is on the map as it stood in the last frame, and moves map and tool along: what stands round
/// the map then tells it in the same frame.
pub fn follow_pointer(ui: &Ui, sight: &mut Sight, snaps: &SnapIndex, wishes: &mut Vec<Wish>) {
    let Some(response) = ui.ctx().read_response(id()) else { return };
    let lens = Lens { camera: sight.view.camera, rect: response.rect };
    move_map(ui, sight, &response, &lens);
    aim::yield_to_mouse(ui, sight.view);
    if let Some(aim) = sight.view.aim {
        // It tells its own movements.
        sight.view.pointer = Some(aim.at);
    } else if let Some(at) = sight.view.pointer.filter(|_| !is_space_down(ui)) {
        wishes.extend(touch(sight, snaps, Touch::Move(at), ui.ctx()));
    }
}

fn is_space_down(ui: &Ui) -> bool {
    ui.input(|input| input.key_down(egui::Key::Space))
}

/// Shows the map and gathers what was done on it.
pub fn show(ui: &mut Ui, sight: &mut Sight, (snaps, caches): (&SnapIndex, &mut Caches), wishes: &mut Vec<Wish>) {
    CentralPanel::default().frame(Frame::new()).show(ui, |ui| {
        let (_, rect) = ui.allocate_space(ui.available_size());
        let response = ui.interact(rect, id(), Sense::click_and_drag());
        response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Map"));
        if sight.view.fit && response.rect.width() > 50.0 {
            let (low, high) = sight.view.fit_to.take().unwrap_or_else(|| sight.session.frame());
            sight.view.camera = Camera::fit(low, high, response.rect.size());
            sight.view.fit = false;
        }
        if std::mem::take(&mut sight.view.proposals.to_sight[1]) {
            bring_into_sight(sight, rect);
        }
        if std::mem::take(&mut sight.view.to_map) {
            response.request_focus();
        }
        let mut lens = Lens { camera: sight.view.camera, rect };
        move_legend(ui, sight, &lens, caches.legend());
        let by_keys = aim::touches(ui, sight, &response, &lens);
        sight.view.pointer = sight.view.aim.map(|aim| aim.at).or(sight.view.pointer);
        lens.camera = sight.view.camera;
        let handles = handles(ui, sight, &lens, wishes);
        for touch in by_keys.into_iter().chain(touches(ui, &response, &handles, &lens)) {
            let answer = self::touch(sight, snaps, touch, ui.ctx());
            wishes.extend(answer);
        }
        menu::show(ui, sight, snaps, (&response, &lens), wishes);
        let painter = ui.painter_at(rect);
        let pen =
            Pen { painter: &painter, lens, palette: sight.view.palette(), session: sight.session, view: sight.view };
        canvas::paint(&pen, caches);
        paint_handles(&pen);
        paint_gesture(&pen, in_hand(&pen, wishes));
        paint_sketch(&pen, sight.tool);
        paint_station(&pen);
        aim::paint(&pen);
        paint_focus(&pen, &response);
        painter.rect_stroke(response.rect, 0.0, Stroke::new(1.0, pen.palette.edge), egui::StrokeKind::Inside);
    });
}

/// Fits the map to the field where not all of the proposal that is looked at is seen.
fn bring_into_sight(sight: &mut Sight, rect: Rect) {
    let lens = Lens { camera: sight.view.camera, rect };
    let lines = sight.view.proposed().into_iter().flat_map(|proposal| proposal.plan.lines.values());
    if lines.flat_map(|line| &line.points).any(|at| !rect.contains(lens.to_screen(*at))) {
        let (low, high) = sight.session.frame();
        sight.view.camera = Camera::fit(low, high, rect.size());
    }
}

/// Screen points that a notch of the wheel counts as, as the window library counts them.
const NOTCH: f32 = 40.0;

/// How much the map is zoomed by so many points of the wheel.
fn zoomed_by(points: f32) -> f32 {
    (points * 0.004).exp()
}

/// Makes each notch of the wheel one step of the map; the library would spread it over a tenth of a second, frame by frame.
pub fn notches(events: &mut [Event]) {
    for event in events {
        if let Event::MouseWheel { unit: MouseWheelUnit::Line, delta, modifiers, .. } = event
            && modifiers.is_none()
        {
            *event = Event::Zoom(zoomed_by(delta.y * NOTCH));
        }
    }
}

/// Wheel zooms at the pointer, middle button or space and drag pans, arrow keys pan when the map has the focus.
fn move_map(ui: &Ui, sight: &mut Sight, response: &Response, lens: &Lens) {
    let pointer = ui.input(|input| input.pointer.latest_pos()).filter(|at| response.rect.contains(*at));
    let over_map = pointer.filter(|at| ui.ctx().layer_id_at(*at).is_none_or(|layer| layer == ui.layer_id()));
    if let Some(at) = over_map {
        let (scroll, pinch) = ui.input(|input| (input.smooth_scroll_delta().y, input.zoom_delta()));
        let factor = zoomed_by(scroll) * pinch;
        if factor != 1.0 {
            sight.view.camera.zoom(lens, at, factor);
        }
    }
    // Tools draw by clicks and leave the drag to the map, but for those that take it.
    let drawing = !sight.tool.takes_drags(sight.view);
    let by_hand = response.dragged_by(PointerButton::Primary) && (is_space_down(ui) || drawing);
    if response.dragged_by(PointerButton::Middle) || by_hand {
        sight.view.camera.pan(response.drag_delta());
    }
    let choosing = matches!(sight.tool, Tool::Select(_)) && sight.view.aim.is_none();
    let nudged =
        matches!(sight.view.selection, Selection::Object(ObjectId::Outlet(_))) || !sight.view.lines().is_empty();
    if response.has_focus() && choosing && !nudged {
        let steps = [
            (egui::Key::ArrowLeft, 1.0, 0.0),
            (egui::Key::ArrowRight, -1.0, 0.0),
            (egui::Key::ArrowUp, 0.0, 1.0),
            (egui::Key::ArrowDown, 0.0, -1.0),
        ];
        for (key, x, y) in steps {
            if ui.input(|input| input.key_pressed(key)) {
                sight.view.camera.pan(vec2(x, y) * KEY_PAN);
            }
        }
    }
    let now = Lens { camera: sight.view.camera, ..*lens };
    sight.view.pointer = over_map.map(|at| now.to_plan(at));
}

/// The legend is moved by mouse, and by arrow keys while it has the focus; a double click or Backspace lets it find its place
/// by itself again. What is drawn goes through it.
fn move_legend(ui: &Ui, sight: &mut Sight, lens: &Lens, rect: Option<Rect>) {
    let Some(rect) = rect.filter(|_| matches!(sight.tool, Tool::Select(_))) else { return };
    let legend = ui.interact(rect, legend_id(), Sense::click_and_drag());
    legend.widget_info(|| WidgetInfo::labeled(Role::Button, true, "Legend"));
    let mut by = if legend.dragged() { legend.drag_delta() } else { Vec2::ZERO };
    if legend.has_focus() {
        aim::keep_arrows(ui, legend.id);
        let pressed = |key| f32::from(u8::from(ui.input(|input| input.key_pressed(key))));
        let across = pressed(egui::Key::ArrowRight) - pressed(egui::Key::ArrowLeft);
        by += vec2(across, pressed(egui::Key::ArrowDown) - pressed(egui::Key::ArrowUp)) * KEY_PAN / 2.0;
    }
    if by != Vec2::ZERO {
        sight.view.legend = Some(canvas::share_of(lens.rect, rect.translate(by)));
    }
    let by_key = legend.has_focus() && ui.input(|input| input.key_pressed(egui::Key::Backspace));
    if legend.double_clicked() || by_key {
        sight.view.legend = None;
    }
    legend.on_hover_cursor(egui::CursorIcon::Grab);
}

/// Named spots on the map that can be reached by keyboard and by assistive technology; the tool does the work.
fn handles(ui: &Ui, sight: &Sight, lens: &Lens, wishes: &mut Vec<Wish>) -> Vec<Response> {
    if !matches!(sight.tool, Tool::Select(_)) {
        return Vec::new();
    }
    let mut grips = Vec::new();
    let worked = sight.session.worked();
    let chosen = sight.view.selection.line();
    let spot = |at: Point, size: f32, id: Id, name: String, sense: Sense| -> Option<Response> {
        let at = lens.to_screen(at);
        let rect = Rect::from_center_size(at, vec2(size, size)).intersect(lens.rect);
        let response = rect.is_positive().then(|| ui.interact(rect, id, sense))?;
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
        Some(response)
    };
    for (id, line) in &worked.plan.lines {
        let middle = point_at(&line.points, line.length_m() * 0.5).unwrap_or(line.points[0]);
        let name = format!("Line {}", line.name);
        let reached = spot(middle, 12.0, ui.scope_id().with(("line", id.0)), name, Sense::click());
        if reached.is_some_and(|response| response.clicked()) && chosen != Some(*id) {
            wishes.push(Wish::Select(Selection::of(*id)));
        }
    }
    for (i, finding) in worked.findings.iter().enumerate().filter(|(_, f)| f.severity != checks::Severity::Note) {
        let name = format!("Finding {}: {}", i + 1, finding.title);
        let reached = spot(finding.at, 20.0, ui.scope_id().with(("finding", i)), name, Sense::click());
        if reached.is_some_and(|response| response.clicked()) {
            wishes.push(Wish::Look(finding.check, finding.at));
        }
    }
    let sure = sight.view.sure.fresh(sight.session.history().revision());
    let places = sure.map_or(&[][..], |answer| &answer.sure.certainty.places);
    for (i, place) in places.iter().enumerate().filter(|_| sight.view.shows(Switch::Wanted)) {
        let name = format!("{}, asked for", measure::capital(&drawing::wanted_name(i)));
        let reached = spot(place.at, 20.0, ui.scope_id().with(("wanted", i)), name, Sense::click());
        if reached.is_some_and(|response| response.clicked()) {
            wishes.push(Wish::Center(place.at, (place.line, place.station_m)));
        }
    }
    grips.extend(corners(ui, sight, &spot, wishes));
    for (id, outlet) in &worked.plan.outlets {
        grips.extend(spot(
            outlet.at,
            20.0,
            ui.scope_id().with(("outlet", id.0)),
            format!("Outlet {}", outlet.name),
            Sense::click_and_drag(),
        ));
    }
    for (id, mark) in &worked.plan.landmarks {
        let name = format!("{} {}", mark.kind.word(), mark.name);
        let reached = spot(mark.outline.middle(), 12.0, ui.scope_id().with(("landmark", id.0)), name, Sense::click());
        if reached.is_some_and(|response| response.clicked()) {
            wishes.push(Wish::Select(Selection::of(*id)));
        }
    }
    for (id, course) in &worked.plan.watercourses {
        let chosen = sight.view.selection == Selection::of(*id);
        let name = format!("{} {}", course.kind.word(), course.name);
        let middle = point_at(&course.points, measure::path_length(&course.points) * 0.5).unwrap_or(course.points[0]);
        let reached = spot(middle, 12.0, ui.scope_id().with(("watercourse", id.0)), name, Sense::click());
        if reached.is_some_and(|response| response.clicked()) && !chosen {
            wishes.push(Wish::Select(Selection::of(*id)));
        }
        for (i, at) in course.points.iter().enumerate().filter(|_| chosen) {
            let name = format!("Bend {} of {}", i + 1, course.name);
            grips.extend(spot(*at, 16.0, ui.scope_id().with(("turn", id.0, i)), name, Sense::click_and_drag()));
        }
    }
    if let Some((id, line)) = chosen.and_then(|id| Some((id, worked.plan.lines.get(&id)?))) {
        for (i, at) in line.points.iter().enumerate() {
            let name = format!("Bend {} of {}", i + 1, line.name);
            grips.extend(spot(*at, 16.0, ui.scope_id().with(("bend", id.0, i)), name, Sense::click_and_drag()));
        }
    }
    grips
}

/// The boundary, and its corners where it is chosen.
fn corners(
    ui: &Ui,
    sight: &Sight,
    spot: &impl Fn(Point, f32, Id, String, Sense) -> Option<Response>,
    wishes: &mut Vec<Wish>,
) -> Vec<Response> {
    let Some(field) = &sight.session.worked().plan.field else { return Vec::new() };
    let own = |i: usize| ui.scope_id().with(("corner", i));
    if sight.view.selection == Selection::Field {
        let corners = field.ring.iter().enumerate();
        let name = |i: usize| format!("Corner {} of the field", i + 1);
        return corners.filter_map(|(i, at)| spot(*at, 16.0, own(i), name(i), Sense::click_and_drag())).collect();
    }
    let middle = field.ring.get(..2).and_then(|side| point_at(side, measure::path_length(side) * 0.5));
    let reached = middle.and_then(|at| spot(at, 12.0, own(0), "Field boundary".into(), Sense::click()));
    if reached.is_some_and(|response| response.clicked()) {
        wishes.push(Wish::Select(Selection::Field));
    }
    Vec::new()
}

/// What the pointer did, on the map itself or on one of its handles.
fn touches(ui: &Ui, map: &Response, handles: &[Response], lens: &Lens) -> Vec<Touch> {
    let mut touches = Vec::new();
    let latest = ui.input(|input| input.pointer.latest_pos());
    let plan = |at: Option<Pos2>| at.map(|at| lens.to_plan(at));
    if is_space_down(ui) {
        return touches;
    }
    for response in handles.iter().chain([map]) {
        let origin = ui.input(|input| input.pointer.press_origin());
        if response.drag_started_by(PointerButton::Primary) {
            touches.extend(plan(origin).map(Touch::Press));
        }
        if response.dragged_by(PointerButton::Primary) {
            touches.extend(plan(latest).map(Touch::Drag));
        }
        if response.drag_stopped_by(PointerButton::Primary) {
            touches.extend(plan(latest).map(Touch::Release));
        }
        if response.double_clicked() {
            touches.push(Touch::DoubleClick);
        } else if response.clicked() {
            // A click from the keyboard has no place of its own: it means the middle of the handle, and on the map the
            // pointer of the keyboard tells it.
            let middle = (response.id != map.id).then(|| response.rect.center());
            touches.extend(plan(response.interact_pointer_pos().or(middle)).map(Touch::Click));
        }
    }
    touches
}

/// A ring round the thing on the map that has the keys, and a frame where the map itself or its legend has them.
fn paint_focus(pen: &Pen, map: &Response) {
    let (halo, ring) = (Stroke::new(6.0, pen.palette.paper), Stroke::new(3.0, pen.palette.water));
    match aim::focused(map) {
        Some(focused) if focused.id == map.id => {
            pen.painter.rect_stroke(map.rect, 0.0, ring, egui::StrokeKind::Inside);
        }
        Some(legend) if legend.id == legend_id() => {
            pen.painter.rect_stroke(legend.rect.expand(2.0), 3.0, ring, egui::StrokeKind::Outside);
        }
        Some(handle) => {
            for stroke in [halo, ring] {
                pen.painter.circle_stroke(handle.rect.center(), 13.0, stroke);
            }
        }
        None => {}
    }
}

fn paint_handles(pen: &Pen) {
    if let Selection::Object(ObjectId::Watercourse(id)) = pen.view.selection
        && let Some(course) = pen.session.worked().plan.watercourses.get(&id)
    {
        for at in pen.lens.path(&course.points) {
            pen.painter.circle(at, 5.5, pen.palette.paper, Stroke::new(2.0, pen.palette.ink));
        }
    }
    let worked = pen.session.worked();
    let Some((id, line)) = pen.view.selection.line().and_then(|id| Some((id, worked.plan.lines.get(&id)?))) else {
        return;
    };
    for (i, at) in line.points.iter().enumerate() {
        let at = pen.lens.to_screen(*at);
        let held = pen.view.selection == Selection::Bend(id, i);
        let fill = if held { pen.palette.next } else { pen.palette.paper };
        pen.painter.circle(at, if held { 7.0 } else { 5.5 }, fill, Stroke::new(2.0, pen.palette.ink));
    }
}

/// The gesture in hand: what was asked for last, be it in this very frame.
fn in_hand<'a>(pen: &'a Pen, wishes: &'a [Wish]) -> Option<&'a Edit> {
    let asked = wishes.iter().rev().find_map(|wish| match wish {
        Wish::Gesture(gesture) => Some(gesture.as_ref()),
        _ => None,
    });
    asked.unwrap_or(pen.session.gesture_in_hand())
}

/// What is being dragged, where the pointer has it: what follows from it may be a step behind.
fn paint_gesture(pen: &Pen, gesture: Option<&Edit>) {
    let Some(gesture) = gesture else { return };
    let plan = pen.session.plan();
    for change in &gesture.changes {
        match change {
            Change::Line(id, Some(line)) if plan.lines.get(id).is_none_or(|old| old.points != line.points) => {
                match pen.view.selection.line() == Some(*id) {
                    true => paint_in_hand(pen, &line.points, false),
                    false => paint_along(pen, &line.points),
                }
            }
            Change::Watercourse(id, Some(course))
                if plan.watercourses.get(id).is_none_or(|old| old.points != course.points) =>
            {
                paint_in_hand(pen, &course.points, false);
            }
            Change::Outlet(id, Some(outlet)) if plan.outlets.get(id).is_none_or(|old| old.at != outlet.at) => {
                paint_in_hand(pen, &[outlet.at], false);
            }
            Change::Field(Some(field)) if plan.field.as_ref().is_none_or(|old| old.ring != field.ring) => {
                paint_in_hand(pen, &field.ring, true);
            }
            _ => {}
        }
    }
}

/// A line that moves along with what is in hand.
fn paint_along(pen: &Pen, points: &[Point]) {
    pen.painter.add(egui::Shape::line(pen.lens.path(points), Stroke::new(1.2, pen.palette.ink)));
}

/// A path in hand: not yet part of the plan.
fn paint_in_hand(pen: &Pen, points: &[Point], closed: bool) {
    let mut path = pen.lens.path(points);
    if closed && path.len() > 2 {
        path.extend(path.first().copied());
    }
    if path.len() > 1 {
        pen.painter.add(egui::Shape::line(path.clone(), Stroke::new(5.0, pen.palette.paper)));
        pen.painter.extend(egui::Shape::dashed_line(&path, Stroke::new(2.6, pen.palette.ink), 9.0, 4.0));
    }
    for at in &path {
        pen.painter.circle(*at, 4.0, pen.palette.paper, Stroke::new(1.8, pen.palette.ink));
    }
}

/// What is being drawn, and the snap before the click.
fn paint_sketch(pen: &Pen, tool: &Tool) {
    let sketch = tool.sketch();
    paint_in_hand(pen, &sketch.path, sketch.closed);
    if let Some(snap) = sketch.snap {
        let at = pen.lens.to_screen(snap.at);
        pen.painter.circle_stroke(at, 8.0, Stroke::new(2.5, pen.palette.next));
        if let Some(kind) = snap.kind {
            let word = snap_word(pen, kind);
            let font = crate::theme::bold(12.0);
            pen.painter.text(at + vec2(12.0, -12.0), egui::Align2::LEFT_BOTTOM, word, font, pen.palette.ink);
        }
    }
}

fn snap_word(pen: &Pen, kind: SnapKind) -> String {
    let name = kind.object().and_then(|id| pen.session.worked().plan.object_name(id)).unwrap_or_default();
    match kind {
        SnapKind::Object(ObjectId::Outlet(_)) => name.into(),
        SnapKind::Bend(..) => format!("bend of {name}"),
        SnapKind::PipeChange(..) => format!("change of pipe of {name}"),
        SnapKind::Line(..) | SnapKind::Turn(..) | SnapKind::Object(_) => format!("on {name}"),
        SnapKind::Corner(_) => "corner".into(),
        SnapKind::Boundary(_) => "boundary".into(),
        SnapKind::Swale(_) => "swale".into(),
    }
}

/// The place on the map of the station pointed at in the profile.
fn paint_station(pen: &Pen) {
    let lines = &pen.session.worked().plan.lines;
    if pen.view.section.len() > 1 {
        if let Some(at) = pen.view.station_m.and_then(|station_m| point_at(&pen.view.section, station_m)) {
            pen.painter.circle(pen.lens.to_screen(at), 6.0, pen.palette.next, Stroke::new(2.0, pen.palette.ink));
        }
        return;
    }
    // At a finding its own mark stands already.
    let chosen = pen.view.selection.line().filter(|_| pen.view.finding.is_none()).and_then(|id| lines.get(&id));
    let proposed = || {
        let proposal = pen.view.proposed().filter(|_| pen.view.selection.line().is_none())?;
        proposal.plan.lines.get(&pen.view.proposals.line_of(proposal)?)
    };
    let line = chosen.or_else(proposed);
    if let Some(at) = line.zip(pen.view.station_m).and_then(|(line, station_m)| point_at(&line.points, station_m)) {
        pen.painter.circle(pen.lens.to_screen(at), 6.0, pen.palette.next, Stroke::new(2.0, pen.palette.ink));
    }
}
