//! Check 83, spacing needlessly close.

use measure::path_length;

use super::soil::Group;
use super::spacing_wide::{computed, wanted};
use crate::{Finding, Place, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 83,
    slug: "spacing-close",
    title: "Spacing needlessly close",
    manual: "Parallel laterals nearer to each other than 60 % of the spacing that the nearest pit asks for (see check 82). They \
             dry no better and cost more pipe. A trade magazine; the share is a judgment. A note, one for the plan.",
    source: "[MAG-space]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let under = site.plan.criteria.spacing_close;
    let close: Vec<_> = computed(site).into_iter().filter(|(group, fit_m)| group.spacing_m < under * fit_m).collect();
    let Some((group, fit_m)) = close.first() else { return Vec::new() };
    let length_m: f64 =
        group.lines.iter().filter_map(|id| site.plan.lines.get(id)).map(|l| path_length(&l.points)).sum();
    let spared_m = length_m * (1.0 - group.spacing_m / fit_m);
    let message = format!(
        "Laterals from {} on lie {} apart, about {} would do: {} of pipe more than needed.",
        site.name(group.lines[0]),
        site.units().depth(group.spacing_m),
        site.units().length(*fit_m),
        site.length(spared_m)
    );
    let advice = format!("Draw them again {} apart.", wanted(site, *fit_m));
    let place =
        |(group, _): &(Group, f64)| -> Place { site.place(group.lines[0], (0.0, 0.0), 0.0, "first of its grid") };
    let places = close.iter().map(place).collect();
    vec![
        Finding::new(&RULE, Severity::Note, group.at, "Laterals are closer than needed".into(), message)
            .gathers(places)
            .advises(advice),
    ]
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;
    use plan::{Joins, LandmarkKind, Pattern, Pit, SoilLayer, Texture};

    use super::*;
    use crate::job::{Job, LATERAL, at};

    /// Sandy loam asks for far more than 20 ft.
    #[test]
    fn twenty_feet_in_sandy_loam() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.pin(m1, 300.0, 100.0).ground(|_, _| 103.5);
        for i in 1..4 {
            let x = 20.0 * f64::from(i);
            let id = job.line(&format!("L{i}"), LATERAL, &[(x, 0.0), (x, 100.0)], Joins::Line(m1));
            job.change(id, |line| line.pattern = Pattern::Parallel).pin(id, 0.0, 100.0).pin(id, 100.0, 100.0);
        }
        assert!(job.found(&RULE).is_empty(), "no pit");
        let layer = SoilLayer::of(9.0 * FOOT_M, Texture::SandyLoam);
        let pit = Pit { layers: vec![layer], tight_m: Some(9.0 * FOOT_M), ..Pit::default() };
        job.mark("P1", LandmarkKind::Pit(pit), at(50.0, 50.0));
        assert!(job.only(&RULE).message.starts_with("Laterals from L1 on lie 20.00 ft apart"));
    }
}
