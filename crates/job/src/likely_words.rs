//! Likely courses of old tile in words and for machines.

use measure::{LengthUnit, Units, path_length};
use plan::Plan;
use record::{Likely, ToProbe, Why, WhyThere};
use serde_json::{Value, json};

use crate::entering::place_words;

/// Why a course is likely.
fn why(likely: &Likely, plan: &Plan) -> String {
    let units = plan.title.units;
    match &likely.why {
        Why::LowGround => "along the low ground".into(),
        Why::Beside(lines, spacing_m) => {
            let names: Vec<&str> = lines.iter().filter_map(|id| Some(plan.lines.get(id)?.name.as_str())).collect();
            let spacing = spacing_m.map(|m| format!(", {} apart", units.length(m))).unwrap_or_default();
            format!("straight, beside {}{spacing}", names.join(" and "))
        }
    }
}

/// A course in one line: why, how long, how far aside it may lie.
pub fn course(likely: &Likely, plan: &Plan) -> String {
    let units = plan.title.units;
    let (least_m, most_m) = (likely.aside_m.iter().copied().fold(f64::INFINITY, f64::min), likely.widest_m());
    let length = units.length(path_length(&likely.points));
    format!("{}, {length}; it may lie {} to {} aside", why(likely, plan), units.length(least_m), units.length(most_m))
}

/// A place to probe in one line.
pub fn probe(probe: &ToProbe, plan: &Plan) -> String {
    let units = plan.title.units;
    let why = match probe.why {
        WhyThere::Crosses(id, station_m) => {
            let name = plan.lines.get(&id).map_or("", |line| line.name.as_str());
            format!("the trench of {name} crosses it at {}", measure::station(station_m, units))
        }
        WhyThere::Part(off_m) => format!("the likely courses part by {} there", units.length(off_m)),
        WhyThere::Widest => "it is least sure there".into(),
    };
    let (along, aside) = (units.length(probe.along_m), units.length(probe.aside_m));
    let place = place_words(probe.at, across(plan));
    format!("{along} along, {aside} to each side, at {place}: {why}")
}

fn across(plan: &Plan) -> LengthUnit {
    crate::ground::plane(plan).unit()
}

/// All of it as lines of text.
pub fn text_lines(all: &[Likely], probes: &[ToProbe], plan: &Plan) -> Vec<String> {
    let mut text: Vec<String> =
        all.iter().enumerate().map(|(i, likely)| format!("{}. {}.", i + 1, course(likely, plan))).collect();
    text.push("Probe first:".into());
    text.extend(probes.iter().map(|place| format!("  {}", probe(place, plan))));
    text.push("A guess from the ground and from what is drawn: no line is there before it was seen.".into());
    text
}

/// The same for machines: metric, the unit in each key, places in the plan's system in metres.
pub fn as_json(all: &[Likely], probes: &[ToProbe], plan: &Plan) -> Value {
    let course = |likely: &Likely| {
        json!({
            "why": why(likely, plan),
            "length_m": path_length(&likely.points),
            "points_m": likely.points.iter().map(|at| [at.x, at.y]).collect::<Vec<_>>(),
            "aside_m": likely.aside_m,
        })
    };
    let place = |place: &ToProbe| {
        json!({
            "at_m": [place.at.x, place.at.y],
            "along_m": place.along_m,
            "aside_m": place.aside_m,
            "text": probe(place, plan),
        })
    };
    json!({
        "caution": plan::CAUTION,
        "courses": all.iter().map(course).collect::<Vec<_>>(),
        "probes": probes.iter().map(place).collect::<Vec<_>>(),
    })
}

/// What the edit that draws the likeliest course says, with the place to probe first.
pub fn label(likely: &Likely, probes: &[ToProbe], plan: &Plan) -> String {
    let name = plan.free_name("T");
    let first = probes.first().map(|place| format!(". Probe first {}", probe(place, plan))).unwrap_or_default();
    format!("Draw {name} as suspected: {}{first}", course(likely, plan))
}

/// Why there is none.
pub fn none(units: Units) -> String {
    format!(
        "No course is likely from there: found no low ground that gathers {} above it, and no old line beside it.",
        units.area(record::LEAST_LAND_M2)
    )
}
