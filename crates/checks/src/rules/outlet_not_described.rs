//! Check 37, outlet not described.

use super::outlets::open;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 37,
    slug: "outlet-not-described",
    title: "Outlet not described",
    manual: "No photo of an open outlet is named. Outlets are lost in grass and found again only by a photo and a marker. A \
             judgment. A note, one for the plan.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let bare: Vec<_> = open(site).into_iter().filter(|led| led.outlet.photo.trim().is_empty()).collect();
    let Some(first) = bare.first() else { return Vec::new() };
    let names: Vec<&str> = bare.iter().map(|led| led.outlet.name.as_str()).collect();
    let verb = if names.len() == 1 { "is" } else { "are" };
    let message = format!("{} {verb} not described.", names.join(", "));
    let places = bare.iter().map(|led| site.place(led.line_id, (0.0, 0.0), 0.0, "no photo")).collect();
    vec![
        Finding::new(&RULE, Severity::Note, first.outlet.at, "Outlet without a photo".into(), message)
            .gathers(places)
            .advises("Photograph and mark the place, and enter the name of the photo."),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    #[test]
    fn no_photo() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        assert!(job.found(&RULE).is_empty());
        let outlet = job.plan.lines[&m1].joins;
        job.change_outlet(outlet, |outlet| outlet.photo.clear());
        assert_eq!(job.only(&RULE).message, "O1 is not described.");
    }
}
