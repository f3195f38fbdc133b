//! Marks on the land from GeoJSON, KML and shapefiles: what a feature is stands in its property `what` (or `kind`), its few
//! fields in properties of their own; lengths carry their unit or are metres.

use measure::{Units, plain};
use plan::{
    Carries, Exposed, Landmark, LandmarkKind, MARK_KINDS, MarkField, MarkValue, Member, Outline, SoilLayer, Texture,
    Utility,
};
use serde_json::{Map, Value};

use crate::FileError;

/// Trees that seek water ([TREES]).
const THIRSTY: [&str; 5] = ["willow", "poplar", "cottonwood", "elm", "maple"];

/// The properties of a feature.
struct Fields<'a> {
    place: &'a str,
    all: &'a Map<String, Value>,
}

impl Fields<'_> {
    fn value(&self, name: &str) -> Option<&Value> {
        let found = self.all.iter().find(|(key, _)| key.eq_ignore_ascii_case(name));
        found.map(|(_, value)| value).filter(|value| !value.is_null())
    }

    fn text(&self, name: &str) -> String {
        match self.value(name) {
            Some(Value::String(text)) => plain(text.trim()).into_owned(),
            Some(other) => other.to_string(),
            None => String::new(),
        }
    }

    fn is(&self, name: &str) -> bool {
        matches!(self.text(name).to_lowercase().as_str(), "true" | "yes" | "1" | "y")
    }

    /// A length: metres for a bare number, else with its unit; also under the name with `_m`.
    fn length(&self, name: &str) -> Result<Option<f64>, FileError> {
        let metres = self.text(&format!("{name}_m"));
        let text = if metres.is_empty() { self.text(name) } else { metres };
        if text.is_empty() {
            return Ok(None);
        }
        let read = measure::parse_length(&text, Units::Metric);
        let refuse = || self.wrong(name, &text, "a length such as 1.2, 1.2 m or 4 ft");
        read.map(Some).map_err(|_| refuse())
    }

    /// A conductivity: metres a day for a bare number, else with its unit.
    fn conductivity(&self, name: &str) -> Result<Option<f64>, FileError> {
        let text = self.text(name);
        if text.is_empty() {
            return Ok(None);
        }
        let read = measure::parse_conductivity(&text, Units::Metric);
        read.map(Some).map_err(|error| self.wrong(name, &text, error.expected))
    }

    fn number(&self, name: &str) -> Result<Option<f64>, FileError> {
        let text = self.text(name);
        if text.is_empty() {
            return Ok(None);
        }
        let value = text.parse::<f64>().ok().filter(|value| value.is_finite());
        value.map(Some).ok_or_else(|| self.wrong(name, &text, "a number"))
    }

    fn day(&self, name: &str) -> Result<Option<String>, FileError> {
        match self.text(name) {
            text if text.is_empty() => Ok(None),
            text if plan::is_date(&text) => Ok(Some(text)),
            text => Err(self.wrong(name, &text, "a day as YYYY-MM-DD")),
        }
    }

    fn wrong(&self, name: &str, found: &str, expected: &str) -> FileError {
        FileError::malformed(format!("{}, property {name}", self.place), format!("'{found}'"), expected)
    }
}

/// The mark a feature stands for.
pub(crate) fn landmark(place: &str, all: &Map<String, Value>, outline: Outline) -> Result<Landmark, FileError> {
    let fields = Fields { place, all };
    let (word, property) = match fields.text("what") {
        what if what.is_empty() => (fields.text("kind").to_lowercase(), "kind"),
        what => (what.to_lowercase(), "what"),
    };
    let row = MARK_KINDS.iter().find(|row| row.word == word || row.other_words.contains(&word.as_str()));
    let row = row.ok_or_else(|| {
        let known: Vec<&str> = MARK_KINDS.iter().map(|row| row.word).collect();
        fields.wrong(property, &word, &known.join(", "))
    })?;
    let mut kind = (row.usual)();
    row.fields.iter().try_for_each(|field| fill(&fields, field, &mut kind))?;
    told_by_words(&word, &mut kind);
    Ok(Landmark { name: fields.text("name"), kind, outline, note: fields.text("note") })
}

