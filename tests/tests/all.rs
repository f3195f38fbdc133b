//! The tests of the house as a whole, all in one binary: each binary more would be linked with the whole program again.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "helpers of tests may stop the test, and say what was skipped"
)]

mod common;
mod mutants;
mod typist;

mod advice;
mod geometry;
mod inside_app;
mod layering;
mod readme;
mod real_grades;
mod relief;
mod remedies;
mod sentences;
mod sizes;
mod sources;
mod strips;
mod tongues;
mod undrained;
mod walks;
mod water;
mod whole_fields;
mod words;
