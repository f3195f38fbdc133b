//! A section of the ground between two drains: soil that holds water and air, soil that is full, the arch of the water table
//! and where it stood before, roots and the depth they want dry.

use lesson::{Drying, ROOTS_M, TIGHT_M};
use measure::{DAY_S, FOOT_M, Point, Units};

use crate::board::Board;
use crate::role::{Role, Taught};
use crate::scene::{Form, Item, Scene};

/// Over the surface, for vines, and of the tight layer, metres.
const OVER_M: f64 = 0.62;
const TIGHT_SHOWN_M: f64 = 0.36;
/// How far beyond each drain is shown, as a share of the spacing.
const BEYOND: f64 = 0.25;
/// How far two tables lie apart midway, at the least, where both are drawn, metres.
const CLEAR_M: f64 = 0.1;
/// From vine to vine, metres.
const ROW_M: f64 = 9.0 * FOOT_M;
/// Vines that are drawn at the most: of wide spacings every second or third.
const MOST_VINES: usize = 15;
/// Pores for each share of the soil that drains: what is drawn as pores is what drains.
const PORES: f64 = 3_500.0;

/// The section of a setting at a moment, seconds since before the rain: a day for each step of [`Drying::tables_m`]. Between
/// two steps the table is drawn between theirs.
pub fn under_ground(drying: &Drying, time_s: f64, units: Units) -> Board<'static> {
    let section = Section { drying, step: (time_s / DAY_S).clamp(0.0, (drying.tables_m.len() - 1) as f64) };
    let (from_m, to_m) = section.sides();
    let mut items = section.soil();
    items.extend(section.pores());
    items.extend(section.vines());
    items.extend(section.tables());
    items.extend(section.lines());
    items.extend(section.words(units));
    Board {
        low: Point::new(from_m, -TIGHT_M - TIGHT_SHOWN_M),
        high: Point::new(to_m, OVER_M),
        scene: Scene { time_s: Some(time_s), items },
    }
}

fn thing(what: Taught, form: Form<'static>) -> Item<'static> {
    Item::new(Role::Taught(what), form)
}

fn path(what: Taught, points: Vec<Point>) -> Item<'static> {
    thing(what, Form::Path(points.into()))
}

/// A setting at a moment.
struct Section<'a> {
    drying: &'a Drying,
    /// Steps since before the rain.
    step: f64,
}

