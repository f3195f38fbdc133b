//! Text tables: encoding, delimiter, fields and numbers.

use crate::FileError;
use crate::degrees::angle;

/// Longest line that is read, bytes (own choice; a survey line has some hundred).
const LONGEST_LINE: usize = 64 << 10;
/// Lines that a quotation mark holds together at most (own choice: a remark has few).
const MOST_JOINED: usize = 12;
/// Lines looked at to find the delimiter.
const SAMPLE_LINES: usize = 50;

/// What separates the fields of a table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Delimiter {
    /// `,`
    Comma,
    /// `;`
    Semicolon,
    /// A tab.
    Tab,
    /// `|`
    Pipe,
    /// One or more blanks.
    Blanks,
    /// `,` between fields, and decimal commas in figures that stand in quotation marks.
    QuotedFigures,
    /// `,` between fields and for the decimals, so that two fields make a figure.
    PairedFigures,
}

impl Delimiter {
    /// In the order in which a tie is settled.
    pub(crate) const ALL: [Self; 6] =
        [Self::Tab, Self::Semicolon, Self::Pipe, Self::Comma, Self::Blanks, Self::QuotedFigures];

    /// The delimiter as said in a sentence.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Comma => "commas",
            Self::Semicolon => "semicolons",
            Self::Tab => "tabs",
            Self::Pipe => "pipes",
            Self::Blanks => "blanks",
            Self::QuotedFigures => "commas, with decimal commas in quotation marks",
            Self::PairedFigures => "commas, which stand for the decimals too",
        }
    }

    const fn sign(self) -> Option<char> {
        match self {
            Self::Comma | Self::QuotedFigures | Self::PairedFigures => Some(','),
            Self::Semicolon => Some(';'),
            Self::Tab => Some('\t'),
            Self::Pipe => Some('|'),
            Self::Blanks => None,
        }
    }
}

/// The text of a table: UTF-8 and UTF-16, with or without their marks; else Latin-1, in which every byte is a letter.
pub(crate) fn decode(bytes: &[u8]) -> String {
    let wide = |bytes: &[u8], join: fn([u8; 2]) -> u16| {
        let units: Vec<u16> = bytes.chunks_exact(2).map(|pair| join([pair[0], pair[1]])).collect();
        String::from_utf16_lossy(&units)
    };
    match bytes {
        [0xff, 0xfe, rest @ ..] => wide(rest, u16::from_le_bytes),
        [0xfe, 0xff, rest @ ..] => wide(rest, u16::from_be_bytes),
        _ if half_nul(bytes, 1) => wide(bytes, u16::from_le_bytes),
        _ if half_nul(bytes, 0) => wide(bytes, u16::from_be_bytes),
        _ => plain_text(bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes)),
    }
}

/// UTF-8 where it is that, else Latin-1, in which every byte is a letter.
pub(crate) fn plain_text(bytes: &[u8]) -> String {
    std::str::from_utf8(bytes).map_or_else(|_| bytes.iter().map(|b| char::from(*b)).collect(), str::to_string)
}

/// Whether nearly every second byte of the beginning, from one on, is 0 and no other is: plain text in UTF-16.
fn half_nul(bytes: &[u8], from: usize) -> bool {
    let start = &bytes[..bytes.len().min(512)];
    let nul = |from: usize| start.iter().skip(from).step_by(2).filter(|byte| **byte == 0).count();
    nul(from) * 5 > start.len() * 2 && nul(1 - from) == 0
}

/// The rows of a table.
#[derive(Debug, Default)]
pub(crate) struct Rows<'t> {
    /// Those that are not blank, with the number of the line in which each begins, from 1.
    pub rows: Vec<(usize, &'t str)>,
    /// Lines with a quotation mark that is not closed.
    pub unclosed: Vec<usize>,
    /// First and last line of rows that a quotation mark holds together.
    pub joined: Vec<(usize, usize)>,
}

