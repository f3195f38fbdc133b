//! Rain and evaporation by day, from a table a person fills in or a rain gauge writes.

use measure::INCH_M;

use crate::FileError;
use crate::tables_in::{Table, wrong};

/// Most water of a day that is believed, metres ([judgement]: more than any day's rain on record).
pub const MOST_WATER_M: f64 = 2.0;

/// A day of weather.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WeatherDay {
    /// Rain, metres.
    pub rain_m: f64,
    /// What the air would take from a wet surface, metres.
    pub evaporation_m: f64,
}

/// Reads weather by day: columns day, rain and, where it matters, evaporation, each with its unit in the head, `rain mm` or
/// `rain in`. Days are numbers that rise by one from row to row.
///
/// # Errors
/// Where a column or a unit is missing, or a figure is none; with line, found and expected.
pub fn read_weather(bytes: &[u8]) -> Result<Vec<WeatherDay>, FileError> {
    let table = Table::read(bytes, &["day"])?;
    let rain = water_column(&table, "rain")?.ok_or_else(|| no_column(&table, "rain mm or rain in"))?;
    let evaporation = water_column(&table, "evaporation")?;
    let (mut days, mut before) = (Vec::new(), None);
    for (line, row) in &table.rows {
        let number = day_number(*line, table.cell(row, "day"), before)?;
        before = Some(number);
        let air = evaporation.as_ref().map(|column| water(&table, *line, row, column)).transpose()?;
        days.push(WeatherDay { rain_m: water(&table, *line, row, &rain)?, evaporation_m: air.unwrap_or(0.0) });
    }
    if days.is_empty() {
        return Err(FileError::malformed("the table", "no day", "a row for each day below the head"));
    }
    Ok(days)
}

/// A column of water: its name in the head, and its unit in metres.
type WaterColumn = (String, f64);

/// The column whose name begins with a word; an error where it names no unit.
fn water_column(table: &Table, word: &str) -> Result<Option<WaterColumn>, FileError> {
    let Some(name) = table.head.iter().find(|name| name.starts_with(word)) else { return Ok(None) };
    let unit = name[word.len()..].trim_matches(|c: char| " _-()[].".contains(c));
    let metres = match unit {
        "mm" => 1e-3,
        "cm" => 1e-2,
        "in" | "inch" | "inches" => INCH_M,
        _ => {
            let expected = format!("the unit in the head, as {word} mm or {word} in");
            return Err(FileError::malformed("the head", format!("the column '{name}'"), expected));
        }
    };
    Ok(Some((name.clone(), metres)))
}

fn no_column(table: &Table, expected: &str) -> FileError {
    FileError::malformed("the head", format!("the columns {}", table.head.join(", ")), format!("a column {expected}"))
}

fn day_number(line: usize, text: &str, before: Option<i64>) -> Result<i64, FileError> {
    let next = before.and_then(|day| day.checked_add(1));
    let number = text.parse().ok().filter(|day| next.is_none_or(|next| next == *day));
    let expected = match next {
        Some(next) => format!("{next}, the day after the row before"),
        None => "the number of the day, such as 1".into(),
    };
    number.ok_or_else(|| wrong(line, "day", text, &expected))
}

fn water(table: &Table, line: usize, row: &[String], (name, metres): &WaterColumn) -> Result<f64, FileError> {
    let text = &table.figure(row, name);
    let read = text.parse().ok().map(|value: f64| value * metres);
    let believed = read.filter(|water_m| (0.0..=MOST_WATER_M).contains(water_m));
    believed.ok_or_else(|| {
        let most = measure::trimmed(MOST_WATER_M / metres, 0, 0);
        wrong(line, name, table.cell(row, name), &format!("a number from 0 to {most}"))
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests may stop the test")]
mod tests {
    use super::*;

    #[test]
    fn weather_in_either_unit() {
        let inches = read_weather(b"# gauge\nDay;Rain (in);Evaporation (mm)\n5;1.5;2\n6;0;3.5\n").unwrap();
        assert_eq!(inches[0], WeatherDay { rain_m: 1.5 * INCH_M, evaporation_m: 0.002 });
        assert_eq!(inches[1], WeatherDay { rain_m: 0.0, evaporation_m: 0.0035 });
        let commas = read_weather(b"day;rain mm;evaporation mm\n1;12,5;0\n2;1,234;2,5\n").unwrap();
        assert_eq!(commas[0].rain_m, 0.0125);
        assert_eq!(commas[1], WeatherDay { rain_m: 0.001_234, evaporation_m: 0.0025 });
        let bare = read_weather(b"day,rain_mm\n1,30\n").unwrap();
        assert_eq!(bare, [WeatherDay { rain_m: 0.03, evaporation_m: 0.0 }]);
    }

    #[test]
    fn what_is_wrong_is_told_with_its_place() {
        let told = |text: &str| read_weather(text.as_bytes()).unwrap_err().to_string();
        for (text, parts) in [
            ("day,rain\n1,2\n", ["the head", "'rain'", "rain mm or rain in"]),
            ("day,wind mm\n1,2\n", ["the head", "day, wind mm", "rain mm"]),
            ("day,rain mm\n1,2\n3,4\n", ["line 3, column day", "'3'", "2, the day after"]),
            ("day,rain mm\n1,lots\n", ["line 2, column rain mm", "'lots'", "0 to 2000"]),
            ("day,rain mm\n1,-4\n", ["line 2, column rain mm", "'-4'", "0 to 2000"]),
            ("day,rain mm\nMay,4\n", ["line 2, column day", "'may'", "such as 1"]),
            ("day,rain mm\n", ["the table", "no day", "a row for each day"]),
        ] {
            let told = told(text);
            assert!(parts.iter().all(|part| told.to_lowercase().contains(&part.to_lowercase())), "{told}");
        }
    }
}
