//! Soil at a place, and how far a drain in it draws.

use hydraulics::{EFFECTIVE_RADIUS_M, Estimate, Mix, Soil, SoilWater, USUAL_ORGANIC, drainable_porosity};
use measure::Point;
use plan::{LandmarkId, Pit, Plan, SoilLayer, Texture};

/// How far a conductivity or a porosity that was measured in one pit may be off for the land round it, as a factor
/// ([judgement]: repeated auger-hole tests of one field scatter so).
pub const MEASURED_FACTOR: f64 = 2.0;

/// The soil under a plan as its pits tell it.
pub struct Soils<'a> {
    plan: &'a Plan,
    pits: Vec<(LandmarkId, Point, &'a Pit)>,
}

/// Where what is known of the soil at a place comes from.
#[derive(Debug, Clone, PartialEq)]
pub enum SoilFrom {
    /// The pit nearest to the place.
    Pit {
        /// The pit.
        id: LandmarkId,
        /// Its name.
        name: String,
        /// How far off it lies, metres.
        off_m: f64,
    },
    /// The brief's texture: no pit was dug.
    Brief,
}

/// The soil at a place and a depth.
#[derive(Debug, Clone, PartialEq)]
pub struct SoilAt {
    /// Saturated conductivity at the depth, m/s.
    pub conductivity: Estimate,
    /// True where that was measured, false where it is told by texture.
    pub is_measured: bool,
    /// Share of the volume that drains as the water table falls.
    pub porosity: Estimate,
    /// Depth of the top of the tight layer below the surface, metres; `None` where no pit reached it.
    pub tight_m: Option<f64>,
    /// Content of water left when gravity has drained it.
    pub field_capacity: Estimate,
    /// Content when all pores are full.
    pub saturation: Estimate,
    /// Content at which plants wilt.
    pub wilting_point: Estimate,
    /// Its texture.
    pub texture: Texture,
    /// What it is made of; `None` for gravel.
    pub mix: Option<Mix>,
    /// Where this comes from.
    pub from: SoilFrom,
}

/// What a layer is made of: as measured, else the middle of its texture with the usual organic matter.
fn mix(layer: &SoilLayer) -> Option<Mix> {
    let (sand, clay) = layer.texture.middle()?;
    Some(Mix { sand, clay: layer.clay.unwrap_or(clay), organic: USUAL_ORGANIC })
}

/// Saturated conductivity of a layer, m/s: as measured, else by its mix ([SR06]) within the range of the tables for its
/// texture; for gravel the middle of the tables.
pub fn conductivity(layer: &SoilLayer) -> Estimate {
    if let Some(measured_ms) = layer.conductivity_ms {
        return Estimate::within(measured_ms, MEASURED_FACTOR);
    }
    let tables = layer.texture.conductivities_ms();
    let low = tables.iter().map(|(_, low, _)| *low).fold(f64::INFINITY, f64::min);
    let high = tables.iter().map(|(_, _, high)| *high).fold(0.0, f64::max);
    let likely = mix(layer).map_or((low * high).sqrt(), |mix| SoilWater::of(mix).conductivity_ms());
    Estimate::known(likely).widened(low, high)
}

/// Share of a layer that drains: by its likely conductivity within the range of the tables for its texture.
fn porosity(layer: &SoilLayer) -> Estimate {
    let (low, high) = layer.texture.drainable_porosity();
    Estimate::known(drainable_porosity(conductivity(layer).likely)).widened(low, high)
}

/// A share of the volume that is known within an error either way.
fn share(likely: f64, off: f64) -> Estimate {
    Estimate { low: (likely - off).max(0.0), likely, high: (likely + off).min(1.0) }
}

impl<'a> Soils<'a> {
    /// Gathers the pits of a plan.
    pub fn of(plan: &'a Plan) -> Self {
        let pits =
            plan.landmarks.iter().filter_map(|(id, mark)| Some((*id, mark.outline.middle(), mark.kind.pit()?)));
        Self { plan, pits: pits.collect() }
    }

    /// The soil pit nearest to a place, and where it lies.
    fn nearest(&self, at: Point) -> Option<(LandmarkId, Point, &'a Pit)> {
        // Squares of distances: this is asked for every station.
        let away = |p: Point| (p.x - at.x) * (p.x - at.x) + (p.y - at.y) * (p.y - at.y);
        let ranked = self.pits.iter().map(|pit| (away(pit.1), *pit));
        ranked.min_by(|x, y| x.0.total_cmp(&y.0)).map(|(_, pit)| pit)
    }

    /// The soil pit nearest to a place.
    pub fn pit_near(&self, at: Point) -> Option<&'a Pit> {
        self.nearest(at).map(|(_, _, pit)| pit)
    }

    /// Texture of the soil at a depth, metres: that of the pit nearest to the place, else the brief's.
    pub fn texture_at(&self, at: Point, depth_m: f64) -> Option<Texture> {
        let layer = self.pit_near(at).and_then(|pit| pit.layer_at(depth_m));
        layer.map(|layer| layer.texture).or(self.plan.brief.texture)
    }

    /// What is known of the soil at a place and a depth, metres: from the nearest pit, else from the brief's texture.
    pub fn known(&self, at: Point, depth_m: f64) -> Option<SoilAt> {
        let from_pit = self.nearest(at).and_then(|(id, place, pit)| {
            let name = self.plan.landmarks[&id].name.clone();
            let from = SoilFrom::Pit { id, name, off_m: measure::distance(place, at) };
            Some((*pit.layer_at(depth_m)?, pit.tight_m, from))
        });
        let from_brief = || {
            let texture = self.plan.brief.texture?;
            Some((SoilLayer { to_m: depth_m, texture, clay: None, conductivity_ms: None }, None, SoilFrom::Brief))
        };
        let (layer, tight_m, from) = from_pit.or_else(from_brief)?;
        Some(SoilAt::of(&layer, tight_m, from))
    }

    /// The soil round a drain at a place and depth, metres; `None` where no pit tells conductivity and tight layer.
    pub fn at(&self, at: Point, depth_m: f64) -> Option<Soil> {
        let pit = self.pit_near(at)?;
        let conductivity_ms = conductivity(pit.layer_at(depth_m)?).likely;
        Some(Soil::even(conductivity_ms, pit.tight_m? - depth_m, EFFECTIVE_RADIUS_M))
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

impl SoilAt {
    /// What a layer tells; where its make-up is not known, as of loamy gravel ([judgement]: field capacity 0.1, full 0.4).
    pub fn of(layer: &SoilLayer, tight_m: Option<f64>, from: SoilFrom) -> Self {
        let mix = mix(layer);
        let water = mix.map(SoilWater::of);
        let of = |share: fn(&SoilWater) -> f64, gravel: f64| water.as_ref().map_or(gravel, share);
        Self {
            conductivity: conductivity(layer),
            is_measured: layer.conductivity_ms.is_some(),
            porosity: porosity(layer),
            tight_m,
            field_capacity: share(of(|water| water.field_capacity, 0.1), SoilWater::FIELD_CAPACITY_OFF),
            saturation: share(of(|water| water.saturation, 0.4), SoilWater::SATURATION_OFF),
            wilting_point: share(of(|water| water.wilting_point, 0.05), SoilWater::WILTING_POINT_OFF),
            texture: layer.texture,
            mix,
            from,
        }
    }
}
