//! The profile strip: ground, the band the pipe may lie in, the pipe as worked out, joints, and what is wrong where.

use checks::Severity;
use design::LineDesign;
use egui::{Color32, RichText, Ui, Vec2};
use egui_plot::{
    FilledArea, GridInput, GridMark, Line, LineStyle, MarkerShape, Plot, PlotPoint, PlotPoints, PlotUi, Points, Text,
    VLine,
};
use measure::{Units, round_half_up};
use plan::LineId;

use crate::session::Session;
use crate::theme::{Palette, bold, plain};
use crate::view::View;

/// What a person did in a profile.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Answer {
    /// Station under the pointer, metres.
    pub hovered_m: Option<f64>,
    /// A station pulled to a level: station and invert, metres, and whether it was let go.
    pub pulled: Option<(f64, f64, bool)>,
}

/// Nearness within which a station is taken hold of, screen points.
const GRIP: f32 = 12.0;

/// The line's name and its figures.
pub fn heading(ui: &mut Ui, session: &Session, id: LineId, palette: &Palette) {
    let derived = session.derived();
    let units = derived.plan.title.units;
    let (Some(line), Some(worked)) = (derived.plan.lines.get(&id), derived.design.lines.get(&id)) else { return };
    let from = match derived.design.joints.iter().find(|joint| joint.branch == id) {
        Some(joint) => format!(
            "{}, from {} at {}",
            line.kind.word(),
            derived.plan.lines[&joint.main].name,
            measure::station(joint.station_m, units)
        ),
        None => match derived.plan.name_of(line.joins) {
            Some(outlet) => format!("{}, from {outlet}", line.kind.word()),
            None => format!("{}, joins nothing", line.kind.word()),
        },
    };
    ui.horizontal(|ui| {
        ui.label(RichText::new(&line.name).font(bold(14.0)));
        ui.label(RichText::new(from).font(plain(12.0)).color(palette.soft_ink));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            ui.label(RichText::new(figures(worked, units)).font(plain(12.0)).color(palette.soft_ink));
        });
    });
}

fn figures(worked: &LineDesign, units: Units) -> String {
    let mut text = format!("{}, {}", units.pipe(worked.size_m), units.length(worked.length_m));
    text.push_str(&crate::grading::no_ground(worked, units));
    if let Some((least, deepest)) = worked.least_cover().zip(worked.deepest()) {
        let most_m = deepest.value_m - hydraulics::top_above_invert_m(worked.size_m);
        text.push_str(&format!(", cover {} to {}", units.number(least.value_m, 2), units.depth(most_m)));
    }
    text
}

/// A line's course in the units of the person: station, and level.
struct Chart<'a> {
    worked: &'a LineDesign,
    unit_m: f64,
    units: Units,
    palette: &'static Palette,
    colour: Color32,
}

/// Draws a line's profile and answers what was done in it.
pub fn chart(ui: &mut Ui, session: &Session, view: &View, id: LineId, size: Vec2) -> Answer {
    let derived = session.derived();
    let (Some(line), Some(worked)) = (derived.plan.lines.get(&id), derived.design.lines.get(&id)) else {
        return Answer::default();
    };
    let units = derived.plan.title.units;
    let palette = view.palette();
    let chart = Chart {
        worked,
        unit_m: units.length_unit().metres(),
        units,
        palette,
        colour: palette.line(line.kind).colour,
    };
    let mut answer = Answer::default();
    let length = worked.length_m / chart.unit_m;
    let shown = plot(size, units, palette, length, chart.reach()).show(ui, |plot| {
        chart.band(plot, &derived.plan.criteria);
        chart.ground(plot);
        chart.unknown(plot);
        chart.pipe(plot);
        chart.faults(plot, session, id);
        chart.joints(plot, session, id);
        chart.grades(plot);
        if let Some(station_m) = view.station_m {
            plot.vline(VLine::new("", station_m / chart.unit_m).color(palette.next).width(1.5));
        }
        answer = chart.answer(plot, line.kind.is_old());
    });
    shown
        .response
        .widget_info(|| egui::WidgetInfo::labeled(egui::Role::Canvas, true, format!("Profile of {}", line.name)));
    answer
}

