//! Profiles: ground, pipe, grades and joints of every line, and the water at its outlet.

use design::LineDesign;
use drawing::{Form, Item, Key, Parts, Profile, Role};
use measure::Point;
use plan::{Line, LineId, Measure};
use takeoff::Deep;

use crate::book::Making;
use crate::ink::Ink;
use crate::labels::{self, Labels, Rect, around};
use crate::look::{PASSED, look};
use crate::page::{Align, LEAST_PT, Page, Part, Stroke, Text, dot};
use crate::plan_sheet::wedge;
use crate::profile_strips::{
    self, ABOVE, ABOVE_IN_ONE, BETWEEN, CLOSE, Hand, LARGE, LEFT, LEVEL_ROW, LEVEL_ROWS, RIGHT, STATIONS, Strip,
};

/// Height of a line below a profile, millimetres, its type, points, and most of them.
const TOLD: f64 = 3.4;
const TOLD_PT: f64 = 7.5;
const MOST_TOLD: usize = 2;
/// Height of the band of trench to be protected, millimetres.
const BAND: f64 = 1.4;
/// Radius of the dot of what is met, millimetres.
const MET: f64 = 0.9;
/// Least distance of two lines of levels, millimetres.
const LEVEL_ROOM: f64 = 7.0;

/// Metres of new line from which on profiles are drawn in the close hand: in the large one they fill some 50 sheets of letter
/// (judgement: six miles).
const LONG_JOB_M: f64 = 10_000.0;

/// Rows of the legend at the foot, and the height of one, millimetres.
const LEGEND_ROWS: f64 = 2.0;
const LEGEND_ROW: f64 = 4.2;

/// A part of a profile on the paper.
struct Chart {
    rect: Rect,
    stretch_m: (f64, f64),
    low_m: f64,
    mm_per_m: (f64, f64),
}

impl Chart {
    /// The chart of a strip with its left upper corner at a place.
    fn of(strip: &Strip, (x, y): (f64, f64)) -> Self {
        let (w, h) = strip.chart_mm();
        let mm_per_m = (1000.0 / strip.scales.0, 1000.0 / strip.scales.1);
        Self { rect: (x, y, w, h), stretch_m: strip.stretch_m, low_m: strip.levels_m.0, mm_per_m }
    }

    fn place(&self, station_m: f64, level_m: f64) -> (f64, f64) {
        let (x, y, _, h) = self.rect;
        (x + (station_m - self.stretch_m.0) * self.mm_per_m.0, y + h - (level_m - self.low_m) * self.mm_per_m.1)
    }

    /// The parts of a path that lie in it.
    fn paths(&self, points: &[Point]) -> Vec<Vec<(f64, f64)>> {
        let path: Vec<(f64, f64)> = points.iter().map(|p| self.place(p.x, p.y)).collect();
        labels::within(&path, self.rect)
    }

    /// True for a station on it; where two parts meet it is on both.
    fn holds(&self, station_m: f64) -> bool {
        (self.stretch_m.0 - 1e-6..=self.stretch_m.1 + 1e-6).contains(&station_m)
    }

    /// A thing as far as it lies on the chart; `None` for one that does not.
    fn part_of<'i>(&self, item: &Item<'i>) -> Option<Item<'i>> {
        let (from_m, to_m) = self.stretch_m;
        let is_on = match &item.form {
            Form::Span(low_m, high_m) => *low_m < to_m && *high_m > from_m,
            Form::Path(points) => !self.paths(points).is_empty(),
            Form::Sign(at, _) | Form::Words(at) => self.holds(at.x),
            Form::Upright(station_m, _) => self.holds(*station_m),
            _ => false,
        };
        let form = match &item.form {
            Form::Span(low_m, high_m) => Form::Span(low_m.max(from_m), high_m.min(to_m)),
            form => form.clone(),
        };
        is_on.then(|| Item { form, ..item.clone() })
    }
}

/// A profile with its strips.
struct Drawn<'a> {
    id: LineId,
    line: &'a Line,
    worked: &'a LineDesign,
    profile: Profile<'a>,
    strips: Vec<Strip>,
}

/// Where the level of the end of a reach stands: in a row below its station, moved aside by so much, millimetres.
struct EndLevel {
    station_m: f64,
    row: usize,
    aside_mm: f64,
}

