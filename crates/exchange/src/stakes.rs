//! Staking points, alignments and benchmarks in open formats: CSV and GeoJSON here, DXF, LandXML, KML, GPX and the file for a
//! data collector beside it.
//!
//! Places are in the unit of the coordinate system, levels in the plan's, and every file says so of itself.
//!
//! Written here and not by libraries: those for DXF and GPX stamp the day and a chance number into the file, and the same
//! plan must give the same bytes. Each file is opened again by independent readers in `tests/reference/open_files.py`.

use design::{LaidSize, size_words};
use measure::{LengthUnit, Point, Units};
use plan::{Benchmark, Reference};
use serde_json::{Value, json};

use crate::csv_out::{Csv, csv_text};
use crate::geojson_out::{benchmark_properties, degrees, head_members, milli, outline_geometry};
use crate::marks_out::mark_properties;
use crate::{Crs, FileError, Network, OnLand};

/// A point to be staked.
#[derive(Debug, Clone, PartialEq)]
pub struct StakePoint {
    /// Name of the line.
    pub line: String,
    /// Its station as written on a plan.
    pub station: String,
    /// Distance from the downstream end, metres.
    pub station_m: f64,
    /// Where it is.
    pub at: Point,
    /// Ground at the centre line, metres.
    pub ground_m: Option<f64>,
    /// Invert, metres.
    pub invert_m: f64,
    /// The hub that the cut is measured from: its level and how far left of the line it stands looking upstream,
    /// metres; `None` where it is measured from the ground at the centre line.
    pub hub: Option<(f64, f64)>,
    /// From hub or ground down to the invert, metres.
    pub cut_m: Option<f64>,
    /// From there down to the bottom of the trench, metres.
    pub to_trench_bottom_m: Option<f64>,
    /// Grade to the next point, as a ratio.
    pub grade: Option<f64>,
    /// What is here and what comes next.
    pub remark: String,
    /// True where nobody digs from here on.
    pub no_dig: bool,
    /// Findings that are open from here to the next point, in words; empty for none.
    pub open: String,
}

/// A finding on a stretch of a line: open, or left by name.
#[derive(Debug, Clone, PartialEq)]
pub struct StakeNotice {
    /// Name of the line.
    pub line: String,
    /// Its number on the punch list.
    pub number: usize,
    /// How heavy it is, in the words of the sheets: "TO FIX", "DO NOT DIG".
    pub severity: String,
    /// Its place as written on a plan: "1+50 to 1+75".
    pub place: String,
    /// What is wrong and what to do.
    pub words: String,
    /// Lower and upper station, metres; the same for a point.
    pub stretch_m: (f64, f64),
    /// The line along the stretch; one place for a point.
    pub course: Vec<Point>,
    /// True where nobody digs.
    pub no_dig: bool,
}

impl StakeNotice {
    /// Its name: "DO NOT DIG L2 1+18 to 1+22".
    pub(crate) fn name(&self) -> String {
        format!("{} {} {}", self.severity, self.line, self.place)
    }

    /// What it says of itself.
    pub(crate) fn described(&self) -> String {
        format!("{}, number {}. {}", self.name(), self.number, self.words)
    }

    /// The words of the layer or folder it stands in.
    pub(crate) const fn group(&self) -> &'static str {
        if self.no_dig { "Do not dig" } else { "Open findings" }
    }

    /// Its properties as a feature has them.
    pub(crate) fn properties(&self) -> Value {
        json!({
            "what": if self.no_dig { "do not dig" } else { "finding" },
            "name": self.name(), "line": self.line, "number": self.number, "severity": self.severity,
            "place": self.place, "from_m": milli(self.stretch_m.0), "to_m": milli(self.stretch_m.1),
            "do_not_dig": self.no_dig, "words": self.words,
        })
    }

    /// Its geometry in degrees.
    pub(crate) fn geometry(&self, crs: &Crs) -> Result<Value, FileError> {
        let course: Vec<[f64; 2]> = self.course.iter().map(|at| degrees(crs, *at)).collect::<Result<_, _>>()?;
        Ok(match course.as_slice() {
            [only] => json!({ "type": "Point", "coordinates": only }),
            course => json!({ "type": "LineString", "coordinates": course }),
        })
    }
}

impl StakePoint {
    /// Its name: "L2 1+50".
    pub fn name(&self) -> String {
        format!("{} {}", self.line, self.station)
    }