/// An empty profile of that length and those levels, in the units of the person.
pub fn plot<'a>(size: Vec2, units: Units, palette: &Palette, length: f64, (low, high): (f64, f64)) -> Plot<'a> {
    let unit_m = units.length_unit().metres();
    Plot::new("profile")
        .width(size.x)
        .height(size.y)
        .default_x_bounds(-0.03 * length, 1.03 * length)
        .default_y_bounds(low, high)
        .show_background(true)
        .allow_drag(false)
        .allow_zoom(false)
        .allow_scroll(false)
        .allow_boxed_zoom(false)
        .allow_double_click_reset(false)
        .allow_axis_zoom_drag(false)
        .show_crosshair(false)
        .set_margin_fraction(Vec2::ZERO)
        .auto_bounds([false, false])
        .reset()
        .grid_color(palette.edge)
        .x_grid_spacer(move |input: GridInput| steps(input, &[25.0, 100.0, 500.0]))
        .x_axis_formatter(move |mark: GridMark, _: &std::ops::RangeInclusive<f64>| station_mark(mark, unit_m, units))
        .y_axis_formatter(move |mark: GridMark, _: &std::ops::RangeInclusive<f64>| level_mark(mark))
        .y_axis_min_width(44.0)
        .label_formatter(|_| None)
}

/// Grid lines of three steps, each thinned until they stand apart.
fn steps(input: GridInput, steps: &[f64; 3]) -> Vec<GridMark> {
    let grow = (0..8).map(|n| 4f64.powi(n)).find(|grow| steps[0] * grow >= input.base_step_size * 0.7).unwrap_or(1.0);
    let mut marks = Vec::new();
    for step in steps.map(|step| step * grow) {
        let (low, high) = ((input.bounds.0 / step).ceil() as i64, (input.bounds.1 / step).floor() as i64);
        marks.extend((low..=high.min(low + 2000)).map(|i| GridMark { value: i as f64 * step, step_size: step }));
    }
    marks
}

fn station_mark(mark: GridMark, unit_m: f64, units: Units) -> String {
    if mark.value < -1e-6 { String::new() } else { measure::station(mark.value * unit_m, units) }
}

fn level_mark(mark: GridMark) -> String {
    let places = if mark.step_size < 0.99 { 1 } else { 0 };
    format!("{:.*}", places as usize, round_half_up(mark.value, places))
}

