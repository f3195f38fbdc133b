//! Real ground, where it lies beside the project.

#[allow(dead_code, reason = "not every test draws plans")]
pub mod real;

use exchange::{ReadOptions, read_ground};
use terrain::Grid;
use terrain::Surface;
use whole_house::root;

/// A grid by its name; where it is absent, that is said.
pub fn ground(name: &str) -> Option<Grid> {
    let path = root().join(format!("../shared/terrain/dem/{name}.tif"));
    if !path.exists() {
        println!("skipped: {name} is not there");
        return None;
    }
    match read_ground(&path, &ReadOptions::default()).unwrap().surface {
        Surface::Grid(grid) => Some(grid),
        _ => panic!("{name} holds a grid"),
    }
}
