use super::*;
use crate::{Drain, Entry, OverLand, Section, between_drains};

/// Flat land with drains every so many cells, north to south; 0 for none.
fn parallel(section: &Section, cell_m: f64, cols: usize, rows: usize, every: usize) -> Field {
    let cells = cols * rows;
    let level_m = -section.drain_depth_m;
    let entry = Entry::new(
        section.conductivity_ms,
        section.tight_depth_m - section.drain_depth_m,
        section.drain_depth_m,
        section.spacing_m,
        section.radius_m,
    );
    let drain = |cell: usize| Drain { cell, level_m, length_m: cell_m, entry };
    Field {
        cols,
        rows,
        cell_m,
        west_m: 0.0,
        north_m: 0.0,
        is_land: vec![true; cells],
        surface_m: vec![0.0; cells],
        base_m: vec![-section.tight_depth_m; cells],
        conductivity_ms: vec![section.conductivity_ms; cells],
        porosity: vec![section.porosity; cells],
        drains: (0..cells).filter(|cell| every > 0 && (cell % cols).is_multiple_of(every)).map(drain).collect(),
        over_land: OverLand::nowhere(cells),
    }
}

fn section() -> Section {
    Section {
        spacing_m: 24.0,
        drain_depth_m: 1.2,
        tight_depth_m: 2.4,
        radius_m: 0.05,
        conductivity_ms: 1.2 / DAY_S,
        porosity: 0.06,
    }
}

fn no_stop() -> impl FnMut(f64, &Season) -> ControlFlow<()> {
    |_, _| ControlFlow::Continue(())
}

#[test]
fn the_steady_table_of_a_field_is_hooghoudts() {
    let section = section();
    let field = parallel(&section, 1.0, 49, 3, 24);
    let mut season = Season::at_depth(&field, 1.0, 0.002);
    let wet = Weather { rain_m: 0.0127, evaporation_m: 0.0 };
    for _ in 0..100 {
        let _ = season.pass_day(wet, &mut no_stop());
    }
    let strip = between_drains(&section, 1.0, &vec![wet; 100]);
    println!(
        "{} {} steps {} cycles {} off {:e}",
        season.depth_m(49 + 12),
        strip[100][40],
        season.steps,
        season.cycles,
        season.balance().off()
    );
    assert!((season.depth_m(49 + 36) - strip[100][40]).abs() < 2e-3);
}

#[test]
fn falling_table() {
    let section = section();
    let field = parallel(&section, 1.0, 49, 3, 24);
    let mut season = Season::at_depth(&field, 0.0, 0.02);
    let mut fine = Season::at_depth(&field, 0.0, 0.0002);
    let mut days = vec![Weather::default(); 3];
    days.push(Weather { rain_m: 0.03, evaporation_m: 0.0 });
    days.extend(vec![Weather { rain_m: 0.0, evaporation_m: 0.003 }; 8]);
    let strip = between_drains(&section, 0.0, &days);
    for (day, weather) in days.iter().enumerate() {
        let _ = season.pass_day(*weather, &mut no_stop());
        let _ = fine.pass_day(*weather, &mut no_stop());
        println!(
            "{day} {:.4} {:.4} {:.4} steps {} {} cycles {} off {:e}",
            season.depth_m(49 + 12),
            fine.depth_m(49 + 12),
            strip[day + 1][40],
            season.steps,
            fine.steps,
            season.cycles,
            season.balance().off()
        );
    }
}

#[test]
fn speed_of_a_season() {
    let section = Section { spacing_m: 12.0, ..section() };
    let mut field = parallel(&section, 1.0, 450, 450, 12);
    for cell in 0..field.len() {
        let (x, y) = ((cell % 450) as f64, (cell / 450) as f64);
        field.conductivity_ms[cell] *= 1.0 + 0.6 * (x / 90.0).sin() * (y / 70.0).cos();
    }
    field.drains.retain(|drain| drain.cell / 450 > 60);
    let days: Vec<Weather> = (0..180)
        .map(|day| Weather { rain_m: if day % 5 == 0 { 0.015 } else { 0.0 }, evaporation_m: 0.002 })
        .collect();
    let mut ends: Vec<Vec<f64>> = Vec::new();
    for off in [0.02] {
        let clock = std::time::Instant::now();
        let mut season = Season::at_depth(&field, 0.3, off);
        let mut worst = 0.0_f64;
        let keeps = ends.is_empty();
        for (day, weather) in days.iter().take(20).enumerate() {
            let _ = season.pass_day(*weather, &mut no_stop());
            if keeps {
                ends.push(season.heads_m.clone());
            }
            let off = season.heads_m.iter().zip(&ends[day]).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
            worst = worst.max(off);
            let at = (0..field.len())
                .max_by(|&a, &b| {
                    (season.heads_m[a] - ends[day][a]).abs().total_cmp(&(season.heads_m[b] - ends[day][b]).abs())
                })
                .unwrap();
            println!(
                "  {day} steps {} off {off:.4} at {} {} head {:.3}",
                season.steps,
                at % 450,
                at / 450,
                ends[day][at]
            );
        }
        println!(
            "off {off}: {:?} {} steps {} cycles worst {worst:.4} balance {:e}",
            clock.elapsed(),
            season.steps,
            season.cycles,
            season.balance().off()
        );
    }
}
