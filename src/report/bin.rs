//! Offcuts as JSON, the same in the plan and in the list of the bin, so that
//! one can be held against the other.

use super::json::num;
use crate::geom::Point;
use crate::stock::BinEntry;
use crate::units::show_size;
use serde_json::{Map, Value, json};

/// One offcut; lengths in mm, angles in degrees. Only what is known of it.
pub fn entry_json(e: &BinEntry) -> Value {
    let mut m = Map::new();
    let mut put = |key: &str, value: Value| {
        m.insert(key.to_string(), value);
    };
    let corners = |all: &[Point]| -> Value { all.iter().map(|p| json!([num(p.x), num(p.y)])).collect() };
    put("id", json!(e.id));
    put("shape", json!(e.stock.shape));
    put("size", json!(show_size(&e.stock.size)));
    put("material", json!(e.stock.material));
    put("length_mm", num(e.length.to_mm()));
    if let Some(width) = e.width {
        put("width_mm", num(width.to_mm()));
        put("outline", corners(&e.outline));
        put("holes", e.holes.iter().map(|h| corners(h)).collect());
    } else {
        put("doubt_mm", num(e.doubt.to_mm()));
        put("unusable_mm", e.unusable.iter().map(|s| json!([num(s.0.to_mm()), num(s.1.to_mm())])).collect());
        put("left_end_deg", num(e.ends_deg.0));
        put("right_end_deg", num(e.ends_deg.1));
    }
    put("where", json!(e.place));
    let f = &e.facts;
    for (key, word) in [
        ("coating", &f.coating),
        ("seam", &f.seam),
        ("grade", &f.grade),
        ("weldable", &f.weldable),
        ("from", &f.from),
        ("note", &f.note),
        ("held_for", &f.held_for),
    ] {
        if !word.is_empty() {
            put(key, json!(word));
        }
    }
    if let Some(wall) = f.wall {
        put("wall_mm", num(wall.to_mm()));
    }
    if f.keep {
        put("keep", json!(true));
    }
    Value::Object(m)
}
