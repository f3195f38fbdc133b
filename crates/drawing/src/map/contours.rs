//! Contours with their levels.

use measure::Units;

use super::MapOf;
use crate::role::Role;
use crate::scene::{Form, Item};

/// Every contour; index contours say their level.
pub fn items<'a>(map: &MapOf<'a>) -> Vec<Item<'a>> {
    let units = map.plan.title.units;
    let item = |contour: &'a terrain::Contour| {
        let form = Form::Level(contour.points.as_slice().into(), contour.level_m);
        match contour.index {
            true => Item::new(Role::IndexContour, form).saying(level_words(contour.level_m, units)),
            false => Item::new(Role::Contour, form),
        }
    };
    map.contours.iter().map(item).collect()
}

/// The level of a contour: whole feet or tenths of a metre, finer where it is finer.
pub fn level_words(level_m: f64, units: Units) -> String {
    let level = level_m / units.length_unit().metres();
    let least = if units.is_metric() { 1 } else { 0 };
    let is_told = |places: &i32| ((level * 10f64.powi(*places)).round() / 10f64.powi(*places) - level).abs() < 1e-6;
    units.number(level_m, (least..3).find(is_told).unwrap_or(3))
}
