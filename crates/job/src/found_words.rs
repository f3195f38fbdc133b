//! The choices on old tile in words and for machines: the same cells for the window and the command line.

use checks::{Finding, Severity};
use measure::Units;
use plan::{Decision, Plan, Running};
use record::{Enters, Fit, Room};
use serde_json::{Value, json};

use crate::found::{Weighed, Weighing};

/// A row of the table of choices: what it tells, and one cell a choice.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What it tells.
    pub what: &'static str,
    /// The cells, in the order of the choices.
    pub cells: Vec<String>,
}

/// What a choice is called.
pub fn title(weighed: &Weighed, units: Units) -> String {
    let name = match weighed.choice.what {
        Decision::Join => "Tie in and stop here",
        Decision::Bridge => "Cross and keep apart",
        Decision::Replace => "Replace",
        Decision::Bypass => "Bypass",
        Decision::Plug => "Plug",
    };
    match weighed.larger_m {
        Some(size_m) => format!("{name}, {} below", units.pipe(size_m)),
        None => name.into(),
    }
}

/// The table under the names of the choices.
pub fn rows(weighing: &Weighing, plan: &Plan) -> Vec<Row> {
    let units = plan.title.units;
    let row =
        |what, cell: &dyn Fn(&Weighed) -> String| Row { what, cells: weighing.choices.iter().map(cell).collect() };
    vec![
        row("Level", &|weighed| level(weighed, units)),
        row("Fullest pipe below", &full),
        row("New pipe", &|weighed| more_length(weighed.more_m, units)),
        row("Money", &|weighed| weighed.money.clone()),
        row("New findings", &|weighed| counted(&weighed.comes)),
        row("Findings cleared", &|weighed| counted(&weighed.goes)),
    ]
}

/// How the level stands, in a few words.
fn level(weighed: &Weighed, units: Units) -> String {
    let Some(fit) = &weighed.fit else { return "not known".into() };
    match weighed.choice.what {
        Decision::Join => entry_word(fit).into(),
        Decision::Replace => "starts at the center".into(),
        Decision::Bridge if fit.clear_m < design::CROSSING_CLEAR_M => "too close".into(),
        Decision::Bridge => format!("{} clear", units.depth(fit.clear_m)),
        Decision::Bypass | Decision::Plug => "–".into(),
    }
}

fn entry_word(fit: &Fit) -> &'static str {
    match fit.entry {
        Enters::Fits => "fits",
        Enters::FitsWithDrop => "fits, with a riser bend",
        Enters::Low => "a little low",
        Enters::TooLow => "too low",
    }
}

fn percent(room: Option<Room>) -> String {
    room.map_or("–".into(), |room| match room.share() {
        share if share.is_finite() => format!("{} %", measure::fixed(share * 100.0, 0)),
        _ => "carries nothing".into(),
    })
}

/// How full the fullest pipe below is before and after.
fn full(weighed: &Weighed) -> String {
    let (least, most) = (percent(weighed.after.0), percent(weighed.after.1));
    let after = if least == most { least } else { format!("{} to {most}", least.trim_end_matches(" %")) };
    format!("{} → {after}", percent(weighed.before))
}

fn more_length(more_m: f64, units: Units) -> String {
    let told = units.length(more_m.abs());
    match more_m {
        more if more > 0.05 => format!("+{told}"),
        more if more < -0.05 => format!("−{told}"),
        _ => "as planned".into(),
    }
}

/// "1 to fix, 2 notes".
fn counted(findings: &[Finding]) -> String {
    let of = |weight: Severity| findings.iter().filter(|finding| finding.severity == weight).count();
    let parts = [
        (of(Severity::Block), "to fix".to_string()),
        (of(Severity::Decide), "to decide".to_string()),
        (of(Severity::Note), if of(Severity::Note) == 1 { "note".into() } else { "notes".to_string() }),
    ];
    let told: Vec<String> =
        parts.iter().filter(|(count, _)| *count > 0).map(|(count, word)| format!("{count} {word}")).collect();
    if told.is_empty() { "none".into() } else { told.join(", ") }
}

