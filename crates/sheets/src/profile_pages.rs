//! Profiles: ground, pipe, grades and joints of every line, some to a page.

use design::LineDesign;
use drawing::{Form, Item, Parts, Role};
use measure::Point;
use plan::{Line, LineId, Measure};
use takeoff::Deep;

use crate::book::Making;
use crate::labels::{Labels, Rect, around};
use crate::look::{PASSED, look};
use crate::page::{Align, Page, Paper, Part, Stroke, Text, dot};

/// Height of a line below a profile, millimetres, its type, points, and most of them.
const TOLD: f64 = 3.4;
const TOLD_PT: f64 = 7.5;
const MOST_TOLD: usize = 2;
/// Height of the band of trench to be protected, millimetres.
const BAND: f64 = 1.4;
/// Radius of the dot of what is met, millimetres.
const MET: f64 = 0.9;

/// Between two profiles side by side, millimetres.
const BESIDE: f64 = 8.0;
/// Lines from which on profiles are drawn small, six to a page of letter and more on larger ones (judgement).
const MANY_LINES: usize = 40;

/// How many profiles stand beside and below each other on a page.
const fn strips(paper: Paper, lines: usize) -> (usize, usize) {
    let is_large = matches!(paper, Paper::Tabloid | Paper::A3);
    match (is_large, lines >= MANY_LINES) {
        (false, false) => (1, 2),
        (false, true) => (2, 3),
        (true, false) => (1, 3),
        (true, true) => (3, 4),
    }
}

/// A profile on the paper.
struct Chart {
    rect: Rect,
    length_m: f64,
    low_m: f64,
    mm_per_m: (f64, f64),
}

impl Chart {
    fn place(&self, station_m: f64, level_m: f64) -> (f64, f64) {
        let (x, y, _, h) = self.rect;
        (x + station_m * self.mm_per_m.0, y + h - (level_m - self.low_m) * self.mm_per_m.1)
    }

    fn path(&self, points: &[Point]) -> Vec<(f64, f64)> {
        points.iter().map(|p| self.place(p.x, p.y)).collect()
    }
}

