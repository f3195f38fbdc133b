//! Joints.

use super::{MapOf, sign};
use crate::role::Role;
use crate::scene::Item;

/// Every joint.
pub fn items<'a>(map: &MapOf<'a>) -> Vec<Item<'a>> {
    map.design.joints.iter().map(|joint| sign(Role::Joint, joint.at)).collect()
}
