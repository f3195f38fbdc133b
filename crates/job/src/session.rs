//! The session: the open plan with its history and path, its land, and everything worked out from them.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use design::Memory;
use land::{Contours, Land};
use measure::Point;
use plan::{Edit, GroundRef, History, Plan, PlanError, SurveyBook};
use terrain::{Grid, Ground};

use crate::Worked;
use crate::ground::threads;

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
    gesture: Option<Edit>,
    derived: Worked,
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
        let derived = Worked::on(plan.clone(), land.clone(), &mut memory);
        let (history, contours) = (History::new(plan), None);
        let mut session =
            Self { history, path, lands, land, contours, gesture: None, derived, memory, stamp: 1, only_look: false };
        session.set_interval(None);
        session
    }

    /// The plan as it stands, without the gesture in hand.
    pub fn plan(&self) -> &Plan {
        self.history.plan()
    }

    /// Everything worked out, the gesture in hand included.
    pub fn derived(&self) -> &Worked {
        &self.derived
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

    /// Grows with every change of what is shown.
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
        self.gesture = None;
        let done = self.history.apply(edit);
        self.work_out();
        done
    }

    /// Shows a gesture without making it an edit; `None` drops it without a trace.
    pub fn gesture(&mut self, gesture: Option<Edit>) {
        if self.gesture != gesture && !self.only_look {
            self.gesture = gesture;
            self.work_out();
        }
    }

    /// Takes the last edit back; its label.
    pub fn undo(&mut self) -> Option<String> {
        self.gesture = None;
        let label = self.history.undo();
        self.work_out();
        label
    }

    /// Does the last undone edit again; its label.
    pub fn redo(&mut self) -> Option<String> {
        self.gesture = None;
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

    /// The corners of what there is to look at: field, lines and outlets, or the whole ground while only outlets stand.
    pub fn frame(&self) -> (Point, Point) {
        let plan = &self.derived.plan;
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

    fn work_out(&mut self) {
        let plan = match &self.gesture {
            Some(gesture) => self.history.plan().with(gesture),
            None => self.history.plan().clone(),
        };
        self.find_land();
        let land = self.land.corrected_by(&plan.survey);
        self.derived = Worked::on(plan, land, &mut self.memory);
        self.stamp += 1;
    }
}
