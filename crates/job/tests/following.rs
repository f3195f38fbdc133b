//! A drag worked out on a thread of its own: whatever the two threads did, what is shown at rest is what follows from the plan
//! and from nothing else.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::time::Duration;

use job::{Session, Worked};
use measure::Point;
use plan::{Edit, LineId, Watercourse, WatercourseKind};

fn followed() -> Session {
    let mut session = job::files::demo_session(job::demo::first_plan()).unwrap();
    session.follow_beside(|| {});
    session
}

/// A bend of the line a step further.
fn step(session: &Session, line: LineId, k: usize) -> Edit {
    let points = &session.plan().lines[&line].points;
    let at = points[points.len() - 1];
    plan::move_point(session.plan(), line, points.len() - 1, Point::new(at.x + 0.7 * k as f64, at.y - 0.3 * k as f64))
        .unwrap()
}

/// Takes up what is worked out until nothing is behind.
fn settle(session: &mut Session) {
    for _ in 0..6_000 {
        session.take_up();
        if session.steps_behind() == 0 {
            return;
        }
        std::thread::sleep(Duration::from_millis(5));
    }
    panic!("the drag is never worked out");
}

fn assert_same(one: &Worked, other: &Worked) {
    assert_eq!(one.plan, other.plan);
    assert_eq!(one.design, other.design);
    assert_eq!(one.findings, other.findings);
    assert_eq!(one.totals, other.totals);
    assert!(one.land.is_laid_as(&other.land));
}

fn assert_at_rest(session: &Session) {
    assert_same(session.worked(), &Worked::of(session.plan().clone(), session.land()));
    assert!(std::ptr::eq(session.worked(), session.at_rest()) && session.steps_behind() == 0);
}

#[test]
fn what_is_shown_is_what_follows_from_the_step_and_then_from_the_edit() {
    let mut session = followed();
    let lines: Vec<LineId> = session.plan().lines.keys().copied().take(4).collect();
    for (i, line) in lines.into_iter().enumerate() {
        for k in 1..6 {
            let edit = step(&session, line, k);
            session.gesture(Some(edit.clone()));
            if (k + i).is_multiple_of(3) {
                settle(&mut session);
                assert_same(session.worked(), &Worked::of(session.plan().with(&edit), session.land()));
            }
        }
        // Let go where it is: what is being worked out is waited for.
        session.edit(&step(&session, line, 5)).unwrap();
        assert_at_rest(&session);
    }
}

#[test]
fn escape_brings_back_what_was_there_and_leaves_no_trace() {
    let mut session = followed();
    let line = *session.plan().lines.keys().next().unwrap();
    let before: *const Worked = session.at_rest();
    for wait in [false, true] {
        session.gesture(Some(step(&session, line, 3)));
        if wait {
            settle(&mut session);
            assert!(!std::ptr::eq(session.worked(), before));
        }
        session.gesture(None);
        assert!(std::ptr::eq(session.worked(), before) && session.steps_behind() == 0);
        std::thread::sleep(Duration::from_millis(60));
        session.take_up();
        assert!(std::ptr::eq(session.worked(), before), "what comes late is not shown");
        assert!(!session.in_gesture() && !session.history().is_unsaved());
    }
}

/// Nothing that is worked out of one drag is shown for the next.
#[test]
fn a_drag_shows_its_own_steps_only() {
    let mut session = followed();
    let mut lines = session.plan().lines.keys().copied();
    let (one, other) = (lines.next().unwrap(), lines.next().unwrap());
    for k in 1..12 {
        session.gesture(Some(step(&session, one, k)));
        session.gesture(None);
        let edit = step(&session, other, k);
        session.gesture(Some(edit.clone()));
        session.take_up();
        let shown = &session.worked().plan;
        assert!(*shown == *session.plan() || *shown == session.plan().with(&edit), "step {k}");
        settle(&mut session);
        assert_same(session.worked(), &Worked::of(session.plan().with(&edit), session.land()));
        session.gesture(None);
    }
}

