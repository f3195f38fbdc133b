//! Stretches that nobody digs.

use super::MapOf;
use crate::role::Role;
use crate::scene::{Form, Item};

/// Every stretch with its number on the punch list.
pub fn items<'a>(map: &MapOf<'a>) -> Vec<Item<'a>> {
    let parts = map.no_dig.iter().filter_map(|part| Some((part, map.plan.lines.get(&part.line)?)));
    parts
        .map(|(part, line)| {
            let (from_m, to_m) = part.stretch_m;
            let stretch = Form::Stretch(line.points.as_slice().into(), from_m, to_m);
            Item::new(Role::NoDig, stretch).saying(part.number.to_string())
        })
        .collect()
}
