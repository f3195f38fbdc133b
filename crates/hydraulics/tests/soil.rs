//! Water in soil, soil groups and runoff against printed and computed values. "Computed" stands for values worked out apart
//! from this code from the formula as the named text has it.

use hydraulics::{
    CURVE_NUMBERS, Group, MM_PER_HOUR_MS, Mix, Seeping, SoilWater, bare_runoff_m, conductivity_class,
    darcy_inflow_m2s, drainable_porosity, handbook_inflow_m2s, runoff_m, soil_group,
};

const DAY: f64 = 86_400.0;
const INCH: f64 = 0.0254;
const FOOT: f64 = 0.3048;

fn near(found: f64, expected: f64, off: f64, what: &str) {
    assert!((found - expected).abs() <= off, "{what}: {found}, expected {expected}");
}

/// The table of classes of [SR06] at 2.5 % of organic matter: sand and clay in percent; wilting point, field capacity,
/// saturation and conductivity in mm/h as printed (ten rows read in a transcription, the last two from memory), then as
/// computed from the equations.
#[test]
#[allow(clippy::approx_constant, reason = "0.5235 is a printed content, not a sixth of π")]
fn the_table_of_classes() {
    for (sand, clay, printed, computed) in [
        (88.0, 5.0, (0.05, 0.10, 0.46, 108.1), (0.0502, 0.1028, 0.4617, 108.15)),
        (80.0, 5.0, (0.05, 0.12, 0.46, 96.7), (0.0510, 0.1202, 0.4602, 96.67)),
        (65.0, 10.0, (0.08, 0.18, 0.45, 50.3), (0.0808, 0.1792, 0.4499, 50.30)),
        (40.0, 20.0, (0.14, 0.28, 0.46, 15.5), (0.1370, 0.2796, 0.4595, 15.48)),
        (20.0, 15.0, (0.11, 0.31, 0.48, 16.1), (0.1099, 0.3052, 0.4787, 16.12)),
        (10.0, 5.0, (0.06, 0.30, 0.48, 22.0), (0.0574, 0.3045, 0.4790, 21.99)),
        (60.0, 25.0, (0.17, 0.27, 0.43, 11.3), (0.1657, 0.2670, 0.4341, 11.26)),
        (30.0, 35.0, (0.22, 0.36, 0.48, 4.3), (0.2180, 0.3579, 0.4772, 4.32)),
        (10.0, 35.0, (0.22, 0.38, 0.51, 5.7), (0.2152, 0.3818, 0.5112, 5.68)),
        (10.0, 45.0, (0.27, 0.41, 0.52, 3.7), (0.2678, 0.4091, 0.5235, 3.67)),
        (50.0, 40.0, (0.25, 0.36, 0.44, 1.4), (0.2486, 0.3611, 0.4438, 1.39)),
        (25.0, 50.0, (0.30, 0.42, 0.50, 1.1), (0.2979, 0.4206, 0.4984, 1.14)),
    ] {
        let water = SoilWater::of(Mix { sand: sand / 100.0, clay: clay / 100.0, organic: 0.025 });
        let what = format!("{sand} % sand, {clay} % clay");
        let rate = water.conductivity_ms() / MM_PER_HOUR_MS;
        let found = [water.wilting_point, water.field_capacity, water.saturation];
        for ((found, printed), computed) in
            found.into_iter().zip([printed.0, printed.1, printed.2]).zip([computed.0, computed.1, computed.2])
        {
            near(found, printed, 5.01e-3, &what);
            near(found, computed, 6e-5, &what);
        }
        near(rate, printed.3, 0.0501, &what);
        near(rate, computed.3, 6e-3, &what);
    }
}

/// One transcription has 1.238 for 1.283 in the field capacity; only 1.283 gives the table's 0.36 of clay loam exactly.
#[test]
fn the_misprint_of_the_field_capacity() {
    let (s, c, om) = (0.30, 0.35, 2.5);
    let t = -0.251 * s + 0.195 * c + 0.011 * om + 0.006 * s * om - 0.027 * c * om + 0.452 * s * c + 0.299;
    let misprinted = t + (1.238 * t * t - 0.374 * t - 0.015);
    let found = SoilWater::of(Mix { sand: s, clay: c, organic: om / 100.0 }).field_capacity;
    near(found, 0.3579, 5e-5, "1.283");
    assert!((misprinted - 0.3579).abs() > 1e-3);
}

