//! A list as one thing that has the keys: the arrows go from row to row in it, whatever is laid out of it.

use egui::{EventFilter, Id, Rect, Response, Role, Sense, Ui, WidgetInfo};

/// Lets a list be reached by Tab under a name, and gives it the keys where it is to take them. It takes them a frame after
/// what was clicked in it: in that frame the press of the button takes them from all that is not under it.
pub fn keys(ui: &Ui, id: Id, rect: Rect, name: &str, takes: &mut bool) -> Response {
    let list = ui.interact(rect, id, Sense::focusable_noninteractive());
    list.widget_info(|| WidgetInfo::labeled(Role::List, true, name));
    if std::mem::take(takes) {
        list.request_focus();
    }
    let arrows = EventFilter { vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(id, arrows));
    if list.has_focus() {
        ui.painter().rect_stroke(rect.expand(2.0), 2.0, ui.visuals().selection.stroke, egui::StrokeKind::Outside);
    }
    list
}
