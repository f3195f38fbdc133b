//! First layouts on real ground: fields as they are farmed, or blocks drawn round farmed land, of lidar and of combine tracks, held by
//! brute force over places of the lines and of the wet land. Read from `../shared/terrain`, skipped where it is not at hand. Seconds
//! are told, not held.

#![allow(clippy::unwrap_used, reason = "tests may stop the test")]
#![allow(clippy::print_stdout, reason = "the table is read by a person")]

#[path = "common/brute.rs"]
mod brute;

use std::ops::ControlFlow;
use std::path::Path;
use std::time::Instant;

use brute::{away_m, goes_round, length_m, places};
use checks::Severity;
use design::PipeKind;
use land::{Land, Laying, Sources};
use measure::{FOOT_M, LengthUnit, Point, Units};
use plan::{Change, Edit, Field, GroundRef, Pattern, Plan, SurveyBook};
use propose::{NoLayout, Proposal, WetLand};
use terrain::Surface;

/// A field on real ground, with an outlet at low ground on its boundary, as deep below it as a ditch would take pipe.
struct Real {
    file: &'static str,
    units: Units,
    /// Corners, easting and northing in metres.
    ring: &'static [(f64, f64)],
    /// Easting, northing and invert.
    outlet: (f64, f64, f64),
}

