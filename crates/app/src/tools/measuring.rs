//! Measures along clicked places: distance, bearing, level and grade, and the area once they close. It is a look, no part of
//! the plan.

use measure::{Point, Units, bearing, distance};

use super::{Hand, Sketch, Touch, Trace, Traced};
use crate::command::ToolKind;
use crate::wish::Wish;
use job::Session;

/// The places so far, and what was measured last.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Measure {
    path: Trace,
    done: Vec<Point>,
    closed: bool,
}

impl Measure {
    /// Does what a touch asks.
    pub fn touch(&mut self, touch: Touch, hand: &Hand) -> Vec<Wish> {
        if touch == Touch::Escape {
            return vec![Wish::Take(ToolKind::Select)];
        }
        let first = self.path.points().first().copied().filter(|_| self.path.points().len() > 2);
        let closes =
            matches!(touch, Touch::Click(at) if first.is_some_and(|first| distance(first, at) <= hand.reach_m));
        if matches!(touch, Touch::Click(_)) && self.path.points().is_empty() {
            (self.done, self.closed) = (Vec::new(), false);
        }
        let touch = if closes { Touch::Enter } else { touch };
        if let Traced::Ended(path) = self.path.touch(touch, hand, |_| true)
            && path.len() > 1
        {
            (self.done, self.closed) = (path, closes);
        }
        Vec::new()
    }

    /// The preview; once it is ended, what was measured.
    pub fn sketch(&self) -> Sketch {
        let drawn = self.path.sketch(false);
        match self.path.points().is_empty() && !self.done.is_empty() {
            true => Sketch { path: self.done.clone(), closed: self.closed, snap: drawn.snap },
            false => drawn,
        }
    }

    /// What it comes to, with the place under the pointer while it goes on; nothing before the first leg.
    pub fn measured(&self, session: &Session) -> Option<Measured> {
        let Sketch { path, closed, .. } = self.sketch();
        (path.len() > 1).then(|| Measured::of(session, path, closed))
    }
}

/// One straight piece of what is measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leg {
    /// Its length, metres.
    pub length_m: f64,
    /// Its bearing, degrees clockwise from grid north.
    pub bearing_deg: f64,
    /// How much higher the ground is at its end, metres; `None` where it is not known.
    pub rise_m: Option<f64>,
}

impl Leg {
    fn of(session: &Session, from: Point, to: Point) -> Self {
        let level = |at| session.ground().and_then(|ground| ground.elevation(at));
        let rise_m = level(from).zip(level(to)).map(|(from_m, to_m)| to_m - from_m);
        Self { length_m: distance(from, to), bearing_deg: bearing(from, to), rise_m }
    }

    /// "182 ft at 45.0°, rises 1.20 ft, 0.66 %".
    pub fn words(&self, units: Units) -> String {
        let way = format!("{} at {:.1}°", units.length(self.length_m), self.bearing_deg);
        format!("{way}{}", rise_words(self.rise_m, self.length_m, units))
    }
}

/// ", falls 1.20 ft, 0.66 %"; nothing where the levels are not known.
fn rise_words(rise_m: Option<f64>, length_m: f64, units: Units) -> String {
    let told = |rise_m: f64| {
        let verb = if rise_m < 0.0 { "falls" } else { "rises" };
        format!(", {verb} {}, {}", units.depth(rise_m.abs()), units.grade((rise_m / length_m.max(1e-9)).abs()))
    };
    rise_m.map_or(String::new(), told)
}

/// What was measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// Its pieces, the closing one too.
    pub legs: Vec<Leg>,
    /// How much higher the ground is at its end, metres.
    pub rise_m: Option<f64>,
    /// What it encloses, square metres, once it is closed.
    pub area_m2: Option<f64>,
}

impl Measured {
    fn of(session: &Session, mut path: Vec<Point>, closed: bool) -> Self {
        let area_m2 = closed.then(|| measure::ring_m2(&path).abs());
        path.extend(path.first().copied().filter(|_| closed));
        let whole = Leg::of(session, path[0], path[path.len() - 1]);
        let legs = path.windows(2).map(|pair| Leg::of(session, pair[0], pair[1])).collect();
        Self { legs, rise_m: whole.rise_m.filter(|_| !closed), area_m2 }
    }

    /// Along all its pieces, metres.
    pub fn length_m(&self) -> f64 {
        self.legs.iter().map(|leg| leg.length_m).sum()
    }

    /// The whole in words.
    pub fn whole(&self, units: Units) -> String {
        let length_m = self.length_m();
        format!("{}{}", units.length(length_m), rise_words(self.rise_m, length_m, units))
    }

    /// The area in words: small ones in square feet or metres too.
    pub fn area(&self, units: Units) -> Option<String> {
        let square = |area_m2: f64| {
            let unit_m = units.length_unit().metres();
            format!("{:.0} {}²", area_m2 / (unit_m * unit_m), units.sign())
        };
        self.area_m2.map(|area_m2| format!("{}, {}", units.area(area_m2), square(area_m2)))
    }

    /// All of it as text to be copied, a row a leg.
    pub fn text(&self, units: Units) -> String {
        let legs = self.legs.iter().enumerate().map(|(i, leg)| format!("{}\t{}\n", i + 1, leg.words(units)));
        let area = self.area(units).map(|area| format!("area\t{area}\n"));
        format!("{}whole\t{}\n{}", legs.collect::<String>(), self.whole(units), area.unwrap_or_default())
    }
}
