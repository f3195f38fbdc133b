//! Whether a line falls all the way, by its levels as laid.

use design::{LineDesign, ON_LIMIT_M};

/// A stretch on which water does not run to the outlet by itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stand {
    /// Lower station, metres.
    pub from_m: f64,
    /// Upper station, metres.
    pub to_m: f64,
    /// By how much the invert rises on the way down, metres; 0 where it lies level.
    pub up_m: f64,
}

/// Rises this small are arithmetic, metres.
const NOTHING_M: f64 = 1e-9;
/// A level stretch this short is none, metres (an inch).
const SHORTEST_M: f64 = 0.0254;

/// The stretches of a line that do not fall toward its downstream end, from there up. What rises by less than a thousandth
/// of a foot in all lies level.
pub fn stands(line: &LineDesign) -> Vec<Stand> {
    let pairs = line.stations.windows(2).filter_map(|pair| {
        let up_m = pair[0].invert_m? - pair[1].invert_m?;
        let (from_m, to_m) = (pair[0].station_m, pair[1].station_m);
        (up_m >= -NOTHING_M && to_m > from_m).then_some(Stand { from_m, to_m, up_m: up_m.max(0.0) })
    });
    let mut found: Vec<Stand> = Vec::new();
    for stand in pairs {
        let rises = |stand: &Stand| stand.up_m > NOTHING_M;
        match found.last_mut().filter(|last| last.to_m >= stand.from_m && rises(last) == rises(&stand)) {
            Some(last) => (last.to_m, last.up_m) = (stand.to_m, last.up_m + stand.up_m),
            None => found.push(stand),
        }
    }
    for stand in found.iter_mut().filter(|stand| stand.up_m < ON_LIMIT_M) {
        stand.up_m = 0.0;
    }
    found.retain(|stand| stand.up_m > 0.0 || stand.to_m - stand.from_m > SHORTEST_M);
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use measure::{Point, Units};
    use plan::{Joins, Line, LineKind, Outlet, Pin, Plan};

    /// A main with a level held at each station.
    fn main(levels: &[(f64, f64)]) -> LineDesign {
        let mut plan = Plan::new("t", Units::Metric);
        let outlet = Outlet::new("O1", Point::new(0.0, 0.0), levels[0].1);
        let (outlet, edit) = plan::place_outlet(&plan, outlet);
        plan.apply(&edit).unwrap();
        let pins = levels.iter().map(|(station_m, invert_m)| Pin {
            station_m: *station_m,
            invert_m: *invert_m,
            straight: true,
        });
        let points = vec![Point::new(0.0, 0.0), Point::new(levels[levels.len() - 1].0, 0.0)];
        let line =
            Line { joins: Joins::Outlet(outlet), pins: pins.collect(), ..Line::new("M1", LineKind::Main, points) };
        let (id, edit) = plan::add_line(&plan, line);
        plan.apply(&edit).unwrap();
        design::work_out(&plan, &land::Land::default()).lines.remove(&id).unwrap()
    }

    fn rounded(line: &LineDesign) -> Vec<(f64, f64, f64)> {
        let round = |m: f64| (m * 1e4).round() / 1e4;
        stands(line).iter().map(|s| (round(s.from_m), round(s.to_m), round(s.up_m))).collect()
    }

    #[test]
    fn a_line_that_falls_all_the_way() {
        assert!(stands(&main(&[(0.0, 100.0), (50.0, 100.1), (100.0, 100.3)])).is_empty());
    }

    /// Down to the outlet it rises 0.20 m from 50 to 30 and lies level from 80 to 60.
    #[test]
    fn rises_and_level_stretches_are_told_apart() {
        let levels = [(0.0, 100.0), (30.0, 100.5), (50.0, 100.3), (60.0, 100.6), (80.0, 100.6), (100.0, 101.0)];
        assert_eq!(rounded(&main(&levels)), [(30.0, 50.0, 0.2), (60.0, 80.0, 0.0)]);
    }
}
