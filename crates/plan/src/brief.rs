//! The brief: what is to be grown, in what soil, and how much water must leave in a day.

use measure::Units;
use serde::{Deserialize, Serialize};

use crate::{FEET_STARTS, Starts, Texture};

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

    /// Usual drainage coefficient, m/s.
    pub const fn usual_coefficient_ms(self, starts: &Starts) -> f64 {
        match self {
            Self::FieldCrops => starts.field_crops_ms,
            Self::Fruit | Self::Vegetables => starts.fruit_ms,
        }
    }
}

/// Whether grades are to carry silt away (1.4 ft/s in the full pipe). Files keep the words of their first version.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum SelfCleaning {
    /// Not looked for.
    #[serde(rename = "ignored")]
    Ignore,
    /// Preferred, at the weight of a missing rise, where the soil's texture asks for it.
    #[default]
    #[serde(rename = "wished")]
    Prefer,
    /// No line may be flatter, whatever the soil.
    #[serde(rename = "hard")]
    Require,
}

/// What the grower asked for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Brief {
    /// True where the job was begun in metres: what is usual are round metric figures then. Showing it in feet changes nothing.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub metric: bool,
    /// What will be planted.
    pub crop: Crop,
    /// Depth of water that must leave in a second, m/s; the crop's usual one for `None`.
    pub coefficient_ms: Option<f64>,
    /// True where rain stands on the surface for want of slope.
    pub poor_surface: bool,
    /// Texture of the soil at the depth of the pipe, where a pit showed it.
    pub texture: Option<Texture>,
    /// What is done about silt.
    #[serde(rename = "silt_grade")]
    pub self_cleaning: SelfCleaning,
    /// How far to either side a line drains at least, and where no spacing can be computed, metres.
    pub served_m: f64,
    /// True where the vineyard guide of the United Kingdom is followed.
    pub uk_vineyard_guide: bool,
    /// True where the capacity of a line is worked with flow that grows evenly along it ([FAO62]);
    /// off by default: the trade sizes on the discharge at the downstream end.
    pub even_inflow: bool,
    /// True where the guide for deep roots in warm regions is followed.
    pub deep_root_guide: bool,
    /// Depth of the water table wanted midway between drains, metres.
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
            metric: false,
            crop: Crop::default(),
            coefficient_ms: None,
            poor_surface: false,
            texture: None,
            self_cleaning: SelfCleaning::default(),
            served_m: FEET_STARTS.served_m,
            uk_vineyard_guide: false,
            even_inflow: false,
            deep_root_guide: false,
            water_table_m: FEET_STARTS.water_table_m,
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
    /// The brief that a job of those units starts with.
    pub fn of(units: Units) -> Self {
        let metric = units.is_metric();
        let starts = Starts::of(metric);
        Self { metric, served_m: starts.served_m, water_table_m: starts.water_table_m, ..Self::default() }
    }

    /// The drainage coefficient, m/s.
    pub fn coefficient_ms(&self) -> f64 {
        self.coefficient_ms.unwrap_or_else(|| self.crop.usual_coefficient_ms(Starts::of(self.metric)))
    }
}
