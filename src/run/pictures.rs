//! Meshes and pictures of every piece, every part and the whole job.

use super::Worked;
use super::stand::{Stood, colour};
use super::work::file_name;
use crate::assembly::{Assembly, Kind, PartStands, Stand};
use crate::drawing::picture::{Look, Picture, Standing, best_corner, draw, shade};
use crate::export::glb::{GlbMesh, GlbNode, write_glb};
use crate::export::picture::{Shot, pixels_per_mm, write_picture_png, write_picture_svg};
use crate::export::stl::write_stl;
use crate::geom::{Bounds, Point};
use crate::piece::Piece;
use crate::solid::{Body, Mesh};
use crate::source::safe_name;
use crate::space::Frame;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Longer side of a picture, pixels: sharp on a page's width and on a screen.
const PIXELS: u32 = 1_000;

/// A file: its name and its bytes.
pub(super) type File = (String, Vec<u8>);

/// Lines of the parts and of the whole job, for other papers.
#[derive(Clone, Debug, Default)]
pub(super) struct Scenes {
    /// By the name of the part.
    pub parts: BTreeMap<String, Picture>,
    /// All of it together.
    pub job: Option<Picture>,
    /// From where each part is seen.
    pub looks: BTreeMap<String, Look>,
    /// From where all of it is seen.
    pub job_look: Option<Look>,
}

/// The drawings of every part and of the whole job.
pub(super) fn draw_scenes(pieces: &[Piece], stood: &Stood) -> Scenes {
    let corner = |a: &Assembly| (!a.stands.is_empty()).then(|| best_corner(&standing(pieces, &a.stands)));
    // The whole job is the longest of them: it is begun first.
    let (job, parts) =
        rayon::join(|| corner(&stood.job), || stood.parts.par_iter().map(|p| corner(&p.1)).collect::<Vec<_>>());
    let mut scenes = Scenes::default();
    for ((part, _), (look, picture)) in stood.parts.iter().zip(parts).filter_map(|(p, drawn)| Some((p, drawn?))) {
        scenes.looks.insert(part.name.clone(), look);
        scenes.parts.insert(part.name.clone(), picture);
    }
    (scenes.job_look, scenes.job) = job.unzip();
    scenes
}

/// Every mesh and picture of a job.
///
/// # Errors
/// A sentence, when a file cannot be made.
pub(super) fn body_files_of(
    worked: &Worked,
    stood: &Stood,
    pictures: &[Option<Shot>],
    scenes: &Scenes,
) -> Result<Vec<File>, String> {
    let whole = || match (&scenes.job, scenes.job_look) {
        (Some(p), Some(look)) => scene_files("assembly", "assembly", &worked.pieces, &stood.job, (look, p), true),
        _ => Ok(vec![]),
    };
    let parts = || {
        let part = |(p, a): &(PartStands, Assembly)| {
            let drawn = (*scenes.looks.get(&p.name)?, scenes.parts.get(&p.name)?);
            let path = format!("parts/{}", safe_name(&p.name));
            Some(scene_files(&path, &p.name, &worked.pieces, a, drawn, false))
        };
        stood.parts.par_iter().filter_map(part).collect::<Result<Vec<_>, String>>()
    };
    let piece = |i: usize| Some(piece_files(&worked.pieces, i, &stood.bodies[i].as_ref()?.mesh, pictures[i].as_ref()?));
    let pieces = || (0..worked.pieces.len()).into_par_iter().filter_map(piece).collect::<Result<Vec<_>, String>>();
    let (whole, (parts, pieces)) = rayon::join(whole, || rayon::join(parts, pieces));
    Ok(pieces?.into_iter().chain(parts?).flatten().chain(whole?).collect())
}

/// How many bytes all meshes and pictures of a job come to; for the bench.
///
/// # Errors
/// As the files themselves.
pub fn body_files(worked: &Worked, stood: &Stood) -> Result<usize, String> {
    let scenes = draw_scenes(&worked.pieces, stood);
    let files = body_files_of(worked, stood, &piece_pictures(stood), &scenes)?;
    Ok(files.iter().map(|(_, bytes)| bytes.len()).sum())
}

fn piece_files(pieces: &[Piece], i: usize, mesh: &Arc<Mesh>, shot: &Shot) -> Result<Vec<File>, String> {
    let piece = &pieces[i];
    let (colour, material) = colour(Kind::Piece(i), pieces);
    let key = piece.key();
    let name = format!("pieces/{}", file_name(&piece.part, &piece.name));
    let node = GlbNode { name: key.clone(), mesh: 0, frame: Frame::default() };
    let glb = write_glb(&key, &[GlbMesh { name: &key, mesh, material, colour, faint: false }], &[node])?;
    let shots = std::slice::from_ref(shot);
    Ok(vec![
        (format!("{name}.stl"), write_stl(&key, mesh)),
        (format!("{name}.glb"), glb),
        (format!("{name}-view.svg"), write_picture_svg(&key, shots).into_bytes()),
        (format!("{name}.png"), write_picture_png(shots, PIXELS)?),
    ])
}

/// The corner view of each piece that has a body, in its own frame: for its
/// files and for the paper.
pub(super) fn piece_pictures(stood: &Stood) -> Vec<Option<Shot>> {
    let one = |body: &Option<Arc<Body>>| {
        let mesh = &body.as_ref()?.mesh;
        let (look, picture) = best_corner(&[Standing { mesh, frame: Frame::default(), faint: false, colour: [0; 3] }]);
        Some(shot(look, picture))
    };
    stood.bodies.par_iter().map(one).collect()
}

