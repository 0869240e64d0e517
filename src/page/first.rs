//! The page that starts a job from nothing: what must be carried, which part, what
//! was measured. Its frame, and the two parts of it that follow from the choices.

use super::live::live_head;
use super::markup::{escaped, name};
use super::sketch::{sketch_svg, tape_key};
use super::{DEFS, FOOT};
use crate::drawing::Sketch;
use crate::drawing::picture::Picture;
use crate::export::picture::{Shot, write_picture_svg};

/// What the page does.
pub(super) const FIRST_SCRIPT: &str = include_str!("first.js");
/// What looks otherwise than on a sheet at work.
pub(super) const FIRST_STYLE: &str = include_str!("first.css");

/// What the frame shows; words and which of them is chosen.
pub struct FirstFrame<'a> {
    /// What it must carry.
    pub carries: (&'a [String], &'a str),
    /// What it is fixed to.
    pub fixed_to: (&'a [String], &'a str),
    /// The choice of who does not know.
    pub not_sure: &'a str,
    /// What is being built, as typed.
    pub title: &'a str,
    /// The title where none is typed.
    pub usual_title: &'a str,
    /// Inches instead of millimetres.
    pub inch: bool,
    /// Markup of [`offers_html`].
    pub offers: &'a str,
    /// Markup of [`questions_html`]; empty without a part.
    pub questions: &'a str,
}

/// A template to choose.
pub struct OfferCard<'a> {
    /// Its name.
    pub name: &'a str,
    /// What it makes.
    pub says: &'a str,
    /// What it makes, of its usual answers and its examples.
    pub picture: Option<&'a Picture>,
    /// Whether it is the one.
    pub chosen: bool,
}

/// A question with its box.
#[derive(Clone, Debug, PartialEq)]
pub struct FirstBox {
    /// Its name in template and job.
    pub name: String,
    /// The question.
    pub what: String,
    /// Where to hook the tape, and what is allowed.
    pub note: String,
    /// Letter of its tape on the sketch; empty where it has none.
    pub letter: String,
    /// Words to choose from; empty where anything can be typed.
    pub choices: Vec<String>,
    /// One division of the tape less and more, where it can be stepped.
    pub steps: Option<(String, String)>,
    /// A length or an angle: what a tape or a protractor reads.
    pub on_tape: bool,
    /// It stands beside the sketch, not among what may stay as it is.
    pub reading: bool,
    /// There is no usual answer.
    pub needed: bool,
    /// The usual answer; empty where it does not follow yet, `None` where there is none.
    pub usual: Option<String>,
    /// As typed.
    pub text: String,
}

/// A reading that follows from the others, and catches a wrong one.
#[derive(Clone, Debug, PartialEq)]
pub struct CrossCheck {
    /// Letter of its tape on the sketch; empty where it has none.
    pub letter: String,
    /// What is read.
    pub what: String,
    /// What it must come to.
    pub must_be: String,
}

impl FirstBox {
    /// What stands in the box while it is empty.
    pub fn usual_words(&self) -> String {
        let chosen = !self.choices.is_empty();
        match &self.usual {
            None if chosen => "choose".to_string(),
            None => String::new(),
            Some(u) if u.is_empty() => "worked out".to_string(),
            Some(u) => format!("usual: {u}"),
        }
    }
}

