//! From plan to trench on the command line: takeoff, sheets, exports, the folder, and what is brought in.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::path::Path;

use crate::common::{demo, drainwright, fine, refused, told};
use serde_json::Value;

/// The folder of a plan on which a finding may be open.
fn hand_over(folder: &str) -> [&str; 9] {
    ["handover", "a.drain", "-o", folder, "--all-the-same", "--by", "A. Marsh", "--because", "levels are mended"]
}

/// Every file below a folder, by its name from there.
fn files(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut all: Vec<(String, Vec<u8>)> = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap()) {
        let name = entry.file_name().to_string_lossy().into_owned();
        match entry.file_type().unwrap().is_dir() {
            true => all.extend(files(&entry.path()).into_iter().map(|(file, b)| (format!("{name}/{file}"), b))),
            false => all.push((name, std::fs::read(entry.path()).unwrap())),
        }
    }
    all.sort();
    all
}

/// The folder of each demo field, twice: the same bytes; the note names every file; the cautions are in it.
#[test]
fn the_folder_is_whole_and_the_same_each_time() {
    for name in ["larkmoor-bench", "saltern-flat"] {
        let folder = demo(name);
        let at = folder.path();
        fine(at, &hand_over("one"));
        fine(at, &hand_over("two"));
        let (one, two) = (files(&at.join("one")), files(&at.join("two")));
        assert!(one == two, "{name}: the same plan gave other bytes");
        // Twenty-two files of its own, the ground and the levels that the plan names; where rows meet pipe a table of that.
        assert_eq!(one.len(), 24 + usize::from(name == "larkmoor-bench"));
        let handed = exchange::read_plan(&at.join("one/plan.drain")).unwrap();
        let named = handed.ground.iter().map(|ground| &ground.file);
        for file in named.chain(handed.survey.files.iter().map(|file| &file.file)) {
            assert!(one.iter().any(|(other, _)| other == file), "{file} is not in the folder");
        }
        let note = std::fs::read_to_string(at.join("one/READ-ME-FIRST.txt")).unwrap();
        assert!(one.iter().all(|(file, _)| note.contains(file.as_str())), "{note}");
        assert!(note.contains(plan::CAUTION));
        assert!(one.iter().any(|(file, bytes)| file == "sheets.pdf" && bytes.starts_with(b"%PDF-")));
    }
}

/// A file without the points of what lies on the land beside stakes and benchmarks: marks, outlets, joints, structures.
fn without_land(text: &str) -> String {
    let groups = [
        ("<Folder><name>Marks on the land", "</Folder>"),
        ("<CgPoints name=\"marks on the land", "</CgPoints>"),
        ("\nPOINT\n8\nMARKS\n", "\n"),
        ("\nPOINT\n8\nUTILITIES\n", "\n"),
        ("\nPOINT\n8\nPITS\n", "\n"),
        ("\nPOINT\n8\nOUTLETS\n", "\n"),
        ("\nPOINT\n8\nJOINTS\n", "\n"),
        ("\nPOINT\n8\nSTRUCTURES\n", "\n"),
    ];
    groups.into_iter().fold(text.to_string(), |text, (from, to)| {
        let mut parts = text.split(from);
        let first = parts.next().unwrap_or_default().to_string();
        parts.fold(first, |kept, part| kept + "\n" + part.split_once(to).map_or("", |(_, rest)| rest))
    })
}

