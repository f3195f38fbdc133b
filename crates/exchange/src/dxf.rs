//! The plan as a drawing (drawing exchange format, release 12, which every drawing program reads).

use measure::{LengthUnit, Point, Units, extent};
use plan::{Landmark, Outline};

use crate::dxf_layers::*;
use crate::marks_out::mark_words;
use crate::stakes::{StakeLine, StakeNotice, StakePoint, Stakes};

/// Heights of texts on the land, metres: 2 mm and less at 1:500, on which a field fits a large sheet (own choice).
const NAME_M: f64 = 1.5;
const TEXT_M: f64 = 0.8;
const SMALL_M: f64 = 0.5;
/// From one line of text to the next, as a share of its height.
const LINE: f64 = 1.5;
/// From a point to its text, metres.
const OFF_M: f64 = 0.7;
/// Letters of a line of a longer text.
const LETTERS: usize = 70;
/// Size of the cross at a point, metres.
const CROSS_M: f64 = 0.5;

impl Stakes {
    /// Lines as 3-D polylines, stakes and benchmarks as points with texts, and round them boundary, outlets, joints, marks
    /// and contours, a layer for each kind. A drawing has one unit for all three axes: that of the coordinate system; levels
    /// in texts are in the plan's.
    pub fn dxf(&self) -> String {
        let mut dxf = Dxf { text: String::new(), unit: self.reference.across, places: Vec::new() };
        self.draw_land(&mut dxf);
        self.lines.iter().for_each(|line| dxf.course(line));
        self.points.iter().for_each(|point| self.draw_stake(&mut dxf, point));
        self.notices.iter().for_each(|notice| dxf.notice(notice));
        for mark in &self.benchmarks {
            dxf.point(BENCHMARKS, mark.at, mark.level_m);
            let words = [mark.name.clone(), self.benchmark_words(mark)];
            dxf.lines((BENCHMARKS, TEXT_M), mark.at, mark.level_m, &words);
        }
        let notes = self.head_of_one_unit();
        let broken: Vec<String> = notes.iter().flat_map(|note| wrapped(note)).collect();
        let (low, _) = dxf.extent();
        dxf.lines((NOTES, NAME_M), Point::new(low.x - OFF_M, low.y - 3.0 * NAME_M), 0.0, &broken);
        dxf.whole(&notes)
    }

    /// Boundary, outlets, joints, structures, marks, ditches and contours.
    fn draw_land(&self, dxf: &mut Dxf) {
        let (land, units) = (&self.land, Units::of(self.reference.up));
        land.rings.iter().for_each(|ring| dxf.flat(BOUNDARY, ring, 0.0, true));
        for outlet in &land.outlets {
            dxf.point(OUTLETS, outlet.at, outlet.invert_m);
            let invert = format!("invert {} {}", units.level(outlet.invert_m), units.sign());
            dxf.lines((OUTLETS, TEXT_M), outlet.at, outlet.invert_m, &[format!("outlet {}", outlet.name), invert]);
        }
        for (layer, all) in [(JOINTS, &land.joints), (STRUCTURES, &land.structures)] {
            for placed in all {
                let level_m = placed.invert_m.unwrap_or(0.0);
                dxf.point(layer, placed.at, level_m);
                dxf.lines((layer, SMALL_M), placed.at, level_m, std::slice::from_ref(&placed.name));
            }
        }
        land.marks.iter().for_each(|mark| dxf.mark(mark, units));
        for watercourse in &land.watercourses {
            dxf.flat(WATERCOURSES, &watercourse.points, 0.0, false);
            let name = format!("{} {}", watercourse.kind.word(), watercourse.name);
            let middle = watercourse.points.get(watercourse.points.len() / 2);
            middle.iter().for_each(|at| dxf.text((WATERCOURSES, TEXT_M), **at, 0.0, name.trim()));
        }
        for contour in &land.contours {
            let layer = if contour.index { INDEX_CONTOURS } else { CONTOURS };
            dxf.flat(layer, &contour.points, contour.level_m, false);
            let middle = contour.points.get(contour.points.len() / 2).filter(|_| contour.index);
            let level = units.level(contour.level_m);
            middle.iter().for_each(|at| dxf.text((layer, TEXT_M), **at, contour.level_m, &level));
        }
    }

