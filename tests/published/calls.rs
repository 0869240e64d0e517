//! The names rows call by, each leading to one library function.

use droprack::handbook::bend::{self, MhbMetal};
use droprack::handbook::bend_radius::{self, Grain};
use droprack::handbook::drills::{self, Drawer};
use droprack::handbook::holes::{self, Fit};
use droprack::handbook::section::{Properties, Shape};
use droprack::handbook::section_radii::{self, TubeMake};
use droprack::handbook::tanks::{self, TankShape};
use droprack::handbook::{bolts, gauges, material};
use droprack::units::{Length, Stress};

use crate::row::{Answer, Row};
use crate::strength::{bolt, joint_strength, load, pad, shaft, weld};
use crate::thread::thread;

/// Works a row out; an error names what is missing.
pub fn call(row: &Row) -> Result<Answer, String> {
    let rooms = [bending, hole, drill, bolt, joint_strength, weld, section, tank, load, shaft, pad, thread];
    for room in rooms {
        if let Some(answer) = room(row) {
            return answer;
        }
    }
    Err(format!("no call named {:?}", row.call))
}

pub type Found = Option<Result<Answer, String>>;

/// Turns a missing table row into an error.
pub fn some<T>(found: Option<T>, what: &str) -> Result<T, String> {
    found.ok_or_else(|| format!("the library has no {what} for these inputs"))
}

fn mhb_metal(row: &Row) -> Result<MhbMetal, String> {
    match row.text("metal")? {
        "soft brass" => Ok(MhbMetal::SoftBrass),
        "soft steel" => Ok(MhbMetal::SoftSteel),
        "hard metal" => Ok(MhbMetal::HardMetal),
        other => Err(format!("no metal {other:?}")),
    }
}

fn bending(row: &Row) -> Found {
    Some(match row.call.as_str() {
        "mhb_length" => mhb_length(row).map(Answer::Length),
        "mhb_stock_of_two_bends" => mhb_stock(row).map(Answer::Length),
        "mhb_k" => mhb_metal(row).map(|m| Answer::Number(bend::mhb_k(m))),
        "allowance" => allowance(row).map(Answer::Length),
        "outside_setback" => setback(row).map(Answer::Length),
        "din_k" => din_k(row).map(Answer::Number),
        "k_of_thickness_din" => k_din(row).map(Answer::Number),
        "din_compensation" => din_compensation(row).map(Answer::Length),
        "din_flat_length" => din_flat(row).map(Answer::Length),
        "din_radius" => din_radius(row, Grain::Across).map(Answer::Length),
        "din_radius_along" => din_radius(row, Grain::Along).map(Answer::Length),
        "minimum_radius" => minimum_radius(row).map(Answer::Length),
        "hole_to_bend" => near_bend(row, bend::hole_to_bend).map(Answer::Length),
        "slot_to_bend" => near_bend(row, bend::slot_to_bend).map(Answer::Length),
        "shortest_flange" => near_bend(row, bend::shortest_flange).map(Answer::Length),
        _ => return None,
    })
}

fn mhb_length(row: &Row) -> Result<Length, String> {
    Ok(bend::mhb_length(mhb_metal(row)?, row.length("radius")?, row.length("thickness")?, row.angle("turned")?))
}

fn mhb_stock(row: &Row) -> Result<Length, String> {
    let (metal, t) = (mhb_metal(row)?, row.length("thickness")?);
    let first = bend::mhb_length(metal, row.length("radius_1")?, t, row.angle("turned_1")?);
    let second = bend::mhb_length(metal, row.length("radius_2")?, t, row.angle("turned_2")?);
    Ok(row.length("straight")? + first + second)
}

fn allowance(row: &Row) -> Result<Length, String> {
    Ok(bend::allowance(row.angle("turned")?, row.length("radius")?, row.length("thickness")?, row.number("k")?))
}

fn setback(row: &Row) -> Result<Length, String> {
    Ok(bend::outside_setback(row.angle("turned")?, row.length("radius")?, row.length("thickness")?))
}

fn din_k(row: &Row) -> Result<f64, String> {
    Ok(bend::din_k(row.length("radius")?, row.length("thickness")?))
}

fn k_din(row: &Row) -> Result<f64, String> {
    let metal = some(material::find(row.text("metal")?), "metal")?;
    Ok(bend::k_for(metal, bend::KMethod::Din6935, row.length("radius")?, row.length("thickness")?).0)
}

