//! What is being done, on a terminal, when it takes longer than one waits.

use super::{note, quiet};
use std::io::IsTerminal;
use std::sync::mpsc::{Sender, channel};
use std::thread::{JoinHandle, spawn};
use std::time::Duration;

/// Who has waited this long wants to know what for.
const PATIENCE: Duration = Duration::from_millis(500);

/// A line for work that takes longer than `PATIENCE`. It goes to standard error
/// alone and changes nothing of the work; dropping it ends the wait.
pub(super) struct Progress {
    over: Option<Sender<()>>,
    waits: Option<JoinHandle<()>>,
}

impl Progress {
    /// Wait beside the work; a person at a terminal is told `words`, others nothing.
    pub(super) fn of(words: &'static str, json: bool) -> Progress {
        if json || quiet() || !std::io::stderr().is_terminal() {
            return Progress { over: None, waits: None };
        }
        Progress::after(PATIENCE, move || note(&format!("{words} ...\n")))
    }

    fn after(patience: Duration, tell: impl FnOnce() + Send + 'static) -> Progress {
        let (over, ended) = channel::<()>();
        let waits = spawn(move || {
            if ended.recv_timeout(patience) == Err(std::sync::mpsc::RecvTimeoutError::Timeout) {
                tell();
            }
        });
        Progress { over: Some(over), waits: Some(waits) }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        drop(self.over.take());
        // The line must not come after the result.
        if let Some(waits) = self.waits.take() {
            let _ = waits.join();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_work_is_told_and_short_work_is_not() {
        let (tell, told) = channel();
        let slow = Progress::after(Duration::from_millis(1), move || {
            let _ = tell.send(());
        });
        assert!(told.recv_timeout(Duration::from_secs(60)).is_ok(), "the work goes on, and nothing was told");
        drop(slow);
        let (tell, told) = channel();
        drop(Progress::after(Duration::from_secs(3600), move || {
            let _ = tell.send(());
        }));
        assert!(told.recv().is_err(), "told though the work was over");
    }
}
