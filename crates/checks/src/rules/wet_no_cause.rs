//! Check 78, wet area without a cause.

use plan::{Landmark, LandmarkKind};

use crate::{Finding, Place, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 78,
    slug: "wet-no-cause",
    title: "Wet area without a cause",
    manual: "A wet area for which nobody has said why it is wet. A grid is laid where one interceptor would have done, or an \
             interceptor where the water comes from below. \"Unknown\" is an answer. Advisory note. A note, one for the plan.",
    source: "[FAS]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let open = |mark: &Landmark| matches!(mark.kind, LandmarkKind::WetArea { cause: None, .. });
    let marks: Vec<&Landmark> = site.marks(open).map(|(_, mark)| mark).collect();
    let Some(first) = marks.first() else { return Vec::new() };
    let names: Vec<&str> = marks.iter().map(|mark| mark.name.as_str()).collect();
    let verb = if names.len() == 1 { "is" } else { "are" };
    let message = format!("Nobody has said why {} {verb} wet.", names.join(", "));
    let place = |mark: &&Landmark| Place {
        line: None,
        from_m: 0.0,
        to_m: 0.0,
        at: mark.outline.middle(),
        text: mark.name.clone(),
    };
    let title = "Nobody has said why it is wet".to_string();
    let places = marks.iter().map(place).collect();
    vec![
        Finding::new(&RULE, Severity::Note, first.outline.middle(), title, message)
            .gathers(places)
            .advises("Choose a cause for each, or \"unknown\" where that was asked."),
    ]
}

#[cfg(test)]
mod tests {
    use plan::Cause;

    use super::*;
    use crate::job::{Job, around};

    #[test]
    fn unknown_is_an_answer() {
        let mut job = Job::new();
        let wet = |cause| LandmarkKind::WetArea { cause, leave: false };
        let mark = job.mark("wet corner", wet(None), around(0.0, 0.0, 10.0, 10.0));
        assert_eq!(job.only(&RULE).message, "Nobody has said why wet corner is wet.");
        job.remark(mark, wet(Some(Cause::Unknown)));
        assert!(job.found(&RULE).is_empty());
    }
}