/// Sets a field of a mark to what the feature says; what it says nothing of stays as is usual.
fn fill(fields: &Fields, field: &MarkField, kind: &mut LandmarkKind) -> Result<(), FileError> {
    let name = field.name;
    match &field.value {
        MarkValue::Length(_, member) => set_known(member, kind, fields.length(name)?),
        MarkValue::Direction(_, member) => set_known(member, kind, fields.number(name)?),
        MarkValue::KnownLength(_, member) => member.set(kind, fields.length(name)?),
        MarkValue::KnownNumber(_, member) => member.set(kind, fields.number(name)?),
        MarkValue::Text(member) => member.set(kind, fields.text(name)),
        MarkValue::Day(member) => member.set(kind, fields.day(name)?),
        MarkValue::YesNo(member) => member.set(kind, fields.is(name)),
        MarkValue::Choice(choice) => {
            let text = fields.text(name);
            if !text.is_empty() {
                let named = (choice.named)(&text);
                let wrong = || fields.wrong(name, &text, &choice.file_words().join(", "));
                (choice.set)(kind, named.ok_or_else(wrong)?);
            }
        }
        MarkValue::Layers(member) => member.set(kind, layers(fields)?),
        MarkValue::Exposed(member) => member.set(kind, exposed(fields)?),
    }
    Ok(())
}

fn set_known(member: &Member<f64>, kind: &mut LandmarkKind, value: Option<f64>) {
    if let Some(value) = value {
        member.set(kind, value);
    }
}

/// What the words themselves tell: a feature that is a gas line carries gas, a willow seeks water.
fn told_by_words(what: &str, kind: &mut LandmarkKind) {
    if let LandmarkKind::Utility(Utility { carries: carries @ Carries::Unknown, .. }) = kind {
        *carries = Carries::named(what);
    }
    if let LandmarkKind::Trees { species, thirsty } = kind {
        let species = species.to_lowercase();
        *thirsty |= THIRSTY.iter().any(|kind| species.contains(kind));
    }
}

/// Where a utility was found: both levels, the name and the day, or none of them.
fn exposed(fields: &Fields) -> Result<Option<Exposed>, FileError> {
    let levels = [fields.length("exposed_top")?, fields.length("exposed_bottom")?];
    let (by, on) = (fields.text("exposed_by"), fields.day("exposed_on")?);
    match (levels, on) {
        ([None, None], None) if by.is_empty() => Ok(None),
        ([Some(top_m), Some(bottom_m)], Some(on)) if !by.is_empty() => Ok(Some(Exposed { by, on, top_m, bottom_m })),
        _ => Err(fields.wrong(
            "exposed_top",
            &fields.text("exposed_top"),
            "a level together with exposed_bottom, exposed_by and exposed_on",
        )),
    }
}

/// The layers of a pit: those of the property `layers`, each `[depth, texture]` or an object with what was tested; one that
/// the pit itself tells.
fn layers(fields: &Fields) -> Result<Vec<SoilLayer>, FileError> {
    let mut layers = Vec::new();
    if !fields.text("texture").is_empty() {
        layers.push(SoilLayer { to_m: fields.length("depth")?.unwrap_or(2.0), ..layer(fields)? });
    }
    for told in fields.value("layers").and_then(Value::as_array).into_iter().flatten() {
        let wrong = || {
            fields.wrong(
                "layers",
                &told.to_string(),
                "[depth in meters, texture] or an object with depth and texture",
            )
        };
        layers.push(match told {
            Value::Object(all) => {
                let own = Fields { place: fields.place, all };
                SoilLayer { to_m: own.length("depth")?.ok_or_else(wrong)?, ..layer(&own)? }
            }
            pair => {
                let to_m = pair.get(0).and_then(Value::as_f64).ok_or_else(wrong)?;
                SoilLayer::of(to_m, texture(fields, pair.get(1).and_then(Value::as_str).unwrap_or_default())?)
            }
        });
    }
    Ok(layers)
}

/// Texture of a layer and what was tested of it; shares of the whole from 0 to 1.
fn layer(fields: &Fields) -> Result<SoilLayer, FileError> {
    Ok(SoilLayer {
        sand: fields.number("sand")?,
        clay: fields.number("clay")?,
        organic: fields.number("organic")?,
        porosity: fields.number("porosity")?,
        conductivity_ms: fields.conductivity("conductivity")?,
        ..SoilLayer::of(0.0, texture(fields, &fields.text("texture"))?)
    })
}

