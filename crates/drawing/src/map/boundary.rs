//! The field's boundary and the parts left out.

use super::{Chosen, MapOf};
use crate::role::Role;
use crate::scene::{Form, Item};

/// Every ring of the field.
pub fn items<'a>(map: &MapOf<'a>) -> Vec<Item<'a>> {
    let (rings, emphasis) = (map.plan.field.iter().flat_map(|field| field.rings()), map.emphasis(Chosen::Field));
    rings.map(|ring| Item { emphasis, ..Item::new(Role::Boundary, Form::Ring(ring.into())) }).collect()
}
