//! Survey points from a text table.

use measure::{LengthUnit, Point, distance};

use crate::degrees::{Axis, angle};
use crate::error::shown;
use crate::geokeys::unit_word;
use crate::ground::{Ask, Beside, Stated};
use crate::odd_shots::{check_degrees, check_geocentric, tell_repeats, tell_two_units};
use crate::plane::{Plane, like_degrees};
use crate::table::{Delimiter, Rows, decode, fields, find_delimiter, has_thousands, header_fields, number, rows};
use crate::{Crs, FileError, GroundFile, ReadOptions};
use terrain::RawShot;
use terrain::Surface;

/// Largest table that is read, bytes (own choice: about five million shots).
pub const MOST_TABLE_BYTES: usize = 256 << 20;
/// Rows shown before reading.
const PREVIEW_ROWS: usize = 12;
/// Lines among which the names of the columns are looked for.
const MOST_TITLES: usize = 40;
/// Bad rows named one by one.
const MOST_PROBLEMS: usize = 20;
/// A shot this far from the middle of the others is no part of the same field, metres (own choice).
pub(crate) const FAR_M: f64 = 50_000.0;
/// Shots within this distance of one line make no surface, metres (own choice).
const THIN_M: f64 = 0.01;

/// Which column is which, counted from 0.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Columns {
    /// Easting (or longitude).
    pub x: usize,
    /// Northing (or latitude).
    pub y: usize,
    /// Level.
    pub z: usize,
    /// Point number or name.
    pub name: Option<usize>,
    /// Code or description.
    pub code: Option<usize>,
    /// Batch: shots taken together.
    pub batch: Option<usize>,
    /// Whether the first line names the columns.
    pub header: bool,
}

/// How a table looks before it is read: for a person to confirm or correct.
#[derive(Debug, Clone, PartialEq)]
pub struct ColumnGuess {
    /// What separates the fields.
    pub delimiter: Delimiter,
    /// The names in the first line; empty without a header.
    pub headers: Vec<String>,
    /// The first rows, without the header.
    pub rows: Vec<Vec<String>>,
    /// The columns as guessed.
    pub columns: Columns,
    /// False where the guess should be confirmed.
    pub sure: bool,
    /// True where the columns are named longitude and latitude.
    pub degrees: bool,
    /// Unit of the coordinates as the header names it.
    pub horizontal_unit: Option<LengthUnit>,
    /// Unit of the levels as the header names it.
    pub vertical_unit: Option<LengthUnit>,
}

/// Reads a table of points.
pub fn read_points(bytes: &[u8], options: &ReadOptions) -> Result<GroundFile, FileError> {
    read(bytes, &Beside::default(), options)
}

/// Looks at a table and guesses its columns.
pub fn guess_columns(bytes: &[u8]) -> Result<ColumnGuess, FileError> {
    let text = decode(checked_size(bytes)?);
    guess(&Body::of(rows(&text)?.rows), true)
}

fn checked_size(bytes: &[u8]) -> Result<&[u8], FileError> {
    if bytes.len() > MOST_TABLE_BYTES {
        return Err(FileError::too_large(format!("{} bytes", bytes.len()), format!("{MOST_TABLE_BYTES} bytes")));
    }
    Ok(bytes)
}

/// The lines of a table that count: the names of the columns where there are any, then the rows.
struct Body<'t> {
    lines: Vec<(usize, &'t str)>,
    /// The row of units below the names.
    units: Option<&'t str>,
    comments: usize,
    /// Lines before the names.
    titles: usize,
}

