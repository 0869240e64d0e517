//! An offcut in one line, in the words of the trade:
//! `angle 1-1/2 x 1-1/2 x 1/8, 2 ft 5-3/8 in, where rack B`.
//!
//! Parts stand between commas. The first names shape and size, the others are
//! told apart by their first word; what has none is the length. A value with a
//! comma in it stands in quotes (`"` inside is doubled) or in brackets.

mod parts;
mod plates;

use self::parts::{share_unit, split, trim, unquoted};
use super::fields::{COATINGS, HOLE, HOLE_RULES, OFFCUT, OFFCUT_RULES};
use crate::diag::{Diagnostic, FileId};
use crate::handbook::{SHAPES, material};
use crate::source::{Field, Item, Obj, Text, Want, check_table, nearest};
use std::ops::Range;

/// Longest line that is read, bytes.
const LONGEST: usize = 4_000;
/// Most offcuts that one line may stand for.
pub const MOST_OF_ONE: u32 = 1_000;

/// Other words for the shapes. Common practice, no source.
const SHAPE_WORDS: &[(&str, &str)] = &[
    ("flat", "flat bar"),
    ("sheet", "plate"),
    ("angle iron", "angle"),
    ("box tube", "square tube"),
    ("rectangular box", "rectangular tube"),
    ("square hollow section", "square tube"),
    ("rectangular hollow section", "rectangular tube"),
    ("circular hollow section", "round tube"),
    ("round", "round bar"),
    ("rod", "round bar"),
];

/// Other words for what is on a bar.
const COATING_WORDS: &[(&str, &str)] = &[
    ("painted", "paint"),
    ("powder coated", "powder"),
    ("galvanised", "zinc"),
    ("galvanized", "zinc"),
    ("zinc plated", "zinc"),
    ("chromed", "chrome"),
    ("chrome plated", "chrome"),
    ("bare", "none"),
];

/// Parts with a word before their value: the word, and the key.
const LED: &[(&str, &str)] = &[
    ("id", "id"),
    ("length", "length"),
    ("material", "material"),
    ("where", "where"),
    ("note", "note"),
    ("from", "from"),
    ("held for", "held_for"),
    ("coating", "coating"),
    ("seam on", "seam"),
    ("seam", "seam"),
    ("wall", "wall"),
    ("grade", "grade"),
    ("weldable", "weldable"),
    ("doubt", "doubt"),
    ("left end", "left_end"),
    ("right end", "right_end"),
];

/// What a line says: how many, and the keys of each.
#[derive(Clone, Debug)]
pub struct Line {
    /// How many of it.
    pub count: u32,
    /// The keys, as if they stood in the bin.
    pub obj: Obj,
}

/// Read one line of a text that stands in the source map under `file`. Faults
/// go to `out`, with what was understood; then nothing is returned.
pub fn read_line(whole: &Text, out: &mut Vec<Diagnostic>) -> Option<Line> {
    let known = out.len();
    let mut reader = Reader { file: whole.file, out, obj: Obj { span: whole.span.clone(), ..Obj::default() } };
    if whole.value.len() > LONGEST {
        reader.say(whole, format!("a line of {} bytes; {LONGEST} at most", whole.value.len()), "one offcut a line");
        return None;
    }
    let count = reader.line(whole);
    let obj = reader.obj;
    // What follows from a told fault stays silent.
    if out.len() == known {
        check_table(&obj, OFFCUT, OFFCUT_RULES, "an offcut", whole.file, &["id"], out);
        for hole in obj.list("hole") {
            check_table(hole, HOLE, HOLE_RULES, "a hole", whole.file, &[], out);
        }
    }
    if out.len() > known {
        let understood = understood(&obj);
        if !understood.is_empty()
            && let Some(last) = out.last_mut()
        {
            last.help.push(format!("understood: {}", understood.join(", ")));
        }
        return None;
    }
    Some(Line { count, obj })
}

/// The keys and values that were understood, for a person.
fn understood(obj: &Obj) -> Vec<String> {
    let one = |i: &(&'static Field, Range<usize>, Item)| match &i.2 {
        Item::Text(t) => format!("{} {}", i.0.key.replace('_', " "), t.value),
        Item::Texts(t) => {
            let all: Vec<&str> = t.iter().map(|t| t.value.as_str()).collect();
            format!("{} {}", i.0.key.replace('_', " "), all.join(" / "))
        }
        Item::List(l) => format!("{} x {}", l.len(), i.0.key),
        _ => i.0.key.replace('_', " "),
    };
    obj.items.iter().map(one).collect()
}

