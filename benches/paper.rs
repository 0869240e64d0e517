//! How long the paper takes: the demo's file, and a thousand pieces, beside the
//! working out of the same pieces: `cargo bench --bench paper`.

#![allow(clippy::print_stdout)] // a bench prints its figures
#![allow(clippy::unwrap_used)]

use droprack::drawing::{JobHeader, Paper, PaperUnits, draw_templates};
use droprack::export::pdf::write_pdf;
use droprack::run::{Request, Worked, load, work_out};
use droprack::source::{Disk, Files, Memory};
use std::path::PathBuf;
use std::time::Instant;

fn ms(start: Instant) -> f64 {
    start.elapsed().as_secs_f64() * 1e3
}

/// Most memory that this process has held, MB.
fn peak_mb() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|l| l.starts_with("VmHWM")).unwrap_or("0 0");
    line.split_whitespace().nth(1).and_then(|n| n.parse::<f64>().ok()).unwrap_or(0.0) / 1024.0
}

fn report(name: &str, files: &dyn Files, job: &str) {
    let request = Request { job: PathBuf::from(job), bin: None };
    let start = Instant::now();
    let loaded = load(files, &request).unwrap_or_else(|t| panic!("{:?}", t.diagnostics));
    let worked: Worked = work_out(&loaded).unwrap_or_else(|t| panic!("{:?}", t.diagnostics));
    let work = ms(start);
    let start = Instant::now();
    let header = JobHeader::new("bench", PaperUnits::Metric, "0123456789ab", Paper::A4);
    let drawn = draw_templates(&worked.flats, &header);
    let draw = ms(start);
    let start = Instant::now();
    let pdf = write_pdf("bench", &drawn.pages, &drawn.marks).unwrap();
    let write = ms(start);
    println!(
        "{name}: {} pieces, {} pages, {:.1} MB; work out {work:.0} ms, draw {draw:.0} ms, write {write:.0} ms; paper {:.1} x working out; peak {:.0} MB",
        worked.flats.len(),
        drawn.pages.len(),
        pdf.bytes.len() as f64 / 1e6,
        (draw + write) / work,
        peak_mb()
    );
}

fn main() {
    report("demo", &Disk, "templates/jobs/hill-climb-buggy/job.toml");
    let mut text = String::from("job = \"bench\"\nbin = \"bin.toml\"\n");
    for i in 0..1_000 {
        text += &format!(
            "[[part]]\nname = \"plate {i}\"\ntemplate = \"bearing-plate\"\nwith.bearing = \"two bolt flange\"\n\
             with.shaft = \"20 mm\"\nwith.height = \"{} mm\"\nwith.pitch = \"90 mm\"\nwith.bore = \"34 mm\"\n",
            55 + i % 200
        );
    }
    let mut files = Memory::default();
    files.0.insert(PathBuf::from("job.toml"), text);
    files.0.insert(PathBuf::from("bin.toml"), String::new());
    report("thousand", &files, "job.toml");
}
