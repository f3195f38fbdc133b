//! What is seen of the map: layers, legend, contours that fit the zoom, zooming to what is chosen, measuring, a picture under
//! the plan, and the sheets before they are printed.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::path::{Path, PathBuf};

use crate::hand::{self, ask, click, press};
use app::command::Command;
use app::desk::{Desk, Habits};
use app::panels::dialog::Dialog;
use app::view::{Selection, Stage, Switch};
use app::wish::Wish;
use egui::{Key, Modifiers, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use measure::{Point, Units};
use plan::{Backdrop, LineId};

fn demo() -> Harness<'static, Desk> {
    hand::demo(860.0)
}

fn named(harness: &Harness<'_, Desk>, name: &str) -> LineId {
    harness.state().session.plan().line_named(name).unwrap()
}

/// The list opens from the head, stays open while it is used, and what is switched off there is gone from the map and the
/// legend; all of it comes back at once.
#[test]
fn layers_are_switched_one_by_one() {
    let mut harness = demo();
    harness.get_by_label("Layers").click();
    harness.run_steps(3);
    let tick = egui::accesskit::Role::CheckBox;
    for (_, word, _) in Switch::ALL {
        assert!(harness.query_by_role_and_label(tick, word).is_some(), "{word}");
    }
    for word in ["Contours", "Old tile"] {
        harness.get_by_role_and_label(tick, word).click();
        harness.run_steps(3);
    }
    let shows = |harness: &Harness<'_, Desk>, switch| harness.state().view.shows(switch);
    assert!(
        !shows(&harness, Switch::Contours) && !shows(&harness, Switch::OldTile) && shows(&harness, Switch::Lines)
    );
    let legend = harness.state().caches.legend().unwrap();
    harness.get_by_label("None").click();
    harness.run_steps(3);
    assert!(Switch::ALL.iter().all(|(switch, ..)| !shows(&harness, *switch)));
    assert_eq!(harness.state().caches.legend(), None, "no legend of nothing");
    harness.get_by_label("As usual").click();
    harness.run_steps(3);
    assert!(shows(&harness, Switch::Contours) && !shows(&harness, Switch::Shots));
    assert!(harness.state().caches.legend().unwrap().height() > legend.height(), "two or more rows came back");
}

/// What was switched off and where the legend was put is there at the next start.
#[test]
fn layers_and_legend_are_remembered() {
    let folder = tempfile::tempdir().unwrap();
    let settings = folder.path().join("settings.json");
    let session = job::files::demo_session(job::demo::first_plan()).unwrap();
    let desk = Desk::new(session, Habits { settings: Some(settings.clone()), ..Habits::default() });
    let mut harness =
        Harness::builder().with_size(vec2(1280.0, 860.0)).build_ui_state(|ui, desk: &mut Desk| desk.show(ui), desk);
    harness.run_steps(3);
    harness.state_mut().view.layers.set(Switch::Relief, false);
    harness.state_mut().view.legend = Some((0.25, 0.75));
    harness.run_steps(3);
    let read = job::settings::Settings::read(&settings);
    let session = job::files::demo_session(job::demo::first_plan()).unwrap();
    let mut again = Desk::new(session, Habits::default());
    again.recall(&read);
    for _ in 0..2 {
        assert!(!again.view.shows(Switch::Relief) && again.view.shows(Switch::Contours));
        assert_eq!(again.view.legend, Some((0.25, 0.75)));
        // They belong to the person: another plan on the desk changes nothing of it.
        app::saving::put_on(&mut again, job::files::demo_session(job::demo::ten_mistakes()).unwrap());
    }
}

