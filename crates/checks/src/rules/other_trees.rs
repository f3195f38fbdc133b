//! Check 69, other trees.

use super::pipe::{self, Solid};
use super::thirsty_trees::near_trees;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 69,
    slug: "other-trees",
    title: "Trees: other kinds",
    manual: "Perforated pipe within 50 ft (15 m) of trees that are not of the thirsty kinds. The rows of the crop itself do \
             not count. A county factsheet and an Ontario guide. To decide, one for each line and mark.",
    source: "[TREES] [LICO]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let limit_m = site.plan.criteria.other_trees_m;
    near_trees(site, false, limit_m, |site, mark, near| {
        let what = mark.called();
        let (from_m, to_m) = near.extent();
        let length = site.length(near.length_m());
        let message = format!(
            "{length} of {} lie within {} of {what}, {}.",
            near.line.name,
            site.length(limit_m),
            site.stretch(from_m, to_m)
        );
        let title = format!("{} runs near {what}", near.line.name);
        let (id, parts) = (near.id, near.parts.clone());
        let worst = near.nearest().map_or((from_m, limit_m), |part| (part.worst_m, part.worst));
        Finding::new(&RULE, Severity::Decide, site.point(near.id, worst.0), title, message)
            .once_on(near.id, from_m, to_m)
            .misses(worst.1, limit_m)
            .offers(move |site| pipe::solid(site, id, &parts, Solid::default()).into_iter().collect())
            .advises(format!("If {what} is felled, delete its mark."))
    })
}

#[cfg(test)]
mod tests {
    use plan::LandmarkKind;

    use super::*;
    use crate::job::{Job, at};

    /// An oak 30 ft off: within 50 ft for 80 ft; 60 ft off it is far enough.
    #[test]
    fn past_the_oak() {
        let mut job = Job::new();
        job.main(600.0);
        let oak = || LandmarkKind::Trees { species: "oak".into(), thirsty: false };
        job.mark("", oak(), at(300.0, 60.0));
        assert!(job.found(&RULE).is_empty());
        job.mark("", oak(), at(300.0, 30.0));
        let finding = job.only(&RULE);
        assert!(finding.message.starts_with("80 ft of M1 lie within 50 ft of oak, from 2+60 to 3+40."));
        assert!(job.mended(&finding).found(&RULE).is_empty());
    }
}
