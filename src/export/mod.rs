//! Bytes from pages and pieces: one file a format.

pub mod pdf;
pub mod svg;
pub mod stl;
