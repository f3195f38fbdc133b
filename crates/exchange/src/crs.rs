//! Coordinate reference systems: which grid on the earth the plan's metres lie on.

use std::fmt;
use std::sync::{Arc, OnceLock};

use measure::{LengthUnit, Point};
use plan::GroundRef;
use proj4rs::Proj;
use proj4rs::transform::transform;
use serde::{Deserialize, Serialize};

use crate::projection::Definition;

/// Half the width, in degrees of longitude, within which a place still counts as inside a UTM zone. A zone is 3° wide
/// to either side of its meridian; the widest exception (zone 32 off Norway) reaches 6° (common practice, no source).
const UTM_REACH_DEG: f64 = 6.5;
/// Farthest a place may lie from the middle of any other projection and still be plausible, degrees (own choice).
const OTHER_REACH_DEG: f64 = 40.0;

/// Longest definition that is read, bytes.
const LONGEST_DEFINITION: usize = 1_000;

/// Why a coordinate reference system cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CrsError {
    /// No such system, or none in words this program reads.
    #[error(
        "{found} is no coordinate system this program knows; expected a code such as EPSG:26915, a definition (+proj=…), or local"
    )]
    Unknown {
        /// What was asked for.
        found: String,
    },
    /// The system counts in a unit the program does not know.
    #[error("{found} counts in {unit}; expected meters, feet or US survey feet")]
    Unit {
        /// The system's name.
        found: String,
        /// Its unit as its definition gives it.
        unit: String,
    },
    /// Local coordinates have no place on the earth.
    #[error("local coordinates have no longitude and latitude; expected a named coordinate system")]
    Local,
    /// The place lies outside the world of the projection.
    #[error("{x}, {y} lies outside the reach of {name}")]
    Outside {
        /// First coordinate asked for.
        x: f64,
        /// Second coordinate asked for.
        y: f64,
        /// The system's name.
        name: String,
    },
}

/// A coordinate reference system known by its EPSG code or its definition, or unnamed local coordinates in some unit.
///
/// Written as text it is its name, and the unit of local coordinates stands beside it, as in [`plan::GroundRef`].
#[derive(Clone, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Crs(Kind);

#[derive(Clone)]
enum Kind {
    Local(LengthUnit),
    Named(Arc<Projection>),
}

/// A system with its two ends, ready to turn one into the other.
struct Projection {
    code: Option<u32>,
    definition: String,
    unit: LengthUnit,
    degrees: bool,
    shifted: bool,
    plane: Proj,
    lon_lat: Proj,
}

impl PartialEq for Crs {
    fn eq(&self, other: &Self) -> bool {
        (self.name(), self.unit()) == (other.name(), other.unit())
    }
}

impl fmt::Debug for Crs {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.name())
    }
}

impl TryFrom<String> for Crs {
    type Error = CrsError;

    fn try_from(text: String) -> Result<Self, CrsError> {
        Self::parse(&text)
    }
}

impl From<Crs> for String {
    fn from(crs: Crs) -> Self {
        crs.name()
    }
}

impl Crs {
    /// Unnamed coordinates in metres.
    pub const fn local() -> Self {
        Self::local_in(LengthUnit::Metre)
    }

    /// Unnamed coordinates that files state in a unit.
    pub const fn local_in(unit: LengthUnit) -> Self {
        Self(Kind::Local(unit))
    }

    /// The plane that a plan's ground names.
    pub fn of_ground(ground: &GroundRef) -> Result<Self, CrsError> {
        let crs = Self::parse(&ground.crs)?;
        Ok(if crs.is_local() { Self::local_in(ground.horizontal_unit) } else { crs })
    }

    const fn named(&self) -> Option<&Arc<Projection>> {
        match &self.0 {
            Kind::Local(_) => None,
            Kind::Named(projection) => Some(projection),
        }
    }

    fn of_projection(code: Option<u32>, text: &str) -> Result<Self, CrsError> {
        Ok(Self(Kind::Named(Arc::new(Projection::new(code, text)?))))
    }

    /// The system with an EPSG code; projected, or geographic in degrees.
    pub fn from_epsg(code: u32) -> Result<Self, CrsError> {
        let unknown = || CrsError::Unknown { found: format!("EPSG:{code}") };
        let definition = u16::try_from(code).ok().and_then(crs_definitions::from_code).ok_or_else(unknown)?;
        Self::of_projection(Some(code), definition.proj4)
    }

