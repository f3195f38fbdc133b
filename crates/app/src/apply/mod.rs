//! Carries wishes out: short functions, one for each thing that can be asked for.

mod backdrop;
mod bringing;
mod certainty;
mod contours;
mod drying;
mod ground;
mod looking;
mod paths;
mod proposing;
mod rain;
mod receiving;
mod showing;
mod writing;

use std::collections::BTreeSet;
use std::path::PathBuf;

use egui::Context;
use land::Land;
use measure::{Point, Units};
use plan::{Change, Edit, End, Joins, Line, LineId, Parallel, Plan};
use record::OnLine;

use crate::command::{Command, ToolKind};
use crate::desk::Desk;
use crate::jobs::{Finished, Kind};
use crate::panels::dialog::{Dialog, FixAsk, SureAsk};
use crate::panels::find::FindAsk;
use crate::panels::found;
use crate::panels::limits::LimitsAsk;
use crate::purpose::Purpose;
use crate::saving;
use crate::signing::{missing_reason, missing_signature};
use crate::tools::{DrawLine, Tool};
use crate::view::{Guess, Selection, Stage, WetSpot};
use crate::weighing::{Asked, Weigher};
use crate::wish::Wish;
use job::Session;
use job::demo;
use job::files;
use job::find_form::FindForm;
use job::handing;
use job::outlet_level;

pub use backdrop::follow as follow_backdrop;
pub use contours::{fitting_m, follow as follow_contours};
use exchange::{FileError, ReadOptions};
pub use ground::relay;
pub use proposing::follow as follow_proposals;
pub use rain::follow as follow_rain;
pub use receiving::listen;

/// Does one thing that was asked for.
pub fn carry_out(desk: &mut Desk, wish: Wish, ctx: &Context) {
    match wish {
        Wish::Edit(edit) => make_edit(desk, &edit),
        Wish::Gesture(gesture) => desk.session.gesture(gesture),
        Wish::See(edit) => see(desk, edit),
        Wish::Select(selection) => select(desk, selection),
        Wish::Several(lines) => select_several(desk, lines),
        Wish::DrawOn(id, end) => draw_on(desk, id, end),
        Wish::Look(check, at) => look(desk, check, at),
        Wish::Take(kind) => take(desk, kind),
        Wish::Go(stage) => go(desk, stage),
        Wish::Teach(topic) => desk.view.lesson.open(topic),
        Wish::Run(command) => {
            desk.new_on = None;
            run(desk, command, ctx);
        }
        Wish::Leave(then) => leave_unsaved(desk, then, ctx),
        Wish::AskPath(purpose) => paths::ask(desk, purpose, ctx),
        Wish::List(purpose, folder) => paths::list(desk, purpose, folder, ctx),
        Wish::Path(purpose, path) => paths::use_path(desk, purpose, &path, ctx),
        Wish::FreePath(purpose, path) => paths::use_free(desk, purpose, &path, ctx),
        Wish::Drop(path) => paths::open_any(desk, &path, ctx),
        Wish::ReadGround(path, options) => ground::read(desk, &path, Some(options), ctx),
        Wish::NewOn(path, options) => new_on(desk, path, options, ctx),
        Wish::OpenFolder(folder) => showing::open_folder(desk, folder, ctx),
        Wish::Allow(file) => ground::allow(desk, &file, ctx),
        Wish::File(wish) => saving::settle(desk, wish, ctx),
        Wish::Interval(interval_m) => desk.view.interval_m = interval_m,
        Wish::Section(points) => desk.view.section = points,
        Wish::FlowPath(at) => desk.view.flow_path = at,
        Wish::Guess(strokes) => desk.view.guess = Guess { strokes, seen: None },
        Wish::SeeGuess => rain::see_guess(desk),
        Wish::Found(on) => enter_found(desk, on),
        Wish::Decide(key) => decide(desk, &key),
        Wish::Weigh(asked) => weigh(desk, *asked, ctx),
        Wish::Grid(grid) => show_grid(desk, grid),
        Wish::LayGrid => lay_grid(desk),
        Wish::TakeLayout(name) => proposing::take(desk, &name),
        Wish::Dry(ask) => drying::begin(desk, ask, ctx),
        Wish::Center(at, on) => certainty::center(desk, at, on),
        Wish::WetSpot(at) => look_into(desk, at),
        Wish::Cancel(id) => cancel(desk, id, ctx),
        Wish::LayGround => desk.laying = None,
        Wish::Receiver(wish) => receiving::carry_out(desk, wish, ctx),
        Wish::OpenLast(open) => desk.settings.open_last = open,
        Wish::Say(text) => desk.told = Some(text),
    }
}

