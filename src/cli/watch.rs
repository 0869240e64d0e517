//! `--watch`: a command runs again whenever a file that it has asked for changes.

use super::input::Asked;
use super::{FAILED, JobArguments, note, quiet};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::thread::sleep;
use std::time::{Duration, SystemTime};

/// Between two looks at the files.
const LOOK_EVERY: Duration = Duration::from_millis(300);

/// When a file was written last and how long it is; nothing where there is none.
pub(super) type Stamp = Option<(Option<SystemTime>, u64)>;

/// How a file stands on the disk now. It is compared only, and never shown.
pub(super) fn stamp(path: &Path) -> Stamp {
    let found = std::fs::metadata(path).ok()?;
    Some((found.modified().ok(), found.len()))
}

/// Run a command; with `--watch` again after each change, until Ctrl-C.
pub(super) fn watched(job: &JobArguments, watch: bool, run: impl Fn(&Asked) -> u8) -> u8 {
    if !watch {
        return run(&job.asked());
    }
    if job.job == Path::new("-") {
        note("--watch needs a file: standard input is read only once\n");
        return FAILED;
    }
    loop {
        let asked = job.asked();
        run(&asked);
        if !quiet() {
            note("waiting for changes; Ctrl-C ends it\n");
        }
        wait_for_change(asked.files.seen());
    }
}

/// Wait until a file is no longer as it was, and then until none is at work.
fn wait_for_change(seen: BTreeMap<PathBuf, Stamp>) {
    let mut was = seen;
    let mut changed = false;
    loop {
        let now: BTreeMap<PathBuf, Stamp> = was.keys().map(|p| (p.clone(), stamp(p))).collect();
        match (now == was, changed) {
            // An editor may write in several steps.
            (true, true) => return,
            (true, false) => {}
            (false, _) => changed = true,
        }
        was = now;
        sleep(LOOK_EVERY);
    }
}