impl Chart<'_> {
    /// Lowest and highest level drawn, with room for words.
    fn reach(&self) -> (f64, f64) {
        let pieces =
            self.worked.ground.pieces().iter().map(|piece| (piece.least().value_m, piece.greatest().value_m));
        let ground = pieces.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
        let invert = self.worked.range(|s| s.invert_m);
        let both = [ground, invert].into_iter().flatten().reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
        let (low, high) = both.unwrap_or((0.0, 1.0));
        let (low, high) = (low / self.unit_m, high / self.unit_m);
        let room = ((high - low) * 0.22).max(0.6 / self.unit_m);
        (low - room, high + room * 0.8)
    }

    fn points(&self, level: impl Fn(&design::Station) -> Option<f64>) -> Vec<[f64; 2]> {
        let stations = self.worked.stations.iter();
        stations.filter_map(|s| Some([s.station_m / self.unit_m, level(s)? / self.unit_m])).collect()
    }

    /// The ground as it is, one list of places for each stretch where it is known.
    fn stretches(&self) -> Vec<Vec<[f64; 2]>> {
        let shown = |(at_m, level_m): (f64, f64)| [at_m / self.unit_m, level_m / self.unit_m];
        self.worked.ground.drawn().into_iter().map(|stretch| stretch.into_iter().map(shown).collect()).collect()
    }

    fn band(&self, plot: &mut PlotUi, criteria: &plan::Criteria) {
        let top_m = criteria.least_cover_m + hydraulics::top_above_invert_m(self.worked.size_m);
        let bottom_m = criteria.machine_reach_m - hydraulics::wall_m(self.worked.size_m) - criteria.bedding_m;
        for ground in self.stretches().iter().filter(|_| bottom_m > top_m) {
            let xs: Vec<f64> = ground.iter().map(|p| p[0]).collect();
            let below = |depth_m: f64| -> Vec<f64> { ground.iter().map(|p| p[1] - depth_m / self.unit_m).collect() };
            plot.add(FilledArea::new("band", &xs, &below(bottom_m), &below(top_m)).fill_color(self.palette.band));
            let style = LineStyle::Dashed { length: 5.0 };
            let limit: Vec<[f64; 2]> = xs.iter().zip(below(top_m)).map(|(x, y)| [*x, y]).collect();
            let faint = self.palette.faint(self.palette.soft_ink, 0.7);
            plot.line(Line::new("cover", limit).color(faint).width(1.0).style(style));
        }
    }

    fn ground(&self, plot: &mut PlotUi) {
        let stretches = self.stretches();
        if let Some([x, y]) = stretches.first().and_then(|ground| ground.get(ground.len() / 12).copied()) {
            let text = RichText::new("ground\n").font(bold(12.0));
            plot.text(
                Text::new("", PlotPoint::new(x, y), text)
                    .color(self.palette.contour_ink)
                    .anchor(egui::Align2::LEFT_BOTTOM),
            );
        }
        for ground in stretches {
            plot.line(Line::new("ground", ground).color(self.palette.index_contour).width(2.2));
        }
    }

    /// Where no ground is known.
    fn unknown(&self, plot: &mut PlotUi) {
        let (low, high) = self.reach();
        for (from_m, to_m) in self.worked.unknown_ground() {
            let ends = [from_m / self.unit_m, to_m / self.unit_m];
            let fill = self.palette.faint(self.palette.soft_ink, 0.15);
            plot.add(FilledArea::new("no ground", &ends, &[low; 2], &[high; 2]).fill_color(fill));
            let middle = PlotPoint::new((ends[0] + ends[1]) / 2.0, (low + high) / 2.0);
            let text = RichText::new("no ground").font(bold(12.0));
            plot.text(Text::new("", middle, text).color(self.palette.to_fix));
        }
    }

    fn pipe(&self, plot: &mut PlotUi) {
        let top_m = hydraulics::top_above_invert_m(self.worked.size_m);
        let faint = self.palette.faint(self.colour, 0.55);
        plot.line(Line::new("top of pipe", self.points(|s| s.invert_m.map(|z| z + top_m))).color(faint).width(1.0));
        plot.line(Line::new("invert", self.points(|s| s.invert_m)).color(self.colour).width(3.0));
        let faint = self.palette.faint(self.palette.water, 0.9);
        let style = LineStyle::Dotted { spacing: 4.0 };
        plot.line(Line::new("water", self.points(|s| s.head_m)).color(faint).width(1.6).style(style));
        let breaks: Vec<[f64; 2]> = (self.worked.breaks())
            .map(|change| &self.worked.stations[change.index])
            .filter_map(|s| Some([s.station_m / self.unit_m, s.invert_m? / self.unit_m]))
            .collect();
        let marked = |wanted: fn(&design::Mark) -> bool| self.points(move |s| s.invert_m.filter(|_| wanted(&s.mark)));
        let dots = |points: Vec<[f64; 2]>, shape, radius| {
            Points::new("", PlotPoints::from(points)).shape(shape).radius(radius).filled(true).color(self.colour)
        };
        plot.points(dots(breaks, MarkerShape::Up, 6.0));
        plot.points(dots(marked(|mark| mark.bend), MarkerShape::Circle, 3.2));
        plot.points(dots(marked(|mark| mark.joint), MarkerShape::Diamond, 5.5));
        plot.points(dots(marked(|mark| mark.pinned), MarkerShape::Square, 5.0));
    }

    /// What is wrong, where it is wrong.
    fn faults(&self, plot: &mut PlotUi, session: &Session, id: LineId) {
        let findings = session.derived().findings.iter().rev();
        for finding in findings.filter(|f| f.line == Some(id) && f.severity != Severity::Note) {
            let (Some(from_m), Some(to_m)) = (finding.from_m, finding.to_m) else { continue };
            let inner = self.worked.stations.iter().filter(|s| s.station_m > from_m && s.station_m < to_m).copied();
            let stations = self.worked.at(from_m).into_iter().chain(inner).chain(self.worked.at(to_m));
            let points: Vec<[f64; 2]> =
                stations.filter_map(|s| Some([s.station_m / self.unit_m, s.invert_m? / self.unit_m])).collect();
            plot.line(Line::new("", points).color(self.palette.severity(finding.severity)).width(5.0));
        }
    }

    /// Names of the lines that enter here.
    fn joints(&self, plot: &mut PlotUi, session: &Session, id: LineId) {
        let derived = session.derived();
        for joint in derived.design.joints.iter().filter(|joint| joint.main == id) {
            let Some(level_m) = joint.branch_invert_m.or(joint.main_invert_m) else { continue };
            let at = PlotPoint::new(joint.station_m / self.unit_m, level_m / self.unit_m);
            let name = RichText::new(format!("{}\n", derived.plan.lines[&joint.branch].name)).font(bold(12.0));
            plot.text(Text::new("", at, name).color(self.palette.ink).anchor(egui::Align2::CENTER_BOTTOM));
        }
    }

    /// The grade of every reach long enough to carry its figure.
    fn grades(&self, plot: &mut PlotUi) {
        let least = self.worked.length_m * 0.11;
        for design::Graded { from, to, .. } in self.worked.grades() {
            let (low, high) = (&self.worked.stations[from], &self.worked.stations[to]);
            if high.station_m - low.station_m < least {
                continue;
            }
            let middle_m = (low.station_m + high.station_m) / 2.0;
            let Some(grade) = self.worked.grade(from) else { continue };
            let Some(invert_m) = self.worked.at(middle_m).and_then(|s| s.invert_m) else { continue };
            let colour = if grade < 0.0 { self.palette.to_fix } else { self.colour };
            let at = PlotPoint::new(middle_m / self.unit_m, invert_m / self.unit_m);
            let text = RichText::new(format!("\n{}", self.units.grade(grade))).font(plain(12.0));
            plot.text(Text::new("", at, text).color(colour).anchor(egui::Align2::CENTER_TOP));
        }
    }

    fn answer(&self, plot: &PlotUi, is_old: bool) -> Answer {
        let Some(at) = plot.pointer_coordinate() else { return Answer::default() };
        let station_m = (at.x * self.unit_m).clamp(0.0, self.worked.length_m);
        let response = plot.response();
        let hovered_m = response.hovered().then_some(station_m);
        let memory = response.id.with("pulled");
        if response.drag_started() && !is_old {
            let grip = self.grip(plot, response);
            plot.ctx().data_mut(|data| data.insert_temp::<Option<f64>>(memory, grip));
        }
        let pulled_m: Option<f64> = plot.ctx().data(|data| data.get_temp::<Option<f64>>(memory)).flatten();
        let live = response.dragged() || response.drag_stopped();
        let pulled =
            pulled_m.filter(|_| live).map(|station_m| (station_m, at.y * self.unit_m, response.drag_stopped()));
        Answer { hovered_m, pulled }
    }

    /// The station taken hold of: the nearest to where the button went down, if the pipe is there.
    fn grip(&self, plot: &PlotUi, response: &egui::Response) -> Option<f64> {
        let origin = response.ctx.input(|input| input.pointer.press_origin())?;
        let on_screen = |s: &design::Station| {
            Some(plot.screen_from_plot(PlotPoint::new(s.station_m / self.unit_m, s.invert_m? / self.unit_m)))
        };
        let inner = self.worked.stations.iter().skip(1);
        let reached = inner.filter_map(|s| Some((on_screen(s)?.distance(origin), s.station_m)));
        let (away, station_m) = reached.min_by(|a, b| a.0.total_cmp(&b.0))?;
        (away <= GRIP).then_some(station_m)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The head of a profile tells what lies between the stations too: on L3 of the first demo field there is less cover there
    /// than at any of them.
    #[test]
    fn the_head_tells_the_least_cover_of_all() {
        let session = crate::files::demo_session(crate::demo::first_plan()).unwrap();
        let (plan, design) = (&session.derived().plan, &session.derived().design);
        let worked = &design.lines[&plan.line_named("L3").unwrap()];
        let (least_m, units) = (worked.least_cover().unwrap().value_m, plan.title.units);
        let at_stations =
            worked.stations.iter().filter_map(|s| s.cover_m(worked.size_m)).fold(f64::INFINITY, f64::min);
        assert!(least_m < at_stations - 0.05, "{least_m} {at_stations}");
        let told = figures(worked, units);
        assert!(told.contains(&format!("cover {} to", units.number(least_m, 2))), "{told}");
    }
}
