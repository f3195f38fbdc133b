//! A mark at every place where one more shot is asked for.

use super::{MapOf, sign};
use crate::role::Role;
use crate::scene::{Emphasis, Item};

/// What the so-many-th shot that is asked for is called: "shot 1" for the first.
pub fn wanted_name(i: usize) -> String {
    format!("shot {}", i + 1)
}

/// The marks, the first on top.
pub fn items<'a>(map: &MapOf<'a>) -> Vec<Item<'a>> {
    let (places, looked_at) = map.wanted;
    let mark = |(i, at): (usize, &measure::Point)| {
        let emphasis = if looked_at == Some(i) { Emphasis::LookedAt } else { Emphasis::Plain };
        Item { emphasis, ..sign(Role::WantedShot, *at) }
    };
    places.iter().enumerate().map(mark).rev().collect()
}
