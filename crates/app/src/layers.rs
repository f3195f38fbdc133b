//! What is drawn on the map.

use std::collections::BTreeMap;
use std::sync::Arc;

use drawing::{MarkSort, Role};
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

/// Something drawn that can be put out of sight by itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Switch {
    /// The air photo or map image under the plan.
    Backdrop,
    /// Shaded relief.
    Relief,
    /// Contours with their levels.
    Contours,
    /// Low ground where water gathers.
    Swales,
    /// Closed depressions.
    Depressions,
    /// Gaps of the survey and its break lines.
    Edges,
    /// The field's boundary.
    Boundary,
    /// Ditches and culverts.
    Watercourses,
    /// Buried utilities and irrigation.
    Utilities,
    /// Power lines overhead.
    Overhead,
    /// Roads and lanes.
    Roads,
    /// Rows of vines or trees.
    Rows,
    /// Easements.
    Easements,
    /// Wet areas, wetlands and springs.
    Wet,
    /// Every other mark on the land.
    Others,
    /// New lines with what lies on them.
    Lines,
    /// Old tile.
    OldTile,
    /// Outlets.
    Outlets,
    /// Names, sizes, grades and levels.
    Names,
    /// Marks and stretches of findings.
    Findings,
    /// Shots of the survey.
    Shots,
    /// Benchmarks.
    Benchmarks,
    /// Shots that are asked for.
    Wanted,
    /// The legend.
    Legend,
    /// Scale bar and north arrow.
    Furniture,
}

impl Switch {
    /// All of them with their words, and the names by which they are remembered.
    pub const ALL: [(Switch, &'static str, &'static str); 25] = [
        (Self::Backdrop, "Air photo or map image", "photo"),
        (Self::Relief, "Shaded relief", "relief"),
        (Self::Contours, "Contours", "contours"),
        (Self::Swales, "Swales", "swales"),
        (Self::Depressions, "Closed depressions", "depressions"),
        (Self::Edges, "Survey gaps, break lines", "edges"),
        (Self::Boundary, "Boundary", "boundary"),
        (Self::Watercourses, "Ditches and culverts", "watercourses"),
        (Self::Utilities, "Buried utilities", "utilities"),
        (Self::Overhead, "Lines overhead", "overhead"),
        (Self::Roads, "Roads and lanes", "roads"),
        (Self::Rows, "Vine and tree rows", "rows"),
        (Self::Easements, "Easements", "easements"),
        (Self::Wet, "Wet areas, springs", "wet"),
        (Self::Others, "Other marks", "marks"),
        (Self::Lines, "Lines", "lines"),
        (Self::OldTile, "Old tile", "old tile"),
        (Self::Outlets, "Outlets", "outlets"),
        (Self::Names, "Names and figures", "names"),
        (Self::Findings, "Findings", "findings"),
        (Self::Shots, "Survey shots", "shots"),
        (Self::Benchmarks, "Benchmarks", "benchmarks"),
        (Self::Wanted, "Shots asked for", "wanted"),
        (Self::Legend, "Legend", "legend"),
        (Self::Furniture, "Scale bar, north arrow", "scale"),
    ];

    /// What puts a thing of a role out of sight; `None` for what is only there because it is asked for.
    pub fn of(role: Role) -> Option<Self> {
        Some(match role {
            Role::Line(pipe)
            | Role::Solid(pipe)
            | Role::OutletPipe(pipe)
            | Role::Flow(pipe)
            | Role::CappedEnd(pipe)
            | Role::OpenEnd(pipe)
            | Role::Reducer(pipe) => [Self::Lines, Self::OldTile][usize::from(pipe.is_old())],
            Role::Doubt => Self::OldTile,
            Role::Mark(sort) => Self::of_mark(sort),
            Role::Outlet => Self::Outlets,
            Role::Stretch(_) | Role::Finding(_) => Self::Findings,
            Role::Boundary => Self::Boundary,
            Role::Contour | Role::IndexContour => Self::Contours,
            Role::HoleEdge | Role::BreakLine => Self::Edges,
            Role::Swale => Self::Swales,
            Role::Depression => Self::Depressions,
            Role::Ditch | Role::Culvert => Self::Watercourses,
            Role::Shot(_) | Role::SmallShot(_) | Role::Outlier => Self::Shots,
            Role::Benchmark => Self::Benchmarks,
            Role::WantedShot => Self::Wanted,
            _ => return None,
        })
    }

