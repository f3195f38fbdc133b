//! What is brought into a plan beside ground and lines: marks on the land, prices, hub levels, benchmarks.

use exchange::FileError;
use land::Land;
use measure::Point;
use plan::{Benchmark, Landmark, Plan};

use crate::ground::plane;

/// A hub stands no farther above or below the ground of its line, metres (10 ft; judgement).
const FARTHEST_HUB_M: f64 = 10.0 * measure::FOOT_M;

/// A plan's price list with the prices of a file; where that names no currency the plan's stays.
pub fn prices_of(prices: exchange::PricesIn, source: String, plan: &Plan) -> plan::PriceList {
    let now = plan.price_list.clone();
    let currency = prices.currency.unwrap_or(now.currency);
    plan::PriceList { rows: prices.rows, source, currency, ..now }
}

/// One edit that adds all marks; those without a name get one.
pub fn add_marks(plan: &Plan, marks: Vec<Landmark>) -> plan::Edit {
    let mut after = plan.clone();
    let mut changes = Vec::new();
    let mut count = 0;
    for mut mark in marks {
        // The same file read twice does not double what lies in the ground.
        let is_there = |old: &Landmark| {
            old.kind == mark.kind && old.outline == mark.outline && (mark.name.is_empty() || old.name == mark.name)
        };
        if after.landmarks.values().any(is_there) {
            continue;
        }
        count += 1;
        if mark.name.is_empty() {
            mark.name = after.free_name("K");
        }
        let (id, edit) = plan::add_landmark(&after, mark.clone());
        // A mark that the plan refuses is refused with the whole edit, by its name.
        let _ = after.apply(&edit);
        after.next_id = after.next_id.max(id.0 + 1);
        changes.push(plan::Change::Landmark(id, Some(mark)));
    }
    plan::Edit { label: format!("Bring in {}", measure::how_many(count, "mark")), changes }
}

/// The edit that sets hub levels; a line that is named has those of the file and no others.
/// A level that is far off the ground is refused: it would be dug by.
pub fn hubs_edit(plan: &Plan, land: &Land, bytes: &[u8]) -> Result<plan::Edit, FileError> {
    let units = plan.title.units;
    let read = exchange::read_hubs(bytes, units)?;
    let mut lines: std::collections::BTreeMap<plan::LineId, plan::Line> = std::collections::BTreeMap::new();
    for (name, hub, row) in read {
        let id = plan.line_named(&name).ok_or_else(|| FileError::Malformed {
            place: format!("line {row}, column line"),
            found: format!("'{name}'"),
            expected: "the name of a line of the plan".into(),
        })?;
        let known = plan.lines[&id].clone();
        let at = measure::point_at(&known.points, hub.station_m);
        if let Some(ground_m) = land.ground.as_deref().zip(at).and_then(|(ground, at)| ground.elevation(at))
            && (hub.level_m - ground_m).abs() > FARTHEST_HUB_M
        {
            return Err(FileError::Malformed {
                place: format!("line {row}, column level"),
                found: units.level(hub.level_m),
                expected: format!(
                    "a level within {} of the ground there, {}",
                    units.depth(FARTHEST_HUB_M),
                    units.level(ground_m)
                ),
            });
        }
        let line = lines.entry(id).or_insert_with(|| plan::Line { hubs: Vec::new(), ..known });
        line.hubs.push(hub);
        line.hubs.sort_by(|a, b| a.station_m.total_cmp(&b.station_m));
    }
    let changes = lines.into_iter().map(|(id, line)| plan::Change::Line(id, Some(line))).collect();
    Ok(plan::Edit { label: "Bring in hub levels".into(), changes })
}

/// Reads a benchmark as it is written on the command line and in the window: name, place, level, datum.
pub fn benchmark(text: &str, plan: &Plan) -> Result<Benchmark, String> {
    let wrong = || format!("--benchmark: found '{text}', expected NAME,E,N,LEVEL or NAME,E,N,LEVEL,DATUM");
    let parts: Vec<&str> = text.split(',').map(str::trim).collect();
    let number = |part: &str| part.parse::<f64>().ok().filter(|value| value.is_finite()).ok_or_else(wrong);
    let ([name, x, y, level], datum) = match parts[..] {
        [name, x, y, level] => ([name, x, y, level], ""),
        [name, x, y, level, datum] => ([name, x, y, level], datum),
        _ => return Err(wrong()),
    };
    let across = plane(plan).unit().metres();
    let level_m = measure::parse_length(level, plan.title.units).map_err(|_| wrong())?;
    Ok(Benchmark {
        name: name.to_string(),
        at: Point::new(number(x)? * across, number(y)? * across),
        level_m,
        datum: datum.to_string(),
    })
}
