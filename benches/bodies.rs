//! How long bodies, fit and pictures take: the demo, and forty of it:
//! `cargo bench --bench bodies`.

#![allow(clippy::print_stdout)] // a bench prints its figures
#![allow(clippy::unwrap_used)]

use droprack::assembly::{clashes, mates};
use droprack::run::{Request, Stood, Worked, load, make, run, stand_up, work_out};
use droprack::solid::build_body;
use droprack::source::{Disk, Files, Memory};
use std::path::PathBuf;
use std::time::Instant;

fn ms(start: Instant) -> f64 {
    start.elapsed().as_secs_f64() * 1e3
}

/// The least of several runs: other work of the machine only adds.
fn least<T>(runs: usize, mut once: impl FnMut() -> T) -> (f64, T) {
    let mut best = f64::INFINITY;
    let mut out = None;
    for _ in 0..runs {
        let start = Instant::now();
        out = Some(once());
        best = best.min(ms(start));
    }
    (best, out.unwrap())
}

fn report(name: &str, files: &dyn Files, job: &str, runs: usize) {
    let request = Request { job: PathBuf::from(job), bin: None };
    let loaded = load(files, &request).unwrap_or_else(|t| panic!("{:?}", t.diagnostics));
    let worked: Worked = work_out(&loaded).unwrap_or_else(|t| panic!("{:?}", t.diagnostics));
    let (meshes, _) =
        least(runs, || worked.pieces.iter().map(|p| build_body(p).unwrap().mesh.triangles.len()).sum::<usize>());
    let mut copy = worked.clone();
    let (stand, stood): (f64, Stood) = least(runs, || stand_up(&loaded, &mut copy, None));
    let (fit, _) = least(runs, || (mates(&stood.job).pairs, clashes(&stood.job).len()));
    let (pictures, bytes) = least(runs, || droprack::run::body_files(&worked, &stood).unwrap());
    let triangles: usize = stood.bodies.iter().flatten().map(|b| b.mesh.triangles.len()).sum();
    println!(
        "{name}: {} pieces, {triangles} triangles; meshes on one core {meshes:.0} ms, bodies and fit {stand:.0} ms (fit of the job {fit:.1} ms), \
         pictures and files {pictures:.0} ms, {:.1} MB; {:.2} ms a piece",
        worked.pieces.len(),
        bytes as f64 / 1e6,
        (stand + pictures) / worked.pieces.len() as f64
    );
}

fn main() {
    let demo = "templates/jobs/hill-climb-buggy/job.toml";
    report("demo", &Disk, demo, 5);
    let request = Request { job: PathBuf::from(demo), bin: None };
    let outcome = run(&Disk, &request).unwrap_or_else(|t| panic!("{:?}", t.diagnostics)).standing(None);
    let (whole, _) = least(3, || make(&outcome).unwrap());
    println!("demo, all files of `make` from standing bodies: {whole:.0} ms");
    let (planned, outcome) = least(5, || run(&Disk, &request).unwrap_or_else(|t| panic!("{:?}", t.diagnostics)));
    let (stood, outcome) = least(5, || outcome.clone().standing(None));
    let (files, _) = least(5, || make(&outcome).unwrap());
    println!(
        "demo, the whole of `make`: read, worked out, checked and planned {planned:.0} ms, bodies and fit {stood:.0} ms, \
         paper, pictures and files {files:.0} ms; {:.0} ms together",
        planned + stood + files
    );
    for n in [10, 40] {
        let mut text = String::from("job = \"bench\"\nbin = \"bin.toml\"\n");
        for i in 0..n {
            text += &format!(
                "[[part]]\nname = \"strap {i}\"\ntemplate = \"tank-strap\"\nwith.section = \"obround\"\n\
                 with.width = \"{} mm\"\nwith.height = \"220 mm\"\nwith.ear_height_left = \"242 mm\"\n\
                 [[part]]\nname = \"hanger {i}\"\ntemplate = \"strap-hanger\"\nwith.gap = \"{} mm\"\nwith.first = \"60 mm\"\n\
                 [[part]]\nname = \"plate {i}\"\ntemplate = \"bearing-plate\"\nwith.bearing = \"two bolt flange\"\n\
                 with.shaft = \"20 mm\"\nwith.height = \"{} mm\"\nwith.pitch = \"90 mm\"\nwith.bore = \"34 mm\"\n",
                300 + i,
                140 + i,
                55 + i
            );
        }
        let mut files = Memory::default();
        files.0.insert(PathBuf::from("job.toml"), text);
        files.0.insert(PathBuf::from("bin.toml"), String::new());
        report(&format!("{n} of each"), &files, "job.toml", 2);
    }
}
