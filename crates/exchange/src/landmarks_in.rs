//! Marks on the land from GeoJSON, KML and shapefiles: what a feature is stands in its property `what` (or `kind`), its few
//! fields in properties of their own; lengths carry their unit or are metres.

use measure::{Units, plain};
use plan::{Carries, Exposed, Landmark, LandmarkKind, Outline, Pit, Rows, SoilLayer, Texture, Utility};
use serde_json::{Map, Value};

use crate::FileError;

/// Words other than the program's own for a kind.
const OTHER_WORDS: &[(&str, &str)] = &[
    ("gas", "buried utility"),
    ("utility", "buried utility"),
    ("cable", "buried utility"),
    ("fibre", "buried utility"),
    ("fiber", "buried utility"),
    ("power line", "overhead power line"),
    ("overhead line", "overhead power line"),
    ("tree", "trees"),
    ("road", "road or lane"),
    ("lane", "road or lane"),
    ("track", "road or lane"),
    ("irrigation", "irrigation main"),
    ("vines", "rows"),
    ("pit", "soil pit"),
    ("wet", "wet area"),
    ("dam", "dam or levee"),
    ("levee", "dam or levee"),
    ("bank", "dam or levee"),
    ("wall", "footing or wall"),
    ("footing", "footing or wall"),
    ("store", "store or yard"),
    ("yard", "store or yard"),
    ("neighbour", "neighbour's side"),
    ("neighbor", "neighbour's side"),
];

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
    let own = OTHER_WORDS.iter().find(|(other, _)| *other == word).map_or(word.as_str(), |(_, own)| own);
    let kinds = LandmarkKind::all();
    let kind = kinds.iter().find(|kind| kind.word() == own).ok_or_else(|| {
        let known: Vec<&str> = kinds.iter().map(LandmarkKind::word).collect();
        fields.wrong(property, &word, &known.join(", "))
    })?;
    let kind = filled(&fields, kind, &word)?;
    Ok(Landmark { name: fields.text("name"), kind, outline, note: fields.text("note") })
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

/// A kind with what the feature says of it.
fn filled(fields: &Fields, kind: &LandmarkKind, word: &str) -> Result<LandmarkKind, FileError> {
    Ok(match kind {
        LandmarkKind::Utility(_) => LandmarkKind::Utility(Utility {
            carries: match carries(&fields.text("carries").to_lowercase()) {
                Carries::Unknown => carries(word),
                named => named,
            },
            depth_m: fields.length("depth")?,
            size_m: fields.length("size")?,
            clear_m: fields.length("clear")?,
            ticket: fields.text("ticket"),
            valid_until: fields.day("valid_until")?,
            exposed: exposed(fields)?,
        }),
        LandmarkKind::OverheadLine { .. } => LandmarkKind::OverheadLine { kilovolts: fields.number("kilovolts")? },
        LandmarkKind::Easement { .. } => LandmarkKind::Easement { holder: fields.text("holder") },
        LandmarkKind::Wetland { .. } => {
            LandmarkKind::Wetland { setback_m: fields.length("setback")?, determined: fields.day("determined")? }
        }
        LandmarkKind::Well { .. } => LandmarkKind::Well { keep_off_m: fields.length("keep_off")? },
        LandmarkKind::Septic { .. } => LandmarkKind::Septic { keep_off_m: fields.length("keep_off")? },
        LandmarkKind::Trees { .. } => {
            let species = fields.text("species");
            let known = THIRSTY.iter().any(|kind| species.to_lowercase().contains(kind));
            LandmarkKind::Trees { thirsty: fields.is("thirsty") || known, species }
        }
        LandmarkKind::Road { width_m, .. } => LandmarkKind::Road {
            width_m: fields.length("width")?.unwrap_or(*width_m),
            public: fields.is("public"),
            permission: fields.is("permission"),
        },
        LandmarkKind::Irrigation { .. } => {
            LandmarkKind::Irrigation { depth_m: fields.length("depth")?, size_m: fields.length("size")? }
        }
        LandmarkKind::Rows(rows) => LandmarkKind::Rows(Rows {
            bearing_deg: fields.number("bearing")?.unwrap_or(rows.bearing_deg),
            spacing_m: fields.length("spacing")?.unwrap_or(rows.spacing_m),
            post_depth_m: fields.length("post_depth")?,
            anchor_depth_m: fields.length("anchor_depth")?,
        }),
        LandmarkKind::Pit(_) => LandmarkKind::Pit(pit(fields)?),
        LandmarkKind::WetArea { .. } => {
            let text = fields.text("cause");
            let cause = plan::Cause::ALL.into_iter().find(|(_, word)| *word == text).map(|(cause, _)| cause);
            if cause.is_none() && !text.is_empty() {
                let known: Vec<&str> = plan::Cause::ALL.iter().map(|(_, word)| *word).collect();
                return Err(fields.wrong("cause", &text, &known.join(", ")));
            }
            LandmarkKind::WetArea { cause, leave: fields.is("leave") }
        }
        LandmarkKind::Footing { depth_m } => {
            LandmarkKind::Footing { depth_m: fields.length("depth")?.unwrap_or(*depth_m) }
        }
        LandmarkKind::Neighbour { .. } => LandmarkKind::Neighbour { agreed: fields.is("agreed") },
        LandmarkKind::SiteFlag { .. } => LandmarkKind::SiteFlag { decision: fields.text("decision") },
        plain => plain.clone(),
    })
}

