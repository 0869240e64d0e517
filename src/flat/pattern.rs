//! The flat pattern as data, for paper, SVG, JSON and the cut plan.

use super::wrap::Wrap;
use crate::geom::{Loop, Point};
use crate::piece::{BendTurn, Face, Hand, HoleShape, Stock};
use crate::units::{Angle, Length, Mass};

/// A bend on the flat pattern; lines run across the strip at constant x.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BendLine {
    /// Middle of the bend zone at the lower edge, mm.
    pub from: Point,
    /// Middle of the bend zone at the upper edge, mm.
    pub to: Point,
    /// x of the left tangent line, mm.
    pub tangent_left: f64,
    /// x of the right tangent line, mm.
    pub tangent_right: f64,
    /// How far the metal turns.
    pub angle: Angle,
    /// Inside radius.
    pub inside_radius: Length,
    /// Up or down.
    pub turn: BendTurn,
    /// Fraction of the thickness where the neutral line was taken.
    pub k: f64,
}

/// A hole on the flat pattern.
#[derive(Clone, Debug, PartialEq)]
pub struct FlatHole {
    /// Letter on the paper: A, B, ... Z, AA, ... in order of face, x, y.
    pub letter: String,
    /// Name in the template.
    pub name: String,
    /// Word for the face it is drilled from (`outside` for strips and plates).
    pub face: String,
    /// Shape and size.
    pub shape: HoleShape,
    /// Centre from the datum of its face, mm.
    pub at: Point,
    /// Name of the flat it lies on, for strips.
    pub flat: Option<String>,
}

/// One face of a section as it is seen from outside.
#[derive(Clone, Debug, PartialEq)]
pub struct FaceView {
    /// Which face.
    pub face: Face,
    /// Word for it (`top`, `flat leg`, ...).
    pub word: String,
    /// Outline on the face: x from the left long point, y from the face's edge, mm.
    pub outline: Loop,
    /// Whether y runs down when the face is looked at from outside with x to the
    /// right (the upright leg of an angle, the back of a tube): paper draws it mirrored.
    pub y_down: bool,
}

/// A piece laid flat.
#[derive(Clone, Debug, PartialEq)]
pub struct FlatPattern {
    /// Name of the part.
    pub part: String,
    /// Name of the piece.
    pub piece: String,
    /// How many are made.
    pub copies: u32,
    /// Opposite hand, where the part has one.
    pub hand: Option<Hand>,
    /// `strip`, `plate` or `section`.
    pub form: &'static str,
    /// What it is cut from.
    pub stock: Stock,
    /// Along x: developed length, plate length, or long point to long point.
    pub length: Length,
    /// Along y.
    pub width: Length,
    /// Thickness (wall for tubes and angles).
    pub thickness: Length,
    /// Cut line, counter-clockwise, from the datum. For a section: its first face.
    pub outline: Loop,
    /// Openings other than holes, counter-clockwise.
    pub cut_outs: Vec<Loop>,
    /// Bends, left to right.
    pub bend_lines: Vec<BendLine>,
    /// Round holes, slots and ellipses, lettered.
    pub holes: Vec<FlatHole>,
    /// Faces of a section that are drawn: the one the ends are cut across, and
    /// each one that has a hole. Empty for strips and plates.
    pub faces: Vec<FaceView>,
    /// How paper goes round a section.
    pub wrap: Wrap,
    /// Straight cuts on a thing that is there already: from, to, name.
    pub cut_lines: Vec<(Point, Point, String)>,
    /// End angles of a section in degrees, left and right; 90 is square.
    pub ends_deg: Option<(f64, f64)>,
    /// Exact mass of one.
    pub mass: Mass,
    /// Exact volume of one, mm3.
    pub volume_mm3: f64,
    /// First 12 hexadecimal digits of the SHA-256 of everything that decides
    /// shape and material.
    pub hash: String,
    /// Sentences for the maker.
    pub notes: Vec<String>,
    /// Cautions of the part.
    pub cautions: Vec<String>,
}

impl FlatPattern {
    /// Stable name `part/piece`.
    pub fn key(&self) -> String {
        format!("{}/{}", self.part, self.piece)
    }
}
