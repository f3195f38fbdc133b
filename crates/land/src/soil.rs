//! Soil at a place, and how far a drain in it draws.

use std::borrow::Cow;

use hydraulics::{
    EFFECTIVE_RADIUS_M, Estimate, Mix, Soil, SoilGroup, SoilWater, USUAL_ORGANIC, WIDEST_M, drainable_porosity,
};
use measure::Point;
use plan::{LandmarkId, Pit, Plan, SoilLayer, Texture};

/// How far a conductivity or a porosity that was measured in one pit may be off for the land round it, as a factor
/// ([judgement]: repeated auger-hole tests of one field scatter so).
pub const MEASURED_FACTOR: f64 = 2.0;

/// The same for a drainable porosity ([judgement]; 8 % and 24 % were measured in one sandy field, as a paper of 1988 is
/// quoted).
pub const POROSITY_FACTOR: f64 = 1.5;

/// Depth of a tight layer that no pit reached, metres: twice that of the drain over it ([NEH624], chapter 4, p. 63–66).
fn unreached_m(drain_depth_m: f64) -> f64 {
    2.0 * drain_depth_m
}

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
    /// Figures that were given for the question.
    Given,
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

/// The soil round a drain with the range of its conductivities.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Around {
    /// Conductivity from the wanted water table down to the drain, m/s.
    pub above: Estimate,
    /// Conductivity from the drain down to the tight layer, m/s.
    pub below: Estimate,
    /// Depth of the tight layer below the surface, metres.
    pub tight_m: f64,
    /// False where no pit reached it, and its depth is a guess.
    pub is_tight_known: bool,
    /// The drain's own layer: likely conductivity, m/s, and thickness below the drain, metres.
    pub upper: (f64, f64),
    /// What lies under that down to the tight layer, in the same terms.
    pub lower: (f64, f64),
}

impl Around {
    /// One soil from the surface down to a tight layer, round a drain at a depth, metres.
    pub const fn even(conductivity: Estimate, depth_m: f64, tight_m: f64) -> Self {
        Self {
            above: conductivity,
            below: conductivity,
            tight_m,
            is_tight_known: true,
            upper: (conductivity.likely, tight_m - depth_m),
            lower: (conductivity.likely, 0.0),
        }
    }

    /// The same with its tight layer at another depth below the surface, metres.
    pub fn tight_at(mut self, tight_m: f64) -> Self {
        let lowest = if self.lower.1 > 0.0 { &mut self.lower } else { &mut self.upper };
        lowest.1 = (lowest.1 + tight_m - self.tight_m).max(0.0);
        Self { tight_m, is_tight_known: true, ..self }
    }

    /// The same with its conductivities known within a factor.
    pub fn within(self, factor: f64) -> Self {
        let within = |k: Estimate| Estimate::within(k.likely, factor);
        Self { above: within(self.above), below: within(self.below), ..self }
    }

    /// The soil round a drain of a depth and radius, metres: at its tightest, likely, at its openest.
    fn soils(&self, depth_m: f64, radius_m: f64) -> [Soil; 3] {
        let of = |above_ms, below_ms| Soil { above_ms, below_ms, tight_below_m: self.tight_m - depth_m, radius_m };
        let (above, below) = (self.above, self.below);
        [of(above.low, below.low), of(above.likely, below.likely), of(above.high, below.high)]
    }

    /// The likely soil round a drain of a depth and radius, metres.
    pub fn likely(&self, depth_m: f64, radius_m: f64) -> Soil {
        self.soils(depth_m, radius_m)[1]
    }

    /// What follows from the soil by a rule that only rises or only falls with the conductivity.
    pub fn ranged(&self, depth_m: f64, radius_m: f64, rule: impl Fn(Soil) -> f64) -> Estimate {
        let [one, likely, other] = self.soils(depth_m, radius_m).map(rule);
        Estimate { low: one.min(other), likely, high: one.max(other) }
    }

