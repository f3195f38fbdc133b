//! How the demo fields dry.

use hydraulics::Estimate;
use job::dry::{Answer, Ask, DryError, dry};
use job::{Progress, Worked, demo, ground};
use plan::LandmarkKind;

/// The demo field on level ground with drains all over, worked out.
fn worked(change: impl FnOnce(&mut plan::Plan)) -> Worked {
    let mut plan = demo::second_plan().unwrap_or_else(|error| panic!("{error}"));
    let land = ground::open_plan(&plan, None, &Progress::default());
    change(&mut plan);
    Worked::of(plan, &land.unwrap_or_else(|error| panic!("{error}")))
}

/// So few cells that a test is quick.
fn ask(worked: &Worked, days: usize) -> Ask {
    Ask { cells: 1_500, ..Ask::rain(&worked.plan, 0.03, days, 0.002) }
}

fn answer(worked: &Worked, ask: &Ask, threads: usize) -> Answer {
    dry(worked, ask, threads, &Progress::default()).unwrap_or_else(|error| panic!("{error}"))
}

/// No drain makes land wetter, no range is upside down, no water is lost; threads change nothing.
#[test]
fn drained_land_is_dry_sooner() {
    let worked = worked(|_| {});
    let ask = ask(&worked, 6);
    let found = answer(&worked, &ask, 1);
    // As text, for a cell outside the field is no number, which equals nothing.
    let same = format!("{found:?}") == format!("{:?}", answer(&worked, &ask, 3));
    assert!(same, "threads change the answer");
    let [bare, drained] = &found.cases[..] else { panic!("{:?}", found.cases.len()) };
    let in_order = |days: Estimate| days.low <= days.likely && days.likely <= days.high && days.high <= 6.0 + 1e-9;
    for (bare, drained) in bare.wet.iter().zip(&drained.wet) {
        for (bare, drained) in [(bare.roots, drained.roots), (bare.tractor, drained.tractor)] {
            assert!(in_order(bare) && in_order(drained), "{bare:?} {drained:?}");
            assert!(drained.likely <= bare.likely + 0.1 && drained.low < bare.low, "{bare:?} {drained:?}");
        }
    }
    for case in &found.cases {
        assert!(case.likely.balance.off() < 1e-8, "{:?}", case.likely.balance);
    }
    assert_eq!(bare.likely.balance.drained_m3, 0.0);
    assert!(drained.likely.balance.drained_m3 > 0.1 * drained.likely.balance.rain_m3);
}

/// What is told says what it is, for whom, and never promises.
#[test]
fn the_answer_is_an_estimate_in_plain_words() {
    let worked = worked(|_| {});
    let found = answer(&worked, &ask(&worked, 3), 2);
    for units in [measure::Units::Metric, measure::Units::Feet] {
        let text = found.lines(units).join("\n");
        for part in [
            "without drains",
            "as it is now",
            "the whole field",
            "roots wet",
            "a tractor can go after",
            "An estimate",
        ] {
            assert!(text.contains(part), "{part}: {text}");
        }
        assert!(text.contains("Drained soil is not dry soil"), "{text}");
    }
    assert!(found.lines(measure::Units::Feet)[0].starts_with("1.18 in. of rain, 3 days;"));
    assert!(found.json()["caution"].as_str().is_some_and(|text| text.contains("estimate")));
}

#[test]
fn what_is_missing_is_told() {
    let asked = |worked: &Worked, ask: &Ask| dry(worked, ask, 1, &Progress::default()).unwrap_err().to_string();
    let no_soil = worked(|plan| {
        plan.landmarks.retain(|_, mark| !matches!(mark.kind, LandmarkKind::Pit(_)));
        plan.brief.texture = None;
    });
    assert!(asked(&no_soil, &ask(&no_soil, 2)).contains("nothing is known of the soil"));
    let no_field = worked(|plan| plan.field = None);
    assert!(asked(&no_field, &ask(&no_field, 2)).contains("no field boundary"));
    let whole = worked(|_| {});
    let other = Ask { layouts: Some(vec!["swales only".into()]), ..ask(&whole, 2) };
    assert!(asked(&whole, &other).contains("'swales only'; expected nothing"));
    let stopped = Progress::default();
    stopped.stop();
    assert_eq!(dry(&whole, &ask(&whole, 2), 1, &stopped).unwrap_err(), DryError::Stopped);
}

/// Land left out of the field is in neither its cells nor the size that is told.
#[test]
fn land_left_out_is_not_counted() {
    let hole = |plan: &mut plan::Plan| {
        let field = plan.field.as_mut().unwrap_or_else(|| panic!("a field"));
        let at = field.middle();
        let corners = [(-30.0, -20.0), (-30.0, 20.0), (30.0, 20.0), (30.0, -20.0)];
        field.holes.push(corners.map(|(x, y)| measure::Point::new(at.x + x, at.y + y)).to_vec());
    };
    let area_m2 = |worked: &Worked| {
        let found = answer(worked, &ask(worked, 1), 2);
        found.areas.iter().find(|area| area.name == "the whole field").map_or(0.0, |area| area.area_m2)
    };
    let (whole, less) = (area_m2(&worked(|_| {})), area_m2(&worked(hole)));
    assert!((whole - less - 60.0 * 40.0).abs() < 1e-6, "{whole} {less}");
}
