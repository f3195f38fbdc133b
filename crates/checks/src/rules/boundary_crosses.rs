//! Check 134, a boundary that does not enclose what it seems to.

use design::Flaw;
use measure::{Point, distance};

use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 134,
    slug: "boundary-crosses",
    title: "Boundary crosses itself",
    manual: "The boundary, or a part left out of it, crosses itself or runs over itself; a part left out reaches outside, or \
             overlaps another. The area of the field is then wrong, and with it flows and money, and which side of a fence \
             a line is on is anyone's guess. To fix before digging, one for each ring or pair of rings.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let rings: Vec<Vec<Point>> = site.plan.field.iter().flat_map(|field| field.rings().cloned()).collect();
    design::flaws(&rings).iter().map(|flaw| finding(site, &rings, flaw)).collect()
}

fn finding(site: &Site, rings: &[Vec<Point>], flaw: &Flaw) -> Finding {
    let area = |area_m2: f64| site.units().area(area_m2);
    let (at, handle, title, message) = match *flaw {
        Flaw::Tangle { at } => {
            let message = format!(
                "The rings of the boundary cross or come back to themselves again and again, once near {}.",
                corner(rings, 0, at)
            );
            (at, key(0), "Boundary is a tangle".to_string(), message)
        }
        Flaw::Itself { ring, at, doubtful_m2 } => {
            let name = name(ring);
            let message = format!(
                "{name} crosses itself or runs over itself near {}: {} are in or out as one takes it.",
                corner(rings, ring, at),
                area(doubtful_m2)
            );
            (at, key(ring), format!("{name} crosses itself"), message)
        }
        Flaw::Outside { hole, at, area_m2 } => {
            let name = name(hole);
            let message = format!(
                "{} of {name} lie outside the boundary, near {}, and are taken off the field all the same.",
                area(area_m2),
                corner(rings, hole, at)
            );
            (at, key(hole), format!("{name} reaches outside"), message)
        }
        Flaw::Overlap { holes: (a, b), at, area_m2 } => {
            let message = format!(
                "{} and {} overlap near {}: {} are taken off the field twice.",
                name(a),
                name(b),
                corner(rings, a, at),
                area(area_m2)
            );
            (at, format!("{} {b}", key(a)), format!("{} and {} overlap", name(a), name(b)), message)
        }
    };
    let advice = "Draw the boundary anew, or bring it in again from its file.";
    Finding::new(&RULE, Severity::Block, at, title, message).keyed(&handle).advises(advice)
}

/// A ring by its number; those left out count from 1.
fn name(ring: usize) -> String {
    if ring == 0 { "The boundary".into() } else { format!("Part {ring} left out") }
}

/// A ring in a key.
fn key(ring: usize) -> String {
    if ring == 0 { "boundary".into() } else { format!("part {ring}") }
}

/// The corner of a ring that is nearest to a place, counted from 1.
fn corner(rings: &[Vec<Point>], ring: usize, at: Point) -> String {
    let corners = rings.get(ring).map_or(&[][..], Vec::as_slice);
    let nearest = (1..).zip(corners).min_by(|(_, a), (_, b)| distance(**a, at).total_cmp(&distance(**b, at)));
    format!("corner {} of {}", nearest.map_or(0, |(number, _)| number), corners.len())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, ft};

    #[test]
    fn a_boundary_across_itself_blocks() {
        let mut job = Job::new();
        job.main(300.0);
        assert!(job.found(&RULE).is_empty(), "no boundary is drawn");
        job.field(&[(-10.0, -100.0), (300.0, -100.0), (300.0, 100.0), (-10.0, 100.0)]);
        assert!(job.found(&RULE).is_empty());
        job.field(&[(-10.0, -100.0), (310.0, 100.0), (310.0, -100.0), (-10.0, 100.0)]);
        let finding = job.only(&RULE);
        assert!(finding.blocks());
        // By hand: each of the two triangles is 200 × 160 / 2 = 16,000 ft², 0.367 ac.
        assert_eq!(
            finding.message,
            "The boundary crosses itself or runs over itself near corner 1 of 4: 0.37 ac are in or out as one takes it."
        );
        assert_eq!((finding.key.as_str(), finding.at), ("134@boundary", ft(150.0, 0.0)));
    }

    #[test]
    fn parts_left_out_that_overlap_and_reach_outside() {
        let mut job = Job::new();
        job.field(&[(0.0, 0.0), (1000.0, 0.0), (1000.0, 1000.0), (0.0, 1000.0)]);
        for west in [100.0, 300.0, 900.0] {
            let hole = vec![ft(west, 100.0), ft(west + 400.0, 100.0), ft(west + 400.0, 300.0), ft(west, 300.0)];
            job.plan.field.as_mut().unwrap().holes.push(hole);
        }
        let told: Vec<String> = job.found(&RULE).into_iter().map(|finding| finding.message).collect();
        // By hand: 200 × 200 ft shared and 300 × 200 ft outside.
        assert_eq!(told.len(), 2, "{told:?}");
        assert!(told[0].starts_with("1.38 ac of Part 3 left out lie outside the boundary"), "{told:?}");
        assert!(told[1].starts_with("Part 1 left out and Part 2 left out overlap near corner"), "{told:?}");
        assert!(told[1].ends_with("0.92 ac are taken off the field twice."), "{told:?}");
    }
}
