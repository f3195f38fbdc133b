//! Textures of soil: the triangle, and what tables tell of each.

use measure::{DAY_S, FOOT_M};
use serde::{Deserialize, Serialize};

/// The least and the most.
type Range = (f64, f64);

/// Texture of a soil (USDA names).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Texture {
    /// Coarse sand or gravel.
    Gravel,
    /// Sand.
    Sand,
    /// Loamy sand.
    LoamySand,
    /// Sandy loam.
    SandyLoam,
    /// Loam.
    Loam,
    /// Silt loam.
    SiltLoam,
    /// Silt.
    Silt,
    /// Sandy clay loam.
    SandyClayLoam,
    /// Sandy clay.
    SandyClay,
    /// Silty clay loam.
    SiltyClayLoam,
    /// Clay loam.
    ClayLoam,
    /// Silty clay.
    SiltyClay,
    /// Clay.
    Clay,
}

impl Texture {
    /// Every texture with its word.
    pub const ALL: [(Self, &'static str); 13] = [
        (Self::Gravel, "coarse sand or gravel"),
        (Self::Sand, "sand"),
        (Self::LoamySand, "loamy sand"),
        (Self::SandyLoam, "sandy loam"),
        (Self::Loam, "loam"),
        (Self::SiltLoam, "silt loam"),
        (Self::Silt, "silt"),
        (Self::SandyClayLoam, "sandy clay loam"),
        (Self::SandyClay, "sandy clay"),
        (Self::SiltyClayLoam, "silty clay loam"),
        (Self::ClayLoam, "clay loam"),
        (Self::SiltyClay, "silty clay"),
        (Self::Clay, "clay"),
    ];

    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL.into_iter().find(|(texture, _)| *texture == self).map_or("", |(_, word)| word)
    }

    /// The texture of a word, in capitals or not.
    pub fn named(word: &str) -> Option<Self> {
        let word = word.trim().to_lowercase();
        Self::ALL.into_iter().find(|(_, other)| *other == word).map(|(texture, _)| texture)
    }

    /// True where silt or fine sand enters a pipe: sand to silt ([MSU-sed]).
    pub const fn enters_pipe(self) -> bool {
        matches!(self, Self::Sand | Self::LoamySand | Self::SandyLoam | Self::Loam | Self::SiltLoam | Self::Silt)
    }

    /// The texture of a soil by its shares of sand and clay, 0 to 1, after the triangle of the Soil Survey Manual ([SSM],
    /// as two open codings of its rules agree).
    pub fn of(sand: f64, clay: f64) -> Self {
        let silt = 1.0 - sand - clay;
        // Shares add up to one only to the last digit: on an edge a texture holds what its rule counts in.
        let at_least = |value: f64, limit: f64| value >= limit - 1e-9;
        let sandy = silt + 2.0 * clay;
        match () {
            () if !at_least(silt + 1.5 * clay, 0.15) => Self::Sand,
            () if !at_least(sandy, 0.30) => Self::LoamySand,
            () if at_least(clay, 0.40) && at_least(silt, 0.40) => Self::SiltyClay,
            () if at_least(clay, 0.35) && !at_least(0.45, sand) => Self::SandyClay,
            () if at_least(clay, 0.40) => Self::Clay,
            () if at_least(clay, 0.27) && at_least(0.20, sand) => Self::SiltyClayLoam,
            () if at_least(clay, 0.27) && at_least(0.45, sand) => Self::ClayLoam,
            () if at_least(clay, 0.20) && !at_least(silt, 0.28) && !at_least(0.45, sand) => Self::SandyClayLoam,
            () if at_least(silt, 0.80) && !at_least(clay, 0.12) => Self::Silt,
            () if at_least(silt, 0.50) => Self::SiltLoam,
            () if at_least(clay, 0.07) && at_least(0.52, sand) => Self::Loam,
            () => Self::SandyLoam,
        }
    }

    /// Shares of sand and clay that stand for the texture, 0 to 1 ([SR06], table of classes); `None` for gravel.
    pub const fn middle(self) -> Option<(f64, f64)> {
        Some(match self {
            Self::Gravel => return None,
            Self::Sand => (0.88, 0.05),
            Self::LoamySand => (0.80, 0.05),
            Self::SandyLoam => (0.65, 0.10),
            Self::Loam => (0.40, 0.20),
            Self::SiltLoam => (0.20, 0.15),
            Self::Silt => (0.10, 0.05),
            Self::SandyClayLoam => (0.60, 0.25),
            Self::ClayLoam => (0.30, 0.35),
            Self::SiltyClayLoam => (0.10, 0.35),
            Self::SiltyClay => (0.10, 0.45),
            Self::SandyClay => (0.50, 0.40),
            Self::Clay => (0.25, 0.50),
        })
    }

