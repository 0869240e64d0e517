//! The calls about strength, loads and the steering shaft.

use droprack::handbook::bolted::{self, Bearing};
use droprack::handbook::bolts::{self, BoltClass, BoltSize};
use droprack::handbook::loads::{self, VehicleClass};
use droprack::handbook::{bearings, joints, material, rubber, shafts, strength, welds};
use droprack::units::{Force, Mass, Stress};

use crate::calls::{Found, some};
use crate::row::{Answer, Row};

fn size_of(row: &Row) -> Result<&'static BoltSize, String> {
    some(bolts::find(row.text("bolt")?), "bolt")
}

fn size_and_class(row: &Row) -> Result<(&'static BoltSize, &'static BoltClass), String> {
    let size = size_of(row)?;
    Ok((size, some(bolts::class(row.text("class")?, size.diameter), "class")?))
}

pub fn bolt(row: &Row) -> Found {
    Some(match row.call.as_str() {
        "metric_stress_area" => size_of(row).map(|s| Answer::Area(bolts::metric_stress_area_mm2(s.diameter, s.pitch))),
        "inch_stress_area" => size_of(row).map(|s| Answer::Area(bolts::inch_stress_area_mm2(s.diameter, s.pitch))),
        "proof_load" => size_and_class(row).map(|(s, c)| Answer::Force(bolts::proof_load(s, c))),
        "breaking_load" => size_and_class(row).map(|(s, c)| Answer::Force(bolts::breaking_load(s, c))),
        "clamp" => size_and_class(row).map(|(s, c)| Answer::Force(bolts::proof_load(s, c) * bolts::REUSABLE_SHARE)),
        "torque" => torque(row),
        "across_flats" => size_of(row).map(|s| Answer::Length(s.across_flats)),
        "across_corners" => size_of(row).map(|s| Answer::Length(s.across_corners)),
        _ => return None,
    })
}

fn torque(row: &Row) -> Result<Answer, String> {
    let (size, class) = size_and_class(row)?;
    let clamp: Force = bolts::proof_load(size, class) * bolts::REUSABLE_SHARE;
    Ok(Answer::Moment(bolts::torque(row.number("nut_factor")?, size.diameter, clamp)))
}

pub fn joint_strength(row: &Row) -> Found {
    Some(
        match row.call.as_str() {
            "en_shear" => size_and_class(row).and_then(|(s, c)| some(bolted::en_shear(s, c), "shear factor")),
            "en_tension" => size_and_class(row).map(|(s, c)| bolted::en_tension(s, c)),
            "en_bearing" => bearing(row),
            "en_single_lap_cap" => lap_cap(row),
            "en_strip_tension" => strip(row),
            _ => return None,
        }
        .map(Answer::Force),
    )
}

fn bearing(row: &Row) -> Result<Force, String> {
    Ok(bolted::en_bearing(&Bearing {
        bolt: row.length("bolt")?,
        hole: row.length("hole")?,
        thickness: row.length("thickness")?,
        end: row.length("end")?,
        edge: row.length("edge")?,
        pitch: row.maybe_length("pitch"),
        gauge: row.maybe_length("gauge"),
        plate_tensile: row.stress("plate")?,
        bolt_tensile: row.stress("bolt")?,
    }))
}

fn lap_cap(row: &Row) -> Result<Force, String> {
    Ok(bolted::en_single_lap_cap(row.stress("plate")?, row.length("bolt")?, row.length("thickness")?))
}

fn strip(row: &Row) -> Result<Force, String> {
    Ok(bolted::en_strip_tension(
        row.length("width")?,
        row.length("hole")?,
        row.length("thickness")?,
        row.stress("yield")?,
        row.stress("tensile")?,
    ))
}

pub fn weld(row: &Row) -> Found {
    Some(match row.call.as_str() {
        "throat" => row.length("leg").map(|z| Answer::Length(welds::throat(z))),
        "weld_strength" => weld_strength(row),
        "weld_run" => weld_run(row),
        "weld_shortest_run" => row.length("throat").map(|a| Answer::Length(welds::en_shortest_run(a))),
        "aws_least_leg" => row.length("thickness").map(|t| Answer::Length(welds::aws_least_leg(t, false))),
        "aws_allowable" => aws_allowable(row),
        _ => return None,
    })
}

