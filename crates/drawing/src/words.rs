//! What stands beside the things of a map: names, sizes, grades, levels; the most important first.

use std::borrow::Cow;

use checks::Severity;
use design::LineDesign;
use measure::{Point, Units};
use plan::{Evidence, Landmark, Line, LineId, LineKind, Outline, Passed};

use crate::map::{Chosen, Layer, MapOf, proposed, wanted};
use crate::role::{MarkSort, Pipe, Role};

/// Where words belong.
#[derive(Debug, Clone, PartialEq)]
pub enum Anchor<'a> {
    /// To a place.
    At(Point),
    /// To a path.
    Along(Cow<'a, [Point]>),
    /// To an area, at its middle.
    Inside(Cow<'a, [Point]>, Point),
}

impl Anchor<'_> {
    /// The place itself, or half-way along.
    pub fn middle(&self) -> Option<Point> {
        match self {
            Self::At(at) | Self::Inside(_, at) => Some(*at),
            Self::Along(path) => measure::point_at(path, measure::path_length(path) / 2.0),
        }
    }
}

/// Words of a thing.
#[derive(Debug, Clone, PartialEq)]
pub struct Label<'a> {
    /// The role of the thing.
    pub role: Role,
    /// Where it is.
    pub anchor: Anchor<'a>,
    /// Its name, or the one figure that tells of it.
    pub name: String,
    /// What it is, where its name does not tell; empty where that is plain.
    pub what: String,
    /// Figures with the words for them; they may go where there is no room.
    pub facts: Vec<(&'static str, String)>,
    /// A further line, where there is room for one.
    pub more: String,
    /// True where the thing is chosen.
    pub is_chosen: bool,
}

impl<'a> Label<'a> {
    fn new(role: Role, anchor: Anchor<'a>, name: impl Into<String>) -> Self {
        Self {
            role,
            anchor,
            name: name.into(),
            what: String::new(),
            facts: Vec::new(),
            more: String::new(),
            is_chosen: false,
        }
    }

    fn with(self, facts: impl IntoIterator<Item = (&'static str, String)>) -> Self {
        Self { facts: facts.into_iter().collect(), ..self }
    }

    /// What it is with its name: "water line W1".
    pub fn called(&self) -> String {
        let words = [self.what.as_str(), self.name.as_str()];
        words.into_iter().filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
    }

    /// Name and figures, so far apart; the words of the figures too if wanted.
    pub fn in_full(&self, apart: &str, with_words: bool) -> String {
        let figure = |(word, figure): &(&str, String)| match with_words && !word.is_empty() {
            true => format!("{word} {figure}"),
            false => figure.clone(),
        };
        let parts = [self.name.clone()].into_iter().chain(self.facts.iter().map(figure));
        parts.filter(|part| !part.is_empty()).collect::<Vec<_>>().join(apart)
    }
}

impl<'a> MapOf<'a> {
    /// The words of those layers; who comes later gives way. What a digger must know of comes before all else.
    pub fn labels(&self, layers: &[Layer]) -> Vec<Label<'a>> {
        let is_on = |layer| layers.contains(&layer);
        let (hazards, others): (Vec<_>, Vec<_>) =
            self.mark_labels().into_iter().partition(|(is_hazard, _)| *is_hazard);
        let bare = |marks: Vec<(bool, Label<'a>)>| marks.into_iter().map(|(_, label)| label).collect();
        let all: [(Layer, Vec<Label<'a>>); 15] = [
            (Layer::NoDig, self.no_dig_labels()),
            (Layer::FlowPath, self.flow_path_label().into_iter().collect()),
            (Layer::Wanted, self.wanted_labels()),
            (Layer::Outlets, self.outlet_labels()),
            (Layer::Proposed, self.proposed_labels()),
            (Layer::Shots, self.outlier_labels()),
            (Layer::Benchmarks, self.benchmark_labels()),
            (Layer::Marks, bare(hazards)),
            (Layer::Lines, self.line_labels()),
            (Layer::Lines, self.change_labels()),
            (Layer::Marks, bare(others)),
            (Layer::Joints, self.joint_labels()),
            (Layer::Findings, self.finding_labels()),
            (Layer::Watercourses, self.watercourse_labels()),
            (Layer::Contours, self.contour_labels(layers)),
        ];
        all.into_iter().filter(|(layer, _)| is_on(*layer)).flat_map(|(_, labels)| labels).collect()
    }

    fn no_dig_labels(&self) -> Vec<Label<'a>> {
        let parts = self.no_dig.iter().filter_map(|no_dig| {
            let part =
                measure::part_of(&self.plan.lines.get(&no_dig.line)?.points, no_dig.stretch_m.0, no_dig.stretch_m.1);
            let at = measure::point_at(&part, measure::path_length(&part) / 2.0)?;
            Some(Label::new(Role::NoDig, Anchor::At(at), format!("DO NOT DIG {}", no_dig.number)))
        });
        parts.collect()
    }