    /// Spacing that keeps an arch of the water table, metres, at a steady discharge; `None` where the likely soil has none.
    /// Ends of the range without one are nothing, and the widest that is looked for.
    pub fn spacing(&self, depth_m: f64, radius_m: f64, discharge_ms: f64, arch_m: f64) -> Option<Estimate> {
        let found = self.soils(depth_m, radius_m).map(|soil| hydraulics::spacing_m(soil, discharge_ms, arch_m));
        let [low, likely, high] = found;
        Some(Estimate { low: low.unwrap_or(0.0), likely: likely?, high: high.unwrap_or(WIDEST_M) })
    }
}

/// Mean conductivity of a pit's layers between two depths, metres, by their thickness, as water flows along them; at one
/// depth, or where there is nothing between, that of the layer there.
fn mean_conductivity(pit: &Pit, from_m: f64, to_m: f64, of: impl Fn(&SoilLayer) -> Estimate) -> Estimate {
    let (mut top_m, mut sum, mut deep_m) = (from_m, [0.0; 3], 0.0);
    for (i, layer) in pit.layers.iter().enumerate() {
        let is_last = i + 1 == pit.layers.len();
        let bottom_m = if is_last { to_m } else { layer.to_m.min(to_m) };
        if bottom_m > top_m {
            let (thick_m, k) = (bottom_m - top_m, of(layer));
            sum = [sum[0] + k.low * thick_m, sum[1] + k.likely * thick_m, sum[2] + k.high * thick_m];
            (top_m, deep_m) = (bottom_m, deep_m + thick_m);
        }
    }
    match pit.layer_at(to_m) {
        Some(layer) if deep_m <= 0.0 => of(layer),
        _ => Estimate { low: sum[0] / deep_m, likely: sum[1] / deep_m, high: sum[2] / deep_m },
    }
}

/// What a layer is made of: as measured, else the middle of its texture with the usual organic matter.
fn mix(layer: &SoilLayer) -> Option<Mix> {
    let (sand, clay) = layer.texture.middle()?;
    let clay = layer.clay.unwrap_or(clay);
    let sand = layer.sand.unwrap_or(sand).min(1.0 - clay);
    // The equations were fitted to 8 % of organic matter.
    Some(Mix { sand, clay, organic: layer.organic.unwrap_or(USUAL_ORGANIC).min(0.08) })
}

/// Saturated conductivity of a layer to work with, m/s: as measured, else by its mix ([SR06]); for gravel, of which those
/// equations know nothing, the middle of the tables.
fn likely_ms(layer: &SoilLayer) -> f64 {
    let told = || match mix(layer) {
        Some(mix) => SoilWater::of(mix).conductivity_ms(),
        None => {
            let (low, high) = tables_ms(layer.texture);
            (low * high).sqrt()
        }
    };
    layer.conductivity_ms.unwrap_or_else(told)
}

/// The least and the most that tables give for a texture, m/s.
fn tables_ms(texture: Texture) -> (f64, f64) {
    let tables = texture.conductivities_ms();
    let low = tables.iter().map(|(_, low, _)| *low).fold(f64::INFINITY, f64::min);
    (low, tables.iter().map(|(_, _, high)| *high).fold(0.0, f64::max))
}

/// Saturated conductivity of a layer, m/s: one that was measured within [`MEASURED_FACTOR`], another within the range of the
/// tables for its texture.
fn conductivity(layer: &SoilLayer) -> Estimate {
    let likely = likely_ms(layer);
    if layer.conductivity_ms.is_some() {
        return Estimate::within(likely, MEASURED_FACTOR);
    }
    let (low, high) = tables_ms(layer.texture);
    Estimate::known(likely).widened(low, high)
}

