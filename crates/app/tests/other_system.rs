//! A ground in another coordinate system than the plan's: asked about before it is laid under it.

use std::path::{Path, PathBuf};

use crate::hand::{ask, on_desk, push};
use app::desk::Desk;
use app::panels::dialog::Dialog;
use app::wish::Wish;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use job::{Progress, Session, ground};
use land::Land;
use measure::{Point, Units};
use plan::{Joins, LineKind, Plan};

/// 3.3° E, 56° N, in the North Sea: in UTM zones 31N and 32N, as pyproj 3.7.2 (PROJ 9.5.1) turns it.
const ZONES: [(u32, Point); 2] =
    [(31, Point::new(518_710.312_3, 6_206_120.196_6)), (32, Point::new(144_723.588_9, 6_220_750.155_7))];

/// A plane around that place that rises 1 in 100 to the grid's east, in a zone.
fn plane(folder: &Path, (zone, middle): (u32, Point)) -> PathBuf {
    let corner = Point::new(middle.x - 300.0, middle.y - 300.0);
    let head = format!("ncols 60\nnrows 60\nxllcorner {}\nyllcorner {}\ncellsize 10\n", corner.x, corner.y);
    let row: Vec<String> = (0..60).map(|col| format!("{:.3}", 10.0 + 0.1 * f64::from(col))).collect();
    let file = folder.join(format!("zone-{zone}.asc"));
    std::fs::write(&file, head + &vec![row.join(" "); 60].join("\n")).unwrap();
    let meridian = 6 * zone as i32 - 183;
    let prj = format!(
        "PROJCS[\"WGS 84 / UTM zone {zone}N\",GEOGCS[\"WGS 84\",DATUM[\"WGS_1984\",SPHEROID[\"WGS 84\",6378137,298.257223563]],\
         PRIMEM[\"Greenwich\",0],UNIT[\"degree\",0.0174532925199433]],PROJECTION[\"Transverse_Mercator\"],\
         PARAMETER[\"latitude_of_origin\",0],PARAMETER[\"central_meridian\",{meridian}],PARAMETER[\"scale_factor\",0.9996],\
         PARAMETER[\"false_easting\",500000],PARAMETER[\"false_northing\",0],UNIT[\"metre\",1],AUTHORITY[\"EPSG\",\"326{zone}\"]]"
    );
    std::fs::write(file.with_extension("prj"), prj).unwrap();
    file
}

/// A plan with an outlet and a main on the ground of zone 31.
fn on_zone_31(file: &Path) -> Harness<'static, Desk> {
    let empty = Session::new(Plan::new("North Sea", Units::Metric), None, Land::without_ground());
    let mut harness = on_desk(empty, 1280.0, 860.0);
    ask(&mut harness, Wish::Drop(file.to_path_buf()));
    let middle = ZONES[0].1;
    let session = &mut harness.state_mut().session;
    let (outlet, edit) = plan::place_outlet(session.plan(), session.plan().new_outlet("O1", middle, 11.0));
    session.edit(&edit).unwrap();
    let up = vec![middle, Point::new(middle.x + 120.0, middle.y)];
    let line = session.plan().new_line("M1", LineKind::Main, up);
    session.edit(&plan::add_line(session.plan(), plan::Line { joins: Joins::Outlet(outlet), ..line }).1).unwrap();
    harness
}

fn crs(harness: &Harness<'_, Desk>) -> String {
    harness.state().session.plan().ground.as_ref().unwrap().crs.clone()
}

#[test]
fn another_system_is_told_before_anything_is_laid() {
    let folder = tempfile::tempdir().unwrap();
    let [own, other] = ZONES.map(|zone| plane(folder.path(), zone));
    let mut harness = on_zone_31(&own);
    let before = harness.state().session.plan().clone();
    assert_eq!(crs(&harness), "EPSG:32631");
    ask(&mut harness, Wish::Drop(other));
    assert!(matches!(harness.state().dialog, Some(Dialog::System(_))));
    harness.get_by_label("WGS 84 / UTM zone 31N (EPSG:32631), in meters");
    harness.get_by_label("WGS 84 / UTM zone 32N (EPSG:32632), in meters");
    push(&mut harness, "Keep the present ground");
    assert!(harness.state().dialog.is_none());
    assert_eq!(harness.state().session.plan(), &before);
}

/// Brought into the plan's system the line lies on it as before, and from the saved plan the ground is brought there again.
#[test]
fn ground_is_brought_into_the_plans_system() {
    let folder = tempfile::tempdir().unwrap();
    let [own, other] = ZONES.map(|zone| plane(folder.path(), zone));
    let mut harness = on_zone_31(&own);
    ask(&mut harness, Wish::Drop(other));
    push(&mut harness, "Bring it into the plan's system");
    let session = &harness.state().session;
    let reference = session.plan().ground.clone().unwrap();
    assert_eq!((reference.crs.as_str(), reference.brought_from.as_deref()), ("EPSG:32631", Some("EPSG:32632")));
    // Both planes have the same level in their middle.
    let level = |land: &Land| land.ground.as_ref().unwrap().elevation(ZONES[0].1).unwrap();
    assert!((level(session.land()) - 12.95).abs() < 0.06, "{}", level(session.land()));
    assert!(session.worked().findings.iter().all(|finding| !["elsewhere", "no-ground"].contains(&finding.slug)));
    let again = ground::open_plan(session.plan(), None, &Progress::default()).unwrap();
    assert_eq!(level(&again), level(session.land()));
    assert_eq!(again.other_system, None);
}

/// A new plan on it leaves the old one only after the question about unsaved work.
#[test]
fn a_new_plan_is_begun_on_it() {
    let folder = tempfile::tempdir().unwrap();
    let [own, other] = ZONES.map(|zone| plane(folder.path(), zone));
    let mut harness = on_zone_31(&own);
    ask(&mut harness, Wish::Drop(other));
    push(&mut harness, "New plan on this ground");
    push(&mut harness, "Discard changes");
    assert_eq!(crs(&harness), "EPSG:32632");
    assert!(harness.state().session.plan().lines.is_empty());
}

/// Nothing is drawn yet: nothing is asked.
#[test]
fn an_empty_plan_takes_any_ground() {
    let folder = tempfile::tempdir().unwrap();
    let files = ZONES.map(|zone| plane(folder.path(), zone));
    let empty = Session::new(Plan::new("North Sea", Units::Feet), None, Land::without_ground());
    let mut harness = on_desk(empty, 1280.0, 860.0);
    files.into_iter().for_each(|file| ask(&mut harness, Wish::Drop(file)));
    assert_eq!(crs(&harness), "EPSG:32632");
    // Begun in feet, but the ground counts in metres: so do the start values.
    assert_eq!(harness.state().session.plan().criteria.organic_cover_m, 0.75);
}
