//! The tests of the program, all in one binary: each binary more would be linked with the whole window again.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

mod common;
#[path = "common/window.rs"]
mod hand;

mod along_swales;
mod as_dug;
mod beside;
mod certainty;
mod coords;
mod drying;
mod dug_live;
mod eyes;
mod found;
mod from_the_field;
mod grade;
mod handing;
mod hands;
mod how_sure;
mod in_profile;
mod keyboard;
mod leaving;
mod lesser_ground;
mod lesson;
mod lists;
mod looking;
mod manners;
mod names;
mod opening;
mod other_system;
mod outlet_level;
mod outputs;
mod parallel;
mod proposed_by_command;
mod proposing;
mod rain;
mod reading_aids;
mod record;
mod script;
mod spacing;
mod stepped;
mod still;
mod survey;
mod tables;
mod tongues;
mod two_windows;
mod typed;
mod units;
mod verbs;
mod window;
mod window_outputs;
