//! Bending: how much metal a bend uses up, by which rule, and what must keep
//! clear of it.
//!
//! Angles here are the angle the metal turns through unless the name says
//! "opening" (the angle left between the legs). Radii are INSIDE radii. K is
//! the neutral line's depth as a share of the thickness, from the inside;
//! DIN 6935 writes its own k for a share of HALF the thickness, so K = k/2.

use std::f64::consts::{FRAC_PI_2, PI};

use crate::handbook::Citation;
use crate::handbook::material::{BendClass, Material};
use crate::handbook::sources::{DEFINITION, Ledger, PLANE};
use crate::units::{Angle, Length};

/// Which rule gives K.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum KMethod {
    /// DIN 6935: K grows with radius over thickness; the default.
    Din6935,
    /// Machinery's Handbook: one constant per metal.
    MachinerysHandbook,
    /// The user's own K, from a test bend (see [`k_from_test_bend`]).
    Own(f64),
}

/// The three rows of Machinery's Handbook's bend formulas.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MhbMetal {
    /// Equation 32: soft brass and soft copper.
    SoftBrass,
    /// Equation 33: half-hard copper and brass, soft steel, aluminium.
    SoftSteel,
    /// Equation 34: bronze, hard copper, cold-rolled and spring steel.
    HardMetal,
}

const MHB: Citation =
    Citation::read("Machinery's Handbook, 31st ed.", "p. 1421, Allowances for Bending Sheet Metal, eq. 32 to 34");
const DIN: Citation = Citation::quoted("DIN 6935", "compensation values for bends, k = 0.65 + 0.5 log10(r/s)");
const DIN_NOT_STEEL: Citation =
    DIN.noting("as quoted in a secondary source; written for steel, used here for aluminium too: make a test bend");
const OWN: Citation = Citation::read("K from a test bend", "measured in this workshop");
/// Where [`tool_radius`] is from.
pub const TOOL: Citation = Citation::memory("Tabellenbuch Metall", "radius of the tool");
/// Where the distances of holes and flanges from bends are from.
pub const CLEARANCES: Citation =
    Citation::practice("fabrication guidelines: hole 2.5 t + r, slot 4 t + r, flange 2 t + r");

/// Length of the neutral line round a bend.
///
/// # Formula
/// `BA = A (r + K t)`, A in radians
/// # Source
/// Definition of the K-factor; the same formula in every bending text.
/// # Holds for
/// One bend of one radius.
pub fn allowance(turned: Angle, inside_radius: Length, thickness: Length, k: f64) -> Length {
    (inside_radius + thickness * k) * turned.to_radians()
}

/// From the bend's tangent point to the corner of the outer mould lines.
///
/// # Formula
/// `S = tan(A/2) (r + t)`
/// # Source
/// Geometry; FAA-H-8083-31, vol. 1 ch. 4 prints it for 90 degrees as `K (R + T)`, K = 1.
/// # Holds for
/// Turns under 180 degrees, towards which it grows without bound.
pub fn outside_setback(turned: Angle, inside_radius: Length, thickness: Length) -> Length {
    (inside_radius + thickness) * (turned / 2.0).tan()
}

/// What to take off the sum of two outer-mould-line legs.
///
/// # Formula
/// `BD = 2 S - BA`
/// # Source
/// Geometry: [`outside_setback`] and [`allowance`].
/// # Holds for
/// As [`outside_setback`].
pub fn deduction(turned: Angle, inside_radius: Length, thickness: Length, k: f64) -> Length {
    outside_setback(turned, inside_radius, thickness) * 2.0 - allowance(turned, inside_radius, thickness, k)
}

/// Length of stock in one bend exactly as Machinery's Handbook prints it, with its rounded 1.57.
///
/// # Formula
/// `L = (c T + 1.57 R) A / 90`, A in degrees turned
/// # Source
/// Machinery's Handbook, 31st ed., p. 1421, eq. 32 to 34.
/// # Holds for
/// Parts bent with simple tools or on the bench, in the three groups of metals.
pub fn mhb_length(metal: MhbMetal, inside_radius: Length, thickness: Length, turned: Angle) -> Length {
    (thickness * mhb_constant(metal) + inside_radius * 1.57) * (turned.to_degrees() / 90.0)
}

/// K that Machinery's Handbook's constant amounts to.
///
/// # Formula
/// `K = c / (pi/2)`
/// # Source
/// Machinery's Handbook, 31st ed., p. 1421; the division is ours.
/// # Holds for
/// As [`mhb_length`].
pub fn mhb_k(metal: MhbMetal) -> f64 {
    mhb_constant(metal) / FRAC_PI_2
}

