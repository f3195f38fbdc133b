//! Where the map looks: at all there is, or at what is chosen.

use measure::Point;
use plan::ObjectId;

use crate::desk::Desk;
use crate::view::{Selection, View};
use job::Session;

/// What stands alone is shown with so much land to each side, metres (own choice: a field's corner).
const ROUND_M: f64 = 25.0;

/// Shows what is chosen as large as the map has room for.
pub fn fit_selection(desk: &mut Desk) {
    desk.view.fit_to = extent(&desk.session, &desk.view);
    desk.view.fit = desk.view.fit_to.is_some();
}

/// Shows the whole field.
pub fn fit_all(desk: &mut Desk) {
    (desk.view.fit, desk.view.fit_to) = (true, None);
}

/// The corners of what is chosen; a single place has land round it.
fn extent(session: &Session, view: &View) -> Option<(Point, Point)> {
    let (low, high) = measure::extent(chosen(session, view))?;
    let round = |low: f64, high: f64| ((ROUND_M * 2.0 - (high - low)) / 2.0).max(0.0);
    let (x, y) = (round(low.x, high.x), round(low.y, high.y));
    let is_small = x > 0.0 && y > 0.0;
    let by = |add: f64| if is_small { add } else { 0.0 };
    Some((Point::new(low.x - by(x), low.y - by(y)), Point::new(high.x + by(x), high.y + by(y))))
}

fn chosen(session: &Session, view: &View) -> Vec<Point> {
    let plan = &session.worked().plan;
    match view.selection {
        Selection::Object(ObjectId::Outlet(id)) => {
            plan.outlets.get(&id).map(|outlet| outlet.at).into_iter().collect()
        }
        Selection::Object(ObjectId::Watercourse(id)) => {
            plan.watercourses.get(&id).map(|course| course.points.clone()).unwrap_or_default()
        }
        Selection::Object(ObjectId::Landmark(id)) => {
            plan.landmarks.get(&id).map(|mark| mark.outline.path().to_vec()).unwrap_or_default()
        }
        Selection::Field => plan.field.iter().flat_map(|field| field.ring.iter().copied()).collect(),
        Selection::Nothing => view.finding.map(|(_, at)| at).into_iter().collect(),
        Selection::Object(ObjectId::Line(_)) | Selection::Bend(..) | Selection::Lines => {
            let lines = view.lines().into_iter().filter_map(|id| plan.lines.get(&id));
            lines.flat_map(|line| line.points.iter().copied()).collect()
        }
    }
}
