//! Lines drawn otherwise: trimmed, bent, moved along their main; what the checks of shape offer.

use std::f64::consts::PI;

use measure::{Point, along, bearing, distance, path_length, point_at};
use plan::{Change, Edit, Joins, LineId, Plan};

use crate::Site;
use crate::offer::{Least, Offer};

/// No more is trimmed off a line than this, metres (own choice).
const MOST_TRIMMED_M: f64 = 30.0;

/// The edit that makes the lines of one plan those of another.
pub(crate) fn redrawn(before: &Plan, after: &Plan, label: String) -> Edit {
    let moved = after.lines.iter().filter(|(id, line)| before.lines.get(id) != Some(line));
    Edit { label, changes: moved.map(|(id, line)| Change::Line(*id, Some(line.clone()))).collect() }
}

/// A plan with the upper end of a line at a lower station.
fn trimmed(plan: &Plan, id: LineId, to_m: f64) -> Option<Plan> {
    let mut after = plan.clone();
    let end = point_at(&plan.lines.get(&id)?.points, to_m)?;
    loop {
        let points = &after.lines.get(&id)?.points;
        let last = points.len() - 1;
        if path_length(&points[..last]) < to_m - 1e-3 {
            after.apply(&plan::move_point(&after, id, last, end)?).ok()?;
            return Some(after);
        }
        after.apply(&plan::delete_point(&after, id, last)?).ok()?;
    }
}

/// Offers that a line ends at a lower station.
pub(crate) fn trimmed_to<'s>(site: &'s Site, id: LineId, to_m: f64) -> Option<Offer<'s>> {
    let said = site.units().said_station_down(to_m);
    let after = trimmed(site.plan, id, said.value)?;
    let label = format!("Trim {} back to {}", site.name(id), said.text);
    Some(Offer::One(redrawn(site.plan, &after, label)))
}

/// Offers that the upper end of a line is trimmed by as much as it needs.
pub(crate) fn trimmed_by<'s>(site: &'s Site, id: LineId, by_m: f64) -> Option<Offer<'s>> {
    let length_m = site.plan.lines.get(&id)?.length_m();
    let edit = move |said: &measure::Said| {
        let after = trimmed(site.plan, id, length_m - said.value)?;
        let label = format!("Trim {} off the upper end of {}", said.text, site.name(id));
        Some(redrawn(site.plan, &after, label))
    };
    let said = measure::Units::said_length_up;
    Some(Offer::Least(Least { likely_m: by_m, most_m: MOST_TRIMMED_M, said, edit: Box::new(edit) }))
}

/// Draws a bend as a sweep that begins so far below and ends so far above it, metres.
pub(crate) fn swept(plan: &Plan, id: LineId, bend: usize, apart_m: f64) -> Option<Plan> {
    let points = &plan.lines.get(&id)?.points;
    let (below, corner, above) = (*points.get(bend.checked_sub(1)?)?, *points.get(bend)?, *points.get(bend + 1)?);
    let (below_m, above_m) = (distance(below, corner), distance(corner, above));
    if below_m < apart_m || above_m < apart_m {
        return None;
    }
    let (from, to) = (along(corner, below, apart_m / below_m), along(corner, above, apart_m / above_m));
    let mut after = plan.clone();
    // The corner itself becomes the middle of the sweep; the others come in beside it, first on the line.
    after.apply(&plan::insert_point(&after, id, bend, from)?).ok()?;
    after.apply(&plan::insert_point(&after, id, bend + 2, to)?).ok()?;
    after.apply(&plan::insert_point(&after, id, bend + 1, along(from, corner, 0.5))?).ok()?;
    after.apply(&plan::insert_point(&after, id, bend + 3, along(corner, to, 0.5))?).ok()?;
    for (i, share) in [0.25, 0.5, 0.75].into_iter().enumerate() {
        after.apply(&plan::move_point(&after, id, bend + 1 + i, on_arc(from, corner, to, share)?)?).ok()?;
    }
    Some(after)
}

