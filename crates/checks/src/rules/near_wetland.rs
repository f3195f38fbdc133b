//! Check 67, wetland within lateral effect.

use plan::{Landmark, LandmarkId, LandmarkKind, LineId};

use super::marks::{Near, near};
use super::pipe::{Solid, solid};
use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 67,
    slug: "near-wetland",
    title: "Wetland within lateral effect",
    manual: "Perforated pipe within the setback that was determined for a wetland (to fix before digging); within 300 ft of \
             one for which no setback is entered, or solid pipe inside the setback without clay plugs at both ends (to \
             decide). A drain lowers the water table sideways by a distance that hangs on soil and depth; states publish \
             tables. Digging before the determination can cost the farm its programme payments. Agencies' notes.",
    source: "[MN-LAT] [NRCS-MN]; plugs [memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let of_mark = |(id, mark): (LandmarkId, &Landmark)| {
        let LandmarkKind::Wetland { setback_m, .. } = mark.kind else { return Vec::new() };
        let reach_m = setback_m.unwrap_or(site.plan.criteria.wetland_ask_m);
        near(site, &mark.outline, reach_m)
            .into_iter()
            .filter_map(|near| Some(finding(site, mark, near, setback_m)?.of_landmark(id)))
            .collect()
    };
    site.marks(|mark| matches!(mark.kind, LandmarkKind::Wetland { .. })).flat_map(of_mark).collect()
}

fn finding(site: &Site, mark: &Landmark, near: Near, setback_m: Option<f64>) -> Option<Finding> {
    let (whole, what) = (near.parts.clone(), mark.called());
    let (id, line, (from_m, to_m)) = (near.id, near.line, near.extent());
    let worst_m = near.nearest()?.worst_m;
    let sealed = Solid { heavy: false, plugged: true };
    let Some(open) = near.perforated() else {
        let plugged = line.stretches.iter().filter(|s| s.from_m < to_m && from_m < s.to_m).all(|s| s.plugged);
        let message = format!(
            "{} passes {what} in solid pipe without clay plugs {}; water can run along the trench.",
            line.name,
            site.stretch(from_m, to_m)
        );
        let title = format!("{} passes {what} without plugs", line.name);
        return (!plugged && setback_m.is_some()).then(|| {
            Finding::new(&RULE, Severity::Decide, site.point(id, worst_m), title, message)
                .once_on(id, from_m, to_m)
                .keyed("plugs")
                .offers(move |site| {
                    [plugged_up(site, id, from_m, to_m), solid(site, id, &whole, sealed)]
                        .into_iter()
                        .flatten()
                        .collect()
                })
        });
    };
    let length = site.length(open.length_m());
    let (severity, reason) = match setback_m {
        Some(setback_m) => (Severity::Block, format!("lie within its setback of {}", site.length(setback_m))),
        None => (Severity::Decide, "lie near it and no setback is entered".to_string()),
    };
    let advice = match setback_m {
        Some(_) => "",
        None => "Get the determination, and enter the setback.",
    };
    let message = format!("{length} of {} may drain {what}: they {reason}.", line.name);
    let (from_m, to_m) = open.extent();
    Some(
        Finding::new(&RULE, severity, site.point(id, worst_m), format!("{} may drain {what}", line.name), message)
            .once_on(id, from_m, to_m)
            .offers(move |site| solid(site, id, &whole, sealed).into_iter().collect())
            .advises(advice),
    )
}

/// Offers clay plugs on the solid pipe that lies along a stretch.
fn plugged_up<'s>(site: &'s Site, id: LineId, from_m: f64, to_m: f64) -> Option<Offer<'s>> {
    let label =
        format!("Put clay plugs at the ends of the solid pipe of {} {}", site.name(id), site.stretch(from_m, to_m));
    Offer::line(site, id, label, |line| {
        let near = line.stretches.iter_mut().filter(|s| s.solid && s.from_m < to_m && from_m < s.to_m);
        near.for_each(|stretch| stretch.plugged = true);
    })
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;

    use super::*;
    use crate::job::{Job, around};

    /// A wetland 60 ft north of M1: at a setback of 50 ft nothing, at 80 to fix; solid pipe then wants plugs.
    #[test]
    fn setback_pipe_and_plugs() {
        let mut job = Job::new();
        let m1 = job.main(600.0);
        let kind =
            |feet: Option<f64>| LandmarkKind::Wetland { setback_m: feet.map(|feet| feet * FOOT_M), determined: None };
        let mark = job.mark("W1", kind(None), around(200.0, 60.0, 400.0, 160.0));
        assert_eq!(job.only(&RULE).severity, Severity::Decide);
        job.remark(mark, kind(Some(50.0)));
        assert!(job.found(&RULE).is_empty());
        job.remark(mark, kind(Some(80.0)));
        let finding = job.only(&RULE);
        assert_eq!(finding.severity, Severity::Block);
        let mut solid = job.mended(&finding);
        assert!(solid.found(&RULE).is_empty());
        solid.change(m1, |line| line.stretches[0].plugged = false);
        let bare = solid.only(&RULE);
        assert!(bare.message.contains("without clay plugs"));
        assert!(solid.mended(&bare).found(&RULE).is_empty());
    }
}
