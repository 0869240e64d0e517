//! Pieces cut with a kerf: sizes read back from the text.

use super::*;
use crate::flat::{FaceView, FlatHole};
use crate::geom::{offset, rectangle, slot};
use crate::piece::{Face, HoleShape, Stock};
use crate::units::Mass;

const KERF: Option<Length> = Some(Length::mm(0.8));

/// A plate 120 x 60 mm with corners of radius 10 mm and these holes, lettered.
fn plate(shapes: &[(HoleShape, f64, f64)]) -> FlatPattern {
    let letters = ["A", "B", "C", "D", "E", "F"];
    let hole = |(letter, &(shape, x, y)): (&&str, &(HoleShape, f64, f64))| FlatHole {
        letter: letter.to_string(),
        name: "bolt".into(),
        face: "outside".into(),
        shape,
        at: Point::new(x, y),
        flat: None,
    };
    FlatPattern {
        wrap: crate::flat::Wrap::None,
        cut_lines: vec![],
        part: "mount".into(),
        piece: "plate".into(),
        copies: 1,
        hand: None,
        form: "plate",
        stock: Stock { shape: "plate".into(), size: vec![Length::mm(5.0)], material: "S235JR".into() },
        length: Length::mm(120.0),
        width: Length::mm(60.0),
        thickness: Length::mm(5.0),
        outline: rectangle(Point::default(), 120.0, 60.0, 10.0),
        cut_outs: vec![],
        bend_lines: vec![],
        holes: letters.iter().zip(shapes).map(hole).collect(),
        faces: vec![],
        ends_deg: None,
        mass: Mass::kg(0.28),
        volume_mm3: 36_000.0,
        hash: "0123456789ab".into(),
        notes: vec![],
        cautions: vec![],
    }
}

fn round(diameter: f64) -> HoleShape {
    HoleShape::Round { diameter }
}

/// The lines of a group.
fn group<'a>(svg: &'a str, id: &str) -> Vec<&'a str> {
    let begin = svg.find(&format!("<g id=\"{id}\"")).unwrap();
    let inside = &svg[begin..begin + svg[begin..].find("</g>").unwrap()];
    inside.lines().skip(1).collect()
}

/// The data of a path and its end points; it must be closed.
fn ends(line: &str) -> (String, Vec<Point>) {
    let d = line.split(" d=\"").nth(1).unwrap().split('"').next().unwrap();
    let (mut points, mut numbers) = (vec![], vec![]);
    let body = d.strip_suffix(" Z").unwrap_or_else(|| panic!("open path: {d}"));
    for word in body.split(' ').chain(["L"]) {
        match word.parse::<f64>() {
            Ok(v) => numbers.push(v),
            Err(_) if numbers.is_empty() => {}
            Err(_) => {
                points.push(Point::new(numbers[numbers.len() - 2], numbers[numbers.len() - 1]));
                numbers.clear();
            }
        }
    }
    assert!(points[0].distance(points[points.len() - 1]) < 1e-9, "open path: {d}");
    (d.to_string(), points)
}

/// Width and height round the end points of a path, mm. Right for outlines
/// whose widest places are ends of sides.
fn size(line: &str) -> (f64, f64) {
    let b = Bounds::of(ends(line).1).unwrap();
    (b.width(), b.height())
}

fn near(got: (f64, f64), expected: (f64, f64), tol: f64) {
    assert!((got.0 - expected.0).abs() < tol && (got.1 - expected.1).abs() < tol, "{got:?} instead of {expected:?}");
}

#[test]
fn the_outline_grows_and_holes_shrink_by_half_the_kerf() {
    let mut p = plate(&[
        (round(10.5), 20.0, 15.0),
        (HoleShape::Slot { length: 30.0, width: 9.0, lies: 0.0 }, 60.0, 20.0),
        (HoleShape::Rectangle { length: 20.0, width: 10.0, corner_radius: 2.0, lies: 0.0 }, 60.0, 40.0),
        (HoleShape::Ellipse { major: 24.0, minor: 16.0, lies: 0.0 }, 95.0, 30.0),
    ]);
    p.cut_outs = vec![rectangle(Point::new(5.0, 30.0), 20.0, 15.0, 0.0)];
    let svg = write_svg(&p, KERF).unwrap();
    assert!(svg.contains("<desc>kerf compensated by half of 0.8 mm. Not an approval"), "{svg}");
    let cut = group(&svg, "cut");
    assert_eq!(cut.len(), 1);
    near(size(cut[0]), (120.8, 60.8), 1e-9);
    assert_eq!(cut[0].matches("A 10.4 10.4 0 0 0 ").count(), 4, "{}", cut[0]);
    let holes = group(&svg, "holes");
    assert_eq!(holes[0], "<circle cx=\"20\" cy=\"45\" r=\"4.85\"/>");
    near(size(holes[1]), (29.2, 8.2), 1e-9);
    assert_eq!(holes[1].matches("A 4.1 4.1 ").count(), 4, "{}", holes[1]);
    near(size(holes[2]), (19.2, 9.2), 1e-9);
    assert_eq!(holes[2].matches("A 1.6 1.6 ").count(), 4, "{}", holes[2]);
    near(size(holes[3]), (23.2, 15.2), 0.005);
    assert!(holes[3].contains(" A ") && !holes[3].contains(" L "), "{}", holes[3]);
    near(size(holes[4]), (19.2, 14.2), 1e-9);
    assert_eq!(holes.len(), 5);
    assert!(svg.find("id=\"holes\"") < svg.find("id=\"cut\""));
    // The same room is left round the cut as round the finished edge.
    assert!(svg.contains("width=\"130.8mm\" height=\"70.8mm\" viewBox=\"-5.4 -5.4 130.8 70.8\""), "{svg}");
    let paths: Vec<String> = holes[1..].iter().chain(&cut).map(|l| ends(l).0).collect();
    assert!((1..paths.len()).all(|i| !paths[..i].contains(&paths[i])), "no line twice");
    assert_eq!(svg, write_svg(&p, KERF).unwrap(), "the same bytes in two runs");
}

