//! How fast the numbers follow the mouse: the design of the demo field anew, and a frame of the map while it is panned.
//! `cargo bench -p app`. Real ground for the frame is read from ../shared where it is at hand; the demo field serves otherwise.

use std::path::Path;
use std::time::{Duration, Instant};

use app::desk::{Desk, Habits};
use egui::{Pos2, RawInput, Rect, vec2};
use job::files::demo_session;
use job::ground;
use job::{Session, Worked};
use measure::{Point, Units};
use plan::{Watercourse, WatercourseKind};

fn main() {
    design_is_live();
    divan::main();
}

/// The promise behind every drag: the demo field's design in under 2 ms, the best of many runs.
fn design_is_live() {
    let session = demo_session(job::demo::first_plan()).expect("the demo field");
    let land = session.land().clone();
    let once = || {
        let start = Instant::now();
        divan::black_box(design::work_out(session.plan(), &land));
        start.elapsed()
    };
    let best = (0..200).map(|_| once()).min().unwrap_or_default();
    assert!(best < Duration::from_millis(2), "the demo field's design took {best:?}");
}

#[divan::bench]
fn design_of_the_demo_field(bencher: divan::Bencher) {
    let session = demo_session(job::demo::first_plan()).expect("the demo field");
    let land = session.land().clone();
    bencher.bench(|| design::work_out(session.plan(), &land));
}

#[divan::bench]
fn everything_of_the_demo_field(bencher: divan::Bencher) {
    let session = demo_session(job::demo::first_plan()).expect("the demo field");
    let land = session.land().clone();
    bencher.bench(|| Worked::of(session.plan().clone(), &land));
}

/// Where water goes once a ditch is drawn across the ground: what an edit of a ditch waits for.
#[divan::bench(sample_count = 20)]
fn runoff_with_a_ditch(bencher: divan::Bencher) {
    let session = desk_on_hills().session;
    let land = session.land().clone();
    let (low, high) = land.grid().expect("its ground").extent();
    let along = |share: f64| Point::new(low.x + (high.x - low.x) * share, low.y + (high.y - low.y) * share);
    let mut plan = session.plan().clone();
    let points = vec![along(0.50), along(0.51)];
    let ditch = Watercourse { name: "D1".into(), kind: WatercourseKind::Ditch, points };
    plan.apply(&plan::add_watercourse(&plan, ditch).1).expect("a ditch");
    bencher.bench(|| land.led_by(&plan));
}

/// A desk on the lidar hills (1000 × 1000 cells of 1 m), contours every 0.5 m.
fn desk_on_hills() -> Desk {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../shared/terrain/dem/slo_hills_1m.tif");
    let mut session = match ground::read(&path, &exchange::ReadOptions::default(), &job::Progress::default()) {
        Ok(opened) => Session::new(plan::Plan::new("Hills", Units::Metric), None, opened.land),
        Err(_) => demo_session(job::demo::first_plan()).expect("the demo field"),
    };
    session.set_interval(Some(0.5));
    Desk::new(session, Habits::default())
}

/// Interface and tessellation of one frame while panning; the graphics card's work is not in it.
#[divan::bench(args = [1.0, 4.0], sample_count = 60)]
fn frame_while_panning(bencher: divan::Bencher, zoom: f64) {
    let ctx = egui::Context::default();
    let mut desk = desk_on_hills();
    let size = Rect::from_min_size(Pos2::ZERO, vec2(1280.0, 860.0));
    let frame = |desk: &mut Desk| {
        let mut output = ctx.run_ui(RawInput { screen_rect: Some(size), ..RawInput::default() }, |ui| desk.show(ui));
        output.textures_delta.clear();
        ctx.tessellate(output.shapes, 1.0)
    };
    for _ in 0..3 {
        frame(&mut desk);
    }
    desk.view.camera.scale *= zoom;
    frame(&mut desk);
    bencher.bench_local(|| {
        desk.view.camera.pan(vec2(3.0, 1.0));
        frame(&mut desk)
    });
}
