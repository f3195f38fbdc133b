//! Check 68, thirsty trees.

use plan::{Landmark, LandmarkKind};

use super::marks::{Near, near};
use super::pipe::{self, Solid};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 68,
    slug: "thirsty-trees",
    title: "Trees: thirsty kinds",
    manual: "Perforated pipe within 100 ft (30 m) of trees that seek water: willow, poplar, cottonwood, elm, soft maple. \
             Their roots fill a drain in a few years. A county factsheet; elsewhere 15 m. To decide, one for each line and \
             mark.",
    source: "[TREES]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    near_trees(site, true, site.plan.criteria.thirsty_trees_m, |site, mark, near| {
        let what = mark.called();
        let (from_m, to_m) = near.extent();
        let length = site.length(near.length_m());
        let message = format!(
            "{length} of {} lie within {} of {what}, {}.",
            near.line.name,
            site.length(site.plan.criteria.thirsty_trees_m),
            site.stretch(from_m, to_m)
        );
        let (id, parts) = (near.id, near.parts.clone());
        let title = format!("{} runs near {what}", near.line.name);
        let worst = near.nearest().map_or(from_m, |part| part.worst_m);
        let limit_m = site.plan.criteria.thirsty_trees_m;
        Finding::new(&RULE, Severity::Decide, site.point(near.id, worst), title, message)
            .once_on(near.id, from_m, to_m)
            .amount(format!("{length} past {}", mark.word()))
            .misses(near.nearest().map_or(limit_m, |part| part.worst), limit_m)
            .offers(move |site| pipe::solid(site, id, &parts, Solid::default()).into_iter().collect())
            .advises(format!("If {what} is felled, delete its mark."))
    })
}

/// Findings for perforated pipe near trees of a kind, by mark and name of the line.
pub(crate) fn near_trees(
    site: &Site,
    wanted: bool,
    reach_m: f64,
    finding: impl Fn(&Site, &Landmark, &Near) -> Finding,
) -> Vec<Finding> {
    let is_kind =
        move |mark: &Landmark| matches!(mark.kind, LandmarkKind::Trees { thirsty, .. } if thirsty == wanted);
    let mut found = Vec::new();
    for (mark_id, mark) in site.marks(is_kind) {
        let open = near(site, &mark.outline, reach_m).into_iter().filter_map(Near::perforated);
        found.extend(open.map(|near| finding(site, mark, &near).keyed_by(mark_id)));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, at};

    /// A willow 60 ft north of 3+00: within 100 ft from 2+20 to 3+80.
    #[test]
    fn past_the_willow() {
        let mut job = Job::new();
        job.main(600.0);
        job.mark("", LandmarkKind::Trees { species: "oak".into(), thirsty: false }, at(300.0, 60.0));
        assert!(job.found(&RULE).is_empty());
        job.mark("", LandmarkKind::Trees { species: "willow".into(), thirsty: true }, at(300.0, 60.0));
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "160 ft of M1 lie within 100 ft of willow, from 2+20 to 3+80.");
        assert_eq!(job.remedies(&finding)[0], "Lay solid pipe from 2+19.9 to 3+80.1 of M1");
        assert!(job.mended(&finding).found(&RULE).is_empty());
    }
}