/// A place on the arc that leaves `from` toward `corner` and comes in from there to `to`, both as far from the corner;
/// `share` of the way. Even bends, where a corner would be one sharp one.
pub(crate) fn on_arc(from: Point, corner: Point, to: Point, share: f64) -> Option<Point> {
    let (d_m, middle) = (distance(from, corner), along(from, to, 0.5));
    let (half_m, height_m) = (distance(from, middle), distance(corner, middle));
    if half_m <= 0.0 || height_m <= 0.0 {
        return None;
    }
    // The centre lies on the line from the corner through the middle, where the tangents are square to the radii.
    let centre = along(corner, middle, d_m * d_m / (height_m * height_m));
    let angle = |p: Point| (p.y - centre.y).atan2(p.x - centre.x);
    let turn = (angle(to) - angle(from) + PI).rem_euclid(2.0 * PI) - PI;
    let (sin, cos) = (angle(from) + turn * share).sin_cos();
    let radius_m = distance(centre, from);
    Some(Point::new(centre.x + radius_m * cos, centre.y + radius_m * sin))
}

/// Nothing is moved farther aside than this, metres (own choice).
const MOST_ASIDE_M: f64 = 60.0;

/// Offers that a whole line is moved from one place toward another, by about so much, metres.
pub(crate) fn aside<'s>(site: &'s Site, id: LineId, (from, to): (Point, Point), by_m: f64) -> Option<Offer<'s>> {
    let away_m = distance(from, to);
    let (dx, dy) = ((to.x - from.x) / away_m, (to.y - from.y) / away_m);
    let edit = move |said: &measure::Said| {
        let line = site.plan.lines.get(&id)?;
        let mut after = site.plan.clone();
        for (i, p) in line.points.iter().enumerate() {
            let to = Point::new(p.x + dx * said.value, p.y + dy * said.value);
            let to = if i == 0 { on_target(site, line.joins, to)? } else { to };
            after.apply(&plan::move_point(&after, id, i, to)?).ok()?;
        }
        let label = format!("Move {} {} to the {}", line.name, said.text, side(from, to));
        Some(redrawn(site.plan, &after, label))
    };
    let said = measure::Units::said_length_up;
    (away_m > 0.0).then(|| Offer::Least(Least { likely_m: by_m, most_m: MOST_ASIDE_M, said, edit: Box::new(edit) }))
}

/// Offers that a line is moved to the left or to the right of its way.
pub(crate) fn to_a_side<'s>(site: &'s Site, id: LineId, by_m: f64) -> Vec<Offer<'s>> {
    let ends = site.plan.lines.get(&id).and_then(|line| line.downstream_end().zip(line.upper_end()));
    let Some((a, b)) = ends else { return Vec::new() };
    let left = Point::new(a.x - (b.y - a.y), a.y + (b.x - a.x));
    let right = Point::new(a.x + (b.y - a.y), a.y - (b.x - a.x));
    [left, right].into_iter().filter_map(|to| aside(site, id, (a, to), by_m)).collect()
}

/// Where an end that is moved lies on what it joins: on a main it goes along, an outlet stays where it is.
fn on_target(site: &Site, joins: Joins, to: Point) -> Option<Point> {
    match joins {
        Joins::Nothing => Some(to),
        Joins::Outlet(id) => site.plan.outlets.get(&id).map(|outlet| outlet.at),
        Joins::Line(main) => measure::nearest_on(&site.plan.lines.get(&main)?.points, to).map(|(_, at, _)| at),
    }
}

/// The side on which a place lies, as on a map.
pub(crate) fn side(from: Point, to: Point) -> &'static str {
    const SIDES: [&str; 8] = ["north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest"];
    SIDES[((bearing(from, to) / 45.0).round() as usize) % SIDES.len()]
}
