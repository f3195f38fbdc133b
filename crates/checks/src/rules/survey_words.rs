//! What the checks of the survey share.

use measure::Point;
use plan::{Remedy, Signature, signed_level};

use crate::Site;
use crate::offer::Offer;

/// Offers a correction, to be signed by whoever takes it up.
pub fn corrected<'s>(site: &'s Site, remedy: Remedy, because: impl Into<String>) -> Offer<'s> {
    let signed = Signature { because: because.into(), ..Signature::default() };
    Offer::One(plan::correct(site.plan, vec![remedy], &signed))
}

/// A difference of level in the figures that are read, metres, so that the log says what was done to the last digit.
pub fn typed(site: &Site, by_m: f64) -> f64 {
    let units = site.units();
    let printed = signed_level(by_m.abs(), units);
    let read_m = measure::parse_length(printed.trim_start_matches('+'), units).unwrap_or(by_m.abs());
    if by_m < 0.0 { -read_m } else { read_m }
}

/// Where to look when a finding is about the survey as a whole: a benchmark, an outlet, a shot.
pub fn anchor(site: &Site) -> Point {
    let benchmark = site.plan.survey.benchmarks.first().map(|benchmark| benchmark.at);
    let outlet = site.plan.outlets.values().next().map(|outlet| outlet.at);
    let shot = site.land.survey.as_deref().and_then(|survey| survey.shots.first()).map(|shot| shot.at);
    let line = site.plan.lines.values().find_map(|line| line.downstream_end());
    benchmark.or(outlet).or(line).or(shot).unwrap_or(Point::new(0.0, 0.0))
}

/// Where to look for a batch: its first shot.
pub fn first_shot(site: &Site, batch: usize) -> Point {
    let shot = site
        .land
        .survey
        .as_deref()
        .and_then(|survey| survey.book.of_batch(batch).next().map(|(_, shot)| shot.shot.at));
    shot.unwrap_or_else(|| anchor(site))
}
