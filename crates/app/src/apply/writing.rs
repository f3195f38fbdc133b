//! What leaves: worked out and written beside the window, of the plan as it stood when it was asked for.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use egui::Context;
use exchange::FileError;
use land::Land;
use lesson::Topic;
use plan::{Plan, Signature};
use propose::certainty::{Sampling, Stated};
use sheets::{HeldBack, Paper, Tongue};

use super::paths;
use crate::desk::{Desk, then};
use crate::jobs::{Kind, Task};
use crate::panels::dialog::Dialog;
use crate::panels::preview::PreviewAsk;
use crate::picture::{self, Sheet};
use crate::purpose::Purpose;
use job::ground;
use job::handing::{self, PaperWish};
use job::parcel;
use job::words::file_name;
use job::{Progress, Session, Worked, chosen};

/// The plan that is written, and how.
pub struct Given {
    plan: Plan,
    land: Land,
    /// Its file.
    file: Option<PathBuf>,
    paper: Paper,
    tongue: Tongue,
    dark: bool,
    /// What is stated of how far its ground is off.
    stated: Stated,
    /// Who answers for what leaves though findings are to be fixed.
    answered_for: Option<Signature>,
}

impl Given {
    fn of(desk: &Desk) -> Self {
        let (plan, land) = (desk.session.plan().clone(), desk.session.land().clone());
        let paper = desk.view.paper.unwrap_or(Paper::usual(plan.title.units));
        let file = desk.session.path().map(Path::to_path_buf);
        let (tongue, dark, stated) = (desk.view.tongue, desk.view.dark, desk.view.sure.stated);
        Self { plan, land, file, paper, tongue, dark, stated, answered_for: desk.view.answered_for() }
    }

    /// The land with all the plan's corrections: what is shown may be the ground before the last of them.
    fn land(&self, progress: &Progress) -> Result<Land, FileError> {
        match &self.plan.ground {
            Some(reference) if !self.land.fits(&self.plan.survey) => {
                ground::relay(&self.land, reference, &self.plan.survey, progress)
            }
            _ => Ok(self.land.clone()),
        }
    }

    fn work_out(&self, progress: &Progress) -> Result<Worked, String> {
        let land = self.land(progress).map_err(words)?;
        progress.step("working out").map_err(words)?;
        Ok(Worked::of(self.plan.clone(), &land))
    }

    fn wish(&self, by_name: bool) -> PaperWish {
        let all_the_same = self.answered_for.clone().filter(|_| by_name);
        PaperWish { paper: self.paper, all_the_same, tongue: self.tongue, ..PaperWish::default() }
    }
}

fn words(error: impl std::fmt::Display) -> String {
    error.to_string()
}

/// Writes one thing to a path; what should be told of it beside that it is written.
type Write = fn(&Given, &Path, &Progress) -> Result<Option<String>, String>;

/// Writes something of the plan beside the window.
pub fn write(desk: &mut Desk, purpose: Purpose, path: &Path, write: Write, ctx: &Context) {
    let (given, path) = (Given::of(desk), path.to_path_buf());
    let name = given.plan.title.name.clone();
    let task = Task::on(Kind::Write, format!("{}: {}", purpose.task(), file_name(&path)), &path);
    desk.begin(task, ctx, move |progress| {
        let warning = write(&given, &path, progress)?;
        Ok(then(move |desk, revision, _| {
            let written = format!("Written: {}.", path.display());
            let is_older = desk.session.history().revision() != revision || desk.session.plan().title.name != name;
            let older = is_older.then(|| "It holds the plan as it was when this was asked for.".to_string());
            let told = [Some(written), warning, older];
            desk.told = told.into_iter().flatten().reduce(|all, more| format!("{all} {more}"));
            if matches!(purpose, Purpose::HandOver | Purpose::Dossier) {
                desk.view.handed = Some(path);
            }
        }))
    });
}

/// Shows the sheets before they are printed.
pub fn preview(desk: &mut Desk, ctx: &Context) {
    let given = Given::of(desk);
    desk.begin(Task::new(Kind::Preview, "Making the pages"), ctx, move |progress| {
        let derived = given.work_out(progress)?;
        progress.step("sheets").map_err(words)?;
        let book = Arc::new(handing::book(&derived, &given.wish(derived.not_to_be_kept().is_some())));
        Ok(then(move |desk, _, _| desk.ask(Dialog::Preview(Box::new(PreviewAsk { book, page: 0, wide: false })))))
    });
}

/// Asks for file or folder; where something is to be fixed and nobody answers for it, says what.
pub fn hand_out_to(
    desk: &mut Desk,
    purpose: Purpose,
    may: fn(&Worked, &PaperWish) -> Result<(), HeldBack>,
    ctx: &Context,
) {
    let wish = PaperWish { all_the_same: desk.view.answered_for(), ..PaperWish::default() };
    match may(desk.session.at_rest(), &wish) {
        Ok(()) => paths::ask(desk, purpose, ctx),
        Err(held_back) => {
            let how =
                "Mend them, or tick \"All the same\" under Issue on the Dig card, with your name, the day and why.";
            desk.ask(Dialog::Trouble(format!("Nothing is handed over. {held_back}\n\n{how}")));
        }
    }
}

