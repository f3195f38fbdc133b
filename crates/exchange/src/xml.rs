//! XML text, as KML and GPX are written in.

use roxmltree::{Document, Node, ParsingOptions};

use crate::FileError;
use crate::error::shown;

/// Largest XML text that is read, bytes (own choice: parsed it takes several times as much).
const MOST_XML_BYTES: usize = 64 << 20;
/// Most elements, texts and attributes that are read (own choice: some hundred megabytes, half a million fixes).
const MOST_NODES: u32 = 4_000_000;

/// True for a text whose first element has this name, with any prefix.
pub(crate) fn root_is(bytes: &[u8], name: &str) -> bool {
    let start = crate::table::decode(&bytes[..bytes.len().min(4096)]);
    let opened = start.split('<').find(|part| part.starts_with(|c: char| c.is_alphabetic()));
    let word = opened.and_then(|part| part.split(|c: char| c.is_whitespace() || matches!(c, '>' | '/')).next());
    start.trim_start().starts_with('<') && word.is_some_and(|word| word.rsplit(':').next() == Some(name))
}

/// The text of an XML file, in any encoding that [`crate::table::decode`] knows.
pub(crate) fn text(bytes: &[u8]) -> Result<String, FileError> {
    if bytes.len() > MOST_XML_BYTES {
        return Err(FileError::too_large(format!("{} bytes", bytes.len()), format!("{MOST_XML_BYTES} bytes")));
    }
    Ok(crate::table::decode(bytes))
}

/// Parses a text. Entities of the file's own making are not followed.
pub(crate) fn parse<'t>(text: &'t str, format: &str) -> Result<Document<'t>, FileError> {
    let options = ParsingOptions { allow_dtd: false, nodes_limit: MOST_NODES, ..ParsingOptions::default() };
    Document::parse_with_options(text, options).map_err(|error| match error {
        roxmltree::Error::NodesLimitReached => {
            FileError::too_large("more elements than are read", format!("{MOST_NODES} elements and texts"))
        }
        error => {
            let at = error.pos();
            let place = format!("line {}, column {}", at.row, at.col);
            FileError::malformed(place, error.to_string(), format!("{format} text"))
        }
    })
}

/// Where an element stands: `line 12`.
pub(crate) fn place(node: Node) -> String {
    format!("line {}", node.document().text_pos_at(node.range().start).row)
}

/// The first child element of this name, with any prefix.
pub(crate) fn child<'a, 't>(node: Node<'a, 't>, name: &str) -> Option<Node<'a, 't>> {
    node.children().find(|child| is(*child, name))
}

/// Whether a node is an element of this name, with any prefix.
pub(crate) fn is(node: Node, name: &str) -> bool {
    node.is_element() && node.tag_name().name() == name
}

/// The text inside the first child element of this name, without outer blanks; `None` where it is empty.
pub(crate) fn child_text<'a>(node: Node<'a, '_>, name: &str) -> Option<&'a str> {
    child(node, name)?.text().map(str::trim).filter(|text| !text.is_empty())
}

/// A finite number, or what stands in its place.
pub(crate) fn number(text: &str) -> Result<f64, String> {
    text.trim().parse::<f64>().ok().filter(|value| value.is_finite()).ok_or_else(|| shown(text.trim()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_root_is_known_by_its_name() {
        assert!(root_is(b"\xef\xbb\xbf<?xml version='1.0'?>\n<!-- a --><kml xmlns=\"x\">", "kml"));
        assert!(root_is(b"<k:kml>", "kml") && root_is(b"<gpx/>", "gpx"));
        assert!(!root_is(b"{\"a\":\"<kml>\"}", "kml") && !root_is(b"<html><kml>", "kml") && !root_is(b"", "kml"));
    }

    #[test]
    fn nested_beyond_measure_and_own_entities_do_no_harm() {
        let deep = "<a>".repeat(200_000);
        assert!(parse(&deep, "KML").is_err());
        let closed = format!("{deep}{}", "</a>".repeat(200_000));
        assert!(parse(&closed, "KML").is_ok_and(|all| all.descendants().count() == 200_001));
        assert!(parse("<!DOCTYPE a [<!ENTITY b 'c'>]><a>&b;</a>", "KML").is_err());
    }
}
