//! `droprack new`: at a terminal it asks a few questions, else it writes the starter.

use super::{DONE, FAILED, NewArguments, aside, note};
use crate::run::{Start, new_folder, templates_near};
use crate::source::{Disk, toml_files};
use crate::template::Template;
use std::io::{BufRead, IsTerminal, Write};
use std::path::Path;

pub(super) fn new(arguments: &NewArguments) -> u8 {
    let dir = &arguments.dir;
    if arguments.template.is_none() && (dir.join("job.toml").exists() || dir.join("bin.toml").exists()) {
        note(&format!("{} holds a job or a bin already; nothing was written\n", dir.display()));
        return FAILED;
    }
    let told = Start {
        title: arguments.title.clone().unwrap_or_default(),
        inch: arguments.inch,
        parts: arguments.part.clone(),
        template: arguments.template.clone(),
        answers: vec![],
    };
    let asks = arguments.template.is_none()
        && arguments.part.is_empty()
        && std::io::stdin().is_terminal()
        && std::io::stderr().is_terminal();
    let known = known_templates(dir);
    let start = if asks { ask(told, &known) } else { told };
    let written = new_folder(&start, &known).and_then(|f| f.write_new(dir).map_err(|e| e.to_string()));
    if let Err(e) = written {
        note(&format!("{e}\n"));
        return FAILED;
    }
    let dir = dir.display();
    match &start.template {
        Some(name) => aside(&format!(
            "{dir}/{name}.toml is there. Change it, look it through, and name it in a job:\n\n  droprack check {dir}/{name}.toml\n  droprack explain template\n"
        )),
        None => aside(&format!(
            "{dir}/job.toml and {dir}/bin.toml are there. Print {dir}/measuring-sheet.pdf, measure, change the numbers, then:\n\n  droprack make {dir}/job.toml\n"
        )),
    }
    DONE
}

/// Built-in templates, and one's own in this folder or in the new one.
fn known_templates(dir: &Path) -> Vec<Template> {
    let here = toml_files(Path::new("."));
    let there = toml_files(dir).into_iter().map(|f| dir.join(f));
    templates_near(&Disk, Path::new(""), &here.into_iter().chain(there).collect::<Vec<_>>())
}

/// A line that a person types; empty when there is none.
pub(super) fn answer(question: &str) -> String {
    let mut err = std::io::stderr().lock();
    let _ = write!(err, "{question} ");
    let _ = err.flush();
    let mut line = String::new();
    // A closed terminal answers nothing, and the usual answers are taken.
    let _ = std::io::stdin().lock().read_line(&mut line);
    line.trim().to_string()
}

fn ask(mut start: Start, all: &[Template]) -> Start {
    if !start.inch {
        start.inch = answer("Which tape do you use, mm or inch? [mm]").to_lowercase().starts_with('i');
    }
    if start.title.is_empty() {
        start.title = answer("What are you building? [My first bracket]");
    }
    note("Which parts does it need? Numbers with blanks between, or none for an example:\n");
    for (i, t) in all.iter().enumerate() {
        note(&format!("  {} {}: {}\n", i + 1, t.name, t.says));
    }
    let chosen = answer("Parts:");
    for word in chosen.split([' ', ',']).filter(|w| !w.is_empty()) {
        let by_number = word.parse::<usize>().ok().and_then(|n| all.get(n.wrapping_sub(1)));
        match by_number.or_else(|| all.iter().find(|t| t.name == word)) {
            Some(t) => start.parts.push(t.name.clone()),
            None => note(&format!("{word} is none of them and is left out\n")),
        }
    }
    start
}