    /// Share of clay in its middle.
    pub fn clay(self) -> f64 {
        self.middle().map_or(0.0, |(_, clay)| clay)
    }

    /// What tables give for its saturated conductivity, each with its source and the least and the most, m/s. They differ
    /// tenfold and more: the soil's structure decides, which a texture does not tell.
    pub fn conductivities_ms(self) -> Vec<(&'static str, f64, f64)> {
        let mean = self.mean_ft_day().map(|mean| ("[K78]", mean * FOOT_M, mean * FOOT_M));
        let (fao, ilri, class_mean) = self.m_day();
        let tables = [("[FAO62]", fao), ("[ILRI56]", ilri), ("[CLASS-K]", class_mean.map(|mean| (mean, mean)))];
        let ranges = tables.into_iter().filter_map(|(source, range)| range.map(|(low, high)| (source, low, high)));
        let all = mean.into_iter().chain(ranges);
        all.map(|(source, low, high)| (source, low / DAY_S, high / DAY_S)).collect()
    }

    /// Means of 1,845 soils in ft/day ([K78], as on an extension page).
    const fn mean_ft_day(self) -> Option<f64> {
        Some(match self {
            Self::Sand => 49.9,
            Self::LoamySand => 44.3,
            Self::SandyLoam => 9.84,
            Self::SiltLoam => 2.04,
            Self::Loam => 1.97,
            Self::SandyClayLoam => 1.79,
            Self::ClayLoam => 0.694,
            Self::SandyClay => 0.615,
            Self::SiltyClayLoam => 0.482,
            Self::Clay => 0.363,
            Self::SiltyClay => 0.292,
            Self::Gravel | Self::Silt => return None,
        })
    }

    /// In m/day: table A1.1 of [FAO62] over all structures but wide cracks; table 14 of [ILRI56], well-structured clay loam
    /// and poorly structured clay; class means of [CLASS-K].
    const fn m_day(self) -> (Option<Range>, Option<Range>, Option<f64>) {
        match self {
            Self::Gravel => (Some((6.0, 50.0)), Some((10.0, 1500.0)), None),
            Self::Sand => (Some((1.6, 6.0)), Some((1.0, 5.0)), Some(6.427)),
            Self::LoamySand => (Some((1.6, 6.0)), None, Some(1.052)),
            Self::SandyLoam => (Some((1.0, 3.0)), Some((1.0, 3.0)), Some(0.383)),
            Self::Loam => (Some((0.3, 1.0)), None, Some(0.120)),
            Self::SiltLoam => (Some((0.1, 1.0)), None, Some(0.182)),
            Self::Silt => (Some((0.1, 1.0)), None, Some(0.438)),
            Self::SandyClayLoam => (Some((0.01, 0.4)), None, Some(0.132)),
            Self::SandyClay => (Some((0.01, 0.4)), None, Some(0.114)),
            Self::SiltyClayLoam => (Some((0.01, 0.4)), None, Some(0.111)),
            Self::ClayLoam => (Some((0.01, 1.0)), Some((0.5, 2.0)), Some(0.082)),
            Self::SiltyClay => (Some((0.01, 0.4)), None, Some(0.096)),
            Self::Clay => (Some((0.01, 0.4)), Some((0.002, 0.2)), Some(0.148)),
        }
    }

    /// Share of its volume that drains as the water table falls, least and most over two tables: A1.1 of [FAO62], and one of
    /// a Brazilian manual after FAO's of 1980 ([FAO80]). They put loam and silt loam apart.
    pub fn drainable_porosity(self) -> Range {
        let (one, other) = match self {
            Self::Gravel => ((0.26, 0.35), (0.22, 0.35)),
            Self::Sand => ((0.15, 0.26), (0.12, 0.35)),
            Self::LoamySand => ((0.15, 0.22), (0.12, 0.22)),
            Self::SandyLoam => ((0.12, 0.18), (0.12, 0.22)),
            Self::Loam => ((0.06, 0.12), (0.08, 0.12)),
            Self::SiltLoam | Self::Silt => ((0.03, 0.12), (0.03, 0.08)),
            Self::ClayLoam => ((0.01, 0.12), (0.03, 0.08)),
            Self::SandyClayLoam | Self::SiltyClayLoam => ((0.01, 0.08), (0.01, 0.03)),
            Self::SandyClay | Self::SiltyClay | Self::Clay => ((0.01, 0.08), (0.01, 0.03)),
        };
        (f64::min(one.0, other.0), f64::max(one.1, other.1))
    }

