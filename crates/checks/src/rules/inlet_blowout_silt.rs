//! Check 127, surface inlet without throttle or trap.

use design::LineDesign;
use plan::{Catching, Line, LineId, Structure, StructureKind};

use super::inlet_not_sized::change;

use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 127,
    slug: "inlet-blowout-silt",
    title: "Surface inlet without throttle or trap",
    manual: "An open inlet whose riser is larger than the pipe it feeds and that has no orifice, or that has no sediment \
             trap. The one bursts the line, the other fills it. From memory. To decide.",
    source: "[memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let of_line = |(id, line, worked): (LineId, &Line, &LineDesign)| {
        line.structures.iter().filter_map(|inlet| finding(site, id, line, worked, inlet)).collect::<Vec<_>>()
    };
    site.new_lines().flat_map(of_line).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign, inlet: &Structure) -> Option<Finding> {
    let StructureKind::OpenInlet(catching) = inlet.kind else { return None };
    let size_m = worked.pipe_at(inlet.station_m).size_m;
    let floods = catching.riser_m.is_some_and(|riser_m| riser_m > size_m + 1e-3) && !catching.throttled;
    let (can, fit) = match (floods, catching.trapped) {
        (true, false) => ("overload and silt", "Fit an orifice and a trap"),
        (true, true) => ("overload", "Fit an orifice"),
        (false, false) => ("silt", "Fit a trap"),
        (false, true) => return None,
    };
    let (name, place) = (&line.name, site.station(inlet.station_m));
    let message = format!("The open inlet at {place} can {can} {name}.");
    let own = *inlet;
    Some(
        Finding::new(
            &RULE,
            Severity::Decide,
            site.point(id, inlet.station_m),
            format!("An inlet can harm {name}"),
            message,
        )
        .on(id, inlet.station_m, inlet.station_m)
        .offers(move |site| {
            let at = format!("at {} of {}", site.station(own.station_m), site.name(id));
            let throttled = catching.throttled || floods;
            let fitted = Catching { throttled, trapped: true, ..catching };
            let fitted = change(site, id, format!("{fit} {at}"), own, StructureKind::OpenInlet(fitted));
            let said = site.units().said_pipe(size_m);
            let smaller = Catching { riser_m: Some(said.value), trapped: true, ..catching };
            let label = format!("Use a riser of {} and a trap {at}", said.text);
            let smaller = change(site, id, label, own, StructureKind::OpenInlet(smaller)).filter(|_| floods);
            fitted.into_iter().chain(smaller).collect()
        }),
    )
}

#[cfg(test)]
mod tests {
    use measure::{FOOT_M, INCH_M};
    use plan::Catching;

    use super::*;
    use crate::job::Job;

    /// An 8-in riser on 6 in.
    #[test]
    fn a_riser_larger_than_its_pipe() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        let mut set = |throttled, trapped| {
            let catching = Catching { riser_m: Some(8.0 * INCH_M), throttled, trapped, ..Catching::of(4000.0) };
            let inlet = Structure { station_m: 100.0 * FOOT_M, kind: StructureKind::OpenInlet(catching) };
            job.change(m1, |line| line.structures = vec![inlet]);
            job.found(&RULE).first().map(|finding| finding.message.clone())
        };
        let told = |text: &str| Some(text.to_string());
        assert_eq!(set(false, false), told("The open inlet at 1+00 can overload and silt M1."));
        assert_eq!(set(true, false), told("The open inlet at 1+00 can silt M1."));
        assert_eq!(set(true, true), None);
        set(false, false);
        let finding = job.only(&RULE);
        let told = ["Fit an orifice and a trap at 1+00 of M1", "Use a riser of 6 in and a trap at 1+00 of M1"];
        assert_eq!(job.remedies(&finding), told);
    }
}
