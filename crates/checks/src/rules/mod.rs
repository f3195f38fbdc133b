//! The checks, one file each: manual entry, rule, tests.

mod acid_soil;
mod adverse_grade;
mod along_bank;
mod alongside;
mod bank_unprotected;
mod batch_shift;
mod below_clean_grade;
mod below_silt_grade;
mod below_vineyard_guide;
mod beside_footing;
mod beyond_machine;
mod blinding_missing;
mod boundary_crosses;
mod box_holds_water;
mod box_in_traffic;
mod capacity;
mod crosses_unjoined;
mod crossing;
mod crossing_clearance;
mod cut_untreated;
mod dam_or_levee;
mod differs_from_plan;
mod duplicate_line;
mod duplicate_points;
mod elsewhere;
mod enters_low;
mod first_flow;
mod flat_to_steep_no_vent;
mod flood_backwater;
mod found_not_recorded;
mod grade_below_survey;
mod grade_change;
mod grade_eases_downstream;
mod ground_unread;
mod hand_dig;
mod hedge;
mod high_drop;
mod inlet_blowout_silt;
mod inlet_not_sized;
mod interceptor_off_layer;
mod irrigation_depth;
mod join_unknown_tile;
mod joint_against_flow;
mod joint_level;
mod lane_crossing;
mod level_reach;
mod levels;
mod line_gap;
mod long_main_no_vent;
mod loop_closure;
mod low_coefficient;
mod low_water_unknown;
mod main_in_waterway;
mod many_breaks;
mod marks;
mod mixed_datum;
mod must_be_solid;
mod near_wetland;
mod nearly_full;
mod neighbour_effect;
mod no_animal_guard;
mod no_area;
mod no_end_cap;
mod no_ground;
mod no_outlet;
mod no_soil_data;
mod off_design;
mod off_swale;
mod old_tile_as_main;
mod old_tile_low;
mod old_tile_uncounted;
mod on_ridge;
mod one_benchmark;
mod opposite_laterals;
mod other_trees;
mod outlet_against_current;
mod outlet_consent;
mod outlet_freeboard;
mod outlet_not_described;
mod outlet_off_ground;
mod outlet_overhang;
mod outlet_pipe_short;
mod outlet_pipe_soft;
mod outlet_without_line;
mod outlets;
mod outlier_point;
mod over_boundary;
mod over_capacity;
mod overhead_line;
mod pipe;
mod pipe_too_small;
mod plain_slots_silt;
mod plug_live_tile;
mod post_or_anchor;
mod private_lines;
mod pump_incomplete;
mod receiving_pipe_backwater;
mod receiving_pipe_small;
mod record_incomplete;
mod replacement_small;
mod reverse_as_built;
mod ripper_depth;
mod row_multiple;
mod run_on;
mod shape;
mod sharp_bend;
mod short_stub;
mod site_flags;
mod smaller_downstream;
mod sock_in_iron;
mod soil;
mod spacing_close;
mod spacing_wide;
mod spring_missed;
mod square_tee_roots;
mod stale_survey;
mod steep_pipe_washout;
mod steep_to_flat_no_relief;
mod survey_gap;
mod survey_words;
mod suspected_tile;
mod swale_no_pipe;
mod swales;
mod thin_cover;
mod thin_cover_as_built;
mod thin_cover_peat;
mod thin_cover_traffic;
mod thin_envelope;
mod thirsty_trees;
mod tight_at_pipe;
mod too_deep_for_wall;
mod too_fast;
mod trench;
mod trench_five_feet;
mod trench_four_feet;
mod trench_twenty_feet;
mod under_ditch;
mod under_guide_depth;
mod under_row;
mod under_target_depth;
mod unit_mix;
mod utilities;
mod utility_clearance;
mod utility_depth_unknown;
mod utility_no_ticket;
mod water_loop;
mod well_or_septic;
mod wet_no_cause;
mod wet_not_served;
mod wrong_roughness;
mod yard_or_store;

use crate::Rule;

pub(crate) use marks::parts_near;
pub(crate) use swales::Course;

/// The check that tells of ground or levels which were not read.
pub(crate) const LESSER_GROUND: u16 = ground_unread::RULE.number;

