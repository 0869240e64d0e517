//! What a template makes, as a picture beside its name: its usual answers, and its
//! examples where it has none. A picture answers nothing.

use crate::assembly::Assembly;
use crate::drawing::picture::{Picture, best_corner};
use crate::run::pictures::standing;
use crate::run::stand::stand;
use crate::run::{Start, example_answers, work_out};
use crate::solid::build_body_within;
use crate::template::Template;
use std::sync::Arc;

/// How far its meshes may lie from the true surfaces, mm: it is shown small.
const CHORD_MM: f64 = 0.5;

/// The picture; `None` where the template makes no body of its examples.
pub(super) fn picture(t: &Template) -> Option<Picture> {
    let start = Start { parts: vec![t.name.clone()], answers: example_answers(t), ..Start::default() };
    let loaded = super::trial::loaded(&crate::run::new::job_text(&start, &[t]), t).ok()?;
    let mut worked = work_out(&loaded).ok()?;
    let bodies = worked.pieces.iter().map(|p| build_body_within(p, CHORD_MM).map(Arc::new)).collect();
    let stood = stand(&loaded, &mut worked, bodies, Assembly::of_part);
    let (_, part) = stood.parts.first()?;
    (!part.stands.is_empty()).then(|| best_corner(&standing(&worked.pieces, &part.stands)).1)
}

#[cfg(test)]
mod tests {
    #[test]
    fn every_built_in_template_has_a_picture() {
        for t in crate::run::templates() {
            let picture = super::picture(&t);
            assert!(picture.is_some_and(|p| p.bounds().is_some_and(|b| b.width() > 1.0)), "{}", t.name);
        }
    }
}
