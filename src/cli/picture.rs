//! The command that looks at bodies.

use super::commands::outcome;
use super::{DONE, FAILED, JobArguments, PictureArguments, Side, note, say};
use crate::drawing::picture::Look;
use crate::report::CAUTIONS;
use crate::run::picture_of;
use crate::source::write_over;

fn look(side: Side) -> Look {
    match side {
        Side::RightCorner => Look::RightCorner,
        Side::LeftCorner => Look::LeftCorner,
        Side::Front => Look::Front,
        Side::Back => Look::Back,
        Side::Top => Look::Top,
        Side::Bottom => Look::Bottom,
        Side::Right => Look::Right,
        Side::Left => Look::Left,
    }
}

pub(super) fn picture(a: &PictureArguments) -> u8 {
    let failed = |why: String| {
        note(&format!("{why}; nothing was written\n"));
        FAILED
    };
    let ending = a.file.extension().map(|e| e.to_string_lossy().to_ascii_lowercase());
    let svg = match ending.as_deref() {
        Some("png") => false,
        Some("svg") => true,
        _ => return failed(format!("{}: a picture ends in .png or .svg", a.file.display())),
    };
    if svg && a.shaded {
        return failed("shaded pictures are PNG: end the file's name in .png".to_string());
    }
    let o = match outcome(&JobArguments { job: a.job.clone(), bin: None, json: false }) {
        Ok(o) => o.standing(None),
        Err(code) => return code,
    };
    let Some(stood) = &o.stood else { return failed("no bodies were made".to_string()) };
    let looks: Vec<Look> = a.from.iter().map(|s| look(*s)).collect();
    let written = picture_of(&o.worked, stood, a.of.as_deref(), &looks, a.shaded, svg)
        .and_then(|bytes| write_over(&a.file, &bytes).map_err(|e| e.to_string()));
    match written {
        Ok(()) => {
            stood.without.iter().for_each(|(key, why)| note(&format!("no body of {key}: {why}\n")));
            say(&format!("{} is written\n\n{CAUTIONS}\n", a.file.display()));
            DONE
        }
        Err(why) => failed(why),
    }
}
