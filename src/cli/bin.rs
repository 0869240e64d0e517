//! `droprack bin`: the scrap bin.

use super::bin_words::{booked_json, list_text, totals_json};
use super::input::read_input;
use super::tell::{diagnostics_json, run_json, tell, trouble};
use super::{DONE, FAILED, LOOK, aside, large, note, quiet, say};
use crate::report::{CAUTIONS, entry_json};
use crate::run::bin as ledger;
use crate::run::bin::{AddRequest, BookRequest, Filter};
use crate::run::usual_out;
use crate::source::{Disk, Files};
use crate::units::{parse_length, show_mass};
use serde_json::{Value, json};
use std::io::IsTerminal;
use std::path::{Path, PathBuf};

/// Most ids that are printed large.
const MOST_LARGE: usize = 6;

#[derive(clap::Args)]
pub(super) struct BinArguments {
    #[command(subcommand)]
    command: BinCommand,
    /// The bin; usually the nearest bin.toml from here upwards
    #[arg(long, global = true)]
    bin: Option<PathBuf>,
    /// Print one JSON object and nothing else
    #[arg(long, global = true)]
    json: bool,
}

#[derive(clap::Args, Default)]
struct Which {
    /// Only these ids
    ids: Vec<String>,
    /// Only this shape: flat bar, angle, plate, ...
    #[arg(long)]
    shape: Option<String>,
    /// Only this size: "40 x 3 mm"
    #[arg(long)]
    size: Option<String>,
    /// Only where the place has these words in it
    #[arg(long = "where", value_name = "PLACE")]
    place: Option<String>,
    /// Only what is at least so long: "600 mm"
    #[arg(long, value_name = "LENGTH")]
    least: Option<String>,
}

impl Which {
    fn filter(self) -> Filter {
        Filter { ids: self.ids, shape: self.shape, size: self.size, place: self.place, least: self.least }
    }
}

#[derive(clap::Subcommand)]
enum BinCommand {
    /// Add offcuts, each in one line: "angle 1-1/2 x 1-1/2 x 1/8, 2 ft 5-3/8 in, where rack B"
    ///
    /// Without a line it asks, at a terminal, or reads lines from standard input. A text whose
    /// first row names the keys of an offcut (shape, size, length, ...) is read as CSV.
    #[command(after_help = ADD_HELP)]
    Add {
        /// Lines, one offcut each; 3 x flat bar ... stands for three
        lines: Vec<String>,
        /// A file of lines or CSV; - is standard input
        #[arg(long)]
        file: Option<PathBuf>,
        /// Where they lie, if a line does not say it
        #[arg(long = "where", value_name = "PLACE")]
        place: Option<String>,
        /// A note for those that have none
        #[arg(long)]
        note: Option<String>,
        /// What they are made of, if a line does not say it
        #[arg(long)]
        material: Option<String>,
        /// Add the good lines though some are at fault
        #[arg(long)]
        skip_bad: bool,
    },
    /// What lies in the bin, with totals for each size
    List {
        #[command(flatten)]
        which: Which,
    },
    /// All that is known of an offcut
    Show {
        /// Its id
        id: String,
    },
    /// Change keys of an offcut: droprack bin edit F-03 "length=1480 mm" where="rack B"
    Edit {
        /// Its id
        id: String,
        /// key=value; nothing behind = takes the key out
        #[arg(required = true)]
        keys: Vec<String>,
    },
    /// Take offcuts out of the bin
    Remove {
        /// Their ids
        #[arg(required = true)]
        ids: Vec<String>,
    },
    /// A sheet of labels as PDF: id, size, length, and a code for a reader
    Labels {
        #[command(flatten)]
        which: Which,
        /// Where to write it
        #[arg(long, default_value = "labels.pdf")]
        file: PathBuf,
        /// Letter paper instead of A4
        #[arg(long)]
        letter: bool,
    },
    /// Slips of the tape and of the pen: twins, sizes that cannot be, lengths that nobody sells
    Check,
    /// After the steel is cut: what was used leaves the bin, what is worth keeping comes back
    Book {
        /// The job file
        job: PathBuf,
        /// The folder that make wrote to; usually output/<job's folder>
        #[arg(long)]
        out: Option<PathBuf>,
        /// Only the pieces of this part; may be given several times
        #[arg(long, value_name = "PART")]
        only: Vec<String>,
        /// What was really left of a bar: A-02="310 mm"; may be given several times
        #[arg(long, value_name = "ID=LENGTH")]
        left: Vec<String>,
    },
    /// Take back the last change, and with every further call the one before it
    Undo,
    /// What was done to the bin, the last change first
    History {
        /// So many at most
        #[arg(long, default_value_t = 20)]
        most: usize,
    },
}

