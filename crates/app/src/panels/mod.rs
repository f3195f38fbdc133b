//! What stands round the map: one function a panel.

pub mod profile;
