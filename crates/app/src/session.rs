//! The session: the open plan with its history and path, the land, and everything worked out from them.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, OnceLock};

use checks::{Finding, Site, Surveyed};
use design::{Clash, Design, Leeway, Memory, Trial, Way};
use measure::Point;
use plan::{Edit, GroundRef, History, LineId, OutletId, Plan, PlanError, SurveyBook, Told};
use takeoff::{Estimate, SetUp, Totals};

use crate::jobs::Progress;
use crate::land::{Contours, Land, bare_name};
use crate::runoff::Runoff;

/// What follows from one state of the plan; never older than what is on the screen.
#[derive(Debug)]
pub struct Derived {
    /// The plan it was worked out from: with the gesture in hand, if there is one.
    pub plan: Plan,
    /// How the survey stands after the plan's corrections, once there is land.
    pub survey: Option<Arc<Surveyed>>,
    /// Where water goes, once there is ground.
    pub runoff: Option<Arc<Runoff>>,
    /// Levels, joints, crossings.
    pub design: Design,
    /// What is wrong; what clears it is tried once somebody looks.
    pub findings: Vec<Finding>,
    /// How much of it.
    pub totals: Totals,
    /// What it costs, once somebody looks.
    estimate: OnceLock<Estimate>,
    /// What the sheets would tell without a laser, once somebody looks.
    told: OnceLock<Told>,
    /// The layouts put aside, worked out once somebody looks.
    alternatives: OnceLock<Vec<(String, Derived)>>,
    /// The ways out of every clash, tried once somebody looks.
    ways: OnceLock<Vec<Vec<Way>>>,
    /// The findings with the remedies that were tried, once somebody looks.
    tried: OnceLock<Vec<Finding>>,
    /// What grades lines may have from end to end, tried for each once somebody looks.
    evens: Seen<LineId, Tried>,
    /// What inverts outlets may have.
    inverts: Seen<OutletId, Tried>,
}

/// How far a figure may go, or what none gets past.
pub type Tried = Result<Leeway, Option<Box<Clash>>>;

/// What was worked out for those that somebody looked at.
#[derive(Debug)]
struct Seen<K, V>(Mutex<BTreeMap<K, Arc<V>>>);

impl<K: Ord + Copy, V> Seen<K, V> {
    fn get(&self, key: K, work_out: impl FnOnce() -> V) -> Arc<V> {
        let mut seen = self.0.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        seen.entry(key).or_insert_with(|| Arc::new(work_out())).clone()
    }
}

impl<K, V> Default for Seen<K, V> {
    fn default() -> Self {
        Self(Mutex::default())
    }
}

/// A plan as everything that is found in it is found: on its land, with how the survey stands and where water goes. Whoever
/// lists findings does it here.
#[derive(Clone, Copy)]
struct Looked<'a> {
    plan: &'a Plan,
    land: Option<&'a Land>,
    survey: Option<&'a Surveyed>,
    runoff: Option<&'a Runoff>,
}

impl<'a> Looked<'a> {
    fn design(&self, memory: &mut Memory) -> Design {
        let water = self.runoff.map(|runoff| &runoff.water);
        design::work_out_again(self.plan, self.land.map(|land| &land.ground), water, memory)
    }

    fn site(&self, design: &'a Design, threads: usize) -> Site<'a> {
        let site =
            Site::new(self.plan, design, self.runoff.map_or(&[], |runoff| &runoff.swales)).with_threads(threads);
        let site = match (self.land, self.runoff) {
            (Some(land), Some(runoff)) => site
                .with_ground(&land.ground, &runoff.depressions)
                .with_left_out(&land.sources.left_out)
                .with_other_system(land.other_system.as_deref()),
            _ => site.without_ground(self.plan.ground.as_ref().map(|ground| bare_name(&ground.file))),
        };
        match self.survey {
            Some(survey) => site.with_survey(survey, self.land.and_then(Land::lidar)),
            None => site,
        }
    }
}

impl Derived {
    /// Works everything out.
    pub fn of(plan: Plan, land: Option<&Land>) -> Self {
        let survey = land.map(|land| land.surveyed(&plan.survey));
        let runoff = land.map(|land| land.runoff_of(&plan, None));
        Self::on(plan, land, survey, runoff, &mut Memory::with_threads(crate::land::threads()))
    }

