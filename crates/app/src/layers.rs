//! What is drawn on the map.

use std::sync::Arc;

use job::dry::Answer;
use terrain::Grid;

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
    /// How many days the roots are wet after the rain that was asked about.
    DaysWet,
}

/// What is asked and told of how the land dries.
#[derive(Debug, Clone)]
pub struct DryForm {
    /// Rain, as it is typed.
    pub rain: String,
    /// Days, as they are typed.
    pub days: String,
    /// What came of it last, and for which revision of the plan.
    pub answer: Option<(u64, Arc<Answer>)>,
    /// The case that the map is tinted by.
    pub shown: usize,
}

/// Answers are the same where they are one.
impl PartialEq for DryForm {
    fn eq(&self, other: &Self) -> bool {
        let answer = |form: &Self| form.answer.as_ref().map(|(revision, answer)| (*revision, Arc::as_ptr(answer)));
        (&self.rain, &self.days, self.shown, answer(self)) == (&other.rain, &other.days, other.shown, answer(other))
    }
}

impl Default for DryForm {
    fn default() -> Self {
        Self { rain: "30 mm".into(), days: "10".into(), answer: None, shown: 0 }
    }
}

impl DryForm {
    /// Days that the roots are wet in every cell of the case that is shown.
    pub fn map(&self) -> Option<&Arc<Grid>> {
        let (_, answer) = self.answer.as_ref()?;
        answer.cases.get(self.shown)?.map.as_ref()
    }
}

impl Tint {
    /// All tints and their words.
    pub const ALL: [(Tint, &'static str); 4] = [
        (Self::Nothing, "shade alone"),
        (Self::Slope, "slope"),
        (Self::Depth, "depth of depressions"),
        (Self::DaysWet, "days wet, once worked out"),
    ];
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
