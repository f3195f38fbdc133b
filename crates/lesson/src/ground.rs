//! Under the ground: how an invented soil between two pipes dries after a rain, day by day, and how long it would stay wet
//! without them.

use crate::figure::small;
use hydraulics::{EFFECTIVE_RADIUS_M, Estimate, drainable_porosity};
use land::{SoilAt, SoilFrom};
use measure::{FOOT_M, INCH_M, Units};
use plan::{SoilLayer, Texture};
use watertable::{Section, Weather, between_drains};

/// Depth of the root zone that a class looks at, metres: 18 in ([judgement]: most feeding roots of vines and trees).
pub const ROOTS_M: f64 = 18.0 * INCH_M;
/// Roots want the air back within so many days ([judgement], common practice for fruit).
pub const AIR_WITHIN_DAYS: usize = 2;
/// Depth of the tight layer, metres.
pub const TIGHT_M: f64 = 6.0 * FOOT_M;
/// Days after the rain that are shown.
pub const DAYS: usize = 10;

/// Days that are looked through for the end of the wet.
const LOOKED: usize = 30;
/// What the air takes from a wet surface in a day, metres ([judgement]: a mild day in May).
const EVAPORATION_M: f64 = 0.004;
/// From one ditch to the next where there is no pipe, metres: nothing moves sideways midway.
const NO_PIPE_M: f64 = 500.0;

/// Soils to choose from, from the most open to the tightest.
pub const SOILS: [Texture; 5] =
    [Texture::SandyLoam, Texture::Loam, Texture::ClayLoam, Texture::SiltyClayLoam, Texture::Clay];

/// What a class sets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setting {
    /// From pipe to pipe, metres.
    pub spacing_m: f64,
    /// Depth of the pipes, metres.
    pub depth_m: f64,
    /// The soil.
    pub texture: Texture,
    /// The rain that soaks in, metres.
    pub rain_m: f64,
}

impl Default for Setting {
    /// Clay loam, a pipe in every third middle of rows 9 ft apart, two inches of rain.
    fn default() -> Self {
        Self { spacing_m: 27.0 * FOOT_M, depth_m: 3.5 * FOOT_M, texture: Texture::ClayLoam, rain_m: 2.0 * INCH_M }
    }
}

impl Setting {
    /// The same, round in the units of a class.
    pub fn usual(units: Units) -> Self {
        if units.is_metric() {
            Self { spacing_m: 8.0, depth_m: 1.0, rain_m: 0.05, ..Self::default() }
        } else {
            Self::default()
        }
    }
}

/// How many days it stays wet: the least and the most that may be; `None` for longer than a month.
pub type Wet = (Option<usize>, Option<usize>);

/// How the ground of a setting dries.
#[derive(Debug, Clone, PartialEq)]
pub struct Drying {
    /// What was set.
    pub setting: Setting,
    /// The soil, as one pit would tell it.
    pub soil: SoilAt,
    /// Share of it that drains.
    pub porosity: Estimate,
    /// Depth of the water table from pipe to pipe, metres: before the rain, when it has soaked in, then at the end of each
    /// of the [`DAYS`].
    pub tables_m: Vec<Vec<f64>>,
    /// Depth midway without pipes at the same moments, metres.
    pub undrained_m: Vec<f64>,
    /// Days that the root zone midway is wet with pipes.
    pub wet: Wet,
    /// The same without pipes.
    pub wet_undrained: Wet,
}

