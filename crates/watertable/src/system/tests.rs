use super::*;

/// Equations of a day's step on uneven soil: drains held in some cells, some cells no land.
fn uneven(cols: usize, rows: usize) -> Equations {
    let cells = cols * rows;
    let is_land = |cell: usize| cell % 11 != 3 && cell / cols + 1 != cell % cols;
    let soil = |cell: usize| 1.0 + 0.8 * ((cell % 7) as f64 - 3.0) / 4.0;
    let face = |cell: usize, other: usize, joined: bool| match joined && is_land(cell) && is_land(other) {
        true => 2.0 * soil(cell) * soil(other) / (soil(cell) + soil(other)),
        false => 0.0,
    };
    let own = |cell: usize| if cell.is_multiple_of(15) { 50.0 } else { 0.02 };
    let of_land = |value: f64, cell: usize| if is_land(cell) { value } else { 0.0 };
    Equations {
        cols,
        faces: [
            (0..cells).map(|cell| face(cell, cell + 1, cell % cols + 1 < cols)).collect(),
            (0..cells).map(|cell| face(cell, cell + cols, cell + cols < cells)).collect(),
        ],
        own: (0..cells).map(|cell| of_land(own(cell), cell)).collect(),
        right: (0..cells).map(|cell| of_land(1.0 + (cell % 5) as f64, cell)).collect(),
        begin: vec![0.0; cells],
    }
}

/// The plain way: every cell after every other, over and over.
fn plainly(equations: &Equations) -> Vec<f64> {
    let (cols, cells) = (equations.cols, equations.own.len());
    let [east, south] = &equations.faces;
    let mut found = vec![0.0; cells];
    for _ in 0..20_000 {
        for cell in 0..cells {
            let west = cell.checked_sub(1).map(|other| (east[other], other));
            let north = cell.checked_sub(cols).map(|other| (south[other], other));
            let beside = [west, north, Some((east[cell], cell + 1)), Some((south[cell], cell + cols))];
            let (mut diagonal, mut sum) = (equations.own[cell], equations.right[cell]);
            for (face, other) in beside.into_iter().flatten().filter(|(face, _)| *face > 0.0) {
                diagonal += face;
                sum += face * found[other];
            }
            found[cell] = if diagonal > 0.0 { sum / diagonal } else { 0.0 };
        }
    }
    found
}

#[test]
fn the_answer_is_that_of_the_plain_way() {
    for (cols, rows) in [(2, 2), (3, 7), (20, 13), (33, 18)] {
        let equations = uneven(cols, rows);
        let mut system = System::of(&equations);
        let cycles = system.solve(1e-10);
        let judge = plainly(&equations);
        let most = judge.iter().fold(0.0_f64, |most, value| most.max(value.abs()));
        let off = system.answer().iter().zip(&judge).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        assert!(off < 1e-8 * most && cycles < 30, "{cols} × {rows}: {off:e} of {most} in {cycles} cycles");
    }
}

/// What is said to be left is what is left.
#[test]
fn what_is_left_is_told() {
    let equations = uneven(40, 31);
    let mut system = System::of(&equations);
    system.solve(1e-3);
    let told = system.left.clone();
    system.begin();
    let apart = |colour: usize| told[colour].iter().zip(&system.left[colour]).map(|(a, b)| (a - b).abs());
    assert!([RED, BLACK].into_iter().flat_map(apart).all(|off| off < 1e-12));
    assert!(square(&told) <= 1e-6 * square(&system.right));
}
