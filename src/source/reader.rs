//! TOML with places, checked against a field table; every fault is collected.

use super::fields::{Field, FileForm, Item, Obj, Rule, Want};
use super::text::{Map, Text, map_of};
use super::{rules, syntax};
use crate::diag::{Diagnostic, FileId};
use std::collections::BTreeSet;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Largest file that is read, bytes. A job of a thousand parts has 200 kB, a bin
/// of five thousand offcuts 1 MB.
const LARGEST: usize = 4_000_000;

/// The known word nearest to `word`, if it is near enough to be a slip.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let letters = word.chars().count();
    let slip = |k: &str| 1 + k.len() / 4;
    known
        .into_iter()
        // Two words are at least as far apart as their lengths. To compare letter by
        // letter takes long where one of them is a page of text.
        .filter(|k| letters.abs_diff(k.chars().count()) <= slip(k))
        .map(|k| (strsim::damerau_levenshtein(word, k), k))
        .filter(|(d, k)| *d <= slip(k))
        .min()
        .map(|n| n.1)
}

/// Read a file's text by its field table. Faults go to `out`; what is right is
/// returned all the same, so that several faults can be told at once.
pub fn read_toml(file: FileId, text: &str, form: &'static FileForm, out: &mut Vec<Diagnostic>) -> Obj {
    if text.len() > LARGEST {
        out.push(
            Diagnostic::error(
                "file-too-large",
                format!("this file has {} bytes; {LARGEST} at most", text.len()),
                file,
                0..0,
            )
            .help("split it: a job of a thousand parts has 200 kB"),
        );
        return Obj::default();
    }
    let mut reader = Reader { file, text, out };
    reader.read(form)
}

/// Check the number of a file's form; a newer one is not guessed at.
pub fn check_form(obj: &Obj, file: FileId, out: &mut Vec<Diagnostic>) {
    if let Some(t) = obj.text("form").filter(|t| t.value != "1") {
        let message = format!("this file has form {}; this droprack reads form 1", t.value);
        let d = Diagnostic::error("unknown-form", message, file, t.span.clone());
        out.push(d.help("use a newer droprack, or write form = 1"));
    }
}

/// What kind of file a text is, by its keys: `job`, `template` or `bin`.
pub fn kind_of_file(text: &str) -> Option<&'static str> {
    if text.len() > LARGEST {
        return None;
    }
    let (root, _) = DeTable::parse_recoverable(text.trim_start_matches('\u{feff}'));
    let has = |key: &str| root.get_ref().iter().any(|(k, _)| k.get_ref().as_ref() == key);
    if has("job") || has("part") || has("measured") {
        Some("job")
    } else if has("template") {
        Some("template")
    } else if has("offcut") || has("buy") || has("saw") {
        Some("bin")
    } else {
        None
    }
}

struct Reader<'a> {
    file: FileId,
    text: &'a str,
    out: &'a mut Vec<Diagnostic>,
}

