//! Paper sizes, the part of a sheet that every printer reaches, and what the
//! printer makes of a millimetre.

use super::page::Page;
use crate::geom::{Bounds, Point};

/// Left free on every side, mm: home printers do not reach the edge of the
/// sheet (common practice, no source).
pub const MARGIN_MM: f64 = 12.0;

/// What is in the printer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Paper {
    /// 210 by 297 mm (ISO 216).
    A4,
    /// 297 by 420 mm (ISO 216).
    A3,
    /// 8.5 by 11 in (ANSI/ASME Y14.1, size A).
    Letter,
    /// A roll of this width, mm; each sheet is as long as its piece needs.
    Roll(f64),
}

/// Longest sheet off a roll, mm.
pub const LONGEST_ROLL_MM: f64 = 5_000.0;

impl Paper {
    /// Width and height upright, mm; of a roll, its width twice.
    pub fn size_mm(self) -> (f64, f64) {
        match self {
            Paper::A4 => (210.0, 297.0),
            Paper::A3 => (297.0, 420.0),
            Paper::Letter => (215.9, 279.4),
            Paper::Roll(width) => (width, width),
        }
    }
}

/// How much longer a page is drawn so that it comes out of the printer right,
/// on an upright page: factors, 1 for a true printer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PrinterCorrection {
    /// Across the paper.
    pub x: f64,
    /// Along the paper.
    pub y: f64,
}

impl Default for PrinterCorrection {
    fn default() -> Self {
        PrinterCorrection { x: 1.0, y: 1.0 }
    }
}

impl PrinterCorrection {
    /// From a bar that should be `bar_mm` long and was measured on paper.
    ///
    /// # Formula
    /// `factor = bar / measured`: a printer that shrinks is drawn for larger.
    /// # Source
    /// Definition of a scale.
    pub fn from_measured(bar_mm: f64, x_mm: f64, y_mm: f64) -> PrinterCorrection {
        PrinterCorrection { x: bar_mm / x_mm, y: bar_mm / y_mm }
    }

    /// Whether the printer is taken to be true.
    pub fn is_none(self) -> bool {
        self == PrinterCorrection::default()
    }
}

/// A paper, which way it lies, and the printer's correction. Everything is laid
/// out in millimetres on the steel; the page as a whole is corrected at the end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PaperSetup {
    /// What is in the printer.
    pub paper: Paper,
    /// Whether the long side is level.
    pub landscape: bool,
    /// Length of a sheet off a roll, mm.
    pub roll_mm: f64,
    /// The printer's correction on an upright page.
    pub correction: PrinterCorrection,
}

impl PaperSetup {
    /// A paper upright or level, on a true printer.
    pub fn new(paper: Paper, landscape: bool) -> PaperSetup {
        PaperSetup { paper, landscape, roll_mm: 0.0, correction: PrinterCorrection::default() }
    }

    /// Width and height as it lies, mm of paper.
    pub fn size_mm(self) -> (f64, f64) {
        if let Paper::Roll(width) = self.paper {
            return (self.roll_mm.max(width), width);
        }
        let (w, h) = self.paper.size_mm();
        if self.landscape { (h, w) } else { (w, h) }
    }

    /// Correction along x and y of the page as it lies: a level page goes
    /// through the printer on its side.
    pub fn factors(self) -> (f64, f64) {
        let c = self.correction;
        if self.landscape || matches!(self.paper, Paper::Roll(_)) { (c.y, c.x) } else { (c.x, c.y) }
    }

    /// The sheet without its margin, in the millimetres of the drawing.
    pub fn printable(self) -> Bounds {
        let ((w, h), (fx, fy)) = (self.size_mm(), self.factors());
        Bounds {
            low: Point::new(MARGIN_MM / fx, MARGIN_MM / fy),
            high: Point::new((w - MARGIN_MM) / fx, (h - MARGIN_MM) / fy),
        }
    }

    /// A page with these items.
    pub fn page(self, items: Vec<super::page::Item>) -> Page {
        let ((width, height), scale) = (self.size_mm(), self.factors());
        Page { width, height, scale, items }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_level_page_swaps_the_corrections_and_keeps_its_margin() {
        let correction = PrinterCorrection::from_measured(100.0, 99.0, 101.0);
        for landscape in [false, true] {
            let s = PaperSetup { correction, ..PaperSetup::new(Paper::A4, landscape) };
            let (fx, fy) = s.factors();
            assert_eq!(fx > 1.0, !landscape);
            let (b, (w, h)) = (s.printable(), s.size_mm());
            assert!((b.low.x * fx - MARGIN_MM).abs() < 1e-9 && (w - b.high.x * fx - MARGIN_MM).abs() < 1e-9);
            assert!((b.low.y * fy - MARGIN_MM).abs() < 1e-9 && (h - b.high.y * fy - MARGIN_MM).abs() < 1e-9);
        }
    }
}
