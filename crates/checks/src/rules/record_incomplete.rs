//! Check 112, not recorded: a line without its ends or its inverts in the record.

use design::LineDesign;
use plan::{Line, LineId};
use record::DugLine;

use crate::{Finding, Place, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 112,
    slug: "record-incomplete",
    title: "Not recorded",
    manual: "A new line of which the record has no shot at its lower end, none at its upper end, or none over a stretch longer \
             than from stake to stake. Looked at once the digging is entered as finished, before that on lines that were laid from \
             end to end. A shot within 3 ft (0.9 m) of an end is of the end (judgment). Final payment is held until the record is \
             in. To decide, one for each line.",
    source: "[ISU-bid] [judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let is_due = |id, length_m| site.plan.record.finished.is_some() || is_laid_whole(site, id, length_m);
    let due = site.new_lines().filter(|(id, _, worked)| is_due(*id, worked.length_m));
    due.filter_map(|(id, line, worked)| finding(site, id, line, worked)).collect()
}

/// True where stretches that were entered as laid cover the line.
fn is_laid_whole(site: &Site, id: LineId, length_m: f64) -> bool {
    let mut laid: Vec<(f64, f64)> =
        site.plan.record.laid.iter().filter(|laid| laid.line == id).map(|laid| laid.stretch_m).collect();
    laid.sort_by(|a, b| a.0.total_cmp(&b.0));
    let near_m = site.plan.criteria.shot_end_m;
    let reached_m = laid.iter().fold(
        0.0f64,
        |to_m, (low_m, high_m)| {
            if *low_m <= to_m + near_m { to_m.max(*high_m) } else { to_m }
        },
    );
    reached_m + near_m >= length_m
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let none = DugLine::default();
    let dug = site.dug().lines.get(&id).unwrap_or(&none);
    let near_m = site.plan.criteria.shot_end_m;
    let ends = [("start", 0.0), ("end", worked.length_m)];
    let is_shot = |at_m: f64| dug.shots.iter().any(|shot| (shot.station_m - at_m).abs() <= near_m);
    let mut missing: Vec<(String, (f64, f64))> = ends
        .into_iter()
        .filter(|(_, at_m)| !is_shot(*at_m))
        .map(|(what, at_m)| (format!("shot at its {what}"), (at_m, at_m)))
        .collect();
    let unshot = dug.unshot((0.0, worked.length_m), &site.plan.criteria);
    missing.extend(unshot.into_iter().map(|part| (format!("inverts {}", site.stretch(part.0, part.1)), part)));
    let lacks: Vec<&str> = missing.iter().map(|(what, _)| what.as_str()).collect();
    let (_, first) = missing.first()?;
    let message = format!("The record of {} has no {}.", line.name, lacks.join(", no "));
    let places: Vec<Place> =
        missing.iter().map(|(what, part)| site.place(id, *part, part.0, &format!("no {what}"))).collect();
    let title = format!("The record of {} is not complete", line.name);
    let found = Finding::new(&RULE, Severity::Decide, site.point(id, first.0), title, message);
    Some(
        found
            .once_on(id, 0.0, worked.length_m)
            .gathers(places)
            .advises("Survey it and enter it before final payment."),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, shoot};

    #[test]
    fn ends_and_gaps_are_asked_for_once_all_is_laid() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        shoot(&mut job, m1, &[(50.0, 100.5), (100.0, 101.0)]);
        job.laid(m1, (0.0, 150.0), true);
        assert!(job.found(&RULE).is_empty());
        job.laid(m1, (150.0, 200.0), false);
        assert_eq!(
            job.only(&RULE).message,
            "The record of M1 has no shot at its start, no shot at its end, no inverts from 1+00 to 2+00."
        );
        shoot(&mut job, m1, &[(2.0, 100.0), (150.0, 101.5), (199.0, 102.0)]);
        assert!(job.found(&RULE).is_empty());
    }

    #[test]
    fn the_end_of_the_digging_asks_for_every_line() {
        let mut job = Job::new();
        job.main(200.0);
        assert!(job.found(&RULE).is_empty());
        job.plan.record.finished = Some("2031-04-02".into());
        assert!(job.only(&RULE).message.contains("no shot at its start"));
    }
}
