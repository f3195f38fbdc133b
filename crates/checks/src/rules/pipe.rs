//! Other pipe: solid, heavy, larger, smooth, steeper; what the checks that ask for it offer.

use measure::Said;
use plan::{Edit, Hold, Line, LineId, SizeBy, Stretch as Pipe, Wall};

use crate::Site;
use crate::offer::{Least, Offer};
use crate::site::LEVEL_TOLERANCE_M;
use crate::stretch::Stretch;

/// Stretches that are laid one by one; of more the whole from the first to the last is laid (own choice).
const MOST_SINGLE: usize = 4;
/// Pipe is laid no farther beyond a stretch than this, metres (own choice).
const MOST_BEYOND_M: f64 = 60.0;

/// Length that no check sees, metres.
const NOTHING_M: f64 = (1.0 - 1e-6) * LEVEL_TOLERANCE_M;

/// Solid pipe of a kind.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Solid {
    /// With a heavy wall.
    pub heavy: bool,
    /// With clay plugs at both ends.
    pub plugged: bool,
}

impl Solid {
    fn words(self) -> &'static str {
        match (self.heavy, self.plugged) {
            (false, false) => "solid pipe",
            (true, false) => "solid heavy pipe",
            (false, true) => "solid pipe with clay plugs",
            (true, true) => "solid heavy pipe with clay plugs",
        }
    }

    fn pipe(self, from_m: f64, to_m: f64) -> Pipe {
        let Self { heavy, plugged } = self;
        Pipe { from_m, to_m, solid: true, heavy, plugged, ..Pipe::default() }
    }
}

/// The ends of stretches as they are printed and typed: outward, on the line.
fn ends(site: &Site, line: &Line, parts: &[Stretch], beyond_m: f64) -> Vec<(Said, Said)> {
    let (units, length_m) = (site.units(), line.length_m());
    let printed = |from_m: f64, to_m: f64| {
        // What is left of a stretch counts only from a thousandth of a foot up.
        let (from_m, to_m) = (from_m - beyond_m + NOTHING_M, to_m + beyond_m - NOTHING_M);
        let (from, mut to) = (units.said_station_down(from_m), units.said_station_up(to_m));
        // A station past the upper end stands for it, as where it is typed.
        to.value = to.value.min(length_m);
        (from, to)
    };
    match parts {
        [first, .., last] if parts.len() > MOST_SINGLE => vec![printed(first.from_m, last.to_m)],
        _ => parts.iter().map(|part| printed(part.from_m, part.to_m)).collect(),
    }
}

fn said_parts(ends: &[(Said, Said)]) -> String {
    let part = |(from, to): &(Said, Said)| format!("from {} to {}", from.text, to.text);
    ends.iter().map(part).collect::<Vec<_>>().join(" and ")
}

/// The line with solid pipe over the parts and nothing between them, and where that is: "from 1+20 to 1+85 of L2".
pub(crate) fn laid(site: &Site, line: &Line, parts: &[Stretch], solid: Solid, beyond_m: f64) -> (String, Line) {
    let ends = ends(site, line, parts, beyond_m);
    let mut laid = line.clone();
    for (from, to) in ends.iter().filter(|(from, to)| to.value > from.value) {
        laid = laid.with_stretch_added(solid.pipe(from.value, to.value));
    }
    (format!("{} of {}", said_parts(&ends), line.name), laid)
}

/// Offers solid pipe over each of the parts.
pub(crate) fn solid<'s>(site: &'s Site, id: LineId, parts: &[Stretch], solid: Solid) -> Option<Offer<'s>> {
    let line = site.plan.lines.get(&id).filter(|_| !parts.is_empty())?;
    let (place, laid) = laid(site, line, parts, solid, 0.0);
    (laid != *line).then(|| Offer::One(plan::set_line(format!("Lay {} {place}", solid.words()), id, laid)))
}

/// The same, and farther beyond their ends where that does not do: what lies there moves with the pipe.
pub(crate) fn solid_beyond<'s>(site: &'s Site, id: LineId, parts: Vec<Stretch>, solid: Solid) -> Option<Offer<'s>> {
    let line = site.plan.lines.get(&id).filter(|_| !parts.is_empty())?;
    let edit = move |said: &Said| {
        let (place, laid) = laid(site, line, &parts, solid, said.value);
        Some(plan::set_line(format!("Lay {} {place}", solid.words()), id, laid))
    };
    let said = measure::Units::said_length_up;
    Some(Offer::Least(Least { likely_m: 0.0, most_m: MOST_BEYOND_M, said, edit: Box::new(edit) }))
}