/// Strength and correlation factor by the name of the steel in the handbook.
fn weld_strength(row: &Row) -> Result<Answer, String> {
    let steel = some(material::find(row.text("metal")?), "metal")?;
    let correlation = some(steel.weld_correlation, "correlation factor")?;
    Ok(Answer::Stress(welds::en_strength(steel.tensile_strength, correlation)))
}

fn weld_run(row: &Row) -> Result<Answer, String> {
    let steel = some(material::find(row.text("metal")?), "metal")?;
    let correlation = some(steel.weld_correlation, "correlation factor")?;
    let one = welds::en_run(row.length("run")?, row.length("throat")?, steel.tensile_strength, correlation);
    Ok(Answer::Force(one * row.number("runs")?))
}

fn aws_allowable(row: &Row) -> Result<Answer, String> {
    Ok(Answer::Number(welds::aws_allowable_n_per_mm(row.stress("electrode")?, row.length("leg")?)))
}

pub fn load(row: &Row) -> Found {
    Some(match row.call.as_str() {
        "mount_load_along" => mount_load(row, true).map(Answer::Force),
        "mount_load_across" => mount_load(row, false).map(Answer::Force),
        "container_fastening" => filled(row).map(|m| Answer::Force(loads::container_fastening(m))),
        "fuel_mass" => fuel_mass(row).map(Answer::Mass),
        "brake_test_force" => Ok(Answer::Force(loads::BRAKE_TEST_FORCE.0)),
        "leak_test" => leak_test(row),
        "double_d_torsion" => double_d(row),
        "ring_torsion" => ring_torsion(row),
        "pedal_force" => Ok(Answer::Force(loads::PEDAL_FORCE.0)),
        "steering_torque" => {
            row.length("wheel_radius").map(|r| Answer::Moment(loads::steering_torque(loads::STEERING_FORCE.0, r)))
        }
        "rectangle_bending" => rectangle_bending(row),
        "rectangle_torsion" => rectangle_torsion(row),
        "round_torsion" => round_torsion(row),
        _ => return None,
    })
}

/// Filled mass at a density the row states.
fn filled(row: &Row) -> Result<Mass, String> {
    Ok(Mass::kg(row.number("litres")? * row.number("kg_per_litre")? + row.number("empty_kg")?))
}

fn mount_load(row: &Row, along: bool) -> Result<Force, String> {
    let class = match row.text("vehicle")? {
        "light" => VehicleClass::Light,
        "medium" => VehicleClass::Medium,
        "heavy" => VehicleClass::Heavy,
        other => return Err(format!("no vehicle class {other:?}")),
    };
    let levels = loads::g_levels(class);
    Ok(loads::inertia(filled(row)?, if along { levels.along } else { levels.across }))
}

fn fuel_mass(row: &Row) -> Result<Mass, String> {
    Ok(some(loads::fuel(row.text("fuel")?), "fuel")?.mass(row.number("litres")?))
}

fn rectangle_bending(row: &Row) -> Result<Answer, String> {
    let moment = row.force("load")? * row.length("arm")?;
    Ok(Answer::Stress(loads::rectangle_bending(moment, row.length("across")?, row.length("along_load")?)))
}

fn rectangle_torsion(row: &Row) -> Result<Answer, String> {
    let torque = row.force("load")? * row.length("offset")?;
    Ok(Answer::Stress(loads::rectangle_torsion(torque, row.length("long")?, row.length("short")?)))
}

/// Pressures are told in bar.
fn leak_test(row: &Row) -> Result<Answer, String> {
    Ok(Answer::Stress(loads::leak_test_pressure(Stress::mpa(row.number("service_bar")? / 10.0))))
}

fn double_d(row: &Row) -> Result<Answer, String> {
    let found = loads::double_d_torsion(row.moment("torque")?, row.length("diameter")?, row.length("across_flats")?);
    Ok(Answer::Stress(some(found, "stress")?))
}