    /// Works out what hangs on the lines; survey and runoff are known.
    fn on(
        plan: Plan,
        land: Option<&Land>,
        survey: Option<Arc<Surveyed>>,
        runoff: Option<Arc<Runoff>>,
        memory: &mut Memory,
    ) -> Self {
        let looked = Looked { plan: &plan, land, survey: survey.as_deref(), runoff: runoff.as_deref() };
        let design = looked.design(memory);
        let findings = checks::punch_list_of(&looked.site(&design, crate::land::threads()));
        let totals = takeoff::totals(&plan, &design);
        let (estimate, told, alternatives) = (OnceLock::new(), OnceLock::new(), OnceLock::new());
        let (ways, tried) = (OnceLock::new(), OnceLock::new());
        let (evens, inverts) = (Seen::default(), Seen::default());
        Self {
            plan,
            survey,
            runoff,
            design,
            findings,
            totals,
            estimate,
            told,
            alternatives,
            ways,
            tried,
            evens,
            inverts,
        }
    }

    /// The findings with the remedies that were tried: each clears its finding to the digit that it prints.
    pub fn tried(&self, land: Option<&Land>) -> &[Finding] {
        self.tried.get_or_init(|| {
            let looked = self.looked(land);
            let site = looked.site(&self.design, 1);
            // Worked out when the first change is tried: on the largest plans none is.
            let memory = OnceLock::new();
            let rework = |plan: &Plan| self.rework(plan, land, memory.get_or_init(|| self.remembered(land)));
            checks::Trial { site: &site, list: &self.findings, rework: &rework }.all(crate::land::threads())
        })
    }

    /// The findings, with what clears them where that was tried.
    pub fn known(&self) -> &[Finding] {
        self.tried.get().map_or(&self.findings, Vec::as_slice)
    }

    /// Tries what the findings offer one by one, as long as somebody wants it: `next` says which, `told` hears what came of it.
    pub fn try_each<'a>(
        &'a self,
        land: Option<&Land>,
        mut next: impl FnMut() -> Option<&'a Finding>,
        mut told: impl FnMut(&'a Finding, checks::Tried),
    ) {
        let looked = self.looked(land);
        let site = looked.site(&self.design, 1);
        let memory = self.remembered(land);
        let rework = |plan: &Plan| self.rework(plan, land, &memory);
        let trial = checks::Trial { site: &site, list: &self.findings, rework: &rework };
        while let Some(finding) = next() {
            told(finding, trial.tried(finding));
        }
    }

    /// Tries what one finding offers.
    pub fn try_one(&self, land: Option<&Land>, finding: &Finding) -> checks::Tried {
        let known = self.tried.get().and_then(|list| list.iter().find(|other| other.key == finding.key));
        if let Some(known) = known.and_then(|known| known.tried.clone()).filter(|tried| tried.untried.is_none()) {
            return known;
        }
        let (mut once, mut found) = (Some(finding), checks::Tried::default());
        self.try_each(land, || once.take(), |_, tried| found = tried);
        found
    }

    fn looked<'a>(&'a self, land: Option<&'a Land>) -> Looked<'a> {
        Looked { plan: &self.plan, land, survey: self.survey.as_deref(), runoff: self.runoff.as_deref() }
    }

    /// What working the plan out leaves to working out plans like it.
    fn remembered(&self, land: Option<&Land>) -> Memory {
        let mut memory = Memory::default();
        self.looked(land).design(&mut memory);
        memory
    }

    /// What is found in a plan that differs from this one by an edit.
    fn rework(&self, plan: &Plan, land: Option<&Land>, memory: &Memory) -> Vec<Finding> {
        let unlaid = land.filter(|land| !land.fits(&plan.survey));
        // Where the corrected ground cannot be laid the former one stands.
        let relaid = unlaid.and_then(|land| land.relaid(&plan.survey, &Progress::default()).ok());
        let now = relaid.as_ref().or(land);
        let known = relaid.is_none() && self.plan.survey == plan.survey;
        let survey = match known {
            true => self.survey.clone(),
            false => now.map(|land| land.surveyed(&plan.survey)),
        };
        let former = self.runoff.as_ref().filter(|_| relaid.is_none());
        let runoff = now.map(|land| land.runoff_of(plan, former));
        let looked = Looked { plan, land: now, survey: survey.as_deref(), runoff: runoff.as_deref() };
        let mut memory = if relaid.is_none() { memory.clone() } else { Memory::default() };
        let design = looked.design(&mut memory);
        checks::punch_list_of(&looked.site(&design, 1))
    }