/// Every figure of the stakes is that of the check; every format holds every stake.
#[test]
fn stakes_are_those_of_the_check() {
    let folder = demo("larkmoor-bench");
    let at = folder.path();
    let check: Value = serde_json::from_slice(&drainwright(at, &["check", "a.drain", "--json"]).stdout).unwrap();
    let csv = fine(at, &["export", "a.drain", "--to", "csv"]);
    let rows: Vec<&str> = csv.lines().filter(|line| !line.starts_with('#')).skip(1).collect();
    // Stakes first, then the two benchmarks of the demo field.
    let (stakes, benchmarks) = rows.split_at(rows.len() - 2);
    assert!(
        stakes.len() > 50 && benchmarks.iter().all(|row| row.starts_with("\"BM") && row.contains("benchmark, level"))
    );
    for row in stakes.iter().map(|row| row.split(',').collect::<Vec<&str>>()) {
        let line = check["lines"].as_array().unwrap().iter().find(|line| line["name"] == row[0]).unwrap();
        let station_m: f64 = row[2].parse::<f64>().unwrap() * measure::FOOT_M;
        let stations = line["stations"].as_array().unwrap();
        let after = stations.iter().position(|s| s["station_m"].as_f64().unwrap() >= station_m - 1e-4).unwrap();
        let level = |i: usize, key: &str| stations[i][key].as_f64().unwrap();
        let low = after.saturating_sub(1);
        let span_m = level(after, "station_m") - level(low, "station_m");
        let share = if span_m > 0.0 { (station_m - level(low, "station_m")) / span_m } else { 0.0 };
        let wanted_m = level(low, "invert_m") + (level(after, "invert_m") - level(low, "invert_m")) * share;
        let invert_m = row[6].parse::<f64>().unwrap() * measure::FOOT_M;
        assert!((invert_m - wanted_m).abs() < 2e-4, "{row:?}: {wanted_m}");
    }
    // Stakes and benchmarks are in every format. Findings stand beside them: where L3 runs uphill, and at two places M1
    // steepens, as points; their ends as waypoints.
    let found = |text: &str, what: &str| text.lines().filter(|line| line.contains(what)).count();
    for (format, each) in [("kml", "<Point>"), ("gpx", "<wpt "), ("dxf", "\nPOINT\n"), ("landxml", "<CgPoint ")] {
        let text = without_land(&fine(at, &["export", "a.drain", "--to", format]));
        let of_findings = match format {
            "kml" => text.split("<Placemark>").filter(|p| p.contains("<Point>") && p.contains(", number ")).count(),
            "dxf" => 0,
            _ => found(&text, ", number "),
        };
        assert_eq!(text.matches(each).count(), rows.len() + of_findings, "{format}");
        assert!(text.contains("TO FIX L3 1+50 to 1+75"), "{format}");
    }
    // Old tile without levels lies in the drawing without height, and says so.
    let dxf = fine(at, &["export", "a.drain", "--to", "dxf"]);
    assert!(dxf.contains("\nT1, levels not known\n"));
    let courses = |flag: &str| dxf.matches(&format!("\n30\n0.0\n70\n{flag}\n")).count();
    assert_eq!(courses("8"), 4, "four lines in space");
    let flat = dxf.split("\nPOLYLINE\n").filter(|course| course.starts_with("8\nOLD_TILE\n")).count();
    assert_eq!(flat, 1);
    assert!(courses("0") > 1, "stretches with findings are flat too");
    let geojson: Value =
        serde_json::from_str(&fine(at, &["export", "a.drain", "--to", "geojson", "--what", "stakes"])).unwrap();
    let is_point = |f: &&Value| ["stake", "benchmark"].map(Value::from).contains(&f["properties"]["what"]);
    let points = geojson["features"].as_array().unwrap().iter().filter(is_point);
    assert_eq!(points.count(), rows.len());
}

/// The takeoff for people and machines says the same, and calls itself an estimate.
#[test]
fn the_takeoff_adds_up() {
    let folder = demo("larkmoor-bench");
    let json: Value = serde_json::from_str(&fine(folder.path(), &["takeoff", "a.drain", "--json"])).unwrap();
    let amounts: f64 = json["items"].as_array().unwrap().iter().filter_map(|item| item["amount"].as_f64()).sum();
    assert!((amounts - json["total"].as_f64().unwrap()).abs() < 1e-6);
    let text = fine(folder.path(), &["takeoff", "a.drain"]);
    assert!(text.starts_with("Larkmoor Bench: an estimate\nPrices: invented for this demo field"));
    assert!(text.contains(&format!("total ${}", measure::thousands(json["total"].as_f64().unwrap(), 2))));
}

/// A finding that blocks is left by name; the check is content then, and the sheets say who left it.
#[test]
fn a_finding_is_left_and_taken_up_again() {
    let folder = demo("larkmoor-bench");
    let at = folder.path();
    assert_eq!(drainwright(at, &["check", "a.drain"]).status.code(), Some(1));
    assert!(refused(at, &["accept", "a.drain", "1", "--by", "A. Marsh"]).contains("--because REASON is needed"));
    assert!(
        refused(at, &["accept", "a.drain", "99", "--by", "A", "--because", "b"])
            .contains("found '99', expected the key of a finding: 1@L3:45.7m")
    );
    fine(at, &["accept", "a.drain", "1", "--by", "A. Marsh", "--because", "releveled on the day"]);
    let text = fine(at, &["check", "a.drain"]);
    assert!(text.contains("accepted: releveled on the day. A. Marsh, 2031-04-02") && text.contains("0 to fix"));
    fine(at, &["accept", "a.drain", "1", "--reopen"]);
    assert_eq!(drainwright(at, &["check", "a.drain"]).status.code(), Some(1));
}

