//! The dossier: a folder that a stranger can read when this program is long gone, and its way back into a plan.
//!
//! It holds what the folder that is handed over holds, and beside it the dossier itself (PDF/A), the record in tables, photos,
//! and a page that explains all of it. The plan stands in it twice, each copy with its checksum in two lists, so that one damaged
//! file loses nothing; where both copies are damaged nothing is opened.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use exchange::{FileError, Stakes};
use plan::{Photo, Plan};
use record::{Care, Entry, Place};
use sheets::html::escaped;
use sheets::{Dossier, NOT_TO_DIG_BY, PhotoRow, Picture, Work};

use crate::handing::{self, Handed, HandingError, PaperWish};
use crate::photos::{self, PhotoState};
use crate::tables::{self, degrees};
use crate::{Worked, files, ground, parcel};

/// The second copy of the plan, in a folder of its own.
pub const PLAN_COPY: &str = "copy/plan.drain";
/// The second list of checksums.
pub const SUMS_COPY: &str = "copy/SHA256SUMS";
/// The page that explains the folder.
pub const PAGE: &str = "index.html";
/// Bytes of photos that are put on paper, at most (own choice: a PDF that any reader opens); the folder holds all.
const MOST_ON_PAPER: usize = 100 << 20;
/// The dossier on paper.
pub const PAPER: &str = "dossier.pdf";

/// Every file of the dossier of a plan. `home` is where the plan file lies, from which the paths of its ground and photos
/// count. Open findings do not hold it back: it tells them, and is no sheet to dig by; ground that the plan names and that
/// was not read does, unless somebody answers for it.
pub fn folder(
    derived: &Worked,
    home: Option<&Path>,
    wish: &PaperWish,
    told: &dyn Fn(usize, usize) -> bool,
) -> Result<Vec<Handed>, HandingError> {
    derived.tried();
    handing::may_tell(derived, wish)?;
    let stakes = handing::stakes(derived);
    let mut plan = derived.plan.clone();
    let (photos, photo_files) = files::gathered_photos(&mut plan, home);
    let known = Known::of(derived);
    let mut handed = handing::open_files(derived, &stakes)?;
    handed.push(handing::field_page_file(derived, wish));
    handed.extend(record_files(derived, &stakes, (&known, &photos))?);
    handed.extend(handing::plan_and_ground(plan, home)?);
    let what = "a photo of the record";
    handed.extend(photo_files.into_iter().map(|(name, bytes)| Handed { name, what, bytes }));
    let own = handed.iter().find(|file| file.name == parcel::PLAN).map(|file| file.bytes.clone()).unwrap_or_default();
    add(&mut handed, PLAN_COPY, "the plan a second time, should the first be damaged", own);
    let pdf = paper(derived, (&stakes, wish), (&known, &photos, &handed), told)?;
    handed.insert(
        0,
        Handed { name: PAPER.into(), what: "what lies in the ground, on paper (PDF/A): read this first", bytes: pdf },
    );
    let page = page(derived, &stakes, &photos, &handed);
    add(&mut handed, PAGE, "one page that explains this folder", page.into());
    let note = note(derived, (&stakes, wish), &photos, &handed);
    add(&mut handed, parcel::NOTE, "this note", note.into());
    let sums = parcel::sums(&handed);
    add(&mut handed, SUMS_COPY, "the checksums a second time", sums.into());
    // The first list is the second one and its checksum, byte for byte.
    let sums = parcel::sums(&handed);
    add(&mut handed, parcel::SUMS, "the checksum of every other file", sums.into());
    Ok(handed)
}

fn add(handed: &mut Vec<Handed>, name: &str, what: &'static str, bytes: Vec<u8>) {
    handed.push(Handed { name: name.into(), what, bytes });
}

/// What tables and paper tell of the lines and of the record.
struct Known {
    places: Vec<Place>,
    entries: Vec<Entry>,
    care: Vec<Care>,
}

impl Known {
    fn of(derived: &Worked) -> Self {
        let (plan, design) = (&derived.plan, &derived.design);
        Self {
            places: record::places(plan, design),
            entries: record::entries(plan, design),
            care: record::care_list(plan, design),
        }
    }
}