impl Section<'_> {
    fn spacing_m(&self) -> f64 {
        self.drying.setting.spacing_m
    }

    fn sides(&self) -> (f64, f64) {
        (-BEYOND * self.spacing_m(), (1.0 + BEYOND) * self.spacing_m())
    }

    /// The water table of a whole step, from side to side, as levels; it goes on beyond the drains as between them.
    fn table_of(&self, step: usize) -> Vec<Point> {
        let Some(table_m) = self.drying.tables_m.get(step) else { return Vec::new() };
        let last = table_m.len() - 1;
        let beyond = (BEYOND * last as f64) as usize;
        let place = |k: isize| {
            let k = k.rem_euclid(last as isize) as usize;
            -table_m[k]
        };
        let from = -(beyond as isize);
        let to = (last + beyond) as isize;
        (from..=to).map(|k| Point::new(k as f64 / last as f64 * self.spacing_m(), place(k))).collect()
    }

    /// The water table of the moment.
    fn table(&self) -> Vec<Point> {
        let (step, part) = (self.step.floor() as usize, self.step.fract());
        let (before, after) = (self.table_of(step), self.table_of(step + 1));
        if part == 0.0 || after.is_empty() {
            return before;
        }
        before.iter().zip(&after).map(|(a, b)| Point::new(a.x, a.y + (b.y - a.y) * part)).collect()
    }

    /// Level of the table at a place.
    fn level_m(table: &[Point], x: f64) -> f64 {
        let right = table.partition_point(|at| at.x < x).clamp(1, table.len() - 1);
        let (a, b) = (table[right - 1], table[right]);
        a.y + (b.y - a.y) * ((x - a.x) / (b.x - a.x)).clamp(0.0, 1.0)
    }

    /// Soil from the surface down: what holds water beside air, what is full, what is tight.
    fn soil(&self) -> Vec<Item<'static>> {
        let table = self.table();
        let flat = |level_m: f64| table.iter().map(|at| Point::new(at.x, level_m)).collect::<Vec<_>>();
        let strip = |what, lower, upper| thing(what, Form::Strip(lower, upper));
        vec![
            strip(Taught::HeldWater, table.clone(), flat(0.0)),
            strip(Taught::FullSoil, flat(-TIGHT_M), table.clone()),
            strip(Taught::TightSoil, flat(-TIGHT_M - TIGHT_SHOWN_M), flat(-TIGHT_M)),
        ]
    }

    /// Pores that drain, as many as the soil has: full below the table, with air above it. Always at the same places.
    fn pores(&self) -> Vec<Item<'static>> {
        let table = self.table();
        let (from_m, to_m) = self.sides();
        let count = (self.drying.porosity.likely * PORES) as usize;
        let pore = |k: usize| {
            let (across, down) = (scattered(2 * k), scattered(2 * k + 1));
            let at = Point::new(from_m + across * (to_m - from_m), -down * TIGHT_M);
            let what = if at.y > Self::level_m(&table, at.x) { Taught::AirPore } else { Taught::WaterPore };
            thing(what, Form::Sign(at, at))
        };
        let (air, water): (Vec<_>, Vec<_>) =
            (1..=count).map(pore).partition(|pore: &Item| pore.role == Role::Taught(Taught::AirPore));
        air.into_iter().chain(water).collect()
    }

    fn vines(&self) -> Vec<Item<'static>> {
        let (from_m, to_m) = self.sides();
        let fit = ((to_m - from_m) / ROW_M) as usize;
        let apart_m = ROW_M * fit.div_ceil(MOST_VINES).max(1) as f64;
        // A pipe lies in a middle between two rows.
        let first_m = ((from_m - apart_m / 2.0) / apart_m).ceil() * apart_m + apart_m / 2.0;
        let places = (0..).map(|k| first_m + f64::from(k) * apart_m).take_while(|x| *x < to_m);
        let mut things: Vec<Item> = places.flat_map(|x| vine(x, apart_m.min(ROW_M))).collect();
        things.sort_by_key(|thing| thing.role);
        things
    }

    /// The tables of the days before, broken, with their numbers, and that of the moment.
    fn tables(&self) -> Vec<Item<'static>> {
        let former = self.told_apart().into_iter().map(|step| {
            let table = self.table_of(step);
            path(Taught::FormerTable, table).saying(format!("day {}", step - 1))
        });
        former.chain([path(Taught::WaterTable, self.table())]).collect()
    }

    /// The days before whose tables stand clear of each other and of the one of the moment.
    fn told_apart(&self) -> Vec<usize> {
        let now_m = self.table().get(self.table_of(0).len() / 2).map_or(0.0, |at| -at.y);
        let mut kept: Vec<usize> = Vec::new();
        for step in 1..self.step.floor() as usize {
            let deep_m = self.drying.midway_m(step);
            let last_m = kept.last().map_or(-CLEAR_M, |last| self.drying.midway_m(*last));
            if deep_m - last_m >= CLEAR_M && now_m - deep_m >= CLEAR_M {
                kept.push(step);
            }
        }
        kept
    }

    /// Surface, depth of the roots, drains.
    fn lines(&self) -> Vec<Item<'static>> {
        let (from_m, to_m) = self.sides();
        let level = |level_m: f64| vec![Point::new(from_m, level_m), Point::new(to_m, level_m)];
        let surface = Item::new(Role::Ground, Form::Path(level(0.0).into()));
        let drains = [0.0, self.spacing_m()].map(|x| {
            let at = Point::new(x, -self.drying.setting.depth_m);
            thing(Taught::Drain, Form::Sign(at, at))
        });
        [surface, path(Taught::RootDepth, level(-ROOTS_M))].into_iter().chain(drains).collect()
    }

    fn words(&self, units: Units) -> Vec<Item<'static>> {
        let (from_m, to_m) = self.sides();
        let at = |x: f64, level_m: f64, says: String| {
            thing(Taught::Words, Form::Words(Point::new(from_m + (to_m - from_m) * x, level_m))).saying(says)
        };
        vec![at(
            0.015,
            -TIGHT_M - TIGHT_SHOWN_M * 0.5,
            format!("tight layer, {} down", lesson::length_words(TIGHT_M, units)),
        )]
    }
}

