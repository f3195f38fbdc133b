//! In what terms coordinates and levels are given; stated on everything that is handed over.

use measure::LengthUnit;

/// A file's name without its folders, as it may stand on what leaves this machine.
pub fn bare_name(file: &str) -> &str {
    file.rsplit(['/', '\\']).find(|part| !part.is_empty()).unwrap_or(file)
}

/// The terms of coordinates and levels.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reference {
    /// The coordinate system by name and code, by its definition, or as local.
    pub system: String,
    /// Unit of easting and northing: that of the system.
    pub across: LengthUnit,
    /// Unit of levels: that of the plan.
    pub up: LengthUnit,
    /// What levels count from, in words.
    pub datum: String,
}

impl Reference {
    /// What stands where nobody says what levels count from.
    pub const NO_DATUM: &str = "not stated";

    /// The terms of a plan that names no ground: both in one unit.
    pub fn without_ground(unit: LengthUnit) -> Self {
        let system = "none, the plan names no ground".into();
        Self { system, across: unit, up: unit, datum: Self::NO_DATUM.into() }
    }

    /// True where it is known what levels count from.
    pub fn has_datum(&self) -> bool {
        self.datum != Self::NO_DATUM
    }

    /// "WGS 84 / UTM zone 31N (EPSG:32631), easting and northing in metres".
    pub fn plane(&self) -> String {
        format!("{}, easting and northing in {}", self.system, self.across.words())
    }

    /// The plane as the terms of coordinates.
    pub fn coordinates(&self) -> String {
        format!("Coordinates: {}", self.plane())
    }

    /// "Levels in US survey feet, vertical datum: NAVD88".
    pub fn levels(&self) -> String {
        format!("Levels in {}, vertical datum: {}", self.up.words(), self.datum)
    }

    /// The same where a file has one unit for all three axes, that of the system.
    pub fn levels_of_one_unit(&self) -> String {
        if self.across == self.up {
            return self.levels();
        }
        let (across, up) = (self.across.words(), self.up.words());
        format!(
            "Heights (z) in {across} like the coordinates, levels and cuts in texts in {up}, vertical datum: {}",
            self.datum
        )
    }
}
