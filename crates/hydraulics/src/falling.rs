//! A water table that falls between drains after rain. All lengths in metres, times in seconds.

use std::f64::consts::PI;

use crate::hooghoudt::{Soil, equivalent_depth_m};

/// Shape of the water table at the start, by Glover and Dumm ([ILRI16], equation 8.28 to 8.33, p. 283–284): flat.
pub const FLAT: f64 = 1.27;
/// The same: the arch of a parabola of the fourth degree.
pub const ARCHED: f64 = 1.16;

/// Which depth of flow is put for the changing one: a choice that moves the spacing by some 5 %, and is told with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MeanDepth {
    /// The equivalent depth alone ([ILRI16]; the usual one here).
    Equivalent,
    /// With half the arch at the start ([USBR]).
    HalfStart,
    /// With a quarter of both arches (a field paper of 1988).
    QuarterBoth,
}

impl MeanDepth {
    /// The depth of flow, metres.
    pub fn of(self, equivalent_m: f64, start_m: f64, end_m: f64) -> f64 {
        match self {
            Self::Equivalent => equivalent_m,
            Self::HalfStart => equivalent_m + start_m / 2.0,
            Self::QuarterBoth => equivalent_m + (start_m + end_m) / 4.0,
        }
    }
}

/// A water table midway between drains that falls from one height over them to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fall {
    /// Saturated conductivity, m/s.
    pub conductivity_ms: f64,
    /// Share of the volume that drains.
    pub porosity: f64,
    /// Height at the start, metres.
    pub start_m: f64,
    /// Height at the end, metres.
    pub end_m: f64,
}

impl Fall {
    /// The dimensionless group K D t / (S L²) of the transient method ([USBR]).
    pub fn group(self, mean_depth_m: f64, time_s: f64, spacing_m: f64) -> f64 {
        self.conductivity_ms * mean_depth_m * time_s / (self.porosity * spacing_m * spacing_m)
    }

    /// αt of Glover and Dumm: their first term alone holds only above 0.2 ([ILRI16]).
    pub fn alpha_t(self, mean_depth_m: f64, time_s: f64, spacing_m: f64) -> f64 {
        PI * PI * self.group(mean_depth_m, time_s, spacing_m)
    }

    fn decay(self, shape: f64) -> f64 {
        (shape * self.start_m / self.end_m).ln()
    }

    /// Spacing by Glover and Dumm at which the table falls so in a time, metres.
    pub fn glover_dumm_spacing_m(self, mean_depth_m: f64, time_s: f64, shape: f64) -> f64 {
        PI * (self.conductivity_ms * mean_depth_m * time_s / self.porosity / self.decay(shape)).sqrt()
    }

    /// The same with the equivalent depth at its own spacing, metres.
    pub fn glover_dumm_fitted_m(self, (tight_below_m, radius_m): (f64, f64), mean: MeanDepth, time_s: f64) -> f64 {
        let next = |spacing_m: f64| {
            let equivalent_m = equivalent_depth_m(tight_below_m, spacing_m, radius_m);
            self.glover_dumm_spacing_m(mean.of(equivalent_m, self.start_m, self.end_m), time_s, ARCHED)
        };
        // Each step takes the root of a depth that grows slower than the spacing: it closes in from anywhere.
        (0..200).fold(tight_below_m.max(radius_m) * 10.0, |spacing_m, _| next(spacing_m))
    }

    /// Time in which the table falls so by Glover and Dumm, seconds.
    pub fn glover_dumm_time_s(self, mean_depth_m: f64, spacing_m: f64, shape: f64) -> f64 {
        self.decay(shape) * self.porosity * spacing_m * spacing_m / (PI * PI * self.conductivity_ms * mean_depth_m)
    }

    /// ln[m0 (2 d + m)] − ln[m (2 d + m0)].
    fn schilfgaarde_decay(self, equivalent_m: f64) -> f64 {
        let twice = 2.0 * equivalent_m;
        (self.start_m * (twice + self.end_m) / (self.end_m * (twice + self.start_m))).ln()
    }

    /// Spacing after van Schilfgaarde at which the table falls so in a time, metres ([memory]; the 9 stands for a table whose
    /// mean height is 8/9 of that midway, [computed]).
    pub fn schilfgaarde_spacing_m(self, equivalent_m: f64, time_s: f64) -> f64 {
        let decay = self.schilfgaarde_decay(equivalent_m);
        (9.0 * self.conductivity_ms * time_s * equivalent_m / (self.porosity * decay)).sqrt()
    }

    /// Spacing after van Schilfgaarde with the equivalent depth at its own spacing, metres.
    pub fn schilfgaarde_fitted_m(self, (tight_below_m, radius_m): (f64, f64), time_s: f64) -> f64 {
        let next = |spacing_m: f64| {
            self.schilfgaarde_spacing_m(equivalent_depth_m(tight_below_m, spacing_m, radius_m), time_s)
        };
        // As for Glover and Dumm: it closes in from anywhere.
        (0..200).fold(tight_below_m.max(radius_m) * 10.0, |spacing_m, _| next(spacing_m))
    }

    /// Time in which the table falls so after van Schilfgaarde, seconds; the equivalent depth above 0.
    pub fn schilfgaarde_time_s(self, equivalent_m: f64, spacing_m: f64) -> f64 {
        let decay = self.schilfgaarde_decay(equivalent_m);
        spacing_m * spacing_m * self.porosity * decay / (9.0 * self.conductivity_ms * equivalent_m)
    }

    /// The fall that a soil, its porosity and two heights make; the soil below the drain counts.
    pub const fn of(soil: Soil, porosity: f64, start_m: f64, end_m: f64) -> Self {
        Self { conductivity_ms: soil.below_ms, porosity, start_m, end_m }
    }
}

/// How far the water table rises when so much water stays in the soil, metres.
pub fn rise_m(water_m: f64, porosity: f64) -> f64 {
    water_m / porosity
}
