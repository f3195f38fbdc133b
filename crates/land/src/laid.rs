//! The land: laid once from what was measured, then followed as a plan's ditches, culverts and corrections change.

use std::ops::ControlFlow;
use std::sync::Arc;

use measure::LengthUnit;
use plan::{Plan, SurveyBook, Watercourse};
use terrain::{Depression, Grid, GridError, Ground, Hole, Swale, TinError, Water};

use crate::flow::Flow;
use crate::{Contours, Sources, Surveyed, lidar_shift_m, relief};

/// How land is laid: with so many threads, and told to whom.
#[derive(Clone, Copy)]
pub struct Laying<'a> {
    /// How many threads may be used, at least one. The answer is the same with any number.
    pub threads: usize,
    /// Told what is begun; its `Break` gives the work up, which then answers [`LandError::Stopped`].
    pub step: &'a dyn Fn(&'static str) -> ControlFlow<()>,
}

impl Laying<'_> {
    /// One thread, told to nobody.
    pub const PLAIN: Laying<'static> = Laying { threads: 1, step: &|_| ControlFlow::Continue(()) };
}

/// Why no land was laid.
#[derive(Debug, thiserror::Error)]
pub enum LandError {
    /// The work was given up.
    #[error("stopped before the land was laid")]
    Stopped,
    /// The shots make no surface.
    #[error("{0}")]
    NoSurface(#[from] TinError),
    /// The shifted lidar is no grid.
    #[error("{0}")]
    NoGrid(#[from] GridError),
}

/// A file of the survey that was not read.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftOut {
    /// The file as the plan names it, without its folders.
    pub file: String,
    /// Why not.
    pub why: String,
}

/// The land under a plan, as far as it is known. Copies share what is large.
#[derive(Debug, Clone, Default)]
pub struct Land {
    /// The surface; `None` where no ground was read.
    pub ground: Option<Arc<Ground>>,
    /// Where water goes on it, led by [`Land::watercourses`].
    pub water: Option<Arc<Water>>,
    /// Low ground where water gathers.
    pub swales: Arc<Vec<Swale>>,
    /// Hollows without a way out.
    pub depressions: Arc<Vec<Depression>>,
    /// The ditches and culverts that lead the water.
    pub watercourses: Vec<Watercourse>,
    /// The survey after the corrections of [`Land::corrections`].
    pub survey: Option<Arc<Surveyed>>,
    /// What the plan says of the survey.
    pub corrections: SurveyBook,
    /// Lidar as it was read, where it is not the ground itself.
    pub lidar_beside: Option<Arc<Grid>>,
    /// Files of the survey that were not read.
    pub left_out: Vec<LeftOut>,
    /// The coordinate system that the ground's file states, where the plan has another for it.
    pub other_system: Option<String>,
    /// True where ground should lie under the lines, whether or not it does.
    pub is_awaited: bool,
    /// What it was laid from; `None` where nothing was.
    pub base: Option<Arc<Base>>,
}

/// What does not change with a plan's ditches and culverts.
#[derive(Debug)]
pub struct Base {
    sources: Sources,
    book: SurveyBook,
    surveyed: Arc<Surveyed>,
    flow: Flow,
    holes: Vec<Hole>,
    shade: Vec<u8>,
    contours: Arc<Contours>,
    relief_m: f64,
    unit: LengthUnit,
    notes: Vec<String>,
}

impl Land {
    /// Land whose ground was not read.
    pub fn without_ground() -> Self {
        Self { is_awaited: true, ..Self::default() }
    }

    /// Works out everything from a surface, step by step; `unit` is that of its levels.
    pub fn of(ground: Ground, unit: LengthUnit, laying: &Laying) -> Result<Self, LandError> {
        let (sources, book) = (Sources::default(), SurveyBook::default());
        let surveyed = Surveyed::of(&sources.book, &book, Some(ground.grid()));
        Self::on(ground, (sources, book, surveyed), unit, laying)
    }

    /// Lays the corrected ground of sources; `grid` is the ground's own where it comes from a grid.
    pub fn lay(
        mut sources: Sources,
        grid: Option<Grid>,
        unit: LengthUnit,
        book: &SurveyBook,
        laying: &Laying,
    ) -> Result<Self, LandError> {
        step(laying, "surface")?;
        let (ground, surveyed) = sources.lay(grid, book, laying.threads)?;
        Self::on(ground, (sources, book.clone(), surveyed), unit, laying)
    }

