//! Check 113, cover as built.

use plan::{Line, LineId};
use record::DugLine;
use terrain::Stretch;

use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 113,
    slug: "thin-cover-as-built",
    title: "Cover as built",
    manual: "Less soil over the pipe as it was shot than the job asks for: 2.0 ft (0.6 m) in mineral soil, 2.5 ft (0.76 m) in \
             organic soil. The pipe is taken as straight from shot to shot, under the ground as surveyed. The solid outlet pipe \
             and heavy pipe are exempt, as in check 12. To fix.",
    source: "[CPS606, memory] [FORUM-R: 24 in]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let of_line = |(id, line, dug): (LineId, &Line, &DugLine)| {
        dug.thin.iter().map(|thin| finding(site, id, line, thin)).collect::<Vec<_>>()
    };
    site.dug_lines().flat_map(of_line).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, thin: &Stretch) -> Finding {
    let criteria = &site.plan.criteria;
    let limit_m = if line.bed.organic { criteria.organic_cover_m } else { criteria.least_cover_m };
    let [cover, wanted] = site.units().depths(thin.worst, limit_m);
    let at = site.station(thin.worst_m);
    let message = format!("As dug, {} has {cover} of soil over its pipe at {at}; wanted {wanted}.", line.name);
    let title = format!("Too little soil over {} as dug", line.name);
    Finding::new(&RULE, Severity::Block, site.point(id, thin.worst_m), title, message)
        .on(id, thin.from_m, thin.to_m)
        .amount(site.cover(thin.worst))
        .misses(thin.worst, limit_m)
        .advises("Add soil, relay it deeper, or lay pipe that is solid and heavy and mark it so.")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, shoot, stations_ft};

    /// Ground at 103.00, 6-in pipe whose top is 0.54 ft up: at 100.46 it has 2.00 ft and passes, at 100.86 it has 1.60.
    #[test]
    fn cover_over_the_pipe_as_it_lies() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.ground(|_, _| 103.0);
        shoot(&mut job, m1, &[(50.0, 100.46), (100.0, 100.86), (150.0, 100.46)]);
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "As dug, M1 has 1.60 ft of soil over its pipe at 1+00; wanted 2.00 ft.");
        assert_eq!(stations_ft(&finding), (50.125, 149.875));
    }
}
