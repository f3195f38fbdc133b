//! Words never lie on each other, whatever is asked for.

use drawing::{Frame, Labels, Place};
use proptest::prelude::*;

const SIDE: f64 = 100.0;

fn frame((x, y): (f64, f64), (wide, high): (f64, f64)) -> Frame {
    Frame { min: (x, y), max: (x + wide, y + high) }
}

/// Words as an upright box, or turned, as a row of discs.
fn words() -> impl Strategy<Value = Place> {
    let at = || (0.0..SIDE, 0.0..SIDE);
    let upright = (at(), (1.0..30.0, 1.0..6.0)).prop_map(|(at, size)| Place::Box(frame(at, size)));
    let turned = (at(), 0.0..std::f64::consts::TAU, 1usize..12).prop_map(|((x, y), angle, count)| {
        let (sin, cos) = f64::sin_cos(angle);
        let disc = |i: usize| ((x + 1.6 * i as f64 * cos, y + 1.6 * i as f64 * sin), 1.1);
        Place::Discs((0..count).map(disc).collect())
    });
    prop_oneof![upright, turned]
}

/// Points spread so closely over a place that no overlap of two escapes all of them.
fn covered(place: &Place) -> Vec<(f64, f64)> {
    match place {
        Place::Box(Frame { min, max }) => {
            let share = |low: f64, high: f64, k: i32| low + (high - low) * f64::from(k) / 40.0;
            (0..=40).flat_map(|i| (0..=40).map(move |j| (share(min.0, max.0, i), share(min.1, max.1, j)))).collect()
        }
        Place::Discs(discs) => {
            let rim = |((x, y), r): ((f64, f64), f64)| {
                (0..48).flat_map(move |i| {
                    let (sin, cos) = (f64::from(i) * std::f64::consts::TAU / 48.0).sin_cos();
                    [0.0, 0.5, 0.999].map(|share| (x + share * r * cos, y + share * r * sin))
                })
            };
            discs.iter().copied().flat_map(rim).collect()
        }
    }
}

fn holds(place: &Place, (x, y): (f64, f64)) -> bool {
    match place {
        Place::Box(Frame { min, max }) => x > min.0 && x < max.0 && y > min.1 && y < max.1,
        Place::Discs(discs) => discs.iter().any(|((cx, cy), r)| (x - cx).hypot(y - cy) < r * 0.999),
    }
}

fn overlap(a: &Place, b: &Place) -> bool {
    covered(a).into_iter().any(|at| holds(b, at)) || covered(b).into_iter().any(|at| holds(a, at))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    /// Of random words with three places each none lies on another, on a sign, or out of the frame; and one that is left
    /// out had no free place left.
    #[test]
    fn no_words_lie_on_others(
        asked in prop::collection::vec(prop::collection::vec(words(), 3), 1..16),
        signs in prop::collection::vec(words(), 0..4),
        line in prop::collection::vec((0.0..SIDE, 0.0..SIDE), 2..5),
    ) {
        let mut labels = Labels::new(frame((0.0, 0.0), (SIDE, SIDE)));
        signs.iter().for_each(|sign| labels.keep_off(sign.clone()));
        labels.keep_off_line(&line);
        let mut put: Vec<Place> = Vec::new();
        for places in asked {
            let before = labels.clone();
            match labels.put(places.iter().map(|place| (place.clone(), place.clone()))) {
                Some(place) => {
                    prop_assert!(put.iter().chain(&signs).all(|other| !overlap(other, &place)), "{place:?}");
                    let inside = |(x, y): (f64, f64)| (0.0..=SIDE).contains(&x) && (0.0..=SIDE).contains(&y);
                    prop_assert!(covered(&place).into_iter().all(inside), "{place:?}");
                    put.push(place);
                }
                None => {
                    let clear = 0.1..=SIDE - 0.1;
                    let fits = |place: &Place| covered(place).into_iter().all(|(x, y)| clear.contains(&x) && clear.contains(&y));
                    prop_assert!(!places.iter().any(|place| fits(place) && before.is_free(place)));
                }
            }
        }
    }
}
