//! What grade does: one pipe at five grades, and a dip in which water stands.

use crate::given::Given;
use hydraulics::{full_capacity_m3s, full_velocity_ms, grade_for_velocity};
use measure::{FOOT_M, INCH_M, INCH_PER_DAY_MS, Units};
use plan::{Criteria, Roughness, Wall};

/// The grades that are shown, as ratios: 0.1, 0.2, 0.5, 1 and 2 %.
pub const GRADES: [f64; 5] = [0.001, 0.002, 0.005, 0.01, 0.02];

/// A pipe, and the water of the land it is to carry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pipe {
    /// Its inside diameter, metres.
    pub inside_m: f64,
    /// Water of the land, m/s.
    pub coefficient_ms: f64,
}

/// What a pipe does at a grade when it is full.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtGrade {
    /// The grade, a ratio.
    pub grade: f64,
    /// Discharge, m³/s.
    pub flow_m3s: f64,
    /// Mean speed, m/s.
    pub velocity_ms: f64,
    /// Land it can drain, m².
    pub land_m2: f64,
    /// True where it carries silt out.
    pub clears_silt: bool,
}

impl Default for Pipe {
    /// Corrugated tubing of 4 in at half an inch a day, as fruit is drained.
    fn default() -> Self {
        Self { inside_m: 0.1016, coefficient_ms: INCH_PER_DAY_MS / 2.0 }
    }
}

impl Pipe {
    /// The pipe of the exercises, round in the units of a class.
    pub fn usual(units: Units) -> Self {
        Given::of(units).pipe
    }
}

/// Speed of a full pipe above which it carries fine sand and silt out, m/s: that of the job's limits.
pub fn silt_velocity_ms() -> f64 {
    Criteria::default().silt_velocity_ms
}

impl Pipe {
    /// Manning's n of corrugated tubing of its size.
    pub fn roughness_n(self) -> f64 {
        Roughness::default().of(Wall::Corrugated, self.inside_m)
    }

    /// What it does at a grade.
    pub fn at(self, grade: f64) -> AtGrade {
        let flow_m3s = full_capacity_m3s(self.roughness_n(), self.inside_m, grade);
        let velocity_ms = full_velocity_ms(self.roughness_n(), self.inside_m, grade);
        let land_m2 = flow_m3s / self.coefficient_ms;
        AtGrade { grade, flow_m3s, velocity_ms, land_m2, clears_silt: velocity_ms >= silt_velocity_ms() }
    }

    /// What it does at each of the [`GRADES`].
    pub fn at_grades(self) -> [AtGrade; 5] {
        GRADES.map(|grade| self.at(grade))
    }

    /// The flattest grade at which it carries silt out, a ratio.
    pub fn silt_grade(self) -> f64 {
        grade_for_velocity(self.roughness_n(), self.inside_m, silt_velocity_ms())
    }
}

/// A pipe whose middle has sunk, straight down to the lowest place and straight up from it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dip {
    /// Grade at which the pipe was laid, a ratio.
    pub grade: f64,
    /// How far its lowest place sank, metres.
    pub sunk_m: f64,
    /// From either end of the dip to the lowest place, metres.
    pub half_m: f64,
}

impl Default for Dip {
    /// An inch in the middle of twenty feet, at the flattest of the grades.
    fn default() -> Self {
        Self { grade: GRADES[0], sunk_m: INCH_M, half_m: 10.0 * FOOT_M }
    }
}

impl Dip {
    /// The dip of the exercises, round in the units of a class.
    pub fn usual(units: Units) -> Self {
        Given::of(units).dip()
    }

    /// Depth of the water that stands at the lowest place, metres: up to the lip downstream, over which it must climb.
    pub fn standing_m(self) -> f64 {
        (self.sunk_m - self.grade * self.half_m).max(0.0)
    }

    /// How far the standing water reaches up the pipe from the lowest place, metres.
    pub fn reach_m(self) -> f64 {
        let rise = self.sunk_m / self.half_m + self.grade;
        if self.standing_m() > 0.0 { self.standing_m() / rise } else { 0.0 }
    }

    /// Height of the invert over that of the lip, at so many metres upstream of it.
    pub fn invert_m(self, upstream_m: f64) -> f64 {
        let off = (upstream_m - self.half_m).abs() / self.half_m;
        self.grade * upstream_m - self.sunk_m * (1.0 - off).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use measure::{CFS_M3S, SQUARE_M_PER_ACRE, fixed};

    /// Flow, speed and land of a 4-in pipe with n 0.015 at half an inch a day: worked out with Manning in feet, k 1.486
    /// (own arithmetic on [HEC22]), as printed.
    #[test]
    fn five_grades_as_worked_by_hand() {
        let printed = [
            ("0.052", "0.60", "2.5"),
            ("0.074", "0.85", "3.5"),
            ("0.117", "1.34", "5.6"),
            ("0.165", "1.89", "7.9"),
            ("0.233", "2.67", "11.1"),
        ];
        for (at, (cfs, fps, acres)) in Pipe::default().at_grades().into_iter().zip(printed) {
            assert_eq!(fixed(at.flow_m3s / CFS_M3S, 3), cfs);
            assert_eq!(fixed(at.velocity_ms / FOOT_M, 2), fps);
            assert_eq!(fixed(at.land_m2 / SQUARE_M_PER_ACRE, 1), acres);
        }
    }

    /// Four times the grade carries twice the flow; 4 in clears silt from 0.55 % up, [EXT-tab].
    #[test]
    fn four_times_the_grade_is_twice_the_flow_and_silt_clears_from_a_bit_over_half_a_percent() {
        let pipe = Pipe::default();
        assert!((pipe.at(0.004).flow_m3s / pipe.at(0.001).flow_m3s - 2.0).abs() < 1e-12);
        assert_eq!(fixed(pipe.silt_grade() * 100.0, 2), "0.55");
        assert_eq!(pipe.at_grades().map(|at| at.clears_silt), [false, false, false, true, true]);
    }

    /// By geometry: the lip lies as high as the grade falls from there to where the lowest place was laid.
    #[test]
    fn water_stands_in_a_dip_up_to_its_lip() {
        let dip = Dip { grade: 0.001, sunk_m: INCH_M, half_m: 10.0 * FOOT_M };
        assert!((dip.standing_m() - (INCH_M - 0.01 * FOOT_M)).abs() < 1e-12);
        assert!((dip.invert_m(dip.half_m) + dip.standing_m()).abs() < 1e-12);
        assert!(dip.invert_m(dip.half_m + dip.reach_m()).abs() < 1e-12, "the water's edge lies as high as the lip");
        assert_eq!(Dip { grade: 0.02, ..dip }.standing_m(), 0.0, "a steep pipe sinks an inch and still runs empty");
    }
}
