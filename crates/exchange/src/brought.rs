//! Ground brought from the coordinate system of its file into another, that of the plan it is to lie under.

use measure::Point;
use terrain::{RawShot, Shot, Surface};

use crate::{Crs, CrsError, FileError, GroundFile, reproject};

impl GroundFile {
    /// The same ground in another system: places go through longitude and latitude, a grid is resampled (bilinear) to cells of
    /// the same size. Levels stay. Ground that lies in it already stays as it is; local coordinates cannot be brought anywhere.
    pub fn brought_into(mut self, to: &Crs, most_cells: u64) -> Result<Self, FileError> {
        let from = self.crs.take().ok_or(CrsError::Local)?;
        if to.is_local() {
            return Err(CrsError::Local.into());
        }
        if from == *to {
            return Ok(Self { crs: Some(from), ..self });
        }
        let way = |at: Point| -> Result<Point, CrsError> {
            let (lon, lat) = from.to_lon_lat(at)?;
            to.from_lon_lat(lon, lat)
        };
        let surface = match self.surface {
            Surface::Grid(grid) => Surface::Grid(reproject::into(&grid, &from, to, most_cells)?),
            Surface::Shots(shots) => Surface::Shots(brought(shots, way)?),
            Surface::Survey { shots, lines } => {
                let line = |line: Vec<Shot>| {
                    line.into_iter()
                        .map(|shot| Ok(Shot { at: way(shot.at)?, ..shot }))
                        .collect::<Result<_, CrsError>>()
                };
                let lines = lines.into_iter().map(line).collect::<Result<_, CrsError>>()?;
                Surface::Survey { shots: brought(shots, way)?, lines }
            }
        };
        let mut notes = self.notes;
        notes.push(format!("the ground was brought from {} into {}, the system of the plan", from.name(), to.name()));
        Ok(Self { surface, crs: Some(to.clone()), brought_from: Some(from), notes, ..self })
    }
}

fn brought(shots: Vec<RawShot>, way: impl Fn(Point) -> Result<Point, CrsError>) -> Result<Vec<RawShot>, CrsError> {
    shots.into_iter().map(|shot| Ok(RawShot { at: way(shot.at)?, ..shot })).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{ReadOptions, read_ascii_grid, read_points};

    /// UTM zone 31N of (3.3° E, 56° N) in the North Sea, and of the same place in zone 32N: EPSG:32631 and 32632 as pyproj 3.7.2
    /// (PROJ 9.5.1) turns them.
    const ZONE_31: (f64, f64) = (518_710.312_3, 6_206_120.196_6);
    const ZONE_32: (f64, f64) = (144_723.588_9, 6_220_750.155_7);

    fn crs(code: u32) -> Option<Crs> {
        Crs::from_epsg(code).ok()
    }

    /// A plane of a metre a kilometre to the east around that place.
    fn plane() -> GroundFile {
        let (x, y) = ZONE_31;
        let header = format!("ncols 60\nnrows 60\nxllcorner {}\nyllcorner {}\ncellsize 10\n", x - 300.0, y - 300.0);
        let row: Vec<String> = (0..60).map(|col| format!("{:.3}", 10.0 + f64::from(col) * 0.01)).collect();
        let text = header + &vec![row.join(" "); 60].join("\n");
        read_ascii_grid(text.as_bytes(), &ReadOptions { crs: crs(32631), ..ReadOptions::default() }).unwrap()
    }

    #[test]
    fn a_grid_keeps_its_levels_at_their_place() {
        let into = crs(32632).unwrap();
        let brought = plane().brought_into(&into, 1_000_000).unwrap();
        assert_eq!((brought.crs, brought.brought_from), (Some(into), crs(32631)));
        let (Surface::Grid(before), Surface::Grid(after)) = (plane().surface, brought.surface) else {
            panic!("no grid")
        };
        let level = before.elevation(Point::new(ZONE_31.0, ZONE_31.1)).unwrap();
        let moved = after.elevation(Point::new(ZONE_32.0, ZONE_32.1)).unwrap();
        assert!((level - moved).abs() < 0.002, "{level} {moved}");
    }

    #[test]
    fn shots_are_brought_to_the_millimetre() {
        let (x, y) = ZONE_31;
        let text = format!("{x},{y},12.5\n{},{y},12.6\n{x},{},12.7\n", x + 50.0, y + 50.0);
        let options = ReadOptions { crs: crs(32631), ..ReadOptions::default() };
        let read = read_points(text.as_bytes(), &options).unwrap();
        let Surface::Shots(shots) = read.brought_into(&crs(32632).unwrap(), 100).unwrap().surface else {
            panic!("no shots")
        };
        assert!(measure::distance(shots[0].at, Point::new(ZONE_32.0, ZONE_32.1)) < 0.001, "{:?}", shots[0].at);
        assert_eq!(shots[0].level_m, 12.5);
    }

    #[test]
    fn local_ground_is_brought_nowhere() {
        let local = read_points(b"0,0,1\n10,0,1\n0,10,1\n", &ReadOptions::default()).unwrap();
        assert!(local.brought_into(&crs(32632).unwrap(), 100).is_err());
        assert!(plane().brought_into(&Crs::local(), 100).is_err());
    }
}
