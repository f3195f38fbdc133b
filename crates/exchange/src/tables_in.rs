//! Tables a person fills in: price lists, hub levels, local rule sets. Text with a head that names the columns, set apart by
//! commas, semicolons or tabs; decimals after a point or a comma; lines that begin with # are remarks. Every figure carries
//! its unit or takes that of the job. Two rows for one thing are refused: nobody could tell which of them counted.

use std::collections::BTreeMap;

use measure::{FOOT_M, INCH_M, Units, parse_length, parse_pipe_size, trimmed};
use plan::{Criteria, Goods, Hub, LIMITS, Limit, Measure, PriceList, PriceRow, Quantity, ShotOn};

use crate::FileError;
use crate::csv_out::{Csv, csv_text};
use crate::decimals::Decimals;
use crate::table::{Delimiter, Rows, decode, fields, rows};

/// Largest table that is read, bytes.
const MOST_BYTES: usize = 4 << 20;
/// Most rows of a table.
const MOST_ROWS: usize = 20_000;

/// Columns of words, in which no figure is looked for.
const WORDS: [&str; 8] = ["item", "line", "limit", "held", "note", "why", "per", "currency"];
/// How a spreadsheet is told what sets the fields apart, in a line before the head.
const SEPARATOR: &str = "sep=";

/// A table by the names of its columns.
pub(crate) struct Table {
    pub head: Vec<String>,
    decimals: Decimals,
    /// Number of the line, and its fields.
    pub rows: Vec<(usize, Vec<String>)>,
}

impl Table {
    pub fn read(bytes: &[u8], needed: &[&str]) -> Result<Self, FileError> {
        if bytes.len() > MOST_BYTES {
            return Err(FileError::too_large(format!("{} bytes", bytes.len()), format!("{MOST_BYTES} bytes")));
        }
        let text = decode(bytes);
        let Rows { rows: all, unclosed, .. } = rows(&text)?;
        if let Some(line) = unclosed.first() {
            let found = "a quotation mark that is not closed";
            return Err(FileError::malformed(format!("line {line}"), found, "a second one at the end of the field"));
        }
        let is_row = |line: &str| !line.trim_start().starts_with('#') && !line.to_lowercase().starts_with(SEPARATOR);
        let mut left = all.into_iter().filter(|(_, line)| is_row(line));
        let Some((number, first)) = left.next() else {
            return Err(FileError::malformed("the table", "no line", format!("a head with {}", needed.join(", "))));
        };
        let delimiter = [Delimiter::Comma, Delimiter::Semicolon, Delimiter::Tab]
            .into_iter()
            .max_by_key(|delimiter| fields(first, *delimiter).len())
            .unwrap_or(Delimiter::Comma);
        let head: Vec<String> = fields(first, delimiter).iter().map(|name| name.to_lowercase()).collect();
        if let Some(missing) = needed.iter().find(|name| !head.contains(&name.to_string())) {
            let found = format!("the columns {}", head.join(", "));
            return Err(FileError::malformed(format!("line {number}"), found, format!("a column {missing}")));
        }
        let rows: Vec<(usize, Vec<String>)> = left.map(|(n, line)| (n, fields(line, delimiter))).collect();
        if rows.len() > MOST_ROWS {
            return Err(FileError::too_large(format!("{} rows", rows.len()), format!("{MOST_ROWS} rows")));
        }
        if let Some((number, row)) =
            rows.iter().find(|(_, row)| row.iter().skip(head.len()).any(|cell| !cell.is_empty()))
        {
            let found = format!("{} fields", row.len());
            let expected = format!("{} as in the head; a comma within a field stands in quotation marks", head.len());
            return Err(FileError::malformed(format!("line {number}"), found, expected));
        }
        let is_figures = |column: &usize| head.get(*column).is_some_and(|name| !WORDS.contains(&name.as_str()));
        let of_row = |(_, row): &'_ (usize, Vec<String>)| -> Vec<String> {
            row.iter().enumerate().filter(|(column, _)| is_figures(column)).map(|(_, cell)| cell.clone()).collect()
        };
        let cells: Vec<String> = rows.iter().flat_map(of_row).collect();
        let decimals = Decimals::of(cells.iter().map(String::as_str), delimiter);
        Ok(Self { head, decimals, rows })
    }

    /// A field that holds a figure, its decimals after a point.
    pub fn figure(&self, row: &[String], name: &str) -> String {
        self.decimals.pointed(self.cell(row, name))
    }

    /// A field of a row, without the apostrophe that keeps spreadsheets from running it; empty where it is not there.
    pub fn cell<'r>(&self, row: &'r [String], name: &str) -> &'r str {
        let index = self.head.iter().position(|head| head == name);
        let text = index.and_then(|index| row.get(index)).map_or("", |text| text.trim());
        text.strip_prefix('\'').unwrap_or(text)
    }
}

