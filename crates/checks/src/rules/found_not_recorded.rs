//! Check 114, found line without photo or decision.

use plan::Find;
use record::OnLine;

use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 114,
    slug: "found-not-recorded",
    title: "Found line without photo or decision",
    manual: "Old tile that was found in the trench, and the record has no photo, size, direction or decision of it. Once the \
             trench is closed nobody can tell any more. State specification for the repair of old drains. To decide; \
             where nothing is decided it stands under check 88.",
    source: "[OH-9]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    site.plan.record.finds().filter_map(|find| finding(site, find)).collect()
}

/// The trench in which a find lies.
pub(crate) fn met(site: &Site, find: &Find) -> Option<OnLine> {
    record::trench_of(site.plan, &find.spot)
}

fn finding(site: &Site, find: &Find) -> Option<Finding> {
    let lacks = record::lacks(site.plan, find);
    if lacks.is_empty() {
        return None;
    }
    let lacks = measure::listed(&lacks);
    let at = record::place_of(site.plan, &find.spot)?;
    let on = met(site, find);
    let place = on.map(|on| format!(" at {} of {}", site.station(on.station_m), site.name(on.line)));
    let place = place.unwrap_or_default();
    let message = format!("The old line found{place} lacks {lacks}.");
    let found = Finding::new(&RULE, Severity::Decide, at, format!("The find{place} is not recorded"), message)
        .keyed(find.key.clone())
        .amount("old tile".into())
        .advises("Add it while the trench is open.");
    Some(match on {
        Some(on) => found.once_on(on.line, on.station_m, on.station_m),
        None => found,
    })
}

#[cfg(test)]
pub(crate) mod tests {
    use measure::{FOOT_M, INCH_M};
    use plan::{Condition, Decided, Decision, LineId, Material, Photo, Running, Signature, Spot, Taken};

    use super::*;
    use crate::job::Job;

    /// A find at a station of a line, in feet, of which nothing more is known.
    pub fn find_at(line: LineId, station_ft: f64) -> Find {
        Find {
            key: "f1".into(),
            taken: Taken { by: "R. Wren".into(), at: "2031-04-02".into(), revision: String::new() },
            spot: Spot::Station { line, station_m: station_ft * FOOT_M },
            invert_m: None,
            size_m: None,
            material: Material::Unknown,
            falls_deg: None,
            running: Running::Unknown,
            silt_m: None,
            condition: Condition::Unknown,
            upstream_m2: None,
            from_beyond: false,
            decided: None,
            note: String::new(),
            struck: None,
        }
    }

    #[test]
    fn what_is_missing_is_named() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.plan.record.finds.push(find_at(m1, 100.0));
        let lacks = |job: &Job| job.found(&RULE).into_iter().map(|finding| finding.message).collect::<Vec<_>>();
        assert_eq!(lacks(&job), ["The old line found at 1+00 of M1 lacks photo, size, direction and decision."]);
        let find = &mut job.plan.record.finds[0];
        (find.size_m, find.falls_deg) = (Some(4.0 * INCH_M), Some(180.0));
        let signed = Signature { by: "R. Wren".into(), on: "2031-04-02".into(), because: "sound".into() };
        find.decided = Some(Decided { what: Decision::Plug, line: None, signed: signed.clone() });
        assert_eq!(lacks(&job), ["The old line found at 1+00 of M1 lacks photo."]);
        let photo = Photo {
            file: "cut.jpg".into(),
            sha256: "0".repeat(64),
            spot: None,
            looks_deg: None,
            at: String::new(),
            caption: String::new(),
            of: "f1".into(),
        };
        job.plan.record.photos.push(photo);
        assert!(lacks(&job).is_empty());
        job.plan.record.photos.clear();
        job.plan.record.finds[0].struck = Some(signed);
        assert!(lacks(&job).is_empty());
    }

    /// Without a decision it is one finding to fix, 88, which names 114.
    #[test]
    fn shown_as_one_with_the_cut() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.plan.record.finds.push(find_at(m1, 100.0));
        let list = job.list();
        let found: Vec<&Finding> = list.iter().filter(|finding| [88, 114].contains(&finding.check)).collect();
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].check, found[0].severity), (88, Severity::Block));
        assert_eq!(found[0].also, [(114, "found-not-recorded")]);
    }
}