fn mhb_constant(metal: MhbMetal) -> f64 {
    match metal {
        MhbMetal::SoftBrass => 0.55,
        MhbMetal::SoftSteel => 0.64,
        MhbMetal::HardMetal => 0.71,
    }
}

/// Ratio r/s above which DIN 6935 takes the neutral line at mid thickness.
const DIN_CAP_RATIO: f64 = 5.0;

/// DIN 6935's k, a share of HALF the thickness, never below 0 (the formula
/// would go negative under r/s = 0.05, where no bend survives).
///
/// # Formula
/// `k = 0.65 + 0.5 log10(r/s)`, 1 for r/s above 5
/// # Source
/// DIN 6935, as quoted in a secondary source.
/// # Holds for
/// Flat products of steel, bent cold.
pub fn din_k(inside_radius: Length, thickness: Length) -> f64 {
    let ratio = inside_radius / thickness;
    if ratio > DIN_CAP_RATIO {
        1.0
    } else if ratio > 0.0 {
        (0.65 + 0.5 * libm::log10(ratio)).clamp(0.0, 1.0)
    } else {
        0.0
    }
}

/// Opening above which DIN 6935 neglects the compensation.
const DIN_FLAT_OPENING_DEGREES: f64 = 165.0;

/// DIN 6935's compensation value v: flat length is the sum of the legs less
/// one v per bend. For openings up to 90 degrees the legs run to the outer
/// tangent of the bend, above that to the corner of the outer faces.
///
/// # Formula
/// `v = 2 (r + s) - T (r + k s/2)` up to 90 degrees of opening, `2 (r + s) tan(T/2) - T (r + k s/2)` to 165,
/// 0 above; T the angle turned, in radians
/// # Source
/// DIN 6935, as quoted in a secondary source: three ranges 0..90, 90..165, 165..180.
/// # Holds for
/// `k_din` DIN's own k ([`din_k`]); `opening` between the legs, 0 to 180 degrees.
pub fn din_compensation(opening: Angle, inside_radius: Length, thickness: Length, k_din: f64) -> Length {
    let degrees = opening.to_degrees();
    if degrees > DIN_FLAT_OPENING_DEGREES {
        return Length::ZERO;
    }
    let turned = Angle::radians(PI) - opening;
    let neutral = (inside_radius + thickness * (k_din / 2.0)) * turned.to_radians();
    let outside = (inside_radius + thickness) * 2.0;
    if degrees <= 90.0 { outside - neutral } else { outside * (turned / 2.0).tan() - neutral }
}

/// K for a metal, radius and thickness by the chosen rule, and where it is from.
pub fn k_for(material: &Material, method: KMethod, inside_radius: Length, thickness: Length) -> (f64, Citation) {
    match method {
        KMethod::Din6935 => {
            let source = if material.is_steel() { DIN } else { DIN_NOT_STEEL };
            (din_k(inside_radius, thickness) / 2.0, source)
        }
        KMethod::MachinerysHandbook => (mhb_k(mhb_metal(material.bend_class)), MHB),
        KMethod::Own(k) => (k, OWN),
    }
}

/// The handbook's row for a metal: soft steel and aluminium share equation 33;
/// stainless is not named there and goes with the hard metals.
fn mhb_metal(class: BendClass) -> MhbMetal {
    match class {
        BendClass::MildSteel | BendClass::StrongSteel | BendClass::SoftAluminium | BendClass::HardAluminium => {
            MhbMetal::SoftSteel
        }
        BendClass::Stainless => MhbMetal::HardMetal,
    }
}

/// A test bend as measured: one bend, two legs to the corner of the outer
/// faces, and the length of the strip before bending.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TestBend {
    /// Length of the strip before bending.
    pub flat: Length,
    /// First leg, from its end to the corner where the outer faces would meet.
    pub leg_a: Length,
    /// Second leg, likewise.
    pub leg_b: Length,
    /// Inside radius, by radius gauge.
    pub inside_radius: Length,
    /// Thickness.
    pub thickness: Length,
    /// Angle the metal turned through; over 0 and under 180 degrees.
    pub turned: Angle,
}

/// Why a test bend gives no K.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TestBendFault {
    /// A length or the angle is not a number, not positive, or turns 180 degrees or more.
    NotABend,
    /// The K that came out, outside 0 to 1: a leg or the flat length was misread.
    Impossible(f64),
}

