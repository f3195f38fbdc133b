//! Check 47, roughness not matched to the wall.

use std::ops::RangeInclusive;

use design::Pipe;
use plan::{Line, Wall};

use super::pipe;
use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 47,
    slug: "wrong-roughness",
    title: "Roughness not matched to the wall",
    manual: "Manning's n outside 0.009 to 0.013 for pipe with a smooth inside, outside 0.014 to 0.020 for corrugated pipe. \
             Published values for one and the same corrugated pipe run from 0.015 to 0.022, which is a third of its \
             capacity, so the number is an input. The ranges are a judgment after a maker's sheet. To decide, one for \
             each line.",
    source: "[PIPE-SHEET]; range [judgement]",
    find,
};

const fn range(wall: Wall) -> (RangeInclusive<f64>, &'static str) {
    match wall {
        Wall::Smooth | Wall::Rigid => (0.009..=0.013, "smooth pipe"),
        Wall::Corrugated => (0.014..=0.020, "corrugated pipe"),
    }
}

fn find(site: &Site) -> Vec<Finding> {
    let is_odd = |pipe: &&Pipe| {
        let (range, _) = range(pipe.wall);
        pipe.n < range.start() - 1e-9 || pipe.n > range.end() + 1e-9
    };
    let wrong =
        site.new_lines().filter_map(|(id, line, worked)| Some((id, line, worked, worked.pipe.iter().find(is_odd)?)));
    let finding = |(id, line, worked, pipe): (plan::LineId, &Line, &design::LineDesign, &Pipe)| {
        let usual = site.plan.criteria.roughness.of(pipe.wall, pipe.size_m);
        let (range, what) = range(pipe.wall);
        let about = usual.clamp(*range.start(), *range.end());
        let message =
            format!("The capacity of {} was worked with n {:.3}; {what} needs about {about:.3}.", line.name, pipe.n);
        let at = site.point(id, worked.length_m / 2.0);
        Finding::new(&RULE, Severity::Decide, at, format!("{} has an odd roughness", line.name), message)
            .once_on(id, 0.0, worked.length_m)
            .amount(format!("n {:.3}", pipe.n))
            .offers(move |site| {
                let said = format!("{about:.3}");
                let n = said.parse().ok();
                let label = format!("Work {} with n {said}", site.name(id));
                let worked = Offer::line(site, id, label, |line| line.roughness_n = n);
                worked.into_iter().chain(pipe::smooth(site, id)).collect()
            })
    };
    wrong.map(finding).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    #[test]
    fn smooth_figure_on_corrugated_pipe() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        assert!(job.found(&RULE).is_empty());
        job.change(m1, |line| line.roughness_n = Some(0.011));
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "The capacity of M1 was worked with n 0.011; corrugated pipe needs about 0.015.");
        assert!(job.mended(&finding).found(&RULE).is_empty());
        job.change(m1, |line| line.wall = Wall::Smooth);
        assert!(job.found(&RULE).is_empty());
    }
}
