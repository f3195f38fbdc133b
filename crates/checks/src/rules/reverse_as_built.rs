//! Check 109, reverse grade or dip as built; check 110, standing water, is merged into it.

use plan::{Line, LineId};
use record::{Dip, DugLine};

use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 109,
    slug: "reverse-as-built",
    title: "Reverse grade or dip as built",
    manual: "Between shots of what was laid the pipe falls the wrong way by more than 0.03 ft (9 mm), or twice the scatter of \
             its shots where that is more: water stands there as deep as the lowest invert lies under the highest downstream of it, \
             roots follow and silt settles. While the trench is open it is to fix. After backfill it hangs on the depth of the \
             water: to 10 % of the inside diameter a note, to 50 % to decide, over that to fix. Shots held on the top of the pipe \
             or the bottom of the trench count by its size and wall; of two shots at one place the later one counts. That pipe must \
             not fall the wrong way is common to all handbooks; 0.03 ft is a judgment, the shares are from memory of the standards. \
             Check 110, standing water, is merged into this one.",
    source: "[MSU-root] [ASTM F449, memory] [EP260, memory] [judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let of_line = |(id, line, dug): (LineId, &Line, &DugLine)| {
        dug.dips.iter().map(|dip| finding(site, id, line, dip)).collect::<Vec<_>>()
    };
    site.dug_lines().flat_map(of_line).collect()
}

fn severity(site: &Site, dip: &Dip) -> Severity {
    let criteria = &site.plan.criteria;
    match dip.share() {
        _ if !dip.backfilled => Severity::Block,
        share if share > criteria.dip_fix => Severity::Block,
        share if share > criteria.dip_decide => Severity::Decide,
        _ => Severity::Note,
    }
}

fn finding(site: &Site, id: LineId, line: &Line, dip: &Dip) -> Finding {
    let (name, units) = (&line.name, site.units());
    let (low, lip) = (site.station(dip.lowest_m), site.station(dip.lip_m));
    let [fall, _] = units.depths(dip.depth_m, 0.0);
    let percent = measure::fixed(measure::round_half_up(dip.share() * 100.0, 0), 0);
    let length = site.length(dip.length_m());
    let message = format!(
        "As dug, {name} falls the wrong way by {fall} between {low} and {lip}; {} of water will stand ({percent} % of the \
         diameter), {length} long.",
        units.water(dip.depth_m)
    );
    let advice = if dip.backfilled {
        format!("Flush it and watch it, or relay it from {low} and shoot it again.")
    } else {
        format!("Relay it from {low} while the trench is open, and shoot it again.")
    };
    let title = format!("{name} was laid with a dip at {low}");
    Finding::new(&RULE, severity(site, dip), site.point(id, dip.lowest_m), title, message)
        .on(id, dip.lip_m, dip.end_m)
        .keyed_at(dip.lowest_m)
        .amount(format!("water stands {}", units.water(dip.depth_m)))
        .misses(dip.depth_m, dip.allowed_m(&site.plan.criteria))
        .advises(advice)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, shoot, stations_ft};

    fn dipped(held_ft: &[(f64, f64)]) -> (Job, LineId) {
        let mut job = Job::new();
        let m1 = job.main(400.0);
        job.pin(m1, 400.0, 104.0);
        shoot(&mut job, m1, held_ft);
        (job, m1)
    }

    /// 0.05 ft in 6-in pipe are a tenth of it.
    #[test]
    fn open_it_is_to_fix_and_backfilled_it_hangs_on_the_depth() {
        let dip = |depth: f64| [(0.0, 100.0), (50.0, 100.5), (100.0, 100.5 - depth), (150.0, 101.5)];
        for (depth, open, filled) in [
            (0.05, Severity::Block, Severity::Note),
            (0.06, Severity::Block, Severity::Decide),
            (0.24, Severity::Block, Severity::Decide),
            (0.26, Severity::Block, Severity::Block),
        ] {
            let (mut job, m1) = dipped(&dip(depth));
            assert_eq!(job.only(&RULE).severity, open, "{depth}");
            job.laid(m1, (0.0, 150.0), true);
            assert_eq!(job.only(&RULE).severity, filled, "{depth}");
        }
    }

    /// 0.06 ft under the lip at 0+50; the pipe above rises 1.06 ft in 50 ft, so that it is as high again 2.8 ft up.
    #[test]
    fn how_deep_and_how_long_water_stands() {
        let (job, _) = dipped(&[(0.0, 100.0), (50.0, 100.5), (100.0, 100.44), (150.0, 101.5)]);
        let finding = job.only(&RULE);
        assert_eq!(stations_ft(&finding), (50.0, 102.83));
        assert_eq!(
            finding.message,
            "As dug, M1 falls the wrong way by 0.06 ft between 1+00 and 0+50; 3/4 in of water will stand (12 % of the \
             diameter), 53 ft long."
        );
    }

    /// 0.03 ft passes; so does 0.05 ft that was shot with a scatter of 0.03 ft.
    #[test]
    fn what_lies_within_the_limit_or_the_scatter_passes() {
        assert!(dipped(&[(0.0, 100.0), (50.0, 100.5), (100.0, 100.47)]).0.found(&RULE).is_empty());
        let (mut job, _) = dipped(&[(0.0, 100.0), (50.0, 100.5), (100.0, 100.45)]);
        assert_eq!(job.found(&RULE).len(), 1);
        job.plan.record.shots.iter_mut().for_each(|shot| shot.scatter_m = Some(0.03 * measure::FOOT_M));
        assert!(job.found(&RULE).is_empty());
    }
}
