//! Stretches of trench whose depth asks for something: protection, a ladder. One extent for findings, sheets and quantities.

use design::LineDesign;
use plan::Criteria;
use terrain::{Stretch, over};

use crate::trench;

/// The stretches of a line whose trench is deep enough to ask for something, stations and depths in metres.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Deep {
    /// As deep as asks for protection before anybody enters; the worst is the depth of the trench there.
    pub protected: Vec<Stretch>,
    /// As deep as asks for a ladder, but not for protection.
    pub ladder: Vec<Stretch>,
}

impl Deep {
    /// The stretches of a line.
    pub fn of(line: &LineDesign, criteria: &Criteria) -> Self {
        let protected = line.trench_from(criteria.protected_trench_m, criteria.bedding_m);
        let edges = [0.0, criteria.ladder_trench_m, criteria.protected_trench_m];
        let parts = trench::by_depth(line, criteria, &edges);
        let asks = criteria.ladder_trench_m < criteria.protected_trench_m;
        let ladder = parts.into_iter().filter(|(edge, _)| asks && *edge == 1).map(|(_, part)| part);
        // A limit that everything passes only joins what touches.
        Self { protected, ladder: over(ladder, f64::NEG_INFINITY) }
    }

    /// Length of trench that must be protected, metres.
    pub fn protected_m(&self) -> f64 {
        self.protected.iter().map(Stretch::length_m).sum()
    }
}
