//! Profiles: ground, pipe, grades and joints of every line, two to a page.

use design::LineDesign;
use measure::Point;
use plan::{Line, LineId, Measure};
use takeoff::Deep;

use crate::book::Making;
use crate::labels::{Labels, Rect, around};
use crate::page::{Align, Page, Stroke, Text, dot};

/// Height of a line below a profile, millimetres, its type, points, and most of them.
const TOLD: f64 = 3.4;
const TOLD_PT: f64 = 7.5;
const MOST_TOLD: usize = 2;
/// Height of the band of trench to be protected, millimetres.
const BAND: f64 = 1.4;

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
}

impl Making<'_> {
    /// A profile of every new line, two to a page.
    pub(crate) fn profiles(&self) -> Vec<Page> {
        let lines = self.work.plan.lines.iter().filter(|(_, line)| !line.kind.is_old());
        let known: Vec<(LineId, &Line, &LineDesign)> = lines
            .filter_map(|(id, line)| Some((*id, line, self.work.design.lines.get(id)?)))
            .filter(|(_, _, worked)| worked.range(|station| station.invert_m).is_some())
            .collect();
        let size_mm = self.work.paper.lying_mm();
        let pair = |lines: &[(LineId, &Line, &LineDesign)]| {
            let (mut page, (x, y, w, h)) = self.page(size_mm, "Profiles");
            for (i, (id, line, worked)) in lines.iter().enumerate() {
                self.profile(&mut page, (x, y + i as f64 * h / 2.0, w, h / 2.0 - 3.0), *id, line, worked);
            }
            page
        };
        known.chunks(2).map(pair).collect()
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
        let told = self.told_below(id, worked, w);
        let rect = (x + 14.0, y + 8.0, w - 18.0, h - 20.0 - TOLD * told.len() as f64);
        let met = self.met(line, worked);
        let buried = met.iter().filter_map(|met| met.level_m);
        let ground = worked.ground.drawn();
        let over = ground.iter().flatten().map(|(_, level_m)| *level_m);
        let all: Vec<f64> = worked.stations.iter().filter_map(|s| s.invert_m).chain(over).chain(buried).collect();
        let both = all.iter().map(|level_m| (*level_m, *level_m)).reduce(|(l, h), (v, _)| (l.min(v), h.max(v)));
        let (low_m, high_m) = both.unwrap_or_default();
        let margin_m = ((high_m - low_m) * 0.12).max(0.3);
        let (low_m, high_m) = (low_m - margin_m, high_m + margin_m);
        let mm_per_m = (rect.2 / worked.length_m.max(0.1), rect.3 / (high_m - low_m));
        let chart = Chart { rect, length_m: worked.length_m, low_m, mm_per_m };
        let grade =
            worked.mean_grade().map(|grade| format!(", {} on average", units.grade(grade))).unwrap_or_default();
        let title = format!(
            "{}  {}, {}, {}{grade}",
            line.name,
            line.kind.word(),
            units.pipe(worked.size_m),
            units.length(worked.length_m)
        );
        page.text((x, y + 4.5), 11.0, true, Align::Left, title);
        let steeper = format!("heights drawn {:.0} times the lengths", mm_per_m.1 / mm_per_m.0);
        page.text((x + w, y + 4.5), 8.0, false, Align::Right, steeper);
        self.bands(page, &chart, id, worked);
        self.axes(page, &chart, high_m);
        for (k, line) in told.iter().enumerate() {
            let y_mm = y + h - 1.0 - TOLD * (told.len() - 1 - k) as f64;
            page.text((x, y_mm), TOLD_PT, true, Align::Left, line.clone());
        }
        for stretch in &ground {
            let path: Vec<(f64, f64)> = stretch.iter().map(|(m, level_m)| chart.place(*m, *level_m)).collect();
            page.line(&path, Stroke::dashed(0.4, &[2.4, 0.9]));
        }
        let invert: Vec<(f64, f64)> =
            worked.stations.iter().filter_map(|s| Some(chart.place(s.station_m, s.invert_m?))).collect();
        page.line(&invert, Stroke::black(0.8));
        let top_mm = hydraulics::top_above_invert_m(worked.size_m) * mm_per_m.1;
        let top: Vec<(f64, f64)> = invert.iter().map(|(x, y)| (*x, y - top_mm)).collect();
        page.line(&top, Stroke::black(0.25));
        let mut labels = Labels::new(&self.ink, rect);
        labels.keep_off_line(&invert);
        labels.keep_off_line(&top);
        self.joined(page, &chart, id, worked, &mut labels);
        met.iter().for_each(|met| draw_met(page, &chart, met, &mut labels));
        self.reaches(page, &chart, worked, &mut labels);
        page.items.append(&mut labels.items);
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

    /// Stretches that nobody digs over the whole height, trench to be protected along the foot.
    fn bands(&self, page: &mut Page, chart: &Chart, id: LineId, worked: &LineDesign) {
        let (x, y, w, h) = chart.rect;
        let span = |from_m: f64, to_m: f64| {
            let (left, right) = (chart.place(from_m, chart.low_m).0, chart.place(to_m, chart.low_m).0);
            // What is too short to be seen is drawn as wide as it can be.
            (left.max(x), (right - left).max(0.8).min(x + w - left.max(x)))
        };
        for (from_m, to_m) in worked.unknown_ground() {
            let (left, wide) = span(from_m, to_m);
            page.rect((left, y, wide, h), None, Some(236));
            page.text((left + wide / 2.0, y + h / 2.0), 9.0, true, Align::Middle, "no ground");
        }
        let no_dig = self.listed.iter().filter(|listed| listed.no_dig).filter_map(|listed| listed.on.get(&id));
        for (from_m, to_m) in no_dig.flatten() {
            let (left, wide) = span(*from_m, *to_m);
            page.rect((left, y, wide, h), None, Some(170));
        }
        for part in Deep::of(worked, &self.work.plan.criteria).protected {
            let (left, wide) = span(part.from_m, part.to_m);
            page.rect((left, y + h - BAND, wide, BAND), None, Some(90));
        }
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

    /// Grades of the reaches, with the inverts where they meet.
    fn reaches(&self, page: &mut Page, chart: &Chart, worked: &LineDesign, labels: &mut Labels) {
        let units = self.work.plan.title.units;
        let (_, y, _, h) = chart.rect;
        let parts = worked.grades();
        for part in &parts {
            let middle_m = (worked.stations[part.from].station_m + worked.stations[part.to].station_m) / 2.0;
            let (px, _) = chart.place(middle_m, chart.low_m);
            let text = units.grade(part.grade);
            // Short reaches put their grade in a row of its own above.
            labels.put(rows_up((px, y + h - 1.5), &text));
        }
        let mut right_mm = [f64::MIN; 3];
        let mut ends: Vec<usize> = parts.iter().flat_map(|part| [part.from, part.to]).collect();
        ends.dedup();
        for station in ends.into_iter().map(|end| &worked.stations[end]) {
            let Some(level_m) = station.invert_m else { continue };
            let at = chart.place(station.station_m, level_m);
            page.line(&[(at.0, at.1), (at.0, y + h)], Stroke::grey(0.12, 150));
            let text = units.level(level_m);
            let half_mm = self.ink.width_mm(&text, 7.0, false) / 2.0 + 0.5;
            let Some(row) = right_mm.iter().position(|right_mm| *right_mm <= at.0 - half_mm) else { continue };
            right_mm[row] = at.0 + half_mm;
            page.text((at.0, y + h + 8.0 + 3.0 * row as f64), 7.0, false, Align::Middle, text);
        }
    }

    /// Branches where they come in.
    fn joined(&self, page: &mut Page, chart: &Chart, id: LineId, worked: &LineDesign, labels: &mut Labels) {
        for joint in self.work.design.joints.iter().filter(|joint| joint.main == id) {
            let Some(level_m) = worked.at(joint.station_m).and_then(|s| s.invert_m) else { continue };
            let at = chart.place(joint.station_m, level_m);
            page.items.push(dot(at, 0.9, 0));
            let name = self.work.plan.lines.get(&joint.branch).map_or("", |line| line.name.as_str());
            labels.keep_off(at, 0.9);
            labels.put(around(at, 7.0, false, name, 1.4));
        }
    }

    /// Marks on the land and old tile where the line meets them.
    fn met(&self, line: &Line, worked: &LineDesign) -> Vec<Met> {
        let old = self.work.plan.lines.values().filter(|other| other.kind.is_old());
        let old = old.map(|other| (format!("old tile {}", other.name), None, other.points.clone()));
        let marks = self.work.plan.landmarks.values();
        let marks = marks
            .map(|mark| (mark.called(), mark.kind.buried().and_then(|(depth_m, _)| depth_m), mark.outline.path()));
        let places = |(name, depth_m, path): (String, Option<f64>, Vec<Point>)| {
            let hits = measure::crossings(&line.points, &path).into_iter();
            hits.map(move |(station_m, _)| {
                let ground_m = worked.at(station_m).and_then(|station| station.ground_m);
                let level_m = ground_m.zip(depth_m).map(|(ground_m, down_m)| ground_m - down_m);
                Met { name: name.clone(), station_m, level_m }
            })
            .collect::<Vec<_>>()
        };
        marks.chain(old).flat_map(places).collect()
    }
}

/// Something that a line meets.
struct Met {
    name: String,
    station_m: f64,
    /// Its top, where its depth is known, metres.
    level_m: Option<f64>,
}

fn draw_met(page: &mut Page, chart: &Chart, met: &Met, labels: &mut Labels) {
    let (_, y, _, h) = chart.rect;
    let (px, _) = chart.place(met.station_m, chart.low_m);
    page.line(&[(px, y), (px, y + h)], Stroke::dashed(0.2, &[0.6, 1.2]));
    if let Some(level_m) = met.level_m {
        let at = chart.place(met.station_m, level_m);
        page.items.push(dot(at, 0.9, 255));
        labels.keep_off(at, 0.9);
    }
    labels.put(rows_down((px + 0.8, y + 3.0), &met.name));
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
