//! Closed depressions, tinted where water would stand.

use egui::epaint::{Mesh, Shape};
use egui::{Color32, Rect, pos2};
use terrain::Grid;

use super::Pen;
use crate::land::Land;
use crate::runoff::Runoff;

/// Paints the cells of every depression.
pub fn paint(pen: &Pen, land: &Land, runoff: &Runoff) {
    let tint = pen.palette.faint(pen.palette.water, 0.24);
    let mut mesh = Mesh::default();
    runoff.depressions.iter().for_each(|d| add_cells(pen, land.ground.grid(), &d.cells, tint, &mut mesh));
    pen.painter.add(Shape::mesh(mesh));
}

/// Adds ascending cells in one colour, run by run of cells in a row.
pub fn add_cells(pen: &Pen, grid: &Grid, cells: &[u32], tint: Color32, mesh: &mut Mesh) {
    let cols = grid.cols() as u32;
    let mut cells = cells.iter().copied().peekable();
    while let Some(first) = cells.next() {
        let mut last = first;
        while let Some(next) = cells.next_if(|next| *next == last + 1 && *next % cols != 0) {
            last = next;
        }
        let row = (first / cols) as f64;
        let corner = |cell: u32, right: f64, down: f64| {
            pen.lens.to_screen(grid.place((cell % cols) as f64 + right - 0.5, row + down - 0.5))
        };
        let (low, high) = (corner(first, 0.0, 0.0), corner(last, 1.0, 1.0));
        mesh.add_colored_rect(Rect::from_min_max(pos2(low.x, low.y), pos2(high.x, high.y)), tint);
    }
}
