//! What a coordinate system is called, and what its longitudes and latitudes are, in words.

use measure::LengthUnit;
use plan::{GroundRef, Plan, Reference};

use crate::Crs;

/// Data on which a shift to WGS 84 other than nothing is published, though definitions of systems on them hold none: how far
/// it moves a place at most, metres (EPSG transformations by PROJ 9.5.1, middle and corners of each system's area;
/// `tests/reference/coords_values.py`).
const SHIFTS_M: [(&str, f64); 5] =
    [("NAD83(HARN)", 1.4), ("NAD83(CSRS)", 1.4), ("NAD83(CSRS98)", 1.3), ("POSGAR 2007", 0.8), ("CR05", 0.8)];

/// Vertical systems by the beginning of their usual names, in words (EPSG registry).
const HEIGHTS: [(&str, &str); 14] = [
    ("NAVD88", "North American Vertical Datum of 1988"),
    ("NGVD29", "National Geodetic Vertical Datum of 1929"),
    ("CGVD28", "Canadian Geodetic Vertical Datum of 1928"),
    ("CGVD2013", "Canadian Geodetic Vertical Datum of 2013"),
    ("ODN", "Ordnance Datum Newlyn"),
    ("NAP", "Normaal Amsterdams Peil"),
    ("AHD", "Australian Height Datum"),
    ("NGF-IGN69", "Nivellement General de la France, IGN69"),
    ("EVRF2000", "European Vertical Reference Frame 2000"),
    ("EVRF2007", "European Vertical Reference Frame 2007"),
    ("EGM96", "mean sea by the geoid EGM96"),
    ("EGM2008", "mean sea by the geoid EGM2008"),
    ("DHHN92", "Deutsches Haupthoehennetz 1992"),
    ("DHHN2016", "Deutsches Haupthoehennetz 2016"),
];

impl Crs {
    /// Its name in the registry: "NAD83 / California zone 1 (ftUS)"; `None` for local coordinates and systems without a
    /// code.
    pub fn title(&self) -> Option<&'static str> {
        self.registered(0)
    }

    /// Its datum as the registry calls it: "NAD83(HARN)".
    pub fn datum_name(&self) -> Option<&'static str> {
        self.registered(if self.is_degrees() { 0 } else { 1 })
    }

    /// A name of its entry in the registry, counted from the outside.
    fn registered(&self, depth: usize) -> Option<&'static str> {
        let known = crs_definitions::from_code(u16::try_from(self.code()?).ok()?)?;
        // What stands in quotes: of a projected system its own name first, then that of the system of its degrees.
        known.wkt.split('"').nth(2 * depth + 1)
    }

    /// The system by name and code, or by its definition.
    pub fn words(&self) -> String {
        match (self.title(), self.code()) {
            (Some(title), Some(code)) => format!("{title} (EPSG:{code})"),
            _ if self.is_local() => "local, no coordinate system named".into(),
            _ => format!("defined as {}", self.name()),
        }
    }

    /// How far a published shift to WGS 84, which is not applied, moves places at most, metres.
    pub(crate) fn left_out_shift_m(&self) -> Option<f64> {
        let datum = self.datum_name()?;
        SHIFTS_M.iter().find(|(name, _)| *name == datum).map(|(_, most_m)| *most_m)
    }

    /// What longitudes and latitudes written from this system are, and what was done to bring them to WGS 84: said in
    /// every file that carries them.
    pub fn degrees_words(&self) -> String {
        if let Some(note) = self.note() {
            return format!("Longitude and latitude in degrees. {note}");
        }
        match self.datum_name() {
            Some("WGS 84") => "Longitude and latitude in degrees on WGS 84".into(),
            datum => format!(
                "Longitude and latitude in degrees on {}, taken as WGS 84: no shift of datum is applied, and the two lie \
                 up to a few meters apart",
                datum.unwrap_or("the datum of the system")
            ),
        }
    }
}

