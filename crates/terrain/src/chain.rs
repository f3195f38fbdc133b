//! Members that follow one another, gathered into chains.

/// Follows another member; set beside the number of the next.
const FOLLOWS: u32 = 1 << 31;
/// No next member.
const NONE: u32 = FOLLOWS - 1;
/// Already gathered.
const DONE: u32 = FOLLOWS | NONE;

/// For each member the one that follows it: at most one follows, and a member follows at most one.
#[derive(Debug, Default)]
pub(crate) struct Links(Vec<u32>);

impl Links {
    /// Adds members without links until there are `count`, below 2³¹.
    pub fn grow(&mut self, count: usize) {
        self.0.resize(count, NONE);
    }

    /// Lets a member be followed by another.
    pub fn join(&mut self, from: u32, to: u32) {
        self.0[from as usize] = self.0[from as usize] & FOLLOWS | to;
        self.0[to as usize] |= FOLLOWS;
    }

    /// Hands over every chain and whether it is a ring: first the open ones, each group by first member, lone members
    /// among the open ones.
    pub fn chains(mut self, mut take: impl FnMut(&[u32], bool)) {
        let mut chain = Vec::new();
        for start in 0..self.0.len() {
            if self.0[start] & FOLLOWS == 0 {
                self.follow(start as u32, &mut chain);
                take(&chain, false);
            }
        }
        for start in 0..self.0.len() {
            if self.0[start] != DONE {
                self.follow(start as u32, &mut chain);
                take(&chain, true);
            }
        }
    }

    fn follow(&mut self, start: u32, chain: &mut Vec<u32>) {
        chain.clear();
        let mut at = start;
        while at != NONE {
            chain.push(at);
            let next = std::mem::replace(&mut self.0[at as usize], DONE) & !FOLLOWS;
            at = if next == start { NONE } else { next };
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn open_chains_come_first_then_rings() {
        let mut links = Links::default();
        links.grow(8);
        for (from, to) in [(0, 3), (3, 1), (1, 0), (6, 4), (4, 7), (5, 5)] {
            links.join(from, to);
        }
        let mut found = Vec::new();
        links.chains(|chain, ring| found.push((chain.to_vec(), ring)));
        let expected = [(vec![2], false), (vec![6, 4, 7], false), (vec![0, 3, 1], true), (vec![5], true)];
        assert_eq!(found, expected);
    }
}
