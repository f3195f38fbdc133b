//! The profile strip: ground, the band the pipe may lie in, the pipe as worked out, joints, and what is wrong where.

use checks::Finding;
use design::{Design, LineDesign};
use drawing::{Form, Item, Parts, Role};
use egui::{Align2, Painter, Pos2, Rect, RichText, Shape, Stroke, Ui, Vec2, vec2};
use egui_plot::{
    FilledArea, GridInput, GridMark, Line, LineStyle, MarkerShape, Plot, PlotPoint, PlotPoints, PlotTransform,
    PlotUi, Points, VLine,
};
use measure::{Point, Units};
use plan::{LineId, Plan};
use propose::Proposal;
use record::AsDug;

use crate::canvas::LabelBook;
use crate::theme::{Look, Palette, Sign, bold, plain};
use crate::view::View;
use job::Worked;

/// What a profile is drawn from.
#[derive(Clone, Copy)]
pub struct Of<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// Its levels.
    pub design: &'a Design,
    /// What was found in it.
    pub findings: &'a [Finding],
    /// The record held against it, where there is one.
    pub dug: Option<&'a AsDug>,
}

impl<'a> From<&'a Worked> for Of<'a> {
    fn from(worked: &'a Worked) -> Self {
        Self { plan: &worked.plan, design: &worked.design, findings: &worked.findings, dug: Some(worked.dug()) }
    }
}

impl<'a> From<&'a Proposal> for Of<'a> {
    fn from(proposal: &'a Proposal) -> Self {
        Self { plan: &proposal.plan, design: &proposal.design, findings: &proposal.findings, dug: None }
    }
}

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

/// The line's name and its figures; those of a station while one is pointed at.
pub fn heading(ui: &mut Ui, derived: Of, id: LineId, station_m: Option<f64>, palette: &Palette) {
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
            let words = match station_m {
                Some(station_m) => RichText::new(readout(worked, station_m, units)),
                None => RichText::new(figures(worked, units)).color(palette.soft_ink),
            };
            // Where it has no room it ends early and is told whole under the pointer, rather than lie on the name.
            ui.add(egui::Label::new(words.font(plain(12.0))).truncate());
        });
    });
}

/// What is known of a line at a station: "3+50   ground 209.97   invert 206.10   cut 3.87   cover 3.40   grade 0.41 %".
fn readout(worked: &LineDesign, station_m: f64, units: Units) -> String {
    let (ground_m, invert_m) = (worked.ground.level(station_m), worked.at(station_m).and_then(|s| s.invert_m));
    let depth_m = ground_m.zip(invert_m).map(|(ground_m, invert_m)| ground_m - invert_m);
    let cover_m = depth_m.map(|depth_m| depth_m - worked.pipe_at(station_m).top_above_invert_m());
    let parts = [
        Some(measure::station(station_m, units)),
        ground_m.map(|level_m| format!("ground {}", units.level(level_m))),
        invert_m.map(|level_m| format!("invert {}", units.level(level_m))),
        depth_m.map(|depth_m| format!("cut {}", units.number(depth_m, 2))),
        cover_m.map(|cover_m| format!("cover {}", units.number(cover_m, 2))),
        worked.grade_at(station_m).map(|grade| format!("grade {}", units.grade(grade))),
        (worked.laid_sizes().len() > 1).then(|| units.pipe(worked.pipe_at(station_m).size_m)),
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join("   ")
}

fn figures(worked: &LineDesign, units: Units) -> String {
    let mut text = format!("{}, {}", worked.size_words(units), units.length(worked.length_m));
    text.push_str(&job::grading::no_ground(worked, units));
    if let Some((least, deepest)) = worked.least_cover().zip(worked.deepest()) {
        let most_m = deepest.value_m - worked.pipe_at(deepest.station_m).top_above_invert_m();
        text.push_str(&format!(", cover {} to {}", units.number(least.value_m, 2), units.depth(most_m)));
    }
    text
}

/// A line's profile in the units of the person: station, and level.
struct Chart<'a> {
    worked: &'a LineDesign,
    unit_m: f64,
    palette: &'static Palette,
    /// Lowest and highest level drawn.
    reach: (f64, f64),
}

