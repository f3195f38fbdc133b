//! The section that is looked at.

use super::{MapOf, sign};
use crate::role::Role;
use crate::scene::{Form, Item};

/// Its course and where it begins.
pub fn items<'a>(map: &MapOf<'a>) -> Vec<Item<'a>> {
    let Some(start) = map.section.first() else { return Vec::new() };
    vec![Item::new(Role::Section, Form::Path(map.section.into())), sign(Role::SectionStart, *start)]
}
