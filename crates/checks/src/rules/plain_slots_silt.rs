//! Check 94, plain slots in silty or sandy soil.

use design::LineDesign;
use plan::{Bed, Envelope, Line, LineId, Slots, Texture};

use super::marks::perforated;
use super::soil::in_layers;
use crate::offer::Offer;
use crate::stretch::{Stretch, join, total_m};
use crate::{Finding, Place, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 94,
    slug: "plain-slots-silt",
    title: "Plain slots in silty or sandy soil",
    manual: "Perforated pipe with ordinary slots and no envelope where the nearest pit, or the brief, shows less than 30 % \
             clay at the depth of the pipe. Fine sand and silt come in: a 6-in main was two-thirds full of sand in seven \
             years. A sock is not offered where iron was seen. Extension and trade press. To decide, one for the plan.",
    source: "[MAG-sock] [MSU-sed]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let bare = |bed: &Bed| bed.slots == Slots::Ordinary && bed.envelope == Envelope::None;
    let loose: Vec<(LineId, &Line, f64, Texture)> = site
        .new_lines()
        .filter(|(_, line, _)| bare(&line.bed))
        .filter_map(|(id, line, worked)| loose(site, id, line, worked).map(|(m, texture)| (id, line, m, texture)))
        .collect();
    let Some((first, _, _, texture)) = loose.first() else { return Vec::new() };
    let length_m: f64 = loose.iter().map(|(_, _, length_m, _)| length_m).sum();
    let message = format!("{} lie in {} with ordinary slots.", site.length(length_m), texture.word());
    let place = |(id, line, m, texture): &(LineId, &Line, f64, Texture)| -> Place {
        site.place(*id, (0.0, line.length_m()), 0.0, &format!("{} in {}", site.length(*m), texture.word()))
    };
    let ids: Vec<LineId> = loose.iter().map(|(id, ..)| *id).collect();
    let title = "Ordinary slots in soil that comes in".to_string();
    let places = loose.iter().map(place).collect();
    vec![
        Finding::new(&RULE, Severity::Decide, site.point(*first, 0.0), title, message)
            .gathers(places)
            .offers(move |site| offers(site, &ids)),
    ]
}

/// Narrow slots, sock or envelope for all these lines; no sock where iron was seen.
fn offers<'s>(site: &'s Site, ids: &[LineId]) -> Vec<Offer<'s>> {
    let names: Vec<&str> = ids.iter().map(|id| site.name(*id)).collect();
    let on = if names.len() > MOST_NAMED { format!("these {} lines", names.len()) } else { measure::listed(&names) };
    let all = |what: &str, change: &dyn Fn(&mut Bed)| {
        Offer::lines(site, ids.iter().copied(), format!("Use {what} on {on}"), |_, line| change(&mut line.bed))
    };
    let thick = site.units().said_inches_up(site.plan.criteria.envelope_m);
    let granular = format!("{} of sand or gravel round the pipe", thick.text);
    let sock = all("a sock", &|bed| bed.envelope = Envelope::Sock).filter(|_| !site.plan.has_iron());
    let narrow = all("narrow slots", &|bed| bed.slots = Slots::Narrow);
    let granular = all(&granular, &|bed| bed.envelope = Envelope::Granular(thick.value));
    [narrow, sock, granular].into_iter().flatten().collect()
}

/// Lines that are named; of more their number is told (own choice).
const MOST_NAMED: usize = 6;

/// Length of perforated pipe in soil with little clay, metres, and the texture met first.
fn loose(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<(f64, Texture)> {
    let limit = site.plan.criteria.plain_slots_clay;
    let brief = || site.plan.brief.texture.filter(|texture| texture.clay() < limit);
    let whole = Stretch { from_m: 0.0, to_m: worked.length_m, worst_m: 0.0, worst: 0.0 };
    let mut met: Vec<(Stretch, Texture)> = Vec::new();
    for part in in_layers(site, id, worked) {
        let texture = match part.layer {
            Some(layer) => (layer.clay() < limit).then_some(layer.texture),
            None => brief(),
        };
        met.extend(
            texture.map(|texture| (Stretch { from_m: part.depth.from_m, to_m: part.depth.to_m, ..whole }, texture)),
        );
    }
    // Where no depth is known no pit tells the layer.
    if worked.depth.is_empty() {
        met.extend(brief().map(|texture| (whole, texture)));
    }
    let texture = met.first()?.1;
    let length_m = total_m(&perforated(line, worked, join(met.into_iter().map(|(part, _)| part), 0.01)));
    (length_m > 0.1).then_some((length_m, texture))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    #[test]
    fn silt_loam_and_clay() {
        let mut job = Job::new();
        job.main(300.0);
        assert!(job.found(&RULE).is_empty());
        job.plan.brief.texture = Some(Texture::Clay);
        assert!(job.found(&RULE).is_empty());
        job.plan.brief.texture = Some(Texture::SiltLoam);
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "280 ft lie in silt loam with ordinary slots.");
        assert!(job.mended(&finding).found(&RULE).is_empty());
        job.plan.brief.iron = true;
        let told = ["Use narrow slots on M1", "Use 3 in of sand or gravel round the pipe on M1"];
        assert_eq!(job.remedies(&job.only(&RULE)), told);
    }
}
