//! A template checked without a job: at its usual values and at the corners
//! of its ranges.

use super::library::{Library, misnamed};
use super::load::Trouble;
use super::{Request, load, work_out};
use crate::checks::Verdict;
use crate::diag::{Diagnostic, FileId};
use crate::expr::{Scope, Value};
use crate::source::{Files, Memory, Obj, SourceMap};
use crate::template::{Answers, Template, answer};
use crate::units::{Dim, System};
use std::path::{Path, PathBuf};

/// Most pairs of extremes that are tried: neighbours first, then evenly spread.
const MOST_PAIRS: usize = 300;

/// Answers with which a template makes nothing.
#[derive(Clone, Debug, PartialEq)]
pub struct Break {
    /// Name and answer; whatever is not named has its usual answer.
    pub answers: Vec<(String, String)>,
    /// Code of the first fault.
    pub code: &'static str,
    /// The first fault.
    pub message: String,
}

/// What a template does without a job.
#[derive(Clone, Debug, Default)]
pub struct TemplateReport {
    /// Its name.
    pub name: String,
    /// Sets of answers tried.
    pub tried: usize,
    /// Of these, how many made a part.
    pub made: usize,
    /// Of these, how many with a failed check.
    pub with_failed_checks: usize,
    /// Pieces at the usual values.
    pub pieces: Vec<String>,
    /// Sets that the template's own limits refuse, as they should.
    pub refused: usize,
    /// Where it breaks.
    pub breaks: Vec<Break>,
    /// Notes.
    pub notes: Vec<Diagnostic>,
    /// The files that the notes lie in.
    pub shown: Vec<crate::diag::Shown>,
}

/// Check a template file.
///
/// # Errors
/// Its faults, or those of its pieces at the usual values.
pub fn check_template(files: &dyn Files, path: &Path) -> Result<TemplateReport, Trouble> {
    let text = files.read(path).map_err(|e| super::load::cannot_read(path, &e))?;
    let mut sources = SourceMap::default();
    let file = sources.add(&path.display().to_string(), &text);
    let mut out = vec![];
    let folder = job_folder(path);
    let mut library = Library::new(files, &folder);
    let stem = path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    let template = library.read((&stem, true), file, &mut sources, &mut out);
    out.extend(misnamed(&template, path));
    if out.iter().any(|d| d.severity == crate::diag::Severity::Error) {
        out.retain(|d| d.severity == crate::diag::Severity::Error);
        return Err(Trouble { diagnostics: out, shown: sources.shown().to_vec() });
    }
    let own = library.own.clone();
    let trial = Trial { template: &template, path, folder: &folder, text: sources.text(file), own: &own };
    let usual = example_answers(&template);
    let first = trial.run(&usual)?;
    let pieces = first.iter().map(|p| p.0.clone()).collect();
    let mut report = TemplateReport {
        name: template.name.clone(),
        tried: 1,
        made: 1,
        pieces,
        notes: out,
        shown: sources.shown().to_vec(),
        ..TemplateReport::default()
    };
    for own in corners(&extremes(&template, &usual)) {
        // An answer that breaks alone need not be told with every other one.
        if own.len() == 2 && report.breaks.iter().any(|b| b.answers.len() == 1 && own.contains(&b.answers[0])) {
            continue;
        }
        let answers = merged(&usual, &own);
        report.tried += 1;
        match trial.run(&answers) {
            Ok(pieces) => {
                report.made += 1;
                report.with_failed_checks += usize::from(pieces.iter().any(|p| p.1));
            }
            // Two extremes that exclude one another: the limits do their work. One
            // answer inside its limits with everything else usual must be possible.
            Err(t) if own.len() > 1 && t.diagnostics.iter().any(|d| d.code == "outside-limits") => report.refused += 1,
            Err(t) => {
                let d = t.diagnostics.first();
                report.breaks.push(Break {
                    answers: own,
                    code: d.map_or("", |d| d.code),
                    message: d.map(|d| d.message.clone()).unwrap_or_default(),
                });
            }
        }
    }
    Ok(report)
}

/// Where a job that names this template stands: above its folder of templates.
fn job_folder(path: &Path) -> PathBuf {
    let folder = path.parent().unwrap_or(Path::new(""));
    let above = folder.parent().filter(|_| folder.file_name().is_some_and(|n| n == "templates"));
    above.unwrap_or(folder).to_path_buf()
}

type Given = Vec<(String, String)>;

struct Trial<'a> {
    template: &'a Template,
    path: &'a Path,
    folder: &'a Path,
    text: &'a str,
    /// The person's own templates that it uses.
    own: &'a [(PathBuf, String)],
}

impl Trial<'_> {
    /// Names of the pieces, each with whether its part has a failed check.
    fn run(&self, answers: &[(String, String)]) -> Result<Vec<(String, bool)>, Trouble> {
        let mut job = format!(
            "job = \"trial\"\nbin = \"bin.toml\"\n[[part]]\nname = \"trial\"\ntemplate = {:?}\n",
            self.template.name
        );
        for (name, value) in answers {
            job += &format!("with.{name} = '''{value}'''\n");
        }
        let folder = self.folder;
        let job_path: PathBuf = folder.join("example answers");
        let mut files = Memory(self.own.iter().cloned().collect());
        files.0.insert(job_path.clone(), job);
        files.0.insert(folder.join("bin.toml"), String::new());
        // Standard input has no name that a job could find it under.
        let file_name = format!("{}.toml", self.template.name);
        let named = self.path.file_name().is_some_and(|n| *n == *file_name);
        let path = if named { self.path.to_path_buf() } else { folder.join(file_name) };
        files.0.insert(path, self.text.to_string());
        let loaded = load(&files, &Request { job: job_path, bin: None }).map_err(template_first)?;
        let worked = work_out(&loaded).map_err(template_first)?;
        let failed = worked.findings.iter().any(|f| f.verdict == Verdict::Fail);
        Ok(worked.pieces.iter().map(|p| (p.name.clone(), failed)).collect())
    }
}

