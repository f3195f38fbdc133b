//! What is advised to be done in the field and entered: entered, the finding is gone.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "helpers of tests may stop the test")]

use std::collections::BTreeMap;

use crate::mutants::{Place, demo_fields, for_each, small_plans, with_mistakes};
use checks::Finding;
use measure::{Point, parse_length};
use plan::{
    Cause, Condition, Evidence, Exposed, Landmark, LandmarkKind, LeadsTo, Line, LineKind, OldTile, Outlet, Outline,
    Owner, Pit, Plan, Pump, Receiving, Served, SoilLayer, Texture, Utility,
};

/// Enters in a plan what a finding advises; false for advice that is no plain entry.
fn enter(plan: &mut Plan, finding: &Finding) -> bool {
    let advice = finding.advice.as_str();
    let says = |start: &str| advice.contains(start);
    outlet_entered(plan, finding, &says) || line_entered(plan, finding, &says) || land_entered(plan, finding, &says)
}

fn outlet_entered(plan: &mut Plan, finding: &Finding, says: &dyn Fn(&str) -> bool) -> bool {
    let units = plan.title.units;
    let ids = finding.outlet.map_or_else(|| plan.outlets.keys().copied().collect(), |id| vec![id]);
    let mut each = |change: &dyn Fn(&mut Outlet)| {
        ids.iter().for_each(|id| change(plan.outlets.get_mut(id).unwrap()));
        true
    };
    // "… until O1 lies 1.00 ft above it …"
    let above = finding.advice.split(" lies ").nth(1).and_then(|rest| rest.split(" above it does too").next());
    if let Some(above_m) = above.filter(|_| says("enter its levels then")).and_then(|a| parse_length(a, units).ok()) {
        return each(&|outlet| {
            let level_m = Some(outlet.invert_m - above_m);
            (outlet.channel_bottom_m, outlet.low_water_m) = (level_m, level_m);
        });
    }
    match () {
        () if says("look for marks, and enter the level") => each(&|o| o.flood_m = Some(o.invert_m - 0.05)),
        () if says("Measure it in the wet season and enter it") => each(&|o| o.low_water_m = Some(o.invert_m - 1.0)),
        () if says("enter that it is your own") => each(&|o| o.owner = Owner::Own),
        () if says("consent") => each(&|o| o.consent = true),
        () if says("enter the name of the photo") => each(&|o| o.photo = "outlet.jpg".into()),
        () if says("Plan it, and enter that it is there") => {
            each(&|o| o.leads_to = LeadsTo::Pump(Pump { storage: true, switch: true, power: true }))
        }
        () if says("Where it does no harm, enter that") => each(&|o| o.backwater_accepted = true),
        () if says("Measure what it can take") || says("enter what it can take then") => each(&|outlet| {
            if let LeadsTo::Pipe(pipe) = outlet.leads_to {
                outlet.leads_to = LeadsTo::Pipe(Receiving { free_m3s: Some(10.0), ..pipe });
            }
        }),
        () => false,
    }
}

fn line_entered(plan: &mut Plan, finding: &Finding, says: &dyn Fn(&str) -> bool) -> bool {
    let mut own = |change: &dyn Fn(&mut Line)| {
        change(plan.lines.get_mut(&finding.line.unwrap()).unwrap());
        true
    };
    match () {
        () if says("enter the area") => return own(&|line| line.served = Served::Area(5_000.0)),
        () if says("Enter how far it will settle") => return own(&|line| line.bed.settlement_m = Some(0.0)),
        () if says("Ask the maker") => return own(&|line| line.bed.maker_depth_m = Some(30.0)),
        () => {}
    }
    let mut old = |change: &dyn Fn(&mut OldTile)| {
        for line in plan.lines.values_mut() {
            if let LineKind::OldTile(old) = &mut line.kind {
                change(old);
            }
        }
        true
    };
    match () {
        () if says("and enter its condition") => old(&|old| old.condition = Condition::Good),
        () if says("and enter it with the old tile") => old(&|old| old.upstream_m2 = Some(2_000.0)),
        () if says(" seen when it is found") => old(&|old| old.evidence = Evidence::Seen),
        () => false,
    }
}

