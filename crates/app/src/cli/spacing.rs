//! `drainwright spacing`: how far apart drains should lie, from figures or at a place of a plan.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;
use hydraulics::{EFFECTIVE_RADIUS_M, Estimate, drainable_porosity};
use job::spacing::{self as advice, Question, Seep};
use land::{Around, Land, MEASURED_FACTOR, POROSITY_FACTOR, SoilAt, SoilFrom};
use measure::{
    MeasureError, Point, Units, parse_area, parse_coefficient, parse_conductivity, parse_grade, parse_length,
};
use plan::{Brief, Field, Plan, SoilLayer, Texture};

use super::{CliError, say, say_json};

const EXAMPLE: &str = "Without a plan the soil comes from --conductivity, --texture, or --sand and --clay, and the depth from \
--depth; answers come in the units in which the depth is typed. With a plan everything comes from it, and what is given \
besides stands in its place.\n\nExamples:\n  drainwright spacing --conductivity 0.694ft/day --depth 3.5ft --layer 6.0ft --table \
1.5ft --coefficient 0.375in/day --rows 9ft\n  drainwright spacing --texture \"clay loam\" --depth 1.05m --layer 1.8m\n  \
drainwright spacing block.drain --at 203210,96100";

/// No soil lets more of its volume drain ([FAO62], table A1.1: coarse sand).
const MOST_DRAINS: f64 = 0.35;

/// Arguments of `spacing`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Spacing {
    /// Plan file, where the soil comes from a plan's pits or brief.
    plan: Option<PathBuf>,
    /// The place in the plan, in the ground's own unit; the middle of the field without it.
    #[arg(long, value_name = "E,N", allow_hyphen_values = true)]
    at: Option<String>,
    /// Saturated conductivity: 0.694ft/day, 0.35in/hr, 0.21m/day, 8.8mm/h, 2.4µm/s.
    #[arg(long, value_name = "K")]
    conductivity: Option<String>,
    /// Within which factor the conductivity is known: 2 for half to twice.
    #[arg(long, allow_hyphen_values = true)]
    factor: Option<f64>,
    /// Texture of the soil, such as "clay loam".
    #[arg(long)]
    texture: Option<String>,
    /// Sand in the soil, percent.
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true, requires = "clay")]
    sand: Option<f64>,
    /// Clay in the soil, percent.
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true, requires = "sand")]
    clay: Option<f64>,
    /// Organic matter in the soil, percent.
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
    organic: Option<f64>,
    /// Share of the soil that drains, percent, where it was measured.
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
    drains: Option<f64>,
    /// Depth of the drains: 3.5ft, 1.05m.
    #[arg(long)]
    depth: Option<String>,
    /// Depth of the tight layer below the surface; twice as deep as the drains where nobody reached it.
    #[arg(long, value_name = "DEPTH")]
    layer: Option<String>,
    /// Depth of the water table wanted midway between the drains.
    #[arg(long, value_name = "DEPTH")]
    table: Option<String>,
    /// Drainage coefficient: 0.375in/day, 10mm/day.
    #[arg(long)]
    coefficient: Option<String>,
    /// Effective radius of the drain; that of 4-in tubing without envelope unless given.
    #[arg(long, value_name = "LENGTH")]
    radius: Option<String>,
    /// Width from row to row, for whole rows: 9ft.
    #[arg(long, value_name = "WIDTH")]
    rows: Option<String>,
    /// Land to be drained so: 7.2ac, 2.9ha.
    #[arg(long)]
    area: Option<String>,
    /// Slope of the ground, percent: tells what an interceptor across it would gather.
    #[arg(long, value_name = "GRADE", allow_hyphen_values = true)]
    slope: Option<String>,
    /// Print JSON, in meters and seconds.
    #[arg(long)]
    json: bool,
}

