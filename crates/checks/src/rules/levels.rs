//! What may move the levels of a line: levels locked by hand, grades and depths held, outlets; what the checks of levels offer.

use measure::{FOOT_M, Said};
use plan::{Edit, Hold, Joins, Line, LineId, Pin};

use crate::Site;
use crate::offer::Offer;

/// A locked level is at a station when it is within an inch of it, metres.
const AT_M: f64 = FOOT_M / 12.0;
/// Locked levels within a stretch that are unlocked one by one; more are unlocked together (own choice).
const MOST_SINGLE: usize = 4;

/// Which way the pipe must go to clear a finding.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Wants {
    /// Up by about so much, metres.
    Higher(f64),
    /// Down by about so much, metres.
    Lower(f64),
    /// Its upper end up or its lower end down by about so much, metres.
    Steeper(f64),
    /// Its upper end down or its lower end up by about so much, metres.
    Flatter(f64),
}

/// What may move a stretch of a line the way it must go: nothing that was measured is changed.
pub(crate) fn ways<'s>(site: &'s Site, id: LineId, stretch: (f64, f64), wants: Wants) -> Vec<Offer<'s>> {
    let Some(line) = site.plan.lines.get(&id).filter(|line| !line.kind.is_old()) else { return Vec::new() };
    let mut offers = locked(site, id, line, stretch, wants);
    offers.extend(held(site, id, line, stretch));
    offers.extend(below(site, id, wants));
    offers
}

/// The locked levels next to a stretch: the last at or below its lower end, those within, the first at or above its upper
/// end.
fn next_to(line: &Line, (from_m, to_m): (f64, f64)) -> (Option<usize>, Vec<usize>, Option<usize>) {
    let is_below = |pin: &Pin| pin.station_m <= from_m + AT_M;
    let is_above = |pin: &Pin| pin.station_m >= to_m - AT_M && !is_below(pin);
    let within = (0..line.pins.len()).filter(|i| !is_below(&line.pins[*i]) && !is_above(&line.pins[*i]));
    (line.pins.iter().rposition(is_below), within.collect(), line.pins.iter().position(is_above))
}

fn locked<'s>(site: &'s Site, id: LineId, line: &'s Line, stretch: (f64, f64), wants: Wants) -> Vec<Offer<'s>> {
    let (below, within, above) = next_to(line, stretch);
    let all: Vec<usize> = below.into_iter().chain(within.iter().copied()).chain(above).collect();
    let mut offers: Vec<Offer> = Vec::new();
    let move_by = |pins: Vec<usize>, by: Move| moved(site, id, line, pins, by);
    match wants {
        Wants::Higher(by_m) | Wants::Lower(by_m) => {
            let by = if matches!(wants, Wants::Higher(_)) { Move::up(by_m) } else { Move::down(by_m) };
            offers.extend(move_by(if within.is_empty() { all.clone() } else { within.clone() }, by));
            offers.extend(all.iter().filter(|_| all.len() > 1).flat_map(|pin| move_by(vec![*pin], by)));
        }
        // What holds the wrong end is unlocked before the other is moved.
        Wants::Steeper(by_m) => {
            offers.extend(below.and_then(|pin| unlocked(site, id, line, pin)));
            offers.extend(above.and_then(|pin| move_by(vec![pin], Move::up(by_m))));
            offers.extend(below.and_then(|pin| move_by(vec![pin], Move::down(by_m))));
        }
        Wants::Flatter(by_m) => {
            offers.extend(above.and_then(|pin| unlocked(site, id, line, pin)));
            offers.extend(above.and_then(|pin| move_by(vec![pin], Move::down(by_m))));
            offers.extend(below.and_then(|pin| move_by(vec![pin], Move::up(by_m))));
        }
    }
    offers.extend(all.iter().take(MOST_SINGLE).filter_map(|pin| unlocked(site, id, line, *pin)));
    offers.extend((line.pins.len() > 1).then(|| {
        let bare = Line { pins: Vec::new(), ..line.clone() };
        let label = format!("Unlock the {} locked levels of {}", line.pins.len(), line.name);
        Offer::One(plan::set_line(label, id, bare))
    }));
    offers
}

fn unlocked<'s>(site: &'s Site, id: LineId, line: &Line, pin: usize) -> Option<Offer<'s>> {
    let at = site.units().said_station(line.pins.get(pin)?.station_m);
    let label = format!("Unlock the level at {} of {}", at.text, line.name);
    Offer::one(label, plan::set_pin(site.plan, id, at.value, None))
}

/// Up or down by about so much, metres.
#[derive(Debug, Clone, Copy)]
struct Move {
    verb: &'static str,
    sign: f64,
    likely_m: f64,
}

