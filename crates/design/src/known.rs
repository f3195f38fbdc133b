//! Lines whose cost is known from before: a line that nothing joins and of which nothing has changed costs what it cost.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use crate::tree::{Places, TreeLine};
use crate::valley::{Parts, Valley};
use crate::{Node, Tie, Tree};

/// Answers kept of each line: one plan asks for some, by sizes and limits.
const KEPT: usize = 6;

/// All that the cost of a line hangs on, and the tree in which it lies.
pub(crate) struct Content<'a> {
    pub tree: &'a Tree,
    pub line: &'a TreeLine,
    /// Bounds of its stations.
    pub bounds: &'a [(f64, f64)],
}

impl Content<'_> {
    fn nodes(&self) -> &[Node] {
        &self.tree.nodes[self.line.nodes.clone()]
    }

    fn missing(&self) -> Range<usize> {
        let nodes = self.nodes();
        nodes[0].missing.start..nodes[nodes.len() - 1].missing.end
    }
}

/// What lines cost, by the number that lines of the same ties, costs and wishes share ([`TreeLine::number`]).
#[derive(Debug, Clone, Default)]
pub(crate) struct KnownLines {
    lines: BTreeMap<u64, Kept>,
}

/// What is kept of lines of one number, the one asked for last first.
#[derive(Debug, Clone, Default)]
struct Kept {
    is_used: bool,
    lines: Vec<KnownLine>,
}

/// The cost of a line under given bounds.
#[derive(Debug, Clone)]
pub(crate) struct KnownLine {
    bounds: Vec<(f64, f64)>,
    /// Cost of its first station with all above it.
    valley: Valley,
    cheapest_m: Vec<f64>,
    dear_m: Vec<f64>,
    /// The same as the station downstream sees it, where it hangs on that by such a tie.
    seen: Option<(Tie, Arc<Parts>)>,
}

impl KnownLines {
    /// A line whose content is the same.
    pub fn find(&mut self, content: &Content) -> Option<&KnownLine> {
        let kept = self.lines.get_mut(&content.line.number?)?;
        kept.is_used = true;
        let at = kept.lines.iter().position(|known| known.bounds == content.bounds)?;
        kept.lines[..=at].rotate_right(1);
        kept.lines.first()
    }

    pub fn keep(&mut self, content: &Content, valley: &Valley, places: &Places) {
        let Some(number) = content.line.number else { return };
        let known = KnownLine {
            bounds: content.bounds.to_vec(),
            valley: valley.clone(),
            cheapest_m: places.cheapest_m[content.line.nodes.clone()].to_vec(),
            dear_m: places.dear_m[content.missing()].to_vec(),
            seen: None,
        };
        let kept = self.lines.entry(number).or_default();
        kept.is_used = true;
        kept.lines.truncate(KEPT - 1);
        kept.lines.insert(0, known);
    }

    /// The line that was found or kept last of those of a number.
    pub fn last_of(&mut self, line: &TreeLine) -> Option<&mut KnownLine> {
        self.lines.get_mut(&line.number?)?.lines.first_mut()
    }

    /// Forgets what nobody asked for since this was called last.
    pub fn forget_unused(&mut self) {
        self.lines.retain(|_, kept| std::mem::take(&mut kept.is_used));
    }
}

impl KnownLine {
    /// Puts the best places of its stations among those of all; answers the cost of the first.
    pub fn put_back(&self, places: &mut Places, content: &Content) -> Valley {
        places.cheapest_m[content.line.nodes.clone()].copy_from_slice(&self.cheapest_m);
        places.dear_m[content.missing()].copy_from_slice(&self.dear_m);
        self.valley.clone()
    }

    /// Its cost taken apart, as the station downstream sees it by a tie.
    pub fn parts(&mut self, tie: Tie, seen: &Valley) -> Arc<Parts> {
        match &self.seen {
            Some((known, parts)) if *known == tie => parts.clone(),
            _ => {
                let parts = Arc::new(seen.parts());
                self.seen = Some((tie, parts.clone()));
                parts
            }
        }
    }
}