    /// The system of well-known text (WKT 1 of OGC or ESRI, or WKT 2), by its code or its parameters.
    pub fn from_wkt(text: &str) -> Result<Self, CrsError> {
        let unknown = || CrsError::Unknown { found: crate::error::shown(text.trim()) };
        crate::wkt::read(text).and_then(|said| said.crs).unwrap_or_else(|| Err(unknown()))
    }

    /// The system of parameters; by its code where the EPSG registry has the very same on the same datum.
    pub(crate) fn of(definition: &Definition) -> Result<Self, CrsError> {
        Self::defined(&definition.text())
    }

    /// Datum and ellipsoid of a system with an EPSG code, in the words of its definition.
    pub(crate) fn datum_words(code: u16) -> Option<String> {
        let known = crs_definitions::from_code(code)?;
        let words: Vec<&str> = known.proj4.split_whitespace().collect();
        same_datum(&words).strip_prefix("+proj=longlat ").map(str::to_string)
    }

    /// The system of a definition, `+proj=…`.
    fn defined(text: &str) -> Result<Self, CrsError> {
        match known_code(text) {
            Some(code) => Self::from_epsg(code),
            None => Self::of_projection(None, text),
        }
    }

    /// Reads `EPSG:26915`, `26915`, `urn:ogc:def:crs:EPSG::26915`, the web address of a code, `OGC:CRS84`, a definition
    /// such as `+proj=laea +lat_0=48 …`, `local`.
    pub fn parse(text: &str) -> Result<Self, CrsError> {
        let clean = text.trim();
        if clean.eq_ignore_ascii_case("local") {
            return Ok(Self::local());
        }
        if clean.starts_with("+proj=") && clean.len() <= LONGEST_DEFINITION {
            return Self::defined(clean);
        }
        let (authority, last) = split_code(clean);
        let code = match last.parse::<u32>() {
            Ok(code) if matches!(authority.to_ascii_uppercase().as_str(), "" | "EPSG") => Some(code),
            _ if last.eq_ignore_ascii_case("CRS84") => Some(4326),
            _ => None,
        };
        code.map_or_else(|| Err(CrsError::Unknown { found: crate::error::shown(clean) }), Self::from_epsg)
    }

    /// `EPSG:26915`, the definition of a system without a code, or `local`.
    pub fn name(&self) -> String {
        self.named().map_or_else(|| "local".into(), |p| p.name())
    }

    /// The EPSG code; `None` for local coordinates and systems without one.
    pub fn code(&self) -> Option<u32> {
        self.named().and_then(|p| p.code)
    }

    /// True for longitude and latitude in degrees.
    pub fn is_degrees(&self) -> bool {
        self.named().is_some_and(|p| p.degrees)
    }

    /// True for unnamed coordinates.
    pub fn is_local(&self) -> bool {
        self.named().is_none()
    }

    /// The unit in which files state coordinates of this system (of no meaning for degrees).
    pub fn unit(&self) -> LengthUnit {
        match &self.0 {
            Kind::Local(unit) => *unit,
            Kind::Named(projection) => projection.unit,
        }
    }

    /// True where a metre of the plane is far from a metre of ground, as in Web Mercator.
    pub fn is_world_map(&self) -> bool {
        self.named().is_some_and(|p| p.definition.contains("+proj=merc ") || p.definition.contains("+proj=eqc "))
    }

    /// What a person should know about longitudes and latitudes in this system, if anything.
    pub fn note(&self) -> Option<String> {
        let p = self.named()?;
        let name = self.name();
        if p.shifted {
            return Some(format!(
                "{name} is on another datum than WGS 84; the shift of its definition is applied to longitudes and latitudes and may be off by some meters"
            ));
        }
        if let Some(most_m) = self.left_out_shift_m() {
            let datum = self.datum_name().unwrap_or_default();
            return Some(format!(
                "{name} is on {datum}; no shift to WGS 84 is applied, and a program that applies one puts longitudes and latitudes up to {most_m} m away"
            ));
        }
        p.has_datum_of_old().then(|| {
            format!("{name} is on a datum of old, such as NAD 27; no shift to WGS 84 is applied, so longitudes and latitudes may be off by up to some 100 m")
        })
    }

