//! The receiver at the trench: where it is, how it stands, the check shot, and the one large button.

use egui::{Button, CollapsingHeader, RichText, TextEdit, Ui, vec2};

use super::super::field;
use super::dug::LARGE;
use super::{Sight, table};
use crate::receiving::Receiving;
use crate::theme::{bold, plain};
use crate::wish::{ReceiverWish, Wish};
use job::dug;

/// Benchmarks that are offered for a check shot, the first ones (own choice: a job has a few).
const OFFERED: usize = 12;

/// Shows it.
pub fn show(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    match sight.receiving {
        None => drop(CollapsingHeader::new("Receiver").show(ui, |ui| connect(ui, sight, wishes))),
        Some(receiving) => standing(ui, sight, receiving, wishes),
    }
}

/// Where it is, and how high its antenna stands.
fn connect(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    let (address, antenna) = &mut sight.view.receiver;
    table(ui, "receiver", |ui| {
        let fields = [
            ("Address", &mut *address, "host:port or device"),
            ("Antenna height", &mut *antenna, "over what is shot"),
        ];
        for (name, text, hint) in fields {
            let label = ui.label(name);
            field::add(ui, TextEdit::singleline(text).hint_text(hint).desired_width(180.0)).labelled_by(label.id);
            ui.end_row();
        }
    });
    let antenna_m = measure::parse_length(antenna, sight.session.plan().title.units);
    let is_ready = !address.trim().is_empty() && antenna_m.is_ok();
    if ui.add_enabled(is_ready, Button::new("Listen to it")).clicked() {
        let antenna_m = antenna_m.unwrap_or_default();
        wishes.push(Wish::Receiver(ReceiverWish::Open(address.trim().to_string(), antenna_m)));
    }
}

fn standing(ui: &mut Ui, sight: &Sight, receiving: &Receiving, wishes: &mut Vec<Wish>) {
    let (plan, receiver) = (sight.session.plan(), &receiving.receiver);
    let (units, palette) = (plan.title.units, sight.view.palette());
    ui.label(RichText::new(format!("Receiver {}", receiving.address)).font(bold(15.0)));
    for words in receiver.words(units) {
        ui.label(RichText::new(words).font(plain(14.0)));
    }
    let heard = receiver.heard();
    let told =
        format!("{} positions; {} unsound and {} half sentences left out", heard.positions, heard.unsound, heard.cut);
    ui.label(RichText::new(told).font(plain(12.0)).color(palette.soft_ink));
    if let Some(why) = &receiving.ended {
        ui.colored_label(palette.to_fix, RichText::new(why).font(bold(14.0)));
    }
    let mut ask = |wish| wishes.push(Wish::Receiver(wish));
    ui.horizontal_wrapped(|ui| {
        for mark in plan.survey.benchmarks.iter().take(OFFERED) {
            if ui.button(format!("Check on {}", mark.name)).clicked() {
                ask(ReceiverWish::Check(mark.clone()));
            }
        }
        if receiver.missed().is_some() && ui.button("Take the miss in height as a shift").clicked() {
            ask(ReceiverWish::Shift);
        }
        if ui.button("Close the receiver").clicked() {
            ask(ReceiverWish::Close);
        }
    });
    if plan.survey.benchmarks.is_empty() {
        ui.label("The plan has no benchmark: enter one on the Ground card.");
    }
    let unsigned = dug::taken_by(plan, &sight.view.signature).err();
    let may = receiver.checked().is_some() && !receiver.is_averaging() && unsigned.is_none();
    let button = Button::new(RichText::new("Shot here").font(bold(20.0)));
    let size = vec2(ui.available_width(), LARGE);
    if ui.add_enabled_ui(may, |ui| ui.add_sized(size, button)).inner.clicked() {
        ask(ReceiverWish::Shoot);
    }
    unsigned.into_iter().for_each(|why| drop(ui.label(RichText::new(why).font(plain(13.0)))));
}