/// The curve goes through its two points, conductivity falls to nothing as the soil dries, and the dry density is that of
/// solids of 2.65 (by the definitions).
#[test]
fn tension_and_conductivity_of_a_moist_soil() {
    let water = SoilWater::of(Mix { sand: 0.30, clay: 0.35, organic: 0.025 });
    near(water.tension_kpa(water.field_capacity), 33.0, 1e-9, "field capacity");
    near(water.tension_kpa(water.wilting_point), 1_500.0, 1e-6, "wilting point");
    near(water.conductivity_at_ms(water.saturation), water.conductivity_ms(), 1e-18, "full");
    let drained = water.conductivity_at_ms(water.field_capacity);
    assert!(drained < water.conductivity_ms() / 100.0 && drained > 0.0);
    assert!(water.air_entry_kpa > 0.0 && water.air_entry_kpa < 33.0);
    near(water.density_kg_m3(), (1.0 - 0.4772) * 2_650.0, 0.2, "density");
}

/// Van Beers (from memory) along the diagonal of table A1.1 of [FAO62]: K in m/day, percent (computed).
#[test]
fn porosity_by_conductivity() {
    for (k, percent) in [(0.01, 1.0), (0.1, 3.2), (0.3, 5.5), (1.0, 10.0), (3.0, 17.3), (6.0, 24.5)] {
        near(drainable_porosity(k / DAY) * 100.0, percent, 0.051, "van Beers");
    }
}

/// Table 7-1 of [NEH630], as code of the agency's staff has it: tight layer, water table, least rate in µm/s.
#[test]
fn hydrologic_soil_groups() {
    let group = |tight_m, table_m, rate: f64| soil_group(tight_m, table_m, |_| rate * 1e-6).to_string();
    for (tight_m, table_m, rates) in [
        (Some(0.49), None, [(100.0, "D"), (0.1, "D")].as_slice()),
        (Some(0.8), Some(0.5), &[(40.1, "A/D"), (40.0, "B/D"), (10.0, "C/D"), (1.0, "D")]),
        (Some(0.8), Some(0.6), &[(40.1, "A"), (40.0, "B"), (10.0, "C"), (1.0, "D")]),
        (None, Some(0.5), &[(10.1, "A/D"), (10.0, "B/D"), (4.0, "C/D"), (0.4, "D")]),
        (None, Some(0.8), &[(40.1, "A"), (40.0, "B"), (10.0, "C"), (1.0, "D")]),
        (Some(1.2), None, &[(10.1, "A"), (10.0, "B"), (4.0, "C"), (0.4, "D")]),
    ] {
        for (rate, named) in rates {
            assert_eq!(&group(tight_m, table_m, *rate), named, "{tight_m:?} {table_m:?} {rate}");
        }
    }
    // The range that counts: 60 cm over a shallow layer in wet land, else 50 cm, or a metre.
    let down_to = |tight_m, table_m| {
        let asked = std::cell::Cell::new(0.0);
        soil_group(tight_m, table_m, |down_to_m| {
            asked.set(down_to_m);
            1e-6
        });
        asked.get()
    };
    assert_eq!(down_to(Some(0.8), Some(0.5)), 0.6);
    assert_eq!(down_to(Some(0.8), None), 0.5);
    assert_eq!(down_to(None, Some(0.5)), 1.0);
    assert_eq!(down_to(None, Some(0.7)), 0.5);
    assert_eq!(down_to(None, None), 1.0);
}

/// Classes of the Soil Survey Manual, µm/s (breaks from memory; they stand in the agency's code too).
#[test]
fn classes_of_conductivity() {
    for (rate, word) in [
        (100.0, "very high"),
        (10.0, "high"),
        (1.0, "moderately high"),
        (0.1, "moderately low"),
        (0.01, "low"),
        (0.009, "very low"),
    ] {
        assert_eq!(conductivity_class(rate * 1.000_001e-6), word);
    }
}

