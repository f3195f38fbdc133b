//! Check 79, line not on the swale.

use design::LineDesign;
use measure::{FOOT_M, Paths, Segment, along, distance, segments};
use plan::{Line, LineId, LineKind, Pattern};
use terrain::Profile;

use super::shape;
use crate::site::LEVEL_TOLERANCE_M;
use crate::stretch::{total_m, under, worst};
use crate::{Finding, Rule, Severity, Site};

/// A swale farther away than this is not the one the line was meant for, metres: 100 ft (judgement).
const ANOTHER_SWALE_M: f64 = 100.0 * FOOT_M;
/// Distance between the places looked at, metres: 25 ft, as the stations of the design; straight between them.
const STEP_M: f64 = 25.0 * FOOT_M;
/// Flow lines are looked up for so much of a line at once, metres.
const PART_M: f64 = 200.0 * FOOT_M;

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 79,
    slug: "off-swale",
    title: "Line not on the swale",
    manual: "A main, or a line laid out for a low place, that runs beside a swale more than 15 ft (4.6 m) off its flow \
             line over more than half its length. Water stands in the swale and the pipe is dug deeper than it need \
             be. Mains in the lowest ground are old advice; the figures are judgments. Swales over 100 ft away and \
             those the line does not run along (45°) do not count, \
             nor does a creek or ditch that takes the water. A note, one for each line.",
    source: "[OLD1912] [WISC]; figures [judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let swales = site.low_ground();
    if swales.is_empty() {
        return Vec::new();
    }
    let meant = site.new_lines().filter(|(_, line, _)| is_meant_for_low_ground(line));
    meant.filter_map(|(id, line, worked)| finding(site, swales, id, line, worked)).collect()
}

fn is_meant_for_low_ground(line: &Line) -> bool {
    line.kind == LineKind::Main || line.pattern == Pattern::Targeted
}

/// How far inside the limit each place of the line lies, metres, silent where the nearest flow line is none that the
/// line was meant for; `None` as soon as more than `most_m` of the line is known not to lie off its swale.
fn margins(swales: &Paths, line: &Line, most_m: f64, limit_m: f64) -> Option<Vec<(f64, Option<f64>)>> {
    let mut margins: Vec<(f64, Option<f64>)> = Vec::new();
    let mut well_m = 0.0;
    for piece in segments(0, &line.points).iter().flat_map(|piece| piece.parts(PART_M)) {
        let near = swales.reached(&piece, ANOTHER_SWALE_M);
        // Where no flow line runs along it there is nothing to look at.
        let runs_with_none = !near.iter().any(|swale| piece.runs_along(swale));
        let steps = if runs_with_none { 1 } else { (piece.length_m() / STEP_M).ceil().max(1.0) as usize };
        for i in 0..=steps {
            let share = i as f64 / steps as f64;
            let margin_m = margin_m(&near, &piece, share, limit_m);
            let is_off = |last: &(f64, Option<f64>)| last.1.zip(margin_m).is_some_and(|(a, b)| a.min(b) < 0.0);
            if i > 0 && !margins.last().is_some_and(is_off) {
                well_m += piece.length_m() / steps as f64;
            }
            margins.push((piece.start_m + share * piece.length_m(), margin_m));
        }
        if well_m > most_m {
            return None;
        }
    }
    Some(margins)
}

/// The margin at a place of a piece to the nearest of the flow lines, where that runs along the piece.
fn margin_m(near: &[&Segment], piece: &Segment, share: f64, limit_m: f64) -> Option<f64> {
    let at = along(piece.a, piece.b, share);
    // Of two that meet at the nearest place the one that runs along is meant.
    let ranked = near.iter().map(|swale| (swale.square_to(at), swale));
    let across = |swale: &Segment| !piece.runs_along(swale);
    let nearest = ranked.min_by(|x, y| x.0.total_cmp(&y.0).then_with(|| across(x.1).cmp(&across(y.1))));
    let (square, swale) = nearest?;
    let away_m = square.sqrt();
    (piece.runs_along(swale) && away_m <= ANOTHER_SWALE_M).then_some(limit_m - away_m)
}

