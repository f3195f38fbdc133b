//! Tables of points as instruments and people write them: the same six points every time.

#![allow(clippy::unwrap_used, reason = "a test may fail loudly")]

use exchange::{Ask, GroundFile, ReadOptions, read_points};
use measure::LengthUnit;
use terrain::Surface;

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
        plain("Easting,Northing,Elevation\r\n").replace("259.5\n", "259.5\r\n"),
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

/// 25 points on a slope: line of the file from 2 on, easting, northing, level.
fn slope() -> Vec<(f64, f64, f64)> {
    let at = |i: usize| {
        (500_000.25 + (i % 5) as f64 * 20.5, 4_600_000.75 + (i / 5) as f64 * 20.5, 30.0 + i as f64 * 0.125)
    };
    (0..25).map(at).collect()
}

fn rows_of(row: impl Fn(usize, (f64, f64, f64)) -> String) -> String {
    slope().into_iter().enumerate().map(|(i, point)| row(i, point) + "\n").collect()
}

fn refused(text: &str) -> String {
    read_points(text.as_bytes(), &ReadOptions::default()).unwrap_err().to_string()
}

fn told(file: &GroundFile, words: &str) -> bool {
    file.notes.iter().any(|note| note.contains(words))
}

#[test]
fn decimal_commas_between_commas() {
    let comma = |v: f64| v.to_string().replace('.', ",") + if v.fract() == 0.0 { ",0" } else { "" };
    let paired = read(format!("x,y,z\n{}", rows_of(|_, (x, y, z)| [x, y, z].map(comma).join(","))).as_bytes());
    assert_eq!(places(&paired), slope());
    assert!(told(&paired, "6 fields under 3 names: figures with decimal commas"), "{:?}", paired.notes);
    let quoted = |(x, y, z): (f64, f64, f64)| [x, y, z].map(|v| format!("\"{}\"", comma(v))).join(",");
    assert_eq!(places(&read(format!("x,y,z\n{}", rows_of(|_, point| quoted(point))).as_bytes())), slope());
    // A point number takes no comma: which fields belong together is anyone's guess.
    let numbered = rows_of(|i, (x, y, z)| format!("{i},{}", [x, y, z].map(comma).join(",")));
    let error = refused(&format!("p,x,y,z\n{numbered}"));
    assert!(error.starts_with("line 2: found 7 fields, all whole numbers under 4 names: decimal commas"), "{error}");
    assert!(refused(&numbered).starts_with("line 1: found 7 fields, all whole numbers, no names"), "{numbered}");
    assert!(refused("1,5,2,5,3,5\n1,5,4,5,3,5\n6,5,2,5,3,5\n").contains("decimal commas"));
    // Whole numbers by themselves are no decimals, nor is a remark behind them.
    assert_eq!(places(&read(b"x,y,z\n1,2,3\n10,2,3\n1,20,3\n")).len(), 3);
    assert_eq!(places(&read(b"x,y,z\n1,2,3,4,5,ok\n10,2,3,4,5,ok\n1,20,3,4,5,ok\n")).len(), 3);
    // Thousands in quotation marks are no decimals.
    let thousands = read(b"x,y,z\n\"1,200.5\",2,3\n\"1,210.5\",2,3\n\"1,200.5\",20,3\n");
    assert_eq!(places(&thousands)[0], (1200.5, 2.0, 3.0));
}

