//! Lays parallel laterals: a click takes the main, a drag from it turns them, a drag beside it spaces them.

use measure::{Point, bearing, distance, nearest_on};
use plan::{LineId, Parallel};

use super::{Hand, Sketch, Touch};
use crate::canvas::SnapKind;
use crate::command::ToolKind;
use crate::wish::Wish;

/// Whole degrees are kept to while snapping is on.
const DEGREE: f64 = 1.0;

/// What a drag changes.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Held {
    /// The bearing, by the way from a place on the main.
    Turn(Point),
    /// The spacing: the lateral that is so many from the first.
    Space(f64),
}

/// The grid itself is in the view, where card and drag both change it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LayParallel {
    held: Option<Held>,
}

impl LayParallel {
    /// Does what a touch asks.
    pub fn touch(&mut self, touch: Touch, hand: &Hand) -> Vec<Wish> {
        let grid = hand.view.grid.as_ref();
        match (touch, grid) {
            (Touch::Click(at), _) => return click(at, hand),
            (Touch::Press(at), Some(grid)) => self.held = hold(grid, at, hand),
            (Touch::Drag(at), Some(grid)) => {
                let changed = self.held.and_then(|held| moved(held, grid, at, hand));
                return changed.map(|grid| Wish::Grid(Some(grid))).into_iter().collect();
            }
            (Touch::Release(_), _) => self.held = None,
            (Touch::Enter | Touch::DoubleClick, Some(_)) => return vec![Wish::LayGrid],
            (Touch::Escape, Some(_)) => return vec![Wish::Grid(None)],
            (Touch::Escape, None) => return vec![Wish::Take(ToolKind::Select)],
            _ => {}
        }
        Vec::new()
    }

    /// The grid is shown as a gesture.
    pub fn sketch(&self) -> Sketch {
        Sketch::default()
    }
}

/// The new line at a place, and the place on it.
fn line_at(at: Point, hand: &Hand) -> Option<(LineId, Point)> {
    let is_line = |kind: SnapKind| matches!(kind, SnapKind::Bend(..) | SnapKind::Line(..) | SnapKind::PipeChange(..));
    let snap = hand.snaps.snap(at, hand.reach_m, is_line);
    let id = snap.kind?.object()?.line()?;
    let line = hand.session.plan().lines.get(&id).filter(|line| !line.kind.is_old())?;
    Some((id, nearest_on(&line.points, snap.at)?.1))
}

/// A click on a main takes it, in the open it lets a lateral pass there.
fn click(at: Point, hand: &Hand) -> Vec<Wish> {
    let plan = hand.session.plan();
    let begun = match (line_at(at, hand), &hand.view.grid) {
        (Some((main, foot)), Some(grid)) if grid.main == main => Some(Parallel { through: foot, ..grid.clone() }),
        (Some((main, foot)), _) => job::parallel::begin(plan, main, foot),
        (None, Some(grid)) => Some(Parallel { through: at, ..grid.clone() }),
        (None, None) => None,
    };
    match begun {
        Some(grid) => vec![Wish::Grid(Some(grid))],
        None => vec![Wish::Say("Click the main or submain that the laterals join.".into())],
    }
}

/// What a drag that begins at a place changes.
fn hold(grid: &Parallel, at: Point, hand: &Hand) -> Option<Held> {
    if let Some((_, foot)) = line_at(at, hand).filter(|(id, _)| *id == grid.main) {
        return Some(Held::Turn(foot));
    }
    let count = (grid.aside_m(at) / grid.spacing_m).abs().round().max(1.0);
    Some(Held::Space(count))
}

fn moved(held: Held, grid: &Parallel, at: Point, hand: &Hand) -> Option<Parallel> {
    match held {
        Held::Turn(foot) if distance(foot, at) > hand.reach_m => {
            let way_deg = bearing(foot, at);
            let kept_deg = if hand.snapping { kept_bearing(grid, way_deg, hand) } else { way_deg };
            Some(Parallel { bearing_deg: kept_deg, through: foot, ..grid.clone() })
        }
        Held::Turn(_) => None,
        Held::Space(count) => {
            let wanted_m = grid.aside_m(at).abs() / count;
            let rows = grid.rows(hand.session.plan()).filter(|_| hand.snapping);
            let step_m = rows.map_or(1e-3, |rows| rows.spacing_m);
            let spacing_m = (wanted_m / step_m).round().max(1.0) * step_m;
            Some(Parallel { spacing_m, ..grid.clone() })
        }
    }
}

/// The rows' direction where the bearing is near it, else the nearest whole degree.
fn kept_bearing(grid: &Parallel, way_deg: f64, hand: &Hand) -> f64 {
    let along = grid
        .block_rows(hand.session.plan())
        .into_iter()
        .flat_map(|rows| [rows.bearing_deg, rows.bearing_deg + 180.0]);
    let turn = |to_deg: f64| {
        let turn = (to_deg - way_deg).rem_euclid(360.0);
        turn.min(360.0 - turn)
    };
    let near = along.map(|to_deg| to_deg.rem_euclid(360.0)).find(|to_deg| turn(*to_deg) < 4.0 * DEGREE);
    near.unwrap_or_else(|| (way_deg / DEGREE).round() * DEGREE)
}
