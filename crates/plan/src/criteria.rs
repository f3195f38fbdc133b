//! The job's limits. Start values are the trade's; every one may be changed for a job.

use measure::{FOOT_M, INCH_M};
use serde::{Deserialize, Serialize};

use crate::{Line, Wall};

/// Limits the grade lines hold and the checks hold them against. Lengths in metres, grades as ratios, angles in degrees.
///
/// Source marks such as [CPS606] are those of the list of sources in the manual of the checks.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Criteria {
    /// Depth of the invert the pipe should lie at: 3 ft (common practice between 2.5 and 4 ft, [MSU-root]).
    pub target_depth_m: f64,
    /// Least soil over the pipe: 2.0 ft, mineral soil ([CPS606], from memory).
    pub least_cover_m: f64,
    /// Speed the full pipe must reach so that it keeps itself clean: 0.5 ft/s without fine sand or silt ([SW-S14]).
    pub clean_velocity_ms: f64,
    /// Speed that carries silt and fine sand along: 1.4 ft/s ([SW-S14], [EXT-tab]).
    pub silt_velocity_ms: f64,
    /// Steepest grade of any line: 10 %, over which a trench washes out ([memory], rule 126).
    pub steepest_grade: f64,
    /// Manning roughness of pipe by wall and size.
    pub roughness: Roughness,
    /// Deepest trench the machine can dig: 7 ft (judgement).
    pub machine_reach_m: f64,
    /// Trench depth from which nobody may enter without protection: 5 ft (29 CFR 1926.652, [OSHA-sum]).
    pub protected_trench_m: f64,
    /// Width of the trench: 24 in (judgement; rule 22 takes the same where unknown).
    pub trench_width_m: f64,
    /// Bedding below the pipe: none (worked example, trade-practice section 3.3).
    pub bedding_m: f64,
    /// Rise toward the outlet above which a reach counts as adverse: 0.001 ft (limit of arithmetic, judgement).
    pub adverse_rise_m: f64,
    /// Grade under which a reach counts as level: 0.005 % (judgement).
    pub level_grade: f64,
    /// Height of the outlet above channel bottom and low water that is wanted: 1.0 ft ([CPS606], from memory; [MSU-out]).
    pub outlet_wanted_m: f64,
    /// Height of the outlet under which it must not be dug: 0.3 ft ([ILRI16]: 0.1 m).
    pub outlet_least_m: f64,
    /// Greatest angle between the flow of a branch and of its main: 95° ([EB11], [GARDEN]).
    pub joint_angle_deg: f64,
    /// An end this near to another line was meant to join it: 3 ft (judgement).
    pub gap_m: f64,
    /// Lines this near side by side lie in one trench: 2 ft (judgement).
    pub duplicate_offset_m: f64,
    /// Length side by side that is tolerated: 20 ft (judgement).
    pub duplicate_length_m: f64,
    /// Length outside the boundary that is tolerated: 1 ft (judgement).
    pub outside_m: f64,
    /// Length beyond the boundary allowed to an outlet with consent: 30 ft (judgement).
    pub outlet_reach_m: f64,
    /// Distance from the flow line at which a line misses the swale: 15 ft ([OLD1912], [WISC]; figure judgement).
    pub swale_offset_m: f64,
    /// Share of a line's length that may miss the swale: one half (judgement).
    pub swale_share: f64,
}

/// Manning roughness by wall and nominal size (reference-values section 1.2: published values for the same pipe run from
/// 0.015 to 0.022, so each is an input).
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
            Wall::Smooth => self.smooth,
            Wall::Corrugated if size_m < 9.0 * INCH_M => self.corrugated_to_8_in,
            Wall::Corrugated if size_m < 13.5 * INCH_M => self.corrugated_to_12_in,
            Wall::Corrugated => self.corrugated_larger,
        }
    }
}

impl Default for Criteria {
    fn default() -> Self {
        Self {
            target_depth_m: 3.0 * FOOT_M,
            least_cover_m: 2.0 * FOOT_M,
            clean_velocity_ms: 0.5 * FOOT_M,
            silt_velocity_ms: 1.4 * FOOT_M,
            steepest_grade: 0.10,
            roughness: Roughness::default(),
            machine_reach_m: 7.0 * FOOT_M,
            protected_trench_m: 5.0 * FOOT_M,
            trench_width_m: 24.0 * INCH_M,
            bedding_m: 0.0,
            adverse_rise_m: 0.001 * FOOT_M,
            level_grade: 0.005 / 100.0,
            outlet_wanted_m: 1.0 * FOOT_M,
            outlet_least_m: 0.3 * FOOT_M,
            joint_angle_deg: 95.0,
            gap_m: 3.0 * FOOT_M,
            duplicate_offset_m: 2.0 * FOOT_M,
            duplicate_length_m: 20.0 * FOOT_M,
            outside_m: 1.0 * FOOT_M,
            outlet_reach_m: 30.0 * FOOT_M,
            swale_offset_m: 15.0 * FOOT_M,
            swale_share: 0.5,
        }
    }
}

impl Criteria {
    /// Roughness of a line laid in a size, metres: its own where that was entered, else that of its wall.
    pub fn roughness_n(&self, line: &Line, size_m: f64) -> f64 {
        line.roughness_n.unwrap_or(self.roughness.of(line.wall, size_m))
    }

    /// Every limit with its name, for the door that refuses what is out of range.
    pub(crate) fn named(&self) -> [(&'static str, f64); 25] {
        [
            ("target_depth_m", self.target_depth_m),
            ("least_cover_m", self.least_cover_m),
            ("clean_velocity_ms", self.clean_velocity_ms),
            ("silt_velocity_ms", self.silt_velocity_ms),
            ("steepest_grade", self.steepest_grade),
            ("roughness of corrugated pipe to 8 in", self.roughness.corrugated_to_8_in),
            ("roughness of corrugated pipe to 12 in", self.roughness.corrugated_to_12_in),
            ("roughness of larger corrugated pipe", self.roughness.corrugated_larger),
            ("roughness of smooth pipe", self.roughness.smooth),
            ("machine_reach_m", self.machine_reach_m),
            ("protected_trench_m", self.protected_trench_m),
            ("trench_width_m", self.trench_width_m),
            ("bedding_m", self.bedding_m),
            ("adverse_rise_m", self.adverse_rise_m),
            ("level_grade", self.level_grade),
            ("outlet_wanted_m", self.outlet_wanted_m),
            ("outlet_least_m", self.outlet_least_m),
            ("joint_angle_deg", self.joint_angle_deg),
            ("gap_m", self.gap_m),
            ("duplicate_offset_m", self.duplicate_offset_m),
            ("duplicate_length_m", self.duplicate_length_m),
            ("outside_m", self.outside_m),
            ("outlet_reach_m", self.outlet_reach_m),
            ("swale_offset_m", self.swale_offset_m),
            ("swale_share", self.swale_share),
        ]
    }
}
