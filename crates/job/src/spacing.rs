//! How far apart drains should lie at a place: advice as data, with the ranges that the soil leaves open. Its words are in
//! [`words`], the same for programs in [`json`].

mod json;
mod words;

use std::f64::consts::PI;

use hydraulics::{
    EFFECTIVE_RADIUS_M, Ernst, Estimate, Fall, MeanDepth, Soil, SoilGroup, arch_m, discharge_ms, equivalent_depth_m,
};
use land::{Around, Land, SoilAt, Soils};
use measure::{DAY_S, INCH_M, Point, Units};
use plan::{Goods, LineId, Plan, PriceList, Texture};

use crate::Worked;

pub use json::json;
pub use words::{lines, pit, short, source};

/// The usual size of laterals, metres: 4 in, for which the effective radius is told too ([judgement]).
const LATERAL_M: f64 = 4.0 * INCH_M;
/// Most rows that are counted from one lateral to the next.
const MOST_ROWS: u32 = 500;

/// What is asked, and what is known for it.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// The units of the answer.
    pub units: Units,
    /// The soil round the drain.
    pub around: Around,
    /// What more is known of the soil at the drain.
    pub known: Option<SoilAt>,
    /// Its hydrologic group, where a pit tells it.
    pub group: Option<SoilGroup>,
    /// Share of the soil that drains.
    pub porosity: Estimate,
    /// Depth of the drain, metres.
    pub depth_m: f64,
    /// Depth of the water table wanted midway, metres.
    pub table_m: f64,
    /// Depth of water that must leave, m/s.
    pub coefficient_ms: f64,
    /// Effective radius of the drain, metres.
    pub radius_m: f64,
    /// Width from row to row, metres, where the land is planted in rows.
    pub rows_m: Option<f64>,
    /// The land to be drained so, square metres.
    pub area_m2: Option<f64>,
    /// What a metre of lateral costs, and the sign of the currency.
    pub price: Option<(f64, String)>,
    /// What comes down a slope to an interceptor.
    pub seep: Option<Seep>,
}

/// Water that comes down a slope.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seep {
    /// Slope of the ground, a ratio.
    pub slope: f64,
    /// Thickness of the soil that is full, metres.
    pub thickness_m: f64,
    /// Texture of that soil, where it is known.
    pub texture: Option<Texture>,
}

/// Laterals at a spacing.
#[derive(Debug, Clone, PartialEq)]
pub struct Width {
    /// How many rows to a lateral, where there are rows.
    pub rows: Option<u32>,
    /// Their spacing, metres.
    pub spacing_m: f64,
    /// Height of the water table over the drains midway, metres.
    pub arch: Estimate,
    /// Its depth below the surface, metres; below 0 the water stands on it.
    pub table: Estimate,
    /// True where the likely water table is as deep as is wanted.
    pub holds: bool,
}

impl Width {
    /// Length of lateral to a square metre, metres.
    pub fn length_per_m2(&self) -> f64 {
        1.0 / self.spacing_m
    }
}

/// The three rates at which water can leave, m/s, and which of them holds it up.
#[derive(Debug, Clone, PartialEq)]
pub struct Rates {
    /// What the pipes are sized for: the drainage coefficient.
    pub pipe_ms: f64,
    /// What the soil brings with its water table at the surface midway: the drainage intensity.
    pub soil: Estimate,
    /// What it brings from under water that stands all over the surface, for a soil of one conductivity.
    pub ponded_ms: Option<f64>,
    /// Depth of the water table midway above which the pipe holds the water up, and below which the soil does, metres; `None`
    /// where the soil does from the start.
    pub soil_limits_below_m: Option<f64>,
}

/// What is advised.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// What was asked.
    pub asked: Question,
    /// Spacing that keeps the wanted water table, metres.
    pub spacing: Estimate,
    /// Laterals in whole rows on either side of it, the closer ones first; without rows at the spacing itself.
    pub widths: Vec<Width>,
    /// Fewest and most rows over the range, where there are rows.
    pub rows: Option<(u32, u32)>,
    /// True where one more pit, or a test, could change what is done.
    pub pit_matters: bool,
}

/// How long the water table takes to fall from the surface to the wanted depth midway, days.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Falls {
    /// By Glover and Dumm with the flow at the equivalent depth, over the range of conductivity and porosity.
    pub glover_dumm_days: Estimate,
    /// The same for the likely soil with half the arch at the start added to that depth.
    pub half_start_days: f64,
    /// After van Schilfgaarde for the likely soil.
    pub schilfgaarde_days: f64,
    /// αt of the first, which holds above 0.2.
    pub alpha_t: f64,
}

/// Another equation's answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Other {
    /// Its name, and what it leaves out or takes in.
    pub name: &'static str,
    /// Spacing, metres: from and to where something it needs is not known.
    pub spacing_m: (f64, f64),
}

