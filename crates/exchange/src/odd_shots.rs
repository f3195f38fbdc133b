//! What is odd about the shots of a file as a whole: places taken twice, two units of level, coordinates of another kind.

use measure::{FOOT_M, Point};

use crate::FileError;
use crate::ground::Stated;
use crate::plane::like_degrees;
use terrain::RawShot;

/// Distances from the middle of the earth to places on it, metres (radii of WGS 84 ± 20 km).
const FROM_MIDDLE_M: std::ops::RangeInclusive<f64> = 6_336_000.0..=6_399_000.0;
/// No level is as far from zero as the third of three geocentric coordinates is on farmed land, metres (own choice).
const NO_LEVEL_M: f64 = 20_000.0;
/// How near two middle levels come to the ratio of metres and feet, as a share (judgement).
const UNIT_SHARE: f64 = 0.02;
/// Fewest shots of a group of levels that tell of a unit (judgement).
const UNIT_SHOTS: usize = 3;
/// Shots told one by one.
const MOST_TOLD: usize = 8;

/// Refuses coordinates counted from the middle of the earth.
pub(crate) fn check_geocentric(shots: &[RawShot]) -> Result<(), FileError> {
    let geocentric = |shot: &RawShot| {
        let Point { x, y } = shot.at;
        let from_middle_m = (x * x + y * y + shot.level_m * shot.level_m).sqrt();
        shot.level_m.abs() > NO_LEVEL_M && FROM_MIDDLE_M.contains(&from_middle_m)
    };
    let Some(first) = shots.first().filter(|_| shots.iter().all(geocentric)) else { return Ok(()) };
    let found = format!(
        "coordinates from the middle of the earth (geocentric X, Y, Z), such as {}, {}, {}",
        first.at.x, first.at.y, first.level_m
    );
    Err(FileError::unclear(found, "easting, northing and level, or longitude, latitude and level"))
}

/// Holds numbers that are said to be degrees against what degrees can be. A file all of whose latitudes are none is refused;
/// single shots are left out and told.
pub(crate) fn check_degrees(shots: &mut Vec<RawShot>, stated: &mut Stated) -> Result<(), FileError> {
    let sound = shots.iter().filter(|shot| like_degrees(shot.at)).count();
    let Some(bad) = shots.iter().find(|shot| !like_degrees(shot.at)).filter(|_| sound < shots.len()) else {
        return Ok(());
    };
    if sound * 2 <= shots.len() {
        let Point { x, y } = bad.at;
        let found = format!("longitude {x} and latitude {y}{}", if swapped(bad.at) { SWAPPED } else { "" });
        return Err(FileError::malformed(
            format!("line {}", bad.line),
            found,
            "a latitude between -90 and 90 degrees",
        ));
    }
    let mut told = 0;
    shots.retain(|shot| {
        let keep = like_degrees(shot.at);
        if !keep && told < MOST_TOLD {
            told += 1;
            let Point { x, y } = shot.at;
            let why = if swapped(shot.at) { SWAPPED } else { "" };
            stated
                .notes
                .push(format!("line {} was left out: longitude {x} and latitude {y} are no degrees{why}", shot.line));
        }
        keep
    });
    Ok(())
}

/// What is said of numbers that would be degrees the other way round.
pub(crate) const SWAPPED: &str = ", which look like latitude and longitude swapped";

/// Whether numbers that are no longitude and latitude are latitude and longitude.
pub(crate) fn swapped(at: Point) -> bool {
    at.x.abs() <= 90.0 && (90.0..=180.0).contains(&at.y.abs())
}

/// Tells of shots in one place, of which the ground takes the mean level ([`terrain::Tin`]). Places and levels are as the
/// file has them.
pub(crate) fn tell_repeats(shots: &[RawShot], stated: &mut Stated) {
    let mut order: Vec<&RawShot> = shots.iter().collect();
    let by_place = |a: &&RawShot, b: &&RawShot| a.at.x.total_cmp(&b.at.x).then(a.at.y.total_cmp(&b.at.y));
    order.sort_by(|a, b| by_place(a, b).then(a.line.cmp(&b.line)));
    let (mut repeated, mut differing) = (Vec::new(), Vec::new());
    for together in order.chunk_by(|a, b| a.at == b.at) {
        let first = together[0];
        let (other, same): (Vec<&RawShot>, Vec<&RawShot>) =
            together[1..].iter().partition(|s| s.level_m != first.level_m);
        repeated.extend(same.iter().map(|shot| shot.line));
        differing.extend(other.last().map(|other| (first, *other)));
    }
    differing.sort_by_key(|(first, _)| first.line);
    for (a, b) in differing.iter().take(MOST_TOLD) {
        stated.note(format!(
            "lines {} and {}: one place, {}, {}, with the levels {} and {}; the ground takes the mean",
            a.line, b.line, a.at.x, a.at.y, a.level_m, b.level_m
        ));
    }
    if differing.len() > MOST_TOLD {
        stated.note(format!("{} more places have different levels", differing.len() - MOST_TOLD));
    }
    if let Some(first) = repeated.iter().min() {
        let count = repeated.len();
        stated.note(format!(
            "{count} shots repeat the place and level of another, the first in line {first}; they count once in the ground"
        ));
    }
}

/// Tells of levels that form two groups as far apart as the same levels in feet and in metres.
pub(crate) fn tell_two_units(shots: &[RawShot], stated: &mut Stated) {
    let mut sorted: Vec<&RawShot> = shots.iter().filter(|shot| shot.level_m > 0.0).collect();
    sorted.sort_by(|a, b| a.level_m.total_cmp(&b.level_m));
    let step = |i: &usize| sorted[*i].level_m / sorted[*i - 1].level_m;
    let Some(cut) = (1..sorted.len()).max_by(|i, j| step(i).total_cmp(&step(j))) else { return };
    let (low, high) = sorted.split_at(cut);
    if low.len() < UNIT_SHOTS || high.len() < UNIT_SHOTS || low.len() + high.len() < shots.len() {
        return;
    }
    let middle = |group: &[&RawShot]| group[group.len() / 2].level_m;
    let ratio = middle(high) / middle(low) * FOOT_M;
    if (ratio - 1.0).abs() > UNIT_SHARE || !(beside(low, high) || beside(high, low)) {
        return;
    }
    stated.note(format!(
        "the levels form two groups 3.28 apart, the feet of a meter: {} round {} and {} round {}, such as lines {} and {}; \
         is one of them in feet, the other in meters?",
        low.len(),
        middle(low),
        high.len(),
        middle(high),
        low[0].line,
        high[0].line
    ));
}

/// Whether shots lie, in their middle, on the land of others.
fn beside(shots: &[&RawShot], others: &[&RawShot]) -> bool {
    [|shot: &RawShot| shot.at.x, |shot: &RawShot| shot.at.y].iter().all(|of| {
        let mut values: Vec<f64> = shots.iter().map(|shot| of(shot)).collect();
        values.sort_by(f64::total_cmp);
        let middle = values[values.len() / 2];
        others.iter().any(|other| of(other) <= middle) && others.iter().any(|other| of(other) >= middle)
    })
}