/// Gently sloping farmland with soft swales, Iowa, lidar of 3 m: a block round what was read.
const SLOPE: Real = Real {
    file: "dem/ia_slope_s_3m.tif",
    units: Units::Feet,
    ring: &[
        (391_322.0, 4_766_720.4),
        (392_070.5, 4_766_717.4),
        (392_067.5, 4_766_529.9),
        (391_950.5, 4_766_525.4),
        (391_950.5, 4_766_339.4),
        (392_052.5, 4_766_330.4),
        (392_051.0, 4_765_974.9),
        (391_322.0, 4_765_991.4),
    ],
    outlet: (391_322.0, 4_766_092.0, 354.0),
};
/// Fields with pockets of 0.3 to 0.9 m, Iowa, lidar of 3 m: the larger one.
const PATCHES: Real = Real {
    file: "dem/ia_patches_h_3m.tif",
    units: Units::Feet,
    ring: &[
        (463_617.5, 4_776_538.0),
        (463_925.0, 4_776_538.0),
        (463_925.0, 4_776_412.0),
        (463_988.0, 4_776_412.0),
        (463_988.0, 4_776_538.0),
        (464_342.0, 4_776_538.0),
        (464_342.0, 4_776_277.0),
        (463_854.5, 4_776_160.0),
        (463_853.0, 4_776_286.0),
        (463_617.5, 4_776_256.0),
    ],
    outlet: (464_234.8, 4_776_251.3, 379.2),
};
/// A long slope above a valley, Slovenia, lidar of 1 m: a block round farmed land.
const HILLS: Real = Real {
    file: "dem/slo_hills_1m.tif",
    units: Units::Metric,
    ring: &[
        (564_014.5, 146_749.5),
        (564_329.5, 146_829.5),
        (564_389.5, 146_759.5),
        (564_394.5, 146_439.5),
        (564_344.5, 146_314.5),
        (564_249.5, 146_279.5),
        (564_149.5, 146_334.5),
        (564_089.5, 146_439.5),
        (564_014.5, 146_499.5),
    ],
    outlet: (564_249.5, 146_279.5, 260.0),
};
/// A field block of a small farmed catchment, Austria, ground of 10 m; its corners thinned.
const CATCHMENT: Real = Real {
    file: "dem/at_hoal_10m.tif",
    units: Units::Metric,
    ring: &[
        (4_703_610.6, 2_795_622.5),
        (4_703_694.6, 2_795_638.5),
        (4_703_678.2, 2_795_710.8),
        (4_703_811.2, 2_795_697.4),
        (4_703_888.1, 2_795_679.8),
        (4_703_889.4, 2_795_731.4),
        (4_703_968.5, 2_795_735.8),
        (4_703_997.3, 2_795_667.4),
        (4_704_042.1, 2_795_608.0),
        (4_704_058.0, 2_795_550.6),
        (4_704_110.2, 2_795_498.8),
        (4_704_152.2, 2_795_442.5),
        (4_704_177.7, 2_795_382.6),
        (4_704_156.6, 2_795_340.8),
        (4_704_221.3, 2_795_269.0),
        (4_704_243.4, 2_795_223.3),
        (4_704_247.2, 2_795_178.0),
        (4_704_137.6, 2_795_177.2),
        (4_704_140.0, 2_795_213.6),
        (4_704_078.7, 2_795_295.1),
        (4_704_007.6, 2_795_351.1),
        (4_703_937.4, 2_795_354.9),
        (4_703_865.5, 2_795_341.6),
        (4_703_748.3, 2_795_367.6),
        (4_703_649.1, 2_795_387.9),
    ],
    outlet: (4_704_240.0, 2_795_178.2, 256.5),
};
/// A hilly field, Montana, heights of a combine's track along a strip of it.
const STRIP: Real = Real {
    file: "points/mt_field_i_2016.csv",
    units: Units::Feet,
    ring: &[
        (533_568.3, 5_304_894.0),
        (533_584.1, 5_304_909.9),
        (533_634.5, 5_304_933.9),
        (533_828.3, 5_304_935.0),
        (533_840.1, 5_302_932.7),
        (533_035.1, 5_302_916.2),
        (533_027.7, 5_303_283.5),
        (533_426.1, 5_303_305.5),
        (533_434.3, 5_304_636.5),
        (533_543.0, 5_304_680.6),
        (533_579.6, 5_304_783.5),
    ],
    outlet: (533_828.4, 5_304_925.0, 815.0),
};
/// A block of a field whose heights were taken with bad passes down the middle, Montana, as they came from the combine.
const NOISY: Real = Real {
    file: "points/mt_field_w_2014_noisy.csv",
    units: Units::Feet,
    ring: &[(640_620.0, 5_099_660.0), (640_950.0, 5_099_660.0), (640_950.0, 5_100_100.0), (640_620.0, 5_100_100.0)],
    outlet: (640_625.0, 5_099_660.0, 1227.0),
};
/// A flat field with closed hollows, Argentina, heights every 10 m.
const FLAT: Real = Real {
    file: "points/ar_wheat_field_10m_grid.csv",
    units: Units::Metric,
    ring: &[(312_594.4, 5_801_350.8), (313_046.1, 5_800_917.5), (312_442.8, 5_800_244.2), (311_976.1, 5_800_684.2)],
    outlet: (312_092.8, 5_800_574.2, 158.2),
};

impl Real {
    fn ring(&self) -> Vec<Point> {
        self.ring.iter().map(|(x, y)| Point::new(*x, *y)).collect()
    }

    /// The field and its ground; `None` where the ground is not at hand.
    fn laid(&self) -> Option<(Plan, Land)> {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../shared/terrain").join(self.file);
        if !path.exists() {
            println!("{} is not at hand: skipped", self.file);
            return None;
        }
        let metre = Some(LengthUnit::Metre);
        let options = exchange::ReadOptions { horizontal_unit: metre, vertical_unit: metre, ..Default::default() };
        let surface = exchange::read_ground(&path, &options).unwrap().surface;
        let reference: GroundRef = serde_json::from_value(serde_json::json!({
            "file": self.file, "crs": "", "horizontal_unit": "m", "vertical_unit": "m", "datum": "",
        }))
        .unwrap();
        let (mut sources, book) = (Sources::default(), SurveyBook::default());
        let grid = match surface {
            Surface::Grid(grid) => Some(grid),
            surface => sources.take_own(surface, &reference, &book),
        };
        let land = Land::lay(sources, grid, LengthUnit::Metre, &book, &Laying::PLAIN).unwrap();
        let mut plan = Plan::new(self.file, self.units);
        let field = Field { ring: self.ring(), holes: Vec::new() };
        plan.apply(&Edit::one("Draw", Change::Field(Some(field)))).unwrap();
        Some((plan, land))
    }

