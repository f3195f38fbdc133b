//! What a field page handed back: shots, finds and notes as GeoJSON. A feature that makes no sense is refused by itself, with
//! its place, what was found and what was expected; the others are read. Geometry is for other programs: where an entry lies
//! is read from its properties, in metres.

use measure::{Point, plain};
use plan::{DugShot, FIELD_FORMAT, FieldNote, Find, LineId, Running, Spot, Taken};
use serde::de::DeserializeOwned;
use serde_json::{Map, Value};

use crate::FileError;
use crate::error::shown;

/// Largest file that is read, bytes (own choice: a phone's whole season of entries is a tenth of it).
pub const MOST_FIELD_BYTES: usize = 8 << 20;
/// Most entries that are read of a file (own choice).
const MOST_ENTRIES: usize = 5_000;
/// How far a level may lie off the plane less the rod reading from which it was made, metres: rounding.
const SAME_LEVEL_M: f64 = 0.001;

/// A file that was handed back.
#[derive(Debug, Clone, PartialEq)]
pub struct HandedBack {
    /// Name of the plan that the page was made from.
    pub plan: String,
    /// Letter of its sheets; empty for a draft.
    pub revision: String,
    /// By what the state of the plan is known again.
    pub mark: String,
    /// The same of the plan's first issue; empty where none was issued.
    pub first: String,
    /// Its entries.
    pub entries: Vec<Handed>,
    /// What could not be read, and why.
    pub refused: Vec<String>,
}

/// An entry as it was handed back.
#[derive(Debug, Clone, PartialEq)]
pub struct Handed {
    /// Where it stands in the file: "feature 3".
    pub place: String,
    /// Name of the line that it was made at; empty for a place beside the lines.
    pub line: String,
    /// Where it was made, metres.
    pub at: Point,
    /// What it says.
    pub entry: Entry,
}

/// What an entry says.
#[derive(Debug, Clone, PartialEq)]
pub enum Entry {
    /// A level shot on what was laid.
    Shot(DugShot),
    /// Old tile that was found.
    Find(Find),
    /// Something said.
    Note(FieldNote),
}

impl Entry {
    /// Its key.
    pub fn key(&self) -> &str {
        match self {
            Self::Shot(shot) => &shot.key,
            Self::Find(find) => &find.key,
            Self::Note(note) => &note.key,
        }
    }

    /// Who made it, when, by which sheets.
    pub const fn taken(&self) -> &Taken {
        match self {
            Self::Shot(shot) => &shot.taken,
            Self::Find(find) => &find.taken,
            Self::Note(note) => &note.taken,
        }
    }

    /// Where it was made, as it was told.
    pub const fn spot(&self) -> Option<Spot> {
        match self {
            Self::Shot(shot) => Some(shot.spot),
            Self::Find(find) => Some(find.spot),
            Self::Note(note) => note.spot,
        }
    }

    /// The same entry at another spot.
    #[must_use]
    pub fn moved(self, spot: Spot) -> Self {
        match self {
            Self::Shot(shot) => Self::Shot(DugShot { spot, ..shot }),
            Self::Find(find) => Self::Find(Find { spot, ..find }),
            Self::Note(note) => Self::Note(FieldNote { spot: Some(spot), ..note }),
        }
    }
}

/// True for a text that says of itself that a field page handed it back.
pub fn is_handed_back(bytes: &[u8]) -> bool {
    bytes.len() <= MOST_FIELD_BYTES && head(bytes).is_ok()
}

/// Reads a file that a field page handed back.
pub fn read_handed_back(bytes: &[u8]) -> Result<HandedBack, FileError> {
    if bytes.len() > MOST_FIELD_BYTES {
        return Err(FileError::too_large(format!("{} bytes", bytes.len()), format!("{MOST_FIELD_BYTES} bytes")));
    }
    let root = head(bytes)?;
    let head = Members { place: "the head of the file", map: &root };
    let features = root.get("features").and_then(Value::as_array);
    let missing = || FileError::malformed(head.place, "no list of features", "a features member");
    let features = features.ok_or_else(missing)?;
    if features.len() > MOST_ENTRIES {
        return Err(FileError::too_large(format!("{} entries", features.len()), format!("{MOST_ENTRIES} entries")));
    }
    let (mut entries, mut refused) = (Vec::new(), Vec::new());
    for (index, feature) in features.iter().enumerate() {
        match handed(format!("feature {}", index + 1), feature) {
            Ok(handed) => entries.push(handed),
            Err(error) => refused.push(error.to_string()),
        }
    }
    let [plan, revision, mark, first] = ["plan", "revision", "mark", "first"].map(|name| head.text(name));
    Ok(HandedBack { plan: plan?, revision: revision?, mark: mark?, first: first?, entries, refused })
}

