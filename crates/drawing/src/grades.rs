//! One pipe at five grades: how far its water runs in a second, and the silt line; and a pipe with a dip.

use lesson::{AtGrade, Dip, Pipe, grade_words, land_words, silt_velocity_ms};
use measure::{Point, Units};

use crate::board::Board;
use crate::role::{Role, Taught};
use crate::scene::{Form, Item, Scene};

/// Height of a row, and of the pipe in it, as shares of the board.
const ROW: f64 = 0.17;
const BORE: f64 = 0.045;
/// How much steeper a pipe is drawn than it lies.
const STEEPER: f64 = 2.2;
/// Room at the left for the grades and at the right for what it carries, in shares of the way of the fastest.
const LEFT: f64 = 0.27;
const RIGHT: f64 = 1.14;

fn thing(what: Taught, form: Form<'static>) -> Item<'static> {
    Item::new(Role::Taught(what), form)
}

/// The pipe at each of the grades: lengths are what water runs in a second. One runs after the other, a second each, and
/// what has run stays.
pub fn pipe_at_grades(pipe: Pipe, time_s: f64, units: Units) -> Board<'static> {
    let grades = pipe.at_grades();
    let far_m = grades.iter().map(|at| at.velocity_ms).fold(0.0, f64::max);
    let silt_m = silt_velocity_ms().min(far_m);
    let rows = grades.iter().enumerate().flat_map(|(k, at)| {
        let top = 1.0 - ROW * (k as f64 + 0.6);
        row(at, (top, far_m), (time_s - k as f64).clamp(0.0, 1.0), units)
    });
    let silt = [Point::new(silt_m, 1.0 - ROW * 5.3), Point::new(silt_m, 1.0 - ROW * 0.15)];
    let line = thing(Taught::SiltLine, Form::Path(silt.to_vec().into()));
    let words = thing(Taught::Words, Form::Words(Point::new(silt_m, 1.0 - ROW * 5.6)))
        .saying(format!("silt line, {}", units.velocity(silt_velocity_ms())));
    Board {
        low: Point::new(-LEFT * far_m, 1.0 - ROW * 5.9),
        high: Point::new((1.0 + RIGHT) * far_m, 1.0),
        scene: Scene { time_s: Some(time_s), items: rows.chain([line, words]).collect() },
    }
}

/// A pipe at its grade, falling to the right, with its water so far; what it carries is told beside it once it runs.
fn row(at: &AtGrade, (top, far_m): (f64, f64), time_s: f64, units: Units) -> Vec<Item<'static>> {
    let level = |x: f64| top - at.grade * STEEPER * x / far_m;
    let between = |to_m: f64, up: f64| vec![Point::new(0.0, level(0.0) + up), Point::new(to_m, level(to_m) + up)];
    let strip = |what, to_m: f64| thing(what, Form::Strip(between(to_m, 0.0), between(to_m, BORE)));
    let wall = |up: f64| thing(Taught::Wall, Form::Path(between(far_m, up).into()));
    let words = |x: f64, says: String| {
        thing(Taught::Words, Form::Words(Point::new(x, level(x.clamp(0.0, far_m)) + BORE / 2.0))).saying(says)
    };
    let mut items = vec![strip(Taught::Bore, far_m)];
    if time_s > 0.0 {
        items.push(strip(Taught::Running, (at.velocity_ms * time_s).max(far_m * 1e-3)));
    }
    items.extend([wall(0.0), wall(BORE), words(-LEFT * far_m * 0.9, grade_words(at.grade))]);
    if time_s > 0.0 {
        let told = format!(
            "{}  {}  {}",
            units.flow(at.flow_m3s),
            units.velocity(at.velocity_ms),
            land_words(at.land_m2, units)
        );
        items.push(words(far_m * 1.03, told));
    }
    items
}

/// A pipe that sank in its middle, its heights drawn as they are and its length drawn short: the water that stands there, up
/// to the lip.
pub fn pipe_with_dip(dip: Dip, inside_m: f64, units: Units) -> Board<'static> {
    let (from_m, to_m) = (-0.6 * dip.half_m, 2.6 * dip.half_m);
    let places: Vec<f64> = (0..=64).map(|k| from_m + (to_m - from_m) * f64::from(k) / 64.0).collect();
    let at = |up: f64| places.iter().map(|x| Point::new(*x, dip.invert_m(*x) + up)).collect::<Vec<_>>();
    let lip_m = dip.invert_m(0.0);
    let wet = |x: &f64| *x >= 0.0 && dip.invert_m(*x) <= lip_m;
    let pool: Vec<Point> = places.iter().filter(|x| wet(x)).map(|x| Point::new(*x, dip.invert_m(*x))).collect();
    let surface: Vec<Point> = pool.iter().map(|bed| Point::new(bed.x, lip_m.min(bed.y + inside_m))).collect();
    let depth = lesson::small_words(dip.standing_m(), units);
    let words = if dip.standing_m() > 0.0 {
        format!("{depth} of water stand here, and silt lies down in it")
    } else {
        "at this grade the dip runs empty".into()
    };
    let mut items = vec![thing(Taught::Bore, Form::Strip(at(0.0), at(inside_m)))];
    if pool.len() > 1 {
        items.push(thing(Taught::Standing, Form::Strip(pool, surface)));
    }
    items.extend([0.0, inside_m].map(|up| thing(Taught::Wall, Form::Path(at(up).into()))));
    let below = dip.invert_m(dip.half_m);
    let room_m = inside_m * 0.9;
    items.push(thing(Taught::Words, Form::Words(Point::new(from_m * 0.9, below - room_m * 0.55))).saying(words));
    Board {
        low: Point::new(from_m, below - room_m),
        high: Point::new(to_m, dip.invert_m(to_m) + inside_m * 1.15),
        scene: Scene { time_s: None, items },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use measure::{FOOT_M, INCH_M};

    fn reach(board: &Board, what: Taught) -> Vec<f64> {
        let strips = board.scene.items.iter().filter(|item| item.role == Role::Taught(what));
        strips
            .filter_map(|item| if let Form::Strip(lower, _) = &item.form { Some(lower.last()?.x) } else { None })
            .collect()
    }

    /// After a second the water has run as far as it is fast; those that pass the line carry silt out.
    #[test]
    fn water_runs_as_far_as_it_is_fast() {
        let pipe = Pipe::default();
        let ran = reach(&pipe_at_grades(pipe, 5.0, Units::Feet), Taught::Running);
        let fast: Vec<f64> = pipe.at_grades().iter().map(|at| at.velocity_ms).collect();
        assert_eq!(ran, fast);
        assert_eq!(ran.iter().filter(|far| **far >= silt_velocity_ms()).count(), 2);
        let half = reach(&pipe_at_grades(pipe, 1.5, Units::Feet), Taught::Running);
        assert_eq!(half, [fast[0], fast[1] / 2.0]);
    }

    #[test]
    fn water_stands_between_the_lip_and_its_other_edge() {
        let dip = Dip { grade: 0.001, sunk_m: INCH_M, half_m: 10.0 * FOOT_M };
        let board = pipe_with_dip(dip, 4.0 * INCH_M, Units::Feet);
        let edge_m = reach(&board, Taught::Standing)[0];
        assert!((edge_m - dip.half_m - dip.reach_m()).abs() < 3.2 * dip.half_m / 64.0, "{edge_m}");
        let steep = pipe_with_dip(Dip { grade: 0.02, ..dip }, 4.0 * INCH_M, Units::Feet);
        assert!(reach(&steep, Taught::Standing).is_empty());
    }
}
