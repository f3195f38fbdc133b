//! Coordinates and units at the door: a small job in systems that count in metres, feet and US survey feet and in local
//! ones, planned in feet and in metres, given in the ground's own numbers and handed out in every format. What is read back
//! agrees with the numbers given, and in degrees with pyproj (tests/reference/coords_values.json), to a millimetre.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::collections::BTreeMap;
use std::path::Path;

use crate::common::{drainwright, told};
use serde_json::{Value, json};

/// A millimetre.
const NEAR_M: f64 = 0.001;

fn systems() -> Vec<Value> {
    let values: Value = serde_json::from_str(include_str!("../../../tests/reference/coords_values.json")).unwrap();
    values["systems"].as_array().unwrap().clone()
}

/// A job in one system, planned in some units.
struct Job {
    system: Value,
    units: &'static str,
    folder: tempfile::TempDir,
}

/// Every system under both kinds of plan.
fn jobs() -> impl Iterator<Item = Job> {
    let both = systems().into_iter().flat_map(|system| ["feet", "metric"].map(|units| (system.clone(), units)));
    both.map(|(system, units)| Job::new(system, units))
}

impl Job {
    fn new(system: Value, units: &'static str) -> Self {
        let job = Self { system, units, folder: tempfile::tempdir().unwrap() };
        job.write();
        let [x, y] = job.plane("outlet");
        let invert = job.level(6.0, 3.0) - 1.2 * job.step();
        let outlet = format!("{x},{y},{invert}");
        let unit = job.text("unit");
        let mut new = vec!["new", "--ground", "g.asc", "--field", "field.geojson", "--crs", "ground"];
        new.extend([
            "--outlet",
            &outlet,
            "--vertical-unit",
            unit,
            "--units",
            units,
            "--datum",
            "NAVD88",
            "-o",
            "a.drain",
        ]);
        match job.is_local() {
            true => new.extend(["--horizontal-unit", unit]),
            false => new.extend(["--ground-crs", job.text("code")]),
        }
        job.fine(&new);
        job.fine(&["lines", "a.drain", "lines.geojson", "--crs", "ground"]);
        job.fine(&["bring", "a.drain", "--marks", "marks.geojson", "--crs", "ground"]);
        let [x, y] = job.plane("benchmark");
        job.fine(&[
            "survey",
            "a.drain",
            "--benchmark",
            &format!("BM1,{x},{y},{} m", job.level(-10.0, -5.0) * job.unit_m()),
        ]);
        job
    }

    /// What it is, where something is wrong.
    fn name(&self) -> String {
        format!("{} in {}, plan in {}", self.text("code"), self.text("unit"), self.units)
    }

    fn text(&self, key: &str) -> &str {
        self.system[key].as_str().unwrap()
    }

    fn unit_m(&self) -> f64 {
        self.system["unit_m"].as_f64().unwrap()
    }

    fn step(&self) -> f64 {
        self.system["step"].as_f64().unwrap()
    }

    fn is_local(&self) -> bool {
        self.text("code") == "local"
    }

    /// A place in the numbers of the system.
    fn plane(&self, place: &str) -> [f64; 2] {
        serde_json::from_value(self.system["places"][place]["plane"].clone()).unwrap()
    }

    /// The same in degrees by pyproj.
    fn degrees(&self, place: &str) -> [f64; 2] {
        serde_json::from_value(self.system["places"][place]["degrees"].clone()).unwrap()
    }

    /// Level of the ground so many steps from the corner, in the unit of the system.
    fn level(&self, x: f64, y: f64) -> f64 {
        (60.0 + 0.01 * x + 0.03 * y) * self.step()
    }

    fn at(&self) -> &Path {
        self.folder.path()
    }

    fn fine(&self, arguments: &[&str]) -> String {
        let output = drainwright(self.at(), arguments);
        assert!(output.status.success(), "{}: {arguments:?}: {}", self.name(), told(&output));
        String::from_utf8(output.stdout).unwrap()
    }

    fn export(&self, format: &str) -> String {
        self.fine(&["export", "a.drain", "--to", format, "--what", "stakes"])
    }

