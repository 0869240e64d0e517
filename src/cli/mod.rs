//! Arguments, terminal, exit code: a command is arguments to a request to one call.

mod bin;
mod bin_ask;
mod bin_words;
mod commands;
mod examples;
mod input;
mod large;
mod learn;
mod new;
mod page;
mod picture;
mod progress;
mod shell;
mod tell;
mod watch;

use crate::cut::Effort;
use crate::drawing::picture::Look;
use clap::{Parser, Subcommand};
use std::io::{IsTerminal, Write};
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};

/// From tape-measure readings to brackets, full-size paper and a saw list.
#[derive(Parser)]
#[command(name = "droprack", version, about, after_help = crate::report::CAUTIONS)]
struct Arguments {
    /// No notes and no progress; only what was asked for, and errors
    #[arg(long, short, global = true)]
    quiet: bool,
    #[command(subcommand)]
    command: Command,
}

#[derive(clap::Args)]
struct JobArguments {
    /// The job file; - reads the job from standard input, and templates and bin from the current folder
    job: PathBuf,
    /// The scrap bin, instead of the one that the job names
    #[arg(long)]
    bin: Option<PathBuf>,
    /// Print one JSON object and nothing else
    #[arg(long)]
    json: bool,
}

#[derive(clap::Args)]
struct NewArguments {
    /// The folder, which must not hold a job yet
    dir: PathBuf,
    /// What is being built
    #[arg(long)]
    title: Option<String>,
    /// Inches instead of millimetres
    #[arg(long)]
    inch: bool,
    /// A part to begin with, by its template; may be given several times
    #[arg(long, value_name = "TEMPLATE")]
    part: Vec<String>,
    /// Write a commented template of this name instead of a job; a built-in name gives a copy to change
    #[arg(long, value_name = "NAME", conflicts_with_all = ["part", "title", "inch"])]
    template: Option<String>,
}

#[derive(clap::Args)]
struct PictureArguments {
    /// The job file
    job: PathBuf,
    /// Where to write it; the ending says what it becomes: .png or .svg
    file: PathBuf,
    /// The part, or part/piece, to look at; usually the whole job
    #[arg(long, value_name = "NAME")]
    of: Option<String>,
    /// From where to look; may be given several times. Usually front, right, top and a corner
    #[arg(long, value_name = "SIDE", value_parser = picture::side())]
    from: Vec<Look>,
    /// Faces shaded under the lines (PNG only)
    #[arg(long)]
    shaded: bool,
}

/// Patience for the cut plan, in work and never in seconds.
#[derive(Clone, Copy, clap::ValueEnum)]
enum Patience {
    /// A glance
    Quick,
    /// Enough to prove a home job
    Normal,
    /// For a large order: some minutes
    Long,
}

impl Patience {
    fn effort(self) -> Effort {
        match self {
            Patience::Quick => Effort::QUICK,
            Patience::Normal => Effort::NORMAL,
            Patience::Long => Effort::LONG,
        }
    }
}

#[derive(Clone, Copy, clap::ValueEnum)]
enum FileKind {
    Job,
    Template,
    Bin,
}

