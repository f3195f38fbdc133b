//! A layout that is proposed and nobody drew yet: its new lines, and outlets that would come with it.

use plan::{Line, LineKind, Plan};

use super::{MapOf, sign};
use crate::role::Role;
use crate::scene::{Form, Item};

/// The role of a proposed line: laterals are told from what they lead to.
pub fn role(kind: LineKind) -> Role {
    if kind == LineKind::Lateral { Role::ProposedLateral } else { Role::ProposedMain }
}

/// The lines that a proposal draws.
pub fn lines(proposed: &Plan) -> impl Iterator<Item = &Line> {
    proposed.lines.values().filter(|line| !line.kind.is_old())
}

/// Each line, and each outlet that the plan does not have.
pub fn items<'a>(map: &MapOf<'a>) -> Vec<Item<'a>> {
    let Some(proposed) = map.proposed else { return Vec::new() };
    let path = |line: &'a Line| Item::new(role(line.kind), Form::Path(line.points.as_slice().into()));
    let outlets = proposed.outlets.iter().filter(|(id, _)| !map.plan.outlets.contains_key(id));
    lines(proposed).map(path).chain(outlets.map(|(_, outlet)| sign(Role::Outlet, outlet.at))).collect()
}
