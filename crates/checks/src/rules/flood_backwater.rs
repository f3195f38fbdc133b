//! Check 29, flood backwater reach.

use plan::{LineId, OutletId};
use terrain::Profile;

use crate::site::LEVEL_TOLERANCE_M;
use crate::stretch::{total_m, under};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 29,
    slug: "flood-backwater",
    title: "Flood backwater reach",
    manual: "Length of pipe that lies below the flood level entered for its outlet and stands full while the flood lasts. \
             Short floods do little harm; standing under water for days silts a line. Where no flood level is entered \
             that is said once. From an old text. A note, one for the plan.",
    source: "[OLD1912]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let floods = site.plan.outlets.iter().filter(|(_, outlet)| outlet.is_open());
    let floods = floods.filter_map(|(id, outlet)| Some((*id, outlet.flood_m?)));
    let drowned: Vec<_> = floods.filter_map(|(id, flood_m)| drowned(site, id, flood_m)).collect();
    let unknown = site.plan.outlets.iter().find(|(_, outlet)| outlet.is_open() && outlet.flood_m.is_none());
    drowned.into_iter().chain(unknown.map(|(id, outlet)| not_known(*id, outlet))).collect()
}

fn drowned(site: &Site, id: OutletId, flood_m: f64) -> Option<Finding> {
    let (outlet, units) = (site.plan.outlets.get(&id)?, site.units());
    let below: Vec<(LineId, f64)> = site
        .new_lines()
        .filter(|(line, _, _)| site.plan.lines[&site.root(*line)].joins == plan::Joins::Outlet(id))
        .map(|(line, _, worked)| {
            let inverts: Vec<_> = worked.stations.iter().map(|s| (s.station_m, s.invert_m)).collect();
            let pipe = Profile::through(&inverts);
            (line, total_m(&under(pipe.pieces().iter().copied(), flood_m - LEVEL_TOLERANCE_M)))
        })
        .filter(|(_, length_m)| *length_m > LEVEL_TOLERANCE_M)
        .collect();
    let length_m: f64 = below.iter().map(|(_, length_m)| length_m).sum();
    if below.is_empty() {
        return None;
    }
    let message = format!(
        "In a flood to {} at {} the lowest {} stand full.",
        units.level(flood_m),
        outlet.name,
        site.length(length_m)
    );
    let place = |(line, length_m): &(LineId, f64)| {
        let text = site.length(*length_m);
        site.place(*line, (0.0, *length_m), 0.0, &text)
    };
    let title = format!("A flood backs up from {}", outlet.name);
    Some(
        Finding::new(&RULE, Severity::Note, outlet.at, title, message)
            .of_outlet(id)
            .amount(format!("{} under flood", site.length(length_m)))
            .gathers(below.iter().map(place).collect())
            .advises("Short floods do little harm; keep laterals above them where you can."),
    )
}

fn not_known(id: OutletId, outlet: &plan::Outlet) -> Finding {
    let name = &outlet.name;
    let message = format!("How far a flood backs up into {name} cannot be said: its flood level is not entered.");
    Finding::new(&RULE, Severity::Note, outlet.at, format!("Flood level at {name} is not known"), message)
        .of_outlet(id)
        .amount("flood?".into())
        .keyed("unknown")
        .advises("Ask, or look for marks, and enter the level.")
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;

    use super::*;
    use crate::job::Job;

    /// A main from 100.00 at 1.00 %: a flood to 101.50 stands 150 ft up it.
    #[test]
    fn the_lowest_stretch_stands_full() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        let outlet = job.plan.lines[&m1].joins;
        job.pin(m1, 300.0, 103.0).change_outlet(outlet, |outlet| outlet.flood_m = Some(101.5 * FOOT_M));
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "In a flood to 101.50 at O1 the lowest 150 ft stand full.");
        job.change_outlet(outlet, |outlet| outlet.flood_m = Some(99.0 * FOOT_M));
        assert!(job.found(&RULE).is_empty());
        job.change_outlet(outlet, |outlet| outlet.flood_m = None);
        assert_eq!(job.only(&RULE).title, "Flood level at O1 is not known");
    }
}
