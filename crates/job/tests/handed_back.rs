//! What a field page handed back, held against its plan and against others: what is taken, what is told, what is refused.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]
#![allow(clippy::print_stdout, reason = "what was found is worth reading")]

use exchange::FileError;
use job::Worked;
use job::handed_back::{Preview, look};
use measure::{FOOT_M, Point};
use plan::{Change, Edit, LineId, Plan, Signature, Spot};
use serde_json::{Value, json};

/// The first demo field as it is worked out.
fn demo() -> Worked {
    let session = job::files::demo_session(job::demo::first_plan()).unwrap();
    Worked::of(session.plan().clone(), session.land())
}

fn signed() -> Signature {
    Signature { by: "A. Marsh".into(), on: "2031-05-01".into(), because: "ready".into() }
}

/// The same with its sheets issued so often.
fn issued(times: usize) -> Worked {
    let mut worked = demo();
    for time in 0..times {
        let mut plan = worked.plan.clone();
        plan.apply(&plan::issue(&plan, worked.told().clone(), Vec::new(), Vec::new(), &signed())).unwrap();
        if time + 1 < times {
            plan.criteria.bedding_m += 0.01;
        }
        let land = worked.land.clone();
        worked = Worked::of(plan, &land);
    }
    worked
}

fn line(worked: &Worked, name: &str) -> LineId {
    worked.plan.line_named(name).unwrap()
}

/// An entry at a station of a line, so far above its planned invert.
fn entry(worked: &Worked, what: &str, key: &str, by: &str, (name, station_m, over_m): (&str, f64, f64)) -> Value {
    let id = line(worked, name);
    let at = worked.design.lines[&id].at(station_m).unwrap();
    let level_m = at.invert_m.unwrap() + over_m;
    json!({
        "what": what, "key": key, "by": by, "at": "2031-05-02T09:14", "revision": "A", "line": name, "line_id": id.0,
        "station_m": station_m, "easting_m": at.at.x, "northing_m": at.at.y, "on": "invert", "level_m": level_m,
        "invert_m": level_m, "material": "clay", "running": "dry", "condition": "fair", "says": "rock",
    })
}

/// A file of entries, made from a state of the plan.
fn file(worked: &Worked, entries: &[Value]) -> Value {
    let told = worked.told();
    let feature = |entry: &Value| json!({ "type": "Feature", "geometry": null, "properties": entry });
    json!({
        "type": "FeatureCollection", "format": plan::FIELD_FORMAT, "plan": worked.plan.title.name,
        "revision": worked.plan.revisions.last().map_or("", |last| &last.letter),
        "mark": sheets::mark(&told.lines, &told.facts),
        "first": worked.plan.revisions.first().map_or(String::new(), |first| sheets::mark(&first.lines, &first.facts)),
        "features": entries.iter().map(feature).collect::<Vec<_>>(),
    })
}

fn held(worked: &Worked, plan: &Plan, file: &Value) -> Result<Preview, FileError> {
    look(worked, plan, exchange::read_handed_back(file.to_string().as_bytes())?)
}

fn taken(worked: &Worked, file: &Value) -> (Plan, Preview) {
    let mut plan = worked.plan.clone();
    let preview = held(worked, &plan, file).unwrap();
    plan.apply(&preview.taking(&plan).unwrap()).unwrap();
    (plan, preview)
}

#[test]
fn twice_brought_in_is_the_same_as_once() {
    let worked = issued(1);
    let entries = [
        entry(&worked, "shot", "p.1", "A. Marsh", ("L2", 30.0, 0.01)),
        entry(&worked, "find", "p.2", "A. Marsh", ("L2", 60.0, 0.5)),
        entry(&worked, "note", "p.3", "R. Wren", ("M1", 10.0, 0.0)),
    ];
    let file = file(&worked, &entries);
    let (plan, preview) = taken(&worked, &file);
    assert_eq!(preview.words(), "1 shot, 1 find and 1 note are new");
    assert!(preview.told.is_empty() && preview.refused.is_empty() && preview.conflicts.is_empty(), "{preview:?}");
    assert_eq!((preview.signed.by.as_str(), preview.signed.on.as_str()), ("A. Marsh, R. Wren", "2031-05-02"));
    assert_eq!(plan.record.shots[0].spot, Spot::Station { line: line(&worked, "L2"), station_m: 30.0 });
    let again = held(&worked, &plan, &file).unwrap();
    assert_eq!((again.known, again.taking(&plan)), (3, None));
    // The plan as it is read from its file again knows them too.
    let text = exchange::plan_text(&plan).unwrap();
    let read = exchange::plan_from_text(&text).unwrap();
    assert_eq!(held(&worked, &read, &file).unwrap().known, 3);
}