/// As the drawing room wants them.
pub(super) fn standing<'a>(pieces: &[Piece], stands: &'a [Stand]) -> Vec<Standing<'a>> {
    stands
        .iter()
        .map(|s| Standing {
            mesh: &s.mesh,
            frame: s.frame,
            faint: s.kind == Kind::Faint,
            colour: colour(s.kind, pieces).0,
        })
        .collect()
}

fn scene_files(
    path: &str,
    name: &str,
    pieces: &[Piece],
    scene: &Assembly,
    (look, picture): (Look, &Picture),
    shaded: bool,
) -> Result<Vec<File>, String> {
    let mut shots = vec![shot(look, picture.clone())];
    let drawn = || -> Result<(Vec<u8>, Vec<u8>), String> {
        let svg = write_picture_svg(name, &shots).into_bytes();
        if shaded {
            shade_all(&standing(pieces, &scene.stands), &[look], &mut shots, PIXELS);
        }
        Ok((svg, write_picture_png(&shots, PIXELS)?))
    };
    let (glb, drawn) = rayon::join(|| scene_glb(name, pieces, scene), drawn);
    let (svg, png) = drawn?;
    Ok(vec![(format!("{path}.glb"), glb?), (format!("{path}.svg"), svg), (format!("{path}.png"), png)])
}

fn shot(look: Look, picture: Picture) -> Shot {
    Shot { name: look.word().replace('-', " "), picture, shaded: None }
}

/// Lays a shaded picture under the lines of each view.
fn shade_all(bodies: &[Standing], looks: &[Look], shots: &mut [Shot], pixels: u32) {
    let scale = pixels_per_mm(shots, pixels);
    for (s, look) in shots.iter_mut().zip(looks) {
        let Some(b) = s.picture.bounds() else { continue };
        let room = Point::new(1.0, 1.0) * (1.0 / scale);
        let view = Bounds { low: b.low - room, high: b.high + room };
        s.shaded = Some((shade(bodies, *look, &view, scale), view));
    }
}

/// All bodies of a scene; equal meshes are written once.
fn scene_glb(name: &str, pieces: &[Piece], scene: &Assembly) -> Result<Vec<u8>, String> {
    let mut first: Vec<&Stand> = vec![];
    let mut nodes = vec![];
    for s in &scene.stands {
        let same = |f: &&Stand| Arc::ptr_eq(&f.mesh, &s.mesh) && f.kind == s.kind;
        let mesh = first.iter().position(same).unwrap_or_else(|| {
            first.push(s);
            first.len() - 1
        });
        nodes.push(GlbNode { name: s.name.clone(), mesh, frame: s.frame });
    }
    let meshes: Vec<GlbMesh> = first
        .iter()
        .map(|s| {
            let (colour, material) = colour(s.kind, pieces);
            GlbMesh { name: &s.name, mesh: &s.mesh, material, colour, faint: s.kind == Kind::Faint }
        })
        .collect();
    write_glb(name, &meshes, &nodes)
}

/// Pictures of one thing from several sides.
///
/// # Errors
/// A sentence: nothing is called so, or the picture cannot be made.
pub fn picture_of(
    worked: &Worked,
    stood: &Stood,
    of: Option<&str>,
    looks: &[Look],
    shaded: bool,
    svg: bool,
) -> Result<Vec<u8>, String> {
    let scene = find(worked, stood, of)?;
    let bodies = standing(&worked.pieces, &scene.stands);
    let mut looks = looks.to_vec();
    if looks.is_empty() {
        looks = vec![Look::Front, Look::Right, Look::Top, best_corner(&bodies).0];
    }
    let mut shots: Vec<Shot> = looks.par_iter().map(|l| shot(*l, draw(&bodies, *l))).collect();
    if svg {
        return Ok(write_picture_svg(of.unwrap_or("assembly"), &shots).into_bytes());
    }
    if shaded {
        shade_all(&bodies, &looks, &mut shots, 2 * PIXELS);
    }
    write_picture_png(&shots, 2 * PIXELS)
}

/// The part or piece of this name; nothing said means the whole job.
fn find(worked: &Worked, stood: &Stood, of: Option<&str>) -> Result<Assembly, String> {
    let Some(name) = of else { return Ok(stood.job.clone()) };
    if let Some((_, a)) = stood.parts.iter().find(|(p, _)| p.name == name) {
        return Ok(a.clone());
    }
    if let Some(i) = worked.pieces.iter().position(|p| p.key() == name) {
        let part = crate::assembly::PartStands { pieces: vec![i], made: worked.pieces[i].copies, ..Default::default() };
        let mut piece = worked.pieces.clone();
        piece[i].places = vec![Frame::default()];
        return Ok(Assembly::of_part(&part, &piece, &stood.bodies));
    }
    let mut names: Vec<String> = stood.parts.iter().map(|(p, _)| format!("\"{}\"", p.name)).collect();
    names.extend(worked.pieces.iter().map(|p| format!("\"{}\"", p.key())));
    names.dedup();
    Err(format!("nothing in this job is called \"{name}\"; there are: {}", names.join(", ")))
}