impl std::fmt::Display for TestBendFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            TestBendFault::NotABend => f.write_str(
                "the test bend has a missing or negative measurement; give positive lengths and an angle turned between 0 and 180 degrees",
            ),
            TestBendFault::Impossible(k) => write!(
                f,
                "the test bend gives K = {k:.3}; K lies between 0 and 1, so measure the legs and the flat length again"
            ),
        }
    }
}

/// The K that makes a measured test bend come out.
///
/// # Formula
/// `K = ((flat - a - b + 2 S) / A - r) / t`
/// # Source
/// Geometry: the allowance that closes `flat = legs - 2 setback + allowance`, divided out.
/// # Holds for
/// Turns over 0 and under 180 degrees; a K outside of 0 to 1 is told as a fault.
pub fn k_from_test_bend(bend: &TestBend) -> Result<f64, TestBendFault> {
    let turn = bend.turned.to_radians();
    let lengths = [bend.flat, bend.leg_a, bend.leg_b, bend.thickness];
    let sound = lengths.iter().all(|l| l.is_finite() && l.to_mm() > 0.0)
        && bend.inside_radius.is_finite()
        && bend.inside_radius.to_mm() >= 0.0
        && turn.is_finite()
        && turn > 0.0
        && turn < PI;
    if !sound {
        return Err(TestBendFault::NotABend);
    }
    let setback = outside_setback(bend.turned, bend.inside_radius, bend.thickness);
    let in_the_bend = bend.flat - bend.leg_a - bend.leg_b + setback * 2.0;
    let k = (in_the_bend / turn - bend.inside_radius) / bend.thickness;
    if (0.0..=1.0).contains(&k) { Ok(k) } else { Err(TestBendFault::Impossible(k)) }
}

/// Where the springback factors are from.
pub const SPRINGBACK: Citation = Citation::quoted("Tabellenbuch Metall", "springback factors kR")
    .noting("as quoted in a secondary source; the heads of its columns are from memory, unconfirmed");

/// Heads of the columns: radius over thickness.
const SPRING_RATIOS: [f64; 11] = [1.0, 1.6, 2.5, 4.0, 6.3, 10.0, 16.0, 25.0, 40.0, 63.0, 100.0];
/// DC01, stood in for by soft structural steel.
const SPRING_STEEL: &[f64] = &[0.99, 0.99, 0.99, 0.97, 0.96, 0.96, 0.93, 0.90, 0.85, 0.77, 0.66];
/// X12CrNi18-8; its row ends at 40.
const SPRING_STAINLESS: &[f64] = &[0.99, 0.98, 0.97, 0.95, 0.93, 0.89, 0.84, 0.76, 0.63];
/// AlSiMgMn.
const SPRING_ALUMINIUM: &[f64] = &[0.98, 0.98, 0.97, 0.96, 0.95, 0.93, 0.90, 0.86, 0.82, 0.76, 0.72];

/// What is left of a bend when the tool lets go, as a share of its angle.
///
/// # Formula
/// Straight lines between the columns of the table.
/// # Source
/// [`SPRINGBACK`].
/// # Holds for
/// Radius over thickness inside the row; `None` outside, and for hard aluminium's own row.
pub fn spring_factor(class: BendClass, ratio: f64) -> Option<f64> {
    let row = match class {
        BendClass::MildSteel | BendClass::StrongSteel => SPRING_STEEL,
        BendClass::Stainless => SPRING_STAINLESS,
        BendClass::SoftAluminium | BendClass::HardAluminium => SPRING_ALUMINIUM,
    };
    let columns: Vec<(f64, f64)> = SPRING_RATIOS.iter().copied().zip(row.iter().copied()).collect();
    columns.windows(2).find(|w| ratio >= w[0].0 && ratio <= w[1].0).map(|w| {
        let ((r0, k0), (r1, k1)) = (w[0], w[1]);
        k0 + (k1 - k0) * (ratio - r0) / (r1 - r0)
    })
}

/// Radius of the tool for a wanted inside radius.
///
/// # Formula
/// `r1 = kR (r2 + s/2) - s/2`
/// # Source
/// [`TOOL`] (from memory, unconfirmed).
/// # Holds for
/// As [`spring_factor`].
pub fn tool_radius(wanted: Length, thickness: Length, factor: f64) -> Length {
    (wanted + thickness / 2.0) * factor - thickness / 2.0
}

/// Least distance from a hole's edge to the start of the bend's inside.
///
/// # Formula
/// `2.5 t + r`
/// # Source
/// Common practice, no source ([`CLEARANCES`]).
/// # Holds for
/// Round holes in sheet and flat bar.
pub fn hole_to_bend(thickness: Length, inside_radius: Length) -> Length {
    thickness * 2.5 + inside_radius
}

