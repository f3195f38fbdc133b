//! What a drag costs, step by step: processor time of the window's thread, longest frame, processor time of all threads, and by
//! how many steps what is shown is late. The plan with 60 lines and 2,000 stations; a bend is moved a little at each frame of a
//! sixtieth of a second. First each step is worked out on the window's thread, then beside it, in one run.
//! `cargo bench -p app --bench drag`; the rasteriser of the graphics card is not counted.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a benchmark may stop and print")]

use std::time::{Duration, Instant};

use app::desk::{Desk, Habits};
use app::view::{Selection, Stage};
use app::wish::Wish;
use egui::{Pos2, RawInput, Rect, vec2};
use job::Session;
use land::{Land, Laying};
use measure::{FOOT_M, LengthUnit, Point, Units};
use plan::{Edit, Joins, Line, LineId, LineKind, Outlet, Plan, SizeBy};
use rustix::time::{ClockId, clock_gettime};
use terrain::{Grid, Ground};

const FRAME: Duration = Duration::from_micros(16_667);
const STEPS: usize = 120;

fn cpu(clock: ClockId) -> Duration {
    let now = clock_gettime(clock);
    Duration::new(now.tv_sec as u64, now.tv_nsec as u32)
}

/// A rolling valley, 600 × 500 m on 2 m cells.
fn land() -> Land {
    let level = |cell: usize| {
        let (x, y) = ((cell % 300) as f64 * 2.0, (249 - cell / 300) as f64 * 2.0);
        let waves = 0.35 * (x / 41.0).sin() * (y / 33.0).cos() + 0.2 * (x / 17.0 + y / 23.0).sin();
        (100.0 + 0.012 * (y - 250.0).abs() + 0.004 * x + waves) as f32
    };
    let grid = Grid::new((300, 250), (0.0, 500.0), (2.0, 2.0), (0..300 * 250).map(level).collect()).unwrap();
    Land::of(Ground::from_grid(grid), LengthUnit::Metre, &Laying::PLAIN).unwrap()
}

/// A main along the foot, 59 laterals on both sides of it, stakes every 25 ft.
fn plan() -> Plan {
    let mut plan = Plan::new("Sixty lines", Units::Feet);
    plan.criteria.staking_m = 25.0 * FOOT_M;
    let at = Point::new(5.0, 250.0);
    let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", at, 98.6));
    plan.apply(&edit).unwrap();
    let course = vec![at, Point::new(200.0, 246.0), Point::new(400.0, 252.0), Point::new(595.0, 250.0)];
    let main = Line { joins: Joins::Outlet(outlet), ..Line::new("M1", LineKind::Main, course.clone()) };
    let (main, edit) = plan::add_line(&plan, Line { size_by: SizeBy::Flow, ..main });
    plan.apply(&edit).unwrap();
    for i in 0..59 {
        let foot = measure::point_at(&course, 8.0 + 19.6 * (i / 2) as f64 + 3.0 * (i % 2) as f64).unwrap();
        let up = if i % 2 == 0 { 1.0 } else { -1.0 };
        let points =
            vec![foot, Point::new(foot.x + 4.0, foot.y + up * 120.0), Point::new(foot.x, foot.y + up * 236.0)];
        let lateral = Line { joins: Joins::Line(main), ..Line::new(&format!("L{i}"), LineKind::Lateral, points) };
        plan.apply(&plan::add_line(&plan, Line { size_by: SizeBy::Flow, ..lateral }).1).unwrap();
    }
    plan
}

/// The window without a screen.
struct Window {
    ctx: egui::Context,
    desk: Desk,
}

impl Window {
    fn new(beside: bool, stage: Stage, chosen: LineId) -> Self {
        let habits = Habits { beside, ..Habits::default() };
        let mut desk = Desk::new(Session::new(plan(), None, land()), habits);
        (desk.view.stage, desk.view.selection) = (stage, Selection::of(chosen));
        let mut window = Self { ctx: egui::Context::default(), desk };
        (0..5).for_each(|_| window.frame());
        window
    }

    fn frame(&mut self) {
        let screen = Rect::from_min_size(Pos2::ZERO, vec2(1280.0, 860.0));
        let input = RawInput { screen_rect: Some(screen), ..RawInput::default() };
        let mut output = self.ctx.run_ui(input, |ui| self.desk.show(ui));
        output.textures_delta.clear();
        std::hint::black_box(self.ctx.tessellate(output.shapes, 1.0));
    }
}

/// One step of a drag: the bend a little further each time.
fn moved(plan: &Plan, id: LineId, k: usize) -> Edit {
    let at = plan.lines[&id].points[1];
    plan::move_point(plan, id, 1, Point::new(at.x, at.y + k as f64 * 0.1)).unwrap()
}

/// What one drag came to.
#[derive(Default)]
struct Drag {
    window: Vec<Duration>,
    all: Duration,
    /// By how many steps what is shown is late, at each frame.
    late: Vec<u64>,
    release: Duration,
}

fn drag(beside: bool, stage: Stage, id: LineId) -> Drag {
    let mut window = Window::new(beside, stage, id);
    let plan = window.desk.session.plan().clone();
    let (mut drag, all) = (Drag::default(), cpu(ClockId::ProcessCPUTime));
    for k in 1..=STEPS {
        let began = (Instant::now(), cpu(ClockId::ThreadCPUTime));
        // As the window does it: a frame shows what is there, and what was done in it is asked for at its end.
        window.frame();
        drag.late.push(window.desk.session.steps_behind());
        let ctx = window.ctx.clone();
        app::apply::carry_out(&mut window.desk, Wish::Gesture(Some(moved(&plan, id, k))), &ctx);
        drag.window.push(cpu(ClockId::ThreadCPUTime) - began.1);
        std::thread::sleep(FRAME.saturating_sub(began.0.elapsed()));
    }
    drag.all = cpu(ClockId::ProcessCPUTime) - all;
    let began = Instant::now();
    let ctx = window.ctx.clone();
    app::apply::carry_out(&mut window.desk, Wish::Edit(moved(&plan, id, STEPS)), &ctx);
    drag.release = began.elapsed();
    drag
}

fn main() {
    println!("{:<34} {:>9} {:>9} {:>9} {:>9} {:>9}", "", "mean ms", "longest", "all, mean", "late most", "release");
    let lines = [("a lateral", LineId(30)), ("the main", LineId(2))];
    for (stage, name) in [(Stage::Lines, "Lines"), (Stage::Grade, "Grade"), (Stage::Dig, "Dig")] {
        for (what, id) in lines {
            for beside in [false, true] {
                let drag = drag(beside, stage, id);
                let ms = |time: Duration| time.as_secs_f64() * 1e3;
                let mean = ms(drag.window.iter().sum()) / STEPS as f64;
                let longest = ms(*drag.window.iter().max().unwrap());
                let late = drag.late.iter().max().unwrap();
                let where_ = if beside { "beside the window" } else { "on its thread" };
                println!(
                    "{:<34} {mean:>9.2} {longest:>9.2} {:>9.2} {late:>9} {:>9.2}",
                    format!("{name}, {what}, {where_}"),
                    ms(drag.all) / STEPS as f64,
                    ms(drag.release)
                );
            }
        }
    }
}