impl Making<'_> {
    /// A profile of every new line, some to a page.
    pub(crate) fn profiles(&self) -> Vec<Page> {
        let lines = self.work.plan.lines.iter().filter(|(_, line)| !line.kind.is_old());
        let known: Vec<(LineId, &Line, &LineDesign)> = lines
            .filter_map(|(id, line)| Some((*id, line, self.work.design.lines.get(id)?)))
            .filter(|(_, _, worked)| worked.range(|station| station.invert_m).is_some())
            .collect();
        let (across, down) = strips(self.work.paper, known.len());
        let filled = |lines: &[(LineId, &Line, &LineDesign)]| {
            let (mut page, (x, y, w, h)) = self.page(self.work.paper.lying_mm(), "Profiles");
            let (wide_mm, high_mm) = ((w + BESIDE) / across as f64, h / down as f64);
            for (i, (id, line, worked)) in lines.iter().enumerate() {
                let at = (x + (i % across) as f64 * wide_mm, y + (i / across) as f64 * high_mm);
                self.profile(&mut page, (at.0, at.1, wide_mm - BESIDE, high_mm - 3.0), *id, line, worked);
                page.lines.push(*id);
            }
            page
        };
        known.chunks(across * down).map(filled).collect()
    }

    fn profile(
        &self,
        page: &mut Page,
        (x, y, w, h): (f64, f64, f64, f64),
        id: LineId,
        line: &Line,
        worked: &LineDesign,
    ) {
        let units = self.work.plan.title.units;
        let (plan, design) = (self.work.plan, self.work.design);
        let dug = self.dug.lines.get(&id);
        let parts = Parts { to_dig: true, no_dig: &self.no_dig, dug, ..Parts::default() };
        let Some(profile) = drawing::profile(plan, design, id, parts) else { return };
        let told = self.told_below(id, worked, w);
        let rect = (x + 14.0, y + 8.0, w - 18.0, h - 20.0 - TOLD * told.len() as f64);
        let (low_m, high_m) = profile.levels_m.unwrap_or_default();
        let margin_m = ((high_m - low_m) * 0.12).max(0.3);
        let (low_m, high_m) = (low_m - margin_m, high_m + margin_m);
        let mm_per_m = (rect.2 / worked.length_m.max(0.1), rect.3 / (high_m - low_m));
        let chart = Chart { rect, length_m: worked.length_m, low_m, mm_per_m };
        let grade =
            worked.mean_grade().map(|grade| format!(", {} on average", units.grade(grade))).unwrap_or_default();
        let title = format!(
            "{}  {}, {}, {}{grade}{}",
            line.name,
            line.kind.word(),
            takeoff::sizes(worked, units),
            units.length(worked.length_m),
            dug.map_or("", |_| "; as dug dotted, its shots as rings"),
        );
        let steeper = format!("heights drawn {:.0} times the lengths", mm_per_m.1 / mm_per_m.0);
        let title_mm = w - self.ink.width_mm(&steeper, 8.0, false) - 3.0;
        let title_pt = self.fitting_pt(&title, (11.0, 7.0), true, title_mm);
        let lines = self.ink.wrap(&title, title_pt, true, title_mm);
        let first = page.items.len();
        for (k, line) in lines.iter().enumerate() {
            page.text((x, y + 4.5 - 3.0 * (lines.len() - 1 - k) as f64), title_pt, true, Align::Left, line.as_str());
        }
        page.part_since(first, Part::Heading(2));
        page.text((x + w, y + 4.5), 8.0, false, Align::Right, steeper);
        for (k, line) in told.iter().enumerate() {
            let y_mm = y + h - 1.0 - TOLD * (told.len() - 1 - k) as f64;
            page.text((x, y_mm), TOLD_PT, true, Align::Left, line.clone());
        }
        let first = page.items.len();
        let (behind, before): (Vec<Item>, Vec<Item>) =
            profile.scene.items.into_iter().partition(|item| matches!(item.form, Form::Span(..)));
        behind.iter().for_each(|item| draw_span(page, &chart, item));
        self.axes(page, &chart, high_m);
        let mut pen = Pen { page, chart, labels: Labels::new(&self.ink, rect), ends_mm: [f64::MIN; 3] };
        before.iter().for_each(|item| pen.draw(item));
        let Pen { page, mut labels, .. } = pen;
        page.items.append(&mut labels.items);
        let words =
            format!("Profile of {} from its lower end up: ground, pipe, joints and changes of grade", line.name);
        page.part_since(first, Part::Figure(words));
    }

    /// What stands below a profile: where nobody digs, what is to be fixed, trench to be protected.
    fn told_below(&self, id: LineId, worked: &LineDesign, width_mm: f64) -> Vec<String> {
        let units = self.work.plan.title.units;
        let heavy = self.listed.iter().filter(|listed| listed.on.contains_key(&id));
        let heavy = heavy.filter(|listed| listed.no_dig || listed.holds_back());
        let mut told: Vec<String> = heavy
            .map(|listed| format!("{} {} ({})", listed.severity_words(), listed.places_on(id, units), listed.number))
            .collect();
        let deep = Deep::of(worked, &self.work.plan.criteria);
        if !deep.protected.is_empty() {
            let limit = units.depth(self.work.plan.criteria.protected_trench_m);
            let length = Measure::Length.words(deep.protected_m(), units);
            told.push(format!("trench {limit} or deeper {}, {length}", self.stretches_words(&deep.protected)));
        }
        let mut lines = self.ink.wrap(&told.join("  ·  "), TOLD_PT, true, width_mm - 22.0);
        if lines.len() > MOST_TOLD {
            lines.truncate(MOST_TOLD);
            lines.iter_mut().skip(MOST_TOLD - 1).for_each(|last| last.push_str(" … see the cut sheet"));
        }
        lines
    }

    /// Levels at the left, stations below.
    fn axes(&self, page: &mut Page, chart: &Chart, high_m: f64) {
        let units = self.work.plan.title.units;
        let unit_m = units.length_unit().metres();
        let (x, y, w, h) = chart.rect;
        page.rect(chart.rect, Some(Stroke::black(0.3)), None);
        let step = [0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0]
            .into_iter()
            .map(|s| s * unit_m)
            .find(|s| s * chart.mm_per_m.1 >= 7.0);
        let step_m = step.unwrap_or(100.0 * unit_m);
        let mut level_m = (chart.low_m / step_m).ceil() * step_m;
        while level_m <= high_m {
            let (_, py) = chart.place(0.0, level_m);
            page.line(&[(x, py), (x + w, py)], Stroke::grey(0.12, 190));
            page.text((x - 1.0, py + 1.0), 7.0, false, Align::Right, units.number(level_m, 1));
            level_m += step_m;
        }
        let step = [10.0, 20.0, 25.0, 50.0, 100.0, 200.0, 500.0, 1000.0]
            .into_iter()
            .map(|s| s * unit_m)
            .find(|s| s * chart.mm_per_m.0 >= 18.0);
        let step_m = step.unwrap_or(5000.0 * unit_m);
        for i in 0..=(chart.length_m / step_m) as usize {
            let (px, _) = chart.place(i as f64 * step_m, chart.low_m);
            page.line(&[(px, y + h), (px, y + h + 1.2)], Stroke::black(0.2));
            page.text((px, y + h + 4.5), 7.0, false, Align::Middle, self.station(i as f64 * step_m));
        }
    }
}

/// A stretch over the whole height; trench to be protected along the foot.
fn draw_span(page: &mut Page, chart: &Chart, item: &Item) {
    let Form::Span(from_m, to_m) = item.form else { return };
    let (x, y, w, h) = chart.rect;
    let (left, right) = (chart.place(from_m, chart.low_m).0, chart.place(to_m, chart.low_m).0);
    // What is too short to be seen is drawn as wide as it can be.
    let (left, wide) = (left.max(x), (right - left).max(0.8).min(x + w - left.max(x)));
    let (top, high) = if item.role == Role::Protected { (y + h - BAND, BAND) } else { (y, h) };
    let look = look(item.role);
    page.rect((left, top, wide, high), None, look.fill);
    if !item.says.is_empty() {
        page.text((left + wide / 2.0, y + h / 2.0), look.type_pt, look.bold, Align::Middle, item.says.clone());
    }
}

