//! Walks what is written and notes the way to every member and what stands there.

use std::collections::BTreeSet;
use std::fmt::Display;

use serde::ser::{self, Error as _, Serialize, Serializer};
use serde_json::Error;

/// What was met on the way.
#[derive(Default)]
pub struct Seen {
    /// A line for every member and what stands there: `plan.lines.*.name: text`; of a choice its name: `kind = main`.
    pub lines: BTreeSet<String>,
    /// Ways at which something may stand and nothing did.
    pub empty: BTreeSet<String>,
}

impl Seen {
    /// Adds all that a value writes.
    pub fn add(&mut self, head: &str, value: &impl Serialize) {
        value.serialize(Walk { seen: self, at: head.into() }).expect("a plan can be written");
    }

    /// Ways at which nothing stood in any of what was added.
    pub fn never_filled(&self) -> Vec<&String> {
        let filled = |way: &String| {
            let from = self.lines.range(way.clone()..).take_while(|line| line.starts_with(way.as_str()));
            from.into_iter().any(|line| line[way.len()..].starts_with(['.', ':', ' ', '[']))
        };
        self.empty.iter().filter(|way| !filled(way)).collect()
    }
}

/// One value on the way.
struct Walk<'s> {
    seen: &'s mut Seen,
    at: String,
}

impl Walk<'_> {
    fn note(self, what: &str) -> Result<(), Error> {
        self.seen.lines.insert(format!("{}: {what}", self.at));
        Ok(())
    }

    fn nothing(self) -> Result<(), Error> {
        self.seen.empty.insert(self.at);
        Ok(())
    }

    fn step(&mut self, name: &str) -> Walk<'_> {
        Walk { seen: self.seen, at: format!("{}.{name}", self.at) }
    }

    fn chosen(self, choice: &str) -> Self {
        self.seen.lines.insert(format!("{} = {choice}", self.at));
        let at = format!("{}.{choice}", self.at);
        Self { at, ..self }
    }
}

/// Members that a person names, by the way to them: there the name is no part of the format.
const NAMED: [&str; 1] = ["plan.survey.batches"];

macro_rules! whole {
    ($($serialize:ident: $kind:ty),+) => {
        $(fn $serialize(self, _: $kind) -> Result<(), Error> { self.note("whole number") })+
    };
}

impl<'s> Serializer for Walk<'s> {
    type Ok = ();
    type Error = Error;
    type SerializeSeq = Items<'s>;
    type SerializeTuple = Items<'s>;
    type SerializeTupleStruct = ser::Impossible<(), Error>;
    type SerializeTupleVariant = ser::Impossible<(), Error>;
    type SerializeMap = Members<'s>;
    type SerializeStruct = Self;
    type SerializeStructVariant = Self;

    whole!(serialize_i8: i8, serialize_i16: i16, serialize_i32: i32, serialize_i64: i64, serialize_u8: u8,
        serialize_u16: u16, serialize_u32: u32, serialize_u64: u64);

    fn serialize_bool(self, _: bool) -> Result<(), Error> {
        self.note("yes or no")
    }

    fn serialize_f32(self, _: f32) -> Result<(), Error> {
        self.note("number")
    }

    fn serialize_f64(self, _: f64) -> Result<(), Error> {
        self.note("number")
    }

    fn serialize_char(self, _: char) -> Result<(), Error> {
        self.note("text")
    }

    fn serialize_str(self, _: &str) -> Result<(), Error> {
        self.note("text")
    }

    fn serialize_bytes(self, _: &[u8]) -> Result<(), Error> {
        self.note("bytes")
    }

    fn serialize_none(self) -> Result<(), Error> {
        self.nothing()
    }

    fn serialize_some<T: Serialize + ?Sized>(self, value: &T) -> Result<(), Error> {
        value.serialize(self)
    }

    fn serialize_unit(self) -> Result<(), Error> {
        self.nothing()
    }

    fn serialize_unit_struct(self, _: &'static str) -> Result<(), Error> {
        self.nothing()
    }

    fn serialize_unit_variant(self, _: &'static str, _: u32, choice: &'static str) -> Result<(), Error> {
        self.chosen(choice);
        Ok(())
    }