/// Draws a line's profile and answers what was done in it.
pub fn chart(ui: &mut Ui, derived: Of, view: &View, id: LineId, size: Vec2) -> Answer {
    let dug = derived.dug.and_then(|dug| dug.lines.get(&id));
    let parts = Parts { at_work: true, findings: derived.findings, dug, ..Parts::default() };
    let profile = drawing::profile(derived.plan, derived.design, id, parts);
    let (Some(line), Some(worked), Some(profile)) =
        (derived.plan.lines.get(&id), derived.design.lines.get(&id), profile)
    else {
        return Answer::default();
    };
    let (units, palette) = (derived.plan.title.units, view.palette());
    let unit_m = units.length_unit().metres();
    let chart = Chart { worked, unit_m, palette, reach: reach(profile.levels_m, unit_m) };
    let mut items: Vec<&Item> = profile.scene.items.iter().collect();
    items.sort_by_key(|item| palette.look(item.role).lift);
    let mut answer = Answer::default();
    let length = worked.length_m / unit_m;
    let shown = plot(size, units, palette, length, chart.reach).show(ui, |plot| {
        items.iter().for_each(|item| chart.draw(plot, item));
        if let Some(station_m) = view.station_m {
            plot.vline(VLine::new("", station_m / unit_m).color(palette.next).width(1.5));
        }
        answer = chart.answer(plot, line.kind.is_old());
    });
    let painter = ui.painter().with_clip_rect(*shown.transform.frame());
    chart.paint_changes(&painter, &shown.transform, &items);
    chart.write(&painter, &shown.transform, &items);
    let met = items.iter().filter(|item| matches!(item.form, Form::Upright(..))).map(|item| item.says.as_str());
    let met = met.collect::<Vec<_>>().join(", ");
    shown.response.widget_info(|| egui::WidgetInfo {
        hint_text: (!met.is_empty()).then(|| format!("passes {met}")),
        ..egui::WidgetInfo::labeled(egui::Role::Canvas, true, format!("Profile of {}", line.name))
    });
    answer
}

/// Lowest and highest level drawn, with room for words.
fn reach(levels_m: Option<(f64, f64)>, unit_m: f64) -> (f64, f64) {
    let (low_m, high_m) = levels_m.unwrap_or((0.0, 1.0));
    let (low, high) = (low_m / unit_m, high_m / unit_m);
    let room = ((high - low) * 0.22).max(0.6 / unit_m);
    (low - room, high + room * 0.8)
}

/// An empty profile of that length and those levels, in the units of the person.
pub fn plot<'a>(size: Vec2, units: Units, palette: &Palette, length: f64, (low, high): (f64, f64)) -> Plot<'a> {
    let unit_m = units.length_unit().metres();
    Plot::new("profile")
        // Half of the last station stands beyond the end of the axis.
        .width(size.x - 12.0)
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
        .y_grid_spacer(levels)
        .y_axis_formatter(move |mark: GridMark, _: &std::ops::RangeInclusive<f64>| level_mark(mark))
        .y_axis_min_width(44.0)
        .label_formatter(|_| None)
}

/// Grid lines of three steps, each thinned until they stand apart.
fn steps(input: GridInput, steps: &[f64; 3]) -> Vec<GridMark> {
    let grow = (0..8).map(|n| 4f64.powi(n)).find(|grow| steps[0] * grow >= input.base_step_size * 0.7).unwrap_or(1.0);
    steps.iter().flat_map(|step| marks(input.bounds, step * grow)).collect()
}

/// Grid lines of levels, of one step that leaves each line room for its level (four of the library's least steps).
fn levels(input: GridInput) -> Vec<GridMark> {
    marks(input.bounds, measure::grid_step(input.base_step_size * 4.0)).collect()
}

fn marks((low, high): (f64, f64), step: f64) -> impl Iterator<Item = GridMark> {
    let (low, high) = ((low / step).ceil() as i64, (high / step).floor() as i64);
    (low..=high.min(low + 2000)).map(move |i| GridMark { value: i as f64 * step, step_size: step })
}

fn station_mark(mark: GridMark, unit_m: f64, units: Units) -> String {
    if mark.value < -1e-6 { String::new() } else { measure::station(mark.value * unit_m, units) }
}

fn level_mark(mark: GridMark) -> String {
    let places = (-(mark.step_size + 1e-9).log10().floor()).max(0.0) as usize;
    measure::true_minus(&measure::fixed(mark.value, places))
}

