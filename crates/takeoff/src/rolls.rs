//! Which roll goes where: fewest rolls, then fewest splices.
//!
//! Pipe may be spliced anywhere, so the length alone says how many rolls are needed. Splices are then least where the
//! pieces fall into as many groups as can be, each laid from rolls of its own: laid one after the other, a group of k
//! rolls has k − 1 splices at most, and no way of cutting has fewer than rolls less groups, for rolls and pieces that
//! share a cut hang together and a tree over them needs that many.

use crate::Piece;

/// Pieces up to which the grouping is exact; more are grouped one by one, two by two and three by three.
const EXACT: usize = 12;
/// Lengths that differ by less are one, metres.
const SAME_M: f64 = 1e-6;

/// A length cut from a roll and laid.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// Number of the roll, from 1.
    pub roll: usize,
    /// Index of the piece.
    pub piece: usize,
    /// From where in the piece, metres along it.
    pub from_m: f64,
    /// Its length, metres.
    pub length_m: f64,
}

/// A plan for cutting rolls.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CuttingPlan {
    /// Length of a roll, metres.
    pub roll_m: f64,
    /// Rolls needed.
    pub rolls: usize,
    /// Places where two cuts meet within a piece.
    pub splices: usize,
    /// The cuts in the order of rolls.
    pub cuts: Vec<Cut>,
    /// True where no way of cutting has fewer splices.
    pub proved: bool,
}

impl CuttingPlan {
    /// What is left of all rolls, metres.
    pub fn left_m(&self) -> f64 {
        self.rolls as f64 * self.roll_m - self.cuts.iter().map(|cut| cut.length_m).sum::<f64>()
    }
}

/// Plans the cutting of pieces from rolls of a length.
pub fn cut(pieces: &[Piece], roll_m: f64) -> CuttingPlan {
    let lengths: Vec<f64> = pieces.iter().map(|piece| piece.length_m).collect();
    cut_lengths(&lengths, roll_m)
}

/// The same for bare lengths.
pub fn cut_lengths(lengths: &[f64], roll_m: f64) -> CuttingPlan {
    let wanted: Vec<usize> = (0..lengths.len()).filter(|i| lengths[*i] > SAME_M).collect();
    let sizes: Vec<f64> = wanted.iter().map(|i| lengths[*i]).collect();
    let exact = sizes.len() <= EXACT;
    let groups = if exact { best_groups(&sizes, roll_m) } else { good_groups(&sizes, roll_m) };
    let mut plan = CuttingPlan { roll_m, proved: exact, ..CuttingPlan::default() };
    for group in groups {
        let members: Vec<usize> = group.into_iter().map(|i| wanted[i]).collect();
        lay(&mut plan, &members, lengths);
    }
    // One splice is the least there can be where one piece is longer than a roll, and so on: then any plan is proved.
    let least: usize = sizes.iter().map(|length_m| rolls_for(*length_m, roll_m) - 1).sum();
    plan.proved |= plan.splices == least;
    plan
}

/// Whole rolls for a length.
pub fn rolls_for(length_m: f64, roll_m: f64) -> usize {
    ((length_m - SAME_M) / roll_m).ceil().max(0.0) as usize
}

/// Lays a group's pieces one after the other from rolls of their own.
fn lay(plan: &mut CuttingPlan, members: &[usize], lengths: &[f64]) {
    let mut left_m = 0.0;
    for piece in members {
        let mut from_m = 0.0;
        while lengths[*piece] - from_m > SAME_M {
            if left_m <= SAME_M {
                plan.rolls += 1;
                left_m = plan.roll_m;
            }
            let length_m = left_m.min(lengths[*piece] - from_m);
            plan.splices += usize::from(from_m > 0.0);
            plan.cuts.push(Cut { roll: plan.rolls, piece: *piece, from_m, length_m });
            (from_m, left_m) = (from_m + length_m, left_m - length_m);
        }
    }
}

