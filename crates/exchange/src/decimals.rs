//! Decimal commas in tables that a person fills in: German, French and many other spreadsheets write `12,50` and set the
//! fields apart with semicolons.

use crate::table::{Delimiter, in_threes};

/// How the decimals of a table are written, for figures that say it of themselves as little as `1,234`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Decimals {
    /// After a point; a comma before three figures sets thousands off.
    Point,
    /// After a comma; a point before three figures sets thousands off.
    Comma,
}

impl Decimals {
    /// Of a table by its cells: the first figure that can be read in one way only decides; where there is none, commas are
    /// decimals unless they set the fields apart.
    pub fn of<'t>(cells: impl Iterator<Item = &'t str>, delimiter: Delimiter) -> Self {
        let own = cells.flat_map(figures).find_map(|(_, figure)| plainly(figure));
        own.unwrap_or(if delimiter == Delimiter::Comma { Self::Point } else { Self::Comma })
    }

    /// A text in which every figure has a decimal point and no sign for thousands.
    pub fn pointed(self, text: &str) -> String {
        let (mut told, mut from) = (String::with_capacity(text.len()), 0);
        for (at, figure) in figures(text) {
            told.push_str(&text[from..at]);
            told.push_str(&self.pointed_figure(figure));
            from = at + figure.len();
        }
        told + &text[from..]
    }

    fn pointed_figure(self, figure: &str) -> String {
        let decimals = plainly(figure).unwrap_or(self);
        let (point, thousands) = match decimals {
            Self::Point => ('.', ','),
            Self::Comma => (',', '.'),
        };
        let whole = figure.split(point).next().unwrap_or_default();
        let is_sound =
            figure.matches(point).count() <= 1 && (!figure.contains(thousands) || in_threes(whole, thousands));
        // What is no figure in either way is refused by who reads it.
        if is_sound { figure.replace(thousands, "").replace(point, ".") } else { figure.to_string() }
    }
}

/// The way in which a figure can only be read; `None` for a whole number and for `1,234` and `1.234`, which may be either.
fn plainly(figure: &str) -> Option<Decimals> {
    let (comma, point) = (figure.rfind(','), figure.rfind('.'));
    let last = match (comma, point) {
        (None, None) => return None,
        (comma, point) if comma > point => Decimals::Comma,
        _ => Decimals::Point,
    };
    let sign = if last == Decimals::Comma { ',' } else { '.' };
    let other = if last == Decimals::Comma { Decimals::Point } else { Decimals::Comma };
    match (comma.is_some() && point.is_some(), figure.matches(sign).count()) {
        (true, 1) => Some(last),
        (true, _) => None,
        (false, 1) => (!in_threes(figure, sign) || figure.starts_with('0')).then_some(last),
        // Set off more than once: thousands.
        (false, _) => in_threes(figure, sign).then_some(other),
    }
}

/// Every run of figures, commas and points that begins and ends with a figure, and where it begins.
fn figures(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let runs = text.split(|c: char| !(c.is_ascii_digit() || c == ',' || c == '.'));
    let mut from = 0;
    runs.filter_map(move |run| {
        // One sign of any length lies between two runs.
        let at = text[from..].find(run).map(|skip| from + skip).filter(|_| !run.is_empty())?;
        from = at + run.len();
        let start = run.find(|c: char| c.is_ascii_digit())?;
        let end = run.rfind(|c: char| c.is_ascii_digit())? + 1;
        Some((at + start, &run[start..end]))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn figures_in_either_dress_are_read() {
        let comma = |text| Decimals::Comma.pointed(text);
        for (text, wanted) in [
            ("12,50", "12.50"),
            ("1.250,00 €", "1250.00 €"),
            ("1+50,5", "1+50.5"),
            ("-0,4 %", "-0.4 %"),
            ("201,234", "201.234"),
            ("1.234", "1234"),
            ("12.5", "12.5"),
            ("0.750", "0.750"),
            ("3'-8 1/2\"", "3'-8 1/2\""),
            ("1,2,3", "1,2,3"),
            ("6 L", "6 L"),
        ] {
            assert_eq!(comma(text), wanted, "{text}");
        }
        let point = |text| Decimals::Point.pointed(text);
        for (text, wanted) in [
            ("$1,250", "$1250"),
            ("1,234,567.5", "1234567.5"),
            ("1.234", "1.234"),
            ("12,5", "12.5"),
            ("0,125", "0.125"),
        ] {
            assert_eq!(point(text), wanted, "{text}");
        }
    }

    /// One figure that can be read in one way only tells how the others are meant.
    #[test]
    fn a_table_tells_how_it_is_meant() {
        let of = |cells: &[&str], delimiter| Decimals::of(cells.iter().copied(), delimiter);
        assert_eq!(of(&["1,234", "12.5"], Delimiter::Semicolon), Decimals::Point);
        assert_eq!(of(&["1,234", "12,5"], Delimiter::Semicolon), Decimals::Comma);
        assert_eq!(of(&["1,234"], Delimiter::Semicolon), Decimals::Comma);
        assert_eq!(of(&["1,234"], Delimiter::Comma), Decimals::Point);
        assert_eq!(of(&["1.234.567"], Delimiter::Tab), Decimals::Comma);
    }

    proptest! {
        #[test]
        fn any_text_is_passed_through(text in ".{0,30}") {
            for decimals in [Decimals::Point, Decimals::Comma] {
                let told = decimals.pointed(&text);
                prop_assert!(told.len() <= text.len());
            }
        }

        /// Written in the German way and read, a number is itself.
        #[test]
        fn a_figure_comes_back(whole in 0u32..2_000_000, cents in 0u32..100) {
            let thousands = measure::thousands(f64::from(whole), 0).replace(',', ".");
            let told = Decimals::Comma.pointed(&format!("{thousands},{cents:02}"));
            prop_assert_eq!(told, format!("{whole}.{cents:02}"));
        }
    }
}
