//! Plates in one line: sides, outlines, holes.

use super::Reader;
use super::parts::{closing, share_unit, split_sides, trim, with_unit};
use crate::source::{Item, Obj, Text};
use crate::stock::fields::HOLE;
use crate::units::parse_length;

impl Reader<'_> {
    pub(super) fn plate_size(&mut self, part: &Text) {
        match &share_unit(&split_sides(part))[..] {
            [length, width] => {
                self.put("length", Item::Text(length.clone()), length);
                self.put("width", Item::Text(width.clone()), width);
            }
            _ => self.length(part),
        }
    }

    /// `(0, 0) (600, 0) (600, 400) mm`: each as `"along, up"` with its units.
    fn pairs(&mut self, part: &Text) -> Option<Vec<Text>> {
        let mut found = vec![];
        let mut from = 0;
        while let Some(open) = part.value[from..].find('(') {
            let open = from + open;
            let close = open + closing(&part.value[open..])?;
            if !part.value[from..open].trim().is_empty() {
                return None;
            }
            found.push(part.part(open + 1..close));
            from = close + 1;
        }
        let unit = part.value[from..].trim();
        let mut out = vec![];
        for pair in found {
            let sides: Vec<String> = pair.value.split(',').map(|s| with_unit(s.trim(), unit)).collect();
            out.push(Text::standing(&sides.join(", "), self.file, pair.span));
        }
        Some(out)
    }

    fn corners_of(&mut self, part: &Text) -> Vec<Text> {
        let found = self.pairs(part).unwrap_or_default();
        if found.is_empty() {
            let help = "write corners (0, 0) (600, 0) (600, 400) mm, in the order in which a finger goes round";
            self.say(part, format!("\"{}\" has no corners in brackets", part.value), help);
        }
        found
    }

    pub(super) fn corners(&mut self, part: &Text) {
        let found = self.corners_of(part);
        if !found.is_empty() {
            self.put("outline", Item::Texts(found), part);
        }
    }

    /// A rectangle without its upper right corner.
    pub(super) fn corner_missing(&mut self, part: &Text) {
        let sides = share_unit(&split_sides(part));
        let (Some(length), Some(width), [along, up]) =
            (self.obj.word("length").map(str::to_string), self.obj.word("width").map(str::to_string), &sides[..])
        else {
            let help = "write the whole rectangle first: plate 5 mm, 600 x 400 mm, corner missing 200 x 100 mm";
            return self.say(part, "a missing corner of what?".into(), help);
        };
        // A value of its own needs no brackets to be taken away.
        let taken =
            |t: &Text| if parse_length(&t.value, None).is_ok() { t.value.clone() } else { format!("({})", t.value) };
        let (a, u) = (taken(along), taken(up));
        let corners = [
            "0 mm, 0 mm".to_string(),
            format!("{length}, 0 mm"),
            format!("{length}, {width} - {u}"),
            format!("{length} - {a}, {width} - {u}"),
            format!("{length} - {a}, {width}"),
            format!("0 mm, {width}"),
        ];
        self.obj.items.retain(|i| !["length", "width"].contains(&i.0.key));
        let corners = corners.iter().map(|c| Text::standing(c, self.file, part.span.clone())).collect();
        self.put("outline", Item::Texts(corners), part);
    }

    pub(super) fn hole(&mut self, part: &Text) {
        let mut hole = Obj { span: part.span.clone(), ..Obj::default() };
        let mut put = |key: &str, item: Item| {
            if let Some(field) = HOLE.iter().find(|f| f.key == key) {
                hole.items.push((field, part.span.clone(), item));
            }
        };
        if let Some(rest) = part.value.strip_prefix("corners") {
            let found = self.corners_of(&trim(&part.part(part.value.len() - rest.len()..part.value.len())));
            put("outline", Item::Texts(found));
        } else {
            let help = "write hole 50 mm at (100, 80) mm, hole 60 x 40 mm at (100, 80) mm or hole corners (...) (...)";
            let Some(at) = part.value.find(" at ") else {
                return self.say(part, format!("where is the hole \"{}\"?", part.value), help);
            };
            let middle = self.pairs(&trim(&part.part(at + 4..part.value.len()))).unwrap_or_default();
            let [middle] = &middle[..] else {
                return self.say(part, "a hole has one middle, in brackets".into(), help);
            };
            let ends: Vec<Text> =
                middle.value.split(',').map(|s| Text::standing(s.trim(), self.file, middle.span.clone())).collect();
            put("at", Item::Texts(ends));
            match &share_unit(&split_sides(&trim(&part.part(0..at))))[..] {
                [size] => put("size", Item::Text(size.clone())),
                [length, width] => {
                    put("length", Item::Text(length.clone()));
                    put("width", Item::Text(width.clone()));
                }
                _ => return self.say(part, "a hole has one size, or two".into(), help),
            }
        }
        match self.obj.items.iter_mut().find(|i| i.0.key == "hole").map(|i| &mut i.2) {
            Some(Item::List(all)) => all.push(hole),
            _ => self.put("hole", Item::List(vec![hole]), part),
        }
    }
}
