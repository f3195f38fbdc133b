//! The air photo or map image under a plan: brought in, and read from where the plan names it.

use std::path::Path;

use exchange::{Crs, FileError, PictureHead};
use measure::Point;
use plan::{Backdrop, Placing, Plan};

use crate::{Progress, chosen, ground};

/// Longest side of what is shown of a picture, pixels; larger ones are reduced (own choice: finer than any screen, and what
/// every graphics driver takes).
const LONGEST: usize = 4096;
/// Pieces to each side in which a picture of another coordinate system is bent to the plan's (own choice: over a kilometre
/// a straight piece strays by less than a hair of the map).
const PIECES: usize = 16;

/// What is known of a picture that a person chose.
#[derive(Debug, Clone, PartialEq)]
pub struct Brought {
    /// How the plan names it.
    pub backdrop: Backdrop,
    /// Its columns and rows, where nothing says where it lies: a person has to.
    pub unplaced: Option<(usize, usize)>,
}

/// A picture as it lies on the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    /// Columns and rows of the pixels that are shown.
    pub size: (usize, usize),
    /// Red, green, blue and opacity of each, row by row from the top.
    pub rgba: Vec<u8>,
    /// Pieces to each side.
    pub pieces: usize,
    /// Where the corners of the pieces lie, row by row from the top, metres.
    pub corners: Vec<Point>,
}

/// A picture file that a person chose, as the plan is to name it.
pub fn bring(path: &Path, plan: &Plan) -> Result<Brought, FileError> {
    let head = exchange::look_at_picture(path)?;
    let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
    let backdrop = Backdrop::of_file(ground::name_kept(&whole).or_else(|_| ground::name_kept(path))?);
    // What cannot lie on this plan is told before it is named.
    if head.placing.is_some() {
        corners(&head, &backdrop, &ground::plane(plan))?;
    }
    chosen::remember(path);
    Ok(Brought { backdrop, unplaced: head.placing.is_none().then_some(head.size) })
}

/// Reads the picture that a plan names; `home` is the plan's folder.
pub fn read(backdrop: &Backdrop, plane: &Crs, home: Option<&Path>, progress: &Progress) -> Result<Laid, FileError> {
    let path = chosen::may_read(&backdrop.file, home)?;
    progress.step("reading")?;
    let head = exchange::look_at_picture(&path)?;
    let (pieces, corners) = corners(&head, backdrop, plane)?;
    let pixels = progress.watch(1, |effort| exchange::read_picture(&path, LONGEST, effort))?;
    Ok(Laid { size: pixels.size, rgba: pixels.rgba, pieces, corners })
}

/// Where the corners of the pieces lie on the plan, and how many pieces there are to each side.
fn corners(head: &PictureHead, backdrop: &Backdrop, plane: &Crs) -> Result<(usize, Vec<Point>), FileError> {
    let plan_unit_m = plane.unit().metres();
    let other = head.crs.as_ref().filter(|crs| *crs != plane && backdrop.placing.is_none());
    let (placing, unit_m) = match (backdrop.placing, head.placing) {
        (Some(placing), _) => (placing, 1.0),
        (None, Some(placing)) if other.is_none() => (placing, head.unit.map_or(plan_unit_m, |unit| unit.metres())),
        (None, Some(placing)) => (placing, 1.0),
        (None, None) => return Err(unplaced()),
    };
    let pieces = if other.is_some() { PIECES } else { 1 };
    let (cols, rows) = (head.size.0 as f64, head.size.1 as f64);
    let share = |i: usize, count: f64| count * i as f64 / pieces as f64 - 0.5;
    let places = (0..=pieces).flat_map(|row| (0..=pieces).map(move |col| (col, row)));
    let places = places.map(|(col, row)| placing.at(share(col, cols), share(row, rows)));
    let on_plan = |at: Point| match other {
        None => Ok(Point::new(at.x * unit_m, at.y * unit_m)),
        Some(from) => moved(at, from, plane),
    };
    let corners = places.map(on_plan).collect::<Result<Vec<Point>, FileError>>()?;
    match corners.iter().find(|at| !at.is_finite()) {
        Some(at) => Err(off(format!("a corner at ({}, {})", at.x, at.y), plane)),
        None => Ok((pieces, corners)),
    }
}

/// A place of one system, in its own numbers, on the plane of another.
fn moved(at: Point, from: &Crs, plane: &Crs) -> Result<Point, FileError> {
    let unit_m = if from.is_degrees() { 1.0 } else { from.unit().metres() };
    let there = from.to_lon_lat(Point::new(at.x * unit_m, at.y * unit_m));
    let here = there.and_then(|(lon, lat)| plane.from_lon_lat(lon, lat));
    here.map_err(|why| off(format!("{}: {why}", from.name()), plane))
}

