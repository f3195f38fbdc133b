//! Check 26, outlet freeboard: the pipe's end above channel bottom and low water.

use measure::Said;
use plan::{Edit, Outlet, OutletId};

use crate::offer::Offer;
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 26,
    slug: "outlet-freeboard",
    title: "Outlet freeboard",
    manual: "Height of the outlet's invert above the channel bottom and above ordinary low water; the smaller counts. \
             Less than 1.0 ft (0.3 m) needs a decision, less than 0.3 ft (0.1 m) is to fix before digging: an outlet \
             that stands in water or silt keeps the whole line full and silts it up. 1.0 ft over low water is the \
             conservation practice standard's (from memory), over the bottom it is in an extension figure; 0.1 m over \
             the water is a continental minimum. An outlet at or below the bottom is this finding too (check 27 was \
             merged into it). Silent on a level that was not measured.",
    source: "least height [ILRI16]; height wanted over low water [CPS606, memory], over the bottom [MSU-out]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let open = site.plan.outlets.iter().filter(|(_, outlet)| outlet.is_open());
    open.filter_map(|(id, outlet)| finding(site, *id, outlet)).collect()
}

/// The smaller of the two heights, metres, and what it is measured from.
fn freeboard(outlet: &Outlet, invert_m: f64) -> Option<(f64, &'static str)> {
    let above = |level_m: Option<f64>, what| level_m.map(|level_m| (invert_m - level_m, what));
    let heights = [above(outlet.low_water_m, "low water"), above(outlet.channel_bottom_m, "the channel bottom")];
    heights.into_iter().flatten().min_by(|x, y| x.0.total_cmp(&y.0))
}

fn finding(site: &Site, id: OutletId, outlet: &Outlet) -> Option<Finding> {
    let (criteria, units) = (&site.plan.criteria, site.units());
    // Where the invert was left free, the one that was found counts.
    let invert_m = site.design.outlet_invert_m(id, outlet);
    let (height_m, what) = freeboard(outlet, invert_m)?;
    let is_under = |limit_m: f64| height_m < limit_m - LEVEL_TOLERANCE_M;
    let severity = if is_under(criteria.outlet_least_m) { Severity::Block } else { Severity::Decide };
    let wanted_m = criteria.outlet_wanted_m.max(criteria.outlet_least_m);
    if !is_under(wanted_m) {
        return None;
    }
    let name = &outlet.name;
    let [over, wanted] = units.depths(height_m, wanted_m);
    let height = match height_m {
        over_m if over_m > LEVEL_TOLERANCE_M => format!("{name} is only {over} above {what}"),
        under_m if under_m < -LEVEL_TOLERANCE_M => format!("{name} lies {} below {what}", units.depth(-height_m)),
        _ => format!("{name} lies level with {what}"),
    };
    let message = format!("{height}; wanted {wanted}.");
    let label = match height_m {
        over_m if over_m > LEVEL_TOLERANCE_M => format!("{} above {what}", site.short(height_m)),
        under_m if under_m < -LEVEL_TOLERANCE_M => format!("{} below {what}", site.short(-height_m)),
        _ => format!("level with {what}"),
    };
    Some(
        Finding::new(&RULE, severity, outlet.at, format!("Outlet {name} is too low"), message)
            .of_outlet(id)
            .amount(label)
            .misses(height_m, wanted_m)
            .offers(move |site| offers(site, id, wanted_m - height_m))
            .advises(format!(
                "Clearing the channel until {name} lies {} above it does too: enter its levels then.",
                units.said_up(wanted_m).text
            )),
    )
}

/// The outlet raised, or its invert left to the program, which keeps it so high.
fn offers<'s>(site: &'s Site, id: OutletId, by_m: f64) -> Vec<Offer<'s>> {
    let label = format!("Let the program choose the invert of {}", site.outlet_name(id));
    let free = Offer::outlet(site, id, label, |outlet| outlet.invert_free = true);
    raised(site, id, by_m).into_iter().chain(free).collect()
}

/// Offers an outlet raised by about so much, metres, from where it lies; one whose invert the program chose gets a level.
pub(crate) fn raised<'s>(site: &'s Site, id: OutletId, by_m: f64) -> Option<Offer<'s>> {
    let outlet = site.plan.outlets.get(&id)?;
    let from_m = site.design.outlet_invert_m(id, outlet);
    Some(Offer::least(by_m, move |said: &Said| {
        let (invert_m, label) = if outlet.invert_free {
            let level = site.units().said_level_up(from_m + said.value);
            (level.value, format!("Lock the invert of {} at {}", outlet.name, level.text))
        } else {
            (from_m + said.value, format!("Raise {} by {}", outlet.name, said.text))
        };
        let edit = plan::set_outlet(site.plan, id, Outlet { invert_m, invert_free: false, ..outlet.clone() });
        Some(Edit { label, ..edit })
    }))
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;

    use super::*;
    use crate::job::Job;

    fn job(invert_ft: f64, bottom_ft: f64, low_water_ft: f64) -> Job {
        let mut job = Job::new();
        let outlet = job.outlet("O1", (0.0, 0.0), invert_ft);
        job.change_outlet(outlet, |outlet| {
            outlet.channel_bottom_m = Some(bottom_ft * FOOT_M);
            outlet.low_water_m = Some(low_water_ft * FOOT_M);
        });
        job
    }

    /// 0.40 ft over low water: to decide. 0.60 ft more is wanted, and the fix gives it.
    #[test]
    fn little_freeboard() {
        let job = job(96.4, 95.0, 96.0);
        let finding = job.only(&RULE);
        assert_eq!(finding.severity, Severity::Decide);
        assert_eq!(finding.message, "O1 is only 0.40 ft above low water; wanted 1.00 ft.");
        assert_eq!(finding.outlet, job.plan.outlets.keys().next().copied());
        assert!(job.mended(&finding).found(&RULE).is_empty());
    }

    /// Under the channel bottom: to fix.
    #[test]
    fn below_the_bottom() {
        let finding = job(94.0, 94.2, 93.0).only(&RULE);
        assert_eq!(finding.severity, Severity::Block);
        assert!(finding.message.starts_with("O1 lies 0.20 ft below the channel bottom; wanted 1.00 ft."));
        assert_eq!(finding.amount.as_deref(), Some("0.2 ft below the channel bottom"));
    }

    /// The worked example Quillmere Bench: 96.40 over low water 94.90 and bottom 94.20 is clean; so is 1.00 ft
    /// exactly, and 0.30 ft exactly is no block.
    #[test]
    fn enough_freeboard() {
        assert!(job(96.4, 94.2, 94.9).found(&RULE).is_empty());
        assert!(job(96.0, 94.2, 95.0).found(&RULE).is_empty());
        assert_eq!(job(95.3, 94.2, 95.0).only(&RULE).severity, Severity::Decide);
    }
}