    const fn of_mark(sort: MarkSort) -> Self {
        match sort {
            MarkSort::Utility(_) | MarkSort::Irrigation => Self::Utilities,
            MarkSort::Overhead => Self::Overhead,
            MarkSort::Road => Self::Roads,
            MarkSort::Rows => Self::Rows,
            MarkSort::Easement => Self::Easements,
            MarkSort::Wet | MarkSort::Spring => Self::Wet,
            MarkSort::Footing | MarkSort::Other => Self::Others,
        }
    }

    /// Whether it is seen where nobody said otherwise: shots and benchmarks belong to the stage Ground.
    pub fn is_usual(self, on_ground: bool) -> bool {
        on_ground || !matches!(self, Self::Shots | Self::Benchmarks)
    }
}

/// What is drawn on the map.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Layers {
    /// What the ground is tinted by.
    pub tint: Tint,
    /// What a person switched on or off, whatever the stage.
    said: BTreeMap<Switch, bool>,
}

impl Layers {
    /// Whether something is drawn.
    pub fn is_on(&self, switch: Switch, on_ground: bool) -> bool {
        self.said.get(&switch).copied().unwrap_or(switch.is_usual(on_ground))
    }

    /// Switches something on or off.
    pub fn set(&mut self, switch: Switch, on: bool) {
        self.said.insert(switch, on);
    }

    /// Switches everything on or off.
    pub fn set_all(&mut self, on: bool) {
        self.said = Switch::ALL.map(|(switch, ..)| (switch, on)).into();
    }

    /// Shows what belongs to each stage again.
    pub fn as_usual(&mut self) {
        self.said.clear();
    }

    /// What was said, by names, to be remembered.
    pub fn remembered(&self) -> BTreeMap<String, bool> {
        let named = Switch::ALL.into_iter().filter_map(|(switch, _, name)| Some((name, *self.said.get(&switch)?)));
        named.map(|(name, on)| (name.to_string(), on)).collect()
    }

    /// The layers as they were remembered; names that are not known are passed over.
    pub fn recalled(said: &BTreeMap<String, bool>) -> Self {
        let known = Switch::ALL.into_iter().filter_map(|(switch, _, name)| Some((switch, *said.get(name)?)));
        Self { said: known.collect(), ..Self::default() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_switched_is_remembered_and_belongs_to_no_stage() {
        let mut layers = Layers::default();
        assert!(layers.is_on(Switch::Shots, true) && !layers.is_on(Switch::Shots, false));
        layers.set(Switch::Shots, true);
        layers.set(Switch::Relief, false);
        assert!(layers.is_on(Switch::Shots, false) && !layers.is_on(Switch::Relief, true));
        let mut said = layers.remembered();
        said.insert("of another program".into(), true);
        assert_eq!(Layers::recalled(&said), layers);
        layers.as_usual();
        assert_eq!(layers, Layers::default());
    }

    /// Each stands once in the list, and no two are remembered by one name.
    #[test]
    fn every_switch_stands_once() {
        for (i, (switch, word, name)) in Switch::ALL.into_iter().enumerate() {
            let others = &Switch::ALL[i + 1..];
            assert!(others.iter().all(|other| other.0 != switch && other.1 != word && other.2 != name), "{word}");
        }
    }

    /// What lies on the map of a plan can be put out of sight: whatever is neither asked for by itself nor of a profile.
    #[test]
    fn every_layer_of_a_plan_has_its_switch() {
        let reached = Role::all().into_iter().filter_map(Switch::of).collect::<std::collections::BTreeSet<_>>();
        let drawn_otherwise = [Switch::Backdrop, Switch::Relief, Switch::Names, Switch::Legend, Switch::Furniture];
        for (switch, word, _) in Switch::ALL {
            assert!(reached.contains(&switch) != drawn_otherwise.contains(&switch), "{word}");
        }
    }
}