    /// A stake: its point, and square to its line name, invert and cut one below the other.
    fn draw_stake(&self, dxf: &mut Dxf, point: &StakePoint) {
        let units = Units::of(self.reference.up);
        dxf.point(STAKES, point.at, point.invert_m);
        let turned_deg = self.square_to_line(point);
        let (sin, cos) = turned_deg.to_radians().sin_cos();
        // Along the text, and down from it.
        let beside = |along_m: f64, down_m: f64| {
            Point::new(point.at.x + along_m * cos + down_m * sin, point.at.y + along_m * sin - down_m * cos)
        };
        let cut = point.cut_m.map(|cut_m| format!("cut {}", units.number(cut_m, 2)));
        let told = [
            (STAKES, Some(point.name())),
            (LEVELS, Some(format!("inv {}", units.level(point.invert_m)))),
            (LEVELS, cut),
        ];
        for (i, (layer, text)) in told.iter().enumerate() {
            let at = beside(OFF_M, (i as f64 - 1.0) * LINE * TEXT_M + TEXT_M / 2.0);
            text.iter().for_each(|text| dxf.turned((layer, TEXT_M), (at, point.invert_m), turned_deg, text));
        }
        if point.no_dig || !point.remark.is_empty() || !point.open.is_empty() {
            for (i, text) in wrapped(&self.described(point)).iter().enumerate() {
                let at = beside(OFF_M, 2.0 * LINE * TEXT_M + i as f64 * LINE * SMALL_M);
                dxf.turned((REMARKS, SMALL_M), (at, point.invert_m), turned_deg, text);
            }
        }
    }

    /// Direction square to a stake's line, degrees against the clock from east, so that it reads from below.
    fn square_to_line(&self, point: &StakePoint) -> f64 {
        let line = self.lines.iter().find(|line| line.name == point.line);
        let pieces = line.into_iter().flat_map(|line| line.points.windows(2));
        let off = |pair: &[(Point, Option<f64>)]| {
            measure::nearest_on(&[pair[0].0, pair[1].0], point.at).map_or(f64::INFINITY, |(_, _, off_m)| off_m)
        };
        let nearest = pieces.min_by(|a, b| off(a).total_cmp(&off(b)));
        let Some([(a, _), (b, _)]) = nearest else { return 0.0 };
        let square_deg = (b.y - a.y).atan2(b.x - a.x).to_degrees() + 90.0;
        (square_deg + 90.0 - 1e-9).rem_euclid(180.0) - 90.0 + 1e-9
    }
}

/// A longer text in lines; those that go on are set in, so that no word of a name stands alone as one of the format.
fn wrapped(text: &str) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split(' ') {
        let last = lines.len() - 1;
        match lines[last].is_empty() || lines[last].chars().count() + word.chars().count() < LETTERS {
            true if lines[last].is_empty() => lines[last] = word.into(),
            true => lines[last] = format!("{} {word}", lines[last]),
            false => lines.push(format!("  {word}")),
        }
    }
    lines
}

/// Pairs of group code and value.
struct Dxf {
    text: String,
    unit: LengthUnit,
    /// Every place that is drawn, with its level.
    places: Vec<(Point, f64)>,
}

impl Dxf {
    /// West and south corner of all that is drawn, and the other one; with the lowest and the highest level.
    fn extent(&self) -> (Point, Point) {
        let origin = Point::new(0.0, 0.0);
        extent(self.places.iter().map(|(at, _)| *at)).unwrap_or((origin, origin))
    }

    /// The file: what it says of itself, its head, its tables, and what was drawn.
    fn whole(self, notes: &[String]) -> String {
        let mut head = Self { text: String::new(), unit: self.unit, places: Vec::new() };
        notes.iter().for_each(|note| head.pairs(&[(999, note)]));
        self.header(&mut head);
        self.tables(&mut head);
        head.pairs(&[(0, "SECTION"), (2, "ENTITIES")]);
        head.text.push_str(&self.text);
        head.pairs(&[(0, "ENDSEC"), (0, "EOF")]);
        head.text
    }

    fn header(&self, head: &mut Self) {
        // Release 12 readers skip $INSUNITS, which later ones know: 2 feet, 6 metres, 21 US survey feet.
        let code = match self.unit {
            LengthUnit::Metre => "6",
            LengthUnit::Foot => "2",
            LengthUnit::SurveyFoot => "21",
        };
        let (low, high) = self.extent();
        let levels = self.places.iter().map(|(_, level_m)| *level_m);
        let lowest_m = levels.clone().reduce(f64::min).unwrap_or(0.0);
        let highest_m = levels.reduce(f64::max).unwrap_or(0.0);
        head.pairs(&[(0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, "AC1009"), (9, "$INSUNITS"), (70, code)]);
        head.pairs(&[(9, "$EXTMIN")]);
        head.place(low, lowest_m);
        head.pairs(&[(9, "$EXTMAX")]);
        head.place(high, highest_m);
        let cross = self.unit.figure(CROSS_M, 4);
        // A cross at a point (3), of that size.
        head.pairs(&[(9, "$PDMODE"), (70, "3"), (9, "$PDSIZE"), (40, &cross), (9, "$LTSCALE"), (40, "1.0")]);
        head.pairs(&[(0, "ENDSEC")]);
    }

