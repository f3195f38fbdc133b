//! Drainwright, the program: a window and a command line over the same plan, design and checks.

pub mod apply;
pub mod backdrop;
pub mod camera;
pub mod canvas;
pub mod cli;
pub mod command;
pub mod desk;
pub mod jobs;
pub mod keeping;
pub mod layers;
pub mod lists;
pub mod panels;
pub mod picture;
pub mod purpose;
pub mod receiving;
pub mod remembering;
pub mod saving;
pub mod shower;
pub mod signing;
pub mod theme;
pub mod tools;
pub mod trying;
pub mod view;
pub mod weighing;
pub mod window;
pub mod wish;
