//! Grade lines and water in words, for the card and the command line alike; and a plan with its grade lines fixed.

use design::{Clash, Design, Inflow, Limit, LineDesign, Origin, Way};
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

/// A grade with its last figures, for a reach whose two ends are given.
fn exactly(grade: f64) -> String {
    format!("{:.4} % exactly", grade * 100.0)
}

/// What the breaks cost: "2 breaks, 1.4 % over the cheapest line".
pub fn breaks(design: &Design) -> String {
    let breaks: usize = design.lines.values().map(|line| line.reaches.len().saturating_sub(1)).sum();
    let over = if design.cost.cheapest > 0.0 { design.cost.dug / design.cost.cheapest - 1.0 } else { 0.0 };
    format!(
        "{breaks} grade breaks in all; digging costs {:.1} % more than the cheapest line",
        (over * 100.0).max(0.0)
    )
}

/// The water of a line as arithmetic that can be read: "6.8 ac × 1/2 in/day ÷ 23.8 = 0.143 cfs".
pub fn water(plan: &Plan, worked: &LineDesign) -> Vec<String> {
    let units = plan.title.units;
    worked.inflows.iter().map(|inflow| format!("{}: {}", origin(plan, inflow), amount(inflow, units))).collect()
}

fn origin(plan: &Plan, inflow: &Inflow) -> String {
    match inflow.origin {
        Origin::Strip => strip(plan, inflow.off),
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
fn strip(plan: &Plan, off: f64) -> String {
    let far = plan.title.units.length(plan.brief.served_m);
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

/// How full a line is where it is fullest: "0.143 of 0.189 cfs at 0.40 %, 76 % full, 1.39 ft/s when full".
pub fn fullness(worked: &LineDesign, units: Units) -> Option<String> {
    let full = worked.fullest()?;
    let velocity = hydraulics::full_velocity_ms(worked.n, worked.size_m, full.grade);
    if full.capacity_m3s <= 0.0 {
        let station = measure::station(worked.stations[full.index].station_m, units);
        return Some(format!("it carries nothing above {station}, where it does not fall"));
    }
    Some(format!(
        "{} of {} at {}, {:.0} % full, {} when full",
        units.flow(full.required_m3s),
        units.flow(full.capacity_m3s),
        units.grade(full.grade),
        full.share() * 100.0,
        units.velocity(velocity)
    ))
}

/// Why no grade line holds every limit, and what would free it.
pub fn clash(plan: &Plan, clash: &Clash) -> String {
    let units = plan.title.units;
    let name = |id: LineId| plan.lines.get(&id).map_or("a line", |line| line.name.as_str());
    let station = measure::station(clash.station_m, units);
    let what = match clash.limit {
        Limit::TooHigh => format!("{} lies {} too high at {station}", name(clash.line), units.depth(clash.by_m)),
        Limit::TooLow => format!("{} lies {} too deep at {station}", name(clash.line), units.depth(clash.by_m)),
        Limit::Joint => {
            format!("{} cannot reach its fixed level from its joint at a grade that is allowed", name(clash.line))
        }
    };
    let way = |way: &Way| match *way {
        Way::LowerOutlet(_, by_m) => format!("outlet {} lower", units.depth(by_m)),
        Way::RaiseOutlet(_, by_m) => format!("outlet {} higher", units.depth(by_m)),
        Way::Deeper(line, at_m, by_m) => {
            format!("{} more cut at {} of {}", units.depth(by_m), measure::station(at_m, units), name(line))
        }
        Way::Larger(line, size_m) => format!("{} for {}", units.pipe(size_m), name(line)),
    };
    let ways: Vec<String> = clash.ways.iter().map(way).collect();
    match ways.is_empty() {
        true => format!("No grade line holds every limit: {what}. Free a fixed level, or change a limit."),
        false => format!("No grade line holds every limit: {what}. What would free it: {}.", ways.join("; or ")),
    }
}

/// The edit that fixes every grade line and size as it was found.
pub fn fix_edit(plan: &Plan, design: &Design) -> Edit {
    let fixed = fixed(plan, design);
    let lines = fixed.lines.into_iter().map(|(id, line)| Change::Line(id, Some(line)));
    let outlets = fixed.outlets.into_iter().map(|(id, outlet)| Change::Outlet(id, Some(outlet)));
    Edit { label: "Fix every level as it is".into(), changes: lines.chain(outlets).collect() }
}

/// The plan with its grade lines and sizes fixed as they were found: every grade break a level fixed by hand.
pub fn fixed(plan: &Plan, design: &Design) -> Plan {
    let mut fixed = plan.clone();
    for (id, line) in &mut fixed.lines {
        let Some(worked) = design.lines.get(id).filter(|_| !line.kind.is_old()) else { continue };
        (line.size_m, line.size_by) = (worked.size_m, SizeBy::Hand);
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
