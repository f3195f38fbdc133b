//! A flow path: the way water takes from a place, and the land that drains to there.

use measure::Point;

use super::{MapOf, sign};
use crate::role::Role;
use crate::scene::{Form, Item};

/// A flow path.
#[derive(Debug, Clone, Copy)]
pub struct FlowPath<'a> {
    /// Where it begins.
    pub at: Point,
    /// Its way down.
    pub way: &'a [Point],
    /// The cells of the ground that drain to there, ascending, and their area, square metres; `None` without ground there.
    pub land: Option<(&'a [u32], f64)>,
}

/// The land, the way and the place.
pub fn items<'a>(map: &MapOf<'a>) -> Vec<Item<'a>> {
    let Some(path) = map.flow_path else { return Vec::new() };
    let land = map.grid().zip(path.land);
    let land = land.map(|(grid, (cells, _))| Item::new(Role::FlowPathLand, Form::Cells(grid, cells)));
    let way = Item::new(Role::FlowPath, Form::Path(path.way.into()));
    land.into_iter().chain([way, sign(Role::FlowPathFoot, path.at)]).collect()
}
