//! The field page: one HTML file for a phone beside the trench. It needs no server and no network; without its script it is
//! read as tables, with it a station is looked up and what is dug, found and said is kept until it is handed back.
//!
//! What is handed back is known as the plan's by a [`mark`] of the state it was made from.

mod data;
mod map;
mod tables;

use measure::Point;
use plan::{Fact, LineId};
use std::collections::BTreeMap;

use crate::book::{Making, Work};
use crate::edition::edition_without_rods;
use crate::facts::{digest, is_rod};
use crate::html::{document, in_script};

const STYLE: &str = include_str!("page.css");
const SCRIPT: &str = include_str!("page.js");

/// How a place of the plan is brought to degrees near it, so that what is handed back lies right on other maps: the
/// plane that touches the system there. Over a kilometre it errs by centimetres; what counts are easting and northing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Degrees {
    /// Where it touches, metres.
    pub at: Point,
    /// Longitude there, and degrees for a metre east and north.
    pub lon: [f64; 3],
    /// The same of the latitude.
    pub lat: [f64; 3],
}

/// By what a state of the plan is known again, whatever the plan is called: a digest of all that its sheets tell, planes
/// of the laser left out.
pub fn mark(lines: &BTreeMap<LineId, String>, facts: &[Fact]) -> String {
    let rows = lines.iter().map(|(id, rows)| format!("{} {rows}\n", id.0));
    let facts = facts.iter().filter(|fact| !is_rod(fact)).map(|fact| format!("{}\t{}\n", fact.about, fact.says));
    digest(&rows.chain(facts).collect::<String>())
}

/// The page as HTML; the same work gives the same bytes.
pub fn field_page(work: &Work, degrees: Option<Degrees>) -> String {
    let mut making = Making::new(work);
    let told = crate::told(work.plan, work.design, work.findings, work.reference, &[]);
    making.edition = edition_without_rods(work.plan, &told);
    let page = Field { making, mark: mark(&told.lines, &told.facts), degrees };
    page.document()
}

/// A page in the making.
struct Field<'a> {
    making: Making<'a>,
    mark: String,
    degrees: Option<Degrees>,
}

impl Field<'_> {
    fn document(&self) -> String {
        let title = format!("{}: field page", self.making.work.plan.title.name);
        let data = in_script(&self.data().to_string());
        let data = format!("<script type=\"application/json\" id=\"plan\">{data}</script>\n");
        let body = format!("{}{}{data}", self.head(), self.body());
        document(&title, (STYLE, SCRIPT), &body)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance and contrast as in WCAG 2.1, section 1.4.3.
    fn contrast(one: &str, other: &str) -> f64 {
        let luminance = |hex: &str| {
            let part = |k: usize| {
                let c = f64::from(u8::from_str_radix(&hex[1 + 2 * k..3 + 2 * k], 16).unwrap_or(0)) / 255.0;
                if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
            };
            0.2126 * part(0) + 0.7152 * part(1) + 0.0722 * part(2)
        };
        let (a, b) = (luminance(one), luminance(other));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    /// The colours of a block that begins with a heading.
    fn colours(heading: &str) -> BTreeMap<&'static str, &'static str> {
        let block =
            STYLE.split_once(heading).and_then(|(_, rest)| rest.split_once('}')).map_or("", |(block, _)| block);
        let pairs = block.split(';').filter_map(|pair| pair.trim().split_once(": "));
        pairs.filter(|(name, value)| name.starts_with("--") && value.starts_with('#')).collect()
    }

    #[test]
    fn words_stand_out_seven_to_one_in_light_and_dark() {
        let light = colours(":root {");
        let dark = colours("@media (prefers-color-scheme: dark) {\n  :root {");
        assert!(light.len() > 7 && light.keys().eq(dark.keys()), "{light:?} {dark:?}");
        let on =
            [("ink", &["paper", "panel", "note"][..]), ("soft", &["paper", "panel"]), ("alarm", &["paper", "panel"])];
        let on = on.into_iter().chain([("paper", &["ink"][..]), ("on-alarm", &["alarm"])]);
        for (words, grounds) in on {
            for ground in grounds {
                for theme in [&light, &dark] {
                    let colour = |name: &str| theme[format!("--{name}").as_str()];
                    let ratio = contrast(colour(words), colour(ground));
                    assert!(ratio >= 7.0, "{words} on {ground}: {ratio:.2}");
                }
            }
        }
        let (_, rules) = STYLE.rsplit_once("/* rules */").unwrap_or_default();
        assert!(
            !rules.is_empty() && !rules.contains("#fff") && !rules.contains("rgb"),
            "colours stand in the two lists"
        );
    }
}