#[test]
fn a_quotation_mark_that_is_not_closed_swallows_nothing() {
    let plain = |i: usize, (x, y, z): (f64, f64, f64)| format!("{i},{x},{y},{z},ok");
    let with = |line: usize, odd: &dyn Fn(usize, (f64, f64, f64)) -> String| {
        let rows = rows_of(|i, point| if i + 2 == line { odd(i, point) } else { plain(i, point) });
        read(format!("p,x,y,z,d\n{rows}").as_bytes())
    };
    let last = with(5, &|i, (x, y, z)| format!("{i},{x},{y},{z},\"stake"));
    assert_eq!(places(&last), slope());
    assert!(told(&last, "line 5: a quotation mark opens and is not closed"), "{:?}", last.notes);
    let first = with(5, &|i, (x, y, z)| format!("\"{i},{x},{y},{z},stake"));
    assert_eq!(places(&first).len(), 24);
    assert!(told(&first, "line 5: a quotation mark") && told(&first, "line 5 was left out"), "{:?}", first.notes);
    // Another quoted field below does not close it.
    let rows = rows_of(|i, (x, y, z)| match i {
        3 => format!("{i},{x},{y},{z},\"stake"),
        5 => format!("{i},{x},{y},{z},\"a, b\""),
        _ => plain(i, (x, y, z)),
    });
    let both = read(format!("p,x,y,z,d\n{rows}").as_bytes());
    assert_eq!(places(&both), slope());
    assert!(told(&both, "line 5: a quotation mark") && !told(&both, "line 7"), "{:?}", both.notes);
    // A remark of two lines is one field, even where the second looks like a row.
    let two = with(5, &|i, (x, y, z)| format!("{i},{x},{y},{z},\"two\n9,1,2,3\""));
    assert_eq!(places(&two), slope());
    assert!(told(&two, "lines 5 to 6 are one row"), "{:?}", two.notes);
    // An inch is no quotation mark.
    assert!(with(5, &|i, (x, y, z)| format!("{i},{x},{y},{z},6\" pipe")).notes.iter().all(|n| !n.contains("mark")));
}

#[test]
fn a_carriage_return_alone_starts_no_row_beside_line_feeds() {
    let odd = |quote: &str| {
        let rows = rows_of(|i, (x, y, z)| {
            let remark = if i == 7 { format!("{quote}a\r9,1,2,3{quote}") } else { "ok".into() };
            format!("{i},{x},{y},{z},{remark}")
        });
        read(format!("p,x,y,z,d\n{rows}").as_bytes())
    };
    assert_eq!((places(&odd("")), places(&odd("\""))), (slope(), slope()));
    // Where it joins two rows, as in files pasted together, the row is told, not made two.
    let pasted = read(table("x,y,z\n", |(_, x, y, z)| format!("{x},{y},{z}")).replace("261\n", "261\r").as_bytes());
    assert_eq!(places(&pasted).len(), 4);
    assert!(told(&pasted, "line 4 was left out"), "{:?}", pasted.notes);
    let old = rows_of(|i, (x, y, z)| format!("{i},{x},{y},{z},ok")).replace('\n', "\r");
    assert_eq!(places(&read(format!("p,x,y,z,d\r{old}").as_bytes())), slope());
}

#[test]
fn places_taken_twice() {
    let rows = rows_of(|i, (x, y, z)| format!("{i},{x},{y},{z}"));
    let again = slope()[3];
    let (x, y, z) = slope()[5];
    let file =
        read(format!("p,x,y,z\n{rows}3,{},{},{}\n99,{x},{y},{}\n", again.0, again.1, again.2, z + 2.0).as_bytes());
    assert_eq!(places(&file).len(), 27);
    assert!(told(&file, "1 shots repeat the place and level of another, the first in line 27"), "{:?}", file.notes);
    let both = "lines 7 and 28: one place, 500000.25, 4600021.25, with the levels 30.625 and 32.625; the ground takes the mean";
    assert!(told(&file, both), "{:?}", file.notes);
}

#[test]
fn feet_among_metres_in_one_table() {
    let mixed = |every: usize, factor: f64| {
        let rows = rows_of(|i, (x, y, z)| format!("{i},{x},{y},{}", if i % 3 < every { z * factor } else { z }));
        read(format!("p,x,y,z\n{rows}").as_bytes())
    };
    let words = "two groups 3.28 apart, the feet of a meter";
    assert!(told(&mixed(1, 3.280_84), words), "{:?}", mixed(1, 3.280_84).notes);
    assert!(told(&mixed(2, 3.280_84), words));
    assert!(!told(&mixed(0, 3.280_84), words) && !told(&mixed(1, 2.5), words));
    // A bank whose foot and top lie apart on the land is a bank.
    let bank = rows_of(|i, (x, y, z)| format!("{i},{x},{y},{}", if i < 12 { z * 3.280_84 } else { z }));
    assert!(!told(&read(format!("p,x,y,z\n{bank}").as_bytes()), words));
}

