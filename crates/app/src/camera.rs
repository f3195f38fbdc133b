//! The one transform between the plan and the screen.

use egui::{Pos2, Rect, Vec2};
use measure::Point;

/// Screen points a metre, farthest and nearest.
const SCALES: (f64, f64) = (0.002, 400.0);

/// Where the map looks: the place in its middle and how many screen points a metre takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Camera {
    /// The place in the middle of the map.
    pub centre: Point,
    /// Screen points a metre.
    pub scale: f64,
}

impl Default for Camera {
    fn default() -> Self {
        Self { centre: Point::new(0.0, 0.0), scale: 1.0 }
    }
}

impl Camera {
    /// Looks at everything between two corners, with a margin.
    pub fn fit(low: Point, high: Point, size: Vec2) -> Self {
        const MARGIN: f64 = 0.86;
        let across = (high.x - low.x).max(1.0);
        let up = (high.y - low.y).max(1.0);
        let scale = (size.x as f64 / across).min(size.y as f64 / up) * MARGIN;
        let centre = Point::new((low.x + high.x) / 2.0, (low.y + high.y) / 2.0);
        Self { centre, scale: scale.clamp(SCALES.0, SCALES.1) }
    }

    /// Zooms by a factor so that the place under the pointer stays there.
    pub fn zoom(&mut self, lens: &Lens, at: Pos2, factor: f32) {
        self.zoom_at(lens.to_plan(at), factor as f64);
    }

    /// Zooms by a factor so that a place of the plan stays where it is seen.
    pub fn zoom_at(&mut self, held: Point, factor: f64) {
        let before = self.scale;
        self.scale = (before * factor).clamp(SCALES.0, SCALES.1);
        let share = before / self.scale;
        self.centre.x = held.x + (self.centre.x - held.x) * share;
        self.centre.y = held.y + (self.centre.y - held.y) * share;
    }

    /// Moves the map by so many screen points.
    pub fn pan(&mut self, by: Vec2) {
        self.centre.x -= by.x as f64 / self.scale;
        self.centre.y += by.y as f64 / self.scale;
    }
}

/// A camera in a rectangle of the screen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lens {
    /// Where it looks.
    pub camera: Camera,
    /// The map's rectangle on the screen.
    pub rect: Rect,
}

impl Lens {
    /// Where a place appears on the screen.
    pub fn to_screen(&self, at: Point) -> Pos2 {
        let Camera { centre, scale } = self.camera;
        let middle = self.rect.center();
        Pos2::new(middle.x + ((at.x - centre.x) * scale) as f32, middle.y - ((at.y - centre.y) * scale) as f32)
    }

    /// The place under a spot of the screen.
    pub fn to_plan(&self, at: Pos2) -> Point {
        let Camera { centre, scale } = self.camera;
        let middle = self.rect.center();
        Point::new(centre.x + (at.x - middle.x) as f64 / scale, centre.y - (at.y - middle.y) as f64 / scale)
    }

    /// A polyline on the screen.
    pub fn path(&self, points: &[Point]) -> Vec<Pos2> {
        points.iter().map(|p| self.to_screen(*p)).collect()
    }

    /// So many screen points in metres.
    pub fn metres(&self, points: f32) -> f64 {
        points as f64 / self.camera.scale
    }

    /// South-west and north-east corner of what is seen.
    pub fn seen(&self) -> (Point, Point) {
        (self.to_plan(self.rect.left_bottom()), self.to_plan(self.rect.right_top()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::{pos2, vec2};

    fn lens() -> Lens {
        let camera = Camera { centre: Point::new(500_000.0, 4_000_000.0), scale: 2.5 };
        Lens { camera, rect: Rect::from_min_size(pos2(10.0, 20.0), vec2(800.0, 600.0)) }
    }

    #[test]
    fn there_and_back() {
        let at = Point::new(500_031.25, 4_000_017.5);
        let back = lens().to_plan(lens().to_screen(at));
        assert!(measure::distance(at, back) < 1e-4);
    }

    #[test]
    fn zoom_holds_the_place_under_the_pointer() {
        let lens = lens();
        let mut camera = lens.camera;
        let pointer = pos2(300.0, 111.0);
        let before = lens.to_plan(pointer);
        camera.zoom(&lens, pointer, 1.7);
        let after = Lens { camera, ..lens }.to_plan(pointer);
        assert!(measure::distance(before, after) < 1e-6);
    }

    #[test]
    fn fit_shows_both_corners() {
        let (low, high) = (Point::new(0.0, 0.0), Point::new(1000.0, 200.0));
        let rect = Rect::from_min_size(pos2(0.0, 0.0), vec2(500.0, 400.0));
        let lens = Lens { camera: Camera::fit(low, high, rect.size()), rect };
        assert!(rect.contains(lens.to_screen(low)) && rect.contains(lens.to_screen(high)));
    }
}
