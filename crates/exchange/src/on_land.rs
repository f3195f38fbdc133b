//! What lies on the land beside lines and stakes: boundary, outlets, joints, structures, marks, ditches and contours, as a
//! survey office draws them.

use design::{Design, Joint};
use measure::{Point, extent};
use plan::{Landmark, Outlet, Plan, Watercourse};
use terrain::Contour;

/// How far round field and lines contours are drawn, metres (own choice).
const ROUND_M: f64 = 20.0;
/// How far a drawn contour may lie off the one that was worked out, metres (own choice: a hair on any drawing of a field).
const OFF_M: f64 = 0.02;
/// Corners of contours in a file, at most (own choice): of finer ones only every fifth is drawn.
const MOST_CORNERS: usize = 200_000;

/// A thing at a place on a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// Its name: "L2 into M1 1+50", "breather M1 2+00".
    pub name: String,
    /// Where it is.
    pub at: Point,
    /// Invert of the line that runs on there, metres.
    pub invert_m: Option<f64>,
    /// What else is to know, in words of the plan's units.
    pub words: String,
}

/// What lies on the land.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct OnLand {
    /// The boundary: its outer ring, then its holes.
    pub rings: Vec<Vec<Point>>,
    /// The outlets.
    pub outlets: Vec<Outlet>,
    /// Where lines join.
    pub joints: Vec<Placed>,
    /// Inlets, boxes and the like on the lines.
    pub structures: Vec<Placed>,
    /// Marks on the land: utilities, pits, wet areas, roads and whatever else a drain must heed.
    pub marks: Vec<Landmark>,
    /// Ditches and culverts.
    pub watercourses: Vec<Watercourse>,
    /// Contours round field and lines, thinned by no more than a drawing shows.
    pub contours: Vec<Contour>,
}

impl OnLand {
    /// Of a plan as it is worked out, on ground with such contours.
    pub fn of(plan: &Plan, design: &Design, contours: &[Contour]) -> Self {
        Self {
            rings: plan.field.iter().flat_map(|field| field.rings()).cloned().collect(),
            outlets: plan.outlets.values().cloned().collect(),
            joints: design.joints.iter().filter_map(|joint| joint_of(plan, design, joint)).collect(),
            structures: structures(plan, design),
            marks: plan.landmarks.values().cloned().collect(),
            watercourses: plan.watercourses.values().cloned().collect(),
            contours: drawn(plan, contours),
        }
    }
}

fn joint_of(plan: &Plan, design: &Design, joint: &Joint) -> Option<Placed> {
    let (branch, main, units) = (plan.lines.get(&joint.branch)?, plan.lines.get(&joint.main)?, plan.title.units);
    let station = measure::station(joint.station_m, units);
    let (main_m, branch_m) = joint.sizes_m(design)?;
    let level = |what: &str, level_m: Option<f64>| {
        level_m
            .map(|level_m| format!(", invert of {what} {} {}", units.level(level_m), units.sign()))
            .unwrap_or_default()
    };
    let words = format!(
        "{} of {} into {} of {}{}{}",
        branch.name,
        units.pipe(branch_m),
        main.name,
        units.pipe(main_m),
        level(&branch.name, joint.branch_invert_m),
        level(&main.name, joint.main_invert_m)
    );
    let name = format!("{} into {} {station}", branch.name, main.name);
    Some(Placed { name, at: joint.at, invert_m: joint.main_invert_m, words })
}

fn structures(plan: &Plan, design: &Design) -> Vec<Placed> {
    let on_line = |(id, line): (&plan::LineId, &plan::Line)| {
        let worked = design.lines.get(id);
        let placed = |structure: &plan::Structure| {
            let station = measure::station(structure.station_m, plan.title.units);
            Some(Placed {
                name: format!("{} {} {station}", structure.kind.word(), line.name),
                at: measure::point_at(&line.points, structure.station_m)?,
                invert_m: worked.and_then(|worked| worked.at(structure.station_m)?.invert_m),
                words: structure.kind.word().into(),
            })
        };
        line.structures.iter().filter_map(placed).collect::<Vec<_>>()
    };
    plan.lines.iter().flat_map(on_line).collect()
}

/// The contours that are drawn: round field and lines, thinned; only the heavier ones where all would be too many.
fn drawn(plan: &Plan, contours: &[Contour]) -> Vec<Contour> {
    let field = plan.field.iter().flat_map(|field| field.ring.iter());
    let lines = plan.lines.values().flat_map(|line| line.points.iter());
    let Some((low, high)) = extent(field.chain(lines).copied()) else { return Vec::new() };
    let is_near = |p: &Point| {
        (low.x - ROUND_M..=high.x + ROUND_M).contains(&p.x) && (low.y - ROUND_M..=high.y + ROUND_M).contains(&p.y)
    };
    let near = |contour: &Contour| {
        let runs = contour.points.split(|p| !is_near(p)).filter(|run| run.len() > 1);
        let of_run = |run: &[Point]| Contour {
            level_m: contour.level_m,
            index: contour.index,
            points: terrain::simplify(run, OFF_M),
            closed: contour.closed && run.len() == contour.points.len(),
        };
        runs.map(of_run).collect::<Vec<_>>()
    };
    let mut all: Vec<Contour> = contours.iter().flat_map(near).collect();
    if all.iter().map(|contour| contour.points.len()).sum::<usize>() > MOST_CORNERS {
        all.retain(|contour| contour.index);
    }
    all
}

#[cfg(test)]
mod tests {
    use measure::nearest_on;
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// Every corner that was left out lies within the distance of what is drawn, and the ends stay.
        #[test]
        fn a_thinned_path_is_the_path(ys in proptest::collection::vec(-0.1f64..0.1, 2..60)) {
            let path: Vec<Point> = ys.iter().enumerate().map(|(i, y)| Point::new(i as f64, *y)).collect();
            let thin = terrain::simplify(&path, OFF_M);
            prop_assert!(thin.first() == path.first() && thin.last() == path.last());
            for at in &path {
                let (_, _, off_m) = nearest_on(&thin, *at).unwrap();
                prop_assert!(off_m <= OFF_M + 1e-12);
            }
        }
    }

    /// A ring that closes on itself keeps its way round.
    #[test]
    fn a_ring_stays_a_ring() {
        let ring = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0), (0.0, 0.0)].map(|(x, y)| Point::new(x, y));
        assert_eq!(terrain::simplify(&ring, OFF_M), ring);
    }
}
