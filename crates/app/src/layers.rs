//! What is drawn on the map.

/// What the ground is tinted by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Tint {
    /// Nothing but its shade.
    #[default]
    Nothing,
    /// How steep it is.
    Slope,
    /// How deep water would stand in closed depressions.
    Depth,
}

impl Tint {
    /// All tints and their words.
    pub const ALL: [(Tint, &'static str); 3] =
        [(Self::Nothing, "shade alone"), (Self::Slope, "slope"), (Self::Depth, "depth of depressions")];
}

/// What is drawn on the map.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Layers {
    /// Shaded relief.
    pub relief: bool,
    /// What the ground is tinted by.
    pub tint: Tint,
    /// Contours.
    pub contours: bool,
    /// Swales and depressions.
    pub water: bool,
    /// Names, sizes and grades of lines.
    pub labels: bool,
}

impl Default for Layers {
    fn default() -> Self {
        Self { relief: true, tint: Tint::Nothing, contours: true, water: true, labels: true }
    }
}
