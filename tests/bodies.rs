//! Meshes and assemblies of the demo, read back by libraries that are not ours.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use droprack::run::{Request, make, run};
use droprack::source::{Disk, Memory, safe_name};
use serde_json::Value;
use std::collections::BTreeMap;
use std::io::Cursor;
use std::path::{Path, PathBuf};

fn made() -> BTreeMap<String, Vec<u8>> {
    let job = Path::new(env!("CARGO_MANIFEST_DIR")).join("templates/jobs/hill-climb-buggy/job.toml");
    let outcome = run(&Disk, &Request { job, bin: None }).unwrap_or_else(|t| panic!("{:?}", t.diagnostics));
    let made = make(&outcome).unwrap();
    assert!(!made.told.iter().any(|t| t.contains("no body")), "{:?}", made.told);
    made.folder.files().map(|(n, b)| (n.clone(), b.clone())).collect()
}

/// Signed volume of triangles.
fn volume(triangles: impl Iterator<Item = [[f64; 3]; 3]>) -> f64 {
    triangles
        .map(|[a, b, c]| {
            (a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0])
                + a[2] * (b[0] * c[1] - b[1] * c[0]))
                / 6.0
        })
        .sum()
}

/// Column-major 4 x 4 times a point.
fn moved(m: &[[f32; 4]; 4], p: [f64; 3]) -> [f64; 3] {
    [0, 1, 2].map(|i| (0..3).map(|k| f64::from(m[k][i]) * p[k]).sum::<f64>() + f64::from(m[3][i]))
}

/// Each node under the root: name, volume in m3, box in metres.
fn nodes(bytes: &[u8]) -> Vec<(String, f64, [f64; 3], [f64; 3])> {
    // The crate checks the file against the format's rules while it reads.
    let file = gltf::Gltf::from_slice(bytes).unwrap();
    let blob = file.blob.as_deref().unwrap();
    let root = file.default_scene().unwrap().nodes().next().unwrap();
    let outer = root.transform().matrix();
    root.children()
        .map(|n| {
            let inner = n.transform().matrix();
            let mut corners = vec![];
            for p in n.mesh().unwrap().primitives() {
                assert!(p.material().name().is_some());
                let reader = p.reader(|_| Some(blob));
                let points: Vec<[f64; 3]> =
                    reader.read_positions().unwrap().map(|q| moved(&outer, moved(&inner, q.map(f64::from)))).collect();
                assert_eq!(reader.read_normals().unwrap().count(), points.len());
                for q in reader.read_normals().unwrap() {
                    assert!((q.iter().map(|c| c * c).sum::<f32>() - 1.0).abs() < 1e-4);
                }
                let indices: Vec<u32> = reader.read_indices().unwrap().into_u32().collect();
                corners.extend(indices.chunks(3).map(|t| [0, 1, 2].map(|k| points[t[k] as usize])));
            }
            let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
            for p in corners.iter().flatten() {
                for k in 0..3 {
                    low[k] = low[k].min(p[k]);
                    high[k] = high[k].max(p[k]);
                }
            }
            (n.name().unwrap().to_string(), volume(corners.into_iter()), low, high)
        })
        .collect()
}

fn num(v: &Value) -> f64 {
    v.as_f64().unwrap()
}

