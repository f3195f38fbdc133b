//! Where water goes on the land, with the plan's ditches and culverts honoured.

use std::ops::ControlFlow;
use std::sync::Arc;

use measure::SQUARE_M_PER_ACRE;
use plan::{Watercourse, WatercourseKind};
use terrain::{Depression, Grid, Swale, Water, WaterWay, WayKind, Window};

use crate::Laying;

/// Contributing area from which a flow path is drawn as a swale: one acre, where a hollow is first worth a note
/// ([judgement]).
pub const SWALE_AREA_M2: f64 = SQUARE_M_PER_ACRE;
/// Closed depressions from 0.25 ft and 0.05 ac ([judgement]).
const DEPRESSION: (f64, f64) = (0.25 * measure::FOOT_M, 0.05 * SQUARE_M_PER_ACRE);

/// Everything that follows from a grid and the watercourses drawn on it.
#[derive(Debug, Clone)]
pub(crate) struct Flow {
    /// The way of water.
    pub water: Arc<Water>,
    /// Low ground where water gathers.
    pub swales: Arc<Vec<Swale>>,
    /// Hollows without a way out.
    pub depressions: Arc<Vec<Depression>>,
}

impl Flow {
    /// Works it out for bare ground; `Break` when it was given up.
    pub fn of(grid: &Grid, laying: &Laying) -> ControlFlow<(), Self> {
        (laying.step)("where water goes")?;
        let water = Water::with_threads(grid, laying.threads);
        (laying.step)("swales and hollows")?;
        ControlFlow::Continue(Self::finish(grid, water))
    }

    /// From the flow on bare ground that with ditches and culverts: only what they reach is routed anew.
    pub fn led_by(&self, grid: &Grid, watercourses: &[Watercourse]) -> Self {
        let ways: Vec<WaterWay> = watercourses.iter().map(way).collect();
        let window = ways.iter().filter_map(|way| way.window(grid)).reduce(Window::around_both);
        let water = window.map(|window| self.water.after(grid, &grid.burned(&ways), window));
        Self::finish(grid, water.unwrap_or_else(|| (*self.water).clone()))
    }

    fn finish(grid: &Grid, water: Water) -> Self {
        let (swales, depressions) = both(
            || terrain::swales(grid, &water, SWALE_AREA_M2),
            || water.depressions(grid, DEPRESSION.0, DEPRESSION.1),
        );
        Self { swales: Arc::new(swales), depressions: Arc::new(depressions), water: Arc::new(water) }
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
