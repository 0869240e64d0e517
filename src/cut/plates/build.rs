//! Rectangles built of blanks, and the through cuts that take them apart.

use crate::cut::plates::pack::{Free, Packed, Placed, Split};

/// How a rectangle of a search came about.
#[derive(Clone, Copy, Debug)]
pub(super) enum Join {
    /// One blank.
    Blank { kind: usize, turned: bool },
    /// Two rectangles of the search: beside each other (axis 0) or one above
    /// the other (axis 1).
    Pair { parts: (u32, u32), axis: usize },
}

/// A rectangle built of blanks; sizes with the kerf added.
#[derive(Clone, Debug)]
pub(super) enum Build {
    Blank { kind: usize, turned: bool, size: (i64, i64) },
    Pair { axis: usize, parts: Box<(Build, Build)>, size: (i64, i64) },
}

impl Build {
    /// Two rectangles put together along an axis.
    pub fn pair(axis: usize, a: Build, b: Build) -> Build {
        let ((l, w), (m, v)) = (a.size(), b.size());
        let size = if axis == 0 { (l + m, w.max(v)) } else { (l.max(m), w + v) };
        Build::Pair { axis, parts: Box::new((a, b)), size }
    }

    /// Extent along x and y.
    pub fn size(&self) -> (i64, i64) {
        match self {
            Build::Blank { size, .. } | Build::Pair { size, .. } => *size,
        }
    }

    /// Cuts the blanks out of a region that is large enough. `item` says which
    /// blank stands for a kind.
    pub fn lay(&self, region: Free, kerf: i64, item: &mut dyn FnMut(usize) -> usize, packed: &mut Packed) {
        match self {
            Build::Blank { kind, turned, size } => {
                let place = Free { length: size.0, width: size.1, ..region };
                packed.placed.push(Placed { item: item(*kind), place, turned: *turned });
                packed.divide(region, place, Split::Largest, kerf);
            }
            Build::Pair { axis, parts, .. } => {
                let at = if *axis == 0 { parts.0.size().0 } else { parts.0.size().1 };
                let (near, far) = packed.part(region, *axis, at, kerf);
                parts.0.lay(near, kerf, item, packed);
                parts.1.lay(far, kerf, item, packed);
            }
        }
    }
}
