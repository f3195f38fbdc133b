//! In what language those who dig are told: every text of the cut sheets and of the field page by its id, from one
//! catalogue a language.
//!
//! A catalogue is a Fluent file in `crates/sheets/text`. A message with a value is a text of the sheets themselves. One
//! with attributes is a family of phrases: what checks, cut sheets and the plan say in English, known again by the
//! pieces between its figures and names, and said in the other language with the same ones ([`phrases`]).
//!
//! The Spanish says *usted*. Its terms: of safety in the trench [OSHA-es, OR-OSHA-es], of drains and what is round them
//! [FAO60-es, MX-drains], of level, rod, hub and fittings [MX-words, memory]: a crew's own words go before these.

mod phrases;

use std::collections::BTreeMap;
use std::sync::LazyLock;

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource};
use fluent_syntax::ast::{Entry, Expression, InlineExpression, Pattern, PatternElement};

use phrases::PhraseBook;

const ENGLISH: &str = include_str!("../../text/en.ftl");
const SPANISH: &str = include_str!("../../text/es.ftl");

static IN_ENGLISH: LazyLock<Catalogue> = LazyLock::new(|| Catalogue::new(Tongue::English));
static IN_SPANISH: LazyLock<Catalogue> = LazyLock::new(|| Catalogue::new(Tongue::Spanish));
static PHRASES: LazyLock<PhraseBook> = LazyLock::new(|| PhraseBook::new(&IN_ENGLISH.resource));

/// A language in which crews are told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Tongue {
    /// English, in which the program itself speaks.
    #[default]
    English,
    /// Spanish as crews in North America read it.
    Spanish,
}

impl Tongue {
    /// Every language.
    pub const ALL: [Self; 2] = [Self::English, Self::Spanish];

    /// Its tag (BCP 47): "en", "es".
    pub const fn tag(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::Spanish => "es",
        }
    }

    /// Its name in itself.
    pub const fn name(self) -> &'static str {
        match self {
            Self::English => "English",
            Self::Spanish => "Español",
        }
    }

    /// Its name in English.
    pub const fn english_name(self) -> &'static str {
        match self {
            Self::English => "English",
            Self::Spanish => "Spanish",
        }
    }

    /// The language of a tag.
    pub fn tagged(tag: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|tongue| tongue.tag() == tag)
    }

    /// A text of the sheets by its id, with what stands in its holes.
    pub fn text(self, id: &str, args: &[(&str, &str)]) -> String {
        self.catalogue().text(id, args)
    }

    /// The same for a text without holes.
    pub fn word(self, id: &str) -> String {
        self.text(id, &[])
    }

    /// What is said elsewhere in English, in this language; what no phrase knows stays as it is.
    pub fn say(self, english: &str) -> String {
        match self {
            Self::English => english.to_string(),
            tongue => PHRASES.say(english, tongue).text,
        }
    }

    /// True where a text is made of phrases that the catalogues hold.
    pub fn knows(english: &str) -> bool {
        PHRASES.knows(english)
    }

    /// Every text whose id begins so, by the rest of the id, each hole as `{name}`: for a script that fills them itself.
    pub(crate) fn templates(self, prefix: &str) -> BTreeMap<String, String> {
        let own = messages(&self.catalogue().resource);
        let own = own.filter_map(|(id, pattern)| Some((id.strip_prefix(prefix)?.to_string(), template(pattern))));
        own.collect()
    }

    fn catalogue(self) -> &'static Catalogue {
        match self {
            Self::English => &IN_ENGLISH,
            Self::Spanish => &IN_SPANISH,
        }
    }
}

/// The texts of one language.
struct Catalogue {
    resource: std::sync::Arc<FluentResource>,
    bundle: FluentBundle<std::sync::Arc<FluentResource>>,
}

impl Catalogue {
    fn new(tongue: Tongue) -> Self {
        let text = match tongue {
            Tongue::English => ENGLISH,
            Tongue::Spanish => SPANISH,
        };
        // What of a file is no Fluent is left out; the tests hold that nothing is.
        let resource = FluentResource::try_new(text.to_string()).unwrap_or_else(|(resource, _)| resource);
        let resource = std::sync::Arc::new(resource);
        let mut bundle = FluentBundle::new_concurrent(vec![tongue.tag().parse().unwrap_or_default()]);
        // Signs that part scripts written in different directions: no language here needs them, and paper shows them.
        bundle.set_use_isolating(false);
        let _ = bundle.add_resource(resource.clone());
        Self { resource, bundle }
    }

    /// A text by its id; the id itself where there is none.
    fn text(&self, id: &str, args: &[(&str, &str)]) -> String {
        let pattern = self.bundle.get_message(id).and_then(|message| message.value());
        pattern.map_or_else(|| id.to_string(), |pattern| self.filled(pattern, args))
    }

    /// A phrase by its family and its name there.
    fn phrase(&self, family: &str, name: &str, args: &[(&str, &str)]) -> Option<String> {
        let attribute = self.bundle.get_message(family)?.get_attribute(name)?;
        Some(self.filled(attribute.value(), args))
    }

    fn filled(&self, pattern: &Pattern<&str>, args: &[(&str, &str)]) -> String {
        let mut named = FluentArgs::new();
        args.iter().for_each(|(name, value)| named.set(*name, *value));
        self.bundle.format_pattern(pattern, Some(&named), &mut Vec::new()).into_owned()
    }
}

/// Every message that has a value, by its id.
fn messages(resource: &FluentResource) -> impl Iterator<Item = (&str, &Pattern<&str>)> {
    resource.entries().filter_map(|entry| match entry {
        Entry::Message(message) => Some((message.id.name, message.value.as_ref()?)),
        _ => None,
    })
}

/// The name of a hole; `None` for anything that is no plain hole.
fn hole<'a>(element: &PatternElement<&'a str>) -> Option<&'a str> {
    match element {
        PatternElement::Placeable { expression: Expression::Inline(InlineExpression::VariableReference { id }) } => {
            Some(id.name)
        }
        _ => None,
    }
}

/// A pattern with each hole as `{name}`.
fn template(pattern: &Pattern<&str>) -> String {
    let part = |element: &PatternElement<&str>| match element {
        PatternElement::TextElement { value } => (*value).to_string(),
        element => format!("{{{}}}", hole(element).unwrap_or_default()),
    };
    pattern.elements.iter().map(part).collect()
}

#[cfg(test)]
mod tests;