/// Undo, another edit and other ground in the midst of a drag: what is at rest is of the plan as it then stands.
#[test]
fn whatever_comes_in_the_midst_of_a_drag_leaves_what_follows_from_the_plan() {
    let mut session = followed();
    let line = *session.plan().lines.keys().next().unwrap();
    session.edit(&step(&session, line, 2)).unwrap();
    session.gesture(Some(step(&session, line, 4)));
    session.undo();
    assert_at_rest(&session);
    session.gesture(Some(step(&session, line, 4)));
    session.edit(&step(&session, line, 1)).unwrap();
    assert_at_rest(&session);
    session.gesture(Some(step(&session, line, 4)));
    let (land, reference) = (session.land().clone(), session.plan().ground.clone().unwrap());
    session.bring_in(land, reference);
    assert!(session.in_gesture());
    settle(&mut session);
    session.gesture(None);
    assert_at_rest(&session);
}

/// While a ditch is dragged its water is not led anew; once it is let go, it is.
#[test]
fn water_is_led_once_a_ditch_is_let_go() {
    let mut session = followed();
    let (low, high) = session.land().grid().unwrap().extent();
    let at = |share: f64| Point::new(low.x + (high.x - low.x) * share, low.y + (high.y - low.y) * 0.5);
    let ditch = Watercourse { name: "D1".into(), kind: WatercourseKind::Ditch, points: vec![at(0.4), at(0.6)] };
    let (_, edit) = plan::add_watercourse(session.plan(), ditch);
    let before = session.land().watercourses.len();
    session.gesture(Some(edit.clone()));
    settle(&mut session);
    assert_eq!(session.worked().land.watercourses.len(), before);
    session.edit(&edit).unwrap();
    assert_eq!(session.worked().land.watercourses.len(), before + 1);
    assert_at_rest(&session);
}

/// Without a thread of its own each step is worked out before it is shown, and comes to the same.
#[test]
fn beside_and_at_once_come_to_the_same() {
    let mut beside = followed();
    let mut at_once = Session::new(beside.plan().clone(), None, beside.land().clone());
    let line = *beside.plan().lines.keys().nth(2).unwrap();
    for k in 1..8 {
        let edit = step(&beside, line, k);
        beside.gesture(Some(edit.clone()));
        at_once.gesture(Some(edit));
        settle(&mut beside);
        assert_eq!(at_once.steps_behind(), 0);
        assert_same(beside.worked(), at_once.worked());
    }
}

/// While a main that steps up is dragged its sizes are held; once the hand pauses, and once it lets go, they are those of the plan.
#[test]
fn sizes_are_held_while_a_line_is_dragged_and_chosen_anew_after() {
    let mut plan = job::demo::first_plan().unwrap();
    let main = plan.line_named("M1").unwrap();
    for (id, line) in &mut plan.lines {
        line.served = plan::Served::Area(60_000.0);
        line.size_by = if *id == main { plan::SizeBy::FlowInSteps } else { line.size_by };
    }
    let mut session = job::files::demo_session(Ok(plan)).unwrap();
    session.follow_beside(|| {});
    assert!(session.worked().design.lines[&main].laid_sizes().len() > 1);
    let mut held = 0;
    for k in 1..8 {
        session.gesture(Some(step(&session, main, k)));
        for _ in 0..400 {
            session.take_up();
            if session.worked().design.holds_sizes {
                held += 1;
                break;
            }
            std::thread::sleep(Duration::from_millis(5));
        }
    }
    assert!(held > 0, "no step was shown with its sizes held");
    settle(&mut session);
    let edit = step(&session, main, 7);
    assert_same(session.worked(), &Worked::of(session.plan().with(&edit), session.land()));
    session.edit(&edit).unwrap();
    assert_at_rest(&session);
}
