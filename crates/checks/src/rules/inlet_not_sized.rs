//! Check 42, surface inlet on a line sized for soil water only.

use plan::{Catching, Line, LineId, Structure, StructureKind};

use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 42,
    slug: "inlet-not-sized",
    title: "Surface inlet on a line sized for soil water",
    manual: "An open inlet whose land is counted with less than 1 in/day (25 mm/day). Storm water comes faster than soil \
             water and takes the pipe for itself. A blind inlet lets less through. Handbook figure from memory. To decide.",
    source: "[memory, EFH14]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let of_line = |(id, line, _): (LineId, &Line, &design::LineDesign)| {
        line.structures.iter().filter_map(|inlet| finding(site, id, line, inlet)).collect::<Vec<_>>()
    };
    site.new_lines().flat_map(of_line).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, inlet: &Structure) -> Option<Finding> {
    let StructureKind::OpenInlet(catching) = inlet.kind else { return None };
    let (wanted_ms, units) = (site.plan.criteria.inlet_coefficient_ms, site.units());
    let counted_ms = catching.coefficient_ms.unwrap_or(site.plan.brief.coefficient_ms());
    if counted_ms >= wanted_ms * (1.0 - 1e-9) {
        return None;
    }
    let place = site.station(inlet.station_m);
    let message = format!(
        "The open inlet of {} at {place} brings storm water from {}, counted with {}; wanted {}.",
        line.name,
        units.area(catching.area_m2),
        units.coefficient(counted_ms),
        units.said_coefficient_up(wanted_ms).text
    );
    let own = *inlet;
    let title = format!("An inlet of {} is sized for soil water", line.name);
    Some(
        Finding::new(&RULE, Severity::Decide, site.point(id, inlet.station_m), title, message)
            .on(id, inlet.station_m, inlet.station_m)
            .misses(counted_ms, wanted_ms)
            .offers(move |site| {
                let said = site.units().said_coefficient_up(wanted_ms);
                let at = format!("the inlet at {} of {}", site.station(own.station_m), site.name(id));
                let counted = Catching { coefficient_ms: Some(said.value), ..catching };
                let counted =
                    change(site, id, format!("Count {} at {at}", said.text), own, StructureKind::OpenInlet(counted));
                let blind = change(site, id, format!("Make {at} blind"), own, StructureKind::BlindInlet(catching));
                counted.into_iter().chain(blind).collect()
            }),
    )
}

/// Offers that a structure becomes another.
pub(crate) fn change<'s>(
    site: &'s Site,
    id: LineId,
    label: String,
    own: Structure,
    kind: StructureKind,
) -> Option<Offer<'s>> {
    Offer::line(site, id, label, |line| line.structures.iter_mut().filter(|s| **s == own).for_each(|s| s.kind = kind))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;
    use measure::{FOOT_M, INCH_PER_DAY_MS, SQUARE_M_PER_ACRE};

    #[test]
    fn an_acre_at_half_an_inch() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        let inlet = |coefficient_ms, open: bool| {
            let catching = Catching { coefficient_ms, ..Catching::of(SQUARE_M_PER_ACRE) };
            let kind = if open { StructureKind::OpenInlet(catching) } else { StructureKind::BlindInlet(catching) };
            vec![Structure { station_m: 100.0 * FOOT_M, kind }]
        };
        job.change(m1, |line| line.structures = inlet(None, true));
        assert!(job.only(&RULE).message.starts_with("The open inlet of M1 at 1+00 brings storm water from 1.00 ac"));
        job.change(m1, |line| line.structures = inlet(Some(INCH_PER_DAY_MS), true));
        assert!(job.found(&RULE).is_empty());
        job.change(m1, |line| line.structures = inlet(None, false));
        assert!(job.found(&RULE).is_empty());
    }
}
