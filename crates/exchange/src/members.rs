//! Reads a value out of JSON, knows the place of whatever is wrong, and notes the members that nothing asked for.

use std::cell::RefCell;
use std::fmt::Display;

use serde::Deserialize;
use serde::de::{
    self, DeserializeSeed, Deserializer, EnumAccess, Expected, MapAccess, SeqAccess, Unexpected, VariantAccess,
    Visitor,
};
use serde::forward_to_deserialize_any;
use serde_json::{Map, Value};

/// The way to a value, from the outermost down.
#[derive(Clone, Copy)]
enum Way<'w> {
    Head(&'w str),
    Member(&'w Way<'w>, &'w str),
    Item(&'w Way<'w>, usize),
}

/// One step of a way that is told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Part {
    /// A member, by name.
    Member(String),
    /// An item of a list, from 0.
    Item(usize),
}

impl Way<'_> {
    fn parts(&self) -> Vec<Part> {
        let (before, own) = match self {
            Self::Head(name) => (None, Part::Member((*name).into())),
            Self::Member(before, name) => (Some(before), Part::Member((*name).into())),
            Self::Item(before, index) => (Some(before), Part::Item(*index)),
        };
        let mut parts = before.map_or(Vec::new(), |before| before.parts());
        parts.push(own);
        parts
    }
}

/// A member that nothing asked for.
#[derive(Debug)]
pub(crate) struct Stray {
    /// The way to it, its own name last.
    pub(crate) way: Vec<Part>,
    /// The names that stand there for something.
    pub(crate) known: &'static [&'static str],
}

#[derive(Default)]
struct Notes {
    strays: Vec<Stray>,
    failed_at: Option<Vec<Part>>,
}

/// Why no value could be read.
#[derive(Debug)]
pub(crate) struct Wrong {
    /// The way to what is wrong.
    pub(crate) way: Vec<Part>,
    /// What stands there.
    pub(crate) found: String,
    /// What could stand there.
    pub(crate) expected: String,
}

/// Reads a value that is called `head`; beside it the members that nothing asked for.
pub(crate) fn read<'de, T: Deserialize<'de>>(head: &str, value: &'de Value) -> Result<(T, Vec<Stray>), Wrong> {
    let notes = RefCell::new(Notes::default());
    let way = Way::Head(head);
    let read = T::deserialize(Node { value, way: &way, notes: &notes });
    let notes = notes.into_inner();
    match read {
        Ok(read) => Ok((read, notes.strays)),
        Err(Fault { found, expected }) => {
            Err(Wrong { way: notes.failed_at.unwrap_or_else(|| way.parts()), found, expected })
        }
    }
}

/// A fault in the terms of whoever asked; its place is noted on the way up.
#[derive(Debug, thiserror::Error)]
#[error("found {found}, expected {expected}")]
struct Fault {
    found: String,
    expected: String,
}

fn fault<T>(found: impl Display, expected: impl Display) -> Result<T, Fault> {
    Err(Fault { found: found.to_string(), expected: expected.to_string() })
}

/// What was asked for, in plain words.
fn plain(expected: &dyn Expected) -> String {
    let said = expected.to_string();
    match said.as_str() {
        "f64" => "a number".into(),
        "u8" | "u16" | "u32" | "u64" | "usize" => "a whole number from 0 up".into(),
        "a boolean" => "true or false".into(),
        "a string" => "a text".into(),
        "a sequence" => "a list".into(),
        "a map" => "an object with members".into(),
        _ if said.starts_with("struct ") || said.starts_with("tuple struct ") => "an object with members".into(),
        _ => said,
    }
}

impl de::Error for Fault {
    fn custom<T: Display>(text: T) -> Self {
        Self { found: text.to_string(), expected: "the parts of a plan".into() }
    }

    fn invalid_type(found: Unexpected, expected: &dyn Expected) -> Self {
        Self { found: found.to_string(), expected: plain(expected) }
    }

    fn invalid_value(found: Unexpected, expected: &dyn Expected) -> Self {
        Self { found: found.to_string(), expected: plain(expected) }
    }