    fn on(
        ground: Ground,
        (sources, book, surveyed): (Sources, SurveyBook, Surveyed),
        unit: LengthUnit,
        laying: &Laying,
    ) -> Result<Self, LandError> {
        let ControlFlow::Continue(flow) = Flow::of(ground.grid(), laying) else { return Err(LandError::Stopped) };
        step(laying, "contours")?;
        let relief_m = relief::relief_m(ground.grid());
        let contours = Arc::new(Contours::of(&ground, relief::interval_m(relief_m, unit), laying.threads));
        step(laying, "shading")?;
        let shade = relief::shade(ground.grid(), laying.threads);
        let holes = ground.holes();
        let notes = sources.notes.iter().cloned().chain(survey_notes(&ground, holes.len())).collect();
        let surveyed = Arc::new(surveyed);
        Ok(Self {
            ground: Some(Arc::new(ground)),
            water: Some(flow.water.clone()),
            swales: flow.swales.clone(),
            depressions: flow.depressions.clone(),
            watercourses: Vec::new(),
            survey: Some(surveyed.clone()),
            corrections: book.clone(),
            lidar_beside: sources.lidar.clone(),
            left_out: sources.left_out.clone(),
            other_system: None,
            is_awaited: true,
            base: Some(Arc::new(Base {
                sources,
                book,
                surveyed,
                flow,
                holes,
                shade,
                contours,
                relief_m,
                unit,
                notes,
            })),
        })
    }

    /// The same land under other corrections; land without ground stays what it is.
    pub fn relaid(&self, book: &SurveyBook, laying: &Laying) -> Result<Self, LandError> {
        let Some((base, ground)) = self.base.as_ref().zip(self.ground.as_ref()) else { return Ok(self.clone()) };
        let grid = self.lidar().filter(|_| ground.tin().is_none()).cloned();
        let land = Self::lay(base.sources.clone(), grid, base.unit, book, laying)?;
        Ok(Self { other_system: self.other_system.clone(), ..land })
    }

    /// True while this is the land that the survey's files and corrections make, or there is none to lay.
    pub fn fits(&self, book: &SurveyBook) -> bool {
        let Some((base, ground)) = self.base.as_ref().zip(self.ground.as_ref()) else { return true };
        let remedies = |book: &SurveyBook| book.corrections.iter().map(|c| c.what.clone()).collect::<Vec<_>>();
        let same_ground = if ground.tin().is_some() {
            remedies(&base.book) == remedies(book)
        } else {
            lidar_shift_m(&base.book) == lidar_shift_m(book)
        };
        base.sources.are_of(book) && same_ground
    }

    /// True where the files it was laid from are those that the survey names.
    pub fn is_of_files(&self, book: &SurveyBook) -> bool {
        self.base.as_ref().is_some_and(|base| base.sources.are_of(book))
    }

    /// True where both are laid from the same sources with the same corrections.
    pub fn is_laid_as(&self, other: &Self) -> bool {
        match (&self.base, &other.base) {
            (Some(one), Some(other)) => Arc::ptr_eq(one, other),
            (one, other) => one.is_none() && other.is_none(),
        }
    }

    /// The land with a plan's ditches, culverts and corrections honoured; what holds already is kept.
    pub fn under(&self, plan: &Plan) -> Self {
        self.corrected_by(&plan.survey).led_by(plan)
    }

    /// The land with the survey as it stands after other corrections; the ground itself is laid by [`Land::relaid`].
    pub fn corrected_by(&self, book: &SurveyBook) -> Self {
        let Some(base) = self.base.as_ref().filter(|_| self.corrections != *book) else { return self.clone() };
        let survey = match base.book == *book {
            true => base.surveyed.clone(),
            false => Arc::new(Surveyed::of(&base.sources.book, book, self.lidar())),
        };
        Self { survey: Some(survey), corrections: book.clone(), ..self.clone() }
    }