impl Drying {
    /// How the ground of a setting dries.
    pub fn of(setting: Setting) -> Self {
        let soil = soil(setting.texture);
        // Open soil drains more of itself, by the same relation as the formulas use.
        let porosity = soil.conductivity.map(drainable_porosity);
        let likely = Trial { setting, conductivity_ms: soil.conductivity.likely, porosity: porosity.likely };
        let corners = [soil.conductivity.low, soil.conductivity.high]
            .map(|conductivity_ms| [porosity.low, porosity.high].map(|porosity| (conductivity_ms, porosity)));
        let trials = corners.into_iter().flatten().map(|(conductivity_ms, porosity)| Trial {
            setting,
            conductivity_ms,
            porosity,
        });
        let trials: Vec<Trial> = trials.chain([likely]).collect();
        let tables_m = likely.tables_m(setting.spacing_m, DAYS);
        let undrained_m = likely.tables_m(NO_PIPE_M, DAYS).iter().map(|table| midway(table)).collect();
        let wet = |spacing_m: f64| range(trials.iter().map(|trial| trial.wet_days(spacing_m)));
        Self {
            setting,
            porosity,
            tables_m,
            undrained_m,
            wet: wet(setting.spacing_m),
            wet_undrained: wet(NO_PIPE_M),
            soil,
        }
    }

    /// A step in words.
    pub fn moment_words(&self, step: usize, units: Units) -> String {
        let deep = units.depth(self.midway_m(step));
        let rain = small(self.setting.rain_m, units);
        match step {
            0 => "Before the rain the water stands at the pipes.".into(),
            1 => format!("Day 0: {rain} of rain have soaked in. Midway the water stands {deep} deep."),
            step => format!("Day {}. Midway the water stands {deep} deep.", step - 1),
        }
    }

    /// Depth of the water table midway at a step, metres.
    pub fn midway_m(&self, step: usize) -> f64 {
        self.tables_m.get(step).map_or(self.setting.depth_m, |table| midway(table))
    }
}

/// A soil of a texture as one pit shows it: the mean conductivity of its kind ([K78]), within the factor of one measured pit.
fn soil(texture: Texture) -> SoilAt {
    let conductivity_ms = texture.conductivities_ms().first().map(|(_, mean_ms, _)| *mean_ms);
    SoilAt::of(&SoilLayer { conductivity_ms, ..SoilLayer::of(TIGHT_M, texture) }, Some(TIGHT_M), SoilFrom::Given)
}

/// One of the soils that a setting may mean.
#[derive(Clone, Copy)]
struct Trial {
    setting: Setting,
    conductivity_ms: f64,
    porosity: f64,
}

impl Trial {
    /// Tables before the rain, after it and at the end of so many days; the water stands at the pipes before.
    fn tables_m(self, spacing_m: f64, days: usize) -> Vec<Vec<f64>> {
        let depth_m = self.setting.depth_m;
        let section = Section {
            spacing_m,
            drain_depth_m: depth_m,
            tight_depth_m: TIGHT_M,
            radius_m: EFFECTIVE_RADIUS_M,
            conductivity_ms: self.conductivity_ms,
            porosity: self.porosity,
        };
        let weather = vec![Weather { rain_m: 0.0, evaporation_m: EVAPORATION_M }; days];
        let after = between_drains(&section, self.risen_to_m(), &weather);
        let before = vec![depth_m; after.first().map_or(0, Vec::len)];
        std::iter::once(before).chain(after).collect()
    }

    /// Depth of the water table once the rain has soaked in, metres; what finds no room runs off.
    fn risen_to_m(self) -> f64 {
        (self.setting.depth_m - self.setting.rain_m / self.porosity).max(0.0)
    }

    /// Days until the table midway has left the root zone.
    fn wet_days(self, spacing_m: f64) -> Option<usize> {
        let tables_m = self.tables_m(spacing_m, LOOKED);
        tables_m.iter().skip(1).position(|table| midway(table) >= ROOTS_M)
    }
}

fn midway(table_m: &[f64]) -> f64 {
    table_m.get(table_m.len() / 2).copied().unwrap_or_default()
}

/// The least and the most; longer than looked through is more than any.
fn range(days: impl Iterator<Item = Option<usize>>) -> Wet {
    let days: Vec<usize> = days.map(|days| days.unwrap_or(LOOKED + 1)).collect();
    let known = |days: usize| (days <= LOOKED).then_some(days);
    let (least, most) = (days.iter().min(), days.iter().max());
    (known(least.copied().unwrap_or_default()), known(most.copied().unwrap_or_default()))
}

