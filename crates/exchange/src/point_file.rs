//! Points for a data collector: number, northing, easting, level and code in plain ASCII, one a row and nothing else, because
//! collectors read a head as a point. What the numbers mean stands in a text beside it.

use any_ascii::any_ascii;
use measure::Point;

use crate::stakes::Stakes;

/// Letters of a description that collectors keep (own choice: the shortest field in use holds about so many).
const MOST_LETTERS: usize = 32;

/// Code words and what they mean.
const BENCHMARK: (&str, &str) = ("BM", "benchmark, its level");
const OUTLET: (&str, &str) = ("OUT", "outlet, the invert of its end");
const JOINT: (&str, &str) = ("JNT", "joint, the invert of the line that runs on");
const STAKE: (&str, &str) = ("STK", "stake on a line, the invert there");
const NO_DIG: (&str, &str) =
    ("NODIG", "stake from which on NOBODY DIGS until the findings are settled; the invert there");

/// A point: its code word, its name, its place and its level, metres.
type Coded = (&'static str, String, Point, f64);

impl Stakes {
    /// Benchmarks, outlets, joints and stakes, each with a level: what has none cannot be set out.
    fn coded(&self) -> Vec<Coded> {
        let marks = self.benchmarks.iter().map(|mark| (BENCHMARK.0, mark.name.clone(), mark.at, mark.level_m));
        let outlets =
            self.land.outlets.iter().map(|outlet| (OUTLET.0, outlet.name.clone(), outlet.at, outlet.invert_m));
        let joints = self.land.joints.iter().filter_map(|joint| {
            // The name without its words: "L2 into M1 1+50" is longer than a collector shows.
            Some((JOINT.0, joint.name.replace(" into ", " "), joint.at, joint.invert_m?))
        });
        let stakes = self.points.iter().map(|point| {
            let (code, _) = if point.no_dig { NO_DIG } else { STAKE };
            (code, point.name(), point.at, point.invert_m)
        });
        marks.chain(outlets).chain(joints).chain(stakes).collect()
    }

    /// The points, numbered from 1: `number,northing,easting,level,code name`, all three figures in the unit of the coordinate
    /// system, as a collector has one unit.
    pub fn point_file(&self) -> String {
        let figure = |metres: f64| self.reference.across.figure(metres, 4);
        let row = |(i, (code, name, at, level_m)): (usize, Coded)| {
            let (north, east, level) = (figure(at.y), figure(at.x), figure(level_m));
            format!("{},{north},{east},{level},{}\r\n", i + 1, described(code, &name))
        };
        self.coded().into_iter().enumerate().map(row).collect()
    }

    /// What the points are, for the text beside them.
    pub fn point_file_words(&self) -> String {
        let head = self.head_of_one_unit().join("\n");
        let codes = [BENCHMARK, OUTLET, JOINT, STAKE, NO_DIG].map(|(code, means)| format!("  {code:<6} {means}\n"));
        format!(
            "{head}\n\nEach row: number, northing, easting, level, description (PNEZD), set apart by commas; no head. Northing, \
             easting and level are all three in {}.\nA description is a code word and a name, in plain ASCII: other letters are \
             written with those.\n\n{}",
            self.reference.across.words(),
            codes.concat()
        )
    }
}

/// Code word and name in plain letters without a comma, no longer than a collector keeps.
fn described(code: &str, name: &str) -> String {
    let is_plain = |c: &char| c.is_ascii_graphic() || *c == ' ';
    let plain: String = any_ascii(&measure::plain(name)).chars().filter(is_plain).collect();
    let text = format!("{code} {}", plain.replace([',', '"', ';'], " "));
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ").chars().take(MOST_LETTERS).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn descriptions_are_plain_words() {
        assert_eq!(described("STK", "Łąka, \"Süd\" 1+50"), "STK Laka Sud 1+50");
        assert_eq!(described("BM", "李 Поле"), "BM Li Pole");
        assert_eq!(described("JNT", &"long ".repeat(20)).len(), MOST_LETTERS);
    }
}