#[test]
fn where_a_file_comes_from_is_told_or_it_is_refused() {
    let one = |worked: &Worked| file(worked, &[entry(worked, "note", "p.1", "A. Marsh", ("L2", 30.0, 0.0))]);
    let (draft, first) = (demo(), issued(1));
    let told = |worked: &Worked, file: &Value| held(worked, &worked.plan, file).map(|preview| preview.told.join(" "));
    assert_eq!(told(&draft, &one(&draft)).unwrap(), "Made by a draft, not by issued sheets.");
    assert_eq!(told(&first, &one(&first)).unwrap(), "");
    // A draft that was issued as it was is that revision.
    assert_eq!(told(&first, &one(&draft)).unwrap(), "");
    let second = issued(2);
    assert_eq!(told(&second, &one(&first)).unwrap(), "Made by revision A; revision B is in force since.");
    // A page between two issues is of a draft that has changed.
    let mut between = one(&first);
    between["mark"] = json!("0000000000000000");
    assert!(told(&first, &between).unwrap().starts_with("Made by a draft that has changed since"));
    between["first"] = json!("0000000000000000");
    let refused = told(&first, &between).unwrap_err().to_string();
    let name = &first.plan.title.name;
    let page = "the plan that the page was made from";
    let expected = format!("expected a page of this plan, '{name}', as it is or as it was issued");
    assert_eq!(refused, format!("{page}: found revision A of '{name}', {expected}"));
    // The name counts for nothing where the state is known: the plan may be called otherwise now.
    let mut renamed = first.plan.clone();
    renamed.title.name = "Another name".into();
    let renamed = Worked::of(renamed, &first.land);
    assert_eq!(told(&renamed, &one(&first)).unwrap(), "");
}

#[test]
fn two_phones_at_one_place_are_both_kept_and_told() {
    let worked = issued(1);
    let first = entry(&worked, "shot", "p.1", "A. Marsh", ("L2", 30.0, 0.01));
    let (plan, _) = taken(&worked, &file(&worked, &[first]));
    let same = entry(&worked, "shot", "q.1", "R. Wren", ("L2", 30.2, 0.012));
    let other = entry(&worked, "shot", "q.2", "R. Wren", ("L2", 30.2, 0.10));
    let preview = held(&worked, &plan, &file(&worked, &[same, other])).unwrap();
    assert_eq!((preview.new.len(), preview.conflicts.len()), (2, 1), "{preview:?}");
    let told = &preview.conflicts[0];
    assert!(told.contains("A. Marsh") && told.contains("R. Wren") && told.contains("Both are kept"), "{told}");
    let finds = [
        entry(&worked, "find", "q.3", "R. Wren", ("L2", 60.0, 0.3)),
        entry(&worked, "find", "q.4", "A. Marsh", ("L2", 60.5, 0.5)),
    ];
    let (plan, preview) = taken(&worked, &file(&worked, &finds));
    assert_eq!((preview.conflicts.len(), plan.record.finds.len()), (1, 2));
}

#[test]
fn what_does_not_belong_is_refused_by_itself() {
    let worked = issued(1);
    let sound = entry(&worked, "shot", "p.1", "A. Marsh", ("L2", 30.0, 0.0));
    let with = |name: &str, value: Value| {
        let mut entry = sound.clone();
        entry["key"] = json!("p.2");
        entry[name] = value;
        entry
    };
    let cases = [
        (with("line", json!("L9")), "found line L9"),
        (with("line_id", json!(9_999)), "expected a line of this plan"),
        // Feet taken for metres.
        (with("level_m", json!(sound["level_m"].as_f64().unwrap() / FOOT_M)), "expected one within 30.00 ft of"),
        (with("easting_m", json!(0.0)), "from every line"),
        (with("at", json!("yesterday")), "the time 'yesterday'"),
        (with("key", json!("a b")), "the key 'a b'"),
        (with("key", json!("p.1")), "found nothing"),
        (with("note", json!("x".repeat(30_000))), "letters of a text"),
    ];
    for (entry, why) in cases {
        let is_twin = entry["key"] == "p.1";
        let preview = held(&worked, &worked.plan, &file(&worked, &[sound.clone(), entry])).unwrap();
        if is_twin {
            assert_eq!((preview.known, preview.refused.len()), (1, 0), "the same twice in one file is there once");
            continue;
        }
        assert_eq!((preview.new.len(), preview.refused.len()), (1, 1), "{why}");
        assert!(preview.refused[0].starts_with("feature 2: ") && preview.refused[0].contains(why), "{preview:?}");
    }
    let mut otherwise = sound.clone();
    otherwise["note"] = json!("changed on the way");
    let preview = held(&worked, &worked.plan, &file(&worked, &[sound, otherwise])).unwrap();
    assert!(preview.refused[0].contains("the key p.1 is that of another entry"), "{preview:?}");
}

