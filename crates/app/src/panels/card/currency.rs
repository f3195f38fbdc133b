//! The currency of the plan: a sign or a code, typed or chosen.

use egui::{RichText, Ui};

use super::text_field;
use plan::PriceList;

/// Signs and codes that are at hand; any other is typed.
const AT_HAND: [&str; 8] = ["$", "€", "£", "USD", "CAD", "AUD", "EUR", "GBP"];

/// Two rows of a table: the currency as typed, and those at hand.
pub fn rows(ui: &mut Ui, now: &PriceList, next: &mut PriceList) {
    let read = |text: &str| {
        let text = text.trim();
        plan::is_currency(text).then(|| text.to_string()).ok_or("a sign or code such as EUR".to_string())
    };
    if let Some(currency) = text_field(ui, "Currency", now.currency.clone(), read) {
        next.currency = currency;
    }
    ui.label("");
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 2.0;
        for sign in AT_HAND {
            let button = egui::Button::selectable(now.currency == sign, RichText::new(sign).small());
            if ui.add(button).on_hover_text(format!("All money of the plan in {sign}")).clicked() {
                next.currency = sign.into();
            }
        }
    });
    ui.end_row();
}
