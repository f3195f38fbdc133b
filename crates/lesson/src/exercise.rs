//! Exercises with their answers: worked out by the program's own formulas, told so that a pupil can work them out by hand.

use hydraulics::{arch_m, discharge_ms, equivalent_depth_m, spacing_m};
use measure::{DAY_S, GALLON_M3, INCH_M, SQUARE_M_PER_ACRE, Units, capital, fixed, thousands};

use crate::figure::{conductivity, days, grade, land, length, rate, small};
use crate::given::Given;
use crate::grade::GRADES;
use crate::{MISTAKES, Topic};

/// An exercise.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Exercise {
    /// What is asked.
    pub asks: String,
    /// How it is worked out.
    pub working: String,
    /// What comes out.
    pub answer: String,
}

fn exercise(asks: impl Into<String>, working: impl Into<String>, answer: impl Into<String>) -> Exercise {
    Exercise { asks: asks.into(), working: working.into(), answer: answer.into() }
}

/// The exercises of a lesson, in the units of the class.
pub fn exercises(topic: Topic, units: Units) -> Vec<Exercise> {
    let given = Given::of(units);
    match topic {
        Topic::WhereWaterGoes => {
            vec![slope(given), run_off(given), coming_down(given), mistakes()]
        }
        Topic::UnderTheGround => {
            let first = [rise(given), draining(given)].into_iter();
            first.chain(grid(given)).chain([wider(given), limit(given)]).collect()
        }
        Topic::WhatGradeDoes => vec![at_grades(given), four_times(given), silt(given), dip(given)],
        Topic::GuessFirst => Vec::new(),
    }
}

fn slope(given: Given) -> Exercise {
    let (up_m, apart_m) = given.contours_m;
    let units = given.units;
    exercise(
        format!(
            "Two contours stand {} over each other and lie {} apart on the map. How steep is the ground between them?",
            length(up_m, units),
            length(apart_m, units)
        ),
        format!("{} ÷ {}", length(up_m, units), length(apart_m, units)),
        grade(up_m / apart_m),
    )
}

fn run_off(given: Given) -> Exercise {
    let (area_m2, units) = (given.land_m2[0], given.units);
    let volume_m3 = area_m2 * given.rain_m;
    let (working, answer) = if units.is_metric() {
        let working =
            format!("{} = {} m², times {} m", land(area_m2, units), thousands(area_m2, 0), fixed(given.rain_m, 3));
        (working, format!("{} m³", thousands(volume_m3, 0)))
    } else {
        let an_inch = thousands(SQUARE_M_PER_ACRE * INCH_M / GALLON_M3, 0);
        let working = format!("an inch of water on an acre is {an_inch} gal; times {}", land(area_m2, units));
        (working, format!("{} gal", thousands(volume_m3 / GALLON_M3, 0)))
    };
    let asks = format!(
        "{} drain to a swale. The soil is full, {} of rain falls, and all of it runs off. How much water comes down the swale?",
        land(area_m2, units),
        small(given.rain_m, units)
    );
    exercise(asks, working, answer)
}

fn coming_down(given: Given) -> Exercise {
    let (area_m2, coefficient_ms, units) = (given.land_m2[1], given.coefficient_ms[1], given.units);
    let told = units.drained(area_m2, coefficient_ms);
    let (working, answer) = told.split_once(" = ").unwrap_or((&told, ""));
    exercise(
        format!(
            "A block of {} is to lose {} through its main. What must the main carry?",
            land(area_m2, units),
            units.coefficient(coefficient_ms)
        ),
        working,
        answer,
    )
}

/// The plan with ten mistakes, which the Help menu opens.
fn mistakes() -> Exercise {
    let list = MISTAKES.iter().enumerate().map(|(k, (rule, words))| format!("{}. {words} (check {rule})", k + 1));
    exercise(
        "Open \"Ten mistakes to find\" in the Help menu. What is wrong with that plan?",
        "hold every line against the ground, the boundary and its neighbors; then look at the punch list",
        list.collect::<Vec<_>>().join("; "),
    )
}

