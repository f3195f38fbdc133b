//! An outlet that was moved: what its level was set for, what the ground says where it lies now, and what it could be there.

use land::Land;
use measure::{Point, Said, distance, nearest_on};
use plan::{Change, Edit, Outlet, OutletId, Plan, WatercourseKind};

/// An outlet that an edit moves without setting its level anew, and where it stood; `None` for one whose level the program
/// chooses.
pub fn moved(plan: &Plan, edit: &Edit) -> Option<(OutletId, Point)> {
    edit.changes.iter().find_map(|change| match change {
        Change::Outlet(id, Some(after)) => {
            let before = plan.outlets.get(id)?;
            let is_moved = before.at != after.at && before.invert_m == after.invert_m && !after.invert_free;
            is_moved.then_some((*id, before.at))
        }
        _ => None,
    })
}

/// The question what level a moved outlet has.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelAsk {
    /// What is known, in sentences.
    pub told: String,
    /// "Keep 199.50 ft".
    pub keep: String,
    /// Other levels: each in words, with the edit that sets it.
    pub levels: Vec<(String, Edit)>,
}

/// Asks what level an outlet has that stood elsewhere; `None` where it is back, gone, or lies where no ground is known.
pub fn ask(plan: &Plan, land: &Land, id: OutletId, stood: Point) -> Option<LevelAsk> {
    let units = plan.title.units;
    let (outlet, ground) = (plan.outlets.get(&id)?, land.ground.as_deref()?);
    let here_m = ground.elevation(outlet.at).filter(|_| outlet.at != stood)?;
    let (name, invert) = (&outlet.name, units.level(outlet.invert_m));
    let there = ground.elevation(stood).map(|level_m| format!(", ground there {}", units.number(level_m, 2)));
    let bed = bed(plan, land, outlet).filter(|(_, bed_m)| *bed_m < here_m);
    let mut told = format!(
        "{name} was moved {}. Its invert {invert} is from where it stood{}; ground here {}",
        units.length(distance(stood, outlet.at)),
        there.unwrap_or_default(),
        units.number(here_m, 2)
    );
    if let Some((channel, bed_m)) = &bed {
        told.push_str(&format!(", in {channel} {} by the ground file", units.number(*bed_m, 2)));
    }
    let is_measured = outlet.channel_bottom_m.or(outlet.low_water_m).is_some();
    told.push_str(if is_measured { ". Channel bottom and low water were measured there too." } else { "." });
    let over = bed.map(|(channel, bed_m)| {
        let over_m = plan.criteria.outlet_wanted_m;
        (units.said_up(plain(bed_m) + over_m), format!("{} over the bed of {channel}", units.depth(over_m)))
    });
    let under_m = plan.criteria.target_depth_m;
    let under = (units.said_down(plain(here_m) - under_m), format!("{} under the ground", units.depth(under_m)));
    let levels = over.into_iter().chain([under]).map(|(level, why)| {
        let words = format!("{}: {why}", level.text);
        (words, set_level(plan, id, outlet, &level))
    });
    Some(LevelAsk { told, keep: format!("Keep {invert} {}", units.sign()), levels: levels.collect() })
}

/// Sets the level; what was measured of the channel elsewhere is to be measured anew.
fn set_level(plan: &Plan, id: OutletId, outlet: &Outlet, level: &Said) -> Edit {
    let measured = Outlet { channel_bottom_m: None, low_water_m: None, ..outlet.clone() };
    let edit = plan::set_outlet(plan, id, Outlet { invert_m: level.value, ..measured });
    Edit { label: format!("Set the level of {}", outlet.name), ..edit }
}

/// A level of a ground file, which holds single precision, to a tenth of a millimeter: noise behind that moves no rounding.
fn plain(level_m: f64) -> f64 {
    (level_m * 1e4).round() / 1e4
}