pub(crate) fn wrong(line: usize, column: &str, found: &str, expected: &str) -> FileError {
    FileError::malformed(format!("line {line}, column {column}"), format!("'{found}'"), expected)
}

fn size(line: usize, column: &str, text: &str) -> Result<Option<f64>, FileError> {
    if text.is_empty() {
        return Ok(None);
    }
    parse_pipe_size(text).map(Some).map_err(|error| wrong(line, column, text, error.expected))
}

fn length(line: usize, column: &str, text: &str, units: Units) -> Result<Option<f64>, FileError> {
    if text.is_empty() {
        return Ok(None);
    }
    parse_length(text, units).map(Some).map_err(|error| wrong(line, column, text, error.expected))
}

/// A price with the sign or code of its currency, before or after it, where one stands there.
fn price(line: usize, text: &str) -> Result<(f64, &str), FileError> {
    let is_figure = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-');
    let wrong = || wrong(line, "price", text, "a number such as 12.50");
    let (from, to) = text.find(is_figure).zip(text.rfind(is_figure)).ok_or_else(wrong)?;
    let (before, figure, after) = (text[..from].trim(), &text[from..=to], text[to + 1..].trim());
    let value = figure.replace(' ', "").parse::<f64>().ok().filter(|value| value.is_finite()).ok_or_else(wrong)?;
    match (before, after) {
        (currency, "") | ("", currency) => Ok((value, currency)),
        _ => Err(wrong()),
    }
}

/// A price list as a file has it.
#[derive(Debug, Clone, PartialEq)]
pub struct PricesIn {
    /// Its rows.
    pub rows: Vec<PriceRow>,
    /// Sign or code of the currency, where the file says.
    pub currency: Option<String>,
}

/// Reads a price list: columns item, price, and where they matter size, branch, per, roll and currency. A price of pipe is
/// for a foot or a metre as `per` says, else for the job's own unit. The currency may stand in a column of its own or with
/// each price; all prices have the same.
pub fn read_price_rows(bytes: &[u8], units: Units) -> Result<PricesIn, FileError> {
    let table = Table::read(bytes, &["item", "price"])?;
    let (mut met, mut currency): (Vec<(usize, PriceRow)>, Option<String>) = (Vec::new(), None);
    for (line, row) in &table.rows {
        // Lists written by older versions have the British spelling.
        let word = table.cell(row, "item").to_lowercase().replace("mobilisation", "mobilization");
        let goods = Goods::ALL.into_iter().find(|(_, other)| *other == word).map(|(goods, _)| goods);
        let goods = goods.ok_or_else(|| {
            let all: Vec<&str> = Goods::ALL.iter().map(|(_, word)| *word).collect();
            wrong(*line, "item", &word, &all.join(", "))
        })?;
        let figure = table.figure(row, "price");
        let (price, sign) = price(*line, &figure)?;
        if price < 0.0 {
            return Err(wrong(*line, "price", table.cell(row, "price"), "a price of 0 or more"));
        }
        if !sign.is_empty() && each(goods.measure(), sign, units).is_some() {
            return Err(wrong(*line, "price", table.cell(row, "price"), "the unit in the column per"));
        }
        for (column, said) in [("currency", table.cell(row, "currency")), ("price", sign)] {
            if said.is_empty() {
                continue;
            }
            let known: &String = currency.get_or_insert_with(|| said.to_string());
            if known != said || !plan::is_currency(said) {
                let expected = format!("a sign or code, the same for every price: {known}");
                return Err(wrong(*line, column, said, &expected));
            }
        }
        let per = table.cell(row, "per");
        let row = PriceRow {
            goods,
            size_m: size(*line, "size", &table.figure(row, "size"))?,
            branch_m: size(*line, "branch", &table.figure(row, "branch"))?,
            price: price
                / each(goods.measure(), per, units).ok_or_else(|| wrong(*line, "per", per, &expected(goods)))?,
            pack_m: length(*line, "roll", &table.figure(row, "roll"), units)?,
        };
        let first = met.iter().find(|(_, other)| row.is_for_same(other)).map(|(first, _)| *first);
        once(*line, "item", &item_words(&row, units), first)?;
        met.push((*line, row));
    }
    Ok(PricesIn { rows: met.into_iter().map(|(_, row)| row).collect(), currency })
}

