//! Check 72, post or anchor reaches the pipe.

use measure::Point;
use plan::{LandmarkKind, LineId, Outline};

use super::levels::{self, Wants};
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Place, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 72,
    slug: "post-or-anchor",
    title: "Post or anchor reaches the pipe",
    manual: "The top of the pipe lies less than 1 ft below the tip of an end post or anchor and less than 3 ft sideways \
             from it. Posts stand where rows meet the edge of the block. Screw anchors and driven posts go through pipe \
             without anybody noticing. Depths after a university guide; distances are judgments. To decide, one for each \
             line and block.",
    source: "[POSTS] [judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let mut found = Vec::new();
    for (mark_id, mark) in site.marks(|mark| matches!(mark.kind, LandmarkKind::Rows(_))) {
        let (LandmarkKind::Rows(block), Outline::Around(ring)) = (&mark.kind, &mark.outline) else { continue };
        let Some(tip_m) = block.post_depth_m.into_iter().chain(block.anchor_depth_m).reduce(f64::max) else {
            continue;
        };
        let posts = block.rows(ring).into_iter().flat_map(|row| [row.from, row.to]);
        let mut met: Vec<(LineId, f64, f64)> = posts.flat_map(|post| met_by(site, post, tip_m)).collect();
        met.sort_by(|x, y| site.rank(x.0).cmp(&site.rank(y.0)).then(x.1.total_cmp(&y.1)));
        found.extend(
            met.chunk_by(|x, y| x.0 == y.0)
                .filter_map(|of_line| Some(finding(site, &mark.name, of_line)?.keyed_by(mark_id))),
        );
    }
    found
}

/// Lines that a post reaches: line, station and by how much the pipe lies too high, metres.
fn met_by(site: &Site, post: Point, tip_m: f64) -> Vec<(LineId, f64, f64)> {
    let criteria = &site.plan.criteria;
    let near = site.pieces.paths_near(post, criteria.post_beside_m - LEVEL_TOLERANCE_M);
    let met = |(path, station_m, _, _): (u32, f64, Point, f64)| {
        let id = LineId(path);
        let (_, worked) = site.line(id).filter(|_| !site.is_old(id))?;
        let high_m = tip_m + criteria.post_below_m - worked.cover_m(&worked.at(station_m)?)?;
        (high_m > LEVEL_TOLERANCE_M).then_some((id, station_m, high_m))
    };
    near.into_iter().filter_map(met).collect()
}

fn finding(site: &Site, block: &str, met: &[(LineId, f64, f64)]) -> Option<Finding> {
    let (id, station_m, high_m) = *met.iter().max_by(|x, y| x.2.total_cmp(&y.2))?;
    let name = site.name(id);
    let more = if met.len() > 1 { format!(" and {} more", met.len() - 1) } else { String::new() };
    let message = format!(
        "The end post at {} of {name}{more} would reach the pipe, which lies {} too high for it.",
        site.station(station_m),
        site.units().depths(high_m, 0.0)[0]
    );
    let ends = met.iter().map(|(_, m, _)| *m).fold((f64::MAX, f64::MIN), |(low, high), m| (low.min(m), high.max(m)));
    let place = |(id, m, _): &(LineId, f64, f64)| -> Place { site.place(*id, (*m, *m), *m, "end post or anchor") };
    let title = format!("Posts of {block} reach {name}");
    Some(
        Finding::new(&RULE, Severity::Decide, site.point(id, station_m), title, message)
            .once_on(id, station_m, station_m)
            .gathers(met.iter().map(place).collect())
            .offers(move |site| levels::ways(site, id, ends, Wants::Lower(high_m))),
    )
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;
    use plan::Rows;

    use super::*;
    use crate::job::{Job, around};

    /// Rows that run north from y = 1 ft, every 9 ft from x = 102 on: the posts at 1+02, 1+11 … stand 1 ft from M1,
    /// whose top is 2.46 ft down; anchors of 2 ft want 3.0 ft. In the worked example Ellowby Block posts 4.5 ft to
    /// the side are far enough.
    #[test]
    fn posts_beside_the_main() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.pin(m1, 300.0, 101.5).ground(|x, _| 103.0 + 0.005 * x);
        let block = |feet: f64| LandmarkKind::Rows(Rows { anchor_depth_m: Some(feet * FOOT_M), ..Rows::default() });
        let mark = job.mark("B1", block(2.0), around(102.0, 1.0, 200.0, 90.0));
        let finding = job.only(&RULE);
        assert!(finding.message.contains("0.54 ft too high"), "{}", finding.message);
        assert!(finding.places.len() >= 10);
        job.remark(mark, block(1.4));
        assert!(job.found(&RULE).is_empty());
        job.mark("B2", block(2.0), around(102.0, 4.5, 200.0, 90.0));
        assert!(job.found(&RULE).is_empty());
    }
}
