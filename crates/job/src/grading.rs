//! Grade lines and water in words, for the card and the command line alike; and a plan with its grade lines fixed.

use design::{
    Bound, Breach, Broken, Cause, Clash, Design, Flattest, Inflow, LineDesign, Origin, Printed, Trial, Way,
};
use measure::Units;
use plan::{Change, Edit, Joins, LineId, Pin, Plan, SizeBy};

/// The reaches of a line: "0+00 to 2+00  0.60 %".
pub fn reaches(worked: &LineDesign, units: Units) -> Vec<String> {
    let row = |reach: &design::DugReach| {
        let at = |i: usize| measure::station(worked.stations[i].station_m, units);
        let exact = if reach.is_exact { exactly(reach.grade) } else { units.grade(reach.grade) };
        format!("{} to {}  {exact}", at(reach.from), at(reach.to))
    };
    worked.reaches.iter().map(row).collect()
}

/// Where the pipe of a line changes on the way up: "8 in to 6 in at 5+25".
pub fn changes(worked: &LineDesign, units: Units) -> Vec<String> {
    let words = |pair: [design::Pipe; 2]| {
        format!("{} at {}", drawing::change_words(&pair, units), measure::station(pair[1].from_m, units))
    };
    worked.changes().into_iter().map(words).collect()
}

/// A grade with its last figures, for a reach whose two ends are given.
fn exactly(grade: f64) -> String {
    format!("{:.4} % exactly", grade * 100.0)
}

/// That a line lies over no ground along some length, as the end of a sentence; nothing where it does not.
pub fn no_ground(worked: &LineDesign, units: Units) -> String {
    Some(worked.unknown_ground_m())
        .filter(|unknown_m| *unknown_m > 0.0)
        .map_or(String::new(), |unknown_m| format!(", no ground along {}", units.length(unknown_m)))
}

/// What the breaks cost: "2 breaks, 1.4 % over the cheapest line".
pub fn breaks(design: &Design) -> String {
    let breaks: usize = design.lines.values().map(|line| line.breaks().count()).sum();
    let over = if design.cost.cheapest > 0.0 { design.cost.dug / design.cost.cheapest - 1.0 } else { 0.0 };
    format!(
        "{} in all; digging costs {:.1} % more than the cheapest line",
        measure::how_many(breaks, "grade break"),
        (over * 100.0).max(0.0)
    )
}

/// Lines flatter than the job's even grade, and what it would cost to have none: one sentence a network.
pub fn flat(plan: &Plan, design: &Design) -> Vec<String> {
    let grade = plan.title.units.grade(plan.criteria.even_grade);
    let sentence = |flat: &design::Flat| {
        let names: Vec<&str> =
            flat.lines.iter().filter_map(|id| plan.lines.get(id)).map(|line| line.name.as_str()).collect();
        let (names, are) = (names.join(", "), if names.len() == 1 { "is" } else { "are" });
        match flat.more {
            Some(more) => format!(
                "{names} {are} flatter than {grade} in places: with {grade} everywhere digging would cost {:.1} % more.",
                more * 100.0
            ),
            None => format!(
                "{names} {are} flatter than {grade} in places: no levels within the limits give {grade} everywhere."
            ),
        }
    };
    design.flat.iter().map(sentence).collect()
}

/// The water of a line as arithmetic that can be read: "6.8 ac × 1/2 in/day ÷ 23.8 = 0.143 cfs".
pub fn water(plan: &Plan, worked: &LineDesign) -> Vec<String> {
    let units = plan.title.units;
    worked.inflows.iter().map(|inflow| format!("{}: {}", origin(plan, inflow), amount(inflow, units))).collect()
}

fn origin(plan: &Plan, inflow: &Inflow) -> String {
    match inflow.origin {
        Origin::Strip(reach_m) => strip(plan, reach_m, inflow.off),
        Origin::Width(width_m) => format!("strip {} wide, as set", plan.title.units.length(width_m)),
        Origin::Catchment => "what the ground sheds to it".into(),
        Origin::ByHand => "area by hand".into(),
        Origin::Inlet(station_m) => format!("inlet at {}", measure::station(station_m, plan.title.units)),
        Origin::OldTile => "land above the old tile".into(),
        Origin::Seepage => "seepage".into(),
        Origin::Branch(id) => plan.lines.get(&id).map_or("a branch".into(), |line| line.name.clone()),
    }
}

