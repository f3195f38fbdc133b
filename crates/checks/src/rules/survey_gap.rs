//! Check 103, a stretch of line without levels.

use measure::FOOT_M;
use plan::{Line, LineId};

use crate::{Finding, Rule, Severity, Site};
use land::{GAP_M, Surveyed, gaps};

/// A shot no farther from the line than this tells of the ground on it, metres: 50 ft.
const BESIDE_M: f64 = 50.0 * FOOT_M;

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 103,
    slug: "survey-gap",
    title: "Gap on a line",
    manual: "Two successive shots within 50 ft (15 m) of a designed line stand more than 100 ft (30 m) apart along it; \
             the line's ends count as shots. The hole is mostly in the swale, where it matters. Lidar fills a gap only \
             once it was held against five levels or more and sits within 0.3 ft of them (check 100). Silent where \
             there are no shots at all. To decide, one for each line.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let Some(survey) = site.land.survey.as_deref().filter(|survey| !survey.shots.is_empty()) else {
        return Vec::new();
    };
    site.new_lines().filter_map(|(id, line, _)| finding(site, survey, id, line)).collect()
}

fn finding(site: &Site, survey: &Surveyed, id: LineId, line: &Line) -> Option<Finding> {
    let stations = survey.stations_beside(&line.points, BESIDE_M);
    let bare = gaps(&stations, (0.0, line.length_m()), GAP_M + crate::site::LEVEL_TOLERANCE_M).into_iter();
    let bare: Vec<(f64, f64)> = bare.filter(|gap| !lidar_fills(site, survey, id, *gap)).collect();
    let longest = bare.iter().copied().reduce(|x, y| if y.1 - y.0 > x.1 - x.0 { y } else { x })?;
    let name = &line.name;
    let length = site.length(longest.1 - longest.0);
    let message = format!("No levels along {length} of {name}, {}.", site.stretch(longest.0, longest.1));
    let places = bare.iter().map(|gap| {
        site.place(id, *gap, (gap.0 + gap.1) / 2.0, &format!("{} without levels", site.length(gap.1 - gap.0)))
    });
    let at = site.point(id, (longest.0 + longest.1) / 2.0);
    Some(
        Finding::new(&RULE, Severity::Decide, at, format!("No levels along {length} of {name}"), message)
            .once_on(id, longest.0, longest.1)
            .amount(format!("{length} without levels"))
            .gathers(places.collect())
            .advises(format!("Shoot points there, no farther apart than {}, and add them.", site.length(GAP_M))),
    )
}

/// True where lidar that agrees with the levels lies under the whole gap, its ends apart, where shots stand.
fn lidar_fills(site: &Site, survey: &Surveyed, id: LineId, (from_m, to_m): (f64, f64)) -> bool {
    const LOOKS: usize = 16;
    let step_m = (to_m - from_m) / LOOKS as f64;
    let covered = |lidar: &terrain::Grid| {
        (1..LOOKS).all(|i| lidar.elevation(site.point(id, from_m + i as f64 * step_m)).is_some())
    };
    survey.lidar_is_trusted() && site.land.lidar().is_some_and(covered)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, stations_ft};

    /// A 400-ft main with shots beside it at the given stations.
    fn job(stations: &[f64], aside_ft: f64) -> Job {
        let mut job = Job::new();
        job.main(400.0);
        job.batch("A", &stations.iter().map(|x| (*x, aside_ft, 104.0)).collect::<Vec<_>>());
        job
    }

    /// The worked example Tarrow End: successive shots 140 ft apart along the line.
    #[test]
    fn a_hole_of_140_feet() {
        let job = job(&[0.0, 60.0, 130.0, 270.0, 330.0, 390.0], 30.0);
        let finding = job.only(&RULE);
        assert_eq!(stations_ft(&finding), (130.0, 270.0));
        assert_eq!(finding.message, "No levels along 140 ft of M1, from 1+30 to 2+70.");
        assert_eq!(finding.places.len(), 1);
    }

    /// 100 ft passes, the ends count, and shots 51 ft off tell nothing.
    #[test]
    fn limits() {
        assert!(job(&[90.0, 190.0, 290.0, 390.0], 49.0).found(&RULE).is_empty());
        assert_eq!(stations_ft(&job(&[110.0, 190.0, 290.0, 390.0], 0.0).only(&RULE)), (0.0, 110.0));
        assert_eq!(stations_ft(&job(&[90.0, 190.0, 290.0, 390.0], 51.0).only(&RULE)), (0.0, 400.0));
        let mut bare = Job::new();
        bare.main(400.0);
        assert!(bare.found(&RULE).is_empty());
    }

    /// Lidar fills the hole once it was held against the shots and no shift is left; where it has no levels it does not.
    #[test]
    fn lidar_fills_it_when_its_shift_is_accepted() {
        let mut job = job(&[0.0, 60.0, 130.0, 270.0, 330.0, 390.0], 30.0);
        job.lidar((-50.0, -50.0), (450.0, 100.0), |_, _| 103.5);
        assert!(job.only(&RULE).advice.starts_with("Shoot points there"));
        let shift = plan::Remedy::Shift { batch: "A".into(), by_m: -0.5 * FOOT_M };
        assert!(job.corrected(shift.clone()).found(&RULE).is_empty());
        job.lidar((-50.0, -50.0), (450.0, 100.0), |x, _| if (180.0..200.0).contains(&x) { f64::NAN } else { 103.5 });
        assert_eq!(job.corrected(shift).found(&RULE).len(), 1);
    }
}
