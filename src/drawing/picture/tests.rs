//! What a picture must show of bodies whose edges are known.

use super::*;
use crate::geom;
use crate::piece::{
    Bend, BendTurn, End, EndShape, Flat, Form, Hole, HoleShape, Piece, Plate, Profile, Section, Step, Stock, Strip,
};
use crate::solid::{Body, build_body};
use crate::units::{Angle, Length};

fn body(form: Form) -> Body {
    build_body(&Piece {
        part: "test".into(),
        name: "piece".into(),
        copies: 1,
        hand: None,
        form,
        stock: Stock { shape: "plate".into(), size: vec![], material: "steel".into() },
        places: vec![],
        notes: vec![],
        cautions: vec![],
    })
    .unwrap()
}

fn block(x: f64, y: f64, z: f64) -> Body {
    body(Form::Plate(Plate {
        thickness: Length::mm(z),
        outline: geom::rectangle(Point::default(), x, y, 0.0),
        holes: vec![],
    }))
}

fn standing(b: &Body) -> Standing<'_> {
    Standing { mesh: &b.mesh, frame: Frame::default(), faint: false, colour: [128; 3] }
}

/// Straight bits of all strokes.
fn bits(p: &Picture) -> Vec<(Point, Point)> {
    p.strokes.iter().flat_map(|s| s.points.windows(2).map(|w| (w[0], w[1])).collect::<Vec<_>>()).collect()
}

/// How often the straight line between two points of space is drawn in full.
fn drawn(p: &Picture, look: Look, a: Point3, b: Point3) -> usize {
    let (right, up) = look.axes();
    let to = |q: Point3| Point::new(q.dot(right), q.dot(up));
    let (a, b) = (to(a), to(b));
    bits(p).iter().filter(|(u, v)| u.distance(a) + v.distance(b) < 1e-3 || u.distance(b) + v.distance(a) < 1e-3).count()
}

#[test]
fn a_block_shows_nine_edges_from_a_corner_and_four_from_the_front() {
    let b = block(80.0, 50.0, 20.0);
    let p = |x: f64, y: f64, z: f64| Point3::new(x * 80.0, y * 50.0, (z - 1.0) * 20.0);
    let corners = |i: usize| p((i & 1) as f64, (i >> 1 & 1) as f64, (i >> 2 & 1) as f64);
    let edges: Vec<(usize, usize)> =
        (0..8).flat_map(|i| [1, 2, 4].map(|bit| (i, i | bit))).filter(|(i, j)| i != j).collect();
    assert_eq!(edges.len(), 12);
    let picture = draw(&[standing(&b)], Look::RightCorner);
    for &(i, j) in &edges {
        // The lower corner at the far left is hidden: x = 0, y = 1, z = 0.
        let hidden = i == 2 || j == 2;
        assert_eq!(drawn(&picture, Look::RightCorner, corners(i), corners(j)), usize::from(!hidden), "{i} {j}");
    }
    assert_eq!(bits(&picture).len(), 9);
    for (look, w, h) in [(Look::Front, 80.0, 20.0), (Look::Top, 80.0, 50.0), (Look::Right, 50.0, 20.0)] {
        let picture = draw(&[standing(&b)], look);
        assert_eq!(bits(&picture).len(), 4, "{look:?}");
        assert!((picture.length(Pen::Edge) - 2.0 * (w + h)).abs() < 1e-6, "{look:?}");
    }
}

