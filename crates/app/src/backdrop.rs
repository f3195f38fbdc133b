//! The picture under the plan, as far as it is read.

use std::sync::Arc;

use exchange::Crs;
use job::backdrop::Laid;
use plan::{Backdrop, Placing, Plan};

/// What a picture is read by: another file, place or plane is another picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Of {
    file: String,
    placing: Option<Placing>,
    /// The plan's plane, by name and unit.
    pub plane: Crs,
}

impl Of {
    /// What the plan names; `None` where nothing lies under it.
    pub fn plan(plan: &Plan) -> Option<Self> {
        let Backdrop { file, placing, .. } = plan.backdrop.as_ref()?;
        Some(Self { file: file.clone(), placing: *placing, plane: job::ground::plane(plan) })
    }
}

/// The picture, or why there is none.
#[derive(Debug, Clone, Default)]
pub struct Shown {
    /// What was read last, or is being read.
    pub of: Option<Of>,
    /// It, once it is there.
    pub laid: Option<Arc<Laid>>,
    /// Why it cannot be shown.
    pub why: Option<String>,
    /// How strongly it is drawn while the slider is moved, from 0 to 1.
    pub strength: Option<f64>,
}

/// Pictures are the same where they are one.
impl PartialEq for Shown {
    fn eq(&self, other: &Self) -> bool {
        let laid = |shown: &Self| shown.laid.as_ref().map(Arc::as_ptr);
        (&self.of, laid(self), &self.why, self.strength) == (&other.of, laid(other), &other.why, other.strength)
    }
}
