//! The job's limits. Start values are the trade's; every one may be changed for a job, by name and with a reason.

use measure::{DAY_S, FOOT_M, INCH_M, INCH_PER_DAY_MS, SQUARE_M_PER_ACRE, SQUARE_M_PER_HECTARE, Units};
use serde::{Deserialize, Serialize};

use crate::{Line, Signature, Wall};

/// What a limit is a number of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quantity {
    /// Metres along or across.
    Length,
    /// Metres up or down.
    Depth,
    /// Metres a second.
    Speed,
    /// Rise by run.
    Grade,
    /// Degrees.
    Angle,
    /// Square metres.
    Area,
    /// A part of a whole, 1 for all of it.
    Share,
    /// Metres a second of conductivity.
    Conductivity,
    /// A bare number.
    Number,
}

/// One limit of the set: how it is named, what it means, which checks read it.
pub struct Limit {
    /// Its name in files.
    pub name: &'static str,
    /// Its name for a person.
    pub label: &'static str,
    /// What it is a number of.
    pub quantity: Quantity,
    /// Numbers of the checks that read it; none where only the grade lines or a receiver's check shot do.
    pub checks: &'static [u16],
    /// Where its start value comes from.
    pub source: &'static str,
    /// Reads it.
    pub value: fn(&Criteria) -> f64,
    /// Sets it.
    pub set: fn(&mut Criteria, f64),
}

