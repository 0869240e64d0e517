//! From the layout of the search to the plan in the caller's terms, checked.

use crate::cut::effort::Budget;
use crate::cut::shapes::check::{Body, leftover_clear, sound};
use crate::cut::shapes::lay::{Layout, Slot};
use crate::cut::shapes::limits;
use crate::cut::shapes::rest::{Rest, leftovers};
use crate::cut::shapes::ring::{P, Ring};
use crate::cut::shapes::task::{Task, laid};
use crate::cut::shapes::{
    Corner, ShapeDemand, ShapeLeftover, ShapePlacement, ShapePlan, ShapeRect, ShapeSheet, ShapeStock,
};
use crate::cut::{Nm, Uncut, UncutReason};

fn corners(ring: &[P]) -> Vec<Corner> {
    ring.iter().map(|p| (Nm(p.x), Nm(p.y))).collect()
}

/// The caller's ring as it is laid, corner by corner in the caller's order.
fn as_laid(ring: &[Corner], minutes: u32, at: P) -> Vec<Corner> {
    let points: Ring = ring.iter().map(|c| P::new(c.0.0, c.1.0)).collect();
    corners(&laid(&points, minutes, at))
}

/// The finished plan of a layout.
pub(super) fn finish(task: &Task, demands: &[ShapeDemand], stock: &[ShapeStock], layout: &Layout) -> ShapePlan {
    let mut uncut = task.refused.clone();
    let mut rests: Vec<Vec<Rest>> = Vec::new();
    let mut sheets: Vec<ShapeSheet> = Vec::new();
    let mut opened: Vec<&Slot> = Vec::new();
    let mut missing: Vec<usize> = layout.uncut.clone();
    for slot in layout.slots.iter().filter(|s| !s.laid.is_empty()) {
        let parts = bodies(task, slot);
        if !is_sound(task, slot, &parts) {
            // Never seen; a plan that breaks a promise is not handed out.
            debug_assert!(false, "an unsound layout of shapes");
            missing.extend(slot.laid.iter().map(|l| l.item));
            continue;
        }
        let mut left = leftovers(task, slot, &mut Budget::new(u64::MAX));
        for rest in &mut left {
            let body = Body { outer: rest.outer.clone(), holes: rest.holes.clone() };
            if !leftover_clear(&body, &parts, task.gap) {
                rest.shrink_to_rectangle();
            }
        }
        left.retain(|r| r.outer.len() > 2);
        sheets.push(sheet(task, demands, stock, slot, &left));
        rests.push(left);
        opened.push(slot);
    }
    missing.sort_unstable();
    uncut.extend(missing.iter().map(|&i| Uncut {
        demand: task.kinds[task.items[i].kind].demand,
        first_copy: task.items[i].copy,
        count: 1,
        reason: UncutReason::NoStockLeft,
    }));
    let stages = limits::stages(task, demands, &opened, &rests, &uncut, &missing);
    let proved = stages.iter().take(3).all(|s| s.proved);
    ShapePlan { stages, proved, sheets, uncut, faults: task.faults.clone() }
}

fn is_sound(task: &Task, slot: &Slot, parts: &[(Body, i128)]) -> bool {
    let sheet = &task.sheets[slot.sheet];
    let plate = Body { outer: sheet.outer.clone(), holes: sheet.holes.clone() };
    sound(parts, &plate, task.gap, task.edge)
}

/// The parts of a slot as laid, with twice the area they should have.
fn bodies(task: &Task, slot: &Slot) -> Vec<(Body, i128)> {
    slot.laid
        .iter()
        .map(|l| {
            let kind = &task.kinds[task.items[l.item].kind];
            let minutes = kind.forms[l.turn].minutes;
            let body = Body {
                outer: laid(&kind.outer, minutes, l.at),
                holes: kind.holes.iter().map(|h| laid(h, minutes, l.at)).collect(),
            };
            (body, kind.area2)
        })
        .collect()
}

fn sheet(task: &Task, demands: &[ShapeDemand], stock: &[ShapeStock], slot: &Slot, left: &[Rest]) -> ShapeSheet {
    let at = task.sheets[slot.sheet].stock;
    let mut placements: Vec<ShapePlacement> = slot
        .laid
        .iter()
        .map(|l| {
            let item = task.items[l.item];
            let kind = &task.kinds[item.kind];
            let minutes = kind.forms[l.turn].minutes;
            let demand = &demands[kind.demand];
            ShapePlacement {
                demand: kind.demand,
                copy: item.copy,
                turn: minutes,
                at: (Nm(l.at.x), Nm(l.at.y)),
                outline: as_laid(&demand.outline, minutes, l.at),
                holes: demand.holes.iter().map(|h| as_laid(h, minutes, l.at)).collect(),
            }
        })
        .collect();
    placements.sort_by_key(|p| (p.at, p.demand, p.copy));
    ShapeSheet {
        stock: at,
        id: stock[at].id.clone(),
        bought: stock[at].count.is_none(),
        price: stock[at].price,
        placements,
        leftovers: left.iter().map(leftover).collect(),
    }
}

fn leftover(rest: &Rest) -> ShapeLeftover {
    ShapeLeftover {
        outline: corners(&rest.outer),
        holes: rest.holes.iter().map(|h| corners(h)).collect(),
        kept: rest.kept,
        rect: rest.rect.map(|r| ShapeRect {
            x: Nm(r.lo.x),
            y: Nm(r.lo.y),
            length: Nm(r.hi.x - r.lo.x),
            width: Nm(r.hi.y - r.lo.y),
        }),
    }
}
