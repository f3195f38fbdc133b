//! Published grids with printed answers. Section numbers are those of the project's reference values.

#![allow(clippy::unwrap_used)] // helpers of tests, outside the test functions themselves

use measure::Point;
use terrain::{Grid, Water, contours};

fn grid(cols: usize, cell_m: f64, levels: &[f32]) -> Grid {
    let rows = levels.len() / cols;
    Grid::new((cols, rows), (0.0, rows as f64 * cell_m), (cell_m, cell_m), levels.to_vec()).unwrap()
}

/// Numbers of a table written as text.
fn table(text: &str) -> Vec<f32> {
    text.split_whitespace().map(|word| word.parse().unwrap()).collect()
}

/// The cells of a table that are not on its border.
fn interior<T: Copy>(cols: usize, cells: &[T]) -> Vec<T> {
    let rows = cells.len() / cols;
    (1..rows - 1).flat_map(|row| cells[row * cols + 1..row * cols + cols - 1].to_vec()).collect()
}

/// Section 5.2, first grid: directions and accumulation, cell by cell.
#[test]
fn classic_six_by_six() {
    let levels = "78 72 69 71 58 49  74 67 56 49 46 50  69 53 44 37 38 48
                  64 58 55 22 31 24  68 61 47 21 16 19  74 53 34 12 11 12";
    let directions = "2 2 2 4 4 8  2 2 2 4 4 8  1 1 2 4 8 4  128 128 1 2 4 8  2 2 1 4 4 4  1 1 1 1 0 16";
    let uphill = "1 1 1 1 1 1  1 2 2 3 3 1  1 4 8 6 5 1  1 1 1 21 1 2  1 1 1 2 25 1  1 3 5 8 36 2";
    let grid = grid(6, 1.0, &table(levels));
    let water = Water::of(&grid);
    assert_eq!(water.directions(), table(directions).iter().map(|&code| code as u8).collect::<Vec<_>>());
    assert_eq!(water.cells_uphill(), table(uphill).iter().map(|&cells| cells as u32).collect::<Vec<_>>());
    let outlet = grid.centre(4, 5);
    assert_eq!(water.uphill_area_m2(&grid, outlet), Some(36.0));
    assert_eq!(water.path_from(&grid, grid.centre(0, 0)).last(), Some(&outlet));
}

/// Section 5.2, second grid: directions of the interior.
#[test]
fn second_six_by_six() {
    let levels =
        "1 4 6 12 20 44  3 4 8 11 13 24  5 8 15 20 25 39  9 14 22 32 37 47  12 18 31 39 44 52  14 26 36 43 48 58";
    let directions = "32 16 32 16  64 32 64 64  32 32 32 32  32 16 32 32";
    let water = Water::of(&grid(6, 1.0, &table(levels)));
    let expected: Vec<u8> = table(directions).iter().map(|&code| code as u8).collect();
    assert_eq!(interior(6, water.directions()), expected);
}

/// Section 5.2, third grid: areas of the nine interior cells; the outlet counts itself here, 1000 instead of 900.
#[test]
fn five_by_five_with_walls() {
    // The walls are missing ground but for the outlet, so that nothing but the nine cells drains.
    let mut levels = table("7 7 7 7 7  7 5 3.2 6 7  7 2 3 5 7  7 1 1.9 4 7  7 0 7 7 7");
    for level in levels.iter_mut().filter(|level| **level == 7.0) {
        *level = f32::NAN;
    }
    let grid = grid(5, 10.0, &levels);
    let water = Water::of(&grid);
    let areas: Vec<f64> = water.cells_uphill().iter().map(|&cells| cells as f64 * grid.cell_area_m2()).collect();
    assert_eq!(interior(5, &areas), [100.0, 200.0, 100.0, 400.0, 100.0, 100.0, 600.0, 300.0, 100.0]);
    assert_eq!(water.uphill_area_m2(&grid, grid.centre(1, 4)), Some(1000.0));
}

/// Section 5.2, accumulation alone: a slope to the north gathers row by row.
#[test]
fn all_cells_pointing_north() {
    let levels: Vec<f32> = (0..100).map(|cell| (cell / 10) as f32).collect();
    let water = Water::of(&grid(10, 1.0, &levels));
    let expected: Vec<u32> = (0..100).map(|cell| 10 - cell / 10).collect();
    assert_eq!(water.cells_uphill(), expected);
}

