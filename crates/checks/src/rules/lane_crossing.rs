//! Check 71, road or lane crossing.

use plan::LandmarkKind;

use super::marks::{Near, near, without_pipe};
use super::pipe::{self, Solid};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 71,
    slug: "lane-crossing",
    title: "Road or lane crossing",
    manual: "A new line crosses a road, lane or loading place and is not laid in solid heavy pipe from 5 ft before to 5 ft \
             after it; or, told by itself, it crosses a public road for which no permission is entered. A judgment. To decide.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let mut found = Vec::new();
    for (mark_id, mark) in site.marks(|mark| matches!(mark.kind, LandmarkKind::Road { .. })) {
        let LandmarkKind::Road { width_m, public, permission } = mark.kind else { continue };
        let half_m = match mark.outline {
            plan::Outline::Along(_) => width_m / 2.0,
            _ => 0.0,
        };
        for mut near in near(site, &mark.outline, half_m + site.plan.criteria.lane_beyond_m) {
            // A line that only runs beside the lane is not crossed by wheels.
            near.parts.retain(|part| part.worst <= half_m + 1e-6);
            let asks = (public && !permission).then(|| unpermitted(site, &mark.called(), &near)).flatten();
            found.extend(asks.map(|finding| finding.keyed_by(mark_id)));
            found.extend(weak(site, &mark.called(), near).map(|finding| finding.keyed_by(mark_id)));
        }
    }
    found
}

/// A public road that nobody has permitted to be crossed.
fn unpermitted(site: &Site, lane: &str, near: &Near) -> Option<Finding> {
    let (name, (from_m, to_m)) = (&near.line.name, near.extent());
    let message = format!(
        "{name} crosses {lane} {}, a public road, without the road authority's permission.",
        site.stretch(from_m, to_m)
    );
    let at = site.point(near.id, near.nearest()?.worst_m);
    let title = format!("{name} crosses {lane} without permission");
    let found = Finding::new(&RULE, Severity::Decide, at, title, message).once_on(near.id, from_m, to_m);
    Some(found.keyed("permission").advises("Ask the road authority, and enter its permission."))
}

/// Pipe under a lane that is not solid and heavy.
fn weak(site: &Site, lane: &str, near: Near) -> Option<Finding> {
    let weak = without_pipe(near.line, near.parts.clone(), |pipe| pipe.solid && pipe.heavy);
    // A part at the downstream end that is the outlet's own rigid pipe is solid already.
    let weak = if near.worked.outlet_pipe_m > 0.0 {
        crate::stretch::without(&weak, -1.0, near.worked.outlet_pipe_m)
    } else {
        weak
    };
    if weak.is_empty() {
        return None;
    }
    let (id, name, (from_m, to_m)) = (near.id, &near.line.name, near.extent());
    let message =
        format!("{name} crosses {lane} {} in pipe that is not solid and heavy.", site.stretch(from_m, to_m));
    let at = site.point(id, near.nearest()?.worst_m);
    let (title, parts) = (format!("{name} crosses {lane}"), near.parts);
    let found = Finding::new(&RULE, Severity::Decide, at, title, message).once_on(id, from_m, to_m);
    Some(found.offers(move |site| {
        pipe::solid(site, id, &parts, Solid { heavy: true, plugged: false }).into_iter().collect()
    }))
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
        assert_eq!(
            finding.message,
            "M1 crosses road or lane R1 from 0+89 to 1+11 in pipe that is not solid and \
         heavy."
        );
        let mut mended = job.mended(&finding);
        assert!(mended.found(&RULE).is_empty());
        mended.remark(mark, road(true, false));
        assert!(mended.only(&RULE).advice == "Ask the road authority, and enter its permission.");
        mended.remark(mark, road(true, true));
        assert!(mended.found(&RULE).is_empty());
    }

    /// A lane 12 ft wide beside the line, 10 ft off its centre: nothing crosses it.
    #[test]
    fn a_lane_beside_the_line_is_not_crossed() {
        let mut job = Job::new();
        job.main(300.0);
        let lane = LandmarkKind::Road { width_m: 12.0 * FOOT_M, public: true, permission: false };
        job.mark("R1", lane, along(&[(50.0, 10.0), (250.0, 10.0)]));
        assert!(job.found(&RULE).is_empty());
    }

    /// A lane that crosses twice is laid solid at each crossing and not between them.
    #[test]
    fn a_lane_that_crosses_twice() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        let lane = LandmarkKind::Road { width_m: 12.0 * FOOT_M, public: false, permission: false };
        job.mark("R1", lane, along(&[(50.0, -50.0), (50.0, 90.0), (250.0, 90.0), (250.0, -50.0)]));
        let finding = job.only(&RULE);
        assert!(finding.message.starts_with("M1 crosses road or lane R1 from 0+39 to 2+61"), "{}", finding.message);
        let laid = "Lay solid heavy pipe from 0+39 to 0+61 and from 2+39 to 2+61 of M1";
        assert_eq!(job.remedies(&finding), [laid]);
        let mended = job.mended(&finding);
        let laid: f64 = mended.plan.lines[&m1].stretches.iter().map(|pipe| pipe.to_m - pipe.from_m).sum();
        assert!((laid / FOOT_M - 44.0).abs() < 0.1, "{}", laid / FOOT_M);
    }
}
