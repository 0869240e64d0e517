//! Bodies as binary glTF: one node a piece, names kept, metres and y up as the
//! format demands.
//!
//! # Source
//! glTF 2.0 specification, Khronos Group (also ISO/IEC 12113:2022): 3.4
//! (metres, right-handed, y up), 3.6 (buffers), 3.7 (meshes), 4.4 (GLB). The
//! numbers of sections are from memory; two readers that are not ours read the
//! files in the tests.

use crate::solid::Mesh;
use crate::space::{Frame, Point3};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// A mesh of the file.
#[derive(Clone, Copy, Debug)]
pub struct GlbMesh<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its triangles, mm.
    pub mesh: &'a Mesh,
    /// Name of what it is made of.
    pub material: &'a str,
    /// Red, green and blue of it, 0 to 255, as on a screen.
    pub colour: [u8; 3],
    /// Part of what is there already: shown see-through.
    pub faint: bool,
}

/// One body of the scene.
#[derive(Clone, Debug, PartialEq)]
pub struct GlbNode {
    /// Its name.
    pub name: String,
    /// Index of its mesh.
    pub mesh: usize,
    /// Where it stands, mm.
    pub frame: Frame,
}

/// `ARRAY_BUFFER` and `ELEMENT_ARRAY_BUFFER` (3.6.2.5, table of targets).
const VERTICES: u32 = 34962;
const INDICES: u32 = 34963;
/// `FLOAT` and `UNSIGNED_INT` (3.6.2.2).
const FLOAT: u32 = 5126;
const UNSIGNED_INT: u32 = 5125;
/// Magic number and chunk kinds of a GLB (4.4.2, 4.4.3).
const MAGIC: u32 = 0x4654_6C67;
const JSON_CHUNK: u32 = 0x4E4F_534A;
const BIN_CHUNK: u32 = 0x004E_4942;

/// Name of the root, which turns what stands under it into metres.
const ROOT: &str = "millimetres, z up";

/// The file: one scene, `name`. Nodes hang under one root that turns millimetres with z
/// up into metres with y up. The same bodies give the same bytes.
///
/// # Errors
/// A node without a mesh, or a file over 4 GB (the format's limit).
pub fn write_glb(name: &str, meshes: &[GlbMesh], nodes: &[GlbNode]) -> Result<Vec<u8>, String> {
    if let Some(n) = nodes.iter().find(|n| n.mesh >= meshes.len()) {
        return Err(format!("the body `{}` has no mesh", n.name));
    }
    let mut out = Buffers::default();
    let mut materials: Vec<(String, Value)> = vec![];
    let mut listed = vec![];
    for m in meshes {
        let key = format!("{}{}", m.material, if m.faint { ", already there" } else { "" });
        let material = materials.iter().position(|x| x.0 == key).unwrap_or_else(|| {
            materials.push((key.clone(), material(&key, m)));
            materials.len() - 1
        });
        let (attributes, indices) = out.mesh(m.mesh);
        listed.push(json!({
            "name": m.name,
            "primitives": [{ "attributes": attributes, "indices": indices, "material": material }],
        }));
    }
    let children: Vec<usize> = (1..=nodes.len()).collect();
    let half = libm::sqrt(0.5);
    let mut root = json!({ "name": ROOT, "scale": [0.001, 0.001, 0.001], "rotation": [-half, 0.0, 0.0, half] });
    // An empty list of children is not allowed.
    if !nodes.is_empty() {
        root["children"] = json!(children);
    }
    let mut all = vec![root];
    all.extend(nodes.iter().map(|n| json!({ "name": n.name, "mesh": n.mesh, "matrix": matrix(&n.frame) })));
    let mut doc = json!({
        "asset": { "version": "2.0", "generator": "droprack" },
        "scene": 0,
        "scenes": [{ "name": name, "nodes": [0] }],
        "nodes": all,
    });
    if !meshes.is_empty() {
        doc["materials"] = materials.into_iter().map(|m| m.1).collect();
        doc["meshes"] = Value::Array(listed);
        doc["accessors"] = Value::Array(out.accessors);
        doc["bufferViews"] = Value::Array(out.views);
        doc["buffers"] = json!([{ "byteLength": out.bytes.len() }]);
    }
    packed(&doc, out.bytes)
}

/// Colours are linear in the file and by perception on a screen (IEC 61966-2-1).
fn linear(v: u8) -> f64 {
    let s = f64::from(v) / 255.0;
    let l = if s <= 0.04045 { s / 12.92 } else { libm::pow((s + 0.055) / 1.055, 2.4) };
    (l * 1e4).round() / 1e4
}