#[test]
fn stl_and_glb_of_every_piece_agree_with_the_exact_body() {
    let files = made();
    let job: Value = serde_json::from_slice(&files["job.json"]).unwrap();
    let pieces = job["bodies"]["pieces"].as_array().unwrap();
    assert!(pieces.len() >= 15);
    for p in pieces {
        let name = p["name"].as_str().unwrap();
        let (part, piece) = name.split_once('/').unwrap();
        let file = format!("pieces/{}--{}", safe_name(part), safe_name(piece));
        let exact = num(&p["volume_mm3"]);
        let stl = stl_io::read_stl(&mut Cursor::new(&files[&format!("{file}.stl")])).unwrap();
        stl.validate().unwrap_or_else(|e| panic!("{name}: {e:?}"));
        let corner = |i: usize| [0, 1, 2].map(|k| f64::from(stl.vertices[i][k]));
        let by_stl = volume(stl.faces.iter().map(|f| f.vertices.map(corner)));
        assert!((by_stl / exact - 1.0).abs() < 0.002, "{name}: {by_stl} {exact}");
        let read = nodes(&files[&format!("{file}.glb")]);
        assert_eq!(read.len(), 1);
        let (node, by_glb, low, high) = &read[0];
        assert_eq!(node, name);
        // Metres, and y up: the height above the outside face is the third axis of the piece.
        assert!((by_glb * 1e9 / by_stl - 1.0).abs() < 1e-4, "{name}: {by_glb} m3 against {by_stl} mm3");
        let size = |k: usize| num(&p["high_mm"][k]) - num(&p["low_mm"][k]);
        for (axis, k) in [(0, 0), (1, 2), (2, 1)] {
            assert!((high[axis] - low[axis] - size(k) / 1e3).abs() < 1e-6, "{name}: axis {axis}");
        }
        let (triangles, area) = (num(&p["mesh"]["triangles"]), num(&p["mesh"]["area_mm2"]));
        assert_eq!(triangles as usize, stl.faces.len());
        assert!((area / num(&p["area_mm2"]) - 1.0).abs() < 0.005, "{name}: {area}");
        assert!(files[&format!("{file}.png")].starts_with(b"\x89PNG"));
        assert!(files[&format!("{file}-view.svg")].starts_with(b"<svg"));
    }
}

#[test]
fn the_assembly_has_every_piece_as_a_node_where_the_job_says() {
    let files = made();
    let read = nodes(&files["assembly.glb"]);
    let names: Vec<&str> = read.iter().map(|n| n.0.as_str()).collect();
    for wanted in [
        "Tank strap/strap 1",
        "Tank strap/strap 2",
        "Strap hanger A/tube",
        "Strap hanger D/sleeve",
        "Rail pad/angle 4",
        "tank",
        "left rail",
    ] {
        assert!(names.contains(&wanted), "{wanted} is missing in {names:?}");
    }
    let node = |name: &str| read.iter().find(|n| n.0 == name).unwrap();
    // The straps stand 405 mm apart along the vehicle, the second behind the first;
    // the vehicle's y runs to the rear, which is -z of the file.
    let (one, two) = (node("Tank strap/strap 1"), node("Tank strap/strap 2"));
    assert!((one.2[2] - two.2[2] - 0.405).abs() < 1e-6 && (one.2[0] - two.2[0]).abs() < 1e-9);
    // The strap lies round the tank: as deep as the liner and itself below it.
    let tank = node("tank");
    assert!((tank.2[1]).abs() < 1e-9 && (tank.3[1] - 0.220).abs() < 1e-6);
    assert!((one.2[1] + 0.006).abs() < 1e-4, "{}", one.2[1]);
    // Volumes are positive: no node is mirrored inside out.
    assert!(read.iter().all(|n| n.1 > 0.0));
    for part in ["tank-strap", "strap-hanger-a", "rail-pad", "brake-pedal-offset"] {
        assert!(!nodes(&files[&format!("parts/{part}.glb")]).is_empty());
        assert!(files.contains_key(&format!("parts/{part}.png")) && files.contains_key(&format!("parts/{part}.svg")));
    }
}