macro_rules! limits {
    // The start value, and after an arrow that of a job begun in metres where it is another figure there.
    ($($name:ident: $quantity:ident = $start:expr $(=> $metric:expr)?, $checks:expr, $label:literal, $source:literal;)+) => {
        /// Limits the grade lines hold and the checks hold them against. Lengths in metres, grades as ratios, angles in
        /// degrees, speeds in metres a second. [`LIMITS`] lists them with their names and sources.
        ///
        /// Source marks such as [CPS606] are rows of [`crate::SOURCES`].
        #[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
        #[serde(default)]
        pub struct Criteria {
            $(#[doc = concat!($label, ". Source: ", $source, ".")] pub $name: f64,)+
            /// Manning roughness of pipe by wall and size.
            pub roughness: Roughness,
        }

        impl Default for Criteria {
            fn default() -> Self {
                Self { $($name: $start,)+ roughness: Roughness::default() }
            }
        }

        impl Criteria {
            /// The limits that a job of those units starts with: round figures in either system.
            pub fn of(units: Units) -> Self {
                let mut starts = Self::default();
                if units.is_metric() {
                    $($(starts.$name = $metric;)?)+
                }
                starts
            }
        }

        /// Every limit, in the order of the trade's list.
        pub const LIMITS: &[Limit] = &[$(Limit {
            name: stringify!($name),
            label: $label,
            quantity: Quantity::$quantity,
            checks: &$checks,
            source: $source,
            value: |criteria| criteria.$name,
            set: |criteria, value| criteria.$name = value,
        },)+];
    };
}

limits! {
    target_depth_m: Depth = 3.0 * FOOT_M => 0.9, [16], "Wanted depth of the invert",
        "common practice between 2.5 and 4 ft, [MSU-root]";
    target_tolerance_m: Depth = 0.25 * FOOT_M => 0.075, [16], "Tolerance under the wanted depth",
        "[ISU-bid tolerance]";
    least_cover_m: Depth = 2.0 * FOOT_M => 0.6, [12], "Least cover in mineral soil",
        "[CPS606, memory] [FORUM-R: 24 in]";
    organic_cover_m: Depth = 2.5 * FOOT_M => 0.75, [13], "Least cover in organic soil, settled",
        "[CPS606, memory]";
    traffic_cover_m: Depth = 2.5 * FOOT_M => 0.75, [14], "Least cover under wheels",
        "[judgement]";
    rip_clear_m: Depth = 0.5 * FOOT_M => 0.15, [15], "Least clearance under a ripper",
        "[judgement] [RIP]";
    guide_depth_m: Depth = 1.0, [17], "Least depth, guide for deep roots",
        "[SAVINE]";
    clean_velocity_ms: Speed = 0.5 * FOOT_M => 0.15, [3], "Least speed in the full pipe, clean soil",
        "[SW-S14]";
    silt_velocity_ms: Speed = 1.4 * FOOT_M => 0.45, [4, 6], "Self-cleaning speed of the full pipe",
        "[SW-S14] [EXT-tab]";
    guide_lateral_grade: Grade = 0.0040, [5], "Least grade of laterals, vineyard guide",
        "[UKVINE]";
    guide_main_grade: Grade = 0.0025, [5], "Least grade of mains, vineyard guide",
        "[UKVINE]";
    steepest_grade: Grade = 0.10, [126], "Greatest grade of any line",
        "[memory]";
    easing_kept: Share = 0.5, [6], "Least share of the grade kept downstream",
        "[OLD1867]; figure [judgement]";
    easing_least: Grade = 0.2 / 100.0, [6], "Tolerated loss of grade downstream",
        "[judgement]";
    relief_steeper: Number = 1.5, [8], "Ratio of grades above and below that needs relief",
        "[judgement]";
    relief_full: Share = 0.5, [8], "Fullness that needs relief",
        "[judgement]";
    vent_steepening: Grade = 0.02, [9], "Increase of grade that needs a breather",
        "[IDH]; figure [judgement]";
    vent_near_m: Length = 50.0 * FOOT_M => 15.0, [8, 9], "Distance within which relief or a breather counts",
        "[judgement]";
    vent_every_m: Length = 1320.0 * FOOT_M => 400.0, [10], "Greatest distance between vents on a main",
        "[EFH14, memory]";
    length_per_break_m: Length = 100.0 * FOOT_M => 30.0, [11], "Least length of line for each grade break",
        "[judgement]";
    machine_reach_m: Depth = 7.0 * FOOT_M => 2.1, [18], "Greatest depth of trench of the machine",
        "[judgement]";
    ladder_trench_m: Depth = 4.0 * FOOT_M => 1.2, [19], "Depth of trench that needs a ladder or ramp",
        "[29 CFR 1926.651(c)(2); OSHA-sum]";
    protected_trench_m: Depth = 5.0 * FOOT_M => 1.5, [20], "Depth of trench that needs protection",
        "[29 CFR 1926.652; OSHA-sum]";
    engineered_trench_m: Depth = 20.0 * FOOT_M => 6.0, [21], "Depth of trench that needs an engineer",
        "[29 CFR 1926.652; OSHA-sum]";
    trench_width_m: Length = 24.0 * INCH_M => 0.6, [22], "Width of the trench",
        "[judgement]";
    bedding_m: Depth = 0.0, [], "Bedding below the pipe",
        "[judgement]";
    staking_m: Length = 50.0 * FOOT_M => 20.0, [], "Distance between stakes and grade breaks",
        "common practice: 50 ft or 20 m";
    even_grade: Grade = 0.001, [], "Least grade where there is fall for it",
        "[judgement]";
    layer_gap_m: Depth = 0.2 * FOOT_M => 0.06, [23], "Tolerated distance of an interceptor from the tight layer",
        "[judgement]";
    layer_into_m: Depth = 1.0 * FOOT_M => 0.3, [23], "Wanted depth of an interceptor into the tight layer",
        "[SAVINE: 300 mm]";
    tight_conductivity_ms: Conductivity = 0.1 * FOOT_M / 86_400.0 => 0.03 / 86_400.0, [24], "Greatest conductivity of a tight layer",
        "[judgement]";
    adverse_rise_m: Depth = 0.001 * FOOT_M => 0.0003, [1], "Tolerated rise toward the outlet",
        "limit of arithmetic, [judgement]";
    level_grade: Grade = 0.005 / 100.0, [2], "Greatest grade that counts as level",
        "[judgement]";
    washout_grade: Grade = 0.02, [126], "Grade of a lateral in sand that needs anchors",
        "[memory]";
    outlet_wanted_m: Depth = 1.0 * FOOT_M => 0.3, [26], "Wanted height of the outlet over channel bottom and low water",
        "[CPS606, memory]; [MSU-out]";
    outlet_least_m: Depth = 0.3 * FOOT_M => 0.1, [26], "Least height of the outlet over channel bottom and low water",
        "[ILRI16: 0.1 m]";
    overhang_share: Share = 1.0 / 3.0, [32], "Greatest share of the outlet pipe in the air",
        "[ILRI16 copy]";
    bank_run: Number = 2.0, [34], "Least run by rise of a bank without armor",
        "[judgement]";
    outlet_speed_ms: Speed = 5.0 * FOOT_M => 1.5, [34], "Speed at the outlet that needs armor",
        "[judgement]";
    current_angle_deg: Angle = 90.0, [125], "Greatest angle between outlet and channel flow",
        "[memory]";
    over_capacity: Share = 1.001, [38], "Greatest fullness of a pipe",
        "[EFH14, memory]; limit of arithmetic";
    nearly_full: Share = 0.90, [39], "Fullness that leaves no room",
        "[judgement]";
    inlet_coefficient_ms: Conductivity = 1.0 * INCH_M / 86_400.0 => 0.025 / 86_400.0, [42], "Least drainage coefficient of an open inlet",
        "[EFH14, memory]";
    run_on_share: Share = 0.25, [44], "Share of outside land that must be dealt with",
        "[judgement]";
    smallest_pipe_m: Depth = 0.075, [46], "Least size of pipe",
        "[SW-S14: 3 in] [EVERETT: 4 in]";
    joint_drop_m: Depth = 1.0 * FOOT_M => 0.3, [49], "Drop at a joint that needs a riser bend",
        "[judgement]";
    joint_angle_deg: Angle = 95.0, [50, 51], "Greatest angle between branch and main",
        "[EB11] [GARDEN]";
    square_tee_m: Length = 200.0 * FOOT_M => 60.0, [51], "Length of a lateral at which a square tee gathers roots",
        "[judgement]";
    opposite_m: Length = 1.0 * FOOT_M => 0.3, [52], "Distance within which branches are opposite",
        "[EB11], figure [judgement]";
    shortest_line_m: Length = 20.0 * FOOT_M => 6.0, [56], "Least length of a line",
        "[judgement]";
    gap_m: Length = 3.0 * FOOT_M => 0.9, [57], "Distance within which an end was meant to join",
        "[judgement]";
    sharpest_bend_deg: Angle = 45.0, [58], "Greatest angle of a bend",
        "[CPS606, memory]";
    duplicate_offset_m: Length = 2.0 * FOOT_M => 0.6, [60], "Distance within which lines share a trench",
        "[judgement]";
    duplicate_length_m: Length = 20.0 * FOOT_M => 6.0, [60], "Tolerated length side by side",
        "[judgement]";
    box_near_m: Length = 3.0 * FOOT_M => 0.9, [62], "Least distance of a box from a lane or row",
        "[judgement]";
    box_lid_m: Depth = 18.0 * INCH_M => 0.45, [62], "Least depth of a lid under wheels",
        "[judgement]";
    outside_m: Length = 1.0 * FOOT_M => 0.3, [63], "Tolerated length outside the boundary",
        "[judgement]";
    outlet_reach_m: Length = 30.0 * FOOT_M => 9.0, [63], "Tolerated length to an outlet outside the boundary",
        "[judgement]";
    utility_clear_m: Depth = 1.0 * FOOT_M => 0.3, [65], "Least clearance between pipe and utility",
        "[judgement; state law]";
    hand_dig_m: Length = 2.0 * FOOT_M => 0.61, [66], "Width of hand digging on either side of a utility",
        "[811]";
    wetland_ask_m: Length = 300.0 * FOOT_M => 100.0, [67], "Distance within which a wetland needs a setback",
        "[MN-LAT] [NRCS-MN]";
    thirsty_trees_m: Length = 100.0 * FOOT_M => 30.0, [68], "Least distance of perforated pipe from thirsty trees",
        "[TREES]";
    other_trees_m: Length = 50.0 * FOOT_M => 15.0, [69], "Least distance of perforated pipe from other trees",
        "[TREES] [LICO]";
    hedge_m: Length = 5.0 * FOOT_M => 1.5, [70], "Least distance of perforated pipe from a hedge",
        "[AHDB-new: 1.5 m]";
    lane_beyond_m: Length = 5.0 * FOOT_M => 1.5, [71], "Length of solid heavy pipe beyond a lane",
        "[judgement]";
    post_below_m: Depth = 1.0 * FOOT_M => 0.3, [72], "Least clearance of pipe below posts and anchors",
        "[POSTS] [judgement]";
    post_beside_m: Length = 3.0 * FOOT_M => 0.9, [72], "Least clearance of pipe beside posts and anchors",
        "[POSTS] [judgement]";
    row_beside_m: Length = 1.5 * FOOT_M => 0.45, [73], "Distance within which pipe lies under a row",
        "[judgement]";
    row_length_m: Length = 20.0 * FOOT_M => 6.0, [73], "Tolerated length under a row",
        "[judgement]";
    row_multiple: Number = 0.05, [74], "Tolerated share of a row off whole rows",
        "[judgement]";
    well_ask_m: Length = 200.0 * FOOT_M => 60.0, [76], "Distance within which a well or septic needs the local distance",
        "[judgement]";
    swale_offset_m: Length = 15.0 * FOOT_M => 4.5, [79], "Tolerated distance from the flow line",
        "[OLD1912] [WISC]; figure [judgement]";
    swale_share: Share = 0.5, [79], "Tolerated share of a line off the swale",
        "[judgement]";
    swale_near_m: Length = 25.0 * FOOT_M => 7.5, [44, 80], "Distance within which a line serves a swale",
        "[judgement]";
    swale_length_m: Length = 50.0 * FOOT_M => 15.0, [80], "Tolerated length of swale without a line",
        "[judgement]";
    channel_near_m: Length = 50.0 * FOOT_M => 15.0, [44, 79, 80], "Width of the channel along the boundary and below an outlet",
        "[judgement]";
    swale_area_m2: Area = 3.0 * SQUARE_M_PER_ACRE => 12_000.0, [80], "Land above a swale that needs a line",
        "[judgement]";
    swale_note_m2: Area = 1.0 * SQUARE_M_PER_ACRE => 4_000.0, [80], "Land above a swale worth a note",
        "[judgement]";
    hollow_area_m2: Area = 0.05 * SQUARE_M_PER_ACRE => 200.0, [80], "Area of a closed depression that needs a line",
        "[judgement]";
    hollow_depth_m: Depth = 0.25 * FOOT_M => 0.075, [80], "Depth of a closed depression that needs a line",
        "[judgement]";
    ridge_rise_m: Depth = 0.5 * FOOT_M => 0.15, [81], "Height of the ground over both sides that makes a ridge",
        "[judgement]";
    ridge_beside_m: Length = 25.0 * FOOT_M => 7.5, [81], "Distance at which the sides of a ridge are measured",
        "[judgement]";
    ridge_length_m: Length = 50.0 * FOOT_M => 15.0, [81], "Tolerated length on a ridge",
        "[judgement]";
    spacing_wide: Share = 1.1, [82], "Greatest share of the computed spacing",
        "[K78] [computed]";
    spacing_close: Share = 0.6, [83], "Least share of the computed spacing",
        "[MAG-space]";
    spring_near_m: Length = 5.0 * FOOT_M => 1.5, [85], "Distance within which a spring is collected",
        "[AHDB-new]";
    old_tile_near_m: Length = 15.0 * FOOT_M => 4.5, [86], "Distance within which suspected tile may be met",
        "[PURDUE23: 4 ft either way]";
    old_outlet_near_m: Length = 25.0 * FOOT_M => 7.5, [93], "Distance within which a line explains an old outlet",
        "[judgement]";
    plain_slots_clay: Share = 0.30, [94], "Least share of clay for ordinary slots",
        "[MAG-sock] [MSU-sed]";
    envelope_m: Depth = 3.0 * INCH_M => 0.075, [98], "Least thickness of a granular envelope",
        "[EVERETT]";
    working_strip_m: Length = 15.0 * FOOT_M => 4.5, [117], "Half the working width of the machine",
        "[judgement]";
    wire_near_m: Length = 10.0 * FOOT_M => 3.05, [117], "Least distance from a wire up to 50 kV",
        "[29 CFR 1926.1408, memory]";
    wire_far_m: Length = 20.0 * FOOT_M => 6.1, [117], "Least distance from a wire of more or unknown voltage",
        "[29 CFR 1926.1408, memory]";
    alongside_m: Length = 5.0 * FOOT_M => 1.5, [118], "Distance within which a utility runs beside the trench",
        "[memory]";
    alongside_length_m: Length = 20.0 * FOOT_M => 6.0, [118], "Tolerated length beside a utility",
        "[memory]";
    bank_near_m: Length = 100.0 * FOOT_M => 30.0, [120], "Least distance of perforated pipe from a dam or levee",
        "[memory]";
    under_ditch_cover_m: Depth = 2.5 * FOOT_M => 0.75, [121], "Least cover under the bed of a ditch",
        "[memory]";
    under_ditch_beyond_m: Length = 20.0 * FOOT_M => 6.0, [121], "Length of solid pipe beyond a ditch",
        "[memory]";
    beside_ditch_m: Length = 15.0 * FOOT_M => 4.5, [122], "Least distance of perforated pipe from the top of a bank",
        "[memory]";
    beside_ditch_length_m: Length = 30.0 * FOOT_M => 9.0, [122], "Tolerated length beside a bank",
        "[memory]";
    waterway_near_m: Length = 10.0 * FOOT_M => 3.0, [123], "Distance within which a main lies in a waterway",
        "[EFH14, memory]";
    waterway_length_m: Length = 50.0 * FOOT_M => 15.0, [123], "Tolerated length in a waterway",
        "[EFH14, memory]";
    waterway_grade: Grade = 0.02, [123], "Grade at which a channel erodes",
        "[EFH14, memory]";
    store_near_m: Length = 50.0 * FOOT_M => 15.0, [131], "Least distance of perforated pipe from a store or yard",
        "[memory]";
    acid_ph: Number = 5.5, [132], "Least pH for concrete and metal",
        "[memory]";
    dug_reverse_m: Depth = 0.03 * FOOT_M => 0.01, [109], "Tolerated adverse fall of laid pipe",
        "[MSU-root]; figure [judgement]";
    dip_decide: Share = 0.10, [109], "Water in a dip, share of the diameter, that needs a decision",
        "[ASTM F449, memory] [EP260, memory]";
    dip_fix: Share = 0.50, [109], "Water in a dip, share of the diameter, that must be relaid",
        "[ASTM F449, memory] [EP260, memory]";
    off_design_m: Depth = 0.10 * FOOT_M => 0.03, [111], "Tolerated difference of laid pipe from its planned level",
        "[ISU-bid]; 0.10 ft [memory]";
    shot_end_m: Length = 3.0 * FOOT_M => 0.9, [112], "Distance within which a shot is of the end of a line",
        "[judgement]";
    shot_reach_m: Length = 5.0 * FOOT_M => 1.5, [112], "Distance within which a shot is of a line",
        "[judgement]";
    flow_logged_days: Number = 30.0, [116], "Days after the digging within which flow is logged",
        "[judgement]";
    check_shot_m: Depth = 0.10 * FOOT_M => 0.03, [], "Tolerated miss of a check shot in level",
        "[judgement]; twice the scatter of a receiver with a fix";
    check_shot_beside_m: Length = 0.50 * FOOT_M => 0.15, [], "Tolerated miss of a check shot in place",
        "[judgement]";
}

/// A limit that was changed for a job: who, when and why.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LimitChange {
    /// The limit's name.
    pub limit: String,
    /// What it was.
    pub from: f64,
    /// What it is.
    pub to: f64,
    /// Who changed it, when and why.
    pub signed: Signature,
}

