//! Stakes as a drawing (drawing exchange format, release 12).

use measure::{LengthUnit, Point, extent};

use crate::stakes::Stakes;

/// Height of texts on the land, metres: read on a map of a field.
const TEXT_M: f64 = 1.0;
/// From one line of text to the next, metres.
const LINE_M: f64 = 1.5;

/// The layers.
const LAYERS: [&str; 10] = [
    "MAIN",
    "SUBMAIN",
    "LATERAL",
    "OLD_TILE",
    "STAKES",
    "LEVELS",
    "BENCHMARKS",
    "NOTES",
    "DO_NOT_DIG",
    "OPEN_FINDINGS",
];

impl Stakes {
    /// Lines as 3-D polylines, stakes and benchmarks as points with texts, a layer for each kind. A drawing has one unit for
    /// all three axes: that of the coordinate system; the texts of levels are in the plan's.
    pub fn dxf(&self) -> String {
        let mut dxf = Dxf { text: String::new(), unit: self.reference.across };
        let notes = self.head_of_one_unit();
        notes.iter().for_each(|note| dxf.pairs(&[(999, note)]));
        dxf.header();
        dxf.pairs(&[(0, "SECTION"), (2, "ENTITIES")]);
        self.lines.iter().for_each(|line| dxf.course(line));
        for point in &self.points {
            dxf.pairs(&[(0, "POINT"), (8, "STAKES")]);
            dxf.place(point.at, point.invert_m);
            dxf.text("STAKES", point.at, point.invert_m, &point.name());
            dxf.text("LEVELS", below(point.at), point.invert_m, &self.described(point));
        }
        self.notices.iter().for_each(|notice| dxf.notice(notice));
        for mark in &self.benchmarks {
            dxf.pairs(&[(0, "POINT"), (8, "BENCHMARKS")]);
            dxf.place(mark.at, mark.level_m);
            dxf.text("BENCHMARKS", mark.at, mark.level_m, &mark.name);
            dxf.text("BENCHMARKS", below(mark.at), mark.level_m, &self.benchmark_words(mark));
        }
        let mut corner = self.corner();
        for note in &notes {
            corner = below(corner);
            dxf.text("NOTES", corner, 0.0, note);
        }
        dxf.pairs(&[(0, "ENDSEC"), (0, "EOF")]);
        dxf.text
    }

    /// West and south edge of all that is drawn.
    fn corner(&self) -> Point {
        let lines = self.lines.iter().flat_map(|line| line.points.iter().map(|(at, _)| *at));
        let all =
            lines.chain(self.points.iter().map(|point| point.at)).chain(self.benchmarks.iter().map(|mark| mark.at));
        extent(all).map_or(Point::new(0.0, 0.0), |(low, _)| low)
    }
}

/// Where the next line of text stands.
fn below(at: Point) -> Point {
    Point::new(at.x, at.y - LINE_M)
}

/// Pairs of group code and value.
struct Dxf {
    text: String,
    unit: LengthUnit,
}

impl Dxf {
    fn header(&mut self) {
        // Release 12 readers skip $INSUNITS, which later ones know: 2 feet, 6 metres, 21 US survey feet.
        let code = match self.unit {
            LengthUnit::Metre => "6",
            LengthUnit::Foot => "2",
            LengthUnit::SurveyFoot => "21",
        };
        self.pairs(&[(0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, "AC1009"), (9, "$INSUNITS"), (70, code)]);
        let count = LAYERS.len().to_string();
        self.pairs(&[(0, "ENDSEC"), (0, "SECTION"), (2, "TABLES"), (0, "TABLE"), (2, "LAYER"), (70, &count)]);
        for layer in LAYERS {
            self.pairs(&[(0, "LAYER"), (2, layer), (70, "0"), (62, "7"), (6, "CONTINUOUS")]);
        }
        self.pairs(&[(0, "ENDTAB"), (0, "ENDSEC")]);
    }

    fn course(&mut self, line: &crate::StakeLine) {
        let layer = line.kind.to_uppercase().replace(' ', "_");
        // A line of which not every level is known is drawn flat: a level of 0 in space would be a lie.
        let is_known = line.points.iter().all(|(_, level_m)| level_m.is_some());
        let (course, vertex) = if is_known { ("8", "32") } else { ("0", "0") };
        self.pairs(&[(0, "POLYLINE"), (8, &layer), (66, "1"), (10, "0.0"), (20, "0.0"), (30, "0.0"), (70, course)]);
        for (at, level_m) in &line.points {
            self.pairs(&[(0, "VERTEX"), (8, &layer)]);
            self.place(*at, level_m.filter(|_| is_known).unwrap_or(0.0));
            self.pairs(&[(70, vertex)]);
        }
        self.pairs(&[(0, "SEQEND"), (8, &layer)]);
        if let Some((at, level_m)) = line.points.get(line.points.len() / 2) {
            let name = if is_known { line.name.clone() } else { format!("{}, levels not known", line.name) };
            self.text("NOTES", *at, level_m.filter(|_| is_known).unwrap_or(0.0), &name);
        }
    }

    /// A finding along its stretch, flat: where on the land it is, not how deep.
    fn notice(&mut self, notice: &crate::StakeNotice) {
        let layer = if notice.no_dig { "DO_NOT_DIG" } else { "OPEN_FINDINGS" };
        if notice.course.len() > 1 {
            self.pairs(&[(0, "POLYLINE"), (8, layer), (66, "1"), (10, "0.0"), (20, "0.0"), (30, "0.0"), (70, "0")]);
            for at in &notice.course {
                self.pairs(&[(0, "VERTEX"), (8, layer)]);
                self.place(*at, 0.0);
                self.pairs(&[(70, "0")]);
            }
            self.pairs(&[(0, "SEQEND"), (8, layer)]);
        }
        if let Some(at) = notice.course.first() {
            self.text(layer, *at, 0.0, &notice.described());
        }
    }

    fn pairs(&mut self, pairs: &[(u16, &str)]) {
        for (code, value) in pairs {
            self.text.push_str(&format!("{code}\n{}\n", one_line(value)));
        }
    }

    fn place(&mut self, at: Point, level_m: f64) {
        let figure = |value_m: f64| self.unit.figure(value_m, 4);
        let (x, y, z) = (figure(at.x), figure(at.y), figure(level_m));
        self.pairs(&[(10, &x), (20, &y), (30, &z)]);
    }

    fn text(&mut self, layer: &str, at: Point, level_m: f64, text: &str) {
        self.pairs(&[(0, "TEXT"), (8, layer)]);
        self.place(at, level_m);
        let height = self.unit.figure(TEXT_M, 4);
        self.pairs(&[(40, &height), (1, text)]);
    }
}

/// A value of a pair holds no line end and nothing hidden; letters beyond ASCII are written as release 12 readers know them.
fn one_line(text: &str) -> String {
    let plain = |c: char| match c {
        c if c.is_ascii() => c.to_string(),
        c => format!("\\U+{:04X}", c as u32 & 0xffff),
    };
    measure::plain(text).chars().map(plain).collect()
}
