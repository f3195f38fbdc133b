//! The legend of profiles: what the things in them mean, and nothing that is not in them.

use crate::legend::Key;
use crate::role::Role;
use crate::scene::{Form, Item};

/// A row for everything that has a word, what has the same word only once: ground and pipe first, then what is met.
pub fn profile_legend<'i, 's: 'i>(items: impl IntoIterator<Item = &'i Item<'s>>) -> Vec<Key> {
    let rows = items.into_iter().filter_map(|item| {
        let (rank, word) = word(item.role)?;
        Some((rank, item.role, matches!(item.form, Form::Sign(..)), word))
    });
    let mut rows: Vec<(u8, Role, bool, &str)> = rows.collect();
    rows.sort_unstable();
    rows.dedup_by_key(|(.., word)| *word);
    rows.into_iter().map(|(_, role, is_sign, word)| Key { role, is_sign, word }).collect()
}

/// What a role means in a profile, and its place in the legend; `None` for what is told by its words.
const fn word(role: Role) -> Option<(u8, &'static str)> {
    Some(match role {
        Role::Ground => (0, "ground"),
        Role::Invert(_) => (1, "invert"),
        Role::PipeTop(_) => (1, "top of pipe"),
        Role::AsDug => (2, "invert as dug"),
        Role::DugShot => (2, "shot as planned"),
        Role::OffShot => (2, "shot off the plan"),
        Role::Enters(_) => (3, "branch"),
        Role::Reducer(_) => (3, "change of size or wall"),
        Role::Mark(_) | Role::Line(_) => (4, "met on the way"),
        Role::OutletWater => (5, "water at the outlet"),
        Role::ReachEnd => (6, "change of grade, invert below"),
        Role::Protected => (7, "trench to be protected"),
        Role::NoDig => (8, "DO NOT DIG"),
        Role::NoGround => (9, "no ground known"),
        _ => return None,
    })
}
