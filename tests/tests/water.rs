//! Filling and D8 over whole real grids against a library outside this project: `tests/reference/water_values.py` says
//! which. The ground lies beside the project; where it is absent this test says so and passes.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "helpers of tests may stop the test")]

use serde_json::Value;
use terrain::Water;
use whole_house::root;

use crate::common::ground;

const GRIDS: [&str; 4] = ["ia_slope_s_3m", "ia_patches_h_3m", "slo_hills_1m", "at_hoal_10m"];

/// FNV-1a over the bits of every level, all missing ones alike.
fn checksum(levels: &[f32]) -> String {
    let bits = levels.iter().map(|z| if z.is_nan() { f32::NAN.to_bits() } else { z.to_bits() });
    let total =
        bits.fold(0xcbf2_9ce4_8422_2325u64, |sum, word| (sum ^ u64::from(word)).wrapping_mul(0x100_0000_01b3));
    format!("{total:016x}")
}

/// Every filled cell is the library's to the last bit; accumulation is equal wherever D8 leaves no choice.
#[test]
fn water_on_real_ground_runs_as_a_library_has_it() {
    let text = std::fs::read_to_string(root().join("tests/reference/water_values.json")).unwrap();
    let reference: Value = serde_json::from_str(&text).unwrap();
    for (name, grid) in GRIDS.iter().filter_map(|name| Some((name, ground(name)?))) {
        let expected = &reference[name];
        for threads in [1, 2, 5] {
            let water = Water::with_threads(&grid, threads);
            let raised = water.filled().iter().zip(grid.levels()).filter(|(filled, z)| filled > z).count();
            assert_eq!(raised as u64, expected["raised"].as_u64().unwrap(), "{name}, {threads} threads");
            assert_eq!(checksum(water.filled()), expected["filled"].as_str().unwrap(), "{name}, {threads} threads");
            for cell in expected["cells"].as_array().unwrap() {
                let [row, col, uphill] = [0, 1, 2].map(|k| cell[k].as_u64().unwrap() as usize);
                let found = water.cells_uphill()[row * grid.cols() + col] as usize;
                assert_eq!(found, uphill, "{name}, {threads} threads, row {row}, column {col}");
            }
        }
    }
}
