//! `drainwright takeoff`: what it takes and what it costs.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;
use plan::Measure;
use serde_json::{Value, json};

use super::{CliError, say, say_json};
use job::Worked;
use takeoff::Item;

const EXAMPLE: &str = "Example:\n  drainwright takeoff block.drain --json > block-takeoff.json";

/// Arguments of `takeoff`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Takeoff {
    /// Plan file.
    plan: PathBuf,
    /// Print JSON instead of text: metric, the unit in each key.
    #[arg(long)]
    json: bool,
}

/// Prints the takeoff.
pub fn run(takeoff: &Takeoff) -> Result<ExitCode, CliError> {
    let open = super::open(&takeoff.plan)?;
    let worked = super::work_out(&open);
    if takeoff.json {
        say_json(&as_json(&worked))?;
    } else {
        text_lines(&worked).iter().for_each(say);
    }
    Ok(ExitCode::SUCCESS)
}

/// The takeoff as lines of text.
pub fn text_lines(worked: &Worked) -> Vec<String> {
    let (plan, estimate) = (&worked.plan, worked.estimate());
    let (units, money) = (plan.title.units, |value: f64| estimate.money(value));
    let mut text = vec![format!("{}: an estimate", plan.title.name)];
    let source = estimate.source.trim();
    text.push(format!("Prices: {}", if source.is_empty() { "no source stated" } else { source }));
    text.extend(estimate.currency.is_empty().then(|| "Currency: not stated".to_string()));
    text.push(String::new());
    let packs = |item: &Item| item.packs_words(units).unwrap_or_default();
    let wide = estimate.items.iter().map(|item| packs(item).chars().count()).fold(16, usize::max);
    for item in &estimate.items {
        let row = format!(
            "{:<34} {:>10} {:>wide$} {:>16} {:>14}",
            takeoff::words(item, plan),
            item.bought_words(units),
            packs(item),
            estimate.price_words(item, units).unwrap_or("no price".into()),
            item.amount(units).map(money).unwrap_or_default()
        );
        text.push(row.trim_end().to_string());
    }
    text.push(String::new());
    text.push(format!(
        "Material {}, work {}, total {}",
        money(estimate.materials),
        money(estimate.work),
        money(estimate.total())
    ));
    text.push(format!(
        "With a contingency of {}: {}",
        estimate.contingency_words(),
        estimate.about(estimate.with_contingency())
    ));
    text.extend(estimate.incomplete());
    text.extend(estimate.unfathomed(units));
    for cutting in &estimate.cutting {
        let cut = &cutting.plan;
        let sure = if cut.proved { "least" } else { "not proved least" };
        text.push(format!(
            "{} {}: {} of {} would do without waste, {} ({sure})",
            units.pipe(cutting.pipe.size_m),
            cutting.pipe.goods.word(),
            measure::how_many(cut.rolls, cutting.pack_word()),
            units.length(cut.roll_m),
            measure::how_many(cut.splices, "splice")
        ));
    }
    for saving in takeoff::savings(plan) {
        let worth = saving.money.map(|value| format!(", {}", estimate.about(value))).unwrap_or_default();
        text.push(format!("Old tile {} tied in spares {}{worth}", saving.name, units.length(saving.length_m)));
    }
    text.extend(job::compare::text_lines(worked));
    text.push(String::new());
    text.push(plan::CAUTION.into());
    text
}

/// The takeoff without layouts put aside.
pub fn takeoff_lines(worked: &Worked) -> Vec<String> {
    text_lines(worked)
}

fn as_json(worked: &Worked) -> Value {
    let (plan, estimate) = (&worked.plan, worked.estimate());
    json!({
        "name": plan.title.name,
        "estimate": true,
        "prices": estimate.source,
        "currency": estimate.currency,
        "items": estimate.items.iter().map(|item| json!({
            "what": item.goods.word(),
            "size_mm": item.size_m.map(|m| m * 1000.0),
            "branch_mm": item.branch_m.map(|m| m * 1000.0),
            "unit": match item.goods.measure() {
                Measure::Length => "m", Measure::Piece => "each", Measure::Volume => "m3", Measure::Hour => "h", Measure::Area => "m2",
            },
            "needed": item.needed,
            "bought": item.bought,
            "packs": item.packs.map(|(count, _)| count),
            "pack_m": item.packs.map(|(_, m)| m),
            "price": item.price,
            "amount": item.amount(plan.title.units),
        })).collect::<Vec<_>>(),
        "machine_hours": estimate.hours,
        "unknown_depth_m": estimate.unknown_m,
        "materials": estimate.materials,
        "work": estimate.work,
        "total": estimate.total(),
        "with_contingency": estimate.with_contingency(),
        "unpriced": estimate.unpriced,
        "trench": estimate.bands.iter().map(|band| json!({
            "from_m": band.from_m,
            "to_m": Some(band.to_m).filter(|m| m.is_finite()),
            "length_m": band.length_m,
            "volume_m3": band.volume_m3,
        })).collect::<Vec<_>>(),
        "cutting": estimate.cutting.iter().map(|cutting| json!({
            "what": cutting.pipe.goods.word(),
            "size_mm": cutting.pipe.size_m * 1000.0,
            "roll_m": cutting.plan.roll_m,
            "rolls": cutting.plan.rolls,
            "cut_from": cutting.pack_word(),
            "splices": cutting.plan.splices,
            "proved": cutting.plan.proved,
        })).collect::<Vec<_>>(),
        "lines": estimate.lines.iter().map(|line| json!({
            "name": line.name, "length_m": line.parts.length_m, "pipe": line.parts.pipe, "fittings": line.parts.fittings,
            "machine": line.parts.machine,
        })).collect::<Vec<_>>(),
        "by_line": estimate.by_line(plan.title.units).iter().map(|row| json!({
            "name": row.name, "together": row.total,
        })).collect::<Vec<_>>(),
        "savings": takeoff::savings(plan).iter().map(|saving| json!({
            "name": saving.name, "length_m": saving.length_m, "money": saving.money,
        })).collect::<Vec<_>>(),
        "layouts": job::compare::as_json(worked),
        "caution": plan::CAUTION,
    })
}