impl Move {
    fn up(likely_m: f64) -> Self {
        Self { verb: "Raise", sign: 1.0, likely_m }
    }

    fn down(likely_m: f64) -> Self {
        Self { verb: "Lower", sign: -1.0, likely_m }
    }
}

/// Locked levels raised or lowered together.
fn moved<'s>(site: &'s Site, id: LineId, line: &'s Line, pins: Vec<usize>, by: Move) -> Option<Offer<'s>> {
    let stations: Vec<Said> = pins.iter().map(|pin| site.units().said_station(line.pins[*pin].station_m)).collect();
    let which = match &stations[..] {
        [] => return None,
        [only] => format!("the level at {} of {}", only.text, line.name),
        [first, .., last] => {
            format!("the {} levels locked from {} to {} of {}", stations.len(), first.text, last.text, line.name)
        }
    };
    Some(Offer::least(by.likely_m, move |said| {
        let mut moved = line.clone();
        pins.iter().for_each(|pin| moved.pins[*pin].invert_m += by.sign * said.value);
        Some(plan::set_line(format!("{} {which} by {}", by.verb, said.text), id, moved))
    }))
}

/// Grades and depths that a person holds in a stretch, released.
fn held<'s>(site: &'s Site, id: LineId, line: &Line, (from_m, to_m): (f64, f64)) -> Vec<Offer<'s>> {
    let units = site.units();
    let near = line.reaches.iter().filter(|reach| reach.from_m <= to_m + AT_M && reach.to_m >= from_m - AT_M);
    let offer = |reach: &plan::Reach| {
        let what = if matches!(reach.hold, Hold::Grade(_)) { "grade" } else { "depth" };
        let (from, mut to) = (units.said_station_down(reach.from_m), units.said_station_up(reach.to_m));
        to.value = to.value.min(line.length_m());
        let label = format!("Release the {what} held from {} to {} of {}", from.text, to.text, line.name);
        Offer::one(label, plan::set_reach(site.plan, id, (from.value, to.value), None))
    };
    near.filter_map(offer).collect()
}

/// What may move a line from below: the outlet that its water comes to, the level at which it enters its main, and the fixed
/// levels of that main next to the joint.
fn below<'s>(site: &'s Site, id: LineId, wants: Wants) -> Vec<Offer<'s>> {
    let mut offers = Vec::new();
    let mut way = vec![id];
    while let Some(next) = way.last().and_then(|last| site.downstream(*last)).filter(|next| !way.contains(next)) {
        way.push(next);
    }
    for pair in way.windows(2) {
        let (Some(main), Some(joint)) = (site.plan.lines.get(&pair[1]), site.joint_of(pair[0])) else { break };
        if main.kind.is_old() {
            return offers;
        }
        offers.extend(at_joint(site, pair[1], main, joint.station_m));
    }
    let outlet = way.last().and_then(|root| site.plan.lines.get(root)).map(|root| root.joins);
    if let Some(Joins::Outlet(outlet)) = outlet {
        offers.extend(outlet_moved(site, outlet, wants));
    }
    offers
}

fn at_joint<'s>(site: &'s Site, id: LineId, main: &Line, station_m: f64) -> Vec<Offer<'s>> {
    let (below, _, above) = next_to(main, (station_m, station_m));
    below.into_iter().chain(above).filter_map(|pin| unlocked(site, id, main, pin)).collect()
}

/// An outlet lowered or raised, or its invert left to the program.
fn outlet_moved<'s>(site: &'s Site, id: plan::OutletId, wants: Wants) -> Vec<Offer<'s>> {
    let Some(outlet) = site.plan.outlets.get(&id).filter(|outlet| !outlet.invert_free) else { return Vec::new() };
    let by = match wants {
        Wants::Higher(by_m) | Wants::Flatter(by_m) => Move::up(by_m),
        Wants::Lower(by_m) | Wants::Steeper(by_m) => Move::down(by_m),
    };
    let moved = Offer::least(by.likely_m, move |said: &Said| {
        let invert_m = outlet.invert_m + by.sign * said.value;
        let edit = plan::set_outlet(site.plan, id, plan::Outlet { invert_m, ..outlet.clone() });
        Some(Edit { label: format!("{} {} by {}", by.verb, outlet.name, said.text), ..edit })
    });
    let free = plan::set_outlet(site.plan, id, plan::Outlet { invert_free: true, ..outlet.clone() });
    let label = format!("Let the program choose the invert of {}", outlet.name);
    [Some(moved), Offer::one(label, Some(free))].into_iter().flatten().collect()
}