/// Every remedy that JSON tells of the plan with mistakes is carried out by its key and its number: the finding is gone, and
/// of its weight nothing came. The plan it was asked of stays as it is.
#[test]
fn a_finding_is_cleared_by_its_key() {
    let folder = demo("fernholt-piece");
    let at = folder.path();
    let found = |plan: &str| -> Vec<Value> {
        let checked = drainwright(at, &["check", plan, "--json"]);
        serde_json::from_slice::<Value>(&checked.stdout).unwrap()["findings"].as_array().unwrap().clone()
    };
    let plan = std::fs::read(at.join("a.drain")).unwrap();
    let before = found("a.drain");
    let weight =
        |finding: &Value| ["block", "decide", "note"].iter().position(|name| finding["severity"] == *name).unwrap();
    let keys: Vec<&Value> = before.iter().map(|finding| &finding["key"]).collect();
    let first = before.iter().filter(|finding| !finding["remedies"].as_array().unwrap().is_empty());
    for finding in first.clone().take(6) {
        let (key, count) = (finding["key"].as_str().unwrap(), finding["remedies"].as_array().unwrap().len());
        let number = count.to_string();
        let told = fine(at, &["fix", "a.drain", key, "--remedy", &number, "-o", "b.drain", "--replace"]);
        let remedy = finding["remedies"][count - 1].as_str().unwrap();
        assert!(told.starts_with(&format!("{key}: {remedy}\n  gone: {key} ")), "{told}");
        let after = found("b.drain");
        assert!(after.iter().all(|other| other["key"] != finding["key"]), "{key}");
        let came = after.iter().filter(|other| !keys.contains(&&other["key"]));
        assert!(came.clone().all(|other| weight(other) > weight(finding)), "{key}: {:?}", came.collect::<Vec<_>>());
    }
    assert!(first.count() > 10);
    assert_eq!(std::fs::read(at.join("a.drain")).unwrap(), plan);
}

/// A station may be typed as on the plan; what is not there is refused with what is.
#[test]
fn what_cannot_be_fixed_is_refused() {
    let folder = demo("fernholt-piece");
    let at = folder.path();
    let plan = std::fs::read(at.join("a.drain")).unwrap();
    let listed = fine(at, &["fix", "a.drain", "--list"]);
    assert!(
        listed.starts_with("1@L3:45.7m   L3 runs uphill toward the outlet\n  1. Unlock the level at 1+50 of L3\n")
    );
    assert!(fine(at, &["fix", "a.drain", "26@O1", "--list"]).lines().count() == 3);
    assert!(
        refused(at, &["fix", "a.drain", "7@Q"]).contains("found '7@Q', expected the key of a finding: 1@L3:45.7m, ")
    );
    assert!(refused(at, &["fix", "a.drain"]).contains("required"));
    assert!(refused(at, &["fix", "a.drain", "26@O1", "--remedy", "5"]).contains("found 2 remedies for 26@O1, not 5"));
    assert!(refused(at, &["fix", "a.drain", "26@O1", "--remedy", "0"]).contains("not 0"));
    let advised = refused(at, &["fix", "a.drain", "87@M1/T1"]);
    assert!(advised.contains("no remedy that clears 87@M1/T1. Look inside before joining"), "{advised}");
    assert!(refused(at, &["fix", "a.drain", "99@level-9"]).contains("--by NAME is needed"));
    assert_eq!(std::fs::read(at.join("a.drain")).unwrap(), plan);
    fine(at, &["fix", "a.drain", "99@level-9", "--by", "A. Marsh", "--on", "2031-04-02"]);
    assert!(fine(at, &["survey", "a.drain"]).contains("A. Marsh"));
    assert!(fine(at, &["fix", "a.drain", "1@L3:1+50"]).contains("1@L3:45.7m: Unlock the level at 1+50 of L3"));
    assert_eq!(std::fs::read(at.join("a.drain.bak")).map(|text| text.is_empty()).ok(), Some(false));
}

