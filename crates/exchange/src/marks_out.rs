//! Marks on the land as they leave: in words for a person, and as properties that [`crate::read_landmarks_file`] reads again.

use measure::{DAY_S, Units};
use plan::{Exposed, Landmark, MarkField, MarkValue, SoilLayer};
use serde_json::{Map, Value, json};

use crate::geojson_out::milli;

/// What is known of a mark, in one line: "gas line G1. Depth of its top: 2.62 ft. Locate ticket: 1234".
pub(crate) fn mark_words(mark: &Landmark, units: Units) -> String {
    let told = mark.kind.row().fields.iter().filter_map(|field| told(mark, field, units));
    let note = Some(mark.note.clone()).filter(|note| !note.is_empty());
    std::iter::once(mark.called()).chain(told).chain(note).collect::<Vec<_>>().join(". ")
}

/// A field of a mark in words; `None` for what is not known and for what its name tells already.
fn told(mark: &Landmark, field: &MarkField, units: Units) -> Option<String> {
    let kind = &mark.kind;
    let says = match &field.value {
        MarkValue::Length(_, member) => units.depth(*member.get(kind)?),
        MarkValue::KnownLength(_, member) => units.depth((*member.get(kind)?)?),
        MarkValue::Direction(_, member) => format!("{}°", measure::trimmed(*member.get(kind)?, 0, 1)),
        MarkValue::KnownNumber(_, member) => measure::trimmed((*member.get(kind)?)?, 0, 2),
        MarkValue::Text(member) => member.get(kind).filter(|text| !text.is_empty())?.clone(),
        MarkValue::Day(member) => member.get(kind)?.clone()?,
        MarkValue::YesNo(member) => return member.get(kind).filter(|yes| **yes).map(|_| field.label.to_string()),
        MarkValue::Choice(choice) => (choice.words)().get((choice.get)(kind)?)?.to_string(),
        MarkValue::Layers(member) => layers_words(member.get(kind)?, units)?,
        MarkValue::Exposed(member) => member.get(kind)?.as_ref()?.words(units),
    };
    (says != mark.word()).then(|| format!("{}: {says}", field.label))
}

/// "to 0.98 ft loam, to 2.95 ft clay".
fn layers_words(layers: &[SoilLayer], units: Units) -> Option<String> {
    let layer = |layer: &SoilLayer| format!("to {} {}", units.depth(layer.to_m), layer.texture.word());
    (!layers.is_empty()).then(|| layers.iter().map(layer).collect::<Vec<_>>().join(", "))
}

/// A mark as a feature has it: lengths in metres under names that end in `_m`.
pub(crate) fn mark_properties(mark: &Landmark, units: Units) -> Map<String, Value> {
    let mut all = Map::new();
    all.insert("what".into(), json!(mark.kind.word()));
    all.insert("name".into(), json!(mark.name));
    mark.kind.row().fields.iter().for_each(|field| put(mark, field, &mut all));
    if !mark.note.is_empty() {
        all.insert("note".into(), json!(mark.note));
    }
    all.insert("words".into(), json!(mark_words(mark, units)));
    all
}

fn put(mark: &Landmark, field: &MarkField, all: &mut Map<String, Value>) {
    let kind = &mark.kind;
    let name = field.name.to_string();
    let in_metres = format!("{name}_m");
    let said = match &field.value {
        MarkValue::Length(_, member) => member.get(kind).map(|m| (in_metres, json!(milli(*m)))),
        MarkValue::KnownLength(_, member) => {
            member.get(kind).copied().flatten().map(|m| (in_metres, json!(milli(m))))
        }
        MarkValue::Direction(_, member) => member.get(kind).map(|deg| (name, json!(deg))),
        MarkValue::KnownNumber(_, member) => member.get(kind).copied().flatten().map(|value| (name, json!(value))),
        MarkValue::Text(member) => member.get(kind).filter(|text| !text.is_empty()).map(|text| (name, json!(text))),
        MarkValue::Day(member) => member.get(kind).cloned().flatten().map(|day| (name, json!(day))),
        MarkValue::YesNo(member) => member.get(kind).map(|yes| (name, json!(yes))),
        MarkValue::Choice(choice) => {
            let word = (choice.get)(kind).and_then(|one| (choice.words)().get(one).copied());
            // What nobody chose yet is left out: a reader takes only words that can be chosen.
            word.filter(|word| (choice.named)(word).is_some()).map(|word| (name, json!(word)))
        }
        MarkValue::Layers(member) => member.get(kind).map(|layers| (name, layers.iter().map(layer).collect())),
        MarkValue::Exposed(member) => {
            member.get(kind).and_then(Option::as_ref).into_iter().for_each(|exposed| put_exposed(exposed, all));
            None
        }
    };
    all.extend(said);
}

