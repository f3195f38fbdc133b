//! What differs between two states of a plan, by name: what was done here and what another did, where it is known from
//! which plan both set out.

use std::collections::{BTreeMap, BTreeSet};

use plan::{LIMITS, Plan};

/// Two states of a plan: as it stands here and as another left it.
pub struct Sides<'a> {
    /// The plan both set out from, where it is known.
    pub base: Option<&'a Plan>,
    /// As it stands here.
    pub here: &'a Plan,
    /// As another left it.
    pub there: &'a Plan,
    /// What the two are called.
    pub called: [&'static str; 2],
}

/// What differs, one sentence each, in the order of the plan's parts.
pub fn rows(sides: &Sides) -> Vec<String> {
    let mut rows = whole_parts(sides);
    rows.extend(table(sides, "Outlet", |plan| &plan.outlets, |outlet| outlet.name.clone()));
    rows.extend(table(sides, "Line", |plan| &plan.lines, |line| line.name.clone()));
    rows.extend(table(sides, "Ditch or culvert", |plan| &plan.watercourses, |course| course.name.clone()));
    rows.extend(table(sides, "Mark", |plan| &plan.landmarks, |mark| mark.name.clone()));
    rows.extend(limits(sides));
    rows
}

/// Rows of a part of the plan that has members with names.
fn table<K: Ord + Copy, V: PartialEq>(
    sides: &Sides,
    what: &str,
    part: impl Fn(&Plan) -> &BTreeMap<K, V>,
    name: impl Fn(&V) -> String,
) -> Vec<String> {
    let (here, there) = (part(sides.here), part(sides.there));
    let ids: BTreeSet<K> = here.keys().chain(there.keys()).copied().collect();
    let row = |id: K| {
        let (mine, theirs) = (here.get(&id), there.get(&id));
        if mine == theirs {
            return None;
        }
        let named = match (mine.map(&name), theirs.map(&name)) {
            (Some(mine), Some(theirs)) if mine != theirs => format!("{mine}, {theirs} {}", sides.called[1]),
            (mine, theirs) => mine.or(theirs)?,
        };
        let base = sides.base.map(|base| part(base).get(&id));
        Some(format!("{what} {named}: {}", how(sides.called, base, mine, theirs)))
    };
    ids.into_iter().filter_map(row).collect()
}

/// How one thing came to differ; `base` is what it was, where that is known.
fn how<V: PartialEq>(called: [&str; 2], base: Option<Option<&V>>, here: Option<&V>, there: Option<&V>) -> String {
    let Some(base) = base else {
        return match (here, there) {
            (Some(_), None) => format!("only {}", called[0]),
            (None, _) => format!("only {}", called[1]),
            _ => "differs".into(),
        };
    };
    let done = |now: Option<&V>| match (base, now) {
        (before, now) if before == now => None,
        (None, _) => Some("added"),
        (_, None) => Some("deleted"),
        _ => Some("changed"),
    };
    match (done(here), done(there)) {
        (Some(here), Some(there)) => format!("{here} here, {there} by the other"),
        (Some(here), None) => format!("{here} here"),
        (None, there) => format!("{} by the other", there.unwrap_or("changed")),
    }
}

/// Parts of the plan that have no members with names.
fn whole_parts(sides: &Sides) -> Vec<String> {
    let all = [
        part(sides, "Name, units, date and title block", |plan| Some(&plan.title)),
        part(sides, "The ground", |plan| plan.ground.as_ref()),
        part(sides, "The picture under the plan", |plan| plan.backdrop.as_ref()),
        part(sides, "The boundary", |plan| plan.field.as_ref()),
        part(sides, "What the grower asked for", |plan| Some(&plan.brief)),
        part(sides, "Cost weights", |plan| Some(&plan.cost_weights)),
        part(sides, "The price list", |plan| Some(&plan.price_list)),
        part(sides, "Accepted findings", |plan| Some(&plan.acceptances)),
        part(sides, "Sheets issued", |plan| Some(&plan.revisions)),
        part(sides, "Layouts put aside", |plan| Some(&plan.alternatives)),
        part(sides, "The survey and its corrections", |plan| Some(&plan.survey)),
        part(sides, "Roughness of pipe", |plan| Some(&plan.criteria.roughness)),
        part(sides, "The log of changed limits", |plan| Some(&plan.limit_log)),
    ];
    all.into_iter().flatten().collect()
}

fn part<'a, V: PartialEq + 'a>(
    sides: &Sides<'a>,
    what: &str,
    of: impl Fn(&'a Plan) -> Option<&'a V>,
) -> Option<String> {
    let (here, there) = (of(sides.here), of(sides.there));
    (here != there).then(|| format!("{what}: {}", how(sides.called, sides.base.map(&of), here, there)))
}

/// Limits with the value on either side.
fn limits(sides: &Sides) -> Vec<String> {
    let units = sides.here.title.units;
    let differing = LIMITS.iter().filter_map(|limit| {
        let (here, there) = ((limit.value)(&sides.here.criteria), (limit.value)(&sides.there.criteria));
        let words = |value| limit.words(value, units);
        let [mine, theirs] = sides.called;
        (here != there).then(|| format!("{}: {} {mine}, {} {theirs}", limit.label, words(here), words(there)))
    });
    differing.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use measure::{Point, Units};
    use plan::{Line, LineKind};

    fn with_line(plan: &Plan, name: &str) -> Plan {
        let line = Line::new(name, LineKind::Lateral, vec![Point::new(0.0, 0.0), Point::new(50.0, 0.0)]);
        plan.with(&plan::add_line(plan, line).1)
    }

    #[test]
    fn each_thing_is_named_with_who_did_what() {
        let base = with_line(&with_line(&Plan::new("Test", Units::Feet), "L1"), "L2");
        let (first, second) = (base.line_named("L1").unwrap(), base.line_named("L2").unwrap());
        let mut here = with_line(&base, "L3");
        here.lines.get_mut(&first).unwrap().size_m = 0.2;
        here.criteria.least_cover_m = 0.9144;
        let mut there = with_line(&base, "E0");
        there.lines.remove(&first);
        there.lines.remove(&second);
        there.title.name = "Theirs".into();
        let called = ["here", "in the file"];
        let sides = Sides { base: Some(&base), here: &here, there: &there, called };
        let expected = [
            "Name, units, date and title block: changed by the other",
            "Line L1: changed here, deleted by the other",
            "Line L2: deleted by the other",
            "Line L3, E0 in the file: added here, added by the other",
        ];
        let found = rows(&sides);
        assert_eq!(found[..4], expected);
        assert!(found[4].contains("3.00 ft here") && found.len() == 5, "{found:?}");
        let unknown = rows(&Sides { base: None, ..sides });
        assert_eq!(unknown[2], "Line L2: only here");
        assert!(rows(&Sides { base: None, here: &base, there: &base, called }).is_empty());
    }
}