fn make_edit(desk: &mut Desk, edit: &Edit) {
    if plan::wants_signature(edit) {
        sign_edit(desk, edit);
        return;
    }
    let moved = outlet_level::moved(desk.session.plan(), edit);
    let made = desk.session.edit(edit);
    if let Some((id, stood)) = moved.filter(|_| made.is_ok()) {
        let asked = desk.view.moved_outlet.filter(|(other, _)| *other == id);
        desk.view.moved_outlet = asked.or(Some((id, stood)));
    }
    match made {
        // What is in the record is told once it is on the disk.
        Ok(()) if is_of_record(edit) && desk.keep_path().is_some() => {
            desk.told = Some(format!("{}: being written …", edit.label));
            desk.keeping.owed = Some((desk.session.history().revision(), edit.label.clone()));
        }
        Ok(()) => desk.told = Some(edit.label.clone()),
        Err(error) => desk.told = Some(error.to_string()),
    }
}

/// True for an edit of the record.
fn is_of_record(edit: &Edit) -> bool {
    edit.changes.iter().any(|change| matches!(change, Change::Record(_)))
}

/// Signs a correction of the survey, or asks for the signature where it is written.
fn sign_edit(desk: &mut Desk, edit: &Edit) {
    match missing_signature(&desk.view.signature) {
        None => {
            let signed = plan::sign(edit, &desk.view.signature);
            make_edit(desk, &signed);
        }
        Some(missing) => {
            desk.view.stage = Stage::Ground;
            desk.view.selection = Selection::Nothing;
            desk.told = Some(missing.into());
        }
    }
}

/// Goes to a stage and shows it, whatever was chosen; a line stays the one that is shot at the trench.
fn go(desk: &mut Desk, stage: Stage) {
    desk.view.stage = stage;
    if stage != Stage::Record || desk.view.selection.line().is_none() {
        select(desk, Selection::Nothing);
    }
}

/// Shows an edit before it is made, on the map and in the profile of the line it concerns.
fn see(desk: &mut Desk, edit: Edit) {
    let ask = FixAsk::of(edit, &desk.session, desk.view.selection);
    let line = ask.edit().changes.iter().find_map(|change| match change {
        Change::Line(id, Some(line)) => Some((*id, measure::point_at(&line.points, line.length_m() / 2.0))),
        _ => None,
    });
    if let Some((id, middle)) = line.filter(|(id, _)| desk.session.plan().lines.contains_key(id)) {
        desk.view.selection = Selection::of(id);
        desk.view.section.clear();
        // The finding it clears is in the middle of the map already.
        desk.view.camera.centre = middle.filter(|_| desk.view.finding.is_none()).unwrap_or(desk.view.camera.centre);
    }
    desk.ask(Dialog::Fix(Box::new(ask)));
}

/// Takes a tool in hand; a grid that was not laid leaves no trace.
fn take(desk: &mut Desk, kind: ToolKind) {
    if desk.view.grid.is_some() {
        show_grid(desk, None);
    }
    desk.tool = Tool::of(kind);
    desk.view.to_map = true;
}

