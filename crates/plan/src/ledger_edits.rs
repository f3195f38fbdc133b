//! Edits of marks on the land, accepted findings, prices, sheets issued and layouts put aside.

use crate::{
    Acceptance, Alternative, Change, Criteria, Edit, Landmark, LandmarkId, LimitChange, LineId, OpenFinding, Plan,
    PriceList, Revision, Signature, Stretch, Told, revision_letter,
};

/// Adds a mark on the land; answers its id too.
pub fn add_landmark(plan: &Plan, landmark: Landmark) -> (LandmarkId, Edit) {
    let id = LandmarkId(plan.next_id);
    let label = format!("Mark {} {}", landmark.word(), landmark.name);
    (id, Edit::one(label, Change::Landmark(id, Some(landmark))))
}

/// Sets what is known of a mark.
pub fn set_landmark(id: LandmarkId, landmark: Landmark) -> Edit {
    let label = format!("Change {} {}", landmark.word(), landmark.name);
    Edit::one(label, Change::Landmark(id, Some(landmark)))
}

/// Removes a mark.
pub fn remove_landmark(plan: &Plan, id: LandmarkId) -> Option<Edit> {
    let landmark = plan.landmarks.get(&id)?;
    let label = format!("Delete {} {}", landmark.word(), landmark.name);
    Some(Edit::one(label, Change::Landmark(id, None)))
}

/// Accepts a finding: somebody signs for it as it is. A former acceptance of the same finding is replaced.
pub fn accept(plan: &Plan, acceptance: Acceptance) -> Edit {
    let mut acceptances = plan.acceptances.clone();
    let former = acceptances.iter().find(|old| old.is_of_same(&acceptance));
    let replaced = former.map(|old| format!(", in place of \"{}\", {}", old.signed.because, old.signed.by));
    let label = format!("Accept: {}{}", acceptance.title, replaced.unwrap_or_default());
    acceptances.retain(|old| !old.is_of_same(&acceptance));
    acceptances.push(acceptance);
    Edit::one(label, Change::Acceptances(acceptances))
}

/// Takes an acceptance back.
pub fn reopen(plan: &Plan, acceptance: &Acceptance) -> Edit {
    let mut acceptances = plan.acceptances.clone();
    acceptances.retain(|old| old != acceptance);
    Edit::one("Reopen a finding", Change::Acceptances(acceptances))
}

/// Sets the price list.
pub fn set_price_list(list: PriceList) -> Edit {
    Edit::one("Change the price list", Change::PriceList(list))
}

/// Changes limits by name and with a reason; each change is kept in the log.
pub fn change_limits(plan: &Plan, criteria: Criteria, signed: &Signature) -> Edit {
    let mut log = plan.limit_log.clone();
    log.extend(criteria.changed_from(&plan.criteria).map(|limit| LimitChange {
        limit: limit.name.into(),
        from: (limit.value)(&plan.criteria),
        to: (limit.value)(&criteria),
        signed: signed.clone(),
    }));
    let label = format!("Change {}", measure::how_many(log.len() - plan.limit_log.len(), "limit"));
    Edit { label, changes: vec![Change::Criteria(criteria), Change::LimitLog(log)] }
}

/// Lays pipe of another kind over a stretch of a line; one that asks nothing takes back what was asked there.
pub fn lay_stretch(plan: &Plan, id: LineId, stretch: Stretch) -> Option<Edit> {
    let line = plan.lines.get(&id)?;
    let line = if stretch.asks() { line.with_stretch_added(stretch) } else { line.with_stretch(stretch) };
    let units = plan.title.units;
    let place = |station_m| measure::station(station_m, units);
    let kind = match (stretch.solid, stretch.heavy) {
        (true, true) => "Solid heavy pipe",
        (true, false) => "Solid pipe",
        (false, true) => "Heavy pipe",
        (false, false) if stretch.asks() => "Pipe",
        (false, false) => "The line's own pipe",
    };
    let size = stretch.size_m.map(|size_m| format!(", {}", units.pipe(size_m))).unwrap_or_default();
    let wall = stretch.wall.map(|wall| format!(", {}", wall.word())).unwrap_or_default();
    let what = format!("{kind}{size}{wall}");
    let label = format!("{what} on {} from {} to {}", line.name, place(stretch.from_m), place(stretch.to_m));
    Some(Edit::one(label, Change::Line(id, Some(line))))
}

/// Issues the sheets under the next letter: what they tell, what of it changed since the last, and which findings that
/// block digging are open.
pub fn issue(plan: &Plan, told: Told, changed: Vec<String>, open: Vec<OpenFinding>, signed: &Signature) -> Edit {
    let mut revisions = plan.revisions.clone();
    let letter = revision_letter(revisions.len());
    let Told { lines, facts } = told;
    let revision = Revision { letter, lines, facts, changed, open, signed: signed.clone() };
    let how = if revision.is_all_the_same() { " all the same" } else { "" };
    let label = format!("Issue revision {}{how}", revision.letter);
    revisions.push(revision);
    Edit::one(label, Change::Revisions(revisions))
}

/// Puts a copy of the layout aside under a name; one that has the name already gives way.
pub fn put_aside(plan: &Plan, name: &str) -> Edit {
    let mut alternatives = plan.alternatives.clone();
    alternatives.retain(|other| other.name != name);
    let (outlets, lines, brief) = (plan.outlets.clone(), plan.lines.clone(), plan.brief.clone());
    alternatives.push(Alternative { name: name.into(), outlets, lines, brief });
    Edit::one(format!("Put the layout aside as {name}"), Change::Alternatives(alternatives))
}

/// Takes a layout that was put aside in place of the present one, which should have been put aside before.
pub fn take_out(plan: &Plan, name: &str) -> Option<Edit> {
    let wanted = plan.alternatives.iter().find(|other| other.name == name)?;
    // Lines first out, then outlets in, so that at the end every joint is known.
    let mut changes: Vec<Change> = plan.lines.keys().map(|id| Change::Line(*id, None)).collect();
    changes.extend(plan.outlets.keys().map(|id| Change::Outlet(*id, None)));
    changes.extend(wanted.outlets.iter().map(|(id, outlet)| Change::Outlet(*id, Some(outlet.clone()))));
    changes.extend(wanted.lines.iter().map(|(id, line)| Change::Line(*id, Some(line.clone()))));
    changes.push(Change::Brief(wanted.brief.clone()));
    Some(Edit { label: format!("Take the layout {name}"), changes })
}

/// Drops a layout that was put aside.
pub fn drop_alternative(plan: &Plan, name: &str) -> Edit {
    let mut alternatives = plan.alternatives.clone();
    alternatives.retain(|other| other.name != name);
    Edit::one(format!("Delete the layout {name}"), Change::Alternatives(alternatives))
}
