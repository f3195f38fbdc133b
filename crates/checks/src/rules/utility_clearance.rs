//! Check 65, utility clearance.

use plan::LandmarkKind;

use super::levels::{self, Wants};
use super::utilities::{Crossed, buried, crossed};
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 65,
    slug: "utility-clearance",
    title: "Utility clearance",
    manual: "Less than 1.0 ft (0.3 m), or than its owner asks for, between the outside of the pipe and a buried utility or \
             irrigation main where they cross. A judgement; the owner's figure and state law go before it. Silent where no \
             depth or ground is known: see check 118. To fix before digging.",
    source: "[judgement; state law]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    crossed(site, |kind| buried(kind).is_some()).iter().filter_map(|crossed| finding(site, crossed)).collect()
}

fn finding(site: &Site, crossed: &Crossed) -> Option<Finding> {
    let (clear_m, over) = crossed.clear_m(site)?;
    let own_m = match &crossed.mark.kind {
        LandmarkKind::Utility(utility) => utility.clear_m,
        _ => None,
    };
    let wanted_m = own_m.unwrap_or(site.plan.criteria.utility_clear_m);
    if clear_m >= wanted_m - LEVEL_TOLERANCE_M {
        return None;
    }
    let (hit, what, units) = (crossed.hit, crossed.mark.called(), site.units());
    let [clear, wanted] = units.depths(clear_m, wanted_m);
    let room = if clear_m > LEVEL_TOLERANCE_M { format!("Only {clear}") } else { "No room".into() };
    let message = format!(
        "{room} between {} and {what} at {}; wanted {wanted}.",
        site.name(hit.id),
        site.station(hit.station_m)
    );
    let (id, place, by_m) = (hit.id, (hit.station_m, hit.station_m), wanted_m - clear_m);
    let wants = if over { Wants::Higher(by_m) } else { Wants::Lower(by_m) };
    Some(
        Finding::new(&RULE, Severity::Block, hit.at, format!("{what} is too near"), message)
            .on(hit.id, hit.station_m, hit.station_m)
            .of_landmark(crossed.id)
            .amount(match clear_m > LEVEL_TOLERANCE_M {
                true => format!("{} clear", site.short(clear_m)),
                false => "no room".into(),
            })
            .misses(clear_m, wanted_m)
            .offers(move |site| levels::ways(site, id, place, wants))
            .advises("Ask the owner, and enter the clear distance that he asks for."),
    )
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;
    use plan::Utility;

    use super::*;
    use crate::job::{Job, along};

    /// Ground 3.00 ft over the invert of 6 in (outside 0.58 ft, so 2.46 to 3.04 ft down). A cable of 0.1 ft with its top at
    /// 1.5 ft leaves 0.86 ft, at 1.2 ft 1.16; a pipe whose top is at 3.54 ft leaves 0.50 below.
    #[test]
    fn over_and_under() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.pin(m1, 300.0, 101.5).ground(|x, _| 103.0 + 0.005 * x);
        let cable = |depth_ft: f64, clear: Option<f64>| {
            LandmarkKind::Utility(Utility {
                depth_m: Some(depth_ft * FOOT_M),
                size_m: Some(0.1 * FOOT_M),
                clear_m: clear.map(|feet| feet * FOOT_M),
                ..Utility::default()
            })
        };
        let mark = job.mark("C1", cable(1.5, None), along(&[(120.0, -50.0), (120.0, 50.0)]));
        let message = job.only(&RULE).message;
        assert!(
            message.starts_with("Only 0.86 ft between M1 and buried utility C1 at 1+20; wanted 1.00 ft."),
            "{message}"
        );
        job.remark(mark, cable(1.2, None));
        assert!(job.found(&RULE).is_empty());
        job.remark(mark, cable(1.2, Some(2.0)));
        assert_eq!(job.found(&RULE).len(), 1);
        let depth_ft = 3.0 + hydraulics::wall_m(6.0 * 0.0254) / FOOT_M + 0.5;
        job.remark(mark, cable(depth_ft, None));
        assert!(job.only(&RULE).message.contains("Only 0.50 ft between"));
    }
}
