//! Check 7, too fast for the soil around a perforated pipe.

use design::LineDesign;
use measure::FOOT_M;
use plan::{Line, LineId};

use super::levels::{self, Wants};
use super::marks::perforated;
use super::pipe::{self, Solid};
use super::soil::texture;
use crate::stretch::{Stretch, graded};
use crate::{Finding, Rule, Severity, Site};

/// Speeds that differ by less are one, m/s (a hundredth of a foot a second).
const SAME_MS: f64 = 0.01 * FOOT_M;

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 7,
    slug: "too-fast",
    title: "Too fast for the soil around a perforated pipe",
    manual: "Full-pipe speed over 3.5 ft/s in sand to sandy loam, 5 in loam and silt, 6 in silty clay loam and sandy clay, \
             7 in clay, 9 in coarse sand or gravel. Faster water draws soil in through the openings and washes the bed \
             out. From the handbook by secondary notes; textures it does not name are a judgment. Silent where the \
             texture is not entered. To decide.",
    source: "[EVERETT for 9]; rest [CPS606, memory]; unnamed textures [judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    site.new_lines().filter_map(|(id, line, worked)| finding(site, id, line, worked)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let texture = texture(site, worked)?;
    let (limit_ms, units) = (texture.greatest_velocity_ms(), site.units());
    let speed = |index: usize, grade: f64| worked.above(index).full_velocity_ms(grade);
    // Solid pipe does not pull soil in; of the rest the fastest place leads.
    let fast = perforated(line, worked, graded(worked, |i, grade| speed(i, grade) > limit_ms + SAME_MS));
    let speed_of = |part: &Stretch| {
        let within = (0..worked.stations.len().saturating_sub(1)).filter(|i| {
            worked.stations[*i].station_m < part.to_m - 1e-6 && worked.stations[i + 1].station_m > part.from_m + 1e-6
        });
        within.filter_map(|i| Some(speed(i, worked.grade(i)?))).fold(0.0, f64::max)
    };
    let first = fast.iter().rev().max_by(|x, y| speed_of(x).total_cmp(&speed_of(y)))?;
    let fastest_ms = speed_of(first);
    let [fast_ms, limit] = units.velocities(fastest_ms, limit_ms);
    let message = format!("Full-pipe speed {fast_ms} in {}, limit {limit} in {}.", line.name, texture.word());
    let at = site.point(id, (first.from_m + first.to_m) / 2.0);
    Some(
        Finding::new(&RULE, Severity::Decide, at, format!("{} runs too fast for its soil", line.name), message)
            .once_on(id, first.from_m, first.to_m)
            .amount(units.velocity(fastest_ms))
            .misses(fastest_ms, limit_ms)
            .offers(move |site| {
                let place = fast.first().zip(fast.last()).map(|(low, high)| (low.from_m, high.to_m));
                let mut offers: Vec<_> = pipe::solid(site, id, &fast, Solid::default()).into_iter().collect();
                offers.extend(place.into_iter().flat_map(|place| levels::ways(site, id, place, Wants::Flatter(0.0))));
                offers
            }),
    )
}

#[cfg(test)]
mod tests {
    use plan::Texture;

    use super::*;
    use crate::job::Job;

    /// 6 in at 3.00 % runs 4.29 ft/s full: too fast for sandy loam (3.5), not for loam (5).
    #[test]
    fn steep_in_sandy_loam() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.pin(m1, 300.0, 109.0);
        assert!(job.found(&RULE).is_empty());
        job.plan.brief.texture = Some(Texture::SandyLoam);
        assert_eq!(job.only(&RULE).message, "Full-pipe speed 4.29 ft/s in M1, limit 3.50 ft/s in sandy loam.");
        job.plan.brief.texture = Some(Texture::Loam);
        assert!(job.found(&RULE).is_empty());
    }
}
