//! Drainwright, the program: a window and a command line over the same plan, design and checks.

pub mod apply;
pub mod canvas;
pub mod cli;
pub mod clock;
pub mod command;
pub mod demo;
pub mod desk;
pub mod files;
pub mod grading;
pub mod handing;
pub mod jobs;
pub mod joining;
pub mod land;
pub mod leeway;
pub mod panels;
pub mod picture;
pub mod runoff;
pub mod salvage;
pub mod session;
pub mod surveying;
pub mod theme;
pub mod tools;
pub mod trying;
pub mod view;
pub mod wish;
