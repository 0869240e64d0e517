//! Listing and adding in a bin of 5,000 offcuts, beside the bare reading of its
//! text as TOML: `cargo bench --bench bin`.

#![allow(clippy::print_stdout)] // a bench prints its figures
#![allow(clippy::unwrap_used, clippy::disallowed_methods)]

mod clock;

use clock::ms;
use droprack::run::bin::{AddRequest, Filter, add, list};

const ROUNDS: u32 = 10;

fn main() {
    let dir = tempfile::tempdir().unwrap();
    let bin = dir.path().join("bin.toml");
    let line = |i: usize| match i % 4 {
        0 => format!("flat bar 40 x 3 mm, {} mm, where rack {}\n", 300 + i, i % 9),
        1 => format!("angle 1-1/2 x 1-1/2 x 1/8, {} in, galvanised, note from the trailer\n", 10 + i % 90),
        2 => format!("square tube 40 x 40 x 3 mm, {} mm, seam on top, grade unknown\n", 200 + i),
        _ => format!("plate 5 mm, {} x 300 mm, corner missing 100 x 50 mm, where crate P\n", 400 + i % 500),
    };
    let request =
        |text: String| AddRequest { bin: bin.clone(), texts: vec![("lines".into(), text)], ..AddRequest::default() };
    add(&request((0..5_000).map(line).collect())).unwrap();
    let text = std::fs::read_to_string(&bin).unwrap();
    let bare = ms(ROUNDS, || drop(toml::from_str::<toml::Table>(&text).unwrap()));
    let listed = ms(ROUNDS, || drop(list(&bin, &Filter::default()).unwrap()));
    let added = ms(ROUNDS, || drop(add(&request("flat bar 40 x 3 mm, 872 mm".into())).unwrap()));
    println!("bin of 5,000 offcuts, {} kB: bare TOML {bare:.1} ms", text.len() / 1000);
    println!("list {listed:.1} ms, {:.1} x bare; add one {added:.1} ms, {:.1} x bare", listed / bare, added / bare);
}
