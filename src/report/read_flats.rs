//! Pieces out of the JSON that an earlier run has written.

use crate::flat::{Made, MadeBend, MadeHole};
use crate::geom::{Arc, Loop, Point, Side, Turn};
use crate::piece::{HoleShape, Stock};
use crate::units::parse_size;
use serde_json::Value;

/// Most pieces that are read.
const MOST: usize = 20_000;

/// The pieces of a `job.json`, or of what `flat --json` prints.
///
/// # Errors
/// A sentence that names the piece and the key.
pub fn read_flats(text: &str) -> Result<Vec<Made>, String> {
    let whole: Value = serde_json::from_str(text).map_err(|e| format!("it is no JSON: {e}"))?;
    let flat = whole.get("flat").unwrap_or(&whole);
    let pieces = flat
        .get("pieces")
        .and_then(Value::as_array)
        .ok_or("it has no pieces: it is neither a job.json nor what flat --json prints")?;
    if pieces.len() > MOST {
        return Err(format!("it has {} pieces, {MOST} at most", pieces.len()));
    }
    pieces.iter().enumerate().map(|(i, p)| piece(p).map_err(|e| format!("piece {}: {e}", i + 1))).collect()
}

fn text(v: &Value, key: &str) -> Result<String, String> {
    v.get(key).and_then(Value::as_str).map(String::from).ok_or_else(|| format!("`{key}` is no text"))
}

fn number(v: &Value, key: &str) -> Result<f64, String> {
    v.get(key)
        .and_then(Value::as_f64)
        .filter(|n| n.is_finite() && n.abs() < 1e9)
        .ok_or_else(|| format!("`{key}` is no number"))
}

fn point(v: Option<&Value>) -> Result<Point, String> {
    let at = |i: usize| v.and_then(|v| v.get(i)).and_then(Value::as_f64).filter(|n| n.abs() < 1e9);
    at(0).zip(at(1)).map(|(x, y)| Point::new(x, y)).ok_or_else(|| "a point is not two numbers".to_string())
}

fn list<'a>(v: &'a Value, key: &str) -> Result<&'a [Value], String> {
    v.get(key).and_then(Value::as_array).map(Vec::as_slice).ok_or_else(|| format!("`{key}` is no list"))
}

fn outline(sides: &[Value]) -> Result<Loop, String> {
    let side = |s: &Value| -> Result<Side, String> {
        let arc = match s.get("centre") {
            None => None,
            Some(c) => {
                let left = s.get("turn").and_then(Value::as_str) == Some("left");
                Some(Arc { centre: point(Some(c))?, turn: if left { Turn::Left } else { Turn::Right } })
            }
        };
        Ok(Side { to: point(s.get("to"))?, arc })
    };
    if sides.is_empty() {
        return Err("an outline has no sides".into());
    }
    Ok(Loop { sides: sides.iter().map(side).collect::<Result<_, _>>()? })
}

fn hole(v: &Value) -> Result<MadeHole, String> {
    let lies = || number(v, "angle_deg").map(f64::to_radians);
    let shape = match text(v, "shape")?.as_str() {
        "round" => HoleShape::Round { diameter: number(v, "diameter_mm")? },
        "slot" => HoleShape::Slot { length: number(v, "length_mm")?, width: number(v, "width_mm")?, lies: lies()? },
        "ellipse" => HoleShape::Ellipse { major: number(v, "major_mm")?, minor: number(v, "minor_mm")?, lies: lies()? },
        "rectangle" => HoleShape::Rectangle {
            length: number(v, "length_mm")?,
            width: number(v, "width_mm")?,
            corner_radius: number(v, "corner_radius_mm").unwrap_or(0.0),
            lies: lies()?,
        },
        other => return Err(format!("a hole of shape \"{other}\" is unknown")),
    };
    if !shape.is_possible() {
        return Err("a hole has an impossible size".into());
    }
    let at = Point::new(number(v, "x_mm")?, number(v, "y_mm")?);
    Ok(MadeHole { letter: text(v, "letter")?, face: text(v, "face")?, shape, at })
}

fn bend(v: &Value) -> Result<MadeBend, String> {
    Ok(MadeBend {
        at: point(v.get("from"))?.x,
        angle_deg: number(v, "angle_deg")?,
        inside_radius: number(v, "inside_radius_mm")?,
        up: text(v, "direction")? == "up",
    })
}

fn piece(v: &Value) -> Result<Made, String> {
    let stock = v.get("stock").ok_or("`stock` is missing")?;
    let size = parse_size(&text(stock, "size")?).map_err(|e| format!("`size`: {}", e.message))?;
    let copies = number(v, "copies")?;
    Ok(Made {
        key: format!("{}/{}", text(v, "part")?, text(v, "piece")?),
        copies: if (0.0..=1e6).contains(&copies) { copies as u32 } else { return Err("`copies` is no count".into()) },
        hash: text(v, "hash")?,
        form: text(v, "form")?,
        hand: text(v, "hand").unwrap_or_default(),
        stock: Stock { shape: text(stock, "shape")?, size, material: text(v, "material")? },
        outline: outline(list(v, "outline")?)?,
        cut_outs: list(v, "cut_outs")?
            .iter()
            .map(|c| outline(c.as_array().map(Vec::as_slice).unwrap_or(&[])))
            .collect::<Result<_, _>>()?,
        bends: list(v, "bend_lines")?.iter().map(bend).collect::<Result<_, _>>()?,
        holes: list(v, "holes")?.iter().map(hole).collect::<Result<_, _>>()?,
        ends_deg: number(v, "left_end_deg").ok().zip(number(v, "right_end_deg").ok()),
    })
}
