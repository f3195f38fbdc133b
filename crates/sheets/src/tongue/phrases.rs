//! The phrase book: English sentences known again by the pieces between their holes.
//!
//! What stands in a hole stays as it is where the hole is called a `name`: a person typed it. A `figure` begins with one and
//! stays too; everything else may be a phrase itself and is said again.

use std::collections::BTreeMap;

use fluent_bundle::FluentResource;
use fluent_syntax::ast::{Attribute, Entry, Expression, InlineExpression, PatternElement};
use measure::{capital, uncapped};

use super::{Tongue, hole};

/// How deep phrases stand in phrases at most: a list is one in the other, as long as lists of a finding are.
const DEEPEST: usize = 100;
/// Signs of units behind a figure.
const UNITS: [&str; 20] = [
    "ft", "in", "m", "mm", "%", "°", "ft/s", "m/s", "cfs", "gpm", "L/s", "ft²", "m²", "ac", "ha", "yd³", "m³",
    "in/day", "mm/day", "pH",
];

/// A piece of a phrase.
enum Piece {
    /// Words by which it is known.
    Words(String),
    /// A hole with its name.
    Hole(String, Sort),
}

/// What may stand in a hole.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Sort {
    /// What a person typed.
    Name,
    /// A figure with its unit, a station.
    Figure,
    /// A phrase, or anything.
    Said,
}

impl Sort {
    fn of(name: &str) -> Self {
        match name.split('-').next() {
            Some("name") => Self::Name,
            Some("figure") => Self::Figure,
            _ => Self::Said,
        }
    }

    fn takes(self, text: &str) -> bool {
        match self {
            Self::Figure => {
                let begins =
                    |word: &str| word.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '−' | '+' | '-'));
                let mut words = text.split(' ');
                words.next().is_some_and(begins) && words.all(|word| begins(word) || UNITS.contains(&word))
            }
            _ => !text.is_empty(),
        }
    }
}

struct Phrase {
    family: String,
    name: String,
    pieces: Vec<Piece>,
    /// True for what stands within a sentence only: its family is called `part-…`.
    is_part: bool,
    /// Letters of all its words: of two phrases that fit, the one with more is meant.
    letters: usize,
    /// The longest of its words, by which one that cannot fit is passed over.
    longest: String,
}

/// What was said again, and how many letters of it were known.
#[derive(Clone)]
pub(super) struct Said {
    pub text: String,
    pub known: usize,
}

pub(super) struct PhraseBook {
    phrases: Vec<Phrase>,
}

impl PhraseBook {
    /// The phrases of a catalogue, which is the English one.
    pub fn new(english: &FluentResource) -> Self {
        let of = |entry: &Entry<&str>| match entry {
            Entry::Message(message) => {
                message.attributes.iter().map(|attribute| Phrase::new(message.id.name, attribute)).collect()
            }
            _ => Vec::new(),
        };
        Self { phrases: english.entries().flat_map(of).collect() }
    }

    /// True where a text is one phrase, or several one after the other.
    pub fn knows(&self, english: &str) -> bool {
        let is_one = |text: &str| self.phrases.iter().any(|phrase| !phrase.is_part && phrase.holes(text).is_some());
        let is_first = |(at, _): (usize, &str)| {
            let (first, rest) = english.split_at(at + 1);
            is_one(first) && self.knows(rest.trim_start())
        };
        is_one(english) || english.match_indices(". ").any(is_first)
    }

    /// A text said again in a language: as one phrase, or sentence by sentence, whichever is known better.
    pub fn say(&self, english: &str, tongue: Tongue) -> Said {
        Saying { book: self, tongue, said: BTreeMap::new() }.said(english, DEEPEST)
    }
}

impl Phrase {
    fn new(family: &str, attribute: &Attribute<&str>) -> Self {
        let mut pieces: Vec<Piece> = Vec::new();
        for element in &attribute.value.elements {
            match (hole(element), pieces.last_mut()) {
                (Some(name), _) => pieces.push(Piece::Hole(name.to_string(), Sort::of(name))),
                (None, Some(Piece::Words(words))) => words.push_str(words_of(element)),
                (None, _) => pieces.push(Piece::Words(words_of(element).to_string())),
            }
        }
        let words =
            || pieces.iter().filter_map(|piece| if let Piece::Words(words) = piece { Some(words) } else { None });
        let letters = words().map(String::len).sum();
        let longest = words().max_by_key(|words| words.len()).cloned().unwrap_or_default();
        let (family, name, is_part) =
            (family.to_string(), attribute.id.name.to_string(), family.starts_with("part-"));
        Self { family, name, pieces, is_part, letters, longest }
    }

    /// What stands in its holes, where a text is this phrase.
    fn holes<'p, 't>(&'p self, text: &'t str) -> Option<Vec<(&'p str, Sort, &'t str)>> {
        let mut holes = Vec::new();
        (self.may_be(text) && fits(&self.pieces, text, &mut holes)).then_some(holes)
    }

    /// What is cheap to see: its first words at the beginning, its last at the end, its longest anywhere.
    fn may_be(&self, text: &str) -> bool {
        let begins = !matches!(self.pieces.first(), Some(Piece::Words(words)) if !text.starts_with(words.as_str()));
        let ends = !matches!(self.pieces.last(), Some(Piece::Words(words)) if !text.ends_with(words.as_str()));
        begins && ends && text.contains(&self.longest)
    }
}

/// The words of a piece; a space at an end is written as `{" "}` in a catalogue.
fn words_of<'a>(element: &PatternElement<&'a str>) -> &'a str {
    match element {
        PatternElement::TextElement { value } => value,
        PatternElement::Placeable { expression: Expression::Inline(InlineExpression::StringLiteral { value }) } => {
            value
        }
        _ => "",
    }
}