    /// Longitude and latitude, degrees, of a place in metres of this system (in degrees for a geographic system).
    pub fn to_lon_lat(&self, p: Point) -> Result<(f64, f64), CrsError> {
        let projection = self.named().ok_or(CrsError::Local)?;
        if projection.degrees {
            return projection.checked(p.x, p.y, p.is_finite() && p.y.abs() <= 90.0);
        }
        let unit_m = projection.unit.metres();
        let mut at = (p.x / unit_m, p.y / unit_m, 0.0);
        let done = p.is_finite() && transform(&projection.plane, &projection.lon_lat, &mut at).is_ok();
        let (lon, lat) = (turn(at.0.to_degrees()), at.1.to_degrees());
        projection.checked(lon, lat, done).map_err(|_| projection.outside(p.x, p.y))
    }

    /// The place, in metres of this system, of a longitude and latitude in degrees.
    pub fn from_lon_lat(&self, lon: f64, lat: f64) -> Result<Point, CrsError> {
        let projection = self.named().ok_or(CrsError::Local)?;
        let outside = || projection.outside(lon, lat);
        if !(lon.abs() <= 540.0 && lat.abs() <= 90.0) {
            return Err(outside());
        }
        if projection.degrees {
            return Ok(Point::new(lon, lat));
        }
        let mut at = (turn(lon).to_radians(), lat.to_radians(), 0.0);
        transform(&projection.lon_lat, &projection.plane, &mut at).map_err(|_| outside())?;
        let unit_m = projection.unit.metres();
        let (x, y) = projection.checked(at.0 * unit_m, at.1 * unit_m, true).map_err(|_| outside())?;
        Ok(Point::new(x, y))
    }

    /// False where a place, in metres, cannot well belong to this system: far outside a UTM zone, off the map, or not
    /// degrees. Local coordinates hold any place.
    pub fn fits(&self, p: Point) -> bool {
        let Some(projection) = self.named() else { return p.is_finite() };
        let Ok((lon, lat)) = self.to_lon_lat(p) else { return false };
        if projection.degrees {
            return lon.abs() <= 180.0 + 1e-9;
        }
        let Ok(back) = self.from_lon_lat(lon, lat) else { return false };
        measure::distance(p, back) < 1.0 && projection.reaches(lon, lat)
    }

    /// The UTM zone on WGS 84 that holds a longitude and latitude.
    pub fn utm_for(lon: f64, lat: f64) -> Self {
        let zone = utm_zone(lon);
        let code = if lat < 0.0 { 32_700 + zone } else { 32_600 + zone };
        Self::from_epsg(code).unwrap_or(Self::local())
    }

    /// The UTM zone for a longitude and latitude on this system's own datum where EPSG has one, else on WGS 84.
    pub(crate) fn utm_beside(&self, lon: f64, lat: f64) -> Self {
        let zone = utm_zone(lon);
        let own = match (self.code(), lat >= 0.0) {
            (Some(4258), true) if (28..=38).contains(&zone) => Some(25_800 + zone),
            (Some(4269), true) if (1..=23).contains(&zone) => Some(26_900 + zone),
            _ => None,
        };
        own.and_then(|code| Self::from_epsg(code).ok()).unwrap_or_else(|| Self::utm_for(lon, lat))
    }
}

/// UTM zone number of a longitude (NGA UTM definition: zone 1 starts at 180° west, 6° each).
fn utm_zone(lon: f64) -> u32 {
    (((turn(lon) + 180.0) / 6.0).floor().clamp(0.0, 59.0)) as u32 + 1
}

/// A longitude brought into −180 to 180.
fn turn(lon: f64) -> f64 {
    if lon.abs() <= 180.0 { lon } else { (lon + 180.0).rem_euclid(360.0) - 180.0 }
}

/// Authority and last part of a name such as `EPSG:1`, `urn:ogc:def:crs:EPSG::1` or `http://…/crs/EPSG/0/1`.
fn split_code(text: &str) -> (&str, &str) {
    let slashed = text.to_ascii_lowercase().starts_with("http");
    let mut parts = text.rsplit(if slashed { '/' } else { ':' });
    let last = parts.next().unwrap_or_default();
    let authority = parts.find(|part| part.chars().any(char::is_alphabetic)).unwrap_or_default();
    (authority, last)
}