/// Prints the advice.
pub fn run(command: &Spacing) -> Result<ExitCode, CliError> {
    let question = match &command.plan {
        Some(path) => {
            let open = super::open(path)?;
            command.in_plan(&open.plan, &open.land)?
        }
        None => command.of_figures()?,
    };
    let answer = question.answer().map_err(CliError::Argument)?;
    if command.json {
        say_json(&advice::json(&answer))?;
    } else {
        advice::lines(&answer).iter().for_each(say);
        say(plan::CAUTION);
    }
    Ok(ExitCode::SUCCESS)
}

/// Reads an option that was given.
fn read<T>(
    name: &str,
    text: Option<&String>,
    read: impl Fn(&str) -> Result<T, MeasureError>,
) -> Result<Option<T>, CliError> {
    text.map(|text| read(text).map_err(|error| wrong(name, error))).transpose()
}

fn wrong(name: &str, why: impl std::fmt::Display) -> CliError {
    CliError::Argument(format!("--{name}: {why}"))
}

/// A length above 0.
fn length(name: &str, text: Option<&String>, units: Units) -> Result<Option<f64>, CliError> {
    let read = read(name, text, |text| parse_length(text, units))?;
    match read.filter(|m| *m <= 0.0 || *m > 100.0).and(text) {
        Some(text) => Err(wrong(name, format!("found '{text}', expected a length above 0, and no more than 100 m"))),
        None => Ok(read),
    }
}

/// A percent as a share.
fn share(name: &str, percent: Option<f64>) -> Result<Option<f64>, CliError> {
    match percent {
        Some(percent) if !(0.0..=100.0).contains(&percent) => {
            Err(wrong(name, format!("found {percent}, expected a percent from 0 to 100")))
        }
        percent => Ok(percent.map(|percent| percent / 100.0)),
    }
}

impl Spacing {
    /// The units in which the depth is typed.
    fn units(&self) -> Units {
        let is_metric = |text: &String| text.trim_end().ends_with('m');
        if self.depth.as_ref().is_some_and(is_metric) { Units::Metric } else { Units::Feet }
    }

    fn factor(&self) -> Result<Option<f64>, CliError> {
        match self.factor {
            Some(factor) if !(1.0..=1_000.0).contains(&factor) => {
                Err(wrong("factor", format!("found {factor}, expected a number from 1 to 1000")))
            }
            factor => Ok(factor),
        }
    }

    /// The soil as it is told: with a texture where one is known.
    fn layer(&self, units: Units) -> Result<Option<SoilLayer>, CliError> {
        let (sand, clay) = (share("sand", self.sand)?, share("clay", self.clay)?);
        if sand.zip(clay).is_some_and(|(sand, clay)| sand + clay > 1.0 + 1e-9) {
            return Err(wrong("sand", "sand and clay come to more than the whole, expected 100 % at most"));
        }
        let named = |word: &String| {
            let known = || Texture::ALL.map(|(_, word)| word).join(", ");
            Texture::named(word).ok_or_else(|| wrong("texture", format!("found '{word}', expected {}", known())))
        };
        let named = self.texture.as_ref().map(named).transpose()?;
        let Some(texture) = named.or(sand.zip(clay).map(|(sand, clay)| Texture::of(sand, clay))) else {
            return Ok(None);
        };
        Ok(Some(SoilLayer {
            sand,
            clay,
            organic: share("organic", self.organic)?,
            conductivity_ms: read("conductivity", self.conductivity.as_ref(), |text| {
                parse_conductivity(text, units)
            })?,
            ..SoilLayer::of(f64::MAX, texture)
        }))
    }

    /// Its conductivity, m/s, and what else is known of it; `None` where nothing was told.
    fn soil(&self, units: Units) -> Result<Option<(Estimate, Option<SoilAt>)>, CliError> {
        if let Some(layer) = self.layer(units)? {
            let known = SoilAt::of(&layer, None, SoilFrom::Given);
            return Ok(Some((known.conductivity, Some(known))));
        }
        let given = read("conductivity", self.conductivity.as_ref(), |text| parse_conductivity(text, units))?;
        Ok(given.map(|rate_ms| (Estimate::within(rate_ms, MEASURED_FACTOR), None)))
    }

