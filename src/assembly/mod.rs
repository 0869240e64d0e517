//! Parts put together: where every body stands, whether the holes of
//! neighbours lie in one line, and whether two bodies want the same space.
//!
//! ```text
//!   piece in its body frame -> part (place of the template)
//!                           -> vehicle (place of the job)
//! ```
//!
//! A thing whose place nobody told stands loose beside the others and takes no
//! part in the fit.

mod bodies;
mod clash;
mod mate;
mod tree;

#[cfg(test)]
mod tests;

pub use clash::{CLASH_MM, Clash, clashes};
pub use mate::{MATE_MM, Mated, Misfit, mates};

use crate::expr::Faint;
use crate::flat::opposite_hand;
use crate::piece::{Bolt, Drill, Hand, Piece, drills, far_end, mirrored};
use crate::solid::{Body, Mesh};
use crate::space::{Box3, Frame, Point3};
use std::sync::Arc;

/// A part with what stands in it and where it stands itself.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct PartStands {
    /// Name of the part.
    pub name: String,
    /// Its pieces: indices into the job's pieces.
    pub pieces: Vec<usize>,
    /// How many are made.
    pub made: u32,
    /// Where they stand on the vehicle; as many as are told, `made` at most.
    pub stands: Vec<Frame>,
    /// Bolts of one part.
    pub bolts: Vec<Bolt>,
    /// What is there already round one part.
    pub faint: Vec<Faint>,
    /// Whether it is the mirror image of what the template draws.
    pub mirrored: bool,
}

/// What a standing body is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The piece with this index.
    Piece(usize),
    /// A bolt with its nut.
    Bolt,
    /// There already.
    Faint,
}

/// One body where it stands.
#[derive(Clone, Debug)]
pub struct Stand {
    /// `part/piece` with its number, or what the bolt or thing is called.
    pub name: String,
    /// Part that it belongs to; empty for a thing of the job.
    pub part: String,
    /// What it is.
    pub kind: Kind,
    /// Its skin.
    pub mesh: Arc<Mesh>,
    /// Where it stands.
    pub frame: Frame,
    /// Nobody told where it stands; loose things of one number stand together.
    pub loose: Option<u32>,
    /// Its holes, in its own frame.
    pub drills: Vec<Drill>,
    /// A bolt: diameter of its shank, and how long it is from under the head, mm.
    pub shank: Option<(f64, f64)>,
}

/// Bodies that stand together.
#[derive(Clone, Debug, Default)]
pub struct Assembly {
    /// The bodies.
    pub stands: Vec<Stand>,
}

/// The skin of a bolt, and how far its shank reaches, mm.
type Shank = (Arc<Mesh>, f64);

/// Free between things that stand loose, mm.
const BESIDE_MM: f64 = 40.0;

impl Stand {
    /// The upright box round it, mm.
    pub fn bounds(&self) -> Option<Box3> {
        Box3::of(self.mesh.positions.iter().map(|p| self.frame.place(*p)))
    }
}

impl Assembly {
    /// One part in its own frame. A piece without a body is left out; the person
    /// is told of it where its body is made.
    pub fn of_part(part: &PartStands, pieces: &[Piece], bodies: &[Option<Arc<Body>>]) -> Assembly {
        let mut out = Assembly::default();
        let alone = part.pieces.len() == 1;
        for &i in &part.pieces {
            let Some(body) = bodies.get(i).and_then(Option::as_ref) else { continue };
            let piece = &pieces[i];
            let each = (piece.copies / part.made.max(1)) as usize;
            let drills = drills(piece);
            let end = far_end(&if piece.hand == Some(Hand::Right) { opposite_hand(piece) } else { piece.clone() });
            let usual = [Frame::default()];
            let told: &[Frame] = if piece.places.is_empty() && alone && each == 1 { &usual } else { &piece.places };
            for k in 0..each {
                let place = told.get(k).map(|f| if part.mirrored { mirrored(f, &end) } else { *f });
                out.stands.push(Stand {
                    name: numbered(&piece.key(), k, each),
                    part: part.name.clone(),
                    kind: Kind::Piece(i),
                    mesh: body.mesh.clone(),
                    frame: place.unwrap_or_default(),
                    loose: place.is_none().then_some((out.stands.len()) as u32),
                    drills: drills.clone(),
                    shank: None,
                });
            }
        }
        let own = |f: &Frame, along: f64| {
            let end = Frame::default().moved(Point3::new(along, 0.0, 0.0));
            if part.mirrored { mirrored(f, &end) } else { *f }
        };
        // Bolts of one size are worked out once; each is a body of its own all the same.
        let mut known: Vec<(&Bolt, Option<Shank>)> = vec![];
        for b in &part.bolts {
            let alike = |k: &&(&Bolt, _)| k.0.diameter == b.diameter && k.0.grip == b.grip;
            let made = match known.iter().find(alike) {
                Some((_, made)) => made.as_ref().map(|(mesh, length)| (of_its_own(mesh), *length)),
                None => {
                    let made = bodies::bolt(b);
                    known.push((b, made.clone()));
                    made
                }
            };
            if let Some((mesh, length)) = made {
                out.stands.push(Stand {
                    name: format!("{}, {}", part.name, b.name),
                    part: part.name.clone(),
                    kind: Kind::Bolt,
                    mesh,
                    frame: own(&b.place, 0.0),
                    loose: None,
                    drills: vec![],
                    shank: Some((b.diameter.to_mm(), length)),
                });
            }
        }
        for f in &part.faint {
            out.add_faint(&part.name, f, own(&f.place, f.size.x));
        }
        out.put_beside();
        out
    }