/// Draws what stands before the axes.
struct Pen<'a, 'b> {
    page: &'a mut Page,
    chart: Chart,
    labels: Labels<'b>,
    /// How far to the right the levels below reach, row by row, millimetres.
    ends_mm: [f64; 3],
}

impl Pen<'_, '_> {
    fn draw(&mut self, item: &Item) {
        match &item.form {
            Form::Path(points) => self.path(item, points),
            Form::Sign(at, _) if item.role == Role::ReachEnd => self.end(item, *at),
            Form::Sign(at, _) if matches!(item.role, Role::DugShot | Role::OffShot) => self.shot(item, *at),
            Form::Sign(at, _) => self.sign(item, *at),
            Form::Upright(station_m, level_m) => self.met(item, *station_m, *level_m),
            // Stretches lie behind the axes; the rest belongs to a map.
            _ => {}
        }
    }

    /// Ground and pipe; a reach is told by its grade alone.
    fn path(&mut self, item: &Item, points: &[Point]) {
        let path = self.chart.path(points);
        let look = look(item.role);
        if let Some(stroke) = look.stroke {
            self.page.line(&path, stroke);
        }
        if matches!(item.role, Role::Invert(_) | Role::PipeTop(_)) {
            self.labels.keep_off_line(&path);
        }
        if let ([low, .., high], false) = (points, item.says.is_empty()) {
            let (_, y, _, h) = self.chart.rect;
            let (px, _) = self.chart.place((low.x + high.x) / 2.0, low.y);
            // Short reaches put their grade in a row of its own above.
            self.labels.put(rows_up((px, y + h - 1.5), &item.says));
        }
    }

    /// A branch where it comes in.
    fn sign(&mut self, item: &Item, at: Point) {
        let at = self.chart.place(at.x, at.y);
        self.page.items.push(dot(at, MET, 0));
        self.labels.keep_off(at, MET);
        self.labels.put(around(at, 7.0, false, &item.says, 1.4));
    }

    /// A shot of what was laid: open where it lies as planned, else full, and how far off.
    fn shot(&mut self, item: &Item, at: Point) {
        let at = self.chart.place(at.x, at.y);
        self.page.items.push(dot(at, MET, if item.role == Role::OffShot { 0 } else { 255 }));
        self.labels.keep_off(at, MET);
        self.labels.put(around(at, 7.0, true, &item.says, 1.4));
    }

    /// The level where a reach ends, below the chart in the first row that has room.
    fn end(&mut self, item: &Item, at: Point) {
        let (_, y, _, h) = self.chart.rect;
        let at = self.chart.place(at.x, at.y);
        let look = look(item.role);
        self.page.line(&[(at.0, at.1), (at.0, y + h)], look.stroke.unwrap_or(Stroke::black(0.12)));
        let half_mm = self.labels.ink.width_mm(&item.says, look.type_pt, look.bold) / 2.0 + 0.5;
        let Some(row) = self.ends_mm.iter().position(|right_mm| *right_mm <= at.0 - half_mm) else { return };
        self.ends_mm[row] = at.0 + half_mm;
        let place = (at.0, y + h + 8.0 + 3.0 * row as f64);
        self.page.text(place, look.type_pt, look.bold, Align::Middle, item.says.clone());
    }

    /// What a line meets, over the whole height, with a dot at its level.
    fn met(&mut self, item: &Item, station_m: f64, level_m: Option<f64>) {
        let (_, y, _, h) = self.chart.rect;
        let (px, _) = self.chart.place(station_m, self.chart.low_m);
        self.page.line(&[(px, y), (px, y + h)], Stroke::dashed(0.2, &PASSED));
        if let Some(level_m) = level_m {
            let at = self.chart.place(station_m, level_m);
            self.page.items.push(dot(at, MET, 255));
            self.labels.keep_off(at, MET);
        }
        self.labels.put(rows_down((px + 0.8, y + 3.0), &item.says));
    }
}

/// Height of a row of labels, millimetres.
const LABEL_ROW: f64 = 3.2;

/// Places for the grade of a reach: in the lowest row that has room.
fn rows_up((x, y): (f64, f64), text: &str) -> Vec<Text> {
    (0..4).map(|k| Text::new((x, y - LABEL_ROW * f64::from(k)), 7.5, true, Align::Middle, text)).collect()
}

/// Places for the name of what a line meets: in the highest row that has room, right of its mark, else left.
fn rows_down((x, y): (f64, f64), text: &str) -> Vec<Text> {
    let row = |(k, align, x)| Text::new((x, y + LABEL_ROW * f64::from(k)), 7.0, false, align, text);
    (0..8).flat_map(|k| [(k, Align::Left, x), (k, Align::Right, x - 1.6)]).map(row).collect()
}
