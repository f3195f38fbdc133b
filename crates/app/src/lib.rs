//! Drainwright, the program: a window and a command line over the same plan, design and checks.

pub mod canvas;
pub mod cli;
pub mod demo;
pub mod files;
pub mod joining;
pub mod land;
pub mod panels;
pub mod picture;
pub mod session;
pub mod theme;
pub mod view;
