//! Every sentence of every finding, on hundreds of plans with mistakes and on real ground: figures that say something,
//! limits that are those of the job, no sentence that says its own opposite.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "helpers of tests may stop the test")]

use std::collections::BTreeSet;

use crate::common;
use crate::mutants::{Place, demo_fields, drawn, for_each, small_plans, with_mistakes};
use checks::Finding;
use land::{Land, Laying};
use measure::{LengthUnit, Point, Units};
use plan::{Field, Joins, LineKind, Outlet, Plan};
use terrain::Ground;

/// Signs of units behind a figure.
const SIGNS: [&str; 19] = [
    "ft", "in", "m", "mm", "%", "°", "ft/s", "m/s", "cfs", "L/s", "ft²", "m²", "ac", "ha", "yd³", "m³", "in/day",
    "mm/day", "points",
];
/// Words that hold one figure against another.
const AGAINST: [&str; 12] = [
    "only",
    "wanted",
    "at least",
    "at most",
    "no more than",
    "more than",
    "less than",
    "limit",
    "no less",
    "asks for",
    "allowed",
    "guide",
];

/// Everything that is said of a finding.
fn sentences(finding: &Finding) -> Vec<String> {
    let places = finding.places.iter().map(|place| place.text.clone());
    let remedies = finding.tried.iter().flat_map(|tried| &tried.remedies).map(|edit| edit.label.clone());
    let said = [finding.title.clone(), finding.message.clone(), finding.advice.clone(), finding.text()];
    said.into_iter().chain(finding.amount.clone()).chain(places).chain(remedies).collect()
}

/// The words of a text without the marks at their ends.
fn words(text: &str) -> Vec<&str> {
    text.split(' ').map(|word| word.trim_matches(|c: char| ",;:.()\"?!".contains(c))).collect()
}

/// Figures with their units: "0.38 ft".
fn amounts(text: &str) -> Vec<String> {
    let words = words(text);
    let is_figure = |word: &str| word.trim_start_matches(['-', '−', '+']).parse::<f64>().is_ok();
    let pairs = words.windows(2).filter(|pair| is_figure(pair[0]) && SIGNS.contains(&pair[1]));
    let pairs = pairs.map(|pair| format!("{} {}", pair[0], pair[1]));
    let joined = words.iter().filter(|word| word.ends_with('°')).map(|word| word.to_string());
    pairs.chain(joined).collect()
}

/// What is wrong with a sentence.
fn faults(text: &str) -> Vec<String> {
    let mut faults = Vec::new();
    let words = words(text);
    let figure =
        |amount: &String| amount.trim_end_matches('°').split(' ').next().unwrap().replace('−', "-").parse::<f64>();
    if amounts(text).iter().any(|amount| figure(amount).is_ok_and(|value| value == 0.0)) {
        faults.push("an amount of nothing".into());
    }
    if words.iter().any(|word| ["inf", "-inf", "NaN", "nan"].contains(word)) {
        faults.push("no number".into());
    }
    if text.contains("  ") || text != text.trim() || text.contains(" .") || text.contains("..") || text.contains(" ,")
    {
        faults.push("spaces or stops".into());
    }
    for pair in words.windows(4).filter(|four| four[0] == "from" && four[2] == "to") {
        if pair[1] == pair[3] {
            faults.push(format!("an empty stretch {} to {}", pair[1], pair[3]));
        }
    }
    let negative = |amount: &&String| amount.starts_with(['-', '−']);
    // Corrections of a survey are signed; nothing else is.
    let is_correction = text.contains("orrect ") || text.contains("hift ");
    faults.extend(amounts(text).iter().filter(negative).filter(|_| !is_correction).map(|a| format!("negative {a}")));
    if text.contains("-0 ") || text.contains("-0.0 ") || text.contains("-0.00 ") {
        faults.push("minus nothing".into());
    }
    faults.extend(text.split(". ").filter_map(opposite));
    faults
}

/// A found figure that prints as the limit that it misses.
fn opposite(sentence: &str) -> Option<String> {
    if !AGAINST.iter().any(|word| format!(" {sentence} ").contains(&format!(" {word} "))) {
        return None;
    }
    // A third figure, or another wall, tells two equal ones apart.
    let amounts = amounts(sentence);
    let alike = amounts.len() > 1 && amounts.iter().all(|amount| *amount == amounts[0]);
    (alike && !sentence.contains("corrugated")).then(|| format!("{} against itself", amounts[0]))
}

fn told(place: &Place) -> Vec<Finding> {
    let worked = place.work_out(place.plan.clone());
    worked.tried().to_vec()
}

fn all_say_something(places: &[Place]) {
    let mut wrong = BTreeSet::new();
    let mut count = 0;
    let of = |place: &Place| {
        let found = told(place);
        let said: Vec<(String, String)> =
            found.iter().flat_map(|f| sentences(f).into_iter().map(|text| (f.key.clone(), text))).collect();
        (place.name.clone(), said)
    };
    for (name, said) in for_each(places, of) {
        count += said.len();
        for (key, text) in said {
            wrong.extend(faults(&text).into_iter().map(|fault| format!("{name}: {key}: {fault}: {text}")));
        }
    }
    println!("{} plans, {count} sentences", places.len());
    assert!(wrong.is_empty(), "{} of {count}:\n{}", wrong.len(), wrong.into_iter().collect::<Vec<_>>().join("\n"));
    assert!(count > 20 * places.len(), "{count} sentences of {} plans", places.len());
}

