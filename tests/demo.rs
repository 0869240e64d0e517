//! The demo job from the program's own files: paper, meshes, plan, and what a
//! changed measurement changes.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

mod plan_checker;
mod readback;

use droprack::geom::{Bounds, Point};
use droprack::run::{Request, run};
use droprack::source::{Disk, Memory};
use lopdf::Document;
use plan_checker::{Stock, Wanted, check_plan};
use readback::{MM, Path as Stroke, number, paths};
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("templates/jobs/hill-climb-buggy/job.toml")
}

fn make(job: &Path, out: &Path) -> i32 {
    let done =
        Command::new(env!("CARGO_BIN_EXE_droprack")).arg("make").arg(job).arg("--out").arg(out).output().unwrap();
    assert!(done.status.code().is_some_and(|c| c < 2), "{}", String::from_utf8_lossy(&done.stderr));
    done.status.code().unwrap()
}

fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut out = BTreeMap::new();
    for dir in [folder.to_path_buf(), folder.join("pieces"), folder.join("parts")] {
        for e in fs::read_dir(&dir).unwrap() {
            let path = e.unwrap().path();
            if path.is_file() {
                let name = path.strip_prefix(folder).unwrap().to_string_lossy().replace('\\', "/");
                out.insert(name, fs::read(&path).unwrap());
            }
        }
    }
    out
}

fn json(files: &BTreeMap<String, Vec<u8>>) -> Value {
    serde_json::from_slice(&files["job.json"]).unwrap()
}

fn num(v: &Value) -> f64 {
    v.as_f64().unwrap_or_else(|| panic!("{v} is no number"))
}

#[test]
fn two_runs_give_the_same_bytes_and_every_check_is_met() {
    let place = tempfile::tempdir().unwrap();
    let (a, b) = (place.path().join("a"), place.path().join("b"));
    assert_eq!(make(&demo(), &a), 0, "the demo has a failed check or an uncut piece");
    make(&demo(), &b);
    let (a, b) = (files(&a), files(&b));
    assert!(a.len() > 35, "{} files", a.len());
    assert!(a == b, "two runs differ");
}

#[test]
fn every_hole_of_the_demo_is_on_paper_where_the_flat_pattern_has_it() {
    let place = tempfile::tempdir().unwrap();
    make(&demo(), place.path());
    let made = files(place.path());
    let job = json(&made);
    let pdf = Document::load_mem(&made["drilling-templates.pdf"]).unwrap();
    let viewer = pdf.catalog().unwrap().get(b"ViewerPreferences").unwrap().as_dict().unwrap();
    assert_eq!(viewer.get(b"PrintScaling").unwrap().as_name().unwrap(), b"None");
    let pages: Vec<Vec<Stroke>> = pdf.get_pages().values().map(|id| paths(&pdf, *id)).collect();
    for id in pdf.get_pages().values() {
        let page = pdf.get_dictionary(*id).unwrap();
        let size: Vec<f64> =
            page.get(b"MediaBox").unwrap().as_array().unwrap().iter().map(|o| number(o) * MM).collect();
        let (short, long) = (size[2].min(size[3]), size[2].max(size[3]));
        assert!((short - 210.0).abs() < 0.01 && (long - 297.0).abs() < 0.01, "a page is {short} x {long} mm");
    }
    let (mut worst, mut count) = (0.0_f64, 0);
    for piece in job["flat"]["pieces"].as_array().unwrap() {
        for hole in piece["holes"].as_array().unwrap() {
            let off = pages.iter().filter_map(|p| nearest_rim(p, piece, hole)).fold(f64::INFINITY, f64::min);
            assert!(off < 1e-3, "{}: hole {} is {off} mm off, or whole on no page", piece["part"], hole["letter"]);
            worst = worst.max(off);
            count += 1;
        }
    }
    assert!(count >= 27, "{count} holes");
    println!("{count} holes, worst {worst:.1e} mm");
}

/// Corners of an outline in the JSON, arcs by their ends.
fn bounds_of(outline: &Value) -> Bounds {
    Bounds::of(outline.as_array().unwrap().iter().map(|s| Point::new(num(&s["to"][0]), num(&s["to"][1])))).unwrap()
}