fn carries(text: &str) -> Carries {
    // By the beginnings of whole words, so that a soil pipe is no oil line; a telephone cable is no power cable, nor is
    // waste water drunk.
    let has = |starts: &[&str]| {
        text.split(|c: char| !c.is_alphanumeric()).any(|word| starts.iter().any(|start| word.starts_with(start)))
    };
    match () {
        () if has(&["gas"]) => Carries::Gas,
        () if has(&["oil", "fuel"]) => Carries::Oil,
        () if has(&["tele", "fibre", "fiber", "phone"]) => Carries::Telecom,
        () if has(&["power", "electric", "cable"]) => Carries::Power,
        () if has(&["sewer", "sewage", "waste", "soil"]) => Carries::Sewer,
        () if has(&["water"]) => Carries::Water,
        () => Carries::Unknown,
    }
}

/// A pit: one texture and its depths; layers as a list of `[depth, texture]` where there are more.
fn pit(fields: &Fields) -> Result<Pit, FileError> {
    let texture =
        |text: &str| Texture::ALL.into_iter().find(|(_, word)| *word == text.to_lowercase()).map(|(t, _)| t);
    let wrong = |text: &str| fields.wrong("texture", text, "a texture such as silt loam");
    let mut layers = Vec::new();
    let single = fields.text("texture");
    if !single.is_empty() {
        let texture = texture(&single).ok_or_else(|| wrong(&single))?;
        let to_m = fields.length("depth")?.unwrap_or(2.0);
        layers.push(SoilLayer { to_m, texture, clay: fields.number("clay")?, conductivity_ms: None });
    }
    for layer in fields.value("layers").and_then(Value::as_array).into_iter().flatten() {
        let text = layer.get(1).and_then(Value::as_str).unwrap_or_default();
        let to_m = layer
            .get(0)
            .and_then(Value::as_f64)
            .ok_or_else(|| fields.wrong("layers", &layer.to_string(), "[depth in metres, texture]"))?;
        let texture = texture(text).ok_or_else(|| wrong(text))?;
        layers.push(SoilLayer { to_m, texture, clay: None, conductivity_ms: None });
    }
    Ok(Pit {
        layers,
        mottles_m: fields.length("mottles")?,
        tight_m: fields.length("tight")?,
        iron: fields.is("iron"),
        ph: fields.number("ph")?,
    })
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
}
