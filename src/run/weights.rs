//! Mass, box and centre of gravity of every piece and part, from their bodies.

use super::{Stood, Worked};
use crate::assembly::{Assembly, Kind, PartStands};
use crate::handbook;
use crate::report::{BodyLine, weights_json, weights_table};
use crate::space::{Box3, Point3};
use crate::units::{Mass, System};
use serde_json::{Value, json};

/// The list for the person: pieces in their own frames, then parts.
pub(super) fn weights_text(worked: &Worked, stood: &Stood, system: System) -> String {
    let (pieces, parts) = (piece_lines(worked, stood), part_lines(worked, stood));
    format!(
        "Pieces, each in its own frame (x along it, y across, z out of its outside face)\n{}\n\
         Parts put together, without bolts; loose pieces stand beside the others\n{}",
        weights_table(&pieces, system),
        weights_table(&parts, system)
    )
}

/// The same for other programs.
pub(super) fn bodies_json(worked: &Worked, stood: &Stood) -> Value {
    json!({
        "pieces": weights_json(&piece_lines(worked, stood)),
        "parts": weights_json(&part_lines(worked, stood)),
        "without": stood.without.iter().map(|(k, why)| json!({ "name": k, "says": why })).collect::<Vec<_>>(),
    })
}

fn mass(worked: &Worked, i: usize, volume_mm3: f64) -> Mass {
    let metal = handbook::material::find(&worked.pieces[i].stock.material);
    metal.map_or(Mass::kg(0.0), |m| m.mass_of(volume_mm3))
}

fn piece_lines(worked: &Worked, stood: &Stood) -> Vec<BodyLine> {
    let one = |(i, p): (usize, &crate::piece::Piece)| {
        let b = stood.bodies[i].as_ref()?;
        Some(BodyLine {
            name: p.key(),
            count: p.copies,
            mass: mass(worked, i, b.volume_mm3),
            area_mm2: b.area_mm2,
            volume_mm3: b.volume_mm3,
            bounds: Box3 { low: b.low, high: b.high },
            centre: b.centre_of_gravity,
            mesh: Some((b.mesh.triangles.len(), b.mesh.volume_mm3(), b.mesh.area_mm2())),
        })
    };
    worked.pieces.iter().enumerate().filter_map(one).collect()
}

pub(super) fn part_lines(worked: &Worked, stood: &Stood) -> Vec<BodyLine> {
    stood.parts.iter().filter_map(|(p, a)| part_line(worked, stood, p, a)).collect()
}

/// What the pieces of one part come to together.
pub(super) fn part_line(worked: &Worked, stood: &Stood, part: &PartStands, scene: &Assembly) -> Option<BodyLine> {
    let (mut volume, mut area, mut kilos) = (0.0, 0.0, 0.0);
    let mut moment = Point3::default();
    let mut bounds: Option<Box3> = None;
    for s in &scene.stands {
        let Kind::Piece(i) = s.kind else { continue };
        let body = stood.bodies[i].as_ref()?;
        let kg = mass(worked, i, body.volume_mm3).to_kg();
        volume += body.volume_mm3;
        area += body.area_mm2;
        kilos += kg;
        moment = moment + s.frame.place(body.centre_of_gravity) * kg;
        let own = s.bounds()?;
        bounds = Some(bounds.map_or(own, |b| b.union(&own)));
    }
    let bounds = bounds?;
    Some(BodyLine {
        name: part.name.clone(),
        count: part.made,
        mass: Mass::kg(kilos),
        area_mm2: area,
        volume_mm3: volume,
        bounds,
        centre: if kilos > 0.0 { moment * (1.0 / kilos) } else { bounds.low },
        mesh: None,
    })
}