fn texture(fields: &Fields, text: &str) -> Result<Texture, FileError> {
    Texture::named(text).ok_or_else(|| fields.wrong("texture", text, "a texture such as silt loam"))
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn read(more: Value) -> Result<Landmark, FileError> {
        let mut all = json!({ "what": "gas", "name": "G\"1" });
        all.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        let outline = Outline::Along(vec![measure::Point::new(0.0, 0.0), measure::Point::new(9.0, 0.0)]);
        landmark("feature 1", all.as_object().unwrap(), outline)
    }

    /// What was exposed is read whole or not at all.
    #[test]
    fn an_exposed_utility_is_read() {
        let whole = json!({
            "exposed_top": "205.5 ft", "exposed_bottom": 62.4, "exposed_by": "R. Sund", "exposed_on": "2031-04-01",
        });
        let LandmarkKind::Utility(utility) = read(whole.clone()).unwrap().kind else { panic!("no utility") };
        let exposed = utility.exposed.unwrap();
        assert!((exposed.top_m - 205.5 * measure::FOOT_M).abs() < 1e-9 && exposed.bottom_m == 62.4);
        assert_eq!((exposed.by.as_str(), exposed.on.as_str()), ("R. Sund", "2031-04-01"));
        assert!(matches!(read(json!({})).unwrap().kind, LandmarkKind::Utility(Utility { exposed: None, .. })));
        for name in ["exposed_top", "exposed_bottom", "exposed_by", "exposed_on"] {
            let mut part = whole.clone();
            part.as_object_mut().unwrap().remove(name);
            let error = read(part).unwrap_err().to_string();
            assert!(
                error.contains("a level together with exposed_bottom, exposed_by and exposed_on"),
                "{name}: {error}"
            );
        }
        assert!(read(json!({ "exposed_top": "deep" })).unwrap_err().to_string().contains("'deep'"));
    }

    /// A pit's layers with what was tested, in feet and in metres, or as pairs; what cannot be read is named.
    #[test]
    fn tested_layers_are_read() {
        let pit = |layers: Value| {
            let all = json!({ "what": "pit", "layers": layers });
            let read = landmark("feature 1", all.as_object().unwrap(), Outline::At(measure::Point::new(0.0, 0.0)));
            read.map(|mark| mark.kind.pit().unwrap().layers.clone())
        };
        let tested = json!({
            "depth": "3 ft", "texture": "Clay Loam", "sand": 0.3, "clay": "0.35", "organic": 0.02, "porosity": 0.05,
            "conductivity": "0.694 ft/day",
        });
        let layers = pit(json!([[0.3, "loam"], tested.clone()])).unwrap();
        assert_eq!(layers[0], SoilLayer::of(0.3, Texture::Loam));
        let conductivity_ms = measure::parse_conductivity("0.694 ft/day", Units::Metric).ok();
        let (sand, clay, organic, porosity) = (Some(0.3), Some(0.35), Some(0.02), Some(0.05));
        let to_m = 3.0 * measure::FOOT_M;
        let texture = Texture::ClayLoam;
        assert_eq!(layers[1], SoilLayer { to_m, texture, sand, clay, organic, porosity, conductivity_ms });
        for (name, value, expected) in [
            ("conductivity", json!("fast"), "a conductivity such as 0.694 ft/day"),
            ("sand", json!("much"), "a number"),
            ("texture", json!("mud"), "a texture such as silt loam"),
            ("depth", Value::Null, "an object with depth and texture"),
        ] {
            let mut wrong = tested.clone();
            wrong[name] = value;
            let error = pit(json!([wrong])).unwrap_err().to_string();
            assert!(error.contains(expected), "{name}: {error}");
        }
        let metric = json!([{ "depth": 0.9, "texture": "silt", "conductivity": 0.21 }]);
        let read_ms = pit(metric).unwrap()[0].conductivity_ms.unwrap();
        assert!((read_ms * 86_400.0 - 0.21).abs() < 1e-12);
    }

    /// Properties that say something of a field, and the mark with it.
    fn say(field: &MarkField, all: &mut Map<String, Value>, kind: &mut LandmarkKind) {
        let (name, day) = (field.name.to_string(), "2031-04-01");
        let mut put = |name: String, value: Value| drop(all.insert(name, value));
        match &field.value {
            MarkValue::Length(_, member) => {
                put(name, json!("10 ft"));
                member.set(kind, 10.0 * measure::FOOT_M);
            }
            MarkValue::KnownLength(_, member) => {
                put(format!("{name}_m"), json!(0.7));
                member.set(kind, Some(0.7));
            }
            MarkValue::Direction(_, member) => {
                put(name, json!(31.5));
                member.set(kind, 31.5);
            }
            MarkValue::KnownNumber(_, member) => {
                put(name, json!("5.5"));
                member.set(kind, Some(5.5));
            }
            MarkValue::Text(member) => {
                put(name, json!("as said"));
                member.set(kind, "as said".into());
            }
            MarkValue::Day(member) => {
                put(name, json!(day));
                member.set(kind, Some(day.into()));
            }
            MarkValue::YesNo(member) => {
                put(name, json!("yes"));
                member.set(kind, true);
            }
            MarkValue::Choice(choice) => {
                let word = choice.file_words()[2];
                put(name, json!(word));
                (choice.set)(kind, (choice.words)().iter().position(|one| *one == word).unwrap());
            }
            MarkValue::Layers(member) => {
                put(name, json!([[0.9, "silt loam"]]));
                let texture = Texture::SiltLoam;
                member.set(kind, vec![SoilLayer::of(0.9, texture)]);
            }
            MarkValue::Exposed(member) => {
                put("exposed_top".into(), json!(62.6));
                put("exposed_bottom".into(), json!(62.4));
                put("exposed_by".into(), json!("R. Sund"));
                put("exposed_on".into(), json!(day));
                let (by, on) = ("R. Sund".into(), day.into());
                member.set(kind, Some(Exposed { by, on, top_m: 62.6, bottom_m: 62.4 }));
            }
        }
    }

    /// What a plan file stores of a kind beside its word.
    fn stored(kind: &LandmarkKind) -> Map<String, Value> {
        let whole = serde_json::to_value(kind).unwrap();
        let members = whole.as_object().and_then(|whole| whole.values().next()).and_then(Value::as_object);
        members.cloned().unwrap_or_default()
    }

    /// Under every word, with every property: each member that a plan file stores is set.
    #[test]
    fn a_feature_says_all_that_a_mark_can_hold() {
        for row in MARK_KINDS {
            let usual = (row.usual)();
            let (mut all, mut full) = (Map::new(), usual.clone());
            row.fields.iter().for_each(|field| say(field, &mut all, &mut full));
            for word in [row.word].iter().chain(row.other_words) {
                for property in ["what", "kind"] {
                    let mut all = all.clone();
                    all.insert(property.into(), json!(word.to_uppercase()));
                    let read = landmark("feature 1", &all, Outline::At(measure::Point::new(0.0, 0.0))).unwrap();
                    assert_eq!(read.kind, full, "{property} {word}");
                }
            }
            let before = stored(&usual);
            for (name, value) in stored(&full) {
                assert_ne!(before.get(&name), Some(&value), "no property sets {name} of {}", row.word);
            }
        }
    }

    /// A feature that says only what it is makes the usual mark; what its words tell is heard.
    #[test]
    fn a_feature_that_says_nothing_is_as_usual() {
        let read = |what: &str, species: &str| {
            let all = json!({ "what": what, "species": species });
            landmark("feature 1", all.as_object().unwrap(), Outline::At(measure::Point::new(0.0, 0.0))).unwrap().kind
        };
        MARK_KINDS.iter().for_each(|row| assert_eq!(read(row.word, ""), (row.usual)(), "{}", row.word));
        let carried =
            |what: &str| read(what, "").utility().map_or(Carries::Unknown, |utility: &Utility| utility.carries);
        assert_eq!(
            ["gas", "cable", "fibre", "utility"].map(carried),
            [Carries::Gas, Carries::Power, Carries::Telecom, Carries::Unknown]
        );
        assert!(matches!(read("tree", "Crack willow"), LandmarkKind::Trees { thirsty: true, .. }));
        assert!(matches!(read("tree", "oak"), LandmarkKind::Trees { thirsty: false, .. }));
    }

    /// What cannot be read is named with its property and with what could stand there.
    #[test]
    fn a_property_that_cannot_be_read_is_named() {
        let wrong = |what: &str, name: &str, text: &str| {
            let all = json!({ "what": what, name: text });
            let outline = Outline::At(measure::Point::new(0.0, 0.0));
            landmark("feature 1", all.as_object().unwrap(), outline).unwrap_err().to_string()
        };
        let known = plan::Cause::ALL.map(|(_, word)| word).join(", ");
        let words = MARK_KINDS.iter().map(|row| row.word).collect::<Vec<_>>().join(", ");
        for (what, name, text, expected) in [
            ("wet", "cause", "not asked yet", known.as_str()),
            ("lane", "width", "wide", "a length such as 1.2, 1.2 m or 4 ft"),
            ("vines", "bearing", "north", "a number"),
            ("wetland", "determined", "1.4.2031", "a day as YYYY-MM-DD"),
            ("pond", "name", "P1", words.as_str()),
        ] {
            let error = wrong(what, name, text);
            let property = if what == "pond" { "property what" } else { &format!("property {name}") };
            assert!(error.contains(property) && error.contains(expected), "{error}");
        }
    }
}