impl<'t> Body<'t> {
    /// Leaves out comments, what stands before the names, and a row of units below them.
    fn of(lines: Vec<(usize, &'t str)>) -> Self {
        let sample = lines.iter().take(MOST_TITLES);
        let names =
            sample.enumerate().find_map(|(index, (_, line))| names_columns(uncommented(line)).then_some(index));
        let start = names.unwrap_or(0);
        let is_comment = |(index, (_, line)): &(usize, &(usize, &str))| {
            Some(*index) != names && uncommented(line).len() < line.trim_start().len()
        };
        let comments = lines.iter().enumerate().filter(is_comment).count();
        let titles = lines.iter().enumerate().take(start).filter(|line| !is_comment(line)).count();
        let kept = lines.iter().enumerate().skip(start).filter(|line| !is_comment(line));
        let named = |(index, (number, line)): (usize, &(usize, &'t str))| {
            (*number, if Some(index) == names { uncommented(line) } else { line })
        };
        let mut lines: Vec<(usize, &str)> = kept.map(named).collect();
        let has_units = names.is_some() && lines.get(1).is_some_and(|(_, line)| is_unit_row(line));
        let units = has_units.then(|| lines.remove(1).1);
        Self { lines, units, comments, titles }
    }

    fn tell(&self, stated: &mut Stated) {
        if self.comments > 0 {
            stated.note(format!("{} comment lines were left out", self.comments));
        }
        if self.titles > 0 {
            stated.note(format!("{} lines before the names of the columns were left out", self.titles));
        }
    }
}

/// A line without the sign that makes it a comment.
fn uncommented(line: &str) -> &str {
    let line = line.trim_start();
    let rest = line.trim_start_matches(['#', '%', '!']);
    rest.strip_prefix("//").map_or(rest, |rest| rest.trim_start_matches('/'))
}

/// Whether a line names easting, northing and level, under any delimiter.
fn names_columns(line: &str) -> bool {
    Delimiter::ALL.into_iter().any(|delimiter| Named::read(&fields(line, delimiter)).columns(true).is_some())
}

/// Whether a line holds nothing but units, such as `-,m,m,ft`.
fn is_unit_row(line: &str) -> bool {
    let of =
        |delimiter| fields(line, delimiter).into_iter().filter(|f| !f.is_empty() && f != "-").collect::<Vec<_>>();
    let units = |words: Vec<String>| words.len() > 1 && words.iter().all(|word| unit_word(word).is_some());
    Delimiter::ALL.into_iter().any(|delimiter| units(of(delimiter)))
}

/// The columns of a table; one that cannot be read for sure is refused unless somebody chooses them.
fn guess(body: &Body, chosen: bool) -> Result<ColumnGuess, FileError> {
    let lines = &body.lines;
    let nothing = || FileError::malformed("the table", "no row with three numbers", "easting, northing and level");
    let mut delimiter = find_delimiter(lines).ok_or_else(nothing)?;
    if delimiter == Delimiter::Comma {
        match pairs_figures(lines) {
            Ok(true) => delimiter = Delimiter::PairedFigures,
            Err(error) if !chosen => return Err(error),
            _ => {}
        }
    }
    let is_number = |field: &String| number(field, delimiter).is_some();
    let first = fields(lines[0].1, delimiter);
    let header = first.iter().filter(|f| is_number(f)).count() < 3;
    let rows: Vec<Vec<String>> =
        lines.iter().skip(usize::from(header)).take(PREVIEW_ROWS).map(|(_, line)| fields(line, delimiter)).collect();
    let width = rows.iter().map(Vec::len).max().unwrap_or(0);
    let headers = if header { header_fields(lines[0].1, delimiter, width) } else { Vec::new() };
    let named = Named::read(&headers);
    let full = rows.iter().find(|row| row.iter().filter(|f| is_number(f)).count() >= 3).ok_or_else(nothing)?;
    let (mut columns, sure) = match named.columns(header) {
        Some(columns) => (columns, true),
        None => (by_values(full, &rows, delimiter, header).ok_or_else(nothing)?, false),
    };
    turn_by_letters(full, &mut columns, sure)?;
    let units = body.units.map(|line| fields(line, delimiter)).unwrap_or_default();
    let below = |column: usize| units.get(column).and_then(|word| unit_word(word)).filter(|_| sure);
    let horizontal_unit = named.unit_x.filter(|_| sure).or_else(|| below(columns.x));
    let vertical_unit = named.unit_z.filter(|_| sure).or_else(|| below(columns.z));
    let angles = [columns.x, columns.y].iter().all(|column| full.get(*column).is_some_and(|f| angle(f).is_some()));
    let degrees = angles || if sure { named.degrees() } else { by_values_degrees(&columns, &rows, delimiter) };
    Ok(ColumnGuess { delimiter, headers, rows, columns, sure, degrees, horizontal_unit, vertical_unit })
}

/// Whether commas set fields apart and stand for the decimals too, as twice as many fields as names show. Refused where
/// that may be, and the count does not make it sure.
fn pairs_figures(lines: &[(usize, &str)]) -> Result<bool, FileError> {
    let split = |line: &str| fields(line.trim_end_matches([',', ' ']), Delimiter::Comma);
    let is_whole = |field: &String| {
        let digits = field.strip_prefix(['-', '+']).unwrap_or(field);
        !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit())
    };
    let names = split(lines[0].1);
    let header = names.iter().filter(|field| number(field, Delimiter::Comma).is_some()).count() < 3;
    let rows: Vec<Vec<String>> =
        lines[usize::from(header)..].iter().take(PREVIEW_ROWS).map(|(_, line)| split(line)).collect();
    let Some(count) = rows.first().map(Vec::len) else { return Ok(false) };
    let least = if header { names.len() + 1 } else { 6 };
    // A sign stands before a figure, never before its decimals.
    let is_pair = |row: &Vec<String>| row.iter().skip(1).step_by(2).all(|field| !field.starts_with(['-', '+']));
    if count < least || !rows.iter().all(|row| row.len() == count && row.iter().all(is_whole)) {
        return Ok(false);
    }
    if header && count == 2 * names.len() && rows.iter().all(is_pair) {
        return Ok(true);
    }
    let under = if header { format!(" under {} names", names.len()) } else { ", no names".into() };
    let found = format!("{count} fields, all whole numbers{under}: decimal commas in a table set apart by commas?");
    let expected = "figures with decimal points or in quotation marks, another sign between fields, or --columns with the \
                    fields of easting, northing and level";
    Err(FileError::malformed(format!("line {}", lines[usize::from(header)].0), found, expected))
}

/// Takes as northing what carries a north or south; where the names say otherwise the file is refused.
fn turn_by_letters(row: &[String], columns: &mut Columns, named: bool) -> Result<(), FileError> {
    let axis = |column: usize| row.get(column).and_then(|field| angle(field)).and_then(|(_, axis)| axis);
    if axis(columns.x) == Some(Axis::Latitude) || axis(columns.y) == Some(Axis::Longitude) {
        if named {
            let found = format!("longitude {} and latitude {}", shown(&row[columns.x]), shown(&row[columns.y]));
            return Err(FileError::malformed(
                "the names of the columns",
                found,
                "latitude and longitude the other way round",
            ));
        }
        std::mem::swap(&mut columns.x, &mut columns.y);
    }
    Ok(())
}

/// Columns by the words of the header.
#[derive(Debug, Default)]
struct Named {
    x: Option<usize>,
    y: Option<usize>,
    z: Option<usize>,
    name: Option<usize>,
    code: Option<usize>,
    batch: Option<usize>,
    lon: Option<usize>,
    lat: Option<usize>,
    /// Height above the ellipsoid, used where there is no other level.
    ellipsoid: Option<usize>,
    unit_x: Option<LengthUnit>,
    unit_z: Option<LengthUnit>,
}

impl Named {
    /// Names of heights above the ellipsoid.
    const ELLIPSOID: [&str; 4] = ["ellipsoidalheight", "ellipsoidheight", "ellheight", "hae"];