    /// Greatest speed in a full perforated pipe, m/s: 3.5 ft/s in sand to sandy loam, 5 in silt and loam, 6 in silty
    /// clay loam, 7 in clay, 9 in gravel ([NEH624] p. 88; textures not named there, [judgement]).
    pub fn greatest_velocity_ms(self) -> f64 {
        let feet = match self {
            Self::Gravel => 9.0,
            Self::Sand | Self::LoamySand | Self::SandyLoam => 3.5,
            Self::Loam | Self::SiltLoam | Self::Silt | Self::SandyClayLoam => 5.0,
            Self::SiltyClayLoam | Self::SandyClay => 6.0,
            Self::ClayLoam | Self::SiltyClay | Self::Clay => 7.0,
        };
        feet * FOOT_M
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of_percent(sand: u32, clay: u32) -> Texture {
        Texture::of(f64::from(sand) / 100.0, f64::from(clay) / 100.0)
    }

    /// Over all 5,151 whole-percent pairs: as many of each texture as two open codings of the manual's rules give
    /// (computed).
    #[test]
    fn the_triangle_has_no_gap() {
        let pairs = (0..=100).flat_map(|sand| (0..=100 - sand).map(move |clay| of_percent(sand, clay)));
        let all: Vec<Texture> = pairs.collect();
        let count = |texture| all.iter().filter(|found| **found == texture).count();
        for (texture, pairs) in [
            (Texture::Sand, 85),
            (Texture::LoamySand, 155),
            (Texture::SandyLoam, 565),
            (Texture::Loam, 349),
            (Texture::SiltLoam, 840),
            (Texture::Silt, 186),
            (Texture::SandyClayLoam, 392),
            (Texture::ClayLoam, 325),
            (Texture::SiltyClayLoam, 273),
            (Texture::SandyClay, 210),
            (Texture::SiltyClay, 231),
            (Texture::Clay, 1_540),
        ] {
            assert_eq!(count(texture), pairs, "{}", texture.word());
        }
        assert_eq!(all.len(), 5_151);
    }

    /// Points on the edges of the triangle (computed from the rules, both codings).
    #[test]
    fn edges_of_the_triangle() {
        for (sand, clay, word) in [
            (85, 10, "loamy sand"),
            (90, 6, "sand"),
            (52, 20, "loam"),
            (53, 19, "sandy loam"),
            (45, 27, "clay loam"),
            (20, 27, "silty clay loam"),
            (46, 35, "sandy clay"),
            (45, 40, "clay"),
            (20, 40, "silty clay"),
            (10, 12, "silt loam"),
            (8, 11, "silt"),
            (8, 12, "silt loam"),
            (23, 27, "clay loam"),
            (52, 7, "loam"),
        ] {
            assert_eq!(of_percent(sand, clay).word(), word, "{sand} % sand, {clay} % clay");
        }
    }

    #[test]
    fn the_middle_of_a_texture_is_of_it() {
        for (texture, word) in Texture::ALL {
            assert!(texture.middle().is_none_or(|(sand, clay)| Texture::of(sand, clay) == texture), "{word}");
            let (low, high) = texture.drainable_porosity();
            assert!(0.0 < low && low < high && high <= 0.35, "{word}");
            let tables = texture.conductivities_ms();
            assert!(!tables.is_empty() && tables.iter().all(|(_, low, high)| 0.0 < *low && low <= high), "{word}");
        }
    }

    /// Clay loam: 0.694 ft/day by the means, 0.5 to 2 m/day where well structured.
    #[test]
    fn tables_differ_and_are_named() {
        let tables = Texture::ClayLoam.conductivities_ms();
        let per_day: Vec<_> = tables.iter().map(|(mark, low, high)| (*mark, low * DAY_S, high * DAY_S)).collect();
        assert!((per_day[0].1 - 0.694 * FOOT_M).abs() < 1e-12 && per_day[0].0 == "[K78]");
        assert!(per_day.iter().any(|(mark, low, high)| (*mark, *low, *high) == ("[ILRI56]", 0.5, 2.0)));
    }
}
