//! Drainwright, the program: a window and a command line over the same plan, design and checks.

pub mod apply;
pub mod canvas;
pub mod cli;
pub mod command;
pub mod desk;
pub mod jobs;
pub mod keeping;
pub mod panels;
pub mod picture;
pub mod saving;
pub mod theme;
pub mod tools;
pub mod trying;
pub mod view;
pub mod wish;
