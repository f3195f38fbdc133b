//! Check 24, pipe inside a tight layer with no opening above.

use design::LineDesign;
use plan::{Line, LineId, Pattern};
use terrain::Piece;

use super::levels::{self, Wants};
use super::soil::{InLayer, in_layers};
use crate::offer::Offer;
use crate::stretch::{Stretch, join};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 24,
    slug: "tight-at-pipe",
    title: "Pipe inside a tight layer with no opening above",
    manual: "In the pit nearest to the line soil of less than 0.1 ft/day (3 cm/day) was measured at the depth of the pipe, and the \
             trench is not filled with stone or other backfill that lets water down. Pipe in such a layer does nothing. \
             The figure is a judgment; the advice that pipe must lie in a layer that carries water is from three extension \
             manuals. Silent without a pit. To decide, one for each line.",
    source: "[TEAG] [NCSU-space] [AHDB-new]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let lines = site.new_lines().filter(|(_, line, _)| !line.bed.permeable_backfill);
    lines.filter_map(|(id, line, worked)| finding(site, id, line, worked)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let limit_ms = site.plan.criteria.tight_conductivity_ms;
    let is_tight = |part: &InLayer| part.layer.and_then(|layer| layer.conductivity_ms).is_some_and(|k| k < limit_ms);
    let tight = in_layers(site, id, worked).into_iter().filter(is_tight).map(|part| {
        let Piece { from_m, to_m, .. } = part.depth;
        Stretch { from_m, to_m, worst_m: from_m, worst: part.depth.level_m }
    });
    let parts = join(tight, 0.01);
    let first = parts.first()?;
    let units = site.units();
    let (where_at, deep) = (site.stretch(first.from_m, first.to_m), units.depth(first.worst));
    let is_interceptor = line.pattern == Pattern::Interceptor;
    let message = match is_interceptor {
        true => format!(
            "{} lies in its tight layer {where_at}, {deep} deep, as an interceptor does: what comes along the top of the layer \
             reaches it only through stone.",
            line.name
        ),
        false => format!("Water cannot reach {} {where_at}, {deep} deep: the pit shows tight soil there.", line.name),
    };
    let title = format!("{} lies in tight soil", line.name);
    let (from_m, to_m) = (first.from_m, parts.last()?.to_m);
    let places = parts.iter().map(|part| {
        let length = site.length(part.length_m());
        site.place(id, (part.from_m, part.to_m), part.from_m, &length)
    });
    Some(
        Finding::new(&RULE, Severity::Decide, site.point(id, first.from_m), title, message)
            .once_on(id, first.from_m, first.to_m)
            .gathers(if parts.len() > 1 { places.collect() } else { Vec::new() })
            .offers(move |site| {
                let label = format!("Fill the trench of {} with stone", site.name(id));
                let filled = Offer::line(site, id, label, |line| line.bed.permeable_backfill = true);
                let raised = levels::ways(site, id, (from_m, to_m), Wants::Higher(0.0));
                // Raised off its layer an interceptor lets the water pass below.
                filled.into_iter().chain(raised.into_iter().filter(|_| !is_interceptor)).collect()
            }),
    )
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;
    use plan::{LandmarkKind, Pit, SoilLayer, Texture};

    use super::*;
    use crate::job::{Job, at};

    /// Loam to 2 ft, below it clay in which an auger hole gave 0.05 ft/day; the pipe lies at 3 ft.
    #[test]
    fn clay_at_the_pipe() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.pin(m1, 200.0, 101.0).ground(|x, _| 103.0 + 0.005 * x);
        assert!(job.found(&RULE).is_empty());
        let layer = |feet: f64, texture, per_day: Option<f64>| SoilLayer {
            conductivity_ms: per_day.map(|k| k * FOOT_M / 86_400.0),
            ..SoilLayer::of(feet * FOOT_M, texture)
        };
        let pit = |k: f64| {
            let layers = vec![layer(2.0, Texture::Loam, None), layer(5.0, Texture::Clay, Some(k))];
            LandmarkKind::Pit(Pit { layers, ..Pit::default() })
        };
        let mark = job.mark("P1", pit(0.05), at(50.0, 20.0));
        assert!(job.only(&RULE).message.starts_with("Water cannot reach M1 from 0+20 to 2+00, 3.00 ft deep"));
        job.change(m1, |line| line.bed.permeable_backfill = true);
        assert!(job.found(&RULE).is_empty());
        job.change(m1, |line| line.bed.permeable_backfill = false);
        job.remark(mark, pit(0.3));
        assert!(job.found(&RULE).is_empty());
    }

    /// An interceptor lies in its layer by design: only stone lets the water down to it.
    #[test]
    fn an_interceptor_needs_stone() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.pin(m1, 200.0, 101.0).ground(|x, _| 103.0 + 0.005 * x);
        let clay = SoilLayer {
            conductivity_ms: Some(0.05 * FOOT_M / 86_400.0),
            ..SoilLayer::of(6.0 * FOOT_M, Texture::Clay)
        };
        job.mark("P1", LandmarkKind::Pit(Pit { layers: vec![clay], ..Pit::default() }), at(50.0, 20.0));
        job.change(m1, |line| line.pattern = plan::Pattern::Interceptor);
        let message = job.only(&RULE).message;
        assert!(message.contains("as an interceptor does"), "{message}");
    }
}
