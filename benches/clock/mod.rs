//! Mean time of a call, for benches that set two of them side by side.

use std::time::Instant;

/// Mean milliseconds of one of `rounds` calls, after one that is not counted.
pub fn ms(rounds: u32, mut call: impl FnMut()) -> f64 {
    call();
    let start = Instant::now();
    for _ in 0..rounds {
        call();
    }
    start.elapsed().as_secs_f64() * 1e3 / f64::from(rounds)
}
