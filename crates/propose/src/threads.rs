//! Work shared out between threads.

use std::thread::ScopedJoinHandle;

/// What work on each of some things comes to, in their order, shared out between so many threads.
pub(crate) fn each<T: Sync, R: Send>(threads: usize, things: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let threads = threads.clamp(1, things.len().max(1));
    if threads == 1 {
        return things.iter().map(work).collect();
    }
    let part = |first: usize| things.iter().skip(first).step_by(threads).map(&work).collect::<Vec<R>>();
    let part = &part;
    let parts: Vec<Vec<R>> = std::thread::scope(|scope| {
        let begun: Vec<_> = (0..threads).map(|first| scope.spawn(move || part(first))).collect();
        begun.into_iter().map(joined).collect()
    });
    let mut parts: Vec<_> = parts.into_iter().map(Vec::into_iter).collect();
    (0..things.len()).filter_map(|number| parts[number % threads].next()).collect()
}

/// What a thread came to; its panic goes on here, for a part that is missing would be a wrong answer.
pub(crate) fn joined<T>(thread: ScopedJoinHandle<'_, T>) -> T {
    thread.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))
}
