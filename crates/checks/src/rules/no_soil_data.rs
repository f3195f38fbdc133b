//! Check 84, no soil data under a spacing.

use super::soil::{Group, groups};
use crate::{Finding, Place, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 84,
    slug: "no-soil-data",
    title: "No soil data under a spacing",
    manual: "Parallel laterals on a plan without a soil pit: their spacing rests on habit. No drainage work before test pits, \
             says one manual. To decide, one for the plan.",
    source: "[TEAG]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let bare: Vec<Group> = groups(site).into_iter().filter(|group| site.soils.pit_near(group.at).is_none()).collect();
    let Some(first) = bare.first() else { return Vec::new() };
    let count: usize = bare.iter().map(|group| group.lines.len()).sum();
    let lines = if count == 1 { "1 line has".to_string() } else { format!("{count} lines have") };
    let message = format!("{lines} no soil: nobody has dug a pit.");
    let place = |group: &Group| -> Place { site.place(group.lines[0], (0.0, 0.0), 0.0, "first of its grid") };
    let places = bare.iter().map(place).collect();
    vec![
        Finding::new(&RULE, Severity::Decide, first.at, "A grid without a soil pit".into(), message)
            .gathers(places)
            .advises("Dig a pit before buying pipe, and enter what it shows."),
    ]
}

#[cfg(test)]
mod tests {
    use plan::{Joins, LandmarkKind, Pattern, Pit};

    use super::*;
    use crate::job::{Job, LATERAL, at};

    #[test]
    fn a_grid_without_a_pit() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        for i in 1..4 {
            let x = 20.0 * f64::from(i);
            let id = job.line(&format!("L{i}"), LATERAL, &[(x, 0.0), (x, 100.0)], Joins::Line(m1));
            job.change(id, |line| line.pattern = Pattern::Parallel);
        }
        assert_eq!(job.only(&RULE).message, "3 lines have no soil: nobody has dug a pit.");
        job.mark("P1", LandmarkKind::Pit(Pit::default()), at(50.0, 50.0));
        assert!(job.found(&RULE).is_empty());
    }
}