/// Section 5.3, case A: nine cells of two pits become 2.
#[test]
fn filling_case_a() {
    let levels = "0 0 0 0 0 0 0 0 0 0  0 0 0 0 0 0 0 0 0 0  0 2 2 2 2 0 0 0 0 0  0 2 0 0 2 2 2 2 0 0
                  0 2 2 2 2 0 0 2 0 0  0 0 2 0 2 0 0 2 0 0  0 0 2 2 2 0 0 2 0 0  0 0 0 0 2 2 2 2 0 0
                  0 0 0 0 0 0 0 0 0 0  0 0 0 0 0 0 0 0 0 0";
    let expected = "0 0 0 0 0 0 0 0 0 0  0 0 0 0 0 0 0 0 0 0  0 2 2 2 2 0 0 0 0 0  0 2 2 2 2 2 2 2 0 0
                    0 2 2 2 2 2 2 2 0 0  0 0 2 2 2 2 2 2 0 0  0 0 2 2 2 2 2 2 0 0  0 0 0 0 2 2 2 2 0 0
                    0 0 0 0 0 0 0 0 0 0  0 0 0 0 0 0 0 0 0 0";
    let grid = grid(10, 1.0, &table(levels));
    let water = Water::of(&grid);
    assert_eq!(water.filled(), table(expected));
    let hollows = water.depressions(&grid, 0.1, 0.0);
    // The wall parts the nine cells into three hollows.
    assert_eq!(
        hollows.iter().map(|h| (h.cells.len(), h.depth_m)).collect::<Vec<_>>(),
        [(6, 2.0), (2, 2.0), (1, 2.0)]
    );
}

/// Section 5.3, case B: six low cells become 1.8.
#[test]
fn filling_case_b() {
    let levels = "0 0 0 0 0 0 0  0 2 2 2 2 2 0  0 2 1.6 1.5 1.6 2 0  0 2 1.7 1.6 1.7 2 0  0 2 1.8 2 2 2 0
                  0 1 0.6 1 1 1 0  0 0 -0.5 0 0 0 0";
    let grid = grid(7, 1.0, &table(levels));
    let water = Water::of(&grid);
    let raised: Vec<f32> = water.filled().iter().zip(grid.levels()).filter(|(a, b)| a > b).map(|(a, _)| *a).collect();
    assert_eq!(raised, [1.8; 6]);
    let hollow = &water.depressions(&grid, 0.1, 1.0)[0];
    assert_eq!((hollow.deepest, hollow.spill), (grid.centre(3, 2), grid.centre(2, 4)));
    assert!((hollow.volume_m3 - 1.1).abs() < 1e-6 && (hollow.depth_m - 0.3).abs() < 1e-6, "{hollow:?}");
    assert_eq!((hollow.area_m2, hollow.spill_level_m), (6.0, 1.8f32 as f64));
}

/// Section 5.3, case C (grid of one plus column): a pit of nine cells fills to 4, one of four to 7.
#[test]
fn filling_case_c() {
    let mut levels: Vec<f32> = (0..100).map(|cell| (1 + cell % 10) as f32).collect();
    let pit = |col: usize, row: usize| (2..5).contains(&row) && (4..7).contains(&col);
    let small = |col: usize, row: usize| (6..8).contains(&row) && (7..9).contains(&col);
    for (cell, level) in levels.iter_mut().enumerate() {
        if pit(cell % 10, cell / 10) || small(cell % 10, cell / 10) {
            *level = 0.0;
        }
    }
    let water = Water::of(&grid(10, 1.0, &levels));
    let filled = |inside: &dyn Fn(usize, usize) -> bool| -> Vec<f32> {
        (0..100).filter(|cell| inside(cell % 10, cell / 10)).map(|cell| water.filled()[cell]).collect()
    };
    assert_eq!(filled(&pit), [4.0; 9]);
    assert_eq!(filled(&small), [7.0; 4]);
}

/// Section 5.3, case D: filling changes nothing, and the flat drains the way the epsilon surface falls.
#[test]
fn flat_of_case_d() {
    let levels =
        "9 9 9 9 9 9 9  9 6 6 6 6 6 9  8 6 6 6 6 6 9  8 6 6 6 6 6 9  7 6 6 6 6 6 8  7 6 6 6 6 6 8  7 7 5 7 7 8 8";
    let slanted =
        "9 9 9 9 9 9 9  9 4 4 4 4 4 9  8 3 3 3 3 3 9  8 2 2 2 2 2 9  7 1 1 1 1 2 8  7 0 0 0 1 2 8  7 7 -1 7 7 8 8";
    let grid = grid(7, 1.0, &table(levels));
    let water = Water::of(&grid);
    assert_eq!(water.filled(), grid.levels());
    let steps = table(slanted);
    for cell in (0..49).filter(|&cell| grid.levels()[cell] == 6.0) {
        let path = water.path_from(&grid, grid.centre(cell % 7, cell / 7));
        assert_eq!(path.len() as f32, steps[cell] + 2.0, "cell {cell}");
        assert_eq!(path.last(), Some(&grid.centre(2, 6)));
    }
}