#[test]
fn an_entry_stays_where_it_was_made_when_its_line_moves() {
    let worked = issued(1);
    let file = file(&worked, &[entry(&worked, "shot", "p.1", "A. Marsh", ("L2", 30.0, 0.0))]);
    let mut moved = worked.plan.clone();
    let id = line(&worked, "L2");
    let place = measure::point_at(&moved.lines[&id].points, 30.0).unwrap();
    let mut line = moved.lines[&id].clone();
    line.points.iter_mut().skip(1).for_each(|point| *point = Point::new(point.x + 8.0, point.y));
    moved.apply(&Edit::one("move", Change::Line(id, Some(line)))).unwrap();
    let moved = Worked::of(moved, &worked.land);
    let (plan, preview) = taken(&moved, &file);
    assert_eq!(plan.record.shots[0].spot, Spot::Place(place));
    assert!(preview.new[0].ends_with("any more: kept at its place]"), "{preview:?}");
}

/// A file damaged at random: bytes changed, cut, doubled, members swapped. It is refused with a clear error or read in
/// part, and whatever it brings leaves the plan sound and all else in it as it was.
#[test]
fn of_a_thousand_mutated_files_none_harms_the_plan() {
    let worked = issued(1);
    let entries: Vec<Value> = (0..6)
        .map(|i| {
            let what = ["shot", "find", "note"][i % 3];
            entry(&worked, what, &format!("p.{i}"), "A. Marsh", ("L2", 10.0 + 9.0 * i as f64, 0.02))
        })
        .collect();
    let sound = file(&worked, &entries).to_string().into_bytes();
    let mut random = fastrand::Rng::with_seed(77);
    let (mut refused, mut in_part, mut whole) = (0, 0, 0);
    for _ in 0..1_000 {
        let bytes = mutated(&sound, &mut random);
        let read = exchange::read_handed_back(&bytes).and_then(|read| look(&worked, &worked.plan, read));
        match read {
            Err(error) => {
                let told = error.to_string();
                assert!(told.contains(": found ") && told.contains(", expected "), "{told}");
                refused += 1;
            }
            Ok(preview) => {
                for told in &preview.refused {
                    assert!(told.starts_with("feature ") && told.len() < 2_000, "{told}");
                }
                let count = preview.new.len();
                if preview.refused.is_empty() && count == 6 {
                    whole += 1
                } else {
                    in_part += 1
                }
                let mut plan = worked.plan.clone();
                if let Some(edit) = preview.taking(&plan) {
                    plan.apply(&edit).unwrap();
                    assert_eq!(plan.record.keys().count(), count);
                }
                plan.validate().unwrap();
                plan.record = worked.plan.record.clone();
                assert_eq!(plan, worked.plan, "nothing but the record changes");
            }
        }
    }
    println!("of 1,000 mutated files {refused} were refused, {in_part} read in part, {whole} whole");
    assert!(refused > 100 && in_part > 100, "{refused} {in_part}");
}

fn mutated(sound: &[u8], random: &mut fastrand::Rng) -> Vec<u8> {
    const WORDS: [&str; 10] =
        ["null", "1e308", "-1", "\"\"", "[]", "{}", "\"L9\"", "1e-320", "\"</script>\"", "99999999999999999999"];
    let mut bytes = sound.to_vec();
    for _ in 0..random.usize(1..4) {
        let at = random.usize(0..bytes.len());
        match random.u8(0..5) {
            0 => bytes[at] ^= 1 << random.u8(0..8),
            1 => bytes.truncate(at.max(1)),
            2 => {
                let piece = bytes[at..(at + 40).min(bytes.len())].to_vec();
                bytes.splice(at..at, piece);
            }
            3 => drop(bytes.drain(at..(at + 3).min(bytes.len()))),
            _ => swap_value(&mut bytes, at, random.choice(WORDS).unwrap_or("null")),
        }
    }
    bytes
}

/// Puts a word in place of the next value of a member.
fn swap_value(bytes: &mut Vec<u8>, from: usize, word: &str) {
    let Some(start) = bytes[from..].iter().position(|byte| *byte == b':').map(|at| from + at + 1) else { return };
    let ends = |byte: &u8| matches!(byte, b',' | b'}' | b']');
    let Some(end) = bytes[start..].iter().position(ends).map(|at| start + at) else { return };
    bytes.splice(start..end, word.bytes());
}
