//! What follows from one state of the plan: land, design, findings, totals and all that is worked out once somebody looks.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock};

use checks::{Finding, Site};
use design::{Clash, Design, Leeway, Memory, Trial, Way};
use land::{Land, Laying};
use plan::{LineId, OutletId, Plan, Told};
use record::AsDug;
use takeoff::{Estimate, SetUp, Totals};

use crate::ground::threads;
use crate::line_list::{self, LineRow};

/// What follows from one state of the plan.
#[derive(Debug)]
pub struct Worked {
    /// The plan it was worked out from: with the gesture in hand, if there is one.
    pub plan: Plan,
    /// The land it lies on, as the plan's ditches, culverts and corrections leave it.
    pub land: Land,
    /// Levels, joints, crossings.
    pub design: Design,
    /// What is wrong; what clears it is tried once somebody looks.
    pub findings: Vec<Finding>,
    /// How much of it.
    pub totals: Totals,
    /// The record held against the design, once somebody looks.
    dug: OnceLock<AsDug>,
    /// What it costs, once somebody looks.
    estimate: OnceLock<Estimate>,
    /// What the sheets would tell without a laser, once somebody looks.
    told: OnceLock<Told>,
    /// The layouts put aside, worked out once somebody looks.
    alternatives: OnceLock<Vec<(String, Worked)>>,
    /// The ways out of every clash, tried once somebody looks.
    ways: OnceLock<Vec<Vec<Way>>>,
    /// The findings with the remedies that were tried, once somebody looks.
    tried: OnceLock<Vec<Finding>>,
    /// The lines as rows of a table, once somebody looks.
    line_list: OnceLock<Vec<LineRow>>,
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

/// Works the lines of a plan out on its land.
fn design(plan: &Plan, land: &Land, memory: &mut Memory) -> Design {
    design::work_out_again(plan, land, memory)
}

impl Worked {
    /// Works everything out.
    pub fn of(plan: Plan, land: &Land) -> Self {
        let land = land.under(&plan);
        Self::on(plan, land, &mut Memory::with_threads(threads()), threads())
    }

    /// Works out what hangs on the lines, on land that is led and corrected already, in so many threads.
    pub(crate) fn on(plan: Plan, land: Land, memory: &mut Memory, threads: usize) -> Self {
        let design = design(&plan, &land, memory);
        Self::with(plan, land, design, threads)
    }

    /// The same from a design.
    pub(crate) fn with(plan: Plan, land: Land, design: Design, threads: usize) -> Self {
        let findings = checks::punch_list_of(&Site::new(&plan, &design, &land).with_threads(threads));
        let totals = takeoff::totals(&plan, &design);
        let (estimate, told, alternatives) = (OnceLock::new(), OnceLock::new(), OnceLock::new());
        let (ways, tried, dug) = (OnceLock::new(), OnceLock::new(), OnceLock::new());
        let (line_list, evens, inverts) = (OnceLock::new(), Seen::default(), Seen::default());
        Self {
            plan,
            land,
            design,
            findings,
            totals,
            dug,
            estimate,
            told,
            alternatives,
            ways,
            tried,
            line_list,
            evens,
            inverts,
        }
    }

    /// The findings with the remedies that were tried: each clears its finding to the digit that it prints.
    pub fn tried(&self) -> &[Finding] {
        self.tried.get_or_init(|| {
            let site = self.site();
            // Worked out when the first change is tried: on the largest plans none is.
            let memory = OnceLock::new();
            let rework = |plan: &Plan| self.rework(plan, memory.get_or_init(|| self.remembered()));
            checks::Trial { site: &site, list: &self.findings, rework: &rework }.all(threads())
        })
    }

    /// The findings, with what clears them where that was tried.
    pub fn known(&self) -> &[Finding] {
        self.tried.get().map_or(&self.findings, Vec::as_slice)
    }