    fn tables(&self, head: &mut Self) {
        head.pairs(&[(0, "SECTION"), (2, "TABLES")]);
        self.view(head);
        head.pairs(&[(0, "TABLE"), (2, "LTYPE"), (70, &LINE_TYPES.len().to_string())]);
        for (name, looks, pattern) in LINE_TYPES {
            let whole_m: f64 = pattern.iter().map(|part| part.abs()).sum();
            let (count, whole) = (pattern.len().to_string(), self.unit.figure(whole_m, 4));
            head.pairs(&[(0, "LTYPE"), (2, name), (70, "0"), (3, looks), (72, "65"), (73, &count), (40, &whole)]);
            pattern.iter().for_each(|part| head.pairs(&[(49, &self.unit.figure(*part, 4))]));
        }
        head.pairs(&[(0, "ENDTAB"), (0, "TABLE"), (2, "LAYER"), (70, &LAYERS.len().to_string())]);
        for Layer { name, color, line_type } in LAYERS {
            head.pairs(&[(0, "LAYER"), (2, name), (70, "0"), (62, color), (6, line_type)]);
        }
        head.pairs(&[(0, "ENDTAB"), (0, "TABLE"), (2, "STYLE"), (70, "1")]);
        head.pairs(&[(0, "STYLE"), (2, "STANDARD"), (70, "0"), (40, "0.0"), (41, "1.0"), (50, "0.0"), (71, "0")]);
        head.pairs(&[(42, "1.0"), (3, "txt"), (4, ""), (0, "ENDTAB"), (0, "ENDSEC")]);
    }

    /// The view that opens: all that is drawn.
    fn view(&self, head: &mut Self) {
        let (low, high) = self.extent();
        let (wide_m, tall_m) = ((high.x - low.x).max(1.0), (high.y - low.y).max(1.0));
        let figure = |value_m: f64| self.unit.figure(value_m, 4);
        let (x, y) = (figure((low.x + high.x) / 2.0), figure((low.y + high.y) / 2.0));
        // Half as wide again as tall; a tenth of air around.
        let height = figure(1.1 * tall_m.max(wide_m / 1.5));
        head.pairs(&[(0, "TABLE"), (2, "VPORT"), (70, "1"), (0, "VPORT"), (2, "*ACTIVE"), (70, "0")]);
        head.pairs(&[(10, "0.0"), (20, "0.0"), (11, "1.0"), (21, "1.0"), (12, &x), (22, &y)]);
        head.pairs(&[(16, "0.0"), (26, "0.0"), (36, "1.0"), (17, "0.0"), (27, "0.0"), (37, "0.0")]);
        head.pairs(&[(40, &height), (41, "1.5"), (0, "ENDTAB")]);
    }

    fn course(&mut self, line: &StakeLine) {
        let layer = line.kind.to_uppercase().replace(' ', "_");
        // A line of which not every level is known is drawn flat: a level of 0 in space would be a lie.
        let is_known = line.points.iter().all(|(_, level_m)| level_m.is_some());
        let level = |level_m: Option<f64>| level_m.filter(|_| is_known).unwrap_or(0.0);
        let points: Vec<(Point, f64)> = line.points.iter().map(|(at, level_m)| (*at, level(*level_m))).collect();
        let (course, vertex) = if is_known { ("8", "32") } else { ("0", "0") };
        self.polyline((&layer, 0.0), &points, (course, vertex));
        if let Some((at, level_m)) = points.get(points.len() / 2) {
            let name = if is_known { line.name.clone() } else { format!("{}, levels not known", line.name) };
            self.text((LINE_NAMES, NAME_M), *at, *level_m, &name);
        }
    }

    /// A course at one level; it comes back to its first corner where it is closed.
    fn flat(&mut self, layer: &str, course: &[Point], level_m: f64, closed: bool) {
        let points: Vec<(Point, f64)> = course.iter().map(|at| (*at, level_m)).collect();
        self.polyline((layer, level_m), &points, (if closed { "1" } else { "0" }, "0"));
    }