/// What is known of the find, in lines.
pub fn head(weighing: &Weighing, plan: &Plan) -> Vec<String> {
    let (find, units) = (&weighing.find, plan.title.units);
    let name = plan.lines.get(&weighing.line).map_or("", |line| line.name.as_str());
    let known = [
        find.size_m.map(|size_m| units.pipe(size_m)),
        Some(find.material.word().to_string()).filter(|word| word != "unknown"),
        find.invert_m.map(|m| format!("invert {}", units.level(m))),
        find.falls_deg.map(|deg| format!("falls toward {deg:.0}°")),
        Some(format!("condition {}", condition(find.condition))),
        find.silt_m.map(|m| format!("silt {}", units.depth(m))),
        Some(match find.running {
            Running::Unknown => "nobody saw whether it runs".into(),
            Running::Dry => "dry".into(),
            Running::Runs => "runs".into(),
            Running::Flow(flow_m3s) => format!("runs {}", units.bucket(flow_m3s)),
        }),
    ];
    let known: Vec<String> = known.into_iter().flatten().collect();
    let mut says =
        vec![format!("Old tile at {} of {name}: {}.", measure::station(weighing.station_m, units), known.join(", "))];
    says.extend(weighing.fit.map(|fit| levels(&fit, name, units)));
    says.extend(water(weighing, plan));
    if let Some(spared) = weighing.spared {
        let line = plan.lines.get(&spared.line).map_or("", |line| line.name.as_str());
        let rest = if spared.from_m > 0.0 { "the rest of " } else { "" };
        says.push(format!("It would spare {rest}{line}, {} of planned pipe.", units.length(spared.length_m)));
    }
    says
}

fn condition(condition: plan::Condition) -> &'static str {
    crate::find_form::CONDITIONS.iter().find(|(other, _)| *other == condition).map_or("", |(_, word)| word)
}

fn levels(fit: &Fit, name: &str, units: Units) -> String {
    let over = |m: f64| {
        let side = if m < 0.0 { "below" } else { "above" };
        format!("{} {side}", units.depth(m.abs()))
    };
    format!(
        "{name} there: invert {}, center {}, crown {}. The old invert lies {} its invert, {} its center: {}.",
        units.level(fit.invert_m),
        units.level(fit.centre_m),
        units.level(fit.crown_m),
        over(fit.old_m - fit.invert_m),
        over(fit.old_m - fit.centre_m),
        entry_word(fit)
    )
}

/// Today's flow, what it must carry, and whose land it is.
fn water(weighing: &Weighing, plan: &Plan) -> Vec<String> {
    let (units, brings) = (plan.title.units, &weighing.brings);
    let coefficient_ms = plan.brief.coefficient_ms();
    let mut says = Vec::new();
    if let Some(flow_m3s) = brings.today_m3s.filter(|flow_m3s| *flow_m3s > 0.0) {
        let spread = brings.today_ms.zip(weighing.find.upstream_m2);
        let spread = spread.map(|(ms, m2)| format!(" = {} on {}", units.coefficient(ms), units.area(m2)));
        says.push(format!(
            "{} = {}{}: today's flow, not the design flow.",
            units.bucket(flow_m3s),
            units.flow(flow_m3s),
            spread.unwrap_or_default()
        ));
        if brings.today_ms.is_some_and(|ms| ms > coefficient_ms) {
            says.push(
                "More runs today than that land brings by design: there is more land, or a spring, above.".into(),
            );
        }
    }
    says.push(match weighing.find.upstream_m2 {
        Some(area_m2) => format!("It brings {} by design.", units.drained(area_m2, coefficient_ms)),
        None => {
            let [least, most] = units.flows(brings.design_m3s.0, brings.design_m3s.1);
            format!(
                "The land above it is not known: it may bring {least} to {most}, as much as the old pipe carries."
            )
        }
    });
    if let Some(area_m2) = weighing.terrain_m2.filter(|_| weighing.find.upstream_m2.is_none()) {
        says.push(format!("The terrain drains {} to that place: a first estimate.", units.area(area_m2)));
    }
    if weighing.find.from_beyond {
        says.push("Water reaches it from beyond the boundary.".into());
    }
    says
}

/// What comes and goes with a choice, in sentences, and what may be accepted instead.
pub fn changes(weighed: &Weighed, plan: &Plan) -> Vec<String> {
    let units = plan.title.units;
    let line = |sign: &str, finding: &Finding| {
        format!("{sign}, {}: {} (check {})", finding.severity.word(), finding.title, finding.check)
    };
    let mut says: Vec<String> = weighed.comes.iter().map(|finding| line("New", finding)).collect();
    says.extend(accepted(weighed, plan).map(|ms| {
        let [kept, wanted] = [ms, plan.brief.coefficient_ms()].map(|ms| units.coefficient(ms));
        format!("Kept in this pipe, the land gets about {kept} instead of {wanted}.")
    }));
    says.extend(weighed.goes.iter().map(|finding| line("Cleared", finding)));
    says
}