/// True where a text is made of the pieces; what stands in the holes is added. What a hole's name says twice is the same twice.
fn fits<'p, 't>(pieces: &'p [Piece], text: &'t str, holes: &mut Vec<(&'p str, Sort, &'t str)>) -> bool {
    match pieces {
        [] => text.is_empty(),
        [Piece::Words(words), rest @ ..] => {
            text.strip_prefix(words.as_str()).is_some_and(|text| fits(rest, text, holes))
        }
        [Piece::Hole(name, sort), rest @ ..] => {
            let mut ends = ends(rest, text);
            // A name is as short as may be; a figure takes its unit with it: of "4 in in M1" the "4 in".
            if *sort == Sort::Figure {
                ends.reverse();
            }
            ends.into_iter().any(|end| {
                let inside = &text[..end];
                let agrees = holes.iter().all(|(other, _, said)| other != name || *said == inside);
                if !sort.takes(inside) || !agrees {
                    return false;
                }
                holes.push((name, *sort, inside));
                let fit = fits(rest, &text[end..], holes);
                if !fit {
                    holes.pop();
                }
                fit
            })
        }
    }
}

/// Where a hole at the beginning of a text may end, by what follows it.
fn ends(rest: &[Piece], text: &str) -> Vec<usize> {
    match rest {
        [Piece::Words(words)] => {
            text.len().checked_sub(words.len()).filter(|_| text.ends_with(words.as_str())).into_iter().collect()
        }
        [Piece::Words(words), ..] => {
            let next = |from: usize| Some(from + text.get(from..)?.find(words.as_str())?);
            let after = |end: &usize| next(end + text[*end..].chars().next().map_or(1, char::len_utf8));
            std::iter::successors(next(0), after).collect()
        }
        _ => vec![text.len()],
    }
}

/// Saying one text again: what of it was said is remembered.
struct Saying<'b> {
    book: &'b PhraseBook,
    tongue: Tongue,
    said: BTreeMap<(String, bool), Said>,
}

impl Saying<'_> {
    fn said(&mut self, english: &str, depth: usize) -> Said {
        let as_it_is = Said { text: english.to_string(), known: 0 };
        if depth == 0 || english.is_empty() {
            return as_it_is;
        }
        let key = (english.to_string(), depth == DEEPEST);
        if let Some(said) = self.said.get(&key) {
            return said.clone();
        }
        let whole = [self.as_one(english, depth), self.within(english, depth)].into_iter().flatten();
        let parted = english.match_indices(". ").filter_map(|(at, _)| self.in_two(english, at + 1, depth));
        let parted = parted.collect::<Vec<_>>();
        let best = whole.chain(parted).chain(self.one_by_one(english, depth));
        let best = best.fold(as_it_is, |best, said| if said.known > best.known { said } else { best });
        self.said.insert(key, best.clone());
        best
    }

    /// As one phrase: of those that fit, the one with most letters known in it and in its holes.
    fn as_one(&mut self, english: &str, depth: usize) -> Option<Said> {
        let book = self.book;
        let may_be = book.phrases.iter().filter(|phrase| depth < DEEPEST || !phrase.is_part);
        let fitting = may_be.filter_map(|phrase| Some((phrase, phrase.holes(english)?)));
        let mut best: Option<Said> = None;
        for (phrase, holes) in fitting {
            let said = self.in_words(phrase, &holes, depth);
            best = match (best, said) {
                (Some(best), Some(said)) if said.known <= best.known => Some(best),
                (best, said) => said.or(best),
            };
        }
        best
    }

    /// What begins a sentence elsewhere, with a small letter within one: "raise it by 0.52 ft".
    fn within(&mut self, english: &str, depth: usize) -> Option<Said> {
        if depth == DEEPEST || !english.starts_with(char::is_lowercase) {
            return None;
        }
        let said = self.as_one(&capital(english), depth)?;
        Some(Said { text: uncapped(&said.text), known: said.known })
    }

    fn in_words(&mut self, phrase: &Phrase, holes: &[(&str, Sort, &str)], depth: usize) -> Option<Said> {
        let mut known = phrase.letters;
        let mut said: Vec<(&str, String)> = Vec::new();
        for (name, sort, inside) in holes {
            let inside = match sort {
                Sort::Said => self.said(inside, depth - 1),
                _ => Said { text: (*inside).to_string(), known: 0 },
            };
            known += inside.known;
            said.push((name, inside.text));
        }
        let args: Vec<(&str, &str)> = said.iter().map(|(name, text)| (*name, text.as_str())).collect();
        Some(Said { text: self.tongue.catalogue().phrase(&phrase.family, &phrase.name, &args)?, known })
    }

    /// As a list whose parts are parted by semicolons.
    fn one_by_one(&mut self, english: &str, depth: usize) -> Option<Said> {
        let is_list = english.contains("; ");
        let parts: Vec<Said> = english.split("; ").filter(|_| is_list).map(|part| self.said(part, depth)).collect();
        let text = parts.iter().map(|part| part.text.as_str()).collect::<Vec<_>>().join("; ");
        is_list.then(|| Said { text, known: parts.iter().map(|part| part.known).sum() })
    }

    /// As two texts one after the other.
    fn in_two(&mut self, english: &str, end: usize, depth: usize) -> Option<Said> {
        let (first, rest) = english.split_at(end);
        let first = self.as_one(first, depth)?;
        let rest = self.said(rest.trim_start(), depth);
        Some(Said { text: format!("{} {}", first.text, rest.text), known: first.known + rest.known })
    }
}
