//! Marks on the land: places, courses, areas.

use plan::Outline;

use super::{Chosen, MapOf};
use crate::role::{MarkSort, Role};
use crate::scene::{Form, Item};

/// Every mark as it lies.
pub fn items<'a>(map: &MapOf<'a>) -> Vec<Item<'a>> {
    let marks = map.plan.landmarks.iter();
    marks
        .map(|(id, mark)| {
            let form = match &mark.outline {
                Outline::At(at) => Form::Sign(*at, *at),
                Outline::Along(points) => Form::Path(points.as_slice().into()),
                Outline::Around(_) => Form::Ring(mark.outline.path().into()),
            };
            let emphasis = map.emphasis(Chosen::of(*id));
            Item { emphasis, ..Item::new(Role::Mark(MarkSort::of(&mark.kind)), form) }
        })
        .collect()
}
