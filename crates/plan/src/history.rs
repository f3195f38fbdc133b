//! Undo and redo of everything.

use crate::{Edit, Plan, PlanError};

/// A plan with the edits that led to it. Its revision grows with every change, so that anything worked out from an
/// older revision can be told from the present one.
#[derive(Debug, Clone)]
pub struct History {
    plan: Plan,
    undo: Vec<Edit>,
    redo: Vec<Edit>,
    revision: u64,
    saved: u64,
}

impl History {
    /// A plan without a past, taken as saved.
    pub fn new(plan: Plan) -> Self {
        Self { plan, undo: Vec::new(), redo: Vec::new(), revision: 1, saved: 1 }
    }

    /// The plan as it stands.
    pub fn plan(&self) -> &Plan {
        &self.plan
    }

    /// Grows with every edit, undo and redo.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// Carries out one edit as one undo step.
    pub fn apply(&mut self, edit: &Edit) -> Result<(), PlanError> {
        let back = self.plan.apply(edit)?;
        self.undo.push(back);
        self.redo.clear();
        self.revision += 1;
        Ok(())
    }

    /// Takes the last edit back; the label of what was undone, or `None` when there is nothing.
    pub fn undo(&mut self) -> Option<String> {
        let edit = self.undo.pop()?;
        let label = edit.label.clone();
        self.step(edit, true);
        Some(label)
    }

    /// Does the last undone edit again; its label, or `None` when there is nothing.
    pub fn redo(&mut self) -> Option<String> {
        let edit = self.redo.pop()?;
        let label = edit.label.clone();
        self.step(edit, false);
        Some(label)
    }

    /// What undo would take back.
    pub fn undo_label(&self) -> Option<&str> {
        self.undo.last().map(|edit| edit.label.as_str())
    }

    /// What redo would do again.
    pub fn redo_label(&self) -> Option<&str> {
        self.redo.last().map(|edit| edit.label.as_str())
    }

    /// Marks the present plan as saved.
    pub fn mark_saved(&mut self) {
        self.saved = self.revision;
    }

    /// Takes the present plan as never saved.
    pub fn mark_unsaved(&mut self) {
        self.saved = 0;
    }

    /// True when the plan differs from what was last saved.
    pub fn is_unsaved(&self) -> bool {
        self.saved != self.revision
    }

    fn step(&mut self, edit: Edit, undoing: bool) {
        // Steps on the stacks were valid when they were made on this very state, so they apply again.
        if let Ok(back) = self.plan.apply(&edit) {
            if undoing {
                self.redo.push(back)
            } else {
                self.undo.push(back)
            }
            self.revision += 1;
        }
    }
}