fn rise(given: Given) -> Exercise {
    let ([tight, open], units) = (given.porosity, given.units);
    let rises = [tight, open].map(|porosity| small(given.water_m / porosity, units));
    let water = small(given.water_m, units);
    exercise(
        format!(
            "{water} of water stand above field capacity. How far does the water table rise where {} of the soil drains, and where {} does?",
            fixed(tight, 2),
            fixed(open, 2)
        ),
        format!("{water} ÷ {}; {water} ÷ {}", fixed(tight, 2), fixed(open, 2)),
        format!("{} and {}: the same rain, and the tight soil is wet to the roots", rises[0], rises[1]),
    )
}

fn draining(given: Given) -> Exercise {
    let ([low_ms, usual_ms], units) = (given.coefficient_ms, given.units);
    let times = [low_ms, usual_ms].map(|rate_ms| days(given.water_m / rate_ms / DAY_S));
    let water = small(given.water_m, units);
    let rates = [low_ms, usual_ms].map(|rate_ms| units.coefficient(rate_ms));
    exercise(
        format!(
            "If nothing but the pipe held it back, how long would these {water} take at {}, and at {}?",
            rates[0], rates[1]
        ),
        format!("{water} ÷ {}; {water} ÷ {}", rates[0], rates[1]),
        format!("{}; {}", times[0], times[1]),
    )
}

/// What the formula of a grid is told with.
fn soil_words(given: Given) -> String {
    let units = given.units;
    format!(
        "clay loam that lets {} through, drains {} deep, a tight layer at {}",
        conductivity(given.conductivity_ms, units),
        length(given.depth_m, units),
        length(given.tight_m, units)
    )
}

fn grid(given: Given) -> Option<Exercise> {
    let (units, soil, rate_ms) = (given.units, given.soil(1.0), given.coefficient_ms[0]);
    let spacing = spacing_m(soil, rate_ms, given.arch_m())?;
    let depth_m = equivalent_depth_m(soil.tight_below_m, spacing, soil.radius_m);
    let rows_m = 3.0 * given.row_m;
    let arch = arch_m(soil, rate_ms, rows_m);
    Some(exercise(
        format!(
            "{}. At {} the water table is to stand {} deep midway. How far apart may the pipes lie, and how deep does the water stand with a pipe in every third middle, {}?",
            capital(&soil_words(given)),
            units.coefficient(rate_ms),
            length(given.wanted_m, units),
            length(rows_m, units)
        ),
        format!(
            "q L² = 8 K d h + 4 K h², with h = {} and the equivalent depth d = {}",
            length(given.arch_m(), units),
            units.depth(depth_m)
        ),
        format!(
            "{}; in every third middle the arch stands {} over the pipes, and the water {} deep ({})",
            units.depth(spacing),
            units.depth(arch),
            units.depth(given.depth_m - arch),
            small_whole(given.depth_m - arch, units)
        ),
    ))
}

fn wider(given: Given) -> Exercise {
    let (units, rate_ms, rows_m) = (given.units, given.coefficient_ms[0], 4.0 * given.row_m);
    let [arch, easier] = [1.0, 2.0].map(|times| arch_m(given.soil(times), rate_ms, rows_m));
    exercise(
        format!(
            "The same soil with a pipe in every fourth middle, {}. Does it do? And if a second pit shows twice the conductivity, {}?",
            length(rows_m, units),
            conductivity(2.0 * given.conductivity_ms, units)
        ),
        "the same formula with the wider spacing, solved for h",
        format!(
            "No: the arch stands {} over the pipes, and the water only {} deep midway. With twice the conductivity it stands {} deep, and the wider grid does: so much hangs on one pit",
            units.depth(arch),
            units.depth(given.depth_m - arch),
            units.depth(given.depth_m - easier)
        ),
    )
}

fn limit(given: Given) -> Exercise {
    let (units, rows_m, falls) = (given.units, 3.0 * given.row_m, GRADES[2]);
    let soil_ms = discharge_ms(given.soil(1.0), given.arch_m(), rows_m);
    let pipe = given.pipe.at(falls);
    let comes_m3s = soil_ms * rows_m * given.lateral_m;
    let [comes, carries] = [comes_m3s, pipe.flow_m3s].map(|flow_m3s| units.flow(flow_m3s));
    exercise(
        format!(
            "In that grid a {} lateral, {} long, lies at {}. The soil gives it {}. Which of the two holds the water back, soil or pipe?",
            units.pipe(given.pipe.inside_m),
            length(given.lateral_m, units),
            grade(falls),
            rate(soil_ms, units)
        ),
        format!(
            "what comes: {} × {} × {}; what the pipe carries at {}: see \"What grade does\"",
            rate(soil_ms, units),
            length(rows_m, units),
            length(given.lateral_m, units),
            grade(falls)
        ),
        format!("{comes} come and {carries} would pass: the soil is the limit, not the pipe"),
    )
}

