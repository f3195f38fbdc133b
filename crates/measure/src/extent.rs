//! The box round places.

use crate::Point;

/// South-west and north-east corner of the box round places; `None` where there are none.
pub fn extent(places: impl IntoIterator<Item = Point>) -> Option<(Point, Point)> {
    let pairs = places.into_iter().map(|at| (at, at));
    pairs.reduce(|(low, high), (at, _)| {
        (Point::new(low.x.min(at.x), low.y.min(at.y)), Point::new(high.x.max(at.x), high.y.max(at.y)))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_box_touches_the_outermost_places() {
        let places = [(3.0, -1.0), (-2.0, 5.0), (0.0, 0.0)].map(|(x, y)| Point::new(x, y));
        assert_eq!(extent(places), Some((Point::new(-2.0, -1.0), Point::new(3.0, 5.0))));
        assert_eq!(extent(places[..1].iter().copied()), Some((places[0], places[0])));
        assert_eq!(extent([]), None);
    }
}
