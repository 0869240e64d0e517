//! Flat patterns: a piece laid flat, with bend lines and every hole from one datum.
//!
//! ```text
//!   y ^
//!     |  +------+----+-----------+     datum: lower left corner of the blank
//!     |  |  A o |    |    o B    |     drawn with the outside face up:
//!     |  +------+----+-----------+     "up" bends come towards the viewer
//!     +----------------------------> x
//! ```

mod fault;
mod hand;
mod holes;
mod letter;
mod pattern;
mod reuse;
mod section_faces;
mod unfold;
mod wrap;

pub use fault::FlatFault;
pub use hand::opposite_hand;
pub use letter::letter;
pub use pattern::{BendLine, FaceView, FlatHole, FlatPattern};
pub use reuse::{Made, MadeBend, MadeHole, Reuse, reuse};
pub use unfold::unfold;
pub use wrap::Wrap;