    /// Ground, boundary, lines and marks in the numbers of the system.
    fn write(&self) {
        let (cols, rows, cell) = (50, 40, 3.0);
        let [x, y] = self.plane("sw").map(|corner| corner - 15.0 * self.step());
        let mut text =
            format!("ncols {cols}\nnrows {rows}\nxllcorner {x}\nyllcorner {y}\ncellsize {}\n", cell * self.step());
        for row in 0..rows {
            let up = |row: i32| -15.0 + cell * (f64::from(rows - row) - 0.5);
            let level = |col: i32| self.level(-15.0 + cell * (f64::from(col) + 0.5), up(row));
            text.push_str(&(0..cols).map(|col| format!("{:.4} ", level(col))).collect::<String>());
            text.push('\n');
        }
        let write = |name: &str, text: String| std::fs::write(self.at().join(name), text).unwrap();
        write("g.asc", text);
        let path = |places: &[&str]| places.iter().map(|place| self.plane(place)).collect::<Vec<_>>();
        let ring = path(&["sw", "se", "ne", "nw", "sw"]);
        write("field.geojson", json!({ "type": "Polygon", "coordinates": [ring] }).to_string());
        let line = |properties: Value, places: &[&str]| {
            json!({ "type": "Feature", "properties": properties,
                    "geometry": { "type": "LineString", "coordinates": path(places) } })
        };
        let all = |features: Vec<Value>| json!({ "type": "FeatureCollection", "features": features }).to_string();
        let main = line(json!({ "name": "M1", "kind": "main", "size": "6 in" }), &["outlet", "main_end"]);
        let lateral = line(json!({ "name": "L1", "kind": "lateral", "size": "4 in" }), &["joint", "lateral_end"]);
        write("lines.geojson", all(vec![main, lateral]));
        write("marks.geojson", all(vec![line(json!({ "what": "gas", "name": "G1" }), &["gas_a", "gas_b"])]));
    }

    /// Holds a place against the numbers given, in the unit of the system.
    fn near(&self, found: [f64; 2], place: &str, format: &str) {
        let wanted = self.plane(place);
        let off_m = (found[0] - wanted[0]).hypot(found[1] - wanted[1]) * self.unit_m();
        assert!(off_m <= NEAR_M, "{}, {format}: {place} at {found:?}, not {wanted:?}: {off_m} m off", self.name());
    }

    /// Holds a longitude and latitude against pyproj's.
    fn near_degrees(&self, found: [f64; 2], place: &str, format: &str) {
        let wanted = self.degrees(place);
        let north_m = (found[1] - wanted[1]) * 111_200.0;
        let east_m = (found[0] - wanted[0]) * 111_320.0 * wanted[1].to_radians().cos();
        let off_m = east_m.hypot(north_m);
        assert!(off_m <= NEAR_M, "{}, {format}: {place} at {found:?}, not {wanted:?}: {off_m} m off", self.name());
    }

    /// What is staked where, by the names of the points.
    fn points(&self, found: &BTreeMap<String, [f64; 2]>, near: impl Fn([f64; 2], &str)) {
        let end = |line: &str| found.iter().rfind(|(name, _)| name.starts_with(line)).unwrap();
        near(found["M1 0+00"], "outlet");
        near(*end("M1 ").1, "main_end");
        near(*end("L1 ").1, "lateral_end");
        near(found["BM1"], "benchmark");
    }
}

fn numbers<const N: usize>(text: &str, between: char) -> [f64; N] {
    let all: Vec<f64> = text.split(between).map(|number| number.trim().parse().unwrap()).collect();
    all[..N].try_into().unwrap()
}

/// What was given in the ground's own numbers lies there in the plan.
#[test]
fn outlet_boundary_lines_and_marks_are_in_the_unit_of_the_ground() {
    for job in jobs() {
        let plan = exchange::read_plan(&job.at().join("a.drain")).unwrap();
        let near = |at: &measure::Point, place: &str| job.near([at.x, at.y].map(|m| m / job.unit_m()), place, "plan");
        near(&plan.outlets.values().next().unwrap().at, "outlet");
        let ring = &plan.field.as_ref().unwrap().ring;
        ["sw", "se", "ne", "nw"].iter().for_each(|place| {
            let wanted = job.plane(place).map(|number| number * job.unit_m());
            let off = |p: &&measure::Point| (p.x - wanted[0]).hypot(p.y - wanted[1]);
            near(ring.iter().min_by(|a, b| off(a).total_cmp(&off(b))).unwrap(), place);
        });
        near(plan.lines[&plan.line_named("L1").unwrap()].points.last().unwrap(), "lateral_end");
        let gas = plan.landmarks.values().next().unwrap().outline.path();
        near(&gas[0], "gas_a");
        near(&gas[1], "gas_b");
        near(&plan.survey.benchmarks[0].at, "benchmark");
        assert_eq!(plan.ground.as_ref().unwrap().horizontal_unit.sign(), job.text("unit"));
    }
}