/// How far the nearest rim on a page is from where the hole should be, if the
/// page shows the piece's face and the rim whole.
fn nearest_rim(page: &[Stroke], piece: &Value, hole: &Value) -> Option<f64> {
    let faces = piece["faces"].as_array();
    let (outline, order, down) = match faces {
        None => (&piece["outline"], 0, false),
        Some(f) => {
            let i = f.iter().position(|f| f["face"] == hole["face"])?;
            let word = hole["face"].as_str()?;
            (&f[i]["outline"], i, word == "upright leg" || word == "back")
        }
    };
    let mut truth = bounds_of(outline);
    let (mut order, mut down, mut more) = (order, down, 0.0);
    // A square tube with marks on several faces comes as one wrap: front, top,
    // back, bottom, round corners of twice the wall (EN 10219-2: 2 t outside up
    // to 6 mm), where pi r / 2 of paper takes the place of 2 r.
    if faces.is_some_and(|f| f.len() == 4) && piece["stock"]["shape"] == "square tube" {
        let wall = num(&piece["thickness_mm"]);
        let side = num(&piece["width_mm"]);
        let less = (2.0 - std::f64::consts::FRAC_PI_2) * 2.0 * wall;
        let n = ["front", "top", "back", "bottom"].iter().position(|f| hole["face"] == *f)?;
        truth.high.y = truth.low.y + 4.0 * side - 3.0 * less;
        (order, down, more) = (0, false, n as f64 * (side - less));
    }
    let edges: Vec<Bounds> =
        page.iter().filter(|s| s.layer == "L0").filter_map(|s| Bounds::of(s.points.clone())).collect();
    let edge = edges.get(order)?;
    // Rounded corners and clips keep the ends of their arcs on the outline's box.
    if (edge.width() - truth.width()).abs() > 1e-3 || (edge.height() - truth.height()).abs() > 1e-3 {
        return None;
    }
    let (x, y) = (num(&hole["x_mm"]) - truth.low.x, num(&hole["y_mm"]) - truth.low.y + more);
    let at = Point::new(edge.low.x + x, if down { edge.high.y - y } else { edge.low.y + y });
    let (w, h) = match hole["shape"].as_str()? {
        "round" => (num(&hole["diameter_mm"]), num(&hole["diameter_mm"])),
        _ if num(&hole["angle_deg"]).abs() < 1e-6 => (num(&hole["length_mm"]), num(&hole["width_mm"])),
        _ => (num(&hole["width_mm"]), num(&hole["length_mm"])),
    };
    let rims = page.iter().filter(|s| s.layer == "L1" && s.curves >= 4);
    let off = rims.filter_map(|s| {
        let b = Bounds::of(s.points.clone())?;
        let clip = s.clip?;
        let whole =
            b.low.x >= clip.low.x && b.high.x <= clip.high.x && b.low.y >= clip.low.y && b.high.y <= clip.high.y;
        let centre = Point::new((b.low.x + b.high.x) / 2.0, (b.low.y + b.high.y) / 2.0);
        whole.then(|| centre.distance(at).max((b.width() - w).abs()).max((b.height() - h).abs()))
    });
    off.min_by(f64::total_cmp)
}

/// Triangles of a binary STL: corner bits are compared exactly.
fn triangles(bytes: &[u8]) -> Vec<[[f32; 3]; 3]> {
    let count = u32::from_le_bytes(bytes[80..84].try_into().unwrap()) as usize;
    assert_eq!(bytes.len(), 84 + 50 * count);
    (0..count)
        .map(|i| {
            let at = |c: usize, k: usize| {
                let o = 84 + 50 * i + 12 + 12 * c + 4 * k;
                f32::from_le_bytes(bytes[o..o + 4].try_into().unwrap())
            };
            [0, 1, 2].map(|c| [at(c, 0), at(c, 1), at(c, 2)])
        })
        .collect()
}

#[test]
fn every_mesh_is_closed_oriented_and_has_the_volume_of_its_piece() {
    let place = tempfile::tempdir().unwrap();
    make(&demo(), place.path());
    let made = files(place.path());
    let job = json(&made);
    let pieces = job["flat"]["pieces"].as_array().unwrap();
    let stl: Vec<_> = made.iter().filter(|f| f.0.ends_with(".stl")).collect();
    assert_eq!(stl.len(), pieces.len());
    for piece in pieces {
        let safe = |k: &str| droprack::source::safe_name(piece[k].as_str().unwrap());
        let mesh = triangles(&made[&format!("pieces/{}--{}.stl", safe("part"), safe("piece"))]);
        let mut edges: BTreeMap<([u32; 3], [u32; 3]), i32> = BTreeMap::new();
        let mut volume = 0.0;
        for t in &mesh {
            let bits = t.map(|c| c.map(f32::to_bits));
            for i in 0..3 {
                *edges.entry((bits[i], bits[(i + 1) % 3])).or_default() += 1;
            }
            let [a, b, c] = t.map(|c| c.map(f64::from));
            volume += (a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0])
                + a[2] * (b[0] * c[1] - b[1] * c[0]))
                / 6.0;
        }
        let closed = edges.iter().all(|((a, b), n)| *n == 1 && edges.get(&(*b, *a)) == Some(&1));
        assert!(closed, "{}: not closed, or turned over somewhere", piece["part"]);
        // Steel: 7850 kg/m3 (EN 1991-1-1); the demo is all steel.
        let exact = num(&piece["mass_kg"]) / 7850.0e-9;
        assert!((volume / exact - 1.0).abs() < 5e-3, "{}: {volume} mm3 against {exact}", piece["part"]);
    }
}

