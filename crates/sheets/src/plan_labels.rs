//! What stands beside the things of the plan sheet: names, sizes, grades, levels.

use drawing::{Anchor, Form, Label, Layer, Role};
use measure::Point;

use crate::book::Making;
use crate::ink::Ink;
use crate::labels::{Labels, around, letter_mm, within};
use crate::look::{BARRED, DOT, Look, Sign, look};
use crate::page::{Align, Item, LEAST_PT, Stroke, Text, rect_item};
use crate::plan_sheet::{Map, NORTH, drawn};

/// The layers whose things have labels.
const LAYERS: [Layer; 8] = [
    Layer::NoDig,
    Layer::Outlets,
    Layer::Benchmarks,
    Layer::Marks,
    Layer::Lines,
    Layer::Joints,
    Layer::Watercourses,
    Layer::Contours,
];
/// Places for a label at every side of a sign, the nearest and the next.
const NEAR_PLACES: usize = 16;
/// Way between a path and the label beside it, millimetres.
const BESIDE: f64 = 1.5;
/// Labels of contours stand this far apart, millimetres: along a ditch bank one tells of all.
const CONTOUR_LABELS: f64 = 7.0;

impl Making<'_> {
    /// Every label, the most important first; answers what found no room, by name.
    pub fn plan_labels(&self, map: &Map, labels: &mut Labels) -> Vec<String> {
        self.keep_off_drawn(map, labels);
        let findings = if self.numbers_findings(map) { self.finding_boxes(map, labels) } else { Vec::new() };
        let (levels, all): (Vec<Label>, Vec<Label>) =
            self.map_of().labels(&LAYERS).into_iter().partition(|label| label.role == Role::IndexContour);
        let left_out: Vec<&Label> = all.iter().filter(|label| !self.put(map, labels, label)).collect();
        self.label_edges(map, labels);
        for level in &levels {
            labels.put_apart(self.places(map, level, &level.name), CONTOUR_LABELS);
        }
        let is_invert = |label: &&&Label| label.role == Role::Joint && self.reaches_sheet(map, label);
        let inverts = left_out.iter().filter(is_invert).count();
        let names = left_out.iter().filter_map(|label| self.missed(map, label));
        let inverts = (inverts > 0).then(|| measure::how_many(inverts, "invert"));
        names.chain(inverts).chain(findings).collect()
    }

    pub(crate) fn keep_off_north(&self, map: &Map, labels: &mut Labels) {
        let (x, y, w, _) = map.rect;
        (0..4).for_each(|i| labels.keep_off((x + w - NORTH, y + 6.0 + 5.0 * f64::from(i)), 3.5));
    }

    /// The numbers of findings in boxes beside their places, black for what is to be fixed; answers those without room.
    fn finding_boxes(&self, map: &Map, labels: &mut Labels) -> Vec<String> {
        let (_, scene) = drawn(map, &self.map_of().scene(&[Layer::Findings]));
        let mut left_out = Vec::new();
        for thing in scene.items.iter().rev() {
            let Form::Sign(at, _) = thing.form else { continue };
            let fill = box_fill(thing.role);
            // Room for the box is kept with the number.
            let room = around(map.place(at), BOX_PT + 2.5, true, &format!(" {} ", thing.says), 1.0);
            if labels.put(room)
                && let Some(Item::Text(room)) = labels.items.pop()
            {
                labels.items.extend(boxed(labels.ink, &room, &thing.says, fill));
            } else {
                left_out.push(format!("finding {}", thing.says));
            }
        }
        left_out
    }

    fn keep_off_drawn(&self, map: &Map, labels: &mut Labels) {
        self.keep_off_north(map, labels);
        for thing in self.whole_scene().items {
            match &thing.form {
                Form::Sign(at, _) => labels.keep_off(map.place(*at), kept_mm(look(thing.role).sign)),
                Form::Stretch(points, from_m, to_m) if look(thing.role).sign == Sign::Barred => {
                    let part = measure::part_of(points, *from_m, *to_m);
                    let middle = measure::point_at(&part, measure::path_length(&part) / 2.0);
                    middle.iter().for_each(|at| labels.keep_off(map.place(*at), BARRED));
                }
                Form::Path(points) | Form::Ring(points) if matches!(thing.role, Role::Line(_) | Role::Mark(_)) => {
                    labels.keep_off_line(&map.path(points));
                }
                _ => {}
            }
        }
    }

    /// Puts a label in full; a line's name alone will do where there is no room: the list of lines has the rest.
    fn put(&self, map: &Map, labels: &mut Labels, label: &Label) -> bool {
        let full = match label.role {
            Role::Mark(_) => label.called(),
            Role::Line(_) => label.in_full("  ", false),
            _ => label.in_full(" ", false),
        };
        let short = matches!(label.role, Role::Line(_)).then_some(&label.name);
        [Some(&full), short].into_iter().flatten().any(|text| labels.put(self.places(map, label, text)))
    }

    /// Places for a label: round a sign, beside a path.
    pub(crate) fn places(&self, map: &Map, label: &Label, text: &str) -> Vec<Text> {
        let Look { sign, type_pt, bold, .. } = look(label.role);
        let at = match &label.anchor {
            Anchor::Along(path) => return self.beside(&map.path(path), map, (type_pt, bold), text),
            Anchor::At(at) | Anchor::Inside(_, at) => map.place(*at),
        };
        // Far from its sign what nobody digs could be taken for another's.
        let most = if sign == Sign::Barred { NEAR_PLACES } else { usize::MAX };
        around(at, type_pt, bold, text, off_mm(label.role)).into_iter().take(most).collect()
    }

    /// The name of a thing whose label found no room; `None` for what needs none, or stands in a list.
    fn missed(&self, map: &Map, label: &Label) -> Option<String> {
        match label.role {
            // What lies beside the sheet needs no label.
            _ if !self.reaches_sheet(map, label) => None,
            Role::NoDig | Role::Outlet | Role::Line(_) => Some(label.name.clone()),
            Role::Mark(_) => Some(label.called()),
            _ => None,
        }
    }

    fn reaches_sheet(&self, map: &Map, label: &Label) -> bool {
        let path = match &label.anchor {
            Anchor::At(at) => map.path(&[*at]),
            Anchor::Along(path) | Anchor::Inside(path, _) => map.path(path),
        };
        !within(&path, map.rect).is_empty()
    }

    /// Coordinates of the grid at the edges.
    fn label_edges(&self, map: &Map, labels: &mut Labels) {
        let (across, (x, y, _, h)) = (self.work.reference.across, map.rect);
        let (eastings, northings) = self.grid_lines(map);
        let edge = |at: (f64, f64), align: Align, text: String| [Text::new(at, LEAST_PT, false, align, text)];
        let figure = |value_m: f64| format!("{} {}", across.figure(value_m, 0), across.sign());
        for east_m in eastings {
            let (px, _) = map.place(Point::new(east_m, 0.0));
            labels.put(edge((px, y + h - 1.0), Align::Middle, format!("E {}", figure(east_m))));
        }
        for north_m in northings {
            let (_, py) = map.place(Point::new(0.0, north_m));
            labels.put(edge((x + 1.0, py + 0.7), Align::Left, format!("N {}", figure(north_m))));
        }
    }

    /// Places for a label beside a path: where it runs straightest for the length of the label, turned with it.
    fn beside(&self, path: &[(f64, f64)], map: &Map, (size_pt, bold): (f64, bool), text: &str) -> Vec<Text> {
        let parts = within(path, map.rect).into_iter();
        let parts = parts.map(|part| part.into_iter().map(|(x, y)| Point::new(x, y)).collect::<Vec<_>>());
        let longest = parts.max_by(|a, b| measure::path_length(a).total_cmp(&measure::path_length(b)));
        let path = longest.unwrap_or_default();
        let (length_mm, wide_mm) = (measure::path_length(&path), self.ink.width_mm(text, size_pt, bold));
        let at = |along_mm: f64| measure::point_at(&path, along_mm.clamp(0.0, length_mm));
        let high_mm = letter_mm(size_pt);
        let mut stretches: Vec<(f64, Point, f64)> = (1..20)
            .filter_map(|k| {
                // 0.5, 0.55, 0.45, 0.6 … of the length.
                let share = 0.5 + f64::from(if k % 2 == 0 { k / 2 } else { -(k / 2) }) / 20.0;
                let middle_mm = length_mm * share;
                let (a, b) = (at(middle_mm - wide_mm / 2.0)?, at(middle_mm + wide_mm / 2.0)?);
                let chord_mm = measure::distance(a, b).max(1e-9);
                let off = |p: Point| ((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x)).abs() / chord_mm;
                let between = (1..8).filter_map(|i| at(middle_mm + wide_mm * (f64::from(i) / 8.0 - 0.5)));
                let bend_mm = between.map(off).fold(0.0, f64::max);
                let turned_deg = (a.y - b.y).atan2(b.x - a.x).to_degrees();
                Some((bend_mm, measure::along(a, b, 0.5), upright(turned_deg)))
            })
            .collect();
        // Near the middle where the path is as good as straight there.
        stretches.sort_by_key(|stretch| (stretch.0 / 0.4) as i64);
        let sides = |(bend_mm, middle, turned_deg): (f64, Point, f64)| {
            let (sin, cos) = turned_deg.to_radians().sin_cos();
            // The baseline lies above the path or a letter's height below it.
            [BESIDE + bend_mm, -(BESIDE + bend_mm + high_mm)].map(|up_mm| {
                let at = (middle.x - up_mm * sin, middle.y - up_mm * cos);
                Text { turned_deg, ..Text::new(at, size_pt, bold, Align::Middle, text) }
            })
        };
        stretches.into_iter().flat_map(sides).collect()
    }
}

