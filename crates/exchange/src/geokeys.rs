//! What a GeoTIFF says of its coordinate system and levels: geokeys and the metadata tag of common practice.

use measure::LengthUnit;

use crate::Crs;
use crate::FileError;
use crate::error::shown;
use crate::geokeys_own;
use crate::ground::{Ask, Stated};
use crate::samples::Scaling;
use crate::tiff_file::{TiffFile, tag};

/// Key numbers (GeoTIFF 1.1, section 7).
mod key {
    pub const MODEL_TYPE: u16 = 1024;
    pub const RASTER_TYPE: u16 = 1025;
    pub const CITATION: u16 = 1026;
    pub const GEOGRAPHIC: u16 = 2048;
    pub const PROJECTED: u16 = 3072;
    pub const LINEAR_UNIT: u16 = 3076;
    pub const VERTICAL: u16 = 4096;
    pub const VERTICAL_CITATION: u16 = 4097;
    pub const VERTICAL_UNIT: u16 = 4099;
}

/// A key's value that means "of the file's own making" (GeoTIFF 1.1, section 7.1).
const USER_DEFINED: u16 = 32767;

/// Vertical systems met in practice: code, name, unit (EPSG registry; checked against PROJ 9.5.1's copy).
const VERTICAL_SYSTEMS: [(u16, &str, LengthUnit); 16] = [
    (5701, "ODN height", LengthUnit::Metre),
    (5702, "NGVD29 height (ftUS)", LengthUnit::SurveyFoot),
    (5703, "NAVD88 height", LengthUnit::Metre),
    (5709, "NAP height", LengthUnit::Metre),
    (5711, "AHD height", LengthUnit::Metre),
    (5713, "CGVD28 height", LengthUnit::Metre),
    (5720, "NGF-IGN69 height", LengthUnit::Metre),
    (5730, "EVRF2000 height", LengthUnit::Metre),
    (5621, "EVRF2007 height", LengthUnit::Metre),
    (5773, "EGM96 height", LengthUnit::Metre),
    (5783, "DHHN92 height", LengthUnit::Metre),
    (7837, "DHHN2016 height", LengthUnit::Metre),
    (3855, "EGM2008 height", LengthUnit::Metre),
    (6360, "NAVD88 height (ftUS)", LengthUnit::SurveyFoot),
    (8228, "NAVD88 height (ft)", LengthUnit::Foot),
    (6647, "CGVD2013(CGG2013) height", LengthUnit::Metre),
];

/// The keys of a file.
#[derive(Debug, Default)]
pub(crate) struct GeoKeys {
    shorts: Vec<(u16, u16)>,
    numbers: Vec<(u16, f64)>,
    texts: Vec<(u16, String)>,
}

impl GeoKeys {
    /// Reads the keys; `Err` holds what is wrong with them, in words.
    fn read(list: &[u64], doubles: &[f64], all_text: &str) -> Result<Self, String> {
        let mut keys = Self::default();
        if list.is_empty() {
            return Ok(keys);
        }
        if list[0] != 1 {
            return Err(format!("a key directory of version {}, expected 1", list[0]));
        }
        let count = *list.get(3).ok_or("a key directory without a header")? as usize;
        let entries: Vec<&[u64]> = list[4..].chunks_exact(4).take(count).collect();
        if entries.len() < count {
            return Err(format!("{count} keys announced, {} there", entries.len()));
        }
        for entry in entries {
            let (key, place, length, value) = (entry[0] as u16, entry[1], entry[2] as usize, entry[3] as usize);
            if place == 0 {
                keys.shorts.push((key, value as u16));
            } else if place == u64::from(tag::GEO_DOUBLES) {
                keys.numbers.extend(doubles.get(value).map(|number| (key, *number)));
            } else if place == u64::from(tag::GEO_TEXT) {
                let text: String = all_text.chars().skip(value).take(length).collect();
                keys.texts.push((key, text.trim_end_matches(['|', '\0']).trim().to_string()));
            }
        }
        Ok(keys)
    }

    /// The code of a key.
    pub fn short(&self, key: u16) -> Option<u16> {
        self.shorts.iter().find(|(k, _)| *k == key).map(|(_, value)| *value)
    }

