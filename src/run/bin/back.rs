//! The keys of what comes back into the bin.

use super::is_inch;
use super::plan_file::{PlanBar, RestText, Sheet, nm};
use crate::diag::FileId;
use crate::source::{Item, Obj, Text};
use crate::stock::{BinEntry, OFFCUT};
use crate::units::{Length, System, show_length, trimmed};

/// A sixty-fourth of an inch, nm.
const SIXTY_FOURTH_NM: i64 = 396_875;

/// Keys that go on to what is left of an offcut.
const INHERITED: &[&str] = &["coating", "seam", "wall", "grade", "weldable", "where", "note", "held_for"];

fn put(obj: &mut Obj, key: &str, item: Item) {
    if let Some(field) = OFFCUT.iter().find(|f| f.key == key) {
        obj.items.push((field, 0..0, item));
    }
}

fn text(value: &str) -> Text {
    Text::standing(value, FileId(0), 0..0)
}

fn word(obj: &mut Obj, key: &str, value: &str) {
    put(obj, key, Item::Text(text(value)));
}

/// Whole nm as a length that reads as the same nm: in inches where that is a
/// sixty-fourth and the old length was written so.
fn length_text(length: i64, like: Option<&str>) -> String {
    if like.is_some_and(is_inch) && length % SIXTY_FOURTH_NM == 0 {
        return show_length(Length::mm(length as f64 / 1e6), System::Inch);
    }
    format!("{} mm", trimmed(length as f64 / 1e6, 6))
}

/// A bar that comes back: `at` is its place on the bar of the plan; what it was
/// cut from went from `start` to `end`; all nm.
pub(super) fn length_obj(
    bar: &PlanBar,
    old: Option<(&Obj, &BinEntry)>,
    at: (i64, i64),
    (start, end): (i64, i64),
    length: i64,
    from: &str,
) -> Obj {
    let mut obj = Obj::default();
    let written = |key: &str| old.and_then(|o| o.0.word(key));
    word(&mut obj, "shape", &bar.shape);
    word(&mut obj, "size", written("size").unwrap_or(&bar.size));
    word(&mut obj, "material", &bar.material);
    word(&mut obj, "length", &length_text(length, written("length")));
    if let Some((_, entry)) = old {
        // It was measured once at the most, whatever the old one was.
        if entry.doubt.to_mm() > 0.0
            && let Some(doubt) = written("doubt")
        {
            word(&mut obj, "doubt", doubt);
        }
        let mut spans = vec![];
        for (low, high) in &entry.unusable {
            let (low, high) = (start + nm(low.to_mm()), start + nm(high.to_mm()));
            let (low, high) = (low.max(at.0) - at.0, high.min(at.1) - at.0);
            if high > low {
                spans.extend([low.min(length), high.min(length)].map(|v| text(&length_text(v, written("length")))));
            }
        }
        if !spans.is_empty() {
            put(&mut obj, "unusable", Item::Texts(spans));
        }
    }
    let (left, right) = ends(bar, old.map(|o| o.1), at, (start, end));
    for (key, angle) in [("left_end", left), ("right_end", right)] {
        if angle != 90.0 {
            word(&mut obj, key, &format!("{} deg", trimmed(angle, 3)));
        }
    }
    for key in INHERITED {
        if let Some(value) = written(key) {
            word(&mut obj, key, value);
        }
    }
    word(&mut obj, "from", from);
    obj
}

/// Angles of the ends: those of the old bar at its own ends, square where the
/// saw has passed square, and the angle of the neighbouring piece on a slant.
fn ends(bar: &PlanBar, old: Option<&BinEntry>, at: (i64, i64), (start, end): (i64, i64)) -> (f64, f64) {
    let old = old.map_or((90.0, 90.0), |e| e.ends_deg);
    let plain = |deg: f64| if deg > 90.0 { 180.0 - deg } else { deg };
    let left = if at.0 == start {
        old.0
    } else {
        let before = bar.cuts.iter().filter(|c| c.to <= at.0).max_by_key(|c| c.to);
        before.map_or(90.0, |c| plain(c.right_deg))
    };
    let right = if at.1 == end {
        old.1
    } else {
        let behind = bar.cuts.iter().filter(|c| c.from >= at.1).min_by_key(|c| c.from);
        behind.map_or(90.0, |c| plain(c.left_deg))
    };
    (left, right)
}

/// A leftover of plate that comes back.
pub(super) fn corners_obj(sheet: &Sheet, old: Option<&Obj>, rest: &RestText, from: &str) -> Obj {
    let mut obj = Obj::default();
    word(&mut obj, "shape", "plate");
    word(&mut obj, "size", old.and_then(|o| o.word("size")).unwrap_or(&sheet.size));
    word(&mut obj, "material", old.and_then(|o| o.word("material")).unwrap_or(&sheet.material));
    let (outline, holes) = rest.corners();
    let low = |i: usize| outline.iter().map(|p| p[i]).fold(f64::INFINITY, f64::min);
    let high = |i: usize| outline.iter().map(|p| p[i]).fold(f64::NEG_INFINITY, f64::max);
    let (x, y) = (low(0), low(1));
    let mm = |v: f64| format!("{} mm", trimmed(v, 6));
    let corner = |p: &[f64; 2]| text(&format!("{}, {}", mm(p[0] - x), mm(p[1] - y)));
    let square =
        outline.len() == 4 && outline.iter().all(|p| (p[0] == x || p[0] == high(0)) && (p[1] == y || p[1] == high(1)));
    if square {
        word(&mut obj, "length", &mm(high(0) - x));
        word(&mut obj, "width", &mm(high(1) - y));
    } else {
        put(&mut obj, "outline", Item::Texts(outline.iter().map(corner).collect()));
    }
    let hole = |h: &Vec<[f64; 2]>| {
        let mut one = Obj::default();
        if let Some(field) = crate::stock::HOLE.iter().find(|f| f.key == "outline") {
            one.items.push((field, 0..0, Item::Texts(h.iter().map(corner).collect())));
        }
        one
    };
    if !holes.is_empty() {
        put(&mut obj, "hole", Item::List(holes.iter().map(hole).collect()));
    }
    for key in INHERITED {
        if let Some(value) = old.and_then(|o| o.word(key)) {
            word(&mut obj, key, value);
        }
    }
    word(&mut obj, "from", from);
    obj
}