/// The whole page.
pub fn first_document(f: &FirstFrame) -> String {
    let units = ["mm", "inch"].map(|u| {
        let on = if (u == "inch") == f.inch { " checked" } else { "" };
        format!("<label class=\"pick\"><input type=\"radio\" name=\"units\" value=\"{u}\"{on}> {u}</label>")
    });
    let hidden = if f.questions.is_empty() { " hidden" } else { "" };
    format!(
        "{}<body data-first=\"\">\n<a class=\"skip\" href=\"#what\">Skip to the questions</a>\n{DEFS}\
         <header><p class=\"over\">From nothing to paper</p><h1>What do you want to make?</h1></header>\n\
         <main>\n<form id=\"first\" autocomplete=\"off\" novalidate>\n\
         <section id=\"what\" aria-labelledby=\"what-h\"><h2 id=\"what-h\">1. What is it for?</h2>\n<div class=\"two\">\n{}{}</div></section>\n\
         <section aria-labelledby=\"which-h\"><h2 id=\"which-h\">2. Which part?</h2>\n<div id=\"offers\">{}</div></section>\n\
         <section id=\"measure\" aria-labelledby=\"measure-h\"{hidden}><h2 id=\"measure-h\">3. What did you measure?</h2>\n\
         <div class=\"two head\"><p><label for=\"title\">What is being built</label>\
         <input id=\"title\" type=\"text\" maxlength=\"200\" placeholder=\"{}\" value=\"{}\" aria-describedby=\"title-told\">\
         <span id=\"title-told\" class=\"at-box\"></span></p>\n<fieldset class=\"row\"><legend>Your tape</legend>{}</fieldset></div>\n\
         <div id=\"questions\">{}</div>\n<div id=\"top\"></div>\n\
         <div class=\"make\"><p id=\"status\" role=\"status\"></p><button type=\"submit\" id=\"make\">Make it</button></div></section>\n\
         </form>\n<p id=\"told\" role=\"status\"></p>\n</main>\n{FOOT}</body>\n</html>\n",
        live_head(
            "What do you want to make?",
            "<link rel=\"stylesheet\" href=\"first.css\">\n<script src=\"first.js\" defer></script>\n"
        ),
        picks("carries", "What must it hold?", f.carries, f.not_sure),
        picks("fixed_to", "What is it fixed to?", f.fixed_to, f.not_sure),
        f.offers,
        escaped(f.usual_title),
        escaped(f.title),
        units.concat(),
        f.questions,
    )
}

/// A set of plain radio buttons.
fn picks(group: &str, legend: &str, (words, chosen): (&[String], &str), not_sure: &str) -> String {
    let own = words.iter().map(|w| (w.as_str(), w.as_str()));
    let all: String = own
        .chain([(not_sure, "not sure, show all")])
        .map(|(value, says)| {
            let on = if value == chosen { " checked" } else { "" };
            format!(
                "<label class=\"pick\"><input type=\"radio\" name=\"{group}\" value=\"{}\"{on}> {}</label>\n",
                escaped(value),
                name(says)
            )
        })
        .collect();
    format!("<fieldset class=\"picks\"><legend>{legend}</legend>\n{all}</fieldset>\n")
}

/// A name of a template as words.
fn words(template: &str) -> String {
    template.replace('-', " ")
}

/// What fits, to choose from.
pub fn offers_html(says: &str, cards: &[OfferCard]) -> String {
    let shown = if cards.is_empty() { "" } else { " The pictures show an example of each." };
    let mut out = format!("<p>{}{shown}</p>\n", escaped(says));
    if cards.is_empty() {
        return out;
    }
    out.push_str("<fieldset class=\"offers\"><legend class=\"unseen\">Parts that are offered</legend>\n");
    for c in cards {
        let on = if c.chosen { " checked" } else { "" };
        let shot = |p: &Picture| Shot { name: String::new(), picture: p.clone(), shaded: None };
        let picture = c.picture.map_or_else(String::new, |p| write_picture_svg("", &[shot(p)]));
        // The picture says nothing that the sentence does not: it is not read out.
        out += &format!(
            "<label class=\"offer\"><input type=\"radio\" name=\"template\" value=\"{}\"{on}><b>{}</b>\
             <span>{}</span><span class=\"picture still\" aria-hidden=\"true\">{picture}</span></label>\n",
            escaped(c.name),
            escaped(&words(c.name)),
            escaped(c.says),
        );
    }
    out.push_str("</fieldset>\n");
    out
}

/// The questions of the chosen template, those of the tape beside its sketch.
/// `later` are questions that are asked in the file only.
pub fn questions_html(
    template: &str,
    says: &str,
    sketch: Option<&Sketch>,
    boxes: &[FirstBox],
    later: &[String],
) -> String {
    let list = |of: &dyn Fn(&FirstBox) -> bool| {
        let rows: String = boxes.iter().enumerate().filter(|b| of(b.1)).map(|(i, b)| row(template, b, i + 1)).collect();
        if rows.is_empty() { rows } else { format!("<ul class=\"values\">\n{rows}</ul>\n") }
    };
    let taped: Vec<(String, String)> = boxes.iter().map(|b| (b.name.clone(), b.name.clone())).collect();
    let picture = sketch.map_or_else(String::new, |s| sketch_svg(s, template, &taped));
    let usual = boxes.iter().filter(|b| !b.reading).count();
    let later: String = later
        .iter()
        .map(|w| {
            let words = escaped(w);
            format!("<p class=\"why\">Asked in the job file only: {words}. droprack explain job tells how.</p>\n")
        })
        .collect();
    let more = if usual + later.len() == 0 {
        String::new()
    } else {
        format!(
            "<details id=\"more\"><summary>{usual} more, each with its usual answer: change what is otherwise with you</summary>\n{}{later}</details>\n",
            list(&|b| !b.reading)
        )
    };
    format!(
        "<figure class=\"measuring\" data-of=\"{0}\"><figcaption>{1}<p>{2}</p></figcaption>\n<div class=\"beside\">\
         <div class=\"sketch\">{picture}</div><div>{3}<div id=\"cross\"></div></div></div></figure>\n{more}",
        escaped(template),
        escaped(&words(template)),
        escaped(says),
        list(&|b| b.reading),
    )
}

