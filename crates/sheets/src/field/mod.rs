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
    let work = Work { set_ups: &[], ..*work };
    let mut making = Making::new(&work).in_tongue(work.tongue);
    making.edition = edition_without_rods(work.plan, &making.told);
    let (mark, corners) = (mark(&making.told.lines, &making.told.facts), data::corners(&making));
    Field { making, mark, degrees, corners }.document()
}

/// A page in the making.
struct Field<'a> {
    making: Making<'a>,
    mark: String,
    degrees: Option<Degrees>,
    /// South-west and north-east corner of the map, metres.
    corners: (Point, Point),
}

impl Field<'_> {
    fn document(&self) -> String {
        let making = &self.making;
        let title = making.text("page-title", &[("name", &making.work.plan.title.name)]);
        let data = in_script(&self.data().to_string());
        let data = format!("<script type=\"application/json\" id=\"plan\">{data}</script>\n");
        let body = format!("{}{}{data}", self.head(), self.body());
        document(making.work.tongue, &title, (STYLE, SCRIPT), &body)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::html::looks::stands_out;

    #[test]
    fn words_stand_out_seven_to_one_in_light_and_dark() {
        let on =
            [("ink", &["paper", "panel", "note"][..]), ("soft", &["paper", "panel"]), ("alarm", &["paper", "panel"])];
        stands_out(STYLE, on.into_iter().chain([("paper", &["ink"][..]), ("on-alarm", &["alarm"])]));
    }
}
