//! The advice for programs: metres, seconds, shares.

use hydraulics::Estimate;
use serde_json::{Value, json};

use super::{Advice, Width, lines};

fn ranged(figure: Estimate) -> Value {
    json!({ "low": figure.low, "likely": figure.likely, "high": figure.high })
}

/// The advice; lengths in metres, rates in m/s, costs of a square metre.
pub fn json(advice: &Advice) -> Value {
    let (asked, rates) = (&advice.asked, advice.rates());
    let others = advice.others().into_iter().map(|other| {
        let (least_m, most_m) = other.spacing_m;
        json!({ "equation": other.name, "from_m": least_m, "to_m": most_m })
    });
    let falls = advice.falls().map(|falls| {
        json!({
            "glover_dumm_days": ranged(falls.glover_dumm_days), "half_start_days": falls.half_start_days,
            "van_schilfgaarde_days": falls.schilfgaarde_days, "alpha_t": falls.alpha_t,
        })
    });
    json!({
        "caution": plan::CAUTION,
        "conductivity_above_ms": ranged(asked.around.above), "conductivity_below_ms": ranged(asked.around.below),
        "porosity": ranged(asked.porosity),
        "depth_m": asked.depth_m, "tight_m": asked.around.tight_m, "tight_is_known": asked.around.is_tight_known,
        "table_m": asked.table_m, "coefficient_ms": asked.coefficient_ms, "radius_m": asked.radius_m,
        "spacing_m": ranged(advice.spacing),
        "widths": advice.widths.iter().map(|width| of_width(advice, width)).collect::<Vec<_>>(),
        "rows": advice.rows.map(|(fewest, most)| json!({ "fewest": fewest, "most": most })),
        "pit_matters": advice.pit_matters,
        "rates_ms": { "pipe": rates.pipe_ms, "soil": ranged(rates.soil), "ponded": rates.ponded_ms },
        "soil_limits_below_m": rates.soil_limits_below_m,
        "falls": falls, "others": others.collect::<Vec<_>>(),
        "words": lines(advice),
    })
}

fn of_width(advice: &Advice, width: &Width) -> Value {
    let length_m = advice.asked.area_m2.map(|area_m2| area_m2 * width.length_per_m2());
    json!({
        "rows": width.rows, "spacing_m": width.spacing_m, "arch_m": ranged(width.arch), "table_m": ranged(width.table),
        "holds": width.holds, "length_per_m2": width.length_per_m2(), "length_m": length_m,
        "cost_per_m2": advice.cost_per_m2(width),
    })
}
