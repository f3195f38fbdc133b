//! The little that is understood of a `.prj` file (well-known text): a code, a UTM zone, a unit.

use measure::LengthUnit;

use crate::Crs;
use crate::error::shown;

/// The coordinate system, if the text ends in an EPSG authority or is named as a UTM zone on a datum known here.
pub(crate) fn crs_of(text: &str) -> Option<Crs> {
    let code = outer_code(text).or_else(|| utm_code(&quoted(text)?.replace(['_', '/'], " ").to_uppercase()))?;
    Crs::from_epsg(code).ok()
}

/// The name of the system as the file gives it.
pub(crate) fn name_of(text: &str) -> String {
    quoted(text).map_or_else(|| shown(text.trim()), shown)
}

/// The unit of a projected system: the last `UNIT` of the text.
pub(crate) fn unit_of(text: &str) -> Option<LengthUnit> {
    if !text.trim_start().to_ascii_uppercase().starts_with("PROJ") {
        return None;
    }
    let after = &text[text.rfind("UNIT[")?..];
    let number = after.split([',', ']']).nth(1)?.trim().parse::<f64>().ok()?;
    let units = [LengthUnit::Metre, LengthUnit::Foot, LengthUnit::SurveyFoot];
    units.into_iter().find(|unit| (number / unit.metres() - 1.0).abs() < 1e-7)
}

/// The first quoted name.
fn quoted(text: &str) -> Option<&str> {
    text.split('"').nth(1)
}

/// The code of the authority that closes the whole text.
fn outer_code(text: &str) -> Option<u32> {
    let end = text.trim_end().trim_end_matches(']');
    let at = end.rfind("AUTHORITY[").or_else(|| end.rfind("ID["))?;
    // Only the outermost authority stands directly before the closing brackets of the text.
    let closing = text.trim_end().len() - end.len();
    let mut parts = end[at..].split(['"', ',', '[']).filter(|p| !p.trim().is_empty());
    let (_, authority, code) = (parts.next()?, parts.next()?, parts.next()?);
    (closing == 2 && authority == "EPSG").then(|| code.trim().parse().ok()).flatten()
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
