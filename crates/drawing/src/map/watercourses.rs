//! Ditches and culverts.

use plan::WatercourseKind;

use super::{Chosen, MapOf};
use crate::role::Role;
use crate::scene::{Form, Item};

/// Every ditch and culvert along its course.
pub fn items<'a>(map: &MapOf<'a>) -> Vec<Item<'a>> {
    let courses = map.plan.watercourses.iter();
    courses
        .map(|(id, course)| {
            let role = match course.kind {
                WatercourseKind::Ditch => Role::Ditch,
                WatercourseKind::Culvert => Role::Culvert,
            };
            let emphasis = map.emphasis(Chosen::Watercourse(*id));
            Item { emphasis, ..Item::new(role, Form::Path(course.points.as_slice().into())) }
        })
        .collect()
}
