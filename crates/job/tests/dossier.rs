//! The dossier: what goes in comes out again, in every form, and whatever happens to the folder is told.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use job::dossier::{self, PLAN_COPY, SUMS_COPY};
use job::handing::{Handed, PaperWish};
use job::{Worked, parcel};
use measure::{Point, distance};
use plan::{
    Additions, Condition, Decided, Decision, DugShot, FieldNote, Find, Material, NoteOn, OutletFlow, Photo, Plan,
    Running, ShotOn, Signature, Spot, Taken,
};

/// A real photo that stands upright by a quarter turn clockwise.
const FIRST: &[u8] = include_bytes!("data/turned.jpg");

fn signed(because: &str) -> Signature {
    Signature { by: "R. Wren".into(), on: "2031-04-02".into(), because: because.into() }
}

fn taken(at: &str) -> Taken {
    Taken { by: "R. \"Rob\" Wren <r>".into(), at: at.into(), revision: "A".into() }
}

fn photo(file: &str, bytes: &[u8], spot: Option<Spot>) -> Photo {
    Photo {
        file: file.into(),
        sha256: parcel::checksum(bytes),
        spot,
        looks_deg: Some(210.0),
        at: "2031-03-28T14:05".into(),
        caption: "tee, \"before\" <backfill>".into(),
        of: String::new(),
    }
}

/// A plan with everything a record may hold, signed and added to since; its photos lie in the folder.
fn recorded(plan: Plan, home: &Path) -> Plan {
    let mut plan = plan;
    let line = *plan.lines.keys().next().unwrap();
    let outlet = *plan.outlets.keys().next().unwrap();
    let at = |station_m| Spot::Station { line, station_m };
    fs::create_dir_all(home.join("pictures")).unwrap();
    fs::write(home.join("pictures/tee.jpg"), FIRST).unwrap();
    fs::write(home.join("tee.jpg"), b"second").unwrap();
    fs::write(home.join("later.jpg"), b"not what was taken").unwrap();
    let shot = |key: &str, station_m, level_m| DugShot {
        key: key.into(),
        taken: taken("2031-03-28T09:30"),
        spot: at(station_m),
        on: ShotOn::Invert,
        level_m,
        scatter_m: Some(0.002),
        fix: None,
        note: String::new(),
        struck: None,
    };
    let find = Find {
        key: "f1".into(),
        taken: taken("2031-03-28T10:10"),
        spot: at(20.0),
        invert_m: Some(61.2),
        size_m: Some(0.1524),
        material: Material::Clay,
        falls_deg: Some(200.0),
        running: Running::Flow(0.0004),
        silt_m: Some(0.02),
        condition: Condition::Fair,
        upstream_m2: None,
        from_beyond: true,
        decided: None,
        note: "two lines of dirt".into(),
        struck: None,
    };
    let additions = Additions {
        shots: vec![shot("s1", 0.0, 60.75), shot("s2", 12.65, 61.2)],
        finds: vec![find],
        photos: vec![
            photo("pictures/tee.jpg", FIRST, Some(at(5.0))),
            photo("tee.jpg", b"second", None),
            photo("later.jpg", b"what was taken", None),
            photo("/nowhere/secret place/gone.jpg", b"gone", None),
        ],
        ..Additions::default()
    };
    plan.apply(&plan::add_to_record(&plan, additions, &signed("")).unwrap()).unwrap();
    plan.apply(&plan::finish_digging(&plan, "2031-03-28", &signed(""))).unwrap();
    plan.apply(&plan::sign_record(&plan, &signed("as dug"))).unwrap();
    let decided = Decided { what: Decision::Join, line: None, signed: signed("it runs") };
    plan.apply(&plan::decide(&plan, "f1", decided).unwrap()).unwrap();
    plan.apply(&plan::strike(&plan, "s2", &signed("rod not plumb")).unwrap()).unwrap();
    let flow = OutletFlow {
        key: "w1".into(),
        taken: taken("2031-04-02"),
        outlet,
        running: Running::Flow(0.00086),
        cloudy: true,
        note: String::new(),
    };
    let repair = FieldNote {
        key: "n1".into(),
        taken: taken("2033-05-11"),
        on: NoteOn::Repair,
        spot: Some(at(20.0)),
        says: "=crushed; cut out".into(),
        agreed_by: "the neighbor".into(),
    };
    let later = Additions { flows: vec![flow], notes: vec![repair], ..Additions::default() };
    plan.apply(&plan::add_to_record(&plan, later, &signed("seen in spring")).unwrap()).unwrap();
    plan
}

