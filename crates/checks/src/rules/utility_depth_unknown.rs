//! Check 118, utility of unknown depth, or alongside.

use plan::LandmarkKind;

use super::marks::near;
use super::shape;
use super::utilities::{EXPOSE, buried, crossed};
use crate::stretch::total_m;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 118,
    slug: "utility-depth-unknown",
    title: "Utility of unknown depth, or alongside",
    manual: "A new line crosses a buried utility whose depth nobody has entered (to fix before digging), or runs within \
             5 ft beside one for more than 20 ft (to decide): the machine works over it all the way, and its own trench \
             carries water. From memory.",
    source: "[memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let all = crossed(site, |kind| matches!(kind, LandmarkKind::Utility(_)));
    let unknown = all
        .iter()
        .filter(|crossed| crossed.exposed().is_none() && matches!(buried(&crossed.mark.kind), Some((None, _))));
    let crossing = unknown.map(|crossed| {
        let (hit, what) = (crossed.hit, crossed.mark.called());
        let message = format!(
            "{} crosses {what} at {} and its depth is unknown.",
            site.name(hit.id),
            site.station(hit.station_m)
        );
        Finding::new(&RULE, Severity::Block, hit.at, format!("Nobody knows how deep {what} lies"), message)
            .on(hit.id, hit.station_m, hit.station_m)
            .of_landmark(crossed.id)
            .advises(EXPOSE)
    });
    crossing.chain(beside(site)).collect()
}

/// Lines that run beside a utility.
fn beside(site: &Site) -> Vec<Finding> {
    let criteria = &site.plan.criteria;
    let mut found = Vec::new();
    for (id, mark) in site.marks(|mark| matches!(mark.kind, LandmarkKind::Utility(_))) {
        for near in near(site, &mark.outline, criteria.alongside_m) {
            let long: Vec<_> =
                near.parts.iter().copied().filter(|part| part.length_m() > criteria.alongside_length_m).collect();
            let Some(first) = long.first() else { continue };
            let what = mark.called();
            let message = format!(
                "{} of {} run beside {what}, {}.",
                site.length(total_m(&long)),
                near.line.name,
                site.stretch(first.from_m, first.to_m)
            );
            let title = format!("{} runs beside {what}", near.line.name);
            let at = site.point(near.id, first.worst_m);
            let one = Finding::new(&RULE, Severity::Decide, at, title, message);
            let one = one.once_on(near.id, first.from_m, first.to_m).of_landmark(id).keyed("beside");
            let (line, away_m) = (near.id, first.worst);
            let one = one.offers(move |site| shape::to_a_side(site, line, site.plan.criteria.alongside_m - away_m));
            found.push(one.advises("Agree with the owner how it is dug, and accept this by name."));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;
    use plan::{Exposed, Utility};

    use super::*;
    use crate::job::{Job, along};

    fn cable(depth_ft: Option<f64>) -> LandmarkKind {
        LandmarkKind::Utility(Utility { depth_m: depth_ft.map(|feet| feet * FOOT_M), ..Utility::default() })
    }

    #[test]
    fn crossed_without_a_depth() {
        let mut job = Job::new();
        job.main(300.0);
        let mark = job.mark("C1", cable(None), along(&[(120.0, -50.0), (120.0, 50.0)]));
        assert_eq!(job.only(&RULE).severity, Severity::Block);
        job.remark(mark, cable(Some(1.0)));
        assert!(job.found(&RULE).is_empty());
        // Seen without a depth being told.
        let exposed = Exposed { by: "R. Sund".into(), on: "2031-04-02".into(), top_m: 30.0, bottom_m: 29.9 };
        job.remark(mark, LandmarkKind::Utility(Utility { exposed: Some(exposed), ..Utility::default() }));
        assert!(job.found(&RULE).is_empty());
    }

    /// 4 ft beside the main over 40 ft.
    #[test]
    fn alongside() {
        let mut job = Job::new();
        job.main(300.0);
        job.mark("C1", cable(Some(1.0)), along(&[(100.0, 4.0), (140.0, 4.0)]));
        let finding = job.only(&RULE);
        assert_eq!(finding.severity, Severity::Decide);
        assert!(finding.message.contains("run beside buried utility C1"));
    }
}
