//! Bolts of a template and what is there already round its part.

use super::Builder;
use crate::expr::Faint;
use crate::piece::{Bolt, Scene};
use crate::source::Obj;
use crate::space::Frame;

impl Builder<'_> {
    /// Where the pieces of one part stand; nothing said, one piece stands at the
    /// part's own origin when it is the only one.
    pub(super) fn places(&mut self, obj: &Obj) -> Vec<Frame> {
        obj.list("place").iter().flat_map(|p| self.scope.frames(p, self.out)).collect()
    }

    pub(super) fn scene(&mut self) -> Scene {
        let obj = &self.template.obj;
        let mut scene = Scene::default();
        for b in obj.list("bolt") {
            let frames = self.scope.frames(b, self.out);
            if frames.is_empty() {
                continue;
            }
            let (diameter, grip) = (self.length(b, "size"), self.length(b, "grip"));
            let (Some(diameter), Some(grip)) = (diameter, grip) else { continue };
            let name = b.word("name").unwrap_or("bolt").to_string();
            scene.bolts.extend(frames.into_iter().map(|place| Bolt { name: name.clone(), diameter, grip, place }));
        }
        for f in obj.list("faint") {
            let frames = self.scope.frames(f, self.out);
            if frames.is_empty() {
                continue;
            }
            scene.faint.extend(Faint::read(f, frames, self.scope, self.out));
        }
        scene
    }
}
