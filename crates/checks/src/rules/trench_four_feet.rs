//! Check 19, trench 4 ft or deeper, but under the depth that asks for protection.

use design::LineDesign;
use measure::FOOT_M;
use plan::LineId;

use super::trench::{as_deep, deepest};
use crate::stretch::{Stretch, total_m, without};
use crate::{Finding, Place, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 19,
    slug: "trench-four-feet",
    title: "Trench 4 ft or deeper",
    manual: "Trench from 4 ft (1.2 m) up to the depth that asks for protection. United States safety rules want a \
             ladder or ramp within 25 ft of anyone inside and a competent person who looks for signs of cave-in; that \
             wet sand needs support at once is from memory. A note, one for the plan, with the lengths of all lines.",
    source: "[OSHA-sum]; wet sand [memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let parts: Vec<(LineId, Stretch)> =
        site.new_lines().flat_map(|(id, _, worked)| of_line(site, id, worked)).collect();
    let stretches: Vec<Stretch> = parts.iter().map(|(_, part)| *part).collect();
    let Some((id, worst)) = deepest(&stretches).and_then(|d| parts.iter().find(|(_, part)| part == d)) else {
        return Vec::new();
    };
    let units = site.units();
    let protected_m = site.plan.criteria.protected_trench_m;
    let (from, to) = (units.number(site.plan.criteria.ladder_trench_m, 1), units.number(protected_m, 1));
    let message = format!("{} of trench is {from} to {to} {} deep.", site.length(total_m(&stretches)), units.sign());
    let advice = format!(
        "Keep a ladder or ramp within {} of anyone inside; a competent person looks for signs of cave-in; wet sand needs \
         support at once.",
        site.length(25.0 * FOOT_M)
    );
    let title = format!("Trench {} or deeper", site.short(site.plan.criteria.ladder_trench_m));
    let places = parts.iter().map(|(id, part)| place(site, *id, part)).collect();
    let found = Finding::new(&RULE, Severity::Note, site.point(*id, worst.worst_m), title, message);
    vec![found.gathers(places).advises(advice)]
}

fn of_line(site: &Site, id: LineId, worked: &LineDesign) -> Vec<(LineId, Stretch)> {
    let protected = as_deep(site, worked, site.plan.criteria.protected_trench_m);
    let deep = as_deep(site, worked, site.plan.criteria.ladder_trench_m);
    let left = protected.iter().fold(deep, |left, part| without(&left, part.from_m, part.to_m));
    left.into_iter().map(|part| (id, part)).collect()
}

fn place(site: &Site, id: LineId, part: &Stretch) -> Place {
    let figure = site.length(part.length_m());
    site.place(id, (part.from_m, part.to_m), part.worst_m, &figure)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    /// Trench 3.545 ft deep at 0+00, growing 1 ft in 100 ft: 4 ft is passed at 0+45.5 and 5 ft at 1+45.5; the
    /// tolerance of 0.001 ft takes both back by 0.1 ft.
    #[test]
    fn between_four_and_five_feet() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.pin(m1, 200.0, 102.0).ground(|x, _| 103.5 + 0.02 * x);
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "100 ft of trench is 4.0 to 5.0 ft deep.");
        assert_eq!(finding.places.len(), 1);
        assert_eq!(finding.places[0].text, "M1 from 0+45.4 to 1+45.4, 100 ft");
    }

    #[test]
    fn a_shallow_trench() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.pin(m1, 200.0, 102.0).ground(|x, _| 103.5 + 0.01 * x);
        assert!(job.found(&RULE).is_empty());
    }
}
