//! Runoff: where water goes on the land, with the plan's ditches and culverts honoured.

use exchange::FileError;
use measure::SQUARE_M_PER_ACRE;
use plan::{Plan, Watercourse, WatercourseKind};
use terrain::{Depression, Grid, Swale, Water, WaterWay, WayKind, Window};

use crate::jobs::Progress;
use crate::land::threads;

/// Uphill area from which a thread of water is drawn as a swale: one acre, where a hollow is first worth a note
/// ([judgement]).
const SWALE_AREA_M2: f64 = SQUARE_M_PER_ACRE;
/// Closed depressions from 0.25 ft and 0.05 ac ([judgement]).
const DEPRESSION: (f64, f64) = (0.25 * measure::FOOT_M, 0.05 * SQUARE_M_PER_ACRE);

/// Everything that follows from ground and watercourses alone.
#[derive(Debug)]
pub struct Runoff {
    /// The way of water.
    pub water: Water,
    /// Low ground where water gathers.
    pub swales: Vec<Swale>,
    /// Hollows without a way out.
    pub depressions: Vec<Depression>,
    /// The ditches and culverts that were honoured.
    watercourses: Vec<Watercourse>,
}

impl Runoff {
    /// Works it out for bare ground; an error when it was given up.
    pub fn of(grid: &Grid, progress: &Progress) -> Result<Self, FileError> {
        progress.step("where water goes")?;
        let water = Water::with_threads(grid, threads());
        progress.step("swales and hollows")?;
        Ok(Self::finish(grid, water, Vec::new()))
    }

    /// From the runoff of bare ground that with the ditches and culverts of a plan: only what they reach is routed anew.
    pub fn with(&self, grid: &Grid, plan: &Plan) -> Self {
        let watercourses: Vec<Watercourse> = plan.watercourses.values().cloned().collect();
        let ways: Vec<WaterWay> = watercourses.iter().map(way).collect();
        let window = ways.iter().filter_map(|way| way.window(grid)).reduce(Window::around_both);
        let water = window.map(|window| self.water.after(grid, &grid.burned(&ways), window));
        Self::finish(grid, water.unwrap_or_else(|| self.water.clone()), watercourses)
    }

    fn finish(grid: &Grid, water: Water, watercourses: Vec<Watercourse>) -> Self {
        let (swales, depressions) = both(
            || terrain::swales(grid, &water, SWALE_AREA_M2),
            || water.depressions(grid, DEPRESSION.0, DEPRESSION.1),
        );
        Self { water, swales, depressions, watercourses }
    }

    /// True if it honours just these ditches and culverts.
    pub fn honours<'a>(&self, watercourses: impl Iterator<Item = &'a Watercourse>) -> bool {
        self.watercourses.iter().eq(watercourses)
    }
}

/// Does two things at a time.
fn both<A: Send, B>(first: impl FnOnce() -> A + Send, second: impl FnOnce() -> B) -> (A, B) {
    std::thread::scope(|scope| {
        let first = scope.spawn(first);
        let second = second();
        (first.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)), second)
    })
}

fn way(watercourse: &Watercourse) -> WaterWay {
    let kind = match watercourse.kind {
        WatercourseKind::Ditch => WayKind::Ditch,
        WatercourseKind::Culvert => WayKind::Culvert,
    };
    WaterWay { kind, points: watercourse.points.clone() }
}