#[derive(Subcommand)]
enum Command {
    /// A new folder: a commented job and bin, and a measuring sheet to print
    #[command(after_help = examples::NEW)]
    New(NewArguments),
    /// Everything: paper, patterns, meshes, checks, cut plan
    #[command(after_help = examples::MAKE)]
    Make {
        #[command(flatten)]
        job: JobArguments,
        /// Where the results go; usually output/<job's folder>, or output/standard-input
        #[arg(long)]
        out: Option<PathBuf>,
        /// How far a mesh may lie from the true surface; usually 0.1 mm
        #[arg(long, value_name = "LENGTH")]
        chord: Option<String>,
        /// How long the cut plan may be searched and proved
        #[arg(long, value_enum, default_value = "normal")]
        effort: Patience,
        /// Name every file with what it is, instead of the summary
        #[arg(long)]
        list: bool,
        /// Run again whenever the job, its templates or its bin change; Ctrl-C ends it
        #[arg(long, conflicts_with = "json")]
        watch: bool,
    },
    /// The checks only; of a template file: whether it works at the corners of its ranges
    #[command(after_help = examples::CHECK)]
    Check {
        #[command(flatten)]
        job: JobArguments,
        /// What a reading that is out by so much would change, like tank.width=±5mm; may be given several times
        #[arg(long, value_name = "NAME=±AMOUNT")]
        around: Vec<String>,
        /// Run again whenever the job, its templates or its bin change; Ctrl-C ends it
        #[arg(long, conflicts_with = "json")]
        watch: bool,
    },
    /// A picture of the job, a part or a piece from the sides you ask for, as PNG or SVG
    #[command(after_help = examples::PICTURE)]
    Picture(PictureArguments),
    /// The job as a page in the browser: change a measured value and everything follows; without a job it starts one
    #[command(after_help = examples::PAGE)]
    Page(page::PageArguments),
    /// Flat patterns: developed lengths, bend lines, hole positions
    #[command(after_help = examples::FLAT)]
    Flat {
        #[command(flatten)]
        job: JobArguments,
    },
    /// The cut plan only
    #[command(after_help = examples::CUT)]
    Cut {
        #[command(flatten)]
        job: JobArguments,
        /// How long the plan may be searched and proved
        #[arg(long, value_enum, default_value = "normal")]
        effort: Patience,
    },
    /// What a changed job does to pieces that are made already: what stays, is drilled, cut down or made again
    #[command(after_help = examples::COMPARE)]
    Compare {
        /// The job file of then, or the job.json that `make` wrote of it
        old: PathBuf,
        #[command(flatten)]
        job: JobArguments,
    },
    /// The scrap bin: add, list, labels, book what was cut, undo
    #[command(after_help = examples::BIN)]
    Bin(bin::BinArguments),
    /// The templates, and the questions that one of them asks
    #[command(after_help = examples::PARTS)]
    Parts {
        /// A template's name
        name: Option<String>,
        /// Print one JSON object and nothing else
        #[arg(long)]
        json: bool,
    },
    /// The manual: job, template, bin, formulas, stock, or the code of a message or check
    #[command(after_help = examples::EXPLAIN)]
    Explain {
        /// A page or a code; all of them are listed when it is left out
        topic: Option<String>,
        /// Every published source of the handbook, with what rests on it and what rests on memory only
        #[arg(long, conflicts_with = "topic")]
        sources: bool,
        /// Print one JSON object and nothing else
        #[arg(long)]
        json: bool,
    },
    /// One page to measure your printer by: bars, a grid, diagonals
    #[command(after_help = examples::PRINTER_TEST)]
    PrinterTest {
        /// Where to write it
        #[arg(default_value = "printer-test.pdf")]
        file: PathBuf,
        /// Letter paper and inches instead of A4 and millimetres
        #[arg(long)]
        letter: bool,
    },
    /// A JSON Schema, so that an editor completes and underlines; knows the templates of this folder
    #[command(after_help = examples::SCHEMA)]
    Schema {
        /// Which file it is for
        kind: FileKind,
    },
    /// Completions for a shell, to standard output
    #[command(after_help = examples::COMPLETIONS)]
    Completions {
        /// Which shell
        shell: clap_complete::Shell,
    },
    /// The manual page, to standard output or, one page a command, into a folder
    #[command(after_help = examples::MANUAL_PAGE)]
    ManualPage {
        /// Where to write them
        folder: Option<PathBuf>,
    },
    /// What is built into this program, and under which licences
    #[command(after_help = examples::LICENCES)]
    Licences,
}

/// Exit status: done.
pub const DONE: u8 = 0;
/// Exit status: done, but a check failed or something cannot be cut.
pub const LOOK: u8 = 1;
/// Exit status: bad input or the machine failed; nothing was written.
pub const FAILED: u8 = 2;

/// Run the program on the arguments of the process.
pub fn main() -> u8 {
    // Started from a file manager: nobody is there to read a help text.
    if std::env::args_os().len() == 1 && !std::io::stdin().is_terminal() {
        return page::page(page::PageArguments::default());
    }
    match Arguments::try_parse() {
        Ok(arguments) => {
            QUIET.store(arguments.quiet, Ordering::Relaxed);
            commands::run(arguments.command)
        }
        Err(e) => {
            let asked = !e.use_stderr();
            // Nothing can be done about a closed terminal.
            let _ = e.print();
            if asked { DONE } else { FAILED }
        }
    }
}

/// Whether `--quiet` was given. It holds for the whole run of the program, as its
/// standard streams do.
static QUIET: AtomicBool = AtomicBool::new(false);

fn quiet() -> bool {
    QUIET.load(Ordering::Relaxed)
}

/// Print what was asked for to standard output; a closed pipe ends in silence.
fn say(text: &str) {
    let _ = std::io::stdout().lock().write_all(text.as_bytes());
}

/// Print to standard output what is good to know but was not asked for.
fn aside(text: &str) {
    if !quiet() {
        say(text);
    }
}

/// Print to standard error.
fn note(text: &str) {
    let _ = std::io::stderr().lock().write_all(text.as_bytes());
}