fn worked(plan: Plan) -> Worked {
    let session = job::files::demo_session(Ok(plan)).unwrap();
    Worked::of(session.plan().clone(), session.land())
}

fn demos() -> Vec<Plan> {
    vec![job::demo::first_plan().unwrap(), job::demo::second_plan().unwrap(), job::demo::ten_mistakes().unwrap()]
}

fn written(plan: Plan, home: &Path) -> (Worked, Vec<Handed>) {
    let worked = worked(recorded(plan, home));
    let files = dossier::folder(&worked, Some(home), &PaperWish::default(), &|_, _| true).unwrap();
    (worked, files)
}

fn by_name(files: &[Handed]) -> BTreeMap<String, Vec<u8>> {
    files.iter().map(|file| (file.name.clone(), file.bytes.clone())).collect()
}

/// A plan without the names of its files, which lie elsewhere in a dossier.
fn without_names(plan: &Plan) -> Plan {
    let mut plan = plan.clone();
    let bare = |file: &mut String| *file = plan::bare_name(file).to_string();
    plan.ground.iter_mut().for_each(|ground| bare(&mut ground.file));
    plan.survey.files.iter_mut().for_each(|file| bare(&mut file.file));
    plan.record.photos.iter_mut().for_each(|photo| bare(&mut photo.file));
    plan
}

/// Every demo field with a record: the plan that is read back is the one that went in, but for where its files lie; a dossier of
/// it gives the very same plan again, byte for byte.
#[test]
fn the_plan_comes_back_from_its_dossier() {
    for demo in demos() {
        let home = tempfile::tempdir().unwrap();
        let (worked, files) = written(demo, home.path());
        let out = home.path().join("out");
        let place = parcel::place(&out, &worked.plan, None).unwrap();
        parcel::write(&place, &files).unwrap();
        let read = dossier::read(&out).unwrap();
        assert_eq!(read.told, Vec::<String>::new());
        assert_eq!(without_names(&read.plan), without_names(&worked.plan));
        assert_eq!(read.plan.record.broken_link(), None);
        let names: Vec<&str> = read.plan.record.photos.iter().map(|photo| photo.file.as_str()).collect();
        assert_eq!(names, ["photos/tee.jpg", "photos/2/tee.jpg", "photos/later.jpg", "gone.jpg"]);
        let note = String::from_utf8(by_name(&files)[parcel::NOTE].clone()).unwrap();
        // Of the four only one is a picture that paper takes.
        let paper = &files.iter().find(|file| file.name == dossier::PAPER).unwrap().bytes;
        let pictures = paper.windows(14).filter(|bytes| *bytes == b"/Subtype/Image").count();
        assert_eq!(pictures, 1);
        assert!(note.contains("photos/later.jpg: ALTERED") && note.contains("gone.jpg: MISSING"), "{note}");
        let texts = files.iter().filter(|file| !file.name.ends_with(".pdf"));
        texts.for_each(|file| {
            assert!(!String::from_utf8_lossy(&file.bytes).contains("secret place"), "{}", file.name)
        });

        let again_at = home.path().join("again");
        fs::create_dir(&again_at).unwrap();
        let plan_file = again_at.join("a.drain");
        dossier::lay_beside(&read, &plan_file, false).unwrap();
        exchange::save_plan_over(&read.plan, &plan_file).unwrap();
        let opened = job::files::open(&plan_file, &job::Progress::default()).unwrap();
        assert_eq!(opened.told, None);
        let again = Worked::of(opened.session.plan().clone(), opened.session.land());
        assert_eq!(again.design, worked.design);
        let files_again = dossier::folder(&again, Some(&again_at), &PaperWish::default(), &|_, _| true).unwrap();
        let plan_again = dossier::reopen(by_name(&files_again)).unwrap().plan;
        assert_eq!(plan_again, read.plan);
        // What lies there already and is another's is not replaced.
        fs::write(again_at.join("photos/tee.jpg"), "mine").unwrap();
        let refused = dossier::lay_beside(&read, &plan_file, false).unwrap_err().to_string();
        assert!(refused.contains("tee.jpg") && refused.contains("--replace"), "{refused}");
        dossier::lay_beside(&read, &plan_file, true).unwrap();
        assert_eq!(fs::read(again_at.join("photos/tee.jpg")).unwrap(), FIRST);
    }
}

