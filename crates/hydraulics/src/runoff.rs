//! Rain that runs off, by curve number ([TR55], chapter 2, equations 2-1 to 2-4).

use measure::INCH_M;

use crate::Group;

/// Depth of a rain that runs off, metres: nothing before a fifth of what the land can hold.
pub fn runoff_m(rain_m: f64, curve_number: f64) -> f64 {
    let holds_m = (1_000.0 / curve_number - 10.0) * INCH_M;
    let over_m = (rain_m - 0.2 * holds_m).max(0.0);
    if over_m > 0.0 { over_m * over_m / (rain_m + 0.8 * holds_m) } else { 0.0 }
}

/// Curve numbers of ploughed land on soils of group A, B, C and D ([TR55], table 2-2b; its numbers as public code has them,
/// its rows from memory). Bare soil comes first.
pub const CURVE_NUMBERS: [(&str, [f64; 4]); 13] = [
    ("bare soil", [77.0, 86.0, 91.0, 94.0]),
    ("row crops, straight, poor cover", [72.0, 81.0, 88.0, 91.0]),
    ("row crops, straight, good cover", [67.0, 78.0, 85.0, 89.0]),
    ("row crops on the contour, poor cover", [70.0, 79.0, 84.0, 88.0]),
    ("row crops on the contour, good cover", [65.0, 75.0, 82.0, 86.0]),
    ("row crops, contour and terraces, poor cover", [66.0, 74.0, 80.0, 82.0]),
    ("row crops, contour and terraces, good cover", [62.0, 71.0, 78.0, 81.0]),
    ("small grain, straight, poor cover", [65.0, 76.0, 84.0, 88.0]),
    ("small grain, straight, good cover", [63.0, 75.0, 83.0, 87.0]),
    ("small grain on the contour, poor cover", [63.0, 74.0, 82.0, 85.0]),
    ("small grain on the contour, good cover", [61.0, 73.0, 81.0, 84.0]),
    ("small grain, contour and terraces, poor cover", [61.0, 72.0, 79.0, 82.0]),
    ("small grain, contour and terraces, good cover", [59.0, 70.0, 78.0, 81.0]),
];

/// Depth of a rain that runs off bare soil of a group, metres.
pub fn bare_runoff_m(rain_m: f64, group: Group) -> f64 {
    runoff_m(rain_m, CURVE_NUMBERS[0].1[group as usize])
}
