//! Check 133, archaeology, contaminated land, slope stability.

use plan::LandmarkKind;

use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 133,
    slug: "site-flags",
    title: "Archaeology, contaminated land, slope stability",
    manual: "A flag of this kind stands on the site and nobody has entered what the authority or the engineer said. From \
             memory. To decide, one for each flag.",
    source: "[memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let open = |mark: &plan::Landmark| matches!(&mark.kind, LandmarkKind::SiteFlag { decision } if decision.trim().is_empty());
    let finding = |(id, mark): (plan::LandmarkId, &plan::Landmark)| {
        let what = mark.called();
        let message =
            format!("{what} is marked on this site, and nobody has entered what the authority or the engineer said.");
        Finding::new(&RULE, Severity::Decide, mark.outline.middle(), format!("Nobody has answered {what}"), message)
            .of_landmark(id)
            .advises("Ask, and enter what was said.")
    };
    site.marks(open).map(finding).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, at};

    #[test]
    fn an_old_dump() {
        let mut job = Job::new();
        let mark = job.mark("old dump", LandmarkKind::SiteFlag { decision: String::new() }, at(10.0, 10.0));
        assert!(job.only(&RULE).message.starts_with("site flag old dump is marked on this site,"));
        job.remark(mark, LandmarkKind::SiteFlag { decision: "clean, county letter".into() });
        assert!(job.found(&RULE).is_empty());
    }
}