impl Chart<'_> {
    fn place(&self, p: &Point) -> [f64; 2] {
        [p.x / self.unit_m, p.y / self.unit_m]
    }

    fn draw(&self, plot: &mut PlotUi, item: &Item) {
        let look = self.palette.look(item.role);
        let path = |points: &[Point]| points.iter().map(|p| self.place(p)).collect::<Vec<[f64; 2]>>();
        match &item.form {
            Form::Path(_) if look.width == 0.0 => {}
            Form::Path(points) => {
                plot.line(Line::new("", path(points)).color(look.colour).width(look.width).style(style(look)));
            }
            Form::Strip(lower, upper) => {
                let xs: Vec<f64> = lower.iter().map(|p| self.place(p)[0]).collect();
                let [lower, upper] =
                    [lower, upper].map(|edge| edge.iter().map(|p| self.place(p)[1]).collect::<Vec<_>>());
                plot.add(FilledArea::new("", &xs, &lower, &upper).fill_color(look.colour));
            }
            Form::Sign(at, _) => {
                sign(plot, self.place(at), look);
            }
            Form::Span(from_m, to_m) => {
                let (ends, (low, high)) = ([from_m / self.unit_m, to_m / self.unit_m], self.reach);
                plot.add(FilledArea::new("", &ends, &[low; 2], &[high; 2]).fill_color(look.colour));
            }
            Form::Upright(station_m, level_m) => self.draw_met(plot, (*station_m, *level_m), look),
            // Words come last; the rest belongs to a map.
            _ => {}
        }
    }

    /// What a line meets, over the whole height, with a ring at its level.
    fn draw_met(&self, plot: &mut PlotUi, (station_m, level_m): (f64, Option<f64>), look: Look) {
        let x = station_m / self.unit_m;
        let style = LineStyle::Dashed { length: 3.0 };
        plot.vline(VLine::new("", x).color(look.colour).width(1.2).style(style));
        if let Some(level_m) = level_m {
            let at = [x, level_m / self.unit_m];
            let ring = |colour, radius| Look { colour, sign: (Sign::Disc, radius), ..look };
            sign(plot, at, ring(look.colour, 5.0));
            sign(plot, at, ring(self.palette.paper, 3.0));
        }
    }

    /// Writes the words of all things where they lie on no others, those of what is met and of joints first.
    fn write(&self, painter: &Painter, transform: &PlotTransform, items: &[&Item]) {
        let rank = |item: &Item| match item.form {
            Form::Upright(..) => 0,
            Form::Sign(..) => 1,
            Form::Span(..) => 2,
            _ => 3,
        };
        let mut items: Vec<&Item> = items.iter().copied().filter(|item| !item.says.is_empty()).collect();
        items.sort_by_key(|item| rank(item));
        // The room that letters leave above and below themselves may lie outside.
        let mut labels = LabelBook::new(transform.frame().expand(4.0));
        items.iter().for_each(|item| self.keep_off(transform, item, &mut labels));
        for item in items {
            let (colour, font) = match item.form {
                Form::Upright(..) => (self.palette.ink, plain(12.0)),
                _ => self.palette.look(item.role).words(),
            };
            let galley = painter.layout_no_wrap(item.says.clone(), font, colour);
            if let Some(rect) = labels.take(self.places(transform, item, galley.size())) {
                painter.galley(rect.min, galley, colour);
            }
        }
    }

    /// Changes of size, wide toward the lower end: stations run up the line.
    fn paint_changes(&self, painter: &Painter, transform: &PlotTransform, items: &[&Item]) {
        for item in items {
            let (look, Form::Sign(at, _)) = (self.palette.look(item.role), &item.form) else { continue };
            if look.sign.0 == Sign::Wedge {
                let at = self.on_screen(transform, at);
                let corners =
                    [vec2(-7.0, -7.0), vec2(7.0, -3.0), vec2(7.0, 3.0), vec2(-7.0, 7.0)].map(|off| at + off);
                let rim = Stroke::new(1.8, look.colour);
                painter.add(Shape::convex_polygon(corners.to_vec(), self.palette.paper, rim));
            }
        }
    }

    /// Keeps words off the water at the outlet and off signs.
    fn keep_off(&self, transform: &PlotTransform, item: &Item, labels: &mut LabelBook) {
        match &item.form {
            Form::Path(points) if item.role == Role::OutletWater => {
                let ends = points.iter().map(|p| self.on_screen(transform, p));
                let rect = ends.fold(Rect::NOTHING, |rect, at| rect.union(Rect::from_min_max(at, at)));
                labels.reserve(rect.expand(1.5));
            }
            Form::Sign(at, _) => {
                labels.reserve(Rect::from_center_size(self.on_screen(transform, at), vec2(8.0, 8.0)))
            }
            _ => {}
        }
    }

    fn on_screen(&self, transform: &PlotTransform, p: &Point) -> Pos2 {
        let [x, y] = self.place(p);
        transform.position_from_point(&PlotPoint::new(x, y))
    }

    /// Places for words of a size, the best first; a line is left between them and what they belong to.
    fn places(&self, transform: &PlotTransform, item: &Item, size: Vec2) -> Vec<Rect> {
        let on_screen = |p: &Point| self.on_screen(transform, p);
        let rows = |first: f32, step: f32| (0..4).map(move |row| vec2(0.0, (first + step * row as f32) * size.y));
        let hung = |at: Pos2, side: Align2, rows: &mut dyn Iterator<Item = Vec2>| -> Vec<Rect> {
            rows.map(|off| side.anchor_size(at + off, size)).collect()
        };
        match &item.form {
            Form::Words(at) => hung(on_screen(at), Align2::LEFT_BOTTOM, &mut rows(-1.0, -1.0)),
            // Over it stand the names of branches, which often come in at the same place.
            Form::Sign(at, toward) if matches!(item.role, Role::Reducer(_)) => {
                let below = hung(on_screen(at), Align2::CENTER_TOP, &mut rows(0.8, 1.0));
                let over = hung(on_screen(toward), Align2::CENTER_BOTTOM, &mut rows(-1.0, -1.0));
                [below, over].concat()
            }
            Form::Sign(_, toward) => hung(on_screen(toward), Align2::CENTER_BOTTOM, &mut rows(-1.0, -1.0)),
            Form::Span(from_m, to_m) => {
                let level_m = (self.reach.0 + self.reach.1) / 2.0 * self.unit_m;
                let middle = on_screen(&Point::new((from_m + to_m) / 2.0, level_m));
                hung(middle, Align2::CENTER_CENTER, &mut rows(0.0, 1.0))
            }
            // The grade of every reach long enough to carry its figure.
            Form::Path(points) => {
                let (Some(low), Some(high)) = (points.first(), points.last()) else { return Vec::new() };
                let middle = on_screen(&measure::along(*low, *high, 0.5));
                let carries = high.x - low.x >= self.worked.length_m * 0.11;
                let below = hung(middle, Align2::CENTER_TOP, &mut rows(1.0, 1.0).filter(|_| carries));
                let over = hung(middle, Align2::CENTER_BOTTOM, &mut rows(-1.0, -1.0).filter(|_| carries));
                [below, over].concat()
            }
            Form::Upright(station_m, _) => {
                let top = Pos2::new(on_screen(&Point::new(*station_m, 0.0)).x, transform.frame().top() + 2.0);
                let sides = [(vec2(4.0, 0.0), Align2::LEFT_TOP), (vec2(-4.0, 0.0), Align2::RIGHT_TOP)];
                rows(0.0, 1.0)
                    .flat_map(|row| sides.map(|(off, side)| side.anchor_size(top + off + row, size)))
                    .collect()
            }
            _ => Vec::new(),
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

/// The dash of a line in a profile.
fn style(look: Look) -> LineStyle {
    match look.dash {
        [0.0, spacing, ..] => LineStyle::Dotted { spacing: *spacing },
        [length, ..] => LineStyle::Dashed { length: *length },
        [] => LineStyle::Solid,
    }
}

fn sign(plot: &mut PlotUi, at: [f64; 2], look: Look) {
    let (sign, radius) = look.sign;
    let shape = match sign {
        Sign::Disc => MarkerShape::Circle,
        Sign::Square => MarkerShape::Square,
        Sign::Diamond => MarkerShape::Diamond,
        Sign::Triangle => MarkerShape::Up,
        _ => return,
    };
    plot.points(
        Points::new("", PlotPoints::from(vec![at])).shape(shape).radius(radius).filled(true).color(look.colour),
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The head of a profile tells what lies between the stations too: on L3 of the first demo field there is less cover there
    /// than at any of them.
    #[test]
    fn the_head_tells_the_least_cover_of_all() {
        let session = job::files::demo_session(job::demo::first_plan()).unwrap();
        let (plan, design) = (&session.worked().plan, &session.worked().design);
        let worked = &design.lines[&plan.line_named("L3").unwrap()];
        let (least_m, units) = (worked.least_cover().unwrap().value_m, plan.title.units);
        let at_stations = worked.stations.iter().filter_map(|s| worked.cover_m(s)).fold(f64::INFINITY, f64::min);
        assert!(least_m < at_stations - 0.05, "{least_m} {at_stations}");
        let told = figures(worked, units);
        assert!(told.contains(&format!("cover {} to", units.number(least_m, 2))), "{told}");
    }
}
