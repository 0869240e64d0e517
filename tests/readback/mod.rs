//! Reading a finished PDF back into strokes on a page, mm.

use droprack::geom::{Bounds, Point};
use lopdf::{Document, Object, content::Content};

pub const MM: f64 = 25.4 / 72.0;
pub type Matrix = [f64; 6];

/// A stroked or filled path on a page, mm.
#[derive(Clone, Debug, Default)]
pub struct Path {
    pub points: Vec<Point>,
    pub curves: usize,
    pub lines: usize,
    pub layer: String,
    pub filled: bool,
    pub clip: Option<Bounds>,
}

pub fn number(o: &Object) -> f64 {
    match o {
        Object::Integer(i) => *i as f64,
        Object::Real(r) => f64::from(*r),
        _ => panic!("{o:?} is no number"),
    }
}

fn product(a: Matrix, b: Matrix) -> Matrix {
    let m = |i: usize, j: usize| a[i] * b[j] + a[i + 1] * b[j + 2];
    [m(0, 0), m(0, 1), m(2, 0), m(2, 1), m(4, 0) + b[4], m(4, 1) + b[5]]
}

/// What a page paints, with the clip that holds at that moment.
pub fn paths(file: &Document, page: lopdf::ObjectId) -> Vec<Path> {
    let content = Content::decode(&file.get_page_content(page)).unwrap();
    let (mut matrix, mut clip, mut saved) = ([1.0, 0.0, 0.0, 1.0, 0.0, 0.0], None::<Bounds>, vec![]);
    let (mut now, mut out, mut layers, mut clipping) = (Path::default(), vec![], vec![], false);
    for op in content.operations {
        let n = |i: usize| number(&op.operands[i]);
        let at = |i: usize| {
            let (x, y) = (n(i), n(i + 1));
            let m: Matrix = matrix;
            Point::new((m[0] * x + m[2] * y + m[4]) * MM, (m[1] * x + m[3] * y + m[5]) * MM)
        };
        match op.operator.as_str() {
            "q" => saved.push((matrix, clip)),
            "Q" => (matrix, clip) = saved.pop().unwrap(),
            "cm" => matrix = product([n(0), n(1), n(2), n(3), n(4), n(5)], matrix),
            "BDC" => layers.push(String::from_utf8_lossy(op.operands[1].as_name().unwrap()).into_owned()),
            "EMC" => drop(layers.pop().unwrap()),
            "m" => now.points.push(at(0)),
            "l" => {
                now.points.push(at(0));
                now.lines += 1;
            }
            "c" => {
                now.points.push(at(4));
                now.curves += 1;
            }
            "W" | "W*" => clipping = true,
            "S" | "s" | "f" | "f*" | "n" => {
                if clipping {
                    clip = Bounds::of(now.points.clone());
                }
                clipping = false;
                now.layer = layers.last().cloned().unwrap_or_default();
                now.clip = clip;
                now.filled = op.operator.starts_with('f');
                let done = std::mem::take(&mut now);
                if op.operator != "n" {
                    out.push(done);
                }
            }
            _ => {}
        }
    }
    assert!(saved.is_empty() && layers.is_empty());
    out
}
