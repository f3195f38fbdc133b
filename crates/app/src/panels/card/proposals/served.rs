//! Cost against wet land served: each proposal a numbered disc, what is drawn now a square.

use std::sync::Arc;

use egui::{Align2, Color32, Painter, Pos2, Rect, Role, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, pos2, vec2};
use job::proposing;
use measure::Units;
use takeoff::Estimate;

use crate::theme::{Palette, bold, plain};
use crate::view::View;

/// Height of the chart, and the room that its figures take at the left and below, points.
const HEIGHT: f32 = 176.0;
const LEFT: f32 = 62.0;
const BELOW: f32 = 36.0;
/// Radius of a disc, points.
const RADIUS: f32 = 9.0;
/// What costs more than so many times the cheapest stands on the upper edge with its figure, so that the others keep apart (own
/// choice).
const FAR: f64 = 5.0;

/// One dot.
struct Dot {
    /// Its number among the proposals; `None` for what is drawn.
    number: Option<usize>,
    /// Name of the proposal, or what it is.
    name: String,
    served_m2: f64,
    cost: f64,
    says: String,
}

/// Where a dot belongs, and where its disc stands.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Placed {
    at: Pos2,
    disc: Pos2,
}

/// What is shown.
struct Chart<'a> {
    palette: &'static Palette,
    units: Units,
    currency: &'a str,
    is_priced: bool,
    /// Wet land of the field, square metres, and the greatest cost shown.
    reach: (f64, f64),
    /// Where the dots lie.
    rect: Rect,
}

/// Shows the chart; a dot that is clicked is looked at.
pub fn chart(ui: &mut Ui, view: &mut View) {
    let Some(first) = view.proposals.found().first().cloned() else { return };
    let is_priced = view.proposals.is_priced();
    let (units, dots) = (first.plan.title.units, dots(view, is_priced));
    let (space, _) = ui.allocate_exact_size(vec2(ui.available_width(), HEIGHT), Sense::hover());
    let most = most_shown(&dots.iter().map(|dot| dot.cost).collect::<Vec<_>>());
    let corner = space.min + vec2(LEFT, 22.0);
    let chart = Chart {
        palette: view.palette(),
        units,
        currency: &first.estimate.currency,
        is_priced,
        reach: (first.wet_m2.max(f64::MIN_POSITIVE), most * 1.12),
        rect: Rect::from_min_max(corner, space.max - vec2(16.0, BELOW)),
    };
    let painter = if ui.is_enabled() { ui.painter().clone() } else { faded(ui) };
    chart.paint_frame(&painter, most);
    let looked_at = view.proposals.looked_at().map(|proposal| proposal.name.clone());
    let places = apart(&dots.iter().map(|dot| chart.place(dot)).collect::<Vec<_>>());
    for placed in places.iter().filter(|placed| placed.at != placed.disc) {
        painter.line_segment([placed.at, placed.disc], Stroke::new(1.0, chart.palette.proposed));
        painter.circle_filled(placed.at, 2.5, chart.palette.proposed);
    }
    for (dot, placed) in dots.iter().zip(places) {
        let at = placed.disc;
        let is_looked_at = dot.number.is_some() && looked_at.as_ref() == Some(&dot.name);
        chart.paint(&painter, dot, at, is_looked_at);
        let own = ui.scope_id().with(("served", dot.number));
        let shown = ui.interact(Rect::from_center_size(at, vec2(22.0, 22.0)), own, Sense::click());
        let enabled = ui.is_enabled();
        shown.widget_info(|| WidgetInfo::labeled(Role::Button, enabled, &dot.says));
        if shown.has_focus() {
            painter.circle_stroke(at, RADIUS + 4.0, Stroke::new(2.0, chart.palette.water));
        }
        if shown.on_hover_text(&dot.says).clicked() && dot.number.is_some() {
            view.proposals.look_at((!is_looked_at).then_some(dot.name.as_str()));
        }
    }
}

