//! The invented demo fields, built into the program so that it always has one to show.

use exchange::FileError;
use plan::Plan;

/// A demo field: its plan file, the ground and the levels it names.
struct Demo {
    plan: &'static str,
    ground: &'static str,
    grid: &'static [u8],
    levels: &'static str,
    table: &'static [u8],
}

const DEMOS: [Demo; 3] = [
    Demo {
        plan: include_str!("../../../demo-fields/larkmoor-bench.drain"),
        ground: "larkmoor-bench.asc",
        grid: include_bytes!("../../../demo-fields/larkmoor-bench.asc"),
        levels: "larkmoor-bench-levels.csv",
        table: include_bytes!("../../../demo-fields/larkmoor-bench-levels.csv"),
    },
    Demo {
        plan: include_str!("../../../demo-fields/saltern-flat.drain"),
        ground: "saltern-flat.asc",
        grid: include_bytes!("../../../demo-fields/saltern-flat.asc"),
        levels: "saltern-flat-levels.csv",
        table: include_bytes!("../../../demo-fields/saltern-flat-levels.csv"),
    },
    // It lies on the ground of the first.
    Demo {
        plan: include_str!("../../../demo-fields/fernholt-piece.drain"),
        ground: "larkmoor-bench.asc",
        grid: include_bytes!("../../../demo-fields/larkmoor-bench.asc"),
        levels: "fernholt-piece-levels.csv",
        table: include_bytes!("../../../demo-fields/fernholt-piece-levels.csv"),
    },
];

/// The plan shown at the first start: a vineyard block on rolling ground, drained, with one planted mistake.
pub fn first_plan() -> Result<Plan, FileError> {
    exchange::plan_from_text(DEMOS[0].plan)
}

/// The second field: flat, with a hump.
pub fn second_plan() -> Result<Plan, FileError> {
    exchange::plan_from_text(DEMOS[1].plan)
}

/// A plan with ten mistakes for a class to find.
pub fn ten_mistakes() -> Result<Plan, FileError> {
    exchange::plan_from_text(DEMOS[2].plan)
}

/// True for a demo field, whatever was changed on it.
pub fn is_one(plan: &Plan) -> bool {
    plan.ground.as_ref().is_some_and(|ground| ground_bytes(&ground.file).is_some())
}

/// The ground file of a demo field by its name.
pub fn ground_bytes(file: &str) -> Option<&'static [u8]> {
    DEMOS.iter().find(|demo| demo.ground == file).map(|demo| demo.grid)
}

/// The levels of a demo field by the name of their file.
pub fn level_bytes(file: &str) -> Option<&'static [u8]> {
    DEMOS.iter().find(|demo| demo.levels == file).map(|demo| demo.table)
}