/// Type of the number of a finding, points.
const BOX_PT: f64 = 7.0;

/// Filling of the box of a finding: black for what is to be fixed.
pub(crate) const fn box_fill(role: Role) -> u8 {
    if matches!(role, Role::Finding(checks::Severity::Block)) { 0 } else { 255 }
}

/// A number in a box, in the middle of the room that was kept for it.
fn boxed(ink: &Ink, room: &Text, number: &str, fill: u8) -> [Item; 2] {
    let room_mm = ink.width_mm(&room.text, room.size_pt, true);
    let left_mm = match room.align {
        Align::Left => room.at.0,
        Align::Middle => room.at.0 - room_mm / 2.0,
        Align::Right => room.at.0 - room_mm,
    };
    let middle = (left_mm + room_mm / 2.0, room.at.1 - letter_mm(room.size_pt) / 2.0);
    number_box(ink, middle, number, fill)
}

/// A number in a box about a place.
pub(crate) fn number_box(ink: &Ink, (x, y): (f64, f64), number: &str, fill: u8) -> [Item; 2] {
    let (wide_mm, high_mm) = (ink.width_mm(number, BOX_PT, true) + 1.4, letter_mm(BOX_PT) + 1.2);
    let frame = (x - wide_mm / 2.0, y - high_mm / 2.0, wide_mm, high_mm);
    let at = (x, y + letter_mm(BOX_PT) / 2.0);
    let text = Text { grey: 255 - fill, ..Text::new(at, BOX_PT, true, Align::Middle, number) };
    [rect_item(frame, Some(Stroke::black(0.3)), Some(fill)), Item::Text(text)]
}

/// What a sign keeps free of words, millimetres from its middle.
fn kept_mm(sign: Sign) -> f64 {
    match sign {
        Sign::Barred | Sign::Square | Sign::Triangle | Sign::Benchmark | Sign::Wedge => 2.0,
        _ => DOT,
    }
}

/// How far from its place a label stands, millimetres.
fn off_mm(role: Role) -> f64 {
    match role {
        Role::NoDig => BARRED + 0.6,
        Role::Outlet | Role::Benchmark | Role::Reducer(_) => 2.4,
        Role::Joint => 1.2,
        _ => 1.4,
    }
}

/// The same direction, read from the bottom or the right of the sheet.
fn upright(turned_deg: f64) -> f64 {
    match turned_deg {
        deg if deg > 90.0 => deg - 180.0,
        deg if deg <= -90.0 => deg + 180.0,
        deg => deg,
    }
}
