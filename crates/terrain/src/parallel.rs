//! Work shared out between threads, with the same result whatever their number.

use std::sync::{Mutex, PoisonError};
use std::thread;

use crate::Grid;

/// Threads that are started at most.
const MOST_THREADS: usize = 64;

/// Calls `work` on every item, handing them out one by one to at most `threads` threads (0 counts as 1).
pub(crate) fn each<I: Iterator + Send>(items: I, threads: usize, work: impl Fn(I::Item) + Sync) {
    let items = Mutex::new(items);
    let next = || items.lock().unwrap_or_else(PoisonError::into_inner).next();
    let run = || {
        while let Some(item) = next() {
            work(item);
        }
    };
    thread::scope(|scope| {
        for _ in 1..threads.min(MOST_THREADS) {
            // A thread that cannot be had leaves its work to the others.
            let _ = thread::Builder::new().spawn_scoped(scope, run);
        }
        run();
    });
}

/// The results of `work` for 0 up to `count`, in this order.
pub(crate) fn map<T: Send>(count: usize, threads: usize, work: impl Fn(usize) -> T + Sync) -> Vec<T> {
    let mut results: Vec<Option<T>> = (0..count).map(|_| None).collect();
    each(results.iter_mut().enumerate(), threads.min(count), |(k, result)| *result = Some(work(k)));
    results.into_iter().flatten().collect()
}

/// Calls `work` with every row of a table of `cols` columns and its number.
pub(crate) fn rows<T: Send>(table: &mut [T], cols: usize, threads: usize, work: impl Fn(usize, &mut [T]) + Sync) {
    const TOGETHER: usize = 32;
    each(table.chunks_mut(cols * TOGETHER).enumerate(), threads, |(k, part)| {
        part.chunks_mut(cols).enumerate().for_each(|(row, line)| work(k * TOGETHER + row, line));
    });
}

/// Cells in each of as many bands of whole rows as there are threads; the last may be smaller.
pub(crate) fn band_cells((cols, rows): (usize, usize), threads: usize) -> usize {
    rows.div_ceil(threads.clamp(1, MOST_THREADS)).max(1) * cols
}

/// A value for every cell of a grid from its column and row, row by row from the north.
pub(crate) fn cells<T: Default + Clone + Send>(
    grid: &Grid,
    threads: usize,
    value: impl Fn(usize, usize) -> T + Sync,
) -> Vec<T> {
    let mut values = vec![T::default(); grid.cols() * grid.rows()];
    rows(&mut values, grid.cols(), threads, |row, line| {
        line.iter_mut().enumerate().for_each(|(col, cell)| *cell = value(col, row));
    });
    values
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_stand_in_order_with_any_number_of_threads() {
        for threads in [0, 1, 2, 7, usize::MAX] {
            assert_eq!(map(100, threads, |k| k * k), (0..100).map(|k| k * k).collect::<Vec<_>>());
        }
        assert!(map(0, 4, |k| k).is_empty());
    }
}
