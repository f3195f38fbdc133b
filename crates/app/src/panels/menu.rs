//! What can be done with what is on the map: the menu of the right button, and the arrow keys. All of it can be reached
//! without either.

use egui::{Key, Response, Ui};
use measure::{FOOT_M, Point, nearest_on};
use plan::{Edit, End, Joins, LineId, LineKind, ObjectId, Plan};

use super::{Sight, aim, map};
use crate::camera::Lens;
use crate::canvas::{SnapIndex, SnapKind};
use crate::command::{Command, ToolKind};
use crate::tools::{REACH, Tool};
use crate::view::Selection;
use crate::wish::Wish;

/// How far an arrow key moves what is chosen, with Shift ten times as far: a foot, or a quarter of a metre (own choice).
fn step_m(plan: &Plan) -> f64 {
    if plan.title.units.is_metric() { 0.25 } else { FOOT_M }
}

/// The menu of the right button over the map, and the arrow keys.
pub fn show(ui: &Ui, sight: &mut Sight, snaps: &SnapIndex, (map, lens): (&Response, &Lens), wishes: &mut Vec<Wish>) {
    nudge(ui, sight, map, wishes);
    let memory = map.id.with("menu");
    if map.secondary_clicked()
        && let Some(at) = map.interact_pointer_pos()
    {
        let at = lens.to_plan(at);
        choose(sight, snaps, at, wishes);
        ui.data_mut(|data| data.insert_temp(memory, at));
    }
    let at = ui.data(|data| data.get_temp::<Point>(memory));
    map.context_menu(|ui| {
        if let Some(at) = at {
            rows(ui, sight, at, wishes);
        }
    });
}

/// What lies under the pointer is chosen, unless it is one of several that are.
fn choose(sight: &Sight, snaps: &SnapIndex, at: Point, wishes: &mut Vec<Wish>) {
    let reach_m = REACH as f64 / sight.view.camera.scale;
    let kind = snaps.snap(at, reach_m, |kind| !matches!(kind, SnapKind::Swale(_))).kind;
    let object = kind.and_then(SnapKind::object);
    let is_one_of = object.and_then(|id| id.line()).is_some_and(|id| sight.view.lines().contains(&id));
    if !is_one_of {
        wishes.push(Wish::Select(object.map_or(Selection::Nothing, Selection::of)));
    }
}

fn rows(ui: &mut Ui, sight: &Sight, at: Point, wishes: &mut Vec<Wish>) {
    let plan = sight.session.plan();
    let mut row = |ui: &mut Ui, words: &str, wish: Option<Wish>| {
        if let Some(wish) = wish
            && ui.button(words).clicked()
        {
            wishes.push(wish);
            ui.close();
        }
    };
    match sight.view.selection {
        Selection::Object(ObjectId::Line(id)) | Selection::Bend(id, _) => {
            for (words, wish) in line_verbs(plan, id, (at, "Split here")) {
                row(ui, words, Some(wish));
            }
        }
        Selection::Nothing => {
            row(ui, "Flow path from here", Some(Wish::FlowPath(Some(at))));
            row(ui, "Draw a main", Some(Wish::Take(ToolKind::Line(LineKind::Main))));
            row(ui, "Lay a lateral grid", Some(Wish::Take(ToolKind::Parallel)));
            row(ui, "Show whole field", Some(Wish::Run(Command::Fit)));
        }
        _ => row(ui, "Delete", Some(Wish::Run(Command::Delete))),
    }
    let chosen = sight.view.selection != Selection::Nothing;
    row(ui, "Zoom to it", chosen.then_some(Wish::Run(Command::FitSelection)));
}

