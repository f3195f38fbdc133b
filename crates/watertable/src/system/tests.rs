use super::*;

/// The reference case of the peers: drains every 15 cells, conductivity that varies smoothly, one day's step.
fn case(side: usize) -> System {
    let mut system = System::new(side, side);
    let (drain_m, porosity) = (2.0, 0.05);
    let is_drain = |x: usize, y: usize| x.is_multiple_of(15) && y > 3 && y + 3 < side;
    let level = |x: usize| drain_m + 0.6 * (std::f64::consts::PI * x as f64 / 15.0).sin().abs();
    let conveys =
        |x: usize, y: usize| 0.5 * (1.0 + 0.6 * (x as f64 / 90.0).sin() * (y as f64 / 70.0).cos()) * level(x);
    for y in 0..side {
        for x in 0..side {
            if is_drain(x, y) {
                continue;
            }
            let (colour, at) = system.board.place(x, y);
            let (mut own, mut right) = (porosity, 0.007 + porosity * level(x));
            for (east, south) in [(1isize, 0isize), (-1, 0), (0, 1), (0, -1)] {
                let (nx, ny) = (x.wrapping_add_signed(east), y.wrapping_add_signed(south));
                if nx >= side || ny >= side {
                    continue;
                }
                let (one, other) = (conveys(x, y), conveys(nx, ny));
                let face = 2.0 * one * other / (one + other);
                if is_drain(nx, ny) {
                    own += face;
                    right += face * drain_m;
                } else {
                    match (east, south) {
                        (1, 0) => system.faces.set_east(system.board, x, y, face),
                        (0, 1) => system.faces.set_south(system.board, x, y, face),
                        _ => {}
                    }
                }
            }
            system.own[colour][at] = own;
            system.right[colour][at] = right;
            system.found[colour][at] = level(x);
        }
    }
    system.settle();
    system
}

#[test]
fn speed() {
    for side in [450, 1000] {
        let mut system = case(side);
        let begin = system.found.clone();
        for share in [1e-8, 1e-3] {
            for _ in 0..3 {
                system.found = begin.clone();
                let clock = std::time::Instant::now();
                system.settle();
                let set = clock.elapsed();
                let cycles = system.solve(share);
                let took = clock.elapsed();
                println!("{side} {share}: {cycles} cycles, settle {set:?} all {took:?}");
            }
        }
    }
}
