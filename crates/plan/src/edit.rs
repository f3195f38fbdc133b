//! Edits: the only way a plan changes.

use crate::{
    Acceptance, Alternative, Backdrop, Brief, CostWeights, Criteria, Field, GroundRef, Landmark, LandmarkId,
    LimitChange, Line, LineId, Outlet, OutletId, Plan, PlanError, PriceList, Record, Revision, SurveyBook, Title,
    Watercourse, WatercourseId,
};

/// One part of the plan set to a new value; `None` takes the part away.
#[derive(Debug, Clone, PartialEq)]
#[allow(clippy::large_enum_variant, reason = "edits are few and short-lived; boxes would only hide the values")]
pub enum Change {
    /// A line.
    Line(LineId, Option<Line>),
    /// An outlet.
    Outlet(OutletId, Option<Outlet>),
    /// A ditch or culvert.
    Watercourse(WatercourseId, Option<Watercourse>),
    /// A mark on the land.
    Landmark(LandmarkId, Option<Landmark>),
    /// The field's boundary.
    Field(Option<Field>),
    /// The surface the plan lies on.
    Ground(Option<GroundRef>),
    /// The picture under the plan.
    Backdrop(Option<Backdrop>),
    /// Name, units, date.
    Title(Title),
    /// The job's limits.
    Criteria(Criteria),
    /// What the grower asked for.
    Brief(Brief),
    /// Cost weights.
    CostWeights(CostWeights),
    /// The log of changed limits.
    LimitLog(Vec<LimitChange>),
    /// The price list.
    PriceList(PriceList),
    /// Findings that are left.
    Acceptances(Vec<Acceptance>),
    /// Sheets that were issued.
    Revisions(Vec<Revision>),
    /// Layouts put aside.
    Alternatives(Vec<Alternative>),
    /// What is known of the survey, its corrections among it.
    Survey(SurveyBook),
    /// What is really down there.
    Record(Record),
}

/// A person's one gesture: changes that are made together and taken back together.
#[derive(Debug, Clone, PartialEq)]
pub struct Edit {
    /// What was done, as the undo menu says it: "Move a bend of L1".
    pub label: String,
    /// The parts and their new values, in the order they are set.
    pub changes: Vec<Change>,
}

impl Edit {
    /// An edit that sets one part.
    pub fn one(label: impl Into<String>, change: Change) -> Self {
        Self { label: label.into(), changes: vec![change] }
    }
}

impl Plan {
    /// Carries out an edit and returns the edit that takes it back. A refused edit leaves the plan as it was.
    pub fn apply(&mut self, edit: &Edit) -> Result<Edit, PlanError> {
        let next_id = self.next_id;
        let mut before: Vec<Change> = edit.changes.iter().cloned().map(|change| self.set(change)).collect();
        before.reverse();
        let back = Edit { label: edit.label.clone(), changes: before };
        if let Err(error) = self.validate() {
            for change in back.changes {
                self.set(change);
            }
            self.next_id = next_id;
            return Err(error);
        }
        Ok(back)
    }

    /// The plan as it would be after an edit; the plan itself where the edit is refused.
    pub fn with(&self, edit: &Edit) -> Plan {
        let mut after = self.clone();
        // A refused edit leaves `after` as it was, which is what a preview wants to show.
        let _ = after.apply(edit);
        after
    }

    /// Sets one part and returns its former value.
    fn set(&mut self, change: Change) -> Change {
        use std::mem::replace;
        match change {
            Change::Line(id, value) => {
                self.next_id = self.next_id.max(id.0.saturating_add(1));
                Change::Line(id, swap(&mut self.lines, id, value))
            }
            Change::Outlet(id, value) => {
                self.next_id = self.next_id.max(id.0.saturating_add(1));
                Change::Outlet(id, swap(&mut self.outlets, id, value))
            }
            Change::Watercourse(id, value) => {
                self.next_id = self.next_id.max(id.0.saturating_add(1));
                Change::Watercourse(id, swap(&mut self.watercourses, id, value))
            }
            Change::Landmark(id, value) => {
                self.next_id = self.next_id.max(id.0.saturating_add(1));
                Change::Landmark(id, swap(&mut self.landmarks, id, value))
            }
            Change::LimitLog(value) => Change::LimitLog(replace(&mut self.limit_log, value)),
            Change::PriceList(value) => Change::PriceList(replace(&mut self.price_list, value)),
            Change::Acceptances(value) => Change::Acceptances(replace(&mut self.acceptances, value)),
            Change::Revisions(value) => Change::Revisions(replace(&mut self.revisions, value)),
            Change::Alternatives(value) => Change::Alternatives(replace(&mut self.alternatives, value)),
            Change::Field(value) => Change::Field(replace(&mut self.field, value)),
            Change::Ground(value) => Change::Ground(replace(&mut self.ground, value)),
            Change::Backdrop(value) => Change::Backdrop(replace(&mut self.backdrop, value)),
            Change::Title(value) => Change::Title(replace(&mut self.title, value)),
            Change::Criteria(value) => Change::Criteria(replace(&mut self.criteria, value)),
            Change::Brief(value) => Change::Brief(replace(&mut self.brief, value)),
            Change::CostWeights(value) => Change::CostWeights(replace(&mut self.cost_weights, value)),
            Change::Record(value) => Change::Record(replace(&mut self.record, value)),
            Change::Survey(value) => Change::Survey(replace(&mut self.survey, value)),
        }
    }
}

fn swap<K: Ord, V>(table: &mut std::collections::BTreeMap<K, V>, key: K, value: Option<V>) -> Option<V> {
    match value {
        Some(value) => table.insert(key, value),
        None => table.remove(&key),
    }
}