/// Days in words: "1 to 3 days", "not at all", "9 days to over a month".
pub fn wet_words(wet: Wet) -> String {
    match wet {
        (None, _) => "over a month".into(),
        (Some(least), None) => format!("{} to over a month", measure::how_many(least, "day")),
        (Some(0), Some(0)) => "not at all".into(),
        (Some(least), Some(most)) if least == most => measure::how_many(least, "day"),
        (Some(least), Some(most)) => format!("{least} to {}", measure::how_many(most, "day")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn with(change: impl Fn(&mut Setting)) -> Drying {
        let mut setting = Setting::default();
        change(&mut setting);
        Drying::of(setting)
    }

    /// By hand: two inches over the drainable porosity, from the pipes up, no farther than the surface.
    #[test]
    fn the_rain_raises_the_table_by_itself_over_the_porosity() {
        for texture in SOILS {
            let drying = with(|setting| setting.texture = texture);
            let rise_m = drying.setting.rain_m / drying.porosity.likely;
            let expected_m = (drying.setting.depth_m - rise_m).max(0.0);
            assert!((drying.midway_m(1) - expected_m).abs() < 2e-3, "{texture:?}");
            assert_eq!(drying.midway_m(0), drying.setting.depth_m);
        }
    }

    /// The arch is lowest at the pipes, highest midway, and falls from day to day until it lies flat; then the roots draw on it.
    #[test]
    fn the_arch_falls_day_by_day() {
        let drying = Drying::of(Setting::default());
        assert_eq!(drying.tables_m.len(), DAYS + 2);
        for step in 2..drying.tables_m.len() {
            let table = &drying.tables_m[step];
            assert!(drying.midway_m(step) > drying.midway_m(step - 1), "step {step}");
            assert!(table[0] > midway(table) || table[0] > drying.setting.depth_m, "step {step}");
            assert!((table[0] - table[table.len() - 1]).abs() < 1e-12, "both sides alike");
        }
    }

    #[test]
    fn pipes_dry_the_roots_sooner_and_nearer_pipes_sooner_still() {
        let usual = Drying::of(Setting::default());
        let wide = with(|setting| setting.spacing_m *= 2.0);
        for texture in SOILS {
            let drying = with(|setting| setting.texture = texture);
            assert!(drying.wet.1.unwrap_or(99) <= drying.wet_undrained.1.unwrap_or(99));
        }
        assert!(usual.wet.1 < wide.wet.1 && usual.wet.0 <= wide.wet.0);
        assert!(usual.wet.1 < usual.wet_undrained.1);
    }

    /// Without the air's share the water midway falls in proportion to the square of the spacing, as the formulas of the
    /// falling table have it (Glover and Dumm, [ILRI16] equation 8.28; equivalent depths differ, hence a band).
    #[test]
    fn twice_the_spacing_takes_about_four_times_as_long() {
        let days = |spacing_m: f64| {
            let section = Section {
                spacing_m,
                drain_depth_m: 1.0,
                tight_depth_m: 1.2,
                radius_m: 0.05,
                conductivity_ms: 0.2 / 86_400.0,
                porosity: 0.05,
            };
            let tables_m = between_drains(&section, 0.6, &[Weather::default(); 60]);
            let passed = tables_m.iter().position(|table| midway(table) > 0.85).unwrap_or(60);
            let (before, after) = (midway(&tables_m[passed - 1]), midway(&tables_m[passed]));
            passed as f64 - 1.0 + (0.85 - before) / (after - before)
        };
        let ratio = days(12.0) / days(6.0);
        assert!((3.4..4.6).contains(&ratio), "{ratio}");
    }

    #[test]
    fn days_are_told_in_words() {
        for (wet, words) in [
            ((Some(0), Some(0)), "not at all"),
            ((Some(0), Some(2)), "0 to 2 days"),
            ((Some(1), Some(1)), "1 day"),
            ((Some(9), None), "9 days to over a month"),
            ((None, None), "over a month"),
        ] {
            assert_eq!(wet_words(wet), words);
        }
    }
}