    /// What the sheets tell a crew; for those that name planes of a laser see [`sheets::told`].
    pub fn told(&self) -> &Told {
        self.told.get_or_init(|| self.told_with(&[]))
    }

    /// The same with set-ups of a laser.
    pub fn told_with(&self, set_ups: &[SetUp]) -> Told {
        sheets::told(&self.plan, &self.design, &self.findings, &exchange::reference(&self.plan), set_ups)
    }

    /// Why nothing that was worked out may be kept in the plan; `None` where the ground is what the plan names.
    pub fn not_to_be_kept(&self) -> Option<String> {
        let finding = self.findings.iter().find(|finding| finding.tells_lesser_ground())?;
        Some(format!(
            "{} Nothing that is worked out on lesser ground is kept in the plan. {}",
            finding.message, finding.advice
        ))
    }

    /// What holds sheets back from leaving: each finding to fix with its place and what would lift it.
    pub fn held_back(&self) -> Vec<String> {
        sheets::held_back(&self.plan, &self.design, self.known(), &exchange::reference(&self.plan))
    }

    /// The layouts put aside, each worked out on the land the plan lies on.
    pub fn alternatives(&self, land: Option<&Land>) -> &[(String, Derived)] {
        self.alternatives.get_or_init(|| {
            let names = self.plan.alternatives.iter().map(|other| &other.name);
            let worked = |name: &String| Some((name.clone(), Self::of(self.plan.with_alternative(name)?, land)));
            names.filter_map(worked).collect()
        })
    }

    /// The ways out of every clash.
    pub fn ways(&self, land: Option<&Land>) -> &[Vec<Way>] {
        self.ways.get_or_init(|| crate::grading::ways(&self.trial(land)))
    }

    /// What grades a line may have from end to end.
    pub fn even_grades(&self, id: LineId, land: Option<&Land>) -> Arc<Tried> {
        self.evens.get(id, || self.trial(land).even_grades(id))
    }

    /// What inverts an outlet may have, in the steps that are printed.
    pub fn outlet_inverts(&self, id: OutletId, land: Option<&Land>) -> Arc<Tried> {
        self.inverts.get(id, || self.trial(land).outlet_inverts(id, crate::leeway::level_step_m(&self.plan)))
    }

    fn trial<'a>(&'a self, land: Option<&'a Land>) -> Trial<'a> {
        let water = self.runoff.as_ref().map(|runoff| &runoff.water);
        Trial { plan: &self.plan, ground: land.map(|land| &land.ground), water, design: &self.design }
    }

