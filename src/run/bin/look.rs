//! Looking at the bin: lists, labels, doubtful entries, what was done.

use super::{Opened, bare, disk, is_inch, opened, unreadable};
use crate::drawing::{Label, Paper, draw_labels};
use crate::export::pdf::write_pdf;
use crate::handbook::material;
use crate::piece::{Stock, profile_of};
use crate::run::Trouble;
use crate::run::load::{bin_path, cannot_read, nearest_bin};
use crate::source::{Disk, Files, read_record, record_numbers};
use crate::stock::{BinEntry, Record, show_line};
use crate::units::{Length, Mass, System, parse_length, same_size, show_length, show_size};
use std::path::{Path, PathBuf};

/// The nearest `bin.toml` from a folder upwards, or one in it that is not there yet.
pub fn nearest_bin_file(folder: &Path) -> PathBuf {
    nearest_bin(&Disk, folder).unwrap_or_else(|| folder.join("bin.toml"))
}

/// The bin of a job: told, named in the job, or the nearest one upwards.
///
/// # Errors
/// A job that cannot be read.
pub fn bin_file(job: &Path, told: Option<PathBuf>) -> Result<PathBuf, Trouble> {
    let text = Disk.read(job).map_err(|e| cannot_read(job, &e))?;
    let mut sources = crate::source::SourceMap::default();
    let file = sources.add("job", &text);
    let read = crate::job::read_job(file, sources.text(file).to_string().as_str(), &mut vec![]);
    let folder = job.parent().unwrap_or(Path::new(""));
    Ok(bin_path(&Disk, told, &read, folder).unwrap_or_else(|| folder.join("bin.toml")))
}

fn open(bin: &Path) -> Result<Opened, Trouble> {
    let text = Disk.read(bin).map_err(|e| {
        let help = "add a first offcut: droprack bin add \"flat bar 40 x 3 mm, 872 mm\"";
        bare("file", format!("cannot read the bin {}: {e}", bin.display()), help)
    })?;
    opened(bin, &text)
}

/// An offcut in a list.
#[derive(Clone, Debug)]
pub struct Listed {
    /// What it is.
    pub entry: BinEntry,
    /// Its keys in one line.
    pub line: String,
    /// What it weighs, if its section is known.
    pub mass: Option<Mass>,
}

/// What to list; everything where nothing is told.
#[derive(Clone, Debug, Default)]
pub struct Filter {
    /// Only these ids.
    pub ids: Vec<String>,
    /// Only this shape.
    pub shape: Option<String>,
    /// Only this size, as the trade says it.
    pub size: Option<String>,
    /// Only where the place has these words in it.
    pub place: Option<String>,
    /// Only what is at least so long.
    pub least: Option<String>,
}

/// The offcuts of a bin, and the units that it is written in.
///
/// # Errors
/// A bin that cannot be read, a filter that means nothing, an id that is not there.
pub fn list(bin: &Path, filter: &Filter) -> Result<(Vec<Listed>, System), Trouble> {
    let opened = open(bin)?;
    let no = |message: String, help: &str| bare("bin-line", message, help);
    let size = filter.size.as_deref().map(crate::units::parse_size).transpose();
    let size = size.map_err(|e| no(format!("--size: {}", e.message), "write it like \"40 x 3 mm\""))?;
    let least = filter.least.as_deref().map(|t| parse_length(t, None)).transpose();
    let least = least.map_err(|e| no(format!("--least: {}", e.message), "write it like \"600 mm\""))?;
    if let Some(shape) = filter.shape.as_deref().filter(|s| !crate::handbook::SHAPES.contains(s)) {
        let help = format!("one of: {}", crate::handbook::SHAPES.join(", "));
        return Err(no(format!("--shape: there is no shape \"{shape}\""), &help));
    }
    for id in &filter.ids {
        opened.find(id)?;
    }
    let wanted = |e: &BinEntry| {
        (filter.ids.is_empty() || filter.ids.contains(&e.id))
            && filter.shape.as_ref().is_none_or(|s| *s == e.stock.shape)
            && size.as_ref().is_none_or(|s| same_size(s, &e.stock.size))
            && filter.place.as_ref().is_none_or(|p| e.place.to_lowercase().contains(&p.to_lowercase()))
            && least.is_none_or(|l| e.length >= l)
    };
    let all = opened.offcuts().iter().zip(opened.obj.list("offcut")).filter(|(e, _)| wanted(e));
    let listed = all.map(|(e, o)| Listed { entry: e.clone(), line: show_line(o), mass: mass(e) }).collect();
    let inches = opened.obj.list("offcut").iter().filter_map(|o| o.word("length")).filter(|l| is_inch(l)).count();
    let system = if inches * 2 > opened.offcuts().len() { System::Inch } else { System::Metric };
    Ok((listed, system))
}

/// What an offcut weighs: its section times its length, a plate's area times its
/// thickness; `None` where the section is not known.
fn mass(e: &BinEntry) -> Option<Mass> {
    let steel = material::find(&e.stock.material)?;
    if let Some(width) = e.width {
        let whole = if e.outline.is_empty() {
            e.length.to_mm() * width.to_mm()
        } else {
            crate::geom::Loop::straight(&e.outline).area().abs()
        };
        let holes: f64 = e.holes.iter().map(|h| crate::geom::Loop::straight(h).area().abs()).sum();
        return Some(steel.mass_of((whole - holes) * e.stock.size.first()?.to_mm()));
    }
    Some(steel.mass_of(profile_of(&e.stock).ok()?.area_mm2() * e.length.to_mm()))
}