/// Lines, joints, outlets and field in degrees.
pub fn geojson(given: &Given, path: &Path, progress: &Progress) -> Result<Option<String>, String> {
    given.land.ground.as_ref().ok_or("Bring the ground in first.")?;
    let derived = given.work_out(progress)?;
    handing::may_tell(&derived, &given.wish(true)).map_err(words)?;
    let notices = handing::notices(&derived);
    let plane = ground::plane(&derived.plan);
    let text = exchange::plan_geojson(&derived.plan, &derived.design, &notices, &plane).map_err(words)?;
    exchange::replace_file(path, text.as_bytes(), false).map_err(words)?;
    Ok(None)
}

/// Map and profiles as a picture.
pub fn picture(given: &Given, path: &Path, progress: &Progress) -> Result<Option<String>, String> {
    let land = given.land(progress).map_err(words)?;
    progress.step("drawing").map_err(words)?;
    let session = Session::new(given.plan.clone(), given.file.clone(), land);
    let png = picture::draw(&session, Sheet { width: 1200.0, dark: given.dark }).map_err(words)?;
    exchange::replace_file(path, &png, false).map_err(words)?;
    Ok(None)
}

/// The price list.
pub fn prices(given: &Given, path: &Path, _: &Progress) -> Result<Option<String>, String> {
    let text = exchange::price_rows_csv(&given.plan.price_list, given.plan.title.units);
    exchange::replace_file(path, text.as_bytes(), false).map_err(words)?;
    Ok(None)
}

/// The sheets as PDF. A draft is nobody's answer, but on lesser ground it leaves by somebody's name only.
pub fn sheets(given: &Given, path: &Path, progress: &Progress) -> Result<Option<String>, String> {
    let derived = given.work_out(progress)?;
    handing::may_tell(&derived, &given.wish(true)).map_err(words)?;
    let wish = given.wish(derived.not_to_be_kept().is_some());
    progress.step("sheets").map_err(words)?;
    let (pdf, edition) = handing::pdf(&derived, &wish, &told_to(progress)).map_err(words)?;
    exchange::replace_file(path, &pdf, false).map_err(words)?;
    Ok(edition.warning)
}

/// The folder that is handed over.
pub fn folder(given: &Given, path: &Path, progress: &Progress) -> Result<Option<String>, String> {
    let derived = given.work_out(progress)?;
    progress.step("sheets").map_err(words)?;
    let home = given.file.as_deref().map(chosen::home);
    let files = handing::folder(&derived, home.as_deref(), &given.wish(true), &told_to(progress)).map_err(words)?;
    let place = parcel::place(path, &derived.plan, given.file.as_deref()).map_err(words)?;
    parcel::write(&place, &files).map_err(words)?;
    Ok(None)
}

/// The dossier of what lies in the ground.
pub fn dossier(given: &Given, path: &Path, progress: &Progress) -> Result<Option<String>, String> {
    let derived = given.work_out(progress)?;
    progress.step("dossier").map_err(words)?;
    let home = given.file.as_deref().map(chosen::home);
    let files =
        job::dossier::folder(&derived, home.as_deref(), &given.wish(true), &told_to(progress)).map_err(words)?;
    let place = parcel::place(path, &derived.plan, given.file.as_deref()).map_err(words)?;
    parcel::write(&place, &files).map_err(words)?;
    Ok(job::dossier::photo_trouble_of(&files, &derived.plan).into_iter().reduce(|all, more| format!("{all}; {more}")))
}

/// The lessons, on paper or as one page, by the ending of the name.
pub fn lessons(given: &Given, path: &Path, progress: &Progress) -> Result<Option<String>, String> {
    let (derived, units) = (given.work_out(progress)?, given.plan.title.units);
    progress.step("lessons").map_err(words)?;
    let is_paper = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("pdf"));
    let bytes = match is_paper {
        true => job::lesson::pdf(&derived, &Topic::READY, (units, given.paper), &told_to(progress)).map_err(words)?,
        false => job::lesson::page(&derived, &Topic::READY, units).into_bytes(),
    };
    exchange::replace_file(path, &bytes, false).map_err(words)?;
    Ok(None)
}

/// The page for the survey crew.
pub fn crew(given: &Given, path: &Path, progress: &Progress) -> Result<Option<String>, String> {
    let derived = given.work_out(progress)?;
    let sure = job::certainty::sure(&derived, given.stated, Sampling::SAMPLES, progress).map_err(words)?;
    let pdf = job::certainty::crew_pdf(&derived, &sure, given.paper).map_err(words)?;
    exchange::replace_file(path, &pdf, false).map_err(words)?;
    Ok(None)
}

/// Tells how many pages are done, and hears whether they are still wanted.
fn told_to(progress: &Progress) -> impl Fn(usize, usize) -> bool {
    |page: usize, count: usize| progress.tell(page as f64 / count.max(1) as f64)
}