    /// The same with its outlet.
    fn with_outlet(&self) -> Option<(Plan, Land)> {
        let (mut plan, land) = self.laid()?;
        let (x, y, invert_m) = self.outlet;
        let outlet = plan.new_outlet("O1", Point::new(x, y), invert_m);
        plan.apply(&plan::place_outlet(&plan, outlet).1).unwrap();
        Some((plan, land))
    }
}

fn propose(plan: &Plan, land: &Land, threads: usize) -> Result<Vec<Proposal>, NoLayout> {
    propose::propose(plan, land, threads, &mut |_| ControlFlow::Continue(()))
}

/// Wet land that a layout serves, place by place over all its perforated pipe; below an interceptor what lies three times as far.
fn served_m2(proposal: &Proposal, wet: &WetLand, land: &Land) -> f64 {
    let ground = land.ground.as_deref().unwrap();
    let perforated = |(id, line): (&plan::LineId, &plan::Line)| {
        let parts = proposal.design.lines[id].pipe.iter().filter(|pipe| pipe.kind == PipeKind::Perforated);
        let path = |pipe: &design::Pipe| measure::part_of(&line.points, pipe.from_m, pipe.to_m);
        parts.map(move |pipe| (line.pattern == Pattern::Interceptor, path(pipe))).collect::<Vec<_>>()
    };
    let drains: Vec<(bool, Vec<Point>)> = proposal.plan.lines.iter().flat_map(perforated).collect();
    let dries = |place: &propose::Wet, (is_interceptor, path): &(bool, Vec<Point>)| {
        let off_m = away_m(place.at, path);
        let is_below = || {
            let (_, foot, _) = measure::nearest_on(path, place.at).unwrap();
            ground.elevation(place.at) < ground.elevation(foot)
        };
        off_m <= place.served_m || (*is_interceptor && off_m <= 3.0 * place.served_m && is_below())
    };
    wet.places.iter().filter(|place| drains.iter().any(|drain| dries(place, drain))).count() as f64 * wet.place_m2
}

/// What must be true of every layout on a ground.
fn held(real: &Real, found: &[Proposal], wet: &WetLand, land: &Land) {
    let ring = real.ring();
    for proposal in found {
        let told = format!("{}: {}", real.file, proposal.name);
        for (name, place) in places(&proposal.plan) {
            assert!(goes_round(&ring, place), "{told}: {name} leaves the land at {place:?}");
        }
        let pipe_m: f64 = proposal.plan.lines.values().map(|line| length_m(&line.points)).sum();
        assert!(
            (proposal.totals.pipe_m / pipe_m - 1.0).abs() < 0.02,
            "{told}: {} of {pipe_m} m",
            proposal.totals.pipe_m
        );
        let served_m2 = served_m2(proposal, wet, land);
        assert!(
            (served_m2 - proposal.served_m2).abs() <= 2.0 * wet.place_m2,
            "{told}: {served_m2} {}",
            proposal.served_m2
        );
        assert!(served_m2 > 0.0 && served_m2 <= proposal.wet_m2, "{told}");
        let to_fix = proposal.findings.iter().filter(|finding| finding.severity == Severity::Block);
        assert!(to_fix.into_iter().all(|finding| proposal.stays.contains_key(&finding.key)), "{told}");
        assert!(proposal.why_lines.len() == proposal.plan.lines.len(), "{told}");
        assert!(proposal.bound.is_none_or(|bound| (0.0..=1.0).contains(&bound.gap())), "{told}");
        let weight = |of: &Proposal| of.design.cost.dug + of.design.cost.pipe;
        let worse = |other: &Proposal| weight(other) < weight(proposal) && other.served_m2 >= proposal.served_m2;
        assert!(!found.iter().any(|other| worse(other) && other.to_fix() <= proposal.to_fix()), "{told} is idle");
    }
}

