//! Check 131, manure, chemical or fuel store, barnyard.

use plan::LandmarkKind;

use super::marks::{Near, near};
use super::pipe::{self, Solid};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 131,
    slug: "yard-or-store",
    title: "Manure, chemical or fuel store, barnyard",
    manual: "Perforated pipe within 50 ft (15 m) of a store of manure, chemicals or fuel, or of a barnyard: what leaks there \
             runs to the ditch unseen. From memory; local rules are often stricter. To fix before digging.",
    source: "[memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let limit_m = site.plan.criteria.store_near_m;
    let mut found = Vec::new();
    for (mark_id, mark) in site.marks(|mark| mark.kind == LandmarkKind::Store) {
        let open = near(site, &mark.outline, limit_m).into_iter().filter_map(Near::perforated);
        found.extend(open.map(|near| {
            let (from_m, to_m) = near.extent();
            let message = format!(
                "{} of {} near {} can foul the ditch.",
                site.length(near.length_m()),
                near.line.name,
                mark.called()
            );
            let title = format!("{} runs past {}", near.line.name, mark.called());
            let worst = near.nearest().map_or((from_m, limit_m), |part| (part.worst_m, part.worst));
            let (id, parts) = (near.id, near.parts);
            Finding::new(&RULE, Severity::Block, site.point(id, worst.0), title, message)
                .once_on(id, from_m, to_m)
                .keyed_by(mark_id)
                .misses(worst.1, limit_m)
                .offers(move |site| pipe::solid(site, id, &parts, Solid::default()).into_iter().collect())
        }));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, around};

    #[test]
    fn a_yard_forty_feet_off() {
        let mut job = Job::new();
        job.main(300.0);
        job.mark("Y1", LandmarkKind::Store, around(100.0, 60.0, 200.0, 120.0));
        assert!(job.found(&RULE).is_empty());
        job.mark("Y2", LandmarkKind::Store, around(100.0, 40.0, 200.0, 120.0));
        let finding = job.only(&RULE);
        assert!(finding.message.starts_with("160 ft of M1 near store or yard Y2"));
        assert!(job.mended(&finding).found(&RULE).is_empty());
    }
}
