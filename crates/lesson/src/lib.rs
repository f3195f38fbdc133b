//! What a class is shown and asked: which lessons there are, what each explains in three sentences, its question with three
//! answers, and exercises whose answers the program's own formulas give and a pupil can work out by hand. Fields are invented.

mod exercise;
mod figure;
mod given;
mod grade;
mod ground;
mod mistakes;
mod text;
mod topic;

pub use exercise::{Exercise, exercises};
pub use figure::{
    grade as grade_words, land as land_words, length as length_words, roots as roots_words, small as small_words,
};
pub use grade::{AtGrade, Dip, GRADES, Pipe, silt_velocity_ms};
pub use ground::{AIR_WITHIN_DAYS, DAYS, Drying, ROOTS_M, SOILS, Setting, TIGHT_M, Wet, wet_words};
pub use mistakes::MISTAKES;
pub use text::{Answer, Lesson, Question, lesson};
pub use topic::Topic;
