//! Bytes from pages and pieces: one file a format.

pub mod glb;
mod kerf;
pub mod pdf;
pub mod picture;
pub mod svg;
pub mod stl;