impl Reader<'_> {
    fn say(&mut self, code: &'static str, message: String, span: Range<usize>, help: Vec<String>) {
        let mut d = Diagnostic::error(code, message, self.file, span);
        d.help = help;
        self.out.push(d);
    }

    fn read(&mut self, form: &'static FileForm) -> Obj {
        let (root, faults) = DeTable::parse_recoverable(self.text);
        let broken = !faults.is_empty();
        let ends: Vec<usize> = self.text.match_indices('\n').map(|m| m.0).collect();
        let mut lines = BTreeSet::new();
        let mut last = None;
        for f in faults {
            let span = f.span().unwrap_or(0..0);
            // One slip can break a line twice, and a heading written twice repeats
            // all its keys; the first break is the slip.
            let line = ends.partition_point(|e| *e < span.start);
            let twice = f.message().contains("duplicate key");
            let follows = twice && last.is_some_and(|l| l + 1 == line);
            last = twice.then_some(line);
            if !lines.insert(line) || follows {
                continue;
            }
            let (message, help) = syntax::plain(self.text, &span, f.message());
            self.say("toml-syntax", message, span, vec![help]);
        }
        let known = self.out.len();
        let what = format!("a {}", form.name);
        let obj = self.table(form.fields, form.rules, root.get_ref(), 0..0, &what);
        if broken {
            // Of a half-read file only what is surely wrong is told.
            self.out.truncate(known);
            return Obj::default();
        }
        obj
    }

    fn text_of(&self, v: &Spanned<DeValue>) -> Option<Text> {
        let span = v.span();
        let raw = self.text.get(span.clone())?;
        match v.get_ref() {
            // Without an escape the value stands in the file as it is.
            DeValue::String(s) if raw.len() == s.len() + 2 && raw[1..].starts_with(s.as_ref()) => {
                let map = Map::Straight(span.start + 1);
                Some(Text { value: s.to_string(), file: self.file, map, span })
            }
            DeValue::String(s) => {
                let map = map_of(raw, span.start)?;
                // Every byte has its place, or the string is itself broken and told already.
                (map.len() == s.len() + 1).then(|| Text {
                    value: s.to_string(),
                    file: self.file,
                    span,
                    map: Map::Bytes(map),
                })
            }
            DeValue::Integer(_) | DeValue::Float(_) => {
                Some(Text { value: raw.to_string(), file: self.file, map: Map::Straight(span.start), span })
            }
            _ => None,
        }
    }

    fn table(
        &mut self,
        fields: &'static [Field],
        rules: &'static [Rule],
        t: &DeTable,
        span: Range<usize>,
        what: &str,
    ) -> Obj {
        let mut obj = Obj { span: span.clone(), items: vec![], faulty: vec![] };
        let mut meant = vec![];
        for (k, v) in t.iter() {
            let key: &str = k.get_ref().as_ref();
            let Some(f) = fields.iter().find(|f| f.key == key) else {
                let near = nearest(key, fields.iter().map(|f| f.key));
                meant.extend(near);
                let answers = fields.iter().any(|f| f.key == "with");
                let near = match near {
                    Some(n) => Some(format!("did you mean `{n}`?")),
                    None => answers.then(|| format!("an answer to the template is written with.{key} = ...")),
                };
                let all = format!("{what} can have: {}", fields.iter().map(|f| f.key).collect::<Vec<_>>().join(", "));
                self.say(
                    "unknown-key",
                    format!("{what} has no key `{key}`"),
                    k.span(),
                    near.into_iter().chain([all]).collect(),
                );
                continue;
            };
            match self.item(f, v, k.span()) {
                Some(item) => obj.items.push((f, k.span(), item)),
                None => obj.faulty.push(f.key),
            }
        }
        // A misspelt key has been told; that it is missing follows.
        let there = |key: &str| meant.contains(&key) || t.iter().any(|(k, _)| k.get_ref().as_ref() == key);
        for f in fields.iter().filter(|f| f.must && !there(f.key)) {
            self.say(
                "missing-key",
                format!("{what} needs `{}`", f.key),
                span.clone(),
                vec![format!("add a line {} ({})", rules::line(f), f.words)],
            );
        }
        let mut keys: Vec<(&str, Range<usize>)> = t.iter().map(|(k, _)| (k.get_ref().as_ref(), k.span())).collect();
        keys.extend(meant.iter().map(|m| (*m, span.clone())));
        for (code, message, at, help) in rules::broken(rules, fields, &keys, &obj, what) {
            self.say(code, message, at.unwrap_or(span.clone()), vec![help]);
        }
        obj
    }

    fn wrong(&mut self, f: &Field, v: &Spanned<DeValue>, want: &str) -> Option<Item> {
        let message = format!("`{}` is {}; {want} is needed", f.key, kind(v.get_ref()));
        self.say("wrong-kind", message, v.span(), vec![format!("{}: {}", f.key, f.words)]);
        None
    }

    fn item(&mut self, f: &'static Field, v: &Spanned<DeValue>, key: Range<usize>) -> Option<Item> {
        match (f.want, v.get_ref()) {
            (Want::Text, DeValue::String(_)) => self.text_of(v).map(Item::Text),
            (Want::Text, _) => self.wrong(f, v, "text in quotes"),
            (Want::OneOf(words), DeValue::String(_)) => self.one_of(f, v, words),
            (Want::OneOf(words), _) => self.wrong(f, v, &format!("one of {}", words.join(", "))),
            (Want::Expr(_), DeValue::String(_) | DeValue::Integer(_) | DeValue::Float(_)) => {
                self.text_of(v).map(Item::Text)
            }
            (Want::Expr(_), _) => self.wrong(f, v, "a value or a formula in quotes"),
            (Want::Number, DeValue::Integer(_) | DeValue::Float(_)) => self.text_of(v).map(Item::Text),
            (Want::Number, _) => self.wrong(f, v, "a number"),
            (Want::Bool, DeValue::Boolean(b)) => Some(Item::Bool(*b)),
            (Want::Bool, _) => self.wrong(f, v, "true or false"),
            (Want::Texts | Want::Exprs(_) | Want::Pair(_), DeValue::Array(a)) => self.texts(f, v, a.iter().collect()),
            (Want::Texts | Want::Exprs(_), _) => self.wrong(f, v, "a list in [ ]"),
            (Want::Pair(_), _) => self.wrong(f, v, "a list of two: [\"along\", \"up\"]"),
            (Want::Table(t), DeValue::Table(d)) => {
                let span = if v.span().is_empty() { key } else { v.span() };
                Some(Item::Obj(self.table(t, f.rules, d, span, &format!("[{}]", f.key))))
            }
            (Want::List(t), DeValue::Array(a)) => self.list(f, t, &a.iter().collect::<Vec<_>>()),
            (Want::List(_), DeValue::Table(_)) => {
                self.say(
                    "single-block",
                    format!("[{}] stands alone; there can be several", f.key),
                    key,
                    vec![format!("write [[{}]] with two brackets", f.key)],
                );
                None
            }
            (Want::Named(t), DeValue::Table(d)) => self.named(f, t, d),
            (Want::Values(_), DeValue::Table(d)) => {
                let mut out = vec![];
                self.values(d, "", &mut out);
                Some(Item::Values(out))
            }
            (Want::Table(_) | Want::List(_) | Want::Named(_) | Want::Values(_), _) => {
                self.wrong(f, v, "a block of lines")
            }
        }
    }

    fn one_of(&mut self, f: &Field, v: &Spanned<DeValue>, words: &[&str]) -> Option<Item> {
        let t = self.text_of(v)?;
        if words.contains(&t.value.as_str()) {
            return Some(Item::Text(t));
        }
        let near = nearest(&t.value, words.iter().copied()).map(|n| format!("did you mean \"{n}\"?"));
        let all = format!("choose from: {}", words.join(", "));
        self.say(
            "unknown-word",
            format!("`{}` cannot be \"{}\"", f.key, t.value),
            v.span(),
            near.into_iter().chain([all]).collect(),
        );
        None
    }

    fn texts(&mut self, f: &Field, v: &Spanned<DeValue>, items: Vec<&Spanned<DeValue>>) -> Option<Item> {
        let texts: Vec<Text> = items.iter().filter_map(|x| self.text_of(x)).collect();
        if texts.len() < items.len() {
            return self.wrong(f, v, "a list of texts or numbers");
        }
        if matches!(f.want, Want::Pair(_)) && texts.len() != 2 {
            let message = format!("`{}` has {} values; two are needed", f.key, texts.len());
            self.say("wrong-kind", message, v.span(), vec!["write [\"along\", \"up\"]".to_string()]);
            return None;
        }
        Some(Item::Texts(texts))
    }

    fn list(&mut self, f: &Field, table: &'static [Field], items: &[&Spanned<DeValue>]) -> Option<Item> {
        let mut out = vec![];
        for x in items {
            if let DeValue::Table(t) = x.get_ref() {
                out.push(self.table(table, f.rules, t, x.span(), &format!("[[{}]]", f.key)));
            } else {
                self.wrong(f, x, "a block of lines or { } for each");
            }
        }
        Some(Item::List(out))
    }

    fn named(&mut self, f: &Field, table: &'static [Field], t: &DeTable) -> Option<Item> {
        let mut out = vec![];
        for (k, x) in t.iter() {
            let name = k.get_ref().to_string();
            if let DeValue::Table(inner) = x.get_ref() {
                let span = if x.span().is_empty() { k.span() } else { x.span() };
                let obj = self.table(table, f.rules, inner, span, &format!("[{}.{name}]", f.key));
                self.check_name(&name, k.span());
                out.push((name, k.span(), obj));
            } else {
                self.say(
                    "wrong-kind",
                    format!("`{name}` stands alone; [{}] holds blocks", f.key),
                    x.span(),
                    vec![format!("write [{}.{name}] and its lines below", f.key)],
                );
            }
        }
        Some(Item::Named(out))
    }

    fn values(&mut self, t: &DeTable, before: &str, out: &mut Vec<(String, Range<usize>, Text)>) {
        for (k, v) in t.iter() {
            let own: &str = k.get_ref().as_ref();
            let fine = if before.is_empty() && !matches!(v.get_ref(), DeValue::Table(_)) {
                self.check_name(own, k.span())
            } else {
                self.check_letters(own, k.span())
            };
            if !fine {
                continue;
            }
            let name = if before.is_empty() { own.to_string() } else { format!("{before}.{own}") };
            if let DeValue::Table(inner) = v.get_ref() {
                self.values(inner, &name, out);
            } else if let Some(text) = self.text_of(v) {
                out.push((name, k.span(), text));
            } else {
                let message = format!("`{name}` is {}; a value or a formula in quotes is needed", kind(v.get_ref()));
                self.say("wrong-kind", message, v.span(), vec![format!("write {name} = \"...\"")]);
            }
        }
    }

    fn check_letters(&mut self, name: &str, span: Range<usize>) -> bool {
        let starts = name.chars().next().is_some_and(|c| c.is_alphabetic() || c == '_');
        if starts && name.chars().all(|c| c.is_alphanumeric() || c == '_') {
            return true;
        }
        let help = if name.contains('-') {
            format!("write {}: in a formula {name} would be a subtraction", name.replace('-', "_"))
        } else {
            "use letters, digits and _, and begin with a letter".to_string()
        };
        self.say("bad-name", format!("`{name}` cannot be the name of a value"), span, vec![help]);
        false
    }

    fn check_name(&mut self, name: &str, span: Range<usize>) -> bool {
        if !self.check_letters(name, span.clone()) {
            return false;
        }
        if is_reserved(name) {
            self.say(
                "bad-name",
                format!("`{name}` is a unit or a word of formulas; a value cannot have that name"),
                span,
                vec![format!("call it {name}_1, or a longer name")],
            );
            return false;
        }
        true
    }
}

