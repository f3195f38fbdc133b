//! The ground as a file gives it: what is common to all elevation files.

use std::path::Path;

use measure::{LengthUnit, Point};
use terrain::Surface;

use crate::points::{Columns, MOST_TABLE_BYTES};
use crate::source::{FileSource, Source};
use crate::watch::Effort;
use crate::{Crs, CrsError, FileError, VectorFile, ascii_grid, geotiff, gpx, kml, las, points, prj, shapefile};

/// Largest file that is read whole, bytes (own choice: it is held in memory).
pub const MOST_FILE_BYTES: u64 = 2 << 30;

/// Bytes at the beginning of a file by which its kind is told.
const HEAD_BYTES: u64 = 64 << 10;
/// Cells read unless the caller says otherwise.
pub const MOST_CELLS: u64 = 100_000_000;
/// Land between these levels raises no question, metres: the shore of the lowest lake is near −430 m, the highest
/// summit 8,849 m (common knowledge, no source).
pub(crate) const LAND_M: std::ops::RangeInclusive<f64> = -450.0..=9_000.0;

/// Something the file leaves open and a person should answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ask {
    /// The coordinate system: none is stated, or none that can be used.
    Crs,
    /// The unit of the coordinates.
    HorizontalUnit,
    /// The unit of the levels.
    VerticalUnit,
    /// Where the grid lies.
    Place,
    /// Which column is which.
    Columns,
    /// Which attribute of lines holds their level.
    LevelAttribute,
}

/// The ground read from a file.
#[derive(Debug, Clone, PartialEq)]
pub struct GroundFile {
    /// Grid or shots, in metres.
    pub surface: Surface,
    /// The coordinate system; `None` for unnamed local coordinates.
    pub crs: Option<Crs>,
    /// The system that the file states where the caller's took its place.
    pub overruled: Option<Crs>,
    /// The system that the ground was brought from, where that was asked.
    pub brought_from: Option<Crs>,
    /// The unit in which the file states coordinates.
    pub horizontal_unit: LengthUnit,
    /// The unit in which the file states levels; `None` where it does not say.
    pub vertical_unit: Option<LengthUnit>,
    /// The vertical datum as the file names it.
    pub datum: Option<String>,
    /// What was assumed, left out or looks wrong, in plain sentences.
    pub notes: Vec<String>,
    /// What a person should answer.
    pub asks: Vec<Ask>,
}

/// What the caller knows better than the file, and limits.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadOptions {
    /// The coordinate system, in place of what the file says.
    pub crs: Option<Crs>,
    /// The coordinate system that the ground is brought into once it is read.
    pub into: Option<Crs>,
    /// The unit of the coordinates where the file states neither a unit nor a coordinate system.
    pub horizontal_unit: Option<LengthUnit>,
    /// The unit of the levels, in place of what the file says.
    pub vertical_unit: Option<LengthUnit>,
    /// Which column of a point file is which.
    pub columns: Option<Columns>,
    /// The attribute that holds the level of contours and break lines.
    pub level_attribute: Option<String>,
    /// True for shots that need make no surface by themselves: a few levels beside other ground, or on one line.
    pub sparse: bool,
    /// Most cells (or shots) that are read.
    pub most_cells: u64,
    /// Read only this rectangle of a grid: west, south, east and north edge, in the file's own coordinates and unit.
    pub crop_to: Option<[f64; 4]>,
}

impl Default for ReadOptions {
    fn default() -> Self {
        Self {
            crs: None,
            into: None,
            horizontal_unit: None,
            vertical_unit: None,
            columns: None,
            level_attribute: None,
            most_cells: MOST_CELLS,
            sparse: false,
            crop_to: None,
        }
    }
}

/// Files of the same name beside the one that is read.
#[derive(Debug, Default)]
pub(crate) struct Beside {
    /// Text of the world file (`.tfw`).
    pub world: Option<String>,
    /// Text of the coordinate system file (`.prj`).
    pub prj: Option<String>,
}

