//! Pieces, bolts and things round a template that another one uses: called after
//! the use, and standing where its place says.

use super::{Builder, Request, build_part};
use crate::piece::{Piece, Scene};
use crate::space::Frame;
use crate::template::Used;

impl Builder<'_> {
    /// All that one use brings.
    pub(super) fn used(&mut self, used: &Used) -> (Vec<Piece>, Scene) {
        let Some(obj) = self.template.obj.list("uses").get(used.index) else { return Default::default() };
        let frames = self.places(obj);
        if frames.len() > used.count as usize {
            let message = format!("`{}` has {} places; its count is {}", used.name, frames.len(), used.count);
            let help = format!("take a place out, or write count = {}", frames.len());
            self.fault("too-many-places", message, obj.span.clone(), &help);
            return Default::default();
        }
        let copies = self.request.copies.saturating_mul(used.count);
        let request = Request { copies, ..self.request.clone() };
        let (mut pieces, mut scene) = build_part(&used.template, &used.inside, &request, self.out);
        if obj.flag("bolts") == Some(false) {
            scene.bolts.clear();
        }
        if obj.flag("faint") == Some(false) {
            scene.faint.clear();
        }
        let alone = pieces.len() == 1;
        for p in &mut pieces {
            p.name = format!("{}/{}", used.name, p.name);
            // The only piece of a part stands at the part's own origin.
            if p.places.is_empty() && alone && p.copies == copies {
                p.places = vec![Frame::default()];
            }
            p.places = frames.iter().flat_map(|f| p.places.iter().map(|own| f.of(own))).collect();
        }
        let mut round = Scene::default();
        for f in &frames {
            round.bolts.extend(scene.bolts.iter().cloned().map(|mut b| {
                b.place = f.of(&b.place);
                b
            }));
            round.faint.extend(scene.faint.iter().cloned().map(|mut t| {
                t.place = f.of(&t.place);
                t
            }));
        }
        (pieces, round)
    }
}