    fn read(headers: &[String]) -> Self {
        let mut named = Self::default();
        for (index, header) in headers.iter().enumerate() {
            let (word, unit) = split_unit(header);
            match word.as_str() {
                "x" | "e" | "east" | "easting" | "eastings" | "xcoord" | "xcoordinate" | "pointx" | "coordx"
                | "rechtswert" => {
                    (named.x, named.unit_x) = (named.x.or(Some(index)), named.unit_x.or(unit));
                }
                "y" | "n" | "north" | "northing" | "northings" | "ycoord" | "ycoordinate" | "pointy" | "coordy"
                | "hochwert" => named.y = named.y.or(Some(index)),
                "lon" | "long" | "longitude" | "lng" => named.lon = named.lon.or(Some(index)),
                "lat" | "latitude" => named.lat = named.lat.or(Some(index)),
                "z" | "elev" | "elevation" | "level" | "height" | "h" | "alt" | "altitude" | "rl" | "zcoord"
                | "zcoordinate" | "pointz" | "coordz" | "ele" | "groundlevel" | "groundelevation"
                | "orthometricheight" | "orthoheight" | "hoehe" | "höhe" | "cota" | "quota" => {
                    (named.z, named.unit_z) = (named.z.or(Some(index)), named.unit_z.or(unit));
                }
                word if Self::ELLIPSOID.contains(&word) => named.ellipsoid = named.ellipsoid.or(Some(index)),
                "point" | "pt" | "p" | "id" | "name" | "no" | "nr" | "number" | "pointid" | "pointno" | "ptid"
                | "ptno" | "punkt" | "punktnr" | "nummer" => {
                    named.name = named.name.or(Some(index));
                }
                "code" | "desc" | "description" | "note" | "notes" | "d" | "remark" => {
                    named.code = named.code.or(Some(index));
                }
                "batch" | "session" | "set" => named.batch = named.batch.or(Some(index)),
                _ => {}
            }
        }
        named
    }

