//! Outlets that new lines lead to; what the checks of outlets share.

use design::LineDesign;
use plan::{Joins, Line, LineId, Outlet, OutletId};

use crate::{Finding, Rule, Severity, Site};

/// An outlet with the line that leads to it.
pub(crate) struct Led<'a> {
    pub id: OutletId,
    pub outlet: &'a Outlet,
    pub line_id: LineId,
    pub line: &'a Line,
    pub worked: &'a LineDesign,
}

/// Outlets that new lines lead to, each once, by the name of the first line that does.
pub(crate) fn led<'a>(site: &Site<'a>) -> Vec<Led<'a>> {
    let of_line = |(line_id, line, worked): (LineId, &'a Line, &'a LineDesign)| match line.joins {
        Joins::Outlet(id) => Some(Led { id, outlet: site.plan.outlets.get(&id)?, line_id, line, worked }),
        _ => None,
    };
    let mut seen = std::collections::BTreeSet::new();
    site.new_lines().filter_map(of_line).filter(|led| seen.insert(led.id)).collect()
}

/// The same that lead into the open.
pub(crate) fn open<'a>(site: &Site<'a>) -> Vec<Led<'a>> {
    led(site).into_iter().filter(|led| led.outlet.is_open()).collect()
}

impl Led<'_> {
    /// Level of its invert, metres: as worked out where that was left free.
    pub fn invert_m(&self, site: &Site) -> f64 {
        site.design.outlet_invert_m(self.id, self.outlet)
    }

    /// A finding of a rule at the outlet.
    pub fn finding(&self, rule: &Rule, severity: Severity, title: String, message: String) -> Finding {
        Finding::new(rule, severity, self.outlet.at, title, message).of_outlet(self.id)
    }
}
