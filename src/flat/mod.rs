//! Flat patterns: a piece laid flat, with bend lines and every hole from one datum.
//!
//! ```text
//!   y ^
//!     |  +------+----+-----------+     datum: lower left corner of the blank
//!     |  |  A o |    |    o B    |     drawn with the outside face up:
//!     |  +------+----+-----------+     "up" bends come towards the viewer
//!     +----------------------------> x
//! ```

mod pattern;

pub use pattern::{BendLine, FaceView, FlatHole, FlatPattern};
