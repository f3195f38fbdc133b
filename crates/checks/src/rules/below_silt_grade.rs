//! Check 4, grade under the minimum where silt or fine sand can enter.

use design::LineDesign;
use plan::{Envelope, Line, LineId, Slots, StructureKind};

use super::level_reach::is_level;
use super::pipe;
use super::soil::texture;
use crate::offer::Offer;
use crate::site::GRADE_TOLERANCE;
use crate::stretch::{Stretch, graded, total_m, worst};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 4,
    slug: "below-silt-grade",
    title: "Grade under the minimum where silt or fine sand can enter",
    manual: "In sand to silt at the depth of the pipe: a stretch flatter than the grade at which the full pipe runs 1.4 \
             ft/s (0.43 m/s), which carries along what enters. With n 0.015 that is 0.81 % for 3 in, 0.55 for 4 in, \
             0.41 for 5 in, 0.32 for 6 in, 0.22 for 8 in. Silent where the texture is not entered, and where narrow slots, a \
             sock or an envelope keep the soil out and a silt trap on the line takes the rest. To decide, a note where only the \
             soil is kept out, one for each line.",
    source: "[SW-S14] [EVERETT] [EXT-tab]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let enters = |worked: &LineDesign| texture(site, worked).is_some_and(|texture| texture.enters_pipe());
    let lines = site.new_lines().filter(|(_, _, worked)| enters(worked));
    lines.filter_map(|(id, line, worked)| finding(site, id, line, worked)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let criteria = &site.plan.criteria;
    let flat = graded(worked, |i, grade| {
        let pipe = worked.above(i);
        !is_level(site, grade)
            && grade >= pipe.grade_for_velocity(criteria.clean_velocity_ms) - GRADE_TOLERANCE
            && grade < pipe.grade_for_velocity(criteria.silt_velocity_ms) - GRADE_TOLERANCE
    });
    let (flattest, units) = (*worst(&flat)?, site.units());
    let pipe = *worked.pipe_at((flattest.from_m + flattest.to_m) / 2.0);
    let least = pipe.grade_for_velocity(criteria.silt_velocity_ms);
    let texture = texture(site, worked).map_or("", |texture| texture.word());
    let held_back = line.bed.slots == Slots::Narrow || line.bed.envelope != Envelope::None;
    if held_back && line.structures.iter().any(|s| s.kind == StructureKind::SiltTrap) {
        return None;
    }
    let severity = if held_back { Severity::Note } else { Severity::Decide };
    let [grade, wanted] = units.grades(flattest.worst, least);
    let message = format!(
        "The soil is {texture}; at {grade} the {} pipe of {} will not carry its own silt, {wanted} would ({} of it).",
        units.pipe(pipe.size_m),
        line.name,
        site.length(total_m(&flat))
    );
    let places =
        flat.iter().map(|part| site.place(id, (part.from_m, part.to_m), part.worst_m, &units.grade(part.worst)));
    let at = site.point(id, (flattest.from_m + flattest.to_m) / 2.0);
    Some(
        Finding::new(&RULE, severity, at, format!("Silt will settle in {}", line.name), message)
            .once_on(id, flattest.from_m, flattest.to_m)
            .amount(format!("only {}", units.grade(flattest.worst)))
            .misses(flattest.worst, least)
            .gathers(places.collect())
            .offers(move |site| offers(site, id, &flat, least)),
    )
}

/// Narrow slots and a trap at the lowest flat place; a steeper grade; other pipe.
fn offers<'s>(site: &'s Site, id: LineId, flat: &[Stretch], least: f64) -> Vec<Offer<'s>> {
    let Some(((line, worked), lowest)) = site.line(id).zip(flat.first()) else { return Vec::new() };
    let at = site.units().said_station_down(lowest.from_m);
    let trap = plan::Structure { station_m: at.value, kind: StructureKind::SiltTrap };
    let held_back = line.bed.slots == Slots::Narrow || line.bed.envelope != Envelope::None;
    let what = if held_back { "Put a silt trap" } else { "Use narrow slots and put a silt trap" };
    let trapped = Offer::line(site, id, format!("{what} on {} at {}", line.name, at.text), |line| {
        *line = line.with_structure(trap);
        if !held_back {
            line.bed.slots = Slots::Narrow;
        }
    });
    let held = flat.iter().filter(|_| flat.len() == 1).filter_map(|part| pipe::steepened(site, id, part, least));
    let mut offers: Vec<Offer> = trapped.into_iter().chain(held).collect();
    offers.extend(pipe::smooth(site, id));
    offers.extend(pipe::larger(site, id, worked.pipe_at((lowest.from_m + lowest.to_m) / 2.0).size_m * 1.001));
    offers
}

#[cfg(test)]
mod tests {
    use plan::Texture;

    use super::*;
    use crate::job::Job;

    /// Worked out from [HEC22] at n = 0.015: 6 in wants 0.320 % at 1.4 ft/s.
    #[test]
    fn flat_in_silt_loam() {
        let mut job = Job::new();
        let m1 = job.main(400.0);
        job.pin(m1, 200.0, 100.6).pin(m1, 400.0, 101.4);
        assert!(job.found(&RULE).is_empty());
        job.plan.brief.texture = Some(Texture::SiltLoam);
        let finding = job.only(&RULE);
        assert_eq!(
            finding.message,
            "The soil is silt loam; at 0.30 % the 6 in pipe of M1 will not carry its own silt, 0.32 % would (200 ft \
             of it)."
        );
        job.plan.brief.texture = Some(Texture::Clay);
        assert!(job.found(&RULE).is_empty());
    }
}