/// The record in tables.
fn record_files(
    derived: &Worked,
    stakes: &Stakes,
    (known, photos): (&Known, &[(Photo, PhotoState)]),
) -> Result<Vec<Handed>, FileError> {
    let mut files = Vec::new();
    add(
        &mut files,
        "places.csv",
        "every joint, bend, end and crossing: coordinates, inverts, and so far from two corners of the field",
        tables::places_csv(derived, stakes, &known.places).into(),
    );
    add(
        &mut files,
        "record.csv",
        "what was shot, found and noted, by whom and when",
        tables::record_csv(derived, stakes, &known.entries).into(),
    );
    add(
        &mut files,
        "care.csv",
        "what is looked at every year, and what was seen there",
        tables::care_csv(stakes, &known.care).into(),
    );
    let care_json = serde_json::to_vec_pretty(&tables::care_json(derived, &known.care)).unwrap_or_default();
    add(&mut files, "care.json", "the same for programs", care_json);
    if !photos.is_empty() {
        let table = tables::photos_csv(derived, stakes, photos);
        add(&mut files, "photos.csv", "photos with place, day, checksum and what they show", table.into());
    }
    if !stakes.crs.is_local() {
        let text = tables::record_geojson(derived, stakes, (&known.places, &known.entries))?;
        add(&mut files, "record.geojson", "places and record in degrees (RFC 7946), levels in meters", text.into());
    }
    Ok(files)
}

/// The dossier as PDF.
fn paper(
    derived: &Worked,
    (stakes, wish): (&Stakes, &PaperWish),
    (known, photos, handed): (&Known, &[(Photo, PhotoState)], &[Handed]),
    told: &dyn Fn(usize, usize) -> bool,
) -> Result<Vec<u8>, HandingError> {
    let plan = &derived.plan;
    let contours = derived.land.contours(None, plan.title.units.length_unit(), ground::threads());
    let contours = contours.as_ref().map_or(&[][..], |contours| &contours.lines);
    let work = Work { contours, set_ups: &[], ..handing::work(derived, wish, &stakes.reference) };
    let with_degrees = |at| degrees(&stakes.crs, at);
    let places = known.places.iter().map(|place| (place.clone(), with_degrees(place.at)));
    let corners = plan.field.as_ref().map(|field| record::corners(&field.ring)).unwrap_or_default();
    let corners: Vec<_> = corners.into_iter().map(|corner| (corner, with_degrees(corner.at))).collect();
    let mut room = MOST_ON_PAPER;
    let mut shown = |photo: &Photo| {
        let bytes = &handed.iter().find(|file| file.name == photo.file)?.bytes;
        room = room.checked_sub(bytes.len())?;
        Picture::of(bytes, photos::quarter_turns(bytes))
    };
    let photo_rows = photos.iter().map(|(photo, state)| photo_row(plan, photo, *state, shown(photo)));
    let photo_rows: Vec<PhotoRow> = photo_rows.collect();
    let mut listed: Vec<(String, String)> = handed.iter().map(|file| (file.name.clone(), file.what.into())).collect();
    listed.push((PAGE.into(), "one page that explains this folder".into()));
    listed.push((parcel::NOTE.into(), "the note: what each file is for, with its checksum".into()));
    listed.push((parcel::SUMS.into(), "the checksum of every other file".into()));
    let degrees_words = if stakes.crs.is_local() { String::new() } else { stakes.crs.degrees_words() };
    let told_there = Dossier {
        places: &places.collect::<Vec<_>>(),
        corners: &corners,
        entries: &known.entries,
        care: &known.care,
        photos: &photo_rows,
        degrees: &degrees_words,
        files: &listed,
    };
    let book = sheets::dossier(&work, &told_there);
    let count = book.pages.len();
    Ok(sheets::pdf(&book, &|page| told(page, count))?)
}

fn photo_row(plan: &Plan, photo: &Photo, state: PhotoState, picture: Option<Picture>) -> PhotoRow {
    let looks = photo.looks_deg.map(|deg| format!(", looking toward {deg:.0}°")).unwrap_or_default();
    let place = photo.spot.as_ref().map(|spot| spot_words(plan, spot)).unwrap_or_default();
    PhotoRow {
        file: photo.file.clone(),
        state: state.words().into(),
        place: format!("{place}{looks}"),
        at: photo.at.clone(),
        caption: photo.caption.clone(),
        picture,
    }
}