#[test]
fn sentences_say_something() {
    let places = [with_mistakes(&demo_fields(), 20), with_mistakes(&small_plans(), 100)].concat();
    all_say_something(&places);
}

/// The grids lie beside the project; where they are absent this test says so and passes.
#[test]
fn sentences_say_something_on_real_ground() {
    let grids = ["ia_slope_s_3m", "ia_patches_h_3m", "slo_hills_1m"];
    let places: Vec<Place> = grids.iter().filter_map(|name| real(name)).collect();
    if !places.is_empty() {
        all_say_something(&with_mistakes(&places, 4));
    }
}

/// A comb of lines over the middle of a real grid.
fn real(name: &str) -> Option<Place> {
    let grid = common::ground(name)?;
    let middle = (grid.cols() / 2, grid.rows() / 2);
    let half = |cells: usize, cell_m: f64| ((200.0 / cell_m) as usize).min(cells / 2);
    let (wide, high) = (half(grid.cols(), grid.cell_m().0), half(grid.rows(), grid.cell_m().1));
    let window = terrain::Window { col: middle.0 - wide, row: middle.1 - high, cols: 2 * wide, rows: 2 * high };
    let ground = Ground::from_grid(grid.crop(window).unwrap());
    let (low, high) = ground.grid().extent();
    let at = |x: f64, y: f64| (low.x + (high.x - low.x) * x, low.y + (high.y - low.y) * y);
    let mut plan = Plan::new(name, Units::Feet);
    let place = at(0.2, 0.5);
    let level_m = ground.elevation(Point::new(place.0, place.1))?;
    let outlet =
        Outlet { low_water_m: Some(level_m - 1.8), ..Outlet::new("O1", Point::new(place.0, place.1), level_m - 1.2) };
    let (outlet, edit) = plan::place_outlet(&plan, outlet);
    plan.apply(&edit).unwrap();
    let main = drawn(&mut plan, "M1", LineKind::Main, &[place, at(0.8, 0.5)], Joins::Outlet(outlet));
    for (i, x) in [0.3, 0.45, 0.6, 0.75].into_iter().enumerate() {
        let y = if i % 2 == 0 { 0.75 } else { 0.25 };
        drawn(&mut plan, &format!("L{}", i + 1), LineKind::Lateral, &[at(x, 0.5), at(x, y)], Joins::Line(main));
    }
    let ring = [at(0.1, 0.1), at(0.9, 0.1), at(0.9, 0.9), at(0.1, 0.9)].map(|(x, y)| Point::new(x, y));
    plan.field = Some(Field { ring: ring.to_vec(), holes: Vec::new() });
    let land = Land::of(ground, LengthUnit::Metre, &Laying::PLAIN).unwrap();
    Some(Place { name: name.into(), plan, land })
}

/// A limit changed for the job is the one that is named: what was named as the limit before is not any more.
#[test]
fn limits_named_are_those_of_the_job() {
    let places = with_mistakes(&small_plans(), 12);
    let wrong: BTreeSet<String> = for_each(&places, limits_of).into_iter().flatten().collect();
    assert!(wrong.is_empty(), "{}:\n{}", wrong.len(), wrong.into_iter().collect::<Vec<_>>().join("\n"));
}

fn limits_of(place: &Place) -> Vec<String> {
    let before = place.work_out(place.plan.clone()).findings;
    let units = place.plan.title.units;
    let mut wrong = Vec::new();
    // What a line flattens to may well be the easing that does no matter: the sentence names what was found, not the limit.
    let named = plan::LIMITS.iter().filter(|limit| limit.name != "easing_least");
    for limit in named.filter(|limit| before.iter().any(|f| limit.checks.contains(&f.check))) {
        let old = (limit.value)(&place.plan.criteria);
        for factor in [0.93, 1.07] {
            let mut plan = place.plan.clone();
            (limit.set)(&mut plan.criteria, old * factor);
            let (former, now) = (limit.words(old, units), limit.words(old * factor, units));
            let after = place.work_out(plan).findings;
            // What was found may well be what the limit was, to the digit: the sentence names the find.
            let is_found = |finding: &Finding| {
                let is_old = |excess: f64| {
                    [1.0 + excess, 1.0 - excess].iter().any(|share| (factor * share - 1.0).abs() < 0.005)
                };
                finding.excess.is_some_and(is_old)
            };
            for finding in after.iter().filter(|finding| limit.checks.contains(&finding.check)) {
                let then = before.iter().find(|other| other.key == finding.key);
                let said =
                    |finding: &Finding| amounts(&format!("{} {}", finding.message, finding.advice)).contains(&former);
                if former != now && then.is_some_and(said) && said(finding) && !is_found(finding) {
                    wrong.push(format!(
                        "{}: {} {factor}: {former} and not {now}: {}",
                        place.name, limit.name, finding.message
                    ));
                }
            }
        }
    }
    wrong
}
