//! The session: the open plan with its history and path, its land, and everything worked out from them.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use design::Memory;
use land::{Contours, Land};
use measure::Point;
use plan::{Change, Edit, GroundRef, History, Plan, PlanError, SurveyBook};
use terrain::{Grid, Ground};

use crate::Worked;
use crate::follower::{Follower, Step};
use crate::ground::threads;

/// Numbers of steps of gestures.
#[derive(Debug, Default)]
struct Steps {
    last: u64,
    shown: u64,
    /// The plan as it stands, as the steps of one gesture share it.
    plan: Option<Arc<Plan>>,
}

/// Intervals of contours that are kept at once (own choice: zooming to and fro makes none anew).
const MOST_INTERVALS: usize = 4;

/// The open plan.
#[derive(Debug)]
pub struct Session {
    history: History,
    path: Option<PathBuf>,
    /// Every land laid under this plan, by the name the plan has for it: undo brings the former one back.
    lands: Vec<(Option<GroundRef>, Land)>,
    /// The land of the plan, as its edits leave it.
    land: Land,
    contours: Option<Arc<Contours>>,
    /// Contours of this land that were made before, the latest last.
    made: Vec<Arc<Contours>>,
    gesture: Option<Edit>,
    /// What follows from the plan as it stands.
    at_rest: Arc<Worked>,
    /// What follows from the plan with the gesture, or with a step of it that came before; `None` before the first is there.
    live: Option<Arc<Worked>>,
    /// The last step of the gesture, and the one that is shown.
    steps: Steps,
    /// Works out gestures beside whoever shows them; without it each is worked out at once.
    follower: Option<Follower>,
    /// What the last working-out leaves to the next.
    memory: Memory,
    /// Grows with everything that changes what is drawn; caches are held against it.
    stamp: u64,
    /// True where nothing is to be changed: another window works on the plan.
    only_look: bool,
}

impl Session {
    /// Opens a plan on its land.
    pub fn new(plan: Plan, path: Option<PathBuf>, land: Land) -> Self {
        let mut memory = Memory::with_threads(threads());
        let lands = vec![(plan.ground.clone(), land.clone())];
        let land = land.under(&plan);
        let at_rest = Arc::new(Worked::on(plan.clone(), land.clone(), &mut memory, threads()));
        let mut session = Self {
            history: History::new(plan),
            path,
            lands,
            land,
            contours: None,
            made: Vec::new(),
            gesture: None,
            at_rest,
            live: None,
            steps: Steps::default(),
            follower: None,
            memory,
            stamp: 1,
            only_look: false,
        };
        session.set_interval(None);
        session
    }

    /// The plan as it stands, without the gesture in hand.
    pub fn plan(&self) -> &Plan {
        self.history.plan()
    }

    /// Everything worked out that is shown: with the gesture in hand, or with a step of it that came before where gestures
    /// are worked out beside the window; without one, of the plan as it stands.
    pub fn worked(&self) -> &Worked {
        self.live.as_deref().unwrap_or(&self.at_rest)
    }

    /// Everything worked out of the plan as it stands, whatever is being dragged.
    pub fn at_rest(&self) -> &Worked {
        &self.at_rest
    }

    /// The same, to be worked with beside the window.
    pub fn resting(&self) -> Arc<Worked> {
        self.at_rest.clone()
    }

    /// How many steps of the gesture in hand are not yet in what is shown.
    pub fn steps_behind(&self) -> u64 {
        self.steps.last - self.steps.shown
    }

    /// Works gestures out beside whoever shows them from now on; `wake` is called when there is something newer to show.
    pub fn follow_beside(&mut self, wake: impl Fn() + Send + Sync + 'static) {
        // One is left to whoever draws.
        let threads = threads().saturating_sub(1).max(1);
        self.follower = Some(Follower::start(Box::new(wake), threads));
    }

    /// True where gestures are worked out beside whoever shows them.
    pub fn is_followed(&self) -> bool {
        self.follower.is_some()
    }

    /// Takes up the newest step of the gesture that is worked out by now.
    pub fn take_up(&mut self) {
        let newest = self.follower.as_ref().and_then(Follower::take);
        if let Some((number, worked)) = newest.filter(|_| self.gesture.is_some()) {
            // With sizes held there is more to come.
            self.steps.shown = number - u64::from(worked.design.holds_sizes);
            self.live = Some(worked);
            self.stamp += 1;
        }
    }

    /// History, for its labels and the unsaved mark.
    pub fn history(&self) -> &History {
        &self.history
    }