/// What a row is for: "tee, 6 in, 4 in".
fn item_words(row: &PriceRow, units: Units) -> String {
    let sizes = [row.size_m, row.branch_m].into_iter().flatten().map(|size_m| format!(", {}", units.pipe(size_m)));
    row.goods.word().to_string() + &sizes.collect::<String>()
}

/// Refuses a row for what an earlier row is for already; both are named.
fn once(line: usize, column: &str, what: &str, first: Option<usize>) -> Result<(), FileError> {
    let Some(first) = first else { return Ok(()) };
    Err(wrong(line, column, what, &format!("one row for it; line {first} is for it too")))
}

/// How much of the base unit one of `per` is; that of the job's own unit where none is named, `None` for a word that makes
/// no sense. A foot is that of the job where the job has one.
fn each(measure: Measure, per: &str, units: Units) -> Option<f64> {
    let own = if units.is_metric() { Units::Feet } else { units };
    let unit = match (measure, per.trim_start_matches('/').trim()) {
        (_, "") => units,
        (Measure::Length, "ft" | "foot") | (Measure::Volume, "yd3" | "yd³") | (Measure::Area, "ac" | "acre") => own,
        (Measure::Length, "m" | "metre" | "meter") | (Measure::Volume, "m3" | "m³") | (Measure::Area, "ha") => {
            Units::Metric
        }
        (Measure::Piece, "each" | "piece") | (Measure::Hour, "h" | "hour") => units,
        _ => return None,
    };
    Some(measure.unit(unit).0)
}

fn expected(goods: Goods) -> String {
    match goods.measure() {
        Measure::Length => "ft or m",
        Measure::Piece => "each",
        Measure::Hour => "hour",
        Measure::Volume => "yd3 or m3",
        Measure::Area => "ac or ha",
    }
    .into()
}

/// The price list as a table that [`read_price_rows`] reads again; in the units of the job.
pub fn price_rows_csv(list: &PriceList, units: Units) -> String {
    let mut csv = Csv::with_remarks([format!("prices: {}", list.source)]);
    csv.head("item,size,branch,price,per,roll,currency");
    let size = |size_m: Option<f64>| match (size_m, units.is_metric()) {
        (None, _) => String::new(),
        (Some(size_m), true) => format!("{} mm", trimmed(size_m * 1000.0, 0, 6)),
        (Some(size_m), false) => format!("{} in", trimmed(size_m / INCH_M, 0, 6)),
    };
    for row in &list.rows {
        let (per, sign) = row.goods.measure().unit(units);
        let roll =
            row.pack_m.map(|m| format!("{} {}", trimmed(m / units.length_unit().metres(), 0, 6), units.sign()));
        csv.row(&[
            csv_text(row.goods.word()),
            size(row.size_m),
            size(row.branch_m),
            trimmed(row.price * per, 0, 6),
            sign.replace('³', "3"),
            roll.unwrap_or_default(),
            csv_text(&list.currency),
        ]);
    }
    csv.finish()
}

