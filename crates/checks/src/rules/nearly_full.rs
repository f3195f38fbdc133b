//! Check 39, nearly full.

use design::LineDesign;
use plan::{Line, LineId};

use super::capacity::{falling_capacity, fuller_than, fullest, percent, places, stretches};
use super::over_capacity::offers;
use crate::stretch::Stretch;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 39,
    slug: "nearly-full",
    title: "Nearly full",
    manual: "Design flow from 90 % of what the full pipe carries up. It holds, but leaves no room for an old tile that \
             turns up in the trench or a branch added later. Every stretch that is so full is named. The share is a judgment. A note, one for each line.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    site.new_lines().filter_map(|(id, line, worked)| finding(site, id, line, worked)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let criteria = &site.plan.criteria;
    let nearly = criteria.nearly_full..=criteria.over_capacity;
    let full = fullest(site, worked).filter(|full| nearly.contains(&full.share()))?;
    let (name, units) = (&line.name, site.units());
    let capacity_m3s = |index: usize| falling_capacity(site, worked, index);
    let parts = fuller_than(worked, criteria.nearly_full, capacity_m3s);
    // Just as full as the limit it is so at a place and not along a stretch.
    let at_m = worked.stations[full.index].station_m;
    let here = Stretch { from_m: at_m, to_m: at_m, worst_m: at_m, worst: -full.share() };
    let parts = if parts.is_empty() { vec![here] } else { parts };
    let (worst, all) = places(site, id, &parts)?;
    let share = percent(full.share());
    let message = format!(
        "{name} is up to {share} full, {} ({} of {}): no room for a later tie-in.",
        stretches(site, &parts),
        units.flow(full.required_m3s),
        units.flow(full.capacity_m3s)
    );
    Some(
        Finding::new(&RULE, Severity::Note, site.point(id, worst.worst_m), format!("{name} is nearly full"), message)
            .once_on(id, worst.from_m, worst.to_m)
            .gathers(all)
            .amount(format!("{share} full"))
            .misses(full.share(), criteria.nearly_full)
            .offers(move |site| offers(site, id, &parts)),
    )
}

#[cfg(test)]
mod tests {
    use measure::SQUARE_M_PER_ACRE;
    use plan::Served;

    use super::*;
    use crate::job::{Job, stations_ft};

    /// The worked example Quillmere Bench: 5.6 ac at 1/2 in/day are 0.118 cfs; 4 in at 0.60 % carries 0.128 (92 %), 6
    /// in 0.377. The flow falls evenly over 640 ft and is 90 % at 640 × (1 − 0.9 × 0.1278 / 0.1176) = 14.4 ft.
    #[test]
    fn quillmere_in_four_inches() {
        let mut job = Job::new();
        let m1 = job.main(640.0);
        job.pin(m1, 640.0, 103.84).size(m1, 4.0);
        job.change(m1, |line| line.served = Served::Area(5.6 * SQUARE_M_PER_ACRE));
        let finding = job.only(&RULE);
        assert_eq!(
            finding.message,
            "M1 is up to 92 % full, from 0+00 to 0+14.5 (0.118 cfs of 0.128 cfs): no room for a later tie-in."
        );
        assert!((stations_ft(&finding).1 - 14.44).abs() < 0.05);
        assert!(job.mended(&finding).found(&RULE).is_empty());
        job.size(m1, 6.0);
        assert!(job.found(&RULE).is_empty());
    }
}
