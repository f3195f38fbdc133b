//! What the checks of capacity share.

use design::{Fullest, LineDesign};
use plan::{Edit, Line, LineId, SizeBy};

use crate::Site;

/// A line where it is fullest, if something flows and its reach there is no level or adverse one, which other checks
/// tell of.
pub(crate) fn fullest(site: &Site, worked: &LineDesign) -> Option<Fullest> {
    worked.fullest_of(|grade| grade >= site.plan.criteria.level_grade).filter(|full| full.required_m3s > 0.0)
}

/// The smallest stocked size in which every reach that falls carries its flow, metres.
pub(crate) fn carrying_size(site: &Site, line: &Line, worked: &LineDesign) -> Option<f64> {
    let least = site.plan.criteria.level_grade;
    let carries = |size_m: f64| {
        let n = site.plan.criteria.roughness_n(line, size_m);
        (0..worked.stations.len().saturating_sub(1)).all(|i| {
            let Some(grade) = worked.grade(i).filter(|grade| *grade >= least) else { return true };
            let capacity_m3s = hydraulics::full_capacity_m3s(n, size_m, grade) * worked.even_factor;
            worked.through_m3s[i] <= 0.9 * capacity_m3s
        })
    };
    hydraulics::stocked_sizes_m().into_iter().find(|size| *size > worked.size_m * 1.001 && carries(*size))
}

/// Gives a line another size.
pub(crate) fn resized(site: &Site, id: LineId, line: &Line, size_m: f64) -> Edit {
    let label = format!("Make {} {}", line.name, site.units().pipe(size_m));
    plan::set_line(label, id, Line { size_m, size_by: SizeBy::Hand, ..line.clone() })
}

/// A share in percent: "113 %".
pub(crate) fn percent(share: f64) -> String {
    format!("{:.0} %", (share * 100.0 + 0.5).floor())
}
