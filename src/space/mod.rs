//! Points, directions and frames in space, mm: every piece has a body frame,
//! every face its own axes, every part a place in the assembly.
//!
//! ```text
//!   body frame of a piece: x along its length (or the plate's long side),
//!   y across, z out of the outside face; right-handed
//! ```

use std::ops::{Add, Mul, Neg, Sub};

/// A point or a vector in space, mm.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Point3 {
    /// Along the piece, mm.
    pub x: f64,
    /// Across the piece, mm.
    pub y: f64,
    /// Out of the outside face, mm.
    pub z: f64,
}

impl Point3 {
    /// The point (x, y, z), mm.
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Point3 { x, y, z }
    }
    /// Scalar product.
    pub fn dot(self, o: Point3) -> f64 {
        self.x * o.x + self.y * o.y + self.z * o.z
    }
    /// Vector product.
    pub fn cross(self, o: Point3) -> Point3 {
        Point3::new(self.y * o.z - self.z * o.y, self.z * o.x - self.x * o.z, self.x * o.y - self.y * o.x)
    }
    /// The vector at unit length; nought stays nought.
    pub fn unit(self) -> Point3 {
        let l = self.length();
        if l > 0.0 { self * (1.0 / l) } else { self }
    }
    /// Some unit vector square to this one, the same for the same vector.
    pub fn any_square(self) -> Point3 {
        let (x, y, z) = (self.x.abs(), self.y.abs(), self.z.abs());
        let axis = if x <= y && x <= z {
            Point3::new(1.0, 0.0, 0.0)
        } else if y <= z {
            Point3::new(0.0, 1.0, 0.0)
        } else {
            Point3::new(0.0, 0.0, 1.0)
        };
        (axis - self * (axis.dot(self) / self.dot(self))).unit()
    }
    /// Length of the vector, mm.
    pub fn length(self) -> f64 {
        libm::sqrt(self.dot(self))
    }
}

impl Add for Point3 {
    type Output = Point3;
    fn add(self, o: Point3) -> Point3 {
        Point3::new(self.x + o.x, self.y + o.y, self.z + o.z)
    }
}
impl Sub for Point3 {
    type Output = Point3;
    fn sub(self, o: Point3) -> Point3 {
        Point3::new(self.x - o.x, self.y - o.y, self.z - o.z)
    }
}
impl Mul<f64> for Point3 {
    type Output = Point3;
    fn mul(self, by: f64) -> Point3 {
        Point3::new(self.x * by, self.y * by, self.z * by)
    }
}
impl Neg for Point3 {
    type Output = Point3;
    fn neg(self) -> Point3 {
        self * -1.0
    }
}

/// An upright box in space, mm.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Box3 {
    /// Lowest x, y and z.
    pub low: Point3,
    /// Highest x, y and z.
    pub high: Point3,
}

impl Box3 {
    /// The box round some points; `None` where there is none.
    pub fn of(points: impl IntoIterator<Item = Point3>) -> Option<Box3> {
        points.into_iter().map(|p| Box3 { low: p, high: p }).reduce(|a, b| a.union(&b))
    }
    /// The box round both.
    pub fn union(&self, o: &Box3) -> Box3 {
        let (a, b) = (self, o);
        Box3 {
            low: Point3::new(a.low.x.min(b.low.x), a.low.y.min(b.low.y), a.low.z.min(b.low.z)),
            high: Point3::new(a.high.x.max(b.high.x), a.high.y.max(b.high.y), a.high.z.max(b.high.z)),
        }
    }
    /// What lies in both; `None` where they share no space.
    pub fn common(&self, o: &Box3) -> Option<Box3> {
        let (a, b) = (self, o);
        let low = Point3::new(a.low.x.max(b.low.x), a.low.y.max(b.low.y), a.low.z.max(b.low.z));
        let high = Point3::new(a.high.x.min(b.high.x), a.high.y.min(b.high.y), a.high.z.min(b.high.z));
        (low.x < high.x && low.y < high.y && low.z < high.z).then_some(Box3 { low, high })
    }
    /// Along x, y and z, mm.
    pub fn size(&self) -> Point3 {
        self.high - self.low
    }
}

/// A right-handed frame: origin and two unit axes; the third is their product.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Origin, mm.
    pub origin: Point3,
    /// First axis, unit length.
    pub x: Point3,
    /// Second axis, unit length, square to the first.
    pub y: Point3,
}

