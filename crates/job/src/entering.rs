//! Entries of the record as they are typed: a flow seen at an outlet, a repair, yearly care.

use measure::{MeasureError, Point, Units};
use plan::{FieldNote, NoteOn, OutletFlow, OutletId, Plan, Running, Signature, Spot, Taken};

use crate::{ground, parcel};

/// Digits of a key that are taken from what it stands for.
const KEY_DIGITS: usize = 16;

/// A key that the same entry always has, so that entered twice it is there once.
fn key(kind: &str, parts: &[&str]) -> String {
    let digits = parcel::checksum(parts.join("\u{1f}").as_bytes());
    format!("{kind}-{}", &digits[..KEY_DIGITS])
}

fn taken(plan: &Plan, signed: &Signature) -> Taken {
    let revision = plan.revisions.last().map(|revision| revision.letter.clone()).unwrap_or_default();
    Taken { by: signed.by.clone(), at: signed.on.clone(), revision }
}

/// Reads what ran: "dry", "runs", a bucket and its time "5 gal in 22 s", a flow "13.6 gpm".
pub fn running(text: &str, units: Units) -> Result<Running, MeasureError> {
    match text.trim() {
        "dry" => Ok(Running::Dry),
        "runs" => Ok(Running::Runs),
        text if text.contains(" in ") => measure::parse_bucket(text, units).map(Running::Flow),
        text => measure::parse_flow(text, units).map(Running::Flow).map_err(|_| MeasureError {
            found: text.into(),
            expected: "dry, runs, a bucket and its time such as 5 gal in 22 s, or a flow such as 13.6 gpm",
        }),
    }
}

/// A flow seen at an outlet; why it was looked at is its note.
pub fn flow(plan: &Plan, (outlet, running, cloudy): (OutletId, Running, bool), signed: &Signature) -> OutletFlow {
    let told = format!("{outlet:?} {running:?} {cloudy}");
    let key = key("flow", &[&signed.by, &signed.on, &told, &signed.because]);
    OutletFlow { key, taken: taken(plan, signed), outlet, running, cloudy, note: signed.because.clone() }
}

/// A repair, or something done in yearly care, at a place.
pub fn note(plan: &Plan, (on, spot, says): (NoteOn, Option<Spot>, &str), signed: &Signature) -> FieldNote {
    let key = key("note", &[&signed.by, &signed.on, &format!("{on:?} {spot:?}"), says]);
    FieldNote { key, taken: taken(plan, signed), on, spot, says: says.into(), agreed_by: String::new() }
}

/// Reads a spot: "L2:1+50", or "E,N" in the unit of the plane.
pub fn spot(text: &str, plan: &Plan) -> Option<Spot> {
    if let Some((name, station)) = text.rsplit_once(':') {
        let line = plan.line_named(name.trim())?;
        let station_m = measure::parse_station(station.trim(), plan.title.units)?;
        return (station_m <= plan.lines.get(&line)?.length_m()).then_some(Spot::Station { line, station_m });
    }
    let across = ground::plane(plan).unit().metres();
    let (x, y) = text.split_once(',')?;
    let (x, y): (f64, f64) = (x.trim().parse().ok()?, y.trim().parse().ok()?);
    let at = Point::new(x * across, y * across);
    at.is_finite().then_some(Spot::Place(at))
}