    /// The land with its water led by the ditches and culverts of a plan.
    pub fn led_by(&self, plan: &Plan) -> Self {
        let Some((base, ground)) = self.base.as_ref().zip(self.ground.as_ref()) else { return self.clone() };
        if self.watercourses.iter().eq(plan.watercourses.values()) {
            return self.clone();
        }
        let watercourses: Vec<Watercourse> = plan.watercourses.values().cloned().collect();
        let flow = match watercourses.is_empty() {
            true => base.flow.clone(),
            false => base.flow.led_by(ground.grid(), &watercourses),
        };
        let Flow { water, swales, depressions } = flow;
        Self { water: Some(water), swales, depressions, watercourses, ..self.clone() }
    }

    /// The grid that the surface is drawn on.
    pub fn grid(&self) -> Option<&Grid> {
        self.ground.as_deref().map(Ground::grid)
    }

    /// The lidar as it was read: beside the shots, or the ground itself.
    pub fn lidar(&self) -> Option<&Grid> {
        let own = self.ground.as_deref().filter(|ground| ground.tin().is_none()).map(Ground::grid);
        self.lidar_beside.as_deref().or(own)
    }

    /// Where the survey leaves the ground unknown.
    pub fn holes(&self) -> &[Hole] {
        self.base.as_ref().map_or(&[], |base| &base.holes)
    }

    /// Shade of every cell, 1 to 255; 0 where there is no ground.
    pub fn shade(&self) -> &[u8] {
        self.base.as_ref().map_or(&[], |base| &base.shade)
    }

    /// What was assumed or looks wrong in the files.
    pub fn notes(&self) -> &[String] {
        self.base.as_ref().map_or(&[], |base| &base.notes)
    }

    /// Highest less lowest ground, metres.
    pub fn relief_m(&self) -> f64 {
        self.base.as_ref().map_or(0.0, |base| base.relief_m)
    }

    /// Contours at an interval, metres; a sensible one for the relief in whole steps of `unit` where none is given.
    /// `None` without ground.
    pub fn contours(&self, interval_m: Option<f64>, unit: LengthUnit, threads: usize) -> Option<Arc<Contours>> {
        let (base, ground) = self.base.as_ref().zip(self.ground.as_ref())?;
        let interval_m = interval_m.unwrap_or_else(|| relief::interval_m(base.relief_m, unit));
        if base.contours.interval_m == interval_m {
            return Some(base.contours.clone());
        }
        Some(Arc::new(Contours::of(ground, interval_m, threads)))
    }

    /// Metres of contour that each square metre of ground has at an interval of a metre, on average: at another interval as
    /// many times fewer. `None` without ground.
    pub fn contoured(&self) -> Option<f64> {
        let (low, high) = self.grid()?.extent();
        let contours = &self.base.as_ref()?.contours;
        let area_m2 = (high.x - low.x) * (high.y - low.y);
        Some(contours.length_m * contours.interval_m / area_m2.max(1.0))
    }
}

impl From<Ground> for Land {
    /// Bare ground: its water is not looked at.
    fn from(ground: Ground) -> Self {
        Self { ground: Some(Arc::new(ground)), is_awaited: true, ..Self::default() }
    }
}

impl From<&Ground> for Land {
    fn from(ground: &Ground) -> Self {
        ground.clone().into()
    }
}

fn step(laying: &Laying, name: &'static str) -> Result<(), LandError> {
    if (laying.step)(name).is_break() { Err(LandError::Stopped) } else { Ok(()) }
}

/// What a person should know of the surface over a survey.
fn survey_notes(ground: &Ground, holes: usize) -> Vec<String> {
    let Some(tin) = ground.tin() else { return Vec::new() };
    let (crossings, lost) = (tin.crossings().len(), tin.lost_segments());
    let percent = 100.0 * tin.covered_share();
    let notes = [
        (
            holes,
            format!(
                "the survey has gaps: {percent:.0} % of the land within its outline is near enough to a point to be ground"
            ),
        ),
        (
            crossings,
            format!(
                "break lines cross at {}; the mean of both levels holds there",
                measure::how_many(crossings, "place")
            ),
        ),
        (lost, format!("{} of break lines could not be held", measure::how_many(lost, "segment"))),
    ];
    notes.into_iter().filter(|(count, _)| *count > 0).map(|(_, note)| note).collect()
}
