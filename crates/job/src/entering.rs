//! Entries of the record as they are typed: their keys and sheets, what ran, where it was; a flow at an outlet, a repair, care.

use measure::{LengthUnit, MeasureError, Point, Units};
use plan::{FieldNote, NoteOn, OutletFlow, OutletId, Plan, Running, Signature, Spot, Taken};

use crate::{ground, parcel};

/// Digits of a key that are taken from what it stands for.
const KEY_DIGITS: usize = 16;

/// A key made of what an entry says, so that entered twice it is there once.
pub fn key_of(kind: &str, says: &str) -> String {
    format!("{kind}-{}", &parcel::checksum(says.as_bytes())[..KEY_DIGITS])
}

/// Letter of the sheets in force; empty where none were issued.
pub fn in_force(plan: &Plan) -> String {
    plan.revisions.last().map(|revision| revision.letter.clone()).unwrap_or_default()
}

fn taken(plan: &Plan, signed: &Signature) -> Taken {
    Taken { by: signed.by.clone(), at: signed.on.clone(), revision: in_force(plan) }
}

/// Reads what ran: "dry", "runs", a bucket and its time "5 gal in 22 s", a flow "13.6 gpm".
pub fn running(text: &str, units: Units) -> Result<Running, MeasureError> {
    match text.trim().to_lowercase().as_str() {
        "dry" => Ok(Running::Dry),
        "runs" | "running" => Ok(Running::Runs),
        _ => measure::parse_bucket(text, units).map(Running::Flow).map_err(|error| MeasureError {
            expected: "dry, runs, a bucket and its time such as 5 gal in 22 s, or a flow such as 13.6 gpm",
            ..error
        }),
    }
}

/// Easting and northing in the unit of the ground's system.
pub fn place_words(at: Point, across: LengthUnit) -> String {
    format!("{}, {}", across.figure(at.x, 2), across.figure(at.y, 2))
}

/// Reads easting and northing in the unit of the ground's system.
pub fn read_place(text: &str, across: LengthUnit) -> Option<Point> {
    let (east, north) = text.split_once(',').or_else(|| text.trim().split_once(' '))?;
    let metres = |text: &str| Some(text.trim().parse::<f64>().ok()? * across.metres());
    Some(Point::new(metres(east)?, metres(north)?)).filter(|at| at.is_finite())
}

/// A flow seen at an outlet; why it was looked at is its note.
pub fn flow(plan: &Plan, (outlet, running, cloudy): (OutletId, Running, bool), signed: &Signature) -> OutletFlow {
    let told = format!("{outlet:?} {running:?} {cloudy}");
    let key = key_of("flow", &[&signed.by, &signed.on, &told, &signed.because].map(String::as_str).join("\u{1f}"));
    OutletFlow { key, taken: taken(plan, signed), outlet, running, cloudy, note: signed.because.clone() }
}

/// A repair, or something done in yearly care, at a place.
pub fn note(plan: &Plan, (on, spot, says): (NoteOn, Option<Spot>, &str), signed: &Signature) -> FieldNote {
    let key = key_of("note", &[&signed.by, &signed.on, &format!("{on:?} {spot:?}"), says].join("\u{1f}"));
    FieldNote { key, taken: taken(plan, signed), on, spot, says: says.into(), agreed_by: String::new() }
}

/// Reads a spot: "L2:1+50", or "E,N" in the unit of the plane.
pub fn spot(text: &str, plan: &Plan) -> Option<Spot> {
    if let Some((name, station)) = text.rsplit_once(':') {
        let line = plan.line_named(name.trim())?;
        let station_m = measure::parse_station(station.trim(), plan.title.units)?;
        return (station_m <= plan.lines.get(&line)?.length_m()).then_some(Spot::Station { line, station_m });
    }
    read_place(text, ground::plane(plan).unit()).map(Spot::Place)
}
