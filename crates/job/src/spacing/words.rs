//! The advice in plain sentences.

use hydraulics::{Estimate, Group, Seeping, conductivity_class};
use land::{SoilAt, SoilFrom};
use measure::{SQUARE_M_PER_ACRE, SQUARE_M_PER_HECTARE, Units, fixed, how_many, thousands};
use plan::Texture;

use super::{Advice, Question, Seep, Width};

/// Kilopascals in a metre of water.
const KPA_PER_M: f64 = 9.81;
/// The rain whose runoff is told, metres: 50 mm or 2 in, a rain that comes every year in most humid places ([judgement]).
const RAIN_M: [f64; 2] = [0.050, 2.0 * measure::INCH_M];

/// The whole advice, a sentence or two a line.
pub fn lines(advice: &Advice) -> Vec<String> {
    let asked = &advice.asked;
    let mut told = vec![soil(asked), wanted(asked), spacing(advice)];
    told.extend(advice.widths.iter().map(|width| width_line(advice, width)));
    told.extend(saved(advice));
    told.push(limits(advice));
    told.extend(falls(advice));
    told.push(pit(advice));
    told.extend(others(advice));
    told.extend(asked.known.as_ref().and_then(|known| tables(known, asked.units)));
    told.extend(asked.known.as_ref().and_then(|known| water(known, asked.units)));
    told.extend(runoff(asked));
    told.extend(asked.seep.map(|seep| interceptor(asked, seep)));
    told
}

/// The short form for a card: what each figure is, and the figure.
pub fn short(advice: &Advice) -> Vec<(String, String)> {
    let (asked, units) = (&advice.asked, advice.asked.units);
    let told = |name: &str, figure: String| (name.to_string(), figure);
    let soil = asked.known.as_ref().map(|known| told("Soil", known.texture.word().to_string()));
    let mut rows: Vec<_> = soil.into_iter().collect();
    rows.push(told("Conductivity", ranged(asked.around.below, |k| units.conductivity(k))));
    rows.push(told("Computed", format!("about {}", ranged(advice.spacing, |m| units.length(m)))));
    rows.extend(advice.widths.iter().map(|width| short_width(advice, width)));
    let limits = advice
        .rates()
        .soil_limits_below_m
        .map_or("the soil".to_string(), |table_m| format!("pipe, from {} down the soil", units.depth(table_m)));
    rows.push(told("What limits", limits));
    rows
}

/// Where what is known of the soil comes from, for a card: "pit P1, 243 ft off".
pub fn source(advice: &Advice) -> String {
    match advice.asked.known.as_ref().map(|known| &known.from) {
        Some(SoilFrom::Pit { name, off_m, .. }) => {
            format!("by pit {name}, {} off", advice.asked.units.length(*off_m))
        }
        _ => "by the brief, no pit".into(),
    }
}

fn short_width(advice: &Advice, width: &Width) -> (String, String) {
    let (asked, units) = (&advice.asked, advice.asked.units);
    let rows = width.rows.map(|rows| format!("{}, ", how_many(rows as usize, "row"))).unwrap_or_default();
    let cost = advice.cost_per_m2(width).zip(asked.price.as_ref());
    let much = cost
        .map_or_else(|| per_area(width.length_per_m2(), units), |(cost, (_, currency))| money(cost, currency, units));
    let wet = if width.holds { "" } else { ", too wet" };
    let table = match width.table.likely {
        down_m if down_m > 0.0 => format!("water {} down", units.depth(down_m)),
        _ => "water at the surface".into(),
    };
    (format!("{rows}{}", spaced(width, units)), format!("{table}{wet}; {much}"))
}

/// The spacing of whole rows as it is; one that was computed as far as it is good for.
fn spaced(width: &Width, units: Units) -> String {
    match width.rows {
        Some(_) => units.depth(width.spacing_m),
        None => format!("about {}", units.length(width.spacing_m)),
    }
}

/// A figure with its range: "28.90 ft (19.31 to 42.89 ft)".
fn ranged(figure: Estimate, show: impl Fn(f64) -> String) -> String {
    let [low, likely, high] = [figure.low, figure.likely, figure.high].map(show);
    if low == high { likely } else { format!("{likely} ({} to {high})", bare(&low, &high)) }
}