/// A layer of a pit; conductivity in metres a day.
fn layer(layer: &SoilLayer) -> Value {
    let mut told = json!({ "depth_m": milli(layer.to_m), "texture": layer.texture.word() });
    let tested = [
        ("sand", layer.sand),
        ("clay", layer.clay),
        ("organic", layer.organic),
        ("porosity", layer.porosity),
        ("conductivity", layer.conductivity_ms.map(|ms| (ms * DAY_S * 1e9).round() / 1e9)),
    ];
    tested
        .into_iter()
        .filter_map(|(name, value)| Some((name, value?)))
        .for_each(|(name, value)| told[name] = json!(value));
    told
}

fn put_exposed(Exposed { by, on, top_m, bottom_m }: &Exposed, all: &mut Map<String, Value>) {
    all.insert("exposed_top_m".into(), json!(milli(*top_m)));
    all.insert("exposed_bottom_m".into(), json!(milli(*bottom_m)));
    all.insert("exposed_by".into(), json!(by));
    all.insert("exposed_on".into(), json!(on));
}

#[cfg(test)]
mod tests {
    use measure::{FOOT_M, Point};
    use plan::{Carries, LandmarkKind, MARK_KINDS, Outline, Pit, Texture, Utility};

    use super::*;
    use crate::landmarks_in::landmark;

    fn mark(kind: LandmarkKind) -> Landmark {
        Landmark { name: "K1".into(), kind, outline: Outline::At(Point::new(0.0, 0.0)), note: "call first".into() }
    }

    fn full() -> Vec<LandmarkKind> {
        let exposed = Exposed { by: "R. Sund".into(), on: "2031-04-01".into(), top_m: 62.6, bottom_m: 62.4 };
        let utility = Utility {
            carries: Carries::Gas,
            depth_m: Some(0.8),
            ticket: "T-12".into(),
            valid_until: Some("2031-05-01".into()),
            exposed: Some(exposed),
            ..Utility::default()
        };
        let tested = SoilLayer { clay: Some(0.3), conductivity_ms: Some(2e-6), ..SoilLayer::of(0.9, Texture::Clay) };
        let pit = Pit {
            layers: vec![SoilLayer::of(0.3, Texture::Loam), tested],
            mottles_m: Some(0.5),
            iron: true,
            ph: Some(6.5),
            ..Pit::default()
        };
        vec![LandmarkKind::Utility(utility), LandmarkKind::Pit(pit)]
    }

    /// What leaves as a feature comes in again as the same mark, of every kind.
    #[test]
    fn a_mark_that_leaves_comes_back() {
        let usual = MARK_KINDS.iter().map(|row| (row.usual)());
        for kind in usual.chain(full()) {
            let mark = mark(kind);
            let all = mark_properties(&mark, Units::Feet);
            // To the tenth of a millimeter, as it is told.
            let read = landmark("feature 1", &all, mark.outline.clone()).unwrap();
            assert_eq!(mark_properties(&read, Units::Feet), all);
            assert_eq!((read.name, read.note, read.outline), (mark.name, mark.note, mark.outline));
        }
    }

    #[test]
    fn a_mark_tells_what_is_known_of_it() {
        let told = full().into_iter().map(|kind| mark_words(&mark(kind), Units::Feet)).collect::<Vec<_>>();
        assert!(told[0].starts_with("gas line K1. Depth of its top: 2.62 ft. Locate ticket: T-12."), "{}", told[0]);
        let metric = mark_words(&mark(full().remove(1)), Units::Metric);
        assert!(metric.contains("to 0.30 m loam, to 0.90 m clay") && metric.ends_with("call first"), "{metric}");
        assert!(0.9 / FOOT_M > 2.9 && told[1].contains("to 2.95 ft clay"), "{}", told[1]);
    }
}
