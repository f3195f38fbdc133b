//! How wide text is, and where it is broken.

use ttf_parser::Face;

/// The regular cut of the typeface (SIL Open Font License).
pub(crate) const REGULAR: &[u8] = include_bytes!("../../../assets/fonts/B612-Regular.otf");
/// The bold cut.
pub(crate) const BOLD: &[u8] = include_bytes!("../../../assets/fonts/B612-Bold.otf");

/// The typeface for letters that the first one has not: nearly every sign of the Basic Multilingual Plane, drawn coarsely (SIL
/// Open Font License).
pub(crate) const SPARE: &[u8] = include_bytes!("../../../assets/fonts/Unifont.otf");

/// Millimetres of a point.
pub(crate) const POINT_MM: f64 = 25.4 / 72.0;

/// The typefaces, opened once.
pub struct Ink {
    regular: Option<Face<'static>>,
    bold: Option<Face<'static>>,
    spare: Option<Face<'static>>,
    /// How far the letters of ASCII go on, regular and bold: nearly all that is measured.
    ascii_em: [Vec<f64>; 2],
}

/// A run of letters that is drawn in one typeface.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Run {
    /// True for the spare typeface.
    pub spare: bool,
    /// What is drawn.
    pub drawn: String,
    /// What it stands for, where that cannot be drawn: the letter of a number such as U+1F33E.
    pub stands_for: Option<char>,
}

impl Default for Ink {
    fn default() -> Self {
        let face = |bytes| Face::parse(bytes, 0).ok();
        let ascii_em = [Vec::new(), Vec::new()];
        let mut ink = Self { regular: face(REGULAR), bold: face(BOLD), spare: face(SPARE), ascii_em };
        ink.ascii_em = [false, true].map(|bold| (0..128_u8).map(|c| ink.advance_em(c.into(), bold)).collect());
        ink
    }
}

impl Ink {
    fn own(&self, bold: bool) -> Option<&Face<'static>> {
        if bold { self.bold.as_ref() } else { self.regular.as_ref() }
    }

    /// A text as it is drawn: each run in the first typeface that has its letters; a letter that none has, and one that means
    /// nothing outside a private agreement, as its number.
    pub(crate) fn runs(&self, text: &str, bold: bool) -> Vec<Run> {
        let mut runs: Vec<Run> = Vec::new();
        for c in text.chars() {
            let drawn = |face: Option<&Face>| glyph(face, c).is_some();
            let run = match (drawn(self.own(bold)), drawn(self.spare.as_ref())) {
                (true, _) => Run { spare: false, drawn: c.into(), stands_for: None },
                (false, true) => Run { spare: true, drawn: c.into(), stands_for: None },
                (false, false) => Run { spare: false, drawn: numbered(c), stands_for: Some(c) },
            };
            match runs.last_mut() {
                Some(last) if (last.spare, last.stands_for) == (run.spare, None) && run.stands_for.is_none() => {
                    last.drawn.push(c);
                }
                _ => runs.push(run),
            }
        }
        runs
    }

    /// Width of a text, millimetres.
    pub fn width_mm(&self, text: &str, size_pt: f64, bold: bool) -> f64 {
        text.chars().map(|c| self.advance_em(c, bold)).sum::<f64>() * size_pt * POINT_MM
    }

    /// How far a letter goes on, as a share of the height of the type.
    fn advance_em(&self, c: char, bold: bool) -> f64 {
        if let Some(known_em) = self.ascii_em[usize::from(bold)].get(u32::from(c) as usize) {
            return *known_em;
        }
        let of = |face: Option<&Face>| {
            let (face, glyph) = (face?, glyph(face, c)?);
            Some(f64::from(face.glyph_hor_advance(glyph).unwrap_or(0)) / f64::from(face.units_per_em()))
        };
        let own = of(self.own(bold)).or_else(|| of(self.spare.as_ref()));
        // Every letter of a number is in the first typeface.
        let numbered =
            || if c.is_ascii() { 0.0 } else { numbered(c).chars().map(|d| self.advance_em(d, bold)).sum() };
        own.unwrap_or_else(numbered)
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

/// True for a letter that means something by private agreement only.
pub(crate) const fn is_private(c: char) -> bool {
    matches!(c, '\u{e000}'..='\u{f8ff}' | '\u{f0000}'..='\u{10ffff}')
}

/// The glyph of a letter. A letter of a private area has none: what it means nobody can tell later (PDF/A-2a forbids them).
fn glyph(face: Option<&Face>, c: char) -> Option<ttf_parser::GlyphId> {
    face.filter(|_| !is_private(c))?.glyph_index(c).filter(|glyph| glyph.0 != 0)
}

/// A letter by its number: "U+1F33E".
fn numbered(c: char) -> String {
    format!("U+{:04X}", u32::from(c))
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

    /// Signs of many scripts are drawn, and what no typeface has is told by its number.
    #[test]
    fn a_letter_that_is_not_there_is_told_by_its_number() {
        let runs = |text| Ink::default().runs(text, true);
        let own = |drawn: &str| Run { spare: false, drawn: drawn.into(), stands_for: None };
        let spare = |drawn: &str| Run { spare: true, ..own(drawn) };
        assert_eq!(runs("Feld 李Ж ab"), [own("Feld "), spare("李Ж"), own(" ab")]);
        let number = |c, drawn: &str| Run { stands_for: Some(c), ..own(drawn) };
        assert_eq!(runs("a🌾\u{e001}"), [own("a"), number('🌾', "U+1F33E"), number('\u{e001}', "U+E001")]);
        let ink = Ink::default();
        assert_eq!(ink.width_mm("🌾", 10.0, false), ink.width_mm("U+1F33E", 10.0, false));
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
