//! Staking points and alignments in open formats: CSV, GeoJSON, KML, GPX, DXF and LandXML.
//!
//! Written here and not by libraries: those for DXF and GPX stamp the day and a chance number into the file, and the same
//! plan must give the same bytes. Each file is opened again by independent readers in `tests/reference/open_files.py`.

use measure::{LengthUnit, Point};
use serde_json::{Value, json};

use crate::geojson_out::{degrees, milli};
use crate::{Crs, FileError};

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
    pub dig_to_m: Option<f64>,
    /// Grade to the next point, as a ratio.
    pub grade: Option<f64>,
    /// What is here and what comes next.
    pub remark: String,
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
    /// Nominal size, metres.
    pub size_m: f64,
    /// Its bends and changes of grade with the invert there, metres.
    pub points: Vec<(Point, Option<f64>)>,
    /// Where the grade changes: station and invert, metres.
    pub profile: Vec<(f64, f64)>,
    /// Ground along it: station and level, metres.
    pub ground: Vec<(f64, f64)>,
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
    /// Unit in which levels and plane coordinates are written.
    pub unit: LengthUnit,
    /// What levels count from.
    pub datum: String,
    /// The lines.
    pub lines: Vec<StakeLine>,
    /// The points.
    pub points: Vec<StakePoint>,
    /// The ground, for formats that hold a surface.
    pub surface: SurfaceOut,
}

/// Figures of levels and coordinates: a tenth of a millimetre, four decimals of a foot.
fn figure(value_m: f64, unit: LengthUnit) -> String {
    format!("{:.4}", value_m / unit.metres())
}

fn maybe(value_m: Option<f64>, unit: LengthUnit) -> String {
    value_m.map(|value_m| figure(value_m, unit)).unwrap_or_default()
}

/// Text that a spreadsheet would run is made plain by an apostrophe before it; commas and quotes are quoted.
pub fn csv_text(text: &str) -> String {
    let runs = text.starts_with(['=', '+', '-', '@', '\t', '\r']);
    let plain = if runs { format!("'{text}") } else { text.to_string() };
    if plain.contains([',', '"', '\n', '\r']) { format!("\"{}\"", plain.replace('"', "\"\"")) } else { plain }
}

impl Stakes {
    /// What every file says at its head.
    fn head(&self) -> String {
        let day = self.as_of.as_deref().unwrap_or("no date");
        let unit = self.unit.words();
        format!(
            "{}, {}, as of {day}. Levels and coordinates in {unit}, datum: {}",
            self.job, self.edition, self.datum
        )
    }

    /// One row a point.
    pub fn csv(&self) -> String {
        let sign = self.unit.sign();
        let mut text = format!("# {}\n# {}\n", self.head().replace('\n', " "), plan::CAUTION);
        text.push_str(&format!(
            "line,station,along_{sign},easting_{sign},northing_{sign},ground_{sign},invert_{sign},cut_from,\
             hub_level_{sign},hub_left_{sign},cut_{sign},dig_to_{sign},grade_to_next_percent,remark\n"
        ));
        for point in &self.points {
            let unit = self.unit;
            let grade = point.grade.map(|grade| format!("{:.4}", grade * 100.0)).unwrap_or_default();
            let cells = [
                csv_text(&point.line),
                // A station such as 1+50 is a sum to a spreadsheet only after an equals sign.
                csv_text(&point.station),
                figure(point.station_m, unit),
                figure(point.at.x, unit),
                figure(point.at.y, unit),
                maybe(point.ground_m, unit),
                figure(point.invert_m, unit),
                point.cut_from().into(),
                maybe(point.hub.map(|(level_m, _)| level_m), unit),
                maybe(point.hub.map(|(_, left_m)| left_m), unit),
                maybe(point.cut_m, unit),
                maybe(point.dig_to_m, unit),
                grade,
                csv_text(&point.remark),
            ];
            text.push_str(&cells.join(","));
            text.push('\n');
        }
        text
    }