#[test]
fn the_line_beside_an_ellipse_is_half_a_kerf_from_it() {
    let (a, b) = (12.0, 4.0);
    let svg =
        write_svg(&plate(&[(HoleShape::Ellipse { major: 2.0 * a, minor: 2.0 * b, lies: 0.3 }, 60.0, 30.0)]), KERF);
    let svg = svg.unwrap();
    for at in ends(group(&svg, "holes")[0]).1 {
        let q = (Point::new(at.x, 60.0 - at.y) - Point::new(60.0, 30.0)).turned(-0.3);
        let rim =
            |k: i32| q.distance(Point::new(a * libm::cos(f64::from(k) * 1e-3), b * libm::sin(f64::from(k) * 1e-3)));
        let off = (0..6284).map(rim).fold(f64::INFINITY, f64::min);
        assert!((off - 0.4).abs() < 0.001, "{off}");
    }
}

#[test]
fn without_a_kerf_the_line_is_the_finished_edge() {
    let p =
        plate(&[(HoleShape::Ellipse { major: 24.0, minor: 16.0, lies: 0.0 }, 95.0, 30.0), (round(0.5), 20.0, 15.0)]);
    let svg = write_svg(&p, None).unwrap();
    assert!(svg.contains("<desc>no kerf compensation: the line is the finished edge. Not an approval"), "{svg}");
    near(size(group(&svg, "cut")[0]), (120.0, 60.0), 1e-9);
    assert!(svg.contains("A 12 8 0 0 0 83 30") && svg.contains("r=\"0.25\""), "{svg}");
    for none in [0.0, -0.8, f64::NAN] {
        assert_eq!(write_svg(&p, Some(Length::mm(none))).unwrap(), svg);
    }
}

#[test]
fn an_opening_that_the_kerf_eats_is_a_mark_that_says_so() {
    let mut p = plate(&[
        (round(0.8), 20.0, 15.0),
        (HoleShape::Slot { length: 9.0, width: 0.7, lies: 0.2 }, 40.0, 15.0),
        (HoleShape::Ellipse { major: 9.0, minor: 0.8, lies: 0.2 }, 60.0, 15.0),
        (round(0.9), 80.0, 15.0),
    ]);
    p.cut_outs = vec![slot(Point::new(100.0, 40.0), 12.0, 0.5, 0.0)];
    let svg = write_svg(&p, KERF).unwrap();
    assert_eq!(group(&svg, "holes"), ["<circle cx=\"80\" cy=\"45\" r=\"0.05\"/>"]);
    let notes = group(&svg, "notes").join("\n");
    for says in ["hole A is not cut: ", "hole B is not cut: ", "hole C is not cut: ", "cut-out 1 is not cut: "] {
        assert_eq!(notes.matches(&format!("<desc>{says}")).count(), 1, "{says} {notes}");
    }
    assert!(notes.contains("<path d=\"M 19 45 L 21 45 M 20 46 L 20 44\" fill=\"none\" stroke=\"black\""), "{notes}");
    assert!(notes.contains("M 99 20 L 101 20"), "{notes}");
    // Without a kerf they are openings like any other.
    assert!(!write_svg(&p, None).unwrap().contains("not cut"));
}

#[test]
fn an_outline_whose_bay_the_kerf_closes_is_an_error() {
    let mut p = plate(&[]);
    let corners = [(0.0, 0.0), (50.0, 0.0), (50.0, 40.0), (25.5, 40.0), (25.5, 30.0), (35.0, 30.0), (35.0, 10.0)];
    let more = [(15.0, 10.0), (15.0, 30.0), (24.8, 30.0), (24.8, 40.0), (0.0, 40.0)];
    p.outline = Loop::straight(&corners.iter().chain(&more).map(|c| Point::new(c.0, c.1)).collect::<Vec<_>>());
    let why = write_svg(&p, KERF).unwrap_err();
    assert!(why.starts_with("mount/plate cannot be cut with a kerf of 0.8 mm: a bay"), "{why}");
    assert!(write_svg(&p, None).is_ok());
    assert!(write_svg(&p, Some(Length::mm(0.6))).is_ok());
}

#[test]
fn faces_of_a_section_keep_their_distance() {
    let mut p = plate(&[]);
    let face = |word: &str, y_down| FaceView {
        face: if y_down { Face::Front } else { Face::Top },
        word: word.into(),
        outline: rectangle(Point::default(), 100.0, 40.0, 0.0),
        y_down,
    };
    p.faces = vec![face("flat leg", false), face("upright leg", true)];
    let svg = write_svg(&p, Some(Length::mm(8.0))).unwrap();
    let lines = group(&svg, "cut");
    let ys = |l: &str| Bounds::of(ends(l).1).unwrap();
    let (upper, lower) = (ys(lines[0]), ys(lines[1]));
    assert!((lower.low.y - upper.high.y - FACE_GAP_MM).abs() < 1e-9, "{upper:?} {lower:?}");
    near(size(lines[0]), (108.0, 48.0), 1e-9);
    assert!(offset(&p.faces[0].outline, 4.0).is_ok());
}