/// Words that formulas keep for themselves; functions are found by their bracket.
fn is_reserved(name: &str) -> bool {
    crate::units::find_unit(name).is_some() || ["if", "then", "else", "and", "or", "not", "is"].contains(&name)
}

fn kind(v: &DeValue) -> &'static str {
    match v {
        DeValue::String(_) => "text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a block",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::{Need, field};

    const PART: &[Field] =
        &[field("name", Want::Text, true, "its name"), field("long", Want::Expr(Need::Length), false, "how long")];
    const FIELDS: &[Field] = &[
        field("units", Want::OneOf(&["mm", "inch"]), false, "units"),
        field("measured", Want::Values(Need::Any), false, "measured"),
        field("part", Want::List(PART), false, "parts"),
    ];

    const FILE: FileForm = FileForm { name: "job", says: "", fields: FIELDS, rules: &[] };

    fn read(text: &str) -> (Obj, Vec<Diagnostic>) {
        let mut out = vec![];
        let o = read_toml(FileId(0), text, &FILE, &mut out);
        (o, out)
    }

    #[test]
    fn several_faults_are_told_at_once() {
        let (_, d) = read("units = \"cm\"\nmesured = 1\n[[part]]\nlong = true\n");
        let codes: Vec<&str> = d.iter().map(|d| d.code).collect();
        assert_eq!(codes, ["unknown-word", "unknown-key", "wrong-kind", "missing-key"]);
        assert!(d[1].help[0].contains("measured"));
    }

    #[test]
    fn places_inside_strings_are_right_with_escapes_and_crlf() {
        let text = "\u{feff}# ü\r\n[[part]]\r\nname = \"x\"\r\nlong = \"2\\u0020mm + oops\"\r\n";
        let text = text.trim_start_matches('\u{feff}');
        let (o, d) = read(text);
        assert!(d.is_empty(), "{d:?}");
        let t = o.list("part")[0].text("long").unwrap();
        let at = t.value.find("oops").unwrap();
        assert_eq!(&text[t.at(at..at + 4)], "oops");
    }

    #[test]
    fn a_value_without_quotes_is_told_in_plain_words() {
        let (_, d) = read("[measured]\ngap = 600 mm\n");
        assert!(d[0].help[0].contains("\"600 mm\""), "{d:?}");
    }

    #[test]
    fn dotted_names_make_one_name_and_a_dash_is_refused() {
        let (o, d) = read("[measured]\nrail.gap = \"1 mm\"\nrail-gap = \"2 mm\"\n");
        assert_eq!(o.values("measured")[0].0, "rail.gap");
        assert_eq!(d[0].code, "bad-name");
    }
}
