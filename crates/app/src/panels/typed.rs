//! Places typed while something is drawn: coordinates, length and bearing, or a place beside a line.

use egui::{Button, Grid, Modifiers, RichText, Ui, vec2};
use job::placing;
use measure::{closed, path_length, ring_m2};

use super::Sight;
use super::field::text_field;
use crate::canvas::SnapIndex;
use crate::theme::{bold, plain};
use crate::tools::{Hand, Touch};
use crate::wish::Wish;

/// How places are typed.
const WAYS: &str = "East, north; a length and bearing as 120 N35°E or 120 at 215°; so far east and north as +120, -35; beside a line as \
     M1 2+50 left 10. Enter takes it.";

/// The entry of the tool in hand, and what it has drawn so far; nothing for a tool that draws no places.
pub fn show(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    if !sight.tool.takes_places() {
        return;
    }
    let plan = sight.session.plan();
    let last = sight.tool.points().last().copied();
    ui.label(RichText::new(format!("{}: a place typed", sight.tool.kind().name())).font(bold(13.0)));
    let typed = Grid::new("typed").num_columns(2).spacing(vec2(16.0, 4.0)).show(ui, |ui| {
        let name = if last.is_some() { "Next point" } else { "First point" };
        text_field(ui, name, String::new(), |text| placing::read(plan, text, last))
    });
    ui.label(RichText::new(WAYS).font(plain(11.5)).color(sight.view.palette().soft_ink));
    so_far(ui, sight);
    let mut touches: Vec<Touch> = typed.inner.map(Touch::At).into_iter().collect();
    let drawn = sight.tool.points().len();
    let buttons = |ui: &mut Ui| {
        for (word, touch, least) in [("End here", Touch::Enter, 2), ("Take a point back", Touch::Backspace, 1)] {
            if drawn >= least && ui.add(Button::new(word)).clicked() {
                touches.push(touch);
            }
        }
    };
    if drawn > 0 {
        ui.horizontal(buttons);
    }
    ui.separator();
    for touch in touches {
        wishes.extend(self::touch(sight, touch));
    }
}

/// What is drawn so far, in figures.
fn so_far(ui: &mut Ui, sight: &Sight) {
    let (points, units) = (sight.tool.points(), sight.session.plan().title.units);
    let Some(last) = points.last() else { return };
    let mut text =
        format!("{} at {}", measure::how_many(points.len(), "point"), placing::words(sight.session.plan(), *last));
    if points.len() > 1 {
        text.push_str(&format!(", {}", units.length(path_length(points))));
    }
    if sight.tool.sketch().closed && points.len() > 2 {
        let around = units.length(path_length(&closed(points)));
        text.push_str(&format!("; closed {around} around, area {}", units.area(ring_m2(points).abs())));
    }
    ui.label(RichText::new(text).font(plain(13.0)));
}

/// A touch of the tool in hand that snaps to nothing.
fn touch(sight: &mut Sight, touch: Touch) -> Vec<Wish> {
    let nothing = SnapIndex::default();
    let hand = Hand::on(sight.session, sight.view, &nothing, Modifiers::ALT);
    sight.tool.touch(touch, &hand)
}
