//! Lines whose cost is known from before: a line that nothing joins and of which nothing has changed costs what it cost.

use std::ops::Range;

use crate::tree::Places;
use crate::valley::Valley;
use crate::{Missing, Node, Slope, Tree};

/// Answers kept of each line: one plan asks for some, by sizes and limits.
const KEPT: usize = 6;

/// All that the cost of a line hangs on, and the tree in which it lies.
pub(crate) struct Content<'a> {
    pub tree: &'a Tree,
    pub line: Range<usize>,
    /// Bounds of its stations.
    pub bounds: &'a [(f64, f64)],
}

impl Content<'_> {
    fn nodes(&self) -> &[Node] {
        &self.tree.nodes[self.line.clone()]
    }

    fn slopes(&self) -> &[Slope] {
        let nodes = self.nodes();
        &self.tree.slopes[nodes[0].slopes.start..nodes[nodes.len() - 1].slopes.end]
    }

    fn missing(&self) -> Range<usize> {
        let nodes = self.nodes();
        nodes[0].missing.start..nodes[nodes.len() - 1].missing.end
    }
}

/// The lines of a tree, by their place in it.
#[derive(Debug, Clone, Default)]
pub(crate) struct KnownLines {
    lines: Vec<Vec<KnownLine>>,
}

#[derive(Debug, Clone)]
pub(crate) struct KnownLine {
    first: usize,
    nodes: Vec<Node>,
    bounds: Vec<(f64, f64)>,
    slopes: Vec<Slope>,
    missing: Vec<Missing>,
    /// Cost of its first station with all above it.
    valley: Valley,
    cheapest_m: Vec<f64>,
    dear_m: Vec<f64>,
}

impl KnownLines {
    /// A line whose content is the same; the one asked for last is found first.
    pub fn find(&mut self, k: usize, content: &Content) -> Option<&KnownLine> {
        let kept = self.lines.get_mut(k)?;
        let at = kept.iter().position(|known| known.is(content))?;
        kept[..=at].rotate_right(1);
        kept.first()
    }

    pub fn keep(&mut self, k: usize, content: &Content, valley: &Valley, places: &Places) {
        if self.lines.len() <= k {
            self.lines.resize_with(k + 1, Vec::new);
        }
        let known = KnownLine {
            first: content.line.start,
            nodes: content.nodes().to_vec(),
            bounds: content.bounds.to_vec(),
            slopes: content.slopes().to_vec(),
            missing: content.tree.missing[content.missing()].to_vec(),
            valley: valley.clone(),
            cheapest_m: places.cheapest_m[content.line.clone()].to_vec(),
            dear_m: places.dear_m[content.missing()].to_vec(),
        };
        let kept = &mut self.lines[k];
        kept.truncate(KEPT - 1);
        kept.insert(0, known);
    }
}

impl KnownLine {
    /// True where all is the same but what the line hangs on downstream.
    fn is(&self, content: &Content) -> bool {
        let nodes = content.nodes();
        let down = |node: &Node, first: usize| node.down.map(|down| down.wrapping_sub(first));
        let alike = |(i, (own, other)): (usize, (&Node, &Node))| {
            own.slopes.len() == other.slopes.len()
                && own.missing.len() == other.missing.len()
                && (i == 0 || (own.tie == other.tie && down(own, self.first) == down(other, content.line.start)))
        };
        self.bounds == content.bounds
            && self.nodes.iter().zip(nodes).enumerate().all(alike)
            && self.slopes == content.slopes()
            && self.missing == content.tree.missing[content.missing()]
    }

    /// Puts the best places of its stations among those of all; answers the cost of the first.
    pub fn put_back(&self, places: &mut Places, content: &Content) -> Valley {
        places.cheapest_m[content.line.clone()].copy_from_slice(&self.cheapest_m);
        places.dear_m[content.missing()].copy_from_slice(&self.dear_m);
        self.valley.clone()
    }
}