/// A spot in words: "L2 1+50", or its coordinates.
fn spot_words(plan: &Plan, spot: &plan::Spot) -> String {
    match spot {
        plan::Spot::Station { line, station_m } => {
            let name = plan.lines.get(line).map_or("a line that is gone", |line| line.name.as_str());
            format!("{name} {}", measure::station(*station_m, plan.title.units))
        }
        plan::Spot::Place(at) => {
            let across = exchange::reference(plan).across;
            format!("E {} N {}", across.figure(at.x, 2), across.figure(at.y, 2))
        }
    }
}

/// What photos are not as they were taken, in words.
fn photo_trouble(photos: &[(Photo, PhotoState)]) -> Vec<String> {
    let off = photos.iter().filter(|(_, state)| *state != PhotoState::Whole);
    off.map(|(photo, state)| format!("Photo {}: {}.", photo.file, state.words())).collect()
}

/// Photos of a plan that are not whole in a dossier of it, in words.
pub fn photo_trouble_of(files: &[Handed], plan: &Plan) -> Vec<String> {
    let whole =
        |photo: &&Photo| files.iter().any(|file| parcel::checksum(&file.bytes).eq_ignore_ascii_case(&photo.sha256));
    let off = plan.record.photos.iter().filter(|photo| !whole(photo));
    off.map(|photo| format!("Photo {}: missing, or altered since it was taken into the record", photo.file)).collect()
}

/// How the folder is read back, and when not to trust it.
const READ_BACK: &str = "\nHow the plan is had again\n\n\
With the program: \"drainwright new --dossier THIS-FOLDER -o PLAN\" reads the plan with its ground, photos and record. It\n\
holds every file against its checksum, tells what is damaged or missing, and takes the second copy of the plan where the\n\
first is damaged. Without the program: plan.drain is plain text (JSON, UTF-8, all lengths in meters; a line runs from its\n\
lower end up), the tables are CSV (UTF-8, remarks begin with #), places in degrees are GeoJSON (RFC 7946), dossier.pdf is\n\
PDF/A (ISO 19005-2), and index.html is a page without script that needs no network.\n";

/// The note that explains every file.
fn note(
    derived: &Worked,
    (stakes, wish): (&Stakes, &PaperWish),
    photos: &[(Photo, PhotoState)],
    files: &[Handed],
) -> String {
    let mut text = format!("{}: dossier of what lies in the ground\n", stakes.job);
    text.push_str(&format!("As of {}.\n{NOT_TO_DIG_BY}.\n\n", stakes.as_of.as_deref().unwrap_or("no date")));
    text.push_str(&handing::reference_words(stakes));
    text.push_str(&format!("Punch list: {}.\n\n", crate::words::counted(&derived.findings)));
    photo_trouble(photos).iter().for_each(|words| text.push_str(&format!("{words}\n")));
    text.push_str(&handing::open_note(derived, wish.all_the_same.as_ref()));
    text.push_str(&handing::files_words(files));
    text.push_str(handing::AS_HANDED_OVER);
    text.push_str(READ_BACK);
    text.push_str(&format!("\nCautions\n\n{}\n", plan::CAUTION));
    text
}

/// A name as a link from the page to the file.
fn linked(name: &str) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"/._-".contains(&byte);
    name.bytes().map(|byte| if plain(byte) { char::from(byte).to_string() } else { format!("%{byte:02X}") }).collect()
}

/// Look of the page: large type, light and dark; ink on paper 15 to 1.
const STYLE: &str = "body{font:18px/1.5 sans-serif;max-width:60rem;margin:2rem auto;padding:0 1rem;color:#1f2a33;background:#fbf8f1}\
h1,h2{line-height:1.2}table{border-collapse:collapse;width:100%}td,th{border-bottom:1px solid #586470;padding:.4rem;text-align:left;\
vertical-align:top;overflow-wrap:anywhere}figure{margin:1rem 0}img{max-width:100%}.warn{border:3px solid #a8201a;padding:1rem}\
@media(prefers-color-scheme:dark){body{color:#ece6d8;background:#12181d}a{color:#62b5ea}}";

