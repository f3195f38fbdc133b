//! Carries wishes out: short functions, one for each thing that can be asked for.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use egui::Context;
use exchange::{FileError, ReadOptions};
use land::Land;
use measure::{Point, Units};
use plan::{Change, Edit, GroundRef, LineId, Plan, Title};
use sheets::{HeldBack, Paper};

use crate::command::Command;
use crate::desk::{Brought, Desk, Work};
use crate::jobs::Job;
use crate::panels::dialog::{Dialog, FixAsk, GroundAsk, PathAsk, ReplaceAsk};
use crate::panels::limits::LimitsAsk;
use crate::panels::part::PartAsk;
use crate::panels::unit::UnitAsk;
use crate::picture::{self, Sheet};
use crate::purpose::Purpose;
use crate::saving::{self, tell};
use crate::signing::{missing_reason, missing_signature};
use crate::tools::Tool;
use crate::view::{Selection, Stage};
use crate::wish::Wish;
use job::Progress;
use job::demo;
use job::files;
use job::ground;
use job::handing::{self, PaperWish};
use job::joining::Reach;
use job::parcel;
use job::sparing;
use job::words::file_name;
use job::{Session, Worked};
use job::{bring, chosen};

/// A dialog that answers faster than any hand was not shown: there is no portal.
const FASTER_THAN_A_HAND: Duration = Duration::from_millis(60);

/// Does one thing that was asked for.
pub fn carry_out(desk: &mut Desk, wish: Wish, ctx: &Context) {
    match wish {
        Wish::Edit(edit) => make_edit(desk, &edit),
        Wish::Gesture(gesture) => desk.session.gesture(gesture),
        Wish::See(edit) => desk.dialog = Some(Dialog::Fix(Box::new(FixAsk::of(edit, &desk.session)))),
        Wish::Select(selection) => select(desk, selection),
        Wish::Look(check, at) => look(desk, check, at),
        Wish::Take(kind) => desk.tool = Tool::of(kind),
        Wish::Go(stage) => desk.view.stage = stage,
        Wish::Run(command) => run(desk, command, ctx),
        Wish::Leave(then) => leave_unsaved(desk, then, ctx),
        Wish::AskPath(purpose) => ask_path(desk, purpose, ctx),
        Wish::Path(purpose, path) => with_path(desk, purpose, &path, ctx),
        Wish::FreePath(purpose, path) => with_free_path(desk, purpose, &path, ctx),
        Wish::Drop(path) => open_any(desk, &path, ctx),
        Wish::ReadGround(path, options) => read_ground(desk, &path, options, ctx),
        Wish::Allow(file) => allow(desk, &file, ctx),
        Wish::File(wish) => saving::settle(desk, wish, ctx),
        Wish::Interval(interval_m) => desk.session.set_interval(interval_m),
        Wish::Section(points) => desk.view.section = points,
        Wish::Follow(at) => desk.view.drop = at,
        Wish::Cancel => cancel(desk),
        Wish::Say(text) => desk.told = Some(text),
    }
}