impl Projection {
    fn new(code: Option<u32>, text: &str) -> Result<Self, CrsError> {
        let name = || code.map_or_else(|| text.to_string(), |code| format!("EPSG:{code}"));
        let kept: Vec<&str> = text.split_whitespace().filter(|word| !word.starts_with("+nadgrids")).collect();
        let definition = kept.join(" ");
        let degrees = definition.contains("+proj=longlat");
        let unit = if degrees { LengthUnit::Metre } else { unit_of(&kept, name)? };
        let shifted = has_shift(&kept);
        let far = if shifted { "+proj=longlat +datum=WGS84 +no_defs".to_string() } else { same_datum(&kept) };
        // The projection library ties NAD 27 to shift grids that are not at hand; its ellipsoid is all that is needed.
        let open = |words: &str| {
            let words = words.replace("+datum=NAD27", "+ellps=clrk66");
            Proj::from_proj_string(&words).map_err(|_| CrsError::Unknown { found: name() })
        };
        let (plane, lon_lat) = (open(&definition)?, open(&far)?);
        Ok(Self { code, definition, unit, degrees, shifted, plane, lon_lat })
    }

    fn name(&self) -> String {
        self.code.map_or_else(|| self.definition.clone(), |code| format!("EPSG:{code}"))
    }

    /// Whether the ellipsoid is none of those of today's data, and no shift is known.
    fn has_datum_of_old(&self) -> bool {
        const TODAY: [&str; 4] = ["+datum=WGS84", "+datum=NAD83", "+ellps=GRS80", "+ellps=WGS84"];
        let shifted = self.definition.contains("+towgs84=") || self.definition.contains("+datum=");
        let sphere = self.definition.contains("+a=6378137 +b=6378137");
        let old = self.definition.contains("+datum=NAD27");
        old || !(shifted || sphere || TODAY.iter().any(|word| self.definition.contains(word)))
    }

    fn outside(&self, x: f64, y: f64) -> CrsError {
        CrsError::Outside { x, y, name: self.name() }
    }

    fn checked(&self, x: f64, y: f64, done: bool) -> Result<(f64, f64), CrsError> {
        if done && x.is_finite() && y.is_finite() { Ok((x, y)) } else { Err(self.outside(x, y)) }
    }

    /// Whether a longitude and latitude are near enough to the middle of the projection.
    fn reaches(&self, lon: f64, lat: f64) -> bool {
        let word =
            |key: &str| self.definition.split_whitespace().find_map(|w| w.strip_prefix(key)?.parse::<f64>().ok());
        if let Some(zone) = word("+zone=") {
            let south = self.definition.contains("+south");
            let right_half = if south { lat <= 1.0 } else { lat >= -1.0 };
            return right_half && lat.abs() <= 84.5 && turn(lon - (zone * 6.0 - 183.0)).abs() <= UTM_REACH_DEG;
        }
        let middle = word("+lon_0=").unwrap_or(0.0);
        self.definition.contains("+proj=merc") || turn(lon - middle).abs() <= OTHER_REACH_DEG
    }
}

/// The lowest EPSG code with the same definition on a datum that the definition names. Ellipsoids alone name no datum:
/// several systems of the registry may share them.
fn known_code(text: &str) -> Option<u32> {
    // Looking all codes up takes some milliseconds, so those that name a datum are kept.
    static NAMED: OnceLock<Vec<(u16, &str)>> = OnceLock::new();
    let named = NAMED.get_or_init(|| {
        let all = (1024..=32_766).filter_map(|code| Some((code, crs_definitions::from_code(code)?.proj4)));
        all.filter(|(_, known)| known.contains("+datum=")).collect()
    });
    let kept = |key: &str| text.split_whitespace().find(|word| word.starts_with(key));
    let (datum, projection, zone) = (kept("+datum=")?, kept("+proj=")?, kept("+zone=").unwrap_or_default());
    let likely = |known: &str| [datum, projection, zone].iter().all(|word| known.contains(word));
    let wanted = compared(text);
    let same = |(_, known): &&(u16, &str)| likely(known) && alike(&wanted, &compared(known));
    named.iter().find(same).map(|(code, _)| u32::from(*code))
}

