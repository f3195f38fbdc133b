//! Shots from a receiver on the command line, and what a kill at any moment leaves of them.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]
#![allow(clippy::print_stdout, reason = "how much was taken is worth reading")]

use std::io::{BufRead, BufReader, Write};
use std::net::{TcpListener, TcpStream};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use crate::common::{drainwright, told};
use measure::{LengthUnit, Point, Units};
use plan::{Benchmark, GroundRef, Line, LineKind, Plan};

/// Kills in a plain run; `DRAINWRIGHT_KILLS` asks for another number.
const KILLS: usize = 8;
const BENCHMARK: (f64, f64, f64) = (451_000.0, 4_640_000.0, 283.15);

fn plan_in(folder: &Path) {
    let mut plan = Plan::new("Receiver", Units::Metric);
    let (file, crs, datum) = ("none.asc".into(), "EPSG:32629".into(), String::new());
    let (horizontal_unit, vertical_unit) = (LengthUnit::Metre, LengthUnit::Metre);
    let (columns, level_attribute, part) = (None, None, None);
    plan.ground = Some(GroundRef {
        file,
        crs,
        horizontal_unit,
        vertical_unit,
        datum,
        columns,
        level_attribute,
        part,
        brought_from: None,
    });
    let (x, y, level_m) = BENCHMARK;
    let mark = Benchmark { name: "BM1, nail".into(), at: Point::new(x, y), level_m, datum: String::new() };
    plan.survey.benchmarks.push(mark);
    let points = vec![Point::new(x, y), Point::new(x, y + 200.0)];
    plan.apply(&plan::add_line(&plan, Line::new("L1", LineKind::Main, points)).1).unwrap();
    exchange::save_plan(&plan, &folder.join("a.drain")).unwrap();
}

/// Sends positions with a fix for as long as somebody listens, a hundred a second.
fn send(mut to: TcpStream) {
    let plane = exchange::Crs::from_epsg(32629).unwrap();
    let (x, y, level_m) = BENCHMARK;
    let (lon, lat) = plane.to_lon_lat(Point::new(x, y)).unwrap();
    let minutes = |value: f64| format!("{:010.7}", value.abs().fract() * 60.0);
    for n in 0..1_000_000u32 {
        let second = f64::from(n % 6000) / 100.0;
        let (wave_m, minute) = (0.004 * f64::from(n).sin(), n / 6000 % 60);
        let body = format!(
            "GNGGA,10{minute:02}{second:05.2},{:02.0}{},N,{:03.0}{},W,4,14,0.7,{:.3},M,-31.5,M,1.0,0000",
            lat.floor(),
            minutes(lat),
            lon.abs().floor(),
            minutes(lon),
            level_m + 2.0 + wave_m
        );
        let sum = body.bytes().fold(0, |sum, byte| sum ^ byte);
        if to.write_all(format!("${body}*{sum:02X}\r\n").as_bytes()).is_err() {
            return;
        }
        std::thread::sleep(Duration::from_millis(2));
    }
}

/// A receiver on loopback, for as many as come.
fn receiver() -> String {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap().to_string();
    std::thread::spawn(move || listener.incoming().flatten().for_each(|to| drop(std::thread::spawn(|| send(to)))));
    address
}

fn start(folder: &Path, address: &str) -> Child {
    Command::new(env!("CARGO_BIN_EXE_drainwright"))
        .args(["dug", "a.drain", "--receiver", address, "--antenna", "2 m", "--by", "R. Wren", "--on", "2031-04-02"])
        .current_dir(folder)
        .env("XDG_DATA_HOME", env!("CARGO_TARGET_TMPDIR"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

#[test]
fn shots_and_photos_are_taken_as_they_are_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    plan_in(at);
    std::fs::write(at.join("tee.jpg"), "a photo").unwrap();
    let mut child = start(at, &receiver());
    let asked = "shot inv too soon\ncheck BM9\ncheck BM1\nshot top L1 \"top\"\nphoto tee.jpg\nhow\n";
    child.stdin.take().unwrap().write_all(asked.as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    let text = told(&output);
    assert!(output.status.success() && text.contains("Checked: BM1, nail was missed by"), "{text}");
    assert!(text.contains("Fixed, 14 satellites") && text.contains("Locate utilities first"), "{text}");
    let plan = exchange::read_plan(&at.join("a.drain")).unwrap();
    assert_eq!((plan.record.shots.len(), plan.record.photos.len()), (1, 1));
    let shot = &plan.record.shots[0];
    assert!((shot.level_m - BENCHMARK.2).abs() < 0.004 && shot.note == "L1 \"top\"", "{shot:?}");
    assert_eq!(shot.fix.as_ref().unwrap().checked_on, "BM1, nail");
    let compared = told(&drainwright(at, &["dug", "a.drain"]));
    assert!(compared.contains("L1 as dug, m") && !compared.contains("Photo"), "{compared}");
    std::fs::write(at.join("tee.jpg"), "painted over").unwrap();
    let compared = told(&drainwright(at, &["dug", "a.drain"]));
    assert!(compared.contains("Photo tee.jpg: ALTERED"), "{compared}");
}

/// What was told as taken is in the plan, whenever the program is killed.
#[test]
fn no_kill_loses_a_shot_or_a_photo_that_was_taken() {
    let kills = std::env::var("DRAINWRIGHT_KILLS").ok().and_then(|text| text.parse().ok()).unwrap_or(KILLS);
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    plan_in(at);
    let (address, mut taken) = (receiver(), Vec::<String>::new());
    for kill in 0..kills {
        let mut child = start(at, &address);
        let mut asking = child.stdin.take().unwrap();
        let photos: Vec<String> = (0..200).map(|n| format!("{kill}-{n}.jpg")).collect();
        photos.iter().for_each(|name| std::fs::write(at.join(name), name).unwrap());
        let asker = std::thread::spawn(move || {
            let asked = photos.iter().map(|name| format!("shot inv {name}\nphoto {name}\n"));
            // It is killed while it is asked.
            let _ = asking.write_all(b"check BM1\n");
            let _ = asked.into_iter().try_for_each(|asked| asking.write_all(asked.as_bytes()));
        });
        let told = BufReader::new(child.stdout.take().unwrap());
        let reader = std::thread::spawn(move || {
            let words = |line: String| line.strip_prefix("Taken: ").map(str::to_string);
            told.lines().map_while(Result::ok).filter_map(words).collect::<Vec<String>>()
        });
        std::thread::sleep(Duration::from_millis(150 + (kill as u64 * 7919) % 450));
        child.kill().unwrap();
        child.wait().unwrap();
        taken.extend(reader.join().unwrap());
        asker.join().unwrap();
        let plan = exchange::read_plan(&at.join("a.drain")).unwrap_or_else(|error| panic!("kill {kill}: {error}"));
        for told in &taken {
            let is_there = match told.strip_prefix("photo ") {
                Some(file) => plan.record.photos.iter().any(|photo| photo.file == file) && at.join(file).exists(),
                None => plan.record.keys().any(|key| told.split(' ').next() == Some(key)),
            };
            assert!(is_there, "kill {kill} lost {told}");
        }
    }
    println!("{kills} kills, {} taken, none lost", taken.len());
    assert!(taken.len() >= kills, "only {} were taken", taken.len());
}
