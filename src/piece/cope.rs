//! A coped end (fish-mouth): the end of a round tube cut to sit on another round tube.
//!
//! ```text
//!        main tube, radius R, its axis at the angle a to the branch
//!              \   \
//!               \   \______________
//!                |                      branch, radius r
//!               /   /---------------
//!              /   /
//! ```

/// Where the end lies at a point of the branch's cross-section, mm behind the
/// crossing of the two axes.
///
/// `across` runs in the plane of the two axes, `out` square to it, both from the
/// branch's own axis, mm. `None` where the branch is wider than the main tube.
///
/// # Formula
/// A point `(x, across, out)` lies on the main tube where its distance from the
/// main axis is `R`: with the axis in the direction `(cos a, sin a, 0)`,
/// `(across cos a - x sin a)^2 + out^2 = R^2`, and so
/// `x = (across cos a + sqrt(R^2 - out^2)) / sin a` on the near side.
/// # Source
/// Distance of a point from a line; the curve for a = 90 deg,
/// `sqrt(R^2 - r^2 cos^2 t)`, is the fish-mouth of every pipe-fitter's table.
/// # Holds for
/// Axes that cross; 0 < a < 180 deg; `|out| <= R`.
pub fn saddle(main_radius: f64, angle_rad: f64, across: f64, out: f64) -> Option<f64> {
    let inside = main_radius * main_radius - out * out;
    (inside >= -1e-9).then(|| (across * libm::cos(angle_rad) + libm::sqrt(inside.max(0.0))) / libm::sin(angle_rad))
}

/// The least of [`saddle`] round a branch of this radius: the long point, mm.
/// Found on a fine grid and then by halving; exact to 1e-9 mm.
pub fn long_point(main_radius: f64, angle_rad: f64, branch_radius: f64) -> Option<f64> {
    const STEPS: usize = 720;
    let at = |t: f64| saddle(main_radius, angle_rad, branch_radius * libm::sin(t), branch_radius * libm::cos(t));
    let turn = std::f64::consts::TAU / STEPS as f64;
    let mut best = (0.0, f64::INFINITY);
    for i in 0..STEPS {
        let t = i as f64 * turn;
        let x = at(t)?;
        if x < best.1 {
            best = (t, x);
        }
    }
    let mut step = turn;
    while step > 1e-9 {
        for t in [best.0 - step, best.0 + step] {
            let x = at(t)?;
            if x < best.1 {
                best = (t, x);
            }
        }
        step /= 2.0;
    }
    Some(best.1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{FRAC_PI_2, PI, TAU};

    #[test]
    fn a_square_joint_is_the_fitters_fish_mouth() {
        let (r, big) = (15.0, 24.0);
        assert!((long_point(big, FRAC_PI_2, r).unwrap() - libm::sqrt(big * big - r * r)).abs() < 1e-9);
        for i in 0..100 {
            let t = TAU * f64::from(i) / 100.0;
            let x = saddle(big, FRAC_PI_2, r * libm::sin(t), r * libm::cos(t)).unwrap();
            assert!((x - libm::sqrt(big * big - r * r * libm::cos(t) * libm::cos(t))).abs() < 1e-12);
        }
    }

    #[test]
    fn every_point_of_a_slanted_saddle_lies_on_the_main_tube() {
        let (r, big, a) = (12.0, 20.0, PI / 3.0);
        for i in 0..100 {
            let t = TAU * f64::from(i) / 100.0;
            let (across, out) = (r * libm::sin(t), r * libm::cos(t));
            let x = saddle(big, a, across, out).unwrap();
            // Distance from the axis by the cross product, not by the formula above.
            let (ux, uy) = (libm::cos(a), libm::sin(a));
            let cross = (out * uy, out * ux, x * uy - across * ux);
            let d = libm::sqrt(cross.0 * cross.0 + cross.1 * cross.1 + cross.2 * cross.2);
            assert!((d - big).abs() < 1e-9, "{d}");
            assert!(x >= long_point(big, a, r).unwrap() - 1e-9);
        }
        assert!(saddle(10.0, a, 0.0, 11.0).is_none());
    }
}
