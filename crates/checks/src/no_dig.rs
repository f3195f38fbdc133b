//! Where nobody digs: round what is buried and not cleared. A finding of a utility cannot be taken on "all the same"; its
//! stretch is left out of the digging until it is lifted.

use measure::{Point, segments};
use plan::{Landmark, LineId, Plan};

use crate::Finding;
use crate::finding::Severity;
use crate::list::SAME_PLACE_M;
use crate::rules::parts_near;
use crate::site::LEVEL_TOLERANCE_M;
use crate::stretch::{Stretch, join};

/// Checks whose findings keep a stretch from being dug: no ticket, too little room, depth not known. What runs beside a
/// utility is to be decided and is no crossing.
const CHECKS: [u16; 3] = [64, 65, 118];

impl Finding {
    /// True where the finding lets nobody dig at its place, whatever was signed: a utility that is not cleared.
    pub fn is_no_dig(&self) -> bool {
        self.severity == Severity::Block && CHECKS.contains(&self.check) && self.line.is_some()
    }

    /// The stretches of its line that nobody digs, stations in metres: the way on which the ground beside the mark is opened
    /// by hand, at every crossing that the finding stands for.
    pub fn no_dig(&self, plan: &Plan) -> Vec<(f64, f64)> {
        let Some((id, station_m)) = self.line.zip(self.from_m).filter(|_| self.is_no_dig()) else {
            return Vec::new();
        };
        let Some(mark) = self.landmark.and_then(|id| plan.landmarks.get(&id)) else { return Vec::new() };
        let course = plan.lines.get(&id).map_or(&[][..], |line| &line.points);
        // Crossings this near to each other are one finding.
        let hits = measure::crossings(course, &mark.outline.path()).into_iter();
        let hits = hits.map(|(hit_m, _)| hit_m).filter(|hit_m| (hit_m - station_m).abs() <= SAME_PLACE_M);
        let parts = hits.chain([station_m]).map(|hit_m| hand_dug(plan, id, mark, hit_m));
        let parts = parts.map(|(from_m, to_m)| Stretch { from_m, to_m, worst_m: station_m, worst: 0.0 });
        let mut parts: Vec<Stretch> = parts.collect();
        parts.sort_by(|x, y| x.from_m.total_cmp(&y.from_m));
        join(parts, LEVEL_TOLERANCE_M).iter().map(|part| (part.from_m, part.to_m)).collect()
    }
}

/// The stretch about a crossing on which the line lies so near to a mark that the ground is opened by hand, stations in
/// metres. Square across that is the width of the zone to either side, askew it is longer.
pub(crate) fn hand_dug(plan: &Plan, id: LineId, mark: &Landmark, station_m: f64) -> (f64, f64) {
    let points: &[Point] = plan.lines.get(&id).map_or(&[], |line| &line.points);
    let (reach_m, length_m) = (plan.criteria.hand_dig_m, measure::path_length(points));
    let edges = segments(0, &mark.outline.path());
    let own = segments(id.0, points);
    let near = own.iter().flat_map(|own| edges.iter().flat_map(|edge| parts_near(own, edge, reach_m)));
    let mut near: Vec<Stretch> = near.collect();
    near.sort_by(|x, y| x.from_m.total_cmp(&y.from_m));
    let here =
        |part: &&Stretch| (part.from_m - LEVEL_TOLERANCE_M..=part.to_m + LEVEL_TOLERANCE_M).contains(&station_m);
    let parts = join(near, LEVEL_TOLERANCE_M);
    match parts.iter().find(here) {
        Some(part) => (part.from_m, part.to_m),
        None => ((station_m - reach_m).max(0.0), (station_m + reach_m).min(length_m)),
    }
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;
    use plan::{LandmarkKind, Utility};

    use crate::job::{Job, along};
    use crate::{Finding, punch_list};

    fn feet(parts: &[(f64, f64)]) -> Vec<(f64, f64)> {
        let round = |m: f64| (m / FOOT_M * 100.0).round() / 100.0;
        parts.iter().map(|(from_m, to_m)| (round(*from_m), round(*to_m))).collect()
    }

    /// The findings of a main of 300 ft with a gas line without ticket on a course.
    fn found(course: &[(f64, f64)]) -> (Job, Vec<Finding>) {
        let mut job = Job::new();
        job.main(300.0);
        let depth_m = Some(1.0 * FOOT_M);
        job.mark("G1", LandmarkKind::Utility(Utility { depth_m, ..Utility::default() }), along(course));
        let design = job.design();
        let found =
            punch_list(&job.plan, &design, &land::Land::default()).into_iter().filter(Finding::is_no_dig).collect();
        (job, found)
    }

    /// Square across 2 ft to either side; at 30° to the line 2 ft ÷ sin 30° = 4 ft; at the end of the line what there is.
    #[test]
    fn the_hand_dug_way_at_a_crossing() {
        for (course, wanted) in [
            (vec![(120.0, -50.0), (120.0, 50.0)], (118.0, 122.0)),
            (vec![(120.0 - 50.0 * 3f64.sqrt(), -50.0), (120.0 + 50.0 * 3f64.sqrt(), 50.0)], (116.0, 124.0)),
            (vec![(299.0, -50.0), (299.0, 50.0)], (297.0, 300.0)),
        ] {
            let (job, found) = found(&course);
            assert_eq!(found.len(), 1);
            assert_eq!(feet(&found[0].no_dig(&job.plan)), [wanted]);
        }
    }

    /// A line that comes back 4 ft on is one finding, and both crossings are kept from digging.
    #[test]
    fn a_crossing_under_another_is_not_forgotten() {
        let (job, found) = found(&[(120.0, -50.0), (120.0, 50.0), (124.0, 50.0), (124.0, -50.0)]);
        assert_eq!(found.len(), 1);
        assert_eq!(feet(&found[0].no_dig(&job.plan)), [(118.0, 126.0)]);
    }

    /// A name under it lifts nothing: only what the finding asks for does.
    #[test]
    fn accepted_by_name_it_still_keeps_from_digging() {
        let (mut job, found) = found(&[(120.0, -50.0), (120.0, 50.0)]);
        let signed = plan::Signature { by: "A".into(), on: "2031-04-02".into(), because: "b".into() };
        job.plan.acceptances.push(found[0].acceptance(&signed));
        let design = job.design();
        let list = punch_list(&job.plan, &design, &land::Land::default());
        let accepted = list.iter().find(|finding| finding.check == 64).unwrap();
        assert!(accepted.accepted.is_some() && !accepted.blocks() && accepted.is_no_dig());
        assert_eq!(feet(&accepted.no_dig(&job.plan)), [(118.0, 122.0)]);
    }
}
