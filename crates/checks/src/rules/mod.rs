//! The checks, one file each: manual entry, rule, tests.

mod adverse_grade;
mod alongside;
mod batch_shift;
mod below_clean_grade;
mod beyond_machine;
mod crosses_unjoined;
mod crossing;
mod crossing_clearance;
mod duplicate_line;
mod duplicate_points;
mod enters_low;
mod grade_below_survey;
mod high_drop;
mod join_unknown_tile;
mod joint_against_flow;
mod joint_level;
mod level_reach;
mod line_gap;
mod loop_closure;
mod low_water_unknown;
mod many_breaks;
mod mixed_datum;
mod no_end_cap;
mod no_outlet;
mod off_swale;
mod old_tile_low;
mod one_benchmark;
mod opposite_laterals;
mod outlet_freeboard;
mod outlier_point;
mod over_boundary;
mod pipe_too_small;
mod sharp_bend;
mod short_stub;
mod smaller_downstream;
mod stale_survey;
mod survey_gap;
mod survey_words;
mod suspected_tile;
mod thin_cover;
mod trench;
mod trench_five_feet;
mod trench_four_feet;
mod under_target_depth;
mod unit_mix;
mod water_loop;

use crate::Rule;

/// Every check, by number.
pub const RULES: &[Rule] = &[
    adverse_grade::RULE,
    level_reach::RULE,
    below_clean_grade::RULE,
    many_breaks::RULE,
    thin_cover::RULE,
    under_target_depth::RULE,
    beyond_machine::RULE,
    trench_four_feet::RULE,
    trench_five_feet::RULE,
    no_outlet::RULE,
    outlet_freeboard::RULE,
    low_water_unknown::RULE,
    smaller_downstream::RULE,
    pipe_too_small::RULE,
    enters_low::RULE,
    high_drop::RULE,
    joint_against_flow::RULE,
    opposite_laterals::RULE,
    crosses_unjoined::RULE,
    crossing_clearance::RULE,
    no_end_cap::RULE,
    short_stub::RULE,
    line_gap::RULE,
    sharp_bend::RULE,
    water_loop::RULE,
    duplicate_line::RULE,
    over_boundary::RULE,
    off_swale::RULE,
    suspected_tile::RULE,
    join_unknown_tile::RULE,
    old_tile_low::RULE,
    outlier_point::RULE,
    batch_shift::RULE,
    unit_mix::RULE,
    mixed_datum::RULE,
    survey_gap::RULE,
    grade_below_survey::RULE,
    one_benchmark::RULE,
    loop_closure::RULE,
    duplicate_points::RULE,
    stale_survey::RULE,
];
