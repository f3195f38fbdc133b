//! The form for old tile found in the trench: what a person types, in the units of the plan, and the find it makes.

use std::path::Path;

use exchange::FileError;
use plan::{Condition, Find, Material, Photo, Plan, Running, Spot, Taken};
use record::line_deg;

use crate::entering::{in_force, place_words, read_place, running};

/// The fields as typed; an empty one is not known.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct FindForm {
    /// Name of the line in whose trench it lies.
    pub line: String,
    /// Station on that line.
    pub station: String,
    /// The place instead, easting and northing.
    pub place: String,
    /// Its invert, a level.
    pub invert: String,
    /// Its inside diameter.
    pub size: String,
    /// What it is made of.
    pub material: Material,
    /// Which way it falls: a bearing, a wind, or from which side it comes.
    pub falls: String,
    /// What runs: a bucket and its seconds, "dry", "runs".
    pub running: String,
    /// Depth of silt.
    pub silt: String,
    /// Its condition.
    pub condition: Condition,
    /// The land above it.
    pub upstream: String,
    /// True where its water comes from beyond the boundary.
    pub beyond: bool,
    /// The photo's file.
    pub photo: String,
    /// Who found it.
    pub by: String,
    /// Day, or day and time.
    pub at: String,
    /// What else was seen, and why it was decided so.
    pub note: String,
}

/// A field that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{field}: {why}")]
pub struct Unread {
    /// The field.
    pub field: &'static str,
    /// What was found and expected.
    pub why: String,
}

/// Words of the conditions.
pub const CONDITIONS: [(Condition, &str); 4] = [
    (Condition::Unknown, "unknown"),
    (Condition::Good, "good"),
    (Condition::Fair, "fair"),
    (Condition::Poor, "poor"),
];

const WINDS: [&str; 16] =
    ["n", "nne", "ne", "ene", "e", "ese", "se", "sse", "s", "ssw", "sw", "wsw", "w", "wnw", "nw", "nnw"];

fn unread(field: &'static str, why: impl ToString) -> Unread {
    Unread { field, why: why.to_string() }
}

/// A field that may be empty.
fn maybe<T, E: ToString>(
    field: &'static str,
    text: &str,
    read: impl FnOnce(&str) -> Result<T, E>,
) -> Result<Option<T>, Unread> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    read(text).map(Some).map_err(|why| unread(field, why))
}

impl FindForm {
    /// The form of a find that is in the record already.
    pub fn of(plan: &Plan, find: &Find) -> Self {
        let units = plan.title.units;
        let length = |length_m: Option<f64>| length_m.map(|m| units.depth(m)).unwrap_or_default();
        let on = record::trench_of(plan, &find.spot);
        let place = match find.spot {
            Spot::Place(at) => place_words(at, crate::ground::plane(plan).unit()),
            Spot::Station { .. } => String::new(),
        };
        Self {
            line: on.map(|on| plan.lines[&on.line].name.clone()).unwrap_or_default(),
            station: on.map(|on| measure::station(on.station_m, units)).unwrap_or_default(),
            place,
            invert: find.invert_m.map(|m| units.level(m)).unwrap_or_default(),
            size: find.size_m.map(|m| units.pipe(m)).unwrap_or_default(),
            material: find.material,
            falls: find.falls_deg.map(|deg| format!("{deg:.0}")).unwrap_or_default(),
            running: match find.running {
                Running::Unknown => String::new(),
                Running::Dry => "dry".into(),
                Running::Runs => "runs".into(),
                Running::Flow(flow_m3s) => units.flow(flow_m3s),
            },
            silt: length(find.silt_m),
            condition: find.condition,
            upstream: find.upstream_m2.map(|m2| units.area(m2)).unwrap_or_default(),
            beyond: find.from_beyond,
            photo: String::new(),
            by: find.taken.by.clone(),
            at: find.taken.at.clone(),
            note: find.note.clone(),
        }
    }

    /// The find that it makes, or the one of the record that it shows; the first field that cannot be read is told. The key of a
    /// new one is made of when and where, so that the same form makes the same entry.
    pub fn read(&self, plan: &Plan) -> Result<Find, Unread> {
        let shows = |find: &&Find| {
            Self { photo: self.photo.clone(), note: self.note.clone(), ..Self::of(plan, find) } == *self
        };
        if let Some(find) = plan.record.finds().find(shows) {
            return Ok(find.clone());
        }
        let units = plan.title.units;
        let spot = self.spot(plan)?;
        let length = |text: &str| measure::parse_length(text, units);
        if self.by.trim().is_empty() {
            return Err(unread("Who", "found nothing, expected a name: who found it is kept"));
        }
        if self.at.trim().is_empty() {
            return Err(unread("When", "found nothing, expected a day, YYYY-MM-DD, or YYYY-MM-DDTHH:MM"));
        }
        let plain = |text: &str| measure::plain(text.trim()).into_owned();
        let taken = Taken { by: plain(&self.by), at: plain(&self.at), revision: in_force(plan) };
        let find = Find {
            key: self.key(plan, &spot),
            taken,
            spot,
            invert_m: maybe("Invert", &self.invert, length)?,
            size_m: maybe("Size", &self.size, measure::parse_pipe_size)?,
            material: self.material,
            falls_deg: maybe("Falls toward", &self.falls, |text| falls(plan, &spot, text))?,
            running: maybe("Running", &self.running, |text| running(text, units))?.unwrap_or_default(),
            silt_m: maybe("Silt", &self.silt, length)?,
            condition: self.condition,
            upstream_m2: maybe("Land above", &self.upstream, |text| measure::parse_area(text, units))?,
            from_beyond: self.beyond,
            decided: None,
            note: plain(&self.note),
            struck: None,
        };
        Ok(Find { key: free_key(plan, &find), ..find })
    }