#[test]
fn another_tank_changes_strap_hangers_and_pads_and_nothing_else() {
    let place = tempfile::tempdir().unwrap();
    let (a, b) = (place.path().join("a"), place.path().join("b"));
    let changed = place.path().join("job.toml");
    let text = fs::read_to_string(demo()).unwrap();
    let wider = text.replace("tank.width = \"340 mm\"", "tank.width = \"352 mm\"");
    assert_ne!(text, wider);
    #[allow(clippy::disallowed_methods)]
    {
        fs::write(&changed, wider).unwrap();
        fs::write(place.path().join("bin.toml"), fs::read(demo().with_file_name("bin.toml")).unwrap()).unwrap();
    }
    make(&demo(), &a);
    make(&changed, &b);
    let (a, b) = (files(&a), files(&b));
    let (old, new) = (json(&a), json(&b));
    let (mut same, mut other) = (vec![], vec![]);
    for (p, q) in old["flat"]["pieces"].as_array().unwrap().iter().zip(new["flat"]["pieces"].as_array().unwrap()) {
        let name = format!("{}/{}", p["part"].as_str().unwrap(), p["piece"].as_str().unwrap());
        let safe = |k: &str| droprack::source::safe_name(p[k].as_str().unwrap());
        let file = format!("pieces/{}--{}", safe("part"), safe("piece"));
        if p == q {
            for end in ["svg", "stl"] {
                assert!(a[&format!("{file}.{end}")] == b[&format!("{file}.{end}")], "{file}.{end} changed");
            }
            same.push(name);
        } else {
            other.push(name);
        }
    }
    for part in ["Tank strap", "Strap hanger A", "Strap hanger D", "Rail pad"] {
        assert!(other.iter().any(|n| n.starts_with(part)), "{part} did not follow: {other:?}");
    }
    for part in ["Column bearing seat", "Bulkhead pass-through", "Brake pedal offset"] {
        assert!(
            same.iter().any(|n| n.starts_with(part)) && !other.iter().any(|n| n.starts_with(part)),
            "{part} changed"
        );
    }
}

/// The demo's bin, read without the program's own reader.
fn demo_stock() -> Vec<Stock> {
    let bin: toml::Table = fs::read_to_string(demo().with_file_name("bin.toml")).unwrap().parse().unwrap();
    let length = |v: Option<&toml::Value>| -> f64 {
        let text = v.map_or("0 mm", |v| v.as_str().unwrap());
        let (n, unit) = text.split_once(' ').unwrap();
        n.parse::<f64>().unwrap() * if unit == "m" { 1000.0 } else { 1.0 }
    };
    let mut out = vec![];
    for o in bin["offcut"].as_array().unwrap() {
        if o.get("keep").is_none() {
            let id = o["id"].as_str().unwrap().to_string();
            out.push(Stock {
                id,
                length: length(o.get("length")),
                width: length(o.get("width")),
                price: 0.0,
                bought: false,
            });
        }
    }
    out
}

#[test]
fn the_plan_of_the_demo_passes_the_independent_checker() {
    let outcome = run(&Disk, &Request { job: demo(), bin: None }).unwrap_or_else(|t| panic!("{:?}", t.diagnostics));
    let flats = droprack::report::flats_json(&outcome.worked.flats);
    let mut wanted = Wanted::new();
    for p in flats["pieces"].as_array().unwrap() {
        let name = format!("{}/{}", p["part"].as_str().unwrap(), p["piece"].as_str().unwrap());
        let width = if p["form"] == "plate" { num(&p["width_mm"]) } else { 0.0 };
        wanted.insert(name, (num(&p["length_mm"]), width, 90.0, 90.0, p["copies"].as_u64().unwrap()));
    }
    let plan = droprack::report::plan_json(&outcome.plan);
    assert_eq!(check_plan(&plan, &wanted, &demo_stock(), 2.5, 3.0), 19);
}

/// Numbers that look random and are the same in every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % n
    }
}

