//! The manual: every page is drawn from the tables that the program itself
//! reads by, and every example is a file that runs as a test.

use crate::checks::{NAMED, Named, example_of, judge, named, rules};
use crate::diag::{CODES, find_code, wrapped};
use crate::expr::{FUNCTIONS, limits_in_words};
use crate::handbook::{self, SHAPE_FACTS};
use crate::job::JOB;
use crate::source::{Case, Field, FileForm, Need, Rule, Want};
use crate::stock::BIN;
use crate::template::TEMPLATE;
use crate::units::{System, UNITS};

/// Example files by the page that shows them.
pub const EXAMPLES: &[(&str, &str)] = &[
    ("job.toml", include_str!("manual/job.toml")),
    ("tube-clip.toml", include_str!("manual/tube-clip.toml")),
    ("battery-tray-corner.toml", include_str!("manual/battery-tray-corner.toml")),
    ("braced-post.toml", include_str!("manual/braced-post.toml")),
    ("bin.toml", include_str!("manual/bin.toml")),
];

const JOB_INTRO: &str = "A job is one text file. A line is a key, an equals sign and a value; what stands behind # is for people. \
Values with a unit stand in quotes as you would say them: \"600 mm\", \"23-1/2 in\", \"2 ft 3-1/4 in\", \"4 deg\", \"1.2 kN\". \
Measure once, under [measured], with a name for each reading; everything else refers to the names.";

const TEMPLATE_INTRO: &str = "A template is a text file that lies beside the job (or in its folder templates) and is called after its template: \
tube-clip.toml. It asks questions, works out values, and describes one piece ([strip], [plate] or [section] with [stock] and [[hole]]) \
or several ([[piece]] blocks that hold the same, as [piece.strip], [piece.stock], [[piece.hole]]; everything up to the next [[piece]] belongs to the \
piece above). \
To start: droprack new DIR --template NAME writes a commented one; with the name of a built-in template it writes a copy to change. \
Then droprack check NAME.toml tries it at its usual answers and at the corners of its ranges, without a job; \
droprack new DIR --part NAME makes a job and prints its measuring sheet.\n\n\
strip: flat bar or sheet, bent (sheet has shape = \"plate\" and its thickness for [stock]). Its walk begins and ends with a flat; between two flats stands one bend. You look at the outside face; an \"up\" bend \
comes towards you, \"down\" goes away. Holes lie `on` a flat; `along` counts from the left end of that flat, `across` from the lower edge.\n\n\
plate: an outline with holes. Zero is the lower left corner of the blank, x to the right, y up; holes are placed `at` = [x, y]. \
A polygon lists its corners in order, either way round, each { at = [x, y] } with a radius or a clip where wanted.\n\n\
section: a length of tube, angle, channel or bar. `along` counts from the left end (long point), `across` from the edge of the face, on the outside, \
wall included: of an angle from its heel, the outside corner where the legs meet. Holes of two faces may face each other: mind the bolts inside. \
Ends are square unless left_end or right_end says otherwise.\n\n\
formulas: wherever a length, angle, number or comparison stands in quotes, a formula may stand: \"leg - thickness\". `when` and `must` are \
comparisons: \"bolts > 1\", \"held_by is screwed\". In sentences { } shows a value: \"for a {bolt_hole} hole\".\n\n\
uses: a template may be built out of others, built-in ones or your own. [[uses]] names one, answers its questions by formulas over the values here \
(a choice or a material by its word, or by a formula that comes out as one), and says where it stands. What it makes, buys, welds and checks comes along; \
`name.value` is any of its values. Where `when` leaves it out, its values are not there: ask for them behind an `if`. Templates may use one another 4 deep, \
200 of them in one part, and never themselves.\n\n\
sketch: x to the right, y up, zero where you like; it is scaled to fit and drawn at the usual and example answers. A question with a `tape`, or \
without a usual answer, gets a letter and two boxes on the measuring sheet; the others are listed below.";

const BIN_INTRO: &str = "The bin is one text file: what lies on the rack and what can be bought. A job names it with bin = \"bin.toml\"; \
where it does not, the nearest bin.toml in the folders above the job is taken.";

const FORMULA_INTRO: &str = "A formula is plain arithmetic over names: + - * / ^ ( ), comparisons < <= > >= = !=, `and`, `or`, `not`, \
`if a then b else c`, and for choices `section is round` or `section is not 'two bolt flange'`. Every formula has a kind of measure, and it is \
checked: a length cannot be added to an angle. A number without a unit is a plain number (in a job, where a length is asked for, it takes the job's units). \
Both answers of an `if` are of one kind: `if bolts > 1 then pitch else 0 mm`; inside other arithmetic it stands in brackets. \
Fractions are for lengths: 23-1/2 in. Decimals have a point. Times is *: 2 * gap. A formula always stands in quotes.";

