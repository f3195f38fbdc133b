//! Coordinate systems that a GeoTIFF or LAS file defines by its own keys (GeoTIFF 1.1, annex D; key and method numbers
//! of GeoTIFF 1.0, section 6.2 and 6.3).

use measure::LengthUnit;

use crate::Crs;
use crate::geokeys::GeoKeys;
use crate::projection::{Datum, Definition, Key, Method};

/// Parameters with the keys that may hold them, the likeliest first.
const PARAMETERS: [(Key, &[u16]); 9] = [
    (Key::Latitude, &[3081, 3085, 3089]),
    (Key::Longitude, &[3080, 3084, 3088, 3095]),
    (Key::Parallel1, &[3078]),
    (Key::Parallel2, &[3079]),
    (Key::Scale, &[3092, 3093]),
    (Key::Easting, &[3082, 3086, 3090]),
    (Key::Northing, &[3083, 3087, 3091]),
    (Key::Azimuth, &[3094]),
    (Key::Skew, &[3096]),
];

/// Ellipsoids by their code: major axis, metres, and inverse flattening (EPSG registry).
const ELLIPSOIDS: [(u16, f64, f64); 6] = [
    (7030, 6_378_137.0, 298.257_223_563),
    (7019, 6_378_137.0, 298.257_222_101),
    (7004, 6_377_397.155, 299.152_812_8),
    (7022, 6_378_388.0, 297.0),
    (7008, 6_378_206.4, 294.978_698_213_898),
    (7001, 6_377_563.396, 299.324_964_6),
];

/// The definition that the keys make up; `None` where they hold too little.
pub(crate) fn definition(keys: &GeoKeys) -> Option<Definition> {
    let datum = datum(keys)?;
    if keys.short(1024) == Some(2) {
        return Some(Definition::geographic(datum));
    }
    let unit = unit(keys)?;
    let degree = match keys.short(2054) {
        Some(9101) => 1f64.to_degrees(),
        Some(9105 | 9106) => 0.9,
        _ => 1.0,
    };
    let mut definition = Definition::new(method(keys)?, datum, unit);
    for (key, numbers) in PARAMETERS {
        let Some(value) = numbers.iter().find_map(|number| keys.number(*number)) else { continue };
        let scale = match key {
            _ if key.is_angle() => degree,
            _ if key.is_length() => unit.metres(),
            _ => 1.0,
        };
        definition.set(key, value * scale);
    }
    Some(definition)
}

fn method(keys: &GeoKeys) -> Option<Method> {
    Some(match keys.short(3075)? {
        1 => "tmerc",
        3 => "omerc",
        5 => "somerc",
        7 => "merc",
        8 | 9 => "lcc",
        10 => "laea",
        11 => "aea",
        12 => "aeqd",
        15 => "stere",
        16 => "sterea",
        17 => "eqc",
        18 => "cass",
        _ => return None,
    })
}

fn unit(keys: &GeoKeys) -> Option<LengthUnit> {
    match keys.short(3076) {
        Some(9001) | None => Some(LengthUnit::Metre),
        Some(9002) => Some(LengthUnit::Foot),
        Some(9003) => Some(LengthUnit::SurveyFoot),
        Some(_) => LengthUnit::of_metres(keys.number(3077)?),
    }
}

/// Datum words: of the geographic system or the datum that is named by code, else of the ellipsoid.
fn datum(keys: &GeoKeys) -> Option<String> {
    // The codes of classic data are those of their geographic systems and 2000 (EPSG registry).
    let named = keys.short(2048).into_iter().chain(keys.short(2050).and_then(|datum| datum.checked_sub(2000)));
    if let Some(words) = named.filter(|code| *code != 32767).find_map(Crs::datum_words) {
        return Some(words);
    }
    let known = ELLIPSOIDS.iter().find(|(code, _, _)| keys.short(2056) == Some(*code));
    let major_m = keys.number(2057).or(known.map(|(_, major_m, _)| *major_m))?;
    let by_minor =
        || keys.number(2058).map(|minor_m| if minor_m < major_m { major_m / (major_m - minor_m) } else { 0.0 });
    let inverse_flattening = keys.number(2059).or_else(by_minor).or(known.map(|(_, _, rf)| *rf))?;
    let meridian_deg = keys.number(2061).unwrap_or(0.0);
    Some(Datum { name: String::new(), major_m, inverse_flattening, shift: Vec::new(), meridian_deg }.words())
}
