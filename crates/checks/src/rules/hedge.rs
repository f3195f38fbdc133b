//! Check 70, hedge or windbreak.

use plan::LandmarkKind;

use super::marks::{Near, near};
use super::pipe::{self, Solid};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 70,
    slug: "hedge",
    title: "Hedge or windbreak",
    manual: "Perforated pipe within 5 ft (1.5 m) of a hedge or windbreak. The rows of the crop itself do not count. British \
             drainage advice. To decide, one for each line and hedge.",
    source: "[AHDB-new]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let mut found = Vec::new();
    for (mark_id, mark) in site.marks(|mark| mark.kind == LandmarkKind::Hedge) {
        let open = near(site, &mark.outline, site.plan.criteria.hedge_m).into_iter().filter_map(Near::perforated);
        found.extend(open.map(|near| {
            let (from_m, to_m) = near.extent();
            let message = format!(
                "{} of {} run along {} {}.",
                site.length(near.length_m()),
                near.line.name,
                mark.called(),
                site.stretch(from_m, to_m)
            );
            let title = format!("{} runs along a hedge", near.line.name);
            let at = site.point(near.id, near.nearest().map_or(from_m, |part| part.worst_m));
            let (id, parts) = (near.id, near.parts);
            Finding::new(&RULE, Severity::Decide, at, title, message)
                .once_on(id, from_m, to_m)
                .keyed_by(mark_id)
                .offers(move |site| pipe::solid(site, id, &parts, Solid::default()).into_iter().collect())
        }));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, along};

    #[test]
    fn four_feet_and_six_feet_off() {
        let mut job = Job::new();
        job.main(600.0);
        job.mark("H1", LandmarkKind::Hedge, along(&[(100.0, 6.0), (200.0, 6.0)]));
        assert!(job.found(&RULE).is_empty());
        job.mark("H2", LandmarkKind::Hedge, along(&[(300.0, 4.0), (400.0, 4.0)]));
        let finding = job.only(&RULE);
        assert!(finding.message.starts_with("106 ft of M1 run along hedge H2"), "{}", finding.message);
        assert!(job.mended(&finding).found(&RULE).is_empty());
    }
}
