//! Texts from outside as they may be shown: signs that a terminal, a reader of files or an eye would obey without seeing them
//! are shown instead.

use std::borrow::Cow;

/// A text on one line: blanks for line ends and tabs, and for what is hidden its number, `\u{1b}`.
pub fn plain(text: &str) -> Cow<'_, str> {
    shown(text, false)
}

/// A text of one or more lines: the same, but line feeds and tabs stay.
pub fn plain_lines(text: &str) -> Cow<'_, str> {
    shown(text, true)
}

fn shown(text: &str, lines: bool) -> Cow<'_, str> {
    let stays = |c: char| !is_hidden(c) || (lines && matches!(c, '\n' | '\t'));
    if text.chars().all(stays) {
        return Cow::Borrowed(text);
    }
    let sign = |c: char| match c {
        c if stays(c) => c.to_string(),
        '\n' | '\r' | '\t' => " ".into(),
        c => c.escape_unicode().to_string(),
    };
    Cow::Owned(text.chars().map(sign).collect())
}

/// Whether a sign is none that is seen: controls, signs that turn the direction of writing, of no width, or that end a line or
/// a paragraph (Unicode 16, general categories Cc, Zl, Zp and those of Cf that are drawn as nothing).
pub fn is_hidden(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_would_be_obeyed_is_shown() {
        assert_eq!(plain("L1\u{1b}[31m"), "L1\\u{1b}[31m");
        assert_eq!(plain("a\nb\tc\rd"), "a b c d");
        assert_eq!(plain("\u{202e}1L\u{200b}"), "\\u{202e}1L\\u{200b}");
        assert_eq!(plain("\u{9b}2J\u{7f}"), "\\u{9b}2J\\u{7f}");
        assert_eq!(plain_lines("a\n\tb\r\u{7}"), "a\n\tb \\u{7}");
        assert!(matches!(plain("Grünfeld № 3, 5 m² – Süd 田"), Cow::Borrowed(_)));
    }
}
