//! Lessons as files: what a class is shown on the land of a plan, as one HTML page or as PDF. Nothing to dig by.

use drawing::MapOf;
use lesson::Topic;
use measure::{Point, Units};
use sheets::{LessonWork, Paper, PdfError};

use crate::ground;
use crate::worked::Worked;

/// Drops of rain that are followed, along each side of the field (own choice: enough to see where they gather).
const DROPS: usize = 9;

/// The lessons as one HTML page.
pub fn page(derived: &Worked, topics: &[Topic], units: Units) -> String {
    with_work(derived, topics, units, sheets::lesson_page)
}

/// The lessons as PDF; `told` hears each page and may stop.
pub fn pdf(
    derived: &Worked,
    topics: &[Topic],
    (units, paper): (Units, Paper),
    told: &dyn Fn(usize, usize) -> bool,
) -> Result<Vec<u8>, PdfError> {
    let book = with_work(derived, topics, units, |work| sheets::lesson_book(work, paper));
    let count = book.pages.len();
    sheets::pdf(&book, &|page| told(page, count))
}

fn with_work<T>(derived: &Worked, topics: &[Topic], units: Units, made: impl FnOnce(&LessonWork) -> T) -> T {
    let contours = derived.land.contours(None, units.length_unit(), ground::threads());
    let contours = contours.as_ref().map_or(&[][..], |contours| &contours.lines);
    let map = MapOf { contours, ..MapOf::new(&derived.plan, &derived.design) };
    let ways = ways(derived);
    made(&LessonWork { units, topics, map, ways: &ways })
}

/// The ways of drops that fall on even places of the field to its edge, or of the whole ground where there is no field.
fn ways(derived: &Worked) -> Vec<Vec<Point>> {
    let land = &derived.land;
    let Some((grid, water)) = land.grid().zip(land.water.as_deref()) else { return Vec::new() };
    let ring = derived.plan.field.as_ref().map_or(Vec::new(), |field| field.ring.clone());
    let whole = [grid.centre(0, 0), grid.centre(grid.cols() - 1, grid.rows() - 1)];
    let corners = measure::extent(if ring.is_empty() { whole.to_vec() } else { ring.clone() });
    let Some((low, high)) = corners else { return Vec::new() };
    let share = |k: usize| (k as f64 + 0.5) / DROPS as f64;
    let places = (0..DROPS * DROPS).map(|k| {
        let (east, north) = (share(k % DROPS), share(k / DROPS));
        Point::new(low.x + (high.x - low.x) * east, low.y + (high.y - low.y) * north)
    });
    let is_inside = |at: &Point| ring.is_empty() || measure::ring_holds(&ring, *at);
    // What is beyond the field is not drawn.
    let way = |at: Point| water.path_from(grid, at).into_iter().take_while(is_inside).collect::<Vec<Point>>();
    places.filter(is_inside).map(way).filter(|way| way.len() > 1).collect()
}