/// The rows of a table. A line feed ends one, with or without a carriage return before it; a carriage return alone does only
/// where the text has no line feed at all. A quotation mark that opens at the beginning of a field holds lines together up
/// to the one that closes it at the end of a field, a few lines below at most: one that is never closed swallows nothing.
pub(crate) fn rows(text: &str) -> Result<Rows<'_>, FileError> {
    let end = if text.contains('\n') { '\n' } else { '\r' };
    let mut found = Rows::default();
    let (mut start, mut number) = (0, 1);
    while start < text.len() {
        let line = text[start..].split(end).next().unwrap_or_default();
        let mut row = line;
        if opens(line) && !is_comment(line) {
            match closed(&text[start..], end) {
                Some(whole) if whole.len() > line.len() => {
                    found.joined.push((number, number + whole.matches(end).count()));
                    row = whole;
                }
                _ => found.unclosed.push(number),
            }
        }
        let place = || format!("line {number}");
        if row.len() > LONGEST_LINE {
            let what = format!("a line of {} bytes", row.len());
            return Err(FileError::malformed(place(), what, format!("at most {LONGEST_LINE} bytes a line")));
        }
        if row.contains('\0') {
            return Err(FileError::malformed(place(), "a NUL byte", "text"));
        }
        if !row.trim().is_empty() {
            found.rows.push((number, row.trim_end_matches('\r')));
        }
        number += 1 + row.matches(end).count();
        start += row.len() + 1;
    }
    Ok(found)
}

/// Signs that set fields apart.
const SIGNS: [char; 4] = [',', ';', '\t', '|'];

fn is_comment(line: &str) -> bool {
    let line = line.trim_start();
    line.starts_with(['#', '%', '!']) || line.starts_with("//")
}

/// Whether a quotation mark is open at the end of a text that begins with a field.
fn opens(text: &str) -> bool {
    text.contains('"') && quoted(text) == Some(true)
}

/// The row that begins a text: as many of its lines as the quotation mark holds that is open at the end of the first;
/// `None` where none of the next few closes it well.
fn closed(text: &str, end: char) -> Option<&str> {
    let ends = text.match_indices(end).map(|(at, _)| at).chain([text.len()]);
    let found = ends.skip(1).take(MOST_JOINED).take_while(|at| *at <= LONGEST_LINE).find_map(|at| {
        let part = text.get(..at)?;
        match quoted(part) {
            None => Some(None),
            Some(true) => None,
            Some(false) => Some(Some(part)),
        }
    });
    found.flatten()
}

/// Whether a text ends within quotation marks; `None` where a mark closes in the midst of a field.
fn quoted(text: &str) -> Option<bool> {
    let (mut open, mut fresh) = (false, true);
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '"' if open && chars.peek() == Some(&'"') => drop(chars.next()),
            '"' if open => {
                let after = chars.clone().find(|c| !matches!(c, ' ' | '\r'));
                if after.is_some_and(|c| !SIGNS.contains(&c) && c != '\n') {
                    return None;
                }
                open = false;
            }
            '"' if fresh => open = true,
            _ => {}
        }
        fresh = !open && (SIGNS.contains(&c) || (fresh && c == ' '));
    }
    Some(open)
}

/// The fields of a line, without quotes and outer blanks.
pub(crate) fn fields(line: &str, delimiter: Delimiter) -> Vec<String> {
    let Some(sign) = delimiter.sign() else {
        return line.split_whitespace().map(|field| field.trim_matches('"').to_string()).collect();
    };
    let mut all = vec![String::new()];
    let mut quoted = false;
    let mut chars = line.chars().peekable();
    while let Some(c) = chars.next() {
        let last = all.len() - 1;
        match c {
            '"' if quoted && chars.peek() == Some(&'"') => {
                chars.next();
                all[last].push('"');
            }
            '"' if quoted || all[last].trim().is_empty() => quoted = !quoted,
            c if c == sign && !quoted => all.push(String::new()),
            c => all[last].push(c),
        }
    }
    let all = all.iter().map(|field| field.trim().to_string());
    if delimiter != Delimiter::PairedFigures {
        return all.collect();
    }
    let all: Vec<String> = all.collect();
    all.chunks(2).map(|pair| pair.join(",")).collect()
}

/// A finite number as people write it: a decimal comma where commas do not separate fields, and thousands set off by
/// commas, blanks, apostrophes or, before a decimal comma, points; or an angle in degrees, minutes and seconds. `None` for
/// anything else.
pub(crate) fn number(field: &str, delimiter: Delimiter) -> Option<f64> {
    if let Some((degrees, _)) = angle(field) {
        return Some(degrees);
    }
    let read = |text: &str| text.parse::<f64>().ok().filter(|value| value.is_finite());
    let minus = field.strip_prefix('\u{2212}').map(|rest| format!("-{rest}"));
    let field = minus.as_deref().unwrap_or(field);
    let starts_well = field.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.'));
    if !starts_well {
        return None;
    }
    if let Some(value) = read(field) {
        return Some(value);
    }
    if has_thousands(field) {
        return read(&field.replace(',', ""));
    }
    let comma = delimiter != Delimiter::Comma && field.matches(',').count() == 1;
    let (whole, rest) = if comma { field.split_once(',')? } else { (field, "") };
    let (whole, rest) = if comma { (whole, rest) } else { whole.split_once('.').unwrap_or((whole, "")) };
    let signs: &[char] = if comma {
        &['.', ' ', '\u{a0}', '\u{202f}', '\'', '’']
    } else {
        &[' ', '\u{a0}', '\u{202f}', '\'', '’']
    };
    let Some(sign) = whole.chars().find(|c| signs.contains(c)) else {
        return comma.then(|| read(&field.replace(',', "."))).flatten();
    };
    in_threes(whole, sign).then(|| read(&format!("{}.{rest}0", whole.replace(sign, "")))).flatten()
}

