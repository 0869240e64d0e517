//! What need not be worked out again when a measured value changes: bodies of
//! pieces that stay, parts put together of them, and pictures of what stands as it stood.

use crate::assembly::{Assembly, PartStands, Stand};
use crate::drawing::picture::{Look, Picture, best_corner};
use crate::piece::Piece;
use crate::run::pictures::{Scenes, standing};
use crate::run::stand::{fit, stand};
use crate::run::{Outcome, Stood};
use crate::solid::{Body, Mesh, SolidFault, USUAL_CHORD_MM, build_body_within};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::hash::{DefaultHasher, Hasher};
use std::sync::Arc;

/// Bodies and pictures by the hash of what they are made from. Only what the
/// last sheet used is kept.
#[derive(Default)]
pub(super) struct Kept {
    bodies: BTreeMap<u64, Result<Arc<Body>, SolidFault>>,
    /// Parts put together, with their bolts and what is there round them.
    parts: BTreeMap<u64, Assembly>,
    pictures: BTreeMap<u64, (Look, Picture)>,
    /// The last drawing of the whole job.
    job: Option<(Look, Picture)>,
}

/// Hash of a piece's shape; its name and its number do not count.
fn piece_key(piece: &Piece) -> u64 {
    let mut h = DefaultHasher::new();
    h.write(format!("{:?}", piece.form).as_bytes());
    h.finish()
}

/// Hash of a part and of all that its pieces are; equal pieces have equal bodies.
fn part_key(part: &PartStands, pieces: &[Piece]) -> u64 {
    let mut h = DefaultHasher::new();
    h.write(format!("{part:?}").as_bytes());
    part.pieces.iter().filter_map(|i| pieces.get(*i)).for_each(|p| h.write(format!("{p:?}").as_bytes()));
    h.finish()
}

/// Hash of a mesh by its points and faces.
pub(super) fn mesh_key(mesh: &Mesh) -> u64 {
    let mut h = DefaultHasher::new();
    for p in &mesh.positions {
        [p.x, p.y, p.z].iter().for_each(|v| h.write_u64(v.to_bits()));
    }
    mesh.triangles.iter().flatten().for_each(|i| h.write_u32(*i));
    h.finish()
}

fn scene_key(stands: &[Stand]) -> u64 {
    let mut h = DefaultHasher::new();
    for s in stands {
        h.write_u64(mesh_key(&s.mesh));
        h.write(format!("{:?} {:?}", s.frame, s.kind).as_bytes());
    }
    h.finish()
}

impl Kept {
    /// Bodies for every piece, built anew only where the piece is new; `whole`: their
    /// fit is looked at too.
    pub fn standing(&mut self, mut outcome: Outcome, whole: bool) -> Outcome {
        let keys: Vec<u64> = outcome.worked.pieces.iter().map(piece_key).collect();
        let mut wanted: BTreeMap<u64, &Piece> = BTreeMap::new();
        for (key, piece) in keys.iter().zip(&outcome.worked.pieces) {
            wanted.entry(*key).or_insert(piece);
        }
        self.bodies.retain(|key, _| wanted.contains_key(key));
        let new: Vec<(u64, &Piece)> = wanted.into_iter().filter(|(key, _)| !self.bodies.contains_key(key)).collect();
        let built: Vec<_> = new
            .into_par_iter()
            .map(|(key, piece)| (key, build_body_within(piece, USUAL_CHORD_MM).map(Arc::new)))
            .collect();
        self.bodies.extend(built);
        let bodies = keys.iter().filter_map(|key| self.bodies.get(key).cloned()).collect();
        let known = &self.parts;
        let stood = stand(&outcome.loaded, &mut outcome.worked, bodies, |part, pieces, bodies| {
            known.get(&part_key(part, pieces)).cloned().unwrap_or_else(|| Assembly::of_part(part, pieces, bodies))
        });
        let pieces = &outcome.worked.pieces;
        self.parts = stood.parts.iter().map(|(part, a)| (part_key(part, pieces), a.clone())).collect();
        if whole {
            fit(&outcome.loaded, &mut outcome.worked, &stood);
        }
        outcome.stood = Some(stood);
        outcome
    }

