//! Check 38, over capacity.

use design::LineDesign;
use plan::{Line, LineId, Pattern, Served};

use super::capacity::{carrying_size, falling_capacity, fuller_than, fullest, percent_over, places, stretches};
use super::pipe;
use crate::offer::Offer;
use crate::site::LEVEL_TOLERANCE_M;
use crate::stretch::Stretch;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 38,
    slug: "over-capacity",
    title: "Over capacity",
    manual: "Design flow above 100.1 % of what the full pipe carries by Manning's formula in the fullest reach. The water \
             backs up, stands longer in the field, and where the pipe is deep it may burst out of the ground. Every \
             stretch that is too full is named, from where to where. Design flow is the area that drains to the line times the drainage coefficient, with what its branches, inlets \
             and joined old tile bring. For an old tile of uncertain condition the capacity is a range: over its best \
             is to fix, over its worst is to decide. Reaches that are level or rise are other findings. To fix before \
             digging.",
    source: "[EFH14, memory] [NCH33]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let new = site.new_lines().filter_map(|(id, line, worked)| finding(site, id, line, worked));
    new.chain(site.old_lines().filter_map(|(id, line, worked)| of_old(site, id, line, worked))).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let full = fullest(site, worked).filter(|full| full.share() > site.plan.criteria.over_capacity)?;
    let (name, units) = (&line.name, site.units());
    let capacity_m3s = |index: usize| falling_capacity(site, worked, index);
    let parts = fuller_than(worked, site.plan.criteria.over_capacity, capacity_m3s);
    let (worst, all) = places(site, id, &parts)?;
    let [wants, carries] = units.flows(full.required_m3s, full.capacity_m3s);
    let message = format!(
        "{name} {} is up to {} full: {wants} where {} pipe at {} carries {carries}.{}{}",
        match parts[..] {
            [part] if part.length_m() > worked.length_m - LEVEL_TOLERANCE_M => "over its whole length".into(),
            _ => stretches(site, &parts),
        },
        percent_over(full.share()),
        units.pipe(worked.above(full.index).size_m),
        units.grade(full.grade),
        match line.own_land() {
            Served::Carrier if line.pattern == Pattern::Interceptor => {
                " It drains no land of its own: what seeps in at its upper end runs through all of it."
            }
            _ => "",
        },
        pressure(site, worked)
    );
    let title = format!("{name} cannot carry its water");
    Some(
        Finding::new(&RULE, Severity::Block, site.point(id, worst.worst_m), title, message)
            .once_on(id, worst.from_m, worst.to_m)
            .gathers(all)
            .amount(format!("{} full", percent_over(full.share())))
            .misses(full.share(), 1.0)
            .offers(move |site| offers(site, id, &parts)),
    )
}

/// Larger pipe with room to spare, or what carries just enough; smoother pipe; a steeper grade.
pub(crate) fn offers<'s>(site: &'s Site, id: LineId, parts: &[Stretch]) -> Vec<Offer<'s>> {
    let Some((line, worked)) = site.line(id) else { return Vec::new() };
    let size_m = carrying_size(site, line, worked).unwrap_or(worked.size_m * 1.001);
    let larger = pipe::larger(site, id, size_m);
    let mut offers: Vec<Offer> = larger.into_iter().chain(pipe::smooth(site, id)).collect();
    if let ([part], Some(full)) = (parts, fullest(site, worked)) {
        let pipe = worked.above(full.index);
        let grade = hydraulics::friction_grade(pipe.n, pipe.size_m, full.required_m3s / worked.even_factor);
        offers.extend(pipe::steepened(site, id, part, grade));
    }
    offers.extend(pipe::by_flow(site, id));
    offers
}