/// The greatest cost within the scale: the greatest of all that is not far over the cheapest.
fn most_shown(costs: &[f64]) -> f64 {
    let least = costs.iter().copied().fold(f64::INFINITY, f64::min);
    costs.iter().copied().filter(|cost| *cost <= FAR * least).fold(f64::MIN_POSITIVE, f64::max)
}

/// Discs beside each other: one that would lie on another is moved off it.
fn apart(places: &[Pos2]) -> Vec<Placed> {
    let far = 2.0 * RADIUS + 2.0;
    let ways = (0..24).map(|k| (k as f32 * std::f32::consts::TAU / 8.0, far * (1 + k / 8) as f32));
    let ways: Vec<Vec2> = ways.map(|(angle, away)| Vec2::angled(angle) * away).collect();
    let mut placed: Vec<Placed> = Vec::new();
    for at in places {
        let tried = std::iter::once(*at).chain(ways.iter().map(|way| *at + *way));
        let is_free = |disc: &Pos2| placed.iter().all(|other| other.disc.distance(*disc) >= far - 1.0);
        let disc = tried.into_iter().find(is_free).unwrap_or(*at);
        placed.push(Placed { at: *at, disc });
    }
    placed
}

/// A painter for what is greyed.
fn faded(ui: &Ui) -> Painter {
    let mut painter = ui.painter().clone();
    painter.multiply_opacity(0.5);
    painter
}

/// What is drawn under all, then the proposals.
fn dots(view: &View, is_priced: bool) -> Vec<Dot> {
    let dot = |number: Option<usize>, name: &str, estimate: &Estimate, (served_m2, wet_m2), units: Units| {
        let cost = if is_priced { estimate.with_contingency() } else { estimate.length_m() };
        let sum = if is_priced { proposing::cost(estimate) } else { format!("{} of pipe", units.length(cost)) };
        let called = number.map_or(name.to_string(), |number| format!("{}, {name}", number + 1));
        let says = format!("{called}: {sum}, {}", proposing::served(units, served_m2, wet_m2));
        Dot { number, name: name.into(), served_m2, cost, says }
    };
    let units = view.proposals.found().first().map_or(Units::Feet, |first| first.plan.title.units);
    let drawn = view
        .proposals
        .drawn()
        .map(|drawn| dot(None, "Drawn now", &drawn.estimate, (drawn.served_m2, drawn.wet_m2), units));
    let found = view.proposals.found().iter().map(Arc::as_ref).enumerate();
    let proposed =
        found.map(|(number, one)| dot(Some(number), &one.name, &one.estimate, (one.served_m2, one.wet_m2), units));
    drawn.into_iter().chain(proposed).collect()
}