/// The table: easting and northing in the system's unit, levels in the plan's, each said in its column's head.
#[test]
fn the_table_agrees_with_the_system() {
    for job in jobs() {
        let text = job.export("csv");
        let rows: Vec<Vec<&str>> =
            text.lines().filter(|line| !line.starts_with('#')).map(|line| line.split(',').collect()).collect();
        assert_eq!(
            [rows[0][3], rows[0][4]],
            ["easting_", "northing_"].map(|name| name.to_string() + job.text("unit"))
        );
        let up = match (job.units, job.text("unit")) {
            ("metric", _) => ("m", 1.0),
            (_, "us-ft") => ("us-ft", 1200.0 / 3937.0),
            _ => ("ft", 0.3048),
        };
        assert_eq!(rows[0][6], format!("invert_{}", up.0));
        let at = |row: &Vec<&str>| {
            (format!("{} {}", row[0], row[1]).trim().to_string(), numbers::<2>(&row[3..5].join(","), ','))
        };
        job.points(&rows[1..].iter().map(at).collect(), |found, place| job.near(found, place, "csv"));
        let invert_m = rows[1][6].parse::<f64>().unwrap() * up.1;
        let wanted_m = (job.level(6.0, 3.0) - 1.2 * job.step()) * job.unit_m();
        assert!((invert_m - wanted_m).abs() < NEAR_M, "{}: {invert_m} {wanted_m}", job.name());
        let mark_m = rows.last().unwrap().last().unwrap().parse::<f64>().unwrap() * up.1;
        assert!((mark_m - job.level(-10.0, -5.0) * job.unit_m()).abs() < NEAR_M, "{}: {mark_m}", job.name());
        job.says_its_terms(&text, "csv");
    }
}

/// The drawing and LandXML: all three axes in the system's unit.
#[test]
fn drawing_and_alignments_agree_with_the_system() {
    for job in jobs() {
        let dxf = job.export("dxf");
        let pairs: Vec<(&str, &str)> =
            dxf.lines().collect::<Vec<_>>().chunks(2).map(|pair| (pair[0], pair[1])).collect();
        let texts = pairs.split(|pair| pair.0 == "0");
        let value = |entity: &[(&str, &str)], code: &str| {
            entity.iter().find(|pair| pair.0 == code).map(|pair| pair.1.to_string())
        };
        let mut places = BTreeMap::new();
        let mut levels = BTreeMap::new();
        // The name of a point stands beside it, in the text that follows.
        let mut point = None;
        for entity in texts.filter(|entity| matches!(value(entity, "8").as_deref(), Some("STAKES" | "BENCHMARKS"))) {
            let Some(name) = value(entity, "1") else {
                point = Some(["10", "20", "30"].map(|code| value(entity, code).unwrap().parse::<f64>().unwrap()));
                continue;
            };
            let Some([east, north, level]) = point.take() else { continue };
            places.insert(name.clone(), [east, north]);
            levels.insert(name, level);
        }
        job.points(&places, |found, place| job.near(found, place, "dxf"));
        let outlet = job.level(6.0, 3.0) - 1.2 * job.step();
        let near = |level: f64, wanted: f64| {
            assert!((level - wanted).abs() * job.unit_m() < NEAR_M, "{}: {level} {wanted}", job.name())
        };
        near(levels["M1 0+00"], outlet);
        near(levels["BM1"], job.level(-10.0, -5.0));
        let code = match job.text("unit") {
            "m" => "6",
            "ft" => "2",
            _ => "21",
        };
        assert!(dxf.contains(&format!("$INSUNITS\n70\n{code}\n")), "{}", job.name());
        job.says_its_terms(&dxf, "dxf");

        let xml = job.export("landxml");
        let file = roxmltree::Document::parse(&xml).unwrap();
        let all = |name: &'static str| file.descendants().filter(move |node| node.tag_name().name() == name);
        let point = |node: roxmltree::Node| {
            let [north, east, level] = numbers::<3>(node.text().unwrap(), ' ');
            (node.attribute("name").unwrap().to_string(), [east, north], level)
        };
        // Points at the ends of stretches with findings have no level.
        let leveled = |node: &roxmltree::Node| node.text().is_some_and(|text| text.split(' ').count() == 3);
        let points: Vec<_> = all("CgPoint").filter(leveled).map(point).collect();
        job.points(&points.iter().map(|(name, at, _)| (name.clone(), *at)).collect(), |found, place| {
            job.near(found, place, "landxml")
        });
        near(points.iter().find(|(name, _, _)| name == "M1 0+00").unwrap().2, outlet);
        near(points.iter().find(|(name, _, _)| name == "BM1").unwrap().2, job.level(-10.0, -5.0));
        let first = all("Start").next().unwrap().text().unwrap();
        let [north, east] = numbers::<2>(first, ' ');
        job.near([east, north], "outlet", "landxml alignment");
        let linear = all("Units").next().unwrap().first_element_child().unwrap().attribute("linearUnit").unwrap();
        assert_eq!(
            linear,
            match job.text("unit") {
                "m" => "meter",
                "ft" => "foot",
                _ => "USSurveyFoot",
            }
        );
        let system = all("CoordinateSystem").next().unwrap();
        let epsg = system.attribute("epsgCode").map(|code| format!("EPSG:{code}"));
        assert_eq!(epsg.as_deref(), (!job.is_local()).then(|| job.text("code")));
        assert_eq!(system.attribute("horizontalCoordinateSystemName"), job.system["name"].as_str());
        assert_eq!(system.attribute("verticalDatum"), Some("NAVD88, North American Vertical Datum of 1988"));
        job.says_its_terms(&xml, "landxml");
    }
}

