//! How far one grade of a line or the invert of an outlet may go, in words, for the card and the command line alike.

use design::{End, Flattest, Leeway, LineDesign};
use plan::{Edit, LineId, OutletId, Plan};
use serde_json::{Value, json};

use crate::Tried;
use crate::grading;

/// The last figure of a printed level, metres.
pub fn level_step_m(plan: &Plan) -> f64 {
    plan.title.units.length_unit().metres() / 100.0
}

/// What grades a line may have from end to end: "L3 may have one grade from 0.14 % to 0.52 %…".
pub fn even(plan: &Plan, id: LineId, worked: &LineDesign, tried: &Tried) -> Vec<String> {
    let name = plan.lines.get(&id).map_or("", |line| line.name.as_str());
    let found = match tried {
        Ok(found) => found,
        Err(Some(clash)) => {
            let why = grading::why(plan, clash);
            return vec![format!("One grade for {name} from end to end holds no limits together: {why}.")];
        }
        Err(None) => return vec![format!("{name} has no grade that is allowed.")],
    };
    let units = plan.title.units;
    let carries = |grade: f64| {
        let least_m3s = worked.pipe.iter().map(|pipe| pipe.full_capacity_m3s(grade)).fold(f64::INFINITY, f64::min);
        let capacity_m3s = least_m3s * worked.even_factor;
        format!("{} ({})", units.grade(grade), grading::enough_for(plan, capacity_m3s))
    };
    let range = match found.from == found.to {
        true => carries(found.from),
        false => format!("{} to {}", carries(found.from), carries(found.to)),
    };
    let pipe = worked.size_words(units);
    let mut lines = vec![format!("{name}, as {pipe} pipe, may have one grade from end to end: {range}.")];
    lines.extend(ends(plan, found, ["Flatter", "Steeper"]));
    if plan.lines.get(&id).is_some_and(|line| line.size_by.is_flow()) {
        lines.push("Its size follows its flow: another grade may ask for another pipe.".into());
    }
    lines.push("Its start and the lines it joins may move within their limits for it.".into());
    lines
}

/// What inverts an outlet may have.
pub fn inverts(plan: &Plan, id: OutletId, tried: &Tried) -> Vec<String> {
    let (name, units) = (plan.outlets.get(&id).map_or("", |outlet| outlet.name.as_str()), plan.title.units);
    let found = match tried {
        Ok(found) => found,
        Err(Some(clash)) => {
            return vec![format!("No invert of {name} holds every limit: {}.", grading::why(plan, clash))];
        }
        Err(None) => return vec![format!("No line ends at {name}.")],
    };
    let (from, to) = (units.level(found.from), units.level(found.to));
    let range = if from == to { from } else { format!("{from} to {to}") };
    let mut lines = vec![format!("Inverts of {name} that hold every limit: {range} {}.", units.sign())];
    lines.extend(ends(plan, found, ["Lower", "Higher"]));
    lines
}

/// The grade that a person chose, `steepest`, `flattest` or one typed, and the edit that keeps a line at it from end to end; an error
/// where limits would not hold.
pub fn chosen(plan: &Plan, id: LineId, tried: &Tried, text: &str) -> Result<(f64, Edit), String> {
    let units = plan.title.units;
    let Ok(found) = tried else {
        return Err("there is no grade from end to end with which every limit holds".into());
    };
    let grade = match text.trim().to_lowercase().as_str() {
        "steepest" => found.to,
        "flattest" => found.from,
        text => measure::parse_grade(text).map_err(|error| format!("{error}, or 'steepest' or 'flattest'"))?,
    };
    // What is typed as it is printed is the end of the range, whatever the last bit of the product is.
    let within = (found.from * (1.0 - 1e-9)..=found.to * (1.0 + 1e-9)).contains(&grade);
    let edit = design::even_edit(plan, id, grade).filter(|_| within);
    edit.map(|edit| (grade, edit)).ok_or_else(|| {
        let (from, to) = (units.grade(found.from), units.grade(found.to));
        format!("{} from end to end does not hold every limit; expected {from} to {to}", units.grade(grade))
    })
}