impl LimitChange {
    /// What was changed, from what to what, in the units of the job: "Least cover: 2.00 ft to 2.50 ft".
    pub fn words(&self, units: Units) -> String {
        match limit_named(&self.limit) {
            Some(limit) => {
                format!("{}: {} to {}", limit.label, limit.words(self.from, units), limit.words(self.to, units))
            }
            None => format!("{}: {} to {}", self.limit, self.from, self.to),
        }
    }
}

impl Limit {
    /// A value of it in words, in the units of the job: as many decimals as tell the value, whichever system it was set in.
    pub fn words(&self, value: f64, units: Units) -> String {
        let unit_m = units.length_unit().metres();
        let metric = units.is_metric();
        let (unit, sign, least) = match self.quantity {
            Quantity::Length => (unit_m, units.sign(), 0),
            Quantity::Depth => (unit_m, units.sign(), 2),
            Quantity::Speed => (unit_m, if metric { "m/s" } else { "ft/s" }, 2),
            Quantity::Area if metric => (SQUARE_M_PER_HECTARE, "ha", 2),
            Quantity::Area => (SQUARE_M_PER_ACRE, "ac", 2),
            Quantity::Grade | Quantity::Share => (0.01, "%", 0),
            Quantity::Angle => (1.0, "°", 0),
            Quantity::Conductivity if metric => (1e-3 / DAY_S, "mm/day", 0),
            Quantity::Conductivity => (INCH_PER_DAY_MS, "in/day", 0),
            Quantity::Number => (1.0, "", 0),
        };
        let figure = told(value / unit, least);
        if matches!(sign, "" | "°") { figure + sign } else { format!("{figure} {sign}") }
    }
}