/// By pyproj 3.7.2: EPSG:4979 42° N, 93.6° W, 300 m is −298,080.53, −4,737,854.35, 4,245,804.58 in EPSG:4978.
#[test]
fn coordinates_from_the_middle_of_the_earth() {
    let (x, y, z) = (-298_080.53, -4_737_854.35, 4_245_804.58);
    let rows = rows_of(|i, _| format!("{i},{},{},{}", x + i as f64, y + (i % 5) as f64, z + i as f64));
    assert!(refused(&rows).contains("geocentric X, Y, Z"), "{}", refused(&rows));
    // On the southern half a northing and an easting are as large, but no level is.
    let south = rows_of(|i, (x, _, z)| format!("{i},{x},{},{z}", 6_350_000.0 + (i / 5) as f64 * 20.0));
    assert_eq!(places(&read(south.as_bytes())).len(), 25);
}

#[test]
fn latitude_and_longitude_the_other_way_round() {
    let (lat, lon) = (|i: usize| 42.0 + (i / 5) as f64 * 1e-4, |i: usize| -93.6 - (i % 5) as f64 * 1e-4);
    let rows = |x: fn(usize) -> f64, y: fn(usize) -> f64| rows_of(|i, (_, _, z)| format!("{},{},{z}", x(i), y(i)));
    let swapped = refused(&format!("lon,lat,z\n{}", rows(lat, lon)));
    assert_eq!(
        swapped,
        "line 2: found longitude 42 and latitude -93.6, which look like latitude and longitude swapped, expected a \
         latitude between -90 and 90 degrees"
    );
    let one =
        rows_of(
            |i, (_, _, z)| {
                if i == 4 { format!("{},{},{z}", lat(i), lon(i)) } else { format!("{},{},{z}", lon(i), lat(i)) }
            },
        );
    let file = read(format!("lon,lat,z\n{one}").as_bytes());
    assert!(
        places(&file).len() == 24 && told(&file, "line 6 was left out") && told(&file, "swapped"),
        "{:?}",
        file.notes
    );
}

#[test]
fn degrees_minutes_and_seconds() {
    let decimal = rows_of(|i, (_, _, z)| {
        format!(
            "{:.12},{:.12},{z}",
            -1.0 - 5.0 / 60.0 - (30.5 + (i / 5) as f64) / 3600.0,
            52.5 + (12 + i % 5) as f64 / 3600.0
        )
    });
    let expected = places(&read(format!("lon,lat,z\n{decimal}").as_bytes()));
    let near = |text: String| {
        let file = read(text.as_bytes());
        for (a, b) in places(&file).iter().zip(&expected) {
            assert!((a.0 - b.0).abs() < 1e-5 && (a.1 - b.1).abs() < 1e-5 && a.2 == b.2, "{a:?} {b:?} of {text}");
        }
        assert_eq!(places(&file).len(), 25, "{text}");
    };
    let north = |i: usize| format!("52°30'{:02}\"N", 12 + i % 5);
    let west = |i: usize| format!("1°05'{}.5\"W", 30 + i / 5);
    near(format!("p,lat,lon,z\n{}", rows_of(|i, (_, _, z)| format!("{i},{},{},{z}", north(i), west(i)))));
    near(rows_of(|i, (_, _, z)| format!("{i},{},{},{z}", north(i), west(i))));
    near(format!(
        "p;lat;lon;z\n{}",
        rows_of(|i, (_, _, z)| format!("{i};52 30 {:02} N;1 05 {}.5 W;{z}", 12 + i % 5, 30 + i / 5))
    ));
    let error =
        refused(&format!("p,lon,lat,z\n{}", rows_of(|i, (_, _, z)| format!("{i},{},{},{z}", north(i), west(i)))));
    assert!(error.contains("latitude and longitude the other way round"), "{error}");
}