/// Nobody wrote the job of a trial: only places in the template are shown.
fn template_first(mut t: Trouble) -> Trouble {
    for d in &mut t.diagnostics {
        d.message =
            d.message.replace(" of part `trial`", "").replace(" of part `trial/", " of `").replace("trial, ", "");
        let tried = format!(
            "tried at {}",
            if d.labels.iter().any(|l| l.file == FileId(0)) {
                "its usual and example answers"
            } else {
                "these answers"
            }
        );
        d.labels.retain(|l| l.file != FileId(0));
        if let Some(l) = d.labels.first_mut().filter(|l| l.text.is_empty()) {
            l.text = tried;
        }
    }
    t
}

fn merged(usual: &[(String, String)], own: &[(String, String)]) -> Given {
    let kept = usual.iter().filter(|u| own.iter().all(|o| o.0 != u.0));
    kept.chain(own).cloned().collect()
}

/// Answers to the questions that have no usual one: the template's example, or
/// what lies inside the limits.
pub fn example_answers(template: &Template) -> Given {
    let mut out = vec![];
    for (name, _, ask) in template.obj.named("ask") {
        if ask.text("usual").is_some() {
            continue;
        }
        out.push((name.clone(), ask.word("example").map_or_else(|| likely(ask), str::to_string)));
    }
    out
}

/// Something likely for a question without usual answer and example.
fn likely(ask: &Obj) -> String {
    let limit = |key: &str| ask.word(key).filter(|w| w.starts_with(|c: char| c.is_ascii_digit())).map(str::to_string);
    let by_kind = match ask.word("kind").unwrap_or("") {
        "length" => "100 mm",
        "angle" => "10 deg",
        "mass" => "10 kg",
        "force" => "1 kN",
        "stress" => "200 MPa",
        "material" => "mild steel",
        "load" => "none",
        "choice" => return ask.texts("choices").first().map(|t| t.value.clone()).unwrap_or_default(),
        _ => "1",
    };
    let (least, most) = (limit("at_least"), limit("at_most"));
    match (least, most) {
        (Some(a), Some(b)) => format!("(({a}) + ({b})) / 2"),
        (Some(a), None) => format!("max({by_kind}, {a})"),
        (None, Some(b)) => format!("min({by_kind}, {b})"),
        (None, None) => by_kind.to_string(),
    }
}

/// For each question its smallest and largest answer, or all its choices.
fn extremes(template: &Template, usual: &[(String, String)]) -> Vec<(String, String)> {
    let mut silent = vec![];
    let given = usual.iter().map(|(n, v)| (n.clone(), 0..0, crate::source::Text::made(v, FileId(0)))).collect();
    let answers =
        Answers { part: "", place: (FileId(0), 0..0), given, sizes: System::Metric, units: System::Metric, loads: &[] };
    let scope = answer(template, &answers, &Scope::default(), &mut silent).scope;
    let mut out = vec![];
    for (name, _, ask) in template.obj.named("ask") {
        for choice in ask.texts("choices") {
            if scope.values.get(name) != Some(&Value::Word(choice.value.clone())) {
                out.push((name.clone(), choice.value.clone()));
            }
        }
        for key in ["at_least", "at_most"] {
            let limit = ask.text(key).and_then(|t| scope.value(t, &mut silent));
            if let Some(Value::Quantity(v, dim)) = limit {
                // Rounded inwards, so that the answer reads well and stays inside.
                let v = if dim == Dim::MASS { v * 1e3 } else { v };
                let v = if key == "at_least" { libm::ceil(v * 1e3 - 1e-6) } else { libm::floor(v * 1e3 + 1e-6) } / 1e3;
                out.push((name.clone(), written(v, dim, ask.word("kind") == Some("count"))));
            }
        }
    }
    out
}

fn written(v: f64, dim: Dim, count: bool) -> String {
    let unit = match dim {
        Dim::LENGTH => " mm",
        Dim::ANGLE => " deg",
        Dim::FORCE => " N",
        Dim::STRESS => " MPa",
        Dim::MASS => return format!("{v} kg"),
        _ => "",
    };
    if count { format!("{}", libm::round(v)) } else { format!("{v}{unit}") }
}

/// One extreme at a time, all least, all most, then pairs.
fn corners(extremes: &[(String, String)]) -> Vec<Given> {
    let mut out: Vec<Given> = extremes.iter().map(|e| vec![e.clone()]).collect();
    let mut pairs = vec![];
    for (i, a) in extremes.iter().enumerate() {
        pairs.extend(extremes[i + 1..].iter().filter(|b| b.0 != a.0).map(|b| vec![a.clone(), b.clone()]));
    }
    let step = pairs.len().div_ceil(MOST_PAIRS).max(1);
    out.extend(pairs.into_iter().step_by(step));
    for last in [false, true] {
        let mut all: Given = vec![];
        for e in extremes {
            match all.iter_mut().find(|a| a.0 == e.0) {
                Some(a) if last => *a = e.clone(),
                Some(_) => {}
                None => all.push(e.clone()),
            }
        }
        out.push(all);
    }
    out
}