/// What the other readings must come to; empty for none.
pub fn cross_html(all: &[CrossCheck]) -> String {
    let one = |c: &CrossCheck| {
        let letter = if c.letter.is_empty() {
            String::new()
        } else {
            format!("<b class=\"letter\">{}</b> ", escaped(&c.letter))
        };
        format!("<li>{letter}<span>{}: must read <b>{}</b></span></li>\n", escaped(&c.what), escaped(&c.must_be))
    };
    if all.is_empty() {
        return String::new();
    }
    format!(
        "<p>Read this too; where it reads otherwise, one of the readings above is wrong:</p>\n<ul>{}</ul>\n",
        all.iter().map(one).collect::<String>()
    )
}

fn row(template: &str, b: &FirstBox, i: usize) -> String {
    let letter =
        if b.letter.is_empty() { String::new() } else { format!("<b class=\"letter\">{}</b> ", escaped(&b.letter)) };
    let tape = if b.letter.is_empty() { String::new() } else { escaped(&tape_key(template, &b.name)) };
    let needed = if b.needed { " <em>needed</em>" } else { "" };
    let n = escaped(&b.name);
    let note = if b.note.is_empty() { String::new() } else { format!(". {}", escaped(&b.note)) };
    let required = if b.needed { " aria-required=\"true\"" } else { "" };
    let described = format!("aria-describedby=\"says-{i} fault-{i}\"{required}");
    let control = if b.choices.is_empty() { typed(b, i, &described) } else { chosen(b, i, &described) };
    format!(
        "<li class=\"value\" data-name=\"{n}\" data-tape=\"{tape}\"><label for=\"v-{i}\">{letter}<span>{}{needed}</span></label>\
         <small id=\"says-{i}\"><bdi>{n}</bdi>{note}</small><span class=\"reading-box\">{control}</span>\
         <div id=\"fault-{i}\" class=\"at-box\"></div></li>\n",
        escaped(&b.what),
    )
}

fn typed(b: &FirstBox, i: usize, described: &str) -> String {
    let n = escaped(&b.name);
    let step = |sign: &str, by: &str, to: Option<&String>| {
        if !b.on_tape {
            return String::new();
        }
        let off = if to.is_none() { " disabled" } else { "" };
        format!(
            "<button type=\"button\" class=\"step\" data-by=\"{by}\" data-to=\"{}\" aria-label=\"{n}: one division {by}\"{off}>{sign}</button>",
            escaped(to.map_or("", String::as_str))
        )
    };
    format!(
        "{}<input id=\"v-{i}\" type=\"text\" maxlength=\"1000\" spellcheck=\"false\" autocapitalize=\"off\" placeholder=\"{}\" \
         value=\"{}\" {described}>{}",
        step("\u{2212}", "less", b.steps.as_ref().map(|s| &s.0)),
        escaped(&b.usual_words()),
        escaped(&b.text),
        step("+", "more", b.steps.as_ref().map(|s| &s.1)),
    )
}

fn chosen(b: &FirstBox, i: usize, described: &str) -> String {
    let option = |w: &String| {
        let on = if *w == b.text { " selected" } else { "" };
        format!("<option value=\"{0}\"{on}>{0}</option>", escaped(w))
    };
    // An answer that is none of the choices stays to be seen, and is told as such.
    let strange = Some(&b.text).filter(|t| !t.is_empty() && !b.choices.contains(t)).map(option).unwrap_or_default();
    let options: String = b.choices.iter().map(option).collect();
    format!(
        "<select id=\"v-{i}\" {described}><option value=\"\">{}</option>{options}{strange}</select>",
        escaped(&b.usual_words())
    )
}
