//! Benchmarks.

use super::{MapOf, sign};
use crate::role::Role;
use crate::scene::Item;

/// Every benchmark.
pub fn items<'a>(map: &MapOf<'a>) -> Vec<Item<'a>> {
    map.plan.survey.benchmarks.iter().map(|mark| sign(Role::Benchmark, mark.at)).collect()
}
