//! How long reading and working out takes, beside the bare reading of the same
//! text as TOML: `cargo bench --bench language`.

#![allow(clippy::print_stdout)] // a bench prints its figures
#![allow(clippy::unwrap_used)]

mod clock;

use clock::ms;
use droprack::run::{Request, load, work_out};
use droprack::source::Memory;
use std::path::PathBuf;

const ROUNDS: u32 = 20;

fn job(values: usize, parts: usize) -> String {
    let mut text = String::from("job = \"bench\"\nbin = \"bin.toml\"\n[measured]\na0 = \"20 mm\"\n");
    for i in 1..values {
        // Chains of ten, so that order matters.
        text += &if i % 10 == 0 {
            format!("a{i} = \"2{} mm\"\n", i % 7)
        } else {
            format!("a{i} = \"a{} + 1 mm\"\n", i - 1)
        };
    }
    for i in 0..parts {
        text += &format!(
            "[[part]]\nname = \"plate {i}\"\ntemplate = \"bearing-plate\"\nwith.bearing = \"two bolt flange\"\n\
             with.shaft = \"a{}\"\nwith.height = \"55 mm + a{}\"\nwith.pitch = \"90 mm\"\nwith.bore = \"50 mm\"\n",
            i * 10 % values.max(1) / 10 * 10,
            (i * 10 + 1) % values.max(2),
        );
    }
    text
}

fn main() {
    println!("values  parts  bare TOML ms  read ms  read and work out ms  ratio");
    for (values, parts) in [(100, 20), (1_000, 200), (1_000, 1), (2_000, 400)] {
        let text = job(values, parts);
        let mut files = Memory::default();
        files.0.insert(PathBuf::from("job.toml"), text.clone());
        files.0.insert(PathBuf::from("bin.toml"), String::new());
        let request = Request { job: PathBuf::from("job.toml"), bin: None };
        let bare = ms(ROUNDS, || drop(toml::de::DeTable::parse_recoverable(&text)));
        let read = ms(ROUNDS, || drop(load(&files, &request).map_err(|t| format!("{:?}", t.diagnostics)).unwrap()));
        let all = ms(ROUNDS, || {
            drop(
                work_out(&load(&files, &request).unwrap_or_else(|_| panic!()))
                    .map_err(|t| format!("{:?}", t.diagnostics))
                    .unwrap(),
            )
        });
        println!("{values:>6}  {parts:>5}  {bare:>12.2}  {read:>7.2}  {all:>20.2}  {:>5.1}", all / bare);
    }
}