/// The members of a file that says it is one of ours.
fn head(bytes: &[u8]) -> Result<Map<String, Value>, FileError> {
    let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let root = serde_json::from_slice(text).map_err(|error| {
        let place = format!("line {}, column {}", error.line(), error.column());
        FileError::malformed(place, error.to_string(), "what a field page handed back, GeoJSON text")
    })?;
    let expected = format!("a file that a field page handed back, \"format\": \"{FIELD_FORMAT}\"");
    let Value::Object(root) = root else {
        return Err(FileError::malformed("the file", "no JSON object", expected));
    };
    match root.get("format").and_then(Value::as_str) {
        Some(FIELD_FORMAT) => Ok(root),
        Some(other) => {
            Err(FileError::malformed("the head of the file", format!("format {}", shown(other)), expected))
        }
        None => Err(FileError::malformed("the head of the file", "no format", expected)),
    }
}

fn handed(place: String, feature: &Value) -> Result<Handed, FileError> {
    let properties = feature.get("properties").and_then(Value::as_object);
    let missing = || FileError::malformed(&place, "no properties", "a feature with the properties of an entry");
    let members = Members { place: &place, map: properties.ok_or_else(missing)? };
    let at = Point::new(members.needed_number("easting_m")?, members.needed_number("northing_m")?);
    let line = members.text("line")?;
    let spot = match line.is_empty() {
        true => Spot::Place(at),
        false => {
            let station_m = members.needed_number("station_m")?;
            Spot::Station { line: LineId(members.id("line_id")?), station_m }
        }
    };
    let entry = match members.text("what")?.as_str() {
        "shot" => Entry::Shot(members.shot(spot)?),
        "find" => Entry::Find(members.find(spot)?),
        "note" => Entry::Note(members.note(spot)?),
        other => return Err(members.wrong("what", shown(other), "shot, find or note")),
    };
    Ok(Handed { place, line, at, entry })
}

/// The members of an object, with its place in the file.
struct Members<'a> {
    place: &'a str,
    map: &'a Map<String, Value>,
}

