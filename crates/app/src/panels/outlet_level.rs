//! The question what level an outlet has that was moved: a line under the title until it is answered.

use egui::{Margin, Panel, RichText, Ui};

use super::Sight;
use crate::theme::bold;
use crate::wish::Wish;
use job::outlet_level;

/// Shows the question while one is open.
pub fn banner(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    let Some((id, stood)) = sight.view.moved_outlet else { return };
    // Nothing moves under a hand that drags it on.
    if sight.session.in_gesture() {
        return;
    }
    let Some(ask) = outlet_level::ask(sight.session.plan(), sight.session.land(), id, stood) else { return };
    let palette = sight.view.palette();
    let fill = palette.panel.blend(palette.faint(palette.next, 0.25));
    let frame = egui::Frame::new().fill(fill).inner_margin(Margin::symmetric(14, 6));
    let answered = Panel::top("outlet level").frame(frame).show(ui, |ui| {
        ui.label(ask.told);
        ui.horizontal_wrapped(|ui| {
            let mut answered = ui.button(RichText::new(ask.keep).font(bold(13.0))).clicked();
            for (words, edit) in ask.levels {
                if ui.button(words).clicked() {
                    wishes.push(Wish::Edit(edit));
                    answered = true;
                }
            }
            answered
        })
        .inner
    });
    if answered.inner {
        sight.view.moved_outlet = None;
    }
}
