//! Stretches of a line over which something holds, from exactly where it begins to exactly where it ends.

use design::{LineDesign, Station};

/// A stretch of a line where a value lies under its limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stretch {
    /// Lower station, metres.
    pub from_m: f64,
    /// Upper station, metres.
    pub to_m: f64,
    /// Station where the value is least, metres.
    pub worst_m: f64,
    /// The least value.
    pub worst: f64,
}

impl Stretch {
    /// Its length, metres.
    pub fn length_m(&self) -> f64 {
        self.to_m - self.from_m
    }
}

/// Two ends this near are one, metres.
const SAME_M: f64 = 1e-6;

/// A value along a line from `start_m` up.
pub(crate) fn profile(
    line: &LineDesign,
    start_m: f64,
    value: impl Fn(&Station) -> Option<f64>,
) -> Vec<(f64, Option<f64>)> {
    let cut = (start_m > 0.0).then(|| line.at(start_m)).flatten();
    let above = line.stations.iter().filter(|station| cut.is_none() || station.station_m > start_m);
    cut.iter().chain(above).map(|station| (station.station_m, value(station))).collect()
}

/// The stretches where a value, straight between its places, lies under the limit; silent where it is not known.
pub(crate) fn under(profile: &[(f64, Option<f64>)], limit: f64) -> Vec<Stretch> {
    let parts = profile.windows(2).filter_map(|pair| {
        let (low, high) = (pair[0], pair[1]);
        part_under((low.0, low.1?), (high.0, high.1?), limit)
    });
    join(parts, SAME_M)
}

/// Makes one of neighbours that touch or leave less than `gap_m` between them.
pub(crate) fn join(parts: impl Iterator<Item = Stretch>, gap_m: f64) -> Vec<Stretch> {
    let mut joined: Vec<Stretch> = Vec::new();
    for part in parts {
        match joined.last_mut().filter(|last| part.from_m <= last.to_m + gap_m) {
            Some(last) => {
                last.to_m = last.to_m.max(part.to_m);
                if part.worst < last.worst {
                    (last.worst_m, last.worst) = (part.worst_m, part.worst);
                }
            }
            None => joined.push(part),
        }
    }
    joined
}

fn part_under(low: (f64, f64), high: (f64, f64), limit: f64) -> Option<Stretch> {
    if low.1 >= limit && high.1 >= limit {
        return None;
    }
    let crossing_m = low.0 + (limit - low.1) / (high.1 - low.1) * (high.0 - low.0);
    let (worst_m, worst) = if low.1 <= high.1 { low } else { high };
    Some(Stretch {
        from_m: if low.1 < limit { low.0 } else { crossing_m },
        to_m: if high.1 < limit { high.0 } else { crossing_m },
        worst_m,
        worst,
    })
}

/// What is left of stretches when the part from `from_m` to `to_m` is taken out.
pub(crate) fn without(parts: &[Stretch], from_m: f64, to_m: f64) -> Vec<Stretch> {
    let halves = |part: &Stretch| {
        let below = Stretch { to_m: part.to_m.min(from_m), worst_m: part.worst_m.min(from_m), ..*part };
        let above = Stretch { from_m: part.from_m.max(to_m), worst_m: part.worst_m.max(to_m), ..*part };
        [below, above]
    };
    parts.iter().flat_map(halves).filter(|part| part.length_m() > SAME_M).collect()
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

    /// A value that dips from 3 to 1 and back over 20 m lies under 2 from 5 to 15.
    #[test]
    fn ends_are_where_the_limit_is_crossed() {
        let dip = [(0.0, Some(3.0)), (10.0, Some(1.0)), (20.0, Some(3.0))];
        assert_eq!(under(&dip, 2.0), [Stretch { from_m: 5.0, to_m: 15.0, worst_m: 10.0, worst: 1.0 }]);
        assert!(under(&dip, 1.0).is_empty());
    }

    #[test]
    fn a_part_taken_out_leaves_two_ends() {
        let whole = [Stretch { from_m: 0.0, to_m: 10.0, worst_m: 5.0, worst: 1.0 }];
        let ends: Vec<(f64, f64)> = without(&whole, 4.0, 6.0).iter().map(|s| (s.from_m, s.to_m)).collect();
        assert_eq!(ends, [(0.0, 4.0), (6.0, 10.0)]);
        assert_eq!(total_m(&without(&whole, -1.0, 6.0)), 4.0);
    }

    /// Nothing is said where the value is not known.
    #[test]
    fn unknown_places_part_a_stretch() {
        let gap = [(0.0, Some(1.0)), (1.0, Some(1.0)), (2.0, None), (3.0, Some(1.0)), (4.0, Some(1.0))];
        let ends: Vec<(f64, f64)> = under(&gap, 2.0).iter().map(|s| (s.from_m, s.to_m)).collect();
        assert_eq!(ends, [(0.0, 1.0), (3.0, 4.0)]);
    }
}