    /// What the cut is measured from, in a word.
    const fn cut_from(&self) -> &'static str {
        match (self.cut_m, self.hub) {
            (None, _) => "",
            (Some(_), None) => "ground",
            (Some(_), Some(_)) => "hub",
        }
    }
}

/// A line with its profile.
#[derive(Debug, Clone, PartialEq)]
pub struct StakeLine {
    /// Its name.
    pub name: String,
    /// What it is for.
    pub kind: String,
    /// Its sizes from the downstream end up.
    pub sizes: Vec<LaidSize>,
    /// Its bends and changes of grade with the invert there, metres.
    pub points: Vec<(Point, Option<f64>)>,
    /// Where the grade changes: station and invert, metres.
    pub profile: Vec<(f64, f64)>,
    /// Ground along it: station and level, metres.
    pub ground: Vec<(f64, f64)>,
}

impl StakeLine {
    /// Its sizes in words.
    pub(crate) fn size_words(&self, units: Units) -> String {
        size_words(&self.sizes, units)
    }
}

/// Nominal size at a downstream end, millimetres.
pub(crate) fn lowest_mm(sizes: &[LaidSize]) -> Option<f64> {
    sizes.first().map(|laid| milli(laid.size_m * 1000.0))
}

/// Sizes with their stretches, metres along the line and millimetres across.
pub(crate) fn sizes_json(sizes: &[LaidSize]) -> Value {
    let laid = |laid: &LaidSize| json!({ "from_m": milli(laid.from_m), "to_m": milli(laid.to_m), "size_mm": milli(laid.size_m * 1000.0) });
    sizes.iter().map(laid).collect()
}

/// A patch of ground as points on a grid, row by row from the north.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SurfaceOut {
    /// Points in a row.
    pub cols: usize,
    /// Places and levels, metres; `None` where no ground is known.
    pub points: Vec<(Point, Option<f64>)>,
}

/// Everything that is staked of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Stakes {
    /// The job's name.
    pub job: String,
    /// The day of the plan, `YYYY-MM-DD`, where one is set.
    pub as_of: Option<String>,
    /// Which revision it is.
    pub edition: String,
    /// In what terms places and levels are written.
    pub reference: Reference,
    /// The plane on which the places lie.
    pub crs: Crs,
    /// The lines.
    pub lines: Vec<StakeLine>,
    /// The points.
    pub points: Vec<StakePoint>,
    /// Findings on stretches of the lines, in the order of the punch list.
    pub notices: Vec<StakeNotice>,
    /// What is open and stands on no line, in words.
    pub whole_job: Vec<String>,
    /// Marks of known level.
    pub benchmarks: Vec<Benchmark>,
    /// The ground, for formats that hold a surface.
    pub surface: SurfaceOut,
    /// What lies on the land beside them.
    pub land: OnLand,
    /// The lines as pipes between structures.
    pub network: Network,
}

/// Figures of levels and coordinates: a tenth of a millimetre, four decimals of a foot.
fn figure(value_m: f64, unit: LengthUnit) -> String {
    unit.figure(value_m, 4)
}

fn maybe(value_m: Option<f64>, unit: LengthUnit) -> String {
    value_m.map(|value_m| figure(value_m, unit)).unwrap_or_default()
}

impl Stakes {
    /// What every file in the plane's own numbers says at its head.
    pub fn head(&self) -> Vec<String> {
        let terms = [self.called(), self.reference.coordinates(), self.reference.levels()];
        terms.into_iter().chain(self.no_dig_words()).chain(self.unstaked_words()).collect()
    }

    /// Every stretch that nobody digs, in one sentence.
    pub(crate) fn no_dig_words(&self) -> Option<String> {
        let places = self.notices.iter().filter(|notice| notice.no_dig);
        let places: Vec<String> = places.map(|notice| format!("{} {}", notice.line, notice.place)).collect();
        (!places.is_empty()).then(|| format!("DO NOT DIG {}", places.join("; ")))
    }

    /// New lines of which nothing is staked, because no level is known, in one sentence.
    fn unstaked_words(&self) -> Option<String> {
        let bare =
            |line: &&StakeLine| line.kind != "old tile" && self.points.iter().all(|point| point.line != line.name);
        let names: Vec<&str> = self.lines.iter().filter(bare).map(|line| line.name.as_str()).collect();
        (!names.is_empty()).then(|| format!("NO LEVEL IS KNOWN, nothing is staked: {}", names.join("; ")))
    }

