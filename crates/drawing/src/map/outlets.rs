//! Outlets: where the water leaves.

use super::{Chosen, MapOf, sign};
use crate::role::Role;
use crate::scene::Item;

/// Every outlet.
pub fn items<'a>(map: &MapOf<'a>) -> Vec<Item<'a>> {
    let outlets = map.plan.outlets.iter();
    outlets
        .map(|(id, outlet)| Item { emphasis: map.emphasis(Chosen::of(*id)), ..sign(Role::Outlet, outlet.at) })
        .collect()
}