    /// Where it lies: the place where one is typed, else line and station.
    fn spot(&self, plan: &Plan) -> Result<Spot, Unread> {
        if !self.place.trim().is_empty() {
            let at = read_place(&self.place, crate::ground::plane(plan).unit())
                .ok_or_else(|| unread("Place", format!("found '{}', expected easting, northing", self.place)))?;
            let spot = Spot::Place(at);
            let none = "found no planned line there, expected a place in the trench of one";
            return record::trench_of(plan, &spot).map(|_| spot).ok_or_else(|| unread("Place", none));
        }
        let names = || plan.lines.values().filter(|l| !l.kind.is_old()).map(|l| l.name.as_str()).collect::<Vec<_>>();
        let is_new = |id: &plan::LineId| !plan.lines[id].kind.is_old();
        let line = plan.line_named(self.line.trim()).filter(is_new).ok_or_else(|| {
            let found =
                if self.line.trim().is_empty() { "nothing".into() } else { format!("'{}'", self.line.trim()) };
            unread("Line", format!("found {found}, expected one of: {}, or a place", names().join(", ")))
        })?;
        let length_m = plan.lines[&line].length_m();
        let station_m = measure::parse_station(&self.station, plan.title.units)
            .filter(|station_m| (0.0..=length_m + 0.01).contains(station_m));
        let end = measure::station(length_m, plan.title.units);
        let station_m = station_m.ok_or_else(|| {
            unread("Station", format!("found '{}', expected a station up to {end}", self.station.trim()))
        })?;
        Ok(Spot::Station { line, station_m: station_m.min(length_m) })
    }

    fn key(&self, plan: &Plan, spot: &Spot) -> String {
        let on = record::trench_of(plan, spot);
        let place = on.map(|on| format!("{}-{:.0}", on.line.0, on.station_m * 100.0)).unwrap_or_default();
        let when: String = self.at.chars().filter(char::is_ascii_alphanumeric).take(20).collect();
        format!("found-{when}-{place}")
    }
}

/// The key of a find, with a number behind it where the record has another entry of that key.
fn free_key(plan: &Plan, find: &Find) -> String {
    let keys = std::iter::once(find.key.clone()).chain((2..).map(|n| format!("{}-{n}", find.key)));
    let is_free = |key: &String| match plan.record.finds.iter().find(|other| other.key == *key) {
        Some(other) => *other == Find { key: key.clone(), decided: other.decided.clone(), ..find.clone() },
        None => !plan.record.keys().any(|other| other == key),
    };
    keys.into_iter().find(is_free).unwrap_or_default()
}

/// Reads which way it falls: degrees from north, a wind, or the side of the trench it comes from, looking up the line.
fn falls(plan: &Plan, spot: &Spot, text: &str) -> Result<f64, String> {
    let word = text.trim().to_lowercase();
    let up_deg = || {
        let on = record::trench_of(plan, spot)?;
        Some(line_deg(plan.lines.get(&on.line)?, on.station_m))
    };
    let side_deg = match word.as_str() {
        "from left" | "left" => Some(90.0),
        "from right" | "right" => Some(-90.0),
        "from above" | "above" => Some(180.0),
        _ => None,
    };
    let deg = match side_deg {
        Some(side_deg) => up_deg().map(|up_deg| up_deg + side_deg),
        None => match WINDS.iter().position(|wind| *wind == word) {
            Some(wind) => Some(wind as f64 * 22.5),
            None => word.trim_end_matches(['°', ' ']).parse::<f64>().ok().filter(|deg| deg.is_finite()),
        },
    };
    let expected = "a bearing in degrees, a wind such as SSW, or the side it comes from, looking up the line: from left, from \
                    right, from above";
    deg.map(|deg| deg.rem_euclid(360.0)).ok_or_else(|| format!("found '{}', expected {expected}", text.trim()))
}

/// A photo of a find: its file as the plan names it, and its checksum.
pub fn photo(file: &Path, plan_file: &Path, find: &Find) -> Result<Photo, FileError> {
    let bytes = exchange::read_bytes(file)?;
    Ok(Photo {
        file: crate::files::beside(file, plan_file)?,
        sha256: crate::parcel::checksum(&bytes),
        spot: Some(find.spot),
        looks_deg: None,
        at: find.taken.at.clone(),
        caption: String::new(),
        of: find.key.clone(),
    })
}