/// The ditch or swale an outlet lies at, in words, and the level of the ground in it, metres.
fn bed(plan: &Plan, land: &Land, outlet: &Outlet) -> Option<(String, f64)> {
    let ditches = plan.watercourses.values().filter(|course| course.kind == WatercourseKind::Ditch);
    let ditches = ditches.map(|course| (format!("ditch {}", course.name), &course.points));
    let swales = land.swales.iter().map(|swale| ("the channel".to_string(), &swale.points));
    let met = ditches.chain(swales).filter_map(|(name, points)| {
        let (_, foot, off_m) = nearest_on(points, outlet.at)?;
        (off_m <= plan.criteria.channel_near_m).then_some((off_m, name, foot))
    });
    let (_, name, foot) = met.min_by(|a, b| a.0.total_cmp(&b.0))?;
    Some((name, land.ground.as_deref()?.elevation(foot)?))
}

#[cfg(test)]
mod tests {
    use measure::Units;
    use plan::Watercourse;
    use terrain::{Grid, Ground};

    use super::*;

    /// Land that rises 1 in 10 from a ditch along its western edge, levels 50.0 to 60.0 m.
    fn land() -> Land {
        let level = |cell: usize| 50.0 + 0.1 * (cell % 100) as f32;
        let grid = Grid::new((100, 100), (0.0, 100.0), (1.0, 1.0), (0..10_000).map(level).collect()).unwrap();
        Land::from(Ground::from_grid(grid))
    }

    fn with_outlet() -> (Plan, OutletId) {
        let mut plan = Plan::new("Ditch", Units::Metric);
        let course = vec![Point::new(2.5, 5.0), Point::new(2.5, 95.0)];
        let ditch = Watercourse { name: "D1".into(), kind: WatercourseKind::Ditch, points: course };
        plan.apply(&plan::add_watercourse(&plan, ditch).1).unwrap();
        let outlet = Outlet { low_water_m: Some(50.0), ..plan.new_outlet("O1", Point::new(40.5, 50.5), 53.1) };
        let (id, edit) = plan::place_outlet(&plan, outlet);
        plan.apply(&edit).unwrap();
        (plan, id)
    }

    /// From 54.0 m of ground to 50.8 m, 6 m from the ditch whose bed lies at 50.2 m.
    #[test]
    fn the_ground_and_the_ditch_say_what_it_could_be() {
        let (mut plan, id) = with_outlet();
        let stood = plan.outlets[&id].at;
        let edit = plan::move_outlet(&plan, id, Point::new(8.5, 50.5)).unwrap();
        assert_eq!(moved(&plan, &edit), Some((id, stood)));
        plan.apply(&edit).unwrap();
        let asked = ask(&plan, &land(), id, stood).unwrap();
        assert_eq!(
            asked.told,
            "O1 was moved 32.0 m. Its invert 53.10 is from where it stood, ground there 54.00; ground here 50.80, in ditch D1 \
             50.20 by the ground file. Channel bottom and low water were measured there too."
        );
        assert_eq!(asked.keep, "Keep 53.10 m");
        let words: Vec<&str> = asked.levels.iter().map(|(words, _)| words.as_str()).collect();
        assert_eq!(words, ["50.50 m: 0.30 m over the bed of ditch D1", "49.90 m: 0.90 m under the ground"]);
        plan.apply(&asked.levels[0].1).unwrap();
        assert_eq!((plan.outlets[&id].invert_m, plan.outlets[&id].low_water_m), (50.5, None));
    }

    #[test]
    fn nothing_is_asked_where_there_is_nothing_to_ask() {
        let (mut plan, id) = with_outlet();
        let at = plan.outlets[&id].at;
        assert!(ask(&plan, &land(), id, at).is_none(), "it stands where it stood");
        let there = Point::new(8.5, 50.5);
        let set = plan::set_outlet(&plan, id, Outlet { at: there, invert_m: 50.5, ..plan.outlets[&id].clone() });
        assert_eq!(moved(&plan, &set), None, "its level is set with its place");
        plan.outlets.get_mut(&id).unwrap().invert_free = true;
        assert_eq!(moved(&plan, &plan::move_outlet(&plan, id, there).unwrap()), None);
    }
}