/// GeoJSON, KML and GPX: longitude and latitude on the system's own datum, and a shift that is left out is said.
#[test]
fn degrees_agree_with_pyproj() {
    for job in jobs() {
        if job.is_local() {
            for format in ["geojson", "kml", "gpx"] {
                let output = drainwright(job.at(), &["export", "a.drain", "--to", format]);
                assert!(output.status.code() == Some(2) && told(&output).contains("local"), "{}", told(&output));
            }
            continue;
        }
        let near = |format: &'static str| {
            let job = &job;
            move |found: [f64; 2], place: &str| job.near_degrees(found, place, format)
        };
        let stakes = job.export("geojson");
        let json: Value = serde_json::from_str(&stakes).unwrap();
        let named = |feature: &Value| {
            let at: [f64; 2] = serde_json::from_value(feature["geometry"]["coordinates"].clone()).ok()?;
            Some((feature["properties"]["name"].as_str()?.to_string(), at))
        };
        job.points(&json["features"].as_array().unwrap().iter().filter_map(named).collect(), near("geojson"));

        let plan = job.fine(&["export", "a.drain", "--to", "geojson"]);
        let json: Value = serde_json::from_str(&plan).unwrap();
        let features = json["features"].as_array().unwrap();
        let of = |what: &str| &features.iter().find(|f| f["properties"]["what"] == what).unwrap()["geometry"]["coordinates"];
        near("plan")(serde_json::from_value(of("outlet").clone()).unwrap(), "outlet");
        near("plan")(serde_json::from_value(of("benchmark").clone()).unwrap(), "benchmark");
        let ring: Vec<[f64; 2]> = serde_json::from_value(of("field")[0].clone()).unwrap();
        let wanted = job.degrees("ne");
        let off = |p: &&[f64; 2]| (p[0] - wanted[0]).hypot(p[1] - wanted[1]);
        near("plan")(*ring.iter().min_by(|a, b| off(a).total_cmp(&off(b))).unwrap(), "ne");

        let kml = job.export("kml");
        let file = roxmltree::Document::parse(&kml).unwrap();
        let child = |node: roxmltree::Node, name: &str| {
            node.descendants().find(|n| n.tag_name().name() == name).and_then(|n| n.text().map(str::to_string))
        };
        let marks = file.descendants().filter(|n| n.tag_name().name() == "Placemark");
        let marks = marks.filter(|n| n.descendants().any(|n| n.tag_name().name() == "Point"));
        let marks = marks.map(|n| (child(n, "name").unwrap(), numbers::<2>(&child(n, "coordinates").unwrap(), ',')));
        job.points(&marks.collect(), near("kml"));

        let gpx = job.export("gpx");
        let file = roxmltree::Document::parse(&gpx).unwrap();
        let ways: Vec<roxmltree::Node> = file.descendants().filter(|n| n.tag_name().name() == "wpt").collect();
        let place = |n: &roxmltree::Node| {
            let number = |name: &str| n.attribute(name).unwrap().parse::<f64>().unwrap();
            (child(*n, "name").unwrap(), [number("lon"), number("lat")])
        };
        job.points(&ways.iter().map(place).collect(), near("gpx"));
        let mark = ways.iter().find(|n| child(**n, "name").as_deref() == Some("BM1")).unwrap();
        let ele: f64 = child(*mark, "ele").unwrap().parse().unwrap();
        assert!((ele - job.level(-10.0, -5.0) * job.unit_m()).abs() < NEAR_M, "{}: {ele}", job.name());

        for (text, format) in [(&stakes, "geojson"), (&plan, "plan"), (&kml, "kml"), (&gpx, "gpx")] {
            job.says_its_terms(text, format);
            let apart_m = job.system["places"]["outlet"]["wgs84_apart_m"].as_f64().unwrap();
            let said = match job.text("code") {
                "EPSG:2870" => {
                    "no shift to WGS 84 is applied, and a program that applies one puts longitudes and latitudes up to 1.4 m away"
                }
                _ => "taken as WGS 84: no shift of datum is applied",
            };
            assert!(text.contains(said), "{}, {format}", job.name());
            assert!(apart_m < 1.4 && (job.text("code") == "EPSG:2870") == (apart_m > 0.0));
        }
    }
}