/// Reads an elevation file, told apart by content and name: GeoTIFF, ASCII grid, a table of points, LAS or LAZ, GPX, or contours
/// and break lines in GeoJSON, KML or a shapefile.
///
/// A grid is read piece by piece, only what meets [`ReadOptions::crop_to`]. Reading one takes at most 4 bytes a cell kept,
/// 16 bytes a stored piece that is read, and for each thread 1 MiB or, where rows are longer than 256 KiB, three rows of a
/// piece (a row has at most 64 MiB); tags and tables are held against the length of the file before memory is taken for
/// them. A grid in degrees takes as much again for the resampled one. Other files are held in memory.
pub fn read_ground(path: &Path, options: &ReadOptions) -> Result<GroundFile, FileError> {
    read_ground_with(path, options, &Effort::PLAIN)
}

/// The same with as many threads as are given, watched and perhaps stopped on its way.
pub fn read_ground_with(path: &Path, options: &ReadOptions, effort: &Effort) -> Result<GroundFile, FileError> {
    let read = read_as_it_is(path, options, effort)?;
    match &options.into {
        Some(into) => read.brought_into(into, options.most_cells),
        None => Ok(read),
    }
}

fn read_as_it_is(path: &Path, options: &ReadOptions, effort: &Effort) -> Result<GroundFile, FileError> {
    let source = FileSource::open(path)?;
    let beside = beside_of(path);
    match kind_of_file(&source, path)? {
        Kind::GeoTiff => geotiff::read(&source, &beside, options, effort),
        Kind::AsciiGrid => ascii_grid::read(&source, &beside, options, effort),
        Kind::Points => points::read(&points_bytes(&source)?, &beside, options),
        Kind::Las => las::read(&read_bytes(path)?, &beside, options),
        Kind::Gpx => gpx::read_gpx(&read_bytes(path)?, options),
        Kind::Lines => VectorFile::open(path)?.ground(options),
    }
}

/// The small files beside one.
pub(crate) fn beside_of(path: &Path) -> Beside {
    Beside { world: beside(path, &["tfw", "tifw", "wld"]), prj: beside(path, &["prj"]) }
}

/// What kind of file it is.
pub(crate) fn kind_of_file(source: &FileSource, path: &Path) -> Result<Kind, FileError> {
    let head = source.part(0, source.length().min(HEAD_BYTES))?.unwrap_or_default();
    kind_of(&head, &path.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default())
}

/// The whole of a table of points.
fn points_bytes(source: &FileSource) -> Result<Vec<u8>, FileError> {
    let length = source.length();
    if length > MOST_TABLE_BYTES as u64 {
        return Err(FileError::too_large(format!("a table of {length} bytes"), format!("{MOST_TABLE_BYTES} bytes")));
    }
    Ok(source.part(0, length)?.unwrap_or_default())
}

/// A whole file, unless it is larger than any that is read, or a pipe or device, which may never end.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, FileError> {
    let failed = |source| FileError::Io { path: path.display().to_string(), source };
    let there = std::fs::metadata(path).map_err(failed)?;
    let length = there.len();
    if let Some(what) = crate::no_file(&there) {
        return Err(FileError::malformed("the file", what, "a file"));
    }
    if length > MOST_FILE_BYTES {
        return Err(FileError::too_large(format!("a file of {length} bytes"), format!("{MOST_FILE_BYTES} bytes")));
    }
    std::fs::read(path).map_err(failed)
}

/// Kinds of elevation files.
pub(crate) enum Kind {
    GeoTiff,
    AsciiGrid,
    Points,
    Las,
    Gpx,
    Lines,
}

/// A small text file of the same name with another ending; unreadable ones count as absent.
pub(crate) fn beside(path: &Path, endings: &[&str]) -> Option<String> {
    bytes_beside(path, endings, 64 << 10).map(|bytes| String::from_utf8_lossy(&bytes).into_owned())
}

/// A file of the same name with another ending, of at most so many bytes; unreadable ones count as absent.
pub(crate) fn bytes_beside(path: &Path, endings: &[&str], most: u64) -> Option<Vec<u8>> {
    endings.iter().flat_map(|e| [e.to_string(), e.to_uppercase()]).find_map(|ending| {
        let other = path.with_extension(ending);
        let small = std::fs::metadata(&other).is_ok_and(|m| m.is_file() && m.len() <= most);
        small.then(|| std::fs::read(&other).ok()).flatten()
    })
}

