//! What a picture of the rain costs: processor time of the window's thread for one frame, tessellation included, on the demo
//! field and on rough ground of 4 million cells with draws, pots and banks; beside it the same frame without rain, and how
//! long the ground and the rain take to be worked out.
//! `cargo bench -p app --bench rain`; the rasteriser of the graphics card is not counted.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a benchmark may stop and print")]

use std::ops::ControlFlow;
use std::sync::Arc;
use std::time::{Duration, Instant};

use app::desk::{Desk, Habits};
use app::shower::Clock;
use app::view::Stage;
use drawing::rain::{Rain, RainGround};
use egui::{Pos2, RawInput, Rect, vec2};
use job::{Session, demo, files};
use land::{Land, Laying};
use measure::{LengthUnit, Units};
use plan::Plan;
use rustix::time::{ClockId, clock_gettime};
use terrain::{Grid, Ground};

const FRAMES: usize = 120;
/// Cells along each side of the large ground, one metre each.
const SIDE: usize = 2000;

fn cpu() -> Duration {
    let now = clock_gettime(ClockId::ThreadCPUTime);
    Duration::new(now.tv_sec as u64, now.tv_nsec as u32)
}

/// A number from −1 to 1 that looks like chance, of a place.
fn chance(x: i64, y: i64, kind: u64) -> f64 {
    let mut bits =
        (x as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ (y as u64).wrapping_mul(0xC2B2_AE3D_27D4_EB4F) ^ kind;
    bits = (bits ^ (bits >> 29)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    bits = (bits ^ (bits >> 32)).wrapping_mul(0x94D0_49BB_1331_11EB);
    ((bits ^ (bits >> 29)) >> 11) as f64 / (1u64 << 52) as f64 - 1.0
}

/// Smooth noise of a wave length.
fn noise(x: f64, y: f64, wave: f64, kind: u64) -> f64 {
    let (u, v) = (x / wave, y / wave);
    let (i, j) = (u.floor(), v.floor());
    let ease = |t: f64| t * t * (3.0 - 2.0 * t);
    let (s, t) = (ease(u - i), ease(v - j));
    let at = |di: i64, dj: i64| chance(i as i64 + di, j as i64 + dj, kind);
    (at(0, 0) * (1.0 - s) + at(1, 0) * s) * (1.0 - t) + (at(0, 1) * (1.0 - s) + at(1, 1) * s) * t
}

/// Rolling ground with draws, pots, two banks without culverts, and the roughness of lidar.
fn rough() -> Land {
    let level = |cell: usize| {
        let (x, y) = ((cell % SIDE) as f64, (cell / SIDE) as f64);
        let hills: f64 = (0..8)
            .map(|k| 1200.0 / f64::from(1 << k))
            .map(|wave| 0.004 * wave * noise(x, y, wave, wave as u64))
            .sum();
        let draw = 1.2 * (-(noise(x, y, 400.0, 77) / 0.12).powi(2)).exp();
        let pot = 0.5 * (noise(x, y, 45.0, 99) - 0.55).max(0.0);
        let bank = 0.6 * (-((x % 800.0 - 400.0) / 4.0).powi(2)).exp();
        (250.0 + 0.003 * y + 0.0012 * x + hills - draw - pot + bank + 0.015 * chance(x as i64, y as i64, 5)) as f32
    };
    let grid =
        Grid::new((SIDE, SIDE), (0.0, SIDE as f64), (1.0, 1.0), (0..SIDE * SIDE).map(level).collect()).unwrap();
    Land::of(Ground::from_grid(grid), LengthUnit::Metre, &Laying { threads: 2, ..Laying::PLAIN }).unwrap()
}

/// The window without a screen.
struct Window {
    ctx: egui::Context,
    desk: Desk,
}

impl Window {
    fn frame(&mut self) -> Duration {
        let before = cpu();
        let screen = Rect::from_min_size(Pos2::ZERO, vec2(1280.0, 860.0));
        let input = RawInput { screen_rect: Some(screen), ..RawInput::default() };
        let mut output = self.ctx.run_ui(input, |ui| self.desk.show(ui));
        output.textures_delta.clear();
        std::hint::black_box(self.ctx.tessellate(output.shapes, 1.0));
        cpu() - before
    }

    /// Mean and longest of many frames, in each of which the clock stands where it is told to, milliseconds.
    fn frames(&mut self, clock: impl Fn(usize) -> Option<Clock>) -> (f64, f64) {
        let times: Vec<f64> = (0..FRAMES)
            .map(|k| {
                self.desk.view.shower.clock = clock(k);
                self.frame().as_secs_f64() * 1e3
            })
            .collect();
        (times.iter().sum::<f64>() / FRAMES as f64, times.iter().copied().fold(0.0, f64::max))
    }
}

fn tell(name: &str, session: Session) {
    let shower = app::shower::Shower::default();
    let (land, frame) = (session.land().clone(), session.frame());
    let begun = Instant::now();
    let ControlFlow::Continue(Some(ground)) =
        RainGround::of(&land, &shower.rainfall, frame, &|_| ControlFlow::Continue(()))
    else {
        return;
    };
    let ready = begun.elapsed();
    let begun = Instant::now();
    let rain = Rain::of(Arc::new(ground), shower.rainfall);
    let rained = begun.elapsed();
    let gauge = rain.gauge(rain.lasts_s());
    let lasts_s = rain.lasts_s();
    let mut window = Window { ctx: egui::Context::default(), desk: Desk::new(session, Habits::default()) };
    window.desk.view.stage = Stage::Lesson;
    (0..5).for_each(|_| _ = window.frame());
    let dry = window.frames(|_| None);
    window.desk.view.shower.rain = Some(Arc::new(rain));
    window.frames(|_| Some(Clock { time_s: 0.3 * lasts_s, runs: true }));
    let wet = window.frames(|k| Some(Clock { time_s: lasts_s * k as f64 / FRAMES as f64, runs: true }));
    println!(
        "{name:<22} {:>8.2} {:>8.2} {:>8.2} {:>8.2} {:>9.2} {:>9.2} {:>9}",
        dry.0,
        dry.1,
        wet.0,
        wet.1,
        ready.as_secs_f64(),
        rained.as_secs_f64(),
        format!("{}/{}", gauge.full, gauge.hollows),
    );
}

fn main() {
    println!(
        "{:<22} {:>8} {:>8} {:>8} {:>8} {:>9} {:>9} {:>9}",
        "ms a frame", "dry", "longest", "rain", "longest", "ready s", "rain s", "full"
    );
    tell("demo field", files::demo_session(demo::first_plan()).unwrap());
    tell("flat demo field", files::demo_session(demo::second_plan()).unwrap());
    tell("4 million cells", Session::new(Plan::new("Rough", Units::Feet), None, rough()));
}
