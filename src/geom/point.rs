//! Points and boxes in the plane, mm.

use std::ops::{Add, Mul, Neg, Sub};

/// A point or a vector in the plane, mm.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Point {
    /// To the right, mm.
    pub x: f64,
    /// Up, mm.
    pub y: f64,
}

impl Point {
    /// The point (x, y), mm.
    pub const fn new(x: f64, y: f64) -> Self {
        Point { x, y }
    }
    /// The unit vector at `angle_rad` counter-clockwise from x.
    pub fn at_angle(angle_rad: f64) -> Self {
        Point::new(libm::cos(angle_rad), libm::sin(angle_rad))
    }
    /// Distance to another point, mm.
    pub fn distance(self, other: Point) -> f64 {
        libm::hypot(self.x - other.x, self.y - other.y)
    }
    /// Length of the vector, mm.
    pub fn length(self) -> f64 {
        libm::hypot(self.x, self.y)
    }
    /// Scalar product.
    pub fn dot(self, other: Point) -> f64 {
        self.x * other.x + self.y * other.y
    }
    /// z of the vector product: positive when `other` lies counter-clockwise.
    pub fn cross(self, other: Point) -> f64 {
        self.x * other.y - self.y * other.x
    }
    /// Direction counter-clockwise from x, radians in (-pi, pi].
    pub fn angle(self) -> f64 {
        libm::atan2(self.y, self.x)
    }
    /// Same direction, length 1. The zero vector stays zero.
    pub fn unit(self) -> Point {
        let l = self.length();
        if l == 0.0 { self } else { self * (1.0 / l) }
    }
    /// Turned by `angle_rad` counter-clockwise about the origin.
    pub fn turned(self, angle_rad: f64) -> Point {
        let (s, c) = (libm::sin(angle_rad), libm::cos(angle_rad));
        Point::new(c * self.x - s * self.y, s * self.x + c * self.y)
    }
    /// Whether both numbers are finite.
    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

impl Add for Point {
    type Output = Point;
    fn add(self, o: Point) -> Point {
        Point::new(self.x + o.x, self.y + o.y)
    }
}
impl Sub for Point {
    type Output = Point;
    fn sub(self, o: Point) -> Point {
        Point::new(self.x - o.x, self.y - o.y)
    }
}
impl Mul<f64> for Point {
    type Output = Point;
    fn mul(self, by: f64) -> Point {
        Point::new(self.x * by, self.y * by)
    }
}
impl Neg for Point {
    type Output = Point;
    fn neg(self) -> Point {
        Point::new(-self.x, -self.y)
    }
}

/// An upright box, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Lower left corner.
    pub low: Point,
    /// Upper right corner.
    pub high: Point,
}

impl Bounds {
    /// The smallest box round the points; `None` when there are none.
    pub fn of(points: impl IntoIterator<Item = Point>) -> Option<Bounds> {
        points.into_iter().fold(None, |b: Option<Bounds>, p| {
            Some(match b {
                None => Bounds { low: p, high: p },
                Some(b) => Bounds {
                    low: Point::new(b.low.x.min(p.x), b.low.y.min(p.y)),
                    high: Point::new(b.high.x.max(p.x), b.high.y.max(p.y)),
                },
            })
        })
    }
    /// Size in x, mm.
    pub fn width(&self) -> f64 {
        self.high.x - self.low.x
    }
    /// Size in y, mm.
    pub fn height(&self) -> f64 {
        self.high.y - self.low.y
    }
    /// The smallest box round both.
    pub fn union(&self, o: &Bounds) -> Bounds {
        Bounds {
            low: Point::new(self.low.x.min(o.low.x), self.low.y.min(o.low.y)),
            high: Point::new(self.high.x.max(o.high.x), self.high.y.max(o.high.y)),
        }
    }
}
