//! Check 23, an interceptor off the tight layer.

use design::LineDesign;
use plan::{Hold, Line, LineId, Pattern};
use terrain::{Extreme, Piece};

use super::levels::{self, Wants};
use super::pipe;
use super::soil::over_tight;
use crate::offer::Offer;
use crate::stretch::Stretch;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 23,
    slug: "interceptor-off-layer",
    title: "Interceptor off the tight layer",
    manual: "An interceptor whose invert lies more than 0.2 ft (6 cm) above the tight layer that the nearest pit showed: \
             water slips through beneath it. More than that below is a note. Where the brief asks for the pipe in the \
             layer, it should lie 1 ft (300 mm) into it. Figures from a handbook for grapes and a judgment. Silent \
             without a pit. To decide, or a note.",
    source: "[SAVINE]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let lines = site.new_lines().filter(|(_, line, _)| line.pattern == Pattern::Interceptor);
    lines.filter_map(|(id, line, worked)| finding(site, id, line, worked)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let criteria = &site.plan.criteria;
    let into = site.plan.brief.interceptor_into_layer;
    let over = over_tight(site, id, worked);
    let low = over.iter().map(Piece::least).reduce(Extreme::lower_of)?;
    let high = over.iter().map(Piece::greatest).reduce(Extreme::higher_of)?;
    let (severity, worst, limit_m) = match into {
        true if high.value_m > -criteria.layer_into_m + 1e-6 => (Severity::Decide, high, -criteria.layer_into_m),
        false if high.value_m > criteria.layer_gap_m + 1e-6 => (Severity::Decide, high, criteria.layer_gap_m),
        false if low.value_m < -criteria.layer_gap_m - 1e-6 => (Severity::Note, low, -criteria.layer_gap_m),
        _ => return None,
    };
    let (worst_m, worst) = (worst.value_m, worst.station_m);
    let (units, name, place) = (site.units(), &line.name, site.station(worst));
    let [off, wanted] = units.depths(worst_m.abs(), limit_m.abs());
    let message = match (severity, into, worst_m < 0.0) {
        (Severity::Note, ..) => format!("{name} lies {off} below the top of the tight layer at {place}."),
        (_, true, true) => format!("{name} is only {off} into the tight layer at {place}, wanted {wanted}."),
        (_, true, false) => format!("{name} is {off} above the tight layer at {place}, wanted {wanted} into it."),
        (_, false, _) => format!("{name} is {off} above the tight layer at {place}; water can pass below."),
    };
    let title = format!("{name} is off the tight layer");
    Some(
        Finding::new(&RULE, severity, site.point(id, worst), title, message)
            .once_on(id, worst, worst)
            .misses(worst_m, limit_m)
            .offers(move |site| offers(site, id, worst_m - limit_m)),
    )
}

/// The pipe held in or on the layer all along, as deep as the pits tell it, or at one depth; levels that hold it off moved.
fn offers<'s>(site: &'s Site, id: LineId, too_high_m: f64) -> Vec<Offer<'s>> {
    let Some((_, worked)) = site.line(id) else { return Vec::new() };
    let into_m = if site.plan.brief.interceptor_into_layer { site.plan.criteria.layer_into_m } else { 0.0 };
    let into = site.units().said_up(into_m);
    let label = match into_m > 0.0 {
        true => format!("Hold {} {} into the tight layer", site.name(id), into.text),
        false => format!("Hold {} on the tight layer", site.name(id)),
    };
    let kept = plan::set_reach(site.plan, id, (0.0, worked.length_m), Some(Hold::IntoLayer(into.value)));
    let kept = Offer::one(label, kept);
    let whole = Stretch { from_m: 0.0, to_m: worked.length_m, worst_m: 0.0, worst: 0.0 };
    let tight_m = site.soils.pit_near(site.point(id, worked.length_m / 2.0)).and_then(|pit| pit.tight_m);
    let held = tight_m.map(|tight_m| site.units().said_up(tight_m + into_m));
    let held = held.and_then(|depth| pipe::at_depth(site, id, &whole, depth));
    let wants = if too_high_m > 0.0 { Wants::Lower(too_high_m) } else { Wants::Higher(-too_high_m) };
    kept.into_iter().chain(held).chain(levels::ways(site, id, (0.0, worked.length_m), wants)).collect()
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;
    use plan::{LandmarkKind, Pit};

    use super::*;
    use crate::job::{Job, at};

    /// Pipe 3.0 ft down, the tight layer at 3.5 ft: 0.5 ft above it. At 3.1 ft it is on it; at 2.5 ft the pipe is in it.
    #[test]
    fn over_on_and_in_the_layer() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.pin(m1, 200.0, 101.0).ground(|x, _| 103.0 + 0.005 * x);
        let pit = |feet: f64| LandmarkKind::Pit(Pit { tight_m: Some(feet * FOOT_M), ..Pit::default() });
        let mark = job.mark("P1", pit(3.5), at(50.0, 20.0));
        assert!(job.found(&RULE).is_empty(), "no interceptor");
        job.change(m1, |line| line.pattern = Pattern::Interceptor);
        assert!(job.only(&RULE).message.contains("is 0.50 ft above the tight layer at"));
        job.remark(mark, pit(3.1));
        assert!(job.found(&RULE).is_empty());
        job.remark(mark, pit(2.5));
        assert_eq!(job.only(&RULE).severity, Severity::Note);
        job.plan.brief.interceptor_into_layer = true;
        assert!(job.only(&RULE).message.contains("is only 0.50 ft into the tight layer"));
        job.remark(mark, pit(1.9));
        assert!(job.found(&RULE).is_empty());
    }
}
