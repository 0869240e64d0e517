//! Mechanics of brackets: ears, short beams, plates, rings of weld, walls of
//! tube. Plain formulas over quantities; what they are held against stands in
//! the checks.

use std::f64::consts::PI;

use crate::handbook::Citation;
use crate::handbook::sources::{Ledger, STATICS};
use crate::units::{Force, Length, Moment, Stress};

/// Where the two plastic hinges of an ear are from.
pub const EAR: Citation = Citation::quoted("EN 1993-1-8", "6.2.4, Table 6.2, T-stub, first mode");
/// Where the strength of a tube's face under a welded member is from.
pub const CHORD_FACE: Citation = Citation::memory("EN 1993-1-8", "Table 7.11, failure of the chord face, T joint");
/// Where the yield condition is from.
pub const VON_MISES: Citation = Citation::memory("EN 1993-1-1", "6.2.1(5), equivalent stress");
/// Where the stress in two runs of weld is from.
pub const WELD_LINE: Citation =
    Citation::read("Shigley's Mechanical Engineering Design, 9th ed.", "Table 9-2, p. 488, rows 2 and 3");
/// Where the torsion constant of a rectangular bar is from.
pub const TWIST: Citation =
    Citation::read("Civil Engineering Formulas", "Table 2.7, torsion of a rectangle, its first two terms");
/// Young's modulus of steel.
pub const STEEL_MODULUS: (Stress, Citation) =
    (Stress::mpa(210_000.0), Citation::quoted("EN 1993-1-1", "3.2.6, 210 000 N/mm2"));
/// Shear modulus of steel.
pub const STEEL_SHEAR_MODULUS: (Stress, Citation) =
    (Stress::mpa(81_000.0), Citation::quoted("EN 1993-1-1", "3.2.6, E / (2 (1 + 0.3)), about 81 000 N/mm2"));

/// Moment at which a flat strip yields through its whole thickness.
///
/// # Formula
/// `M = b t^2 fy / 4`
/// # Source
/// [`EAR`].
/// # Holds for
/// Ductile metal bent about its weak axis.
pub fn plastic_moment(width: Length, thickness: Length, yields: Stress) -> Moment {
    let t = thickness.to_mm();
    Moment::newton_mm(width.max(Length::ZERO).to_mm() * t * t * yields.to_mpa() / 4.0)
}

/// Pull at which an ear folds: hinges at the bend and at the bolt, the second
/// one weakened by its hole.
///
/// # Formula
/// `F = (M(b) + M(b - d0)) / m`
/// # Source
/// [`EAR`]; the hole is taken off at the bolt, which the code does not ask for.
/// # Holds for
/// An ear that its bolt holds flat; `lever` from the bolt's middle to the face of the leg less 0.8 of the bend's radius.
pub fn ear_resistance(width: Length, hole: Length, thickness: Length, lever: Length, yields: Stress) -> Force {
    let both = plastic_moment(width, thickness, yields) + plastic_moment(width - hole, thickness, yields);
    Force::newtons(both.to_newton_mm() / lever.to_mm())
}

/// What prying adds to the bolt's tension when the ear's tip bears on what it
/// is bolted to.
///
/// # Formula
/// `Q = F m / (2 n)`, `n = min(e, 1.25 m)`
/// # Source
/// [`EAR`]: equilibrium of the ear with half of `F m` at the bolt.
/// # Holds for
/// `edge` from the bolt to the free end of the ear, over zero.
pub fn prying(pull: Force, lever: Length, edge: Length) -> Force {
    let n = edge.min(lever * 1.25);
    pull * (lever / (n * 2.0))
}

/// Greatest moment in a beam on two supports under equal loads in a row.
///
/// # Formula
/// Each load `F` at `a` of a span `L` gives `F a (L - x)/L` beyond and `F (L - a) x / L` before it; summed under every load.
/// # Source
/// Statics of a simply supported beam.
/// # Holds for
/// Loads inside the span; welded ends hold more, which is left as a reserve.
pub fn row_on_beam(force: Force, span: Length, first: Length, pitch: Length, count: u32) -> Moment {
    let places: Vec<Length> = (0..count).map(|i| first + pitch * f64::from(i)).collect();
    let at = |x: Length| -> f64 {
        places
            .iter()
            .map(|a| {
                let (near, far) = (x.min(*a), span - x.max(*a));
                force.to_newtons() * near.to_mm() * far.to_mm() / span.to_mm()
            })
            .sum()
    };
    Moment::newton_mm(places.iter().map(|x| at(*x)).fold(0.0, f64::max))
}

/// Greater of the two reactions of that beam.
///
/// # Formula
/// `R = sum F max(a, L - a) / L`, each end summed by itself.
/// # Source
/// Statics of a simply supported beam.
/// # Holds for
/// As [`row_on_beam`].
pub fn row_reaction(force: Force, span: Length, first: Length, pitch: Length, count: u32) -> Force {
    let (mut left, mut right) = (0.0, 0.0);
    for i in 0..count {
        let a = (first + pitch * f64::from(i)) / span;
        right += a;
        left += 1.0 - a;
    }
    force * f64::max(left, right)
}

