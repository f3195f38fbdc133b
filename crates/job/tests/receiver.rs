//! A receiver over loopback: an hour at 10 Hz with good, float, single and lost fixes, garbage and half sentences.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]
#![allow(clippy::print_stdout, reason = "what was heard is worth reading")]

use std::io::Write;
use std::net::TcpListener;
use std::time::Duration;

use job::link::Link;
use job::receiver::{Outcome, Receiver};
use measure::{FOOT_M, LengthUnit, Point, Units};
use plan::{Benchmark, FixQuality, GroundRef, Plan, ShotOn, Spot, Taken};

const SENTENCES: usize = 36_000;
/// The antenna over what is shot, the geoid over the ellipsoid, metres.
const ANTENNA_M: f64 = 2.0;
const GEOID_M: f64 = -31.5;
/// Places that are held, and their levels: the benchmark, then three shots.
const HELD: [(f64, f64, f64); 4] = [
    (451_000.0, 4_640_000.0, 283.15),
    (451_040.0, 4_640_020.0, 281.20),
    (451_055.0, 4_640_020.0, 281.32),
    (451_070.0, 4_640_021.0, 281.47),
];

fn plan() -> Plan {
    let mut plan = Plan::new("Receiver", Units::Metric);
    plan.ground = Some(GroundRef {
        file: "a.asc".into(),
        crs: "EPSG:32629".into(),
        horizontal_unit: LengthUnit::Metre,
        vertical_unit: LengthUnit::Metre,
        datum: String::new(),
        columns: None,
        level_attribute: None,
        part: None,
        brought_from: None,
    });
    plan.survey.benchmarks.push(benchmark());
    plan
}

fn benchmark() -> Benchmark {
    let (x, y, level_m) = HELD[0];
    Benchmark { name: "BM1, nail in \"the oak\"".into(), at: Point::new(x, y), level_m, datum: String::new() }
}

/// A figure that looks random and is the same in every run, from -1 to 1.
fn noise(n: usize) -> f64 {
    ((n as f64 * 12.9898).sin() * 43_758.545).fract()
}

fn sentence(n: usize, quality: u8, (x, y, level_m): (f64, f64, f64)) -> String {
    let plane = exchange::Crs::from_epsg(32629).unwrap();
    let at = Point::new(x + 0.008 * noise(n), y + 0.008 * noise(n + 7));
    let (lon, lat) = plane.to_lon_lat(at).unwrap();
    let height_m = level_m + ANTENNA_M + 0.012 * noise(n + 3);
    let degrees = |value: f64, whole: usize| {
        let value = value.abs();
        format!("{:0whole$}{:010.7}", value.floor(), value.fract() * 60.0)
    };
    let tenths = 360_000 + n;
    let (hour, minute, second) = (tenths / 36_000 % 24, tenths / 600 % 60, tenths as f64 / 10.0 % 60.0);
    let body = format!(
        "GNGGA,{hour:02}{minute:02}{second:04.1},{},N,{},W,{quality},14,0.7,{height_m:.3},M,{GEOID_M:.1},M,1.2,0000",
        degrees(lat, 2),
        degrees(lon, 3)
    );
    let sum = body.bytes().fold(0, |sum, byte| sum ^ byte);
    format!("${body}*{sum:02X}\r\n")
}

/// What the receiver sends: a quarter of the hour at each place; of every hundred sentences ten without a fix, and among them
/// garbage, halves and wrong checksums.
fn stream(n: usize) -> Vec<u8> {
    let held = HELD[n * HELD.len() / SENTENCES];
    // A float may be metres off, and says so.
    let off = (held.0 + 1.5, held.1 - 0.8, held.2 + 0.9);
    match n % 100 {
        0..=3 => sentence(n, 5, off).into_bytes(),
        4..=6 => sentence(n, 1, off).into_bytes(),
        7 | 8 => sentence(n, 0, off).into_bytes(),
        9 => sentence(n, 2, off).into_bytes(),
        30 => [sentence(n, 4, held).as_bytes(), &[0, 255, 10, b'*', 200], b"$GPTXT,half of a"].concat(),
        50 => sentence(n, 4, held).replace(".7,", ".8,").into_bytes(),
        70 => sentence(n, 4, held).as_bytes()[..40].to_vec(),
        _ => sentence(n, 4, held).into_bytes(),
    }
}

/// Most memory this process had, bytes; `None` where the system does not tell.
fn peak() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    Some(line.trim().strip_suffix(" kB")?.trim().parse::<u64>().ok()? << 10)
}

fn close(at: Point, held: (f64, f64, f64)) -> bool {
    measure::distance(at, Point::new(held.0, held.1)) < 0.5
}

