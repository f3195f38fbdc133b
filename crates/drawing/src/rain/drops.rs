//! Drops that follow the ground: a fixed number of ways, each let go again and again, so that more are where more water runs.

use std::ops::ControlFlow;

use measure::{Point, along};
use terrain::{Course, Flood, Grid, Runoff, Water};

use super::{Rainfall, is_seen};
use crate::role::Role;
use crate::scene::{Form, Item};

/// Ways that drops follow.
const WAYS: usize = 2400;
/// Cells of a way at most, and places of it that are kept.
const MOST_CELLS: usize = 4000;
const MOST_PLACES: usize = 200;
/// Drops that are seen falling at a time, and how long each is, seconds of the rain.
const FALLING: usize = 160;
const FALLS_S: f64 = 30.0;
/// A way is let go again after so many seconds, or once the drop on it has come to its end.
const AGAIN_S: f64 = 240.0;

/// The ways of drops over a ground.
#[derive(Debug)]
pub(super) struct Drops {
    ways: Vec<Course>,
}

impl Drops {
    /// Half of the ways begin between two corners, the others anywhere.
    pub fn of(
        runoff: &Runoff,
        (grid, water): (&Grid, &Water),
        frame: (Point, Point),
        tell: &dyn Fn(f64) -> ControlFlow<()>,
    ) -> ControlFlow<(), Self> {
        let mut ways = Vec::with_capacity(WAYS);
        for k in 0..WAYS {
            let between = if k % 2 == 0 { frame } else { grid.extent() };
            ways.push(thinned(runoff.course(grid, water, spread(k / 2, between), MOST_CELLS)));
            if k % 64 == 0 {
                tell(k as f64 / WAYS as f64)?;
            }
        }
        ControlFlow::Continue(Self { ways })
    }

    /// Water that runs: the drops under way.
    pub fn running(
        &self,
        rainfall: &Rainfall,
        flood: &Flood,
        time_s: f64,
        seen: (Point, Point),
        items: &mut Vec<Item>,
    ) {
        // As many are let go as water runs off at that moment.
        let rate = |time_s: f64| rainfall.ran_off_m(time_s + 1.0) - rainfall.ran_off_m(time_s);
        let most = rate(rainfall.lasts_s - 1.0);
        for (k, way) in self.ways.iter().enumerate() {
            let Some(takes_s) = way.after_s.last().map(|last| f64::from(*last)) else { continue };
            let every_s = takes_s.max(AGAIN_S);
            let turn = (time_s / every_s - fraction(k as u64, 1)).floor();
            let begun_s = (turn + fraction(k as u64, 1)) * every_s;
            let is_let_go = (0.0..rainfall.lasts_s).contains(&begun_s)
                && rate(begun_s) > most * fraction(k as u64 + (turn as u64) * WAYS as u64, 3);
            if let Some((at, toward)) =
                place(way, begun_s, time_s, flood).filter(|(at, _)| is_let_go && is_seen(*at, seen))
            {
                items.push(Item::new(Role::RunningDrop, Form::Sign(at, toward)));
            }
        }
    }
}

/// Rain in the air: short strokes between two corners, a fixed number of them.
pub(super) fn falling(rainfall: &Rainfall, time_s: f64, between: (Point, Point), items: &mut Vec<Item>) {
    let (low, high) = between;
    if !(0.0..rainfall.lasts_s).contains(&time_s) || low.x >= high.x || low.y >= high.y {
        return;
    }
    for k in 0..FALLING {
        let turn = (time_s / FALLS_S + fraction(k as u64, 7)).floor() as usize;
        let at = spread(k + FALLING * turn, between);
        items.push(Item::new(Role::RainDrop, Form::Sign(at, at)));
    }
}

/// Where a drop is on its way, and where it goes; `None` where it has come to the end, or stands in a hollow.
fn place(way: &Course, begun_s: f64, time_s: f64, flood: &Flood) -> Option<(Point, Point)> {
    let on_way_s = (time_s - begun_s) as f32;
    let next = way.after_s.partition_point(|after_s| *after_s <= on_way_s);
    let (last, next) = (next.checked_sub(1)?, Some(next).filter(|next| *next < way.points.len())?);
    let stands = way.hollows.iter().take_while(|(enters, _)| *enters <= last).any(|&(enters, hollow)| {
        let comes_s = begun_s + f64::from(way.after_s[enters]);
        flood.full_s(hollow).is_none_or(|full_s| full_s > comes_s)
    });
    let part = (on_way_s - way.after_s[last]) / (way.after_s[next] - way.after_s[last]);
    (!stands).then(|| (along(way.points[last], way.points[next], f64::from(part)), way.points[next]))
}

/// A way with few places: those where hollows are entered stay.
fn thinned(way: Course) -> Course {
    let stride = way.points.len().div_ceil(MOST_PLACES).max(1);
    let is_kept = |k: &usize| {
        k.is_multiple_of(stride) || k + 1 == way.points.len() || way.hollows.iter().any(|(enters, _)| enters == k)
    };
    let kept: Vec<usize> = (0..way.points.len()).filter(is_kept).collect();
    Course {
        points: kept.iter().map(|&k| way.points[k]).collect(),
        after_s: kept.iter().map(|&k| way.after_s[k]).collect(),
        hollows: way.hollows.iter().filter_map(|(k, hollow)| Some((kept.binary_search(k).ok()?, *hollow))).collect(),
    }
}

/// A place between two corners: the k-th of a sequence that leaves no gaps and repeats nothing (the golden ratio's kin in two
/// dimensions).
fn spread(k: usize, (low, high): (Point, Point)) -> Point {
    let part = |step: f64| (0.5 + step * (k % 1_000_000) as f64).fract();
    let (x, y) = (part(0.754_877_666_246_693), part(0.569_840_290_998_053));
    Point::new(low.x + (high.x - low.x) * x, low.y + (high.y - low.y) * y)
}

/// A fraction from 0 to 1 that looks like chance and is none, of a number and a kind.
pub(super) fn fraction(number: u64, kind: u64) -> f64 {
    let mut bits = number.wrapping_add(kind << 40).wrapping_add(1).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    bits = (bits ^ (bits >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    bits = (bits ^ (bits >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    ((bits ^ (bits >> 31)) >> 11) as f64 / (1u64 << 53) as f64
}