/// A figure without its unit where the next one has the same.
fn bare<'a>(figure: &'a str, next: &str) -> &'a str {
    let unit = next.split_once(' ').map_or("", |(_, unit)| unit);
    figure.strip_suffix(unit).map_or(figure, str::trim_end)
}

fn soil(asked: &Question) -> String {
    let rate = ranged(asked.around.below, |k| asked.units.conductivity(k));
    let class = conductivity_class(asked.around.below.likely);
    let whence = asked.known.as_ref().map_or("as given".to_string(), |known| whence(known, asked.units));
    let above = match asked.is_even() {
        true => String::new(),
        false => {
            format!(" below the drains and {} above", ranged(asked.around.above, |k| asked.units.conductivity(k)))
        }
    };
    format!("Soil {whence}: conductivity {rate}{above}, {class}.")
}

fn whence(known: &SoilAt, units: Units) -> String {
    let how = if known.is_measured { "measured" } else { "told by its texture alone" };
    let word = known.texture.word();
    match &known.from {
        SoilFrom::Pit { name, off_m, .. } => {
            format!("as pit {name} shows it, {} off ({word}, {how})", units.length(*off_m))
        }
        SoilFrom::Brief => format!("by the brief ({word}, {how}; no pit)"),
        SoilFrom::Given => format!("as given ({word}, {how})"),
    }
}

fn wanted(asked: &Question) -> String {
    let units = asked.units;
    let guess =
        if asked.around.is_tight_known { "" } else { " (nobody reached it: taken twice as deep as the drains)" };
    format!(
        "Drains {} deep, tight layer at {}{guess}; water table wanted {} down midway at {}.",
        units.depth(asked.depth_m),
        units.depth(asked.around.tight_m),
        units.depth(asked.table_m),
        units.coefficient(asked.coefficient_ms)
    )
}

fn spacing(advice: &Advice) -> String {
    let (units, asked) = (advice.asked.units, &advice.asked);
    let tight_below_m = asked.around.tight_m - asked.depth_m;
    let equivalent_m = hydraulics::equivalent_depth_m(tight_below_m, advice.spacing.likely, asked.radius_m);
    format!(
        "Computed spacing about {} (Hooghoudt, equivalent depth {}); no formula is better than about 25 % in the field.",
        ranged(advice.spacing, |m| units.length(m)),
        units.depth(equivalent_m)
    )
}

/// "3 rows, 27.00 ft: arch 1.84 ft, water table 1.66 ft down midway (…): deep enough. 1,613 ft/ac."
fn width_line(advice: &Advice, width: &Width) -> String {
    let (units, asked) = (advice.asked.units, &advice.asked);
    let rows = width.rows.map(|rows| format!("{}, ", how_many(rows as usize, "row"))).unwrap_or_default();
    let verdict = if width.holds { "deep enough" } else { "not deep enough" };
    let whole = asked
        .area_m2
        .map(|area_m2| format!(", {} on {}", long(area_m2 / width.spacing_m, units), units.area(area_m2)));
    let cost = advice.cost_per_m2(width).zip(asked.price.as_ref());
    let cost = cost.map(|(cost, (_, currency))| format!(", laterals about {}", money(cost, currency, units)));
    format!(
        "{rows}{}: arch {}, water table {}: {verdict}. {}{}{}.",
        spaced(width, units),
        units.depth(width.arch.likely),
        table_words(width.table, units),
        per_area(width.length_per_m2(), units),
        whole.unwrap_or_default(),
        cost.unwrap_or_default()
    )
}

/// "1.66 ft down midway (0.67 ft to 2.36 ft)"; where it would come out above the ground, "at the surface".
fn table_words(table: Estimate, units: Units) -> String {
    let down = |m: f64| if m > 0.0 { format!("{} down", units.depth(m)) } else { "at the surface".into() };
    let [low, likely, high] = [table.low, table.likely, table.high].map(down);
    if low == high {
        format!("{likely} midway")
    } else {
        format!("{likely} midway ({} to {high})", bare(&low, &high))
    }
}

/// A long length: "11,616 ft".
fn long(length_m: f64, units: Units) -> String {
    format!("{} {}", thousands(length_m / units.length_unit().metres(), 0), units.sign())
}

fn area_unit(units: Units) -> (f64, &'static str) {
    if units.is_metric() { (SQUARE_M_PER_HECTARE, "ha") } else { (SQUARE_M_PER_ACRE, "ac") }
}