#[test]
fn an_hour_of_sentences_makes_the_shots_that_were_held() {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap().to_string();
    let sender = std::thread::spawn(move || {
        let (mut to, _) = listener.accept().unwrap();
        (0..SENTENCES).for_each(|n| to.write_all(&stream(n)).unwrap());
    });
    let mut receiver = Receiver::new(&plan(), ANTENNA_M).unwrap();
    assert!(receiver.shoot().is_err(), "no shot before a check shot");
    receiver.check_on(benchmark());
    let link = Link::open(&address, || {});
    let (mut shots, mut checked, mut before) = (Vec::new(), None, None);
    let ended = loop {
        let Some(piece) = link.wait(Duration::from_secs(20)) else { panic!("nothing more comes") };
        let piece = match piece {
            Ok(piece) => piece,
            Err(why) => break why,
        };
        for outcome in receiver.hear(&piece) {
            match outcome {
                Outcome::Checked(check) => checked = Some(check),
                Outcome::Shot(shot) => shots.push(*shot),
                Outcome::Missed(missed) => panic!("{missed:?}"),
            }
        }
        before = before.or_else(peak);
        let next = HELD.get(1 + shots.len());
        if next.is_some_and(|held| receiver.place().is_some_and(|at| close(at, *held)))
            && receiver.checked().is_some()
        {
            // Asked again and again while it is averaged, it would never come to an end.
            if !receiver.is_averaging() {
                receiver.shoot().unwrap();
            }
        }
    };
    sender.join().unwrap();
    assert!(ended.contains("closed"), "{ended}");
    assert_eq!(checked.unwrap().benchmark, benchmark().name);
    assert_eq!(shots.len(), 3);
    for (shot, held) in shots.iter().zip(&HELD[1..]) {
        assert!(close(shot.at, *held) && (shot.level_m - held.2).abs() < 0.012, "{shot:?} for {held:?}");
        assert!(measure::distance(shot.at, Point::new(held.0, held.1)) < 0.01, "{shot:?} for {held:?}");
        assert!(shot.scatter_m > 0.001 && shot.scatter_m < 0.012, "{shot:?}");
        assert_eq!(
            (shot.fix.quality, shot.fix.age_s, shot.fix.geoid_m),
            (FixQuality::Fixed, Some(1.2), Some(GEOID_M))
        );
        assert_eq!((shot.fix.antenna_m, shot.fix.checked_on.as_str()), (ANTENNA_M, benchmark().name.as_str()));
    }
    let (heard, hundreds) = (receiver.heard(), SENTENCES as u64 / 100);
    println!("heard {heard:?}");
    assert_eq!(heard.positions, 98 * hundreds);
    assert_eq!(heard.unsound, hundreds, "a wrong checksum in every hundred");
    assert_eq!(heard.cut, 2 * hundreds, "two halves in every hundred");
    if let Some((before, after)) = before.zip(peak()) {
        println!("peak grew by {} kB", (after - before) >> 10);
        assert!(after - before < 4 << 20, "memory grew by {} bytes", after - before);
    }
}

/// The receiver counts from another datum, 12.30 m higher: refused, shifted by word, checked again, and stored so.
#[test]
fn another_datum_is_shifted_by_word_and_checked_again() {
    let mut receiver = Receiver::new(&plan(), ANTENNA_M).unwrap();
    let (x, y, level_m) = HELD[0];
    let mut n = 0;
    let mut hold = |receiver: &mut Receiver, place: (f64, f64, f64)| {
        let text: String = (0..20).map(|i| sentence(n + i, 4, (place.0, place.1, place.2 + 12.30))).collect();
        n += 20;
        receiver.hear(text.as_bytes())
    };
    receiver.check_on(benchmark());
    let [Outcome::Missed(missed)] = &hold(&mut receiver, (x, y, level_m))[..] else { panic!("a miss") };
    assert!((missed.missed_m.1 - 12.30).abs() < 0.012, "{missed:?}");
    assert!(receiver.shoot().is_err());
    assert!(receiver.words(Units::Metric).iter().any(|words| words.starts_with("Refused: BM1")));
    assert!((receiver.take_shift().unwrap() + 12.30).abs() < 0.012);
    assert!(receiver.shoot().is_err(), "a shift is no check");
    receiver.check_on(benchmark());
    assert!(matches!(&hold(&mut receiver, (x, y, level_m))[..], [Outcome::Checked(_)]));
    receiver.shoot().unwrap();
    let outcomes = hold(&mut receiver, HELD[1]);
    let [Outcome::Shot(shot)] = &outcomes[..] else { panic!("a shot") };
    assert!((shot.level_m - HELD[1].2).abs() < 0.02, "{shot:?}");
    let taken = Taken { by: "R. Wren".into(), at: "2031-04-02T10:12".into(), revision: "A".into() };
    let shot = shot.clone().shot(ShotOn::Top, "L2 top", &taken, 4);
    assert!((shot.fix.as_ref().unwrap().shift_m + 12.30).abs() < 0.012);
    assert!(matches!(shot.spot, Spot::Place(_)) && shot.key.ends_with("-5"));
    // A benchmark that is missed along the ground is no check either.
    receiver.check_on(benchmark());
    assert!(matches!(&hold(&mut receiver, (x + 0.3, y, level_m))[..], [Outcome::Missed(_)]));
    assert!(receiver.shoot().is_err());
}

/// Float among fixes begins the average anew; an antenna that moves does too; on a local plane nothing can be placed.
#[test]
fn nothing_is_averaged_over_a_lost_fix_or_a_move() {
    let mut receiver = Receiver::new(&plan(), ANTENNA_M).unwrap();
    receiver.check_on(benchmark());
    let nine =
        |from: usize, place: (f64, f64, f64)| (from..from + 9).map(|n| sentence(n, 4, place)).collect::<String>();
    assert!(receiver.hear(nine(0, HELD[0]).as_bytes()).is_empty());
    assert!(receiver.hear(sentence(9, 5, HELD[0]).as_bytes()).is_empty());
    assert!(receiver.hear(nine(10, HELD[0]).as_bytes()).is_empty());
    let (x, y, level_m) = HELD[0];
    assert!(receiver.hear(nine(20, (x + 0.2, y, level_m)).as_bytes()).is_empty());
    assert!(receiver.hear(nine(30, HELD[0]).as_bytes()).is_empty());
    assert!(receiver.words(Units::Feet)[0].starts_with("Fixed, 14 satellites, corrections 1.2 s old"));
    assert!(matches!(receiver.hear(sentence(39, 4, HELD[0]).as_bytes())[..], [Outcome::Checked(_)]));
    let local = Plan { ground: None, ..plan() };
    assert!(Receiver::new(&local, 2.0).unwrap_err().contains("no named coordinate system"));
    assert!(Receiver::new(&plan(), 20.0 * FOOT_M * 10.0).is_err());
}