/// Dragged it stays where it was put, arrow keys move it on, Backspace lets it find its place again; on an outlet it never
/// stands, wherever it is put.
#[test]
fn the_legend_is_moved_by_mouse_and_keys() {
    let mut harness = demo();
    let before = harness.state().caches.legend().unwrap();
    let middle = harness.get_by_label("Legend").rect().center();
    harness.drag_at(middle);
    harness.run_steps(2);
    harness.hover_at(middle + vec2(-120.0, 40.0));
    harness.run_steps(2);
    harness.drop_at(middle + vec2(-120.0, 40.0));
    harness.run_steps(3);
    let moved = harness.state().caches.legend().unwrap();
    assert!((moved.min - before.min - vec2(-120.0, 40.0)).length() < 15.0, "{before:?} {moved:?}");
    harness.get_by_label("Legend").focus();
    harness.run_steps(2);
    press(&mut harness, Key::ArrowLeft);
    let by_key = harness.state().caches.legend().unwrap();
    assert!(by_key.left() < moved.left() - 10.0, "{moved:?} {by_key:?}");
    let outlet = harness.state().session.plan().outlets.values().next().unwrap().at;
    for share in [(0.0, 1.0), (0.1, 0.9), (0.2, 1.0), (0.3, 0.95), (1.0, 0.0), (1.0, 1.0)] {
        harness.state_mut().view.legend = Some(share);
        harness.run_steps(3);
        let at = hand::screen(&harness, outlet);
        let legend = harness.state().caches.legend();
        assert!(legend.is_some_and(|legend| !legend.expand(8.0).contains(at)), "{share:?}: {legend:?} on {at:?}");
    }
    harness.get_by_label("Legend").focus();
    harness.run_steps(2);
    press(&mut harness, Key::Backspace);
    assert_eq!(harness.state().view.legend, None);
}

fn interval_m(harness: &Harness<'_, Desk>) -> f64 {
    harness.state().session.contours().unwrap().interval_m
}

/// Nearer contours come closer, farther ones lie wider, always in steps of 1, 2 or 5 of the plan's unit; one that is asked for
/// stays whatever the zoom.
#[test]
fn contours_fit_the_zoom() {
    let mut harness = demo();
    let scale = harness.state().view.camera.scale;
    let mut former = f64::INFINITY;
    for factor in [0.1, 0.5, 1.0, 4.0, 16.0] {
        harness.state_mut().view.camera.scale = scale * factor;
        harness.run_steps(4);
        let unit_m = harness.state().session.plan().title.units.length_unit().metres();
        let step = interval_m(&harness) / unit_m;
        let lead = step / 10f64.powf(step.log10().floor() + 1e-9);
        let lead = if lead > 9.9 { lead / 10.0 } else { lead };
        assert!([1.0, 2.0, 5.0].iter().any(|one| (lead - one).abs() < 1e-6), "{step}");
        assert!(interval_m(&harness) <= former, "{step} at {factor}");
        former = interval_m(&harness);
    }
    ask(&mut harness, Wish::Interval(Some(3.0)));
    assert_eq!(interval_m(&harness), 3.0);
    harness.state_mut().view.camera.scale = scale;
    harness.run_steps(4);
    assert_eq!(interval_m(&harness), 3.0);
    ask(&mut harness, Wish::Interval(None));
    ask(&mut harness, Wish::Run(Command::Units));
    assert_eq!(harness.state().session.plan().title.units, Units::Metric);
    let step = interval_m(&harness);
    assert!([0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0].iter().any(|one| (step - one).abs() < 1e-9), "{step} m");
}

/// Z shows what is chosen as large as there is room for, Home the whole field again.
#[test]
fn the_map_zooms_to_what_is_chosen() {
    let mut harness = demo();
    press(&mut harness, Key::Home);
    let whole = harness.state().view.camera;
    press(&mut harness, Key::Z);
    assert_eq!(harness.state().view.camera, whole, "nothing is chosen");
    let id = named(&harness, "L3");
    harness.state_mut().view.selection = Selection::of(id);
    harness.run_steps(2);
    press(&mut harness, Key::Z);
    let camera = harness.state().view.camera;
    assert!(camera.scale > whole.scale * 1.2, "{} {}", camera.scale, whole.scale);
    let rect = harness.get_by_label("Map").rect();
    let points = harness.state().session.plan().lines[&id].points.clone();
    assert!(points.iter().all(|at| rect.contains(hand::screen(&harness, *at))));
    press(&mut harness, Key::Home);
    assert!((harness.state().view.camera.scale - whole.scale).abs() < 1e-9);
}