const ADD_HELP: &str = "Parts of a line, between commas; the first is shape and size:
  872 mm                          length; plates: 600 x 400 mm
  stainless steel                 any material of the handbook
  where rack B                    also: note, from, held for, id
  galvanised                      also: painted, chromed, coating ...
  wall 2.9 mm, seam on top        tubes, as measured
  grade unknown, not weldable
  unusable 300 mm to 340 mm       a kink or a hole, from the left end
  left end 45 deg                 also: right end
  doubt 5 mm, measured twice      how much shorter it may be
  keep                            not to be used
  corner missing 200 x 100 mm     plates: upper right
  corners (0, 0) (600, 0) (600, 250) (0, 400) mm
  hole 50 mm at (100, 80) mm      plates; also 60 x 40 mm at (...)";

pub(super) fn run(arguments: BinArguments) -> u8 {
    let json = arguments.json;
    let told = arguments.bin;
    let bin = || told.clone().unwrap_or_else(|| ledger::nearest_bin_file(Path::new(".")));
    match arguments.command {
        BinCommand::Add { lines, file, place, note, material, skip_bad } => {
            let usual = [("where", place), ("note", note), ("material", material)];
            let usual = usual.into_iter().filter_map(|(k, v)| Some((k, v?))).collect();
            match texts(lines, file.as_deref()) {
                Ok(texts) => add(&AddRequest { bin: bin(), texts, usual, skip_bad }, json),
                Err(e) => sorry(&e),
            }
        }
        BinCommand::List { which } => list(&bin(), &which.filter(), json),
        BinCommand::Show { id } => show(&bin(), id, json),
        BinCommand::Edit { id, keys } => edit(&bin(), &id, &keys, json),
        BinCommand::Remove { ids } => changed(ledger::remove(&bin(), &ids), json, |()| {
            (format!("{} taken out of the bin\n", ids.join(", ")), json!({ "removed": ids }))
        }),
        BinCommand::Labels { which, file, letter } => labels(&bin(), &which.filter(), &file, letter, json),
        BinCommand::Check => check(&bin(), json),
        BinCommand::Book { job, out, only, left } => book(&job, told, out, only, &left, json),
        BinCommand::Undo => changed(ledger::undo(&bin()), json, |u| {
            (
                format!("took back change {} ({}): {}\n", u.number, u.what, u.says),
                json!({ "took_back": u.number, "what": u.what, "says": u.says }),
            )
        }),
        BinCommand::History { most } => history(&bin(), most, json),
    }
}

fn sorry(message: &str) -> u8 {
    note(&format!("{message}; nothing was written\n"));
    FAILED
}

/// A change that was asked for: with `--quiet` nothing is said of it when all is well.
fn changed<T>(result: Result<T, crate::run::Trouble>, json: bool, told: impl FnOnce(T) -> (String, Value)) -> u8 {
    if quiet() && !json {
        return result.map_or_else(|t| trouble(&t, false), |_| DONE);
    }
    done(result, json, told)
}