/// Shows a grid of parallel laterals as a gesture.
fn show_grid(desk: &mut Desk, grid: Option<Parallel>) {
    let laid = grid.as_ref().map(|grid| grid.lay(desk.session.plan()));
    desk.session.gesture(laid.and_then(Result::ok).map(|laid| laid.edit));
    desk.view.stage = if grid.is_some() { Stage::Lines } else { desk.view.stage };
    desk.view.selection = if grid.is_some() { Selection::Nothing } else { desk.view.selection };
    desk.view.grid = grid;
}

/// Lays the grid that is shown: one undo step.
fn lay_grid(desk: &mut Desk) {
    let Some(grid) = desk.view.grid.take() else { return };
    let laid = grid.lay(desk.session.plan());
    show_grid(desk, None);
    match laid {
        Ok(laid) => {
            make_edit(desk, &laid.edit);
            desk.tool = Tool::default();
        }
        Err(why) => desk.told = Some(why.to_string()),
    }
}

/// Chooses several lines; one is chosen by itself, none is nothing.
fn select_several(desk: &mut Desk, lines: BTreeSet<LineId>) {
    let selection = match (lines.len(), lines.first()) {
        (1, Some(id)) => Selection::of(*id),
        (0, _) => Selection::Nothing,
        _ => Selection::Lines,
    };
    select(desk, selection);
    desk.view.several = lines;
}

/// Takes the tool that draws a line on from one of its ends.
fn draw_on(desk: &mut Desk, id: LineId, end: End) {
    if let Some(tool) = DrawLine::on(desk.session.plan(), id, end) {
        take(desk, ToolKind::Select);
        desk.tool = Tool::Line(tool);
    }
}

fn select(desk: &mut Desk, selection: Selection) {
    desk.view.selection = selection;
    desk.view.finding = None;
    desk.view.section.clear();
}

/// Opens the form for old tile: at a place of a line, else at the station of the chosen line that is pointed at in the profile.
fn enter_found(desk: &mut Desk, on: Option<OnLine>) {
    let plan = desk.session.plan();
    let looked_at = || {
        let (line, station_m) = desk.view.selection.line().zip(desk.view.station_m)?;
        record::trench_of(plan, &plan::Spot::Station { line, station_m })
    };
    let asked = found::asked(plan, on.or_else(looked_at), &desk.view.signature);
    desk.ask(Dialog::Found(Box::new(asked)));
}

/// Opens the form with a find of the record.
fn decide(desk: &mut Desk, key: &str) {
    let plan = desk.session.plan();
    let form = plan.record.finds().find(|find| find.key == key).map(|find| FindForm::of(plan, find));
    if let Some(form) = form {
        desk.ask(Dialog::Found(Box::new(Asked { form, keep: false })));
    }
}

/// Weighs the choices on old tile beside the window.
fn weigh(desk: &mut Desk, asked: Asked, ctx: &Context) {
    let former = desk.weigher.take();
    desk.weigher = Some(Weigher::start(former, asked, &desk.session, ctx));
}

/// Map and profile go to a finding.
fn look(desk: &mut Desk, check: u16, at: Point) {
    desk.view.finding = Some((check, at));
    desk.view.camera.centre = at;
    let finding = desk.session.worked().findings.iter().find(|finding| finding.check == check && finding.at == at);
    if let Some(finding) = finding {
        desk.trying.iter().for_each(|trying| trying.want(&finding.key));
        desk.view.selection = finding.about().map_or(desk.view.selection, Selection::Object);
        desk.view.station_m = finding.from_m;
    }
}

/// Goes so many findings on in the punch list as it is shown.
fn look_on(desk: &mut Desk, step: isize) {
    let worked = desk.session.worked();
    let next = desk.view.punch.from((&worked.findings, &worked.plan), desk.view.finding, step);
    if let Some((check, at)) = next.map(|finding| (finding.check, finding.at)) {
        look(desk, check, at);
    }
}