/// The words of a definition that make a difference, sorted.
fn compared(text: &str) -> Vec<(&str, &str)> {
    let mut all: Vec<(&str, &str)> =
        text.split_whitespace().map(|word| word.split_once('=').unwrap_or((word, ""))).collect();
    for (key, _) in &mut all {
        *key = if *key == "+k" { "+k_0" } else { key };
    }
    let nothing = |(key, value): &(&str, &str)| match (*key, value.parse::<f64>()) {
        ("+type" | "+no_defs", _) => true,
        ("+units", _) => *value == "m",
        ("+k_0", Ok(value)) => value == 1.0,
        ("+x_0" | "+y_0" | "+lat_0" | "+lon_0" | "+lat_ts", Ok(value)) => value == 0.0,
        _ => false,
    };
    all.retain(|word| !nothing(word));
    all.sort_unstable();
    all
}

fn alike(a: &[(&str, &str)], b: &[(&str, &str)]) -> bool {
    let number = |text: &str| text.parse::<f64>().ok();
    let near =
        |a: &str, b: &str| number(a).zip(number(b)).is_some_and(|(a, b)| (a - b).abs() <= 1e-9 * a.abs().max(1.0));
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.0 == b.0 && (a.1 == b.1 || near(a.1, b.1)))
}

/// The length unit of a definition.
fn unit_of(words: &[&str], name: impl Fn() -> String) -> Result<LengthUnit, CrsError> {
    let value = |key: &str| words.iter().find_map(|word| word.strip_prefix(key));
    let all = [LengthUnit::Metre, LengthUnit::Foot, LengthUnit::SurveyFoot];
    if let Some(text) = value("+to_meter=") {
        let near = |unit: &LengthUnit| text.parse::<f64>().is_ok_and(|m| (m / unit.metres() - 1.0).abs() < 1e-9);
        return all.into_iter().find(near).ok_or_else(|| CrsError::Unit { found: name(), unit: format!("{text} m") });
    }
    let sign = value("+units=").unwrap_or("m");
    LengthUnit::from_sign(sign).ok_or_else(|| CrsError::Unit { found: name(), unit: sign.into() })
}

/// True where the definition shifts its datum to WGS 84 by other than nothing.
fn has_shift(words: &[&str]) -> bool {
    words.iter().any(|word| {
        let datum = word.strip_prefix("+datum=").is_some_and(|d| !matches!(d, "WGS84" | "NAD83" | "NAD27"));
        let zero = |n: &str| n.parse::<f64>().is_ok_and(|v| v == 0.0);
        let numbers = word.strip_prefix("+towgs84=").is_some_and(|list| !list.split(',').all(zero));
        datum || numbers
    })
}