fn material(name: &str, m: &GlbMesh) -> Value {
    let [r, g, b] = m.colour.map(linear);
    let mut out = json!({
        "name": name,
        "pbrMetallicRoughness": {
            "baseColorFactor": [r, g, b, if m.faint { 0.25 } else { 1.0 }],
            "metallicFactor": 0.3, "roughnessFactor": 0.6,
        },
    });
    if m.faint {
        out["alphaMode"] = json!("BLEND");
    }
    out
}

/// Column by column (3.5.3).
fn matrix(f: &Frame) -> Vec<f64> {
    let tidy = |v: f64| if v.abs() < 1e-12 { 0.0 } else { v };
    let column = |p: Point3, w: f64| [tidy(p.x), tidy(p.y), tidy(p.z), w];
    [column(f.x, 0.0), column(f.y, 0.0), column(f.z(), 0.0), column(f.origin, 1.0)].concat()
}

#[derive(Default)]
struct Buffers {
    bytes: Vec<u8>,
    views: Vec<Value>,
    accessors: Vec<Value>,
}

impl Buffers {
    /// Positions, normals and indices of a mesh: a corner is shared by all
    /// triangles that agree on its normal. Returns attributes and indices.
    fn mesh(&mut self, mesh: &Mesh) -> (Value, usize) {
        let mut known: BTreeMap<(u32, [i32; 3]), u32> = BTreeMap::new();
        let (mut positions, mut normals, mut indices) = (vec![], vec![], vec![]);
        for (t, ns) in mesh.triangles.iter().zip(&mesh.normals) {
            for (&v, n) in t.iter().zip(ns) {
                let key = [n.x, n.y, n.z].map(|c| (c * 1e4).round() as i32);
                indices.push(*known.entry((v, key)).or_insert_with(|| {
                    positions.push(mesh.positions[v as usize]);
                    normals.push(*n);
                    positions.len() as u32 - 1
                }));
            }
        }
        let single = |p: &Point3| [p.x as f32 + 0.0, p.y as f32 + 0.0, p.z as f32 + 0.0];
        let places: Vec<[f32; 3]> = positions.iter().map(single).collect();
        let bound = |pick: fn(f32, f32) -> f32, from: f32| {
            places.iter().fold([from; 3], |b, p| [pick(b[0], p[0]), pick(b[1], p[1]), pick(b[2], p[2])])
        };
        let floats = |v: &[[f32; 3]]| v.iter().flatten().flat_map(|c| c.to_le_bytes()).collect::<Vec<u8>>();
        let p = self.part(&floats(&places), VERTICES);
        let normals: Vec<[f32; 3]> = normals.iter().map(single).collect();
        let n = self.part(&floats(&normals), VERTICES);
        let i = self.part(&indices.iter().flat_map(|i| i.to_le_bytes()).collect::<Vec<u8>>(), INDICES);
        self.accessors.push(json!({
            "bufferView": p, "componentType": FLOAT, "count": places.len(), "type": "VEC3",
            "min": bound(f32::min, f32::INFINITY), "max": bound(f32::max, f32::NEG_INFINITY),
        }));
        self.accessors.push(json!({ "bufferView": n, "componentType": FLOAT, "count": normals.len(), "type": "VEC3" }));
        self.accessors
            .push(json!({ "bufferView": i, "componentType": UNSIGNED_INT, "count": indices.len(), "type": "SCALAR" }));
        let last = self.accessors.len() - 1;
        (json!({ "POSITION": last - 2, "NORMAL": last - 1 }), last)
    }

    fn part(&mut self, bytes: &[u8], target: u32) -> usize {
        let from = self.bytes.len();
        self.bytes.extend(bytes);
        self.views.push(json!({ "buffer": 0, "byteOffset": from, "byteLength": bytes.len(), "target": target }));
        self.views.len() - 1
    }
}

/// Header, text and bytes, each filled up to whole fours.
fn packed(doc: &Value, mut bin: Vec<u8>) -> Result<Vec<u8>, String> {
    let mut text = serde_json::to_vec(doc).map_err(|e| e.to_string())?;
    while !text.len().is_multiple_of(4) {
        text.push(b' ');
    }
    while !bin.len().is_multiple_of(4) {
        bin.push(0);
    }
    let chunks = if bin.is_empty() { vec![(JSON_CHUNK, text)] } else { vec![(JSON_CHUNK, text), (BIN_CHUNK, bin)] };
    let total = 12 + chunks.iter().map(|c| 8 + c.1.len()).sum::<usize>();
    let total = u32::try_from(total).map_err(|_| "the bodies are too many for one glTF file".to_string())?;
    let mut out = vec![];
    for v in [MAGIC, 2, total] {
        out.extend(v.to_le_bytes());
    }
    for (kind, bytes) in chunks {
        out.extend((bytes.len() as u32).to_le_bytes());
        out.extend(kind.to_le_bytes());
        out.extend(bytes);
    }
    Ok(out)
}