    /// A question that no plan stands behind.
    fn of_figures(&self) -> Result<Question, CliError> {
        let units = self.units();
        if self.at.is_some() {
            return Err(wrong("at", "a place belongs to a plan, and no plan file is named"));
        }
        let depth_m = length("depth", self.depth.as_ref(), units)?
            .ok_or_else(|| wrong("depth", "expected the depth of the drains, such as 3.5ft, or a plan file"))?;
        let (conductivity, known) = self.soil(units)?.ok_or_else(|| {
            wrong("conductivity", "expected one such as 0.694ft/day, or --texture, or --sand and --clay")
        })?;
        let by_rate = || Estimate::within(drainable_porosity(conductivity.likely).min(MOST_DRAINS), POROSITY_FACTOR);
        let usual = Brief::of(units);
        self.besides(Question {
            units,
            around: Around { is_tight_known: false, ..Around::even(conductivity, depth_m, 2.0 * depth_m) },
            porosity: known.as_ref().map_or_else(by_rate, |known| known.porosity),
            known,
            group: None,
            depth_m,
            table_m: usual.water_table_m,
            coefficient_ms: usual.coefficient_ms(),
            radius_m: EFFECTIVE_RADIUS_M,
            rows_m: None,
            area_m2: None,
            price: None,
            seep: None,
        })
    }

    /// A question at a place of a plan; a soil that is told stands for that of its pits.
    fn in_plan(&self, plan: &Plan, land: &Land) -> Result<Question, CliError> {
        let units = plan.title.units;
        let depth_m = length("depth", self.depth.as_ref(), units)?.unwrap_or(plan.criteria.target_depth_m);
        let question = Question::at(plan, land, self.place(plan)?, depth_m).ok_or_else(|| {
            let found = "no soil is known: found neither a pit with layers nor a texture in the brief";
            CliError::Argument(format!("{found}, expected one of them, or --conductivity without a plan"))
        })?;
        let Some((conductivity, known)) = self.soil(units)? else { return self.besides(question) };
        let even = Around::even(conductivity, depth_m, question.around.tight_m);
        let around = Around { is_tight_known: question.around.is_tight_known, ..even };
        let porosity = known.as_ref().map_or(question.porosity, |known| known.porosity);
        self.besides(Question { around, known, porosity, ..question })
    }

    fn place(&self, plan: &Plan) -> Result<Point, CliError> {
        let Some(text) = &self.at else {
            return plan
                .field
                .as_ref()
                .map(Field::middle)
                .ok_or_else(|| wrong("at", "expected a place as E,N: the plan has no field to take the middle of"));
        };
        super::place(plan, text).map_err(|why| wrong("at", why))
    }

    /// The question with what is given besides.
    fn besides(&self, asked: Question) -> Result<Question, CliError> {
        let units = asked.units;
        let tight_m = length("layer", self.layer.as_ref(), units)?;
        let around = tight_m.map_or(asked.around, |tight_m| asked.around.tight_at(tight_m));
        let around = self.factor()?.map_or(around, |factor| around.within(factor));
        let slope = read("slope", self.slope.as_ref(), parse_grade)?;
        let texture = asked.known.as_ref().map(|known| known.texture);
        let seep = slope.map(|slope| Seep { slope: slope.abs(), thickness_m: around.tight_m, texture });
        let coefficient = read("coefficient", self.coefficient.as_ref(), |text| parse_coefficient(text, units))?;
        let drains = share("drains", self.drains)?.filter(|share| *share > 0.0);
        Ok(Question {
            around,
            porosity: drains.map_or(asked.porosity, |share| Estimate::within(share, POROSITY_FACTOR)),
            table_m: length("table", self.table.as_ref(), units)?.unwrap_or(asked.table_m),
            coefficient_ms: coefficient.unwrap_or(asked.coefficient_ms),
            radius_m: length("radius", self.radius.as_ref(), units)?.unwrap_or(asked.radius_m),
            rows_m: length("rows", self.rows.as_ref(), units)?.or(asked.rows_m),
            area_m2: read("area", self.area.as_ref(), |text| parse_area(text, units))?.or(asked.area_m2),
            seep: seep.or(asked.seep),
            ..asked
        })
    }
}