/// The number at a place of a row that looks like chance and is always the same, 0 to 1 (the finisher of SplitMix64).
fn scattered(k: usize) -> f64 {
    let mut bits = (k as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    bits = (bits ^ (bits >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    bits = (bits ^ (bits >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    ((bits ^ (bits >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
}

/// A vine at a place, with its roots; `wide_m` is what it has to itself.
fn vine(x: f64, wide_m: f64) -> Vec<Item<'static>> {
    let place = |across: f64, level_m: f64| Point::new(x + across * wide_m, level_m);
    let root = |side: f64, deep: f64| {
        let points = vec![
            place(0.0, 0.0),
            place(side * 0.10, -0.12 * deep),
            place(side * 0.17, -0.55 * ROOTS_M * deep),
            place(side * 0.24, -ROOTS_M * deep),
        ];
        path(Taught::Root, points)
    };
    let roots = [(-1.0, 0.72), (1.0, 0.78), (-0.45, 0.95), (0.4, 1.0)].map(|(side, deep)| root(side, deep));
    let stem = path(Taught::Stem, vec![place(0.0, 0.0), place(0.0, 0.3)]);
    let leaves = thing(Taught::Leaves, Form::Sign(place(0.0, 0.38), place(0.0, 0.38)));
    roots.into_iter().chain([stem, leaves]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use lesson::Setting;

    fn board(step: f64) -> Board<'static> {
        under_ground(&Drying::of(Setting::default()), step * DAY_S, Units::Feet)
    }

    fn those<'a>(board: &'a Board<'static>, what: Taught) -> Vec<&'a Item<'static>> {
        board.scene.items.iter().filter(|item| item.role == Role::Taught(what)).collect()
    }

    fn levels(item: &Item) -> Vec<f64> {
        match &item.form {
            Form::Path(points) => points.iter().map(|at| at.y).collect(),
            _ => Vec::new(),
        }
    }

    #[test]
    fn the_table_is_that_of_the_water_table() {
        let drying = Drying::of(Setting::default());
        for step in [0, 1, 4] {
            let board = board(step as f64);
            let table = levels(those(&board, Taught::WaterTable)[0]);
            let highest_m = table.iter().copied().fold(f64::MIN, f64::max);
            assert!((highest_m + drying.midway_m(step)).abs() < 1e-9, "step {step}");
        }
        let between = levels(those(&board(1.5), Taught::WaterTable)[0]);
        let [day_0, day_1] = [1.0, 2.0].map(|step| levels(those(&board(step), Taught::WaterTable)[0]));
        assert!((between[30] - (day_0[30] + day_1[30]) / 2.0).abs() < 1e-12);
    }

    /// A pore holds air where it lies over the table, and there are as many as the soil drains.
    #[test]
    fn pores_fill_and_empty_with_the_table() {
        let [dry, wet, later] = [0.0, 1.0, 6.0].map(board);
        let air = |board: &Board<'static>| those(board, Taught::AirPore).len();
        let all = |board: &Board<'static>| air(board) + those(board, Taught::WaterPore).len();
        assert!(air(&wet) < air(&later) && air(&later) <= all(&dry));
        assert_eq!(all(&dry), all(&wet));
        assert_eq!(all(&dry), (Drying::of(Setting::default()).porosity.likely * PORES) as usize);
    }

    #[test]
    fn days_before_are_told() {
        let board = board(4.0);
        let said: Vec<&str> = those(&board, Taught::FormerTable).iter().map(|item| item.says.as_str()).collect();
        assert_eq!(said, ["day 0", "day 1", "day 2"]);
    }

    #[test]
    fn everything_lies_on_the_board() {
        for spacing_m in [4.0, 12.0, 40.0] {
            let drying = Drying::of(Setting { spacing_m, ..Setting::default() });
            let board = under_ground(&drying, 2.0 * DAY_S, Units::Metric);
            let tall = 100.0;
            for item in board.on((100.0, tall)).items {
                let Form::Sign(at, _) = item.form else { continue };
                assert!((0.0..=100.0).contains(&at.x) && (0.0..=tall).contains(&at.y), "{:?}", item.role);
            }
        }
    }
}