/// The most groups among those that need the fewest rolls, over every way of grouping.
fn best_groups(sizes: &[f64], roll_m: f64) -> Vec<Vec<usize>> {
    let all = (1usize << sizes.len()) - 1;
    let sum = |mask: usize| -> f64 { (0..sizes.len()).filter(|i| mask >> i & 1 == 1).map(|i| sizes[i]).sum() };
    let need: Vec<usize> = (0..=all).map(|mask| rolls_for(sum(mask), roll_m)).collect();
    // Fewest rolls, then fewest groups counted below zero; and the group that holds the first piece.
    let mut best: Vec<(usize, isize, usize)> = vec![(0, 0, 0); all + 1];
    for mask in 1..=all {
        let first = 1 << mask.trailing_zeros();
        let others = mask ^ first;
        let mut choice = (usize::MAX, isize::MAX, mask);
        let mut part = others;
        loop {
            let (group, rest) = (part | first, mask ^ (part | first));
            choice = choice.min((need[group] + best[rest].0, best[rest].1 - 1, group));
            if part == 0 {
                break;
            }
            part = (part - 1) & others;
        }
        best[mask] = choice;
    }
    let mut groups = Vec::new();
    let mut left = all;
    while left != 0 {
        let group = best[left].2;
        groups.push((0..sizes.len()).filter(|i| group >> i & 1 == 1).collect());
        left ^= group;
    }
    groups
}

/// Groups of one, two and three pieces that waste least, as long as no roll more is needed; the rest is one group.
fn good_groups(sizes: &[f64], roll_m: f64) -> Vec<Vec<usize>> {
    let total_m: f64 = sizes.iter().sum();
    let mut spare_m = rolls_for(total_m, roll_m) as f64 * roll_m - total_m + SAME_M;
    let mut left: Vec<usize> = (0..sizes.len()).collect();
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for count in 1..=3 {
        while let Some((group, waste_m)) =
            least_waste(sizes, &left, count, roll_m).filter(|(_, waste)| *waste <= spare_m)
        {
            left.retain(|i| !group.contains(i));
            spare_m -= waste_m;
            groups.push(group);
        }
    }
    groups.extend((!left.is_empty()).then_some(left));
    groups
}