    /// A whole job: parts where they stand, and what is there already.
    pub fn of_job(parts: &[PartStands], pieces: &[Piece], bodies: &[Option<Arc<Body>>], faint: &[Faint]) -> Assembly {
        let put = |p: &PartStands| (p.clone(), Assembly::of_part(p, pieces, bodies));
        Assembly::of_parts(&parts.iter().map(put).collect::<Vec<_>>(), faint)
    }

    /// The same of parts that are put together already.
    pub fn of_parts(parts: &[(PartStands, Assembly)], faint: &[Faint]) -> Assembly {
        let mut out = Assembly::default();
        for f in faint {
            out.add_faint("", f, f.place);
        }
        let mut group = 0;
        for (part, one) in parts {
            let whose = |s: &Stand| if matches!(s.kind, Kind::Piece(_)) { s.mesh.clone() } else { of_its_own(&s.mesh) };
            let meshes: Vec<Arc<Mesh>> = one.stands.iter().map(whose).collect();
            for k in 0..part.made as usize {
                let place = part.stands.get(k);
                group += 1;
                for (s, mesh) in one.stands.iter().zip(&meshes) {
                    // The job's own things stand for those of its parts; round a part
                    // whose place is not known they mean nothing.
                    if s.kind == Kind::Faint && (place.is_none() || !faint.is_empty()) {
                        continue;
                    }
                    let at = place.copied().unwrap_or_default();
                    let name = numbered(&s.name, k, part.made as usize);
                    let loose = (place.is_none() || s.loose.is_some()).then_some(group);
                    let (frame, mesh) = (at.of(&s.frame), Arc::clone(mesh));
                    out.stands.push(Stand { name, frame, loose, mesh, ..s.clone() });
                }
            }
        }
        out.put_beside();
        out
    }

    fn add_faint(&mut self, part: &str, f: &Faint, frame: Frame) {
        if let Some(mesh) = bodies::faint(f) {
            self.stands.push(Stand {
                name: f.name.clone(),
                part: part.to_string(),
                kind: Kind::Faint,
                mesh,
                frame,
                loose: None,
                drills: vec![],
                shank: None,
            });
        }
    }

    /// Loose groups in rows to the right of what stands in its place.
    fn put_beside(&mut self) {
        let told = self.stands.iter().filter(|s| s.loose.is_none()).filter_map(Stand::bounds);
        let (mut x, front, deep) = match told.reduce(|a, b| a.union(&b)) {
            Some(b) => (b.high.x + BESIDE_MM, b.low.y, b.size().y.max(200.0)),
            None => (0.0, 0.0, 600.0),
        };
        let mut y = front;
        let mut widest = 0.0_f64;
        let mut groups: Vec<u32> = self.stands.iter().filter_map(|s| s.loose).collect();
        groups.dedup();
        for g in groups {
            let mine = self.stands.iter().filter(|s| s.loose == Some(g)).filter_map(Stand::bounds);
            let Some(round) = mine.reduce(|a, b| a.union(&b)) else { continue };
            let (low, size) = (round.low, round.size());
            if y > front && y + size.y > front + deep {
                (x, y, widest) = (x + widest + BESIDE_MM, front, 0.0);
            }
            let by = Point3::new(x - low.x, y - low.y, -low.z);
            for s in self.stands.iter_mut().filter(|s| s.loose == Some(g)) {
                s.frame = s.frame.moved(by);
            }
            y += size.y + BESIDE_MM;
            widest = widest.max(size.x);
        }
    }

    /// Those that take part in the fit.
    pub fn fitted(&self) -> impl Iterator<Item = &Stand> {
        self.stands.iter().filter(|s| s.loose.is_none() && s.kind != Kind::Faint)
    }
}

/// The same skin as one by itself: bodies that share theirs are written once.
fn of_its_own(mesh: &Arc<Mesh>) -> Arc<Mesh> {
    Arc::new(Mesh::clone(mesh))
}

/// A name with its number where there are several.
fn numbered(name: &str, k: usize, of: usize) -> String {
    if of > 1 { format!("{name} {}", k + 1) } else { name.to_string() }
}
