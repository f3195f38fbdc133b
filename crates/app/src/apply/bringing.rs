//! Brings a file into the plan beside the window: each kind makes one edit of what it read. Where the plan was changed
//! meanwhile the edit is made anew for the plan as it is then. What a field page handed back is shown first.

use std::path::{Path, PathBuf};

use egui::Context;
use exchange::FileError;
use land::Land;
use plan::{Additions, Change, Edit, Plan, ShotOn, Signature, Spot};
use terrain::Ground;

use crate::desk::{Desk, then};
use crate::jobs::{Kind, Task};
use crate::panels::dialog::Dialog;
use crate::panels::handed_back::HandedBackAsk;
use crate::purpose::Purpose;
use job::Worked;
use job::bring;
use job::dug::TypedShot;
use job::ground;
use job::handed_back::Preview;
use job::joining::Reach;
use job::words::file_name;

/// What an edit is made for.
pub struct Given {
    plan: Plan,
    land: Land,
    /// Who signs it, where it is signed.
    signature: Signature,
    /// The plan file, once there is one.
    file: Option<PathBuf>,
    /// What was typed of a photo, and where.
    shot: TypedShot,
}

impl Given {
    fn of(desk: &Desk) -> Self {
        let (plan, land) = (desk.session.plan().clone(), desk.session.land().clone());
        let file = desk.session.path().map(Path::to_path_buf);
        Self { plan, land, signature: desk.view.signature.clone(), file, shot: desk.view.shot.clone() }
    }

    fn ground(&self) -> Result<&Ground, String> {
        self.land.ground.as_deref().ok_or_else(|| "Bring the ground in first.".into())
    }
}

/// An edit, and what is told of it.
type Made = Result<(Edit, String), String>;

/// Makes the edit that brings a file into a plan.
type Make = fn(&Path, &Given) -> Made;

/// Reads a file and makes its edit.
pub fn bring(desk: &mut Desk, purpose: Purpose, path: &Path, make: Make, ctx: &Context) {
    let (given, path) = (Given::of(desk), path.to_path_buf());
    let task = Task::on(Kind::Read, format!("{}: {}", purpose.title(), file_name(&path)), &path);
    desk.begin(task, ctx, move |progress| {
        progress.step("reading").map_err(|error| error.to_string())?;
        let (edit, told) = make(&path, &given)?;
        Ok(then(move |desk, revision, ctx| {
            if desk.session.history().revision() == revision {
                take(desk, &path, &edit, told, purpose);
            } else {
                bring(desk, purpose, &path, make, ctx);
            }
        }))
    });
}

/// Reads what a field page handed back, and shows what it would bring before anything is taken.
pub fn handed_back(desk: &mut Desk, path: &Path, ctx: &Context) {
    let (given, path) = (Given::of(desk), path.to_path_buf());
    let task = Task::on(Kind::Read, format!("{}: {}", Purpose::BringField.title(), file_name(&path)), &path);
    desk.begin(task, ctx, move |progress| {
        progress.step("reading").map_err(|error| error.to_string())?;
        let preview = preview(&path, &given)?;
        Ok(then(move |desk, revision, ctx| {
            if desk.session.history().revision() == revision {
                desk.ask(Dialog::HandedBack(Box::new(HandedBackAsk { file: file_name(&path), preview })));
            } else {
                handed_back(desk, &path, ctx);
            }
        }))
    });
}

fn preview(path: &Path, given: &Given) -> Result<Preview, String> {
    let read = exchange::read_handed_back(&bytes_of(path)?).map_err(|error| named(path, error))?;
    let worked = Worked::of(given.plan.clone(), &given.land);
    job::handed_back::look(&worked, &given.plan, read).map_err(|error| named(path, error))
}

fn take(desk: &mut Desk, path: &Path, edit: &Edit, told: String, purpose: Purpose) {
    if super::is_of_record(edit) {
        super::make_edit(desk, edit);
        return;
    }
    match desk.session.edit(edit) {
        Ok(()) => {
            desk.told = Some(told).filter(|told| !told.is_empty());
            desk.view.fit |= purpose == Purpose::ReadBoundary;
        }
        Err(error) => desk.ask(Dialog::Trouble(named(path, error))),
    }
}

fn named(path: &Path, error: impl std::fmt::Display) -> String {
    format!("{}: {error}", path.display())
}

fn bytes_of(path: &Path) -> Result<Vec<u8>, String> {
    exchange::read_bytes(path).map_err(|error| error.to_string())
}

/// Adds a file of levels or lidar beside the ground.
pub fn levels(path: &Path, given: &Given) -> Made {
    let reference = given.plan.ground.as_ref().ok_or("Bring the ground in first.")?;
    let (file, notes) = ground::name_file(path, "", reference).map_err(|error| named(path, error))?;
    let mut book = given.plan.survey.clone();
    book.files.retain(|old| old.file != file.file);
    book.files.push(file);
    let told = notes.first().cloned().unwrap_or_else(|| format!("Added {}", path.display()));
    Ok((plan::set_survey("Add levels or lidar", book), told))
}

