//! The tasks beside the window, at the foot of the tools: nothing is covered, and map, card and profile stay where they are
//! when one comes or goes.

use std::time::Duration;

use egui::text::LayoutJob;
use egui::{Frame, Label, Margin, Panel, ProgressBar, RichText, Role, Sense, Ui, UiBuilder, WidgetInfo, vec2};

use super::Sight;
use crate::jobs::Shown;
use crate::theme::{Palette, bold, plain};
use crate::wish::Wish;

/// Width and height of the bar, points: beside it there is room for the button.
const BAR: (f32, f32) = (38.0, 7.0);

/// Height of the heading, and of a task, points.
const TITLE: f32 = 20.0;
const ROW: f32 = 86.0;

/// How often somebody must look while work tells how far it is.
const LOOK_EVERY: Duration = Duration::from_millis(100);

/// A line under the title while the ground shown is not laid with the plan's corrections, and nothing is at work on it.
pub fn former_ground(ui: &mut Ui, sight: &Sight, wishes: &mut Vec<Wish>) {
    let Some(why) = sight.former_ground else { return };
    let palette = sight.view.palette();
    let fill = palette.panel.blend(palette.faint(palette.next, 0.25));
    let frame = Frame::new().fill(fill).inner_margin(Margin::symmetric(14, 6));
    Panel::top("former ground").frame(frame).show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            ui.label(RichText::new("The ground shown is the former one.").font(bold(14.0)));
            ui.label(format!("The corrections of the survey are not in it: {why}."));
            if ui.button("Lay it now").clicked() {
                wishes.push(Wish::LayGround);
            }
        });
    });
}

/// Shows the tasks: each with its name, the step at work, how much of it is done, and a way to give it up.
pub fn show(ui: &mut Ui, tasks: &[Shown], palette: &Palette, wishes: &mut Vec<Wish>) {
    if tasks.is_empty() {
        return;
    }
    let frame = Frame::new().fill(palette.panel);
    let panel = Panel::bottom("tasks").frame(frame).resizable(false).show_separator_line(false);
    panel.exact_size(TITLE + ROW * tasks.len() as f32).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        ui.label(RichText::new("At work").font(plain(12.0)).color(palette.soft_ink));
        // The newest stands on top: none moves when another comes.
        for task in tasks.iter().rev() {
            let (place, _) = ui.allocate_exact_size(vec2(ui.available_width(), ROW - 2.0), Sense::hover());
            let builder = UiBuilder::new().id_salt(task.id).max_rect(place);
            ui.scope_builder(builder, |ui| row(ui, task, wishes));
        }
    });
    ui.ctx().request_repaint_after(LOOK_EVERY);
}

/// A row is as high whatever it tells, so that no button moves away under the pointer: two lines of name at most.
fn row(ui: &mut Ui, task: &Shown, wishes: &mut Vec<Wish>) {
    let (step, share) = task.progress.shown();
    let mut name = LayoutJob::simple(task.name.into(), plain(12.5), ui.visuals().text_color(), ui.available_width());
    name.wrap.max_rows = 2;
    ui.add(Label::new(name));
    let step = if step.is_empty() { "beginning" } else { step };
    let step = share.map_or(step.to_string(), |share| format!("{step}, {:.0} %", share * 100.0));
    ui.add(Label::new(RichText::new(step).font(plain(12.5))).truncate());
    ui.horizontal(|ui| {
        let bar = ProgressBar::new(share.unwrap_or(0.0)).animate(share.is_none());
        ui.add(bar.desired_width(BAR.0).desired_height(BAR.1));
        let cancel = ui.small_button("Cancel");
        let name = format!("Cancel {}", task.name);
        cancel.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
        if cancel.clicked() {
            wishes.push(Wish::Cancel(task.id));
        }
    });
}