impl Question {
    /// What a plan tells at a place, for a drain of a depth, metres; `None` where neither pit nor brief tells the soil.
    pub fn at(plan: &Plan, land: &Land, at: Point, depth_m: f64) -> Option<Self> {
        let soils = Soils::of(plan);
        let known = soils.known(at, depth_m)?;
        let slope = land.ground.as_ref().and_then(|ground| ground.slope(at)).map(|slope| slope.ratio);
        Some(Self {
            units: plan.title.units,
            around: soils.around(at, depth_m)?,
            group: soils.group(at),
            porosity: known.porosity,
            depth_m,
            table_m: plan.brief.water_table_m,
            coefficient_ms: plan.brief.coefficient_ms(),
            radius_m: EFFECTIVE_RADIUS_M,
            rows_m: plan.rows_at(at).map(|rows| rows.spacing_m),
            area_m2: plan.field.as_ref().map(plan::Field::area_m2),
            price: lateral_price(&plan.price_list, depth_m),
            seep: slope.map(|slope| Seep {
                slope,
                thickness_m: soils.wet_thickness_m(at, depth_m),
                texture: Some(known.texture),
            }),
            known: Some(known),
        })
    }

    /// What is asked for the place in hand: half-way up a line, else the middle of the field at the wanted depth.
    pub fn in_hand(worked: &Worked, line: Option<LineId>) -> Option<Self> {
        let plan = &worked.plan;
        let half_way = line.and_then(|id| worked.design.lines.get(&id)).and_then(|line| line.at(line.length_m / 2.0));
        let (at, depth_m) = match half_way {
            Some(station) => (station.at, station.depth_m()),
            None => (plan.field.as_ref()?.middle(), None),
        };
        Self::at(plan, &worked.land, at, depth_m.unwrap_or(plan.criteria.target_depth_m))
    }

    /// The answer; why there is none, in words.
    pub fn answer(self) -> Result<Advice, String> {
        self.is_sound()?;
        let (depth_m, arch_m) = (self.depth_m, self.depth_m - self.table_m);
        let spacing = self.around.spacing(depth_m, self.radius_m, self.coefficient_ms, arch_m);
        let spacing = spacing.ok_or("no spacing up to a kilometer keeps this water table at this coefficient")?;
        let count = |spacing_m: f64, width_m: f64| ((spacing_m / width_m) as u32).clamp(1, MOST_ROWS);
        let rows = self.rows_m.map(|width_m| (count(spacing.low, width_m), count(spacing.high, width_m)));
        let widths = match self.rows_m {
            Some(width_m) => {
                let few = count(spacing.likely, width_m);
                [few, few + 1].map(|rows| self.width(Some(rows), f64::from(rows) * width_m)).to_vec()
            }
            None => vec![self.width(None, spacing.likely)],
        };
        // Without rows: where the range is wider than what the formula itself leaves open.
        let own = [1.0 - hydraulics::FORMULA_OFF, 1.0 + hydraulics::FORMULA_OFF].map(|share| share * spacing.likely);
        let is_wide = spacing.low < own[0] || spacing.high > own[1];
        let pit_matters = rows.map_or(is_wide, |(fewest, most)| fewest != most);
        Ok(Advice { asked: self, spacing, widths, rows, pit_matters })
    }

    fn is_sound(&self) -> Result<(), String> {
        let units = self.units;
        let [depth, table, tight] = [self.depth_m, self.table_m, self.around.tight_m].map(|m| units.depth(m));
        if self.table_m >= self.depth_m {
            return Err(format!("found a water table wanted {table} deep, expected less than the drains' {depth}"));
        }
        if self.around.tight_m < self.depth_m {
            let found = format!("found a tight layer at {tight}, above the drains at {depth}");
            return Err(format!(
                "{found}: they would lie in it and drain nothing; expected drains that reach no deeper"
            ));
        }
        Ok(())
    }

    fn width(&self, rows: Option<u32>, spacing_m: f64) -> Width {
        let arch =
            self.around.ranged(self.depth_m, self.radius_m, |soil| arch_m(soil, self.coefficient_ms, spacing_m));
        let table = arch.map(|arch_m| self.depth_m - arch_m);
        // What is computed for the spacing itself comes back to the last digit but one.
        Width { rows, spacing_m, arch, table, holds: table.likely > self.table_m - 1e-6 }
    }

    fn soil(&self) -> Soil {
        self.around.likely(self.depth_m, self.radius_m)
    }

    /// True for a soil of one conductivity, for which Kirkham and the ellipse hold.
    fn is_even(&self) -> bool {
        let soil = self.soil();
        (soil.above_ms / soil.below_ms - 1.0).abs() < 1e-9
    }
}

/// What a metre of lateral costs by a price list: pipe with its waste, and digging.
fn lateral_price(list: &PriceList, depth_m: f64) -> Option<(f64, String)> {
    let pipe = list.row(Goods::Perforated, Some(LATERAL_M), None)?.price * (1.0 + list.waste);
    let hour = list.row(Goods::MachineHour, None, None)?.price;
    Some((pipe + list.hours(1.0, depth_m) * hour, list.currency.clone()))
}