/// Asks what a wet spot tells; the way of its water is drawn from it.
fn look_into(desk: &mut Desk, at: Option<Point>) {
    let worked = desk.session.at_rest();
    let told = at.map(|at| record::trouble(&worked.plan, &worked.design, &worked.land, at));
    let revision = desk.session.history().revision();
    desk.view.wet_spot = told.map(|told| WetSpot { revision, told });
    desk.view.flow_path = at;
    if at.is_some() {
        desk.view.stage = Stage::Record;
        desk.view.selection = Selection::Nothing;
    }
}

fn run(desk: &mut Desk, command: Command, ctx: &Context) {
    if let Some(purpose) = command.asks_path() {
        paths::ask(desk, purpose, ctx);
        return;
    }
    match command {
        Command::New | Command::Open | Command::FirstDemo | Command::SecondDemo | Command::TenMistakes => {
            leave(desk, command, ctx)
        }
        Command::Save => save(desk, ctx),
        Command::WriteGeojson => writing::hand_out_to(desk, Purpose::WriteGeojson, handing::may_tell, ctx),
        Command::Preview => writing::preview(desk, ctx),
        Command::WriteSheets => writing::hand_out_to(desk, Purpose::WriteSheets, handing::may_tell, ctx),
        Command::WriteDossier => writing::hand_out_to(desk, Purpose::Dossier, handing::may_tell, ctx),
        Command::HandOver => writing::hand_out_to(desk, Purpose::HandOver, handing::may_leave, ctx),
        Command::HowSure => certainty::begin(desk, ctx),
        Command::Propose => proposing::begin(desk, ctx),
        Command::LookAtPhotos => bringing::look_at_photos(desk, ctx),
        Command::ReadRules => read_rules_signed(desk, ctx),
        // Lines and handles grow with the type: all of it is drawn in points.
        Command::Large => ctx.set_zoom_factor(if ctx.zoom_factor() > 1.0 { 1.0 } else { LARGE }),
        _ => run_here(desk, command),
    }
}

/// Runs a command that needs no file.
fn run_here(desk: &mut Desk, command: Command) {
    match command {
        Command::Limits => open_limits(desk),
        Command::Undo => step(desk, "Undone", Session::undo),
        Command::Redo => step(desk, "Redone", Session::redo),
        Command::SelectAll => select_several(desk, desk.session.plan().lines.keys().copied().collect()),
        Command::Delete => delete(desk),
        Command::Reverse => reverse(desk),
        Command::Fit => looking::fit_all(desk),
        Command::FitSelection => looking::fit_selection(desk),
        Command::ZoomIn => zoom(desk, ZOOM),
        Command::ZoomOut => zoom(desk, 1.0 / ZOOM),
        Command::LineList => list_lines(desk),
        Command::NextFinding => look_on(desk, 1),
        Command::FindingBefore => look_on(desk, -1),
        Command::Theme => desk.view.dark = !desk.view.dark,
        Command::Units => switch_units(desk),
        Command::NextStep => desk.view.lesson.next(),
        Command::StepBack => desk.view.lesson.back(),
        Command::PlayRain => desk.view.shower.play(),
        Command::StepRain => desk.view.shower.step(),
        Command::LargeType => desk.view.lesson.large = !desk.view.lesson.large,
        Command::Find => desk.ask(Dialog::Find(FindAsk::default())),
        _ => desk.ask(Dialog::Help),
    }
}

/// Shows the list of lines under the map, or the profile again.
fn list_lines(desk: &mut Desk) {
    desk.view.line_list.open = !desk.view.line_list.open;
    desk.view.section.clear();
}

/// How much larger all is drawn for a projector or in a truck cab (own choice: read from twice an arm's length).
const LARGE: f32 = 1.5;

/// How much a key zooms the map (own choice: three presses double it).
const ZOOM: f64 = 1.26;

/// Zooms the map about the pointer of the keyboard, else about its middle.
fn zoom(desk: &mut Desk, factor: f64) {
    let held = desk.view.aim.map_or(desk.view.camera.centre, |aim| aim.at);
    desk.view.camera.zoom_at(held, factor);
}

