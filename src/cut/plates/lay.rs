//! A plate in the caller's terms: the cuts made one by one on the steel, and
//! those left out that free no blank.

use crate::cut::Nm;
use crate::cut::plates::carve::{self, Step};
use crate::cut::plates::limits::{Sheet, Task};
use crate::cut::plates::steel::{Piece, Span, coordinate, edges};
use crate::cut::plates::{Datum, Leftover, Placement, PlateCut, PlateStock, Rect, SheetUse};

/// A piece of steel and what becomes of it.
struct Node {
    piece: Piece,
    cut: Option<(usize, i64)>,
    parts: Vec<usize>,
    /// Index of the placement that it is.
    blank: Option<usize>,
}

/// One plate in the caller's terms; nothing if the cuts do not free a blank.
pub(super) fn lay_out(task: &Task, stock: &[PlateStock], sheet: &Sheet) -> Option<SheetUse> {
    let shelf = &task.shelves[sheet.shelf];
    let steps = shelf.ways[sheet.way].steps.iter().chain(&sheet.packed.steps);
    let mut tree = divide(&shelf.steel, steps, task.kerf);
    for (index, placed) in sheet.packed.placed.iter().enumerate() {
        let wanted = placed.place.steel(task.kerf);
        let is = |n: &Node| n.cut.is_none() && n.piece.span() == wanted && n.piece.is_rectangle();
        tree.iter_mut().find(|n| is(n))?.blank = Some(index);
    }
    let mut out = SheetUse {
        stock: shelf.stock,
        id: stock[shelf.stock].id.clone(),
        bought: shelf.count.is_none(),
        price: shelf.price,
        placements: Vec::new(),
        cuts: Vec::new(),
        leftovers: Vec::new(),
    };
    let mut todo = vec![0];
    while let Some(at) = todo.pop() {
        let node = &tree[at];
        if let Some(index) = node.blank {
            let placed = &sheet.packed.placed[index];
            let item = &task.items[placed.item];
            let rect = rect(&node.piece.span());
            out.placements.push(Placement { demand: item.demand, copy: item.copy, rect, turned: placed.turned });
        } else if let Some((axis, mark)) = node.cut.filter(|_| bears(&tree, at)) {
            out.cuts.push(plate_cut(&node.piece, axis, mark));
            todo.extend(node.parts.iter().rev());
        } else {
            out.leftovers.push(leftover(task, &node.piece));
        }
    }
    Some(out)
}

/// Makes the cuts.
fn divide<'a>(steel: &Piece, steps: impl Iterator<Item = &'a Step>, kerf: i64) -> Vec<Node> {
    let leaf = |piece: Piece| Node { piece, cut: None, parts: Vec::new(), blank: None };
    let mut tree = vec![leaf(steel.clone())];
    for step in steps {
        let holds = |n: &Node| n.cut.is_none() && n.piece.holds(&step.within);
        let Some(at) = tree.iter().position(holds) else {
            continue;
        };
        let parts = tree[at].piece.cut(step.axis, step.at, kerf);
        tree[at].cut = Some((step.axis, step.at));
        tree[at].parts = (tree.len()..tree.len() + parts.len()).collect();
        tree.extend(parts.into_iter().map(leaf));
    }
    tree
}

/// A blank comes out of a piece.
fn bears(tree: &[Node], at: usize) -> bool {
    tree[at].blank.is_some() || tree[at].parts.iter().any(|&p| bears(tree, p))
}

fn rect(s: &Span) -> Rect {
    Rect { x: Nm(s.low.0), y: Nm(s.low.1), length: Nm(s.extent(0)), width: Nm(s.extent(1)) }
}

fn corners(ring: &[(i64, i64)]) -> Vec<(Nm, Nm)> {
    ring.iter().map(|p| (Nm(p.0), Nm(p.1))).collect()
}

fn leftover(task: &Task, piece: &Piece) -> Leftover {
    let inner = carve::rectangles(piece);
    let kept = inner.iter().find(|s| task.keeps(s.extent(0) + task.kerf, s.extent(1) + task.kerf));
    Leftover {
        outline: corners(&piece.outline),
        holes: piece.holes.iter().map(|h| corners(h)).collect(),
        kept: kept.is_some(),
        useful: kept.or(inner.first()).map(rect),
    }
}

/// A cut with the edge to measure it from: of the two that run along it, the
/// one that is straight for longer.
fn plate_cut(piece: &Piece, axis: usize, at: i64) -> PlateCut {
    let span = piece.span();
    let (low, high) = piece.on_line(axis, at).unwrap_or((span.low(1 - axis), span.high(1 - axis)));
    let point = |along: i64| if axis == 0 { (Nm(at), Nm(along)) } else { (Nm(along), Nm(at)) };
    let straight = |edge: i64| -> i64 {
        let on = edges(&piece.outline).filter(|(a, b)| coordinate(*a, axis) == edge && coordinate(*b, axis) == edge);
        on.map(|(a, b)| (coordinate(a, 1 - axis) - coordinate(b, 1 - axis)).abs()).max().unwrap_or(0)
    };
    let far = straight(span.high(axis)) > straight(span.low(axis));
    let (datum, distance) = match (axis, far) {
        (0, false) => (Datum::Left, at - span.low.0),
        (0, true) => (Datum::Right, span.high.0 - at),
        (_, false) => (Datum::Lower, at - span.low.1),
        (_, true) => (Datum::Upper, span.high.1 - at),
    };
    PlateCut { from: point(low), to: point(high), hand: rect(&span), datum, distance: Nm(distance) }
}