/// What can be done with a line, at a place on it; how splitting it there is called.
pub fn line_verbs(plan: &Plan, id: LineId, (at, here): (Point, &'static str)) -> Vec<(&'static str, Wish)> {
    let Some(line) = plan.lines.get(&id) else { return Vec::new() };
    let station_m = nearest_on(&line.points, at).map_or(0.0, |(station_m, _, _)| station_m);
    let split = plan::split(plan, id, station_m).map(|(_, edit)| Wish::Edit(edit));
    let double = plan::double(plan, id, aside(plan, id)).map(|(_, edit)| Wish::Edit(edit));
    let lower = (line.joins == Joins::Nothing).then_some(Wish::DrawOn(id, End::Lower));
    let verbs = [
        ("Draw on from the upper end", Some(Wish::DrawOn(id, End::Upper))),
        ("Draw on from the lower end", lower),
        (here, split),
        ("Make one with the line above", joined_above(plan, id).map(Wish::Edit)),
        ("Draw another beside it", double),
        ("Branch a lateral off it", Some(Wish::Take(ToolKind::Line(LineKind::Lateral)))),
        ("Reverse", Some(Wish::Run(Command::Reverse))),
        ("Delete line", plan::remove_line(plan, id).map(Wish::Edit)),
    ];
    verbs.into_iter().filter_map(|(words, wish)| Some((words, wish?))).collect()
}

/// Makes one of a line and the one that joins its upper end.
fn joined_above(plan: &Plan, id: LineId) -> Option<Edit> {
    plan.branches(id).find_map(|(above, _)| plan::unite(plan, id, above))
}

/// To the right of a line seen from its lower end, as far as it serves to both sides: east and north, metres.
fn aside(plan: &Plan, id: LineId) -> (f64, f64) {
    let ends = plan.lines.get(&id).and_then(|line| line.downstream_end().zip(line.upper_end()));
    let (sin, cos) = ends.map_or((0.0, 1.0), |(low, high)| measure::bearing(low, high).to_radians().sin_cos());
    let off_m = 2.0 * plan.brief.served_m;
    (cos * off_m, -sin * off_m)
}

/// Arrow keys move what is chosen while the map, or a thing on it, has the keys.
fn nudge(ui: &Ui, sight: &Sight, map: &Response, wishes: &mut Vec<Wish>) {
    let chosen = sight.view.selection != Selection::Nothing;
    let here = aim::focused(map).filter(|here| chosen && sight.view.aim.is_none() && here.id != map::legend_id());
    let Some(here) = here.filter(|_| matches!(sight.tool, Tool::Select(_))) else { return };
    aim::keep_arrows(ui, here.id);
    let plan = sight.session.plan();
    let ways = [
        (Key::ArrowLeft, -1.0, 0.0),
        (Key::ArrowRight, 1.0, 0.0),
        (Key::ArrowUp, 0.0, 1.0),
        (Key::ArrowDown, 0.0, -1.0),
    ];
    let far = if ui.input(|input| input.modifiers.shift) { 10.0 } else { 1.0 };
    for (_, east, north) in ways.into_iter().filter(|(key, _, _)| ui.input(|input| input.key_pressed(*key))) {
        let by = (east * far * step_m(plan), north * far * step_m(plan));
        let lines = sight.view.lines();
        wishes.extend(moved(plan, sight.view.selection, lines.into_iter().collect(), by).map(Wish::Edit));
    }
}

/// Moves a bend, an outlet, or whole lines: one edit.
fn moved(plan: &Plan, selection: Selection, lines: Vec<LineId>, (east_m, north_m): (f64, f64)) -> Option<Edit> {
    let to = |at: &Point| Point::new(at.x + east_m, at.y + north_m);
    match selection {
        Selection::Bend(id, index) => {
            let at = plan.lines.get(&id)?.points.get(index)?;
            plan::move_point(plan, id, index, to(at))
        }
        Selection::Object(ObjectId::Outlet(id)) => plan::move_outlet(plan, id, to(&plan.outlets.get(&id)?.at)),
        _ => plan::shift_all(plan, &lines, (east_m, north_m)),
    }
}
