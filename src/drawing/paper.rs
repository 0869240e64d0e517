//! Paper sizes and the part of a sheet that every printer reaches.

use crate::geom::{Bounds, Point};

/// Left free on every side, mm: home printers do not reach the edge of the
/// sheet (common practice, no source).
pub const MARGIN_MM: f64 = 12.0;

/// What is in the printer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 210 by 297 mm (ISO 216).
    A4,
    /// 8.5 by 11 in (ANSI/ASME Y14.1, size A).
    Letter,
}

impl Paper {
    /// Width and height upright, mm.
    pub fn size_mm(self) -> (f64, f64) {
        match self {
            Paper::A4 => (210.0, 297.0),
            Paper::Letter => (215.9, 279.4),
        }
    }
}

/// A paper and which way it lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PaperSetup {
    /// What is in the printer.
    pub paper: Paper,
    /// Whether the long side is level.
    pub landscape: bool,
}

impl PaperSetup {
    /// Width and height as it lies, mm.
    pub fn size_mm(self) -> (f64, f64) {
        let (w, h) = self.paper.size_mm();
        if self.landscape { (h, w) } else { (w, h) }
    }

    /// The sheet without its margin, mm.
    pub fn printable(self) -> Bounds {
        let (w, h) = self.size_mm();
        Bounds { low: Point::new(MARGIN_MM, MARGIN_MM), high: Point::new(w - MARGIN_MM, h - MARGIN_MM) }
    }
}
