//! Which measured value belongs to which tape of which sketch.
//!
//! A value stands where the tape hooks for it: on a sketch of the layout whose key
//! reads it, else on that of a part whose question reads it. What reads it may be a
//! formula, as long as it reads nothing else that was measured.

use crate::drawing::{MeasuringSheet, Reading, draw_sketch, pedal_sheets, steering_sheets, tank_sheets};
use crate::expr::{Value, names_in};
use crate::geom::Point;
use crate::job::{Given, Job, Part, WrittenLayout, written_layouts};
use crate::page::{BENCH_ROOM, SketchBoxes};
use crate::run::measure::measuring_sheet;
use crate::source::Text;
use crate::template::Template;
use crate::units::Dim;
use std::collections::BTreeSet;

/// A reading, and the measured value that answers it.
type Answer = (String, String);

/// The sketches of a job's layouts and parts, with the readings that measured values
/// answer; every value stands on the first that has a tape for it.
pub(super) fn sketches(job: &Job, templates: &[Template], text: &str) -> Vec<SketchBoxes> {
    let mut out: Vec<SketchBoxes> = vec![];
    let mut placed: BTreeSet<String> = BTreeSet::new();
    for layout in written_layouts(text) {
        let answers: Vec<(Answer, &str)> =
            layout.texts.iter().filter_map(|(way, t)| Some(((way.clone(), read_by(job, t)?), t.as_str()))).collect();
        let asked = |way: &str| answers.iter().any(|a| a.0.0 == way);
        for mut sheet in layout_sheets(job, &layout, &asked) {
            for r in &mut sheet.readings {
                let found = answers.iter().find(|a| a.0.0 == r.name);
                found.iter().for_each(|(a, text)| part_of(r, text, job, &a.1));
            }
            let answers: Vec<Answer> = answers.iter().map(|a| a.0.clone()).collect();
            out.extend(on_sheet(sheet, &answers, &mut placed));
        }
    }
    for part in &job.parts {
        let Some(template) = templates.iter().find(|t| t.name == part.template.value && !t.faulty) else { continue };
        let answers: Vec<Answer> =
            given_of(part).filter_map(|g| Some((g.0.clone(), read_by(job, &g.2.value)?))).collect();
        if answers.iter().all(|a| placed.contains(&a.1)) {
            continue;
        }
        let mut sheet = measuring_sheet(template, job.units);
        sheet.part.clone_from(&part.name);
        out.extend(on_sheet(sheet, &answers, &mut placed));
    }
    out
}

fn layout_sheets(job: &Job, layout: &WrittenLayout, asked: &dyn Fn(&str) -> bool) -> Vec<MeasuringSheet> {
    let all = &job.layouts;
    match layout.kind {
        "tank" => all.tanks.iter().find(|t| t.told.name == layout.name).map(|t| tank_sheets(&t.told, asked)),
        "pedal" => all.pedals.iter().find(|p| p.told.name == layout.name).map(|p| pedal_sheets(&p.told, asked)),
        _ => all.steering.iter().find(|s| s.told.name == layout.name).map(|s| steering_sheets(&s.told, asked)),
    }
    .unwrap_or_default()
}

/// The sketch with those tapes alone that have a box which stands nowhere else yet.
fn on_sheet(mut sheet: MeasuringSheet, answers: &[Answer], placed: &mut BTreeSet<String>) -> Option<SketchBoxes> {
    let mut boxes: Vec<Answer> = vec![];
    sheet.cross.clear();
    sheet.readings.retain(|r| {
        // Copies of a part are measured at several places: each has its box at the same tape.
        let own = answers.iter().filter(|a| r.tape.is_some() && a.0 == r.name);
        let before = boxes.len();
        for a in own {
            if placed.insert(a.1.clone()) {
                boxes.push(a.clone());
            }
        }
        boxes.len() > before
    });
    if boxes.is_empty() {
        return None;
    }
    let part = sheet.part.clone();
    let sketch = draw_sketch(&sheet, Point::default(), BENCH_ROOM)?;
    Some(SketchBoxes { part, sketch, boxes })
}