/// What stands above a chart.
struct Head {
    title: String,
    title_pt: f64,
    scales: String,
    scales_pt: f64,
    in_one: bool,
}

impl Head {
    fn above_mm(&self) -> f64 {
        if self.in_one { ABOVE_IN_ONE } else { ABOVE }
    }

    fn write(&self, page: &mut Page, (x, y): (f64, f64), strip: &Strip) {
        let first = page.items.len();
        page.text((x, y + 4.5), self.title_pt, true, Align::Left, self.title.as_str());
        if strip.part.0 == 1 {
            page.part_since(first, Part::Heading(2));
        }
        let (at, align) = match self.in_one {
            true => ((x + strip.cell_mm, y + 4.5), Align::Right),
            false => ((x, y + 9.0), Align::Left),
        };
        page.text(at, self.scales_pt, false, align, self.scales.as_str());
    }
}

/// Pages being filled with strips, row by row.
struct Rows<'m, 'a> {
    making: &'m Making<'a>,
    hand: &'static Hand,
    done: Vec<Page>,
    page: Option<(Page, Rect)>,
    /// What the page shows, for its legend.
    shown: Vec<Item<'m>>,
    /// Left upper corner of the next cell, and the lower edge of the row, millimetres.
    next: (f64, f64),
    below_mm: f64,
}

impl<'m, 'a> Rows<'m, 'a> {
    /// A place for a cell of that size.
    fn place(&mut self, (w, h): (f64, f64)) -> (f64, f64) {
        let room = self.page.as_ref().map(|(_, rect)| *rect);
        if let Some((x, y, width_mm, height_mm)) = room {
            if self.next.0 + w > x + width_mm + 0.1 {
                self.next = (x, self.below_mm);
            }
            if self.next.1 + h > y + height_mm + 0.1 {
                self.finish_page();
            }
        }
        if self.page.is_none() {
            let (page, (x, y, w, h)) = self.making.profile_page(self.hand);
            self.page = Some((page, (x, y, w, h - LEGEND_ROWS * LEGEND_ROW - 2.0)));
            (self.next, self.below_mm) = ((x, y), y);
        }
        let at = self.next;
        self.next.0 += w + BETWEEN;
        self.below_mm = self.below_mm.max(at.1 + h);
        at
    }

    fn finish_page(&mut self) {
        let Some((mut page, (x, y, w, h))) = self.page.take() else { return };
        let keys = drawing::profile_legend(&self.shown);
        draw_legend(&mut page, &self.making.ink, (x, y + h + 2.0 + LEGEND_ROW, w), &keys);
        self.shown.clear();
        self.done.push(page);
    }
}

/// The keys of a page one after the other.
fn draw_legend(page: &mut Page, ink: &Ink, (x, y, w): (f64, f64, f64), keys: &[Key]) {
    const SAMPLE: f64 = 9.0;
    let mut at = (x, y);
    for key in keys {
        let wide_mm = SAMPLE + 1.5 + ink.width_mm(key.word, 7.0, false);
        if at.0 + wide_mm > x + w {
            at = (x, at.1 + LEGEND_ROW);
        }
        draw_key(page, at, SAMPLE, key.role);
        page.text((at.0 + SAMPLE + 1.5, at.1), 7.0, false, Align::Left, key.word);
        at.0 += wide_mm + 6.0;
    }
}

/// A sample of a thing of a profile.
fn draw_key(page: &mut Page, (x, y): (f64, f64), wide_mm: f64, role: Role) {
    let look = look(role);
    let (middle, y) = (x + wide_mm / 2.0, y - 1.0);
    match role {
        Role::Mark(_) | Role::Line(_) => {
            page.line(&[(middle, y - 2.0), (middle, y + 1.2)], Stroke::dashed(0.2, &PASSED));
            page.items.push(dot((middle, y), MET, 255));
        }
        Role::Enters(_) => page.items.push(dot((middle, y), MET, 0)),
        Role::Reducer(_) => page.items.push(wedge((middle, y), (x, y))),
        Role::DugShot | Role::OffShot => page.items.push(dot((middle, y), MET, shot_fill(role))),
        Role::ReachEnd => {
            page.line(&[(middle, y - 2.0), (middle, y + 1.2)], look.stroke.unwrap_or(Stroke::black(0.12)))
        }
        Role::Protected => page.rect((x, y - BAND / 2.0, wide_mm, BAND), None, look.fill),
        Role::NoDig | Role::NoGround => page.rect((x, y - 1.6, wide_mm, 2.8), None, look.fill),
        _ => look.stroke.into_iter().for_each(|stroke| page.line(&[(x, y), (x + wide_mm, y)], stroke)),
    }
}