    /// A polyline with its flags, and those of its corners.
    fn polyline(&mut self, (layer, level_m): (&str, f64), points: &[(Point, f64)], (course, vertex): (&str, &str)) {
        let level = if level_m == 0.0 { "0.0".into() } else { self.unit.figure(level_m, 4) };
        self.pairs(&[(0, "POLYLINE"), (8, layer), (66, "1"), (10, "0.0"), (20, "0.0"), (30, &level), (70, course)]);
        for (at, level_m) in points {
            self.pairs(&[(0, "VERTEX"), (8, layer)]);
            self.place(*at, *level_m);
            self.pairs(&[(70, vertex)]);
        }
        self.pairs(&[(0, "SEQEND"), (8, layer)]);
    }

    /// A mark on the land, flat: where it is, not how deep; what is known of it stands at its middle.
    fn mark(&mut self, mark: &Landmark, units: Units) {
        let over = matches!(mark.kind, plan::LandmarkKind::OverheadLine { .. });
        let layer = match mark.kind.pit() {
            Some(_) => PITS,
            None if over || mark.kind.buried().is_some() => UTILITIES,
            None => MARKS,
        };
        match &mark.outline {
            Outline::At(at) => self.point(layer, *at, 0.0),
            Outline::Along(course) => self.flat(layer, course, 0.0, false),
            Outline::Around(ring) => self.flat(layer, ring, 0.0, true),
        }
        self.lines((layer, SMALL_M), mark.outline.middle(), 0.0, &wrapped(&mark_words(mark, units)));
    }

    /// A finding along its stretch, flat: where on the land it is, not how deep.
    fn notice(&mut self, notice: &StakeNotice) {
        let layer = if notice.no_dig { DO_NOT_DIG } else { OPEN_FINDINGS };
        if notice.course.len() > 1 {
            self.flat(layer, &notice.course, 0.0, false);
        }
        // What nobody digs is told in full; of the rest the drawing holds the number, by which the list of findings tells it.
        let words = match notice.no_dig {
            true => wrapped(&notice.described()),
            false => vec![format!("{}, number {}", notice.name(), notice.number)],
        };
        notice.course.first().iter().for_each(|at| self.lines((layer, SMALL_M), **at, 0.0, &words));
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
        self.places.push((at, level_m));
    }

    fn point(&mut self, layer: &str, at: Point, level_m: f64) {
        self.pairs(&[(0, "POINT"), (8, layer)]);
        self.place(at, level_m);
    }

    /// Texts one below the other, right of a place and below it.
    fn lines(&mut self, (layer, height_m): (&str, f64), at: Point, level_m: f64, texts: &[String]) {
        for (i, text) in texts.iter().enumerate() {
            let down_m = (i as f64 + 1.0) * LINE * height_m;
            self.text((layer, height_m), Point::new(at.x + OFF_M, at.y - down_m), level_m, text);
        }
    }

    fn text(&mut self, (layer, height_m): (&str, f64), at: Point, level_m: f64, text: &str) {
        self.pairs(&[(0, "TEXT"), (8, layer)]);
        self.place(at, level_m);
        self.pairs(&[(40, &self.unit.figure(height_m, 4)), (1, text)]);
    }

    fn turned(&mut self, how: (&str, f64), (at, level_m): (Point, f64), turned_deg: f64, text: &str) {
        self.text(how, at, level_m, text);
        self.pairs(&[(50, &measure::fixed(turned_deg, 3))]);
    }
}

/// A value of a pair holds no line end and nothing hidden; letters beyond ASCII are written as release 12 readers know them.
fn one_line(text: &str) -> String {
    let plain = |c: char| match c {
        c if c.is_ascii() => c.to_string(),
        c => c.encode_utf16(&mut [0; 2]).iter().map(|unit| format!("\\U+{unit:04X}")).collect(),
    };
    measure::plain(text).chars().map(plain).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_longer_text_is_broken_between_words() {
        let text = "have utilities located before digging ".repeat(8);
        let lines = wrapped(text.trim());
        assert!(lines.len() > 3 && lines.iter().all(|line| line.chars().count() <= LETTERS));
        let words = |text: &str| text.split_whitespace().map(str::to_string).collect::<Vec<_>>();
        assert_eq!(words(&lines.join(" ")), words(&text));
    }

    /// Every layer has a line type that is there, and no name stands twice.
    #[test]
    fn layers_are_whole() {
        let types = LINE_TYPES.map(|(name, ..)| name);
        assert!(LAYERS.iter().all(|layer| types.contains(&layer.line_type)));
        let mut names = LAYERS.map(|layer| layer.name).to_vec();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), LAYERS.len());
    }
}
