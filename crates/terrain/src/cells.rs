//! Cells of a grid and their neighbours, by index.

/// Steps to the eight neighbours as (columns east, rows south), in the order of the direction codes 1, 2, 4 … 128.
pub(crate) const STEPS: [(isize, isize); 8] = [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1)];

/// Index distance to each of the eight neighbours in rows of `cols` cells.
pub(crate) fn steps(cols: usize) -> [isize; 8] {
    STEPS.map(|(east, south)| south * cols as isize + east)
}

/// The cells of a grid next to a cell, by direction number; those outside are left out.
pub(crate) fn neighbours((cols, rows): (usize, usize), cell: usize) -> impl Iterator<Item = (usize, usize)> {
    let (col, row) = (cell % cols, cell / cols);
    STEPS.iter().enumerate().filter_map(move |(k, &(east, south))| {
        let (c, r) = (col.checked_add_signed(east)?, row.checked_add_signed(south)?);
        (c < cols && r < rows).then_some((k, r * cols + c))
    })
}

/// A whole number that sorts as the level does, with the cell below it to break ties.
pub(crate) fn rank(level: f32, cell: usize) -> std::cmp::Reverse<u64> {
    let bits = level.to_bits();
    let sortable = if bits >> 31 == 1 { !bits } else { bits | 0x8000_0000 };
    std::cmp::Reverse((sortable as u64) << 32 | cell as u64)
}

/// The level of a [`rank`].
pub(crate) fn level_of(rank: u64) -> f32 {
    let sortable = (rank >> 32) as u32;
    f32::from_bits(if sortable >> 31 == 1 { sortable & 0x7fff_ffff } else { !sortable })
}