/// [TR55]: 8 in at 80 is 5.625 in exactly (read in a solved problem); 2.81 and 3.28 in for 6 in at 70 and 75 (printed, from
/// memory); the rest computed. Example 2-4 prints 3.19, which its 74 cannot give.
#[test]
fn curve_numbers() {
    let inches = |rain: f64, number: f64| runoff_m(rain * INCH, number) / INCH;
    near(inches(8.0, 80.0), 5.625, 1e-12, "read");
    for (number, runoff) in [(70.0, 2.8052), (75.0, 3.2821), (77.0, 3.4791), (74.0, 3.1849)] {
        near(inches(6.0, number), runoff, 5e-5, "examples 2-1 to 2-4");
    }
    near(inches(6.0, 70.0), 2.81, 5e-3, "printed");
    near(inches(6.0, 75.0), 3.28, 5e-3, "printed");
    assert!((inches(6.0, 74.0) - 3.19).abs() > 5e-3);
    for (rain, of_numbers) in [
        (1.0, [0.0, 0.0046, 0.0833, 0.3203, 0.7909]),
        (2.0, [0.0606, 0.2406, 0.5625, 1.0940, 1.7744]),
        (3.0, [0.3333, 0.7143, 1.2500, 1.9841, 2.7683]),
        (5.0, [1.3011, 2.0363, 2.8929, 3.8763, 4.7632]),
        (8.0, [3.3333, 4.4643, 5.6250, 6.8056, 7.7602]),
    ] {
        for (number, runoff) in [60.0, 70.0, 80.0, 90.0, 98.0].into_iter().zip(of_numbers) {
            near(inches(rain, number), runoff, 5e-5, "table");
        }
    }
    assert_eq!(runoff_m(0.0, 80.0), 0.0);
    assert_eq!(CURVE_NUMBERS[0], ("bare soil", [77.0, 86.0, 91.0, 94.0]));
    assert!(CURVE_NUMBERS.iter().all(|(_, of_groups)| of_groups.is_sorted()));
    assert_eq!(bare_runoff_m(8.0 * INCH, Group::B), runoff_m(8.0 * INCH, 86.0));
}

/// Weighted curve numbers of [TR55], examples 2-1 to 2-4 (set-up read, numbers from memory, sums computed): shares of 250
/// acres. They are rounded to whole numbers before they are used.
#[test]
fn weighted_curve_numbers() {
    let mean = |parts: &[(f64, f64)]| parts.iter().map(|(share, number)| share * number).sum::<f64>() / 250.0;
    near(mean(&[(75.0, 61.0), (175.0, 74.0)]), 70.1, 0.051, "2-1");
    near(mean(&[(75.0, 70.0), (100.0, 80.0), (75.0, 74.0)]), 75.2, 0.051, "2-2");
    near(mean(&[(75.0, 74.0), (100.0, 82.0), (75.0, 74.0)]), 77.2, 0.051, "2-3");
}

/// An interceptor: what a handbook gives (from memory) beside Darcy's law by hand: 0.694 ft/day, 4 %, 3 ft thick, 1,000 ft.
#[test]
fn two_ways_to_judge_an_interceptor() {
    let per_1000_ft = |inflow_m2s: f64| inflow_m2s * 1_000.0 * FOOT / (FOOT * FOOT * FOOT);
    let darcy = per_1000_ft(darcy_inflow_m2s(0.694 * FOOT / DAY, 0.04, 3.0 * FOOT));
    near(darcy, 0.694 * 0.04 * 3.0 * 1_000.0 / DAY, 1e-12, "by hand, cfs");
    let (least, most) = handbook_inflow_m2s(Seeping::Clay, 0.01);
    near(per_1000_ft(least), 0.02, 1e-12, "handbook");
    near(per_1000_ft(most), 0.20, 1e-12, "handbook");
    for (slope, raised) in [(0.019, 1.0), (0.02, 1.1), (0.05, 1.2), (0.12, 1.3)] {
        near(per_1000_ft(handbook_inflow_m2s(Seeping::SiltLoam, slope).0), 0.04 * raised, 1e-12, "raised");
    }
    assert!(
        darcy < 0.02,
        "an order of magnitude below: the handbook counts pipes and seams that Darcy's law does not"
    );
}
