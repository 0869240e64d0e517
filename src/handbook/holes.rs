//! Clearance holes, tap drills, edge and pitch distances.

use crate::units::Length;

/// Clearance holes for metric bolts, mm: thread, fine, medium, coarse.
/// Source: ISO 273:1979, as quoted in engineering tables.
const ISO_273: &[(u32, f64, f64, f64)] = &[
    (4, 4.3, 4.5, 4.8),
    (5, 5.3, 5.5, 5.8),
    (6, 6.4, 6.6, 7.0),
    (8, 8.4, 9.0, 10.0),
    (10, 10.5, 11.0, 12.0),
    (12, 13.0, 13.5, 14.5),
    (14, 15.0, 15.5, 16.5),
    (16, 17.0, 17.5, 18.5),
];

/// Clearance holes for inch bolts, in: size, close, normal, loose.
/// Source: ASME B18.2.8-1999 (R2017), as printed in Machinery's Handbook, 31st ed., p. 1741.
const B18_2_8: &[(f64, f64, f64, f64)] = &[
    (0.25, 0.266, 0.281, 0.297),
    (0.3125, 0.328, 0.344, 0.359),
    (0.375, 0.391, 0.406, 0.422),
    (0.4375, 0.453, 0.469, 0.484),
    (0.5, 0.531, 0.562, 0.609),
    (0.625, 0.656, 0.688, 0.734),
];

/// (fine, medium, coarse) clearance hole for an M thread.
///
/// # Source
/// ISO 273:1979.
pub fn clearance_metric(thread: u32) -> Option<(Length, Length, Length)> {
    ISO_273.iter().find(|r| r.0 == thread).map(|r| (Length::mm(r.1), Length::mm(r.2), Length::mm(r.3)))
}

/// (close, normal, loose) clearance hole for an inch bolt.
///
/// # Source
/// ASME B18.2.8-1999 (R2017).
pub fn clearance_inch(size: Length) -> Option<(Length, Length, Length)> {
    let row = B18_2_8.iter().find(|r| (r.0 - size.to_inches()).abs() < 1e-6)?;
    Some((Length::inches(row.1), Length::inches(row.2), Length::inches(row.3)))
}

/// Tap drill of a metric thread.
///
/// # Formula
/// `diameter - pitch`
/// # Source
/// Mechanical Engineer's Data Handbook, 8.2.4, p. 299 (M10: 8.5 mm).
pub fn tap_drill_metric(diameter: Length, pitch: Length) -> Length {
    diameter - pitch
}

/// Least end distance of a bolt hole.
///
/// # Formula
/// `1.2 d0`
/// # Source
/// EN 1993-1-8:2005, Table 3.3, e1. The table's bolts begin at M12.
pub fn least_end_distance(hole: Length) -> Length {
    hole * 1.2
}

/// Least pitch of bolt holes along the load.
///
/// # Formula
/// `2.2 d0`
/// # Source
/// EN 1993-1-8:2005, Table 3.3, p1.
pub fn least_pitch(hole: Length) -> Length {
    hole * 2.2
}

/// Least distance of bolt rows across the load.
///
/// # Formula
/// `2.4 d0`
/// # Source
/// EN 1993-1-8:2005, Table 3.3, p2.
pub fn least_gauge(hole: Length) -> Length {
    hole * 2.4
}
