//! The survey crew's page: where one more shot would settle most, with coordinates and the level that is expected there.

use measure::{Point, closed, extent, point_at};
use plan::{Plan, Reference};

use crate::book::{Book, number};
use crate::edition::Edition;
use crate::flow::{Column, Flow, Pages};
use crate::ink::Ink;
use crate::labels::{Labels, Rect, around};
use crate::lesson::Plain;
use crate::look::Sign;
use crate::page::{Align, Page, Paper, Stroke, dot};
use crate::plan_sheet::{Map, north, sign};

/// A shot that is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct WantedShot {
    /// Its name: "shot 1".
    pub name: String,
    /// Where it is.
    pub at: Point,
    /// The line and station it lies on: "L3 at 2+40".
    pub on: String,
    /// The level that is expected, in words.
    pub expected: String,
    /// What it settles, in words.
    pub settles: String,
}

/// What the page is made from.
#[derive(Debug, Clone, Copy)]
pub struct CrewWork<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// In what terms coordinates and levels are.
    pub reference: &'a Reference,
    /// What the reader must know, a paragraph each.
    pub told: &'a [String],
    /// The shots, the most telling first.
    pub shots: &'a [WantedShot],
    /// The paper.
    pub paper: Paper,
}

/// Height of the sketch, millimetres.
const SKETCH: f64 = 105.0;
/// Room round what it shows, millimetres: at the sides twice as much, for names.
const ROOM: f64 = 5.0;
/// Radius of a place on it, millimetres.
const PLACE: f64 = 1.3;

/// The page, and what it runs on to.
pub fn crew_book(work: &CrewWork) -> Book {
    let plain = Plain::default();
    let title = format!("For the survey crew: {}", work.plan.title.name);
    let mut flow = Flow::new(&plain, work.paper.standing_mm(), "For the survey crew");
    flow.paragraph(&work.plan.title.name, 12.0, true);
    flow.paragraph(&format!("{}. {}.", work.reference.coordinates(), work.reference.levels()), 9.5, false);
    work.told.iter().for_each(|told| flow.paragraph(told, 9.5, false));
    let columns: [Column; 7] = [
        ("Shot", 0.08, Align::Left),
        ("Easting", 0.12, Align::Right),
        ("Northing", 0.13, Align::Right),
        ("On", 0.14, Align::Left),
        ("Ground expected", 0.18, Align::Left),
        ("Settles", 0.23, Align::Left),
        ("Level shot", 0.12, Align::Left),
    ];
    let rows: Vec<Vec<String>> = work.shots.iter().map(|shot| row(work.reference, shot)).collect();
    flow.table(&columns, &rows, 9.0);
    benchmarks(work).iter().for_each(|mark| flow.paragraph(mark, 9.5, false));
    let words = "Sketch of the lines with the shots that are asked for. North is up.";
    flow.drawing(SKETCH, words, |page, rect| sketch(work, plain.ink(), page, rect));
    flow.paragraph(plan::CAUTION, 8.5, false);
    let mut pages = flow.finish();
    number(&mut pages);
    let edition = Edition { title: "Survey".into(), ..Edition::default() };
    Book { title, as_of: None, pages, edition }
}

fn row(reference: &Reference, shot: &WantedShot) -> Vec<String> {
    let across = |value_m: f64| reference.across.figure(value_m, 2);
    let (on, expected, settles) = (shot.on.clone(), shot.expected.clone(), shot.settles.clone());
    vec![shot.name.clone(), across(shot.at.x), across(shot.at.y), on, expected, settles, String::new()]
}

/// Every benchmark with its place and level.
fn benchmarks(work: &CrewWork) -> Vec<String> {
    let (across, up) = (work.reference.across, work.reference.up);
    let mark = |mark: &plan::Benchmark| {
        let [east, north] = [mark.at.x, mark.at.y].map(|m| across.figure(m, 2));
        let level = format!("{} {}", up.figure(mark.level_m, 3), up.sign());
        format!("Benchmark {}: E {east}, N {north}, level {level}.", mark.name)
    };
    work.plan.survey.benchmarks.iter().map(mark).collect()
}

/// Field, lines, benchmarks and the places, as large as they fit, north up.
fn sketch(work: &CrewWork, ink: &Ink, page: &mut Page, (x, y, w, h): Rect) {
    let lines = || work.plan.lines.values().filter(|line| !line.kind.is_old());
    let ring = || work.plan.field.iter().flat_map(|field| closed(&field.ring));
    let places = lines().flat_map(|line| line.points.clone()).chain(ring());
    let Some(corners) = extent(places.chain(work.shots.iter().map(|shot| shot.at))) else { return };
    let rect = (x + ROOM, y, w - 2.0 * ROOM, h);
    let (map, mut labels) = (Map::fitted(rect, corners, ROOM), Labels::new(ink, rect));
    page.line(&map.path(&ring().collect::<Vec<_>>()), Stroke::dashed(0.3, &[5.0, 1.2, 1.0, 1.2]));
    for line in lines() {
        let path = map.path(&line.points);
        labels.keep_off_line(&path);
        page.line(&path, Stroke::grey(0.35, 110));
    }
    for shot in work.shots {
        page.items.push(dot(map.place(shot.at), PLACE, 0));
        labels.keep_off(map.place(shot.at), PLACE);
    }
    for shot in work.shots {
        labels.put(around(map.place(shot.at), 10.0, true, &shot.name, PLACE + 0.6));
    }
    let marks = work.plan.survey.benchmarks.iter().map(|mark| (mark, map.place(mark.at)));
    for (mark, at) in marks.filter(|(_, at)| holds(rect, *at)) {
        page.items.extend(sign(Sign::Benchmark, at, at));
        labels.put(around(at, 9.0, false, mark.name.split(',').next().unwrap_or_default(), 2.4));
    }
    for line in lines() {
        let middle = point_at(&line.points, line.length_m() / 2.0).unwrap_or(line.points[0]);
        labels.put(around(map.place(middle), 9.0, false, &line.name, 1.4));
    }
    page.items.append(&mut labels.items);
    north(page, rect);
}

fn holds((x, y, w, h): Rect, at: (f64, f64)) -> bool {
    (x..=x + w).contains(&at.0) && (y..=y + h).contains(&at.1)
}
