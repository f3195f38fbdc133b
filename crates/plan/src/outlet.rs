//! Where the water leaves: the level from which every other hangs.

use measure::Point;
use serde::{Deserialize, Serialize};

use crate::{FEET_STARTS, Material};

/// Id of an outlet; stable for the life of a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct OutletId(pub u32);

/// What an outlet leads into.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LeadsTo {
    /// A ditch, stream or pond.
    #[default]
    Channel,
    /// A pipe that was there before: somebody else's main, a culvert.
    Pipe(Receiving),
    /// A sump with a pump.
    Pump(Pump),
}

/// A pipe that takes the water.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Receiving {
    /// Inside diameter, metres.
    pub size_m: Option<f64>,
    /// Its invert at the joint, metres.
    pub invert_m: Option<f64>,
    /// What it can still take, m³/s.
    pub free_m3s: Option<f64>,
}

/// A pump and what it needs; each true once entered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Pump {
    /// Storage between starts.
    pub storage: bool,
    /// Level switch.
    pub switch: bool,
    /// Power.
    pub power: bool,
}

/// Whose the receiving channel or pipe is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Owner {
    /// Not known yet.
    #[default]
    Unknown,
    /// The grower's own.
    Own,
    /// Somebody else's.
    Other,
}

/// An outlet at a ditch, creek or pond, into a pipe, or into a pump's sump.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Outlet {
    /// Its name on the plan.
    pub name: String,
    /// Where the pipe ends.
    pub at: Point,
    /// Invert of the pipe's end, metres.
    pub invert_m: f64,
    /// Bottom of the channel there, metres, where measured.
    #[serde(default)]
    pub channel_bottom_m: Option<f64>,
    /// Ordinary low water there, metres, where measured.
    #[serde(default)]
    pub low_water_m: Option<f64>,
    /// Level the water reaches in a flood, metres, where known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flood_m: Option<f64>,
    /// True where the program may choose the invert, as long as it keeps the wanted height over channel bottom and water.
    #[serde(default)]
    pub invert_free: bool,
    /// Length of the last rigid solid pipe, metres.
    pub outlet_pipe_m: f64,
    /// True once the owner of the channel has agreed in writing.
    #[serde(default)]
    pub consent: bool,
    /// Whose the channel is.
    #[serde(default)]
    pub owner: Owner,
    /// What it leads into.
    #[serde(default)]
    pub leads_to: LeadsTo,
    /// True while its last pipe is solid and rigid.
    #[serde(default = "yes")]
    pub rigid: bool,
    /// What its last pipe is made of, where entered.
    #[serde(default, skip_serializing_if = "Material::is_unknown")]
    pub outlet_pipe_material: Material,
    /// How much of the last pipe hangs in the air, metres.
    #[serde(default)]
    pub overhang_m: f64,
    /// True while animals are kept out.
    #[serde(default = "yes")]
    pub guard: bool,
    /// True where the bank is armoured, or the pipe throws clear of it.
    #[serde(default)]
    pub armoured: bool,
    /// Run of the bank for each unit of rise, where measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bank_run: Option<f64>,
    /// Direction in which the channel flows, degrees from north, where known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub channel_deg: Option<f64>,
    /// True on the outside of a bend of the channel.
    #[serde(default)]
    pub outside_bend: bool,
    /// Name of a photo of the place.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub photo: String,
    /// True where somebody entered why standing in the receiving pipe's water does no harm.
    #[serde(default)]
    pub backwater_accepted: bool,
}

fn yes() -> bool {
    true
}

impl Outlet {
    /// An outlet with nothing known but its place and invert, its pipe as long as in a job begun in feet.
    pub fn new(name: &str, at: Point, invert_m: f64) -> Self {
        Self {
            name: name.into(),
            at,
            invert_m,
            channel_bottom_m: None,
            low_water_m: None,
            flood_m: None,
            invert_free: false,
            outlet_pipe_m: FEET_STARTS.outlet_pipe_m,
            consent: false,
            owner: Owner::default(),
            leads_to: LeadsTo::default(),
            rigid: true,
            outlet_pipe_material: Material::default(),
            overhang_m: 0.0,
            guard: true,
            armoured: false,
            bank_run: None,
            channel_deg: None,
            outside_bend: false,
            photo: String::new(),
            backwater_accepted: false,
        }
    }

    /// True where it leads into the open.
    pub const fn is_open(&self) -> bool {
        matches!(self.leads_to, LeadsTo::Channel)
    }
}