/// Reads hub levels: columns line, station, level, and offset ("6 L", "2 m R") where hubs stand aside. Answers each with
/// the name of its line and the line of the file.
pub fn read_hubs(bytes: &[u8], units: Units) -> Result<Vec<(String, Hub, usize)>, FileError> {
    let table = Table::read(bytes, &["line", "station", "level"])?;
    let (mut hubs, mut met) = (Vec::new(), BTreeMap::new());
    for (line, row) in &table.rows {
        let station_m = station(*line, &table.figure(row, "station"), units)?;
        let level_m = length(*line, "level", &table.figure(row, "level"), units)?;
        let level_m = level_m.ok_or_else(|| wrong(*line, "level", "", "the level of the hub's top"))?;
        let left_m = offset(*line, &table.figure(row, "offset"), units)?;
        let name = measure::plain(table.cell(row, "line")).into_owned();
        let place = (name.clone(), station_m.to_bits());
        let what = format!("{name} {}", measure::station(station_m, units));
        once(*line, "station", &what, met.get(&place).copied())?;
        met.insert(place, *line);
        hubs.push((name, Hub { station_m, level_m, left_m }, *line));
    }
    Ok(hubs)
}

/// A level shot on what was laid, told by line and station.
#[derive(Debug, Clone, PartialEq)]
pub struct StationShot {
    /// The line, as it is named.
    pub line: String,
    /// Its station, metres.
    pub station_m: f64,
    /// The level, metres.
    pub level_m: f64,
    /// What it was held on, where the row says.
    pub held: Option<ShotOn>,
    /// Whatever else the row says of it.
    pub note: String,
    /// Line of the file, counted from 1.
    pub row: usize,
}

/// Reads shots told by line, station and level, and where they matter held and note; `None` where the head names no line
/// and station.
pub fn read_station_shots(bytes: &[u8], units: Units) -> Result<Option<Vec<StationShot>>, FileError> {
    let Ok(table) = Table::read(bytes, &["line", "station"]) else { return Ok(None) };
    let shot = |(line, row): &(usize, Vec<String>)| {
        let level = length(*line, "level", &table.figure(row, "level"), units)?;
        let held = table.cell(row, "held");
        let on = ShotOn::read(held).filter(|_| !held.is_empty());
        if on.is_none() && !held.is_empty() {
            return Err(wrong(*line, "held", held, "invert, top, trench bottom or ground"));
        }
        Ok(StationShot {
            line: measure::plain(table.cell(row, "line")).into_owned(),
            station_m: station(*line, &table.figure(row, "station"), units)?,
            level_m: level.ok_or_else(|| wrong(*line, "level", "", "the level that was shot"))?,
            held: on,
            note: measure::plain(table.cell(row, "note")).into_owned(),
            row: *line,
        })
    };
    table.rows.iter().map(shot).collect::<Result<_, _>>().map(Some)
}

/// A station on a line.
fn station(line: usize, text: &str, units: Units) -> Result<f64, FileError> {
    let station_m = measure::parse_station(text, units).filter(|m| (0.0..1e6).contains(m));
    station_m.ok_or_else(|| wrong(line, "station", text, "a station such as 1+50"))
}

/// An offset to the left as a length above 0, to the right below 0.
fn offset(line: usize, text: &str, units: Units) -> Result<f64, FileError> {
    let upper = text.to_uppercase();
    let (figure, sign) = match (upper.strip_suffix('L'), upper.strip_suffix('R')) {
        (Some(figure), _) => (figure.to_string(), 1.0),
        (_, Some(figure)) => (figure.to_string(), -1.0),
        _ => (upper.clone(), 1.0),
    };
    Ok(length(line, "offset", figure.trim().to_lowercase().as_str(), units)?.unwrap_or(0.0) * sign)
}

/// A local rule set: limits with the reason each is what it is.
#[derive(Debug, Clone, PartialEq)]
pub struct RuleSet {
    /// Limits by name, the value in base units, and why.
    pub limits: Vec<(&'static str, f64, String)>,
}

impl RuleSet {
    /// The criteria under this set.
    pub fn applied(&self, criteria: &Criteria) -> Criteria {
        let mut changed = criteria.clone();
        for (name, value, _) in &self.limits {
            if let Some(limit) = plan::limit_named(name) {
                (limit.set)(&mut changed, *value);
            }
        }
        changed
    }

