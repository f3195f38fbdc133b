//! Check 67, wetland within lateral effect.

use hydraulics::{EFFECTIVE_RADIUS_M, Estimate, Fall};
use land::SoilFrom;
use measure::{DAY_S, FOOT_M};
use plan::{Landmark, LandmarkId, LandmarkKind, LineId};

use super::marks::{Near, near};
use super::pipe::{Solid, solid};
use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};

/// How far and how soon a wetland's water table must not be lowered: from the surface to a foot below it within two weeks of
/// the growing season ([NRCS-MN, memory]).
const LOWERED_M: f64 = FOOT_M;
const WITHIN_DAYS: f64 = 14.0;

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 67,
    slug: "near-wetland",
    title: "Wetland within lateral effect",
    manual: "Perforated pipe within the setback that was determined for a wetland (to fix before digging); within 300 ft of \
             one for which no setback is entered, or solid pipe inside the setback without clay plugs at both ends (to \
             decide). A drain lowers the water table sideways by a distance that hangs on soil and depth; states publish \
             tables. Where a pit or the brief tells the soil, the distance is worked out beside it as an estimate: half the \
             spacing after van Schilfgaarde at which the table falls from the surface to a foot below it in 14 days, over \
             what is known of the soil. Digging before the determination can cost the farm its program payments. Agencies' notes.",
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
    let effect = lateral_effect(site, id, worst_m).unwrap_or_default();
    let message = format!("{length} of {} may drain {what}: they {reason}.{effect}", line.name);
    let (from_m, to_m) = open.extent();
    Some(
        Finding::new(&RULE, severity, site.point(id, worst_m), format!("{} may drain {what}", line.name), message)
            .once_on(id, from_m, to_m)
            .offers(move |site| solid(site, id, &whole, sealed).into_iter().collect())
            .advises(advice),
    )
}

/// How far to the side a line is likely to lower the water table, in a sentence that follows others; `None` where the soil or
/// the depth is not known, or the drain lies no deeper than the table is lowered.
fn lateral_effect(site: &Site, id: LineId, station_m: f64) -> Option<String> {
    let (_, worked) = site.line(id)?;
    let depth_m = worked.at(station_m)?.depth_m().filter(|depth_m| *depth_m > LOWERED_M)?;
    let soil = site.soils.known(site.point(id, station_m), depth_m)?;
    let effect = effect_m(depth_m, soil.tight_or_guess_m(depth_m), soil.conductivity, soil.porosity);
    let from = match &soil.from {
        SoilFrom::Pit { name, .. } => format!("the soil of pit {name}"),
        SoilFrom::Brief => "the brief's texture".into(),
        SoilFrom::Given => "the soil as given".into(),
    };
    let length = |length_m: f64| site.length(length_m);
    Some(format!(
        " With {from} it lowers the table by {} in {WITHIN_DAYS} days out to about {} ({} to {}): an estimate after van \
         Schilfgaarde, no determination.",
        length(LOWERED_M),
        length(effect.likely),
        length(effect.low),
        length(effect.high)
    ))
}

/// Half the spacing at which the table midway falls from the surface so far in that time, metres: least where the soil is
/// tight and holds much, most where it is open and holds little.
fn effect_m(depth_m: f64, tight_m: f64, conductivity: Estimate, porosity: Estimate) -> Estimate {
    let below_m = (tight_m - depth_m).max(EFFECTIVE_RADIUS_M);
    let half = |conductivity_ms: f64, porosity: f64| {
        let fall = Fall { conductivity_ms, porosity, start_m: depth_m, end_m: depth_m - LOWERED_M };
        fall.schilfgaarde_fitted_m((below_m, EFFECTIVE_RADIUS_M), WITHIN_DAYS * DAY_S) / 2.0
    };
    Estimate {
        low: half(conductivity.low, porosity.high),
        likely: half(conductivity.likely, porosity.likely),
        high: half(conductivity.high, porosity.low),
    }
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
    /// The equation itself, put back: K 1 ft/day, f 0.05, drains at 4 ft, base at 8 ft; at the spacing that comes out the table
    /// falls from 4 to 3 ft over the drains in 14 days, and a looser soil reaches farther.
    #[test]
    fn the_lateral_effect_is_half_a_spacing() {
        let (depth_m, tight_m) = (4.0 * FOOT_M, 8.0 * FOOT_M);
        let conductivity = Estimate::within(FOOT_M / DAY_S, 2.0);
        let effect = effect_m(depth_m, tight_m, conductivity, Estimate::within(0.05, 1.5));
        let spacing_ft = 2.0 * effect.likely / FOOT_M;
        let de = hydraulics::equivalent_depth_m(4.0, spacing_ft, EFFECTIVE_RADIUS_M / FOOT_M);
        let decay = (4.0 * (2.0 * de + 3.0) / (3.0 * (2.0 * de + 4.0))).ln();
        let days = spacing_ft * spacing_ft * 0.05 * decay / (9.0 * de);
        assert!((days - 14.0).abs() < 1e-6, "{days}");
        assert!(effect.low < effect.likely && effect.likely < effect.high);
    }

    /// What is printed is in the unit of the job, with its range, beside the setback.
    #[test]
    fn the_lateral_effect_is_told_where_the_soil_is_known() {
        let mut job = Job::new();
        job.ground(|x, _| 104.0 + 0.002 * x).main(600.0);
        let kind = LandmarkKind::Wetland { setback_m: Some(80.0 * FOOT_M), determined: None };
        job.mark("W1", kind, around(200.0, 60.0, 400.0, 160.0));
        assert!(!job.only(&RULE).message.contains("estimate"));
        job.plan.brief.texture = Some(plan::Texture::SiltLoam);
        let message = job.only(&RULE).message;
        assert!(
            message.contains("within its setback of 80 ft") && message.contains("With the brief's texture"),
            "{message}"
        );
        assert!(message.contains("by 1 ft in 14 days out to about") && message.contains("an estimate"), "{message}");
    }
}
