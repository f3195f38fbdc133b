//! Check 95, fine sock where iron is likely.

use plan::{Envelope, Line, LineId};

use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 95,
    slug: "sock-in-iron",
    title: "Fine sock where iron is likely",
    manual: "Pipe with a knitted sock on a job where the brief or a pit tells of iron. Iron slime (ochre) seals a fine sock in \
             a season or two. University circular and a paper of the food and agriculture organization. To decide, one for \
             the plan.",
    source: "[UF671] [FAO60]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    if !site.plan.has_iron() {
        return Vec::new();
    }
    let socked: Vec<(LineId, &Line)> = site
        .new_lines()
        .filter(|(_, line, _)| line.bed.envelope == Envelope::Sock)
        .map(|(id, line, _)| (id, line))
        .collect();
    let Some((first, _)) = socked.first() else { return Vec::new() };
    let message = "Iron slime may seal a fine sock.";
    let ids: Vec<LineId> = socked.iter().map(|(id, _)| *id).collect();
    let places = socked.iter().map(|(id, line)| site.place(*id, (0.0, line.length_m()), 0.0, "sock")).collect();
    let title = "A sock where iron was seen".to_string();
    vec![
        Finding::new(&RULE, Severity::Decide, site.point(*first, 0.0), title, message.into())
            .gathers(places)
            .offers(move |site| offers(site, &ids)),
    ]
}

/// Sand or gravel in place of the sock, or nothing round the pipe.
fn offers<'s>(site: &'s Site, ids: &[LineId]) -> Vec<Offer<'s>> {
    let names: Vec<&str> = ids.iter().map(|id| site.name(*id)).collect();
    let thick = site.units().said_inches_up(site.plan.criteria.envelope_m);
    let all = |label: String, envelope: Envelope| {
        Offer::lines(site, ids.iter().copied(), label, |_, line| line.bed.envelope = envelope)
    };
    let granular = format!("Use {} of sand or gravel round {}", thick.text, measure::listed(&names));
    let bare = format!("Use no sock on {}", measure::listed(&names));
    [all(granular, Envelope::Granular(thick.value)), all(bare, Envelope::None)].into_iter().flatten().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    #[test]
    fn a_sock_and_iron() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.change(m1, |line| line.bed.envelope = Envelope::Sock);
        assert!(job.found(&RULE).is_empty());
        job.plan.brief.iron = true;
        assert_eq!(job.only(&RULE).places.len(), 1);
        job.change(m1, |line| line.bed.envelope = Envelope::Granular(0.1));
        assert!(job.found(&RULE).is_empty());
    }
}
