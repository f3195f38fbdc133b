//! Check 61, level of a box.

use plan::{BoxFacts, Line, LineId, Structure, StructureKind};

use super::inlet_not_sized::change;
use crate::offer::Offer;
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// Joints so near to a box are in it, metres (judgement).
const IN_BOX_M: f64 = 1.0;

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 61,
    slug: "box-holds-water",
    title: "Box level",
    manual: "The outgoing invert of a junction box lies above the lowest that comes in, so that pipe stands in water. \
             State construction manual. To fix before digging.",
    source: "[IOWADOT]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let of_line = |(id, line, _): (LineId, &Line, &design::LineDesign)| {
        line.structures.iter().filter_map(|s| finding(site, id, line, s)).collect::<Vec<_>>()
    };
    site.new_lines().flat_map(of_line).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, structure: &Structure) -> Option<Finding> {
    let StructureKind::JunctionBox(BoxFacts { out_invert_m: Some(out_m), .. }) = structure.kind else { return None };
    let (_, worked) = site.line(id)?;
    let own_m = worked.at(structure.station_m)?.invert_m;
    let in_box =
        |joint: &&&design::Joint| joint.main == id && (joint.station_m - structure.station_m).abs() <= IN_BOX_M;
    let branches = site.joints.iter().filter(in_box).filter_map(|joint| joint.branch_invert_m);
    let lowest_m = branches.chain(own_m).reduce(f64::min)?;
    let held_m = out_m - lowest_m;
    let place = site.station(structure.station_m);
    let holds = site.units().depths(held_m, 0.0)[0].clone();
    let message = format!("The box on {} at {place} would hold {holds} of water in the pipe.", line.name);
    let (own, at) = (*structure, structure.station_m);
    (held_m > LEVEL_TOLERANCE_M).then(|| {
        Finding::new(&RULE, Severity::Block, site.point(id, at), "A box holds water".into(), message)
            .on(id, at, at)
            .amount(format!("holds {holds}"))
            .offers(move |site| lowered(site, id, own, lowest_m).into_iter().collect())
    })
}

/// Offers that the box lets out no higher than the lowest that comes in.
fn lowered<'s>(site: &'s Site, id: LineId, own: Structure, lowest_m: f64) -> Option<Offer<'s>> {
    let StructureKind::JunctionBox(facts) = own.kind else { return None };
    let units = site.units();
    let level = units.said_down(lowest_m);
    let kind = StructureKind::JunctionBox(BoxFacts { out_invert_m: Some(level.value), ..facts });
    let label = format!("Let the box at {} of {} out at {}", site.station(own.station_m), site.name(id), level.text);
    change(site, id, label, own, kind)
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;

    use super::*;
    use crate::job::Job;

    /// M1 lies at 100.50 at 1+00; the box lets out at 100.80.
    #[test]
    fn three_tenths_held() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.pin(m1, 200.0, 101.0);
        let with = |level_ft: f64| {
            let facts = BoxFacts { out_invert_m: Some(level_ft * FOOT_M), lid_depth_m: 0.0 };
            vec![Structure { station_m: 100.0 * FOOT_M, kind: StructureKind::JunctionBox(facts) }]
        };
        job.change(m1, |line| line.structures = with(100.4));
        assert!(job.found(&RULE).is_empty());
        job.change(m1, |line| line.structures = with(100.8));
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "The box on M1 at 1+00 would hold 0.30 ft of water in the pipe.");
        assert!(job.mended(&finding).found(&RULE).is_empty());
    }
}
