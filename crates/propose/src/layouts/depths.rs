//! What a choice of links brings together: water that comes so low that what lies below cannot be dug.

use std::collections::{BTreeMap, BTreeSet};

use super::Site;
use super::candidates::{Along, Candidates, Way};
use super::site::Level;
use crate::network::{Choice, Network};

/// Pipe that comes to a place.
#[derive(Clone, Copy)]
struct Comes {
    level: Level,
    /// The way that brought it lower than what else comes there.
    by: Option<usize>,
}

/// The links of a choice by which water comes too low: what lies below them would be deeper than the machine digs, or could not leave
/// by its outlet.
pub fn too_low(
    site: &Site,
    found: &Candidates,
    outlets: &[Way],
    network: &Network,
    choice: &Choice,
) -> BTreeSet<usize> {
    let mut comes: BTreeMap<usize, Comes> = BTreeMap::new();
    let mut bars = BTreeSet::new();
    for place in network.top_down(choice) {
        let Some(number) = choice.down[place] else { continue };
        let (course, to) = (&found.courses[number], found.links[number].to);
        let here = comes.get(&place).copied();
        let Some(here) = here.or_else(|| Some(Comes { level: found.level(site, place)?, by: None })) else {
            continue;
        };
        let outlet = to.checked_sub(1).and_then(|to| outlets.get(to));
        let leaves = outlet.is_none_or(|way| site.can_leave(way.outlet, here.level, &course.path));
        let run = site.run_down(here.level, &course.path).filter(|_| leaves);
        match run {
            _ if course.along == Along::Outlet => {}
            None => {
                bars.insert(here.by.unwrap_or(number));
            }
            Some((_, level)) => {
                let lowers = course.along == Along::Open
                    && found.level(site, to).is_some_and(|own| level.highest_m < own.highest_m);
                let by = here.by.or(lowers.then_some(number));
                let there = comes.entry(to).or_insert(Comes { level, by });
                if level.highest_m < there.level.highest_m {
                    there.by = by;
                }
                there.level = there.level.lower(level);
            }
        }
    }
    bars
}