/// The coefficient that pipe which is too small leaves, m/s, where all its water hangs on it.
fn accepted(weighed: &Weighed, plan: &Plan) -> Option<f64> {
    let share = weighed.after.1?.share();
    (share > plan.criteria.over_capacity && share.is_finite()).then(|| plan.brief.coefficient_ms() / share)
}

/// All of it as lines of text, the choices side by side.
pub fn text_lines(weighing: &Weighing, plan: &Plan) -> Vec<String> {
    let mut text = head(weighing, plan);
    text.push(String::new());
    let names = weighing.choices.iter().map(|weighed| title(weighed, plan.title.units)).collect();
    let rows = [vec![Row { what: "Choice", cells: names }], rows(weighing, plan)].concat();
    let width = |column: usize| rows.iter().map(|row| row.cells[column].chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..weighing.choices.len()).map(width).collect();
    let first = rows.iter().map(|row| row.what.len()).max().unwrap_or(0);
    for row in &rows {
        let cells = row.cells.iter().zip(&widths).map(|(cell, width)| format!("  {cell:<width$}"));
        text.push(format!("{:<first$}{}", row.what, cells.collect::<String>()).trim_end().to_string());
    }
    for weighed in &weighing.choices {
        text.push(String::new());
        text.push(title(weighed, plan.title.units));
        let says = weighed.asked.iter().cloned().chain(changes(weighed, plan));
        text.extend(says.map(|say| format!("  {say}")));
    }
    text
}

/// The same for machines: metric, the unit in each key.
pub fn as_json(weighing: &Weighing, plan: &Plan) -> Value {
    let room = |room: Option<Room>| {
        room.map(|room| {
            json!({
                "line": plan.lines.get(&room.line).map(|line| &line.name),
                "station_m": room.station_m,
                "required_m3s": room.required_m3s,
                "capacity_m3s": room.capacity_m3s,
                "percent_full": Some(room.share() * 100.0).filter(|percent| percent.is_finite()),
            })
        })
    };
    let findings = |list: &[Finding]| {
        let one = |finding: &Finding| {
            json!({
                "check": finding.check,
                "also": finding.also.iter().map(|(check, _)| check).collect::<Vec<_>>(),
                "severity": finding.severity.word(),
                "key": finding.key,
                "message": finding.message,
            })
        };
        list.iter().map(one).collect::<Vec<_>>()
    };
    let fit = |fit: Option<Fit>| {
        fit.map(|fit| {
            json!({
                "main_invert_m": fit.invert_m,
                "main_centre_m": fit.centre_m,
                "main_crown_m": fit.crown_m,
                "old_invert_m": fit.old_m,
                "above_invert_m": fit.old_m - fit.invert_m,
                "above_centre_m": fit.old_m - fit.centre_m,
                "clear_m": fit.clear_m,
                "entry": entry_word(&fit),
            })
        })
    };
    let choice = |weighed: &Weighed| {
        json!({
            "choice": weighed.choice.what.word(),
            "larger_below_mm": weighed.larger_m.map(|m| m * 1000.0),
            "title": title(weighed, plan.title.units),
            "level": fit(weighed.fit),
            "before": room(weighed.before),
            "after_least": room(weighed.after.0),
            "after_most": room(weighed.after.1),
            "more_pipe_m": weighed.more_m,
            "more_money": weighed.more_money,
            "accepted_mm_day": accepted(weighed, plan).map(|ms| ms * 86_400_000.0),
            "comes": findings(&weighed.comes),
            "goes": findings(&weighed.goes),
            "asked_first": weighed.asked,
        })
    };
    let spared = weighing.spared.map(|spared| {
        let line = plan.lines.get(&spared.line).map(|line| &line.name);
        json!({ "line": line, "from_m": spared.from_m, "length_m": spared.length_m })
    });
    json!({
        "caution": plan::CAUTION,
        "key": weighing.find.key,
        "line": plan.lines.get(&weighing.line).map(|line| &line.name),
        "station_m": weighing.station_m,
        "level": fit(weighing.fit),
        "today_m3s": weighing.brings.today_m3s,
        "today_mm_day": weighing.brings.today_ms.map(|ms| ms * 86_400_000.0),
        "brings_m3s": [weighing.brings.design_m3s.0, weighing.brings.design_m3s.1],
        "terrain_m2": weighing.terrain_m2,
        "spared": spared,
        "choices": weighing.choices.iter().map(choice).collect::<Vec<_>>(),
    })
}