/// Words for a person or JSON, or the trouble.
fn done<T>(result: Result<T, crate::run::Trouble>, json: bool, told: impl FnOnce(T) -> (String, Value)) -> u8 {
    match result {
        Ok(value) => {
            let (words, object) = told(value);
            if json {
                run_json(&object)
            } else {
                say(&words)
            }
            DONE
        }
        Err(t) => trouble(&t, json),
    }
}

/// The texts of the lines, of a file or of standard input; a person is asked.
fn texts(lines: Vec<String>, file: Option<&Path>) -> Result<Vec<(String, String)>, String> {
    let one = lines.len() == 1;
    let name = |i: usize| if one { "the line".to_string() } else { format!("line {}", i + 1) };
    let mut out: Vec<(String, String)> = lines.into_iter().enumerate().map(|(i, l)| (name(i), l)).collect();
    let from_input = file.map_or(out.is_empty(), |f| f == Path::new("-"));
    if let Some(file) = file.filter(|_| !from_input) {
        let text = Disk.read(file).map_err(|e| format!("cannot read {}: {e}", file.display()))?;
        out.push((file.display().to_string(), text));
    }
    if from_input {
        if file.is_none() && std::io::stdin().is_terminal() {
            out.push(("your answers".to_string(), super::bin_ask::ask()));
            return Ok(out);
        }
        let text = read_input().map_err(|e| format!("cannot read standard input: {e}"))?;
        out.push(("standard input".to_string(), text));
    }
    Ok(out)
}

fn add(request: &AddRequest, as_json: bool) -> u8 {
    let added = match ledger::add(request) {
        Ok(added) => added,
        Err((t, good)) => {
            if !good.is_empty() && !as_json && !quiet() {
                note(&format!("understood, but not written while others are at fault:\n  {}\n\n", good.join("\n  ")));
            }
            let code = trouble(&t, as_json);
            if !good.is_empty() && !quiet() {
                note("mend the lines, or add the good ones with --skip-bad\n");
            }
            return code;
        }
    };
    tell(&added.left_out, &added.shown);
    if as_json {
        let entries: Vec<Value> = added.entries.iter().map(entry_json).collect();
        run_json(&json!({ "added": entries, "left_out": diagnostics_json(&added.left_out, &added.shown) }));
    } else if quiet() {
        // The ids are what one adds for: they are chalked on the bars.
        added.offcuts.iter().for_each(|(id, _)| say(&format!("{id}\n")));
    } else {
        if added.offcuts.len() <= MOST_LARGE {
            for (id, line) in &added.offcuts {
                say(&format!("\n{}{line}\n", large::letters(id)));
            }
            say("\nChalk each id on its bar.\n");
        } else {
            for (id, line) in &added.offcuts {
                say(&format!("{id:<8}{line}\n"));
            }
        }
        let n = added.offcuts.len();
        say(&format!("{n} {} in {}\n", if n == 1 { "offcut is" } else { "offcuts are" }, request.bin.display()));
    }
    if added.left_out.is_empty() { DONE } else { LOOK }
}

fn list(bin: &Path, filter: &Filter, as_json: bool) -> u8 {
    done(ledger::list(bin, filter), as_json, |(all, system)| {
        let objects: Vec<Value> = all
            .iter()
            .map(|l| {
                let mut o = entry_json(&l.entry);
                o["mass_kg"] = l.mass.map_or(Value::Null, |m| json!(libm::round(m.to_kg() * 1e3) / 1e3));
                o["line"] = json!(l.line);
                o
            })
            .collect();
        (list_text(bin, &all, system), json!({ "offcuts": objects, "totals": totals_json(&all) }))
    })
}