fn ring_torsion(row: &Row) -> Result<Answer, String> {
    let found = strength::ring_torsion(row.moment("torque")?, row.length("diameter")?, row.length("throat")?);
    Ok(Answer::Stress(found))
}

fn round_torsion(row: &Row) -> Result<Answer, String> {
    Ok(Answer::Stress(loads::round_torsion(row.moment("torque")?, row.length("diameter")?)))
}

pub fn shaft(row: &Row) -> Found {
    Some(match row.call.as_str() {
        "least_ratio" => row.angle("bend").map(|b| Answer::Number(joints::least_ratio(b))),
        "greatest_ratio" => row.angle("bend").map(|b| Answer::Number(joints::greatest_ratio(b))),
        "ratio_swing" => row.angle("bend").map(|b| Answer::Number(joints::ratio_swing(b))),
        "cross_hole_factor" => cross_hole(row),
        "output_angle" => output_angle(row),
        "oblique_major" => oblique_major(row),
        "straight_opening" => straight_opening(row),
        "rod_end_side" => row.force("static").map(|f| Answer::Force(bearings::rod_end_side_load(f))),
        "bearing_pitch" => bearing_unit(row).map(|u| Answer::Length(u.pitch)),
        "bearing_centre_height" => {
            bearing_unit(row).and_then(|u| some(u.centre_height, "centre height")).map(Answer::Length)
        }
        _ => return None,
    })
}

fn cross_hole(row: &Row) -> Result<Answer, String> {
    let found = shafts::cross_hole_factor(row.length("diameter")?, row.length("hole")?);
    Ok(Answer::Number(some(found, "factor")?))
}

fn output_angle(row: &Row) -> Result<Answer, String> {
    Ok(Answer::Angle(joints::output_angle(row.angle("bend")?, row.angle("input")?)))
}

fn oblique_major(row: &Row) -> Result<Answer, String> {
    Ok(Answer::Length(bearings::oblique_major(row.length("shaft")?, row.angle("tilt")?)))
}

fn straight_opening(row: &Row) -> Result<Answer, String> {
    let (d, tilt) = (row.length("shaft")?, row.angle("tilt")?);
    Ok(Answer::Length(bearings::straight_opening(d, tilt, row.length("thickness")?)))
}

fn bearing_unit(row: &Row) -> Result<&'static bearings::BearingUnit, String> {
    some(bearings::find(row.text("unit")?), "bearing unit")
}

pub fn pad(row: &Row) -> Found {
    Some(match row.call.as_str() {
        "shape_factor" => shape_factor(row).map(Answer::Number),
        "compression_modulus" => compression(row),
        "rubber_modulus" => rubber_row(row).map(|r| Answer::Stress(r.modulus)),
        "pad_modulus" => pad_modulus(row),
        "pad_greatest_stress" => pad_greatest(row),
        _ => return None,
    })
}

fn rubber_row(row: &Row) -> Result<&'static rubber::Rubber, String> {
    some(rubber::find(row.number("hardness")? as u32), "hardness")
}

fn shape_factor(row: &Row) -> Result<f64, String> {
    Ok(rubber::shape_factor(row.length("a")?, row.length("b")?, row.length("thickness")?))
}

fn compression(row: &Row) -> Result<Answer, String> {
    let found = rubber::compression_modulus(row.stress("modulus")?, row.number("shape_term")?, row.number("s")?);
    Ok(Answer::Stress(found))
}

fn pad_modulus(row: &Row) -> Result<Answer, String> {
    let (r, s) = (rubber_row(row)?, shape_factor(row)?);
    Ok(Answer::Stress(rubber::compression_modulus(r.modulus, r.shape_term, s)))
}

fn pad_greatest(row: &Row) -> Result<Answer, String> {
    let (r, s) = (rubber_row(row)?, shape_factor(row)?);
    let modulus = rubber::compression_modulus(r.modulus, r.shape_term, s);
    Ok(Answer::Stress(rubber::greatest_stress(modulus)))
}