/// What kind of file it is, by its first bytes, then by its ending.
fn kind_of(bytes: &[u8], extension: &str) -> Result<Kind, FileError> {
    const OTHERS: [(&[u8], &str); 5] = [
        (b"PK\x03\x04", "a ZIP archive"),
        (b"\x89PNG", "a PNG picture"),
        (b"\xff\xd8\xff", "a JPEG picture"),
        (b"\x1f\x8b", "a gzip archive"),
        (b"%PDF", "a PDF document"),
    ];
    let tiff = [&b"II*\0"[..], b"MM\0*", b"II+\0", b"MM\0+"].iter().any(|magic| bytes.starts_with(magic));
    if tiff || matches!(extension, "tif" | "tiff" | "gtif") {
        return Ok(Kind::GeoTiff);
    }
    if let Some((_, name)) = OTHERS.iter().find(|(magic, _)| bytes.starts_with(magic)) {
        return Err(FileError::unsupported(*name, "a GeoTIFF, an ASCII grid, points, contours or break lines"));
    }
    if las::looks_like(bytes) {
        return Ok(Kind::Las);
    }
    if gpx::looks_like(bytes) {
        return Ok(Kind::Gpx);
    }
    let json = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes).trim_ascii_start().starts_with(b"{");
    if json || shapefile::looks_like(bytes) || kml::looks_like(bytes) {
        return Ok(Kind::Lines);
    }
    let grid = extension == "asc" || ascii_grid::looks_like(bytes);
    Ok(if grid { Kind::AsciiGrid } else { Kind::Points })
}

/// What a file says about its coordinates and levels.
#[derive(Debug, Default)]
pub(crate) struct Stated {
    /// The coordinate system.
    pub crs: Option<Crs>,
    /// The same where the caller's took its place.
    pub overruled: Option<Crs>,
    /// The unit of the coordinates.
    pub linear: Option<LengthUnit>,
    /// The unit of the levels.
    pub vertical: Option<LengthUnit>,
    /// The vertical datum.
    pub datum: Option<String>,
    /// Sentences for the person.
    pub notes: Vec<String>,
    /// Questions for the person.
    pub asks: Vec<Ask>,
}

impl Stated {
    /// A sentence for the person.
    pub fn note(&mut self, text: impl Into<String>) {
        self.notes.push(text.into());
    }

    /// A sentence and a question.
    pub fn ask(&mut self, ask: Ask, text: impl Into<String>) {
        self.note(text);
        if !self.asks.contains(&ask) {
            self.asks.push(ask);
        }
    }

    /// Takes the coordinate system from a `.prj` file where the file itself names none.
    pub fn take_prj(&mut self, beside: &Beside) {
        let Some(text) = beside.prj.as_deref().filter(|_| self.crs.is_none()) else { return };
        match prj::crs_of(text) {
            Some(crs) => {
                self.note(format!("the coordinate system {} was read from the .prj file", crs.name()));
                self.crs = Some(crs);
            }
            None => {
                self.ask(Ask::Crs, format!("the .prj file names {}, which is not understood", prj::name_of(text)))
            }
        }
        self.linear = self.linear.or_else(|| prj::unit_of(text));
    }

    /// Settles the coordinate system between the file and the caller.
    pub fn settle_crs(&mut self, options: &ReadOptions) {
        if let (Some(asked), Some(said)) = (&options.crs, &self.crs)
            && asked != said
        {
            self.notes.push(format!("the file says {}; {} is used, as asked", said.name(), asked.name()));
            self.overruled = Some(said.clone());
        }
        if let Some(asked) = &options.crs {
            self.crs = Some(asked.clone());
            self.asks.retain(|ask| !matches!(ask, Ask::Crs));
        }
        self.crs = self.crs.take().filter(|crs| !crs.is_local());
        if self.crs.is_none() && options.crs.is_none() {
            self.ask(Ask::Crs, "no usable coordinate system is stated: the coordinates are taken as local ones");
        }
        if let Some(note) = self.crs.as_ref().and_then(Crs::note) {
            self.note(note);
        }
    }