    /// Points and lines as features in degrees; levels in metres.
    pub fn geojson(&self, crs: &Crs) -> Result<String, FileError> {
        let mut features = Vec::new();
        for line in &self.lines {
            let course: Vec<Value> =
                line.points.iter().map(|(at, _)| degrees(crs, *at).map(|d| json!(d))).collect::<Result<_, _>>()?;
            let inverts: Vec<Option<f64>> = line.points.iter().map(|(_, m)| m.map(milli)).collect();
            features.push(json!({
                "type": "Feature",
                "geometry": { "type": "LineString", "coordinates": course },
                "properties": {
                    "what": "line", "name": line.name, "kind": line.kind, "size_mm": milli(line.size_m * 1000.0),
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
                    "dig_to_m": point.dig_to_m.map(milli), "grade_percent": point.grade.map(|g| milli(g * 100.0)),
                    "remark": point.remark,
                },
            }));
        }
        let whole = json!({
            "type": "FeatureCollection", "name": self.job, "edition": self.edition, "caution": plan::CAUTION,
            "levels": format!("metres, datum: {}", self.datum), "features": features,
        });
        let text = serde_json::to_string_pretty(&whole)
            .map_err(|error| FileError::malformed("the stakes", error.to_string(), "numbers that JSON can hold"))?;
        Ok(text + "\n")
    }

    /// Placemarks for a globe viewer (OGC 12-007r2).
    pub fn kml(&self, crs: &Crs) -> Result<String, FileError> {
        let mut text = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
        text.push_str("<kml xmlns=\"http://www.opengis.net/kml/2.2\">\n<Document>\n");
        text.push_str(&element("name", &self.job));
        text.push_str(&element("description", &format!("{}. {}", self.head(), plan::CAUTION)));
        text.push_str("<Folder><name>Lines</name>\n");
        for line in &self.lines {
            let course: Vec<String> = line
                .points
                .iter()
                .map(|(at, _)| degrees(crs, *at).map(|[lon, lat]| format!("{lon},{lat}")))
                .collect::<Result<_, _>>()?;
            text.push_str("<Placemark>");
            text.push_str(&element("name", &line.name));
            text.push_str(&element("description", &format!("{}, {:.0} mm", line.kind, line.size_m * 1000.0)));
            let course = course.join(" ");
            text.push_str(&format!(
                "<LineString><tessellate>1</tessellate><coordinates>{course}</coordinates></LineString>"
            ));
            text.push_str("</Placemark>\n");
        }
        text.push_str("</Folder>\n<Folder><name>Stakes</name>\n");
        for point in &self.points {
            let [lon, lat] = degrees(crs, point.at)?;
            text.push_str("<Placemark>");
            text.push_str(&element("name", &point.name()));
            text.push_str(&element("description", &self.described(point)));
            text.push_str(&format!("<Point><coordinates>{lon},{lat}</coordinates></Point></Placemark>\n"));
        }
        text.push_str("</Folder>\n</Document>\n</kml>\n");
        Ok(text)
    }

    /// Waypoints and routes for a hand-held receiver (GPX 1.1).
    pub fn gpx(&self, crs: &Crs) -> Result<String, FileError> {
        let mut text = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
        text.push_str(
            "<gpx version=\"1.1\" creator=\"Drainwright\" xmlns=\"http://www.topografix.com/GPX/1/1\">\n<metadata>",
        );
        text.push_str(&element("name", &self.job));
        text.push_str(&element("desc", &format!("{}. {}", self.head(), plan::CAUTION)));
        text.push_str("</metadata>\n");
        for point in &self.points {
            let [lon, lat] = degrees(crs, point.at)?;
            text.push_str(&format!("<wpt lat=\"{lat}\" lon=\"{lon}\">"));
            // The height of a waypoint is the invert: what the crew looks for lies there.
            text.push_str(&format!("<ele>{:.4}</ele>", point.invert_m));
            text.push_str(&element("name", &point.name()));
            text.push_str(&element("desc", &self.described(point)));
            text.push_str("</wpt>\n");
        }
        for line in &self.lines {
            text.push_str("<rte>");
            text.push_str(&element("name", &line.name));
            for (at, level_m) in &line.points {
                let [lon, lat] = degrees(crs, *at)?;
                let height = level_m.map(|m| format!("<ele>{m:.4}</ele>")).unwrap_or_default();
                text.push_str(&format!("<rtept lat=\"{lat}\" lon=\"{lon}\">{height}</rtept>"));
            }
            text.push_str("</rte>\n");
        }
        text.push_str("</gpx>\n");
        Ok(text)
    }