/// A page of the manual; `None` for a word that has none.
pub fn explain(topic: &str, width: usize) -> Option<String> {
    Some(match topic {
        "job" => page(&JOB, JOB_INTRO, &["job.toml"], width),
        "template" => {
            let examples = ["tube-clip.toml", "battery-tray-corner.toml", "braced-post.toml"];
            page(&TEMPLATE, TEMPLATE_INTRO, &examples, width)
        }
        "bin" => page(&BIN, BIN_INTRO, &["bin.toml"], width),
        "formulas" => formulas(width),
        "stock" => stock(),
        "checks" => checks_page(width),
        _ => return code_page(topic, width),
    })
}

/// Every word that has a page.
pub fn topics() -> Vec<&'static str> {
    let pages = ["job", "template", "bin", "formulas", "stock", "checks"];
    pages.into_iter().chain(CODES.iter().map(|c| c.code)).chain(rules().map(|r| r.code)).collect()
}

/// The list of pages.
pub fn topics_text(width: usize) -> String {
    let list = |names: Vec<&str>| indented(&names.join(", "), width);
    format!(
        "files:     droprack explain job | template | bin\nlanguage:  droprack explain formulas | stock | checks\nsources:   droprack explain --sources\n\nmessages:\n{}\nchecks:\n{}",
        list(CODES.iter().map(|c| c.code).collect()),
        list(rules().map(|r| r.code).collect())
    )
}

fn indented(text: &str, width: usize) -> String {
    wrapped(text, width.saturating_sub(4)).lines().map(|l| format!("    {l}\n")).collect()
}

fn code_page(topic: &str, width: usize) -> Option<String> {
    if let Some(r) = rules().find(|r| r.code == topic) {
        let row = |head: &str, text: &str| format!("{head}\n{}", indented(text, width));
        let mut out = format!(
            "{} (a check)\n{}{}{}{}",
            r.code,
            row("rule", r.rule),
            row("why", r.why),
            row("source", r.source),
            row("holds for", r.holds)
        );
        if let Some(n) = named(topic) {
            out += &named_page(n, width);
        }
        return Some(out);
    }
    let c = find_code(topic)?;
    let mut out = format!("{} (a message)\nmeans\n{}", c.code, indented(c.means, width));
    out += &format!("what to do\n{}", indented(c.mend, width));
    if !c.example.0.is_empty() {
        out += &format!("example\n    not  {}\n    but  {}\n", c.example.0, c.example.1);
    }
    Some(out)
}

/// What a named check is told, and its example worked out on the spot.
fn named_page(n: &Named, width: usize) -> String {
    let mut out = format!("in a template\n    [[check]]\n    use = \"{}\"\n", n.rule.code);
    for a in n.arguments {
        let may = if a.must { "" } else { " (may be left out)" };
        out += &indented(&format!("with.{} = \"...\"   {}{may}", a.name, a.words), width);
    }
    let told: Vec<String> = n.example.iter().map(|(name, value)| format!("{name} {value}")).collect();
    out += &format!("example\n{}", indented(&format!("told: {}", told.join(", ")), width));
    for j in judge(n, &example_of(n), System::Metric, System::Metric) {
        let word = match j.met() {
            Some(true) => "meets this rule",
            Some(false) => "does not meet this rule",
            None => "has no number",
        };
        out += &indented(&format!("{}: {word}", j.says), width);
    }
    out
}

/// The named checks, one line each.
fn checks_page(width: usize) -> String {
    let mut out = String::from("Checks that a template names with use = \"...\" and tells their numbers with.\n");
    for n in NAMED {
        out += &format!("\n  {}\n{}", n.rule.code, indented(n.rule.rule, width));
    }
    out
}

fn page(form: &FileForm, intro: &str, examples: &[&str], width: usize) -> String {
    let paragraphs: Vec<String> = intro.split('\n').map(|p| wrapped(p, width)).collect();
    let mut out = format!("{}\n\n{}\n", form.says, paragraphs.join("\n"));
    for (name, text) in EXAMPLES.iter().filter(|e| examples.contains(&e.0)) {
        out += &format!("\nAn example, {name}:\n\n");
        out += &text.lines().map(|l| format!("    {l}\n").replace("    \n", "\n")).collect::<String>();
    }
    out += &format!("\nEvery key of a {}. (must) has to be there.\n", form.name);
    table(form.fields, form.rules, "", width, &mut out, &mut vec![]);
    out
}

/// The keys of a table, then its inner tables under their own headings. A table
/// that stands in two places is described once.
fn table(
    fields: &'static [Field],
    rules: &[Rule],
    path: &str,
    width: usize,
    out: &mut String,
    seen: &mut Vec<(*const Field, String)>,
) {
    for f in fields {
        let must = if f.must { " (must)" } else { "" };
        *out += &format!("\n  {}{must}   {}\n", f.key, kind(f.want));
        let mut facts = vec![f.words.to_string()];
        facts.extend(f.usual.map(|u| format!("usual: {u}")));
        facts.extend(limits_in_words(f));
        *out += &indented(&facts.join("; "), width);
    }
    for rule in rules {
        *out += &format!("\n  rule\n{}", indented(&rule_in_words(rule), width));
    }
    for f in fields {
        let (inner, heading) = match f.want {
            Want::Table(t) => (t, format!("[{path}{}]", f.key)),
            Want::List(t) => (t, format!("[[{path}{}]]", f.key)),
            Want::Named(t) => (t, format!("[{path}{}.NAME]", f.key)),
            _ => continue,
        };
        if let Some((_, first)) = seen.iter().find(|s| std::ptr::eq(s.0, inner.as_ptr())) {
            *out += &format!("\n{heading}: as {first}\n");
            continue;
        }
        seen.push((inner.as_ptr(), heading.clone()));
        *out += &format!("\n{heading}: {}\n", f.words);
        table(inner, f.rules, &format!("{path}{}.", f.key), width, out, seen);
    }
}