/// Least distance from a slot's edge, slot along the bend.
///
/// # Formula
/// `4 t + r`
/// # Source
/// Common practice, no source ([`CLEARANCES`]).
/// # Holds for
/// Slots that run along the bend.
pub fn slot_to_bend(thickness: Length, inside_radius: Length) -> Length {
    thickness * 4.0 + inside_radius
}

/// Shortest flange that can be held and bent.
///
/// # Formula
/// `2 t + r`
/// # Source
/// Common practice, no source ([`CLEARANCES`]).
/// # Holds for
/// Bending over a die or in a brake.
pub fn shortest_flange(thickness: Length, inside_radius: Length) -> Length {
    thickness * 2.0 + inside_radius
}

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    to.rows("bend constant of", ["soft brass", "soft steel", "hard metals"], MHB);
    to.rows("springback of", ["soft steel", "stainless", "aluminium"], SPRINGBACK);
    to.formulas(&["allowance"], DEFINITION);
    to.formulas(&["outside_setback", "deduction", "k_from_test_bend"], PLANE);
    to.formulas(&["mhb_length", "mhb_k"], MHB);
    to.formulas(&["din_k", "din_compensation"], DIN);
    to.formulas(&["spring_factor"], SPRINGBACK);
    to.formulas(&["tool_radius"], TOOL);
    to.formulas(&["hole_to_bend", "slot_to_bend", "shortest_flange"], CLEARANCES);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::handbook::material;

    const R: Length = Length::mm(6.0);
    const T: Length = Length::mm(5.0);

    #[test]
    fn din_k_meets_its_cap_without_a_step() {
        let at = din_k(Length::mm(25.0), T);
        let past = din_k(Length::mm(25.001), T);
        // 0.65 + 0.5 log10(5) is 0.9995: the standard's own formula meets 1 within 0.001.
        assert!((at - past).abs() < 0.001 && past == 1.0);
        assert_eq!(din_k(Length::ZERO, T), 0.0);
    }

    #[test]
    fn din_and_k_agree_above_a_right_angle() {
        // DIN's v for openings 90..165 is the bend deduction with K = k/2.
        let opening = Angle::degrees(120.0);
        let k = din_k(R, T);
        let v = din_compensation(opening, R, T, k);
        let bd = deduction(Angle::degrees(60.0), R, T, k / 2.0);
        assert!((v - bd).abs().to_mm() < 1e-9, "{v:?} {bd:?}");
    }

    #[test]
    fn the_two_din_ranges_meet_at_90_degrees() {
        let below = din_compensation(Angle::degrees(90.0), R, T, 0.7);
        let above = din_compensation(Angle::degrees(90.000_001), R, T, 0.7);
        assert!((below - above).abs().to_mm() < 1e-5);
    }

    #[test]
    fn a_test_bend_gives_back_the_k_it_was_made_with() {
        let turned = Angle::degrees(70.0);
        let (leg_a, leg_b) = (Length::mm(50.0), Length::mm(62.0));
        let flat = leg_a + leg_b - deduction(turned, R, T, 0.38);
        let bend = TestBend { flat, leg_a, leg_b, inside_radius: R, thickness: T, turned };
        assert!((k_from_test_bend(&bend).unwrap() - 0.38).abs() < 1e-12);
        let misread = TestBend { flat: flat + Length::mm(9.0), ..bend };
        assert!(matches!(k_from_test_bend(&misread), Err(TestBendFault::Impossible(_))));
        let folded = TestBend { turned: Angle::degrees(180.0), ..bend };
        assert_eq!(k_from_test_bend(&folded), Err(TestBendFault::NotABend));
        let nan = TestBend { flat: Length::mm(f64::NAN), ..bend };
        assert_eq!(k_from_test_bend(&nan), Err(TestBendFault::NotABend));
    }

    #[test]
    fn each_method_names_its_source() {
        let steel = material::find("mild steel").unwrap();
        let aluminium = material::find("5052").unwrap();
        let (k, source) = k_for(steel, KMethod::Din6935, R, T);
        assert!((k - 0.3448).abs() < 1e-4 && source.work == "DIN 6935");
        assert!(k_for(aluminium, KMethod::Din6935, R, T).1.note.contains("test bend"));
        assert!((k_for(steel, KMethod::MachinerysHandbook, R, T).0 - 0.4074).abs() < 1e-4);
        assert_eq!(k_for(steel, KMethod::Own(0.4), R, T), (0.4, OWN));
    }
}
