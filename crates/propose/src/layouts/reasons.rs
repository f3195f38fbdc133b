//! Why each line of a layout runs where it runs, in words.

use std::collections::BTreeMap;

use measure::{Paths, how_many, listed, nearest_on, part_of, path_length, point_at, segments};
use plan::{Joins, Line, LineId, LineKind, Pattern, Plan};

use super::Site;

/// A line is looked at so often, metres (own choice).
const LOOK_M: f64 = 5.0;
/// A line that keeps to a swale for at least this share of its length runs in it ([judgement]).
const IN_SWALE: f64 = 0.5;
/// Wet land below this is not worth a word, square metres ([judgement]).
const LEAST_M2: f64 = 50.0;

/// What is said of each new line of a plan.
pub fn of(site: &Site, plan: &Plan) -> BTreeMap<LineId, String> {
    let served_m2 = served_m2(site, plan);
    let new = plan.lines.iter().filter(|(_, line)| !line.kind.is_old());
    new.map(|(id, line)| (*id, sentence(site, plan, (*id, line), served_m2.get(id).copied().unwrap_or(0.0))))
        .collect()
}

/// "L3 runs in the swale that gathers 3.20 ac and serves 0.41 ac of wet land."
fn sentence(site: &Site, plan: &Plan, (id, line): (LineId, &Line), served_m2: f64) -> String {
    let units = plan.title.units;
    let brings = plan.lines.values().filter(|other| other.joins == Joins::Line(id)).count();
    let runs =
        in_swale_m2(site, line).map(|area_m2| format!("runs in the swale that gathers {}", units.area(area_m2)));
    let wet = (served_m2 >= LEAST_M2).then(|| format!("{} of wet land", units.area(served_m2)));
    let leads =
        (brings > 0).then(|| format!("leads the water of {} to {}", how_many(brings, "line"), target(plan, line)));
    let parts: Vec<String> = match (line.pattern, runs, wet) {
        (Pattern::Interceptor, _, wet) => {
            let runs = "runs along the toe of the slope to catch what seeps down it".to_string();
            let serves = wet.map(|wet| format!("serves {wet} beside it"));
            [Some(runs), serves, leads].into_iter().flatten().collect()
        }
        (Pattern::Parallel, _, wet) => {
            let serves = wet.map(|wet| format!("serves {wet}"));
            [Some("is one of the grid".to_string()), serves].into_iter().flatten().collect()
        }
        (_, Some(runs), wet) => {
            [Some(runs), wet.map(|wet| format!("serves {wet}")), leads].into_iter().flatten().collect()
        }
        (_, None, wet) if line.kind == LineKind::Lateral => {
            let crosses = wet.map(|wet| format!("crosses to reach {wet}"));
            [crosses, leads].into_iter().flatten().collect()
        }
        (_, None, wet) => [leads, wet.map(|wet| format!("serves {wet} on its way"))].into_iter().flatten().collect(),
    };
    match &parts[..] {
        [] => format!("{} leads to {}.", line.name, target(plan, line)),
        parts => format!("{} {}.", line.name, listed(parts)),
    }
}

/// The line or outlet that a line drains to.
fn target<'a>(plan: &'a Plan, line: &Line) -> &'a str {
    plan.name_of(line.joins).unwrap_or("its end")
}

/// What gathers in the swale along which a line runs for most of its length, square metres.
fn in_swale_m2(site: &Site, line: &Line) -> Option<f64> {
    let near_m = site.plan.criteria.swale_near_m;
    let count = (line.length_m() / LOOK_M).ceil().max(1.0);
    let places: Vec<_> =
        (0..=count as usize).filter_map(|i| point_at(&line.points, i as f64 / count * line.length_m())).collect();
    let beside = |swale: &terrain::Swale| {
        let met = places.iter().filter_map(|at| nearest_on(&swale.points, *at)).filter(|met| met.2 <= near_m);
        let stations: Vec<f64> = met.map(|met| met.0).collect();
        let is_in = stations.len() as f64 >= IN_SWALE * places.len() as f64;
        let lowest_m = stations.into_iter().fold(0.0, f64::max);
        is_in.then(|| area_at_m2(swale, lowest_m))
    };
    site.land.swales.iter().filter_map(beside).reduce(f64::max)
}

/// Area uphill of a place on a swale, square metres.
fn area_at_m2(swale: &terrain::Swale, station_m: f64) -> f64 {
    let above = part_of(&swale.points, 0.0, station_m.min(path_length(&swale.points))).len();
    let number = above.saturating_sub(1).min(swale.area_m2.len().saturating_sub(1));
    swale.area_m2.get(number).copied().unwrap_or(0.0)
}

/// Wet land by the line that lies nearest to it, where that serves it, square metres.
fn served_m2(site: &Site, plan: &Plan) -> BTreeMap<LineId, f64> {
    let new = plan.lines.iter().filter(|(_, line)| !line.kind.is_old());
    let pipes = Paths::new(new.flat_map(|(id, line)| segments(id.0, &line.points)).collect());
    let mut served = BTreeMap::new();
    for wet in &site.wet.places {
        if let Some(piece) = wet.drained_by(&pipes) {
            *served.entry(LineId(piece.path)).or_insert(0.0) += site.wet.place_m2;
        }
    }
    served
}