#[test]
fn the_demo_fits_and_a_moved_hanger_is_found() {
    let job = Path::new(env!("CARGO_MANIFEST_DIR")).join("templates/jobs/hill-climb-buggy/job.toml");
    let text = std::fs::read_to_string(&job).unwrap();
    let told = |text: &str| {
        let mut files = Memory::default();
        files.0.insert(PathBuf::from("job.toml"), text.to_string());
        files.0.insert(PathBuf::from("bin.toml"), std::fs::read_to_string(job.with_file_name("bin.toml")).unwrap());
        let outcome = run(&files, &Request { job: PathBuf::from("job.toml"), bin: None })
            .unwrap_or_else(|t| panic!("{:?}", t.diagnostics))
            .standing(None);
        outcome
            .worked
            .findings
            .into_iter()
            .filter(|f| f.code == "mating-holes" || f.code == "clash")
            .collect::<Vec<_>>()
    };
    let fits = told(&text);
    assert!(fits.iter().all(|f| f.verdict.word() == "meets"), "{fits:?}");
    assert!(fits.iter().any(|f| f.code == "mating-holes" && f.says.starts_with("12 pairs")), "{fits:?}");
    // The bolt hole of one hanger 0.5 mm off: its tube and its sleeve are out of line.
    let off = text.replacen(
        "with.first = \"main_tank.front_left.first\"",
        "with.first = \"main_tank.front_left.first + 0.5 mm\"",
        1,
    );
    assert_ne!(off, text);
    let found = told(&off);
    let fails: Vec<_> = found.iter().filter(|f| f.verdict.word() == "fail").collect();
    assert_eq!(fails.len(), 2, "{found:?}");
    assert!(
        fails.iter().all(|f| f.says.contains("0.50 mm out of line") && f.says.contains("Strap hanger A")),
        "{fails:?}"
    );
    // A hanger 10 mm too low runs into the ear of its strap.
    let low = text.replacen("\"main_tank.front_left.height\"]", "\"main_tank.front_left.height - 10 mm\"]", 1);
    assert_ne!(low, text);
    let found = told(&low);
    assert!(
        found.iter().any(|f| f.code == "clash"
            && f.says.contains("Strap hanger A/tube")
            && f.says.contains("Tank strap/strap 1")),
        "{found:?}"
    );
}

#[test]
fn loops_and_other_hands_stand_too() {
    let text = "job = \"x\"\n[[part]]\nname = \"loop\"\ntemplate = \"tank-strap\"\nwith.section = \"round\"\nwith.width = \"300 mm\"\nwith.goes = \"loop\"\n\
                [[part]]\nname = \"angle\"\ntemplate = \"strap-hanger\"\nhand = \"right\"\nwith.made_of = \"angle\"\nwith.gap = \"300 mm\"\nwith.first = \"80 mm\"\nwith.bolts = 2\nwith.slope_left = \"5 deg\"\n\
                [[part]]\nname = \"flat loop\"\ntemplate = \"tank-strap\"\nwith.section = \"rectangle\"\nwith.width = \"400 mm\"\nwith.height = \"200 mm\"\nwith.goes = \"loop\"\n";
    let mut files = Memory::default();
    files.0.insert(PathBuf::from("job.toml"), text.to_string());
    let outcome = run(&files, &Request { job: PathBuf::from("job.toml"), bin: None })
        .unwrap_or_else(|t| panic!("{:?}", t.diagnostics))
        .standing(None);
    let stood = outcome.stood.unwrap();
    assert!(stood.without.is_empty(), "{:?}", stood.without);
    for (part, height) in [("loop", 300.0), ("flat loop", 200.0)] {
        let (_, scene) = stood.parts.iter().find(|(p, _)| p.name == part).unwrap();
        let strap = scene.stands.iter().find(|s| s.name == format!("{part}/strap")).unwrap();
        let droprack::space::Box3 { low, high } = strap.bounds().unwrap();
        // Liner and strap below the tank; the ears above it; as wide left as right.
        assert!((low.z + 6.0).abs() < 0.2, "{part}: {low:?}");
        assert!(high.z > height + 6.0 && (low.x + high.x).abs() < 0.2, "{part}: {low:?} {high:?}");
    }
    let fails: Vec<_> = outcome
        .worked
        .findings
        .iter()
        .filter(|f| (f.code == "mating-holes" || f.code == "clash") && f.verdict.word() == "fail")
        .collect();
    assert!(fails.is_empty(), "{fails:?}");
}
