//! Text tables: encoding, delimiter, fields and numbers.

use crate::FileError;

/// Longest line that is read, bytes (own choice; a survey line has some hundred).
const LONGEST_LINE: usize = 64 << 10;
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
}

impl Delimiter {
    /// In the order in which a tie is settled.
    pub(crate) const ALL: [Self; 5] = [Self::Tab, Self::Semicolon, Self::Pipe, Self::Comma, Self::Blanks];

    /// The delimiter as said in a sentence.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Comma => "commas",
            Self::Semicolon => "semicolons",
            Self::Tab => "tabs",
            Self::Pipe => "pipes",
            Self::Blanks => "blanks",
        }
    }

    const fn sign(self) -> Option<char> {
        match self {
            Self::Comma => Some(','),
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

/// The lines that are not blank with their numbers from 1; line ends of any kind.
pub(crate) fn lines(text: &str) -> Result<Vec<(usize, &str)>, FileError> {
    let mut found = Vec::new();
    let ended = text.split('\n').map(|line| line.strip_suffix('\r').unwrap_or(line));
    for (index, line) in ended.flat_map(|line| line.split('\r')).enumerate() {
        let place = || format!("line {}", index + 1);
        if line.len() > LONGEST_LINE {
            let what = format!("a line of {} bytes", line.len());
            return Err(FileError::malformed(place(), what, format!("at most {LONGEST_LINE} bytes a line")));
        }
        if line.contains('\0') {
            return Err(FileError::malformed(place(), "a NUL byte", "text"));
        }
        if !line.trim().is_empty() {
            found.push((index + 1, line));
        }
    }
    Ok(found)
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
    all.iter().map(|field| field.trim().to_string()).collect()
}

/// A finite number as people write it: a decimal comma where commas do not separate fields, and thousands set off by
/// commas, blanks, apostrophes or, before a decimal comma, points. `None` for anything else.
pub(crate) fn number(field: &str, delimiter: Delimiter) -> Option<f64> {
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
fn in_threes(whole: &str, sign: char) -> bool {
    let mut groups = whole.trim_start_matches(['-', '+']).split(sign);
    let figures = |group: &str| group.bytes().all(|b| b.is_ascii_digit());
    let first = groups.next().is_some_and(|group| (1..=3).contains(&group.len()) && figures(group));
    first && groups.all(|group| group.len() == 3 && figures(group))
}

/// True for `533,826.426` and `5,304,536.267`: groups of three and a decimal point.
pub(crate) fn has_thousands(field: &str) -> bool {
    field.split_once('.').is_some_and(|(whole, _)| whole.contains(',') && in_threes(whole, ','))
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
        let count = good(delimiter);
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
        let find = |text| find_delimiter(&lines(text).unwrap());
        assert_eq!(find("a;b;c\n1;2,5;3,5\n"), Some(Delimiter::Semicolon));
        assert_eq!(find("1, 2, 3\n"), Some(Delimiter::Comma));
        assert_eq!(find("  1   2 3\n"), Some(Delimiter::Blanks));
        assert_eq!(find("only words\n"), None);
    }
}
