//! What is asked and told of how sure the plan is.

use std::sync::Arc;

use job::Worked;
use job::certainty::Sure;
use measure::Point;
use plan::LineId;
use propose::certainty::{Place, Stated};

/// What came of it.
#[derive(Debug, Clone)]
pub struct SureAnswer {
    /// Revision of the plan that it is of.
    pub revision: u64,
    /// What was stated of the ground.
    pub stated: Stated,
    /// The plan, as it was asked about.
    pub worked: Arc<Worked>,
    /// What is told of it.
    pub sure: Arc<Sure>,
    /// Where one more shot is asked for, the first first.
    pub wanted: Vec<Point>,
}

impl SureAnswer {
    /// What came of it for a plan at a revision.
    pub fn new(revision: u64, stated: Stated, worked: Arc<Worked>, sure: Sure) -> Self {
        let wanted = sure.certainty.places.iter().map(|place: &Place| place.at).collect();
        Self { revision, stated, worked, sure: Arc::new(sure), wanted }
    }
}

/// Answers are the same where they are one.
impl PartialEq for SureAnswer {
    fn eq(&self, other: &Self) -> bool {
        self.revision == other.revision && Arc::ptr_eq(&self.sure, &other.sure)
    }
}

/// What is asked and told.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct SureForm {
    /// What a person states of the ground.
    pub stated: Stated,
    /// What came of it last.
    pub answer: Option<SureAnswer>,
    /// What came of it before that.
    pub before: Option<SureAnswer>,
    /// The place that is looked at, by its number.
    pub looked_at: Option<usize>,
    /// The line that was gone to, and the station on it, metres.
    pub gone_to: Option<(LineId, f64)>,
}

impl SureForm {
    /// Takes an answer; the one before is kept to tell what moved, unless the very same was asked.
    pub fn take(&mut self, answer: SureAnswer) {
        let is_same = |other: &SureAnswer| other.revision == answer.revision && other.stated == answer.stated;
        let former = self.answer.take();
        if former.as_ref().is_some_and(|former| !is_same(former)) {
            self.before = former;
        }
        (self.answer, self.looked_at, self.gone_to) = (Some(answer), None, None);
    }

    /// The answer, where it is of the plan at a revision.
    pub fn fresh(&self, revision: u64) -> Option<&SureAnswer> {
        self.answer.as_ref().filter(|answer| answer.revision == revision)
    }

    /// Where one more shot is asked for of the plan at a revision, and the number of the one that is looked at.
    pub fn wanted(&self, revision: u64) -> (&[Point], Option<usize>) {
        (self.fresh(revision).map_or(&[], |answer| &answer.wanted), self.looked_at)
    }

    /// Holds an answer for a plan that changed in nothing but how it is shown.
    pub fn shown_otherwise(&mut self, was: u64, is: u64) {
        self.answer.iter_mut().filter(|answer| answer.revision == was).for_each(|answer| answer.revision = is);
    }
}