/// The measured length or angle that a text reads, where it reads that one name and no other.
fn read_by(job: &Job, text: &str) -> Option<String> {
    let mut names = BTreeSet::new();
    names_in(text, &mut names);
    let measured = |n: &String| job.measured.formulas.contains_key(n);
    let [name] = &names.iter().filter(|n| measured(n)).collect::<Vec<_>>()[..] else { return None };
    let taped =
        matches!(job.measured.values.get(*name), Some(Value::Quantity(_, d)) if *d == Dim::LENGTH || *d == Dim::ANGLE);
    (taped && names.len() == 1).then(|| (*name).clone())
}

/// Where a key is some times what was measured, the tape goes over that part only:
/// twice from the middle to a rail is taped once, from the middle.
fn part_of(r: &mut Reading, text: &str, job: &Job, name: &str) {
    let (Some((from, to)), Some(Value::Quantity(one, Dim::LENGTH))) = (r.tape, job.measured.values.get(name)) else {
        return;
    };
    if text.contains(['+', '-']) {
        return;
    }
    let whole = job.measured.quantity(&Text::made(text, job.file), Dim::LENGTH, &mut vec![]);
    if let Some(whole) = whole.filter(|w| *one > 0.0 && *w > one * 1.01) {
        r.tape = Some((to + (from - to) * (one / whole), to));
    }
}

/// All answers that a part is given, its copies' too.
fn given_of(p: &Part) -> impl Iterator<Item = &Given> {
    p.given.iter().chain(p.copies.iter().flat_map(|c| &c.given))
}

#[cfg(test)]
mod tests {
    use crate::run::Request;
    use crate::run::live::Live;
    use std::path::PathBuf;

    /// The rows of the boxes on the page of a job of the repository.
    fn rows(text: Option<(&str, &str)>) -> Vec<String> {
        let own = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("templates/jobs/hill-climb-buggy/job.toml");
        let mut live = Live::open(Request { job: own, bin: None }, PathBuf::new()).unwrap();
        if let Some((old, new)) = text {
            assert!(live.text.contains(old));
            live.text = live.text.replacen(old, new, 1);
        }
        let page = live.page();
        page.split("<li class=\"value").skip(1).map(|r| r.split("</li>").next().unwrap_or("").to_string()).collect()
    }

    fn of<'a>(rows: &'a [String], name: &str) -> &'a str {
        rows.iter().find(|r| r.contains(&format!("data-name=\"{name}\""))).map_or("", String::as_str)
    }

    #[test]
    fn every_length_and_angle_of_the_demo_stands_where_its_tape_hooks() {
        let rows = rows(None);
        assert!(rows.len() >= 19, "{}", rows.len());
        for row in &rows {
            assert!(row.contains("data-place=\"") && row.contains("class=\"letter\""), "on no sketch: {row}");
        }
        assert!(of(&rows, "gap.rear_left").contains("seen from above/station rear/gap_left"));
        assert!(of(&rows, "column.shaft").contains("data-tape=\""), "{}", of(&rows, "column.shaft"));
    }

    #[test]
    fn a_formula_that_reads_one_name_has_its_box_and_one_that_reads_two_has_none() {
        let one = rows(Some(("joint = \"pedal.joint\"", "joint = \"pedal.joint + 2 mm\"")));
        assert!(of(&one, "pedal.joint").contains("Brake pedal, seen from the side/joint"));
        let two = rows(Some(("joint = \"pedal.joint\"", "joint = \"pedal.joint + column.shaft / 100\"")));
        assert!(of(&two, "pedal.joint").contains("data-tape=\"\""), "{}", of(&two, "pedal.joint"));
        assert!(!two.is_empty() && !of(&two, "column.shaft").contains("data-tape=\"\""));
    }
}
