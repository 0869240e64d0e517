//! How long a changed value takes on the served page, without network and browser:
//! `cargo bench --bench live`.

#![allow(clippy::print_stdout)] // a bench prints its figures
#![allow(clippy::unwrap_used, clippy::disallowed_methods)] // and works in a folder of its own

use droprack::cut::Effort;
use droprack::run::Request;
use droprack::run::live::{Have, Live};
use serde_json::Value;
use std::path::Path;
use std::time::Instant;

/// Changes that are counted, after two that are not.
const ROUNDS: usize = 20;

fn ms(start: Instant) -> f64 {
    start.elapsed().as_secs_f64() * 1e3
}

/// What the browser has after an answer.
fn kept(state: &Value) -> Have {
    let mut have = Have::default();
    for b in state["blocks"].as_array().unwrap() {
        have.blocks.insert(b["id"].as_str().unwrap().into(), b["hash"].as_str().unwrap().into());
    }
    for s in state["scenes"].as_object().unwrap().values() {
        have.bodies.extend(s["stands"].as_array().unwrap().iter().map(|b| b["body"].as_str().unwrap().to_string()));
    }
    have
}

fn middle(mut all: Vec<f64>) -> f64 {
    all.sort_by(f64::total_cmp);
    all[all.len() / 2]
}

fn main() {
    let folder = tempfile::tempdir().unwrap();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("templates/jobs/hill-climb-buggy");
    for name in ["job.toml", "bin.toml"] {
        std::fs::copy(demo.join(name), folder.path().join(name)).unwrap();
    }
    let request = Request { job: folder.path().join("job.toml"), bin: None };
    let mut live = Live::open(request, folder.path().join("out")).unwrap();
    let start = Instant::now();
    let state = live.state(&Have::default(), Effort::NORMAL);
    println!("demo, opened: {:.1} ms, {} kB", ms(start), state.to_string().len() / 1000);
    let mut have = kept(&state);
    for (name, one, other) in
        [("tank.width", "341 mm", "340 mm"), ("pedal.joint", "98 mm", "97.5 mm"), ("gap.rear_left", "151 mm", "150 mm")]
    {
        let (mut quick, mut whole, mut bytes) = (vec![], vec![], 0);
        for i in 0..ROUNDS + 2 {
            let start = Instant::now();
            let text = live.change(name, if i % 2 == 0 { one } else { other }, &have).unwrap().to_string();
            quick.push(ms(start));
            bytes = text.len();
            have = kept(&serde_json::from_str(&text).unwrap());
            if i % 2 == 1 {
                let start = Instant::now();
                let state = live.state(&have, Effort::NORMAL);
                whole.push(ms(start));
                have = kept(&state);
            }
        }
        println!(
            "{name}: {:.1} ms to the first answer of {} kB, {:.1} ms more to the whole one",
            middle(quick.split_off(2)),
            bytes / 1000,
            middle(whole.split_off(1))
        );
    }
}
