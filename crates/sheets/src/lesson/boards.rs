//! The boards of a lesson in the order in which they are shown, each with what is said to it.

use drawing::{Board, Layer, pipe_at_grades, pipe_with_dip, rain_ways, under_ground};
use lesson::{Dip, Drying, GRADES, Pipe, Setting, Topic, length_words, small_words};
use measure::{DAY_S, Units, path_length};
use plan::Texture;

use super::LessonWork;

/// Into how many steps the longest way of a drop is cut.
const STRIDES: usize = 6;

/// When a board is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seen {
    /// Always.
    Always,
    /// At one step.
    At(usize),
    /// From a step on.
    From(usize),
}

/// A board, when it is seen, and what is said to it.
pub struct Frame {
    pub seen: Seen,
    pub board: Board<'static>,
    pub says: String,
}

/// Boards that are stepped through, under what they have in common.
pub struct Show {
    pub name: String,
    pub frames: Vec<Frame>,
    /// The step that is seen where nothing can be stepped.
    pub still: usize,
    /// The steps that stand on paper.
    pub paper: [usize; 2],
    /// Height over width.
    pub shape: f64,
}

impl Show {
    /// How many steps it has beyond the first.
    pub fn steps(&self) -> usize {
        let at = |frame: &Frame| match frame.seen {
            Seen::Always => 0,
            Seen::At(step) | Seen::From(step) => step,
        };
        self.frames.iter().map(at).max().unwrap_or_default()
    }
}

/// The shows of a lesson: of several one is chosen.
pub fn shows(work: &LessonWork, topic: Topic) -> Vec<Show> {
    match topic {
        Topic::WhereWaterGoes | Topic::GuessFirst => vec![rain(work)],
        Topic::UnderTheGround => {
            settings(work.units).into_iter().map(|setting| ground(setting, work.units)).collect()
        }
        Topic::WhatGradeDoes => vec![grades(work.units)],
    }
}

fn rain(work: &LessonWork) -> Show {
    let longest_m = work.ways.iter().map(|way| path_length(way)).fold(0.0, f64::max);
    let base = rain_ways(&work.map, &[Layer::Contours, Layer::Boundary, Layer::Watercourses], &[], 0.0);
    let shape = base.shape();
    let always = Frame { seen: Seen::Always, board: base, says: String::new() };
    let stride = |k: usize| {
        let ran_m = longest_m * k as f64 / STRIDES as f64;
        let says = match k {
            0 => "Drops of rain have fallen. Guess first: where will they run together?".into(),
            STRIDES => "Every drop has come to the low ground. Pipes are laid where ways run together.".into(),
            _ => format!("The fastest has run {}.", work.units.length(ran_m)),
        };
        Frame { seen: Seen::At(k), board: rain_ways(&work.map, &[], work.ways, ran_m), says }
    };
    let pipes = rain_ways(&work.map, &[Layer::Lines, Layer::Outlets], &[], 0.0);
    let pipes = Frame { seen: Seen::From(STRIDES), board: pipes, says: String::new() };
    let frames = std::iter::once(always).chain((0..=STRIDES).map(stride)).chain([pipes]).collect();
    Show { name: work.map.plan.title.name.clone(), frames, still: STRIDES, paper: [0, STRIDES], shape }
}

/// Three soils, each at the usual spacing and at twice that.
pub fn settings(units: Units) -> Vec<Setting> {
    let usual = Setting::usual(units);
    let soils = [Texture::ClayLoam, Texture::Loam, Texture::Clay];
    let at =
        |texture: Texture| [1.0, 2.0].map(|times| Setting { texture, spacing_m: usual.spacing_m * times, ..usual });
    soils.into_iter().flat_map(at).collect()
}

fn ground(setting: Setting, units: Units) -> Show {
    let drying = Drying::of(setting);
    let frame = |step: usize| Frame {
        seen: Seen::At(step),
        board: under_ground(&drying, step as f64 * DAY_S, units),
        says: drying.moment_words(step, units),
    };
    let name = format!("{}, pipes {} apart", setting.texture.word(), length_words(setting.spacing_m, units));
    Show { name, frames: (0..drying.tables_m.len()).map(frame).collect(), still: 4, paper: [2, 5], shape: 0.62 }
}

fn grades(units: Units) -> Show {
    let (pipe, dip) = (Pipe::usual(units), Dip::usual(units));
    let running = |step: usize| Frame {
        seen: Seen::At(step),
        board: pipe_at_grades(pipe, step as f64, units),
        says: format!("So far runs the water of a full {} pipe in one second.", units.pipe(pipe.inside_m)),
    };
    let last = GRADES.len() + 1;
    let sunk = Frame {
        seen: Seen::At(last),
        board: pipe_with_dip(dip, pipe.inside_m, units),
        says: format!("A dip of {}: water stands in it up to its lip.", small_words(dip.sunk_m, units)),
    };
    let frames = (0..last).map(running).chain([sunk]).collect();
    Show {
        name: format!("{} pipe", units.pipe(pipe.inside_m)),
        frames,
        still: last - 1,
        paper: [last - 1, last],
        shape: 0.62,
    }
}
