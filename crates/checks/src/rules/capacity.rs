//! What the checks of capacity share.

use design::{Fullest, LineDesign};
use plan::{Line, LineId};
use terrain::Profile;

use crate::stretch::{Stretch, under, worst};
use crate::{Place, Site};

/// A line where it is fullest, if something flows and its reach there is no level or adverse one, which other checks
/// tell of.
pub(crate) fn fullest(site: &Site, worked: &LineDesign) -> Option<Fullest> {
    worked.fullest_of(|grade| grade >= site.plan.criteria.level_grade).filter(|full| full.required_m3s > 0.0)
}

/// Stretches over which a line carries more than a share of what it can, exactly from where to where: between two
/// stations its own land's water grows evenly, what branches and inlets bring enters at their stations. `worst` is less
/// than 0 by the share; `capacity_m3s` that of the reach above a station, where it counts.
pub(crate) fn fuller_than(
    worked: &LineDesign,
    share: f64,
    capacity_m3s: impl Fn(usize) -> Option<f64>,
) -> Vec<Stretch> {
    let mut profile: Vec<(f64, Option<f64>)> = Vec::new();
    for (i, pair) in worked.stations.windows(2).enumerate() {
        let top_m3s = worked.top_m3s(i);
        let full = |flow_m3s: f64| capacity_m3s(i).map(|capacity_m3s| -flow_m3s / capacity_m3s);
        // Two values at one station: the flow leaps where a branch comes in.
        profile.extend([(pair[0].station_m, full(worked.through_m3s[i])), (pair[1].station_m, full(top_m3s))]);
    }
    under(Profile::through(&profile).pieces().iter().copied(), -share)
        .into_iter()
        .filter(|part| part.length_m() > 0.0)
        .collect()
}

/// What a reach carries above a station, m³/s; `None` where it is level or rises, which other checks tell of.
pub(crate) fn falling_capacity(site: &Site, worked: &LineDesign, index: usize) -> Option<f64> {
    let grade = worked.grade(index).filter(|grade| *grade >= site.plan.criteria.level_grade)?;
    Some(worked.above(index).full_capacity_m3s(grade) * worked.even_factor)
}

/// Stretches in words, all of them: "from 0+00 to 0+70 and from 2+00 to 2+50".
pub(crate) fn stretches(site: &Site, parts: &[Stretch]) -> String {
    let words: Vec<String> = parts.iter().map(|part| site.stretch(part.from_m, part.to_m)).collect();
    measure::listed(&words)
}

/// The stretch that is fullest and, where there are several, the place of each.
pub(crate) fn places(site: &Site, id: LineId, parts: &[Stretch]) -> Option<(Stretch, Vec<Place>)> {
    let full = |part: &Stretch| format!("{} full", percent(-part.worst));
    let place = |part: &Stretch| site.place(id, (part.from_m, part.to_m), part.worst_m, &full(part));
    let all = if parts.len() > 1 { parts.iter().map(place).collect() } else { Vec::new() };
    Some((*worst(parts)?, all))
}

/// The smallest stocked size in which every reach that falls carries its flow, metres.
pub(crate) fn carrying_size(site: &Site, line: &Line, worked: &LineDesign) -> Option<f64> {
    let least = site.plan.criteria.level_grade;
    let carries = |size_m: f64| {
        let n = site.plan.criteria.roughness_n(line, size_m, line.wall);
        (0..worked.stations.len().saturating_sub(1)).all(|i| {
            let Some(grade) = worked.grade(i).filter(|grade| *grade >= least) else { return true };
            let capacity_m3s = hydraulics::full_capacity_m3s(n, size_m, grade) * worked.even_factor;
            worked.through_m3s[i] <= 0.9 * capacity_m3s
        })
    };
    site.plan.cost_weights.sizes_m().find(|size| *size > worked.size_m * 1.001 && carries(*size))
}

/// A share over a whole in percent, told with as many figures as show that it is over.
pub(crate) fn percent_over(share: f64) -> String {
    let told = percent(share);
    if share > 1.0 && told == "100 %" { format!("{:.2} %", (share * 1e4).ceil() / 100.0) } else { told }
}

/// A share in percent: "113 %".
pub(crate) fn percent(share: f64) -> String {
    format!("{:.0} %", (share * 100.0 + 0.5).floor())
}