/// The cells of a row of a table without quoted commas in them before so many.
fn rows(text: &str) -> (Vec<String>, Vec<Vec<String>>) {
    let mut lines = text.trim_start_matches(exchange::BYTE_ORDER_MARK).lines().filter(|line| !line.starts_with('#'));
    let cells = |line: &str| {
        let (mut cells, mut quoted) = (vec![String::new()], false);
        for c in line.chars() {
            match c {
                '"' => quoted = !quoted,
                ',' if !quoted => cells.push(String::new()),
                c => cells.last_mut().unwrap().push(c),
            }
        }
        cells
    };
    (cells(lines.next().unwrap()), lines.map(cells).collect())
}

/// Places in the table and in degrees are those of the plan, and the two tapes of each give its place again.
#[test]
fn tables_tell_the_plan_and_tapes_lead_back() {
    for demo in demos() {
        let home = tempfile::tempdir().unwrap();
        let (worked, files) = written(demo, home.path());
        let files = by_name(&files);
        let (head, table) = rows(std::str::from_utf8(&files["places.csv"]).unwrap());
        let column = |start: &str| head.iter().position(|name| name.starts_with(start)).unwrap();
        let reference = exchange::reference(&worked.plan);
        let (across_m, up_m) = (reference.across.metres(), reference.up.metres());
        let number = |row: &[String], start: &str| row[column(start)].parse::<f64>().unwrap();
        let place =
            |row: &[String]| Point::new(number(row, "easting") * across_m, number(row, "northing") * across_m);
        let corner_rows = table.iter().filter(|row| row[0].starts_with("corner "));
        let corners: BTreeMap<String, Point> = corner_rows.map(|row| (row[0][7..].to_string(), place(row))).collect();
        let crs = job::ground::plane(&worked.plan);
        let mut told = 0;
        for row in table.iter().filter(|row| !row[0].starts_with("corner ")) {
            let at = place(row);
            let (lon, lat) = (number(row, "longitude"), number(row, "latitude"));
            assert!(distance(crs.from_lon_lat(lon, lat).unwrap(), at) < 0.001, "{row:?}");
            let corner = |name: &str| corners[&row[column(name)]];
            let away_m = [number(row, "from_corner_1") * up_m, number(row, "from_corner_2") * up_m];
            let [a, b] = [corner("corner_1"), corner("corner_2")];
            // By the law of cosines and a bearing, not by the code's own way.
            let apart_m = distance(a, b);
            let cos = (away_m[0].powi(2) + apart_m.powi(2) - away_m[1].powi(2)) / (2.0 * away_m[0] * apart_m);
            let turn = cos.clamp(-1.0, 1.0).acos().to_degrees();
            let side = if row[column("side_of_1")] == "left" { -turn } else { turn };
            let bearing = (measure::bearing(a, b) + side).to_radians();
            let back = Point::new(a.x + away_m[0] * bearing.sin(), a.y + away_m[0] * bearing.cos());
            assert!(distance(back, at) < 0.05 || away_m[0] < 0.01, "{row:?} {back:?}");
            told += 1;
        }
        let joints = worked.design.joints.len();
        let whats: Vec<&str> = table.iter().map(|row| row[column("what")].as_str()).collect();
        let counted = |word: &str| whats.iter().map(|what| what.matches(word).count()).sum::<usize>();
        assert_eq!((counted("joint of"), counted("crosses")), (joints, 2 * worked.design.crossings.len()));
        let bends: usize = worked.plan.lines.values().map(|line| line.points.len() - 2).sum();
        assert_eq!(counted("bend"), bends);
        assert!(told > 0);

        let json: serde_json::Value = serde_json::from_slice(&files["record.geojson"]).unwrap();
        let features = json["features"].as_array().unwrap();
        assert_eq!(
            features.len(),
            told + record::entries(&worked.plan, &worked.design).iter().filter(|e| e.at.is_some()).count()
        );
        let shot = features.iter().find(|feature| feature["properties"]["key"] == "s1").unwrap();
        assert_eq!(shot["properties"]["level_m"], 60.75);
        let lower = worked.plan.lines.values().next().unwrap().points[0];
        let (lon, lat) = (shot["geometry"]["coordinates"][0].as_f64(), shot["geometry"]["coordinates"][1].as_f64());
        assert!(distance(crs.from_lon_lat(lon.unwrap(), lat.unwrap()).unwrap(), lower) < 0.001);
        let record = std::str::from_utf8(&files["record.csv"]).unwrap();
        assert!(record.contains("'=crushed; cut out") && record.contains("rod not plumb"), "{record}");
        let page = std::str::from_utf8(&files[dossier::PAGE]).unwrap();
        assert!(!page.contains("<backfill>") && page.contains("&lt;backfill&gt;") && !page.contains("<script"));
    }
}

