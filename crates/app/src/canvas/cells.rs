//! Tinted cells of the ground.

use egui::epaint::Mesh;
use egui::{Color32, Rect, pos2};
use measure::Point;
use terrain::Grid;

use super::Pen;

/// Adds ascending cells in one colour, run by run of cells in a row: those in sight, and where a row of cells is lower than
/// a screen point only as many rows as can be told apart.
pub fn add(pen: &Pen, grid: &Grid, cells: &[u32], tint: Color32, mesh: &mut Mesh) {
    let cols = grid.cols() as u32;
    let Some((first, last)) = cells.first().zip(cells.last()) else { return };
    let sight = pen.sight();
    let (low, high) = (pen.lens.to_plan(sight.left_bottom()), pen.lens.to_plan(sight.right_top()));
    let row_at = |y: f64| (grid.cell_coordinates(Point::new(low.x, y)).1 + 0.5).clamp(0.0, grid.rows() as f64) as u32;
    let (top, bottom) = (row_at(high.y).max(first / cols), row_at(low.y).min(last / cols) + 1);
    let step = (1.0 / (grid.cell_m().1 * pen.lens.camera.scale)).ceil().max(1.0) as u32;
    for row in (top.next_multiple_of(step)..bottom).step_by(step as usize) {
        let start = |row: u32| cells.partition_point(|cell| u64::from(*cell) < u64::from(row) * u64::from(cols));
        let in_row = &cells[start(row)..start(row + 1)];
        for run in in_row.chunk_by(|cell, next| *next == cell + 1) {
            let place = |cell: u32, right: f64, down: f64| {
                let corner = grid.place((cell - row * cols) as f64 + right - 0.5, row as f64 + down - 0.5);
                pen.lens.to_screen(corner)
            };
            let (low, high) = (place(run[0], 0.0, 0.0), place(run[run.len() - 1], 1.0, step as f64));
            if high.x >= sight.left() && low.x <= sight.right() {
                mesh.add_colored_rect(Rect::from_min_max(pos2(low.x, low.y), pos2(high.x, high.y)), tint);
            }
        }
    }
}
