//! Local search: lines are moved, cut back, led elsewhere or left out until nothing in a layout is to fix before digging, or it is
//! told why that stays.

use std::collections::BTreeSet;

use checks::{Finding, Severity, Trial};
use design::Memory;
use measure::{Point, bearing, distance, part_of, path_length, point_at, toward};
use plan::{Change, Edit, Joins, Line, LineId, LineKind, Plan};

use super::proposal::{Bound, Proposal};
use super::{Asked, NoLayout, Teller, step};
use crate::threads::joined;

/// A layout may cost so much more, wet land that is left wet counted, where a joint or bend is straightened ([judgement]).
const STRAIGHTER: f64 = 1.01;
/// Moves together give up no more than the rest of this share of the wet land that a layout serves ([judgement]).
const KEPT: f64 = 0.9;
/// What is told while it is looked for.
const STEP: &str = "what is to fix";
/// How far points of a line are moved, metres: never farther than 30 ([judgement]).
const STEPS_M: [f64; 4] = [4.0, 10.0, 18.0, 30.0];
/// A corner nearer than this to a finding is moved; elsewhere a new one is set, metres ([judgement]).
const CORNER_M: f64 = 12.0;
/// Lines and trials that are weighed for one layout: trials times its lines, by count and not by time so that one plan always
/// gives one answer (own choice: about a second or two).
const MOST_WORK: usize = 800;
/// Most moves that are tried for one finding (own choice).
const MOST_MOVES: usize = 24;
/// Findings that are looked into one after the other (own choice).
pub const MOST_FINDINGS: usize = 12;
/// About as many trials as asking the rules for a way out of one finding takes.
const TRIALS_OF_RULES: usize = 20;

/// Findings to decide that a person would not draw, and that moving a line clears: a branch that enters against the flow, a bend
/// sharper than pipe takes.
const CROOKED: [u16; 2] = [50, 58];

/// A layout with as little to fix as local search can get it to; what stays says why.
pub fn mended(asked: &Asked, found: Proposal, worth_per_m2: f64, tell: Teller) -> Result<Proposal, NoLayout> {
    let kept_m2 = KEPT * found.served_m2;
    let (mut best, mut seen, mut left) = (found, BTreeSet::new(), MOST_WORK);
    for _ in 0..MOST_FINDINGS {
        let is_open = |f: &&Finding| (f.blocks() || is_crooked(f)) && f.accepted.is_none() && !seen.contains(&f.key);
        let Some(finding) = best.findings.iter().find(is_open).cloned() else { break };
        step(tell, STEP)?;
        let lines = best.plan.lines.len().max(1);
        let mut tried = moves(asked, &best, &finding);
        let is_left = tried.is_empty() || left >= lines;
        tried.truncate((left / lines).min(MOST_MOVES));
        left = left.saturating_sub(tried.len() * lines);
        let count = tried.len();
        if let Some(next) = better(asked, &best, tried, (worth_per_m2, kept_m2), tell)? {
            best = in_place_of(best, next, worth_per_m2);
            continue;
        }
        if finding.blocks() && is_left {
            let asks_rules = left >= TRIALS_OF_RULES * lines;
            left = left.saturating_sub(TRIALS_OF_RULES * lines);
            let why = stays(asked, &best, &finding, (count, asks_rules));
            best.stays.insert(finding.key.clone(), why);
        }
        seen.insert(finding.key);
    }
    tell_what_stays(&mut best);
    Ok(best)
}

/// Gives every finding to fix a reason, and no other.
fn tell_what_stays(best: &mut Proposal) {
    let fixes = best.findings.iter().filter(|finding| finding.blocks() && finding.accepted.is_none());
    let why = |finding: &Finding| {
        let known = best.stays.get(&finding.key).cloned();
        known.unwrap_or_else(|| "More is to fix than is looked into: draw the line otherwise there.".into())
    };
    best.stays = fixes.map(|finding| (finding.key.clone(), why(finding))).collect();
}

fn is_crooked(finding: &Finding) -> bool {
    finding.severity == Severity::Decide && CROOKED.contains(&finding.check)
}

/// What is to fix in a layout, what is crooked in it, and what it costs with the wet land that it leaves: less is better.
fn value(proposal: &Proposal, worth_per_m2: f64) -> (usize, usize, f64) {
    let crooked = proposal.findings.iter().filter(|finding| is_crooked(finding)).count();
    (proposal.to_fix(), crooked, proposal.cost(worth_per_m2))
}