/// Stress in two parallel runs of fillet weld from a force along and a moment.
///
/// # Formula
/// Runs as lines: `A = 2 a l`, about the middle across the runs `W = a l b`, along them `W = a l^2 / 3`;
/// `tau = sqrt((V/A)^2 + (N/A + M/W)^2)`, with the smaller `W`.
/// # Source
/// [`WELD_LINE`].
/// # Holds for
/// Two equal runs with an effective length over zero.
pub fn two_runs(across: Force, pull: Force, bends: Moment, run: Length, throat: Length, apart: Length) -> Stress {
    let (a, l) = (throat.to_mm(), run.to_mm());
    let area = 2.0 * a * l;
    let modulus = (a * l * apart.to_mm()).min(a * l * l / 3.0);
    let shear = across.to_newtons() / area;
    let normal = pull.to_newtons().abs() / area + bends.to_newton_mm().abs() / modulus;
    Stress::mpa(libm::hypot(shear, normal))
}

/// Torsion stress in a ring of weld round a tube.
///
/// # Formula
/// `tau = T / (2 pi r^2 a)`
/// # Source
/// Statics of a thin ring.
/// # Holds for
/// A full ring whose throat is thin against the radius.
pub fn ring_torsion(torque: Moment, diameter: Length, throat: Length) -> Stress {
    let r = diameter.to_mm() / 2.0;
    Stress::mpa(torque.to_newton_mm() / (2.0 * PI * r * r * throat.to_mm()))
}

/// Bending stress in a ring of weld round a tube.
///
/// # Formula
/// `sigma = M / (pi r^2 a)`
/// # Source
/// Statics of a thin ring.
/// # Holds for
/// As [`ring_torsion`].
pub fn ring_bending(moment: Moment, diameter: Length, throat: Length) -> Stress {
    ring_torsion(moment, diameter, throat) * 2.0
}

/// Stress that yields like a bending and a shear stress together.
///
/// # Formula
/// `sqrt(sigma^2 + 3 tau^2)`
/// # Source
/// [`VON_MISES`].
/// # Holds for
/// Ductile metal.
pub fn equivalent(bending: Stress, shear: Stress) -> Stress {
    let (s, t) = (bending.to_mpa(), shear.to_mpa());
    Stress::mpa((s * s + 3.0 * t * t).sqrt())
}

/// Pull that a tube's face carries from a member welded across it.
///
/// # Formula
/// `N = fy t^2 / (1 - b) (2 b + 4 sqrt(1 - b))`, `b` the member's width over the tube's; stress in the tube is taken as low.
/// # Source
/// [`CHORD_FACE`].
/// # Holds for
/// Square or rectangular tube, member square to it, `b` up to 0.85; `None` above.
pub fn chord_face(member: Length, tube: Length, wall: Length, yields: Stress) -> Option<Force> {
    let b = member / tube;
    let t = wall.to_mm();
    (b > 0.0 && b <= 0.85)
        .then(|| Force::newtons(yields.to_mpa() * t * t / (1.0 - b) * (2.0 * b + 4.0 * (1.0 - b).sqrt())))
}

/// Force under a washer at which the wall of a tube folds in, without a sleeve.
///
/// # Formula
/// `F = 8 M / L`, `M` the plastic moment of a strip as wide as the washer, `L` the clear width between the side walls.
/// # Source
/// Plastic theory of a beam held at both ends with its load in the middle.
/// # Holds for
/// A washer narrower than the clear width.
pub fn wall_fold(washer: Length, side: Length, wall: Length, yields: Stress) -> Force {
    let clear = side - wall * 2.0;
    Force::newtons(8.0 * plastic_moment(washer, wall, yields).to_newton_mm() / clear.to_mm())
}

/// Shear on the worst bolt of a straight row from a force beside it.
///
/// # Formula
/// `sqrt((F/n)^2 + (F e c / sum x^2)^2)`, force across the row at `e` from it; bolts `pitch` apart.
/// # Source
/// Bolt group turning about its middle: statics.
/// # Holds for
/// Two bolts or more; one bolt takes the force alone and nothing turns.
pub fn row_of_bolts(force: Force, lever: Length, pitch: Length, count: u32) -> Force {
    let n = f64::from(count);
    if count < 2 {
        return force;
    }
    let half = (n - 1.0) / 2.0;
    let squares: f64 = (0..count).map(|i| (f64::from(i) - half) * (f64::from(i) - half)).sum();
    let turning = force.to_newtons() * lever.to_mm() * half / (pitch.to_mm() * squares);
    Force::newtons(libm::hypot(force.to_newtons() / n, turning))
}

/// Greatest pressure in a bush from a force and a couple that tilts it.
///
/// # Formula
/// `p = F/(d l) + 6 M/(d l^2)`
/// # Source
/// Pressure in a straight line along the bush: elementary.
/// # Holds for
/// A bush without play.
pub fn bush_pressure(force: Force, couple: Moment, bore: Length, length: Length) -> Stress {
    let (d, l) = (bore.to_mm(), length.to_mm());
    Stress::mpa(force.to_newtons() / (d * l) + 6.0 * couple.to_newton_mm() / (d * l * l))
}