impl Chart<'_> {
    fn place(&self, dot: &Dot) -> Pos2 {
        let share = |value: f64, most: f64| (value / most).clamp(0.0, 1.0) as f32;
        let (across, up) = (share(dot.served_m2, self.reach.0), share(dot.cost, self.reach.1));
        pos2(self.rect.left() + across * self.rect.width(), self.rect.bottom() - up * self.rect.height())
    }

    /// Axes with their figures and what they tell.
    fn paint_frame(&self, painter: &Painter, most: f64) {
        let (palette, rect) = (self.palette, self.rect);
        painter.rect(rect, 0.0, palette.paper, Stroke::new(1.0, palette.edge), StrokeKind::Outside);
        let write = |at: Pos2, side: Align2, text: String, colour: Color32| {
            painter.text(at, side, text, plain(12.0), colour);
        };
        let soft = palette.soft_ink;
        let unit = if self.is_priced { 1.0 } else { self.units.length_unit().metres() };
        // Three or four figures stand under the greatest.
        let step = measure::grid_step(most / unit / 4.0);
        for value in (0..).map(|i| f64::from(i) * step).take_while(|value| value * unit <= self.reach.1) {
            let y = rect.bottom() - (value * unit / self.reach.1) as f32 * rect.height();
            painter.hline(rect.x_range(), y, Stroke::new(1.0, palette.edge));
            write(pos2(rect.left() - 5.0, y), Align2::RIGHT_CENTER, self.cost_mark(value), soft);
        }
        for (share, side) in [(0.0, Align2::LEFT_TOP), (0.5, Align2::CENTER_TOP), (1.0, Align2::RIGHT_TOP)] {
            let x = rect.left() + share as f32 * rect.width();
            painter.vline(x, rect.y_range(), Stroke::new(1.0, palette.edge));
            write(pos2(x, rect.bottom() + 3.0), side, self.units.area(share * self.reach.0), soft);
        }
        let upper = if self.is_priced { "Cost with contingency" } else { "Pipe" };
        write(rect.left_top() - vec2(LEFT, 5.0), Align2::LEFT_BOTTOM, upper.into(), palette.ink);
        let below = pos2(rect.center().x, rect.bottom() + 18.0);
        write(below, Align2::CENTER_TOP, "Wet land served, up to all of it".into(), palette.ink);
    }

    fn cost_mark(&self, value: f64) -> String {
        let figure = measure::thousands(value, 0);
        match self.is_priced {
            true => takeoff::with_currency(self.currency, &figure),
            false => format!("{figure} {}", self.units.sign()),
        }
    }

    fn paint(&self, painter: &Painter, dot: &Dot, middle: Pos2, is_looked_at: bool) {
        let palette = self.palette;
        match dot.number {
            Some(number) => disc(painter, palette, middle, number, is_looked_at),
            None => {
                let rect = Rect::from_center_size(middle, vec2(11.0, 11.0));
                painter.rect(rect, 0.0, palette.ink, Stroke::new(1.5, palette.paper), StrokeKind::Outside);
            }
        }
        let name = dot.number.is_none().then(|| "drawn now".to_string());
        let cost =
            self.is_far(dot).then(|| format!("{}, off the scale", self.cost_mark(measure::estimated(dot.cost))));
        let words = [name, cost].into_iter().flatten().collect::<Vec<_>>().join(": ");
        let is_left = middle.x > self.rect.center().x;
        let (off, side) = if is_left { (-14.0, Align2::RIGHT_CENTER) } else { (14.0, Align2::LEFT_CENTER) };
        painter.text(middle + vec2(off, 0.0), side, words, plain(12.0), palette.ink);
    }

    fn is_far(&self, dot: &Dot) -> bool {
        dot.cost > self.reach.1
    }
}

/// The disc of a proposal, with its number.
fn disc(painter: &Painter, palette: &Palette, at: Pos2, number: usize, is_looked_at: bool) {
    let (fill, ink) =
        if is_looked_at { (palette.proposed, palette.paper) } else { (palette.paper, palette.proposed) };
    painter.circle(at, RADIUS, fill, Stroke::new(2.0, palette.proposed));
    painter.text(at, Align2::CENTER_CENTER, (number + 1).to_string(), bold(12.0), ink);
}

/// The same before the name of a proposal.
pub fn number(ui: &mut Ui, number: usize, is_looked_at: bool, palette: &Palette) {
    let (rect, _) = ui.allocate_exact_size(vec2(22.0, 22.0), Sense::hover());
    disc(ui.painter(), palette, rect.center(), number, is_looked_at);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A grid at eight times the money does not press the others together: it stands off the scale.
    #[test]
    fn what_costs_far_more_leaves_the_others_their_room() {
        assert_eq!(most_shown(&[12_000.0, 16_000.0, 97_000.0]), 16_000.0);
        assert_eq!(most_shown(&[12_000.0, 40_000.0]), 40_000.0);
        assert!(most_shown(&[0.0]) > 0.0);
    }

    /// Layouts that cost and serve nearly the same each keep a disc of their own, and tell where it belongs.
    #[test]
    fn no_disc_hides_another() {
        let places = [pos2(50.0, 50.0), pos2(53.0, 48.0), pos2(51.0, 52.0), pos2(200.0, 20.0)];
        let placed = apart(&places);
        for (i, one) in placed.iter().enumerate() {
            assert_eq!(one.at, places[i]);
            assert!(placed[..i].iter().all(|other| other.disc.distance(one.disc) >= 2.0 * RADIUS), "{placed:?}");
        }
        assert_eq!((placed[0].disc, placed[3].disc), (places[0], places[3]));
    }
}