fn at_grades(given: Given) -> Exercise {
    let (units, pipe) = (given.units, given.pipe);
    let told = pipe.at_grades().map(|at| {
        format!(
            "{}: {}, {}, {}",
            grade(at.grade),
            units.flow(at.flow_m3s),
            units.velocity(at.velocity_ms),
            land(at.land_m2, units)
        )
    });
    let (k, unit, by_land) = if units.is_metric() { ("1", "meters", "8.64") } else { ("1.486", "feet", "23.8") };
    exercise(
        format!(
            "A pipe of {}, n {}, lies at 0.1, 0.2, 0.5, 1 and 2 %. What does it carry when it is full, how fast, and how much land is that at {}?",
            units.pipe(pipe.inside_m),
            fixed(pipe.roughness_n(), 3),
            units.coefficient(pipe.coefficient_ms)
        ),
        format!(
            "speed = {k} ÷ n × (D ÷ 4)^(2/3) × √grade, D in {unit}; flow = speed × π D² ÷ 4; land = flow × {by_land} ÷ {}",
            units.coefficient(pipe.coefficient_ms)
        ),
        told.join("; "),
    )
}

fn four_times(given: Given) -> Exercise {
    let (units, pipe) = (given.units, given.pipe);
    let [flat, steep] = [pipe.at(GRADES[2]), pipe.at(GRADES[4])];
    exercise(
        format!(
            "From {} to {} the grade is four times as steep. How much more does the pipe carry?",
            grade(flat.grade),
            grade(steep.grade)
        ),
        format!("{} ÷ {}; √4", units.flow(steep.flow_m3s), units.flow(flat.flow_m3s)),
        format!(
            "{} times as much: flow grows with the square root of the grade",
            fixed(steep.flow_m3s / flat.flow_m3s, 0)
        ),
    )
}

fn silt(given: Given) -> Exercise {
    let (units, pipe) = (given.units, given.pipe);
    let clears: Vec<String> = pipe.at_grades().iter().filter(|at| at.clears_silt).map(|at| grade(at.grade)).collect();
    let line = units.velocity(crate::silt_velocity_ms());
    exercise(
        format!(
            "At which of the five grades does the pipe carry its silt out, which takes {line}? From which grade on?"
        ),
        format!("grade = (speed × n ÷ ({}(D ÷ 4)^(2/3)))²", if units.is_metric() { "" } else { "1.486 × " }),
        format!("at {}; from {} on", clears.join(" and "), grade(pipe.silt_grade())),
    )
}

fn dip(given: Given) -> Exercise {
    let units = given.units;
    let dip = given.dip();
    exercise(
        format!(
            "A pipe at {} has sunk {} in the middle of {}. How deep does water stand there?",
            grade(dip.grade),
            small(dip.sunk_m, units),
            length(2.0 * dip.half_m, units)
        ),
        format!(
            "the lip lies {} × {} under where the middle was laid; {} less that",
            grade(dip.grade),
            length(dip.half_m, units),
            small(dip.sunk_m, units)
        ),
        format!("{}, all year round", precise(dip.standing_m(), units)),
    )
}

/// A depth in a pipe, told finely: `0.88 in`, `22 mm`.
fn precise(depth_m: f64, units: Units) -> String {
    if units.is_metric() { small(depth_m, units) } else { format!("{} in", fixed(depth_m / INCH_M, 2)) }
}

