//! Check 115, size or type differs from the plan.

use design::{LineDesign, PipeKind};
use plan::{LaidStretch, Line, LineId, NoteOn};

use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 115,
    slug: "differs-from-plan",
    title: "Size or type differs from plan",
    manual: "Pipe of another size, wall or kind was laid than the plan has there, and no note says why and who agreed. What it \
             carries hangs on it. To decide, one for each line.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    site.new_lines().filter_map(|(id, line, worked)| finding(site, id, line, worked)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    if is_agreed(site, id) {
        return None;
    }
    let own = site.plan.record.laid.iter().filter(|laid| laid.line == id);
    let differs: Vec<(&LaidStretch, String)> =
        own.filter_map(|laid| Some((laid, told(site, laid, worked)?))).collect();
    let (first, _) = differs.first()?;
    let texts: Vec<&str> = differs.iter().map(|(_, text)| text.as_str()).collect();
    let message = format!("{} was laid otherwise than planned: {}.", line.name, texts.join("; "));
    let places = differs.iter().map(|(laid, text)| site.place(id, laid.stretch_m, laid.stretch_m.0, text)).collect();
    let (from_m, to_m) = first.stretch_m;
    let title = format!("{} was laid in other pipe than planned", line.name);
    let found = Finding::new(&RULE, Severity::Decide, site.point(id, from_m), title, message);
    let found = found.once_on(id, from_m, to_m).gathers(places);
    Some(found.advises("Enter why and who agreed, and set the plan's pipe to what was laid: then it is sized anew."))
}

/// True where a note on the line says why and who agreed.
fn is_agreed(site: &Site, id: LineId) -> bool {
    site.plan.record.notes.iter().any(|note| {
        let on = note.spot.and_then(|spot| record::station_of(site.plan, &spot, site.plan.criteria.shot_reach_m));
        note.on == NoteOn::Changed && !note.agreed_by.trim().is_empty() && on.is_some_and(|on| on.line == id)
    })
}

/// What was laid and what was planned, in words; `None` where they are the same.
fn told(site: &Site, laid: &LaidStretch, worked: &LineDesign) -> Option<String> {
    let (from_m, to_m) = laid.stretch_m;
    let (planned, units) = (worked.pipe_at((from_m + to_m) / 2.0), site.units());
    let size = laid.size_m.filter(|size_m| (size_m - planned.size_m).abs() > 1e-3);
    let wall = laid.wall.filter(|wall| *wall != planned.wall);
    let solid = laid.solid.filter(|solid| *solid != (planned.kind != PipeKind::Perforated));
    let kind = |solid: bool| if solid { "solid" } else { "perforated" };
    let parts: Vec<(String, String)> = [
        size.map(|size_m| (units.pipe(size_m), units.pipe(planned.size_m))),
        wall.map(|wall| (wall.word().to_string(), planned.wall.word().to_string())),
        solid.map(|solid| (kind(solid).to_string(), kind(!solid).to_string())),
    ]
    .into_iter()
    .flatten()
    .collect();
    let (was, wanted): (Vec<String>, Vec<String>) = parts.into_iter().unzip();
    let place = site.stretch(from_m, to_m);
    (!was.is_empty()).then(|| format!("{} {place}, planned {}", was.join(", "), wanted.join(", ")))
}

#[cfg(test)]
mod tests {
    use plan::{FieldNote, Spot, Taken};

    use super::*;
    use crate::job::Job;

    #[test]
    fn another_size_until_somebody_says_who_agreed() {
        let mut job = Job::new();
        let m1 = job.main(400.0);
        job.laid(m1, (0.0, 400.0), false);
        assert!(job.found(&RULE).is_empty());
        job.plan.record.laid[0].size_m = Some(5.0 * measure::INCH_M);
        job.plan.record.laid[0].solid = Some(true);
        assert_eq!(
            job.only(&RULE).message,
            "M1 was laid otherwise than planned: 5 in, solid from 0+00 to 4+00, planned 6 in, perforated."
        );
        let taken = Taken { by: "R. Wren".into(), at: "2031-04-02".into(), revision: "A".into() };
        let spot = Some(Spot::Station { line: m1, station_m: 0.0 });
        let (says, agreed_by) = ("no 6 in to be had".into(), "A. Marsh".into());
        let note = FieldNote { key: "n1".into(), taken, on: NoteOn::Changed, spot, says, agreed_by };
        job.plan.record.notes.push(note);
        assert!(job.found(&RULE).is_empty());
    }
}
