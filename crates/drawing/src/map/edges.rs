//! Where the survey leaves the ground unknown, and the break lines it was held to.

use measure::Point;

use super::MapOf;
use crate::role::Role;
use crate::scene::{Form, Item};

/// The outlines of the holes and the break lines.
pub fn items<'a>(map: &MapOf<'a>) -> Vec<Item<'a>> {
    let Some(land) = map.land else { return Vec::new() };
    let rings = land.holes().iter().flat_map(|hole| &hole.rings);
    let rings = rings.map(|ring| Item::new(Role::HoleEdge, Form::Ring(ring.as_slice().into())));
    let lines = land.ground.iter().filter_map(|ground| ground.survey()).flat_map(|survey| &survey.break_lines);
    let places = |line: &Vec<terrain::Shot>| line.iter().map(|shot| shot.at).collect::<Vec<Point>>();
    rings.chain(lines.map(|line| Item::new(Role::BreakLine, Form::Path(places(line).into())))).collect()
}