    fn serialize_newtype_struct<T: Serialize + ?Sized>(self, _: &'static str, value: &T) -> Result<(), Error> {
        value.serialize(self)
    }

    fn serialize_newtype_variant<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        _: u32,
        choice: &'static str,
        value: &T,
    ) -> Result<(), Error> {
        value.serialize(self.chosen(choice))
    }

    fn serialize_seq(self, count: Option<usize>) -> Result<Items<'s>, Error> {
        if count == Some(0) {
            self.seen.empty.insert(self.at.clone());
        }
        Ok(Items(self))
    }

    fn serialize_tuple(self, _: usize) -> Result<Items<'s>, Error> {
        Ok(Items(self))
    }

    fn serialize_tuple_struct(self, name: &'static str, _: usize) -> Result<Self::SerializeTupleStruct, Error> {
        Err(Error::custom(name))
    }

    fn serialize_tuple_variant(
        self,
        name: &'static str,
        _: u32,
        _: &'static str,
        _: usize,
    ) -> Result<Self::SerializeTupleVariant, Error> {
        Err(Error::custom(name))
    }

    fn serialize_map(self, count: Option<usize>) -> Result<Members<'s>, Error> {
        if count == Some(0) {
            self.seen.empty.insert(self.at.clone());
        }
        Ok(Members { walk: self, name: String::new() })
    }

    fn serialize_struct(self, _: &'static str, _: usize) -> Result<Self, Error> {
        Ok(self)
    }

    fn serialize_struct_variant(
        self,
        _: &'static str,
        _: u32,
        choice: &'static str,
        _: usize,
    ) -> Result<Self, Error> {
        Ok(self.chosen(choice))
    }
}

/// The items of a list.
pub struct Items<'s>(Walk<'s>);

impl Items<'_> {
    fn item<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Error> {
        value.serialize(Walk { seen: self.0.seen, at: format!("{}[]", self.0.at) })
    }
}

impl ser::SerializeSeq for Items<'_> {
    type Ok = ();
    type Error = Error;

    fn serialize_element<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Error> {
        self.item(value)
    }

    fn end(self) -> Result<(), Error> {
        Ok(())
    }
}

impl ser::SerializeTuple for Items<'_> {
    type Ok = ();
    type Error = Error;

    fn serialize_element<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Error> {
        self.item(value)
    }

    fn end(self) -> Result<(), Error> {
        Ok(())
    }
}

/// Members by a name of their own, or by an id.
pub struct Members<'s> {
    walk: Walk<'s>,
    name: String,
}

impl ser::SerializeMap for Members<'_> {
    type Ok = ();
    type Error = Error;

    fn serialize_key<T: Serialize + ?Sized>(&mut self, key: &T) -> Result<(), Error> {
        let key = serde_json::to_value(key)?;
        let named = key.as_str().filter(|_| !NAMED.contains(&self.walk.at.as_str()));
        self.name = named.unwrap_or("*").into();
        Ok(())
    }

    fn serialize_value<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Error> {
        value.serialize(self.walk.step(&self.name))
    }

    fn end(self) -> Result<(), Error> {
        Ok(())
    }
}

/// Members of a struct. One that is left out is told, which is why this walks what is written and not the text.
macro_rules! members {
    ($kind:ident) => {
        impl ser::$kind for Walk<'_> {
            type Ok = ();
            type Error = Error;

            fn serialize_field<T: Serialize + ?Sized>(&mut self, name: &'static str, value: &T) -> Result<(), Error> {
                value.serialize(self.step(name))
            }

            fn skip_field(&mut self, name: &'static str) -> Result<(), Error> {
                self.step(name).nothing()
            }

            fn end(self) -> Result<(), Error> {
                Ok(())
            }
        }
    };
}

members!(SerializeStruct);
members!(SerializeStructVariant);

/// A list of lines, one sign before each.
pub fn listed(sign: char, lines: impl Iterator<Item = impl Display>) -> String {
    lines.map(|line| format!("  {sign} {line}\n")).collect()
}