/// How far the end of a cantilever gives.
///
/// # Formula
/// `F l^3 / (3 E I)`, `I = b h^3 / 12`, h along the load.
/// # Source
/// Elementary bending theory.
/// # Holds for
/// Stress below yield, shear neglected.
pub fn cantilever_give(force: Force, reach: Length, across: Length, along_load: Length) -> Length {
    let h = along_load.to_mm();
    let inertia = across.to_mm() * h * h * h / 12.0;
    let l = reach.to_mm();
    Length::mm(force.to_newtons() * l * l * l / (3.0 * STEEL_MODULUS.0.to_mpa() * inertia))
}

/// How far a bar of rectangular section lets a lever at its end swing when it twists.
///
/// # Formula
/// `T l e / (G J)`, `J = b t^3/3 (1 - 0.63 t/b)`, b the longer side.
/// # Source
/// [`TWIST`].
/// # Holds for
/// Small angles; for a square bar J is 12 % low, on the safe side.
pub fn twist_give(torque: Moment, reach: Length, lever: Length, side: Length, other: Length) -> Length {
    let (b, t) = (side.max(other).to_mm(), side.min(other).to_mm());
    let constant = b * t * t * t / 3.0 * (1.0 - 0.63 * t / b);
    let turned = torque.to_newton_mm() * reach.to_mm() / (STEEL_SHEAR_MODULUS.0.to_mpa() * constant);
    lever * turned
}

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    to.row("Young's modulus of steel", STEEL_MODULUS.1);
    to.row("shear modulus of steel", STEEL_SHEAR_MODULUS.1);
    to.formulas(&["plastic_moment", "ear_resistance", "prying"], EAR);
    to.formulas(&["row_on_beam", "row_reaction", "ring_torsion", "ring_bending"], STATICS);
    to.formulas(&["wall_fold", "row_of_bolts", "bush_pressure", "cantilever_give"], STATICS);
    to.formulas(&["two_runs"], WELD_LINE);
    to.formulas(&["equivalent"], VON_MISES);
    to.formulas(&["chord_face"], CHORD_FACE);
    to.formulas(&["twist_give"], TWIST);
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn mm(v: f64) -> Length {
        Length::mm(v)
    }

    #[test]
    fn one_load_in_the_middle_is_a_quarter_of_force_times_span() {
        let m = row_on_beam(Force::newtons(100.0), mm(400.0), mm(200.0), mm(0.0), 1);
        assert!((m.to_newton_mm() - 10_000.0).abs() < 1e-9);
        assert!(
            (row_reaction(Force::newtons(100.0), mm(400.0), mm(100.0), mm(0.0), 1).to_newtons() - 75.0).abs() < 1e-9
        );
    }

    #[test]
    fn two_loads_at_the_thirds_give_a_third() {
        let m = row_on_beam(Force::newtons(100.0), mm(300.0), mm(100.0), mm(100.0), 2);
        assert!((m.to_newton_mm() - 10_000.0).abs() < 1e-9);
    }

    #[test]
    fn an_ear_without_a_hole_has_two_equal_hinges() {
        let f = ear_resistance(mm(40.0), mm(0.0), mm(3.0), mm(30.0), Stress::mpa(235.0));
        assert!((f.to_newtons() - 2.0 * 40.0 * 9.0 * 235.0 / 4.0 / 30.0).abs() < 1e-9);
    }

    #[test]
    fn a_short_tip_pries_more() {
        let q = |e: f64| prying(Force::newtons(1000.0), mm(30.0), mm(e)).to_newtons();
        assert!((q(15.0) - 1000.0).abs() < 1e-9 && q(10.0) > q(15.0));
        assert!((q(100.0) - 400.0).abs() < 1e-9, "n is capped at 1.25 m");
    }

    #[test]
    fn four_bolts_share_and_turn() {
        // e = 50, pitch 20, x = -30, -10, 10, 30: sum x^2 = 2000.
        let worst = row_of_bolts(Force::newtons(1000.0), mm(50.0), mm(20.0), 4);
        assert!((worst.to_newtons() - 250.0_f64.hypot(1000.0 * 50.0 * 30.0 / 2000.0)).abs() < 1e-9);
        assert_eq!(row_of_bolts(Force::newtons(7.0), mm(50.0), mm(20.0), 1), Force::newtons(7.0));
    }

    #[test]
    fn a_wider_member_on_a_tube_carries_more_up_to_its_limit() {
        let n = |w: f64| chord_face(mm(w), mm(40.0), mm(2.0), Stress::mpa(235.0)).map(Force::to_newtons);
        assert!(n(20.0) < n(30.0) && n(38.0).is_none());
    }

    #[test]
    fn ring_torsion_is_half_of_ring_bending() {
        let (d, a) = (mm(25.0), mm(4.0));
        let m = Moment::newton_metres(80.0);
        assert!((ring_bending(m, d, a) / ring_torsion(m, d, a) - 2.0).abs() < 1e-12);
    }
}