fn din_compensation(row: &Row) -> Result<Length, String> {
    let (r, s) = (row.length("radius")?, row.length("thickness")?);
    // Without a k of its own the row takes the formula's.
    let k = row.number("k").unwrap_or_else(|_| bend::din_k(r, s));
    Ok(bend::din_compensation(row.angle("opening")?, r, s, k))
}

fn din_flat(row: &Row) -> Result<Length, String> {
    Ok(row.length("leg_a")? + row.length("leg_b")? - din_compensation(row)?)
}

fn minimum_radius(row: &Row) -> Result<Length, String> {
    let metal = some(material::find(row.text("metal")?), "metal")?;
    let found = bend_radius::minimum(metal.bend_class, row.length("thickness")?, Grain::Across);
    Ok(some(found, "minimum radius")?.0)
}

fn din_radius(row: &Row, grain: Grain) -> Result<Length, String> {
    Ok(some(bend_radius::din_minimum_s235(row.length("thickness")?, grain), "radius")?.0)
}

fn near_bend(row: &Row, rule: fn(Length, Length) -> Length) -> Result<Length, String> {
    Ok(rule(row.length("thickness")?, row.length("radius")?))
}

fn hole(row: &Row) -> Found {
    Some(match row.call.as_str() {
        "clearance" => clearance(row).map(Answer::Length),
        "en_end" => row.length("hole").map(|d| Answer::Length(holes::en_end(d))),
        "en_pitch" => row.length("hole").map(|d| Answer::Length(holes::en_pitch(d))),
        "en_gauge" => row.length("hole").map(|d| Answer::Length(holes::en_gauge(d))),
        "en_greatest_edge" => row.length("thickness").map(|t| Answer::Length(holes::en_greatest_edge(t))),
        "aisc_spacing" => row.length("bolt").map(|d| Answer::Length(holes::aisc_spacing(d))),
        "aisc_edge_over_hole" => edge_over_hole(row).map(Answer::Number),
        "aisc_edge" => row.length("bolt").and_then(|d| some(holes::aisc_edge(d), "edge")).map(Answer::Length),
        _ => return None,
    })
}

/// Least edge over the normal clearance hole.
fn edge_over_hole(row: &Row) -> Result<f64, String> {
    let name = row.text("bolt")?;
    let edge = some(holes::aisc_edge(some(bolts::find(name), "bolt")?.diameter), "edge")?;
    Ok(edge / some(holes::clearance(name, Fit::Normal), "clearance hole")?.0)
}

fn clearance(row: &Row) -> Result<Length, String> {
    let fit = match row.text("fit")? {
        "close" => Fit::Close,
        "normal" => Fit::Normal,
        "loose" => Fit::Loose,
        other => return Err(format!("no fit {other:?}")),
    };
    Ok(some(holes::clearance(row.text("size")?, fit), "clearance hole")?.0)
}

fn drill(row: &Row) -> Found {
    Some(match row.call.as_str() {
        "number_drill" => number_drill(row).map(Answer::Length),
        "letter_drill" => letter_drill(row).map(Answer::Length),
        "next_inch_drill" => next_drill(row, Drawer::Inch).map(Answer::Length),
        "next_metric_drill" => next_drill(row, Drawer::Metric).map(Answer::Length),
        "design_wall" => row.length("nominal").map(|t| Answer::Length(section_radii::american_design_wall(t))),
        "tensile_strength" => tensile(row).map(Answer::Stress),
        "sheet_steel" => sheet(row).map(Answer::Length),
        _ => return None,
    })
}

fn number_drill(row: &Row) -> Result<Length, String> {
    Ok(some(drills::number(row.number("number")? as usize), "drill")?.diameter)
}

fn letter_drill(row: &Row) -> Result<Length, String> {
    let name = some(row.text("letter")?.chars().next(), "letter")?;
    Ok(some(drills::letter(name), "drill")?.diameter)
}

fn next_drill(row: &Row, drawer: Drawer) -> Result<Length, String> {
    let drill = some(drills::nearest_larger(row.length("hole")?, drawer), "drill")?;
    let named = row.text("named")?;
    if drill.designation != named {
        return Err(format!("the drill is {}, published {named}", drill.designation));
    }
    Ok(drill.diameter)
}