/// An offcut's keys in one line, which reads as the same offcut again.
pub fn show_line(obj: &Obj) -> String {
    let word = |key: &str| obj.word(key).unwrap_or("");
    let mut parts = vec![format!("{} {}", word("shape"), word("size"))];
    match (obj.word("length"), obj.word("width")) {
        (Some(l), Some(w)) => parts.push(format!("{l} x {w}")),
        (Some(l), None) => parts.push(l.to_string()),
        _ => {}
    }
    let corners = |obj: &Obj| {
        let all: Vec<String> = obj.texts("outline").iter().map(|c| format!("({})", c.value)).collect();
        format!("corners {}", all.join(" "))
    };
    if !obj.texts("outline").is_empty() {
        parts.push(corners(obj));
    }
    for hole in obj.list("hole") {
        let at = || hole.texts("at").iter().map(|t| t.value.clone()).collect::<Vec<_>>().join(", ");
        parts.push(match (hole.word("size"), hole.word("length"), hole.word("width")) {
            (Some(size), ..) => format!("hole {size} at ({})", at()),
            (None, Some(l), Some(w)) => format!("hole {l} x {w} at ({})", at()),
            _ => format!("hole {}", corners(hole)),
        });
    }
    for pair in obj.texts("unusable").chunks(2) {
        let ends: Vec<&str> = pair.iter().map(|t| t.value.as_str()).collect();
        parts.push(format!("unusable {}", ends.join(" to ")));
    }
    for key in ["material", "doubt", "left_end", "right_end", "coating", "seam", "wall", "grade", "weldable"] {
        if let Some(value) = obj.word(key) {
            parts.push(format!("{} {value}", key.replace('_', " ")));
        }
    }
    if obj.flag("keep") == Some(true) {
        parts.push("keep".to_string());
    }
    for key in ["held_for", "where", "from", "note", "id"] {
        if let Some(value) = obj.word(key) {
            parts.push(format!("{} {}", key.replace('_', " "), in_quotes(value)));
        }
    }
    parts.join(", ")
}

/// Quoted where it would not stand as it is.
fn in_quotes(value: &str) -> String {
    let plain = !value.is_empty() && value.trim() == value && !value.contains([',', '(', ')', '"']);
    if plain { value.to_string() } else { format!("\"{}\"", value.replace('"', "\"\"")) }
}

struct Reader<'a> {
    file: FileId,
    out: &'a mut Vec<Diagnostic>,
    obj: Obj,
}