/// A shot off the plan is full.
const fn shot_fill(role: Role) -> u8 {
    if matches!(role, Role::OffShot) { 0 } else { 255 }
}

impl<'a> Making<'a> {
    /// A profile of every new line at common scales, long ones in parts, as many to a page as fit.
    pub(crate) fn profiles(&self) -> Vec<Page> {
        let hand = if self.new_line_m() >= LONG_JOB_M { &CLOSE } else { &LARGE };
        let (_, (_, _, width_mm, height_mm)) = self.profile_page(hand);
        // Two rows of the highest fit on a page.
        let row_mm = (height_mm - LEGEND_ROWS * LEGEND_ROW - 2.0) / 2.0;
        let most_mm = row_mm - ABOVE - below_mm(LEVEL_ROWS) - TOLD * MOST_TOLD as f64;
        let (next, below_mm) = ((0.0, 0.0), 0.0);
        let mut rows = Rows { making: self, hand, done: Vec::new(), page: None, shown: Vec::new(), next, below_mm };
        for drawn in self.drawn_profiles(hand, width_mm, most_mm) {
            for strip in &drawn.strips {
                self.strip(&mut rows, &drawn, strip);
            }
        }
        rows.finish_page();
        rows.done
    }

    fn profile_page(&self, hand: &Hand) -> (Page, Rect) {
        let paper = self.work.paper;
        self.page(if hand.close { paper.standing_mm() } else { paper.lying_mm() }, "Profiles")
    }