/// New lines below a line to the outlet, nearest first.
fn downstream(site: &Site, id: LineId) -> Vec<LineId> {
    let mut way = vec![id];
    while let Some(next) =
        site.downstream(way[way.len() - 1]).filter(|next| !way.contains(next) && !site.is_old(*next))
    {
        way.push(next);
    }
    way.split_off(1)
}

/// Offers the smallest stocked size from a least one up that does it, where need be for the lines below as well.
pub(crate) fn larger<'s>(site: &'s Site, id: LineId, least_m: f64) -> Option<Offer<'s>> {
    let below = downstream(site, id);
    let sizes = site.plan.cost_weights.sizes_m().filter(|size_m| *size_m >= least_m - 1e-6);
    let edits = sizes.flat_map(|size_m| {
        let alone = sized(site, &[id], size_m);
        let all = [vec![id], narrower(site, &below, size_m)].concat();
        let with_below = (all.len() > 1).then(|| sized(site, &all, size_m)).flatten();
        alone.into_iter().chain(with_below)
    });
    Some(Offer::First(edits.collect()))
}

/// Those lines that are worked with a smaller size.
fn narrower(site: &Site, lines: &[LineId], size_m: f64) -> Vec<LineId> {
    let size = |id: &LineId| {
        let pipe = site.design.lines.get(id).into_iter().flat_map(|worked| &worked.pipe).map(|pipe| pipe.size_m);
        pipe.reduce(f64::min).unwrap_or(size_m)
    };
    lines.iter().copied().filter(|id| size(id) < size_m - 1e-6).collect()
}

/// Lines in another size: "Use 8 in for L1 and M1".
pub(crate) fn sized(site: &Site, ids: &[LineId], size_m: f64) -> Option<Edit> {
    let said = site.units().said_pipe(size_m);
    let names: Vec<&str> = ids.iter().map(|id| site.name(*id)).collect();
    let names = measure::listed(&names);
    let resize = |_, line: &mut Line| {
        (line.size_m, line.size_by) = (said.value, SizeBy::Hand);
        line.stretches.iter_mut().for_each(|laid| laid.size_m = laid.size_m.filter(|own_m| *own_m > said.value));
        line.stretches.retain(Pipe::asks);
    };
    match Offer::lines(site, ids.iter().copied(), format!("Use {} for {names}", said.text), resize)? {
        Offer::One(edit) => Some(edit),
        _ => None,
    }
}

/// Offers that the size of a line is left to its flow.
pub(crate) fn by_flow<'s>(site: &'s Site, id: LineId) -> Option<Offer<'s>> {
    let label = format!("Leave the size of {} to its flow", site.name(id));
    Offer::line(site, id, label, |line| line.size_by = SizeBy::Flow)
}

/// Offers pipe with a smooth inside.
pub(crate) fn smooth<'s>(site: &'s Site, id: LineId) -> Option<Offer<'s>> {
    let label = format!("Use smooth-wall pipe for {}", site.name(id));
    Offer::line(site, id, label, |line| {
        (line.wall, line.roughness_n) = (Wall::Smooth, None);
        line.stretches.iter_mut().for_each(|laid| laid.wall = laid.wall.filter(|wall| wall.is_smooth()));
        line.stretches.retain(Pipe::asks);
    })
}

/// Offers that a stretch holds a grade, no flatter than asked.
pub(crate) fn steepened<'s>(site: &'s Site, id: LineId, part: &Stretch, grade: f64) -> Option<Offer<'s>> {
    let line = site.plan.lines.get(&id)?;
    let (from, to) = ends(site, line, &[*part], 0.0).pop()?;
    let said = site.units().said_grade_up(grade);
    let label = format!("Hold {} from {} to {} of {}", said.text, from.text, to.text, line.name);
    Offer::one(label, plan::set_reach(site.plan, id, (from.value, to.value), Some(Hold::Grade(said.value))))
}

/// Offers that a stretch follows the ground at a depth of the invert, metres.
pub(crate) fn at_depth<'s>(site: &'s Site, id: LineId, part: &Stretch, depth: Said) -> Option<Offer<'s>> {
    let line = site.plan.lines.get(&id)?;
    let (from, to) = ends(site, line, &[*part], 0.0).pop()?;
    let label = format!("Let {} follow the ground at {} from {} to {}", line.name, depth.text, from.text, to.text);
    Offer::one(label, plan::set_reach(site.plan, id, (from.value, to.value), Some(Hold::Depth(depth.value))))
}