    fn invalid_length(count: usize, expected: &dyn Expected) -> Self {
        Self { found: format!("{count} items"), expected: plain(expected) }
    }

    fn unknown_variant(found: &str, expected: &'static [&'static str]) -> Self {
        Self { found: format!("'{found}'"), expected: expected.join(", ") }
    }

    fn missing_field(name: &'static str) -> Self {
        Self { found: "nothing of that name".into(), expected: format!("the member '{name}'") }
    }
}

/// A value at its place.
#[derive(Clone, Copy)]
struct Node<'de, 'w> {
    value: &'de Value,
    way: &'w Way<'w>,
    notes: &'w RefCell<Notes>,
}

impl<'de> Node<'de, '_> {
    /// Reads what lies one step further.
    fn step<S: DeserializeSeed<'de>>(&self, way: Way, value: &'de Value, seed: S) -> Result<S::Value, Fault> {
        let read = seed.deserialize(Node { value, way: &way, notes: self.notes });
        if read.is_err() {
            // The innermost place comes first, and is the one to be told.
            self.notes.borrow_mut().failed_at.get_or_insert_with(|| way.parts());
        }
        read
    }

    /// Notes the members that are none of `known`.
    fn note(&self, members: &Map<String, Value>, known: &'static [&'static str]) {
        for name in members.keys().filter(|name| !known.contains(&name.as_str())) {
            let way = Way::Member(self.way, name).parts();
            self.notes.borrow_mut().strays.push(Stray { way, known });
        }
    }

    fn list<V: Visitor<'de>>(self, items: &'de [Value], visitor: V) -> Result<V::Value, Fault> {
        let mut list = Items { node: self, items: items.iter().enumerate() };
        let read = visitor.visit_seq(&mut list)?;
        match list.items.len() {
            0 => Ok(read),
            left => fault(format!("{} items", items.len()), format!("{} of them", items.len() - left)),
        }
    }

    fn object<V: Visitor<'de>>(self, members: &'de Map<String, Value>, visitor: V) -> Result<V::Value, Fault> {
        visitor.visit_map(Members { node: self, members: members.iter(), next: None })
    }
}

impl<'de> Deserializer<'de> for Node<'de, '_> {
    type Error = Fault;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        match self.value {
            Value::Null => visitor.visit_unit(),
            Value::Bool(value) => visitor.visit_bool(*value),
            Value::Number(number) => match (number.as_u64(), number.as_i64(), number.as_f64()) {
                (Some(value), ..) => visitor.visit_u64(value),
                (_, Some(value), _) => visitor.visit_i64(value),
                (_, _, Some(value)) => visitor.visit_f64(value),
                _ => fault(number, "a number that can be held"),
            },
            Value::String(text) => visitor.visit_borrowed_str(text),
            Value::Array(items) => self.list(items, visitor),
            Value::Object(members) => self.object(members, visitor),
        }
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        if self.value.is_null() { visitor.visit_none() } else { visitor.visit_some(self) }
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(self, _: &'static str, visitor: V) -> Result<V::Value, Fault> {
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        known: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Fault> {
        match self.value {
            Value::Object(members) => {
                self.note(members, known);
                self.object(members, visitor)
            }
            _ => self.deserialize_any(visitor),
        }
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Fault> {
        match self.value {
            Value::String(name) => visitor.visit_enum(Choice { node: self, name, holds: None }),
            Value::Object(members) => match members.iter().next() {
                Some((name, value)) if members.len() == 1 => {
                    visitor.visit_enum(Choice { node: self, name, holds: Some(value) })
                }
                _ => fault(format!("{} members", members.len()), "one, which names the choice"),
            },
            _ => self.deserialize_any(visitor),
        }
    }

    fn deserialize_ignored_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        visitor.visit_unit()
    }

    forward_to_deserialize_any! {
        bool i8 i16 i32 i64 u8 u16 u32 u64 f32 f64 char str string bytes byte_buf unit unit_struct seq tuple
        tuple_struct map identifier
    }
}

struct Items<'de, 'w> {
    node: Node<'de, 'w>,
    items: std::iter::Enumerate<std::slice::Iter<'de, Value>>,
}

impl<'de> SeqAccess<'de> for Items<'de, '_> {
    type Error = Fault;

