//! Closed rings: what they hold, mending.

use design::Flaw;
use measure::{Point, closed, distance, nearest_on, ring_holds, ring_m2};

use crate::FileError;

/// Points nearer than this are one point, metres (own choice: a tenth of a millimetre).
const SAME_M: f64 = 1e-4;
/// Land that is inside or outside as one takes it is left out of a field up to so much: square metres and share of the
/// field, whichever is less (own choice: what a receiver wanders where a walk round the field ends).
const DOUBTFUL: (f64, f64) = (10.0, 1e-3);

/// Whether a ring holds a place (even-odd rule; on the edge counts as inside within a millimetre).
pub(crate) fn contains(ring: &[Point], p: Point) -> bool {
    let on_edge = nearest_on(&closed(ring), p).is_some_and(|(_, _, away_m)| away_m < 1e-3);
    on_edge || ring_holds(ring, p)
}

/// A ring without its closing point, without repeated points and spikes, turned the right way.
pub(crate) fn mend(
    mut ring: Vec<Point>,
    place: &str,
    outer: bool,
    notes: &mut Vec<String>,
) -> Result<Vec<Point>, FileError> {
    let closed = ring.len() > 1 && ring.first().zip(ring.last()).is_some_and(|(a, b)| distance(*a, *b) < SAME_M);
    if closed {
        ring.pop();
    } else if ring.len() > 2 {
        notes.push(format!("{place}: the last point does not repeat the first; the ring was closed"));
    }
    let before = ring.len();
    ring.dedup_by(|a, b| distance(*a, *b) < SAME_M);
    if ring.len() < before {
        notes.push(format!("{place}: {} repeated points were left out", before - ring.len()));
    }
    let before = ring.len();
    let spike = without_spikes(&mut ring);
    if let Some(p) = spike.filter(|_| ring.len() > 2) {
        notes.push(format!(
            "{place}: {} points out and back on one line, which enclose nothing, were left out, near ({:.1}, {:.1})",
            before - ring.len(),
            p.x,
            p.y
        ));
    }
    if ring.len() < 3 {
        let found = format!("a ring of {} different points", ring.len());
        return Err(FileError::malformed(place, found, "at least three different points, enclosing at least 10 m²"));
    }
    if (ring_m2(&ring) > 0.0) != outer {
        ring.reverse();
    }
    Ok(ring)
}

/// Takes out points to which a ring goes only to come back the same way; answers one of them.
fn without_spikes(ring: &mut Vec<Point>) -> Option<Point> {
    let mut gone = None;
    let mut kept: Vec<Point> = Vec::with_capacity(ring.len());
    for p in ring.iter() {
        while let [.., a, b] = kept[..] {
            if !is_spike(a, b, *p) {
                break;
            }
            gone = gone.or(kept.pop());
        }
        if kept.last().is_none_or(|last| distance(*last, *p) >= SAME_M) {
            kept.push(*p);
        }
    }
    // The spike may stand where the ring begins and ends.
    let ends = |kept: &[Point]| match kept {
        [first, second, .., last] if is_spike(*last, *first, *second) => Some(0),
        [first, .., before, last] if is_spike(*before, *last, *first) || distance(*first, *last) < SAME_M => {
            Some(kept.len() - 1)
        }
        _ => None,
    };
    while let Some(index) = ends(&kept) {
        let point = kept.remove(index);
        gone = gone.or(Some(point));
    }
    *ring = kept;
    gone
}

/// Whether the way from `a` to `b` and on to `c` goes out and back on one line.
fn is_spike(a: Point, b: Point, c: Point) -> bool {
    let back = (b.x - a.x) * (c.x - b.x) + (b.y - a.y) * (c.y - b.y) < 0.0;
    let off = |path: [Point; 2], p: Point| nearest_on(&path, p).is_some_and(|(_, _, away_m)| away_m < SAME_M);
    back && (off([a, b], c) || off([b, c], a))
}

/// The rings of a field so that they enclose what they seem to: what can be mended is, and told; the rest is refused.
pub(crate) fn sound(
    rings: Vec<Vec<Point>>,
    place: &str,
    notes: &mut Vec<String>,
) -> Result<Vec<Vec<Point>>, FileError> {
    let flaws = design::flaws(&rings);
    if flaws.is_empty() {
        return Ok(rings);
    }
    if let Some(Flaw::Tangle { at }) = flaws.first() {
        let found = format!(
            "rings that cross or come back to themselves again and again, once near ({:.1}, {:.1})",
            at.x, at.y
        );
        return Err(FileError::malformed(place, found, "rings that do not cross"));
    }
    let mut pieces = design::pieces(&rings).into_iter();
    let largest = pieces.next().unwrap_or_default();
    let area_m2 = design::counted_m2(&largest);
    let slivers_m2: f64 = pieces.clone().map(|piece| design::counted_m2(&piece)).sum();
    let doubtful_m2 = DOUBTFUL.0.min(DOUBTFUL.1 * area_m2);
    for flaw in &flaws {
        notes.push(mended(flaw, place, doubtful_m2)?);
    }
    if largest.is_empty() {
        return Err(FileError::malformed(
            place,
            "no area left: holes as large as the field, or rings too tangled to be cut",
            "a field",
        ));
    }
    if slivers_m2 > doubtful_m2 {
        let found = format!(
            "a field of {} pieces, the largest {area_m2:.1} m², the others {slivers_m2:.1} m²",
            1 + pieces.len()
        );
        return Err(FileError::malformed(place, found, "one field in one piece"));
    }
    notes.push(format!(
        "{place}: mended, the field has {area_m2:.1} m²; by its rings as they stand it would have had {:.1} m²",
        design::counted_m2(&rings)
    ));
    Ok(largest)
}

/// What was done about a flaw; refused where it is unclear what the field is.
fn mended(flaw: &Flaw, place: &str, most_m2: f64) -> Result<String, FileError> {
    let near = |at: &Point| format!("near ({:.1}, {:.1})", at.x, at.y);
    Ok(match flaw {
        Flaw::Tangle { at } => format!("{place}: rings cross {}", near(at)),
        Flaw::Itself { ring, at, doubtful_m2 } => {
            let place = if *ring == 0 { place.to_string() } else { format!("{place}, hole {ring}") };
            if *doubtful_m2 > most_m2 {
                let found = format!(
                    "a ring that crosses itself or runs over itself {}: {doubtful_m2:.1} m² are in or out as one takes it",
                    near(at)
                );
                return Err(FileError::malformed(place, found, "a ring that does not cross itself"));
            }
            format!("{place}: the ring crosses itself {}; the loop, {doubtful_m2:.2} m², was left out", near(at))
        }
        Flaw::Outside { hole, at, area_m2 } => {
            format!(
                "{place}, hole {hole}: {area_m2:.1} m² of it lie outside the boundary {} and take nothing off",
                near(at)
            )
        }
        Flaw::Overlap { holes: (a, b), at, area_m2 } => {
            format!(
                "{place}: holes {a} and {b} overlap {}; the {area_m2:.1} m² that they share are taken off once",
                near(at)
            )
        }
    })
}
