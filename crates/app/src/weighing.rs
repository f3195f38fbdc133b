//! The choices on old tile, weighed beside the window for the form that is open.

use std::path::{Path, PathBuf};

use egui::Context;
use job::find_form::{self, FindForm};
use job::found::{Weighing, weigh};
use job::{Session, Worked};
use plan::Signature;

use crate::jobs::Job;

/// What the choices are weighed for.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Asked {
    /// The form.
    pub form: FindForm,
    /// True where every planned line stays as it is.
    pub keep: bool,
}

/// What came of weighing: the choices, or why there are none.
pub type Answer = Result<Weighing, String>;

/// Choices being weighed, and the last that were.
pub struct Weigher {
    asked: Asked,
    stamp: u64,
    job: Option<Job<Answer>>,
    answer: Option<Answer>,
}

impl Weigher {
    /// Weighs the choices anew; what was weighed before stays to be looked at meanwhile.
    pub fn start(former: Option<Self>, asked: Asked, session: &Session, ctx: &Context) -> Self {
        let (worked, file, own) = (session.resting(), session.path().map(Path::to_path_buf), asked.clone());
        let job = Job::start(ctx, move |_| answer(&worked, &own, file));
        Self { asked, stamp: session.stamp(), job: Some(job), answer: former.and_then(|former| former.answer) }
    }

    /// Takes up what came of it.
    pub fn poll(&mut self) {
        let done = self.job.as_ref().and_then(Job::poll);
        if let Some(answer) = done {
            self.answer = answer.ok();
            self.job = None;
        }
    }

    /// True where just this is weighed, or being weighed, for the plan as it stands.
    pub fn is_of(&self, asked: &Asked, session: &Session) -> bool {
        self.asked == *asked && self.stamp == session.stamp()
    }

    /// What came of it last, and whether something newer is being weighed.
    pub fn answer(&self) -> (Option<&Answer>, bool) {
        (self.answer.as_ref(), self.job.is_some())
    }
}

fn answer(worked: &Worked, asked: &Asked, file: Option<PathBuf>) -> Answer {
    let find = asked.form.read(&worked.plan).map_err(|error| error.to_string())?;
    let photos = match asked.form.photo.trim() {
        "" => Vec::new(),
        photo => {
            let photo = find_form::photo(Path::new(photo), &file.unwrap_or_default(), &find);
            vec![photo.map_err(|error| format!("Photo: {error}"))?]
        }
    };
    let on = find.taken.at.split('T').next().unwrap_or_default().to_string();
    let signed = Signature { by: find.taken.by.clone(), on, because: find.note.clone() };
    weigh(worked, &find, &photos, &signed, asked.keep)
}