fn show(bin: &Path, id: String, as_json: bool) -> u8 {
    let filter = Filter { ids: vec![id], ..Filter::default() };
    done(ledger::list(bin, &filter), as_json, |(all, system)| {
        let Some(l) = all.first() else { return (String::new(), Value::Null) };
        let weight = l.mass.map_or(String::new(), |m| format!("\nweighs about {}", show_mass(m, system)));
        let mut o = entry_json(&l.entry);
        o["line"] = json!(l.line);
        (format!("{}\n{}{weight}\n", large::letters(&l.entry.id), l.line), o)
    })
}

fn edit(bin: &Path, id: &str, keys: &[String], as_json: bool) -> u8 {
    let mut pairs = vec![];
    for k in keys {
        let Some((key, value)) = k.split_once('=') else {
            return sorry(&format!("\"{k}\" has no =; write \"length=600 mm\""));
        };
        pairs.push((key.trim().to_string(), value.trim().to_string()));
    }
    changed(ledger::edit(bin, id, &pairs), as_json, |says| (format!("{says}\n"), json!({ "edited": says })))
}

fn labels(bin: &Path, filter: &Filter, file: &Path, letter: bool, as_json: bool) -> u8 {
    let (bytes, count) = match ledger::labels(bin, filter, letter) {
        Ok(l) => l,
        Err(t) => return trouble(&t, as_json),
    };
    if let Err(e) = crate::source::write_over(file, &bytes) {
        return sorry(&e.to_string());
    }
    let words = format!("{} is written: {count} labels\n", file.display());
    if as_json {
        run_json(&json!({ "file": file.display().to_string(), "labels": count }))
    } else {
        aside(&words)
    }
    DONE
}

fn check(bin: &Path, as_json: bool) -> u8 {
    match ledger::bin_check(bin) {
        Ok(told) => {
            if as_json {
                let one = |t: &(String, String)| json!({ "id": t.0, "says": t.1 });
                run_json(&json!({ "doubtful": told.iter().map(one).collect::<Vec<_>>() }));
            } else if told.is_empty() {
                aside("nothing in the bin looks like a slip\n");
            } else {
                told.iter().for_each(|(id, words)| say(&format!("{id}: {words}\n")));
            }
            if told.is_empty() { DONE } else { LOOK }
        }
        Err(t) => trouble(&t, as_json),
    }
}

fn book(
    job: &Path,
    told: Option<PathBuf>,
    out: Option<PathBuf>,
    only: Vec<String>,
    left: &[String],
    as_json: bool,
) -> u8 {
    let bin = match ledger::bin_file(job, told) {
        Ok(bin) => bin,
        Err(t) => return trouble(&t, as_json),
    };
    let mut measured = vec![];
    for l in left {
        let told = l.split_once('=').map(|(id, length)| (id.trim().to_string(), parse_length(length, None)));
        match told {
            Some((id, Ok(length))) if length.to_mm() >= 0.0 => measured.push((id, length)),
            Some((_, Err(e))) => return sorry(&format!("--left \"{l}\": {}", e.message)),
            _ => return sorry(&format!("--left \"{l}\" is no id with a length; write A-02=\"310 mm\"")),
        }
    }
    let plan = out.unwrap_or_else(|| usual_out(job)).join("job.json");
    let request = BookRequest { bin: bin.clone(), plan, only, left: measured };
    changed(ledger::book(&request), as_json, |b| (format!("{}\n{CAUTIONS}\n", b.text(&bin)), booked_json(&b)))
}

fn history(bin: &Path, most: usize, as_json: bool) -> u8 {
    done(ledger::history(bin, most), as_json, |all| {
        let object = |h: &ledger::History| json!({ "change": h.number, "what": h.what, "says": h.says, "taken_back": h.taken_back });
        let mut words = String::new();
        for h in &all {
            let back = if h.taken_back { " (taken back)" } else { "" };
            words += &format!("{:>5}  {:<7}{}{back}\n", h.number, h.what, h.says);
        }
        if all.is_empty() {
            words = "no change of this bin is recorded\n".to_string();
        }
        (words, json!({ "changes": all.iter().map(object).collect::<Vec<_>>() }))
    })
}