fn tensile(row: &Row) -> Result<Stress, String> {
    Ok(some(material::find(row.text("metal")?), "metal")?.tensile_strength)
}

fn sheet(row: &Row) -> Result<Length, String> {
    some(gauges::sheet_steel(row.number("gauge")? as u32), "gauge")
}

fn section(row: &Row) -> Found {
    let shape = match row.call.as_str() {
        "tube_area" | "tube_mass" | "tube_inertia" | "tube_modulus" => rect_tube(row),
        "angle_area" | "angle_mass" | "angle_inertia" | "angle_modulus" => angle(row),
        "flat_mass" => flat(row),
        "round_mass" => row.length("diameter").map(|diameter| Shape::RoundBar { diameter }),
        "round_tube_mass" => round_tube(row),
        _ => return None,
    };
    let properties = shape.and_then(|s| some(s.properties(), "section"));
    Some(properties.and_then(|p| property(row, &p)))
}

fn property(row: &Row, p: &Properties) -> Result<Answer, String> {
    let (_, wanted) = some(row.call.rsplit_once('_'), "property")?;
    Ok(match wanted {
        "area" => Answer::Area(p.area_mm2),
        "mass" => Answer::PerMetre(p.mass_kg_per_m(material::STEEL_KG_PER_M3)),
        "inertia" => Answer::Inertia(p.inertia_x_mm4),
        _ => Answer::Modulus(p.modulus_x_mm3),
    })
}

fn rect_tube(row: &Row) -> Result<Shape, String> {
    let make = match row.text("make")? {
        "cold" => TubeMake::ColdFormed,
        "hot" => TubeMake::HotFinished,
        "american" => TubeMake::American,
        other => return Err(format!("no make {other:?}")),
    };
    let wall = row.length("wall")?;
    let corners = section_radii::tube_corners(make, wall);
    Ok(Shape::RectTube {
        depth: row.length("depth")?,
        width: row.length("width")?,
        wall,
        outer_radius: corners.outer,
        inner_radius: corners.inner,
    })
}

fn angle(row: &Row) -> Result<Shape, String> {
    let leg = row.length("leg")?;
    // A row with its own root radius has a sharp toe; without, the handbook's fillets.
    let (root_radius, toe_radius) = match row.maybe_length("root") {
        Some(root) => (root, Length::ZERO),
        None => some(section_radii::angle_radii(leg, leg), "root radius").map(|r| (r.root, r.toe))?,
    };
    Ok(Shape::Angle { upright: leg, across: leg, thickness: row.length("thickness")?, root_radius, toe_radius })
}

fn flat(row: &Row) -> Result<Shape, String> {
    Ok(Shape::Flat { width: row.length("width")?, thickness: row.length("thickness")? })
}

fn round_tube(row: &Row) -> Result<Shape, String> {
    Ok(Shape::RoundTube { outside: row.length("outside")?, wall: row.length("wall")? })
}

fn tank(row: &Row) -> Found {
    Some(match row.call.as_str() {
        "tank_litres" => tank_litres(row).map(Answer::Number),
        "tank_us_gallons" => tank_litres(row).map(|l| Answer::Number(tanks::us_gallons(l))),
        "litres_of_us_gallon" => row.number("gallons").map(|g| Answer::Number(g / tanks::us_gallons(1.0))),
        "strap_length" => strap(row).map(Answer::Length),
        _ => return None,
    })
}

fn tank_shape(row: &Row) -> Result<TankShape, String> {
    if let Some(diameter) = row.maybe_length("diameter") {
        return Ok(TankShape::Round { diameter });
    }
    let (width, height) = (row.length("width")?, row.length("height")?);
    Ok(TankShape::Rectangle { width, height, corner_radius: row.length("corner")? })
}

fn tank_litres(row: &Row) -> Result<f64, String> {
    Ok(tank_shape(row)?.litres(row.length("length")?))
}

/// A strap over part of a round tank.
fn strap(row: &Row) -> Result<Length, String> {
    let wrapped = row.angle("wrapped")?;
    let once_round = tank_shape(row)?.perimeter();
    let skin = once_round * (wrapped.to_degrees() / 360.0);
    Ok(tanks::strap_length(skin, wrapped, row.length("liner")?, row.length("strap")?))
}