/// Distance, bearing, level, grade and area along clicks; what is copied is what was read; Escape leaves and changes nothing.
#[test]
fn a_way_and_an_area_are_measured() {
    let mut harness = demo();
    let revision = harness.state().session.history().revision();
    let (low, high) = harness.state().session.frame();
    let from = measure::along(low, high, 0.35);
    press(&mut harness, Key::E);
    let corners = [from, Point::new(from.x + 30.0, from.y), Point::new(from.x + 30.0, from.y + 40.0)];
    // Where it is clicked, and not what lies near.
    harness.event(egui::Event::ModifiersChanged(Modifiers::ALT));
    for corner in corners {
        click(&mut harness, corner);
    }
    let told = |harness: &Harness<'_, Desk>| match &harness.state().tool {
        app::tools::Tool::Measure(tool) => tool.measured(&harness.state().session).unwrap(),
        _ => panic!("the tool is still in hand"),
    };
    click(&mut harness, from);
    let measured = told(&harness);
    assert_eq!(measured.legs.len(), 3);
    let near = |a: f64, b: f64| (a - b).abs() < 0.6;
    assert!(near(measured.legs[0].length_m, 30.0) && near(measured.legs[0].bearing_deg, 90.0));
    assert!(near(measured.legs[2].length_m, 50.0), "3, 4, 5: {:?}", measured.legs[2]);
    // Half of thirty by forty metres; a click is as near as half a screen point.
    assert!((measured.area_m2.unwrap() - 600.0).abs() < 20.0, "{:?}", measured.area_m2);
    assert!(measured.legs.iter().all(|leg| leg.rise_m.is_some()), "the ground is known there");
    assert!(harness.query_by_label("Copy").is_some());
    let text = measured.text(Units::Metric);
    assert!(text.starts_with("1\t") && text.contains("area\t0.06 ha, "), "{text}");
    harness.event(egui::Event::ModifiersChanged(Modifiers::NONE));
    press(&mut harness, Key::Escape);
    assert!(matches!(harness.state().tool, app::tools::Tool::Select(_)));
    assert_eq!(harness.state().session.history().revision(), revision);
}

/// A picture of two colors as PNG with a world file that lays it over the field.
fn picture(folder: &Path, harness: &Harness<'_, Desk>) -> PathBuf {
    let path = folder.join("air 'photo'.png");
    let mut encoder = png::Encoder::new(std::fs::File::create(&path).unwrap(), 4, 4);
    encoder.set_color(png::ColorType::Rgb);
    let samples: Vec<u8> = (0..16).flat_map(|i| if i % 2 == 0 { [200, 30, 30] } else { [30, 30, 200] }).collect();
    encoder.write_header().unwrap().write_image_data(&samples).unwrap();
    let unit_m = job::ground::plane(harness.state().session.plan()).unit().metres();
    let (low, high) = harness.state().session.frame();
    let pixel = (high.x - low.x) / 4.0 / unit_m;
    let (x, y) = (low.x / unit_m + pixel / 2.0, high.y / unit_m - pixel / 2.0);
    std::fs::write(folder.join("air 'photo'.pgw"), format!("{pixel}\n0\n0\n-{pixel}\n{x}\n{y}\n")).unwrap();
    path
}

fn backdrop(harness: &Harness<'_, Desk>) -> Option<Backdrop> {
    harness.state().session.plan().backdrop.clone()
}

/// Dropped on the window it lies under the plan where its world file says; its strength is set on the card, one undo step
/// each; taken away by undo it is gone.
#[test]
fn a_picture_that_is_dropped_lies_under_the_plan() {
    let folder = tempfile::tempdir().unwrap();
    let mut harness = demo();
    let path = picture(folder.path(), &harness);
    ask(&mut harness, Wish::Drop(path.clone()));
    let laid = harness.state().view.backdrop.laid.clone().expect("it is read");
    assert_eq!((laid.size, laid.pieces), ((4, 4), 1));
    let (low, high) = harness.state().session.frame();
    assert!(measure::distance(laid.corners[0], Point::new(low.x, high.y)) < 1e-6);
    assert!(backdrop(&harness).unwrap().shown);
    harness.state_mut().view.stage = Stage::Ground;
    harness.run_steps(3);
    harness.get_by_label("Shown").click();
    harness.run_steps(3);
    assert!(!backdrop(&harness).unwrap().shown);
    ask(&mut harness, Wish::Run(Command::Undo));
    assert!(backdrop(&harness).unwrap().shown);
    ask(&mut harness, Wish::Run(Command::Undo));
    assert!(backdrop(&harness).is_none() && harness.state().view.backdrop.laid.is_none());
}