/// A number with at least so many decimals, and as many as keep it within a part in two thousand: "0.75", "0.4267", "15.24".
fn told(value: f64, least: usize) -> String {
    let shown = (least..=8).map(|places| measure::trimmed(value, least, places));
    let tells = |text: &String| text.parse::<f64>().is_ok_and(|read| (read - value).abs() <= 5e-4 * value.abs());
    shown.clone().find(tells).or(shown.clone().next_back()).unwrap_or_default()
}

/// A limit by its name.
pub fn limit_named(name: &str) -> Option<&'static Limit> {
    LIMITS.iter().find(|limit| limit.name == name)
}

/// Manning roughness by wall and nominal size (published values for the same pipe run from 0.015 [EP480, memory] to
/// 0.022 [HIGHWAY-N], so each is an input).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Roughness {
    /// Corrugated, 3 to 8 in: 0.015 (ASABE EP480 and NRCS handbooks, from memory).
    pub corrugated_to_8_in: f64,
    /// Corrugated, 10 and 12 in: 0.017 (the same).
    pub corrugated_to_12_in: f64,
    /// Corrugated, over 12 in: 0.020 (the same; some editions 0.018 for 15 in).
    pub corrugated_larger: f64,
    /// Smooth inside: 0.012 (NRCS, from memory; a state highway manual, table 851.2, 0.010 to 0.013).
    pub smooth: f64,
}