/// Whether a whole number is set off in groups of three by a sign.
pub(crate) fn in_threes(whole: &str, sign: char) -> bool {
    let mut groups = whole.trim_start_matches(['-', '+']).split(sign);
    let figures = |group: &str| group.bytes().all(|b| b.is_ascii_digit());
    let first = groups.next().is_some_and(|group| (1..=3).contains(&group.len()) && figures(group));
    first && groups.all(|group| group.len() == 3 && figures(group))
}

/// True for `533,826.426` and `5,304,536.267`: groups of three and a decimal point.
pub(crate) fn has_thousands(field: &str) -> bool {
    field.split_once('.').is_some_and(|(whole, _)| whole.contains(',') && in_threes(whole, ','))
}

/// Whether a quoted figure has a comma that can only stand for decimals: `203164,5`, but not `203,164`.
fn has_decimal_comma(line: &str) -> bool {
    let is_one = |field: &String| {
        field.matches(',').count() == 1 && !in_threes(field, ',') && number(field, Delimiter::QuotedFigures).is_some()
    };
    fields(line, Delimiter::QuotedFigures).iter().any(is_one)
}

/// The delimiter under which most lines hold at least three numbers; `None` where none does.
pub(crate) fn find_delimiter(lines: &[(usize, &str)]) -> Option<Delimiter> {
    let sample = &lines[..lines.len().min(SAMPLE_LINES)];
    let good = |delimiter: Delimiter| {
        let three =
            |line: &str| fields(line, delimiter).iter().filter(|f| number(f, delimiter).is_some()).count() >= 3;
        sample.iter().filter(|(_, line)| three(line)).count()
    };
    let mut best = None;
    for delimiter in Delimiter::ALL {
        let sure = delimiter != Delimiter::QuotedFigures || sample.iter().any(|(_, line)| has_decimal_comma(line));
        let count = if sure { good(delimiter) } else { 0 };
        if count > 0 && best.is_none_or(|(most, _)| count > most) {
            best = Some((count, delimiter));
        }
    }
    best.map(|(_, delimiter)| delimiter)
}

/// The fields of a header, which may be set apart by another sign than the rows.
pub(crate) fn header_fields(line: &str, rows: Delimiter, columns: usize) -> Vec<String> {
    let own = fields(line, rows);
    if own.len() == columns {
        return own;
    }
    let other = Delimiter::ALL.into_iter().map(|d| fields(line, d)).find(|names| names.len() == columns);
    other.unwrap_or(own)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quotes_hold_commas_and_doubled_quotes() {
        let row = fields(r#""1" , "533,826.4","stake, ""leaning""""#, Delimiter::Comma);
        assert_eq!(row, ["1", "533,826.4", "stake, \"leaning\""]);
        assert_eq!(number(&row[1], Delimiter::Comma), Some(533_826.4));
    }

    #[test]
    fn numbers_in_every_dress() {
        assert_eq!(number("8,17", Delimiter::Semicolon), Some(8.17));
        assert_eq!(number("8,17", Delimiter::Comma), None);
        assert_eq!(number("5.3e+05", Delimiter::Comma), Some(530_000.0));
        for word in ["", "nan", "inf", "1e999", "0x10", "12a", "-"] {
            assert_eq!(number(word, Delimiter::Comma), None, "{word}");
        }
    }

    #[test]
    fn the_delimiter_is_the_one_that_yields_numbers() {
        let find = |text| find_delimiter(&rows(text).unwrap().rows);
        assert_eq!(find("a;b;c\n1;2,5;3,5\n"), Some(Delimiter::Semicolon));
        assert_eq!(find("1, 2, 3\n"), Some(Delimiter::Comma));
        assert_eq!(find("  1   2 3\n"), Some(Delimiter::Blanks));
        assert_eq!(find("only words\n"), None);
    }
}