    /// What it costs at the prices of the plan.
    pub fn estimate(&self) -> &Estimate {
        self.estimate.get_or_init(|| takeoff::estimate(&self.plan, &self.design))
    }
}

/// The open plan.
#[derive(Debug)]
pub struct Session {
    history: History,
    path: Option<PathBuf>,
    /// Every land laid under this plan, by the name the plan has for it: undo brings the former one back.
    lands: Vec<(Option<GroundRef>, Arc<Land>)>,
    land: Option<Arc<Land>>,
    contours: Option<Arc<Contours>>,
    gesture: Option<Edit>,
    derived: Derived,
    /// What the last working-out leaves to the next.
    memory: Memory,
    /// Grows with everything that changes what is drawn; caches are held against it.
    stamp: u64,
    /// True where nothing is to be changed: another window works on the plan.
    only_look: bool,
}

impl Session {
    /// Opens a plan on its land.
    pub fn new(plan: Plan, path: Option<PathBuf>, land: Option<Land>) -> Self {
        let land = land.map(Arc::new);
        let lands = land.iter().map(|land| (plan.ground.clone(), land.clone())).collect();
        let derived = Derived::of(plan.clone(), land.as_deref());
        let (history, memory) = (History::new(plan), Memory::with_threads(crate::land::threads()));
        let mut session = Self {
            history,
            path,
            lands,
            land,
            contours: None,
            gesture: None,
            derived,
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

    /// Everything worked out, the gesture in hand included.
    pub fn derived(&self) -> &Derived {
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

    /// The land, once it is read.
    pub fn land(&self) -> Option<&Arc<Land>> {
        self.land.as_ref()
    }

    /// Where water goes, once there is ground.
    pub fn runoff(&self) -> Option<&Arc<Runoff>> {
        self.derived.runoff.as_ref()
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
        self.lands.push((name, Arc::new(land)));
        self.work_out();
    }

    /// Draws contours at another interval, metres; a sensible one for `None`.
    pub fn set_interval(&mut self, interval_m: Option<f64>) {
        let unit = self.plan().title.units.length_unit();
        self.contours = self.land.as_deref().map(|land| land.contours(interval_m, unit));
        self.stamp += 1;
    }

    /// The corners of what there is to look at: field, lines and outlets, or the whole ground while only outlets stand.
    pub fn frame(&self) -> (Point, Point) {
        let plan = &self.derived.plan;
        let field = plan.field.iter().flat_map(|field| &field.ring);
        let lines = plan.lines.values().flat_map(|line| &line.points);
        let outlets = plan.outlets.values().map(|outlet| &outlet.at);
        let drawn = measure::extent(field.chain(lines).chain(outlets).copied());
        let land = self.land.as_ref().map(|land| land.ground.grid().extent());
        let drawn = drawn.filter(|_| plan.field.is_some() || !plan.lines.is_empty());
        drawn.or(land).unwrap_or((Point::new(0.0, 0.0), Point::new(300.0, 200.0)))
    }

    /// Takes the plan as not saved: it came from kept work.
    pub fn mark_unsaved(&mut self) {
        self.history.mark_unsaved();
    }

    /// Notes that the plan was saved there.
    pub fn saved_as(&mut self, path: PathBuf) {
        self.path = Some(path);
        self.only_look = false;
        self.history.mark_saved();
    }

    /// Takes the land that the plan names, and drops what was worked out from another.
    fn find_land(&mut self) {
        let named = self.lands.iter().find(|(name, _)| *name == self.history.plan().ground);
        let land = named.map(|(_, land)| land.clone());
        if land.as_ref().map(Arc::as_ptr) != self.land.as_ref().map(Arc::as_ptr) {
            self.land = land;
            self.derived.survey = None;
            self.derived.runoff = None;
            self.set_interval(None);
        }
    }

    /// The runoff follows edits and not each step of a gesture: routing water anew costs more than a frame.
    fn runoff_now(&self) -> Option<Arc<Runoff>> {
        Some(self.land.as_ref()?.runoff_of(self.history.plan(), self.derived.runoff.as_ref()))
    }

    /// How the survey stands; what is known already holds while neither land nor corrections change.
    fn survey_of(&self, book: &SurveyBook) -> Option<Arc<Surveyed>> {
        let known = self.derived.survey.clone().filter(|_| self.derived.plan.survey == *book);
        known.or_else(|| Some(self.land.as_ref()?.surveyed(book)))
    }

    /// The land that must be laid anew, since the survey's files or corrections are no longer those it was laid with.
    pub fn land_to_relay(&self) -> Option<(Arc<Land>, GroundRef, SurveyBook)> {
        let plan = self.plan();
        let land = self.land.as_ref().filter(|land| !land.fits(&plan.survey))?;
        Some((land.clone(), plan.ground.clone()?, plan.survey.clone()))
    }

    fn work_out(&mut self) {
        let plan = match &self.gesture {
            Some(gesture) => self.history.plan().with(gesture),
            None => self.history.plan().clone(),
        };
        self.find_land();
        let (survey, runoff) = (self.survey_of(&plan.survey), self.runoff_now());
        self.derived = Derived::on(plan, self.land.as_deref(), survey, runoff, &mut self.memory);
        self.stamp += 1;
    }
}
