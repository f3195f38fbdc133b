//! Work shared out between threads.

use std::thread::ScopedJoinHandle;

/// What a thread came to; its panic goes on here, for a part that is missing would be a wrong answer.
pub(crate) fn joined<T>(thread: ScopedJoinHandle<'_, T>) -> T {
    thread.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))
}