/// Leaves the open plan, after a question where work would be lost.
fn leave(desk: &mut Desk, command: Command, ctx: &Context) {
    if desk.session.history().is_unsaved() {
        desk.ask(Dialog::Unsaved { then: Some(command) });
    } else {
        leave_now(desk, command, ctx);
    }
}

/// Leaves the open plan and what is not saved of it, for a command or to close the window.
fn leave_unsaved(desk: &mut Desk, then: Option<Command>, ctx: &Context) {
    desk.forget_kept();
    match then {
        Some(command) => leave_now(desk, command, ctx),
        None => {
            desk.may_close = true;
            ctx.send_viewport_cmd(egui::ViewportCommand::Close);
        }
    }
}

/// Gives one task up. What was to be opened instead of kept work leaves the question about that work.
fn cancel(desk: &mut Desk, id: u64, ctx: &Context) {
    match desk.jobs.cancel(id).map(|task| task.kind) {
        Some(Kind::Relay) => ground::give_up(desk, "it was canceled".into()),
        Some(Kind::Open) => desk.offer_recovery(ctx),
        Some(Kind::Propose) => desk.view.proposals.give_up("The search was canceled."),
        // What is drawn counts as asked for, or they would be made again at once.
        Some(Kind::Contours) => desk.view.interval_m = desk.session.contours().map(|contours| contours.interval_m),
        Some(Kind::Backdrop) => desk.view.backdrop.why = Some("Reading it was canceled.".into()),
        _ => {}
    }
}

/// Takes up what tasks came to. Nothing changes under a hand that drags, nor under an edit that is only looked at.
pub fn poll(desk: &mut Desk, ctx: &Context) {
    if desk.session.in_gesture() {
        return;
    }
    for Finished { task, revision, outcome } in desk.jobs.finished() {
        match outcome {
            Ok(done) => done(desk, revision, ctx),
            Err(why) if task.kind == Kind::Relay => {
                ground::give_up(desk, why.clone());
                desk.ask(Dialog::Trouble(why));
            }
            Err(why) if task.kind == Kind::Propose => desk.view.proposals.give_up(&why),
            Err(why) => desk.ask(Dialog::Trouble(why)),
        }
    }
}

/// Begins a new plan on a ground, after a question where work would be lost.
fn new_on(desk: &mut Desk, path: PathBuf, options: ReadOptions, ctx: &Context) {
    desk.new_on = Some((path, options));
    leave(desk, Command::New, ctx);
}

/// Leaves the open plan without a question.
fn leave_now(desk: &mut Desk, command: Command, ctx: &Context) {
    match command {
        Command::New => {
            let units = if desk.settings.metric { Units::Metric } else { Units::Feet };
            saving::put_on(desk, Session::new(Plan::new(files::UNNAMED, units), None, Land::without_ground()));
            if let Some((path, options)) = desk.new_on.take() {
                ground::read(desk, &path, Some(options), ctx);
            }
        }
        Command::Open => paths::ask(desk, Purpose::OpenPlan, ctx),
        Command::SecondDemo => lay_demo(desk, demo::second_plan()),
        Command::TenMistakes => lay_demo(desk, demo::ten_mistakes()),
        _ => lay_demo(desk, demo::first_plan()),
    }
}

fn lay_demo(desk: &mut Desk, plan: Result<Plan, FileError>) {
    match files::demo_session(plan) {
        Ok(session) => saving::put_on(desk, session),
        Err(error) => desk.told = Some(error.to_string()),
    }
}

fn save(desk: &mut Desk, ctx: &Context) {
    if !saving::save(desk, ctx) {
        paths::ask(desk, Purpose::SavePlan, ctx);
    }
}

fn open_limits(desk: &mut Desk) {
    let plan = desk.session.plan();
    let ask = LimitsAsk::of(&plan.criteria, plan.title.units);
    desk.ask(Dialog::Limits(Box::new(ask)));
}