    /// Tries what the findings offer one by one, as long as somebody wants it: `next` says which, `told` hears what came of it.
    pub fn try_each<'a>(
        &'a self,
        mut next: impl FnMut() -> Option<&'a Finding>,
        mut told: impl FnMut(&'a Finding, checks::Tried),
    ) {
        let (site, memory) = (self.site(), self.remembered());
        let rework = |plan: &Plan| self.rework(plan, &memory);
        let trial = checks::Trial { site: &site, list: &self.findings, rework: &rework };
        while let Some(finding) = next() {
            told(finding, trial.tried(finding));
        }
    }

    /// Tries what one finding offers.
    pub fn try_one(&self, finding: &Finding) -> checks::Tried {
        let known = self.tried.get().and_then(|list| list.iter().find(|other| other.key == finding.key));
        if let Some(known) = known.and_then(|known| known.tried.clone()).filter(|tried| tried.untried.is_none()) {
            return known;
        }
        let (mut once, mut found) = (Some(finding), checks::Tried::default());
        self.try_each(|| once.take(), |_, tried| found = tried);
        found
    }

    /// The plan as the checks see it.
    fn site(&self) -> Site<'_> {
        Site::new(&self.plan, &self.design, &self.land)
    }

    /// What working the plan out leaves to working out plans like it.
    fn remembered(&self) -> Memory {
        let mut memory = Memory::default();
        design(&self.plan, &self.land, &mut memory);
        memory
    }

    /// What is found in a plan that differs from this one by an edit.
    fn rework(&self, plan: &Plan, memory: &Memory) -> Vec<Finding> {
        let unlaid = Some(&self.land).filter(|land| !land.fits(&plan.survey));
        // Where the corrected ground cannot be laid the former one stands.
        let relaid =
            unlaid.and_then(|land| land.relaid(&plan.survey, &Laying { threads: threads(), ..Laying::PLAIN }).ok());
        let mut memory = if relaid.is_none() { memory.clone() } else { Memory::default() };
        let land = relaid.as_ref().unwrap_or(&self.land).under(plan);
        let design = design(plan, &land, &mut memory);
        checks::punch_list(plan, &design, &land)
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
        if !self.land.fits(&self.plan.survey) {
            return Some("The ground is not yet laid with the corrections of the survey. Nothing is kept in the plan before it is.".into());
        }
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
    pub fn alternatives(&self) -> &[(String, Worked)] {
        self.alternatives.get_or_init(|| {
            let names = self.plan.alternatives.iter().map(|other| &other.name);
            let worked =
                |name: &String| Some((name.clone(), Self::of(self.plan.with_alternative(name)?, &self.land)));
            names.filter_map(worked).collect()
        })
    }

    /// The ways out of every clash.
    pub fn ways(&self) -> &[Vec<Way>] {
        self.ways.get_or_init(|| crate::grading::ways(&self.trial()))
    }

    /// What grades a line may have from end to end.
    pub fn even_grades(&self, id: LineId) -> Arc<Tried> {
        self.evens.get(id, || self.trial().even_grades(id))
    }

    /// What inverts an outlet may have, in the steps that are printed.
    pub fn outlet_inverts(&self, id: OutletId) -> Arc<Tried> {
        self.inverts.get(id, || self.trial().outlet_inverts(id, crate::leeway::level_step_m(&self.plan)))
    }

    fn trial(&self) -> Trial<'_> {
        Trial { plan: &self.plan, land: &self.land, design: &self.design }
    }

    /// The record held against the design.
    pub fn dug(&self) -> &AsDug {
        self.dug.get_or_init(|| record::as_dug(&self.plan, &self.design))
    }

    /// The lines as rows of a table.
    pub fn line_list(&self) -> &[LineRow] {
        self.line_list.get_or_init(|| line_list::rows(self))
    }

    /// What it costs at the prices of the plan.
    pub fn estimate(&self) -> &Estimate {
        self.estimate.get_or_init(|| takeoff::estimate(&self.plan, &self.design))
    }
}
