//! Ditches and culverts.

use super::{Chosen, MapOf};
use crate::role::Role;
use crate::scene::{Form, Item};

/// Every ditch and culvert along its course.
pub fn items<'a>(map: &MapOf<'a>) -> Vec<Item<'a>> {
    let courses = map.plan.watercourses.iter();
    courses
        .map(|(id, course)| {
            let emphasis = map.emphasis(Chosen::of(*id));
            Item { emphasis, ..Item::new(Role::of_water(course.kind), Form::Path(course.points.as_slice().into())) }
        })
        .collect()
}
