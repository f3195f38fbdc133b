//! Check 98, envelope too thin.

use plan::{Envelope, Line};

use crate::offer::Offer;
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 98,
    slug: "thin-envelope",
    title: "Envelope too thin",
    manual: "A granular envelope of less than 3 in (75 mm) all round. A city's stormwater manual. A note, one for each line.",
    source: "[EVERETT]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let limit_m = site.plan.criteria.envelope_m;
    let mut found = Vec::new();
    for (id, line, worked) in site.new_lines() {
        let Envelope::Granular(thick_m) = line.bed.envelope else { continue };
        if thick_m >= limit_m - LEVEL_TOLERANCE_M {
            continue;
        }
        let units = site.units();
        let message = format!(
            "{} has {} of envelope; wanted {} all round.",
            line.name,
            units.pipe(thick_m),
            units.said_inches_up(limit_m).text
        );
        let title = format!("The envelope of {} is thin", line.name);
        found.push(
            Finding::new(&RULE, Severity::Note, site.point(id, 0.0), title, message)
                .once_on(id, 0.0, worked.length_m)
                .misses(thick_m, limit_m)
                .offers(move |site| {
                    let said = site.units().said_inches_up(limit_m);
                    let label = format!("Use {} of envelope round {}", said.text, site.name(id));
                    let thicker = |line: &mut Line| line.bed.envelope = Envelope::Granular(said.value);
                    Offer::line(site, id, label, thicker).into_iter().collect()
                }),
        );
    }
    found
}

#[cfg(test)]
mod tests {
    use measure::INCH_M;

    use super::*;
    use crate::job::Job;

    #[test]
    fn two_inches() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        assert!(job.found(&RULE).is_empty());
        job.change(m1, |line| line.bed.envelope = Envelope::Granular(2.0 * INCH_M));
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "M1 has 2 in of envelope; wanted 3 in all round.");
        assert!(job.mended(&finding).found(&RULE).is_empty());
    }
}