/// What grades a line may have, for machines.
pub fn even_json(name: &str, tried: &Tried) -> Value {
    let percent = |grade: f64| grade * 100.0;
    json!({
        "line": name,
        "flattest_percent": tried.as_ref().ok().map(|found| percent(found.from)),
        "steepest_percent": tried.as_ref().ok().map(|found| percent(found.to)),
    })
}

/// What inverts an outlet may have, for machines.
pub fn inverts_json(name: &str, tried: &Tried) -> Value {
    json!({
        "outlet": name,
        "lowest_m": tried.as_ref().ok().map(|found| found.from),
        "highest_m": tried.as_ref().ok().map(|found| found.to),
    })
}

/// What ends a range, in sentences.
fn ends(plan: &Plan, found: &Leeway, [below, above]: [&str; 2]) -> Vec<String> {
    let units = plan.title.units;
    let end = |end: &End, further: &str| {
        Some(match end {
            End::Limits(low, high) => {
                let (low, high) = (grading::bound(plan, low, true), grading::bound(plan, high, false));
                format!("{further}, {low} and {high} leave no level between them.")
            }
            End::Joint(id) => {
                let name = plan.lines.get(id).map_or("a line", |line| line.name.as_str());
                format!("{further}, {name} does not reach its locked level.")
            }
            End::Flattest(Flattest::Flow) => format!("{further} does not carry the flow."),
            End::Flattest(Flattest::Silt) => format!("{further} does not carry silt."),
            End::Flattest(_) => {
                let speed = units.velocity(plan.criteria.clean_velocity_ms);
                format!("{further} does not keep the pipe clean: {speed} when full.")
            }
            End::Steepest => format!("{further} is more than the job allows."),
            End::OverWater => {
                let height = units.depth(plan.criteria.outlet_least_m);
                format!("{further} is less than {height} over the channel's bottom or low water.")
            }
            End::Open => return None,
        })
    };
    [end(&found.below, below), end(&found.above, above)].into_iter().flatten().collect()
}

#[cfg(test)]
mod tests {
    use measure::Units;
    use plan::Outlet;

    use super::*;
    use crate::Worked;

    /// The words between two markers of a sentence.
    fn between<'a>(text: &'a str, from: &str, to: &str) -> &'a str {
        text.split_once(from).and_then(|(_, rest)| rest.split_once(to)).map_or("", |(found, _)| found)
    }

    /// Both ends of every range as they are printed, read as a person types them, hold every limit; in feet and in metres.
    #[test]
    fn printed_ends_hold() {
        let session = crate::files::demo_session(crate::demo::second_plan()).unwrap();
        let land = session.land();
        for units in [Units::Feet, Units::Metric] {
            let mut plan = session.plan().clone();
            plan.title.units = units;
            let holds = |edit: &Edit| {
                let changed = plan.with(edit);
                Worked::of(changed, land).design.clashes.is_empty()
            };
            let derived = Worked::of(plan.clone(), land);
            let line = plan.line_named("L5").unwrap();
            let tried = derived.even_grades(line);
            let told = even(&plan, line, &derived.design.lines[&line], &tried).remove(0);
            let (flattest, steepest) = (between(&told, "end to end: ", " ("), between(&told, ") to ", " ("));
            for text in [flattest, steepest] {
                let (_, edit) = chosen(&plan, line, &tried, text).unwrap();
                assert!(holds(&edit), "{text} of {told}");
            }
            let id = *plan.outlets.keys().next().unwrap();
            let told = inverts(&plan, id, &derived.outlet_inverts(id)).remove(0);
            let (lowest, highest) = (between(&told, "limit: ", " to "), between(&told, " to ", " "));
            for text in [lowest, highest] {
                let invert_m = measure::parse_length(text, units).unwrap();
                let moved = Outlet { invert_m, ..plan.outlets[&id].clone() };
                assert!(holds(&plan::set_outlet(&plan, id, moved)), "{text} of {told}");
            }
        }
    }
}
