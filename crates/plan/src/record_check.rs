//! What must always hold of a record.

use crate::bounds::{self, Bound};
use crate::check::{count, date, name, once, refuse, text, within};
use crate::{DugShot, Find, Fix, PlanError, Record, Running, Signature, Spot, Taken, is_date};

/// Letters of a key at most: those of the longest that a field page, a file or the window gives, and some.
const KEY: usize = 64;

/// Holds a record against its invariants and names the first that is broken.
pub(crate) fn record(record: &Record) -> Result<(), PlanError> {
    let lists = [
        ("the shots of the record", record.shots.len()),
        ("the finds of the record", record.finds.len()),
        ("the probes of the record", record.probes.len()),
        ("the photos of the record", record.photos.len()),
        ("the notes of the record", record.notes.len()),
        ("the flows of the record", record.flows.len()),
        ("the stretches laid", record.laid.len()),
        ("the log of the record", record.log.len()),
    ];
    lists.into_iter().try_for_each(|(place, found)| count(place, found, bounds::ENTRIES))?;
    record.keys().try_for_each(key)?;
    once("entry of the record", record.keys())?;
    record.shots.iter().try_for_each(shot)?;
    record.finds.iter().try_for_each(find)?;
    for probe in &record.probes {
        let place = format!("probe {}", probe.key);
        taken(&place, &probe.taken)?;
        spot(&place, &probe.spot)?;
        text(&place, &probe.note)?;
    }
    for photo in &record.photos {
        let place = format!("photo {}", photo.file);
        name(&place, &photo.file)?;
        text(&place, &photo.caption)?;
        photo.spot.iter().try_for_each(|at| spot(&place, at))?;
        photo.looks_deg.iter().try_for_each(|looks| within(&place, "direction", *looks, bounds::DIRECTION))?;
        if photo.sha256.len() != 64 || !photo.sha256.bytes().all(|b| b.is_ascii_hexdigit()) {
            return refuse(place, format!("the checksum '{}'", photo.sha256), "64 hexadecimal digits");
        }
    }
    for note in &record.notes {
        let place = format!("note {}", note.key);
        taken(&place, &note.taken)?;
        note.spot.iter().try_for_each(|at| spot(&place, at))?;
        text(&place, &note.says)?;
    }
    for flow in &record.flows {
        let place = format!("flow {}", flow.key);
        taken(&place, &flow.taken)?;
        running(&place, flow.running)?;
        text(&place, &flow.note)?;
    }
    for laid in &record.laid {
        let (from_m, to_m) = laid.stretch_m;
        within("a stretch laid", "station", from_m, STATION)?;
        within("a stretch laid", "station", to_m, STATION)?;
        if from_m > to_m {
            return refuse("a stretch laid", format!("{from_m} to {to_m} m"), "the lower station first");
        }
        laid.size_m.iter().try_for_each(|size_m| within("a stretch laid", "size", *size_m, bounds::PIPE))?;
        if !laid.on.is_empty() {
            date("a stretch laid".into(), &laid.on)?;
        }
    }
    record.finished.iter().try_for_each(|day| date("the end of the digging".into(), day))?;
    record.signed.iter().try_for_each(|by| signed("the signed record", by))?;
    record.log.iter().try_for_each(|entry| signed("the log of the record", &entry.signed))
}

/// Stations lie on lines as they are now or were then: a line may have been shortened since.
const STATION: Bound = Bound { least: 0.0, ..bounds::LENGTH };

fn key(key: &str) -> Result<(), PlanError> {
    let sound = |c: char| c.is_ascii_alphanumeric() || "-_.:".contains(c);
    if (1..=KEY).contains(&key.len()) && key.chars().all(sound) {
        return Ok(());
    }
    refuse("an entry of the record", format!("the key '{key}'"), "up to 64 letters, digits, '-', '_', '.', ':'")
}

fn shot(shot: &DugShot) -> Result<(), PlanError> {
    let place = format!("shot {}", shot.key);
    taken(&place, &shot.taken)?;
    spot(&place, &shot.spot)?;
    within(&place, "level", shot.level_m, bounds::LEVEL)?;
    shot.scatter_m.iter().try_for_each(|scatter_m| within(&place, "scatter", *scatter_m, bounds::DEPTH))?;
    shot.fix.iter().try_for_each(|own| fix(&place, own))?;
    shot.struck.iter().try_for_each(|by| signed(&place, by))?;
    text(&place, &shot.note)
}

fn fix(place: &str, fix: &Fix) -> Result<(), PlanError> {
    name(place, &fix.checked_on)?;
    let figures = [
        ("height of the antenna", fix.antenna_m),
        ("height of the geoid", fix.geoid_m.unwrap_or(0.0)),
        ("shift", fix.shift_m),
        ("miss along the ground", fix.missed_m.0),
        ("miss in height", fix.missed_m.1),
        ("age", fix.age_s.unwrap_or(0.0)),
    ];
    figures.into_iter().try_for_each(|(what, figure)| within(place, what, figure, bounds::LEVEL))
}

fn find(find: &Find) -> Result<(), PlanError> {
    let place = format!("find {}", find.key);
    taken(&place, &find.taken)?;
    spot(&place, &find.spot)?;
    running(&place, find.running)?;
    let figures = [
        ("level", find.invert_m, bounds::LEVEL),
        ("size", find.size_m, bounds::PIPE),
        ("direction", find.falls_deg, bounds::DIRECTION),
        ("silt", find.silt_m, bounds::DEPTH),
        ("area", find.upstream_m2, bounds::AREA),
    ];
    for (what, figure, bound) in figures {
        figure.iter().try_for_each(|figure| within(&place, what, *figure, bound))?;
    }
    find.decided.iter().try_for_each(|decided| signed(&place, &decided.signed))?;
    find.struck.iter().try_for_each(|by| signed(&place, by))?;
    text(&place, &find.note)
}

fn running(place: &str, running: Running) -> Result<(), PlanError> {
    match running {
        Running::Flow(flow_m3s) => within(place, "flow", flow_m3s, bounds::FLOW),
        Running::Unknown | Running::Dry | Running::Runs => Ok(()),
    }
}

fn spot(place: &str, spot: &Spot) -> Result<(), PlanError> {
    match spot {
        Spot::Station { station_m, .. } => within(place, "station", *station_m, STATION),
        Spot::Place(at) => {
            within(place, "easting", at.x, bounds::COORDINATE)?;
            within(place, "northing", at.y, bounds::COORDINATE)
        }
    }
}

/// A day, or a day and a time as a clock on the wall shows it.
fn taken(place: &str, taken: &Taken) -> Result<(), PlanError> {
    name(place, &taken.by)?;
    name(place, &taken.revision)?;
    let (day, time) = taken.at.split_once('T').unwrap_or((&taken.at, "00:00"));
    if is_date(day) && is_time(time) {
        return Ok(());
    }
    refuse(place, format!("the time '{}'", taken.at), "a day and a time as YYYY-MM-DDTHH:MM, or the day alone")
}

fn is_time(time: &str) -> bool {
    let two = |part: &str, under: u8| part.len() == 2 && part.parse::<u8>().is_ok_and(|number| number < under);
    time.split_once(':').is_some_and(|(hour, minute)| two(hour, 24) && two(minute, 60))
}

fn signed(place: &str, signed: &Signature) -> Result<(), PlanError> {
    name(place, &signed.by)?;
    text(place, &signed.because)?;
    date(place.into(), &signed.on)
}
