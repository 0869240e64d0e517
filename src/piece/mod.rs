//! One physical bit of steel in its three forms: strip, plate, section, with
//! its faces, bends and holes.
//!
//! ```text
//! plate and strip (laid flat), seen from the outside face:
//!
//!   y ^  +-------------------------+      x = 0 at the left end of the blank
//!     |  |  o        |  bend  |  o |      y = 0 at the lower edge
//!     |  +-------------------------+      an "up" bend comes towards the viewer
//!     +-----------------------------> x
//!
//! angle: heel along x at y = 0, z = 0; the flat leg runs to +y with its
//! outside face up (+z), the upright leg runs to -z with its outside face at
//! y = 0 looking to -y. Metal lies below z = 0 and above y = 0.
//! tubes: y from 0 to `width`, z from 0 (top face) down to -`height`.
//! round bar and tube: centre line at y = 0, z = 0.
//! channel: web on top (z = 0 down to -web), flanges hang down along its two edges.
//! ```

mod area;
mod build;
mod cope;
mod hole;
mod made;
mod profile_loops;
mod section;
mod scene;
mod strip;
mod volume;
mod walk;

pub use area::surface_mm2;
pub use build::{Request, build_part, profile_of};
pub use cope::{long_point, saddle};
pub use hole::{Hole, HoleShape};
pub use made::{holes, longer, thicker, with_hole};
pub use scene::{Bolt, Drill, Scene, drills, far_end, mirrored};
pub use section::{End, Face, FaceHole, Flats, Profile, Section};
pub use strip::{Bend, BendTurn, EndShape, Flat, Step, Strip, StripHole};
pub use volume::volume_mm3;
pub use walk::{Measured, WalkStep, build_steps};

use crate::geom::Loop;
use crate::space::Frame;
use crate::units::Length;

/// The opposite hands of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hand {
    /// As the template draws it when it is a left-hand part.
    Left,
    /// The true mirror image.
    Right,
}

/// What shape of stock a piece is cut from, and its nominal sizes.
#[derive(Clone, Debug, PartialEq)]
pub struct Stock {
    /// Trade name of the shape: `flat bar`, `plate`, `angle`, `square tube`,
    /// `rectangular tube`, `round tube`, `round bar`, `channel`.
    pub shape: String,
    /// Nominal sizes in the trade's order (legs and wall, width and thickness, ...).
    pub size: Vec<Length>,
    /// Canonical material name, as the handbook lists it.
    pub material: String,
}

/// A flat plate with an outline, holes and free cut-outs.
#[derive(Clone, Debug, PartialEq)]
pub struct Plate {
    /// Plate thickness.
    pub thickness: Length,
    /// Outline, counter-clockwise, lower left of its bounds at the origin, mm.
    pub outline: Loop,
    /// Holes, in the outline's coordinates.
    pub holes: Vec<Hole>,
}

/// How a piece comes about.
#[derive(Clone, Debug, PartialEq)]
pub enum Form {
    /// Flat bar, bent.
    Strip(Strip),
    /// Outline with holes.
    Plate(Plate),
    /// A length of angle, tube, channel or bar.
    Section(Section),
}

impl Form {
    /// The word for it in files: `strip`, `plate`, `section`.
    pub fn word(&self) -> &'static str {
        match self {
            Form::Strip(_) => "strip",
            Form::Plate(_) => "plate",
            Form::Section(_) => "section",
        }
    }
}

/// One physical bit of steel, made `copies` times.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// Name of the part in the job.
    pub part: String,
    /// Name of the piece in its template.
    pub name: String,
    /// How many are wanted in all (copies of the part times pieces per part).
    pub copies: u32,
    /// Opposite hand, where the part has one.
    pub hand: Option<Hand>,
    /// Geometry.
    pub form: Form,
    /// What it is cut from.
    pub stock: Stock,
    /// Where the bodies of one part's pieces stand in the part; empty where the
    /// template does not say.
    pub places: Vec<Frame>,
    /// Sentences for the maker of this piece (ream after welding, ...).
    pub notes: Vec<String>,
    /// Cautions of the part.
    pub cautions: Vec<String>,
}

impl Piece {
    /// Stable name `part/piece`.
    pub fn key(&self) -> String {
        format!("{}/{}", self.part, self.name)
    }
}