/// A changed layout under the name of the one that it takes the place of.
fn in_place_of(best: Proposal, next: Proposal, worth_per_m2: f64) -> Proposal {
    let more = next.cost(worth_per_m2) - best.cost(worth_per_m2);
    let bound = best.bound.map(|bound| Bound { worked: bound.worked + more.max(0.0), ..bound });
    Proposal { name: best.name, bound, stays: best.stays, out_of_reach_m2: best.out_of_reach_m2, ..next }
}

/// The best of plans that were changed, where less is to fix or crooked in it than in a layout.
fn better(
    asked: &Asked,
    best: &Proposal,
    tried: Vec<Plan>,
    (worth_per_m2, kept_m2): (f64, f64),
    tell: Teller,
) -> Result<Option<Proposal>, NoLayout> {
    let better = |x: (usize, usize, f64), y: (usize, usize, f64)| {
        (x.0, x.1).cmp(&(y.0, y.1)).then(x.2.total_cmp(&y.2)).is_lt()
    };
    let (fix, crooked, before) = value(best, worth_per_m2);
    // A move must mend something, whatever it costs less.
    let mut least = (fix, crooked, f64::NEG_INFINITY);
    let mut found: Option<Proposal> = None;
    let mut memories: Vec<Memory> = (0..asked.threads.max(1)).map(|_| Memory::with_threads(1)).collect();
    for chunk in tried.chunks(asked.threads.max(1)) {
        step(tell, STEP)?;
        for proposal in each(asked, best, chunk, &mut memories) {
            let own = value(&proposal, worth_per_m2);
            // To draw straighter may cost next to nothing.
            let pays = own.0 < fix || own.2 <= before * STRAIGHTER;
            if pays && proposal.served_m2 >= kept_m2 && better(own, least) {
                (least, found) = (own, Some(proposal));
            }
        }
    }
    Ok(found)
}

/// Works plans out, one a thread.
fn each(asked: &Asked, best: &Proposal, plans: &[Plan], memories: &mut [Memory]) -> Vec<Proposal> {
    std::thread::scope(|scope| {
        let work = |(plan, memory)| move || asked.judged(edit_to(asked, plan), best.kind, memory, 1);
        let begun: Vec<_> = plans.iter().zip(memories).map(|pair| scope.spawn(work(pair))).collect();
        begun.into_iter().filter_map(joined).collect()
    })
}

/// The changes that make the plan that was asked about into a layout.
fn edit_to(asked: &Asked, layout: &Plan) -> Vec<Change> {
    let is_placed = |id: &&plan::OutletId| !asked.plan.outlets.contains_key(id);
    let outlets = layout.outlets.iter().filter(|(id, _)| is_placed(id));
    let outlets = outlets.map(|(id, outlet)| Change::Outlet(*id, Some(outlet.clone())));
    let lines = layout.lines.iter().filter(|(_, line)| !line.kind.is_old());
    let lines = lines.map(|(id, line)| Change::Line(*id, Some(line.clone())));
    asked.cleared.iter().cloned().chain(outlets).chain(lines).collect()
}

/// Layouts in which the line that a finding is about runs otherwise there, those that change least first.
fn moves(asked: &Asked, best: &Proposal, finding: &Finding) -> Vec<Plan> {
    let Some((id, line)) = finding.line.and_then(|id| best.plan.lines.get_key_value(&id)) else { return Vec::new() };
    if line.kind.is_old() {
        return Vec::new();
    }
    let (from_m, to_m) = finding.from_m.zip(finding.to_m).unwrap_or((0.0, 0.0));
    let edits = joint_moves(&best.plan, *id, line)
        .into_iter()
        .chain(corner_moves(&best.plan, *id, line, (from_m + to_m) / 2.0))
        .chain(cut_back(asked, *id, line, from_m))
        .chain(left_out(&best.plan, *id, line));
    let plans = edits.map(|edit| best.plan.with(&edit)).filter(|plan| *plan != best.plan);
    plans.filter(|plan| lies_well(asked, &best.plan, plan)).collect()
}

/// The foot of a branch up and down the line that it joins.
fn joint_moves(plan: &Plan, id: LineId, line: &Line) -> Vec<Edit> {
    let Joins::Line(main) = line.joins else { return Vec::new() };
    let Some((main, foot)) = plan.lines.get(&main).zip(line.points.first()) else { return Vec::new() };
    let Some((at_m, ..)) = measure::nearest_on(&main.points, *foot) else { return Vec::new() };
    let length_m = path_length(&main.points);
    let places = STEPS_M.iter().flat_map(|off_m| [at_m - off_m, at_m + off_m]);
    let places = places.filter(|at_m| (0.0..=length_m).contains(at_m));
    let moved = |at_m: f64| plan::move_point(plan, id, 0, point_at(&main.points, at_m)?);
    places.filter_map(moved).collect()
}

