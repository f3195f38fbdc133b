//! A satellite receiver at the trench: from its sentences to shots. Nothing is taken without a fix, and no shot before a check
//! shot on a benchmark of the plan that misses it by no more than the job allows.

use exchange::{Crs, Heard, NmeaReader, Position};
use measure::{Point, Units, distance};
use plan::{Benchmark, DugShot, Fix, FixQuality, Plan, ShotOn, Spot, Taken};

/// Positions that are averaged for a shot ([judgement]: a second at 10 Hz, ten seconds at 1 Hz).
pub const EPOCHS: usize = 10;
/// While it is averaged the antenna moves no farther, metres ([judgement]: a rod in a hand, and the noise of a fix).
const STILL_M: f64 = 0.10;

/// A check shot that holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Checked {
    /// The benchmark.
    pub benchmark: String,
    /// By how much the receiver missed it before any shift, metres: along the ground and in height, above 0 where it read too
    /// high.
    pub missed_m: (f64, f64),
}

/// The average of positions with a fix.
#[derive(Debug, Clone, PartialEq)]
pub struct Averaged {
    /// Where, on the plane of the plan.
    pub at: Point,
    /// The level under the antenna's foot, metres, with the shift.
    pub level_m: f64,
    /// Standard deviation of the levels, metres.
    pub scatter_m: f64,
    /// How sure the receiver was.
    pub fix: Fix,
}

/// What came of what was heard.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// A check shot holds.
    Checked(Checked),
    /// A check shot missed its benchmark by more than is allowed.
    Missed(Checked),
    /// A shot.
    Shot(Box<Averaged>),
}

/// What is being averaged.
#[derive(Debug, Clone, PartialEq)]
enum Wanted {
    Check(Benchmark),
    Shot,
}

/// A position on the plane of the plan.
#[derive(Debug, Clone, Copy)]
struct Sample {
    time_s: f64,
    at: Point,
    height_m: f64,
    geoid_m: Option<f64>,
    age_s: Option<f64>,
    quality: FixQuality,
}

/// The receiver; holds no more than the positions of one shot.
#[derive(Debug)]
pub struct Receiver {
    plane: Crs,
    antenna_m: f64,
    /// How far a check shot may miss, metres: along the ground and in height.
    allowed_m: (f64, f64),
    reader: NmeaReader,
    last: Option<Position>,
    samples: Vec<Sample>,
    wanted: Option<Wanted>,
    missed: Option<Checked>,
    checked: Option<Checked>,
    shift_m: f64,
}

impl Receiver {
    /// A receiver whose antenna stands so high over what is shot, metres; refused on a plan that lies on no named system.
    pub fn new(plan: &Plan, antenna_m: f64) -> Result<Self, String> {
        let plane = crate::ground::plane(plan);
        if plane.is_local() {
            return Err(
                "The plan's ground lies on no named coordinate system: a receiver's places cannot be brought to it."
                    .into(),
            );
        }
        if !(0.0..=10.0).contains(&antenna_m) {
            return Err("Expected the height of the antenna over what is shot, up to 10 m.".into());
        }
        let criteria = &plan.criteria;
        Ok(Self {
            plane,
            antenna_m,
            allowed_m: (criteria.check_shot_beside_m, criteria.check_shot_m),
            reader: NmeaReader::default(),
            last: None,
            samples: Vec::with_capacity(EPOCHS),
            wanted: None,
            missed: None,
            checked: None,
            shift_m: 0.0,
        })
    }

    /// What came of the stream so far.
    pub fn heard(&self) -> Heard {
        self.reader.heard
    }

    /// The check shot that holds, if there is one.
    pub fn checked(&self) -> Option<&Checked> {
        self.checked.as_ref()
    }

    /// The last check shot, where it missed.
    pub fn missed(&self) -> Option<&Checked> {
        self.missed.as_ref()
    }

