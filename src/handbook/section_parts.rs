//! Rectangles, circles and corner spandrels, and their sum about a common centroid.

use std::f64::consts::PI;

use crate::handbook::section::Properties;

/// One simple area of a built-up one: signed area, centroid, own second moments.
#[derive(Clone, Copy)]
pub(super) struct Part {
    area: f64,
    x: f64,
    y: f64,
    own_x: f64,
    own_y: f64,
}

impl Part {
    /// A rectangle with its lower left corner at `(left, bottom)`.
    pub(super) fn rectangle(left: f64, bottom: f64, width: f64, height: f64) -> Self {
        Part {
            area: width * height,
            x: left + width / 2.0,
            y: bottom + height / 2.0,
            own_x: width * height * height * height / 12.0,
            own_y: height * width * width * width / 12.0,
        }
    }

    pub(super) fn circle(x: f64, y: f64, diameter: f64) -> Self {
        let own = PI * libm::pow(diameter, 4.0) / 64.0;
        Part { area: PI * diameter * diameter / 4.0, x, y, own_x: own, own_y: own }
    }

    /// What a fillet of radius `r` adds in the corner `(x, y)`, or a rounding
    /// takes away: the square less the quarter circle. `towards` are the signs
    /// of the directions from the corner to the arc's centre.
    ///
    /// # Source
    /// EN 10219-2, annex on section properties: area `(1 - pi/4) r2`, centroid
    /// `(10 - 3 pi)/(12 - 3 pi) r` from the sides, own second moment
    /// `(1/3 - pi/16 - 1/(3 (12 - 3 pi))) r4`.
    pub(super) fn spandrel(x: f64, y: f64, r: f64, towards: (f64, f64)) -> Self {
        let reach = (10.0 - 3.0 * PI) / (12.0 - 3.0 * PI) * r;
        let own = (1.0 / 3.0 - PI / 16.0 - 1.0 / (3.0 * (12.0 - 3.0 * PI))) * libm::pow(r, 4.0);
        Part {
            area: (1.0 - PI / 4.0) * r * r,
            x: x + towards.0 * reach,
            y: y + towards.1 * reach,
            own_x: own,
            own_y: own,
        }
    }

    pub(super) fn hole(self) -> Self {
        Part { area: -self.area, own_x: -self.own_x, own_y: -self.own_y, ..self }
    }
}

/// The parts of a rectangle with four rounded corners.
pub(super) fn rounded(left: f64, bottom: f64, width: f64, height: f64, r: f64) -> [Part; 5] {
    let (right, top) = (left + width, bottom + height);
    [
        Part::rectangle(left, bottom, width, height),
        Part::spandrel(left, bottom, r, (1.0, 1.0)).hole(),
        Part::spandrel(right, bottom, r, (-1.0, 1.0)).hole(),
        Part::spandrel(left, top, r, (1.0, -1.0)).hole(),
        Part::spandrel(right, top, r, (-1.0, -1.0)).hole(),
    ]
}

/// Sums the parts and moves the second moments to the common centroid.
pub(super) fn sum(parts: &[Part], width: f64, height: f64) -> Properties {
    let area: f64 = parts.iter().map(|p| p.area).sum();
    let cx = parts.iter().map(|p| p.area * p.x).sum::<f64>() / area;
    let cy = parts.iter().map(|p| p.area * p.y).sum::<f64>() / area;
    let ix: f64 = parts.iter().map(|p| p.own_x + p.area * (p.y - cy) * (p.y - cy)).sum();
    let iy: f64 = parts.iter().map(|p| p.own_y + p.area * (p.x - cx) * (p.x - cx)).sum();
    Properties {
        area_mm2: area,
        inertia_x_mm4: ix,
        inertia_y_mm4: iy,
        modulus_x_mm3: ix / cy.max(height - cy),
        modulus_y_mm3: iy / cx.max(width - cx),
        centroid_across_mm: cx,
        centroid_up_mm: cy,
    }
}