/// One page that explains the folder and shows its photos; no script, nothing from elsewhere.
fn page(derived: &Worked, stakes: &Stakes, photos: &[(Photo, PhotoState)], files: &[Handed]) -> String {
    let mut body = format!(
        "<h1>{}</h1><p>Dossier of what lies in the ground, as of {}.</p>",
        escaped(&stakes.job),
        escaped(stakes.as_of.as_deref().unwrap_or("no date"))
    );
    body.push_str(&format!(
        "<p class=\"warn\"><strong>{}.</strong> {}</p>",
        escaped(NOT_TO_DIG_BY),
        escaped(plan::CAUTION)
    ));
    body.push_str("<h2>Levels and coordinates</h2>");
    handing::reference_words(stakes).lines().for_each(|line| body.push_str(&format!("<p>{}</p>", escaped(line))));
    body.push_str("<h2>Files</h2><table><tr><th>File</th><th>What it is for</th></tr>");
    for file in files {
        let (link, name) = (linked(&file.name), escaped(&file.name));
        body.push_str(&format!("<tr><td><a href=\"{link}\">{name}</a></td><td>{}</td></tr>", escaped(file.what)));
    }
    body.push_str("</table><h2>Photos</h2>");
    if photos.is_empty() {
        body.push_str("<p>None were entered.</p>");
    }
    for (photo, state) in photos {
        let row = photo_row(&derived.plan, photo, *state, None);
        let words = escaped(&format!("{} {} {} ({})", row.at.replace('T', " "), row.place, row.caption, row.state));
        let image = match state {
            PhotoState::Missing => String::new(),
            _ => format!("<img src=\"{}\" alt=\"{}\">", linked(&photo.file), escaped(&row.caption)),
        };
        body.push_str(&format!("<figure>{image}<figcaption>{words}</figcaption></figure>"));
    }
    READ_BACK.split("\n\n").for_each(|part| body.push_str(&format!("<p>{}</p>", escaped(part.trim()))));
    let policy = "default-src 'none'; img-src 'self' file:; style-src 'unsafe-inline'";
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta http-equiv=\"Content-Security-Policy\" \
         content=\"{policy}\"><meta name=\"viewport\" content=\"width=device-width\"><title>{}</title><style>{STYLE}</style></head>\
         <body>{body}</body></html>\n",
        escaped(&stakes.job)
    )
}

/// A plan that was read from a dossier.
#[derive(Debug, Clone, PartialEq)]
pub struct Reopened {
    /// The plan; it names its ground and photos from where the dossier has them.
    pub plan: Plan,
    /// What is damaged, missing or strange in the folder, a sentence each; none where all of it is as it was written.
    pub told: Vec<String>,
    /// Ground, levels and photos that are whole, by their names in the dossier.
    pub files: BTreeMap<String, Vec<u8>>,
}

/// Reads a dossier.
pub fn read(folder: &Path) -> Result<Reopened, FileError> {
    let io = |source| FileError::Io { path: folder.display().to_string(), source };
    let names = parcel::names_in(folder, Path::new("")).map_err(io)?;
    let (mut files, mut unread) = (BTreeMap::new(), Vec::new());
    for name in names {
        let (path, text) = (folder.join(&name), name.to_string_lossy().replace('\\', "/"));
        let is_file = std::fs::symlink_metadata(&path).is_ok_and(|there| there.is_file());
        match exchange::read_bytes(&path) {
            Ok(bytes) if is_file => drop(files.insert(text, bytes)),
            _ => unread.push(format!("{text} cannot be read and was left out.")),
        }
    }
    let reopened = reopen(files)?;
    Ok(Reopened { told: unread.into_iter().chain(reopened.told).collect(), ..reopened })
}

/// The checksums of a list by file.
fn sums_in(bytes: Option<&Vec<u8>>) -> BTreeSet<(String, String)> {
    let text = bytes.map(|bytes| String::from_utf8_lossy(bytes)).unwrap_or_default();
    text.lines().filter_map(|line| line.split_once("  ")).map(|(sum, name)| (name.into(), sum.into())).collect()
}