/// Longitude and latitude on the definition's own datum.
fn same_datum(words: &[&str]) -> String {
    const KEPT: [&str; 7] = ["+datum=", "+ellps=", "+a=", "+b=", "+rf=", "+towgs84=", "+R="];
    let own = words.iter().filter(|word| KEPT.iter().any(|key| word.starts_with(key)));
    ["+proj=longlat"].iter().chain(own).copied().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plane(code: u32, lat: f64, lon: f64) -> Point {
        Crs::from_epsg(code).unwrap().from_lon_lat(lon, lat).unwrap()
    }

    fn custom(text: &str) -> Crs {
        Crs::of_projection(None, text).unwrap()
    }

    fn near(at: Point, x: f64, y: f64, within_m: f64) {
        assert!(measure::distance(at, Point::new(x, y)) <= within_m, "{at:?} is not {x}, {y}");
    }

    /// Check points of [TM-EX]; the fourth worked out with another series for the same projection.
    #[test]
    fn published_check_points() {
        near(plane(32617, 43.642_567, -79.387_139), 630_084.301, 4_833_438.586, 0.02);
        near(plane(25830, 1.0, -2.0), 611_263.812_278_905, 110_547.105_696_804, 1e-6);
        near(plane(25832, 56.0, 12.0), 687_071.439_109_44, 6_210_141.326_748_01, 1e-6);
        near(plane(32615, 42.0, -93.6), 450_309.330_45, 4_649_950.322_42, 1e-4);
        let airy = "+proj=tmerc +lat_0=49 +lon_0=-2 +k=0.9996012717 +x_0=400000 +y_0=-100000 +ellps=airy +units=m";
        near(custom(airy).from_lon_lat(0.5, 50.5).unwrap(), 577_274.99, 69_740.50, 0.02);
        let (lat, lon) = (52.0 + 39.0 / 60.0 + 27.2531 / 3600.0, 1.0 + 43.0 / 60.0 + 4.5177 / 3600.0);
        near(custom(airy).from_lon_lat(lon, lat).unwrap(), 651_409.903, 313_177.270, 0.02);
        let plain = custom("+proj=tmerc +lat_0=0 +lon_0=0 +k=1 +ellps=GRS80 +units=m");
        near(plain.from_lon_lat(2.0, 1.0).unwrap(), 222_650.796_797_586, 110_642.229_411_933, 1e-6);
        near(plain.from_lon_lat(44.69, 35.37).unwrap(), 4_168_136.489_446_198, 4_985_511.302_287_407, 0.02);
        let (lon, lat) = plain.to_lon_lat(Point::new(200.0, 100.0)).unwrap();
        assert!((lon - 0.001_796_630_568_16).abs() < 1e-12 && (lat - 0.000_904_369_476_63).abs() < 1e-12);
    }

    #[test]
    fn every_spelling_of_a_code() {
        for text in [
            "EPSG:26915",
            "epsg:26915",
            " 26915 ",
            "urn:ogc:def:crs:EPSG::26915",
            "urn:ogc:def:crs:EPSG:9.1:26915",
            "http://www.opengis.net/def/crs/EPSG/0/26915",
        ] {
            assert_eq!(Crs::parse(text).unwrap().name(), "EPSG:26915", "{text}");
        }
        assert!(Crs::parse("local").unwrap().is_local());
        assert!(Crs::parse("urn:ogc:def:crs:OGC:1.3:CRS84").unwrap().is_degrees());
        for text in ["", "EPSG:1", "EPSG:99999999", "ESRI:102100", "here", "EPSG:"] {
            assert!(Crs::parse(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_system_is_written_by_its_name() {
        let crs = Crs::from_epsg(2263).unwrap();
        assert_eq!(serde_json::to_string(&crs).unwrap(), "\"EPSG:2263\"");
        assert_eq!(serde_json::from_str::<Crs>("\"EPSG:2263\"").unwrap(), crs);
        assert!(serde_json::from_str::<Crs>("\"EPSG:7\"").is_err());
    }

    #[test]
    fn units_of_the_three_kinds_and_others_refused() {
        let unit = |code| Crs::from_epsg(code).map(|crs| crs.unit());
        assert_eq!(unit(26915), Ok(LengthUnit::Metre));
        assert_eq!(unit(2263), Ok(LengthUnit::SurveyFoot));
        assert_eq!(unit(2256), Ok(LengthUnit::Foot));
        assert!(matches!(unit(2314), Err(CrsError::Unit { .. })));
    }

    #[test]
    fn places_that_cannot_belong_are_seen() {
        let utm15 = Crs::from_epsg(26915).unwrap();
        assert!(utm15.fits(Point::new(463_439.0, 4_757_131.0)));
        assert!(!utm15.fits(Point::new(-1_500_000.0, 4_757_131.0)));
        assert!(!utm15.fits(Point::new(f64::NAN, 0.0)));
        assert!(!Crs::from_epsg(4326).unwrap().fits(Point::new(463_439.0, 4_757_131.0)));
        assert!(Crs::local().fits(Point::new(5.0, 5.0)));
        assert!(Crs::local().to_lon_lat(Point::new(5.0, 5.0)).is_err());
    }

    #[test]
    fn zones_and_their_halves() {
        assert_eq!(Crs::utm_for(-93.6, 42.0).name(), "EPSG:32615");
        assert_eq!(Crs::utm_for(149.1, -35.3).name(), "EPSG:32755");
        assert_eq!(Crs::utm_for(180.0, 10.0).name(), "EPSG:32660");
        assert_eq!(Crs::from_epsg(4258).unwrap().utm_beside(15.8, 46.4).name(), "EPSG:25833");
        assert_eq!(Crs::from_epsg(4269).unwrap().utm_beside(-93.6, 42.0).name(), "EPSG:26915");
    }

    #[test]
    fn a_shift_of_datum_is_told() {
        assert!(Crs::from_epsg(27700).unwrap().note().is_some());
        assert!(Crs::from_epsg(26715).unwrap().note().is_some());
        assert!(Crs::from_epsg(3794).unwrap().note().is_none());
    }
}