/// The corner next to a station, or a new one there, to both sides; the upper end also along the line.
fn corner_moves(plan: &Plan, id: LineId, line: &Line, station_m: f64) -> Vec<Edit> {
    let Some(at) = point_at(&line.points, station_m) else { return Vec::new() };
    let corners = 1..line.points.len();
    let near = corners.min_by(|x, y| distance(line.points[*x], at).total_cmp(&distance(line.points[*y], at)));
    let near = near.filter(|corner| distance(line.points[*corner], at) <= CORNER_M);
    let (with, index) = match near {
        Some(corner) => (plan.clone(), corner),
        None => {
            let index =
                1 + line.points.windows(2).take_while(|pair| passed(&line.points, pair[1], station_m)).count();
            let Some(edit) = plan::insert_point(plan, id, index, at) else { return Vec::new() };
            (plan.with(&edit), index)
        }
    };
    let Some(line) = with.lines.get(&id) else { return Vec::new() };
    let Some((below, here)) = line.points.get(index.saturating_sub(1)).zip(line.points.get(index)) else {
        return Vec::new();
    };
    let along = bearing(*below, *here);
    let sides = [along + 90.0, along - 90.0, along + 180.0];
    let moved = |edit: Edit| {
        let moved = with.with(&edit);
        Edit {
            label: String::new(),
            changes: moved.lines.iter().map(|(id, line)| Change::Line(*id, Some(line.clone()))).collect(),
        }
    };
    let places = STEPS_M.iter().flat_map(|off_m| sides.iter().map(|deg| toward(*here, *deg, *off_m)));
    places.filter_map(|to| plan::move_point(&with, id, index, to)).map(moved).collect()
}

/// True where a corner of a path lies below a station.
fn passed(path: &[Point], corner: Point, station_m: f64) -> bool {
    measure::nearest_on(path, corner).is_some_and(|(at_m, ..)| at_m < station_m)
}

/// A line that ends below a station, where enough of it is left and nothing joins it above.
fn cut_back(asked: &Asked, id: LineId, line: &Line, from_m: f64) -> Option<Edit> {
    let end_m = from_m - 1.0;
    let points = (end_m >= asked.plan.criteria.shortest_line_m).then(|| part_of(&line.points, 0.0, end_m))?;
    Some(plan::set_line("", id, Line { points, ..line.clone() }))
}

/// The plan without a lateral that nothing joins.
fn left_out(plan: &Plan, id: LineId, line: &Line) -> Option<Edit> {
    let is_joined = plan.lines.values().any(|other| other.joins == Joins::Line(id));
    let goes = line.kind == LineKind::Lateral && !is_joined && plan.lines.len() > 1;
    goes.then(|| plan::remove_line(plan, id)).flatten()
}

/// True where the lines that changed lie where pipe may lie, their last piece to an outlet left out.
fn lies_well(asked: &Asked, before: &Plan, plan: &Plan) -> bool {
    let changed = plan.lines.iter().filter(|(id, line)| before.lines.get(id) != Some(line));
    changed.into_iter().all(|(_, line)| {
        let from = usize::from(matches!(line.joins, Joins::Outlet(_)));
        let pieces = line.points.get(from..).unwrap_or_default();
        pieces.iter().all(|at| asked.site.is_free(*at))
            && pieces.windows(2).all(|pair| asked.site.is_open(pair[0], pair[1]))
    })
}

/// Why a finding stays that no move clears: what would clear it, where the rules know of something.
fn stays(asked: &Asked, best: &Proposal, finding: &Finding, (tried, asks_rules): (usize, bool)) -> String {
    let site = checks::Site::new(&best.plan, &best.design, asked.site.land);
    let rework = |plan: &Plan| {
        let design = design::work_out_again(plan, asked.site.land, &mut Memory::with_threads(1));
        checks::punch_list_of(&checks::Site::new(plan, &design, asked.site.land))
    };
    let trial = Trial { site: &site, list: &best.findings, rework: &rework };
    let told =
        if asks_rules { finding.with_tried(Some(trial.tried(finding))).way_out() } else { finding.advice.clone() };
    let within = best.plan.title.units.length(STEPS_M[STEPS_M.len() - 1]);
    let why = match tried {
        0 => "It does not hang on where the lines run.".to_string(),
        tried => format!("None of {tried} other ways for the line within {within} clears it."),
    };
    format!("{why} {told}").trim_end().into()
}
