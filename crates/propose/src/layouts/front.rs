//! Which layouts are handed out: those on the front of cost against wet land served.

use super::{Proposal, mending};

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

/// Wet land that a dearer layout adds may cost so many times what a grid costs for as much land: beyond twice the most that wet land
/// is worth where a layout is chosen nobody would dig for it ([judgement]).
const MOST_WORTH: f64 = 30.0;

/// With more to fix than is looked into a layout is nothing to begin from, where there is another.
const MOST_TO_FIX: usize = mending::MOST_FINDINGS;
/// From here on a ratio is not told as once.
const ABOUT_ONCE: f64 = 1.05;

/// Takes out the layouts that serve no wet land, that have too much to fix, and those that another one makes idle: one that serves as
/// much wet land for as little, or a cheaper one to which the layout adds so little wet land that it costs more than that is worth. A
/// grid costs `grid_per_m2`, in cost weights.
pub fn kept(found: Vec<Proposal>, grid_per_m2: f64) -> (Vec<Proposal>, Vec<LeftOut>) {
    let whys: Vec<Option<String>> =
        found.iter().map(|proposal| why(proposal, &found, grid_per_m2 * MOST_WORTH)).collect();
    let (mut kept, mut left) = (Vec::new(), Vec::new());
    for (proposal, why) in found.into_iter().zip(whys) {
        match why {
            None => kept.push(proposal),
            Some(why) => left.push(LeftOut { name: proposal.name, why }),
        }
    }
    kept.sort_by(|x, y| x.weight().total_cmp(&y.weight()));
    (kept, left)
}

/// Why a layout is idle beside the others.
fn why(proposal: &Proposal, others: &[Proposal], worth_per_m2: f64) -> Option<String> {
    let useless = (proposal.served_m2 <= 0.0).then(|| "it serves no wet land".to_string());
    let fewest = others.iter().filter(|other| other.served_m2 > 0.0).map(Proposal::to_fix).min().unwrap_or(0);
    let unfit = (proposal.to_fix() > MOST_TO_FIX.max(fewest))
        .then(|| format!("{} things would be to fix in it", proposal.to_fix()));
    let worse = others.iter().find(|other| is_worse(proposal, other));
    let worse = worse.map(|other| format!("{} serves as much wet land or more for less", other.name));
    let more_m2 = |other: &Proposal| proposal.served_m2 - other.served_m2;
    let is_idle = |other: &&Proposal| {
        let more = proposal.weight() - other.weight();
        more > 0.0 && more_m2(other) > 0.0 && more > more_m2(other) * worth_per_m2
    };
    // Told beside the one that comes nearest to it.
    let idle = others.iter().filter(is_idle).min_by(|x, y| more_m2(x).total_cmp(&more_m2(y)));
    let idle = idle.map(|other| {
        let ratio = proposal.weight() / other.weight().max(f64::MIN_POSITIVE);
        let times = match ratio < ABOUT_ONCE {
            true => "a little more than".into(),
            false => format!("{} times as much as", measure::trimmed(ratio, 0, 1)),
        };
        let more = proposal.plan.title.units.area(more_m2(other));
        format!("it would cost {times} {} and serve {more} more wet land", other.name)
    });
    useless.or(worse).or(idle).or(unfit)
}

/// True for a layout that is dearer than another one and serves no more; of two that are alike in all, for the later by name.
fn is_worse(proposal: &Proposal, other: &Proposal) -> bool {
    let measures = |of: &Proposal| [of.weight(), -of.served_m2, of.to_fix() as f64];
    let pairs = measures(proposal).into_iter().zip(measures(other));
    let (no_better, alike) =
        pairs.fold((true, true), |(no_better, alike), (x, y)| (no_better && x >= y, alike && x == y));
    no_better && (!alike || proposal.name > other.name)
}
