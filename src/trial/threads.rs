//! Cases shared out between threads and put together again in order, so that
//! what comes of them does not depend on how many there are.

use super::bench::Bench;
use crate::tables::Tables;
use crate::vehicle::Vehicle;
use std::rc::Rc;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Numerical: cases after which a thread begins with a new bench. What the old
/// one held of solved states would grow to some hundreds of megabytes; a new one costs
/// less than a case.
const FOR_ONE_BENCH: usize = 50;

/// What `play` makes of each of so many cases, in order; `done` is told after
/// each, from any thread.
pub fn in_threads<T: Send>(
    vehicle: &Vehicle,
    tables: &Tables,
    threads: usize,
    cases: usize,
    play: impl Fn(&Bench, usize) -> T + Sync,
    done: impl Fn() + Sync,
) -> Vec<T> {
    let next = AtomicUsize::new(0);
    let results: Mutex<Vec<(usize, T)>> = Mutex::default();
    let work = || {
        let tables = Rc::new(tables.clone());
        let new = || Bench::new(vehicle.clone(), Rc::clone(&tables));
        let (mut bench, mut played) = (new(), 0);
        loop {
            let case = next.fetch_add(1, Ordering::Relaxed);
            if case >= cases {
                break;
            }
            if played == FOR_ONE_BENCH {
                (bench, played) = (new(), 0);
            }
            played += 1;
            let result = play(&bench, case);
            if let Ok(mut results) = results.lock() {
                results.push((case, result));
            }
            done();
        }
    };
    std::thread::scope(|scope| {
        for _ in 1..threads.max(1) {
            scope.spawn(work);
        }
        work();
    });
    let mut results = results.into_inner().unwrap_or_default();
    results.sort_by_key(|(case, _)| *case);
    results.into_iter().map(|(_, result)| result).collect()
}
