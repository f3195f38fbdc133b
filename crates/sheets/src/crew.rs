//! The survey crew's page: where one more shot would settle most, with coordinates and the level that is expected there.

use measure::{Point, extent};
use plan::{Plan, Reference};

use crate::book::{Book, number};
use crate::edition::Edition;
use crate::flow::{Column, Flow};
use crate::labels::Rect;
use crate::lesson::Plain;
use crate::page::{Align, Page, Paper, Stroke, dot, text_item};
use crate::plan_sheet::Map;

/// A shot that is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct WantedShot {
    /// Its name: "S1".
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
/// Room for a name beside its place, millimetres.
const NAME: f64 = 9.0;

/// The page, and what it runs on to.
pub fn crew_book(work: &CrewWork) -> Book {
    let plain = Plain::default();
    let title = format!("For the survey crew: {}", work.plan.title.name);
    let mut flow = Flow::new(&plain, work.paper.standing_mm(), "For the survey crew");
    flow.paragraph(&work.plan.title.name, 12.0, true);
    flow.paragraph(&format!("{}. {}.", work.reference.coordinates(), work.reference.levels()), 9.5, false);
    work.told.iter().for_each(|told| flow.paragraph(told, 9.5, false));
    let columns: [Column; 6] = [
        ("Shot", 0.07, Align::Left),
        ("Easting", 0.14, Align::Right),
        ("Northing", 0.15, Align::Right),
        ("On", 0.16, Align::Left),
        ("Ground expected", 0.19, Align::Left),
        ("Settles", 0.29, Align::Left),
    ];
    let rows: Vec<Vec<String>> = work.shots.iter().map(|shot| row(work.reference, shot)).collect();
    flow.table(&columns, &rows, 9.0);
    let words = "Sketch of the lines with the shots that are asked for. North is up.";
    flow.drawing(SKETCH, words, |page, rect| sketch(work, page, rect));
    flow.paragraph(plan::CAUTION, 8.5, false);
    let mut pages = flow.finish();
    number(&mut pages);
    let edition = Edition { title: "Survey".into(), ..Edition::default() };
    Book { title, as_of: None, pages, edition }
}

fn row(reference: &Reference, shot: &WantedShot) -> Vec<String> {
    let across = |value_m: f64| reference.across.figure(value_m, 2);
    let (on, expected, settles) = (shot.on.clone(), shot.expected.clone(), shot.settles.clone());
    vec![shot.name.clone(), across(shot.at.x), across(shot.at.y), on, expected, settles]
}

/// The lines and the places, as large as they fit, north up.
fn sketch(work: &CrewWork, page: &mut Page, (x, y, w, h): Rect) {
    let lines = || work.plan.lines.values().filter(|line| !line.kind.is_old());
    let places = lines().flat_map(|line| line.points.clone()).chain(work.shots.iter().map(|shot| shot.at));
    let Some(corners) = extent(places) else { return };
    let map = Map::fitted((x + ROOM, y, w - 2.0 * ROOM, h), corners, ROOM);
    for line in lines() {
        page.line(&map.path(&line.points), Stroke::grey(0.35, 110));
    }
    for shot in work.shots {
        let (east, north) = map.place(shot.at);
        page.items.push(dot((east, north), PLACE, 0));
        let mut others = work.shots.iter().filter(|other| *other != shot).map(|other| map.place(other.at));
        let is_beside = |(x, y): (f64, f64)| (0.0..NAME).contains(&(x - east)) && (y - north).abs() < NAME;
        let (side_mm, align) = if others.any(is_beside) { (-2.2, Align::Right) } else { (2.2, Align::Left) };
        page.items.push(text_item((east + side_mm, north - 1.2), 10.0, true, align, shot.name.as_str()));
    }
}
