//! Check 82, spacing too wide.

use super::soil::{Group, groups};
use crate::{Finding, Place, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 82,
    slug: "spacing-wide",
    title: "Spacing too wide",
    manual: "Parallel laterals farther apart than 1.1 times the spacing that keeps the wanted water table midway, computed \
             after Hooghoudt with the closed-form equivalent depth for the nearest pit, the depth of the line and the \
             drainage coefficient; beside it the range that is left open: conductivity within a factor of 2 where it was \
             measured, within the tables for the texture where not. No spacing formula is better than about 25 % in the field; one pit matters much. Silent \
             without a pit that tells texture and tight layer. To decide, one for the plan.",
    source: "[ILRI16] [SR06] [computed]",
    find,
};

/// A group with its computed spacing, metres.
pub(crate) fn computed(site: &Site) -> Vec<(Group, f64)> {
    let with = |group: Group| Some((site.soils.spacing_m(group.at, group.depth_m?)?, group));
    groups(site).into_iter().filter_map(with).map(|(spacing_m, group)| (group, spacing_m)).collect()
}

/// The spacing in words: whole rows where the group lies among rows, else a length.
pub(crate) fn wanted(site: &Site, spacing_m: f64) -> String {
    let width_m = site.plan.landmarks.values().find_map(|mark| Some(mark.kind.rows()?.spacing_m));
    match width_m.map(|width_m| ((spacing_m / width_m).floor().max(1.0), width_m)) {
        Some((rows, width_m)) => format!("{rows:.0} rows ({})", site.units().depth(rows * width_m)),
        None => site.units().said_down(spacing_m).text,
    }
}

/// How far the spacing may go by what is known of the conductivity, in words.
fn left_open(site: &Site, group: &Group) -> String {
    let range = group.depth_m.and_then(|depth_m| site.soils.spacing(group.at, depth_m));
    range.map_or(String::new(), |range| {
        let [low, high] = [range.low, range.high].map(|spacing_m| site.units().length(spacing_m));
        format!(" ({low} to {high} by what is known of it)")
    })
}

fn find(site: &Site) -> Vec<Finding> {
    let over = site.plan.criteria.spacing_wide;
    let wide: Vec<_> = computed(site).into_iter().filter(|(group, fit_m)| group.spacing_m > over * fit_m).collect();
    let Some((group, fit_m)) = wide.first() else { return Vec::new() };
    let (units, brief) = (site.units(), &site.plan.brief);
    let table_m = group
        .depth_m
        .zip(site.soils.at(group.at, group.depth_m.unwrap_or(0.0)))
        .map(|(depth_m, soil)| depth_m - hydraulics::arch_m(soil, brief.coefficient_ms(), group.spacing_m));
    let stands = table_m.map_or(String::new(), |table_m| {
        // Where the arch comes out higher than the ground, the water stands on it.
        let deep = if table_m > 0.0 { format!("{} deep", units.depth(table_m)) } else { "at the surface".into() };
        format!(" Mid-row water table would stand {deep}, target {}.", units.depth(brief.water_table_m))
    });
    let message = format!(
        "Laterals from {} on lie {} apart, about {} fits the soil{}.{stands}",
        site.name(group.lines[0]),
        units.depth(group.spacing_m),
        units.length(*fit_m),
        left_open(site, group)
    );
    let advice = format!("Draw them again {} apart.", wanted(site, *fit_m));
    let place =
        |(group, _): &(Group, f64)| -> Place { site.place(group.lines[0], (0.0, 0.0), 0.0, "first of its grid") };
    let places = wide.iter().map(place).collect();
    vec![
        Finding::new(&RULE, Severity::Decide, group.at, "Laterals are too far apart".into(), message)
            .gathers(places)
            .misses(group.spacing_m, *fit_m)
            .advises(advice),
    ]
}

#[cfg(test)]
mod tests {
    use measure::{FOOT_M, INCH_PER_DAY_MS};
    use plan::{Joins, LandmarkKind, Pattern, Pit, Rows, SoilLayer, Texture};

    use super::*;
    use crate::job::{Job, LATERAL, around, at};

    /// The worked example Ellowby Block: clay loam of 0.694 ft/day, drains 3.5 ft down, tight layer at 6.0 ft, water
    /// table wanted at 1.5 ft, 3/8 in/day, rows of 9 ft. Computed 28.90 ft: 27 ft passes, 36 ft leaves the table at
    /// 0.89 ft. With K doubled 36 ft passes.
    pub(crate) fn ellowby(spacing_ft: f64, k: f64) -> Job {
        let mut job = Job::new();
        let m1 = job.main(600.0);
        job.pin(m1, 600.0, 100.0).ground(|_, _| 103.5);
        for i in 1..5 {
            let x = spacing_ft * f64::from(i);
            let id = job.line(&format!("L{i}"), LATERAL, &[(x, 0.0), (x, 400.0)], Joins::Line(m1));
            job.change(id, |line| line.pattern = Pattern::Parallel).pin(id, 0.0, 100.0).pin(id, 400.0, 100.0);
        }
        job.plan.brief.coefficient_ms = Some(0.375 * INCH_PER_DAY_MS);
        let layer = SoilLayer {
            conductivity_ms: Some(k * FOOT_M / 86_400.0),
            ..SoilLayer::of(6.0 * FOOT_M, Texture::ClayLoam)
        };
        let pit = Pit { layers: vec![layer], tight_m: Some(6.0 * FOOT_M), ..Pit::default() };
        job.mark("P1", LandmarkKind::Pit(pit), at(50.0, 50.0));
        job.mark("B1", LandmarkKind::Rows(Rows::default()), around(4.5, 10.0, 500.0, 400.0));
        job
    }

    #[test]
    fn ellowby_block() {
        assert!(ellowby(27.0, 0.694).found(&RULE).is_empty());
        let message = |units| {
            let mut job = ellowby(36.0, 0.694);
            job.plan.title.units = units;
            job.only(&RULE).message.clone()
        };
        assert_eq!(
            message(measure::Units::Feet),
            "Laterals from L1 on lie 36.00 ft apart, about 29 ft fits the soil (19 ft to 43 ft by what is known of it). \
             Mid-row water table would stand 0.89 ft deep, target 1.50 ft."
        );
        assert_eq!(
            message(measure::Units::Metric),
            "Laterals from L1 on lie 10.97 m apart, about 8.8 m fits the soil (5.9 m to 13.1 m by what is known of it). Mid-row \
             water table would stand 0.27 m deep, target 0.46 m."
        );
        assert!(ellowby(36.0, 1.388).found(&RULE).is_empty());
    }
}