/// One row a layout: what the program tells of it.
fn tell(real: &Real, found: &[Proposal], seconds: f64) {
    let area_ha = 1e-4 * measure::ring_m2(&real.ring()).abs();
    println!("{} {area_ha:.1} ha: {seconds:.1} s", real.file);
    for one in found {
        let gap = one.bound.map_or("-".into(), |bound| format!("{:.1}", 100.0 * bound.gap()));
        println!(
            "    {:<24} {:>6.0} m {:>8.0} weight {:>6.2} of {:.2} ha {:>3} to fix, gap {gap} %",
            one.name,
            one.totals.pipe_m,
            one.weight(),
            one.served_m2 * 1e-4,
            one.wet_m2 * 1e-4,
            one.to_fix()
        );
    }
}

/// Layouts of a ground with its outlet, held and told; nothing in them is to fix.
fn tried(real: &Real, most_to_fix: usize) {
    let Some((plan, land)) = real.with_outlet() else { return };
    let begun = Instant::now();
    let found = propose(&plan, &land, 2).unwrap();
    tell(real, &found, begun.elapsed().as_secs_f64());
    held(real, &found, &WetLand::of(&plan, &land), &land);
    assert!(!found.is_empty() && found.iter().all(|one| one.to_fix() <= most_to_fix), "{}", real.file);
}

#[test]
fn soft_swales() {
    tried(&SLOPE, 0);
}

#[test]
fn pockets() {
    tried(&PATCHES, 0);
}

#[test]
fn a_long_slope() {
    tried(&HILLS, 0);
}

#[test]
fn a_block_of_a_catchment() {
    tried(&CATCHMENT, 0);
}

#[test]
fn a_strip_of_a_hilly_field() {
    tried(&STRIP, 0);
}

#[test]
fn a_field_of_closed_hollows() {
    tried(&FLAT, 0);
}

/// Levels of bad passes, metres off: whatever is proposed holds, and what stays to fix says why.
#[test]
fn bad_passes() {
    tried(&NOISY, 12);
}

/// The same with one thread and with two.
#[test]
fn threads_change_nothing() {
    let Some((plan, land)) = HILLS.with_outlet() else { return };
    let edits = |threads: usize| -> Vec<Edit> {
        propose(&plan, &land, threads).unwrap().into_iter().map(|one| one.edit).collect()
    };
    assert_eq!(edits(1), edits(2));
}

/// Without an outlet: one is offered where pipe can come out of the ground, or it is told where low ground leads off and how deep a
/// ditch there would have to be. On low ground without a ditch no pipe can come out: soil over it and freeboard are more than a foot.
#[test]
fn without_an_outlet() {
    for real in [&SLOPE, &PATCHES, &HILLS, &CATCHMENT, &FLAT] {
        let Some((plan, land)) = real.laid() else { continue };
        match propose(&plan, &land, 2) {
            Ok(found) => {
                held(real, &found, &WetLand::of(&plan, &land), &land);
                for outlet in found.iter().flat_map(|one| one.plan.outlets.values()) {
                    let bottom_m = land.ground.as_deref().unwrap().elevation(outlet.at).unwrap();
                    assert!(outlet.invert_m > bottom_m - 3.0 && outlet.invert_m < bottom_m + FOOT_M, "{}", real.file);
                }
                println!("{}: {} layouts to an outlet that is offered", real.file, found.len());
            }
            Err(why) => {
                assert!(matches!(why, NoLayout::Shallow(_)), "{}: {why}", real.file);
                let place = why.to_string();
                println!("{}: {place}", real.file);
                assert!(place.contains(" at ") && place.contains("place an outlet there"), "{place}");
            }
        }
    }
}
