//! Simple bodies of what is not made here: bolts and things that are there.

use crate::expr::Faint;
use crate::geom::{self, Loop, Point};
use crate::handbook::bolts::SIZES;
use crate::piece::{Bolt, End, Form, Piece, Plate, Profile, Section, Stock};
use crate::solid::{Mesh, build_body_within};
use crate::space::{Frame, Point3};
use crate::units::Length;
use std::sync::Arc;

/// Within this of the true surface, mm: they are there to be seen.
const CHORD_MM: f64 = 0.2;
/// Head and nut in thread diameters, and the hexagon of a thread that the
/// handbook has not: a body to look at, not to order by (common practice, no
/// source).
const ACROSS_FLATS: f64 = 1.6;
const HEAD: f64 = 0.65;
const NUT: f64 = 0.85;
/// Thread that stands out of the nut, in thread diameters.
const BEYOND: f64 = 0.3;

fn mesh_of(form: Form) -> Option<Mesh> {
    let piece = Piece {
        part: String::new(),
        name: String::new(),
        copies: 1,
        hand: None,
        form,
        stock: Stock { shape: String::new(), size: vec![], material: String::new() },
        places: vec![],
        notes: vec![],
        cautions: vec![],
    };
    build_body_within(&piece, CHORD_MM).ok().map(|b| Arc::unwrap_or_clone(b.mesh))
}

/// A bolt, its head's underside at z = 0, shank down, with its nut; and how far
/// the shank reaches, mm.
pub(super) fn bolt(b: &Bolt) -> Option<(Arc<Mesh>, f64)> {
    let (d, grip) = (b.diameter.to_mm(), b.grip.to_mm());
    let listed = SIZES.iter().find(|s| (s.diameter.to_mm() - d).abs() < 0.05);
    let flats = listed.map_or(d * ACROSS_FLATS, |s| s.across_flats.to_mm());
    let corner = flats / libm::sqrt(3.0);
    let corners: Vec<Point> =
        (0..6).map(|i| Point::at_angle(std::f64::consts::FRAC_PI_3 * f64::from(i)) * corner).collect();
    let hexagon = |thick: f64| {
        mesh_of(Form::Plate(Plate { thickness: Length::mm(thick), outline: Loop::straight(&corners), holes: vec![] }))
    };
    let length = grip + (NUT + BEYOND) * d;
    let shank = mesh_of(Form::Section(Section {
        profile: Profile::RoundBar { diameter: b.diameter },
        length: Length::mm(length),
        left: End::square(),
        right: End::square(),
        holes: vec![],
    }))?;
    let at = |z: f64| Frame::default().moved(Point3::new(0.0, 0.0, z));
    // The shank's x runs down.
    let down = Frame { origin: Point3::default(), x: Point3::new(0.0, 0.0, -1.0), y: Point3::new(0.0, 1.0, 0.0) };
    let mut out = Mesh::default();
    for (part, frame) in [(hexagon(HEAD * d)?, at(HEAD * d)), (shank, down), (hexagon(NUT * d)?, at(-grip))] {
        out.join(&part, &frame);
    }
    Some((Arc::new(out), length))
}

/// A block with its four edges along x rounded.
pub(super) fn faint(f: &Faint) -> Option<Arc<Mesh>> {
    let (w, h) = (f.size.y, f.size.z);
    let r = f.corner_radius.min(w.min(h) / 2.0);
    let middle = Point::new(w / 2.0, h / 2.0);
    let outline = if r > w.min(h) / 2.0 - 1e-3 {
        if (w - h).abs() < 1e-6 {
            geom::circle(middle, w)
        } else if w > h {
            geom::slot(middle, w, h, 0.0)
        } else {
            geom::slot(middle, h, w, std::f64::consts::FRAC_PI_2)
        }
    } else {
        geom::rectangle(Point::default(), w, h, r)
    };
    let plate = mesh_of(Form::Plate(Plate { thickness: Length::mm(f.size.x), outline, holes: vec![] }))?;
    // The plate's thickness lies along x, its outline in y and z.
    let frame =
        Frame { origin: Point3::new(f.size.x, 0.0, 0.0), x: Point3::new(0.0, 1.0, 0.0), y: Point3::new(0.0, 0.0, 1.0) };
    let mut out = Mesh::default();
    out.join(&plate, &frame);
    Some(Arc::new(out))
}
