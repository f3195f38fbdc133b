//! Check 75, irrigation main crossed.

use plan::LandmarkKind;

use super::utilities::crossed;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 75,
    slug: "irrigation-depth",
    title: "Irrigation main crossed",
    manual: "A new line crosses an irrigation main whose depth nobody has entered; whichever is deeper must be known before \
             the machine comes. A judgment. To decide.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let all = crossed(site, |kind| matches!(kind, LandmarkKind::Irrigation { depth_m: None, .. }));
    let finding = |crossed: &super::utilities::Crossed| {
        let hit = crossed.hit;
        let message = format!(
            "{} crosses {} of unknown depth at {}.",
            site.name(hit.id),
            crossed.mark.called(),
            site.station(hit.station_m)
        );
        let title = format!("{} crosses an irrigation main", site.name(hit.id));
        Finding::new(&RULE, Severity::Decide, hit.at, title, message)
            .on(hit.id, hit.station_m, hit.station_m)
            .keyed_by(crossed.id)
            .advises("Find out how deep it lies, and enter it.")
    };
    all.iter().map(finding).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, along};

    #[test]
    fn a_main_of_unknown_depth() {
        let mut job = Job::new();
        job.main(300.0);
        let main = |depth_m| LandmarkKind::Irrigation { depth_m, size_m: None };
        let mark = job.mark("I1", main(None), along(&[(120.0, -50.0), (120.0, 50.0)]));
        assert!(job.only(&RULE).message.starts_with("M1 crosses irrigation main I1 of unknown depth at 1+20"));
        job.remark(mark, main(Some(0.6)));
        assert!(job.found(&RULE).is_empty());
    }
}