    /// What a point says of itself.
    fn described(&self, point: &StakePoint) -> String {
        let unit = self.unit;
        let from = match point.hub {
            Some((level_m, _)) => format!("hub at level {}", figure(level_m, unit)),
            None => "ground".into(),
        };
        let cut = point.cut_m.map(|cut_m| format!(", cut {} {} from {from}", figure(cut_m, unit), unit.sign()));
        let cut = cut.unwrap_or_default();
        let remark = if point.remark.is_empty() { String::new() } else { format!(". {}", point.remark) };
        format!("invert {} {}{cut}{remark}", figure(point.invert_m, unit), unit.sign())
    }

    /// Drawing exchange, release 12: lines as 3-D polylines, stakes as points with texts, a layer for each kind.
    pub fn dxf(&self) -> String {
        let mut dxf = Dxf::default();
        let unit = self.unit;
        dxf.pairs(&[(999, &self.head()), (999, plan::CAUTION)]);
        // 2 feet, 6 metres ($INSUNITS of later releases; release 12 readers skip it).
        let code = if unit == LengthUnit::Metre { "6" } else { "2" };
        dxf.pairs(&[
            (0, "SECTION"),
            (2, "HEADER"),
            (9, "$ACADVER"),
            (1, "AC1009"),
            (9, "$INSUNITS"),
            (70, code),
            (0, "ENDSEC"),
        ]);
        let layers = ["MAIN", "SUBMAIN", "LATERAL", "OLD_TILE", "STAKES", "NOTES"];
        dxf.pairs(&[(0, "SECTION"), (2, "TABLES"), (0, "TABLE"), (2, "LAYER"), (70, "6")]);
        for layer in layers {
            dxf.pairs(&[(0, "LAYER"), (2, layer), (70, "0"), (62, "7"), (6, "CONTINUOUS")]);
        }
        dxf.pairs(&[(0, "ENDTAB"), (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES")]);
        for line in &self.lines {
            let layer = line.kind.to_uppercase().replace(' ', "_");
            // A line of which not every level is known is drawn flat: a level of 0 in space would be a lie.
            let is_known = line.points.iter().all(|(_, level_m)| level_m.is_some());
            let (course, vertex) = if is_known { ("8", "32") } else { ("0", "0") };
            dxf.pairs(&[
                (0, "POLYLINE"),
                (8, &layer),
                (66, "1"),
                (10, "0.0"),
                (20, "0.0"),
                (30, "0.0"),
                (70, course),
            ]);
            for (at, level_m) in &line.points {
                dxf.pairs(&[(0, "VERTEX"), (8, &layer)]);
                dxf.place(*at, level_m.filter(|_| is_known).unwrap_or(0.0), unit);
                dxf.pairs(&[(70, vertex)]);
            }
            dxf.pairs(&[(0, "SEQEND"), (8, &layer)]);
            if let Some((at, level_m)) = line.points.get(line.points.len() / 2) {
                let name = if is_known { line.name.clone() } else { format!("{}, levels not known", line.name) };
                dxf.text("NOTES", *at, level_m.filter(|_| is_known).unwrap_or(0.0), unit, &name);
            }
        }
        for point in &self.points {
            dxf.pairs(&[(0, "POINT"), (8, "STAKES")]);
            dxf.place(point.at, point.invert_m, unit);
            dxf.text("STAKES", point.at, point.invert_m, unit, &point.name());
        }
        dxf.pairs(&[(0, "ENDSEC"), (0, "EOF")]);
        dxf.text
    }

    /// LandXML 1.2: alignments with profiles, stakes as points, the ground as a surface of triangles.
    pub fn landxml(&self) -> String {
        let unit = self.unit;
        let day = self.as_of.as_deref().unwrap_or("1970-01-01");
        let mut text = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
        text.push_str(&format!(
            "<LandXML xmlns=\"http://www.landxml.org/schema/LandXML-1.2\" version=\"1.2\" date=\"{day}\" time=\"00:00:00\" \
             language=\"English\" readOnly=\"false\">\n"
        ));
        text.push_str(&units_element(unit));
        let desc = escaped(&format!("{}. {}", self.head(), plan::CAUTION));
        text.push_str(&format!("<Project name=\"{}\" desc=\"{desc}\"/>\n", escaped(&self.job)));
        text.push_str("<Application name=\"Drainwright\" version=\"1\"/>\n");
        text.push_str("<CgPoints name=\"stakes\">\n");
        for point in &self.points {
            let place = north_east(point.at, Some(point.invert_m), unit);
            let desc = escaped(&self.described(point));
            text.push_str(&format!(
                "<CgPoint name=\"{}\" desc=\"{desc}\">{place}</CgPoint>\n",
                escaped(&point.name())
            ));
        }
        text.push_str("</CgPoints>\n<Alignments>\n");
        self.lines.iter().for_each(|line| text.push_str(&alignment(line, unit)));
        text.push_str("</Alignments>\n");
        text.push_str(&self.surface_element());
        text.push_str("</LandXML>\n");
        text
    }

    fn surface_element(&self) -> String {
        let SurfaceOut { cols, points } = &self.surface;
        let known: Vec<Option<usize>> = points
            .iter()
            .scan(0, |count, (_, level_m)| {
                *count += usize::from(level_m.is_some());
                Some(level_m.map(|_| *count))
            })
            .collect();
        if *cols < 2 || known.iter().flatten().count() < 3 {
            return String::new();
        }
        let mut text = String::from("<Surfaces><Surface name=\"ground\"><Definition surfType=\"TIN\">\n<Pnts>\n");
        for ((at, level_m), id) in points.iter().zip(&known) {
            if let Some(id) = id {
                text.push_str(&format!("<P id=\"{id}\">{}</P>\n", north_east(*at, *level_m, self.unit)));
            }
        }
        text.push_str("</Pnts>\n<Faces>\n");
        let corner = |row: usize, col: usize| known.get(row * cols + col).copied().flatten();
        for row in 0..(points.len() / cols).saturating_sub(1) {
            for col in 0..cols - 1 {
                let (nw, ne) = (corner(row, col), corner(row, col + 1));
                let (sw, se) = (corner(row + 1, col), corner(row + 1, col + 1));
                for face in [[nw, ne, sw], [ne, se, sw]] {
                    if let [Some(a), Some(b), Some(c)] = face {
                        text.push_str(&format!("<F>{a} {b} {c}</F>\n"));
                    }
                }
            }
        }
        text.push_str("</Faces>\n</Definition></Surface></Surfaces>\n");
        text
    }
}

fn units_element(unit: LengthUnit) -> String {
    let (family, linear, area, volume, temperature, pressure) = match unit {
        LengthUnit::Metre => ("Metric", "meter", "squareMeter", "cubicMeter", "celsius", "milliBars"),
        LengthUnit::Foot => ("Imperial", "foot", "squareFoot", "cubicFeet", "fahrenheit", "inHG"),
        LengthUnit::SurveyFoot => ("Imperial", "USSurveyFoot", "squareFoot", "cubicFeet", "fahrenheit", "inHG"),
    };
    format!(
        "<Units><{family} linearUnit=\"{linear}\" areaUnit=\"{area}\" volumeUnit=\"{volume}\" \
         temperatureUnit=\"{temperature}\" pressureUnit=\"{pressure}\" angularUnit=\"decimal degrees\" \
         directionUnit=\"decimal degrees\"/></Units>\n"
    )
}

fn alignment(line: &StakeLine, unit: LengthUnit) -> String {
    let plane: Vec<Point> = line.points.iter().map(|(at, _)| *at).collect();
    let length = figure(measure::path_length(&plane), unit);
    let name = escaped(&line.name);
    let mut text = format!(
        "<Alignment name=\"{name}\" length=\"{length}\" staStart=\"0.0\" desc=\"{}\">\n",
        escaped(&line.kind)
    );
    text.push_str("<CoordGeom>\n");
    for pair in plane.windows(2).filter(|pair| pair[0] != pair[1]) {
        let (start, end) = (north_east(pair[0], None, unit), north_east(pair[1], None, unit));
        text.push_str(&format!("<Line><Start>{start}</Start><End>{end}</End></Line>\n"));
    }
    text.push_str("</CoordGeom>\n");
    let list = |pairs: &[(f64, f64)]| {
        pairs.iter().map(|(s, z)| format!("{} {}", figure(*s, unit), figure(*z, unit))).collect::<Vec<_>>()
    };
    text.push_str(&format!("<Profile name=\"{name}\">\n"));
    if line.ground.len() > 1 {
        let points = list(&line.ground).join(" ");
        text.push_str(&format!("<ProfSurf name=\"ground\"><PntList2D>{points}</PntList2D></ProfSurf>\n"));
    }
    if line.profile.len() > 1 {
        text.push_str(&format!("<ProfAlign name=\"{name} invert\">\n"));
        list(&line.profile).iter().for_each(|pvi| text.push_str(&format!("<PVI>{pvi}</PVI>\n")));
        text.push_str("</ProfAlign>\n");
    }
    text.push_str("</Profile>\n</Alignment>\n");
    text
}

/// Northing, easting and level, in that order, as LandXML has them.
fn north_east(at: Point, level_m: Option<f64>, unit: LengthUnit) -> String {
    let level = level_m.map(|m| format!(" {}", figure(m, unit))).unwrap_or_default();
    format!("{} {}{level}", figure(at.y, unit), figure(at.x, unit))
}

/// Pairs of group code and value.
#[derive(Default)]
struct Dxf {
    text: String,
}

impl Dxf {
    fn pairs(&mut self, pairs: &[(u16, &str)]) {
        for (code, value) in pairs {
            self.text.push_str(&format!("{code}\n{}\n", one_line(value)));
        }
    }

    fn place(&mut self, at: Point, level_m: f64, unit: LengthUnit) {
        self.pairs(&[(10, &figure(at.x, unit)), (20, &figure(at.y, unit)), (30, &figure(level_m, unit))]);
    }

    fn text(&mut self, layer: &str, at: Point, level_m: f64, unit: LengthUnit, text: &str) {
        self.pairs(&[(0, "TEXT"), (8, layer)]);
        self.place(at, level_m, unit);
        // A metre of height is read on a map of a field.
        self.pairs(&[(40, &figure(1.0, unit)), (1, text)]);
    }
}

/// A value of a pair holds no line end; letters beyond ASCII are written as release 12 readers know them.
fn one_line(text: &str) -> String {
    let plain = |c: char| match c {
        '\n' | '\r' => " ".to_string(),
        c if c.is_ascii() => c.to_string(),
        c => format!("\\U+{:04X}", c as u32 & 0xffff),
    };
    text.chars().map(plain).collect()
}

fn element(name: &str, text: &str) -> String {
    format!("<{name}>{}</{name}>", escaped(text))
}

/// Text for XML; signs that XML 1.0 forbids are left out.
fn escaped(text: &str) -> String {
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
    fn text_that_a_spreadsheet_would_run_is_made_plain() {
        assert_eq!(csv_text("=HYPERLINK(\"x\")"), "\"'=HYPERLINK(\"\"x\"\")\"");
        assert_eq!(csv_text("+1"), "'+1");
        assert_eq!(csv_text("@cmd"), "'@cmd");
        assert_eq!(csv_text("1+50"), "1+50");
        assert_eq!(csv_text("a, b"), "\"a, b\"");
    }

    #[test]
    fn xml_keeps_its_signs_apart() {
        assert_eq!(escaped("a<b & \"c\"\u{0}\u{8}"), "a&lt;b &amp; &quot;c&quot;");
    }
}
