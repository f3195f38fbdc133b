//! World files: six lines that say where the pixels of a picture lie. Order and meaning as in the public description of the
//! world file; from memory, unverified.

use measure::Point;
use plan::Placing;

use crate::FileError;
use crate::error::shown;

/// What the lines are, in their order.
const LINES: [&str; 6] = [
    "the way east from pixel to pixel of a row",
    "the way north from pixel to pixel of a row (0 where rows run east)",
    "the way east from row to row (0 where columns run south)",
    "the way north from row to row (below 0 where north is up)",
    "the easting of the middle of the first pixel",
    "the northing of the middle of the first pixel",
];

/// Reads the text of a world file; places and ways are in the numbers of its system. What follows the six lines is passed
/// over.
pub fn world_file(text: &str) -> Result<Placing, FileError> {
    let mut words = text.split_whitespace();
    let mut next = |line: usize| number(line, words.next());
    let [a, d, b, e, c, f] = [next(0)?, next(1)?, next(2)?, next(3)?, next(4)?, next(5)?];
    let placing = Placing { first: Point::new(c, f), along_row: Point::new(a, d), to_next_row: Point::new(b, e) };
    if placing.pixel_m2() > 0.0 && placing.pixel_m2().is_finite() {
        return Ok(placing);
    }
    let found = format!("pixels of {a}, {d} by {b}, {e}, which have no area");
    Err(FileError::malformed("the world file", found, "two ways that do not lie on one line"))
}

fn number(line: usize, word: Option<&str>) -> Result<f64, FileError> {
    let place = || format!("line {} of the world file", line + 1);
    let Some(word) = word else { return Err(FileError::malformed(place(), "nothing", LINES[line])) };
    let read = word.parse::<f64>().ok().filter(|number| number.is_finite());
    read.ok_or_else(|| FileError::malformed(place(), shown(word), LINES[line]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn six_lines_place_a_picture_also_a_turned_one() {
        let placing = world_file("0.5\r\n0.1\r\n-0.1\r\n-0.5\r\n453200.25\r\n4640310.75\r\n").unwrap();
        assert_eq!(placing.at(0.0, 0.0), Point::new(453_200.25, 4_640_310.75));
        assert_eq!(placing.at(10.0, 20.0), Point::new(453_200.25 + 5.0 - 2.0, 4_640_310.75 + 1.0 - 10.0));
    }

    #[test]
    fn what_is_wrong_is_told_with_its_line() {
        let told = |text: &str| world_file(text).unwrap_err().to_string();
        assert_eq!(
            told("0.5\n0\n0\n-0,5\n1\n1"),
            "line 4 of the world file: found '-0,5', expected the way north from row to row (below 0 where north is up)"
        );
        assert!(told("0.5 0 0").starts_with("line 4 of the world file: found nothing"));
        assert!(told("0 0 0 0 1 1").contains("no area"));
        assert!(told("1 0 0 inf 1 1").contains("'inf'"));
    }

    proptest! {
        #[test]
        fn any_text_is_read_or_told(text in "[-+0-9eE.,x \n]{0,80}") {
            if let Ok(placing) = world_file(&text) {
                prop_assert!(placing.pixel_m2() > 0.0);
            }
        }
    }
}