    fn next_element_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, Fault> {
        let Some((index, value)) = self.items.next() else { return Ok(None) };
        self.node.step(Way::Item(self.node.way, index), value, seed).map(Some)
    }
}

struct Members<'de, 'w> {
    node: Node<'de, 'w>,
    members: serde_json::map::Iter<'de>,
    next: Option<(&'de str, &'de Value)>,
}

impl<'de> MapAccess<'de> for Members<'de, '_> {
    type Error = Fault;

    fn next_key_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, Fault> {
        let Some((name, value)) = self.members.next() else { return Ok(None) };
        self.next = Some((name, value));
        let read = seed.deserialize(Name(name));
        if read.is_err() {
            let way = Way::Member(self.node.way, name);
            self.node.notes.borrow_mut().failed_at.get_or_insert_with(|| way.parts());
        }
        read.map(Some)
    }

    fn next_value_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<S::Value, Fault> {
        let Some((name, value)) = self.next.take() else { return fault("nothing", "a value") };
        self.node.step(Way::Member(self.node.way, name), value, seed)
    }
}

/// The name of a member; that of an id is a whole number, written in one way only.
struct Name<'de>(&'de str);

impl<'de> Deserializer<'de> for Name<'de> {
    type Error = Fault;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        visitor.visit_borrowed_str(self.0)
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(self, _: &'static str, visitor: V) -> Result<V::Value, Fault> {
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_u32<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        match self.0.parse::<u32>() {
            Ok(id) if id.to_string() == self.0 => visitor.visit_u32(id),
            _ => fault(format!("the id '{}'", self.0), "a whole number without sign or leading zeros"),
        }
    }

    forward_to_deserialize_any! {
        bool i8 i16 i32 i64 u8 u16 u64 f32 f64 char str string bytes byte_buf option unit unit_struct seq tuple
        tuple_struct map struct enum identifier ignored_any
    }
}

/// One of several kinds: its name, and what it holds.
struct Choice<'de, 'w> {
    node: Node<'de, 'w>,
    name: &'de str,
    holds: Option<&'de Value>,
}

impl<'de, 'w> EnumAccess<'de> for Choice<'de, 'w> {
    type Error = Fault;
    type Variant = Self;

    fn variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<(S::Value, Self), Fault> {
        let name: de::value::BorrowedStrDeserializer<Fault> = de::value::BorrowedStrDeserializer::new(self.name);
        Ok((seed.deserialize(name)?, self))
    }
}

/// Asks a value to be read as an object of known members.
struct Fields<V>(V, &'static [&'static str]);

impl<'de, V: Visitor<'de>> DeserializeSeed<'de> for Fields<V> {
    type Value = V::Value;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<V::Value, D::Error> {
        deserializer.deserialize_struct("", self.1, self.0)
    }
}

impl<'de> VariantAccess<'de> for Choice<'de, '_> {
    type Error = Fault;

    fn unit_variant(self) -> Result<(), Fault> {
        match self.holds {
            None | Some(Value::Null) => Ok(()),
            Some(_) => fault(format!("'{}' with members", self.name), format!("'{}' alone", self.name)),
        }
    }

    fn newtype_variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<S::Value, Fault> {
        match self.holds {
            Some(value) => self.node.step(Way::Member(self.node.way, self.name), value, seed),
            None => fault(format!("'{}' alone", self.name), "it with what it holds"),
        }
    }

    fn tuple_variant<V: Visitor<'de>>(self, _: usize, _: V) -> Result<V::Value, Fault> {
        fault(format!("'{}'", self.name), "a kind with named members")
    }

    fn struct_variant<V: Visitor<'de>>(self, known: &'static [&'static str], visitor: V) -> Result<V::Value, Fault> {
        match self.holds {
            Some(value) => self.node.step(Way::Member(self.node.way, self.name), value, Fields(visitor, known)),
            None => fault(format!("'{}' alone", self.name), "it with its members"),
        }
    }
}