fn finding(site: &Site, swales: &Paths, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let criteria = &site.plan.criteria;
    let most_m = (1.0 - criteria.swale_share) * worked.length_m;
    let margins = margins(swales, line, most_m, criteria.swale_offset_m)?;
    let off = under(Profile::through(&margins).pieces().iter().copied(), -LEVEL_TOLERANCE_M);
    if total_m(&off) <= criteria.swale_share * worked.length_m {
        return None;
    }
    let far = *worst(&off)?;
    let at = site.point(id, far.worst_m);
    let low = swales.nearest(at)?.nearest(at).1;
    let away_m = distance(at, low);
    let message = format!(
        "The low ground is up to {} to the {} of {}, {}.",
        site.length(away_m),
        shape::side(at, low),
        line.name,
        site.stretch(far.from_m, far.to_m)
    );
    let places = off.iter().map(|part| {
        let away = site.length(criteria.swale_offset_m - part.worst);
        site.place(id, (part.from_m, part.to_m), part.worst_m, &format!("{away} off"))
    });
    Some(
        Finding::new(&RULE, Severity::Note, at, format!("{} misses the low ground", line.name), message)
            .once_on(id, far.from_m, far.to_m)
            .amount(format!("{} off the swale", site.length(away_m)))
            .gathers(places.collect())
            .offers(move |site| shape::aside(site, id, (at, low), away_m).into_iter().collect()),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, LATERAL, stations_ft};

    /// The swale runs 40 ft north of the main from end to end.
    #[test]
    fn beside_the_swale() {
        let mut job = Job::new();
        job.main(300.0);
        job.swale(&[(400.0, 40.0), (-100.0, 40.0)]);
        let finding = job.only(&RULE);
        assert_eq!(stations_ft(&finding), (0.0, 300.0));
        assert_eq!(finding.message, "The low ground is up to 40 ft to the north of M1, from 0+00 to 3+00.");
    }

    /// A creek along the south side of the field, 40 ft off, is no place for the main.
    #[test]
    fn beside_the_creek_on_the_boundary() {
        let mut job = Job::new();
        let outlet = job.outlet("O1", (0.0, 100.0), 100.0);
        job.line("M1", crate::job::MAIN, &[(0.0, 100.0), (300.0, 100.0)], outlet);
        job.swale(&[(400.0, 60.0), (-200.0, 60.0)]);
        assert_eq!(job.found(&RULE).len(), 1);
        job.field(&[(-300.0, 20.0), (500.0, 20.0), (500.0, 400.0), (-300.0, 400.0)]);
        assert!(job.found(&RULE).is_empty());
    }

    /// 15 ft off passes, so does 40 ft off for 120 of 300 ft, a lateral across the swale, and one of a grid.
    #[test]
    fn on_the_swale_or_not_meant_for_it() {
        let mut job = Job::new();
        job.main(300.0);
        job.swale(&[(400.0, 15.0), (-100.0, 15.0)]);
        job.line("L1", LATERAL, &[(150.0, 15.0), (150.0, 95.0)], plan::Joins::Nothing);
        let l2 = job.line("L2", LATERAL, &[(0.0, 75.0), (300.0, 75.0)], plan::Joins::Nothing);
        assert_eq!(job.only(&RULE).line, Some(l2));
        job.change(l2, |line| line.pattern = Pattern::Parallel);
        assert!(job.found(&RULE).is_empty());

        let mut job = Job::new();
        job.main(300.0);
        job.swale(&[(300.0, 40.0), (180.0, 40.0), (175.0, 0.0), (0.0, 0.0)]);
        assert!(job.found(&RULE).is_empty());
    }
}
