//! A drop that is followed: its way down from a place, and the land that drains to there.

use measure::Point;

use super::{MapOf, sign};
use crate::role::Role;
use crate::scene::{Form, Item};

/// A drop.
#[derive(Debug, Clone, Copy)]
pub struct Drop<'a> {
    /// Where it falls.
    pub at: Point,
    /// Its way down.
    pub way: &'a [Point],
    /// The cells of the ground that drain to there, ascending, and their area, square metres; `None` without ground there.
    pub land: Option<(&'a [u32], f64)>,
}

/// The land, the way and the place.
pub fn items<'a>(map: &MapOf<'a>) -> Vec<Item<'a>> {
    let Some(drop) = map.drop else { return Vec::new() };
    let land = map.grid().zip(drop.land);
    let land = land.map(|(grid, (cells, _))| Item::new(Role::DropLand, Form::Cells(grid, cells)));
    let way = Item::new(Role::DropWay, Form::Path(drop.way.into()));
    land.into_iter().chain([way, sign(Role::DropFoot, drop.at)]).collect()
}