#[test]
fn a_block_before_another_hides_just_what_it_covers() {
    let (small, large) = (block(40.0, 10.0, 40.0), block(100.0, 10.0, 20.0));
    let before =
        Standing { frame: Frame { origin: Point3::new(30.0, -50.0, 10.0), ..Frame::default() }, ..standing(&small) };
    let picture = draw(&[standing(&large), before], Look::Front);
    // The large one's two long edges lose the 40 mm behind the small one.
    assert!((picture.length(Pen::Edge) - (2.0 * 100.0 + 2.0 * 20.0 - 2.0 * 40.0 + 4.0 * 40.0)).abs() < 0.2);
    // Behind, it is the small one that is covered, but for what sticks out.
    let behind = Standing { frame: Frame { origin: Point3::new(30.0, 50.0, 10.0), ..Frame::default() }, ..before };
    let picture = draw(&[standing(&large), behind], Look::Front);
    assert!((picture.length(Pen::Edge) - (240.0 + 2.0 * (40.0 + 20.0))).abs() < 0.2, "{}", picture.length(Pen::Edge));
    // A faint one hides nothing, and is drawn as such.
    let faint = Standing { faint: true, ..before };
    let picture = draw(&[standing(&large), faint], Look::Front);
    assert!((picture.length(Pen::Edge) - 240.0).abs() < 1e-6 && picture.length(Pen::Faint) > 159.0);
}

#[test]
fn a_hole_shows_its_rim_and_what_is_seen_through_it() {
    let hole =
        Hole { name: "h".into(), shape: HoleShape::Round { diameter: 20.0 }, at: Point::new(30.0, 30.0), bolt: true };
    let outline = geom::rectangle(Point::default(), 60.0, 60.0, 0.0);
    let b = body(Form::Plate(Plate { thickness: Length::mm(5.0), outline, holes: vec![hole] }));
    let top = draw(&[standing(&b)], Look::Top);
    let rim = std::f64::consts::PI * 20.0;
    // The far rim lies behind the near one and is drawn with it: once.
    assert!((top.length(Pen::Edge) - 240.0 - rim).abs() < 1.0, "{}", top.length(Pen::Edge));
    assert!(top.strokes.iter().all(|s| s.pen == Pen::Edge));
    // From a corner the lower rim is seen in part only.
    let corner = draw(&[standing(&b)], Look::RightCorner);
    let holes = corner.strokes.iter().filter(|s| s.points.len() > 5).count();
    assert!(holes >= 2, "{holes}");
}

#[test]
fn round_stock_shows_its_limits_and_no_facets() {
    let s = Section {
        profile: Profile::RoundBar { diameter: Length::mm(30.0) },
        length: Length::mm(200.0),
        left: End::square(),
        right: End::square(),
        holes: vec![],
    };
    let b = body(Form::Section(s));
    let front = draw(&[standing(&b)], Look::Front);
    // Two limits along and two ends up and down.
    assert!((front.length(Pen::Edge) - 460.0).abs() < 0.5, "{}", front.length(Pen::Edge));
    assert!(front.strokes.iter().all(|s| s.pen == Pen::Edge));
}

#[test]
fn a_bend_shows_where_it_begins_with_thin_lines() {
    let flat = |l: f64| Step::Flat(Flat { name: "flat".into(), length: Length::mm(l) });
    let bend =
        Step::Bend(Bend { angle: Angle::degrees(90.0), turn: BendTurn::Up, inside_radius: Length::mm(6.0), k: 0.4 });
    let b = body(Form::Strip(Strip {
        width: Length::mm(40.0),
        thickness: Length::mm(5.0),
        steps: vec![flat(60.0), bend, flat(30.0)],
        left: EndShape::Square,
        right: EndShape::Square,
        holes: vec![],
    }));
    let top = draw(&[standing(&b)], Look::Top);
    // One tangent line is seen from above: the first flat's; the other is up the leg.
    assert!((top.length(Pen::Tangent) - 40.0).abs() < 0.2, "{}", top.length(Pen::Tangent));
    let corner = draw(&[standing(&b)], Look::LeftCorner);
    assert!(corner.length(Pen::Tangent) > 39.0);
}

#[test]
fn a_shaded_face_lies_where_the_lines_are() {
    let b = block(40.0, 30.0, 10.0);
    let view = Bounds { low: Point::new(-5.0, -5.0), high: Point::new(45.0, 35.0) };
    let r = shade(&[standing(&b)], Look::Top, &view, 2.0);
    assert_eq!((r.width, r.height), (100, 80));
    let filled = r.rgba.chunks(4).filter(|p| p[3] > 0).count();
    assert_eq!(filled, 80 * 60);
    assert_eq!(r.rgba[3], 0);
}
