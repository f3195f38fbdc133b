//! Map projections by their parameters, written as definitions that the projection library reads.

use measure::LengthUnit;

/// A way of projecting, by its name in the definitions.
pub(crate) type Method = &'static str;

/// A parameter of a projection.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Key {
    Latitude,
    Longitude,
    Parallel1,
    Parallel2,
    Scale,
    Easting,
    Northing,
    Azimuth,
    Skew,
}

impl Key {
    /// Whether its values are angles.
    pub fn is_angle(self) -> bool {
        !self.is_length() && self != Self::Scale
    }

    /// Whether its values are lengths.
    pub fn is_length(self) -> bool {
        matches!(self, Self::Easting | Self::Northing)
    }
}

/// Small letters and digits alone: `Lambert_Conformal_Conic_(2SP)` becomes `lambertconformalconic2sp`.
fn plain(name: &str) -> String {
    name.to_lowercase().chars().filter(|c| c.is_alphanumeric()).collect()
}

/// The method of a name in OGC, ESRI or EPSG words.
pub(crate) fn method_of(name: &str) -> Option<Method> {
    Some(match plain(name).as_str() {
        "transversemercator" | "gausskruger" | "transversemercatorcomplex" => "tmerc",
        "lambertconformalconic"
        | "lambertconformalconic1sp"
        | "lambertconformalconic2sp"
        | "lambertconicconformal1sp"
        | "lambertconicconformal2sp" => "lcc",
        "albers" | "albersconicequalarea" | "albersequalarea" => "aea",
        "mercator" | "mercator1sp" | "mercator2sp" | "mercatorvarianta" | "mercatorvariantb" => "merc",
        "mercatorauxiliarysphere" | "popularvisualisationpseudomercator" => "webmerc",
        "lambertazimuthalequalarea" => "laea",
        "polarstereographic"
        | "stereographicnorthpole"
        | "stereographicsouthpole"
        | "polarstereographicvarianta"
        | "polarstereographicvariantb" => "stere",
        "obliquestereographic" | "doublestereographic" => "sterea",
        "hotineobliquemercator" | "hotineobliquemercatorvarianta" | "hotineobliquemercatorazimuthnaturalorigin" => {
            "omerc +no_uoff"
        }
        "hotineobliquemercatorvariantb"
        | "hotineobliquemercatorazimuthcenter"
        | "obliquemercator"
        | "rectifiedskeworthomorphiccenter" => "omerc",
        "swissobliquecylindrical" | "swissobliquemercator" => "somerc",
        "cassini" | "cassinisoldner" => "cass",
        "equidistantcylindrical" | "equirectangular" | "platecarree" => "eqc",
        "azimuthalequidistant" => "aeqd",
        "newzealandmapgrid" => "nzmg",
        "krovak" | "krovaknorthorientated" => "krovak",
        _ => return None,
    })
}

/// The parameter of a name in OGC, ESRI or EPSG words.
pub(crate) fn parameter_of(name: &str) -> Option<Key> {
    Some(match plain(name).as_str() {
        "latitudeoforigin"
        | "latitudeofcenter"
        | "latitudeofcentre"
        | "latitudeofnaturalorigin"
        | "latitudeoffalseorigin"
        | "latitudeofprojectioncentre" => Key::Latitude,
        "centralmeridian"
        | "longitudeofcenter"
        | "longitudeofcentre"
        | "longitudeoforigin"
        | "longitudeofnaturalorigin"
        | "longitudeoffalseorigin"
        | "longitudeofprojectioncentre" => Key::Longitude,
        "standardparallel1" | "latitudeof1ststandardparallel" | "latitudeofstandardparallel" => Key::Parallel1,
        "standardparallel2" | "latitudeof2ndstandardparallel" => Key::Parallel2,
        "scalefactor"
        | "scalefactoratnaturalorigin"
        | "scalefactoronpseudostandardparallel"
        | "scalefactoronintialline"
        | "scalefactoroninitialline"
        | "scalefactoratprojectioncentre" => Key::Scale,
        "falseeasting" | "eastingatfalseorigin" | "eastingatprojectioncentre" => Key::Easting,
        "falsenorthing" | "northingatfalseorigin" | "northingatprojectioncentre" => Key::Northing,
        "azimuth" | "azimuthofinitialline" | "azimuthatprojectioncentre" => Key::Azimuth,
        "rectifiedgridangle" | "xyplanerotation" | "anglefromrectifiedtoskewgrid" => Key::Skew,
        _ => return None,
    })
}

/// Datum and ellipsoid of a system.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Datum {
    pub name: String,
    pub major_m: f64,
    /// 0 for a sphere.
    pub inverse_flattening: f64,
    /// Shift to WGS 84: none, three or seven numbers.
    pub shift: Vec<f64>,
    /// Prime meridian, degrees east of Greenwich.
    pub meridian_deg: f64,
}

impl Datum {
    /// The words of a definition. Only data whose own shift to WGS 84 is nothing, or by convention taken so, are named.
    pub fn words(&self) -> String {
        let name = plain(self.name.strip_prefix("D_").unwrap_or(&self.name));
        let near = |a: f64, b: f64| (a - b).abs() < 1e-6 * b;
        let is = |rf: f64| near(self.major_m, 6_378_137.0) && near(self.inverse_flattening, rf);
        let named = match name.as_str() {
            "wgs1984" | "worldgeodeticsystem1984" | "wgs84" | "worldgeodeticsystem1984ensemble" => Some("WGS84"),
            "northamerican1983" | "northamericandatum1983" | "nad83" => Some("NAD83"),
            "northamerican1927" | "northamericandatum1927" | "nad27" => Some("NAD27"),
            _ => None,
        };
        let mut words = match named {
            Some(datum) => format!("+datum={datum}"),
            None if is(298.257_222_101) && self.inverse_flattening < 298.257_222_9 => "+ellps=GRS80".into(),
            None if is(298.257_223_563) => "+ellps=WGS84".into(),
            None if self.inverse_flattening > 0.0 => format!("+a={} +rf={}", self.major_m, self.inverse_flattening),
            None => format!("+a={0} +b={0}", self.major_m),
        };
        if named.is_none() && matches!(self.shift.len(), 3 | 7) {
            let list: Vec<String> = self.shift.iter().map(f64::to_string).collect();
            words += &format!(" +towgs84={}", list.join(","));
        }
        if self.meridian_deg != 0.0 {
            words += &format!(" +pm={}", tidy(self.meridian_deg));
        }
        words
    }
}

