//! How wide text is, and where it is broken.

use ttf_parser::Face;

/// The regular cut of the typeface (SIL Open Font License).
pub(crate) const REGULAR: &[u8] = include_bytes!("../../../assets/fonts/B612-Regular.otf");
/// The bold cut.
pub(crate) const BOLD: &[u8] = include_bytes!("../../../assets/fonts/B612-Bold.otf");

/// Millimetres of a point.
pub(crate) const POINT_MM: f64 = 25.4 / 72.0;

/// Both cuts, opened once.
pub struct Ink {
    regular: Option<Face<'static>>,
    bold: Option<Face<'static>>,
}

impl Default for Ink {
    fn default() -> Self {
        Self { regular: Face::parse(REGULAR, 0).ok(), bold: Face::parse(BOLD, 0).ok() }
    }
}

impl Ink {
    /// Width of a text, millimetres.
    pub fn width_mm(&self, text: &str, size_pt: f64, bold: bool) -> f64 {
        let Some(face) = (if bold { &self.bold } else { &self.regular }).as_ref() else { return 0.0 };
        let per_em = f64::from(face.units_per_em());
        let advance = |c: char| {
            let glyph = face.glyph_index(c).unwrap_or(ttf_parser::GlyphId(0));
            f64::from(face.glyph_hor_advance(glyph).unwrap_or(0)) / per_em
        };
        text.chars().map(advance).sum::<f64>() * size_pt * POINT_MM
    }

    /// True where the typeface has every letter of a text.
    #[cfg(test)]
    pub fn has_all(&self, text: &str) -> bool {
        let has = |c: char| self.regular.as_ref().is_some_and(|face| face.glyph_index(c).is_some());
        text.chars().all(has)
    }

    /// Breaks a text into lines no wider than so many millimetres; a word that is wider is broken too.
    pub fn wrap(&self, text: &str, size_pt: f64, bold: bool, width_mm: f64) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        let (mut line, mut line_mm) = (String::new(), 0.0);
        let space_mm = self.width_mm(" ", size_pt, bold);
        for word in text.split_whitespace().flat_map(|word| self.parts(word, size_pt, bold, width_mm)) {
            let word_mm = self.width_mm(&word, size_pt, bold);
            let longer_mm = line_mm + space_mm + word_mm;
            if line.is_empty() {
                (line, line_mm) = (word, word_mm);
            } else if longer_mm > width_mm {
                lines.push(std::mem::replace(&mut line, word));
                line_mm = word_mm;
            } else {
                (line, line_mm) = (format!("{line} {word}"), longer_mm);
            }
        }
        if !line.is_empty() {
            lines.push(line);
        }
        lines
    }

    /// A word in parts no wider than so many millimetres, a letter at least.
    fn parts(&self, word: &str, size_pt: f64, bold: bool, width_mm: f64) -> Vec<String> {
        if self.width_mm(word, size_pt, bold) <= width_mm {
            return vec![word.into()];
        }
        let mut parts = vec![String::new()];
        for c in word.chars() {
            let last = parts.len() - 1;
            let longer = format!("{}{c}", parts[last]);
            if !parts[last].is_empty() && self.width_mm(&longer, size_pt, bold) > width_mm {
                parts.push(c.into());
            } else {
                parts[last] = longer;
            }
        }
        parts
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The signs that sheets print are in the typeface.
    #[test]
    fn the_trades_signs_are_there() {
        let ink = Ink::default();
        for sign in ["°", "½", "×", "±", "·", "→", "↑", "²", "³", "≥", "–", "…", "é", "ü", "\"", "'"]
        {
            assert!(ink.has_all(sign), "{sign} is missing");
        }
    }

    #[test]
    fn text_is_broken_where_it_is_too_wide() {
        let ink = Ink::default();
        let lines = ink.wrap("one two three four five six", 10.0, false, 20.0);
        assert!(lines.len() > 1 && lines.iter().all(|line| ink.width_mm(line, 10.0, false) <= 20.0));
        assert_eq!(lines.join(" "), "one two three four five six");
        let long = ink.wrap("a Wasserwirtschaftsverbandsgrenzstein b", 10.0, false, 20.0);
        assert!(long.len() > 2 && long.iter().all(|line| ink.width_mm(line, 10.0, false) <= 20.0), "{long:?}");
    }
}