    fn drawn_profiles(&self, hand: &Hand, width_mm: f64, most_mm: f64) -> Vec<Drawn<'_>> {
        let (plan, design) = (self.work.plan, self.work.design);
        let drawn = |(id, line): (&LineId, &'a Line)| {
            let worked = design.lines.get(id)?;
            worked.range(|station| station.invert_m)?;
            let parts = Parts { to_dig: true, no_dig: &self.no_dig, dug: self.dug.lines.get(id), ..Parts::default() };
            let profile = drawing::profile(plan, design, *id, parts)?;
            let strips = profile_strips::strips(&profile, (plan.title.units, hand), width_mm, most_mm);
            Some(Drawn { id: *id, line, worked, profile, strips })
        };
        plan.lines.iter().filter(|(_, line)| !line.kind.is_old()).filter_map(drawn).collect()
    }

    fn strip<'m>(&'m self, rows: &mut Rows<'m, 'a>, drawn: &Drawn<'m>, strip: &Strip) {
        let told =
            if strip.part.0 == 1 { self.told_below(drawn.id, drawn.worked, strip.cell_mm) } else { Vec::new() };
        let head = self.strip_head(rows.hand, drawn, strip);
        let ends = self.level_rows(&Chart::of(strip, (0.0, 0.0)), drawn);
        let below_mm = below_mm(ends.iter().map(|end| end.row + 1).max().unwrap_or(0));
        let high_mm = head.above_mm() + strip.chart_mm().1 + below_mm + TOLD * told.len() as f64;
        let (x, y) = rows.place((strip.cell_mm, high_mm));
        let chart = Chart::of(strip, (x + LEFT, y + head.above_mm()));
        let items: Vec<Item> = drawn.profile.scene.items.iter().filter_map(|item| chart.part_of(item)).collect();
        let Some((page, _)) = &mut rows.page else { return };
        head.write(page, (x, y), strip);
        let first = page.items.len();
        let high_m = strip.levels_m.1;
        let (behind, before): (Vec<&Item>, Vec<&Item>) =
            items.iter().partition(|item| matches!(item.form, Form::Span(..)));
        behind.iter().for_each(|item| draw_span(page, &chart, item));
        self.axes(page, &chart, high_m);
        let labels = Labels::new(&self.ink, chart.rect);
        let mut pen = Pen { page, chart, labels, ends };
        before.iter().for_each(|item| pen.draw(item));
        let Pen { page, chart, mut labels, .. } = pen;
        page.items.append(&mut labels.items);
        for (k, line) in told.iter().enumerate() {
            let y_mm = chart.rect.1 + chart.rect.3 + below_mm - 1.2 + TOLD * k as f64;
            page.text((x, y_mm), TOLD_PT, true, Align::Left, line.clone());
        }
        let name = &drawn.line.name;
        let words = format!("Profile of {name} from its lower end up: ground, pipe, joints and changes of grade");
        page.part_since(first, Part::Figure(words));
        if strip.part.0 == 1 {
            page.lines.push(drawn.id);
        }
        rows.shown.extend(items);
    }

    /// Where the levels stand below a chart where reaches end: each in the first row that has room, not beyond what stands
    /// right of the chart; none where no row has room.
    fn level_rows(&self, chart: &Chart, drawn: &Drawn) -> Vec<EndLevel> {
        let mut ends_mm = [f64::MIN; LEVEL_ROWS];
        let ends = drawn.profile.scene.items.iter().filter_map(|item| match item.form {
            Form::Sign(at, _) if item.role == Role::ReachEnd && chart.holds(at.x) => Some((item, at)),
            _ => None,
        });
        let row = |(item, at): (&Item, Point)| {
            let (look, x_mm) = (look(item.role), chart.place(at.x, at.y).0);
            let half_mm = self.ink.width_mm(&item.says, look.type_pt, look.bold) / 2.0 + 0.5;
            let aside_mm = (chart.rect.0 + chart.rect.2 + RIGHT - half_mm - x_mm).min(0.0);
            let row = ends_mm.iter().position(|right_mm| *right_mm <= x_mm + aside_mm - half_mm)?;
            ends_mm[row] = x_mm + aside_mm + half_mm;
            Some(EndLevel { station_m: at.x, row, aside_mm })
        };
        ends.filter_map(row).collect()
    }

    /// Name, pipe and grade of a line, which part of it this is, and both scales in words; and whether both stand in one line.
    fn strip_head(&self, hand: &Hand, drawn: &Drawn, strip: &Strip) -> Head {
        let (units, worked) = (self.work.plan.title.units, drawn.worked);
        let grade =
            worked.mean_grade().map(|grade| format!(", {} on average", units.grade(grade))).unwrap_or_default();
        let part = match strip.part {
            (_, 1) => String::new(),
            (k, of) => {
                let [from, to] = [strip.stretch_m.0, strip.stretch_m.1].map(|m| self.station(m));
                format!("; part {k} of {of}, {from} to {to}")
            }
        };
        let title = format!(
            "{}  {}, {}, {}{grade}{part}",
            drawn.line.name,
            drawn.line.kind.word(),
            worked.size_words(units),
            units.length(worked.length_m),
        );
        let scales = strip.scale_words(units);
        let scales_pt = self.fitting_pt(&scales, (7.5, LEAST_PT), false, strip.cell_mm);
        let beside_mm = strip.cell_mm - self.ink.width_mm(&scales, scales_pt, false) - 4.0;
        let in_one = hand.close && self.ink.width_mm(&title, LEAST_PT, true) <= beside_mm;
        let (room_mm, most_pt) = if in_one { (beside_mm, 10.0) } else { (strip.cell_mm, 11.0) };
        let title_pt = self.fitting_pt(&title, (most_pt, LEAST_PT), true, room_mm);
        Head { title, title_pt, scales, scales_pt, in_one }
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
        let step_m = measure::grid_step((LEVEL_ROOM / (chart.mm_per_m.1 * unit_m)).max(0.2)) * unit_m;
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
        let [first, last] = [chart.stretch_m.0 / step_m, chart.stretch_m.1 / step_m];
        for i in (first - 1e-9).ceil() as usize..=(last + 1e-9) as usize {
            let (px, _) = chart.place(i as f64 * step_m, chart.low_m);
            page.line(&[(px, y + h), (px, y + h + 1.2)], Stroke::black(0.2));
            page.text((px, y + h + 4.0), 7.0, false, Align::Middle, self.station(i as f64 * step_m));
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

/// Height of what stands below a chart with so many rows of levels, millimetres.
fn below_mm(level_rows: usize) -> f64 {
    STATIONS + LEVEL_ROW * level_rows as f64 + 1.0
}

/// Draws what stands before the axes.
struct Pen<'a, 'b> {
    page: &'a mut Page,
    chart: Chart,
    labels: Labels<'b>,
    /// Where the levels stand where reaches end.
    ends: Vec<EndLevel>,
}

impl Pen<'_, '_> {
    fn draw(&mut self, item: &Item) {
        match &item.form {
            Form::Path(points) => self.path(item, points),
            Form::Sign(at, _) if item.role == Role::ReachEnd => self.end(item, *at),
            Form::Sign(at, _) if matches!(item.role, Role::DugShot | Role::OffShot) => self.shot(item, *at),
            Form::Sign(at, toward) => self.sign(item, *at, *toward),
            Form::Upright(station_m, level_m) => self.met(item, *station_m, *level_m),
            // Stretches lie behind the axes; the rest belongs to a map.
            _ => {}
        }
    }

    /// Ground, pipe and water; a reach is told by its grade alone.
    fn path(&mut self, item: &Item, points: &[Point]) {
        let look = look(item.role);
        for path in self.chart.paths(points) {
            if let Some(stroke) = look.stroke.clone() {
                self.page.line(&path, stroke);
            }
            if matches!(item.role, Role::Invert(_) | Role::PipeTop(_) | Role::Ground) {
                self.labels.keep_off_line(&path);
            }
        }
        let ([low, .., high], false) = (points, item.says.is_empty()) else { return };
        let (_, y, _, h) = self.chart.rect;
        if item.role == Role::OutletWater {
            let (px, py) = self.chart.place(high.x, high.y);
            self.labels.put(around((px, py), 7.0, false, &item.says, 0.8));
            return;
        }
        let [from_m, to_m] = [low.x.max(self.chart.stretch_m.0), high.x.min(self.chart.stretch_m.1)];
        let (px, py) = self.chart.place((from_m + to_m) / 2.0, (low.y + high.y) / 2.0);
        // Short reaches put their grade in a row of its own above; one over the waters at an outlet over its pipe.
        let places = rows_up((px, y + h - 1.5), &item.says).into_iter();
        self.labels.put(places.chain(over((px, py), &item.says)));
    }

    /// A branch where it comes in, or a change of size, whose words stand over the pipe.
    fn sign(&mut self, item: &Item, at: Point, toward: Point) {
        let (at, top) = (self.chart.place(at.x, at.y), self.chart.place(toward.x, toward.y));
        let is_change = matches!(item.role, Role::Reducer(_));
        self.page.items.push(if is_change { wedge(at, (at.0 - 1.0, at.1)) } else { dot(at, MET, 0) });
        self.labels.keep_off(at, MET);
        match is_change {
            true => self.labels.put(over(top, &item.says)),
            false => self.labels.put(around(at, 7.0, false, &item.says, 1.4)),
        };
    }

    /// A shot of what was laid: open where it lies as planned, else full, and how far off.
    fn shot(&mut self, item: &Item, at: Point) {
        let at = self.chart.place(at.x, at.y);
        self.page.items.push(dot(at, MET, shot_fill(item.role)));
        self.labels.keep_off(at, MET);
        self.labels.put(around(at, 7.0, true, &item.says, 1.4));
    }

    /// The level where a reach ends, below the chart in its row.
    fn end(&mut self, item: &Item, at: Point) {
        let (_, y, _, h) = self.chart.rect;
        let (x_mm, y_mm) = self.chart.place(at.x, at.y);
        let look = look(item.role);
        self.page.line(&[(x_mm, y_mm), (x_mm, y + h)], look.stroke.unwrap_or(Stroke::black(0.12)));
        let Some(end) = self.ends.iter().find(|end| end.station_m == at.x) else { return };
        let place = (x_mm + end.aside_mm, y + h + STATIONS + LEVEL_ROW * end.row as f64);
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

/// Places for words over the pipe: the lowest that has room.
fn over((x, y): (f64, f64), text: &str) -> Vec<Text> {
    (0..4).map(|k| Text::new((x, y - 1.2 - LABEL_ROW * f64::from(k)), 7.0, true, Align::Middle, text)).collect()
}

/// Places for the name of what a line meets: in the highest row that has room, right of its mark, else left.
fn rows_down((x, y): (f64, f64), text: &str) -> Vec<Text> {
    let row = |(k, align, x)| Text::new((x, y + LABEL_ROW * f64::from(k)), 7.0, false, align, text);
    (0..8).flat_map(|k| [(k, Align::Left, x), (k, Align::Right, x - 1.6)]).map(row).collect()
}
