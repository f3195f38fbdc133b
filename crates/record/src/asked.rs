//! What must be asked and done before a choice on old tile is carried out, and what the record still lacks of it.

use design::Design;
use plan::{Condition, Decision, Find, Owner, Plan, Running};

use crate::Trench;
use crate::found::outlet_of;

/// What must be asked first, whose water it is, and what the choice asks for in the trench, in sentences. General, no legal
/// advice ([LAW-IA], [LAW-NY]).
pub fn asked(trench: &Trench, what: Decision, design: &Design) -> Vec<String> {
    let find = trench.find;
    let whose = match (find.from_beyond, what) {
        (true, Decision::Bridge) => {
            "Its water comes from beyond the boundary; kept as it is, nobody's water changes."
        }
        (true, _) => {
            "Its water comes from beyond the boundary: ask whose it is, there may be a right to it. Do not plug it before."
        }
        (false, Decision::Plug) => "Make sure that nothing arrives from above: somebody's water may depend on it.",
        (false, _) => "",
    };
    let mut says = vec![whose.to_string()];
    says.extend(seen(trench, what).into_iter().map(String::from));
    if what.brings_water() && trench.find.from_beyond | trench.brings_more() {
        says.extend(outlets_owner(trench.plan, design, trench));
    }
    says.push(in_the_trench(what).into());
    says.retain(|say| !say.is_empty());
    says
}

/// What must be looked at before.
fn seen(trench: &Trench, what: Decision) -> Vec<&'static str> {
    let find = trench.find;
    let brings = what.brings_water();
    let asks = [
        (trench.is_guess, "Find out which way it falls: look into both cut ends; dye or a hose tells."),
        (find.invert_m.is_none() && brings, "Shoot its invert."),
        (find.size_m.is_none() && brings, "Measure its inside."),
        (
            find.condition == Condition::Unknown && what == Decision::Join,
            "Look inside: its condition must be known before it is joined.",
        ),
        (
            find.condition == Condition::Poor && what == Decision::Join,
            "It is in poor condition: its soil and pieces would come into the new pipe.",
        ),
        (find.upstream_m2.is_none() && brings, "Estimate the land above it: what it brings is not counted."),
        (
            find.running == Running::Unknown && matches!(what, Decision::Plug | Decision::Bypass),
            "Nobody saw whether it runs: look after rain.",
        ),
        (
            what == Decision::Plug && matches!(find.running, Running::Runs | Running::Flow(_)),
            "It runs: trace it, and do not plug it before.",
        ),
    ];
    asks.into_iter().filter_map(|(asks, says)| asks.then_some(says)).collect()
}

/// What the choice takes in the trench.
fn in_the_trench(what: Decision) -> &'static str {
    match what {
        Decision::Join => "Close the lower cut end. Firm bedding under the joint, and the joint wrapped.",
        // ([TOLONO]: 10 ft into undisturbed ground to each side.)
        Decision::Bridge => {
            "Solid pipe on firm bedding, 10 ft (3 m) into undisturbed ground on each side; its 20 ft (6 m) are not in the sum."
        }
        Decision::Replace => "Meet the old line's upper end at or below its invert, and close what is left of it.",
        Decision::Bypass => "Draw the solid line that leads it round the block: it is not in the sum.",
        Decision::Plug => "Close both cut ends, so that it cannot suck soil.",
    }
}

/// Who must agree to more water at the outlet.
fn outlets_owner(plan: &Plan, design: &Design, trench: &Trench) -> Option<String> {
    let id = outlet_of(plan, design, trench.on.line)?;
    let outlet = plan.outlets.get(&id).filter(|outlet| outlet.owner != Owner::Own && !outlet.consent)?;
    let whose = if outlet.owner == Owner::Other { "is somebody else's" } else { "may be somebody else's" };
    Some(format!("More water comes to {}, which {whose}: ask its owner.", outlet.name))
}

impl Trench<'_> {
    /// True where it may bring water that the plan does not count yet.
    fn brings_more(&self) -> bool {
        self.brings().design_m3s.1 > 0.0
    }
}

/// What the record lacks of a find: photo, size, direction, decision ([OH-9]).
pub fn lacks(plan: &Plan, find: &Find) -> Vec<&'static str> {
    let has_photo = plan.record.photos.iter().any(|photo| photo.of == find.key);
    let all = [
        (!has_photo, "photo"),
        (find.size_m.is_none(), "size"),
        (find.falls_deg.is_none(), "direction"),
        (find.decided.is_none(), "decision"),
    ];
    all.into_iter().filter_map(|(lacks, what)| lacks.then_some(what)).collect()
}
