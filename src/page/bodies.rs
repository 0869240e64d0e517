//! Meshes for the view in space: each body once, in few bytes, and where it stands.
//!
//! ```text
//!   p  positions, 3 x u16 a corner: low + step * p mm
//!   n  normals, 3 x i8 a corner: n / 127
//!   t  triangles, 3 indices each; e  edges, 2 indices each: u16, or u32 where
//!      there are more corners than that
//! ```
//! Little-endian, base64.

use super::markup::{base64, number};
use crate::drawing::picture::Standing;
use crate::solid::Mesh;
use crate::space::{Box3, Point3};
use rayon::prelude::*;
use serde_json::{Value, json};

/// An edge between two faces shows from this angle between their normals on, cosine of 20 degrees.
const EDGE_COSINE: f64 = 0.94;

/// All scenes with the bodies that stand in them, as one JSON text that may
/// stand inside a `script` element.
pub(super) fn scenes_json(scenes: &[(String, f64, &[Standing])]) -> String {
    let mut meshes: Vec<&Mesh> = vec![];
    let mut all = serde_json::Map::new();
    for (id, turn, stands) in scenes {
        let list: Vec<Value> = stands
            .iter()
            .map(|s| {
                let at = meshes.iter().position(|m| std::ptr::eq(*m, s.mesh)).unwrap_or_else(|| {
                    meshes.push(s.mesh);
                    meshes.len() - 1
                });
                stand_json(s, json!(at))
            })
            .collect();
        all.insert(id.clone(), json!({ "turn": turn, "stands": list }));
    }
    let bodies: Vec<Value> = meshes.into_par_iter().map(body).collect();
    json!({ "bodies": bodies, "scenes": all }).to_string().replace('<', "\\u003c")
}

/// Where a body stands; `body` is what its mesh is known by.
pub(super) fn stand_json(s: &Standing, body: Value) -> Value {
    let f = s.frame;
    let frame: Vec<f64> = [f.x, f.y, f.z(), f.origin].into_iter().flat_map(three).collect();
    json!({ "body": body, "frame": frame, "colour": s.colour, "faint": s.faint })
}

/// To a millionth: of a millimetre, or of a unit vector.
fn three(p: Point3) -> [f64; 3] {
    [p.x, p.y, p.z].map(|v| libm::round(v * 1e6) / 1e6 + 0.0)
}

pub(super) fn body(mesh: &Mesh) -> Value {
    let none = Box3 { low: Point3::default(), high: Point3::default() };
    let round = mesh.bounds().unwrap_or(none);
    let step = round.size() * (1.0 / 65_535.0);
    let whole = |v: f64, low: f64, step: f64| if step > 0.0 { libm::round((v - low) / step) as u16 } else { 0 };
    let (mut p, mut n): (Vec<u8>, Vec<u8>) = (vec![], vec![]);
    // By position, for each normal there its corner: few, so that a list is quickest.
    let mut known: Vec<Vec<([i8; 3], u32)>> = vec![vec![]; mesh.positions.len()];
    let mut count = 0;
    let mut corner = |i: u32, normal: Point3| {
        let short = [normal.x, normal.y, normal.z].map(|v| libm::round(v.clamp(-1.0, 1.0) * 127.0) as i8);
        if let Some((_, is)) = known[i as usize].iter().find(|c| c.0 == short) {
            return *is;
        }
        known[i as usize].push((short, count));
        count += 1;
        let at = mesh.positions[i as usize];
        for (v, low, step) in [(at.x, round.low.x, step.x), (at.y, round.low.y, step.y), (at.z, round.low.z, step.z)] {
            p.extend(whole(v, low, step).to_le_bytes());
        }
        n.extend(short.map(|v| v as u8));
        count - 1
    };
    let triangles: Vec<u32> =
        mesh.triangles.iter().zip(&mesh.normals).flat_map(|(t, n)| [0, 1, 2].map(|k| corner(t[k], n[k]))).collect();
    let edges: Vec<u32> =
        edges(mesh).into_iter().flat_map(|(t, k)| [triangles[3 * t + k], triangles[3 * t + (k + 1) % 3]]).collect();
    let wide = count > 65_536;
    let indices = |all: &[u32]| -> String {
        let bytes: Vec<u8> = match wide {
            true => all.iter().flat_map(|i| i.to_le_bytes()).collect(),
            false => all.iter().flat_map(|i| (*i as u16).to_le_bytes()).collect(),
        };
        base64(&bytes)
    };
    let text = |v: Point3| [v.x, v.y, v.z].map(number6);
    json!({
        "low": text(round.low), "step": text(step), "wide": wide,
        "p": base64(&p), "n": base64(&n), "t": indices(&triangles), "e": indices(&edges),
    })
}

/// Enough decimals for a step of a sixty-five thousandth.
fn number6(v: f64) -> Value {
    if v.abs() < 1.0 { json!(libm::round(v * 1e9) / 1e9) } else { json!(number(v).parse::<f64>().unwrap_or(0.0)) }
}

/// Edges that a drawing shows, each as a triangle and which of its sides.
fn edges(mesh: &Mesh) -> Vec<(usize, usize)> {
    // By the position that a side begins at: where it ends, its triangle, which side.
    let mut sides: Vec<Vec<(u32, usize, usize)>> = vec![vec![]; mesh.positions.len()];
    let mut out = vec![];
    for (i, t) in mesh.triangles.iter().enumerate() {
        for k in 0..3 {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            let Some(at) = sides[b as usize].iter().position(|s| s.0 == a) else {
                let own = &mut sides[a as usize];
                own.retain(|s| s.0 != b);
                own.push((b, i, k));
                continue;
            };
            let (_, j, m) = sides[b as usize].swap_remove(at);
            // The other side runs from b to a: its corner m is this one's k + 1.
            let bent = mesh.normals[i][k].dot(mesh.normals[j][(m + 1) % 3]) < EDGE_COSINE
                || mesh.normals[i][(k + 1) % 3].dot(mesh.normals[j][m]) < EDGE_COSINE;
            if mesh.faces[i] != mesh.faces[j] && bent {
                out.push((i, k));
            }
        }
    }
    out.sort_unstable();
    out
}