fn land_entered(plan: &mut Plan, finding: &Finding, says: &dyn Fn(&str) -> bool) -> bool {
    let mut marks = |change: &dyn Fn(&mut LandmarkKind)| {
        plan.landmarks.values_mut().for_each(|mark| change(&mut mark.kind));
        true
    };
    match () {
        () if says("Ask the road authority") => marks(&|kind| {
            if let LandmarkKind::Road { permission, .. } = kind {
                *permission = true;
            }
        }),
        () if says("Ask the neighbor, and enter") => marks(&|kind| {
            if let LandmarkKind::Neighbour { agreed } = kind {
                *agreed = true;
            }
        }),
        () if says("Ask, and enter what was said") => marks(&|kind| {
            if let LandmarkKind::SiteFlag { decision } = kind {
                *decision = "may be crossed".into();
            }
        }),
        () if says("enter who saw it, when, and the levels of its top and underside") => marks(&|kind| {
            if let LandmarkKind::Utility(utility) = kind {
                // Far over every pipe: what is tried is that a level that was seen counts.
                let (by, on) = ("R. Sund".into(), "2031-04-02".into());
                utility.exposed = Some(Exposed { by, on, top_m: 1_000.0, bottom_m: 999.9 });
            }
        }),
        () if says("enter how deep its top lies") || says("how deep it lies, and enter it") => marks(&|kind| {
            if let LandmarkKind::Utility(Utility { depth_m, size_m, .. })
            | LandmarkKind::Irrigation { depth_m, size_m } = kind
            {
                (*depth_m, *size_m) = (depth_m.or(Some(0.3)), size_m.or(Some(0.05)));
            }
        }),
        () if says("enter the ticket and its last day") => marks(&|kind| {
            if let LandmarkKind::Utility(utility) = kind {
                (utility.ticket, utility.valid_until) = ("12-345".into(), Some("2099-12-31".into()));
            }
        }),
        () if says("Choose a cause for each") => marks(&|kind| {
            if let LandmarkKind::WetArea { cause, .. } = kind {
                *cause = cause.or(Some(Cause::Unknown));
            }
        }),
        () if says("and enter the setback") => marks(&|kind| {
            if let LandmarkKind::Wetland { setback_m, .. } = kind {
                *setback_m = setback_m.or(Some(0.01));
            }
        }),
        () if says("delete its mark") => {
            plan.landmarks.retain(|_, mark| !finding.advice.contains(&format!("If {} is felled", mark.called())));
            true
        }
        () => brief_entered(plan, finding, says),
    }
}

fn brief_entered(plan: &mut Plan, finding: &Finding, says: &dyn Fn(&str) -> bool) -> bool {
    let wet = || LandmarkKind::WetArea { cause: Some(Cause::RunOn), leave: true };
    match () {
        () if says("tick in the brief") => {
            plan.brief.asked = plan::Asked { wells: true, septic: true, pumps: true, irrigation: true };
        }
        () if says("say so in the brief") => plan.brief.run_on_settled = true,
        () if says("that survive the digging") || says("that survives the digging") => {
            let mark = |name: &str| plan::Benchmark {
                name: name.into(),
                at: finding.at,
                level_m: 30.0,
                datum: String::new(),
            };
            plan.survey.benchmarks = vec![mark("B1"), mark("B2")];
        }
        () if says("and enter what it shows") => {
            let layer = SoilLayer::of(3.0, Texture::Loam);
            let pit = LandmarkKind::Pit(Pit { layers: vec![layer], ..Pit::default() });
            marked(plan, pit, Outline::At(finding.at));
        }
        () if says("Mark the neighbor's side") => {
            let ring = plan.field.as_ref().unwrap().ring.clone();
            let closed = ring.iter().chain(ring.first()).copied().collect();
            marked(plan, LandmarkKind::Neighbour { agreed: true }, Outline::Along(closed));
        }
        () if says("mark a wet area over it that is left") || says("mark wet areas over them that are left") => {
            let far = |x: f64, y: f64| Point::new(finding.at.x + x, finding.at.y + y);
            let around = [far(-2e3, -2e3), far(2e3, -2e3), far(2e3, 2e3), far(-2e3, 2e3)];
            marked(plan, wet(), Outline::Around(around.to_vec()));
        }
        () => return false,
    }
    true
}

fn marked(plan: &mut Plan, kind: LandmarkKind, outline: Outline) {
    let landmark = Landmark { name: "E".into(), kind, outline, note: String::new() };
    let (_, edit) = plan::add_landmark(plan, landmark);
    plan.apply(&edit).unwrap();
}

/// How often what each check advises was entered, and what stayed.
fn entered(place: &Place) -> (BTreeMap<u16, usize>, Vec<String>) {
    let (mut counts, mut stays) = (BTreeMap::new(), Vec::new());
    for finding in &place.work_out(place.plan.clone()).findings {
        let mut plan = place.plan.clone();
        if finding.advice.is_empty() || !enter(&mut plan, finding) || plan.validate().is_err() {
            continue;
        }
        *counts.entry(finding.check).or_default() += 1;
        let after = place.work_out(plan).findings;
        if after.iter().any(|other| other.key == finding.key || other.hides.contains(&finding.key)) {
            stays.push(format!("{}: {} {} {}", place.name, finding.key, finding.message, finding.advice));
        }
    }
    (counts, stays)
}

#[test]
fn what_is_entered_as_advised_clears() {
    let places = [with_mistakes(&demo_fields(), 12), with_mistakes(&small_plans(), 250)].concat();
    let (mut total, mut all) = (BTreeMap::<u16, usize>::new(), Vec::new());
    for (counts, stays) in for_each(&places, entered) {
        counts.into_iter().for_each(|(check, count)| *total.entry(check).or_default() += count);
        all.extend(stays);
    }
    println!("{total:?}");
    assert!(all.is_empty(), "{}:\n{}", all.len(), all.join("\n"));
    assert!(total.len() > 20, "{total:?}");
    assert!(total.contains_key(&65), "{total:?}");
}
