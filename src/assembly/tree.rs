//! Triangles in boxes within boxes, so that an edge meets few of them.

use crate::space::Point3;

/// The upright box round something, low and high by axis, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Reach {
    low: [f64; 3],
    high: [f64; 3],
}

impl Reach {
    const NONE: Reach = Reach { low: [f64::INFINITY; 3], high: [f64::NEG_INFINITY; 3] };

    /// The box round some points.
    pub fn of(points: &[Point3]) -> Reach {
        let mut out = Reach::NONE;
        for p in points {
            for (k, v) in [p.x, p.y, p.z].into_iter().enumerate() {
                out.low[k] = out.low[k].min(v);
                out.high[k] = out.high[k].max(v);
            }
        }
        out
    }

    fn with(mut self, other: &Reach) -> Reach {
        for k in 0..3 {
            self.low[k] = self.low[k].min(other.low[k]);
            self.high[k] = self.high[k].max(other.high[k]);
        }
        self
    }

    /// Boxes that only touch are not apart.
    fn apart(&self, other: &Reach) -> bool {
        (0..3).any(|k| self.low[k] > other.high[k] || self.high[k] < other.low[k])
    }

    fn longest(&self) -> usize {
        let size = |k: usize| self.high[k] - self.low[k];
        let k = if size(1) > size(0) { 1 } else { 0 };
        if size(2) > size(k) { 2 } else { k }
    }
}

/// Most triangles that are not divided any more.
const LEAF: usize = 4;

/// A box with what lies in it: two more boxes, or triangles.
struct Node {
    reach: Reach,
    /// Of a leaf its run of `order`; of any other the first of its nodes is the next one, this the second.
    inside: Result<(u32, u32), u32>,
}

/// The boxes of some triangles.
pub(super) struct Tree {
    nodes: Vec<Node>,
    /// Box and number of each triangle, leaf by leaf.
    order: Vec<(Reach, u32)>,
}

impl Tree {
    /// Boxes for these triangles.
    pub fn of(triangles: &[[Point3; 3]]) -> Tree {
        let order: Vec<(Reach, u32)> = triangles.iter().zip(0..).map(|(t, i)| (Reach::of(t), i)).collect();
        let mut tree = Tree { nodes: vec![], order };
        if !tree.order.is_empty() {
            tree.divide(0, tree.order.len());
        }
        tree
    }

    /// The node of a run of triangles, and all below it.
    fn divide(&mut self, from: usize, to: usize) {
        let run = &mut self.order[from..to];
        let reach = run.iter().fold(Reach::NONE, |all, t| all.with(&t.0));
        let at = self.nodes.len();
        self.nodes.push(Node { reach, inside: Ok((from as u32, to as u32)) });
        if to - from <= LEAF {
            return;
        }
        let k = reach.longest();
        let middle = (to - from) / 2;
        run.select_nth_unstable_by(middle, |a, b| {
            (a.0.low[k] + a.0.high[k]).total_cmp(&(b.0.low[k] + b.0.high[k])).then(a.1.cmp(&b.1))
        });
        self.divide(from, from + middle);
        self.nodes[at].inside = Err(self.nodes.len() as u32);
        self.divide(from + middle, to);
    }

    /// Adds the triangles whose boxes are not apart from this one.
    pub fn near(&self, reach: Reach, out: &mut Vec<u32>) {
        self.below(0, &reach, out);
    }

    fn below(&self, at: usize, reach: &Reach, out: &mut Vec<u32>) {
        let Some(node) = self.nodes.get(at).filter(|n| !n.reach.apart(reach)) else { return };
        match node.inside {
            Ok((from, to)) => {
                let run = &self.order[from as usize..to as usize];
                out.extend(run.iter().filter(|t| !t.0.apart(reach)).map(|t| t.1));
            }
            Err(second) => {
                self.below(at + 1, reach, out);
                self.below(second as usize, reach, out);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tree_finds_what_a_look_at_every_box_finds() {
        let mut state = 7_u64;
        let mut next = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 40) as f64 / f64::from(1 << 24) * 100.0
        };
        let mut point = |round: Point3, size: f64| {
            let mut away = || (next() - 50.0) * size / 50.0;
            Point3::new(round.x + away(), round.y + away(), round.z + away())
        };
        let middle = Point3::new(50.0, 50.0, 50.0);
        for count in [0, 1, 5, 700] {
            let triangles: Vec<[Point3; 3]> = (0..count)
                .map(|_| {
                    let at = point(middle, 50.0);
                    [at, point(at, 8.0), point(at, 8.0)]
                })
                .collect();
            let tree = Tree::of(&triangles);
            let mut met = 0;
            for _ in 0..200 {
                let from = point(middle, 50.0);
                let edge = Reach::of(&[from, point(from, 15.0)]);
                let mut found = vec![];
                tree.near(edge, &mut found);
                found.sort_unstable();
                let all = (0_u32..).zip(&triangles).filter(|(_, t)| !Reach::of(&t[..]).apart(&edge));
                assert_eq!(found, all.map(|t| t.0).collect::<Vec<u32>>());
                met += found.len();
            }
            assert!(met > 100 || count < 700, "{count} triangles, {met} met");
        }
    }
}