    /// What a file whose three axes have one unit says at its head, the caution too.
    pub(crate) fn head_of_one_unit(&self) -> Vec<String> {
        let levels = self.reference.levels_of_one_unit();
        let terms = [self.called(), self.reference.coordinates(), levels];
        let told = self.no_dig_words().into_iter().chain(self.unstaked_words());
        terms.into_iter().chain(told).chain([plan::CAUTION.into()]).collect()
    }

    /// What a file in degrees says at its head, in one paragraph.
    pub(crate) fn head_in_degrees(&self) -> String {
        let (degrees, from) = (self.crs.degrees_words(), self.reference.plane());
        let levels = self.reference.levels();
        let no_dig = self.no_dig_words().map(|words| format!(" {words}.")).unwrap_or_default();
        format!("{}.{no_dig} {degrees}. Brought from {from}. {levels}. {}", self.called(), plan::CAUTION)
    }

    fn called(&self) -> String {
        format!("{}, {}, as of {}", self.job, self.edition, self.as_of.as_deref().unwrap_or("no date"))
    }

    /// What a benchmark says of itself.
    pub(crate) fn benchmark_words(&self, mark: &Benchmark) -> String {
        let up = self.reference.up;
        let datum = if mark.datum.is_empty() { &self.reference.datum } else { &mark.datum };
        format!("benchmark, level {} {}, vertical datum: {datum}", figure(mark.level_m, up), up.sign())
    }

    /// One row a point, stakes first, then benchmarks.
    pub fn csv(&self) -> String {
        let Reference { across, up, .. } = self.reference;
        let (plane, sign) = (across.sign(), up.sign());
        let mut csv = Csv::with_remarks(self.head());
        csv.remark(plan::CAUTION);
        csv.head(&format!(
            "line,station,along_{sign},easting_{plane},northing_{plane},ground_{sign},invert_{sign},cut_from,\
             hub_level_{sign},hub_left_{sign},cut_{sign},to_trench_bottom_{sign},grade_to_next_percent,remark,do_not_dig_to_next,\
             open_findings,benchmark_level_{sign}"
        ));
        for point in &self.points {
            let grade = point.grade.map(|grade| measure::fixed(grade * 100.0, 4)).unwrap_or_default();
            csv.row(&[
                csv_text(&point.line),
                // A station such as 1+50 is a sum to a spreadsheet only after an equals sign.
                csv_text(&point.station),
                figure(point.station_m, up),
                figure(point.at.x, across),
                figure(point.at.y, across),
                maybe(point.ground_m, up),
                figure(point.invert_m, up),
                point.cut_from().into(),
                maybe(point.hub.map(|(level_m, _)| level_m), up),
                maybe(point.hub.map(|(_, left_m)| left_m), up),
                maybe(point.cut_m, up),
                maybe(point.to_trench_bottom_m, up),
                grade,
                csv_text(&point.remark),
                if point.no_dig { "yes".into() } else { "no".into() },
                csv_text(&point.open),
                String::new(),
            ]);
        }
        for mark in &self.benchmarks {
            let (name, remark) = (csv_text(&mark.name), csv_text(&self.benchmark_words(mark)));
            let (x, y, level) = (figure(mark.at.x, across), figure(mark.at.y, across), figure(mark.level_m, up));
            let mut cells: [String; 17] = Default::default();
            [cells[0], cells[3], cells[4], cells[13], cells[16]] = [name, x, y, remark, level];
            csv.row(&cells);
        }
        csv.finish()
    }

