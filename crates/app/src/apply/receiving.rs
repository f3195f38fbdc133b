//! What is asked of the receiver at the trench, and what comes of it.

use egui::Context;
use job::receiver::{Averaged, Outcome};
use plan::Additions;

use super::make_edit;
use crate::desk::Desk;
use crate::receiving::Receiving;
use crate::wish::ReceiverWish;

/// Does what is asked of it.
pub fn carry_out(desk: &mut Desk, wish: ReceiverWish, ctx: &Context) {
    let told = match (wish, &mut desk.receiving) {
        (ReceiverWish::Open(address, antenna_m), _) => {
            match Receiving::open(desk.session.plan(), address, antenna_m, ctx) {
                Ok(receiving) => {
                    desk.receiving = Some(receiving);
                    None
                }
                Err(why) => Some(why),
            }
        }
        (ReceiverWish::Close, _) => {
            desk.receiving = None;
            None
        }
        (_, None) => None,
        (ReceiverWish::Check(benchmark), Some(receiving)) => {
            receiving.receiver.check_on(benchmark);
            None
        }
        (ReceiverWish::Shift, Some(receiving)) => {
            let units = desk.session.plan().title.units;
            let shift_m = receiving.receiver.take_shift();
            shift_m.map(|shift_m| format!("Shift {}; check it again.", plan::signed_level(shift_m, units)))
        }
        (ReceiverWish::Shoot, Some(receiving)) => {
            receiving.asked = (desk.view.shot.held, desk.view.shot.note.trim().to_string());
            receiving.receiver.shoot().err()
        }
    };
    desk.told = told.or(desk.told.take());
}

/// Takes up what has come from the receiver. Nothing changes under a hand that drags.
pub fn listen(desk: &mut Desk) {
    if desk.session.in_gesture() {
        return;
    }
    let Some(receiving) = &mut desk.receiving else { return };
    let (outcomes, units) = (receiving.hear(), desk.session.plan().title.units);
    for outcome in outcomes {
        match outcome {
            Outcome::Shot(averaged) => take(desk, *averaged),
            Outcome::Checked(checked) | Outcome::Missed(checked) => {
                let words = desk.receiving.as_ref().map(|own| own.receiver.missed_words(&checked, units));
                desk.told = words;
            }
        }
    }
}

/// Takes a shot into the record, by the name of the signature.
fn take(desk: &mut Desk, averaged: Averaged) {
    let plan = desk.session.plan();
    let Some((on, note)) = desk.receiving.as_ref().map(|receiving| receiving.asked.clone()) else { return };
    match job::dug::taken_by(plan, &desk.view.signature) {
        Err(why) => desk.told = Some(why),
        Ok(taken) => {
            let shot = averaged.shot(on, &note, &taken, plan.record.shots.len());
            let additions = Additions { shots: vec![shot], ..Additions::default() };
            if let Some(edit) = plan::add_to_record(plan, additions, &desk.view.signature) {
                make_edit(desk, &edit);
                desk.view.shot.note.clear();
            }
        }
    }
}