    /// How much land drains to a place, and how long the flow path from there is.
    fn flow_path_label(&self) -> Option<Label<'a>> {
        let (path, units) = (self.flow_path?, self.plan.title.units);
        let label = |name: String| Label::new(Role::FlowPathFoot, Anchor::At(path.at), name);
        let Some((_, area_m2)) = path.land else { return Some(label("no ground here".into())) };
        let more = format!("flow path {}", units.length(measure::path_length(path.way)));
        Some(Label { more, ..label(format!("{} drain to here", units.area(area_m2))) })
    }

    fn outlet_labels(&self) -> Vec<Label<'a>> {
        let units = self.plan.title.units;
        let outlets = self.plan.outlets.iter().map(|(id, outlet)| {
            let invert_m = self.design.outlet_invert_m(*id, outlet);
            let more = match outlet.low_water_m {
                Some(water_m) => format!("{} above low water", units.depth(invert_m - water_m)),
                None => "low water not measured".into(),
            };
            let label = Label::new(Role::Outlet, Anchor::At(outlet.at), &outlet.name);
            Label { more, ..label.with([("invert", units.level(invert_m))]) }
        });
        outlets.collect()
    }

    /// Shots that are asked for: shot 1, shot 2.
    fn wanted_labels(&self) -> Vec<Label<'a>> {
        let label = |(i, at): (usize, &Point)| Label::new(Role::WantedShot, Anchor::At(*at), wanted::wanted_name(i));
        self.wanted.0.iter().enumerate().map(label).collect()
    }

    /// Shots that stick out.
    fn outlier_labels(&self) -> Vec<Label<'a>> {
        let Some(survey) = self.land.and_then(|land| land.survey.as_deref()) else { return Vec::new() };
        let label =
            |index: usize| Label::new(Role::Outlier, Anchor::At(survey.shots[index].at), survey.book.name_of(index));
        survey.outliers.iter().map(|outlier| label(outlier.index)).collect()
    }

    /// Benchmarks by the short form of their names, with their levels.
    fn benchmark_labels(&self) -> Vec<Label<'a>> {
        let units = self.plan.title.units;
        let marks = self.plan.survey.benchmarks.iter().map(|mark| {
            let short = mark.name.split(',').next().unwrap_or_default();
            Label::new(Role::Benchmark, Anchor::At(mark.at), short).with([("", units.level(mark.level_m))])
        });
        marks.collect()
    }

    /// Marks on the land; true for a hazard.
    fn mark_labels(&self) -> Vec<(bool, Label<'a>)> {
        let marks = self.plan.landmarks.values().map(|mark| {
            let anchor = match &mark.outline {
                Outline::Along(points) => Anchor::Along(points.as_slice().into()),
                Outline::Around(_) => Anchor::Inside(mark.outline.path().into(), mark.outline.middle()),
                Outline::At(at) => Anchor::At(*at),
            };
            let label = Label::new(Role::Mark(MarkSort::of(&mark.kind)), anchor, &mark.name);
            (is_hazard(mark), Label { what: mark.word(), ..label })
        });
        marks.collect()
    }

    fn line_labels(&self) -> Vec<Label<'a>> {
        let label = |(id, line): (&LineId, &'a Line)| {
            let is_chosen = self.chosen == Chosen::of(*id);
            Label { is_chosen, ..self.line_label(line, self.design.lines.get(id)) }
        };
        self.plan.lines.iter().map(label).collect()
    }

    fn line_label(&self, line: &'a Line, worked: Option<&LineDesign>) -> Label<'a> {
        let units = self.plan.title.units;
        let size = worked.map_or_else(|| units.pipe(line.size_m), |worked| worked.size_words(units));
        let grade = worked.and_then(LineDesign::mean_grade).map(|grade| ("", units.grade(grade)));
        let label =
            Label::new(Role::Line(Pipe::of(line.kind)), Anchor::Along(line.points.as_slice().into()), &line.name);
        Label { what: old_word(line.kind), ..label.with([("", size)].into_iter().chain(grade)) }
    }

    /// Sizes of pipe where it changes: "8 in to 6 in".
    fn change_labels(&self) -> Vec<Label<'a>> {
        let units = self.plan.title.units;
        let of = |(id, line): (&LineId, &'a Line)| {
            let changes = self.design.lines.get(id).map(LineDesign::changes).unwrap_or_default();
            let label = |pair: [design::Pipe; 2]| {
                let at = measure::point_at(&line.points, pair[1].from_m)?;
                Some(Label::new(Role::Reducer(Pipe::of(line.kind)), Anchor::At(at), change_words(&pair, units)))
            };
            changes.into_iter().filter_map(label).collect::<Vec<_>>()
        };
        self.plan.lines.iter().flat_map(of).collect()
    }

    /// The names of proposed lines, by which it is told why they run where they run; mains first.
    fn proposed_labels(&self) -> Vec<Label<'a>> {
        let named = |line: &'a Line| {
            Label::new(proposed::role(line.kind), Anchor::Along(line.points.as_slice().into()), &line.name)
        };
        let mut labels: Vec<Label> = self.proposed.into_iter().flat_map(proposed::lines).map(named).collect();
        labels.sort_by_key(|label| label.role);
        labels
    }

    /// What branches bring in at joints.
    fn joint_labels(&self) -> Vec<Label<'a>> {
        let units = self.plan.title.units;
        let levels = self.design.joints.iter().filter_map(|joint| Some((joint.at, joint.branch_invert_m?)));
        levels.map(|(at, level_m)| Label::new(Role::Joint, Anchor::At(at), units.level(level_m))).collect()
    }

    /// By how much findings miss; the worst last, as their marks are.
    fn finding_labels(&self) -> Vec<Label<'a>> {
        let shown = self.findings.iter().rev();
        let shown = shown.filter(|finding| finding.severity != Severity::Note || self.is_looked_at(finding));
        let amount = shown.filter_map(|finding| Some((finding, finding.amount.as_ref()?)));
        amount.map(|(f, amount)| Label::new(Role::Finding(f.severity), Anchor::At(f.at), amount)).collect()
    }

    fn watercourse_labels(&self) -> Vec<Label<'a>> {
        let courses = self.plan.watercourses.values().map(|course| {
            let role = Role::of_water(course.kind);
            let label = Label::new(role, Anchor::Along(course.points.as_slice().into()), &course.name);
            Label { what: course.kind.word().into(), ..label }
        });
        courses.collect()
    }

    fn contour_labels(&self, layers: &[Layer]) -> Vec<Label<'a>> {
        let index = self.contours.iter().filter(|contour| contour.index && layers.contains(&Layer::Contours));
        let label = |contour: &'a terrain::Contour| {
            let words = crate::level_words(contour.level_m, self.plan.title.units);
            Label::new(Role::IndexContour, Anchor::Along(contour.points.as_slice().into()), words)
        };
        index.map(label).collect()
    }
}

/// What pipe changes to on the way up: "8 in to 6 in", or its wall where the size stays.
pub fn change_words([below, above]: &[design::Pipe; 2], units: Units) -> String {
    match below.size_m == above.size_m {
        true => format!("{} from here up", above.wall.word()),
        false => format!("{} to {}", units.pipe(below.size_m), units.pipe(above.size_m)),
    }
}

/// What a digger must know of before anything else.
fn is_hazard(mark: &Landmark) -> bool {
    match mark.kind.row().passed {
        Passed::Buried { .. } | Passed::Overhead(_) => true,
        Passed::Named(_) | Passed::Untold => false,
    }
}

/// What an old line is; nothing for new pipe.
fn old_word(kind: LineKind) -> String {
    let LineKind::OldTile(old) = kind else { return String::new() };
    let evidence = match old.evidence {
        Evidence::Suspected => "suspected",
        Evidence::Seen => "seen",
        Evidence::Proved => "proved",
    };
    format!("old tile, {evidence}")
}