/// Every check, by number.
pub const RULES: &[Rule] = &[
    adverse_grade::RULE,
    level_reach::RULE,
    below_clean_grade::RULE,
    below_silt_grade::RULE,
    below_vineyard_guide::RULE,
    grade_eases_downstream::RULE,
    too_fast::RULE,
    steep_to_flat_no_relief::RULE,
    flat_to_steep_no_vent::RULE,
    long_main_no_vent::RULE,
    many_breaks::RULE,
    thin_cover::RULE,
    thin_cover_peat::RULE,
    thin_cover_traffic::RULE,
    ripper_depth::RULE,
    under_target_depth::RULE,
    under_guide_depth::RULE,
    beyond_machine::RULE,
    trench_four_feet::RULE,
    trench_five_feet::RULE,
    trench_twenty_feet::RULE,
    too_deep_for_wall::RULE,
    interceptor_off_layer::RULE,
    tight_at_pipe::RULE,
    no_outlet::RULE,
    outlet_freeboard::RULE,
    low_water_unknown::RULE,
    flood_backwater::RULE,
    outlet_pipe_soft::RULE,
    outlet_pipe_short::RULE,
    outlet_overhang::RULE,
    no_animal_guard::RULE,
    bank_unprotected::RULE,
    outlet_consent::RULE,
    receiving_pipe_small::RULE,
    outlet_not_described::RULE,
    over_capacity::RULE,
    nearly_full::RULE,
    smaller_downstream::RULE,
    no_area::RULE,
    inlet_not_sized::RULE,
    old_tile_uncounted::RULE,
    run_on::RULE,
    low_coefficient::RULE,
    pipe_too_small::RULE,
    wrong_roughness::RULE,
    enters_low::RULE,
    high_drop::RULE,
    joint_against_flow::RULE,
    square_tee_roots::RULE,
    opposite_laterals::RULE,
    crosses_unjoined::RULE,
    crossing_clearance::RULE,
    no_end_cap::RULE,
    short_stub::RULE,
    line_gap::RULE,
    sharp_bend::RULE,
    water_loop::RULE,
    duplicate_line::RULE,
    box_holds_water::RULE,
    box_in_traffic::RULE,
    over_boundary::RULE,
    utility_no_ticket::RULE,
    utility_clearance::RULE,
    hand_dig::RULE,
    near_wetland::RULE,
    thirsty_trees::RULE,
    other_trees::RULE,
    hedge::RULE,
    lane_crossing::RULE,
    post_or_anchor::RULE,
    under_row::RULE,
    row_multiple::RULE,
    irrigation_depth::RULE,
    well_or_septic::RULE,
    wet_not_served::RULE,
    wet_no_cause::RULE,
    off_swale::RULE,
    swale_no_pipe::RULE,
    on_ridge::RULE,
    spacing_wide::RULE,
    spacing_close::RULE,
    no_soil_data::RULE,
    spring_missed::RULE,
    suspected_tile::RULE,
    join_unknown_tile::RULE,
    cut_untreated::RULE,
    plug_live_tile::RULE,
    old_tile_low::RULE,
    old_tile_as_main::RULE,
    replacement_small::RULE,
    outlet_without_line::RULE,
    plain_slots_silt::RULE,
    sock_in_iron::RULE,
    must_be_solid::RULE,
    blinding_missing::RULE,
    thin_envelope::RULE,
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
    reverse_as_built::RULE,
    off_design::RULE,
    record_incomplete::RULE,
    thin_cover_as_built::RULE,
    found_not_recorded::RULE,
    differs_from_plan::RULE,
    first_flow::RULE,
    overhead_line::RULE,
    utility_depth_unknown::RULE,
    private_lines::RULE,
    dam_or_levee::RULE,
    under_ditch::RULE,
    along_bank::RULE,
    main_in_waterway::RULE,
    beside_footing::RULE,
    outlet_against_current::RULE,
    steep_pipe_washout::RULE,
    inlet_blowout_silt::RULE,
    receiving_pipe_backwater::RULE,
    pump_incomplete::RULE,
    neighbour_effect::RULE,
    yard_or_store::RULE,
    acid_soil::RULE,
    site_flags::RULE,
    boundary_crosses::RULE,
    ground_unread::RULE,
    no_ground::RULE,
    elsewhere::RULE,
    outlet_off_ground::RULE,
];
