//! What one design leaves to the next.

use std::collections::BTreeMap;

use plan::LineId;

use crate::course;
use crate::line_cache::Reused;
use crate::profiles::KnownProfile;
use crate::water::KnownStrips;

/// What one design leaves to the next, so that an edit costs little: courses, strips, problems of lines, costs and profiles.
/// Each is reused only if everything it depends on is the same, so that memory changes nothing but the time taken.
#[derive(Debug, Clone, Default)]
pub struct Memory {
    pub(crate) courses: course::Known,
    pub(crate) strips: KnownStrips,
    pub(crate) reused: Reused,
    pub(crate) profiles: BTreeMap<LineId, KnownProfile>,
    pub(crate) threads: usize,
}

impl Memory {
    /// Nothing yet; designs may use so many threads, one by default.
    pub fn with_threads(threads: usize) -> Self {
        Self { threads, ..Self::default() }
    }
}