/// Share of a layer that drains: one that was measured within [`POROSITY_FACTOR`], another by the likely conductivity, and
/// within the range of the tables for its texture.
fn porosity(layer: &SoilLayer) -> Estimate {
    if let Some(measured) = layer.porosity.filter(|share| *share > 0.0) {
        return Estimate::within(measured, POROSITY_FACTOR);
    }
    let (low, high) = layer.texture.drainable_porosity();
    Estimate::known(drainable_porosity(likely_ms(layer))).widened(low, high)
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
        let (pit, from) = self.profile(at)?;
        Some(SoilAt::of(pit.layer_at(depth_m)?, pit.tight_m, from))
    }

    /// The nearest pit that tells layers, else one that would show the brief's texture all the way down.
    fn profile(&self, at: Point) -> Option<(Cow<'a, Pit>, SoilFrom)> {
        if let Some((id, place, pit)) = self.nearest(at).filter(|(_, _, pit)| !pit.layers.is_empty()) {
            let name = self.plan.landmarks[&id].name.clone();
            return Some((Cow::Borrowed(pit), SoilFrom::Pit { id, name, off_m: measure::distance(place, at) }));
        }
        let layers = vec![SoilLayer::of(f64::MAX, self.plan.brief.texture?)];
        Some((Cow::Owned(Pit { layers, ..Pit::default() }), SoilFrom::Brief))
    }

    /// The soil round a drain at a place and depth, metres, with its ranges; where no pit reached the tight layer, that is
    /// taken twice as deep as the drain, and so told.
    pub fn around(&self, at: Point, depth_m: f64) -> Option<Around> {
        let (pit, _) = self.profile(at)?;
        let tight_m = pit.tight_m.unwrap_or(unreached_m(depth_m));
        let mean = |from_m, to_m| mean_conductivity(&pit, from_m, to_m, conductivity);
        let own = pit.layer_at(depth_m)?;
        // The lowest layer that was seen goes on below.
        let ends_m = if pit.layers.last() == Some(own) { tight_m } else { own.to_m };
        let upper_to_m = ends_m.min(tight_m).max(depth_m);
        Some(Around {
            above: mean(self.plan.brief.water_table_m, depth_m),
            below: mean(depth_m, tight_m),
            tight_m,
            is_tight_known: pit.tight_m.is_some(),
            upper: (likely_ms(own), upper_to_m - depth_m),
            lower: (mean(upper_to_m, tight_m).likely, (tight_m - upper_to_m).max(0.0)),
        })
    }

    /// The hydrologic soil group at a place, by the likely conductivity of its pit's layers; the shallowest mottles stand for
    /// the high water table.
    pub fn group(&self, at: Point) -> Option<SoilGroup> {
        let pit = self.pit_near(at).filter(|pit| !pit.layers.is_empty())?;
        let tops = [0.0].into_iter().chain(pit.layers.iter().map(|layer| layer.to_m));
        let least = |down_to_m: f64| {
            let met = tops.clone().zip(&pit.layers).filter(|(top_m, _)| *top_m < down_to_m);
            met.map(|(_, layer)| likely_ms(layer)).fold(f64::INFINITY, f64::min)
        };
        Some(hydraulics::soil_group(pit.tight_m, pit.mottles_m, least))
    }

    /// Thickness of the soil that is full in the wet season above a drain, metres: from the shallowest mottles, or else the
    /// surface, down to the tight layer, or else the drain.
    pub fn wet_thickness_m(&self, at: Point, depth_m: f64) -> f64 {
        let pit = self.pit_near(at);
        let down_to_m = pit.and_then(|pit| pit.tight_m).unwrap_or(depth_m);
        (down_to_m - pit.and_then(|pit| pit.mottles_m).unwrap_or(0.0)).max(0.0)
    }

    /// The soil round a drain at a place and depth, metres; `None` where no pit tells conductivity and tight layer.
    pub fn at(&self, at: Point, depth_m: f64) -> Option<Soil> {
        let pit = self.pit_near(at).filter(|pit| !pit.layers.is_empty())?;
        let tight_m = pit.tight_m?;
        let mean =
            |from_m, to_m| mean_conductivity(pit, from_m, to_m, |layer| Estimate::known(likely_ms(layer))).likely;
        Some(Soil {
            above_ms: mean(self.plan.brief.water_table_m, depth_m),
            below_ms: mean(depth_m, tight_m),
            tight_below_m: tight_m - depth_m,
            radius_m: EFFECTIVE_RADIUS_M,
        })
    }

    /// Spacing that keeps the wanted water table at the design discharge, metres, for a drain at a depth, metres.
    pub fn spacing_m(&self, at: Point, depth_m: f64) -> Option<f64> {
        let brief = &self.plan.brief;
        hydraulics::spacing_m(self.at(at, depth_m)?, brief.coefficient_ms(), depth_m - brief.water_table_m)
    }

    /// The same with the range that is left open by what is known of the conductivity.
    pub fn spacing(&self, at: Point, depth_m: f64) -> Option<Estimate> {
        let (brief, around) = (&self.plan.brief, self.around(at, depth_m)?);
        around.spacing(depth_m, EFFECTIVE_RADIUS_M, brief.coefficient_ms(), depth_m - brief.water_table_m)
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
    /// Depth of the tight layer under a drain of a depth, metres: as a pit showed it, else twice that of the drain.
    pub fn tight_or_guess_m(&self, drain_depth_m: f64) -> f64 {
        self.tight_m.unwrap_or(unreached_m(drain_depth_m))
    }

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

#[cfg(test)]
mod tests {
    use measure::DAY_S;
    use plan::{Landmark, LandmarkKind, Outline};

    use super::*;

    fn plan_with(pits: &[(f64, Pit)]) -> Plan {
        let mut plan = Plan::new("Ellowby", measure::Units::Feet);
        for (i, (x, pit)) in pits.iter().enumerate() {
            let kind = LandmarkKind::Pit(pit.clone());
            let name = format!("P{}", i + 1);
            let mark = Landmark { name, kind, outline: Outline::At(Point::new(*x, 0.0)), note: String::new() };
            plan = plan.with(&plan::add_landmark(&plan, mark).1);
        }
        plan
    }

    fn pit(layers: &[SoilLayer], tight_m: Option<f64>) -> Pit {
        Pit { layers: layers.to_vec(), tight_m, ..Pit::default() }
    }

    fn measured(to_m: f64, m_day: f64) -> SoilLayer {
        SoilLayer { conductivity_ms: Some(m_day / DAY_S), ..SoilLayer::of(to_m, Texture::ClayLoam) }
    }

    /// Several soils in a field: each place has that of its nearest pit, and says which and how far off.
    #[test]
    fn pits_carry_to_places_by_nearness() {
        let sand = pit(&[SoilLayer::of(2.0, Texture::Sand)], None);
        let plan = plan_with(&[(0.0, pit(&[measured(2.0, 0.5)], Some(1.8))), (100.0, sand)]);
        let soils = Soils::of(&plan);
        let near = soils.known(Point::new(30.0, 40.0), 1.0).unwrap();
        let SoilFrom::Pit { name, off_m, .. } = near.from else { panic!("no pit") };
        assert_eq!((name.as_str(), off_m, near.texture), ("P1", 50.0, Texture::ClayLoam));
        assert!(near.is_measured && near.tight_m == Some(1.8));
        assert_eq!(near.conductivity, Estimate::within(0.5 / DAY_S, MEASURED_FACTOR));
        assert_eq!(soils.known(Point::new(60.0, 0.0), 1.0).unwrap().texture, Texture::Sand);
    }

    /// Clay loam by its texture alone: 4.3 mm/h = 0.10 m/day ([SR06]); tables from 0.01 to 2 m/day.
    #[test]
    fn a_texture_alone_leaves_much_open() {
        let mut plan = plan_with(&[(0.0, Pit::default())]);
        assert!(Soils::of(&plan).known(Point::new(0.0, 0.0), 1.0).is_none(), "a pit without layers tells nothing");
        plan.brief.texture = Some(Texture::ClayLoam);
        let soil = Soils::of(&plan).known(Point::new(0.0, 0.0), 1.0).unwrap();
        assert_eq!((soil.from, soil.is_measured, soil.tight_m), (SoilFrom::Brief, false, None));
        let k = soil.conductivity.map(|k| k * DAY_S);
        assert!(
            (k.likely - 0.1037).abs() < 1e-3 && (k.low - 0.01).abs() < 1e-9 && (k.high - 2.0).abs() < 1e-9,
            "{k:?}"
        );
        assert!((soil.field_capacity.likely - 0.3579).abs() < 1e-4 && (soil.saturation.likely - 0.4772).abs() < 1e-4);
        assert!(soil.porosity.low <= soil.porosity.likely && soil.porosity.likely <= soil.porosity.high);
        assert_eq!((soil.porosity.low, soil.porosity.high), (0.01, 0.12));
        // The pores from full to field capacity are not what drains: they overstate it.
        assert!(soil.porosity.likely < soil.saturation.likely - soil.field_capacity.likely);
    }

    #[test]
    fn what_was_tested_beats_the_texture() {
        let tested = SoilLayer { sand: Some(0.65), clay: Some(0.10), ..SoilLayer::of(2.0, Texture::ClayLoam) };
        let plan = plan_with(&[(0.0, pit(&[SoilLayer { porosity: Some(0.1), ..tested }], None))]);
        let soil = Soils::of(&plan).known(Point::new(0.0, 0.0), 1.0).unwrap();
        assert!((soil.conductivity.likely * DAY_S - 0.0503 * 24.0).abs() < 1e-2, "50.3 mm/h");
        assert_eq!(soil.porosity, Estimate::within(0.1, POROSITY_FACTOR));
    }

    /// Layers of 0.4 m at 1.0 and the rest at 0.4 m/day, drain at 1.0 m, table wanted at 0.2 m, tight at 2.0 m: above
    /// (0.2·1.0 + 0.6·0.4)/0.8 = 0.55, below 0.4 (by hand).
    #[test]
    fn layers_above_and_below_the_drain() {
        let layers = [measured(0.4, 1.0), measured(1.5, 0.4)];
        let mut plan = plan_with(&[(0.0, pit(&layers, Some(2.0)))]);
        plan.brief.water_table_m = 0.2;
        let soils = Soils::of(&plan);
        let (soil, around) = (soils.at(Point::new(0.0, 0.0), 1.0).unwrap(), soils.around(Point::new(0.0, 0.0), 1.0));
        assert!((soil.above_ms * DAY_S - 0.55).abs() < 1e-12 && (soil.below_ms * DAY_S - 0.4).abs() < 1e-12);
        let around = around.unwrap();
        assert_eq!(around.likely(1.0, EFFECTIVE_RADIUS_M), soil);
        assert!((around.above.high / around.above.low - 4.0).abs() < 1e-9);
        assert_eq!((around.upper.1, around.lower.1, around.is_tight_known), (1.0, 0.0, true));
        let spacing = soils.spacing(Point::new(0.0, 0.0), 1.0).unwrap();
        assert_eq!(Some(spacing.likely), soils.spacing_m(Point::new(0.0, 0.0), 1.0));
        assert!(spacing.low < spacing.likely && spacing.likely < spacing.high);
    }

    /// Where no pit reached the tight layer it is taken twice as deep as the drain for advice, and no spacing is computed for
    /// checks and flows.
    #[test]
    fn a_tight_layer_that_nobody_reached() {
        let plan = plan_with(&[(0.0, pit(&[measured(1.5, 0.4)], None))]);
        let soils = Soils::of(&plan);
        let around = soils.around(Point::new(0.0, 0.0), 1.1).unwrap();
        assert!(!around.is_tight_known && around.tight_m == 2.2);
        assert!(soils.at(Point::new(0.0, 0.0), 1.1).is_none());
    }
}