impl Job {
    /// The system by name and code, the unit of the axes and the vertical datum stand in a file.
    fn says_its_terms(&self, text: &str, format: &str) {
        let system = match self.system["name"].as_str() {
            Some(name) => format!("{name} ({})", self.text("code")),
            None => "local, no coordinate system named".into(),
        };
        let across = match self.text("unit") {
            "m" => "meters",
            "ft" => "international feet",
            _ => "US survey feet",
        };
        for wanted in
            [&format!("{system}, easting and northing in {across}"), "NAVD88, North American Vertical Datum of 1988"]
        {
            assert!(text.contains(wanted), "{}, {format}: {wanted} is not said", self.name());
        }
    }
}

/// The folder's note and sheets say it too, with the benchmark.
#[test]
fn the_note_states_the_terms() {
    let job = Job::new(systems()[2].clone(), "metric");
    job.fine(&["handover", "a.drain", "-o", "folder"]);
    let note = std::fs::read_to_string(job.at().join("folder/READ-ME-FIRST.txt")).unwrap();
    job.says_its_terms(&note, "note");
    let [x, y] = job.plane("benchmark");
    assert!(note.contains(&format!("Benchmark BM1: E {x:.3}, N {y:.3} us-ft, level ")), "{note}");
    assert!(
        note.contains("heights (z) are in US survey feet, like the coordinates; levels in texts are in meters"),
        "{note}"
    );
}

/// A local grid's unit is asked for; one that contradicts what the ground states is refused.
#[test]
fn the_unit_of_a_local_grid_is_never_assumed() {
    let job = Job::new(systems()[5].clone(), "feet");
    let refused = |arguments: &[&str]| {
        let output = drainwright(job.at(), &[&["new", "--ground", "g.asc", "-o", "b.drain"], arguments].concat());
        assert_eq!(output.status.code(), Some(2), "{}", told(&output));
        assert!(!job.at().join("b.drain").exists());
        told(&output)
    };
    assert!(refused(&[]).contains(
        "g.asc: found neither a coordinate system nor the unit of the coordinates; expected --horizontal-unit"
    ));
    assert!(refused(&["--ground-crs", "local"]).contains("--horizontal-unit m, ft or us-ft"));
    let told = refused(&["--ground-crs", "EPSG:2225", "--horizontal-unit", "m"]);
    assert!(told.contains("--horizontal-unit: found m, expected us-ft, in which EPSG:2225 counts"), "{told}");
    // A drain's way there and back: the same plan opened again lies where it lay.
    let before = job.export("csv");
    job.fine(&["grade", "a.drain"]);
    assert_eq!(job.export("csv"), before);
}
