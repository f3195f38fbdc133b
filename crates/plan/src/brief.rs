//! The brief: what is to be grown, in what soil, and how much water must leave in a day.

use measure::{FOOT_M, INCH_M};
use serde::{Deserialize, Serialize};

/// Seconds in a day.
const DAY_S: f64 = 86_400.0;

/// What will be planted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Crop {
    /// Grain, hay, oil seed.
    FieldCrops,
    /// Vines, trees, berries.
    #[default]
    Fruit,
    /// Vegetables and other truck crops.
    Vegetables,
}

impl Crop {
    /// Every crop with its word.
    pub const ALL: [(Self, &'static str); 3] =
        [(Self::FieldCrops, "field crops"), (Self::Fruit, "vines and fruit"), (Self::Vegetables, "vegetables")];

    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL.into_iter().find(|(crop, _)| *crop == self).map_or("", |(_, word)| word)
    }

    /// Usual drainage coefficient, m/s: 3/8 in/day for field crops, 1/2 for fruit and vegetables (one start value
    /// a crop, [judgement] after [NEH624]).
    pub fn usual_coefficient_ms(self) -> f64 {
        let inches = if self == Self::FieldCrops { 3.0 / 8.0 } else { 1.0 / 2.0 };
        inches * INCH_M / DAY_S
    }
}

/// Texture of the soil at the depth of the pipe (USDA names).
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

    /// True where silt or fine sand enters a pipe: sand to silt ([MSU-sed]).
    pub const fn enters_pipe(self) -> bool {
        matches!(self, Self::Sand | Self::LoamySand | Self::SandyLoam | Self::Loam | Self::SiltLoam | Self::Silt)
    }

    /// Saturated conductivity, m/s: means of 1,845 soils in ft/day ([K78], as on an extension page; a pit or an auger-hole
    /// test beats any of them). `None` for textures that are not in the table.
    pub fn conductivity_ms(self) -> Option<f64> {
        let feet_per_day = match self {
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
        };
        Some(feet_per_day * FOOT_M / DAY_S)
    }

    /// Share of clay in the middle of the texture's field on the USDA triangle (Soil Survey Manual; middle values read
    /// off the triangle, judgement).
    pub const fn clay(self) -> f64 {
        match self {
            Self::Gravel => 0.0,
            Self::Sand => 0.05,
            Self::LoamySand => 0.08,
            Self::SandyLoam => 0.12,
            Self::Loam => 0.18,
            Self::SiltLoam => 0.15,
            Self::Silt => 0.06,
            Self::SandyClayLoam => 0.27,
            Self::SandyClay => 0.42,
            Self::SiltyClayLoam | Self::ClayLoam => 0.34,
            Self::SiltyClay => 0.47,
            Self::Clay => 0.60,
        }
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

/// What a pipe does about silt that enters it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SiltGrade {
    /// The grade of 1.4 ft/s is not looked for.
    Ignored,
    /// It is wished for, at the price of a missing rise, where the soil's texture asks for it.
    #[default]
    Wished,
    /// No line may be flatter, whatever the soil.
    Hard,
}

/// What the grower asked for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Brief {
    /// What will be planted.
    pub crop: Crop,
    /// Depth of water that must leave in a second, m/s; the crop's usual one for `None`.
    pub coefficient_ms: Option<f64>,
    /// True where rain stands on the surface for want of slope.
    pub poor_surface: bool,
    /// Texture of the soil at the depth of the pipe, where a pit showed it.
    pub texture: Option<Texture>,
    /// What is done about silt.
    pub silt_grade: SiltGrade,
    /// How far to either side a line drains at least, and where no spacing can be computed, metres: 50 ft ([judgement]).
    pub served_m: f64,
    /// True where the vineyard guide of the United Kingdom is followed.
    pub uk_vineyard_guide: bool,
    /// True where the capacity of a line is worked with flow that grows evenly along it ([FAO62]);
    /// off by default: the trade sizes on the discharge at the downstream end.
    pub even_inflow: bool,
    /// True where the guide for deep roots in warm regions is followed.
    pub deep_root_guide: bool,
    /// Depth of the water table wanted midway between drains, metres: 1.5 ft (the worked example Ellowby Block;
    /// [judgement]).
    pub water_table_m: f64,
    /// Depth to which the ground will be ripped after the pipe is laid, metres.
    pub rip_after_m: Option<f64>,
    /// True where iron was seen at outlets, in ditches or in pits.
    pub iron: bool,
    /// True where roots are known to seek drains.
    pub root_risk: bool,
    /// What the backfill is made of where it could break the pipe: "stones", "frozen soil"; empty where sound.
    pub rough_backfill: String,
    /// True where soft, stone-free soil is asked for over the pipe first.
    pub blinding: bool,
    /// True once outside water that reaches the block is led round or counted.
    pub run_on_settled: bool,
    /// The farm's own lines that the grower was asked for.
    pub asked: Asked,
    /// True where an interceptor is to lie in the tight layer and not only on it.
    pub interceptor_into_layer: bool,
}

/// The farm's own lines, which nobody marks on a call ([811]): each true once the grower was asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Asked {
    /// Wells and their pipes.
    pub wells: bool,
    /// Septic tanks and fields.
    pub septic: bool,
    /// Power to pumps.
    pub pumps: bool,
    /// Irrigation mains and their power.
    pub irrigation: bool,
}

impl Default for Brief {
    fn default() -> Self {
        Self {
            crop: Crop::default(),
            coefficient_ms: None,
            poor_surface: false,
            texture: None,
            silt_grade: SiltGrade::default(),
            served_m: 50.0 * FOOT_M,
            uk_vineyard_guide: false,
            even_inflow: false,
            deep_root_guide: false,
            water_table_m: 1.5 * FOOT_M,
            rip_after_m: None,
            iron: false,
            root_risk: false,
            rough_backfill: String::new(),
            blinding: false,
            run_on_settled: false,
            asked: Asked::default(),
            interceptor_into_layer: false,
        }
    }
}

impl Brief {
    /// The drainage coefficient, m/s.
    pub fn coefficient_ms(&self) -> f64 {
        self.coefficient_ms.unwrap_or_else(|| self.crop.usual_coefficient_ms())
    }
}
