//! Check 81, line on a ridge.

use design::{LineDesign, Station};
use plan::{Line, LineId};

use super::marks::perforated;
use super::pipe::{self, Solid};
use crate::stretch::{Stretch, join};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 81,
    slug: "on-ridge",
    title: "Line on a ridge",
    manual: "More than 50 ft of perforated pipe where the ground at the line stands 0.5 ft over that on both sides, 25 ft \
             out: little water comes there. A connector may be solid. Judgments. Silent without terrain. A note, one for \
             each line.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    site.new_lines().filter_map(|(id, line, worked)| finding(site, id, line, worked)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let criteria = &site.plan.criteria;
    let high = worked.stations.windows(2).filter(|pair| is_high(site, &pair[0], &pair[1])).map(|pair| {
        let (from_m, to_m) = (pair[0].station_m, pair[1].station_m);
        Stretch { from_m, to_m, worst_m: (from_m + to_m) / 2.0, worst: 0.0 }
    });
    let open = perforated(line, worked, join(high, 0.01));
    let part = open.iter().find(|part| part.length_m() > criteria.ridge_length_m)?;
    let (part, length_m) = (*part, criteria.ridge_length_m);
    let message = format!(
        "{} runs on high ground {}: little water comes there.",
        line.name,
        site.stretch(part.from_m, part.to_m)
    );
    Some(
        Finding::new(
            &RULE,
            Severity::Note,
            site.point(id, part.worst_m),
            format!("{} lies on a ridge", line.name),
            message,
        )
        .once_on(id, part.from_m, part.to_m)
        .offers(move |site| {
            let long: Vec<Stretch> = open.iter().copied().filter(|part| part.length_m() > length_m).collect();
            pipe::solid(site, id, &long, Solid::default()).into_iter().collect()
        }),
    )
}

/// True where the middle of an interval stands over the ground on both sides.
fn is_high(site: &Site, low: &Station, high: &Station) -> bool {
    let criteria = &site.plan.criteria;
    let length_m = measure::distance(low.at, high.at);
    let Some(ground) = site.land.ground.as_deref().filter(|_| length_m > 0.0) else { return false };
    let middle = measure::along(low.at, high.at, 0.5);
    let (ux, uy) = ((high.at.x - low.at.x) / length_m, (high.at.y - low.at.y) / length_m);
    let out = |side: f64| {
        let by_m = side * criteria.ridge_beside_m;
        ground.elevation(measure::Point::new(middle.x - uy * by_m, middle.y + ux * by_m))
    };
    let (Some(own_m), Some(left_m), Some(right_m)) = (ground.elevation(middle), out(1.0), out(-1.0)) else {
        return false;
    };
    own_m - left_m.max(right_m) > criteria.ridge_rise_m
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;
    use terrain::{Grid, Ground};

    use super::*;
    use crate::job::Job;

    /// Ground that falls away on both sides of the x axis, 4 ft in 100: 1 ft at 25 ft out; then 1 ft in 100.
    #[test]
    fn along_the_crest() {
        for (fall, count) in [(0.04, 1), (0.01, 0)] {
            let mut job = Job::new();
            job.main(300.0);
            let level = |i: usize| {
                let y_ft = 200.0 - 5.0 * (i / 80) as f64 - 2.5;
                ((110.0 - fall * y_ft.abs()) * FOOT_M) as f32
            };
            let levels = (0..80 * 80).map(level).collect();
            let corner = (-20.0 * FOOT_M, 200.0 * FOOT_M);
            let cell = (5.0 * FOOT_M, 5.0 * FOOT_M);
            let ground = Ground::from_grid(Grid::new((80, 80), corner, cell, levels).unwrap());
            let design = design::work_out(&job.plan, &land::Land::from(&ground));
            let land = land::Land { ground: Some(std::sync::Arc::new(ground)), ..land::Land::default() };
            let site = Site::new(&job.plan, &design, &land);
            assert_eq!((RULE.find)(&site).len(), count);
        }
    }
}
