//! The open job: its plan, its land, all that follows from them, and what comes in and goes out. No window: the window and
//! the command line both work through it.

pub mod bring;
pub mod chosen;
pub mod clock;
pub mod compare;
pub mod demo;
pub mod differing;
pub mod dossier;
pub mod dry;
pub mod dug;
pub mod entering;
pub mod files;
pub mod find_form;
mod follower;
pub mod found;
pub mod found_words;
pub mod grading;
pub mod ground;
pub mod handed_back;
pub mod handing;
pub mod joining;
pub mod leeway;
pub mod lesson;
pub mod likely_words;
pub mod lines_in;
pub mod link;
pub mod on_file;
pub mod parcel;
pub mod photos;
mod progress;
pub mod receiver;
pub mod regrade;
pub mod salvage;
mod session;
pub mod spacing;
pub mod sparing;
pub mod tables;
pub mod trouble;
pub mod words;
mod worked;

pub use progress::Progress;
pub use session::Session;
pub use worked::{Tried, Worked};
