//! Members of a plan file that this program does not know: told by name, kept, and written again where they stood.

use plan::{Step, Unknown};
use serde_json::Value;

use crate::json::Json;
use crate::members::{Part, Stray};

/// Most letters in which a misspelt name may differ from the one that was meant; of short names a third.
const MOST_SLIPS: usize = 3;

/// Lists whose items hold a signature among their own members, and all names that stand there for something. A reader of
/// such an item sees no others, so they are looked for by name.
const SIGNED: [(&[&str], &[&str]); 3] = [
    (&["waivers"], &["subject", "title", "weight", "excess", "gathered", "by", "on", "because"]),
    (&["revisions"], &["letter", "lines", "facts", "changed", "open", "by", "on", "because"]),
    (&["survey", "corrections"], &["what", "by", "on", "because"]),
];

/// A way in words: `plan.lines[3].name`.
pub(crate) fn place(way: &[Part]) -> String {
    let way = way.iter().map(|part| match part {
        Part::Member(name) => Step::Member(name.clone()),
        Part::Item(index) => Step::Item { index: *index, was: String::new(), beside: Default::default() },
    });
    Unknown { way: way.collect(), json: String::new(), meant: None }.place()
}

/// The unknown members beside signatures.
pub(crate) fn in_signed(plan: &Value) -> Vec<Stray> {
    let mut strays = Vec::new();
    for (list, known) in SIGNED {
        let items = list.iter().try_fold(plan, |value, name| value.get(name)).and_then(Value::as_array);
        for (index, item) in items.into_iter().flatten().enumerate() {
            let names = item.as_object().into_iter().flat_map(|members| members.keys());
            strays.extend(names.filter(|name| !known.contains(&name.as_str())).map(|name| {
                let to_list = ["plan"].into_iter().chain(list.iter().copied());
                let way = to_list.map(|name| Part::Member(name.into()));
                Stray { way: way.chain([Part::Item(index), Part::Member(name.clone())]).collect(), known }
            }));
        }
    }
    strays
}

/// What is kept of strays: what they hold in the file as it was read, and by what they are found in the plan as `known`.
pub(crate) fn kept(strays: Vec<Stray>, read: &Value, known: &Json) -> Vec<Unknown> {
    strays.into_iter().filter_map(|stray| one(&stray, read, known)).collect()
}

fn one(stray: &Stray, read: &Value, known: &Json) -> Option<Unknown> {
    let (mut value, mut known, mut way) = (read, Some(known), Vec::new());
    for part in &stray.way {
        match part {
            Part::Member(name) => {
                value = value.get(name)?;
                known = known.and_then(|known| known.member(name));
                way.push(Step::Member(name.clone()));
            }
            Part::Item(index) => {
                value = value.get(index)?;
                let list = known.and_then(items).unwrap_or_default();
                way.push(Step::Item { index: *index, was: line(list.get(*index)), beside: beside(list, *index) });
                known = list.get(*index);
            }
        }
    }
    let Some(Part::Member(name)) = stray.way.last() else { return None };
    Some(Unknown { way, json: value.to_string(), meant: meant(name, stray.known) })
}

fn items(list: &Json) -> Option<&[Json]> {
    match list {
        Json::List(items) => Some(items),
        _ => None,
    }
}

/// An item on one line; nothing beyond the ends of its list.
fn line(item: Option<&Json>) -> String {
    item.and_then(|item| serde_json::to_string(item).ok()).unwrap_or_default()
}

fn beside(list: &[Json], index: usize) -> [String; 2] {
    [index.checked_sub(1).and_then(|before| list.get(before)), list.get(index + 1)].map(line)
}

/// The known name that is spelt most like one.
fn meant(name: &str, known: &[&str]) -> Option<String> {
    let near = known.iter().map(|other| (strsim::osa_distance(name, other), *other));
    let (slips, nearest) = near.min()?;
    (slips <= MOST_SLIPS.min(name.chars().count() / 3)).then(|| nearest.to_string())
}

/// Writes unknown members where they stood. One whose place is gone, with the line or mark it belonged to, goes with it.
pub(crate) fn put_back(file: &mut Json, unknown: &[Unknown]) {
    // Items are known by what they were before anything was put into them.
    let before = file.clone();
    for one in unknown {
        let Some((Step::Member(name), way)) = one.way.split_last() else { continue };
        let Ok(value) = serde_json::from_str::<Json>(&one.json) else { continue };
        add_survey(file, way);
        if let Some(Json::Object(members)) = at(file, &before, way)
            && members.iter().all(|(own, _)| own != name)
        {
            members.push((name.clone(), value));
        }
    }
}

/// A survey of which nothing is known is not written; what is unknown of it still needs its place.
fn add_survey(file: &mut Json, way: &[Step]) {
    let is_own = |step: Option<&Step>, name: &str| step == Some(&Step::Member(name.into()));
    if way.len() == 2
        && is_own(way.first(), "plan")
        && is_own(way.last(), "survey")
        && let Some(Json::Object(members)) = file.member_mut("plan")
        && members.iter().all(|(own, _)| own != "survey")
    {
        members.push(("survey".into(), Json::Object(Vec::new())));
    }
}

fn at<'a>(file: &'a mut Json, before: &Json, way: &[Step]) -> Option<&'a mut Json> {
    let (mut place, mut before) = (file, Some(before));
    for step in way {
        match step {
            Step::Member(name) => {
                place = place.member_mut(name)?;
                before = before.and_then(|before| before.member(name));
            }
            Step::Item { index, was, beside } => {
                let old = items(before?)?;
                let index = same_item(old, (*index, was), beside)?;
                let Json::List(items) = place else { return None };
                (place, before) = (items.get_mut(index)?, old.get(index));
            }
        }
    }
    Some(place)
}

/// Where an item stands now: where it stood or elsewhere as it was, else between its old neighbours with other figures.
fn same_item(list: &[Json], (index, was): (usize, &str), neighbours: &[String; 2]) -> Option<usize> {
    let is_same = |index: &usize| line(list.get(*index)) == was;
    let places = || [index].into_iter().chain(0..list.len());
    places()
        .find(is_same)
        .or_else(|| places().find(|index| *index < list.len() && beside(list, *index) == *neighbours))
}