/// Local rules are signed: asked for in the dialog of the limits where the signature is not complete.
fn read_rules_signed(desk: &mut Desk, ctx: &Context) {
    match missing_reason(&desk.view.signature) {
        None => paths::ask(desk, Purpose::ReadRules, ctx),
        Some(missing) => {
            open_limits(desk);
            desk.told = Some(format!("Local rules are signed. {missing}"));
        }
    }
}

fn step(desk: &mut Desk, word: &str, step: fn(&mut Session) -> Option<String>) {
    if let Some(label) = step(&mut desk.session) {
        desk.told = Some(format!("{word}: {label}"));
    }
    mend_selection(desk);
}

/// Drops a selection whose object is gone.
fn mend_selection(desk: &mut Desk) {
    let plan = desk.session.plan();
    let there = match desk.view.selection {
        Selection::Object(id) => plan.holds(id),
        Selection::Bend(id, index) => plan.lines.get(&id).is_some_and(|line| index < line.points.len()),
        Selection::Field => plan.field.is_some(),
        Selection::Nothing => true,
        Selection::Lines => {
            desk.view.several.retain(|id| plan.lines.contains_key(id));
            !desk.view.several.is_empty()
        }
    };
    if !there {
        desk.view.selection = Selection::Nothing;
    }
}

fn delete(desk: &mut Desk) {
    let plan = desk.session.plan();
    let edit = match desk.view.selection {
        Selection::Nothing => None,
        Selection::Field => Some(plan::set_field(None)),
        Selection::Object(id) => plan::remove(plan, id),
        Selection::Bend(id, index) => plan::delete_point(plan, id, index),
        Selection::Lines => Some(remove_all(plan, &desk.view.several)),
    };
    match edit {
        Some(edit) if desk.view.selection == Selection::Lines => desk.ask(Dialog::Sure(SureAsk::of(edit))),
        Some(edit) => make_edit(desk, &edit),
        None => desk.told = Some("A line keeps at least two points; delete the line instead.".into()),
    }
    mend_selection(desk);
}

/// Takes lines away; what joined them joins nothing.
fn remove_all(plan: &Plan, lines: &BTreeSet<LineId>) -> Edit {
    let loose = plan
        .lines
        .iter()
        .filter(|(id, line)| !lines.contains(id) && matches!(line.joins, Joins::Line(main) if lines.contains(&main)));
    let loose = loose.map(|(id, line)| Change::Line(*id, Some(Line { joins: Joins::Nothing, ..line.clone() })));
    let changes = loose.chain(lines.iter().map(|id| Change::Line(*id, None))).collect();
    let all = if lines.len() == plan.lines.len() { "all " } else { "" };
    Edit { label: format!("Delete {all}{}", measure::how_many(lines.len(), "line")), changes }
}

fn reverse(desk: &mut Desk) {
    let edit = desk.view.selection.line().and_then(|id: LineId| plan::reverse(desk.session.plan(), id));
    if let Some(edit) = edit {
        make_edit(desk, &edit);
    }
}

fn switch_units(desk: &mut Desk) {
    let plan = desk.session.plan();
    let now = plan.title.units;
    let units = if now.is_metric() { desk.view.feet.unwrap_or_else(|| feet_of(plan)) } else { Units::Metric };
    desk.view.feet = Some(now).filter(|now| !now.is_metric()).or(desk.view.feet);
    let was = desk.session.history().revision();
    make_edit(desk, &Edit { label: "Change units".into(), changes: plan::in_units(desk.session.plan(), units) });
    desk.view.sure.shown_otherwise(was, desk.session.history().revision());
    desk.view.interval_m = None;
    desk.settings.metric = desk.session.plan().title.units.is_metric();
}

/// The feet in which a plan is shown: those of its ground.
fn feet_of(plan: &Plan) -> Units {
    let of_ground = plan.ground.iter().flat_map(|ground| [ground.vertical_unit, ground.horizontal_unit]);
    of_ground.map(Units::of).find(|units| !units.is_metric()).unwrap_or(Units::Feet)
}