    /// Pictures of every part and of the job, drawn anew only where something
    /// stands otherwise. `pieces` are those of the job; without `whole` the drawing of
    /// the whole job stays the last one.
    pub fn scenes(&mut self, pieces: &[Piece], stood: &Stood, whole: bool) -> Scenes {
        let parts = stood.parts.iter().map(|(_, a)| a.stands.as_slice());
        let job = whole.then_some(stood.job.stands.as_slice());
        let all: Vec<&[Stand]> = parts.chain(job).collect();
        let keys: Vec<u64> = all.par_iter().map(|s| scene_key(s)).collect();
        let mut new: BTreeMap<u64, &[Stand]> = BTreeMap::new();
        for (key, stands) in keys.iter().zip(&all).filter(|(k, s)| !s.is_empty() && !self.pictures.contains_key(k)) {
            new.insert(*key, *stands);
        }
        self.pictures.retain(|key, _| keys.contains(key));
        let drawn: Vec<_> =
            new.into_par_iter().map(|(key, stands)| (key, best_corner(&standing(pieces, stands)))).collect();
        self.pictures.extend(drawn);
        let mut out = Scenes::default();
        for ((part, _), key) in stood.parts.iter().zip(&keys) {
            if let Some((look, picture)) = self.pictures.get(key) {
                out.looks.insert(part.name.clone(), *look);
                out.parts.insert(part.name.clone(), picture.clone());
            }
        }
        if whole {
            self.job = keys.last().and_then(|key| self.pictures.get(key)).cloned();
        }
        out.job_look = self.job.as_ref().map(|j| j.0);
        out.job = self.job.as_ref().map(|j| j.1.clone());
        out
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::disallowed_methods)] // a test may panic and write files

    use super::*;
    use crate::run::Request;
    use crate::run::live::{Have, Live};

    /// Places in memory: what was made anew has another one.
    fn places(live: &Live) -> [BTreeMap<u64, usize>; 3] {
        let k = &live.kept;
        let bodies = k.bodies.iter().filter_map(|(key, b)| Some((*key, Arc::as_ptr(b.as_ref().ok()?) as usize)));
        let bolt = |a: &Assembly| a.stands.iter().map(|s| Arc::as_ptr(&s.mesh) as usize).sum();
        let parts = k.parts.iter().map(|(key, a)| (*key, bolt(a)));
        let pictures = k.pictures.iter().map(|(key, p)| (*key, p.1.strokes.as_ptr() as usize));
        [bodies.collect(), parts.collect(), pictures.collect()]
    }

    #[test]
    fn a_changed_value_makes_only_its_own_part_anew() {
        let folder = tempfile::tempdir().unwrap();
        let demo = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("templates/jobs/hill-climb-buggy");
        for name in ["job.toml", "bin.toml"] {
            std::fs::copy(demo.join(name), folder.path().join(name)).unwrap();
        }
        let request = Request { job: folder.path().join("job.toml"), bin: None };
        let mut live = Live::open(request, folder.path().join("out")).unwrap();
        live.change("pedal.joint", "97.5 mm", &Have::default()).unwrap();
        let before = places(&live);
        let anew = |live: &Live| {
            let now = places(live);
            let new = |k: usize| now[k].iter().filter(|(key, at)| before[k].get(key) != Some(at)).count();
            [new(0), new(1), new(2)]
        };
        live.change("pedal.joint", "97.5 mm", &Have::default()).unwrap();
        assert_eq!(anew(&live), [0, 0, 0], "nothing differs");
        live.change("pedal.joint", "98 mm", &Have::default()).unwrap();
        let pieces = live.kept.parts.len();
        let [bodies, parts, pictures] = anew(&live);
        assert!((1..=2).contains(&bodies) && parts == 1 && pictures == 1, "{bodies} bodies, {parts} parts, {pictures}");
        assert!(pieces > 5, "the demo has other parts: {pieces}");
    }
}