/// An area that is farther off than this is said to be, as a share.
const SAID_OFF: f64 = 0.03;

/// How the area of a line's own strip was found.
fn strip(plan: &Plan, reach_m: f64, off: f64) -> String {
    let far = plan.title.units.length(reach_m);
    let field = if plan.field.is_none() { ", no boundary drawn" } else { "" };
    let sure = if off > SAID_OFF {
        format!(", known to {:.0} % only: too much lies beside it", (off * 100.0).ceil())
    } else {
        String::new()
    };
    format!("land nearest to it, at most {far} off{field}{sure}")
}

fn amount(inflow: &Inflow, units: Units) -> String {
    let even = inflow.area_m2 > 0.0
        && (inflow.area_m2 * inflow.coefficient_ms - inflow.flow_m3s).abs() <= 1e-9 * inflow.flow_m3s.max(1e-12);
    if even { units.drained(inflow.area_m2, inflow.coefficient_ms) } else { units.flow(inflow.flow_m3s) }
}

/// How full a line is where it is fullest, and the land it could drain there: "0.143 of 0.189 cfs at 0.40 %, 76 % full, enough for
/// 9.00 ac at 1/2 in/day, 1.39 ft/s when full".
pub fn fullness(plan: &Plan, worked: &LineDesign) -> Option<String> {
    let units = plan.title.units;
    let full = worked.fullest()?;
    let velocity = worked.above(full.index).full_velocity_ms(full.grade);
    if full.capacity_m3s <= 0.0 {
        let station = measure::station(worked.stations[full.index].station_m, units);
        return Some(format!("it carries nothing above {station}, where it does not fall"));
    }
    Some(format!(
        "{} of {} at {}, {:.0} % full, {}, {} when full",
        units.flow(full.required_m3s),
        units.flow(full.capacity_m3s),
        units.grade(full.grade),
        full.share() * 100.0,
        enough_for(plan, full.capacity_m3s),
        units.velocity(velocity)
    ))
}

/// The land whose water a pipe carries at the job's coefficient: "enough for 9.00 ac at 1/2 in/day".
pub fn enough_for(plan: &Plan, capacity_m3s: f64) -> String {
    let (units, coefficient_ms) = (plan.title.units, plan.brief.coefficient_ms());
    if coefficient_ms <= 0.0 {
        return "for land with a drainage coefficient of 0".into();
    }
    format!("enough for {} at {}", units.area(capacity_m3s / coefficient_ms), units.coefficient(coefficient_ms))
}

/// Why no grade line of a network holds every limit.
pub fn clash(plan: &Plan, clash: &Clash) -> String {
    let units = plan.title.units;
    let breach = |breach: &Breach| {
        let what = match breach.broken {
            Broken::TooHigh => "too high",
            Broken::TooLow => "too deep",
            Broken::Joint => return None,
        };
        let (name, place) = (name(plan, breach.line), measure::station(breach.station_m, units));
        Some(format!("{name} {} {what} at {place}", units.amount(breach.by_m)))
    };
    let breaches: Vec<String> = clash.breaches.iter().filter_map(breach).collect();
    let lies = if breaches.is_empty() { String::new() } else { format!(" As drawn: {}.", breaches.join(", ")) };
    format!("No grade line holds every limit: {}.{lies}", why(plan, clash))
}

/// The two limits that leave no level between them.
pub fn why(plan: &Plan, clash: &Clash) -> String {
    let at = format!("{} of {}", measure::station(clash.station_m, plan.title.units), name(plan, clash.line));
    match (&clash.bounds, &clash.other_side) {
        (Some(bounds), None) => format!("at {at} {}", apart(plan, bounds)),
        (Some(bounds), Some(other)) => {
            format!("at {at} {}; on the other side {}", apart(plan, bounds), apart(plan, other))
        }
        (None, _) => format!(
            "{} cannot reach its locked level from its joint at a grade that is allowed",
            name(plan, clash.line)
        ),
    }
}