impl Default for Frame {
    fn default() -> Self {
        Frame { origin: Point3::default(), x: Point3::new(1.0, 0.0, 0.0), y: Point3::new(0.0, 1.0, 0.0) }
    }
}

impl Frame {
    /// Third axis: out of the xy plane.
    pub fn z(&self) -> Point3 {
        self.x.cross(self.y)
    }
    /// Axes turned about x, then about y, then about z of the frame that this one is
    /// given in, radians, counter-clockwise when the axis looks at the viewer;
    /// origin at nought.
    pub fn turned(x: f64, y: f64, z: f64) -> Frame {
        // Quarter turns come out without noise.
        let (sin, cos) = (|a: f64| tidy(libm::sin(a)), |a: f64| tidy(libm::cos(a)));
        let turn = |p: Point3| {
            let p = Point3::new(p.x, p.y * cos(x) - p.z * sin(x), p.y * sin(x) + p.z * cos(x));
            let p = Point3::new(p.x * cos(y) + p.z * sin(y), p.y, p.z * cos(y) - p.x * sin(y));
            Point3::new(p.x * cos(z) - p.y * sin(z), p.x * sin(z) + p.y * cos(z), p.z)
        };
        let f = Frame::default();
        Frame { origin: f.origin, x: turn(f.x), y: turn(f.y) }
    }
    /// The same axes moved by `by`, mm.
    pub fn moved(&self, by: Point3) -> Frame {
        Frame { origin: self.origin + by, ..*self }
    }
    /// A direction given in this frame, in the frame that this one is given in.
    pub fn direct(&self, d: Point3) -> Point3 {
        self.x * d.x + self.y * d.y + self.z() * d.z
    }
    /// A frame given in this one, in the frame that this one is given in.
    pub fn of(&self, inner: &Frame) -> Frame {
        Frame { origin: self.place(inner.origin), x: self.direct(inner.x), y: self.direct(inner.y) }
    }
    /// A point of the outer frame in this one.
    pub fn back(&self, p: Point3) -> Point3 {
        let q = p - self.origin;
        Point3::new(q.dot(self.x), q.dot(self.y), q.dot(self.z()))
    }
    /// A point given in this frame, in the frame that this one is given in.
    pub fn place(&self, p: Point3) -> Point3 {
        self.origin + self.x * p.x + self.y * p.y + self.z() * p.z
    }
}

fn tidy(v: f64) -> f64 {
    if v.abs() < 1e-15 {
        0.0
    } else if (v.abs() - 1.0).abs() < 1e-15 {
        v.signum()
    } else {
        v
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turns_follow_the_right_hand_and_come_back() {
        let quarter = std::f64::consts::FRAC_PI_2;
        let p = Point3::new;
        assert_eq!(Frame::turned(0.0, 0.0, quarter).place(p(1.0, 0.0, 0.0)), p(0.0, 1.0, 0.0));
        assert_eq!(Frame::turned(quarter, 0.0, 0.0).place(p(0.0, 1.0, 0.0)), p(0.0, 0.0, 1.0));
        assert_eq!(Frame::turned(0.0, quarter, 0.0).place(p(0.0, 0.0, 1.0)), p(1.0, 0.0, 0.0));
        // x first, then z.
        assert_eq!(Frame::turned(quarter, 0.0, quarter).place(p(0.0, 1.0, 0.0)), p(0.0, 0.0, 1.0));
        let outer = Frame::turned(0.3, -0.7, 1.1).moved(p(5.0, 6.0, 7.0));
        let inner = Frame::turned(-1.3, 0.2, 0.4).moved(p(1.0, 2.0, 3.0));
        let q = p(11.0, -4.0, 2.5);
        assert!((outer.of(&inner).place(q) - outer.place(inner.place(q))).length() < 1e-12);
        assert!((outer.back(outer.place(q)) - q).length() < 1e-12);
        assert!((outer.of(&inner).z() - outer.direct(inner.z())).length() < 1e-12);
    }

    #[test]
    fn a_frame_is_right_handed() {
        let f = Frame::default();
        assert_eq!(f.z(), Point3::new(0.0, 0.0, 1.0));
        assert_eq!(f.place(Point3::new(1.0, 2.0, 3.0)), Point3::new(1.0, 2.0, 3.0));
    }
}
