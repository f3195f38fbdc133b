//! How the numbers of a file of places become metres on a plane.

use measure::{LengthUnit, Point};

use crate::ground::Stated;
use crate::{Crs, FileError, ReadOptions};

/// The plane on which places are put.
pub(crate) enum Plane {
    /// The file's own, its unit in metres.
    Own(LengthUnit),
    /// Another, by way of longitude and latitude in degrees.
    Projected(Crs),
}

impl Plane {
    /// Settles the plane between the file and the caller; `degrees` where the numbers are longitude and latitude, the
    /// first of which is `first`. Such numbers go to the plane asked for, or the UTM zone of the first.
    pub fn settle(stated: &mut Stated, degrees: bool, first: Point, options: &ReadOptions) -> Self {
        if !degrees {
            stated.settle_crs(options);
            return Self::Own(stated.settle_unit(options));
        }
        let asked = options.crs.clone().filter(|crs| !crs.is_degrees() && !crs.is_local());
        let own = stated.crs.take().filter(Crs::is_degrees);
        let zone = || own.map_or_else(|| Crs::utm_for(first.x, first.y), |own| own.utm_beside(first.x, first.y));
        let to = asked.unwrap_or_else(zone);
        stated.note(format!("longitudes and latitudes were brought to {}", to.name()));
        stated.notes.extend(to.note());
        stated.crs = Some(to.clone());
        Self::Projected(to)
    }

    /// A place of the file in metres of the plane.
    pub fn place(&self, at: Point) -> Result<Point, FileError> {
        match self {
            Self::Own(unit) => Ok(Point::new(at.x * unit.metres(), at.y * unit.metres())),
            Self::Projected(to) => Ok(to.from_lon_lat(at.x, at.y)?),
        }
    }

    /// The unit in which the file states coordinates; metres for degrees.
    pub fn unit(&self) -> LengthUnit {
        match self {
            Self::Own(unit) => *unit,
            Self::Projected(_) => LengthUnit::Metre,
        }
    }
}

/// Whether a place can be longitude and latitude in degrees.
pub(crate) fn like_degrees(at: Point) -> bool {
    at.x.abs() <= 360.0 && at.y.abs() <= 90.0
}