impl Reader<'_> {
    fn say(&mut self, text: &Text, message: String, help: &str) {
        self.out.push(Diagnostic::error("bin-line", message, self.file, text.span.clone()).help(help));
    }

    fn line(&mut self, whole: &Text) -> u32 {
        let parts = split(&trim(whole), ',');
        let Some(first) = parts.first().filter(|p| !p.value.is_empty()) else {
            self.say(whole, "nothing in this line".into(), "write shape, size, length: flat bar 40 x 3 mm, 872 mm");
            return 1;
        };
        let (count, first) = self.count(first);
        self.shape_and_size(&first);
        let plate = self.obj.word("shape") == Some("plate");
        for part in &parts[1..] {
            if part.value.is_empty() {
                continue;
            }
            self.part(part, plate);
        }
        count
    }

    /// `3 x flat bar ...` or `3 off flat bar ...`.
    fn count(&mut self, first: &Text) -> (u32, Text) {
        let digits = first.value.bytes().take_while(u8::is_ascii_digit).count();
        let behind = first.value[digits..].trim_start();
        let rest = ["x ", "X ", "× ", "off "].iter().find_map(|w| behind.strip_prefix(w));
        let (true, Some(rest)) = (digits > 0, rest) else { return (1, first.clone()) };
        let from = first.value.len() - rest.trim_start().len();
        let number = first.part(0..digits);
        let count = number.value.parse().ok().filter(|n| (1..=MOST_OF_ONE).contains(n));
        if count.is_none() {
            self.say(&number, format!("{} of it; 1 to {MOST_OF_ONE}", number.value), "write 3 x flat bar ...");
        }
        (count.unwrap_or(1), trim(&first.part(from..first.value.len())))
    }

    fn shape_and_size(&mut self, first: &Text) {
        let low = first.value.to_ascii_lowercase();
        let names = SHAPES.iter().map(|s| (*s, *s)).chain(SHAPE_WORDS.iter().copied());
        let ends = |word: &str| low[word.len()..].chars().next().is_none_or(|c| !c.is_alphabetic());
        let found = names.filter(|(w, _)| low.starts_with(w) && ends(w)).max_by_key(|n| n.0.len());
        let Some((word, shape)) = found else {
            let said = low.split(|c: char| c.is_ascii_digit()).next().unwrap_or("").trim();
            let near = nearest(said, SHAPES.iter().copied()).map(|n| format!("did you mean {n}? ")).unwrap_or_default();
            let message = match said {
                "" => "no shape before the size".to_string(),
                said => format!("\"{said}\" is no shape of stock"),
            };
            self.say(first, message, &format!("{near}a line begins with one of: {}", SHAPES.join(", ")));
            return;
        };
        self.put("shape", Item::Text(Text::standing(shape, self.file, first.at(0..word.len()))), first);
        let size = trim(&first.part(word.len()..first.value.len()));
        if size.value.is_empty() {
            self.say(first, format!("no size behind {word}"), "write it like angle 40 x 40 x 3 mm");
        } else {
            self.put("size", Item::Text(size.clone()), &size);
        }
    }

    fn part(&mut self, part: &Text, plate: bool) {
        let low = part.value.to_ascii_lowercase();
        let led = |word: &str| {
            let behind = low.strip_prefix(word)?;
            (behind.is_empty() || behind.starts_with([' ', '(']))
                .then(|| trim(&part.part(word.len()..part.value.len())))
        };
        let as_word = |word: &str| Text::standing(word, part.file, part.span.clone());
        if low == "keep" {
            self.put("keep", Item::Bool(true), part);
        } else if low == "measured twice" {
            self.put("doubt", Item::Text(as_word("0 mm")), part);
        } else if low == "not weldable" {
            self.put("weldable", Item::Text(as_word("no")), part);
        } else if let Some((_, coating)) = COATING_WORDS.iter().find(|c| c.0 == low) {
            self.put("coating", Item::Text(as_word(coating)), part);
        } else if material::find(&part.value).is_some() {
            self.put("material", Item::Text(part.clone()), part);
        } else if let Some(span) = led("unusable").or_else(|| led("bad")) {
            self.span(&span);
        } else if let Some(rest) = led("corners") {
            self.corners(&rest);
        } else if let Some(missing) = led("corner missing") {
            self.corner_missing(&missing);
        } else if let Some(hole) = led("hole") {
            self.hole(&hole);
        } else if let Some((key, value)) = LED.iter().find_map(|(word, key)| led(word).map(|v| (*key, v))) {
            self.led(key, value, part);
        } else if plate {
            self.plate_size(part);
        } else {
            self.length(part);
        }
    }

    /// Put a value under its key; a second one is told.
    fn put(&mut self, key: &str, item: Item, at: &Text) {
        let Some(field) = OFFCUT.iter().find(|f| f.key == key) else { return };
        if let Some(first) = self.obj.key_span(key) {
            let message = format!("{} is given twice", key.replace('_', " "));
            let d = Diagnostic::error("bin-line", message, self.file, at.span.clone());
            self.out.push(d.help("leave one of them out").also(self.file, first, "the first one"));
            return;
        }
        self.obj.items.push((field, at.span.clone(), item));
    }

    fn led(&mut self, key: &str, value: Text, part: &Text) {
        let value = unquoted(&value);
        if value.value.is_empty() {
            return self.say(
                part,
                format!("nothing behind \"{}\"", part.value),
                "write the value behind it, or leave it out",
            );
        }
        let field = OFFCUT.iter().find(|f| f.key == key);
        let (true, Some(Want::OneOf(words))) = (field.is_some(), field.map(|f| f.want)) else {
            return self.put(key, Item::Text(value), part);
        };
        let low = value.value.to_ascii_lowercase();
        let same = if words == COATINGS { COATING_WORDS } else { &[] };
        let meant = same.iter().find(|c| c.0 == low).map_or(low.as_str(), |c| c.1);
        if words.contains(&meant) {
            let said = Text::standing(meant, self.file, value.span.clone());
            return self.put(key, Item::Text(said), part);
        }
        let message = format!("\"{}\" cannot be the {}", value.value, key.replace('_', " "));
        self.say(&value, message, &format!("one of: {}", words.join(", ")));
    }

    fn length(&mut self, part: &Text) {
        let begins = part.value.starts_with(|c: char| c.is_ascii_digit() || "¼½¾⅛⅜⅝⅞⅓⅔.(".contains(c));
        if !begins {
            let words = LED.iter().map(|l| l.0).chain(["unusable", "keep", "corners", "hole"]);
            let first = part.value.split(' ').next().unwrap_or("");
            let near = nearest(first, words).map(|n| format!("did you mean {n}? ")).unwrap_or_default();
            let help = format!("{near}a part begins with a word like where, note, material, coating, unusable");
            return self.say(part, format!("\"{}\" is not understood", part.value), &help);
        }
        self.put("length", Item::Text(part.clone()), part);
    }

    fn span(&mut self, part: &Text) {
        let middle = part.value.find(" to ");
        let Some(middle) = middle else {
            return self.say(part, format!("\"{}\" is no span", part.value), "write unusable 300 mm to 340 mm");
        };
        let ends = [trim(&part.part(0..middle)), trim(&part.part(middle + 4..part.value.len()))];
        let ends = share_unit(&ends);
        let all = self.obj.items.iter_mut().find(|i| i.0.key == "unusable");
        match all.map(|i| &mut i.2) {
            Some(Item::Texts(all)) => all.extend(ends),
            _ => self.put("unusable", Item::Texts(ends), part),
        }
    }
}
