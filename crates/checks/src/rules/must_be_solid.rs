//! Check 96, perforated where solid is needed.

use design::LineDesign;
use plan::{Line, LineId, Stretch as Pipe};

use super::marks::perforated;
use super::pipe::Solid;
use crate::offer::Offer;
use crate::stretch::Stretch;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 96,
    slug: "must-be-solid",
    title: "Perforated where solid is needed",
    manual: "A stretch that somebody marked as one that must be solid is laid in perforated pipe. The reasons are those of \
             checks 67 to 71. To fix before digging.",
    source: "see checks 67 to 71",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let of_line = |(id, line, worked): (LineId, &Line, &LineDesign)| {
        let marked = line.stretches.iter().filter(|pipe| pipe.must_be_solid && !pipe.solid);
        marked.filter_map(|pipe| finding(site, id, line, worked, pipe)).collect::<Vec<_>>()
    };
    site.new_lines().flat_map(of_line).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign, pipe: &Pipe) -> Option<Finding> {
    let whole = Stretch { from_m: pipe.from_m, to_m: pipe.to_m, worst_m: pipe.from_m, worst: 0.0 };
    let open = perforated(line, worked, vec![whole]);
    let part = open.first()?;
    let message =
        format!("{} must be solid {} and is perforated there.", line.name, site.stretch(pipe.from_m, pipe.to_m));
    let pipe = *pipe;
    let title = format!("{} is perforated where it must be solid", line.name);
    Some(
        Finding::new(&RULE, Severity::Block, site.point(id, part.from_m), title, message)
            .on(id, pipe.from_m, pipe.to_m)
            .offers(move |site| offers(site, id, pipe)),
    )
}

/// Solid pipe there, or the mark taken back.
fn offers<'s>(site: &'s Site, id: LineId, pipe: Pipe) -> Vec<Offer<'s>> {
    let (name, place) = (site.name(id), site.stretch(pipe.from_m, pipe.to_m));
    let whole = Stretch { from_m: pipe.from_m, to_m: pipe.to_m, worst_m: pipe.from_m, worst: 0.0 };
    let solid = super::pipe::solid(site, id, &[whole], Solid::default());
    let unmarked = Offer::line(site, id, format!("Take back that {name} must be solid {place}"), |line| {
        *line = line.with_stretch(Pipe { must_be_solid: false, ..pipe });
    });
    solid.into_iter().chain(unmarked).collect()
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;

    use super::*;
    use crate::job::Job;

    #[test]
    fn marked_and_not_laid() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        let pipe = Pipe {
            from_m: 100.0 * FOOT_M,
            to_m: 150.0 * FOOT_M,
            solid: false,
            heavy: false,
            must_be_solid: true,
            plugged: false,
            ..Pipe::default()
        };
        job.change(m1, |line| *line = line.with_stretch(pipe));
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "M1 must be solid from 1+00 to 1+50 and is perforated there.");
        assert!(job.mended(&finding).found(&RULE).is_empty());
    }
}
