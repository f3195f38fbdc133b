//! Check 71, road or lane crossing.

use plan::LandmarkKind;

use super::marks::{Near, called, near, solid_fix, without_pipe};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 71,
    slug: "lane-crossing",
    title: "Road or lane crossing",
    manual: "A new line crosses a road, lane or loading place and is not laid in solid heavy pipe from 5 ft before to 5 ft \
             after it; or it crosses a public road for which no permission is entered. A judgement. To decide.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let mut found = Vec::new();
    for (_, mark) in site.marks(|mark| matches!(mark.kind, LandmarkKind::Road { .. })) {
        let LandmarkKind::Road { width_m, public, permission } = mark.kind else { continue };
        let reach_m = match mark.outline {
            plan::Outline::Along(_) => width_m / 2.0,
            _ => 0.0,
        } + site.plan.criteria.lane_beyond_m;
        let asks = public && !permission;
        let lines = near(site, &mark.outline, reach_m).into_iter();
        found.extend(lines.filter_map(|near| finding(site, &called(mark), near, asks)));
    }
    found
}

fn finding(site: &Site, lane: &str, near: Near, asks: bool) -> Option<Finding> {
    let weak = without_pipe(near.line, near.parts.clone(), |pipe| pipe.solid && pipe.heavy);
    // A part at the downstream end that is the outlet's own rigid pipe is solid already.
    let weak = if near.worked.outlet_pipe_m > 0.0 {
        crate::stretch::without(&weak, -1.0, near.worked.outlet_pipe_m)
    } else {
        weak
    };
    let permit = "enter the road authority's permission";
    let remedy = match (weak.is_empty(), asks) {
        (true, false) => return None,
        (true, true) => format!("For a public road {permit}."),
        (false, true) => {
            format!("Mark {} solid and heavy; for a public road {permit}.", site.units().length(near.length_m()))
        }
        (false, false) => format!("Mark {} solid and heavy.", site.units().length(near.length_m())),
    };
    let (from_m, to_m) = near.extent();
    let message = format!("{} crosses {lane} {}. {remedy}", near.line.name, site.stretch(from_m, to_m));
    let fix = (!weak.is_empty()).then(|| solid_fix(site, &near, 0.0, true)).flatten();
    let at = site.point(near.id, near.nearest()?.worst_m);
    Some(
        Finding::new(&RULE, Severity::Decide, at, format!("{} crosses {lane}", near.line.name), message)
            .on(near.id, from_m, to_m)
            .fix(fix),
    )
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;

    use super::*;
    use crate::job::{Job, along};

    /// A lane 12 ft wide across 1+00: 22 ft solid and heavy, from 0+89 to 1+11.
    #[test]
    fn a_farm_lane_and_a_public_road() {
        let mut job = Job::new();
        job.main(300.0);
        let road = |public, permission| LandmarkKind::Road { width_m: 12.0 * FOOT_M, public, permission };
        let mark = job.mark("R1", road(false, false), along(&[(100.0, -50.0), (100.0, 50.0)]));
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "M1 crosses road or lane R1 from 0+89 to 1+11. Mark 22 ft solid and heavy.");
        let mut mended = job.mended(&finding);
        assert!(mended.found(&RULE).is_empty());
        mended.remark(mark, road(true, false));
        assert!(mended.only(&RULE).message.ends_with("For a public road enter the road authority's permission."));
        mended.remark(mark, road(true, true));
        assert!(mended.found(&RULE).is_empty());
    }
}
