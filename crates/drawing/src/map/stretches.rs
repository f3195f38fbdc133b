//! What is wrong, along exactly the stations that findings name.

use checks::{Finding, Severity};

use super::MapOf;
use crate::role::Role;
use crate::scene::{Form, Item};

/// Stretches shorter than this are places, metres.
const SHORTEST_M: f64 = 1e-6;

/// Every stretch, the worst last.
pub fn items<'a>(map: &MapOf<'a>) -> Vec<Item<'a>> {
    let stretch = |finding: &Finding| {
        let (line, from_m, to_m) = (map.plan.lines.get(&finding.line?)?, finding.from_m?, finding.to_m?);
        let stretch = Form::Stretch(line.points.as_slice().into(), from_m, to_m);
        (to_m - from_m > SHORTEST_M).then(|| Item::new(Role::Stretch(finding.severity), stretch))
    };
    map.findings.iter().rev().filter(|finding| finding.severity != Severity::Note).filter_map(stretch).collect()
}
