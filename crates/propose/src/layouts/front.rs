//! Which layouts are handed out: those on the front of cost against wet land served.

use super::Proposal;

/// A layout that was found and is not handed out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOut {
    /// Its name.
    pub name: String,
    /// Why, in a line.
    pub why: String,
}

impl LeftOut {
    /// "grid is left out: it would cost 7.5 times as much as swales and wet areas and serve 0.02 ac more wet land."
    pub fn told(&self) -> String {
        format!("{} is left out: {}.", self.name, self.why)
    }
}

/// Takes out the layouts that another one makes idle: one that serves as much wet land for as little, or one beside which a dearer
/// layout adds so little wet land that it costs more than wet land is worth anywhere, per square meter `worth_per_m2` in cost weights.
pub fn kept(found: Vec<Proposal>, worth_per_m2: f64) -> (Vec<Proposal>, Vec<LeftOut>) {
    let why = |proposal: &Proposal| found.iter().find_map(|other| why(proposal, other, worth_per_m2));
    let whys: Vec<Option<String>> = found.iter().map(why).collect();
    let (mut kept, mut left) = (Vec::new(), Vec::new());
    for (proposal, why) in found.into_iter().zip(whys) {
        match why {
            None => kept.push(proposal),
            Some(why) => left.push(LeftOut { name: proposal.name, why }),
        }
    }
    kept.sort_by(|x, y| weight(x).total_cmp(&weight(y)));
    (kept, left)
}

/// What a layout costs in cost weights: the same measure with prices and without.
fn weight(proposal: &Proposal) -> f64 {
    proposal.design.cost.dug + proposal.design.cost.pipe
}

/// Why a layout is idle beside another one.
fn why(proposal: &Proposal, other: &Proposal, worth_per_m2: f64) -> Option<String> {
    let units = proposal.plan.title.units;
    let (more, more_m2) = (weight(proposal) - weight(other), proposal.served_m2 - other.served_m2);
    let fixes = proposal.to_fix() as f64 - other.to_fix() as f64;
    // Of two that are alike in all the first by name stays.
    let is_worse = more >= 0.0 && more_m2 <= 0.0 && fixes >= 0.0;
    let is_alike = more == 0.0 && more_m2 == 0.0 && fixes == 0.0;
    if is_worse && (!is_alike || proposal.name > other.name) {
        return Some(format!("{} serves as much wet land or more for less", other.name));
    }
    let is_idle = more > 0.0 && more_m2 > 0.0 && more > more_m2 * worth_per_m2;
    is_idle.then(|| {
        let times = measure::trimmed(weight(proposal) / weight(other).max(f64::MIN_POSITIVE), 0, 1);
        let more = units.area(more_m2);
        format!("it would cost {times} times as much as {} and serve {more} more wet land", other.name)
    })
}