    /// Whether only longitude and latitude are named.
    fn degrees(&self) -> bool {
        self.x.zip(self.y).is_none()
    }

    fn columns(&self, header: bool) -> Option<Columns> {
        let (x, y) = self.x.zip(self.y).or(self.lon.zip(self.lat))?;
        let z = self.z.or(self.ellipsoid)?;
        Some(Columns { x, y, z, name: self.name, code: self.code, batch: self.batch, header })
    }
}

/// A header word without its unit, and the unit: `Elevation (ft)`, `easting_m`.
pub(crate) fn split_unit(header: &str) -> (String, Option<LengthUnit>) {
    let lower = header.trim().to_lowercase();
    let (word, unit) = match lower.split_once(['(', '[']) {
        Some((word, rest)) => (word, unit_word(rest.trim_end_matches([')', ']']))),
        None => match lower.rsplit_once(['_', ' ']).map(|(word, rest)| (word, unit_word(rest))) {
            Some((word, Some(unit))) => (word, Some(unit)),
            _ => (lower.as_str(), None),
        },
    };
    (word.chars().filter(|c| c.is_alphanumeric()).collect(), unit)
}

/// Columns by their values: three numbers are x, y, z; four begin with the point number.
fn by_values(full: &[String], rows: &[Vec<String>], delimiter: Delimiter, header: bool) -> Option<Columns> {
    let numeric: Vec<usize> = (0..full.len()).filter(|i| number(&full[*i], delimiter).is_some()).collect();
    let skip = usize::from(numeric.len() > 3);
    let [a, b, z] = *numeric.get(skip..skip + 3)? else { return None };
    let text_first = (numeric[0] > 0).then_some(0);
    let name = if skip == 1 { Some(numeric[0]) } else { text_first };
    let code = (z + 1 < full.len()).then_some(z + 1);
    let middle = |col: usize| {
        let mut values: Vec<f64> = rows.iter().filter_map(|row| number(row.get(col)?, delimiter)).collect();
        values.sort_by(f64::total_cmp);
        values.get(values.len() / 2).copied().unwrap_or(0.0)
    };
    // On a UTM-like grid the easting has six figures before the point and the northing seven.
    let utm_east = |v: f64| (100_000.0..1_000_000.0).contains(&v);
    // A number beyond 90 is no latitude, and beside one within 90 that spans no field in metres it is the longitude.
    let degrees = middle(a).abs() <= 90.0 && (90.0..=180.0).contains(&middle(b).abs()) && middle(a) != 0.0;
    let turned = (utm_east(middle(b)) && middle(a) >= 1_000_000.0) || degrees;
    let (x, y) = if turned { (b, a) } else { (a, b) };
    Some(Columns { x, y, z, name, code, batch: None, header })
}

/// Whether columns without names hold degrees: within their range, and so near to each other that, as metres or feet,
/// they would make no field.
fn by_values_degrees(columns: &Columns, rows: &[Vec<String>], delimiter: Delimiter) -> bool {
    let of = |column: usize| rows.iter().filter_map(move |row| number(row.get(column)?, delimiter));
    let span = |column: usize| {
        let (low, high) = of(column).fold((f64::MAX, f64::MIN), |(low, high), v| (low.min(v), high.max(v)));
        high - low
    };
    let fractions = of(columns.x).chain(of(columns.y)).all(|v| v.fract() != 0.0);
    let range = of(columns.x).zip(of(columns.y)).all(|(x, y)| like_degrees(Point::new(x, y)));
    rows.len() > 2 && range && fractions && (1e-6..0.1).contains(&span(columns.x).max(span(columns.y)))
}

pub(crate) fn read(bytes: &[u8], beside: &Beside, options: &ReadOptions) -> Result<GroundFile, FileError> {
    let text = decode(checked_size(bytes)?);
    let Rows { rows: lines, unclosed, joined } = rows(&text)?;
    if lines.is_empty() {
        return Err(FileError::malformed("line 1", "no text", "easting, northing and level of points"));
    }
    let body = Body::of(lines);
    let mut guess = guess(&body, options.columns.is_some())?;
    let mut stated = Stated { linear: guess.horizontal_unit, vertical: guess.vertical_unit, ..Stated::default() };
    match &options.columns {
        Some(columns) => guess.columns = columns.clone(),
        None => tell_guess(&guess, &mut stated),
    }
    body.tell(&mut stated);
    tell_quotes(&unclosed, &joined, &mut stated);
    if guess.delimiter == Delimiter::PairedFigures {
        let names = guess.headers.len();
        stated
            .note(format!("{} fields under {names} names: figures with decimal commas, two fields each", 2 * names));
    }
    let level_name = guess.headers.get(guess.columns.z).map(|header| split_unit(header).0).unwrap_or_default();
    if Named::ELLIPSOID.contains(&level_name.as_str()) {
        stated.note("the levels are heights above the ellipsoid, which differ from those above the sea by meters");
    }
    let rows = &body.lines[usize::from(guess.columns.header)..];
    if rows.len() as u64 > options.most_cells {
        return Err(FileError::too_large(format!("{} rows", rows.len()), format!("{} rows", options.most_cells)));
    }
    let shots = read_rows(rows, &guess, &mut stated)?;
    tell_repeats(&shots, &mut stated);
    tell_two_units(&shots, &mut stated);
    stated.take_prj(beside);
    settle(shots, guess.degrees, stated, options)
}

/// Tells of quotation marks that are not closed, and of those that hold lines together.
fn tell_quotes(unclosed: &[usize], joined: &[(usize, usize)], stated: &mut Stated) {
    for line in unclosed.iter().take(MOST_PROBLEMS) {
        stated
            .note(format!("line {line}: a quotation mark opens and is not closed; it is taken to end with the line"));
    }
    for (first, last) in joined.iter().take(MOST_PROBLEMS) {
        stated.note(format!("lines {first} to {last} are one row: a quotation mark holds them together"));
    }
}

fn tell_guess(guess: &ColumnGuess, stated: &mut Stated) {
    if guess.sure {
        return;
    }
    let columns = &guess.columns;
    let (x, y, z) = (columns.x + 1, columns.y + 1, columns.z + 1);
    let text = format!(
        "the columns are not named; by their values column {x} is taken as easting, {y} as northing, {z} as level"
    );
    stated.ask(Ask::Columns, text);
}

/// Reads every row that can be read, in the units of the file.
fn read_rows(rows: &[(usize, &str)], guess: &ColumnGuess, stated: &mut Stated) -> Result<Vec<RawShot>, FileError> {
    let mut shots = Vec::with_capacity(rows.len());
    let mut problems: Vec<(String, String)> = Vec::new();
    let mut thousands = false;
    for (line, text) in rows {
        match read_row(*line, text, guess, &mut thousands) {
            Ok(shot) => shots.push(shot),
            Err(found) => problems.push((format!("line {line}"), found)),
        }
    }
    if let Some((place, found)) = problems.first().filter(|_| problems.len() > shots.len()) {
        let found = format!("{found} ({} of {} rows cannot be read)", problems.len(), rows.len());
        return Err(FileError::malformed(place.clone(), found, "easting, northing and level"));
    }
    if thousands {
        stated.note("commas between groups of three figures were read as thousands separators");
    }
    for (place, found) in problems.iter().take(MOST_PROBLEMS) {
        stated.note(format!("{place} was left out: found {found}, expected easting, northing and level"));
    }
    if problems.len() > MOST_PROBLEMS {
        stated.note(format!("{} more rows were left out", problems.len() - MOST_PROBLEMS));
    }
    Ok(shots)
}

fn read_row(line: usize, text: &str, guess: &ColumnGuess, thousands: &mut bool) -> Result<RawShot, String> {
    let row = fields(text, guess.delimiter);
    let columns = &guess.columns;
    let mut value = |index: usize| {
        let field = row.get(index).ok_or_else(|| format!("{} fields", row.len()))?;
        *thousands |= has_thousands(field);
        number(field, guess.delimiter).filter(|v| v.abs() < 1e9).ok_or_else(|| shown(field))
    };
    let (x, y, level_m) = (value(columns.x)?, value(columns.y)?, value(columns.z)?);
    let word = |index: Option<usize>| index.and_then(|i| row.get(i)).filter(|word| !word.is_empty()).cloned();
    let (name, code, batch) = (word(columns.name), word(columns.code), word(columns.batch));
    Ok(RawShot { at: Point::new(x, y), level_m, name, code, batch, line })
}

/// Brings the shots to metres and holds them against each other.
pub(crate) fn settle(
    mut shots: Vec<RawShot>,
    named_degrees: bool,
    mut stated: Stated,
    options: &ReadOptions,
) -> Result<GroundFile, FileError> {
    check_geocentric(&shots)?;
    for word in shots.iter_mut().flat_map(|shot| [&mut shot.name, &mut shot.code, &mut shot.batch]).flatten() {
        if word.chars().any(measure::is_hidden) {
            *word = measure::plain(word).into_owned();
        }
    }
    let stated_degrees = stated.crs.as_ref().or(options.crs.as_ref()).is_some_and(Crs::is_degrees);
    if named_degrees {
        check_degrees(&mut shots, &mut stated)?;
    }
    let degrees = (named_degrees || stated_degrees) && shots.iter().all(|shot| like_degrees(shot.at));
    let first = shots.first().map_or(Point::new(0.0, 0.0), |shot| shot.at);
    let plane = Plane::settle(&mut stated, degrees, first, options);
    let vertical_m = stated.settle_vertical(plane.unit(), options).metres();
    for shot in &mut shots {
        shot.at = plane.place(shot.at)?;
        shot.level_m *= vertical_m;
    }
    drop_far(&mut shots, &mut stated);
    if !options.sparse {
        check_spread(&shots)?;
    }
    stated.check_levels(shots.iter().map(|shot| shot.level_m));
    if let Some(shot) = shots.first() {
        stated.check_place(shot.at);
    }
    Ok(stated.finish(Surface::Shots(shots), plane.unit()))
}

/// Leaves out shots that lie far from the middle of all, and says which.
fn drop_far(shots: &mut Vec<RawShot>, stated: &mut Stated) {
    let middle = |pick: fn(&RawShot) -> f64| {
        let mut values: Vec<f64> = shots.iter().map(pick).collect();
        values.sort_by(f64::total_cmp);
        values.get(values.len() / 2).copied().unwrap_or(0.0)
    };
    let centre = Point::new(middle(|s| s.at.x), middle(|s| s.at.y));
    let mut told = 0;
    shots.retain(|shot| {
        let away_m = distance(centre, shot.at);
        if away_m > FAR_M && told < MOST_PROBLEMS {
            told += 1;
            stated.notes.push(format!(
                "line {}: the point lies {:.0} km away from the rest and was left out; are easting and northing swapped?",
                shot.line,
                away_m / 1000.0
            ));
        }
        away_m <= FAR_M
    });
}

/// Refuses shots that make no surface.
fn check_spread(shots: &[RawShot]) -> Result<(), FileError> {
    let refuse =
        |found: String| Err(FileError::malformed("the table", found, "three points that are not on one line"));
    if shots.len() < 3 {
        return refuse(format!("{} points", shots.len()));
    }
    let from = |at: Point| {
        let far =
            |best: Point, shot: &RawShot| if distance(at, shot.at) > distance(at, best) { shot.at } else { best };
        shots.iter().fold(at, far)
    };
    let a = from(shots[0].at);
    let b = from(a);
    let length = distance(a, b);
    if length < THIN_M {
        return refuse(format!("{} points in one place", shots.len()));
    }
    let off = |p: Point| ((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x)).abs() / length;
    if shots.iter().all(|shot| off(shot.at) < THIN_M) {
        return refuse(format!("{} points on one line", shots.len()));
    }
    Ok(())
}
