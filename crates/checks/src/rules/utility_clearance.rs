//! Check 65, utility clearance.

use plan::{Landmark, LandmarkKind, Pass, Side};

use super::levels::{self, Wants};
use super::marks::Hit;
use super::utilities::{Crossed, EXPOSE, buried, crossed};
use crate::offer::Offer;
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 65,
    slug: "utility-clearance",
    title: "Utility clearance",
    manual: "Less than 1.0 ft (0.3 m), or than its owner asks for, between the outside of the pipe and a buried utility or \
             irrigation main where they cross; and every crossing of a utility whose depth was only told: a level counts \
             once it was exposed by hand, with name and day, and holds at every crossing of its mark, so that what was \
             exposed in several places is marked as several. A judgment; the owner's figure and state law go before it. \
             Where no depth is known see check 118. To fix before digging.",
    source: "[judgement; state law]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    crossed(site, |kind| buried(kind).is_some()).iter().filter_map(|crossed| finding(site, crossed)).collect()
}

fn finding(site: &Site, crossed: &Crossed) -> Option<Finding> {
    let own_m = crossed.mark.kind.utility().and_then(|utility| utility.clear_m);
    let wanted_m = own_m.unwrap_or(site.plan.criteria.utility_clear_m);
    if crossed.is_only_told() {
        return Some(only_told(site, crossed, wanted_m));
    }
    let (clear_m, over) = crossed.clear_m(site)?;
    if clear_m >= wanted_m - LEVEL_TOLERANCE_M {
        return None;
    }
    let (hit, what) = (crossed.hit, crossed.mark.called());
    let message = format!("{}.", room(site, crossed, (clear_m, wanted_m)));
    let (id, place, by_m) = (hit.id, (hit.station_m, hit.station_m), wanted_m - clear_m);
    let wants = if over { Wants::Higher(by_m) } else { Wants::Lower(by_m) };
    let levels_m = site.line(id).and_then(|(_, worked)| crossed.levels_m(worked.at(hit.station_m)?.ground_m));
    let mark_id = crossed.id;
    Some(
        Finding::new(&RULE, Severity::Block, hit.at, format!("{what} is too near"), message)
            .on(hit.id, hit.station_m, hit.station_m)
            .of_landmark(crossed.id)
            .amount(match clear_m > LEVEL_TOLERANCE_M {
                true => format!("{} clear", site.short(clear_m)),
                false => "no room".into(),
            })
            .misses(clear_m, wanted_m)
            .offers(move |site| {
                let passes = passes(site, &site.plan.landmarks[&mark_id], hit, levels_m, wanted_m);
                passes.into_iter().chain(levels::ways(site, id, place, wants)).collect()
            })
            .advises("Ask the owner, and enter the clear distance that he asks for."),
    )
}

/// How much room there is, and how much is wanted.
fn room(site: &Site, crossed: &Crossed, (clear_m, wanted_m): (f64, f64)) -> String {
    let (hit, what) = (crossed.hit, crossed.mark.called());
    let [clear, wanted] = site.units().depths(clear_m, wanted_m);
    let room = if clear_m > LEVEL_TOLERANCE_M { format!("Only {clear}") } else { "No room".into() };
    format!("{room} between {} and {what} at {}; wanted {wanted}", site.name(hit.id), site.station(hit.station_m))
}

/// A utility that nobody has seen: whatever was told of it clears nothing.
fn only_told(site: &Site, crossed: &Crossed, wanted_m: f64) -> Finding {
    let (hit, what) = (crossed.hit, crossed.mark.called());
    let told = match crossed.clear_m(site) {
        Some((clear_m, _)) if clear_m >= wanted_m - LEVEL_TOLERANCE_M => format!(
            "{} crosses {what} at {}, {} clear of it by the depth that was told",
            site.name(hit.id),
            site.station(hit.station_m),
            site.units().depth(clear_m)
        ),
        Some((clear_m, _)) => format!("{} by the depth that was told", room(site, crossed, (clear_m, wanted_m))),
        None => format!("{} crosses {what} at {}", site.name(hit.id), site.station(hit.station_m)),
    };
    let message = format!("{told}: nobody has exposed it there.");
    Finding::new(&RULE, Severity::Block, hit.at, format!("{what} was not exposed"), message)
        .on(hit.id, hit.station_m, hit.station_m)
        .of_landmark(crossed.id)
        .advises(EXPOSE)
}