/// A number without the dust of conversion between units.
fn tidy(value: f64) -> f64 {
    let rounded = (value * 1e10).round() / 1e10;
    if (rounded - value).abs() <= 1e-9 { rounded } else { value }
}

/// A system by its parameters: angles in degrees, lengths in metres.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Definition {
    method: Method,
    /// Words such as `+datum=NAD83` or `+ellps=GRS80`.
    datum: String,
    unit: LengthUnit,
    values: Vec<(Key, f64)>,
}

impl Definition {
    /// A projection without its parameters.
    pub fn new(method: Method, datum: String, unit: LengthUnit) -> Self {
        Self { method, datum, unit, values: Vec::new() }
    }

    /// Longitude and latitude in degrees.
    pub fn geographic(datum: String) -> Self {
        Self::new("longlat", datum, LengthUnit::Metre)
    }

    /// Whether no parameter is set.
    pub fn is_bare(&self) -> bool {
        self.values.is_empty()
    }

    /// Sets a parameter.
    pub fn set(&mut self, key: Key, value: f64) {
        self.values.retain(|(known, _)| *known != key);
        self.values.push((key, value));
    }

    fn get(&self, key: Key) -> Option<f64> {
        self.values.iter().find(|(known, _)| *known == key).map(|(_, value)| tidy(*value))
    }

    /// The definition as text.
    pub fn text(&self) -> String {
        if self.method == "longlat" {
            return format!("+proj=longlat {} +no_defs", self.datum);
        }
        if let Some(zone) = self.utm() {
            return format!("{zone} {}{} +no_defs", self.datum, self.units());
        }
        let value = |sign: &str, key: Key| self.get(key).map(|value| format!(" +{sign}={value}")).unwrap_or_default();
        let shape = match self.method {
            "webmerc" => {
                return format!(
                    "+proj=merc +a=6378137 +b=6378137 +lat_ts=0{}{} +x_0=0 +y_0=0{} +no_defs",
                    value("lon_0", Key::Longitude),
                    "",
                    self.units()
                );
            }
            "lcc" => {
                let first = self.get(Key::Parallel1).or(self.get(Key::Latitude)).unwrap_or(0.0);
                let origin = self.get(Key::Latitude).unwrap_or(first);
                format!(
                    " +lat_0={origin} +lat_1={first}{}{}",
                    value("lat_2", Key::Parallel2),
                    value("lon_0", Key::Longitude)
                )
            }
            "stere" => self.polar() + &value("lon_0", Key::Longitude),
            "merc" | "eqc" => value("lat_ts", Key::Parallel1) + &value("lon_0", Key::Longitude),
            "omerc" | "omerc +no_uoff" => {
                let skew = self.get(Key::Skew).or(self.get(Key::Azimuth));
                let skew = skew.map(|angle| format!(" +gamma={angle}")).unwrap_or_default();
                value("lat_0", Key::Latitude) + &value("lonc", Key::Longitude) + &value("alpha", Key::Azimuth) + &skew
            }
            _ => [
                ("lat_0", Key::Latitude),
                ("lon_0", Key::Longitude),
                ("lat_1", Key::Parallel1),
                ("lat_2", Key::Parallel2),
            ]
            .map(|(sign, key)| value(sign, key))
            .concat(),
        };
        let rest = value("k_0", Key::Scale) + &value("x_0", Key::Easting) + &value("y_0", Key::Northing);
        format!("+proj={}{shape}{rest} {}{} +no_defs", self.method, self.datum, self.units())
    }

    fn units(&self) -> &'static str {
        match self.unit {
            LengthUnit::Metre => " +units=m",
            LengthUnit::Foot => " +units=ft",
            LengthUnit::SurveyFoot => " +units=us-ft",
        }
    }

    /// Origin of a polar stereographic projection: the parallel of true scale may be given as the origin.
    fn polar(&self) -> String {
        let latitude = self.get(Key::Parallel1).or(self.get(Key::Latitude)).unwrap_or(90.0);
        let pole = 90f64.copysign(latitude);
        if latitude.abs() < 90.0 { format!(" +lat_0={pole} +lat_ts={latitude}") } else { format!(" +lat_0={pole}") }
    }

    /// The zone, where the parameters are those of UTM (NGA definition).
    fn utm(&self) -> Option<String> {
        let is = |key: Key, value: f64| self.get(key).unwrap_or(0.0) == value;
        let zone = (self.get(Key::Longitude)? + 183.0) / 6.0;
        let south = is(Key::Northing, 1e7);
        let utm = self.method == "tmerc" && is(Key::Scale, 0.9996) && is(Key::Easting, 5e5) && is(Key::Latitude, 0.0);
        let fits = utm && (south || is(Key::Northing, 0.0)) && zone.fract() == 0.0 && (1.0..=60.0).contains(&zone);
        fits.then(|| format!("+proj=utm +zone={zone}{}", if south { " +south" } else { "" }))
    }
}
