//! Check 62, a box in traffic.

use measure::ring_holds;
use plan::{BoxFacts, LandmarkKind, Line, LineId, Outline, Structure, StructureKind};

use super::inlet_not_sized::change;
use super::soil::off_m;
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 62,
    slug: "box-in-traffic",
    title: "Box in traffic",
    manual: "A junction box within 3 ft of a row or on a lane, with its lid less than 18 in below the ground. Wheels and \
             plows break it, and nobody finds it again. Boxes in the headland pass. Figures are judgments. To decide.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let of_line = |(id, line, _): (LineId, &Line, &design::LineDesign)| {
        line.structures.iter().filter_map(|s| finding(site, id, line, s)).collect::<Vec<_>>()
    };
    site.new_lines().flat_map(of_line).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, structure: &Structure) -> Option<Finding> {
    let StructureKind::JunctionBox(facts) = structure.kind else { return None };
    let (lid_m, at) = (site.plan.criteria.box_lid_m, site.point(id, structure.station_m));
    if facts.lid_depth_m >= lid_m - LEVEL_TOLERANCE_M || !in_the_way(site, at) {
        return None;
    }
    let [lid, wanted] = site.units().depths(facts.lid_depth_m, lid_m);
    let message = format!(
        "The box on {} at {} stands in a lane with its lid {lid} down; wanted {wanted}.",
        line.name,
        site.station(structure.station_m)
    );
    let own = *structure;
    Some(
        Finding::new(&RULE, Severity::Decide, at, "A box stands in a lane".into(), message)
            .on(id, structure.station_m, structure.station_m)
            .misses(facts.lid_depth_m, lid_m)
            .offers(move |site| {
                let said = site.units().said_up(lid_m);
                let kind = StructureKind::JunctionBox(BoxFacts { lid_depth_m: said.value, ..facts });
                let at = format!("the box at {} of {}", site.station(own.station_m), site.name(id));
                change(site, id, format!("Set the lid of {at} {} down", said.text), own, kind).into_iter().collect()
            }),
    )
}

/// True on a lane, and among rows within reach of one.
fn in_the_way(site: &Site, at: measure::Point) -> bool {
    let near_m = site.plan.criteria.box_near_m;
    let among_rows = |mark: &plan::Landmark| {
        let (Some(block), Outline::Around(ring)) = (mark.kind.rows(), &mark.outline) else { return false };
        ring_holds(ring, at) && block.rows(ring).iter().any(|row| off_m(&[row.from, row.to], at) <= near_m)
    };
    let on_a_lane = |mark: &plan::Landmark| {
        let LandmarkKind::Road { width_m, .. } = mark.kind else { return false };
        match &mark.outline {
            Outline::Around(ring) => ring_holds(ring, at),
            Outline::At(_) | Outline::Along(_) => off_m(&mark.outline.path(), at) <= width_m / 2.0 + near_m,
        }
    };
    site.plan.landmarks.values().any(|mark| among_rows(mark) || on_a_lane(mark))
}

#[cfg(test)]
mod tests {
    use measure::{FOOT_M, INCH_M};
    use plan::Rows;

    use super::*;
    use crate::job::{Job, around};

    /// Rows 9 ft apart from x = 91 on: 100 ft is a row; a box on it is in the way unless its lid lies 18 in down.
    #[test]
    fn on_a_row() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        let with = |lid_depth_m: f64| {
            let facts = BoxFacts { lid_depth_m, out_invert_m: None };
            vec![Structure { station_m: 100.0 * FOOT_M, kind: StructureKind::JunctionBox(facts) }]
        };
        job.change(m1, |line| line.structures = with(0.0));
        assert!(job.found(&RULE).is_empty());
        job.mark("B1", LandmarkKind::Rows(Rows::default()), around(91.0, -40.0, 200.0, 40.0));
        assert!(job.only(&RULE).message.starts_with("The box on M1 at 1+00 stands in a lane"));
        job.change(m1, |line| line.structures = with(18.0 * INCH_M));
        assert!(job.found(&RULE).is_empty());
    }
}