fn per_area(length_per_m2: f64, units: Units) -> String {
    let (area_m2, sign) = area_unit(units);
    format!("{}/{sign}", long(length_per_m2 * area_m2, units))
}

fn money(cost_per_m2: f64, currency: &str, units: Units) -> String {
    let (area_m2, sign) = area_unit(units);
    format!("{}/{sign}", takeoff::with_currency(currency, &thousands(measure::estimated(cost_per_m2 * area_m2), 0)))
}

/// What the wider spacing spares.
fn saved(advice: &Advice) -> Option<String> {
    let [close, wide] = advice.widths.as_slice() else { return None };
    let (units, asked) = (advice.asked.units, &advice.asked);
    let spared = close.length_per_m2() - wide.length_per_m2();
    let whole = asked.area_m2.map(|area_m2| format!(", {} in all", long(spared * area_m2, units)));
    let cost = advice.cost_per_m2(close).zip(advice.cost_per_m2(wide)).zip(asked.price.as_ref());
    let cost = cost.map(|((close, wide), (_, currency))| format!(", about {}", money(close - wide, currency, units)));
    let rows = how_many(wide.rows? as usize, "row");
    let [whole, cost] = [whole, cost].map(Option::unwrap_or_default);
    Some(format!(
        "{rows} for {} would spare {}{whole}{cost} (laterals alone, an estimate).",
        close.rows?,
        per_area(spared, units)
    ))
}

/// Which limits: soil or pipe.
fn limits(advice: &Advice) -> String {
    let (units, rates) = (advice.asked.units, advice.rates());
    let rate = |ms: f64| units.coefficient(ms);
    let ponded = rates.ponded_ms.map(|ms| format!(", from under standing water {} (Kirkham)", rate(ms)));
    let ponded = ponded.unwrap_or_default();
    let (soil, pipe) = (rate(rates.soil.likely), rate(rates.pipe_ms));
    let head = format!(
        "With the water table at the surface midway the soil brings {soil} (Hooghoudt){ponded}; pipes are sized for {pipe}:"
    );
    match rates.soil_limits_below_m {
        Some(table_m) => format!(
            "{head} the pipes limit until the table has fallen to {}, from there down the soil does.",
            units.depth(table_m)
        ),
        None => format!("{head} the soil limits from the start, larger pipes would bring nothing."),
    }
}

fn falls(advice: &Advice) -> Option<String> {
    let (falls, asked) = (advice.falls()?, &advice.asked);
    let days = |days: f64| match days {
        days if days < 0.1 => "under 0.1".to_string(),
        days => fixed(days, if days < 10.0 { 1 } else { 0 }),
    };
    let weak = if falls.alpha_t > 0.2 { "" } else { ", which does not hold for so small a fall" };
    Some(format!(
        "Without more rain the table falls from the surface to {} in about {} days by Glover and Dumm with flow counted at the \
         equivalent depth{weak}, {} with half the first arch added to it, {} after van Schilfgaarde; {} of the soil drains.",
        asked.units.depth(asked.table_m),
        ranged(falls.glover_dumm_days, days),
        days(falls.half_start_days),
        days(falls.schilfgaarde_days),
        ranged(asked.porosity, |share| format!("{} %", fixed(share * 100.0, 1)))
    ))
}

/// Whether one more pit would change the advice.
pub fn pit(advice: &Advice) -> String {
    let way = match advice.asked.known.as_ref().map(|known| known.is_measured) {
        Some(false) => "Measure the conductivity (auger-hole test) or dig a pit before buying pipe",
        _ => "Dig or test one more pit before buying pipe",
    };
    match (advice.pit_matters, advice.rows) {
        (true, Some((fewest, most))) => {
            format!(
                "One more pit would change the advice: anything from {fewest} to {} fits what is known. {way}.",
                how_many(most as usize, "row")
            )
        }
        (true, None) => {
            format!("One more pit would change the advice: the range is wider than the formula's own 25 %. {way}.")
        }
        (false, Some((rows, _))) => {
            format!(
                "One more pit would not change the advice: {} over the whole range.",
                how_many(rows as usize, "row")
            )
        }
        (false, None) => {
            "One more pit would hardly change the advice: the range lies within the formula's own 25 %.".into()
        }
    }
}