/// In what terms a plan's coordinates and levels are handed over: those of its ground's system, levels in the units of the
/// plan. Without ground both are in the plan's unit.
pub fn reference(plan: &Plan) -> Reference {
    let up = plan.title.units.length_unit();
    let Some(ground) = &plan.ground else { return Reference::without_ground(up) };
    let (system, across) = placed(ground);
    Reference { system, across, up, datum: datum_words(ground.datum.trim()) }
}

fn placed(ground: &GroundRef) -> (String, LengthUnit) {
    match Crs::of_ground(ground) {
        Ok(crs) => (crs.words(), crs.unit()),
        Err(_) => (format!("{}, which is not known here", ground.crs), ground.horizontal_unit),
    }
}

/// What levels count from, in words.
fn datum_words(datum: &str) -> String {
    let starts = |(short, _): &&(&str, &str)| {
        let rest = datum.strip_prefix(*short);
        rest.is_some_and(|rest| !rest.starts_with(char::is_alphanumeric))
    };
    match HEIGHTS.iter().find(starts) {
        _ if datum.is_empty() => Reference::NO_DATUM.into(),
        Some((_, words)) if !datum.contains(words) => format!("{datum}, {words}"),
        _ => datum.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn systems_are_named_by_name_and_code() {
        let words = |code| Crs::from_epsg(code).unwrap().words();
        assert_eq!(words(2225), "NAD83 / California zone 1 (ftUS) (EPSG:2225)");
        assert_eq!(words(26915), "NAD83 / UTM zone 15N (EPSG:26915)");
        assert_eq!(words(4326), "WGS 84 (EPSG:4326)");
        let own = Crs::parse("+proj=laea +lat_0=48 +lon_0=9 +ellps=GRS80 +units=m").unwrap();
        assert_eq!(own.words(), "defined as +proj=laea +lat_0=48 +lon_0=9 +ellps=GRS80 +units=m");
        assert_eq!(Crs::local_in(LengthUnit::Foot).words(), "local, no coordinate system named");
    }

    #[test]
    fn the_datum_of_a_system_is_that_of_its_degrees() {
        let datum = |code| Crs::from_epsg(code).unwrap().datum_name();
        assert_eq!(datum(2870), Some("NAD83(HARN)"));
        assert_eq!(datum(32631), Some("WGS 84"));
        assert_eq!(datum(4269), Some("NAD83"));
    }

    /// tests/reference/coords_values.json, by PROJ 9.5.1: what is said of a shift is no less than it is, and at most a
    /// decimetre more.
    #[test]
    fn shifts_that_are_left_out_are_as_large_as_said() {
        let values: serde_json::Value =
            serde_json::from_str(include_str!("../../../tests/reference/coords_values.json")).unwrap();
        for (datum, said_m) in SHIFTS_M {
            let shift_m = values["shifts_m"][datum].as_f64().unwrap();
            assert!(
                (said_m - 0.11..=said_m).contains(&shift_m),
                "{datum}: {said_m} m said, {shift_m} m are published"
            );
        }
        let harn = Crs::from_epsg(2870).unwrap().degrees_words();
        assert!(
            harn.contains("is on NAD83(HARN); no shift to WGS 84 is applied") && harn.contains("1.4 m away"),
            "{harn}"
        );
        assert!(
            Crs::from_epsg(2225).unwrap().degrees_words().contains("on NAD83, taken as WGS 84: no shift of datum")
        );
        assert_eq!(Crs::from_epsg(32631).unwrap().degrees_words(), "Longitude and latitude in degrees on WGS 84");
    }

    #[test]
    fn vertical_data_are_spelled_out() {
        assert_eq!(
            datum_words("NAVD88 height (ftUS)"),
            "NAVD88 height (ftUS), North American Vertical Datum of 1988"
        );
        assert_eq!(datum_words("CGVD2013(CGG2013) height").split(", ").count(), 2);
        assert_eq!(datum_words("NAPper's own"), "NAPper's own");
        assert_eq!(datum_words(""), "not stated");
    }
}
