//! Paper for things that are there already.

use super::load::Loaded;
use crate::diag::Diagnostic;
use crate::flat::{FlatHole, FlatPattern, Wrap, letter};
use crate::geom::{Point, rectangle};
use crate::job::{Rework, ReworkShape};
use crate::piece::{HoleShape, Stock};
use crate::units::{Length, Mass};
use sha2::{Digest, Sha256};

/// What to beware of when something old is worked on.
const CAUTION: &str =
    "Unknown or hardened steel: no weld, no drill near a weld, no release. Measure both edges again before you drill.";

/// The drawings of all reworks; holes and cuts outside of their face are told.
pub(super) fn reworks(loaded: &Loaded, out: &mut Vec<Diagnostic>) -> Vec<FlatPattern> {
    loaded.job.reworks.iter().map(|r| drawing(loaded, r, out)).collect()
}

fn point(p: (Length, Length)) -> Point {
    Point::new(p.0.to_mm(), p.1.to_mm())
}

/// Holes and cuts that leave the face are told; the holes in the order of x, y.
fn holes_of(loaded: &Loaded, r: &Rework, out: &mut Vec<Diagnostic>) -> Vec<(String, HoleShape, Point)> {
    let (l, w) = (r.size.0.to_mm(), r.size.1.to_mm());
    let mut say = |what: &str| {
        let message = format!("{what} of `{}` lies outside of its face of {l:.1} x {w:.1} mm", r.name);
        let d = Diagnostic::error("hole-outside", message, loaded.job.file, r.span.clone());
        out.push(d.help("check its place from both edges, or the size of the face"));
    };
    let inside = |p: Point, reach: f64| p.x >= reach && p.y >= reach && p.x <= l - reach && p.y <= w - reach;
    let mut holes = vec![];
    for h in &r.holes {
        let (shape, reach) = match h.shape {
            ReworkShape::Round(d) => (HoleShape::Round { diameter: d.to_mm() }, d.to_mm() / 2.0),
            ReworkShape::Slot(length, width, lies) => (
                HoleShape::Slot { length: length.to_mm(), width: width.to_mm(), lies: lies.to_radians() },
                width.to_mm() / 2.0,
            ),
        };
        if !inside(point(h.at), reach) {
            say(&format!("hole `{}`", h.name));
        }
        holes.push((h.name.clone(), shape, point(h.at)));
    }
    for c in &r.cuts {
        if !inside(point(c.from), 0.0) || !inside(point(c.to), 0.0) {
            say(&format!("cut `{}`", c.name));
        }
    }
    holes.sort_by(|a, b| a.2.x.total_cmp(&b.2.x).then(a.2.y.total_cmp(&b.2.y)));
    holes
}

fn drawing(loaded: &Loaded, r: &Rework, out: &mut Vec<Diagnostic>) -> FlatPattern {
    let (l, w) = (r.size.0.to_mm(), r.size.1.to_mm());
    let holes = holes_of(loaded, r, out);
    let text = format!("{r:?}");
    let hash = Sha256::digest(text.as_bytes()).iter().take(6).map(|b| format!("{b:02x}")).collect();
    let edges = format!("X from: {}. Y from: {}.", r.edges.0, r.edges.1);
    FlatPattern {
        part: "rework".to_string(),
        piece: r.name.clone(),
        copies: 1,
        hand: None,
        form: "rework",
        stock: Stock { shape: String::new(), size: vec![], material: r.material.clone() },
        length: r.size.0,
        width: r.size.1,
        thickness: Length::ZERO,
        outline: rectangle(Point::default(), l, w, 0.0),
        cut_outs: vec![],
        bend_lines: vec![],
        holes: holes
            .into_iter()
            .enumerate()
            .map(|(i, (name, shape, at))| FlatHole {
                letter: letter(i),
                name,
                face: "outside".to_string(),
                shape,
                at,
                flat: None,
            })
            .collect(),
        faces: vec![],
        wrap: Wrap::None,
        cut_lines: r.cuts.iter().map(|c| (point(c.from), point(c.to), c.name.clone())).collect(),
        ends_deg: None,
        mass: Mass::kg(0.0),
        volume_mm3: 0.0,
        hash,
        notes: vec![edges],
        cautions: vec![CAUTION.to_string()],
    }
}