    /// The plan file, once there is one.
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// The land, as the plan's edits leave it; the gesture in hand does not lead its water.
    pub fn land(&self) -> &Land {
        &self.land
    }

    /// The ground, once it is read.
    pub fn ground(&self) -> Option<&Arc<Ground>> {
        self.land.ground.as_ref()
    }

    /// The contours drawn.
    pub fn contours(&self) -> Option<&Arc<Contours>> {
        self.contours.as_ref()
    }

    /// Grows with every change of what is shown, but not with contours at another interval: nothing is worked out of them.
    pub fn stamp(&self) -> u64 {
        self.stamp
    }

    /// True while a gesture is shown that is not yet an edit.
    pub fn in_gesture(&self) -> bool {
        self.gesture.is_some()
    }

    /// The gesture that is shown.
    pub fn gesture_in_hand(&self) -> Option<&Edit> {
        self.gesture.as_ref()
    }

    /// Lets the plan be looked at only, or be changed again.
    pub fn only_look(&mut self, only_look: bool) {
        self.only_look = only_look;
    }

    /// Carries out an edit; what it refuses stays as it was.
    pub fn edit(&mut self, edit: &Edit) -> Result<(), PlanError> {
        if self.only_look {
            return Err(PlanError {
                place: "this window".into(),
                found: "a plan that another window works on".into(),
                expected: "a name of its own before it is changed (Plan, Save as)".into(),
            });
        }
        // What was worked out of a gesture that is made so is worked out of the plan as it then stands.
        let followed = self.followed(edit);
        self.drop_gesture();
        let done = self.history.apply(edit);
        match followed.filter(|worked| worked.plan == *self.history.plan()) {
            Some(worked) => {
                self.find_land();
                self.at_rest = worked;
                self.stamp += 1;
            }
            None => self.work_out(),
        }
        done
    }

    /// What follows from the gesture in hand, where it is just that edit and leaves the land as it is; waits for it where it
    /// is being worked out.
    fn followed(&mut self, edit: &Edit) -> Option<Arc<Worked>> {
        if self.gesture.as_ref() != Some(edit) || edit.changes.iter().any(changes_land) {
            return None;
        }
        if self.steps_behind() == 0 {
            return self.live.clone();
        }
        self.follower.as_ref()?.wait_for(self.steps.last).map(|(_, worked)| worked)
    }

    /// Shows a gesture without making it an edit; `None` drops it without a trace.
    pub fn gesture(&mut self, gesture: Option<Edit>) {
        if self.gesture == gesture || self.only_look {
            return;
        }
        match gesture {
            Some(edit) => self.step(edit),
            None => self.drop_gesture(),
        }
    }

    /// One step of a gesture: it is in hand at once, and what follows from it is shown when it is worked out.
    fn step(&mut self, edit: Edit) {
        self.steps.last += 1;
        let plan = self.steps.plan.get_or_insert_with(|| Arc::new(self.history.plan().clone())).clone();
        let step = Step {
            number: self.steps.last,
            plan,
            edit: edit.clone(),
            land: self.land.clone(),
            at_rest: self.at_rest.clone(),
        };
        self.gesture = Some(edit);
        match &self.follower {
            Some(follower) => follower.want(step),
            None => {
                self.steps.shown = step.number;
                self.live = Some(Arc::new(step.work_out(&mut self.memory, threads())));
                self.stamp += 1;
            }
        }
    }

    fn drop_gesture(&mut self) {
        if self.gesture.take().is_none() {
            return;
        }
        self.follower.iter().for_each(Follower::forget);
        self.live = None;
        self.steps = Steps { shown: self.steps.last, last: self.steps.last, plan: None };
        self.stamp += 1;
    }

    /// Takes the last edit back; its label.
    pub fn undo(&mut self) -> Option<String> {
        self.drop_gesture();
        let label = self.history.undo();
        self.work_out();
        label
    }

    /// Does the last undone edit again; its label.
    pub fn redo(&mut self) -> Option<String> {
        self.drop_gesture();
        let label = self.history.redo();
        self.work_out();
        label
    }

    /// Brings a land in for what the plan names `reference`; the edit that names it may follow.
    pub fn bring_in(&mut self, land: Land, reference: GroundRef) {
        let name = Some(reference);
        self.lands.retain(|(other, _)| *other != name);
        self.lands.push((name, land));
        self.work_out();
    }

