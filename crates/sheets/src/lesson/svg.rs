//! Boards as SVG: what is alike is drawn as one path, so that a page of many frames stays small.

use std::fmt::Write;

use drawing::{Form, Item, Pipe, Role, Taught};
use measure::Point;

use super::boards::{Frame, Seen, Show};
use crate::html::escaped;

/// Width of a drawing in its own units; a phone shows about as many points.
const WIDE: f64 = 400.0;
/// How far a course may be off, in the same units: less than the width of any line.
const OFF: f64 = 0.2;

/// A show as one drawing whose frames are seen one after the other.
pub fn show(show: &Show) -> String {
    let tall = WIDE * show.shape;
    let frames: String = show.frames.iter().map(|frame| group(frame, show.still, tall)).collect();
    format!(
        "<svg viewBox=\"0 0 {WIDE:.0} {tall:.0}\" role=\"img\" aria-label=\"{}\">\n{frames}</svg>\n",
        escaped(&show.name)
    )
}

fn group(frame: &Frame, still: usize, tall: f64) -> String {
    let inside = items(&frame.board.on((WIDE, tall)).items, tall);
    let mark = |at: usize| if at == still { " class=\"still\"" } else { "" };
    match frame.seen {
        Seen::Always => inside,
        Seen::At(step) => format!("<g data-at=\"{step}\"{}>\n{inside}</g>\n", mark(step)),
        Seen::From(step) => format!("<g data-from=\"{step}\"{}>\n{inside}</g>\n", mark(step)),
    }
}

/// Things in their order; neighbours of one look become one path.
fn items(items: &[Item], tall: f64) -> String {
    let mut out = String::new();
    let mut held = ("", String::new());
    for item in items {
        let (class, d) = (class(item.role), course(&item.form, tall));
        if class.is_empty() {
            continue;
        }
        if held.0 != class {
            close(&mut out, &held);
            held = (class, String::new());
        }
        held.1.push_str(&d);
        if let Some((at, hung)) = words_at(item) {
            close(&mut out, &held);
            held = ("", String::new());
            let _ = writeln!(
                out,
                "<text class=\"{hung}\" x=\"{:.1}\" y=\"{:.1}\">{}</text>",
                at.x,
                tall - at.y,
                escaped(&item.says)
            );
        }
    }
    close(&mut out, &held);
    out
}

fn close(out: &mut String, (class, d): &(&str, String)) {
    if !d.is_empty() {
        let _ = writeln!(out, "<path class=\"{class}\" d=\"{d}\"/>");
    }
}

/// Where the words of a thing stand, and how they hang.
fn words_at(item: &Item) -> Option<(Point, &'static str)> {
    match &item.form {
        _ if item.says.is_empty() => None,
        Form::Words(at) => Some((*at, "said")),
        Form::Path(points) if item.role == Role::Taught(Taught::FormerTable) => {
            Some((*points.get(points.len() * 4 / 9)?, "day"))
        }
        _ => None,
    }
}

/// A form as the commands of a path.
fn course(form: &Form, tall: f64) -> String {
    match form {
        Form::Path(points) => path(points, tall, ""),
        Form::Ring(points) => path(points, tall, "z"),
        Form::Strip(lower, upper) => {
            let round: Vec<Point> = lower.iter().chain(upper.iter().rev()).copied().collect();
            path(&round, tall, "z")
        }
        // A dot is a path of no length whose ends are round.
        Form::Sign(at, _) => format!("M{:.1} {:.1}h0", at.x, tall - at.y),
        _ => String::new(),
    }
}

/// A path through as few places as tell it; nothing where none of it is seen.
fn path(points: &[Point], tall: f64, end: &str) -> String {
    let is_seen = |at: &Point| (0.0..=WIDE).contains(&at.x) && (0.0..=tall).contains(&at.y);
    if !points.iter().any(is_seen) {
        return String::new();
    }
    let kept = terrain::simplify(points, OFF);
    let places: Vec<String> = kept.iter().map(|at| format!("{:.1} {:.1}", at.x, tall - at.y)).collect();
    format!("M{}{end}", places.join("L"))
}

/// The class by which the style gives a role its look; empty for what is left out.
fn class(role: Role) -> &'static str {
    match role {
        Role::Taught(what) => taught(what),
        Role::Ground => "ground",
        Role::Contour => "contour",
        Role::IndexContour => "index",
        Role::Boundary => "field",
        Role::Ditch | Role::Culvert => "ditch",
        Role::FlowPath => "way",
        Role::FlowPathFoot => "drop",
        Role::Line(Pipe::Main | Pipe::Submain) => "main",
        Role::Line(Pipe::Lateral) => "lateral",
        Role::Outlet => "outlet",
        _ => "",
    }
}

fn taught(what: Taught) -> &'static str {
    match what {
        Taught::HeldWater => "held",
        Taught::FullSoil => "full",
        Taught::TightSoil => "tight",
        Taught::AirPore => "air",
        Taught::WaterPore => "pore",
        Taught::FormerTable => "former",
        Taught::WaterTable => "table",
        Taught::Root => "root",
        Taught::Stem => "stem",
        Taught::Leaves => "leaves",
        Taught::RootDepth => "roots",
        Taught::Drain => "drain",
        Taught::Bore => "bore",
        Taught::Running => "running",
        Taught::Standing => "standing",
        Taught::Wall => "wall",
        Taught::SiltLine => "silt",
        Taught::Words => "words",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neighbours_of_one_look_are_one_path() {
        let dot = |x: f64| {
            let at = Point::new(x, 10.0);
            Item::new(Role::Taught(Taught::AirPore), Form::Sign(at, at))
        };
        let said = Item::new(Role::Taught(Taught::Words), Form::Words(Point::new(4.0, 90.0))).saying("<deep>");
        assert_eq!(
            items(&[dot(1.0), dot(2.0), said, dot(3.0)], 100.0),
            "<path class=\"air\" d=\"M1.0 90.0h0M2.0 90.0h0\"/>\n\
             <text class=\"said\" x=\"4.0\" y=\"10.0\">&lt;deep&gt;</text>\n<path class=\"air\" d=\"M3.0 90.0h0\"/>\n"
        );
    }
}
