//! Time to look at a survey of ten thousand shots on lidar.

use divan::Bencher;
use land::Surveyed;
use measure::{LengthUnit, Point};
use plan::SurveyBook;
use terrain::{Batch, FieldBook, Grid, Shot, SurveyShot};

fn main() {
    divan::main();
}

fn level(at: Point) -> f64 {
    100.0 + 0.02 * at.x + 0.5 * (at.y / 60.0).sin()
}

/// Four batches on a net of 15 m, every thousandth shot 3 m off.
fn book() -> FieldBook {
    let mut book = FieldBook::default();
    for batch in 0..4 {
        let shots = (0..2_500).map(|i| {
            let at =
                Point::new((i % 50) as f64 * 15.0 + batch as f64 * 3.0, (i / 50) as f64 * 15.0 + batch as f64 * 4.0);
            let slip = if (i + 1) % 1_000 == 0 { 3.0 } else { 0.0 };
            let shot = Shot { at, level_m: level(at) + slip };
            SurveyShot { name: i.to_string(), code: String::new(), batch: 0, row: i + 1, shot }
        });
        let (file, datum) = (String::new(), String::new());
        let batch = Batch { name: format!("B{batch}"), file, unit: LengthUnit::Metre, datum, date: None };
        book.add(batch, shots.collect::<Vec<_>>());
    }
    book
}

#[divan::bench(sample_count = 10)]
fn ten_thousand_shots_on_lidar(bencher: Bencher) {
    let place = |i: usize| Point::new((i % 400) as f64 * 2.0 + 1.0, 800.0 - (i / 400) as f64 * 2.0 - 1.0);
    let levels = (0..160_000).map(|i| level(place(i)) as f32).collect();
    let lidar = Grid::new((400, 400), (0.0, 800.0), (2.0, 2.0), levels).expect("a grid");
    let (book, corrections) = (book(), SurveyBook::default());
    bencher.bench(|| Surveyed::of(&book, &corrections, Some(&lidar)).outliers.len());
}