/// Sheets are issued, the plan changes, and the next PDF warns.
#[test]
fn sheets_issued_are_remembered() {
    let folder = demo("saltern-flat");
    let at = folder.path();
    let issue = ["sheets", "a.drain", "-o", "a.pdf", "--issue", "--by", "A. Marsh", "--because", "first issue"];
    assert!(fine(at, &issue).contains("Issue revision A\n"));
    assert!(!fine(at, &["sheets", "a.drain", "-o", "b.pdf"]).contains("Warning"));
    let mut plan = exchange::read_plan(&at.join("a.drain")).unwrap();
    let l1 = plan.line_named("L1").unwrap();
    plan.lines.get_mut(&l1).unwrap().size_m = 5.0 * measure::INCH_M;
    exchange::save_plan(&plan, &at.join("a.drain")).unwrap();
    assert!(fine(at, &["sheets", "a.drain", "-o", "c.pdf"]).contains("Warning: Differs from revision A"));
}

/// Marks, prices, hubs and rules come in; what is wrong with one is told with its place and nothing is saved.
#[test]
fn files_are_brought_in_whole_or_not_at_all() {
    let folder = demo("larkmoor-bench");
    let at = folder.path();
    let write = |name: &str, text: &str| std::fs::write(at.join(name), text).unwrap();
    let before = std::fs::read(at.join("a.drain")).unwrap();
    write("bad.csv", "item,price\nperforated pipe,0.80\ntee,cheap\n");
    let error = refused(at, &["bring", "a.drain", "--prices", "bad.csv"]);
    assert!(
        error.contains("bad.csv: line 3, column price: found 'cheap', expected a number such as 12.50"),
        "{error}"
    );
    write("bad-hubs.csv", "line,station,level\nL9,0+50,201.2\n");
    assert!(refused(at, &["bring", "a.drain", "--hubs", "bad-hubs.csv"]).contains("found 'L9'"));
    write("bad-rules.csv", "limit,value\nleast_cover,plenty\n");
    let rules = ["bring", "a.drain", "--rules", "bad-rules.csv", "--by", "A", "--because", "b"];
    assert!(refused(at, &rules).contains("line 2, column value: found 'plenty'"));
    write(
        "bad.geojson",
        r#"{"type":"Feature","properties":{"what":"dragon"},"geometry":{"type":"Point","coordinates":[203100,96100]}}"#,
    );
    assert!(refused(at, &["bring", "a.drain", "--marks", "bad.geojson", "--crs", "ground"]).contains("'dragon'"));
    assert_eq!(std::fs::read(at.join("a.drain")).unwrap(), before, "nothing was saved");

    write("prices.csv", "item,size,price,per,roll\nperforated pipe,4 in,0.80,ft,250 ft\n");
    write("hubs.csv", "line,station,level,offset\nL1,0+00,206.10,6 L\nL1,0+50,207.02,6 L\n");
    write("rules.csv", "limit,value,why\nleast_cover,2.2 ft,county code\n");
    write(
        "marks.geojson",
        r#"{"type":"Feature","properties":{"what":"gas","name":"G1","depth":"3 ft"},"geometry":
        {"type":"LineString","coordinates":[[203130,96040],[203130,96080]]}}"#,
    );
    let all = [
        "bring",
        "a.drain",
        "--marks",
        "marks.geojson",
        "--crs",
        "ground",
        "--prices",
        "prices.csv",
        "--hubs",
        "hubs.csv",
        "--rules",
        "rules.csv",
        "--by",
        "A. Marsh",
        "--because",
        "local rules",
    ];
    fine(at, &all);
    let plan = exchange::read_plan(&at.join("a.drain")).unwrap();
    assert_eq!((plan.price_list.rows.len(), plan.limit_log.len()), (1, 1));
    assert_eq!(plan.lines[&plan.line_named("L1").unwrap()].hubs.len(), 2);
    assert!(plan.limit_log[0].signed.because.contains("county code"));
    let check = drainwright(at, &["check", "a.drain"]);
    assert!(told(&check).contains("M1 crosses gas line G1"), "{}", told(&check));
}

fn sheets<'a>(more: &[&'a str]) -> Vec<&'a str> {
    [&["sheets", "a.drain", "-o", "a.pdf", "--replace"], more].concat()
}

