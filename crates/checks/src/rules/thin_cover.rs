//! Check 12, cover too thin.

use design::LineDesign;
use plan::{Line, LineId};

use super::levels::{self, Wants};
use super::marks::without_pipe;
use super::pipe::{self, Solid};
use crate::offer::Offer;
use crate::site::LEVEL_TOLERANCE_M;
use crate::stretch::Stretch;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 12,
    slug: "thin-cover",
    title: "Cover too thin",
    manual: "Less soil over the top of the pipe than the job asks for; 2.0 ft (0.6 m) in mineral soil. Wheels crush \
             shallower pipe and plows and rippers reach it. The solid outlet pipe is exempt, for it must come out of \
             the bank; so is pipe marked solid and heavy. The figure stands in the conservation practice standard (from memory) and in growers' advice. \
             Silent where no ground is known. To fix before digging.",
    source: "[CPS606, memory] [FORUM-R: 24 in]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let of_line = |(id, line, worked): (LineId, &Line, &LineDesign)| {
        let limit_m = site.plan.criteria.least_cover_m;
        let laid =
            without_pipe(line, worked.cover_under(worked.outlet_pipe_m, limit_m), |pipe| pipe.solid && pipe.heavy);
        let thin = laid.into_iter().filter(move |part| part.worst < limit_m - LEVEL_TOLERANCE_M);
        thin.map(|stretch| finding(site, id, line, worked, &stretch)).collect::<Vec<_>>()
    };
    site.new_lines().filter(|(_, line, _)| !line.bed.organic).flat_map(of_line).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign, stretch: &Stretch) -> Finding {
    let (units, limit_m) = (site.units(), site.plan.criteria.least_cover_m);
    let message = if stretch.worst > 0.0 {
        let [cover, wanted] = units.depths(stretch.worst, limit_m);
        format!(
            "Only {cover} of soil over the pipe of {} at {}; wanted {wanted}.",
            line.name,
            site.station(stretch.worst_m)
        )
    } else {
        format!(
            "The pipe of {} comes out of the ground by {} at {}.",
            line.name,
            units.depths(-stretch.worst, 0.0)[0],
            site.station(stretch.worst_m)
        )
    };
    let title = format!("Too little soil over {}", line.name);
    let (part, by_m) = (*stretch, limit_m - stretch.worst);
    Finding::new(&RULE, Severity::Block, site.point(id, stretch.worst_m), title, message)
        .on(id, stretch.from_m, stretch.to_m)
        .keyed_at(station_below(worked, stretch.from_m))
        .amount(site.cover(stretch.worst))
        .misses(stretch.worst, limit_m)
        .offers(move |site| offers(site, id, part, by_m))
}

/// The station of the design at which a place lies, or the last below it: it stays while the levels move.
pub(crate) fn station_below(worked: &LineDesign, station_m: f64) -> f64 {
    let below = worked.stations.iter().rev().find(|station| station.station_m <= station_m + 1e-6);
    below.map_or(0.0, |station| station.station_m)
}

/// Levels that hold the pipe up there lowered, or pipe that needs less cover.
fn offers<'s>(site: &'s Site, id: LineId, part: Stretch, by_m: f64) -> Vec<Offer<'s>> {
    let mut offers = levels::ways(site, id, (part.from_m, part.to_m), Wants::Lower(by_m));
    offers.extend(pipe::solid_beyond(site, id, vec![part], Solid { heavy: true, plugged: false }));
    offers
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, stations_ft};

    /// Pipe at 100 to 102 ft in 400 ft under ground that dips 1.5 ft at 2+00 (slopes 1.5 ft in 100 ft): the 6-in top
    /// is 0.54 ft up, so cover is 3.00 − 0.54 = 2.46 outside the dip and 0.96 in it; 2.00 is crossed 0.46/1.5 × 100 ft
    /// from the rims.
    #[test]
    fn a_dip_in_the_ground() {
        let mut job = Job::new();
        let m1 = job.main(400.0);
        job.pin(m1, 400.0, 102.0);
        job.ground(|x, _| 103.0 + x * 0.005 - (1.5 - (x - 200.0).abs() * 0.015).max(0.0));
        let finding = job.only(&RULE);
        assert_eq!(stations_ft(&finding), (130.667, 269.333));
        assert_eq!(finding.message, "Only 0.96 ft of soil over the pipe of M1 at 2+00; wanted 2.00 ft.");
    }

    /// The solid outlet pipe may come out of the bank: at its end, 0+20, ground is 2.54 ft over the invert, which leaves
    /// 2.00 ft and passes. Without ground nothing is said.
    #[test]
    fn the_outlet_pipe_is_exempt() {
        let mut job = Job::new();
        let m1 = job.main(100.0);
        job.pin(m1, 100.0, 101.0);
        assert!(job.found(&RULE).is_empty());
        job.ground(|x, _| 100.0 + 0.01 * x + if x < 1.0 { 0.1 } else { 3.15 });
        assert!(job.found(&RULE).is_empty());
    }
}