    /// Every reason, each once.
    pub fn why(&self) -> String {
        let mut all: Vec<&str> =
            self.limits.iter().map(|(_, _, why)| why.as_str()).filter(|why| !why.is_empty()).collect();
        all.dedup();
        all.join("; ")
    }
}

/// Reads a local rule set: columns limit, value, why. A limit is named as in the list of limits, with or without its
/// unit at the end.
pub fn read_rule_set(bytes: &[u8], units: Units) -> Result<RuleSet, FileError> {
    let table = Table::read(bytes, &["limit", "value"])?;
    let (mut limits, mut met) = (Vec::new(), BTreeMap::new());
    for (line, row) in &table.rows {
        let (name, text) = (table.cell(row, "limit").to_lowercase().replace(' ', "_"), table.figure(row, "value"));
        let known = LIMITS.iter().find(|limit| limit.name == name || short(limit) == name);
        let limit = known.ok_or_else(|| wrong(*line, "limit", &name, &limits_like(&name)))?;
        once(*line, "limit", short(limit), met.get(limit.name).copied())?;
        met.insert(limit.name, *line);
        let value = limit_value(limit, &text, units)
            .filter(|value| (0.0..=1e6).contains(value))
            .ok_or_else(|| wrong(*line, "value", table.cell(row, "value"), quantity_words(limit.quantity)))?;
        limits.push((limit.name, value, measure::plain(table.cell(row, "why")).into_owned()));
    }
    Ok(RuleSet { limits })
}

/// What limits there are, those first that share a word with a name that is none.
fn limits_like(name: &str) -> String {
    let shares = |limit: &&Limit| name.split('_').any(|word| word.len() > 3 && limit.name.contains(word));
    let like: Vec<&str> = LIMITS.iter().filter(shares).map(short).take(8).collect();
    match like.is_empty() {
        true => "a limit of the list that `bring --help` prints, such as least_cover".into(),
        false => format!("a limit of the list that `bring --help` prints, such as {}", like.join(", ")),
    }
}

/// A limit's name without its unit.
pub fn short(limit: &Limit) -> &'static str {
    ["_ms", "_m2", "_deg", "_m"].iter().find_map(|end| limit.name.strip_suffix(end)).unwrap_or(limit.name)
}

/// Reads a value of a limit in the units of the job.
pub fn limit_value(limit: &Limit, text: &str, units: Units) -> Option<f64> {
    let bare = |text: &str| text.trim().parse::<f64>().ok().filter(|value| value.is_finite());
    match limit.quantity {
        Quantity::Length | Quantity::Depth => parse_length(text, units).ok(),
        Quantity::Grade => measure::parse_grade(text).ok(),
        Quantity::Angle => bare(text.trim().trim_end_matches("deg").trim_end_matches('°')),
        Quantity::Area => measure::parse_area(text, units).ok(),
        Quantity::Share => match text.trim().strip_suffix('%') {
            Some(percent) => bare(percent).map(|percent| percent / 100.0),
            None => bare(text),
        },
        Quantity::Speed => match text.trim().strip_suffix("ft/s") {
            Some(feet) => bare(feet).map(|feet| feet * FOOT_M),
            None => match text.trim().strip_suffix("m/s") {
                Some(metres) => bare(metres),
                None => bare(text).map(|value| value * units.length_unit().metres()),
            },
        },
        Quantity::Conductivity => measure::parse_coefficient(text, units).ok(),
        Quantity::Number => bare(text),
    }
}

