//! Check 122, pipe along an open ditch or bank.

use plan::WatercourseKind;

use super::marks::{beside, perforated};
use super::pipe::{self, Solid};
use super::shape;
use crate::stretch::total_m;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 122,
    slug: "along-bank",
    title: "Pipe along an open ditch or bank",
    manual: "More than 30 ft of perforated pipe along a drawn ditch, within 15 ft of it: the bank slumps into the trench, \
             and water runs straight from ditch to pipe. What crosses the ditch, at more than 45°, does not run along it: \
             that is check 121's. From memory, the angle a judgment. To decide, one for each line.",
    source: "[memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let criteria = &site.plan.criteria;
    let mut found = Vec::new();
    for ditch in site.plan.watercourses.values().filter(|ditch| ditch.kind == WatercourseKind::Ditch) {
        for near in beside(site, &ditch.points, criteria.beside_ditch_m) {
            let open = perforated(near.line, near.worked, near.parts.clone());
            let length_m = total_m(&open);
            let Some(first) = open.first().filter(|_| length_m > criteria.beside_ditch_length_m) else { continue };
            let message = format!(
                "{} of {} run within {} of {}: the bank slumps, and water runs straight from ditch to pipe.",
                site.length(length_m),
                near.line.name,
                site.length(criteria.beside_ditch_m),
                ditch.name
            );
            let (id, back_m) = (near.id, near.nearest().map_or(0.0, |part| criteria.beside_ditch_m - part.worst));
            let title = format!("{} runs beside a ditch", near.line.name);
            let at = site.point(near.id, first.worst_m.clamp(first.from_m, first.to_m));
            let found_one = Finding::new(&RULE, Severity::Decide, at, title, message);
            found.push(found_one.once_on(id, first.from_m, first.to_m).keyed(&ditch.name).offers(move |site| {
                let mut offers: Vec<_> = pipe::solid(site, id, &open, Solid::default()).into_iter().collect();
                offers.extend(shape::to_a_side(site, id, back_m));
                offers
            }));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use plan::Watercourse;

    use super::*;
    use crate::job::{Job, ft};

    #[test]
    fn ten_feet_beside_a_ditch() {
        for (off, count) in [(10.0, 1), (16.0, 0)] {
            let mut job = Job::new();
            job.main(300.0);
            let points = vec![ft(100.0, off), ft(200.0, off)];
            let ditch = Watercourse { name: "D1".into(), kind: WatercourseKind::Ditch, points };
            let (_, edit) = plan::add_watercourse(&job.plan, ditch);
            job.plan.apply(&edit).unwrap();
            let list = job.found(&RULE);
            assert_eq!(list.len(), count);
            // 15 ft round each end of a ditch 10 ft off: √(15² − 10²) = 11.18 ft. The outlet stays when the line moves away:
            // 13 ft at the upper end leave less than 30 ft of pipe near the ditch.
            let told = ["Lay solid pipe from 0+88.8 to 2+11.2 of M1", "Move M1 13 ft to the south"];
            assert!(list.iter().all(|f| job.remedies(f) == told), "{:?}", job.remedies(&list[0]));
            assert!(list.iter().all(|f| f.message.contains("of M1 run within 15 ft of D1")));
        }
    }

    /// A ditch straight across the main, at 60° to it (34.6 ft within 15 ft), and at 20° (88 ft).
    #[test]
    fn across_is_not_along() {
        for (degrees, count) in [(90.0f64, 0), (60.0, 0), (20.0, 1)] {
            let mut job = Job::new();
            job.main(300.0);
            let (x, y) = (100.0 * degrees.to_radians().cos(), 100.0 * degrees.to_radians().sin());
            let points = vec![ft(150.0 - x, -y), ft(150.0 + x, y)];
            let ditch = Watercourse { name: "D1".into(), kind: WatercourseKind::Ditch, points };
            let (_, edit) = plan::add_watercourse(&job.plan, ditch);
            job.plan.apply(&edit).unwrap();
            assert_eq!(job.found(&RULE).len(), count, "{degrees}°");
        }
    }
}