impl Default for Roughness {
    fn default() -> Self {
        Self { corrugated_to_8_in: 0.015, corrugated_to_12_in: 0.017, corrugated_larger: 0.020, smooth: 0.012 }
    }
}

impl Roughness {
    /// Roughness of a pipe of a wall and a nominal size, metres.
    pub fn of(&self, wall: Wall, size_m: f64) -> f64 {
        match wall {
            Wall::Smooth | Wall::Rigid => self.smooth,
            Wall::Corrugated if size_m < 9.0 * INCH_M => self.corrugated_to_8_in,
            Wall::Corrugated if size_m < 13.5 * INCH_M => self.corrugated_to_12_in,
            Wall::Corrugated => self.corrugated_larger,
        }
    }
}

impl Criteria {
    /// Roughness of a line laid in a size, metres, and a wall: its own where that was entered, else that of size and wall.
    pub fn roughness_n(&self, line: &Line, size_m: f64, wall: Wall) -> f64 {
        line.roughness_n.unwrap_or(self.roughness.of(wall, size_m))
    }

    /// The limits in which two sets differ.
    pub fn changed_from<'a>(&'a self, before: &'a Self) -> impl Iterator<Item = &'static Limit> + 'a {
        LIMITS.iter().filter(move |limit| (limit.value)(self) != (limit.value)(before))
    }
}