/// A chance number that is the same every time.
struct Chance(u64);

impl Chance {
    fn below(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % most.max(1)
    }
}

/// Bit flips, cuts, bytes put in, files gone, files changed for each other, one to four of them at once: a thousand times. What is
/// opened is the plan as it was, and whatever was done to the folder is told.
#[test]
fn a_thousand_corruptions_are_told() {
    let home = tempfile::tempdir().unwrap();
    let (_, files) = written(job::demo::first_plan().unwrap(), home.path());
    let sound = by_name(&files);
    let plan = dossier::reopen(sound.clone()).unwrap().plan;
    let names: Vec<String> = sound.keys().cloned().collect();
    let mut chance = Chance(41);
    let (mut opened, mut refused) = (0, 0);
    for round in 0..1_000 {
        let mut harmed = sound.clone();
        for _ in 0..=chance.below(4) {
            // The plan, its copy and the lists of checksums are hit as often as all else.
            let vital = [parcel::PLAN, PLAN_COPY, parcel::SUMS, SUMS_COPY][chance.below(4)].to_string();
            let name = if round % 2 == 0 { vital } else { names[chance.below(names.len())].clone() };
            let other = names[chance.below(names.len())].clone();
            let Some(mut bytes) = harmed.remove(&name) else { continue };
            let at = chance.below(bytes.len());
            match chance.below(5) {
                0 => continue,
                1 => bytes.truncate(at),
                2 => bytes.insert(at, chance.below(256) as u8),
                3 => bytes = harmed.get(&other).cloned().unwrap_or_default(),
                _ => bytes.get_mut(at).into_iter().for_each(|byte| *byte ^= 1 << chance.below(8)),
            }
            harmed.insert(name, bytes);
        }
        let changed = harmed != sound;
        match dossier::reopen(harmed) {
            Ok(read) => {
                assert_eq!(read.plan, plan, "round {round}");
                assert_eq!(read.told.is_empty(), !changed, "round {round}: {:?}", read.told);
                read.files.iter().for_each(|(name, bytes)| assert_eq!(&sound[name], bytes, "round {round}"));
                opened += 1;
            }
            Err(error) => {
                let words = error.to_string();
                assert!(changed && words.contains("plan.drain"), "round {round}: {words}");
                refused += 1;
            }
        }
    }
    assert!(opened > 700 && refused > 20, "{opened} opened, {refused} refused");
}

/// The same on disk: files that are gone, folders and links in their place, and an empty folder.
#[cfg(unix)]
#[test]
fn a_strange_folder_is_told() {
    let home = tempfile::tempdir().unwrap();
    let (worked, files) = written(job::demo::first_plan().unwrap(), home.path());
    let out = home.path().join("out");
    parcel::write(&parcel::place(&out, &worked.plan, None).unwrap(), &files).unwrap();
    let plan = dossier::read(&out).unwrap().plan;
    fs::remove_file(out.join(parcel::PLAN)).unwrap();
    fs::create_dir(out.join(parcel::PLAN)).unwrap();
    fs::remove_file(out.join("stakes.csv")).unwrap();
    std::os::unix::fs::symlink("/etc/hostname", out.join("stakes.csv")).unwrap();
    fs::write(out.join("added.txt"), "hello").unwrap();
    let read = dossier::read(&out).unwrap();
    assert_eq!(read.plan, plan);
    let told = read.told.join(" ");
    for words in ["plan.drain is missing", "stakes.csv cannot be read", "added.txt is in no list"] {
        assert!(told.contains(words), "{told}");
    }
    let empty = tempfile::tempdir().unwrap();
    assert!(dossier::read(empty.path()).unwrap_err().to_string().contains("plan.drain"));
    assert!(dossier::read(&empty.path().join("nothing")).is_err());
    assert!(parcel::place(&out, &worked.plan, None).is_err(), "a dossier that was changed is not written over");
}

/// A log of which an entry was changed is told though every checksum is right.
#[test]
fn a_broken_chain_is_told_on_opening() {
    let home = tempfile::tempdir().unwrap();
    let (worked, _) = written(job::demo::first_plan().unwrap(), home.path());
    let mut forged = worked.plan.clone();
    forged.record.log[1].signed.because.push('!');
    let worked = self::worked(forged);
    let files = dossier::folder(&worked, Some(home.path()), &PaperWish::default(), &|_, _| true).unwrap();
    let told = dossier::reopen(by_name(&files)).unwrap().told.join(" ");
    assert!(told.contains("Entry 2 of the log"), "{told}");
}
