//! Trench that must be protected, under its line.

use takeoff::Deep;

use super::MapOf;
use crate::role::Role;
use crate::scene::{Form, Item};

/// Every such stretch of new pipe.
pub fn items<'a>(map: &MapOf<'a>) -> Vec<Item<'a>> {
    let new = map.plan.lines.iter().filter(|(_, line)| !line.kind.is_old());
    let worked = new.filter_map(|(id, line)| Some((line, map.design.lines.get(id)?)));
    worked
        .flat_map(|(line, worked)| {
            let parts = Deep::of(worked, &map.plan.criteria).protected.into_iter();
            parts.map(|part| {
                let stretch = Form::Stretch(line.points.as_slice().into(), part.from_m, part.to_m);
                Item::new(Role::Protected, stretch)
            })
        })
        .collect()
}