/// Where the pressure shows: above the ground, or how far the line is backed up.
fn pressure(site: &Site, worked: &LineDesign) -> String {
    let units = site.units();
    match worked.blow_out() {
        Some((station_m, over_m)) => {
            let station = site.station(station_m);
            format!(" Water would stand {} above the ground at {station}.", units.depth(over_m))
        }
        None if worked.backed_up_m() > 0.0 => {
            format!(" {} of it would run under pressure.", site.length(worked.backed_up_m()))
        }
        None => String::new(),
    }
}

/// An old tile against the range of what it may carry.
fn of_old(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let (range, flow_m3s) = (worked.old_capacity?, worked.required_m3s());
    let severity = match flow_m3s {
        flow if flow > site.plan.criteria.over_capacity * range.most_m3s => Severity::Block,
        flow if flow > site.plan.criteria.over_capacity * range.least_m3s => Severity::Decide,
        _ => return None,
    };
    // What it must carry is held against the best or the worst that it may, as the weight is.
    let carries_m3s = if severity == Severity::Block { range.most_m3s } else { range.least_m3s };
    let parts = fuller_than(worked, site.plan.criteria.over_capacity, |_| Some(carries_m3s));
    let (worst, all) = places(site, id, &parts)?;
    let (name, units) = (&line.name, site.units());
    let message = format!(
        "{name} gets up to {} {} and carries somewhere between {} and {}, by its size, its two levels and its condition.",
        units.flow(flow_m3s),
        stretches(site, &parts),
        units.flow(range.least_m3s),
        units.flow(range.most_m3s)
    );
    Some(
        Finding::new(
            &RULE,
            severity,
            site.point(id, worst.worst_m),
            format!("Old tile {name} may be too small"),
            message,
        )
        .once_on(id, worst.from_m, worst.to_m)
        .gathers(all)
        .amount("may be too small".into())
        .advises(format!("Look inside and enter the condition of {name}, or lay new pipe beside it and join that.")),
    )
}

#[cfg(test)]
mod tests {
    use measure::SQUARE_M_PER_ACRE;
    use plan::{Condition, Joins, OldTile, Served};

    use super::*;
    use crate::job::{Job, stations_ft};

    /// The worked example Mapperwick Draw: 10.2 ac on a 5-in main at 0.40 % are 0.214 of 0.189 cfs.
    fn mapperwick(acres: f64) -> (Job, LineId) {
        let mut job = Job::new();
        let m1 = job.main(600.0);
        job.pin(m1, 600.0, 102.4).size(m1, 5.0);
        job.change(m1, |line| line.served = Served::Area(acres * SQUARE_M_PER_ACRE));
        (job, m1)
    }

    /// By hand: the flow falls evenly over 600 ft and fits where it is 0.1891 cfs × 1.001, at 69.8 ft. Friction 0.0051 (1 − s/600)² against the fall of 0.0040 holds the water over the pipe's top up to s = 133 ft.
    #[test]
    fn more_than_the_pipe_carries() {
        let (job, _) = mapperwick(10.2);
        let finding = job.only(&RULE);
        assert_eq!((finding.severity, stations_ft(&finding).0), (Severity::Block, 0.0));
        assert!((stations_ft(&finding).1 - 69.85).abs() < 0.05);
        assert_eq!(
            finding.message,
            "M1 from 0+00 to 0+69.9 is up to 113 % full: 0.214 cfs where 5 in pipe at 0.40 % carries 0.189 cfs. 133 \
             ft of it would run under pressure."
        );
        assert!(job.mended(&finding).found(&RULE).is_empty());
        assert!(mapperwick(6.8).0.found(&RULE).is_empty());
    }