    /// The number of a key; whole ones may be stored as such.
    pub fn number(&self, key: u16) -> Option<f64> {
        let stored = self.numbers.iter().find(|(k, _)| *k == key).map(|(_, number)| *number);
        stored.or_else(|| self.short(key).map(f64::from)).filter(|number| number.is_finite())
    }

    fn text(&self, key: u16) -> Option<&str> {
        self.texts.iter().find(|(k, _)| *k == key).map(|(_, text)| text.as_str()).filter(|text| !text.is_empty())
    }

    /// True when the coordinates of the file name cell centres, not corners.
    pub fn is_point(&self) -> bool {
        self.short(key::RASTER_TYPE) == Some(2)
    }

    fn crs(&self, stated: &mut Stated) {
        let code = match (self.short(key::MODEL_TYPE), self.short(key::PROJECTED), self.short(key::GEOGRAPHIC)) {
            (Some(3), _, _) => return stated.ask(Ask::Crs, "the file counts from the center of the earth; no plane"),
            (Some(2), _, Some(code)) | (_, None, Some(code)) => code,
            (_, Some(code), _) => code,
            _ => return,
        };
        if code == USER_DEFINED || code == 0 {
            let name = self.text(key::CITATION).map(shown).unwrap_or_else(|| "without a name".into());
            if let Some(crs) = geokeys_own::definition(self).and_then(|own| Crs::of(&own).ok()) {
                stated.note(format!("the coordinate system is of the file's own making ({name}): {}", crs.name()));
                stated.crs = Some(crs);
                return;
            }
            return stated.ask(Ask::Crs, format!("the coordinate system is of the file's own making ({name})"));
        }
        match Crs::from_epsg(u32::from(code)) {
            Ok(crs) => stated.crs = Some(crs),
            Err(error) => stated.ask(Ask::Crs, format!("the coordinate system cannot be used: {error}")),
        }
    }

    fn vertical(&self, stated: &mut Stated) {
        let code = self.short(key::VERTICAL);
        let known = VERTICAL_SYSTEMS.iter().find(|(known, _, _)| Some(*known) == code);
        let named = self.text(key::VERTICAL_CITATION).map(str::to_string);
        stated.datum = known.map(|(_, name, _)| name.to_string()).or(named);
        stated.vertical = self.unit(key::VERTICAL_UNIT, stated).or(known.map(|(_, _, unit)| *unit));
    }

    /// The unit named by a key (EPSG codes 9001, 9002, 9003); others are told.
    fn unit(&self, key: u16, stated: &mut Stated) -> Option<LengthUnit> {
        match self.short(key)? {
            9001 => Some(LengthUnit::Metre),
            9002 => Some(LengthUnit::Foot),
            9003 => Some(LengthUnit::SurveyFoot),
            0 | USER_DEFINED => None,
            other => {
                stated.note(format!("key {key} names unit {other}, which is not known and is ignored"));
                None
            }
        }
    }
}

/// Reads keys into what the file states. Unreadable keys leave the grid without a system, and say so.
pub(crate) fn read_keys(file: &TiffFile, stated: &mut Stated) -> Result<GeoKeys, FileError> {
    let text = file.text(0, tag::GEO_TEXT)?.unwrap_or_default();
    let doubles = file.doubles(0, tag::GEO_DOUBLES).ok().flatten().unwrap_or_default();
    let list = file.unsigned(0, tag::GEO_KEYS).map(Option::unwrap_or_default);
    let keys = list.map_err(|error| error.to_string()).and_then(|list| GeoKeys::read(&list, &doubles, &text));
    Ok(settle(keys, stated))
}

/// Takes keys that stand elsewhere than in a TIFF file into what a file states.
pub(crate) fn state(list: &[u64], doubles: &[f64], text: &str, stated: &mut Stated) {
    settle(GeoKeys::read(list, doubles, text), stated);
}

fn settle(keys: Result<GeoKeys, String>, stated: &mut Stated) -> GeoKeys {
    match keys {
        Ok(keys) => {
            keys.crs(stated);
            stated.linear = keys.unit(key::LINEAR_UNIT, stated);
            keys.vertical(stated);
            keys
        }
        Err(what) => {
            stated.ask(Ask::Crs, format!("the coordinate system of the file is unreadable: {what}"));
            GeoKeys::default()
        }
    }
}

