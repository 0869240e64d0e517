//! Which measured value belongs to which tape of which sketch.

use crate::drawing::draw_sketch;
use crate::geom::Point;
use crate::job::{Given, Job, Part};
use crate::page::{SKETCH_ROOM, SketchBoxes};
use crate::run::measure::measuring_sheet;
use crate::template::Template;

/// The sketches of a job's templates, each once, with the readings that a
/// measured value answers by its bare name.
pub(super) fn sketches(job: &Job, templates: &[Template]) -> Vec<SketchBoxes> {
    let mut out: Vec<SketchBoxes> = vec![];
    let mut seen: Vec<&str> = vec![];
    for part in &job.parts {
        let Some(template) = templates.iter().find(|t| t.name == part.template.value && !t.faulty) else { continue };
        if seen.contains(&template.name.as_str()) {
            continue;
        }
        seen.push(&template.name);
        let sheet = measuring_sheet(template, job.units);
        let Some(sketch) = draw_sketch(&sheet, Point::default(), SKETCH_ROOM) else { continue };
        let mut boxes: Vec<(String, String)> = vec![];
        for tape in &sketch.tapes {
            // Copies of a part are measured at several places: each has its box at the same tape.
            for given in answers(job, &template.name).filter(|g| g.0 == tape.name) {
                let one = (tape.name.clone(), given.2.value.trim().to_string());
                if job.measured.formulas.contains_key(&one.1) && !boxes.contains(&one) {
                    boxes.push(one);
                }
            }
        }
        if !boxes.is_empty() {
            out.push(SketchBoxes { part: part.name.clone(), sketch, boxes });
        }
    }
    out
}

/// All answers that parts of a template are given, copies too.
fn answers<'a>(job: &'a Job, template: &'a str) -> impl Iterator<Item = &'a Given> {
    let own = move |p: &&Part| p.template.value == template;
    job.parts.iter().filter(own).flat_map(|p| p.given.iter().chain(p.copies.iter().flat_map(|c| &c.given)))
}
