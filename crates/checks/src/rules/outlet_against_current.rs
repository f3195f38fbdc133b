//! Check 125, outlet set against the current.

use measure::{apart_deg, bearing};

use super::outlets::{Led, open};
use crate::offer::Offer;
use crate::site::ANGLE_TOLERANCE_DEG;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 125,
    slug: "outlet-against-current",
    title: "Outlet set against the current",
    manual: "The flow of the pipe and that of the channel make more than a right angle, or the outlet stands on the outside \
             of a bend: scour, ice and trash work on it. Silent where the bank is armored, and on the angle while the channel's \
             direction is not entered. From memory. A note.",
    source: "[memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    open(site).into_iter().filter(|led| !led.outlet.armoured).filter_map(|led| finding(site, &led)).collect()
}

fn finding(site: &Site, led: &Led) -> Option<Finding> {
    let name = &led.outlet.name;
    let (end, next) = (led.line.points.first()?, led.line.points.get(1)?);
    let against = led.outlet.channel_deg.map(|deg| apart_deg(bearing(*next, *end), deg));
    let against = against.filter(|angle| *angle > site.plan.criteria.current_angle_deg + ANGLE_TOLERANCE_DEG);
    let what = match (against, led.outlet.outside_bend) {
        (Some(angle), _) => format!("{name} points {angle:.0}° off the channel's flow, upstream"),
        (None, true) => format!("{name} stands on the outside of a bend"),
        (None, false) => return None,
    };
    let (id, message) = (led.id, format!("{what}: scour and ice."));
    let found = led.finding(&RULE, Severity::Note, format!("{name} faces the current"), message);
    Some(found.offers(move |site| {
        let label = format!("Armor the bank at {}", site.outlet_name(id));
        Offer::outlet(site, id, label, |outlet| outlet.armoured = true).into_iter().collect()
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    /// M1 runs west to its outlet (270°). A channel that runs west goes along, one that runs east comes against it.
    #[test]
    fn with_and_against_the_channel() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        let outlet = job.plan.lines[&m1].joins;
        job.change_outlet(outlet, |outlet| outlet.channel_deg = Some(190.0));
        assert!(job.found(&RULE).is_empty());
        job.change_outlet(outlet, |outlet| outlet.channel_deg = Some(100.0));
        assert!(job.only(&RULE).message.starts_with("O1 points 170° off the channel's flow"));
        job.change_outlet(outlet, |outlet| (outlet.channel_deg, outlet.outside_bend) = (None, true));
        assert!(job.only(&RULE).message.starts_with("O1 stands on the outside of a bend"));
    }
}