/// Of all groups of so many pieces the one that wastes least.
fn least_waste(sizes: &[f64], left: &[usize], count: usize, roll_m: f64) -> Option<(Vec<usize>, f64)> {
    // Two by two of more than so many pieces, or three by three, is more than it is worth.
    let most = [usize::MAX, 600, 100][count - 1];
    if left.len() <= count || left.len() > most {
        return None;
    }
    let waste = |group: &[usize]| {
        let length_m: f64 = group.iter().map(|i| sizes[*i]).sum();
        rolls_for(length_m, roll_m) as f64 * roll_m - length_m
    };
    let mut best: Option<(Vec<usize>, f64)> = None;
    let mut offer = |group: &[usize]| {
        let waste_m = waste(group);
        if best.as_ref().is_none_or(|(_, least_m)| waste_m < *least_m - SAME_M) {
            best = Some((group.to_vec(), waste_m));
        }
    };
    for (a, one) in left.iter().enumerate() {
        match count {
            1 => offer(&[*one]),
            2 => left[a + 1..].iter().for_each(|two| offer(&[*one, *two])),
            _ => {
                for (b, two) in left.iter().enumerate().skip(a + 1) {
                    left[b + 1..].iter().for_each(|three| offer(&[*one, *two, *three]));
                }
            }
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is known of pieces and rolls that are left.
    type Known = std::collections::BTreeMap<(Vec<usize>, Vec<usize>), Option<usize>>;

    /// The least number of parts into which pieces must be cut so that all go on so many rolls, by trying every way of
    /// cutting at whole lengths and every roll for each part; that whole lengths are enough is a property of flows in
    /// networks with whole capacities.
    fn least_parts(mut pieces: Vec<usize>, mut rolls: Vec<usize>, known: &mut Known) -> Option<usize> {
        pieces.retain(|piece| *piece > 0);
        pieces.sort_unstable();
        rolls.sort_unstable();
        let Some(first) = pieces.first().copied() else { return Some(0) };
        let key = (pieces.clone(), rolls.clone());
        if let Some(known) = known.get(&key) {
            return *known;
        }
        let mut least: Option<usize> = None;
        for roll in 0..rolls.len() {
            for part in 1..=first.min(rolls[roll]) {
                let (mut left, mut after) = (rolls.clone(), pieces.clone());
                (left[roll], after[0]) = (left[roll] - part, first - part);
                let parts = least_parts(after, left, known).map(|parts| parts + 1);
                least = [least, parts].into_iter().flatten().min();
            }
        }
        known.insert(key, least);
        least
    }

    /// Every set of up to three pieces of 1 to 7 and rolls of 4, and a few of four pieces.
    #[test]
    fn no_way_of_cutting_has_fewer_splices() {
        let mut cases: Vec<Vec<usize>> = Vec::new();
        for a in 1..=7 {
            cases.push(vec![a]);
            for b in a..=7 {
                cases.push(vec![a, b]);
                cases.extend((b..=7).filter(|c| a + b + c <= 14).map(|c| vec![a, b, c]));
            }
        }
        cases.extend([vec![1, 3, 2, 2], vec![3, 3, 3, 3], vec![1, 1, 1, 5], vec![2, 2, 3, 1]]);
        for case in cases {
            let total: usize = case.iter().sum();
            let rolls = total.div_ceil(4);
            let parts = least_parts(case.clone(), vec![4; rolls], &mut Known::new()).unwrap();
            let lengths: Vec<f64> = case.iter().map(|length| *length as f64).collect();
            let plan = cut_lengths(&lengths, 4.0);
            assert_eq!((plan.rolls, plan.splices), (rolls, parts - case.len()), "{case:?}");
            assert!(plan.proved);
        }
    }

    /// Every piece is laid whole and no roll gives more than it has.
    #[test]
    fn what_is_cut_is_what_is_there() {
        let lengths: Vec<f64> = (0..40).map(|i| 30.0 + f64::from(i * 37 % 50) * 1.7).collect();
        let plan = cut_lengths(&lengths, 76.2);
        for (i, length_m) in lengths.iter().enumerate() {
            let cut_m: f64 = plan.cuts.iter().filter(|cut| cut.piece == i).map(|cut| cut.length_m).sum();
            assert!((cut_m - length_m).abs() < 1e-6);
        }
        for roll in 1..=plan.rolls {
            let used_m: f64 = plan.cuts.iter().filter(|cut| cut.roll == roll).map(|cut| cut.length_m).sum();
            assert!(used_m <= 76.2 + 1e-6);
        }
        let total_m: f64 = lengths.iter().sum();
        assert_eq!(plan.rolls, rolls_for(total_m, 76.2));
        assert!(plan.left_m() >= -1e-6 && plan.left_m() < 76.2);
    }

    /// The exact grouping and the stepwise one on the same pieces: never a roll more, seldom a splice more.
    #[test]
    fn stepwise_grouping_needs_no_roll_more() {
        for seed in 0..40u32 {
            let lengths: Vec<f64> = (0..9).map(|i| 5.0 + f64::from((seed * 131 + i * 57) % 83)).collect();
            let (best, good) = (best_groups(&lengths, 50.0), good_groups(&lengths, 50.0));
            let rolls = |groups: &[Vec<usize>]| -> usize {
                groups.iter().map(|g| rolls_for(g.iter().map(|i| lengths[*i]).sum(), 50.0)).sum()
            };
            assert_eq!(rolls(&best), rolls(&good));
            assert!(good.len() <= best.len());
        }
    }
}
