//! The rain on the map: worked out beside the window, and its clock.

use std::ops::ControlFlow;
use std::sync::Arc;

use drawing::rain::{Pipes, Rain, RainGround, Rainfall};
use egui::Context;
use land::Land;
use measure::Point;

use crate::desk::{Desk, then};
use crate::jobs::{Kind, Task};
use crate::tools::Tool;
use crate::view::Stage;
use job::Progress;

/// Once a frame: lets the clock run, and works out the rain that is asked for where that is another than the one at hand.
pub fn follow(desk: &mut Desk, ctx: &Context) {
    if desk.view.stage != Stage::Lesson || desk.view.shower.clock.is_none() {
        return;
    }
    let land = desk.session.land();
    if desk.view.shower.rain.as_ref().is_some_and(|rain| !rain.ground().is_on(land)) {
        desk.view.shower.rain = None;
    }
    if desk.session.ground().is_none() {
        return desk.view.shower.end();
    }
    lay_pipes(desk);
    let asked = (desk.view.shower.rainfall, desk.session.stamp());
    // One at a time: while an amount is being pulled the newest follows once the one before is there.
    let is_wanted = !is_at_hand(desk, &asked.0) && desk.view.shower.begun != Some(asked);
    if is_wanted && !desk.jobs.runs(Kind::Rain) {
        desk.view.shower.begun = Some(asked);
        work_out(desk, asked.0, ctx);
    }
    desk.view.shower.look_at(desk.view.flow_path);
    if desk.view.shower.run(ctx.input(|input| f64::from(input.stable_dt))) {
        ctx.request_repaint();
    }
}

fn is_at_hand(desk: &Desk, rainfall: &Rainfall) -> bool {
    let rain = desk.view.shower.rain.as_ref();
    rain.is_some_and(|rain| rain.rainfall() == rainfall && rain.ground().is_of(desk.session.land(), rainfall))
}

/// The pipes of the plan as it stands.
fn lay_pipes(desk: &mut Desk) {
    let stamp = desk.session.stamp();
    if desk.view.shower.pipes.as_ref().is_none_or(|(of, _)| *of != stamp) {
        let worked = desk.session.worked();
        desk.view.shower.pipes = Some((stamp, Arc::new(Pipes::of(&worked.plan, &worked.design))));
    }
}

/// Works out a rain beside the window; land that was made ready for another is made use of where it may be.
fn work_out(desk: &mut Desk, rainfall: Rainfall, ctx: &Context) {
    let (land, frame) = (desk.session.land().clone(), desk.session.frame());
    let former = desk.view.shower.rain.as_ref().map(|rain| rain.ground().clone());
    desk.begin(Task::new(Kind::Rain, "Rain on the land"), ctx, move |progress| {
        let rain = rain(&land, rainfall, frame, former, progress)?;
        Ok(then(move |desk, _, _| desk.view.shower.rain = Some(Arc::new(rain))))
    });
}

fn rain(
    land: &Land,
    rainfall: Rainfall,
    frame: (Point, Point),
    former: Option<Arc<RainGround>>,
    progress: &Progress,
) -> Result<Rain, String> {
    let tell = |done: f64| if progress.tell(done) { ControlFlow::Continue(()) } else { ControlFlow::Break(()) };
    progress.step("where water goes, and how fast").map_err(|error| error.to_string())?;
    let ground = match former.filter(|ground| ground.is_of(land, &rainfall)) {
        Some(ground) => ground,
        None => match RainGround::of(land, &rainfall, frame, &tell) {
            ControlFlow::Continue(Some(ground)) => Arc::new(ground),
            ControlFlow::Continue(None) => {
                return Err("Rain needs ground to fall on: bring the ground in first.".into());
            }
            ControlFlow::Break(()) => return Err("The rain was given up.".into()),
        },
    };
    progress.step("the rain as it runs off").map_err(|error| error.to_string())?;
    Ok(Rain::of(ground, rainfall))
}

/// Nearer than this to a swale a stroke has found it, as a share of the way across the field, and within bounds, metres (own
/// choice: as near as a hand comes on a projector).
const NEAR: (f64, f64, f64) = (0.025, 4.0, 40.0);

/// Holds the strokes of a class against the swales.
pub fn see_guess(desk: &mut Desk) {
    let (low, high) = desk.session.frame();
    let reach_m = (NEAR.0 * measure::distance(low, high)).clamp(NEAR.1, NEAR.2);
    let ring = desk.session.plan().field.as_ref().map_or(&[][..], |field| &field.ring);
    let (swales, strokes) = (&desk.session.land().swales, &desk.view.guess.strokes);
    desk.view.guess.seen = Some(terrain::guessed(swales, strokes, ring, reach_m));
    desk.tool = Tool::default();
}