    /// True while a shot or a check shot is being averaged.
    pub fn is_averaging(&self) -> bool {
        self.wanted.is_some()
    }

    /// Where it is now on the plane of the plan, if it has a fix.
    pub fn place(&self) -> Option<Point> {
        self.sample(self.last?).map(|sample| sample.at)
    }

    /// Takes a check shot on a benchmark next.
    pub fn check_on(&mut self, benchmark: Benchmark) {
        self.samples.clear();
        self.wanted = Some(Wanted::Check(benchmark));
    }

    /// Takes what the last check shot missed in height as the shift from the receiver's datum to the plan's; it has to be checked
    /// again. `None` where no check shot missed.
    pub fn take_shift(&mut self) -> Option<f64> {
        let missed = self.missed.take()?;
        self.shift_m = -missed.missed_m.1;
        self.checked = None;
        Some(self.shift_m)
    }

    /// Takes a shot next; refused before a check shot holds.
    pub fn shoot(&mut self) -> Result<(), String> {
        if self.checked.is_none() {
            return Err("No shot before a check shot on a benchmark of the plan.".into());
        }
        self.samples.clear();
        self.wanted = Some(Wanted::Shot);
        Ok(())
    }

    /// Takes what came, and answers what came of it.
    pub fn hear(&mut self, bytes: &[u8]) -> Vec<Outcome> {
        let mut positions = Vec::new();
        self.reader.take(bytes, |position| positions.push(position));
        positions.into_iter().filter_map(|position| self.take(position)).collect()
    }

    /// A position with a fix, on the plane of the plan.
    fn sample(&self, position: Position) -> Option<Sample> {
        let quality = position.quality.filter(|quality| *quality == FixQuality::Fixed)?;
        let at = self.plane.from_lon_lat(position.lon, position.lat).ok()?;
        let Position { time_s, height_m, geoid_m, age_s, .. } = position;
        Some(Sample { time_s, at, height_m, geoid_m, age_s, quality })
    }

    fn take(&mut self, position: Position) -> Option<Outcome> {
        self.last = Some(position);
        self.wanted.as_ref()?;
        let Some(sample) = self.sample(position) else {
            self.samples.clear();
            return None;
        };
        if self.samples.first().is_some_and(|first| distance(first.at, sample.at) > STILL_M) {
            self.samples.clear();
        }
        if self.samples.last().is_some_and(|last| last.time_s == sample.time_s) {
            return None;
        }
        self.samples.push(sample);
        if self.samples.len() < EPOCHS {
            return None;
        }
        let averaged = self.average();
        self.samples.clear();
        match self.wanted.take()? {
            Wanted::Shot => Some(Outcome::Shot(Box::new(averaged))),
            Wanted::Check(benchmark) => Some(self.check(&averaged, benchmark)),
        }
    }

    fn average(&self) -> Averaged {
        let count = self.samples.len() as f64;
        let mean = |of: fn(&Sample) -> f64| self.samples.iter().map(of).sum::<f64>() / count;
        let height_m = mean(|sample| sample.height_m);
        let off = self.samples.iter().map(|sample| (sample.height_m - height_m).powi(2)).sum::<f64>();
        let ages = self.samples.iter().filter_map(|sample| sample.age_s);
        let worst = self.samples.iter().map(|sample| sample.quality).max_by_key(|quality| *quality as u8);
        let fix = Fix {
            quality: worst.unwrap_or(FixQuality::Single),
            age_s: ages.reduce(f64::max),
            antenna_m: self.antenna_m,
            geoid_m: self.samples.last().and_then(|sample| sample.geoid_m),
            shift_m: self.shift_m,
            checked_on: self.checked.as_ref().map(|checked| checked.benchmark.clone()).unwrap_or_default(),
            missed_m: self.checked.as_ref().map_or((0.0, 0.0), |checked| checked.missed_m),
        };
        Averaged {
            at: Point::new(mean(|sample| sample.at.x), mean(|sample| sample.at.y)),
            level_m: height_m - self.antenna_m + self.shift_m,
            scatter_m: (off / (count - 1.0).max(1.0)).sqrt(),
            fix,
        }
    }

