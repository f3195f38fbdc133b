//! Water in soil from its sand, clay and organic matter, after Saxton and Rawls ([SR06], equations 1 to 5, 15 to 18); all
//! contents are shares of the soil's volume. Their fit scatters: see [`SoilWater::FIELD_CAPACITY_OFF`] and its kin.

/// Tension at which a soil counts as drained to field capacity, kPa.
const FIELD_KPA: f64 = 33.0;
/// Tension at which plants wilt, kPa.
const WILT_KPA: f64 = 1_500.0;
/// Metres a second in a millimetre an hour.
pub const MM_PER_HOUR_MS: f64 = 1e-3 / 3_600.0;
/// Organic matter that is taken where none was measured, share of the mass: 2.5 %, as in the table of [SR06].
pub const USUAL_ORGANIC: f64 = 0.025;

/// What a soil is made of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mix {
    /// Share of sand in the mass without organic matter, 0 to 1.
    pub sand: f64,
    /// Share of clay, 0 to 1.
    pub clay: f64,
    /// Share of organic matter, 0 to 0.08, for which the equations were fitted.
    pub organic: f64,
}

/// How a soil holds and lets water through.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SoilWater {
    /// Content at which plants wilt (1,500 kPa).
    pub wilting_point: f64,
    /// Content left when gravity has drained it (33 kPa).
    pub field_capacity: f64,
    /// Content when all pores are full.
    pub saturation: f64,
    /// Tension at which air enters the full soil, kPa.
    pub air_entry_kpa: f64,
}

impl SoilWater {
    /// Standard error of the field capacity ([SR06], table 3, from memory: [memory]).
    pub const FIELD_CAPACITY_OFF: f64 = 0.05;
    /// Standard error of the saturation (the same).
    pub const SATURATION_OFF: f64 = 0.04;
    /// Standard error of the wilting point (the same).
    pub const WILTING_POINT_OFF: f64 = 0.02;

    /// By the equations of [SR06], which count organic matter in percent.
    pub fn of(mix: Mix) -> Self {
        let (s, c, om) = (mix.sand, mix.clay, mix.organic * 100.0);
        let wilt = -0.024 * s + 0.487 * c + 0.006 * om + 0.005 * s * om - 0.013 * c * om + 0.068 * s * c + 0.031;
        let field = -0.251 * s + 0.195 * c + 0.011 * om + 0.006 * s * om - 0.027 * c * om + 0.452 * s * c + 0.299;
        let drained = 0.278 * s + 0.034 * c + 0.022 * om - 0.018 * s * om - 0.027 * c * om - 0.584 * s * c + 0.078;
        let field_capacity = field + (1.283 * field * field - 0.374 * field - 0.015);
        let drained = drained + (0.636 * drained - 0.107);
        let entry = -21.67 * s - 27.93 * c - 81.97 * drained
            + 71.12 * s * drained
            + 8.29 * c * drained
            + 14.05 * s * c
            + 27.16;
        Self {
            wilting_point: wilt + (0.14 * wilt - 0.02),
            field_capacity,
            saturation: field_capacity + drained - 0.097 * s + 0.043,
            air_entry_kpa: (entry + (0.02 * entry * entry - 0.113 * entry - 0.70)).max(0.0),
        }
    }

    /// Slope of the tension curve on logarithmic scales, B of [SR06].
    fn slope(self) -> f64 {
        (WILT_KPA / FIELD_KPA).ln() / (self.field_capacity / self.wilting_point).ln()
    }

    /// Saturated conductivity, m/s.
    pub fn conductivity_ms(self) -> f64 {
        let pores = (self.saturation - self.field_capacity).max(0.0);
        1930.0 * pores.powf(3.0 - 1.0 / self.slope()) * MM_PER_HOUR_MS
    }

    /// Conductivity at a content below saturation, m/s.
    pub fn conductivity_at_ms(self, content: f64) -> f64 {
        let filled = (content / self.saturation).clamp(0.0, 1.0);
        self.conductivity_ms() * filled.powf(3.0 + 2.0 * self.slope())
    }

    /// Tension with which the soil holds its water at a content between wilting point and field capacity, kPa.
    pub fn tension_kpa(self, content: f64) -> f64 {
        let slope = self.slope();
        (FIELD_KPA.ln() + slope * self.field_capacity.ln()).exp() * content.powf(-slope)
    }

    /// Density of the dry soil, kg/m³: solids of 2,650.
    pub fn density_kg_m3(self) -> f64 {
        (1.0 - self.saturation) * 2_650.0
    }
}

/// Share of the volume that drains as the water table falls, from the conductivity, m/s, after van Beers: in percent the
/// root of the centimetres a day ([memory]; it runs along the diagonal of the tables of [FAO62]).
pub fn drainable_porosity(conductivity_ms: f64) -> f64 {
    (conductivity_ms * 100.0 * measure::DAY_S).sqrt() / 100.0
}
