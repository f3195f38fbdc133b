#![no_main]
//! Rings of any corners given to the mending of boundaries: each two bytes are a place, 128 ends a ring. What comes out has
//! no flaw that its own reader would find again.

use exchange::read_boundary;

fn geojson(rings: &[Vec<[f64; 2]>]) -> String {
    let place = |[x, y]: &[f64; 2]| format!("[{x},{y}]");
    let ring = |ring: &Vec<[f64; 2]>| format!("[{}]", ring.iter().map(place).collect::<Vec<_>>().join(","));
    let rings: Vec<String> = rings.iter().map(ring).collect();
    format!("{{\"type\":\"Polygon\",\"coordinates\":[{}]}}", rings.join(","))
}

#[path = "../caught.rs"]
mod caught;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    caught::leave_out();
    let place = |pair: &[u8]| [f64::from(pair[0] as i8) * 7.3, f64::from(*pair.get(1).unwrap_or(&0) as i8) * 7.3];
    let rings: Vec<Vec<[f64; 2]>> =
        bytes.split(|byte| *byte == 128).map(|ring| ring.chunks(2).map(place).collect()).collect();
    let Ok(mended) = read_boundary(geojson(&rings).as_bytes(), None, true) else { return };
    let again: Vec<Vec<[f64; 2]>> =
        mended.rings.iter().map(|ring| ring.iter().map(|p| [p.x, p.y]).collect()).collect();
    let again = read_boundary(geojson(&again).as_bytes(), None, true).expect("what was mended is read");
    let area = |boundary: &exchange::Boundary| -> f64 {
        let doubled = |ring: &Vec<measure::Point>| {
            let next = ring.iter().cycle().skip(1);
            ring.iter().zip(next).map(|(a, b)| a.x * b.y - b.x * a.y).sum::<f64>()
        };
        boundary.rings.iter().map(doubled).sum::<f64>() / 2.0
    };
    assert!((area(&mended) - area(&again)).abs() < 0.1, "{} m² become {} m²", area(&mended), area(&again));
});
