//! Photos of the record: files beside the plan, known again by their checksum; place, direction and time are read from what
//! the camera wrote into them (EXIF).

use std::io::Cursor;
use std::path::Path;

use exchange::{Crs, FileError};
use exif::{Exif, In, Tag, Value};
use plan::{Photo, Plan, Spot};

use crate::{chosen, files, parcel};

/// Largest photo that is taken, bytes (own choice: a few times what a camera writes).
const MOST_BYTES: u64 = 100 << 20;
/// Files of one name that are told apart by a number (own choice).
const MOST_NUMBER: usize = 10_000;

/// Takes a photo into the folder of a plan: it stays where it lies beside or below the plan, else it is copied into `photos`
/// there. What the person says of its place goes before what the camera wrote.
pub fn take_in(
    file: &Path,
    plan_file: &Path,
    plane: &Crs,
    (spot, caption): (Option<Spot>, &str),
) -> Result<Photo, FileError> {
    let found = std::fs::metadata(file).map_or(0, |there| there.len());
    if found > MOST_BYTES {
        return Err(FileError::TooLarge { found: format!("{found} bytes"), limit: format!("{MOST_BYTES} bytes") });
    }
    let bytes = exchange::read_bytes(file)?;
    let told = Told::of(&bytes);
    let there = |(lon, lat): (f64, f64)| plane.from_lon_lat(lon, lat).ok().map(Spot::Place);
    Ok(Photo {
        file: kept_as(file, plan_file, &bytes)?,
        sha256: parcel::checksum(&bytes),
        spot: spot.or_else(|| told.lon_lat.and_then(there)),
        looks_deg: told.looks_deg,
        at: told.at,
        caption: measure::plain(caption).into_owned(),
        of: String::new(),
    })
}

/// The name under which a plan keeps a photo, where it lies then.
fn kept_as(file: &Path, plan_file: &Path, bytes: &[u8]) -> Result<String, FileError> {
    let own = files::beside(file, plan_file)?;
    if !Path::new(&own).is_absolute() {
        return Ok(own);
    }
    let folder = chosen::home(plan_file).join("photos");
    std::fs::create_dir_all(&folder)
        .map_err(|source| FileError::Write { path: folder.display().to_string(), source })?;
    let stem = file.file_stem().unwrap_or_default().to_string_lossy();
    let ending = file.extension().map(|ending| format!(".{}", ending.to_string_lossy())).unwrap_or_default();
    let names =
        std::iter::once(format!("{stem}{ending}")).chain((2..MOST_NUMBER).map(|n| format!("{stem}-{n}{ending}")));
    for name in names {
        let to = folder.join(&name);
        match std::fs::read(&to) {
            Ok(there) if there != bytes => continue,
            Ok(_) => {}
            Err(_) => exchange::replace_file(&to, bytes, false)?,
        }
        return crate::ground::name_kept(&Path::new("photos").join(name));
    }
    Err(FileError::TooLarge { found: format!("{MOST_NUMBER} files named {stem}"), limit: "fewer".into() })
}

/// Whether a photo is as it was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PhotoState {
    /// Its checksum is the one of the record.
    Whole,
    /// It was changed since.
    Altered,
    /// It is not there, or may not be read.
    Missing,
}

impl PhotoState {
    /// Its words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Whole => "as it was taken",
            Self::Altered => "ALTERED since it was taken into the record",
            Self::Missing => "MISSING",
        }
    }
}

/// A photo as it is found now, and what it holds where it can be read; `home` is the plan's folder.
pub(crate) fn found(photo: &Photo, home: Option<&Path>) -> (PhotoState, Option<Vec<u8>>) {
    let read = chosen::may_read(&photo.file, home).and_then(|path| exchange::read_bytes(&path));
    let Ok(bytes) = read else { return (PhotoState::Missing, None) };
    let is_same = parcel::checksum(&bytes).eq_ignore_ascii_case(&photo.sha256);
    (if is_same { PhotoState::Whole } else { PhotoState::Altered }, Some(bytes))
}

/// Photos of a plan that are not there any more, or not as they were; `home` is the plan's folder.
pub fn troubles(plan: &Plan, home: &Path) -> Vec<String> {
    let states = plan.record.photos.iter().map(|photo| (photo, found(photo, Some(home)).0));
    let off = states.filter(|(_, state)| *state != PhotoState::Whole);
    off.map(|(photo, state)| format!("Photo {}: {}.", photo.file, state.words())).collect()
}

/// Quarter turns clockwise by which a photo stands upright, as its camera wrote it (EXIF 2.32, tag 0112H); mirrored ones are not
/// turned back.
pub(crate) fn quarter_turns(bytes: &[u8]) -> u8 {
    let exif = exif::Reader::new().read_from_container(&mut Cursor::new(bytes)).ok();
    let turned = exif.and_then(|exif| exif.get_field(Tag::Orientation, In::PRIMARY)?.value.get_uint(0));
    match turned {
        Some(3 | 4) => 2,
        Some(5 | 6) => 1,
        Some(7 | 8) => 3,
        _ => 0,
    }
}

/// What a camera wrote into a photo.
#[derive(Debug, Clone, PartialEq, Default)]
struct Told {
    lon_lat: Option<(f64, f64)>,
    looks_deg: Option<f64>,
    at: String,
}