    /// Draws contours at another interval, metres; a sensible one for `None`.
    pub fn set_interval(&mut self, interval_m: Option<f64>) {
        let unit = self.plan().title.units.length_unit();
        self.contours = self.land.contours(interval_m, unit, threads());
        self.stamp += 1;
    }

    /// Draws contours at an interval, metres, where they were made before; false where they are still to be made.
    pub fn recall_interval(&mut self, interval_m: f64) -> bool {
        if self.contours.as_ref().is_none_or(|contours| contours.interval_m == interval_m) {
            return true;
        }
        let known = self.made.iter().find(|made| made.interval_m == interval_m).cloned();
        let is_known = known.is_some();
        known.into_iter().for_each(|contours| self.draw_contours(contours));
        is_known
    }

    /// Takes contours that were made beside the window, of the land as it was then.
    pub fn take_contours(&mut self, contours: Option<Arc<Contours>>, of: &Land) {
        contours.filter(|_| self.land.is_laid_as(of)).into_iter().for_each(|contours| self.draw_contours(contours));
    }

    fn draw_contours(&mut self, contours: Arc<Contours>) {
        for known in self.contours.take().into_iter().chain([contours.clone()]) {
            self.made.retain(|other| other.interval_m != known.interval_m);
            self.made.push(known);
        }
        let too_many = self.made.len().saturating_sub(MOST_INTERVALS);
        self.made.drain(..too_many);
        self.contours = Some(contours);
    }

    /// The corners of what there is to look at: field, lines and outlets, or the whole ground while only outlets stand.
    pub fn frame(&self) -> (Point, Point) {
        let plan = &self.worked().plan;
        let field = plan.field.iter().flat_map(|field| &field.ring);
        let lines = plan.lines.values().flat_map(|line| &line.points);
        let outlets = plan.outlets.values().map(|outlet| &outlet.at);
        let drawn = measure::extent(field.chain(lines).chain(outlets).copied());
        let land = self.land.grid().map(Grid::extent);
        let drawn = drawn.filter(|_| plan.field.is_some() || !plan.lines.is_empty());
        drawn.or(land).unwrap_or((Point::new(0.0, 0.0), Point::new(300.0, 200.0)))
    }

    /// Takes the plan as not saved: it came from kept work.
    pub fn mark_unsaved(&mut self) {
        self.history.mark_unsaved();
    }

    /// Notes that the plan was saved there as it stood at a revision; what was changed since is not saved.
    pub fn saved_as(&mut self, path: PathBuf, revision: u64) {
        self.path = Some(path);
        self.only_look = false;
        if self.history.revision() == revision {
            self.history.mark_saved();
        }
    }

    /// Takes the land that the plan names, as its edits leave it. Steps of a gesture do not lead its water: routing that
    /// anew costs more than a frame.
    fn find_land(&mut self) {
        let plan = self.history.plan();
        let named = self.lands.iter().find(|(name, _)| *name == plan.ground);
        let named = named.map_or_else(Land::without_ground, |(_, land)| land.clone());
        let is_other = !named.is_laid_as(&self.land);
        self.land = if is_other { named.under(plan) } else { self.land.under(plan) };
        if is_other {
            self.made.clear();
            self.set_interval(None);
        }
    }

    /// The land that must be laid anew, since the survey's files or corrections are no longer those it was laid with.
    pub fn land_to_relay(&self) -> Option<(Land, GroundRef, SurveyBook)> {
        let plan = self.plan();
        let land = Some(&self.land).filter(|land| !land.fits(&plan.survey))?;
        Some((land.clone(), plan.ground.clone()?, plan.survey.clone()))
    }

    /// True while the ground is not laid with the corrections and files of levels that the plan has.
    pub fn is_on_former_ground(&self) -> bool {
        self.plan().ground.is_some() && !self.land.fits(&self.plan().survey)
    }

    /// Works out what follows from the plan as it stands, and from the gesture in hand anew.
    fn work_out(&mut self) {
        self.find_land();
        let plan = self.history.plan().clone();
        let worked = Worked::on(plan, self.land.clone(), &mut self.memory, threads());
        self.at_rest = Arc::new(worked);
        self.stamp += 1;
        self.steps.plan = None;
        if let Some(gesture) = self.gesture.take() {
            self.step(gesture);
        }
    }
}

/// True for a change that leaves another land: what was measured, what is corrected, or where its water is led.
fn changes_land(change: &Change) -> bool {
    matches!(change, Change::Ground(_) | Change::Watercourse(..) | Change::Survey(_))
}
