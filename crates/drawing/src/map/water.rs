//! Swales and closed depressions.

use super::MapOf;
use crate::role::Role;
use crate::scene::{Form, Item};

/// The cells of every depression.
pub fn depressions<'a>(map: &MapOf<'a>) -> Vec<Item<'a>> {
    let Some((land, grid)) = map.land.zip(map.grid()) else { return Vec::new() };
    land.depressions.iter().map(|d| Item::new(Role::Depression, Form::Cells(grid, &d.cells))).collect()
}

/// Every swale with the land above each of its places.
pub fn swales<'a>(map: &MapOf<'a>) -> Vec<Item<'a>> {
    let swales = map.land.iter().flat_map(|land| land.swales.iter());
    swales.map(|swale| Item::new(Role::Swale, Form::Stream(&swale.points, &swale.area_m2))).collect()
}