/// The line led over or under what has a level but is no utility that moves it by itself.
fn passes<'s>(site: &Site, mark: &Landmark, hit: Hit, levels_m: Option<(f64, f64)>, clear_m: f64) -> Vec<Offer<'s>> {
    let Some((top_m, bottom_m)) = levels_m.filter(|_| matches!(mark.kind, LandmarkKind::Irrigation { .. })) else {
        return Vec::new();
    };
    let pass = |(side, word, level_m)| {
        let pass = Pass { station_m: hit.station_m, what: mark.called(), side, level_m, clear_m };
        let label =
            format!("Pass {word} {} at {} of {}", mark.called(), site.station(hit.station_m), site.name(hit.id));
        Offer::line(site, hit.id, label, |line| {
            line.passes.push(pass);
            line.passes.sort_by(|a, b| a.station_m.total_cmp(&b.station_m));
        })
    };
    [(Side::Over, "over", top_m), (Side::Under, "under", bottom_m)].into_iter().filter_map(pass).collect()
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;
    use plan::{Exposed, Utility};

    use super::*;
    use crate::job::{Job, along};

    /// Ground 3.00 ft over the invert of 6 in (outside 0.58 ft, so 2.46 to 3.04 ft down). An irrigation main of 0.1 ft with its
    /// top at 1.5 ft leaves 0.86 ft, at 1.2 ft 1.16; one whose top is at 3.54 ft leaves 0.50 below.
    #[test]
    fn over_and_under() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.pin(m1, 300.0, 101.5).ground(|x, _| 103.0 + 0.005 * x);
        let main =
            |depth_ft: f64| LandmarkKind::Irrigation { depth_m: Some(depth_ft * FOOT_M), size_m: Some(0.1 * FOOT_M) };
        let mark = job.mark("W1", main(1.5), along(&[(120.0, -50.0), (120.0, 50.0)]));
        let message = job.only(&RULE).message;
        let start = "Only 0.86 ft between M1 and irrigation main W1 at 1+20; wanted 1.00 ft.";
        assert!(message.starts_with(start), "{message}");
        job.remark(mark, main(1.2));
        assert!(job.found(&RULE).is_empty());
        let depth_ft = 3.0 + hydraulics::Body::CORRUGATED.wall_m(6.0 * 0.0254) / FOOT_M + 0.5;
        job.remark(mark, main(depth_ft));
        assert!(job.only(&RULE).message.contains("Only 0.50 ft between"));
    }

    /// The same cable told and exposed: a depth that was told clears nothing however far off it is; levels that somebody saw do,
    /// by what the owner asks.
    #[test]
    fn only_what_was_exposed_clears() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.pin(m1, 300.0, 101.5).ground(|x, _| 103.0 + 0.005 * x);
        let cable = |depth_ft: Option<f64>, top_ft: Option<f64>, clear_ft: Option<f64>| {
            LandmarkKind::Utility(Utility {
                depth_m: depth_ft.map(|feet| feet * FOOT_M),
                size_m: Some(0.1 * FOOT_M),
                clear_m: clear_ft.map(|feet| feet * FOOT_M),
                exposed: top_ft.map(|feet| Exposed {
                    by: "R. Sund".into(),
                    on: "2031-04-02".into(),
                    top_m: feet * FOOT_M,
                    bottom_m: (feet - 0.1) * FOOT_M,
                }),
                ..Utility::default()
            })
        };
        let mark = job.mark("C1", cable(Some(1.2), None, None), along(&[(120.0, -50.0), (120.0, 50.0)]));
        let told = job.only(&RULE);
        let start = "M1 crosses buried utility C1 at 1+20, 1.16 ft clear of it by the depth that was told: nobody";
        assert!(told.message.starts_with(start) && told.is_no_dig(), "{}", told.message);
        job.remark(mark, cable(Some(1.5), None, None));
        let near = job.only(&RULE).message;
        assert!(near.contains("Only 0.86 ft between") && near.contains("nobody has exposed it"), "{near}");
        // Ground at 1+20 lies at 103.60 ft.
        job.remark(mark, cable(None, Some(102.4), None));
        assert!(job.found(&RULE).is_empty());
        job.remark(mark, cable(Some(1.2), Some(102.4), Some(2.0)));
        assert_eq!(job.found(&RULE).len(), 1);
    }
}