/// Reads a dossier from its files by name.
pub fn reopen(files: BTreeMap<String, Vec<u8>>) -> Result<Reopened, FileError> {
    let lists = [sums_in(files.get(parcel::SUMS)), sums_in(files.get(SUMS_COPY))];
    let either: BTreeSet<&(String, String)> = lists.iter().flatten().collect();
    let is_whole = |name: &str, bytes: &[u8]| either.contains(&(name.to_string(), parcel::checksum(bytes)));
    let whole: BTreeSet<&str> =
        files.iter().filter(|(name, bytes)| is_whole(name, bytes)).map(|(name, _)| name.as_str()).collect();
    let mut told = damages(&files, &lists, &whole);
    let plan = plan_of(&files, &whole, &told)?;
    told.extend(plan.record.broken_link().map(|k| {
        format!("Entry {} of the log of the record is not what was signed; what came after it is not proved.", k + 1)
    }));
    let kept = |name: &str| whole.contains(name) && (name.starts_with("ground/") || name.starts_with("photos/"));
    let kept: BTreeMap<String, Vec<u8>> =
        files.iter().filter(|(name, _)| kept(name)).map(|(n, b)| (n.clone(), b.clone())).collect();
    Ok(Reopened { plan, told, files: kept })
}

/// What is not as it was written.
fn damages(
    files: &BTreeMap<String, Vec<u8>>,
    lists: &[BTreeSet<(String, String)>; 2],
    whole: &BTreeSet<&str>,
) -> Vec<String> {
    let [sums, copy] = lists;
    let mut told = Vec::new();
    let second = files.get(SUMS_COPY).map(Vec::as_slice).unwrap_or_default();
    let own = format!("{}  {SUMS_COPY}\n", parcel::checksum(second));
    if files.get(parcel::SUMS).is_none_or(|first| *first != [second, own.as_bytes()].concat()) {
        told.push(format!("The lists of checksums, {} and {SUMS_COPY}, are not as they were written.", parcel::SUMS));
    }
    let named: BTreeSet<&str> = sums.iter().chain(copy).map(|(name, _)| name.as_str()).collect();
    for name in files.keys().map(String::as_str).filter(|name| *name != parcel::SUMS && !whole.contains(name)) {
        told.push(match named.contains(name) {
            true => format!("{name} is damaged: its checksum is not the one it was written with."),
            false => format!("{name} is in no list of checksums: no dossier put it there."),
        });
    }
    let missing = named.iter().filter(|name| !files.contains_key(**name));
    told.extend(missing.map(|name| format!("{name} is missing.")));
    told
}

/// The plan from the first copy that is whole.
fn plan_of(files: &BTreeMap<String, Vec<u8>>, whole: &BTreeSet<&str>, told: &[String]) -> Result<Plan, FileError> {
    let copy = [parcel::PLAN, PLAN_COPY].into_iter().find(|name| whole.contains(name));
    let Some(bytes) = copy.and_then(|name| files.get(name)) else {
        let found = if told.is_empty() { "nothing".into() } else { told.join(" ") };
        return Err(FileError::Malformed {
            place: "the dossier".into(),
            found,
            expected: format!("{} or {PLAN_COPY} as it was written, with its checksum", parcel::PLAN),
        });
    };
    let text = std::str::from_utf8(bytes).map_err(|error| FileError::Malformed {
        place: parcel::PLAN.into(),
        found: error.to_string(),
        expected: "text in UTF-8".into(),
    })?;
    exchange::plain_plan(exchange::plan_from_text(text)?)
}

/// Writes ground, levels and photos of a dossier beside the plan file that is to be; a file of that name that holds something
/// else is not replaced unless that is said.
pub fn lay_beside(reopened: &Reopened, plan_file: &Path, replace: bool) -> Result<(), FileError> {
    let home = crate::chosen::home(plan_file);
    let taken = |name: &String, bytes: &Vec<u8>| std::fs::read(home.join(name)).is_ok_and(|there| there != *bytes);
    if let Some((name, _)) = reopened.files.iter().find(|(name, bytes)| !replace && taken(name, bytes)) {
        return Err(FileError::Malformed {
            place: home.join(name).display().to_string(),
            found: "another file of that name".into(),
            expected: "a folder without it for the plan, or --replace".into(),
        });
    }
    for (name, bytes) in &reopened.files {
        let path = home.join(name);
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder)
                .map_err(|source| FileError::Io { path: folder.display().to_string(), source })?;
        }
        exchange::replace_file(&path, bytes, false)?;
    }
    Ok(())
}
