//! Check 74, spacing no whole number of rows.

use super::soil::{Group, groups};
use crate::{Finding, Place, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 74,
    slug: "row-multiple",
    title: "Spacing no whole number of rows",
    manual: "Parallel laterals in a block of rows whose spacing is no whole number of rows, by more than 0.05 of a row: \
             some of them come to lie under vines and posts. A judgment. A note, one for the plan.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let odd: Vec<(Group, f64)> = groups(site)
        .into_iter()
        .filter_map(|group| {
            let width_m = site.plan.rows_at(group.at)?.spacing_m;
            let rows = group.spacing_m / width_m;
            ((rows - rows.round()).abs() > site.plan.criteria.row_multiple).then_some((group, width_m))
        })
        .collect();
    let Some((group, width_m)) = odd.first() else { return Vec::new() };
    let (units, rows) = (site.units(), group.spacing_m / width_m);
    let few = rows.floor().max(1.0);
    let message = format!(
        "The spacing of {} from {} on is {rows:.2} rows.",
        units.depth(group.spacing_m),
        site.name(group.lines[0])
    );
    let advice = format!(
        "Draw the laterals again {} or {} apart.",
        units.depth(few * width_m),
        units.depth((few + 1.0) * width_m)
    );
    let place =
        |(group, _): &(Group, f64)| -> Place { site.place(group.lines[0], (0.0, 0.0), 0.0, "first of its grid") };
    let title = "Spacing is no whole number of rows".to_string();
    let places = odd.iter().map(place).collect();
    vec![Finding::new(&RULE, Severity::Note, group.at, title, message).gathers(places).advises(advice)]
}

#[cfg(test)]
mod tests {
    use plan::{Joins, LandmarkKind, Pattern, Rows};

    use super::*;
    use crate::job::{Job, LATERAL, around};

    /// Laterals 30 ft and 27 ft apart in rows of 9 ft: 3.3 rows and 3 rows.
    #[test]
    fn three_and_a_third_rows() {
        for (spacing, found) in [(30.0, 1), (27.0, 0)] {
            let mut job = Job::new();
            let m1 = job.main(300.0);
            for i in 1..4 {
                let x = spacing * f64::from(i);
                let id = job.line(&format!("L{i}"), LATERAL, &[(x, 0.0), (x, 200.0)], Joins::Line(m1));
                job.change(id, |line| line.pattern = Pattern::Parallel);
            }
            assert!(job.found(&RULE).is_empty(), "no rows");
            job.mark("B1", LandmarkKind::Rows(Rows::default()), around(0.0, 10.0, 300.0, 300.0));
            let list = job.found(&RULE);
            assert_eq!(list.len(), found);
            let told = list.iter().all(|f| f.message == "The spacing of 30.00 ft from L1 on is 3.33 rows.");
            assert!(told, "{list:?}");
            let advice = "Draw the laterals again 27.00 ft or 36.00 ft apart.";
            assert!(list.iter().all(|f| f.advice == advice), "{list:?}");
        }
    }
}