/// A plane below the pipe or out of the rod's reach is refused where it is typed, with line, station and reading, before
/// anything is saved; what would do is said, and does, as printed.
#[test]
fn readings_no_rod_gives_are_refused() {
    let folder = demo("larkmoor-bench");
    let at = folder.path();
    let before = std::fs::read(at.join("a.drain")).unwrap();
    let low = refused(at, &sheets(&["--instrument", "210@L1", "--issue", "--by", "A. Marsh", "--because", "first"]));
    assert!(low.contains("--instrument, L1 3+50: found a rod reading of −0.89 ft with the plane at 210.00"), "{low}");
    assert!(low.contains("the plane lies below the pipe, expected 0 to 16.00 ft of rod"), "{low}");
    let high = refused(at, &sheets(&["--instrument", "230@L1:0+00-2+00"]));
    assert!(
        high.contains("L1 0+00: found a rod reading of 26.06 ft") && high.contains("beyond the top of the rod"),
        "{high}"
    );
    assert!(refused(at, &["handover", "a.drain", "-o", "out", "--instrument", "210"]).contains("L1 3+50"));
    assert_eq!(std::fs::read(at.join("a.drain")).unwrap(), before);
    assert!(!at.join("a.pdf").exists() && !at.join("out").exists());

    // "... move the instrument: 219.39 to 219.93 for --instrument LEVEL@L1:0+00-6+50, then 224.21 to ..."
    let remedy = low.trim().rsplit_once("instrument: ").unwrap().1;
    let planes: Vec<String> = remedy
        .split(", then ")
        .flat_map(|part| {
            let (range, argument) = part.split_once(" for --instrument LEVEL").unwrap();
            let (least, most) = range.split_once(" to ").unwrap();
            [least, most].map(|level| format!("{level}{argument}"))
        })
        .collect();
    assert_eq!(planes.len(), 4, "{low}");
    for ends in [[&planes[0], &planes[2]], [&planes[1], &planes[3]]] {
        fine(at, &sheets(&["--instrument", ends[0], "--instrument", ends[1]]));
    }
    let longer = refused(at, &sheets(&["--instrument", "210@L1", "--rod", "25 ft"]));
    let level = longer.trim().rsplit_once("a plane from ").unwrap().1.split(' ').next().unwrap().to_string();
    fine(at, &sheets(&["--instrument", &format!("{level}@L1"), "--rod", "25 ft"]));

    for (argument, wanted) in [
        ("here", "--instrument: 'here' is not a length"),
        ("210@L9", "found 'L9', expected the name of a line: M1, L1"),
        ("225@L1:6+50", "found '6+50', expected two stations such as 0+00-2+50"),
        ("225@L1:8+00-6+50", "expected two stations"),
    ] {
        assert!(refused(at, &sheets(&["--instrument", argument])).contains(wanted), "{argument}");
    }
    let two = refused(at, &sheets(&["--instrument", "205@M1", "--instrument", "206@M1"]));
    assert!(two.contains("M1: found two planes, 205.00 and 206.00"), "{two}");
}

/// A currency comes with the price list, or is said; two do not mix.
#[test]
fn the_currency_comes_with_the_prices() {
    let folder = demo("saltern-flat");
    let at = folder.path();
    let write = |text: &str| std::fs::write(at.join("p.csv"), text).unwrap();
    let currency = || exchange::read_plan(&at.join("a.drain")).unwrap().price_list.currency;
    write("item,price\nmachine hour,€150\nmobilization,€ 450.50\n");
    fine(at, &["bring", "a.drain", "--prices", "p.csv"]);
    assert_eq!(currency(), "€");
    assert!(
        refused(at, &["bring", "a.drain", "--prices", "p.csv", "--currency", "EUR"])
            .contains("found EUR, expected €")
    );
    write("item,price\nmachine hour,150\n");
    fine(at, &["bring", "a.drain", "--prices", "p.csv", "--currency", "EUR"]);
    assert_eq!(currency(), "EUR");
    assert!(fine(at, &["takeoff", "a.drain"]).contains("EUR 150.00 / h"));
    write("item,price\nmachine hour,€150\nmobilization,$450\n");
    assert!(refused(at, &["bring", "a.drain", "--prices", "p.csv"]).contains("line 3, column price: found '$'"));
}