/// Takes the boundary from a file.
pub fn boundary(path: &Path, given: &Given) -> Made {
    let plane = ground::plane(&given.plan);
    let (field, notes) =
        ground::read_field(path, (given.ground()?, &plane), plane.is_local()).map_err(|error| named(path, error))?;
    let told = notes.first().cloned().unwrap_or_else(|| "The boundary is in.".into());
    Ok((Edit::one("Read the boundary", Change::Field(Some(field))), told))
}

/// Adds the lines of a file.
pub fn lines(path: &Path, given: &Given) -> Made {
    let (ground, plane) = (given.ground()?, ground::plane(&given.plan));
    let in_file = |error: FileError| named(path, error);
    let read = exchange::read_lines_file(path, Some(&plane), plane.is_local()).map_err(in_file)?;
    let (before, mut after) = (&given.plan, given.plan.clone());
    let told = job::lines_in::add_lines(&mut after, Some(ground), read.0, Reach::FROM_FILE).map_err(in_file)?;
    let changed = after.lines.iter().filter(|(id, line)| before.lines.get(id) != Some(line));
    let changes = changed.map(|(id, line)| Change::Line(*id, Some(line.clone()))).collect();
    Ok((Edit { label: "Read lines".into(), changes }, told.join(". ")))
}

/// Adds the marks of a file.
pub fn marks(path: &Path, given: &Given) -> Made {
    let plane = ground::plane(&given.plan);
    let (marks, notes) =
        exchange::read_landmarks_file(path, Some(&plane), plane.is_local()).map_err(|error| named(path, error))?;
    let edit = bring::add_marks(&given.plan, marks);
    let told = notes.first().cloned().unwrap_or_else(|| edit.label.clone());
    Ok((edit, told))
}

/// Takes a price list.
pub fn prices(path: &Path, given: &Given) -> Made {
    let units = given.plan.title.units;
    let prices = exchange::read_price_rows(&bytes_of(path)?, units).map_err(|error| named(path, error))?;
    let count = measure::how_many(prices.rows.len(), "price");
    let list = bring::prices_of(prices, file_name(path), &given.plan);
    Ok((plan::set_price_list(list), format!("{count} from {}", file_name(path))))
}

/// Takes hub levels.
pub fn hubs(path: &Path, given: &Given) -> Made {
    let edit = bring::hubs_edit(&given.plan, &given.land, &bytes_of(path)?).map_err(|error| named(path, error))?;
    let told = edit.label.clone();
    Ok((edit, told))
}

/// Takes shots of what was laid, by the name and on the day of the signature.
pub fn shots(path: &Path, given: &Given) -> Made {
    let taken = job::dug::taken_by(&given.plan, &given.signature)?;
    let read = job::dug::read_shots(&bytes_of(path)?, &given.plan, &taken, ShotOn::Invert);
    let (shots, notes) = read.map_err(|error| named(path, error))?;
    let found = measure::how_many(shots.len(), "shot");
    let additions = Additions { shots, ..Additions::default() };
    let edit = plan::add_to_record(&given.plan, additions, &given.signature);
    let edit = edit.ok_or_else(|| format!("{}: {found}, all of them in the record already.", file_name(path)))?;
    Ok((edit, notes.first().cloned().unwrap_or(format!("{found} from {}", file_name(path)))))
}

/// Takes a photo, at the station that is typed beside it where one is, with what is said there.
pub fn photo(path: &Path, given: &Given) -> Made {
    let (plan, typed) = (&given.plan, &given.shot);
    job::dug::taken_by(plan, &given.signature)?;
    let file = given.file.as_deref().ok_or("Save the plan first: photos are kept beside it.")?;
    let station_m = measure::parse_station(&typed.station, plan.title.units);
    let spot = typed.line.zip(station_m).map(|(line, station_m)| Spot::Station { line, station_m });
    let photo = job::photos::take_in(path, file, &ground::plane(plan), (spot, typed.note.trim()));
    let photo = photo.map_err(|error| named(path, error))?;
    let additions = Additions { photos: vec![photo], ..Additions::default() };
    let edit = plan::add_to_record(plan, additions, &given.signature);
    let edit = edit.ok_or_else(|| format!("{}: this photo is in the record already.", file_name(path)))?;
    Ok((edit, String::new()))
}

/// Looks beside the window whether the photos of the record are there, as they were taken in.
pub fn look_at_photos(desk: &mut Desk, ctx: &Context) {
    let Some(home) = desk.session.path().map(job::chosen::home) else { return };
    let plan = desk.session.plan().clone();
    desk.begin(Task::new(Kind::Read, "Looking at the photos"), ctx, move |_| {
        let troubles = job::photos::troubles(&plan, &home);
        let count = measure::how_many(plan.record.photos.len(), "photo");
        Ok(then(move |desk, _, _| match troubles.is_empty() {
            true => desk.told = Some(format!("{count}, all there as they were taken in.")),
            false => desk.ask(Dialog::Trouble(troubles.join("\n"))),
        }))
    });
}

/// Takes a local rule set.
pub fn rules(path: &Path, given: &Given) -> Made {
    let plan = &given.plan;
    let set = exchange::read_rule_set(&bytes_of(path)?, plan.title.units).map_err(|error| named(path, error))?;
    let edit = plan::change_limits(plan, set.applied(&plan.criteria), &given.signature);
    let told = edit.label.clone();
    Ok((edit, told))
}
