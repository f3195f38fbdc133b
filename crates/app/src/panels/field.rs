//! Fields for one line of text: what is typed is kept whole or not at all.
//!
//! Enter takes what was typed and stays, its text selected; Tab takes it and goes on to the next field, selecting that; Escape
//! puts back what stood there. What cannot be read stays in the field with the reason under it.

use egui::text::{CCursor, CCursorRange};
use egui::text_edit::TextEditState;
use egui::{Id, Key, Response, RichText, TextEdit, Ui};

/// Widest line of a reason before it is broken, points.
const REASON_WIDTH: f32 = 200.0;

/// Adds a field; reached by Tab its text is selected.
pub fn add(ui: &mut Ui, field: TextEdit) -> Response {
    let output = field.show(ui);
    if output.response.gained_focus() && ui.input(|input| input.key_pressed(Key::Tab)) {
        select_all(ui, output.response.id, output.galley.text());
    }
    output.response.response
}

/// Selects the text of a field.
pub fn select_all(ui: &Ui, id: Id, text: &str) {
    let mut state = TextEditState::load(ui.ctx(), id).unwrap_or_default();
    let all = CCursorRange::two(CCursor::new(0), CCursor::new(text.chars().count()));
    state.cursor.set_char_range(Some(all));
    state.store(ui.ctx(), id);
}

/// What became of a field.
pub struct Entered<T> {
    /// The field itself.
    pub response: Response,
    /// The value, once one was typed and the field is left, or kept with Enter.
    pub value: Option<T>,
    /// Why what stands in it was refused.
    pub refused: Option<String>,
}

/// A named field in a row of a table; answers a value once one was typed and the field is left, or kept with Enter.
pub fn text_field<T>(ui: &mut Ui, name: &str, shown: String, read: impl Fn(&str) -> Result<T, String>) -> Option<T> {
    wide_field(ui, (name, 130.0), (shown, ""), read)
}

/// The same of another width, points, with a hint for where it is empty.
pub fn wide_field<T>(
    ui: &mut Ui,
    (name, width): (&str, f32),
    words: (String, &str),
    read: impl Fn(&str) -> Result<T, String>,
) -> Option<T> {
    let label = ui.label(RichText::new(name).color(ui.visuals().weak_text_color()));
    let entered = entry(ui, name, words, width, read);
    entered.response.labelled_by(label.id);
    ui.end_row();
    reason(ui, entered.refused);
    entered.value
}

/// A field alone, of a width where the panel leaves so much: for who reads the screen aloud it has the name. Empty it shows a
/// hint.
pub fn entry<T>(
    ui: &mut Ui,
    name: &str,
    (shown, hint): (String, &str),
    width: f32,
    read: impl Fn(&str) -> Result<T, String>,
) -> Entered<T> {
    let (id, refused) = (ui.scope_id().with(("field", name)), ui.scope_id().with(("refused", name)));
    let held = |ui: &Ui, id: Id| ui.data(|data| data.get_temp::<String>(id));
    let mut text = held(ui, id).unwrap_or_else(|| shown.clone());
    // As wide as the panel leaves it.
    let room = (ui.clip_rect().right() - ui.cursor().left() - 20.0).clamp(40.0, width);
    let response = add(ui, TextEdit::singleline(&mut text).hint_text(hint).desired_width(room));
    ui.ctx().accesskit_node_builder(response.id, |node| node.set_label(name));
    let (entered, escaped) = ui.input(|input| (input.key_pressed(Key::Enter), input.key_pressed(Key::Escape)));
    if response.lost_focus() && escaped {
        text = shown.clone();
    }
    let value = (text != shown && !response.has_focus()).then(|| read(&text));
    if response.lost_focus() && entered {
        response.request_focus();
        select_all(ui, response.id, &text);
    }
    let taken = value.as_ref().is_some_and(Result::is_ok);
    ui.data_mut(|data| match text == shown || taken {
        true => {
            data.remove_temp::<String>(id);
            data.remove_temp::<String>(refused);
        }
        false => drop(data.insert_temp(id, text.clone())),
    });
    if matches!(value, Some(Err(_))) {
        ui.data_mut(|data| data.insert_temp(refused, text.clone()));
    }
    let is_refused = !taken && held(ui, refused).is_some_and(|refused| refused == text);
    let refused = is_refused.then(|| read(&text).err()).flatten();
    Entered { response, value: value.and_then(Result::ok), refused }
}

/// Why something was refused, under its field.
fn reason(ui: &mut Ui, why: Option<String>) {
    let Some(why) = why else { return };
    ui.label("");
    ui.scope(|ui| {
        ui.set_max_width(REASON_WIDTH);
        let why = RichText::new(why).color(ui.visuals().error_fg_color);
        ui.add(egui::Label::new(why).wrap());
    });
    ui.end_row();
}