fn off(found: String, plane: &Crs) -> FileError {
    FileError::Malformed {
        place: "where the picture lies".into(),
        found,
        expected: format!("a place that can be told in the plan's system, {}", plane.name()),
    }
}

fn unplaced() -> FileError {
    FileError::Malformed {
        place: "where the picture lies".into(),
        found: "nothing that says so, in it or beside it".into(),
        expected: "a GeoTIFF, a world file of its name (.jgw, .pgw, .tfw, .wld), or a place given by hand".into(),
    }
}

/// A place by hand: the picture as large as fits between two corners, in their middle.
pub fn within((cols, rows): (usize, usize), (low, high): (Point, Point)) -> Placing {
    let (width, height) = (cols.max(1) as f64, rows.max(1) as f64);
    let pixel_m = ((high.x - low.x) / width).min((high.y - low.y) / height).max(1e-4);
    let west = (low.x + high.x - pixel_m * width) / 2.0;
    let north = (low.y + high.y + pixel_m * height) / 2.0;
    Placing {
        first: Point::new(west + pixel_m / 2.0, north - pixel_m / 2.0),
        along_row: Point::new(pixel_m, 0.0),
        to_next_row: Point::new(0.0, -pixel_m),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn head(crs: Option<Crs>, placing: Option<Placing>) -> PictureHead {
        PictureHead { size: (100, 50), placing, crs, unit: None }
    }

    fn placing(first: (f64, f64), pixel: f64) -> Placing {
        Placing {
            first: Point::new(first.0, first.1),
            along_row: Point::new(pixel, 0.0),
            to_next_row: Point::new(0.0, -pixel),
        }
    }

    #[test]
    fn a_picture_in_the_plan_s_numbers_lies_there_in_its_unit() {
        let feet = Crs::local_in(measure::LengthUnit::Foot);
        let backdrop = Backdrop::of_file("a.jpg".into());
        let (pieces, corners) = corners(&head(None, Some(placing((1000.5, 2000.5), 1.0))), &backdrop, &feet).unwrap();
        let foot = measure::FOOT_M;
        assert_eq!(pieces, 1);
        let expected = [(1000.0, 2001.0), (1100.0, 2001.0), (1000.0, 1951.0), (1100.0, 1951.0)];
        for (at, (x, y)) in corners.iter().zip(expected) {
            assert!(measure::distance(*at, Point::new(x * foot, y * foot)) < 1e-9, "{at:?}");
        }
    }

    /// UTM zone 15 at its middle meridian and the equator: 500 km east of its false origin, and a degree is 111,319.49 m
    /// there on the WGS 84 ellipsoid (a = 6,378,137 m), times the zone's scale of 0.9996.
    #[test]
    fn a_picture_in_degrees_is_bent_to_the_plane() {
        let (degrees, utm) = (Crs::from_epsg(4326).unwrap(), Crs::from_epsg(32615).unwrap());
        let backdrop = Backdrop::of_file("a.tif".into());
        let at = placing((-93.0 + 0.0005, -0.0005), 0.001);
        let (pieces, corners) = corners(&head(Some(degrees), Some(at)), &backdrop, &utm).unwrap();
        assert_eq!((pieces, corners.len()), (PIECES, (PIECES + 1) * (PIECES + 1)));
        assert!(measure::distance(corners[0], Point::new(500_000.0, 0.0)) < 0.01, "{:?}", corners[0]);
        let east = corners[PIECES].x - 500_000.0;
        assert!((east - 0.1 * 111_319.49 * 0.9996).abs() < 1.0, "{east}");
    }

    #[test]
    fn what_lies_nowhere_is_told_and_can_be_placed_by_hand() {
        let (local, backdrop) = (Crs::local(), Backdrop::of_file("a.png".into()));
        let told = corners(&head(None, None), &backdrop, &local).unwrap_err().to_string();
        assert!(told.contains("world file"), "{told}");
        let utm = Crs::from_epsg(32615).unwrap();
        let told = corners(&head(Some(utm), Some(placing((5e5, 4e6), 1.0))), &backdrop, &local).unwrap_err();
        assert!(told.to_string().contains("EPSG:32615"), "{told}");
        let by_hand = within((100, 50), (Point::new(0.0, 0.0), Point::new(400.0, 400.0)));
        let placed = Backdrop { placing: Some(by_hand), ..backdrop };
        let (_, corners) = corners(&head(None, None), &placed, &local).unwrap();
        assert_eq!(corners[0], Point::new(0.0, 300.0));
        assert_eq!(corners[3], Point::new(400.0, 100.0));
    }
}