/// Reads scale, offset, unit and missing value of the first band from the metadata tags.
pub(crate) fn read_scaling(file: &TiffFile, stated: &mut Stated) -> Result<Scaling, FileError> {
    let text = file.text(0, tag::METADATA)?.unwrap_or_default();
    let number = |role: &str, absent: f64| match metadata(&text, role) {
        None => Ok(absent),
        Some(word) => word.trim().parse::<f64>().ok().filter(|value| value.is_finite()).ok_or_else(|| {
            FileError::malformed(format!("tag {}", tag::METADATA), format!("{role} {}", shown(word)), "a number")
        }),
    };
    let (scale, offset) = (number("scale", 1.0)?, number("offset", 0.0)?);
    if scale == 0.0 {
        return Err(FileError::malformed(format!("tag {}", tag::METADATA), "scale 0", "a scale other than 0"));
    }
    if (scale, offset) != (1.0, 0.0) {
        stated.note(format!("stored values were multiplied by {scale} and raised by {offset}, as the file says"));
    }
    if let Some(word) = metadata(&text, "unittype") {
        match unit_word(word) {
            Some(unit) => stated.vertical = Some(unit),
            None => {
                stated.note(format!("the file names its levels' unit {}, which is not known", shown(word.trim())))
            }
        }
    }
    let nodata = file.text(0, tag::NODATA)?;
    let nodata = nodata.and_then(|text| nodata_of(&text, stated));
    Ok(Scaling { scale, offset, nodata, unit_m: 1.0 })
}

fn nodata_of(text: &str, stated: &mut Stated) -> Option<f64> {
    let value = text.trim().parse::<f64>().ok();
    if value.is_none() {
        stated.note(format!("the tag for missing values holds {}, no number, and is ignored", shown(text.trim())));
    }
    value
}

/// The text of the metadata item of the first band with a role: `<Item … sample="0" role="scale">0.01</Item>`.
fn metadata<'a>(text: &'a str, role: &str) -> Option<&'a str> {
    let role = format!("role=\"{role}\"");
    text.split("<Item").skip(1).find_map(|item| {
        let (attributes, rest) = item.split_once('>')?;
        let first_band = !attributes.contains("sample=") || attributes.contains("sample=\"0\"");
        let right = first_band && attributes.contains(&role);
        right.then(|| rest.split_once('<').map(|(value, _)| value)).flatten()
    })
}

/// A unit as people write it.
pub(crate) fn unit_word(word: &str) -> Option<LengthUnit> {
    let plain: String = word.to_lowercase().chars().filter(|c| c.is_alphanumeric()).collect();
    match plain.as_str() {
        "m" | "metre" | "metres" | "meter" | "meters" => Some(LengthUnit::Metre),
        "ft" | "foot" | "feet" | "ift" | "internationalfoot" | "internationalfeet" => Some(LengthUnit::Foot),
        "usft" | "ftus" | "sft" | "surveyfoot" | "surveyfeet" | "ussurveyfoot" | "ussurveyfeet" | "footus"
        | "footussurvey" | "usfoot" | "usfeet" => Some(LengthUnit::SurveyFoot),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn metadata_of_the_first_band_only() {
        let text = r#"<GDALMetadata><Item name="SCALE" sample="1" role="scale">9</Item>
            <Item name="SCALE" sample="0" role="scale">0.01</Item><Item role="unittype">ft</Item></GDALMetadata>"#;
        assert_eq!(metadata(text, "scale"), Some("0.01"));
        assert_eq!(metadata(text, "unittype"), Some("ft"));
        assert_eq!(metadata(text, "offset"), None);
        assert_eq!(metadata("<Item role=\"scale\"", "scale"), None);
    }

    #[test]
    fn words_for_units() {
        assert_eq!(unit_word("US survey foot"), Some(LengthUnit::SurveyFoot));
        assert_eq!(unit_word("us-ft"), Some(LengthUnit::SurveyFoot));
        assert_eq!(unit_word("Feet"), Some(LengthUnit::Foot));
        assert_eq!(unit_word("metre"), Some(LengthUnit::Metre));
        assert_eq!(unit_word("fathom"), None);
    }
}
