//! A drawing for a class: things in metres within a frame, put on a sheet of any size. Heights and lengths have scales of
//! their own, so that a section of a field fills a wall.

use measure::Point;

use crate::scene::{Form, Item, Scene};

/// A drawing for a class.
#[derive(Debug, Clone, PartialEq)]
pub struct Board<'a> {
    /// Lower left corner, metres.
    pub low: Point,
    /// Upper right corner, metres.
    pub high: Point,
    /// What is in it; y is up.
    pub scene: Scene<'a>,
}

impl Board<'_> {
    /// Height over width, where lengths and heights have one scale.
    pub fn shape(&self) -> f64 {
        (self.high.y - self.low.y) / (self.high.x - self.low.x)
    }

    /// The things on a sheet so wide and so high, in its units from the lower left corner.
    pub fn on(&self, (wide, tall): (f64, f64)) -> Scene<'static> {
        let (across, up) = (wide / (self.high.x - self.low.x), tall / (self.high.y - self.low.y));
        let place = |at: &Point| Point::new((at.x - self.low.x) * across, (at.y - self.low.y) * up);
        let items = self.scene.items.iter().filter_map(|item| {
            let form = placed(&item.form, place)?;
            Some(Item { form, role: item.role, says: item.says.clone(), emphasis: item.emphasis })
        });
        Scene { time_s: self.scene.time_s, items: items.collect() }
    }
}

/// A form with its places put elsewhere; `None` for those that belong to a map or a profile.
fn placed(form: &Form, place: impl Fn(&Point) -> Point) -> Option<Form<'static>> {
    let path = |points: &[Point]| points.iter().map(&place).collect::<Vec<Point>>();
    Some(match form {
        Form::Path(points) | Form::Level(points, _) => Form::Path(path(points).into()),
        Form::Stream(points, _) => Form::Path(path(points).into()),
        Form::Ring(points) => Form::Ring(path(points).into()),
        Form::Strip(lower, upper) => Form::Strip(path(lower), path(upper)),
        Form::Sign(at, toward) => Form::Sign(place(at), place(toward)),
        Form::Words(at) => Form::Words(place(at)),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::role::{Role, Taught};

    #[test]
    fn corners_come_to_corners() {
        let (low, high) = (Point::new(-2.0, -3.0), Point::new(8.0, 1.0));
        let path = Item::new(Role::Taught(Taught::WaterTable), Form::Path(vec![low, high].into()));
        let board = Board { low, high, scene: Scene { time_s: None, items: vec![path] } };
        let placed = board.on((640.0, 320.0));
        assert_eq!(placed.items[0].form, Form::Path(vec![Point::new(0.0, 0.0), Point::new(640.0, 320.0)].into()));
    }
}