#[test]
fn two_hundred_random_jobs_pass_the_independent_checker() {
    let mut dice = Dice(11);
    let (mut cut, mut proved) = (0, 0);
    for n in 0..200 {
        let (kerf, trim) = (1.0 + dice.below(6) as f64 / 2.0, dice.below(4) as f64);
        let mut job = format!("job = \"random {n}\"\nbin = \"bin.toml\"\n");
        let mut bin = format!("[saw]\nkerf = \"{kerf} mm\"\ntrim = \"{trim} mm\"\nkeep = \"150 mm\"\n");
        let (mut wanted, mut stock) = (Wanted::new(), vec![]);
        let mut before = 300.0;
        for i in 0..1 + dice.below(6) {
            let length = if dice.below(3) == 0 { before + 0.1 } else { 60.0 + dice.below(9000) as f64 / 10.0 };
            before = length;
            let angle = |d: u64| [90.0, 90.0, 90.0, 45.0, 60.0, 135.0][d as usize];
            let (left, right, make) = (angle(dice.below(6)), angle(dice.below(6)), 1 + dice.below(4));
            job += &format!(
                "[[cut]]\nname = \"c{i}\"\nshape = \"square tube\"\nsize = \"40 x 40 x 3 mm\"\nlength = \"{length} mm\"\nleft_end = \"{left} deg\"\nright_end = \"{right} deg\"\nmake = {make}\n"
            );
            wanted.insert(format!("c{i}/c{i}"), (length, 0.0, left, right, make));
        }
        for i in 0..dice.below(3) {
            let (length, width, make) = (50 + dice.below(200), 40 + dice.below(100), 1 + dice.below(3));
            job += &format!(
                "[[blank]]\nname = \"b{i}\"\nsize = \"6 mm\"\nlength = \"{length} mm\"\nwidth = \"{width} mm\"\nmake = {make}\n"
            );
            wanted.insert(format!("b{i}/b{i}"), (length as f64, width as f64, 90.0, 90.0, make));
        }
        for i in 0..dice.below(7) {
            let length = 150 + dice.below(1500);
            bin += &format!(
                "[[offcut]]\nid = \"S{i}\"\nshape = \"square tube\"\nsize = \"40 x 40 x 3 mm\"\nlength = \"{length} mm\"\n"
            );
            stock.push(Stock { id: format!("S{i}"), length: length as f64, width: 0.0, price: 0.0, bought: false });
        }
        for i in 0..dice.below(3) {
            let (length, width) = (100 + dice.below(400), 80 + dice.below(200));
            bin += &format!(
                "[[offcut]]\nid = \"P{i}\"\nshape = \"plate\"\nsize = \"6 mm\"\nlength = \"{length} mm\"\nwidth = \"{width} mm\"\n"
            );
            stock.push(Stock {
                id: format!("P{i}"),
                length: length as f64,
                width: width as f64,
                price: 0.0,
                bought: false,
            });
        }
        if dice.below(3) > 0 {
            bin += "[[buy]]\nid = \"new\"\nshape = \"square tube\"\nsize = \"40 x 40 x 3 mm\"\nlength = \"2 m\"\nprice = 14.25\n";
            stock.push(Stock { id: "new".into(), length: 2000.0, width: 0.0, price: 14.25, bought: true });
        }
        let files = Memory([(PathBuf::from("job.toml"), job), (PathBuf::from("bin.toml"), bin)].into());
        let outcome = run(&files, &Request { job: PathBuf::from("job.toml"), bin: None });
        let outcome = outcome.unwrap_or_else(|t| panic!("job {n}: {:?}", t.diagnostics));
        cut += check_plan(&droprack::report::plan_json(&outcome.plan), &wanted, &stock, kerf, trim);
        proved += u32::from(outcome.plan.bars.iter().all(|g| g.plan.proved));
    }
    assert!(cut > 1000, "{cut} pieces were cut");
    assert!(proved >= 150, "{proved} of 200 bar plans are proved");
    println!("{cut} pieces, {proved} of 200 jobs with every bar plan proved");
}

#[test]
fn no_name_of_a_part_leads_out_of_the_output_folder() {
    let place = tempfile::tempdir().unwrap();
    for (i, name) in
        ["../../evil", "/etc/evil", "a/b/c", "C:\\evil", "..", "con", "évil \u{202e}x", "    "].iter().enumerate()
    {
        let job = place.path().join(format!("job{i}.toml"));
        let text = format!(
            "job = '{name}'\n[[part]]\nname = '{name}'\ntemplate = \"bearing-plate\"\nwith.bearing = \"pass through\"\nwith.shaft = \"20 mm\"\nwith.height = \"60 mm\"\n"
        );
        #[allow(clippy::disallowed_methods)]
        fs::write(&job, text).unwrap();
        let out = place.path().join("out").join(format!("{i}"));
        make(&job, &out);
        let names: Vec<String> = files(&out).into_keys().collect();
        assert!(names.iter().all(|n| n.chars().all(|c| c.is_ascii_alphanumeric() || "-_./".contains(c))), "{names:?}");
    }
    let beside: Vec<String> =
        fs::read_dir(place.path()).unwrap().map(|e| e.unwrap().file_name().to_string_lossy().into_owned()).collect();
    assert!(beside.iter().all(|n| n == "out" || n.starts_with("job")), "{beside:?}");
}
