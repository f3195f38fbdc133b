//! Check 135, ground or levels that the plan names and that were not read.

use measure::Point;

use crate::{Finding, Rule, Severity, Site};
use land::LeftOut;

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 135,
    slug: "ground-unread",
    title: "Ground or levels not read",
    manual: "The plan names a ground or a file of levels that could not be read. Without the ground there is no depth, no \
             cover, no swale and no land that drains; without a batch of levels the ground is another than the one the \
             plan was made on. What is worked out so is not the plan. One for each file. To fix before digging.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let ground = site.unread().into_iter().map(|file| {
        let message = format!(
            "{file}, the ground of this plan, was not read: depth, cover, swales and the land that drains are not known, and \
             only locked levels stand."
        );
        finding(site, file, "The ground is not read".into(), message)
            .advises("Put the file where the plan names it, or bring the ground in again.")
    });
    let levels = site.land.left_out.iter().map(|LeftOut { file, why }| {
        let message = format!("{file} is left out: {why}. The ground is another without its levels.");
        finding(site, file, format!("{file} is not read"), message)
            .advises("Put the file where the plan names it, or take it out of the survey.")
    });
    ground.chain(levels).collect()
}

fn finding(site: &Site, file: &str, title: String, message: String) -> Finding {
    Finding::new(&RULE, Severity::Block, somewhere(site), title, message).keyed(file).amount("not read".into())
}

/// A place to show: the first outlet, else the first corner or bend that is drawn.
pub(super) fn somewhere(site: &Site) -> Point {
    let outlets = site.plan.outlets.values().map(|outlet| outlet.at);
    let field = site.plan.field.iter().flat_map(|field| field.ring.iter().copied());
    let lines = site.plan.lines.values().flat_map(|line| line.points.iter().copied());
    outlets.chain(field).chain(lines).next().unwrap_or(Point::new(0.0, 0.0))
}

#[cfg(test)]
mod tests {
    use land::Land;

    use super::*;
    use crate::job::Job;

    #[test]
    fn one_for_each_file() {
        let mut job = Job::new();
        job.main(300.0);
        job.plan.ground = Some(plan::GroundRef {
            file: "folder/ground.tif".into(),
            crs: String::new(),
            horizontal_unit: measure::LengthUnit::Foot,
            vertical_unit: measure::LengthUnit::Foot,
            datum: String::new(),
            columns: None,
            level_attribute: None,
            part: None,
            brought_from: None,
        });
        let design = job.design();
        let found = |land: &Land| (RULE.find)(&Site::new(&job.plan, &design, land));
        assert!(found(&Land::default()).is_empty());
        let left_out = vec![LeftOut { file: "levels.csv".into(), why: "no such file".into() }];
        let found = found(&Land { left_out, ..Land::without_ground() });
        assert_eq!(found.len(), 2);
        assert!(found.iter().all(Finding::blocks));
        assert!(found[0].message.starts_with("ground.tif, the ground of this plan, was not read"));
        assert_eq!(
            found[1].message,
            "levels.csv is left out: no such file. The ground is another without its levels."
        );
    }
}
