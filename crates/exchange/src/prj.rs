//! The coordinate system of a `.prj` file or another well-known text.

use measure::LengthUnit;

use crate::error::shown;
use crate::ground::{Ask, Stated};
use crate::{Crs, wkt};

/// Longest text that is read, bytes (own choice; a compound system has some thousand).
const MOST_BYTES: usize = 64 << 10;

/// The coordinate system, by its code, its parameters, or its name as a UTM zone on a datum known here.
pub(crate) fn crs_of(text: &str) -> Option<Crs> {
    let said = read(text).and_then(|said| said.crs).and_then(Result::ok);
    said.or_else(|| Crs::from_epsg(utm_code(&quoted(text)?.replace(['_', '/'], " ").to_uppercase())?).ok())
}

/// The name of the system as the file gives it.
pub(crate) fn name_of(text: &str) -> String {
    quoted(text).map_or_else(|| shown(text.trim()), shown)
}

/// The unit of the coordinates, where the system is no geographic one.
pub(crate) fn unit_of(text: &str) -> Option<LengthUnit> {
    read(text)?.linear
}

fn read(text: &str) -> Option<wkt::Said> {
    (text.len() <= MOST_BYTES).then(|| wkt::read(text)).flatten()
}

/// Takes all that a text says into what a file states; `source` is where it stands.
pub(crate) fn state(text: &str, source: &str, stated: &mut Stated) {
    let said = read(text).unwrap_or_default();
    match crs_of(text) {
        Some(crs) => stated.crs = Some(crs),
        None => {
            let why = said.crs.and_then(Result::err).map_or_else(String::new, |error| format!(": {error}"));
            let name = name_of(text);
            stated.ask(Ask::Crs, format!("{source} names the coordinate system {name}, which cannot be used{why}"));
        }
    }
    stated.linear = stated.linear.or(said.linear);
    stated.vertical = stated.vertical.or(said.vertical);
    stated.datum = stated.datum.take().or(said.datum);
}

/// The first quoted name.
fn quoted(text: &str) -> Option<&str> {
    text.split('"').nth(1)
}

/// The code of `NAD 1983 UTM ZONE 15N` and its kin.
fn utm_code(name: &str) -> Option<u32> {
    let zone_text = name.split("UTM ZONE ").nth(1)?;
    let digits: String = zone_text.chars().take_while(char::is_ascii_digit).collect();
    let zone: u32 = digits.parse().ok().filter(|zone| (1..=60).contains(zone))?;
    let south = zone_text[digits.len()..].starts_with('S');
    let wgs = name.contains("WGS 1984") || name.contains("WGS 84");
    let nad83 = name.starts_with("NAD 1983 UTM") || name.starts_with("NAD83   UTM");
    let etrs = name.starts_with("ETRS 1989") || name.starts_with("ETRS89");
    match (south, wgs, nad83, etrs) {
        (false, true, _, _) => Some(32_600 + zone),
        (true, true, _, _) => Some(32_700 + zone),
        (false, _, true, _) if zone <= 23 => Some(26_900 + zone),
        (false, _, _, true) if (28..=38).contains(&zone) => Some(25_800 + zone),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const UTM: &str = r#"PROJCS["NAD_1983_UTM_Zone_15N",GEOGCS["GCS_North_American_1983",DATUM["D_North_American_1983",SPHEROID["GRS_1980",6378137,298.257222101]],PRIMEM["Greenwich",0],UNIT["Degree",0.017453292519943295]],PROJECTION["Transverse_Mercator"],UNIT["Meter",1]]"#;

    #[test]
    fn a_utm_zone_is_known_by_name() {
        assert_eq!(crs_of(UTM).unwrap().name(), "EPSG:26915");
        assert_eq!(unit_of(UTM), Some(LengthUnit::Metre));
        let south = UTM.replace("NAD_1983_UTM_Zone_15N", "WGS_1984_UTM_Zone_20S");
        assert_eq!(crs_of(&south).unwrap().name(), "EPSG:32720");
    }

    #[test]
    fn an_outer_authority_is_taken_and_an_inner_one_is_not() {
        let outer = r#"PROJCS["x",GEOGCS["y",AUTHORITY["EPSG","4269"]],UNIT["US survey foot",0.3048006096012192],AUTHORITY["EPSG","2263"]]"#;
        assert_eq!(crs_of(outer).unwrap().name(), "EPSG:2263");
        assert_eq!(unit_of(outer), Some(LengthUnit::SurveyFoot));
        let inner = r#"PROJCS["x",GEOGCS["y",AUTHORITY["EPSG","4269"]]]"#;
        assert_eq!(crs_of(inner), None);
        assert_eq!(name_of(inner), "'x'");
    }

    #[test]
    fn nonsense_is_no_system() {
        for text in ["", "]]]]", "AUTHORITY[", "PROJCS[\"UTM_Zone_\"]", "UNIT[", "PROJ UNIT[é"] {
            assert_eq!(crs_of(text), None);
            assert_eq!(unit_of(text), None);
        }
    }
}
