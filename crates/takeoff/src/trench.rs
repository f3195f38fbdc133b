//! Soil out of the trench, and its length by depth.

use design::{LineDesign, ON_LIMIT_M};
use plan::Criteria;
use terrain::Piece;

/// Soil out of a line's trench with upright walls, cubic metres: its width times the area between ground and trench bottom,
/// exactly. Nothing is counted where ground or invert is not known, nor for a pipe above ground.
pub fn trench_m3(line: &LineDesign, criteria: &Criteria) -> f64 {
    criteria.trench_width_m * above(trench(line, criteria), 0.0).map(|part| part.area_m2()).sum::<f64>()
}

/// Depth of the trench all along a line: pieces by rising station, metres.
pub(crate) fn trench<'a>(line: &'a LineDesign, criteria: &Criteria) -> impl Iterator<Item = Piece> + use<'a> {
    let bedding_m = criteria.bedding_m;
    line.bodies().flat_map(move |body| {
        let below_m = body.wall_m() + bedding_m;
        line.depth_in(body, 0.0).map(move |depth| depth.raised(below_m))
    })
}

/// The parts of pieces that lie above a value, counted from there.
pub(crate) fn above(pieces: impl Iterator<Item = Piece>, value_m: f64) -> impl Iterator<Item = Piece> {
    let raised = pieces.map(move |piece| piece.raised(-value_m));
    raised.flat_map(|piece| piece.cut(0.0)).filter(|part| part.middle() > 0.0)
}

/// The parts of a line's trench by the depths at which something changes: the number of the last edge that each part is as
/// deep as, and the part. What is as deep as an edge to a thousandth of a foot counts, as in the checks. Edges rise, the first
/// is 0; what lies above it counts for it.
pub(crate) fn by_depth(line: &LineDesign, criteria: &Criteria, edges: &[f64]) -> Vec<(usize, Piece)> {
    let mut parts: Vec<Piece> = trench(line, criteria).collect();
    for edge in edges {
        parts = parts.iter().flat_map(|part| part.cut(edge - ON_LIMIT_M)).collect();
    }
    let edge = |part: &Piece| edges.partition_point(|edge| edge - ON_LIMIT_M <= part.middle()).saturating_sub(1);
    parts.into_iter().map(|part| (edge(&part), part)).collect()
}
