//! Guess first: a class draws where water gathers, then sees it, with a score and how it is made.

use egui::{Button, RichText, Ui, vec2};
use measure::Units;
use terrain::Guessed;

use super::super::super::Sight;
use super::{LARGE, bold_at, rain};
use crate::command::ToolKind;
use crate::tools::Tool;
use crate::wish::Wish;

/// Shows the card: draw, see, and once it was seen the rain.
pub fn card(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    if sight.session.ground().is_none() {
        ui.label("There is no ground to guess on: bring the ground in first.");
        return;
    }
    let units = sight.session.plan().title.units;
    buttons(ui, sight, wishes);
    match sight.view.guess.seen {
        None => {
            ui.label("Pull along the map where you think water gathers. Backspace takes the last stroke back.");
        }
        Some(guessed) => {
            score(ui, sight, guessed, units);
            ui.add_space(6.0);
            rain::card(ui, sight, wishes);
        }
    }
}

fn buttons(ui: &mut Ui, sight: &Sight, wishes: &mut Vec<Wish>) {
    ui.horizontal(|ui| {
        let width = (ui.available_width() - 2.0 * ui.spacing().item_spacing.x) / 3.0;
        let mut large = |words: &str, chosen: bool, enabled: bool, asks: Vec<Wish>| {
            let button = Button::new(RichText::new(words).strong()).selected(chosen).min_size(vec2(width, LARGE));
            if ui.add_enabled(enabled, button).clicked() {
                wishes.extend(asks);
            }
        };
        let (guess, draws) = (&sight.view.guess, matches!(sight.tool, Tool::Guess(_)));
        large("Draw", draws, guess.seen.is_none(), vec![Wish::Take(ToolKind::Guess)]);
        large("See", false, !guess.strokes.is_empty() && guess.seen.is_none(), vec![Wish::SeeGuess]);
        large(
            "Start over",
            false,
            !guess.strokes.is_empty(),
            vec![Wish::Guess(Vec::new()), Wish::Take(ToolKind::Guess)],
        );
    });
}

/// The score, and how it is made.
fn score(ui: &mut Ui, sight: &Sight, guessed: Guessed, units: Units) {
    let percent = |share: f64| (100.0 * share).round();
    ui.label(RichText::new(format!("{} points of 100", guessed.points())).font(bold_at(ui, 20.0)));
    ui.label(format!(
        "{} % of the swales found, the wetter ones counting more; less {} % of what was drawn, which lies far from any swale. \
         Near is within {}.",
        percent(guessed.found),
        percent(guessed.astray),
        units.length(guessed.reach_m)
    ));
    let soft = sight.view.palette().soft_ink;
    ui.label(
        RichText::new("Swales are lines to which more than an acre drains, from the ground file.")
            .small()
            .color(soft),
    );
}
