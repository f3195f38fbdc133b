//! Check 111, off design: pipe that does not lie where the plan has it.

use plan::{Line, LineId};
use record::{Dug, DugLine};

use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 111,
    slug: "off-design",
    title: "Off design",
    manual: "The invert as shot lies more than 0.10 ft (30 mm) over or under the plan's, on mains and laterals alike; \
             neighboring shots that do are one finding. What joins it and all that is not dug yet hangs on that level. The figure is from \
             memory of bid specifications. To decide: relay it, or accept it and work out the rest anew.",
    source: "[ISU-bid] [memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let of_line = |(id, line, dug): (LineId, &Line, &DugLine)| {
        let is_off = |shot: &Dug| shot.is_off(&site.plan.criteria);
        let runs = dug.shots.chunk_by(|a, b| is_off(a) == is_off(b)).filter(|run| run.first().is_some_and(is_off));
        runs.filter_map(|run| finding(site, id, line, run)).collect::<Vec<_>>()
    };
    site.dug_lines().flat_map(of_line).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, run: &[Dug]) -> Option<Finding> {
    let (name, units) = (&line.name, site.units());
    let off_m = |shot: &Dug| shot.over_plan_m().unwrap_or(0.0);
    let worst = run.iter().max_by(|a, b| off_m(a).abs().total_cmp(&off_m(b).abs()))?;
    let (over_m, at) = (off_m(worst), site.station(worst.station_m));
    let side = if over_m < 0.0 { "under" } else { "over" };
    let limit_m = site.plan.criteria.off_design_m;
    let [off, limit] = units.depths(over_m.abs(), limit_m);
    let message = format!(
        "{name} lies {off} {side} the plan at {at}: {} for {}; {limit} is allowed.",
        units.level(worst.invert_m),
        units.level(worst.plan_m?)
    );
    let title = format!("{name} was not laid as planned at {at}");
    let found = Finding::new(&RULE, Severity::Decide, worst.at, title, message)
        .on(id, run.first()?.station_m, run.last()?.station_m)
        .amount(format!("{} {side} the plan", site.short(over_m.abs())))
        .misses(over_m.abs(), limit_m);
    Some(found.advises("Relay it and shoot it again, or accept it and regrade what is not dug."))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, shoot, stations_ft};

    /// 1 % from 100.00; a shot on the limit passes, neighbours that are off are one finding that tells the worst.
    #[test]
    fn shots_off_the_plan() {
        let mut job = Job::new();
        let m1 = job.main(400.0);
        job.pin(m1, 400.0, 104.0);
        shoot(&mut job, m1, &[(0.0, 100.0), (50.0, 100.6), (100.0, 101.2), (150.0, 101.8), (200.0, 102.0)]);
        let finding = job.only(&RULE);
        assert_eq!(stations_ft(&finding), (100.0, 150.0));
        assert_eq!(finding.message, "M1 lies 0.30 ft over the plan at 1+50: 101.80 for 101.50; 0.10 ft is allowed.");
    }
}