/// Labels of offcuts as a PDF.
///
/// # Errors
/// As [`list`]; a page that cannot be written (our own fault).
pub fn labels(bin: &Path, filter: &Filter, letter: bool) -> Result<(Vec<u8>, usize), Trouble> {
    let (listed, system) = list(bin, filter)?;
    if listed.is_empty() {
        return Err(bare("bin-id", "no offcut to label", "droprack bin list shows what is there"));
    }
    let label = |l: &Listed| {
        let e = &l.entry;
        let wide = e.width.map(|w| format!(" x {}", show_length(w, system))).unwrap_or_default();
        let mut lines = vec![
            format!("{} {}", e.stock.shape, show_size(&e.stock.size)),
            format!("{}{wide}, {}", show_length(e.length, system), e.stock.material),
        ];
        lines.extend((!e.place.is_empty()).then(|| e.place.clone()));
        lines.extend(e.remarks());
        Label { id: e.id.clone(), lines, code: l.line.clone() }
    };
    let labels: Vec<Label> = listed.iter().map(label).collect();
    let paper = if letter { Paper::Letter } else { Paper::A4 };
    let pdf = write_pdf("Labels", &draw_labels(&labels, paper), &[]);
    let pdf = pdf.map_err(|e| bare("bin-write", e, "report this: it is a fault of the program"))?;
    Ok((pdf.bytes, labels.len()))
}

/// Longest bar that is sold. Common practice, no source: 12 m, a lorry's bed.
const LONGEST_SOLD_MM: f64 = 12_200.0;

/// What looks like a slip of the tape or of the pen, in sentences: each with the
/// id that it is about.
///
/// # Errors
/// A bin that cannot be read; its faults are those of reading it.
pub fn bin_check(bin: &Path) -> Result<Vec<(String, String)>, Trouble> {
    let opened = open(bin)?;
    let all = opened.offcuts();
    let mut out = vec![];
    for (i, e) in all.iter().enumerate() {
        let mut say = |words: String| out.push((e.id.clone(), words));
        if e.length.to_mm() > LONGEST_SOLD_MM {
            say(format!("{} long: no bar is sold longer than 12 m", show_length(e.length, System::Metric)));
        }
        impossible_size(&e.stock).into_iter().for_each(&mut say);
        if let Some(near) = near_size(e, all) {
            say(format!("{} is nearly {near}: write the size it was sold as", show_size(&e.stock.size)));
        }
        let same = |o: &&BinEntry| {
            o.stock == e.stock
                && o.length == e.length
                && o.width == e.width
                && o.outline == e.outline
                && o.place == e.place
        };
        if let Some(twin) = all[..i].iter().find(same) {
            say(format!("the same as {} in size, length and place: is one bar in the bin twice?", twin.id));
        }
        if e.length.to_mm() < opened.bin.saw.keep.to_mm() / 4.0 && e.width.is_none() {
            let (is, keep) = (show_length(e.length, System::Metric), show_length(opened.bin.saw.keep, System::Metric));
            say(format!("{is} long, and remainders below {keep} do not go back: is it worth its place?"));
        }
    }
    Ok(out)
}

/// A wall thicker than half of its tube, a bar thicker than it is wide.
fn impossible_size(stock: &Stock) -> Option<String> {
    let size = show_size(&stock.size);
    let (last, rest) = stock.size.split_last()?;
    let least = rest.iter().copied().reduce(Length::min)?;
    match stock.shape.as_str() {
        "flat bar" if *last > least => Some(format!("flat bar {size}: thicker than it is wide")),
        "square tube" | "rectangular tube" | "round tube" if last.to_mm() * 2.0 >= least.to_mm() => {
            Some(format!("{} {size}: the wall leaves no room inside", stock.shape))
        }
        "angle" | "channel" if *last >= least => Some(format!("{} {size}: the wall is as thick as a leg", stock.shape)),
        "square tube" if !same_size(&rest[..1], &rest[1..]) => Some(format!("square tube {size}: its sides differ")),
        _ => None,
    }
}

/// A size within 3 % of another one in the bin that is more common there:
/// measured over paint or rust, most often.
fn near_size(e: &BinEntry, all: &[BinEntry]) -> Option<String> {
    let near = |o: &&BinEntry| {
        o.stock.shape == e.stock.shape
            && o.stock.material == e.stock.material
            && o.stock.size.len() == e.stock.size.len()
            && !same_size(&o.stock.size, &e.stock.size)
            && o.stock.size.iter().zip(&e.stock.size).all(|(a, b)| (*a - *b).abs().to_mm() <= 0.03 * a.to_mm())
    };
    let count = |size: &[Length]| {
        all.iter().filter(|o| o.stock.shape == e.stock.shape && same_size(&o.stock.size, size)).count()
    };
    let own = count(&e.stock.size);
    let other = all.iter().filter(near).max_by_key(|o| count(&o.stock.size))?;
    (count(&other.stock.size) > own).then(|| show_size(&other.stock.size))
}

/// A change as the history tells it.
#[derive(Clone, Debug)]
pub struct History {
    /// Its number.
    pub number: u64,
    /// `add`, `edit`, `remove`, `book` or `undo`.
    pub what: String,
    /// What was done.
    pub says: String,
    /// It was taken back later.
    pub taken_back: bool,
}

/// What was done to a bin, the last change first; `most` of them.
///
/// # Errors
/// A record that cannot be read.
pub fn history(bin: &Path, most: usize) -> Result<Vec<History>, Trouble> {
    let mut taken_back = vec![];
    let mut out = vec![];
    for number in record_numbers(bin).into_iter().rev().take(most) {
        let text = read_record(bin, number).map_err(|e| disk(&e))?;
        let record = Record::read(&text).map_err(|e| unreadable(number, &e))?;
        taken_back.extend(record.took_back);
        let taken_back = taken_back.contains(&number);
        out.push(History { number, what: record.what, says: record.says, taken_back });
    }
    Ok(out)
}
