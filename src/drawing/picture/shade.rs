//! Shaded pictures: each pixel shows the nearest face, lit from the viewer's
//! left shoulder. No window, no graphics card.

use super::{Look, Standing, Turned};
use crate::geom::{Bounds, Point};
use crate::space::Point3;

/// A picture of pixels.
#[derive(Clone, Debug, PartialEq)]
pub struct Raster {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Red, green, blue, opacity of each pixel, from the upper left along the rows.
    pub rgba: Vec<u8>,
}

/// The bodies as seen in the box `view` (mm, plane of the picture), with so many
/// pixels a millimetre. Faint bodies are left out; where nothing stands the
/// pixel is clear.
pub fn shade(bodies: &[Standing], look: Look, view: &Bounds, pixels_per_mm: f64) -> Raster {
    let width = (view.width() * pixels_per_mm).ceil().max(1.0) as u32;
    let height = (view.height() * pixels_per_mm).ceil().max(1.0) as u32;
    let (w, h) = (width as usize, height as usize);
    let mut depth = vec![f32::NEG_INFINITY; w * h];
    let mut rgba = vec![0; 4 * w * h];
    let (right, up) = look.axes();
    let towards = right.cross(up);
    let light = Point3::new(-0.35, 0.55, 0.76).unit();
    for body in bodies.iter().filter(|b| !b.faint) {
        let turned = Turned::new(body, look);
        let axes = [body.frame.x, body.frame.y, body.frame.z()];
        for (t, normals) in body.mesh.triangles.iter().zip(&body.mesh.normals) {
            let corners = turned.corners(t);
            let lit = normals.map(|n| {
                let n = axes[0] * n.x + axes[1] * n.y + axes[2] * n.z;
                let n = Point3::new(n.dot(right), n.dot(up), n.dot(towards));
                0.62 + 0.48 * n.dot(light).max(0.0)
            });
            let at =
                corners.map(|c| Point::new((c.x - view.low.x) * pixels_per_mm, (view.high.y - c.y) * pixels_per_mm));
            let mut put = |x: usize, y: usize, bary: [f64; 3]| {
                let mix = |v: [f64; 3]| v[0] * bary[0] + v[1] * bary[1] + v[2] * bary[2];
                let z = mix(corners.map(|c| c.z)) as f32;
                let i = y * w + x;
                if z > depth[i] {
                    depth[i] = z;
                    let shine = mix(lit);
                    for k in 0..3 {
                        rgba[4 * i + k] = (f64::from(body.colour[k]) * shine).clamp(0.0, 255.0) as u8;
                    }
                    rgba[4 * i + 3] = 255;
                }
            };
            fill(at, w, h, &mut put);
        }
    }
    Raster { width, height, rgba }
}

/// Every pixel whose centre lies in a triangle that looks at the viewer.
fn fill(c: [Point; 3], w: usize, h: usize, put: &mut impl FnMut(usize, usize, [f64; 3])) {
    // Rows run down, so a triangle that looks at the viewer is clockwise here.
    let twice = -(c[1] - c[0]).cross(c[2] - c[0]);
    if twice <= 1e-12 {
        return;
    }
    let low = |f: fn(&Point) -> f64| c.iter().map(f).fold(f64::INFINITY, f64::min);
    let high = |f: fn(&Point) -> f64| c.iter().map(f).fold(f64::NEG_INFINITY, f64::max);
    let range = |l: f64, h: f64, n: usize| {
        ((l - 0.5).ceil().max(0.0) as usize, ((h - 0.5).floor() + 1.0).clamp(0.0, n as f64) as usize)
    };
    let (x0, x1) = range(low(|p| p.x), high(|p| p.x), w);
    let (y0, y1) = range(low(|p| p.y), high(|p| p.y), h);
    for y in y0..y1 {
        for x in x0..x1 {
            let p = Point::new(x as f64 + 0.5, y as f64 + 0.5);
            let weight = |i: usize| -(c[(i + 2) % 3] - c[(i + 1) % 3]).cross(p - c[(i + 1) % 3]) / twice;
            let bary = [weight(0), weight(1), weight(2)];
            if bary.iter().all(|b| *b >= -1e-9) {
                put(x, y, bary);
            }
        }
    }
}
