//! Check 104, a grade finer than the survey.

use design::{Graded, LineDesign};
use measure::FOOT_M;
use plan::{Line, LineId};

use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Place, Rule, Severity, Site};
use land::{GAP_M, SurfaceError, Surveyed, gaps};

/// A shot this near was taken on the line, metres: 5 ft, as for two findings in one place ([judgement]).
const ON_LINE_M: f64 = 5.0 * FOOT_M;

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 104,
    slug: "grade-below-survey",
    title: "Grade finer than the survey",
    manual: "A reach falls by less than twice the error of the surface it was designed on, so its pipe may run uphill \
             on the real ground. The error is the scatter of level shots about the lidar, each batch about its own \
             mean, for a constant shift changes no fall; without five such shots it is taken as 0.5 ft (0.15 m) and \
             called unverified. Reaches of one grade are taken together, joints or not. A reach is leveled, and no \
             longer named, once shots within 5 ft (1.5 m) of the line stand no more than 100 ft apart along it. Silent \
             where the ground comes from shots alone, and where the pipe is level or rises (checks 1 and 2). To decide, \
             one for the plan.",
    source: "[judgement]",
    find,
};

/// A stretch of one grade that falls too little.
struct Reach {
    line: LineId,
    from_m: f64,
    to_m: f64,
    fall_m: f64,
}

fn find(site: &Site) -> Vec<Finding> {
    let Some((survey, error)) = site.land.survey.as_deref().and_then(|survey| Some((survey, survey.error?))) else {
        return Vec::new();
    };
    let fine = |(id, line, worked): (LineId, &Line, &LineDesign)| {
        let reaches = reaches(id, worked).into_iter();
        let least_m = 2.0 * error.metres() - LEVEL_TOLERANCE_M;
        let mut too_fine = reaches.filter(|reach| (LEVEL_TOLERANCE_M..least_m).contains(&reach.fall_m)).peekable();
        // Levels are looked for only where they are wanted.
        let bare = if too_fine.peek().is_some() { bare(survey, line) } else { Vec::new() };
        let is_bare = |reach: &Reach| bare.iter().any(|(from_m, to_m)| *from_m < reach.to_m && reach.from_m < *to_m);
        too_fine.filter(is_bare).collect::<Vec<_>>()
    };
    let found: Vec<Reach> = site.new_lines().flat_map(fine).collect();
    finding(site, error, &found).into_iter().collect()
}

/// Stretches of one grade from the downstream end up.
fn reaches(line: LineId, worked: &LineDesign) -> Vec<Reach> {
    let reach = |part: Graded| {
        let (low, high) = (&worked.stations[part.from], &worked.stations[part.to]);
        let fall_m = high.invert_m? - low.invert_m?;
        Some(Reach { line, from_m: low.station_m, to_m: high.station_m, fall_m })
    };
    worked.grades().into_iter().filter_map(reach).collect()
}

/// Stretches of a line on which nobody took levels.
fn bare(survey: &Surveyed, line: &Line) -> Vec<(f64, f64)> {
    let stations = survey.stations_beside(&line.points, ON_LINE_M);
    if stations.is_empty() {
        return vec![(0.0, line.length_m())];
    }
    gaps(&stations, (0.0, line.length_m()), GAP_M + LEVEL_TOLERANCE_M)
}

fn finding(site: &Site, error: SurfaceError, found: &[Reach]) -> Option<Finding> {
    let worst = found.iter().reduce(|x, y| if y.to_m - y.from_m > x.to_m - x.from_m { y } else { x })?;
    let (units, name) = (site.units(), site.name(worst.line));
    let more = match found.len() - 1 {
        0 => String::new(),
        1 => ", and so does one other reach".into(),
        n => format!(", and so do {n} other reaches"),
    };
    let unverified = match error {
        SurfaceError::Measured(_) => "",
        SurfaceError::Unverified(_) => " That error is assumed: nobody has held the lidar against levels.",
    };
    let message = format!(
        "{name} {} falls {}, less than twice the survey's error of {}{more}.{unverified}",
        site.stretch(worst.from_m, worst.to_m),
        units.amount(worst.fall_m),
        units.amount(error.metres())
    );
    let place = |reach: &Reach| -> Place {
        let text = format!("falls {}", units.amount(reach.fall_m));
        site.place(reach.line, (reach.from_m, reach.to_m), (reach.from_m + reach.to_m) / 2.0, &text)
    };
    let at = site.point(worst.line, (worst.from_m + worst.to_m) / 2.0);
    Some(
        Finding::new(&RULE, Severity::Decide, at, format!("{name} falls less than the survey can tell"), message)
            .at_line(worst.line, worst.from_m, worst.to_m)
            .amount(format!("falls {}", units.amount(worst.fall_m)))
            .gathers(found.iter().map(place).collect())
            .advises(format!(
                "Level it before digging: shots on the line, no farther apart than {}.",
                units.length(GAP_M)
            )),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, stations_ft};

    /// The worked example Tarrow End: 300 ft at 0.10 % fall 0.30 ft; the check points scatter by 0.18 ft about the
    /// lidar.
    fn tarrow_end(scatter_ft: f64, fall_ft: f64) -> Job {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.pin(m1, 300.0, 100.0 + fall_ft);
        job.lidar((-20.0, -20.0), (400.0, 200.0), |_, _| 104.0);
        let level = |i: usize| 104.31 + if i.is_multiple_of(2) { scatter_ft } else { -scatter_ft };
        job.batch("A", &(0..10).map(|i| (40.0 * i as f64, 150.0, level(i))).collect::<Vec<_>>());
        job
    }

    #[test]
    fn a_fall_inside_the_error_until_the_line_is_levelled() {
        let mut job = tarrow_end(0.183, 0.30);
        let finding = job.only(&RULE);
        assert_eq!(stations_ft(&finding), (0.0, 300.0));
        assert_eq!(
            finding.message,
            "M1 from 0+00 to 3+00 falls 0.30 ft, less than twice the survey's error of 0.18 ft."
        );
        job.batch("L", &[(5.0, 4.0, 104.2), (100.0, -3.0, 104.2), (199.0, 0.0, 104.2), (296.0, 0.0, 104.2)]);
        assert!(job.found(&RULE).is_empty());
    }

    #[test]
    fn a_fall_of_twice_the_error_passes() {
        assert!(tarrow_end(0.149, 0.30).found(&RULE).is_empty());
        assert!(tarrow_end(0.183, 0.37).found(&RULE).is_empty());
    }

    /// Nobody held the lidar against levels: 0.5 ft, said to be unverified. Shots alone have no lidar to scatter about.
    #[test]
    fn without_check_points_the_error_is_assumed() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.pin(m1, 300.0, 100.9);
        job.batch("A", &[(0.0, 0.0, 104.0)]);
        assert!(job.found(&RULE).is_empty());
        job.lidar((-20.0, -20.0), (400.0, 200.0), |_, _| 104.0);
        let message = job.only(&RULE).message;
        assert!(message.contains("error of 0.50 ft. That error is assumed: nobody has held"), "{message}");
    }
}
