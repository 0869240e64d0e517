//! The command that looks at bodies.

use super::commands::{outcome, stood};
use super::progress::Progress;
use super::{DONE, FAILED, JobArguments, PictureArguments, aside, note, quiet};
use crate::drawing::picture::Look;
use crate::report::CAUTIONS;
use crate::run::picture_of;
use crate::source::write_over;
use clap::builder::{PossibleValuesParser, TypedValueParser};

/// The sides that a picture can be taken from, as one word each.
pub(super) fn side() -> impl TypedValueParser<Value = Look> {
    let words = PossibleValuesParser::new(Look::ALL.map(Look::word));
    words.map(|said| Look::ALL.into_iter().find(|l| l.word() == said).unwrap_or(Look::RightCorner))
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
    let o = match outcome(&JobArguments { job: a.job.clone(), bin: None, json: false }.asked()) {
        Ok(o) => stood(o, None, false),
        Err(code) => return code,
    };
    let _told = Progress::of("drawing", false);
    let Some(stood) = &o.stood else { return failed("no bodies were made".to_string()) };
    let written = picture_of(&o.worked, stood, a.of.as_deref(), &a.from, a.shaded, svg)
        .and_then(|bytes| write_over(&a.file, &bytes).map_err(|e| e.to_string()));
    match written {
        Ok(()) => {
            let without = stood.without.iter().filter(|_| !quiet());
            without.for_each(|(key, why)| note(&format!("no body of {key}: {why}\n")));
            aside(&format!("{} is written\n\n{CAUTIONS}\n", a.file.display()));
            DONE
        }
        Err(why) => failed(why),
    }
}
