//! What checks do with stretches of a line.

use design::LineDesign;
use measure::Segment;
pub(crate) use terrain::{Stretch, join, under};

/// Two ends this near are one, metres.
const SAME_M: f64 = 1e-6;

/// What is left of stretches when the part from `from_m` to `to_m` is taken out.
pub(crate) fn without(parts: &[Stretch], from_m: f64, to_m: f64) -> Vec<Stretch> {
    let halves = |part: &Stretch| {
        let below = Stretch { to_m: part.to_m.min(from_m), worst_m: part.worst_m.min(from_m), ..*part };
        let above = Stretch { from_m: part.from_m.max(to_m), worst_m: part.worst_m.max(to_m), ..*part };
        [below, above]
    };
    parts.iter().flat_map(halves).filter(|part| part.length_m() > SAME_M).collect()
}

/// What is left of a piece of a path when stretches of the path are taken out.
pub(crate) fn remaining(piece: &Segment, taken: &[Stretch]) -> Vec<Segment> {
    let (from_m, to_m) = (piece.start_m, piece.start_m + piece.length_m());
    let touched = taken.iter().any(|part| part.from_m < to_m && from_m < part.to_m);
    if !touched {
        return vec![*piece];
    }
    let whole = vec![Stretch { from_m, to_m, worst_m: from_m, worst: 0.0 }];
    let left = taken.iter().fold(whole, |left, part| without(&left, part.from_m, part.to_m));
    left.iter().map(|part| piece.part(part.from_m, part.to_m)).collect()
}

/// Length of several stretches together, metres.
pub(crate) fn total_m(parts: &[Stretch]) -> f64 {
    parts.iter().map(Stretch::length_m).sum()
}

/// The stretch where the value is least, the lowest on the line of several.
pub(crate) fn worst(parts: &[Stretch]) -> Option<&Stretch> {
    parts.iter().min_by(|x, y| x.worst.total_cmp(&y.worst).then(x.from_m.total_cmp(&y.from_m)))
}

/// The intervals between stations whose grade passes a test, neighbours made one; `worst` is the least grade.
pub(crate) fn graded(line: &LineDesign, test: impl Fn(usize, f64) -> bool) -> Vec<Stretch> {
    let intervals = line.stations.windows(2).enumerate().filter_map(|(i, pair)| {
        let grade = line.grade(i).filter(|grade| test(i, *grade))?;
        let (from_m, to_m) = (pair[0].station_m, pair[1].station_m);
        Some(Stretch { from_m, to_m, worst_m: from_m, worst: grade })
    });
    join(intervals, SAME_M)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_taken_out_leaves_two_ends() {
        let whole = [Stretch { from_m: 0.0, to_m: 10.0, worst_m: 5.0, worst: 1.0 }];
        let ends: Vec<(f64, f64)> = without(&whole, 4.0, 6.0).iter().map(|s| (s.from_m, s.to_m)).collect();
        assert_eq!(ends, [(0.0, 4.0), (6.0, 10.0)]);
        assert_eq!(total_m(&without(&whole, -1.0, 6.0)), 4.0);
    }
}
