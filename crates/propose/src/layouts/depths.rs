//! What a choice of links brings together: water that comes so low that what lies below cannot be dug.

use std::collections::{BTreeMap, BTreeSet};

use super::Site;
use super::candidates::{Along, Candidates, Way};
use super::site::Level;
use crate::network::{Ask, Choice, Network, Stopped};

/// Choices that are made anew without the ways by which water came too low; then those are left (own choice).
const MOST_ROUNDS: usize = 24;

/// The best choice found that can be dug: ways by which water comes too low are barred from the network, as often as there are some.
pub fn diggable(
    site: &Site,
    (found, outlets): (&Candidates, &[Way]),
    network: &mut Network,
    go_on: Ask,
) -> Result<Choice, Stopped> {
    let (mut choice, mut is_bettered) = (network.choose(go_on)?, true);
    for round in 0.. {
        let bars = too_low(site, (found, outlets), network, &choice);
        if bars.is_empty() && (is_bettered || round >= MOST_ROUNDS) {
            break;
        }
        is_bettered = bars.is_empty();
        bars.into_iter().for_each(|link| network.links[link].cost = f64::INFINITY);
        choice = match is_bettered {
            true => network.bettered(choice, go_on)?,
            false if round < MOST_ROUNDS => network.refilled(&network.left(&choice), go_on)?,
            false => network.left(&choice),
        };
    }
    Ok(choice)
}

/// Pipe that comes to a place.
#[derive(Clone, Copy)]
struct Comes {
    level: Level,
    /// The way that brought it lower than what else comes there.
    by: Option<usize>,
}

/// The links of a choice by which water comes too low: what lies below them would be deeper than the machine digs, or could not leave
/// by its outlet.
fn too_low(
    site: &Site,
    (found, outlets): (&Candidates, &[Way]),
    network: &Network,
    choice: &Choice,
) -> BTreeSet<usize> {
    let mut comes: BTreeMap<usize, Comes> = BTreeMap::new();
    let (mut bars, mut failed) = (BTreeSet::new(), BTreeSet::new());
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
                failed.extend(here.by);
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
    // What comes as low to a place from which such a way went wrong goes wrong too.
    let is_low = |number: &usize| {
        let there =
            comes.get(&found.links[*number].to).filter(|there| there.by.is_some_and(|by| failed.contains(&by)));
        there
            .zip(found.courses[*number].highest_m)
            .is_some_and(|(there, highest_m)| highest_m <= there.level.highest_m)
    };
    bars.extend((0..found.links.len()).filter(is_low));
    bars
}