    /// 15 ac, 0.3151 cfs, on 600 ft of 5 in at 0.4, 2 and 0.1 %, which carry 0.189, 0.423 and 0.0946: too full up to
    /// 2+00, where 0.210 are left, and from 4+00, where 0.105 are, to 600 × (1 − 0.09466 / 0.3151) = 4+19.75.
    #[test]
    fn every_stretch_that_is_too_full() {
        let (mut job, m1) = mapperwick(15.0);
        job.change(m1, |line| line.pins.clear());
        job.pin(m1, 200.0, 100.8).pin(m1, 400.0, 104.8).pin(m1, 600.0, 105.0);
        let finding = job.only(&RULE);
        assert!(finding.message.starts_with("M1 from 0+00 to 2+00 and from 4+00 to 4+19.8 is up to 167 % full"));
        let places: Vec<&str> = finding.places.iter().map(|place| place.text.as_str()).collect();
        assert_eq!(places, ["M1 from 0+00 to 2+00, 167 % full", "M1 from 4+00 to 4+19.8, 111 % full"]);
        assert_eq!(stations_ft(&finding), (0.0, 200.0));
    }

    /// The same water out of a branch at 1+00: too full below it and not above.
    #[test]
    fn up_to_the_branch_that_fills_it() {
        let (mut job, m1) = mapperwick(0.0);
        let l1 = job.line("L1", crate::job::LATERAL, &[(100.0, 0.0), (100.0, 90.0)], Joins::Line(m1));
        job.change(l1, |line| line.served = Served::Area(10.2 * SQUARE_M_PER_ACRE));
        let of_main = |finding: &Finding| finding.line == Some(m1);
        let finding = job.found(&RULE).into_iter().find(of_main).unwrap();
        assert_eq!(stations_ft(&finding), (0.0, 100.0));
    }

    /// Mapperwick Draw: 6.8 ac on the main and 3.4 above an old tile that it cuts. Joined or replaced the old tile
    /// brings its water, plugged, bridged or led round it does not.
    #[test]
    fn an_old_tile_that_is_not_joined_brings_nothing() {
        for (decision, word) in plan::Decision::ALL {
            let (mut job, m1) = mapperwick(6.8);
            let old = OldTile {
                upstream_m2: Some(3.4 * SQUARE_M_PER_ACRE),
                decision: Some(decision),
                ..OldTile::default()
            };
            job.line("T1", plan::LineKind::OldTile(old), &[(437.0, 0.0), (437.0, 90.0)], Joins::Line(m1));
            assert_eq!(job.found(&RULE).len(), usize::from(["join", "replace"].contains(&word)), "{word}");
        }
    }

    /// Old 4-in tile of unknown condition at 0.50 %: 0.064 to 0.159 cfs; 5 ac bring 0.105, 9 ac 0.189.
    #[test]
    fn old_tile_has_a_range() {
        let old = |acres: f64| {
            let mut job = Job::new();
            let tile = OldTile { upstream_m2: Some(acres * SQUARE_M_PER_ACRE), ..OldTile::default() };
            let t1 = job.line("T1", plan::LineKind::OldTile(tile), &[(0.0, 0.0), (100.0, 0.0)], Joins::Nothing);
            job.pin(t1, 0.0, 100.0).pin(t1, 100.0, 100.5);
            (job, t1)
        };
        assert_eq!(old(5.0).0.only(&RULE).severity, Severity::Decide);
        assert_eq!(old(9.0).0.only(&RULE).severity, Severity::Block);
        let (mut sound, t1) = old(5.0);
        sound.change(t1, |line| {
            line.kind = plan::LineKind::OldTile(OldTile {
                condition: Condition::Good,
                upstream_m2: Some(5.0 * SQUARE_M_PER_ACRE),
                ..OldTile::default()
            });
        });
        assert!(sound.found(&RULE).is_empty());
    }

    /// An interceptor that is too small is so from end to end, and has no land to be led elsewhere.
    #[test]
    fn an_interceptor_is_full_over_its_whole_length() {
        let mut job = Job::new();
        let m1 = job.main(400.0);
        job.pin(m1, 400.0, 100.8);
        job.change(m1, |line| (line.pattern, line.seepage_m3s) = (Pattern::Interceptor, 0.03));
        let message = job.only(&RULE).message;
        assert!(message.starts_with("M1 over its whole length is up to "), "{message}");
        assert!(message.contains("It drains no land of its own"), "{message}");
    }
}