fn kind(want: Want) -> String {
    let need = |n: Need| match n {
        Need::Any => "value or formula",
        Need::Length => "length",
        Need::Angle => "angle",
        Need::Number => "number",
        Need::Mass => "mass",
        Need::Volume => "volume",
        Need::Force => "force",
        Need::YesNo => "comparison",
        Need::Word => "word",
    };
    match want {
        Want::Text => "text".to_string(),
        Want::Texts => "list of texts".to_string(),
        Want::OneOf(words) => words.iter().map(|w| format!("\"{w}\"")).collect::<Vec<_>>().join(" | "),
        Want::Expr(n) => need(n).to_string(),
        Want::Exprs(n) => format!("list of {}s", need(n)),
        Want::Pair(n) => format!("two {}s: [\"along\", \"up\"]", need(n)),
        Want::Bool => "true | false".to_string(),
        Want::Number => "number".to_string(),
        Want::Table(_) => "block of lines".to_string(),
        Want::List(_) => "blocks of lines, any number".to_string(),
        Want::Named(_) => "blocks of lines, each under a name".to_string(),
        Want::Values(_) => "names with their values".to_string(),
    }
}

fn rule_in_words(rule: &Rule) -> String {
    match rule {
        Rule::One(keys) => format!("exactly one of {}", keys.join(", ")),
        Rule::OneOr(keys, or) => format!("exactly one of {}; none of them where `{or}` is all", keys.join(", ")),
        Rule::Beside(key, other) => format!("`{key}` needs `{other}` beside it"),
        Rule::OneSet { word, sets, .. } => {
            format!("{word}: {}", sets.iter().map(|s| s.join(" and ")).collect::<Vec<_>>().join(", or "))
        }
        Rule::ByWord { key, cases, .. } => {
            let one = |c: &Case| {
                let word = c.word.replace('|', ", ");
                match (c.needs, c.may) {
                    ([], []) => format!("{word}: nothing else"),
                    (needs, []) => format!("{word}: needs {}", needs.join(", ")),
                    ([], may) => format!("{word}: may have {}", may.join(", ")),
                    (needs, may) => format!("{word}: needs {}, may have {}", needs.join(", "), may.join(", ")),
                }
            };
            format!("by {key}: {}", cases.iter().map(one).collect::<Vec<_>>().join("; "))
        }
    }
}

fn formulas(width: usize) -> String {
    let mut out = format!("{}\n\nfunctions\n", wrapped(FORMULA_INTRO, width));
    for (name, _, _, words) in FUNCTIONS {
        out += &format!("    {name:<12}{words}\n");
    }
    let units: Vec<&str> = UNITS.iter().map(|u| u.text).filter(|t| t.is_ascii()).collect();
    out += &format!("\nunits\n{}", indented(&units.join("  "), width));
    out
}

fn stock() -> String {
    let mut out = String::from("Shapes of stock, the order of their sizes, and the faces that holes name.\n");
    for s in SHAPE_FACTS {
        out += &format!("\n  {}\n    sizes: {}\n", s.name, s.sizes.join(" x "));
        if !s.faces.is_empty() {
            out += &format!("    faces: {}\n", s.faces.join(", "));
        }
    }
    out += "\nThe unit at the end counts for all sizes. In a bin, a [[cut]] or a [[blank]] sheet may be given by gauge: 16 gauge sheet steel.\n";
    out + &format!("\nMaterials\n{}", indented(&handbook::material::names().join(", "), 100))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_topic_has_a_page_that_fits_its_width() {
        for topic in topics() {
            let text = explain(topic, 80).unwrap_or_else(|| panic!("{topic} has no page"));
            assert!(text.len() > 60, "{topic}: {text}");
        }
        assert!(explain("no such thing", 80).is_none());
        for line in explain("bin", 80).unwrap().lines().filter(|l| !l.contains('"')) {
            assert!(line.chars().count() <= 84, "{line}");
        }
    }

    #[test]
    fn pages_show_kinds_limits_usual_values_and_rules() {
        let bin = explain("bin", 100).unwrap();
        assert!(
            bin.contains("usual: 3 mm; from 0 mm to 20 mm") && bin.contains("by shape: plate: needs width"),
            "{bin}"
        );
        let template = explain("template", 100).unwrap();
        assert!(template.contains("[[piece.hole]]: as [[hole]]") && template.contains("exactly one of flat, bend"));
    }
}