/// One that says nowhere where it lies is laid in the middle of what is seen, and the card takes its place; one that cannot be
/// read is told with what was found, and nothing is named in the plan.
#[test]
fn a_picture_without_a_place_and_a_damaged_one_are_told() {
    let folder = tempfile::tempdir().unwrap();
    let mut harness = demo();
    let path = picture(folder.path(), &harness);
    std::fs::remove_file(folder.path().join("air 'photo'.pgw")).unwrap();
    ask(&mut harness, Wish::Drop(path));
    let placing = backdrop(&harness).unwrap().placing.expect("a place by hand");
    assert!(placing.pixel_m2() > 0.0 && harness.state().view.backdrop.laid.is_some());
    assert!(harness.query_by_label("Pixel size").is_some(), "on the card Ground");
    let damaged = folder.path().join("torn.jpg");
    std::fs::write(&damaged, b"\xff\xd8\xff\xe0 torn").unwrap();
    let before = backdrop(&harness);
    ask(&mut harness, Wish::Drop(damaged));
    assert!(matches!(&harness.state().dialog, Some(Dialog::Trouble(why)) if why.contains("JPEG")));
    assert_eq!(backdrop(&harness), before);
}

/// A plan whose picture is gone opens all the same, and says so.
#[test]
fn a_plan_opens_without_its_picture() {
    let folder = tempfile::tempdir().unwrap();
    let plan = folder.path().join("a.drain");
    let mut drawn = job::demo::first_plan().unwrap();
    drawn.apply(&plan::set_backdrop("Lay a picture", Some(Backdrop::of_file("gone.jpg".into())))).unwrap();
    job::files::save(&drawn, &plan).unwrap();
    let opened = job::files::open(&plan, &job::Progress::default()).unwrap();
    let mut harness = hand::on_desk(opened.session, 1280.0, 860.0);
    harness.run_steps(3);
    assert!(!harness.state().session.plan().lines.is_empty());
    assert!(
        harness.state().told.as_ref().is_some_and(|told| told.contains("gone.jpg")),
        "{:?}",
        harness.state().told
    );
    harness.state_mut().view.stage = Stage::Ground;
    harness.run_steps(2);
    assert!(harness.state().view.backdrop.why.is_some());
}

/// The preview shows the very pages that are written, turns them by keys, and follows paper and units.
#[test]
fn what_is_printed_is_what_is_seen() {
    let mut harness = demo();
    ask(&mut harness, Wish::Run(Command::Preview));
    let ask = |harness: &Harness<'_, Desk>| match &harness.state().dialog {
        Some(Dialog::Preview(ask)) => ask.clone(),
        other => panic!("{other:?}"),
    };
    let derived = job::Worked::of(harness.state().session.plan().clone(), harness.state().session.land());
    let printed = job::handing::book(&derived, &job::handing::PaperWish::default());
    assert_eq!(ask(&harness).book.pages, printed.pages);
    let count = printed.pages.len();
    assert!(count > 5 && harness.query_by_label(&format!("page 1 of {count}")).is_some());
    press(&mut harness, Key::PageDown);
    press(&mut harness, Key::PageDown);
    assert_eq!(ask(&harness).page, 2);
    press(&mut harness, Key::End);
    assert_eq!(ask(&harness).page, count - 1);
    press(&mut harness, Key::Home);
    assert_eq!(ask(&harness).page, 0);
    let seen = harness.get_all_by_role(egui::accesskit::Role::Image).next().unwrap();
    assert!(seen.accesskit_node().label().is_some_and(|says| says.contains("Larkmoor Bench")));
    harness.get_by_label("A4").click();
    harness.run_steps(6);
    let (page, a4) = (ask(&harness).book.pages[0].clone(), sheets::Paper::A4.standing_mm());
    assert_eq!((page.width_mm, page.height_mm), a4);
    press(&mut harness, Key::Escape);
    assert!(harness.state().dialog.is_none());
}
