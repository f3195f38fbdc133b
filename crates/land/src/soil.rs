//! Soil at a place, and how far a drain in it draws.

use hydraulics::{EFFECTIVE_RADIUS_M, Soil};
use measure::Point;
use plan::{Pit, Plan, Texture};

/// The soil under a plan as its pits tell it.
pub struct Soils<'a> {
    plan: &'a Plan,
    pits: Vec<(Point, &'a Pit)>,
}

impl<'a> Soils<'a> {
    /// Gathers the pits of a plan.
    pub fn of(plan: &'a Plan) -> Self {
        let pits = plan.landmarks.values().filter_map(|mark| Some((mark.outline.middle(), mark.kind.pit()?)));
        Self { plan, pits: pits.collect() }
    }

    /// The soil pit nearest to a place.
    pub fn pit_near(&self, at: Point) -> Option<&'a Pit> {
        // Squares of distances: this is asked for every station.
        let away = |p: Point| (p.x - at.x) * (p.x - at.x) + (p.y - at.y) * (p.y - at.y);
        let ranked = self.pits.iter().map(|(place, pit)| (away(*place), *pit));
        ranked.min_by(|x, y| x.0.total_cmp(&y.0)).map(|(_, pit)| pit)
    }

    /// Texture of the soil at a depth, metres: that of the pit nearest to the place, else the brief's.
    pub fn texture_at(&self, at: Point, depth_m: f64) -> Option<Texture> {
        let layer = self.pit_near(at).and_then(|pit| pit.layer_at(depth_m));
        layer.map(|layer| layer.texture).or(self.plan.brief.texture)
    }

    /// The soil round a drain at a place and depth, metres; `None` where no pit tells conductivity and tight layer.
    pub fn at(&self, at: Point, depth_m: f64) -> Option<Soil> {
        let pit = self.pit_near(at)?;
        let conductivity_ms = pit.layer_at(depth_m)?.conductivity_ms()?;
        Some(Soil { conductivity_ms, tight_below_m: pit.tight_m? - depth_m, radius_m: EFFECTIVE_RADIUS_M })
    }

    /// Spacing that keeps the wanted water table at the design discharge, metres, for a drain at a depth, metres.
    pub fn spacing_m(&self, at: Point, depth_m: f64) -> Option<f64> {
        let brief = &self.plan.brief;
        hydraulics::spacing_m(self.at(at, depth_m)?, brief.coefficient_ms(), depth_m - brief.water_table_m)
    }

    /// How far to either side a drain at a place and depth dries the land as wanted, metres: half the spacing computed for
    /// it, else the brief's figure.
    pub fn served_m(&self, at: Point, depth_m: f64) -> f64 {
        self.spacing_m(at, depth_m).map_or(self.plan.brief.served_m, |spacing_m| spacing_m / 2.0)
    }

    /// How far to either side the water of the land comes to a drain at a place and depth, metres: as far as it serves, and
    /// never less than the brief's figure. Land farther off than tight soil lets a drain serve stays wet longer, but its
    /// water comes, and the pipe must carry it ([judgement], to the safe side).
    pub fn gathered_m(&self, at: Point, depth_m: f64) -> f64 {
        self.served_m(at, depth_m).max(self.plan.brief.served_m)
    }
}
