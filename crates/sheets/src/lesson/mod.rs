//! Lessons for a class: one HTML page that a pupil opens on a phone or a school computer, and pages of paper. Both draw the
//! boards of `drawing`, worked out beforehand; the page only shows one after the other.

mod boards;
mod page;
mod paper;
mod svg;

pub(crate) use paper::Plain;

use drawing::MapOf;
use lesson::Topic;
use measure::{Point, Units};

use crate::html::document;
use crate::tongue::Tongue;

const STYLE: &str = include_str!("page.css");
const SCRIPT: &str = include_str!("page.js");

/// What lessons are made from.
#[derive(Clone, Copy)]
pub struct LessonWork<'a> {
    /// The units of the class.
    pub units: Units,
    /// Which lessons.
    pub topics: &'a [Topic],
    /// The map on which water finds its way.
    pub map: MapOf<'a>,
    /// The ways of drops that fall on it.
    pub ways: &'a [Vec<Point>],
}

/// The lessons as one HTML page; the same work gives the same bytes.
pub fn lesson_page(work: &LessonWork) -> String {
    document(Tongue::English, "Why low ground gets a pipe", (STYLE, SCRIPT), &page::body(work))
}

pub use paper::lesson_book;

/// The number of a ready lesson, from 1.
fn number(topic: Topic) -> usize {
    Topic::READY.iter().position(|ready| *ready == topic).map_or(0, |at| at + 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::html::looks::stands_out;

    #[test]
    fn words_stand_out_seven_to_one_in_light_and_dark() {
        let on = [("ink", &["paper", "panel", "note", "soil", "tight"][..]), ("soft", &["paper", "panel"])];
        stands_out(STYLE, on.into_iter().chain([("paper", &["ink"][..])]));
    }
}
