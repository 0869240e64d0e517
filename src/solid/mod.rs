//! Closed bodies and meshes of pieces. The only room that sees `truck`.
//!
//! Bodies are built without boolean operations: faces swept along the piece,
//! holes punched through pairs of plane faces, bent metal as two skins and a
//! rim. Every mesh passes a gate (closed, oriented, the right volume) before
//! it leaves this room. Body frames are those of the `piece` room.

mod body;
mod bricks;
mod mesh;
mod plates;
mod sections;
mod strips;

pub use body::{Body, SolidFault, build_body};
pub use mesh::Mesh;
