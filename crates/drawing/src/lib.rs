//! What is drawn, as data: things in plan coordinates, or at a station and a level, each with the role it plays. A pen gives
//! a role its colour, width and signs: the window's on the screen and in the headless picture, the sheets' on paper. Both
//! draw the same scene, so what is seen on one is seen on the other.

mod board;
mod grades;
mod labels;
mod legend;
mod map;
mod marking;
mod profile;
mod profile_legend;
pub mod rain;
mod rain_ways;
mod role;
mod scene;
mod under_ground;
mod words;

pub use board::Board;
pub use grades::{pipe_at_grades, pipe_with_dip};
pub use labels::{Disc, Frame, Labels, Place, within};
pub use legend::{Key, legend};
pub use map::wanted::wanted_name;
pub use map::{Chosen, FlowPath, Layer, MapOf, level_words};
pub use marking::Marking;
pub use profile::{NoDig, Parts, Profile, profile};
pub use profile_legend::profile_legend;
pub use rain_ways::rain_ways;
pub use role::{BATCHES, MarkSort, Pipe, RUNNING_M3S, Role, Taught};
pub use scene::{Emphasis, Form, Item, Scene};
pub use under_ground::under_ground;
pub use words::{Anchor, Label, change_words};