fn others(advice: &Advice) -> Option<String> {
    let units = advice.asked.units;
    let told = advice.others().into_iter().map(|other| {
        let (low, high) = (units.length(other.spacing_m.0), units.length(other.spacing_m.1));
        let spacing = if low == high { low } else { format!("{low} to {high}") };
        format!("{spacing} by {}", other.name)
    });
    let told: Vec<String> = told.collect();
    (!told.is_empty()).then(|| format!("Other equations say about {}.", told.join("; ")))
}

/// What tables give for a texture whose conductivity nobody measured.
fn tables(known: &SoilAt, units: Units) -> Option<String> {
    let told = known.texture.conductivities_ms().into_iter().map(|(source, low, high)| {
        let [low_words, high_words] = [low, high].map(|k| units.conductivity(k));
        let range = if low == high { low_words } else { format!("{low_words} to {high_words}") };
        format!("{range} ({})", plan::in_words(source))
    });
    let worked_with = units.conductivity(known.conductivity.likely);
    let own = format!("{worked_with} ({}), which is worked with", plan::in_words("[SR06]"));
    let told: Vec<String> = known.mix.map(|_| own).into_iter().chain(told).collect();
    (!known.is_measured).then(|| format!("Tables for {} give {}.", known.texture.word(), told.join(", ")))
}

/// What the soil holds, and what drainage leaves in it.
fn water(known: &SoilAt, units: Units) -> Option<String> {
    let water = hydraulics::SoilWater::of(known.mix?);
    let percent = |share: f64| fixed(share * 100.0, 0);
    let fringe = units.depth(water.air_entry_kpa / KPA_PER_M);
    let slower = water.conductivity_ms() / water.conductivity_at_ms(water.field_capacity);
    Some(format!(
        "Full it holds {} % of water, drained to field capacity still {} %, and plants wilt at {} %: drained is not dry. Some \
         {fringe} over the water table stay all but full; at field capacity water moves some {} times slower.",
        ranged(known.saturation, percent),
        ranged(known.field_capacity, percent),
        ranged(known.wilting_point, percent),
        thousands(10f64.powf(slower.log10().round()), 0)
    ))
}

/// What a rain sends over the surface.
fn runoff(asked: &Question) -> Option<String> {
    let (group, units) = (asked.group?, asked.units);
    let rain_m = RAIN_M[usize::from(!units.is_metric())];
    let off = |group: Group| units.water(hydraulics::bare_runoff_m(rain_m, group));
    let drained = match group.drained == group.natural {
        true => String::new(),
        false => format!(", {} once drained", off(group.drained)),
    };
    let rain = units.water(rain_m);
    Some(format!(
        "Hydrologic soil group {group}: of {rain} of rain about {} run off bare soil{drained}.",
        off(group.natural)
    ))
}

/// The texture by which the handbook tells an inflow.
fn seeping(texture: Texture) -> Seeping {
    match texture {
        Texture::Gravel | Texture::Sand => Seeping::CoarseSand,
        Texture::LoamySand | Texture::SandyLoam => Seeping::SandyLoam,
        Texture::Loam | Texture::SiltLoam | Texture::Silt => Seeping::SiltLoam,
        _ => Seeping::Clay,
    }
}

/// An interceptor's inflow, both ways, and why they differ.
fn interceptor(asked: &Question, seep: Seep) -> String {
    let units = asked.units;
    let per = if units.is_metric() { (100.0, "100 m") } else { (1_000.0 * measure::FOOT_M, "1,000 ft") };
    // As a bucket tells it: seeps are measured so.
    let inflow = |m2s: f64| units.bucket(m2s * per.0);
    let darcy = asked.around.above.map(|k| hydraulics::darcy_inflow_m2s(k, seep.slope, seep.thickness_m));
    let head = format!(
        "An interceptor across this slope of {} would gather {} on {} by Darcy's law from {} of full soil",
        units.grade(seep.slope),
        ranged(darcy, inflow),
        per.1,
        units.depth(seep.thickness_m)
    );
    let Some(texture) = seep.texture else { return format!("{head}.") };
    let (least, most) = hydraulics::handbook_inflow_m2s(seeping(texture), seep.slope);
    format!(
        "{head}, and {} to {} by a handbook's range for the texture (source not verified). They differ because Darcy's law counts what \
         soaks through even soil, and the handbook what was met in the field: cracks, seams and springs bring more. Size for \
         the larger, and measure the seep.",
        inflow(least),
        inflow(most)
    )
}