    fn check(&mut self, averaged: &Averaged, benchmark: Benchmark) -> Outcome {
        let beside_m = distance(averaged.at, benchmark.at);
        let left_m = averaged.level_m - benchmark.level_m;
        let result = Checked { benchmark: benchmark.name, missed_m: (beside_m, left_m - self.shift_m) };
        if beside_m <= self.allowed_m.0 && left_m.abs() <= self.allowed_m.1 {
            (self.checked, self.missed) = (Some(result.clone()), None);
            return Outcome::Checked(result);
        }
        (self.checked, self.missed) = (None, Some(result.clone()));
        Outcome::Missed(result)
    }

    /// How it stands, in words.
    pub fn words(&self, units: Units) -> Vec<String> {
        let mut text = vec![self.fix_words(units)];
        if self.wanted.is_some() {
            text.push(format!("Averaging {} of {EPOCHS}: hold it still.", self.samples.len()));
        }
        match (&self.checked, &self.missed) {
            (Some(checked), _) => text.push(format!("Checked: {}", self.missed_words(checked, units))),
            (None, Some(missed)) => text.push(format!("Refused: {}", self.missed_words(missed, units))),
            (None, None) => text.push("Not yet checked on a benchmark.".into()),
        }
        text.push(match self.shift_m {
            0.0 => "Heights count from the receiver's geoid; no shift is applied.".into(),
            shift_m => format!("{} is added to its heights.", plan::signed_level(shift_m, units)),
        });
        text.extend(self.plane.note());
        text
    }

    fn fix_words(&self, units: Units) -> String {
        let Some(last) = self.last else { return "No position yet.".into() };
        let quality = match last.quality {
            Some(FixQuality::Fixed) => "Fixed",
            Some(FixQuality::Float) => "Float, no fix: nothing is taken",
            Some(FixQuality::Differential) => "Differential, no fix: nothing is taken",
            Some(FixQuality::Single) => "Alone, no fix: nothing is taken",
            None => "No position: nothing is taken",
        };
        let age = last.age_s.map(|age_s| format!(", corrections {age_s} s old")).unwrap_or_default();
        let geoid = match last.geoid_m {
            Some(geoid_m) => format!(
                "; geoid {} over the ellipsoid, {} over that",
                plan::signed_level(geoid_m, units),
                units.level(last.height_m + geoid_m)
            ),
            None => "; no height of the geoid is told".into(),
        };
        format!("{quality}, {} satellites{age}. Antenna at {}{geoid}.", last.satellites, units.level(last.height_m))
    }

    /// By how much a check shot missed, and what is allowed.
    pub fn missed_words(&self, checked: &Checked, units: Units) -> String {
        let (beside_m, up_m) = checked.missed_m;
        let left_m = up_m + self.shift_m;
        let after = if self.shift_m == 0.0 {
            String::new()
        } else {
            format!(", {} after the shift", plan::signed_level(left_m, units))
        };
        format!(
            "{} was missed by {} along the ground (allowed {}) and {} in height{after} (allowed {}).",
            checked.benchmark,
            units.amount(beside_m),
            units.amount(self.allowed_m.0),
            plan::signed_level(up_m, units),
            units.amount(self.allowed_m.1)
        )
    }
}

impl Averaged {
    /// The shot that it makes, with a key of its own among so many.
    pub fn shot(self, on: ShotOn, note: &str, taken: &Taken, among: usize) -> DugShot {
        let shot = crate::dug::shot(Spot::Place(self.at), on, self.level_m, note.into(), taken);
        let key = format!("{}-{}", shot.key, among + 1);
        DugShot { key, scatter_m: Some(self.scatter_m), fix: Some(self.fix), ..shot }
    }
}
