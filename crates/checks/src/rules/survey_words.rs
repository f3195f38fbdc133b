//! What the checks of the survey share.

use measure::Point;
use plan::{Edit, Remedy, Signature};

use crate::Site;

/// A correction to be signed by whoever takes it up.
pub fn offer(site: &Site, remedy: Remedy, because: impl Into<String>) -> Option<Edit> {
    let signed = Signature { because: because.into(), ..Signature::default() };
    Some(plan::correct(site.plan, vec![remedy], &signed))
}

/// Where to look when a finding is about the survey as a whole: a benchmark, an outlet, a shot.
pub fn anchor(site: &Site) -> Point {
    let benchmark = site.plan.survey.benchmarks.first().map(|benchmark| benchmark.at);
    let outlet = site.plan.outlets.values().next().map(|outlet| outlet.at);
    let shot = site.survey.and_then(|survey| survey.shots.first()).map(|shot| shot.at);
    let line = site.plan.lines.values().find_map(|line| line.downstream_end());
    benchmark.or(outlet).or(line).or(shot).unwrap_or(Point::new(0.0, 0.0))
}

/// Where to look for a batch: its first shot.
pub fn first_shot(site: &Site, batch: usize) -> Point {
    let shot = site.survey.and_then(|survey| survey.book.of_batch(batch).next().map(|(_, shot)| shot.shot.at));
    shot.unwrap_or_else(|| anchor(site))
}