    /// The unit of the coordinates: that of the system, else the stated one, else the caller's, else metres until
    /// somebody says. Degrees count as they stand.
    pub fn settle_unit(&mut self, options: &ReadOptions) -> LengthUnit {
        if self.crs.as_ref().is_some_and(Crs::is_degrees) {
            return LengthUnit::Metre;
        }
        let own = self.crs.as_ref().map(Crs::unit);
        if let (Some(own), Some(said)) = (own, self.linear)
            && own != said
        {
            let name = self.crs.as_ref().map(Crs::name).unwrap_or_default();
            let text = format!(
                "the file contradicts itself: {name} counts in {}, but its coordinates are said to be in {}; {} are taken",
                own.words(),
                said.words(),
                own.words()
            );
            self.ask(Ask::HorizontalUnit, text);
        }
        let known = own.or(self.linear).or(options.horizontal_unit);
        if known.is_none() {
            self.ask(Ask::HorizontalUnit, "the file does not state the unit of its coordinates; meters are taken");
        }
        known.unwrap_or(LengthUnit::Metre)
    }

    /// The unit of the levels: the caller's, else the stated one, else that of the coordinates.
    pub fn settle_vertical(&mut self, horizontal: LengthUnit, options: &ReadOptions) -> LengthUnit {
        let used = options.vertical_unit.or(self.vertical).unwrap_or(horizontal);
        match (self.vertical, options.vertical_unit) {
            (None, None) => {
                let words = used.words();
                self.ask(
                    Ask::VerticalUnit,
                    format!("the file does not state its vertical unit; {words} taken, as for the coordinates"),
                );
            }
            (Some(said), Some(asked)) if said != asked => {
                self.note(format!("the file says levels in {}; {} taken, as asked", said.words(), asked.words()));
            }
            _ => {}
        }
        used
    }

    /// Tells when a place cannot well belong to the coordinate system.
    pub fn check_place(&mut self, at: Point) {
        let Some(crs) = self.crs.clone() else { return };
        // Numbers as small as degrees lie at the false origin of a projected system, where nobody farms.
        let unit_m = crs.unit().metres();
        let like_degrees = !crs.is_degrees() && at.x.abs() <= 180.0 * unit_m && at.y.abs() <= 90.0 * unit_m;
        if crs.fits(at) && !like_degrees {
            return;
        }
        self.ask(
            Ask::Crs,
            format!(
                "the coordinates ({}, {}) do not fit {}: they {}",
                crs.unit().figure(at.x, 1),
                crs.unit().figure(at.y, 1),
                crs.name(),
                if like_degrees { "look like degrees" } else { "lie far outside its area" }
            ),
        );
    }

    /// Tells of levels that no land has.
    pub fn check_levels(&mut self, levels: impl Iterator<Item = f64>) {
        let (mut all, mut odd, mut worst) = (0u64, 0u64, 0.0f64);
        for level in levels.filter(|level| level.is_finite()) {
            all += 1;
            if !LAND_M.contains(&level) {
                odd += 1;
                worst = if level.abs() > worst.abs() { level } else { worst };
            }
        }
        self.tell_odd(all, odd, worst);
    }

    /// Tells of levels that no land has: `odd` of `all`, the farthest of them `worst` metres.
    pub fn tell_odd(&mut self, all: u64, odd: u64, worst: f64) {
        if odd * 2 > all {
            let text = format!(
                "the levels look like no land: {odd} of {all} are outside −450 to 9,000 m, such as {worst:.1} m; is the unit right?"
            );
            self.ask(Ask::VerticalUnit, text);
        } else if odd > 0 {
            self.note(format!(
                "{odd} levels are outside −450 to 9,000 m, such as {worst:.1} m; they are kept as they stand"
            ));
        }
    }

    /// The finished answer.
    pub fn finish(self, surface: Surface, horizontal_unit: LengthUnit) -> GroundFile {
        let Self { crs, overruled, vertical, datum, notes, asks, .. } = self;
        let brought_from = None;
        GroundFile {
            surface,
            crs,
            overruled,
            brought_from,
            horizontal_unit,
            vertical_unit: vertical,
            datum,
            notes,
            asks,
        }
    }
}

impl From<CrsError> for FileError {
    fn from(error: CrsError) -> Self {
        Self::unclear(error.to_string(), "a coordinate system that can be used (--crs EPSG:code, or --crs local)")
    }
}