const fn quantity_words(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Length | Quantity::Depth => "a length such as 2.5 ft or 0.75 m",
        Quantity::Speed => "a speed such as 1.4 ft/s or 0.4 m/s",
        Quantity::Grade => "a grade such as 0.4 %",
        Quantity::Angle => "an angle such as 45",
        Quantity::Area => "an area such as 3 ac or 1 ha",
        Quantity::Share => "a share such as 90 % or 0.9",
        Quantity::Conductivity => "a depth of water in a day such as 1 in/day",
        Quantity::Number => "a number",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_price_list_comes_back_as_it_was() {
        let text = "# quote\nitem,size,branch,price,per,roll\nperforated pipe,4 in,,0.75,ft,250 ft\ntee,6 in,4 in,$22,each,\n\
                    machine hour,,,150,,\n";
        let PricesIn { rows, currency } = read_price_rows(text.as_bytes(), Units::Feet).unwrap();
        assert_eq!((rows.len(), currency.as_deref()), (3, Some("$")));
        assert!((rows[0].price - 0.75 / FOOT_M).abs() < 1e-12 && (rows[0].pack_m.unwrap() - 76.2).abs() < 1e-9);
        assert!((rows[1].branch_m.unwrap() - 4.0 * INCH_M).abs() < 1e-9);
        let list = PriceList { rows: rows.clone(), currency: "EUR".into(), ..PriceList::default() };
        for units in [Units::Feet, Units::Metric] {
            let written = price_rows_csv(&list, units);
            let again = read_price_rows(written.as_bytes(), units).unwrap();
            assert_eq!(again.currency.as_deref(), Some("EUR"));
            for (a, b) in rows.iter().zip(&again.rows) {
                assert!((a.price - b.price).abs() < 1e-5 && a.goods == b.goods, "{a:?} {b:?}");
                assert!((a.size_m.unwrap_or(0.0) - b.size_m.unwrap_or(0.0)).abs() < 1e-7, "{a:?} {b:?}");
            }
            assert_eq!(written.contains(" mm"), units.is_metric(), "{written}");
        }
    }

    #[test]
    fn a_price_list_has_one_currency() {
        let read = |text: &str| read_price_rows(text.as_bytes(), Units::Feet);
        for (text, wanted) in [
            ("item,price\ntee,€22\ncoupler,€ 3.50\n", Some("€")),
            ("item,price\ntee,22 kr\n", Some("kr")),
            ("item,price,currency\ntee,22,NZD\ncoupler,3,\n", Some("NZD")),
            ("item,price\ntee,22\n", None),
        ] {
            assert_eq!(read(text).unwrap().currency.as_deref(), wanted, "{text}");
        }
        let told = read("item,price\ntee,€22\ncoupler,$3\n").unwrap_err().to_string();
        assert!(told.starts_with("line 3, column price: found '$'") && told.ends_with("every price: €"), "{told}");
        assert!(read("item,price\ntee,a long word 22\n").is_err());
        assert!(read("item,price\ntee,$22 each\n").is_err());
        assert!(read("item,price\ntee,22 each\n").unwrap_err().to_string().ends_with("the unit in the column per"));
    }

    /// As a spreadsheet of a country with decimal commas writes it; fields that a bare comma made too many are refused.
    #[test]
    fn tables_with_decimal_commas_come_in() {
        let text = "sep=;\nItem;Size;Price;Per;Roll\nperforated pipe;100 mm;0,85;m;50\nmachine hour;;1.250,50 €;;\nstone;;32,5;m3;\n";
        let PricesIn { rows, currency } = read_price_rows(text.as_bytes(), Units::Metric).unwrap();
        assert_eq!(rows.iter().map(|row| row.price).collect::<Vec<_>>(), [0.85, 1250.5, 32.5]);
        assert_eq!((rows[0].pack_m, currency.as_deref()), (Some(50.0), Some("€")));
        let quoted = read_price_rows(b"item,price\nmachine hour,\"1,250.00\"\ntee,\"12,5\"\n", Units::Feet).unwrap();
        assert_eq!(quoted.rows.iter().map(|row| row.price).collect::<Vec<_>>(), [1250.0, 12.5]);
        let told = read_price_rows(b"item,price,per\ntee,22,50,each\n", Units::Feet).unwrap_err().to_string();
        assert!(told.starts_with("line 2: found 4 fields, expected 3"), "{told}");
        let hubs = read_hubs(b"line;station;level;offset\nL2;0+50,5;127,345;1,8 R\n", Units::Metric).unwrap();
        assert_eq!((hubs[0].1.station_m, hubs[0].1.level_m, hubs[0].1.left_m), (50.5, 127.345, -1.8));
        let shots = read_station_shots(b"line;station;level\nL2;0+50,5;127,345\n", Units::Metric).unwrap().unwrap();
        assert_eq!((shots[0].station_m, shots[0].level_m), (50.5, 127.345));
        let set = read_rule_set(b"limit;value;why\nleast_cover;0,75 m;code 1,2\n", Units::Metric).unwrap();
        assert_eq!((set.limits[0].1, set.limits[0].2.as_str()), (0.75, "code 1,2"));
    }

    #[test]
    fn two_rows_for_one_thing_are_refused_with_both() {
        let prices = "item,size,branch,price\ntee,6 in,4 in,22\ntee,6 in,,20\ntee,150 mm,100 mm,23\n";
        let told = read_price_rows(prices.as_bytes(), Units::Feet).unwrap_err().to_string();
        assert_eq!(
            told,
            "line 4, column item: found 'tee, 5.9 in, 3.9 in', expected one row for it; line 2 is for it too"
        );
        let hubs = b"line,station,level\nL2,0+50,4\nL3,0+50,4\nL2,50,5\n";
        let told = read_hubs(hubs, Units::Feet).unwrap_err().to_string();
        assert_eq!(told, "line 4, column station: found 'L2 0+50', expected one row for it; line 2 is for it too");
        let rules = b"limit,value\nleast_cover,2 ft\nleast_cover_m,3 ft\n";
        let told = read_rule_set(rules, Units::Feet).unwrap_err().to_string();
        assert!(
            told.starts_with("line 3, column limit: found 'least_cover'") && told.contains("line 2 is"),
            "{told}"
        );
    }

    #[test]
    fn bad_prices_are_told_with_their_place() {
        let told = |text: &str| read_price_rows(text.as_bytes(), Units::Feet).unwrap_err().to_string();
        assert!(told("item,size\n").contains("a column price"));
        assert!(told("item,price\nwidget,3\n").starts_with("line 2, column item: found 'widget'"));
        assert!(told("item,price\ntee,-3\n").contains("a price of 0 or more"));
        assert!(told("item,price\ntee,many\n").contains("a number such as 12.50"));
        assert!(told("item,price,per\ntee,3,acre\n").contains("expected each"));
        assert!(told("item,price,size\ntee,3,huge\n").contains("column size"));
        assert!(told("").contains("no line"));
    }

    #[test]
    fn hubs_left_and_right() {
        let hubs =
            read_hubs(b"line,station,level,offset\nL2,0+50,416.47,6 L\nL2,1+00,416.85,2 m R\n", Units::Feet).unwrap();
        assert_eq!(hubs.len(), 2);
        assert!((hubs[0].1.left_m - 6.0 * FOOT_M).abs() < 1e-9 && (hubs[1].1.left_m + 2.0).abs() < 1e-9);
        let told = read_hubs(b"line,station,level\nL2,here,4\n", Units::Feet).unwrap_err().to_string();
        assert!(told.starts_with("line 2, column station: found 'here'"), "{told}");
        assert!(read_hubs(b"line,station,level\nL2,1+00,\n", Units::Feet).is_err());
    }

    #[test]
    fn a_local_rule_set() {
        let text = "limit,value,why\nleast_cover,2.5 ft,county code 12\nsilt_velocity,1.5 ft/s,\nnearly_full,85 %,\n";
        let set = read_rule_set(text.as_bytes(), Units::Feet).unwrap();
        let criteria = set.applied(&Criteria::default());
        assert!((criteria.least_cover_m - 2.5 * FOOT_M).abs() < 1e-12);
        assert!((criteria.silt_velocity_ms - 1.5 * FOOT_M).abs() < 1e-12);
        assert_eq!((criteria.nearly_full, set.why().as_str()), (0.85, "county code 12"));
        let told = read_rule_set(b"limit,value\nbest_cover,2\n", Units::Feet).unwrap_err().to_string();
        assert!(told.contains("'best_cover'"));
        assert!(read_rule_set(b"limit,value\nleast_cover,deep\n", Units::Feet).is_err());
        assert!(read_rule_set(b"limit,value\nleast_cover,-2\n", Units::Feet).is_err());
    }
}
