//! The yearly care list: what of a drained field is looked at, where it is, and what to do there.

use design::{Design, Origin};
use measure::Point;
use plan::{NoteOn, Plan, Spot, StructureKind};

use crate::found::outlet_of;
use crate::{Tie, corners, place_of, tie};

/// Something that is looked at every year.
#[derive(Debug, Clone, PartialEq)]
pub struct Care {
    /// What it is: "outlet O1", "silt trap on M1".
    pub what: String,
    /// Where, as told on the plan: "M1 2+50"; empty where it lies on no line.
    pub station: String,
    /// Where it is.
    pub at: Point,
    /// Level there, metres: invert of the pipe, where known.
    pub level_m: Option<f64>,
    /// So far from two corners of the field.
    pub tie: Option<Tie>,
    /// What to do.
    pub task: &'static str,
    /// By what source.
    pub source: &'static str,
    /// What the record says of it, latest first: flows seen, repairs, care.
    pub told: Vec<String>,
}

/// A note or flow belongs to what lies within so far of it, metres ([judgement]).
const NEAR_M: f64 = 10.0;

/// The list: outlets, then line by line what stands on it, then repairs.
pub fn care_list(plan: &Plan, design: &Design) -> Vec<Care> {
    let corners = plan.field.as_ref().map(|field| corners(&field.ring)).unwrap_or_default();
    let mut list: Vec<Care> =
        plan.outlets.iter().map(|(id, outlet)| outlet_care(plan, design, (*id, outlet))).collect();
    for (id, line) in &plan.lines {
        let Some(worked) = design.lines.get(id) else { continue };
        for stands in &line.structures {
            let Some(station) = worked.at(stands.station_m) else { continue };
            let (task, source) = task(stands.kind);
            list.push(Care {
                what: format!("{} on {}", stands.kind.word(), line.name),
                station: format!("{} {}", line.name, measure::station(stands.station_m, plan.title.units)),
                at: station.at,
                level_m: station.invert_m,
                tie: None,
                task,
                source,
                told: Vec::new(),
            });
        }
    }
    list.extend(repairs(plan));
    for care in &mut list {
        care.tie = tie(&corners, care.at);
        care.told.extend(notes_near(plan, care.at));
    }
    list
}

fn outlet_care(plan: &Plan, design: &Design, (id, outlet): (plan::OutletId, &plan::Outlet)) -> Care {
    let task = match outlet.guard {
        true => {
            "at high flow: guard in place and clear, bank and pipe sound, free fall to the water, no silt or roots"
        }
        false => {
            "at high flow: it has no guard, look for animals; bank and pipe sound, free fall to the water, no silt or roots"
        }
    };
    let mut flows: Vec<&plan::OutletFlow> = plan.record.flows.iter().filter(|flow| flow.outlet == id).collect();
    flows.sort_by(|a, b| b.taken.at.cmp(&a.taken.at));
    Care {
        what: format!("outlet {}", outlet.name),
        station: String::new(),
        at: outlet.at,
        level_m: Some(design.outlet_invert_m(id, outlet)),
        tie: None,
        task,
        source: "[WISC]",
        told: flows.into_iter().map(|flow| flow_words(plan, design, flow)).collect(),
    }
}

/// What is done with what stands on a line.
const fn task(kind: StructureKind) -> (&'static str, &'static str) {
    match kind {
        StructureKind::OpenInlet(_) => ("clear the riser and its guard after storms", "[WISC]"),
        StructureKind::BlindInlet(_) => {
            ("see that water still goes down through the stone; renew it where it stands", "[WISC]")
        }
        StructureKind::SiltTrap => ("measure the silt and empty it before it reaches the pipe", "[WISC]"),
        StructureKind::JunctionBox(_) => ("open the lid, measure the silt, see that every pipe runs", "[WISC]"),
        StructureKind::Breather | StructureKind::ReliefWell => {
            ("see that it stands, is open and its guard is on", "[judgement]")
        }
        StructureKind::Drop => ("look for a hole or a soft place over it", "[judgement]"),
    }
}

/// Places where something was repaired: looked at again.
fn repairs(plan: &Plan) -> Vec<Care> {
    let repaired = plan.record.notes.iter().filter(|note| note.on == NoteOn::Repair);
    let care = |note: &plan::FieldNote| {
        let spot = note.spot.as_ref()?;
        let station = match spot {
            Spot::Station { line, station_m } => {
                let name = &plan.lines.get(line)?.name;
                format!("{name} {}", measure::station(*station_m, plan.title.units))
            }
            Spot::Place(_) => String::new(),
        };
        Some(Care {
            what: "repair".into(),
            station,
            at: place_of(plan, spot)?,
            level_m: None,
            tie: None,
            task: "look for a wet spot or a hole over it",
            source: "[judgement]",
            told: Vec::new(),
        })
    };
    repaired.filter_map(care).collect()
}

/// What repairs and care were noted near a place, latest first.
fn notes_near(plan: &Plan, at: Point) -> Vec<String> {
    let about = plan.record.notes.iter().filter(|note| matches!(note.on, NoteOn::Repair | NoteOn::Care));
    let near = about.filter(|note| {
        let place = note.spot.as_ref().and_then(|spot| place_of(plan, spot));
        place.is_some_and(|place| measure::distance(place, at) <= NEAR_M)
    });
    let mut near: Vec<&plan::FieldNote> = near.collect();
    near.sort_by(|a, b| b.taken.at.cmp(&a.taken.at));
    near.iter().map(|note| format!("{}, {}: {}", note.taken.at, note.taken.by, note.says)).collect()
}

/// Land that an outlet drains: that of every line whose water comes to it, square metres.
pub fn drained_m2(plan: &Plan, design: &Design, outlet: plan::OutletId) -> f64 {
    let lines = design.lines.iter().filter(|(id, _)| outlet_of(plan, design, **id) == Some(outlet));
    let own =
        lines.flat_map(|(_, worked)| &worked.inflows).filter(|inflow| !matches!(inflow.origin, Origin::Branch(_)));
    own.map(|inflow| inflow.area_m2).sum()
}

/// A flow as seen, in words: "2031-04-02, R. Wren: 0.030 cfs, 0.12 in/day over 5.9 ac; clear".
pub fn flow_words(plan: &Plan, design: &Design, flow: &plan::OutletFlow) -> String {
    let units = plan.title.units;
    let ran = match flow.running {
        plan::Running::Unknown => "looked at".into(),
        plan::Running::Dry => "dry".into(),
        plan::Running::Runs => "runs, not measured".into(),
        plan::Running::Flow(m3s) => {
            let area_m2 = drained_m2(plan, design, flow.outlet);
            let over = (area_m2 > 0.0)
                .then(|| format!(", {} over {}", units.coefficient(m3s / area_m2), units.area(area_m2)));
            format!("{}{}", units.flow(m3s), over.unwrap_or_default())
        }
    };
    let ran_at_all = !matches!(flow.running, plan::Running::Dry | plan::Running::Unknown);
    let look = match (ran_at_all, flow.cloudy) {
        (_, true) => "; CLOUDY: soil comes with the water, look for a broken pipe or an open joint",
        (true, false) => "; clear",
        (false, false) => "",
    };
    let note = if flow.note.is_empty() { String::new() } else { format!("; {}", flow.note) };
    format!("{}, {}: {ran}{look}{note}", flow.taken.at, flow.taken.by)
}
