//! Tables of points as instruments and people write them: the same six points every time.

#![allow(clippy::unwrap_used, reason = "a test may fail loudly")]

use exchange::{Ask, GroundFile, ReadOptions, Surface, read_points};
use measure::LengthUnit;

/// Number, easting, northing, level.
const POINTS: [(u32, f64, f64, f64); 6] = [
    (1, 451_200.5, 4_640_310.25, 260.0),
    (2, 451_210.5, 4_640_310.25, 260.5),
    (3, 451_220.5, 4_640_320.25, 261.0),
    (4, 451_200.5, 4_640_330.25, 259.5),
    (5, 451_210.5, 4_640_340.25, 259.25),
    (6, 451_220.5, 4_640_350.25, 258.75),
];

/// A table of these points: what stands before them, and each in a form.
fn table(head: &str, row: impl Fn((u32, f64, f64, f64)) -> String) -> String {
    let rows: Vec<String> = POINTS.iter().map(|point| row(*point)).collect();
    format!("{head}{}\n", rows.join("\n"))
}

fn read(bytes: &[u8]) -> GroundFile {
    read_points(bytes, &ReadOptions::default()).unwrap()
}

/// The points read, in metres.
fn places(file: &GroundFile) -> Vec<(f64, f64, f64)> {
    let Surface::Shots(shots) = &file.surface else { panic!("no shots") };
    shots.iter().map(|shot| (shot.at.x, shot.at.y, shot.level_m)).collect()
}

fn as_they_are() -> Vec<(f64, f64, f64)> {
    POINTS.iter().map(|(_, x, y, z)| (*x, *y, *z)).collect()
}

fn thousands(value: f64, sign: &str, point: &str) -> String {
    let (whole, rest) = (value.trunc() as u64, (value.fract() * 100.0).round() as u64);
    let mut groups = Vec::new();
    let mut left = whole;
    while left >= 1000 {
        groups.insert(0, format!("{:03}", left % 1000));
        left /= 1000;
    }
    groups.insert(0, left.to_string());
    format!("{}{point}{rest:02}", groups.join(sign))
}

#[test]
fn names_orders_and_delimiters() {
    let tables = [
        table("Pt\tEasting\tNorthing\tElev\tDesc\n", |(n, x, y, z)| format!("{n}\t{x}\t{y}\t{z}\tGS")),
        table("Pt#, N, E, Z, Desc\n", |(n, x, y, z)| format!("{n}, {y}, {x}, {z}, GS")),
        table("Easting(m),Northing(m),Elevation (m)\n", |(_, x, y, z)| format!("{x},{y},{z}")),
        table("Code,Point,Elevation,Northing,Easting\n", |(n, x, y, z)| format!("GS,{n},{z},{y},{x}")),
        table("POINT_X,POINT_Y,POINT_Z\n", |(_, x, y, z)| format!("{x},{y},{z}")),
        table("id,date,time,easting,northing,elevation,hrms\n", |(n, x, y, z)| {
            format!("{n},2026-03-01,10:00:11,{x},{y},{z},0.01")
        }),
        table("Name,Northings,Eastings,Orthometric Height,Ell. Height,Lat,Lon\n", |(n, x, y, z)| {
            format!("{n},{y},{x},{z},{},41.9,-93.6", z - 30.0)
        }),
        table("Easting,Northing,Elevation,,\n", |(_, x, y, z)| format!("{x},{y},{z},,  ")) + "\n\n   \n",
    ];
    for text in tables {
        let file = read(text.as_bytes());
        assert_eq!(places(&file), as_they_are(), "{text}");
        assert!(!file.asks.contains(&Ask::Columns), "{text}");
    }
}

#[test]
fn comments_titles_units_and_line_ends() {
    let plain = |head: &str| table(head, |(_, x, y, z)| format!("{x},{y},{z}"));
    let tables = [
        plain("# made by hand\n# a, b, c\nEasting,Northing,Elevation\n"),
        plain("// made by hand\n// E,N,Z\n"),
        plain("% x,y,z\n! surveyed\n"),
        plain("Survey of the north block\nDate;12.3.2026\n\nEasting,Northing,Elevation\n"),
        plain("Easting,Northing,Elevation\n-,m,m\n"),
        plain("Easting,Northing,Elevation\n").replace('\n', "\r"),
        plain("Easting,Northing,Elevation\r\n").replace("261\n", "261\r").replace("259.5\n", "259.5\r\n"),
    ];
    for text in tables {
        let file = read(text.as_bytes());
        assert_eq!(places(&file), as_they_are(), "{text}");
        assert!(!file.asks.contains(&Ask::Columns), "{text}");
    }
    let feet = read(plain("Easting,Northing,Elevation\nusft,usft,ft\n").as_bytes());
    assert_eq!((feet.horizontal_unit, feet.vertical_unit), (LengthUnit::SurveyFoot, Some(LengthUnit::Foot)));
}

#[test]
fn numbers_as_people_write_them() {
    let form = |sign: &'static str, point: &'static str| {
        table("Easting;Northing;Elevation\n", move |(_, x, y, z)| {
            [x, y, z].map(|value| thousands(value, sign, point)).join(";")
        })
    };
    let tables = [form("", ","), form(" ", ","), form("\u{a0}", "."), form(".", ","), form("'", "."), form(",", ".")];
    for text in tables {
        assert_eq!(places(&read(text.as_bytes())), as_they_are(), "{text}");
    }
    let below = table("x,y,z\n", |(_, x, y, z)| format!("{x:e},{y:e},\u{2212}{z}"));
    assert_eq!(places(&read(below.as_bytes()))[0], (451_200.5, 4_640_310.25, -260.0));
}

#[test]
fn every_encoding() {
    let text = table("Punkt;Rechtswert;Hochwert;Höhe\n", |(n, x, y, z)| format!("{n};{x};{y};{z}"));
    let latin: Vec<u8> = text.chars().map(|c| c as u8).collect();
    let little: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let big: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
    for bytes in [text.as_bytes(), &latin, &little, &big, &[b"\xff\xfe", &little[..]].concat()] {
        assert_eq!(places(&read(bytes)), as_they_are());
    }
}

#[test]
fn degrees_are_known_by_name_or_by_their_nearness() {
    let degrees =
        |(n, x, y, z): (u32, f64, f64, f64)| (n, -93.6 + (x - 451_200.0) * 1e-5, 41.9 + (y - 4_640_310.0) * 1e-5, z);
    let tables = [
        table("lat,lon,alt\n", |p| {
            let (_, lon, lat, z) = degrees(p);
            format!("{lat:.7},{lon:.7},{z}")
        }),
        table("", |p| {
            let (_, lon, lat, z) = degrees(p);
            format!("{lat:.7},{lon:.7},{z}")
        }),
        table("a,b,c\n", |p| {
            let (_, lon, lat, z) = degrees(p);
            format!("{lon:.7},{lat:.7},{z}")
        }),
    ];
    let all: Vec<GroundFile> = tables.iter().map(|text| read(text.as_bytes())).collect();
    assert!(all.iter().all(|file| file.crs.as_ref().is_some_and(|crs| crs.name() == "EPSG:32615")));
    assert!(all.iter().all(|file| places(file) == places(&all[0])));
    // A small plot in local metres is none: its numbers are whole, or wider apart.
    let plot = table("", |(_, x, y, z)| format!("{},{},{z}", x - 451_200.0, y - 4_640_310.0));
    assert_eq!(read(plot.as_bytes()).crs, None);
}
