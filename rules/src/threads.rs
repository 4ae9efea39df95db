//! Work shared out among threads, results in order.

use std::sync::atomic::{AtomicUsize, Ordering};

/// The most threads to use; 0 for as many as the machine has.
static MOST: AtomicUsize = AtomicUsize::new(0);

/// Limits the threads of every check of this process; `None` uses what the machine has. Results do not depend on it.
pub fn limit(threads: Option<usize>) {
    MOST.store(threads.unwrap_or(0), Ordering::Relaxed);
}

fn available() -> usize {
    match MOST.load(Ordering::Relaxed) {
        0 => std::thread::available_parallelism().map_or(1, std::num::NonZero::get),
        most => most,
    }
}

/// Maps a slice on several threads, keeping the order.
pub(crate) fn in_parallel<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let threads = available().min(items.len());
    if threads < 2 {
        return items.iter().map(work).collect();
    }
    let next = AtomicUsize::new(0);
    let take = || {
        let mut done = Vec::new();
        loop {
            let i = next.fetch_add(1, Ordering::Relaxed);
            match items.get(i) {
                Some(item) => done.push((i, work(item))),
                None => return done,
            }
        }
    };
    let mut all: Vec<(usize, R)> = std::thread::scope(|scope| {
        let handles: Vec<_> = (0..threads).map(|_| scope.spawn(take)).collect();
        handles.into_iter().flat_map(|h| h.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))).collect()
    });
    all.sort_by_key(|(i, _)| *i);
    all.into_iter().map(|(_, r)| r).collect()
}
