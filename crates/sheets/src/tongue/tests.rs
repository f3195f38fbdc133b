use std::collections::{BTreeMap, BTreeSet};

use fluent_syntax::ast::Entry;

use super::*;

/// Every pattern of a catalogue by its id, `family.name` for a phrase, with its holes in their order.
fn patterns(tongue: Tongue) -> BTreeMap<String, (String, Vec<String>)> {
    let (mut all, mut ids) = (BTreeMap::new(), BTreeSet::new());
    let mut add = |id: String, pattern: &Pattern<&str>| {
        let holes = pattern.elements.iter().filter_map(hole).map(str::to_string).collect();
        all.insert(id, (template(pattern), holes));
    };
    for entry in tongue.catalogue().resource.entries() {
        match entry {
            Entry::Message(message) => {
                let id = message.id.name;
                assert!(ids.insert(id), "{id} stands twice");
                message.value.iter().for_each(|value| add(id.to_string(), value));
                message.attributes.iter().for_each(|one| add(format!("{id}.{}", one.id.name), &one.value));
            }
            Entry::Junk { content } => panic!("no Fluent: {content}"),
            _ => {}
        }
    }
    all
}

/// Spanish and English alike.
const SAME: [&str; 3] = ["page-revision", "page-made-metal", "part-words.metal"];

/// A figure told in one language stands in the other at the same place: the holes of a text come in the same order.
#[test]
fn the_catalogues_hold_the_same_texts_with_the_same_holes() {
    let [english, spanish] = Tongue::ALL.map(patterns);
    assert_eq!(english.keys().collect::<Vec<_>>(), spanish.keys().collect::<Vec<_>>());
    let digits = |text: &str| text.chars().filter(char::is_ascii_digit).collect::<String>();
    for (id, (text, holes)) in &english {
        let (said, own) = &spanish[id];
        assert_eq!((digits(text), holes), (digits(said), own), "{id}");
        let words = text.split('{').map(|part| part.split_once('}').map_or(part, |(_, words)| words));
        let is_bare = words.flat_map(str::chars).all(|c| !c.is_alphabetic());
        assert!(text != said || is_bare || SAME.contains(&id.as_str()), "{id} is English in Spanish: {text}");
    }
}

/// Two holes beside each other could not be told apart, and a phrase of nothing but a hole would be every text.
#[test]
fn phrases_can_be_known() {
    let phrases = patterns(Tongue::English).into_iter().filter(|(id, _)| id.contains('.'));
    for (id, (text, _)) in phrases {
        let is_one_hole = text.starts_with('{') && text.find('}') == Some(text.len() - 1);
        assert!(!is_one_hole && !text.contains("}{"), "{id}");
    }
}

/// Where texts are asked for.
fn code() -> Vec<&'static str> {
    vec![
        include_str!("../book.rs"),
        include_str!("../cover.rs"),
        include_str!("../cut_columns.rs"),
        include_str!("../cut_notes.rs"),
        include_str!("../cut_pages.rs"),
        include_str!("../line_index.rs"),
        include_str!("../notices.rs"),
        include_str!("../field/data.rs"),
        include_str!("../field/map.rs"),
        include_str!("../field/mod.rs"),
        include_str!("../field/page.js"),
        include_str!("../field/tables.rs"),
    ]
}

/// Every text is asked for somewhere in the code.
#[test]
fn no_text_is_idle() {
    let code = code();
    let words: BTreeSet<&str> = code.iter().flat_map(|text| text.split('"')).collect();
    let asked = |id: &str| {
        let short = ["script-", "page-"].into_iter().find_map(|prefix| id.strip_prefix(prefix));
        words.contains(id) || short.is_some_and(|short| words.contains(short) || is_put_together(short))
    };
    let idle = patterns(Tongue::English).into_keys().filter(|id| !id.contains('.') && !asked(id));
    assert_eq!(idle.collect::<Vec<_>>(), Vec::<String>::new());
}

/// Every id that is asked for by itself has its text.
#[test]
fn no_text_is_missing() {
    let held = patterns(Tongue::English);
    for (call, prefix) in
        [(".text(\"", ""), (".word(\"", ""), ("tongue.text(\"", ""), (" T(\"", "script-"), ("(T(\"", "script-")]
    {
        for asked in code().iter().flat_map(|text| text.split(call).skip(1)) {
            let id = format!("{prefix}{}", asked.split('"').next().unwrap_or_default());
            assert!(held.contains_key(&id), "{call}{id}");
        }
    }
}

/// Ids that the code puts together from a word and its kind.
fn is_put_together(short: &str) -> bool {
    ["made-", "running-"].iter().any(|kind| short.starts_with(kind)) || short.ends_with("-one")
}

#[test]
fn cautions_are_those_of_the_plan() {
    let english = ["caution", "caution-short"].map(|id| Tongue::English.text(id, &[]));
    assert_eq!(english, [plan::CAUTION, plan::CAUTION_SHORT]);
}

#[test]
fn what_is_said_is_said_again_with_its_figures() {
    let said = |english: &str| Tongue::Spanish.say(english);
    assert_eq!(said("L3 runs uphill toward the outlet"), "L3 va cuesta arriba hacia la salida");
    assert_eq!(
        said("Lay solid pipe from 0+20 to 0+50 and from 1+24.6 to 1+50 of M1"),
        "Coloque tubo sin perforar de 0+20 a 0+50 y de 1+24.6 a 1+50 de M1"
    );
    assert_eq!(
        said("1+20 gas line G1, 3.20 ft down, dig by hand 2 ft either side"),
        "1+20 línea de gas G1, a 3.20 ft de hondo, excave a mano 2 ft a cada lado"
    );
    assert_eq!(said("Tee 6 in × 4 in in M1, branch up 0.25 ft"), "Te 6 in × 4 in en M1, el ramal 0.25 ft arriba");
    // What a person typed stays as it is, whatever it says.
    assert_eq!(said("old tile runs uphill toward the outlet"), "old tile va cuesta arriba hacia la salida");
    assert_eq!(said("nobody knows this"), "nobody knows this");
    assert!(Tongue::knows("L3 runs uphill toward the outlet") && !Tongue::knows("nobody knows this"));
    assert_eq!(Tongue::English.say("nobody knows this"), "nobody knows this");
}