fn make_edit(desk: &mut Desk, edit: &Edit) {
    if plan::wants_signature(edit) {
        sign_edit(desk, edit);
        return;
    }
    match desk.session.edit(edit) {
        Ok(()) => desk.told = Some(edit.label.clone()),
        Err(error) => desk.told = Some(error.to_string()),
    }
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

fn select(desk: &mut Desk, selection: Selection) {
    desk.view.selection = selection;
    desk.view.finding = None;
    desk.view.section.clear();
}

/// Map and profile go to a finding.
fn look(desk: &mut Desk, check: u16, at: Point) {
    desk.view.finding = Some((check, at));
    desk.view.camera.centre = at;
    let finding = desk.session.derived().findings.iter().find(|finding| finding.check == check && finding.at == at);
    if let Some(finding) = finding {
        desk.trying.iter().for_each(|trying| trying.want(&finding.key));
        desk.view.selection = match (finding.line, finding.outlet) {
            (Some(line), _) => Selection::Line(line),
            (None, Some(outlet)) => Selection::Outlet(outlet),
            (None, None) => finding.landmark.map_or(desk.view.selection, Selection::Landmark),
        };
        desk.view.station_m = finding.from_m;
    }
}

fn run(desk: &mut Desk, command: Command, ctx: &Context) {
    if let Some(purpose) = command.asks_path() {
        ask_path(desk, purpose, ctx);
        return;
    }
    match command {
        Command::New | Command::Open | Command::FirstDemo | Command::SecondDemo | Command::TenMistakes => {
            leave(desk, command, ctx)
        }
        Command::Save => save(desk, ctx),
        Command::WriteGeojson => hand_out_to(desk, Purpose::WriteGeojson, handing::may_tell, ctx),
        Command::WriteSheets => hand_out_to(desk, Purpose::WriteSheets, handing::may_tell, ctx),
        Command::HandOver => hand_out_to(desk, Purpose::HandOver, handing::may_leave, ctx),
        Command::ReadRules => read_rules_signed(desk, ctx),
        _ => run_here(desk, command),
    }
}

/// Runs a command that needs no file.
fn run_here(desk: &mut Desk, command: Command) {
    match command {
        Command::Limits => open_limits(desk),
        Command::Undo => step(desk, "Undone", Session::undo),
        Command::Redo => step(desk, "Done again", Session::redo),
        Command::SelectAll => desk.view.selection = Selection::AllLines,
        Command::Delete => delete(desk),
        Command::Reverse => reverse(desk),
        Command::Fit => desk.view.fit = true,
        Command::Theme => desk.view.dark = !desk.view.dark,
        Command::Units => switch_units(desk),
        _ => desk.dialog = Some(Dialog::Help),
    }
}

/// Leaves the open plan, after a question where work would be lost.
fn leave(desk: &mut Desk, command: Command, ctx: &Context) {
    if desk.session.history().is_unsaved() {
        desk.dialog = Some(Dialog::Unsaved { then: Some(command) });
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

/// Gives up the work beside the window.
fn cancel(desk: &mut Desk) {
    desk.work = None;
    desk.offer_recovery();
}

/// Leaves the open plan without a question.
fn leave_now(desk: &mut Desk, command: Command, ctx: &Context) {
    match command {
        Command::New => {
            saving::put_on(desk, Session::new(Plan::new("Unnamed", Units::Feet), None, Land::without_ground()));
        }
        Command::Open => ask_path(desk, Purpose::OpenPlan, ctx),
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
    match saving::save(desk) {
        Some(done) => tell(desk, done.map_err(|error| format!("The plan is not saved. {error}"))),
        None => ask_path(desk, Purpose::SavePlan, ctx),
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
        Selection::Outlet(id) => plan.outlets.contains_key(&id),
        Selection::Line(id) => plan.lines.contains_key(&id),
        Selection::Bend(id, index) => plan.lines.get(&id).is_some_and(|line| index < line.points.len()),
        Selection::Watercourse(id) => plan.watercourses.contains_key(&id),
        Selection::Landmark(id) => plan.landmarks.contains_key(&id),
        Selection::Field => plan.field.is_some(),
        Selection::Nothing | Selection::AllLines => true,
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
        Selection::Outlet(id) => plan::remove_outlet(plan, id),
        Selection::Line(id) => plan::remove_line(plan, id),
        Selection::Watercourse(id) => plan::remove_watercourse(plan, id),
        Selection::Landmark(id) => plan::remove_landmark(plan, id),
        Selection::Bend(id, index) => plan::delete_point(plan, id, index),
        Selection::AllLines => Some(remove_all(plan)),
    };
    match edit {
        Some(edit) => make_edit(desk, &edit),
        None => desk.told = Some("A line keeps at least two points; delete the line instead.".into()),
    }
    mend_selection(desk);
}

fn remove_all(plan: &Plan) -> Edit {
    let changes = plan.lines.keys().map(|id| Change::Line(*id, None)).collect();
    Edit { label: "Delete all lines".into(), changes }
}

fn reverse(desk: &mut Desk) {
    let edit = desk.view.selection.line().and_then(|id: LineId| plan::reverse(desk.session.plan(), id));
    if let Some(edit) = edit {
        make_edit(desk, &edit);
    }
}

fn switch_units(desk: &mut Desk) {
    let title = desk.session.plan().title.clone();
    let units = if title.units.is_metric() { Units::Feet } else { Units::Metric };
    make_edit(desk, &plan::set_title("Change units", Title { units, ..title }));
    desk.session.set_interval(None);
}

/// Asks for a path: from the system where it can, typed otherwise.
fn ask_path(desk: &mut Desk, purpose: Purpose, ctx: &Context) {
    if !desk.habits.native_dialogs {
        desk.dialog = Some(Dialog::Path(PathAsk::new(purpose)));
        return;
    }
    let job = Job::start(purpose.title(), ctx, move |_| {
        let asked = Instant::now();
        let dialog = rfd::FileDialog::new().set_title(purpose.title()).add_filter(purpose.title(), purpose.endings());
        let path = if purpose == Purpose::HandOver {
            dialog.pick_folder()
        } else if purpose.writes() {
            dialog.set_file_name(purpose.usual_name()).save_file()
        } else {
            dialog.pick_file()
        };
        (path, asked.elapsed())
    });
    desk.work = Some(Work::Path(purpose, job));
}

/// Looks whether work beside the window is done.
pub fn poll(desk: &mut Desk, ctx: &Context) {
    match desk.work.take() {
        Some(Work::Plan(job)) => match job.poll() {
            None => desk.work = Some(Work::Plan(job)),
            Some(done) => finish(desk, &job.name, done, saving::lay),
        },
        Some(Work::Ground(job)) => match job.poll() {
            None => desk.work = Some(Work::Ground(job)),
            Some(done) => finish(desk, &job.name, done, bring_in),
        },
        Some(Work::Relay(reference, job)) => match job.poll() {
            None => desk.work = Some(Work::Relay(reference, job)),
            Some(done) => finish(desk, &job.name, done, |desk, land| desk.session.bring_in(land, reference)),
        },
        Some(Work::Paper(job)) => match job.poll() {
            None => desk.work = Some(Work::Paper(job)),
            Some(done) => finish(desk, &job.name, done, |desk, told| desk.told = Some(told)),
        },
        Some(Work::Path(purpose, job)) => match job.poll() {
            None => desk.work = Some(Work::Path(purpose, job)),
            Some(Ok((Some(path), _))) => with_path(desk, purpose, &path, ctx),
            Some(Ok((None, took))) if took > FASTER_THAN_A_HAND => {}
            Some(_) => desk.dialog = Some(Dialog::Path(PathAsk::new(purpose))),
        },
        None => {}
    }
}

/// Takes over what a job made, or says why it made nothing.
fn finish<T>(desk: &mut Desk, name: &str, done: Result<Result<T, FileError>, ()>, take: impl FnOnce(&mut Desk, T)) {
    match done {
        Ok(Ok(made)) => take(desk, made),
        Ok(Err(error)) => desk.dialog = Some(Dialog::Trouble(error.to_string())),
        Err(()) => desk.dialog = Some(Dialog::Trouble(format!("{name} failed."))),
    }
}

/// Lays the plan on a ground, as one undo step; a plan without lines takes the ground's units along.
fn lay_on(desk: &mut Desk, opened: ground::Opened) {
    let title = desk.session.plan().title.clone();
    let units = Units::of(opened.reference.vertical_unit);
    let mut changes = vec![Change::Ground(Some(opened.reference.clone()))];
    if desk.session.ground().is_none() && desk.session.plan().lines.is_empty() {
        changes.push(Change::Title(Title { units, ..title }));
    }
    let note = opened.land.notes().first().cloned().unwrap_or_else(|| "The ground is in.".into());
    let is_named = desk.session.plan().ground.as_ref() == Some(&opened.reference);
    desk.session.bring_in(opened.land, opened.reference);
    if !is_named {
        make_edit(desk, &Edit { label: "Bring in the ground".into(), changes });
    }
    desk.told = Some(note);
    desk.view.fit = true;
}

/// Does what a path was asked for, after a question where a file would be replaced.
pub fn with_path(desk: &mut Desk, purpose: Purpose, path: &Path, ctx: &Context) {
    let path = match purpose.ending() {
        Some(ending) => with_ending(path, ending),
        None => path.to_path_buf(),
    };
    match in_the_way(desk, purpose, &path) {
        Err(why) => desk.dialog = Some(Dialog::Trouble(why)),
        Ok(Some(question)) => desk.dialog = Some(Dialog::Replace(ReplaceAsk { purpose, path, question })),
        Ok(None) => with_free_path(desk, purpose, &path, ctx),
    }
}

/// What is asked before something is written there; refused where that must not be written over.
fn in_the_way(desk: &Desk, purpose: Purpose, path: &Path) -> Result<Option<String>, String> {
    let (plan, file) = (desk.session.plan(), desk.session.path());
    if purpose == Purpose::HandOver {
        let place = parcel::place(path, plan, file).map_err(|error| named(path, error))?;
        let question = "There is a former hand-over in that folder, just as it was written. It is replaced whole.";
        return Ok(place.is_former.then(|| question.into()));
    }
    let saves = purpose == Purpose::SavePlan;
    if !purpose.writes() || saves && file.is_some_and(|file| sparing::is_itself(file, path)) {
        return Ok(None);
    }
    let mut own = sparing::own_files(plan, file);
    if saves && file.is_some() {
        own.pop();
    }
    let met = sparing::look(path, &own, saves)?;
    Ok(met.map(|met| {
        let kept = if saves { " It is kept as a backup." } else { "" };
        format!("There is a file {} of that name already, {}.{kept}", file_name(path), met.words())
    }))
}

/// Does what a path was asked for; trouble is shown, nothing is lost.
fn with_free_path(desk: &mut Desk, purpose: Purpose, path: &Path, ctx: &Context) {
    let done = match purpose {
        Purpose::OpenPlan => {
            saving::open(desk, path, ctx);
            Ok(String::new())
        }
        Purpose::OpenGround => open_ground(desk, path, ctx),
        Purpose::SavePlan => saving::save_as(desk, path),
        Purpose::AddLevels => add_levels(desk, path),
        Purpose::ReadBoundary => read_boundary(desk, path),
        Purpose::ReadLines => read_lines(desk, path),
        Purpose::WriteGeojson => write_geojson(desk, path),
        Purpose::WritePicture => write_picture(desk, path),
        Purpose::ReadMarks => read_marks(desk, path),
        Purpose::ReadPrices => read_prices(desk, path),
        Purpose::WritePrices => write_prices(desk, path),
        Purpose::ReadHubs => read_hubs(desk, path),
        Purpose::ReadRules => read_rules(desk, path),
        Purpose::WriteSheets => Ok(hand_out(desk, path.to_path_buf(), false, ctx)),
        Purpose::HandOver => Ok(hand_out(desk, path.to_path_buf(), true, ctx)),
    };
    tell(desk, done);
}

fn with_ending(path: &Path, ending: &str) -> PathBuf {
    if path.extension().is_some() { path.to_path_buf() } else { path.with_extension(ending) }
}

/// Reads the ground of the plan from where it lies, since the person says so.
fn allow(desk: &mut Desk, file: &Path, ctx: &Context) {
    chosen::remember(file);
    let (plan, path) = (desk.session.plan().clone(), desk.session.path().map(Path::to_path_buf));
    let is_unsaved = desk.session.history().is_unsaved();
    let (seen, base) = (desk.file.seen, desk.file.base.clone());
    let open = move |progress: &Progress| {
        let mut opened = files::opened(plan, path, progress)?;
        if is_unsaved {
            opened.session.mark_unsaved();
        }
        Ok(files::Landing::from(files::Opened { seen, base, ..opened }))
    };
    desk.work = Some(Work::Plan(Job::start(format!("Opening {}", file_name(file)), ctx, open)));
}

/// Opens whatever was dropped on the window: a plan, lines, or ground.
fn open_any(desk: &mut Desk, path: &Path, ctx: &Context) {
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default();
    let purpose = match ending.as_str() {
        exchange::PLAN_EXTENSION => Purpose::OpenPlan,
        "geojson" | "json" | "kml" | "shp" if desk.session.ground().is_none() => Purpose::OpenGround,
        "geojson" | "json" | "kml" | "shp" if desk.session.plan().field.is_none() => Purpose::ReadBoundary,
        "geojson" | "json" | "kml" | "shp" => Purpose::ReadLines,
        _ => Purpose::OpenGround,
    };
    with_path(desk, purpose, path, ctx);
}

/// Reads ground, after asking what a table of points leaves open.
fn open_ground(desk: &mut Desk, path: &Path, ctx: &Context) -> Result<String, String> {
    if let Some(ask) = GroundAsk::of(path).map_err(|error| error.to_string())? {
        desk.dialog = Some(Dialog::Ground(Box::new(ask)));
        return Ok(String::new());
    }
    read_ground(desk, path, ground::read_options(), ctx);
    Ok(String::new())
}

/// Starts reading ground with what the person answered.
fn read_ground(desk: &mut Desk, path: &Path, options: ReadOptions, ctx: &Context) {
    let file = path.to_path_buf();
    let name = format!("Opening {}", file_name(path));
    let bring = move |progress: &Progress| match ground::read(&file, &options, progress) {
        Err(FileError::TooManyCells { limit, .. }) => {
            PartAsk::of(file, options, limit).map(|ask| Brought::Asked(ask.asked().into()))
        }
        Ok(opened) if opened.lacks_unit() => {
            Ok(Brought::Asked(Dialog::Unit(UnitAsk::new(file, options).into()).into()))
        }
        read => read.map(Box::new).map(Brought::Land),
    };
    desk.work = Some(Work::Ground(Job::start(name, ctx, bring)));
}

/// Takes in what came of a ground file.
fn bring_in(desk: &mut Desk, brought: Brought) {
    match brought {
        Brought::Land(opened) => lay_on(desk, *opened),
        Brought::Asked(dialog) => desk.dialog = Some(dialog.for_plan(&desk.session)),
    }
}

/// Lays the ground anew beside the window once its corrections or files have changed.
pub fn relay(desk: &mut Desk, ctx: &Context) {
    let revision = desk.session.history().revision();
    if desk.work.is_some() || desk.relaid == revision {
        return;
    }
    desk.relaid = revision;
    let Some((land, reference, book)) = desk.session.land_to_relay() else { return };
    let named: GroundRef = reference.clone();
    let lay = move |progress: &Progress| ground::relay(&land, &named, &book, progress);
    desk.work = Some(Work::Relay(reference, Job::start("Laying the corrected ground", ctx, lay)));
}

/// Adds a file of levels or lidar beside the ground.
fn add_levels(desk: &mut Desk, path: &Path) -> Result<String, String> {
    let plan = desk.session.plan();
    let reference = plan.ground.as_ref().ok_or("Bring the ground in first.")?;
    let (file, notes) =
        ground::name_file(path, "", reference).map_err(|error| format!("{}: {error}", path.display()))?;
    let mut book = plan.survey.clone();
    book.files.retain(|old| old.file != file.file);
    book.files.push(file);
    desk.session.edit(&plan::set_survey("Add levels or lidar", book)).map_err(|error| error.to_string())?;
    Ok(notes.first().cloned().unwrap_or_else(|| format!("Added {}", path.display())))
}

fn read_boundary(desk: &mut Desk, path: &Path) -> Result<String, String> {
    let ground = desk.session.ground().ok_or("Bring the ground in first.")?;
    let plane = ground::plane(desk.session.plan());
    let (field, notes) = ground::read_field(path, (ground, &plane), plane.is_local())
        .map_err(|error| format!("{}: {error}", path.display()))?;
    let edit = Edit::one("Read the boundary", Change::Field(Some(field)));
    desk.session.edit(&edit).map_err(|error| error.to_string())?;
    desk.view.fit = true;
    Ok(notes.first().cloned().unwrap_or_else(|| "The boundary is in.".into()))
}

fn read_lines(desk: &mut Desk, path: &Path) -> Result<String, String> {
    let ground = desk.session.ground().cloned().ok_or("Bring the ground in first.")?;
    let plane = ground::plane(desk.session.plan());
    let in_file = |error: FileError| format!("{}: {error}", path.display());
    let read = exchange::read_lines_file(path, Some(&plane), plane.is_local()).map_err(in_file)?;
    let mut after = desk.session.plan().clone();
    let told = job::lines_in::add_lines(&mut after, Some(&ground), read.0, Reach::FROM_FILE).map_err(in_file)?;
    let before = desk.session.plan();
    let changed = after.lines.iter().filter(|(id, line)| before.lines.get(id) != Some(line));
    let changes = changed.map(|(id, line)| Change::Line(*id, Some(line.clone()))).collect();
    desk.session.edit(&Edit { label: "Read lines".into(), changes }).map_err(|error| error.to_string())?;
    Ok(told.join(". "))
}

fn write_geojson(desk: &mut Desk, path: &Path) -> Result<String, String> {
    desk.session.ground().ok_or("Bring the ground in first.")?;
    let derived = desk.session.derived();
    let notices = handing::notices(derived);
    let text = exchange::plan_geojson(&derived.plan, &derived.design, &notices, &ground::plane(&derived.plan))
        .map_err(|error| error.to_string())?;
    exchange::replace_file(path, text.as_bytes(), false).map_err(|error| error.to_string())?;
    Ok(format!("Written {}", path.display()))
}

fn write_picture(desk: &mut Desk, path: &Path) -> Result<String, String> {
    let sheet = Sheet { width: 1200.0, dark: desk.view.dark };
    let png = picture::draw(&desk.session, sheet).map_err(|error| error.to_string())?;
    exchange::replace_file(path, &png, false).map_err(|error| error.to_string())?;
    Ok(format!("Written {}", path.display()))
}

fn open_limits(desk: &mut Desk) {
    let plan = desk.session.plan();
    desk.dialog = Some(Dialog::Limits(Box::new(LimitsAsk::of(&plan.criteria, plan.title.units))));
}

/// Local rules are signed: asked for in the dialog of the limits where the signature is not complete.
fn read_rules_signed(desk: &mut Desk, ctx: &Context) {
    match missing_reason(&desk.view.signature) {
        None => ask_path(desk, Purpose::ReadRules, ctx),
        Some(missing) => {
            open_limits(desk);
            desk.told = Some(format!("Local rules are signed. {missing}"));
        }
    }
}

fn bytes_of(path: &Path) -> Result<Vec<u8>, String> {
    exchange::read_bytes(path).map_err(|error| error.to_string())
}

fn named(path: &Path, error: impl std::fmt::Display) -> String {
    format!("{}: {error}", path.display())
}

fn read_marks(desk: &mut Desk, path: &Path) -> Result<String, String> {
    let plane = ground::plane(desk.session.plan());
    let (marks, notes) =
        exchange::read_landmarks_file(path, Some(&plane), plane.is_local()).map_err(|error| named(path, error))?;
    let edit = bring::add_marks(desk.session.plan(), marks);
    desk.session.edit(&edit).map_err(|error| named(path, error))?;
    Ok(notes.first().cloned().unwrap_or(edit.label))
}

fn read_prices(desk: &mut Desk, path: &Path) -> Result<String, String> {
    let plan = desk.session.plan();
    let prices = exchange::read_price_rows(&bytes_of(path)?, plan.title.units).map_err(|error| named(path, error))?;
    let count = measure::how_many(prices.rows.len(), "price");
    let list = bring::prices_of(prices, file_name(path), plan);
    desk.session.edit(&plan::set_price_list(list)).map_err(|error| named(path, error))?;
    Ok(format!("{count} from {}", file_name(path)))
}

fn write_prices(desk: &mut Desk, path: &Path) -> Result<String, String> {
    let plan = desk.session.plan();
    let text = exchange::price_rows_csv(&plan.price_list, plan.title.units);
    exchange::replace_file(path, text.as_bytes(), false).map_err(|error| error.to_string())?;
    Ok(format!("Written: {}", path.display()))
}

fn read_hubs(desk: &mut Desk, path: &Path) -> Result<String, String> {
    let edit = bring::hubs_edit(desk.session.plan(), desk.session.land(), &bytes_of(path)?)
        .map_err(|error| named(path, error))?;
    desk.session.edit(&edit).map_err(|error| named(path, error))?;
    Ok(edit.label)
}

fn read_rules(desk: &mut Desk, path: &Path) -> Result<String, String> {
    let plan = desk.session.plan();
    let set = exchange::read_rule_set(&bytes_of(path)?, plan.title.units).map_err(|error| named(path, error))?;
    let edit = plan::change_limits(plan, set.applied(&plan.criteria), &desk.view.signature);
    desk.session.edit(&edit).map_err(|error| named(path, error))?;
    Ok(edit.label)
}

/// Asks for file or folder; where something is to be fixed and nobody answers for it, says what.
fn hand_out_to(
    desk: &mut Desk,
    purpose: Purpose,
    may: fn(&Worked, &PaperWish) -> Result<(), HeldBack>,
    ctx: &Context,
) {
    let wish = PaperWish { all_the_same: desk.view.answered_for(), ..PaperWish::default() };
    match may(desk.session.derived(), &wish) {
        Ok(()) => ask_path(desk, purpose, ctx),
        Err(held_back) => {
            let how =
                "Mend them, or tick \"All the same\" under Issue on the Dig card, with your name, the day and why.";
            desk.dialog = Some(Dialog::Trouble(format!("Nothing is handed over. {held_back}\n\n{how}")));
        }
    }
}

/// Starts writing the sheets, or the whole folder, beside the window; what is written is the plan as it stands now.
fn hand_out(desk: &mut Desk, path: PathBuf, whole_folder: bool, ctx: &Context) -> String {
    let (plan, land) = (desk.session.plan().clone(), desk.session.land().clone());
    let file = desk.session.path().map(Path::to_path_buf);
    let usual = Paper::usual(plan.title.units);
    // A draft is nobody's answer, but on lesser ground it leaves by somebody's name only.
    let by_name = whole_folder || desk.session.derived().not_to_be_kept().is_some();
    let all_the_same = desk.view.answered_for().filter(|_| by_name);
    let wish = PaperWish { paper: desk.view.paper.unwrap_or(usual), all_the_same, ..PaperWish::default() };
    let write = move |progress: &Progress| {
        progress.step("working out")?;
        let derived = Worked::of(plan, &land);
        progress.step("sheets")?;
        let told = |page: usize, count: usize| progress.tell(page as f64 / count.max(1) as f64);
        let refused = |error: String| FileError::Unsupported { found: error, expected: "sheets".into() };
        let warning = if whole_folder {
            let home = file.as_deref().map(chosen::home);
            let files =
                handing::folder(&derived, home.as_deref(), &wish, &told).map_err(|e| refused(e.to_string()))?;
            let place = parcel::place(&path, &derived.plan, file.as_deref())?;
            parcel::write(&place, &files)?;
            None
        } else {
            let (pdf, edition) = handing::pdf(&derived, &wish, &told).map_err(|e| refused(e.to_string()))?;
            exchange::replace_file(&path, &pdf, false)?;
            edition.warning
        };
        Ok(match warning {
            Some(warning) => format!("Written: {}. {warning}", path.display()),
            None => format!("Written: {}", path.display()),
        })
    };
    desk.work = Some(Work::Paper(Job::start("Writing sheets", ctx, write)));
    String::new()
}