impl Advice {
    /// The laterals that are advised.
    pub fn advised(&self) -> &Width {
        &self.widths[0]
    }

    /// What a square metre's laterals cost.
    pub fn cost_per_m2(&self, width: &Width) -> Option<f64> {
        self.asked.price.as_ref().map(|(price, _)| price * width.length_per_m2())
    }

    /// The rates at the laterals that are advised.
    pub fn rates(&self) -> Rates {
        let (asked, spacing_m) = (&self.asked, self.advised().spacing_m);
        let (soil, depth_m) = (asked.soil(), asked.depth_m);
        let ponded =
            || hydraulics::ponded_ms(soil.below_ms, 0.0, depth_m, asked.around.tight_m, soil.radius_m, spacing_m);
        let is_over = depth_m < asked.around.tight_m;
        let table_m = depth_m - arch_m(soil, asked.coefficient_ms, spacing_m);
        Rates {
            pipe_ms: asked.coefficient_ms,
            soil: asked.around.ranged(depth_m, soil.radius_m, |soil| discharge_ms(soil, depth_m, spacing_m)),
            ponded_ms: (asked.is_even() && is_over).then(ponded),
            soil_limits_below_m: (table_m > 0.0).then_some(table_m),
        }
    }

    /// How the water table midway falls from the surface to the wanted depth with no more rain; `None` for drains on the
    /// tight layer, for which these equations do not hold.
    pub fn falls(&self) -> Option<Falls> {
        let (asked, spacing_m) = (&self.asked, self.advised().spacing_m);
        let equivalent_m = equivalent_depth_m(asked.soil().tight_below_m, spacing_m, asked.radius_m);
        let (start_m, end_m) = (asked.depth_m, asked.depth_m - asked.table_m);
        let fall = |k: f64, porosity: f64| Fall { conductivity_ms: k, porosity, start_m, end_m };
        let days = |fall: Fall, mean: MeanDepth| {
            let mean_m = mean.of(equivalent_m, start_m, end_m);
            fall.glover_dumm_time_s(mean_m, spacing_m, hydraulics::ARCHED) / DAY_S
        };
        let (k, share) = (asked.around.below, asked.porosity);
        let likely = fall(k.likely, share.likely);
        let slow = MeanDepth::Equivalent;
        let glover_dumm = Estimate {
            low: days(fall(k.high, share.low), slow),
            likely: days(likely, slow),
            high: days(fall(k.low, share.high), slow),
        };
        (equivalent_m > 0.0).then(|| Falls {
            glover_dumm_days: glover_dumm,
            half_start_days: days(likely, MeanDepth::HalfStart),
            schilfgaarde_days: likely.schilfgaarde_time_s(equivalent_m, spacing_m) / DAY_S,
            alpha_t: likely.alpha_t(equivalent_m, glover_dumm.likely * DAY_S, spacing_m),
        })
    }

    /// What other equations say for the likely soil.
    pub fn others(&self) -> Vec<Other> {
        let asked = &self.asked;
        let (soil, q, arch_m) = (asked.soil(), asked.coefficient_ms, asked.depth_m - asked.table_m);
        let one = |name, spacing_m: Option<f64>| spacing_m.map(|m| Other { name, spacing_m: (m, m) });
        let even = asked.is_even();
        let ellipse = even.then(|| hydraulics::ellipse_spacing_m(soil.below_ms, soil.tight_below_m, arch_m, q));
        let kirkham = hydraulics::kirkham_spacing_m(soil, q, arch_m).filter(|_| even);
        let moody = hydraulics::moody_spacing_m(soil, q, arch_m).filter(|_| soil.tight_below_m > 0.0);
        [
            one("Hooghoudt with Moody's equivalent depth", moody),
            one("Kirkham for steady rain, which leaves out the flow above the drains", kirkham),
            self.ernst(q, arch_m),
            one("the ellipse equation, which leaves out that flow crowds toward the drain", ellipse),
        ]
        .into_iter()
        .flatten()
        .collect()
    }

    /// Ernst's answer; between geometry factors of 1 and 4 where it is not known.
    fn ernst(&self, q: f64, arch_m: f64) -> Option<Other> {
        let around = &self.asked.around;
        let ((upper_ms, upper_below_m), (lower_ms, lower_m)) = (around.upper, around.lower);
        // A pipe that stands half full.
        let perimeter_m = PI * self.asked.radius_m;
        let by = |geometry| {
            Ernst { upper_ms, lower_ms, upper_below_m, lower_m, perimeter_m, geometry }.spacing_m(q, arch_m)
        };
        let known = if lower_m > 0.0 { hydraulics::ernst_geometry(upper_ms, lower_ms) } else { Some(1.0) };
        let (wide, close) = known.map_or((1.0, 4.0), |factor| (factor, factor));
        // Flow comes in from all sides only where there is soil of its layer under the drain.
        let spacing_m = by(close).zip(by(wide)).filter(|_| upper_below_m > perimeter_m)?;
        Some(Other { name: "Ernst, with what is lost flowing down", spacing_m })
    }
}
