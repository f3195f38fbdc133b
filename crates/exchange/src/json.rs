//! JSON as it stands in a file: members keep their order, and none is there twice.

use std::collections::BTreeSet;
use std::fmt;

use serde::de::{self, Deserializer, MapAccess, SeqAccess, Visitor};
use serde::ser::{SerializeMap, Serializer};
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// A value. Reading one refuses an object with a member twice, which a table would take the last of without a word.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Json {
    /// Null, true or false, a number, a text.
    Plain(Value),
    /// A list.
    List(Vec<Json>),
    /// An object.
    Object(Vec<(String, Json)>),
}

impl Json {
    /// A member of an object.
    pub(crate) fn member(&self, name: &str) -> Option<&Json> {
        match self {
            Self::Object(members) => members.iter().find(|(own, _)| own == name).map(|(_, value)| value),
            _ => None,
        }
    }

    /// A member of an object, to be changed.
    pub(crate) fn member_mut(&mut self, name: &str) -> Option<&mut Json> {
        match self {
            Self::Object(members) => members.iter_mut().find(|(own, _)| own == name).map(|(_, value)| value),
            _ => None,
        }
    }
}

impl From<Json> for Value {
    fn from(json: Json) -> Self {
        match json {
            Json::Plain(value) => value,
            Json::List(items) => Self::Array(items.into_iter().map(Self::from).collect()),
            Json::Object(members) => Self::Object(members.into_iter().map(|(name, v)| (name, v.into())).collect()),
        }
    }
}

impl Serialize for Json {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Plain(value) => value.serialize(serializer),
            Self::List(items) => items.serialize(serializer),
            Self::Object(members) => {
                let mut map = serializer.serialize_map(Some(members.len()))?;
                members.iter().try_for_each(|(name, value)| map.serialize_entry(name, value))?;
                map.end()
            }
        }
    }
}

impl<'de> Deserialize<'de> for Json {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(Reading)
    }
}

struct Reading;

impl<'de> Visitor<'de> for Reading {
    type Value = Json;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str("JSON")
    }

    fn visit_unit<E: de::Error>(self) -> Result<Json, E> {
        Ok(Json::Plain(Value::Null))
    }

    fn visit_bool<E: de::Error>(self, value: bool) -> Result<Json, E> {
        Ok(Json::Plain(value.into()))
    }

    fn visit_i64<E: de::Error>(self, value: i64) -> Result<Json, E> {
        Ok(Json::Plain(value.into()))
    }

    fn visit_u64<E: de::Error>(self, value: u64) -> Result<Json, E> {
        Ok(Json::Plain(value.into()))
    }

    fn visit_f64<E: de::Error>(self, value: f64) -> Result<Json, E> {
        Ok(Json::Plain(value.into()))
    }

    fn visit_str<E: de::Error>(self, value: &str) -> Result<Json, E> {
        Ok(Json::Plain(value.into()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Json, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element()? {
            list.push(item);
        }
        Ok(Json::List(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Json, A::Error> {
        let (mut members, mut names) = (Vec::new(), BTreeSet::new());
        while let Some(name) = entries.next_key::<String>()? {
            if !names.insert(name.clone()) {
                return Err(de::Error::custom(format!("member '{name}' a second time")));
            }
            members.push((name, entries.next_value()?));
        }
        Ok(Json::Object(members))
    }
}