impl Members<'_> {
    fn wrong(&self, name: &str, found: impl Into<String>, expected: impl Into<String>) -> FileError {
        FileError::malformed(format!("{}, {name}", self.place), found, expected)
    }

    /// A text on one line, as a plan keeps it, hidden signs shown; empty where there is none.
    fn text(&self, name: &str) -> Result<String, FileError> {
        match self.map.get(name) {
            None | Some(Value::Null) => Ok(String::new()),
            Some(Value::String(text)) => Ok(plain(text.trim()).into_owned()),
            Some(other) => Err(self.wrong(name, shown(&other.to_string()), "a text")),
        }
    }

    fn needed(&self, name: &str) -> Result<String, FileError> {
        let text = self.text(name)?;
        if text.is_empty() { Err(self.wrong(name, "nothing", "a text")) } else { Ok(text) }
    }

    fn number(&self, name: &str) -> Result<Option<f64>, FileError> {
        match self.map.get(name) {
            None | Some(Value::Null) => Ok(None),
            Some(value) => match value.as_f64().filter(|number| number.is_finite()) {
                Some(number) => Ok(Some(number)),
                None => Err(self.wrong(name, shown(&value.to_string()), "a number")),
            },
        }
    }

    fn needed_number(&self, name: &str) -> Result<f64, FileError> {
        self.number(name)?.ok_or_else(|| self.wrong(name, "nothing", "a number"))
    }

    fn id(&self, name: &str) -> Result<u32, FileError> {
        let found = self.map.get(name).unwrap_or(&Value::Null);
        let id = found.as_u64().and_then(|id| u32::try_from(id).ok());
        id.ok_or_else(|| self.wrong(name, shown(&found.to_string()), "the number of a line"))
    }

    /// One of the words of a choice; its usual one where there is none.
    fn choice<T: DeserializeOwned + Default>(&self, name: &str) -> Result<T, FileError> {
        match self.map.get(name) {
            None | Some(Value::Null) => Ok(T::default()),
            Some(value) => serde_json::from_value(value.clone())
                .map_err(|error| self.wrong(name, shown(&value.to_string()), format!("another word: {error}"))),
        }
    }

    fn taken(&self) -> Result<Taken, FileError> {
        Ok(Taken { by: self.needed("by")?, at: self.needed("at")?, revision: self.text("revision")? })
    }

    /// A level that agrees with the rod reading that it was made from, where that is told.
    fn level(&self, name: &str) -> Result<Option<f64>, FileError> {
        let level_m = self.number(name)?;
        if let (Some(level_m), Some(rod_m), Some(plane_m)) = (level_m, self.number("rod_m")?, self.number("plane_m")?)
            && (plane_m - rod_m - level_m).abs() > SAME_LEVEL_M
        {
            let expected = format!("{plane_m} m less the rod reading of {rod_m} m");
            return Err(self.wrong(name, format!("{level_m} m"), expected));
        }
        Ok(level_m)
    }

    fn shot(&self, spot: Spot) -> Result<DugShot, FileError> {
        let level_m = self.level("level_m")?.ok_or_else(|| self.wrong("level_m", "nothing", "a number"))?;
        Ok(DugShot {
            key: self.needed("key")?,
            taken: self.taken()?,
            spot,
            on: self.choice("on")?,
            level_m,
            scatter_m: None,
            fix: None,
            note: self.text("note")?,
            struck: None,
        })
    }

    fn find(&self, spot: Spot) -> Result<Find, FileError> {
        Ok(Find {
            key: self.needed("key")?,
            taken: self.taken()?,
            spot,
            invert_m: self.level("invert_m")?,
            size_m: self.number("size_m")?,
            material: self.choice("material")?,
            falls_deg: self.number("falls_deg")?,
            running: self.running()?,
            silt_m: self.number("silt_m")?,
            condition: self.choice("condition")?,
            upstream_m2: None,
            from_beyond: false,
            decided: None,
            note: self.with_photo("note")?,
            struck: None,
        })
    }

    fn running(&self) -> Result<Running, FileError> {
        match self.text("running")?.as_str() {
            "" | "unknown" => Ok(Running::Unknown),
            "dry" => Ok(Running::Dry),
            "runs" => Ok(Running::Runs),
            "flow" => Ok(Running::Flow(self.needed_number("flow_m3s")?)),
            other => Err(self.wrong("running", shown(other), "unknown, dry, runs or flow")),
        }
    }

    fn note(&self, spot: Spot) -> Result<FieldNote, FileError> {
        Ok(FieldNote {
            key: self.needed("key")?,
            taken: self.taken()?,
            on: self.choice("about")?,
            spot: Some(spot),
            says: self.with_photo("says")?,
            agreed_by: self.text("agreed_by")?,
        })
    }

    /// A text, with the name of the photo that belongs to it: the photo itself stays on the phone until it is added.
    fn with_photo(&self, name: &str) -> Result<String, FileError> {
        let (text, photo) = (self.text(name)?, self.text("photo")?);
        Ok(match (text.is_empty(), photo.is_empty()) {
            (_, true) => text,
            (true, false) => format!("Photo {photo}"),
            (false, false) => format!("{text}. Photo {photo}"),
        })
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests may stop the test")]
mod tests {
    use serde_json::json;

    use super::*;

    fn file(properties: Value) -> Vec<u8> {
        let feature = json!({ "type": "Feature", "geometry": null, "properties": properties });
        let all =
            json!({ "type": "FeatureCollection", "format": FIELD_FORMAT, "plan": "Bench", "features": [feature] });
        all.to_string().into_bytes()
    }

    fn shot() -> Value {
        json!({
            "what": "shot", "key": "abc.1", "by": "A. Marsh", "at": "2031-05-02T09:14", "revision": "B", "line": "L2",
            "line_id": 4, "station_m": 38.1, "easting_m": 12.0, "northing_m": 7.5, "on": "invert", "level_m": 126.04,
            "rod_m": 2.31, "plane_m": 128.35,
        })
    }

    fn with(name: &str, value: Value) -> Vec<u8> {
        let mut properties = shot();
        properties[name] = value;
        file(properties)
    }

    #[test]
    fn a_shot_is_read_as_it_was_entered() {
        let read = read_handed_back(&file(shot())).unwrap();
        assert_eq!((read.plan.as_str(), read.revision.as_str(), read.refused.len()), ("Bench", "", 0));
        let Entry::Shot(shot) = &read.entries[0].entry else { panic!("no shot") };
        assert_eq!(shot.spot, Spot::Station { line: LineId(4), station_m: 38.1 });
        assert_eq!((shot.level_m, shot.taken.by.as_str(), read.entries[0].line.as_str()), (126.04, "A. Marsh", "L2"));
    }

    #[test]
    fn what_makes_no_sense_is_told_with_place_found_and_expected() {
        let told = |bytes: Vec<u8>| read_handed_back(&bytes).unwrap().refused.join("");
        assert_eq!(told(with("what", json!("dog"))), "feature 1, what: found 'dog', expected shot, find or note");
        assert_eq!(told(with("level_m", json!("low"))), "feature 1, level_m: found '\"low\"', expected a number");
        assert_eq!(told(with("line_id", json!(-3))), "feature 1, line_id: found '-3', expected the number of a line");
        assert!(told(with("level_m", json!(126.4))).contains("expected 128.35 m less the rod reading of 2.31 m"));
        assert!(told(with("on", json!("lid"))).contains("unknown variant `lid`"));
        assert!(told(with("by", json!(" "))).ends_with("by: found nothing, expected a text"));
    }

    #[test]
    fn a_file_of_another_kind_is_no_hand_back() {
        for text in ["", "[]", "{}", r#"{"format":"other"}"#, r#"{"type":"FeatureCollection","features":[]}"#] {
            assert!(read_handed_back(text.as_bytes()).is_err() && !is_handed_back(text.as_bytes()), "{text}");
        }
        assert!(is_handed_back(&file(shot())));
    }
}