/// Two limits that leave no level where they meet.
fn apart(plan: &Plan, (lowest, highest): &(Bound, Bound)) -> String {
    let units = plan.title.units;
    format!(
        "{} asks for an invert of {} {} or higher, and {} for {} or lower: {} apart",
        bound(plan, lowest, true),
        units.level(lowest.there_m),
        units.sign(),
        bound(plan, highest, false),
        units.level(highest.there_m),
        units.amount(lowest.there_m - highest.there_m)
    )
}

fn name(plan: &Plan, id: LineId) -> &str {
    plan.lines.get(&id).map_or("a line", |line| line.name.as_str())
}

/// The lowest or the highest of the two limits that clash, with where it is set and what leads from there.
pub fn bound(plan: &Plan, bound: &Bound, is_lowest: bool) -> String {
    let units = plan.title.units;
    let place = format!("{} of {}", measure::station(bound.station_m, units), name(plan, bound.line));
    let what = match bound.cause {
        Cause::Outlet(id) => format!("outlet {}", plan.outlets.get(&id).map_or("", |outlet| &outlet.name)),
        Cause::Joint(id) => format!("the joint with old tile {}", name(plan, id)),
        Cause::Locked => format!("the level locked at {place}"),
        Cause::Cover => format!("{} of cover at {place}", units.depth(plan.criteria.least_cover_m)),
        Cause::Machine => {
            format!("the machine's reach of {} at {place}", units.depth(plan.criteria.machine_reach_m))
        }
        Cause::Pass(k) => {
            let passes = plan.lines.get(&bound.line).map_or(&[][..], |line| &line.passes);
            format!("{} at {place}", passes.get(k).map_or("what is passed", |pass| &pass.what))
        }
        Cause::Crossing(other) => format!("the crossing with {} at {place}", name(plan, other)),
        Cause::Utility(id) => {
            let called = plan.landmarks.get(&id).map_or("a utility".into(), plan::Landmark::called);
            format!("passing {called} {} at {place}", if is_lowest { "over" } else { "under" })
        }
    };
    let flattest = match bound.flattest {
        Some(Flattest::Held) => " with the grade held",
        Some(Flattest::Flow) => " with the grade that carries the flow",
        Some(Flattest::Silt) => " with the grade that carries silt",
        Some(Flattest::Clean) => " with the flattest grade of the pipe",
        Some(Flattest::Even) | None => "",
    };
    let moved = (bound.there_m - bound.level_m).abs() > 1e-4;
    format!("{what}{}", if moved { flattest } else { "" })
}

/// Networks that cross so many utilities that not every choice of sides was tried, and what the best could save.
pub fn untried(plan: &Plan, design: &Design) -> Vec<String> {
    let told = design.untried.iter().map(|untried| {
        format!(
            "{} and its branches cross {} exposed utilities: not every choice of over and under was tried, and the best could \
             save at most {} of the digging.",
            name(plan, untried.line),
            untried.crossings,
            plan.title.units.grade(untried.saves_at_most)
        )
    });
    told.collect()
}

/// The ways out of every clash, each tried with the figures that are printed.
pub fn ways(trial: &Trial) -> Vec<Vec<Way>> {
    let units = trial.plan.title.units;
    let amount = |amount_m: f64| units.round_up(amount_m, AMOUNT_PLACES);
    let (down, up) = (|m: f64| units.round_down(m, 1), |m: f64| units.round_up(m, 1));
    let printed = Printed { amount: &amount, station_down: &down, station_up: &up };
    trial.design.clashes.iter().map(|clash| trial.ways(clash, &printed)).collect()
}

/// Decimals of the amounts in ways out of a clash.
const AMOUNT_PLACES: i32 = 2;