impl Told {
    /// Whatever of it can be read; a photo without any is one too.
    fn of(bytes: &[u8]) -> Self {
        let Ok(exif) = exif::Reader::new().read_from_container(&mut Cursor::new(bytes)) else {
            return Self::default();
        };
        let looks_deg = numbers(&exif, Tag::GPSImgDirection).and_then(|all| all.first().copied());
        Self {
            lon_lat: angle(&exif, Tag::GPSLongitude, Tag::GPSLongitudeRef, ("W", 180.0)).zip(angle(
                &exif,
                Tag::GPSLatitude,
                Tag::GPSLatitudeRef,
                ("S", 90.0),
            )),
            looks_deg: looks_deg.filter(|looks| (0.0..=360.0).contains(looks)),
            at: text(&exif, Tag::DateTimeOriginal).and_then(|text| noted(&text)).unwrap_or_default(),
        }
    }
}

fn text(exif: &Exif, tag: Tag) -> Option<String> {
    match &exif.get_field(tag, In::PRIMARY)?.value {
        Value::Ascii(parts) => Some(String::from_utf8_lossy(parts.first()?).trim().to_string()),
        _ => None,
    }
}

fn numbers(exif: &Exif, tag: Tag) -> Option<Vec<f64>> {
    match &exif.get_field(tag, In::PRIMARY)?.value {
        Value::Rational(all) => Some(all.iter().map(|ratio| ratio.to_f64()).collect()),
        _ => None,
    }
}

/// Degrees, minutes and seconds with the letter that turns them.
fn angle(exif: &Exif, tag: Tag, letter: Tag, (turned, most): (&str, f64)) -> Option<f64> {
    let parts = numbers(exif, tag)?;
    let [degrees, minutes, seconds] = parts[..] else { return None };
    let value = degrees + minutes / 60.0 + seconds / 3600.0;
    let sign = if text(exif, letter)? == turned { -1.0 } else { 1.0 };
    Some(sign * value).filter(|value| value.abs() <= most && value.is_finite())
}

/// `2031:04:02 10:12:33` as `2031-04-02T10:12`.
fn noted(text: &str) -> Option<String> {
    let (day, time) = text.split_once(' ')?;
    let (day, time) = (day.replace(':', "-"), time.get(..5)?);
    plan::is_date(&day).then(|| format!("{day}T{time}"))
}

#[cfg(test)]
mod tests {
    use exif::Field;
    use exif::Rational;
    use exif::experimental::Writer;

    use super::*;

    /// A TIFF, which is what stands in a photo's EXIF, with place, direction and time.
    fn photo() -> Vec<u8> {
        let field = |tag, value| Field { tag, ifd_num: In::PRIMARY, value };
        let thirds = |degrees, minutes, hundredths| {
            let of = |num, denom| Rational { num, denom };
            Value::Rational(vec![of(degrees, 1), of(minutes, 1), of(hundredths, 100)])
        };
        let ascii = |text: &str| Value::Ascii(vec![text.as_bytes().to_vec()]);
        let fields = [
            field(Tag::DateTimeOriginal, ascii("2031:04:02 10:12:33")),
            field(Tag::GPSLatitudeRef, ascii("N")),
            field(Tag::GPSLatitude, thirds(41, 54, 3600)),
            field(Tag::GPSLongitudeRef, ascii("W")),
            field(Tag::GPSLongitude, thirds(9, 35, 2400)),
            field(Tag::GPSImgDirection, Value::Rational(vec![Rational { num: 2705, denom: 10 }])),
        ];
        let (mut writer, mut bytes) = (Writer::new(), Cursor::new(Vec::new()));
        fields.iter().for_each(|field| writer.push_field(field));
        writer.write(&mut bytes, false).unwrap();
        bytes.into_inner()
    }

    #[test]
    fn place_direction_and_time_are_read_from_a_photo() {
        let told = Told::of(&photo());
        let (lon, lat) = told.lon_lat.unwrap();
        assert!((lon + 9.59).abs() < 1e-9 && (lat - 41.91).abs() < 1e-9, "{told:?}");
        assert_eq!((told.looks_deg, told.at.as_str()), (Some(270.5), "2031-04-02T10:12"));
        assert_eq!(Told::of(b"no photo"), Told::default());
    }

    #[test]
    fn a_photo_from_elsewhere_is_copied_and_a_missing_or_altered_one_is_noticed() {
        let (home, away) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let plan_file = home.path().join("a.drain");
        let plane = Crs::from_epsg(32629).unwrap();
        let mut plan = Plan::new("Photos", measure::Units::Feet);
        let from = away.path().join("tee at \"1+00\".jpg");
        std::fs::write(&from, photo()).unwrap();
        for text in ["another", "a third"] {
            plan.record.photos.push(take_in(&from, &plan_file, &plane, (None, "the tee")).unwrap());
            std::fs::write(&from, text).unwrap();
        }
        assert_eq!(plan.record.photos[0].file, "photos/tee at \"1+00\".jpg");
        assert_eq!(plan.record.photos[1].file, "photos/tee at \"1+00\"-2.jpg");
        assert!(matches!(plan.record.photos[0].spot, Some(Spot::Place(at)) if (at.y - 4_640_000.0).abs() < 3_000.0));
        plan.validate().unwrap();
        assert!(troubles(&plan, home.path()).is_empty());
        std::fs::write(home.path().join("photos/tee at \"1+00\".jpg"), "painted over").unwrap();
        std::fs::remove_file(home.path().join("photos/tee at \"1+00\"-2.jpg")).unwrap();
        let told = troubles(&plan, home.path());
        assert!(told[0].contains("ALTERED") && told[1].contains("MISSING"), "{told:?}");
        // One that lies beside the plan stays where it is.
        let beside = home.path().join("pipe.jpg");
        std::fs::write(&beside, photo()).unwrap();
        assert_eq!(take_in(&beside, &plan_file, &plane, (None, "")).unwrap().file, "pipe.jpg");
    }
}