    /// Points and lines as features in degrees; levels in metres, and in the plan's unit in what a stake says of itself.
    pub fn geojson(&self) -> Result<String, FileError> {
        let (crs, mut features) = (&self.crs, Vec::new());
        for line in &self.lines {
            let course: Vec<Value> =
                line.points.iter().map(|(at, _)| degrees(crs, *at).map(|d| json!(d))).collect::<Result<_, _>>()?;
            let inverts: Vec<Option<f64>> = line.points.iter().map(|(_, m)| m.map(milli)).collect();
            features.push(json!({
                "type": "Feature",
                "geometry": { "type": "LineString", "coordinates": course },
                "properties": {
                    "what": "line", "name": line.name, "kind": line.kind, "size_mm": lowest_mm(&line.sizes),
                    "size": line.size_words(Units::of(self.reference.up)), "sizes": sizes_json(&line.sizes),
                    "inverts_m": inverts,
                },
            }));
        }
        for point in &self.points {
            features.push(json!({
                "type": "Feature",
                "geometry": { "type": "Point", "coordinates": degrees(crs, point.at)? },
                "properties": {
                    "what": "stake", "name": point.name(), "line": point.line, "station": point.station,
                    "station_m": milli(point.station_m), "ground_m": point.ground_m.map(milli),
                    "invert_m": milli(point.invert_m), "cut_from": point.cut_from(),
                    "hub_level_m": point.hub.map(|(level_m, _)| milli(level_m)),
                    "hub_left_m": point.hub.map(|(_, left_m)| milli(left_m)), "cut_m": point.cut_m.map(milli),
                    "to_trench_bottom_m": point.to_trench_bottom_m.map(milli), "grade_percent": point.grade.map(|g| milli(g * 100.0)),
                    "remark": point.remark, "do_not_dig_to_next": point.no_dig, "open_findings": point.open,
                    "words": self.described(point),
                },
            }));
        }
        for notice in &self.notices {
            let geometry = notice.geometry(crs)?;
            features.push(json!({ "type": "Feature", "geometry": geometry, "properties": notice.properties() }));
        }
        for mark in &self.benchmarks {
            features.push(json!({
                "type": "Feature",
                "geometry": { "type": "Point", "coordinates": degrees(crs, mark.at)? },
                "properties": benchmark_properties(mark, &self.reference),
            }));
        }
        let units = Units::of(self.reference.up);
        for mark in &self.land.marks {
            let geometry = outline_geometry(&mark.outline, crs)?;
            let properties = mark_properties(mark, units);
            features.push(json!({ "type": "Feature", "geometry": geometry, "properties": properties }));
        }
        let mut whole = json!({ "type": "FeatureCollection", "edition": self.edition, "features": features });
        if let (Some(whole), Value::Object(head)) =
            (whole.as_object_mut(), head_members(&self.job, crs, &self.reference))
        {
            whole.extend(head);
        }
        let text = serde_json::to_string_pretty(&whole)
            .map_err(|error| FileError::malformed("the stakes", error.to_string(), "numbers that JSON can hold"))?;
        Ok(text + "\n")
    }

    /// What a point says of itself.
    pub(crate) fn described(&self, point: &StakePoint) -> String {
        let unit = self.reference.up;
        let from = match point.hub {
            Some((level_m, _)) => format!("hub at level {}", figure(level_m, unit)),
            None => "ground".into(),
        };
        let cut = point.cut_m.map(|cut_m| format!(", cut {} {} from {from}", figure(cut_m, unit), unit.sign()));
        let cut = cut.unwrap_or_default();
        let more = [&point.remark, &point.open].into_iter().filter(|text| !text.is_empty());
        let more: String = more.map(|text| format!(". {text}")).collect();
        let stop = if point.no_dig { "DO NOT DIG from here on. " } else { "" };
        format!("{stop}invert {} {}{cut}{more}", figure(point.invert_m, unit), unit.sign())
    }

    /// Findings by where they stand in a file, what nobody digs first.
    pub(crate) fn notices_by_group(&self) -> Vec<(&'static str, Vec<&StakeNotice>)> {
        let (no_dig, open): (Vec<_>, Vec<_>) = self.notices.iter().partition(|notice| notice.no_dig);
        let groups = [no_dig, open].into_iter().filter_map(|group| Some((group.first()?.group(), group)));
        groups.collect()
    }
}

pub(crate) fn element(name: &str, text: &str) -> String {
    format!("<{name}>{}</{name}>", escaped(text))
}

/// Text for XML; signs that XML 1.0 forbids are left out.
pub(crate) fn escaped(text: &str) -> String {
    let allowed = |c: &char| matches!(c, '\t' | '\n' | ' '..='\u{d7ff}' | '\u{e000}'..='\u{fffd}' | '\u{10000}'..);
    let mut plain = String::with_capacity(text.len());
    for c in text.chars().filter(allowed) {
        match c {
            '<' => plain.push_str("&lt;"),
            '>' => plain.push_str("&gt;"),
            '&' => plain.push_str("&amp;"),
            '"' => plain.push_str("&quot;"),
            c => plain.push(c),
        }
    }
    plain
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn xml_keeps_its_signs_apart() {
        assert_eq!(escaped("a<b & \"c\"\u{0}\u{8}"), "a&lt;b &amp; &quot;c&quot;");
    }
}