/// A way out of a clash: "lower outlet O1 by 0.52 ft".
pub fn way(plan: &Plan, way: &Way) -> String {
    let units = plan.title.units;
    let outlet = |id: &plan::OutletId| plan.outlets.get(id).map_or("", |outlet| outlet.name.as_str());
    let station = |station_m: f64| measure::station(station_m, units);
    match way {
        Way::LowerOutlet(id, by_m) => format!("lower outlet {} by {}", outlet(id), units.depth(*by_m)),
        Way::RaiseOutlet(id, by_m) => format!("raise outlet {} by {}", outlet(id), units.depth(*by_m)),
        Way::Unlock(id, at_m) => format!("unlock the level at {} of {}", station(*at_m), name(plan, *id)),
        Way::Release(id, (from_m, to_m)) => {
            format!("release the grade held from {} to {} of {}", station(*from_m), station(*to_m), name(plan, *id))
        }
        Way::DeeperMachine(by_m) => format!("a machine that reaches {} deeper", units.depth(*by_m)),
        Way::SolidHeavy(id, (from_m, to_m)) => {
            format!("solid heavy pipe from {} to {} of {}", station(*from_m), station(*to_m), name(plan, *id))
        }
        Way::Larger(id, size_m) => format!("{} for {}", units.pipe(*size_m), name(plan, *id)),
        Way::OtherSide(id, k) => {
            let what =
                plan.lines.get(id).and_then(|line| line.passes.get(*k)).map_or("it", |pass| pass.what.as_str());
            format!("pass {what} on the other side with {}", name(plan, *id))
        }
    }
}

/// The ways out of a clash in one sentence.
pub fn way_out(plan: &Plan, ways: &[Way]) -> String {
    let ways: Vec<String> = ways.iter().map(|found| way(plan, found)).collect();
    match ways.is_empty() {
        true => "No single change clears it.".into(),
        false => format!("What would clear it, each by itself: {}.", ways.join("; or ")),
    }
}

/// The edit that fixes every grade line and size as it was found.
pub fn lock_edit(plan: &Plan, design: &Design) -> Edit {
    let fixed = fixed(plan, design);
    let lines = fixed.lines.into_iter().map(|(id, line)| Change::Line(id, Some(line)));
    let outlets = fixed.outlets.into_iter().map(|(id, outlet)| Change::Outlet(id, Some(outlet)));
    Edit { label: "Lock every level as it is".into(), changes: lines.chain(outlets).collect() }
}

/// Fixes the sizes of a line as they were found along it; stretches with a size of their own keep it.
fn fix_sizes(line: &mut plan::Line, worked: &design::LineDesign) {
    (line.size_m, line.size_by) = (worked.size_m, SizeBy::Hand);
    let own = std::mem::take(&mut line.stretches);
    let ends = worked.steps.all().iter().skip(1).map(|step| step.from_m).chain([worked.length_m]);
    for (step, to_m) in worked.steps.all().iter().zip(ends).skip(1) {
        let stretch =
            plan::Stretch { from_m: step.from_m, to_m, size_m: Some(step.size_m), ..plan::Stretch::default() };
        *line = line.with_stretch_added(stretch);
    }
    for stretch in own {
        *line = line.with_stretch_added(stretch);
    }
}

/// The plan with its grade lines and sizes fixed as they were found: every grade break a level locked by hand.
pub fn fixed(plan: &Plan, design: &Design) -> Plan {
    let mut fixed = plan.clone();
    for (id, line) in &mut fixed.lines {
        let Some(worked) = design.lines.get(id).filter(|_| !line.kind.is_old()) else { continue };
        fix_sizes(line, worked);
        line.reaches.clear();
        let level = |i: usize| {
            let station = worked.stations[i];
            station.invert_m.map(|invert_m| Pin { station_m: station.station_m, invert_m, straight: true })
        };
        line.pins = worked.reaches.iter().filter_map(|reach| level(reach.to)).collect();
        let joint = design.joints.iter().find(|joint| joint.branch == *id && !joint.in_line);
        let rise = joint.and_then(|joint| Some(joint.branch_invert_m? - joint.main_centre_m?));
        line.drop_m = rise.filter(|rise_m| *rise_m >= 0.0 && matches!(line.joins, Joins::Line(_)));
    }
    for (id, outlet) in &mut fixed.outlets {
        if let Some(invert_m) = design.outlet_inverts_m.get(id) {
            (outlet.invert_m, outlet.invert_free) = (*invert_m, false);
        }
    }
    fixed
}