/// Places of contour corners as (column, row) of cell centres.
fn corners(grid: &Grid, points: &[Point]) -> Vec<(f64, f64)> {
    points.iter().map(|&at| grid.cell_coordinates(at)).collect()
}

/// The same ring, wherever it starts and whichever way it runs.
fn same_ring(a: &[(f64, f64)], b: &[(f64, f64)]) -> bool {
    let sorted = |ring: &[(f64, f64)]| {
        let mut sides: Vec<[(f64, f64); 2]> = ring.windows(2).map(|w| [w[0], w[1]]).collect();
        for side in &mut sides {
            side.sort_by(|p, q| p.partial_cmp(q).unwrap());
        }
        sides.sort_by(|p, q| p.partial_cmp(q).unwrap());
        sides
    };
    sorted(a) == sorted(b)
}

/// Lines through half the height of a grid of zeros and ones.
fn halfway(grid: &Grid) -> Vec<terrain::Contour> {
    contours(grid, 0.5, 1).into_iter().filter(|line| line.level_m == 0.5).collect()
}

/// Section 5.4: ones with an angle of zeros; one ring of 25 corners.
#[test]
fn contour_round_an_angle() {
    let zero = |col: usize, row: usize| (col == 1 && (1..7).contains(&row)) || (row == 1 && (1..7).contains(&col));
    let levels: Vec<f32> = (0..64).map(|cell| if zero(cell % 8, cell / 8) { 0.0 } else { 1.0 }).collect();
    let grid = grid(8, 1.0, &levels);
    let lines = halfway(&grid);
    assert_eq!((lines.len(), lines[0].points.len(), lines[0].closed), (1, 25, true));
    let down = |col: f64, from: i32, to: i32| (from..=to).map(move |row| (col, row as f64));
    let mut ring: Vec<(f64, f64)> = down(1.5, 2, 6).collect::<Vec<_>>().into_iter().rev().collect();
    ring.extend((2..=6).map(|col| (col as f64, 1.5)));
    ring.push((6.5, 1.0));
    ring.extend((1..=6).rev().map(|col| (col as f64, 0.5)));
    ring.extend(down(0.5, 1, 6));
    ring.extend([(1.0, 6.5), (1.5, 6.0)]);
    assert!(same_ring(&corners(&grid, &lines[0].points), &ring));
}

/// Section 5.4: distance from the middle of a 5 × 5 grid; a square on its corner. A missing corner opens it.
#[test]
fn contour_round_the_middle() {
    let radius = |cell: usize| ((cell % 5) as f32 / 2.0 - 1.0).hypot((cell / 5) as f32 / 2.0 - 1.0);
    let mut levels: Vec<f32> = (0..25).map(radius).collect();
    let full = grid(5, 1.0, &levels);
    let lines = halfway(&full);
    assert_eq!(lines.len(), 1);
    let ring = [(3.0, 2.0), (2.0, 1.0), (1.0, 2.0), (2.0, 3.0), (3.0, 2.0)];
    assert!(same_ring(&corners(&full, &lines[0].points), &ring));
    levels[6] = f32::NAN;
    let opened = halfway(&grid(5, 1.0, &levels));
    assert!(opened.iter().all(|line| !line.closed) && !opened.is_empty());
}

/// Section 5.4: a block of 3 × 5 ones among zeros, without and with a hole.
#[test]
fn contour_round_a_block_and_its_hole() {
    let one = |col: usize, row: usize| (3..6).contains(&col) && (3..8).contains(&row);
    let mut levels: Vec<f32> = (0..100).map(|cell| f32::from(one(cell % 10, cell / 10))).collect();
    let block = halfway(&grid(10, 1.0, &levels));
    assert_eq!((block.len(), block[0].points.len()), (1, 17));
    for row in 4..7 {
        levels[row * 10 + 4] = 0.0;
    }
    let grid = grid(10, 1.0, &levels);
    let lines = halfway(&grid);
    // The published corners, less the half cell by which that source counts from the cell's corner.
    let hole =
        [(4.5, 7.0), (4.0, 6.5), (4.0, 5.5), (4.0, 4.5), (4.5, 4.0), (5.0, 4.5), (5.0, 5.5), (5.0, 6.5), (4.5, 7.0)];
    let hole = hole.map(|(x, y)| (x - 0.5, y - 0.5));
    assert_eq!(lines.len(), 2);
    assert!(lines.iter().any(|line| same_ring(&corners(&grid, &line.points), &hole)));
}