/// A depth in whole small units: `20 in`, `497 mm`.
fn small_whole(depth_m: f64, units: Units) -> String {
    if units.is_metric() { small(depth_m, units) } else { format!("{} in", fixed(depth_m / INCH_M, 0)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(topic: Topic, k: usize) -> String {
        let exercise = &exercises(topic, Units::Feet)[k];
        format!("{} {} {}", exercise.asks, exercise.working, exercise.answer)
    }

    /// The class hour as it was worked out by hand (own arithmetic): rise of the table, days to drain.
    #[test]
    fn a_rain_raises_tight_soil_farther_and_the_pipe_takes_it_in_days() {
        let rise = said(Topic::UnderTheGround, 0);
        assert!(rise.contains("1.2 in of water") && rise.contains("24 in and 10 in"), "{rise}");
        let days = said(Topic::UnderTheGround, 1);
        assert!(days.contains("at 3/8 in/day, and at 1/2 in/day") && days.contains("3.2 days; 2.4 days"), "{days}");
    }

    /// A grid fitted to rows (own arithmetic with the closed form of [ILRI16]): 28.90 ft, and what third and fourth middles do.
    #[test]
    fn a_grid_in_clay_loam() {
        let grid = said(Topic::UnderTheGround, 2);
        for figure in ["0.694 ft/day", "28.90 ft", "d = 1.35 ft", "27 ft", "1.84 ft over", "1.66 ft deep (20 in)"] {
            assert!(grid.contains(figure), "{figure}: {grid}");
        }
        let wider = said(Topic::UnderTheGround, 3);
        for figure in ["36 ft", "2.61 ft over", "0.89 ft deep", "1.388 ft/day", "1.90 ft deep"] {
            assert!(wider.contains(figure), "{figure}: {wider}");
        }
        assert!(said(Topic::UnderTheGround, 4).ends_with("the soil is the limit, not the pipe"));
    }

    /// Hooghoudt turned round: what the soil gives at the spacing that was asked for is the coefficient.
    #[test]
    fn the_soil_gives_the_coefficient_at_its_spacing() {
        for units in [Units::Feet, Units::Metric] {
            let given = Given::of(units);
            let spacing = spacing_m(given.soil(1.0), given.coefficient_ms[0], given.arch_m()).expect("a spacing");
            let back_ms = discharge_ms(given.soil(1.0), given.arch_m(), spacing);
            assert!((back_ms / given.coefficient_ms[0] - 1.0).abs() < 1e-9, "{back_ms}");
        }
    }

    /// Flow, speed and land at five grades as printed for the class hour; 0.55 % clears silt.
    #[test]
    fn five_grades() {
        let told = said(Topic::WhatGradeDoes, 0);
        for row in [
            "0.1 %: 0.052 cfs, 0.60 ft/s, 2.5 ac",
            "0.2 %: 0.074 cfs, 0.85 ft/s, 3.5 ac",
            "0.5 %: 0.117 cfs, 1.34 ft/s, 5.6 ac",
            "1 %: 0.165 cfs, 1.89 ft/s, 7.9 ac",
            "2 %: 0.233 cfs, 2.67 ft/s, 11.1 ac",
        ] {
            assert!(told.contains(row), "{row}: {told}");
        }
        assert!(said(Topic::WhatGradeDoes, 1).contains("2 times as much"));
        assert!(said(Topic::WhatGradeDoes, 2).ends_with("at 1 % and 2 %; from 0.55 % on"));
    }

    /// The main of a sketch on 5.6 acres at half an inch, and an inch on an acre in gallons (by the units).
    #[test]
    fn water_of_the_land() {
        assert!(
            said(Topic::WhereWaterGoes, 1).contains("27,154 gal")
                && said(Topic::WhereWaterGoes, 1).contains("46,162 gal")
        );
        assert!(said(Topic::WhereWaterGoes, 2).contains("5.6 ac × 1/2 in/day ÷ 23.8 0.118 cfs"));
    }

    #[test]
    fn a_metric_class_reads_no_feet_and_round_figures() {
        for exercise in Topic::READY.into_iter().flat_map(|topic| exercises(topic, Units::Metric)) {
            let all = format!("{} {} {}", exercise.asks, exercise.working, exercise.answer);
            for sign in [" ft", "in/day", " ac", "gal", "cfs", "1.486"] {
                assert!(!all.contains(sign), "{sign}: {all}");
            }
        }
        let rise = &exercises(Topic::UnderTheGround, Units::Metric)[0];
        assert!(rise.answer.starts_with("600 mm and 250 mm"), "{}", rise.answer);
    }

    #[test]
    fn every_ready_lesson_has_exercises_with_all_their_parts() {
        for topic in Topic::READY {
            for units in [Units::Feet, Units::Metric] {
                let all = exercises(topic, units);
                let whole =
                    |one: &Exercise| ![&one.asks, &one.working, &one.answer].iter().any(|part| part.is_empty());
                assert!(all.len() >= 4 && all.iter().all(whole), "{topic:?}");
            }
        }
    }
}
