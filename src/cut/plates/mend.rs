//! A plan that leaves a little uncut, mended: two or three plates that have
//! room for it are shared out anew.

use crate::cut::effort::Budget;
use crate::cut::plates::exact;
use crate::cut::plates::pool::Pool;
use crate::cut::plates::sets::Set;
use std::collections::BTreeSet;

/// Most groups of plates for one plan.
const GROUPS: usize = 30;
/// Steps for one group.
const GROUP_STEPS: u64 = 50_000;

/// Groups of plates that were tried, with the blanks they were to hold.
#[derive(Default)]
pub(super) struct Mender {
    tried: BTreeSet<(Vec<usize>, Set)>,
}

impl Mender {
    /// Looks for a few plates that hold what is missing beside their own blanks
    /// if these are shared out anew. A blank that a plan cuts twice counts once.
    pub fn mend(&mut self, pool: &Pool, plan: &[(usize, Set)], budget: &mut Budget) -> Option<Vec<(usize, Set)>> {
        // The list of groups itself takes time.
        if !budget.spend((plan.len() as u64).pow(3)) {
            return None;
        }
        let mut left = pool.blanks.all;
        let mut sets: Vec<Set> = Vec::new();
        for &(_, set) in plan {
            let own = pool.blanks.common(set, left);
            left -= own;
            sets.push(own);
        }
        let spare = |p: usize| pool.stacks[plan[p].0].area - pool.blanks.area(sets[p]);
        let spares: Vec<i64> = (0..plan.len()).map(spare).collect();
        for group in groups(&spares, pool.blanks.area(left)) {
            let shelves: Vec<usize> = group.iter().map(|&p| plan[p].0).collect();
            let blanks = left + group.iter().map(|&p| sets[p]).sum::<Set>();
            if !self.tried.insert((shelves.clone(), blanks)) {
                continue;
            }
            let mut share = budget.share(GROUP_STEPS);
            let found = exact::share_out(pool, &shelves, blanks, &mut share);
            budget.give_back(share);
            if let Some(Some(part)) = found {
                let rest = (0..plan.len()).filter(|p| !group.contains(p)).map(|p| (plan[p].0, sets[p]));
                return Some(rest.chain(part).collect());
            }
            if budget.left() == 0 {
                break;
            }
        }
        None
    }
}

/// Pairs, then threes, of plates that together have as much to spare as is
/// missing, those with most to spare first.
fn groups(spares: &[i64], missing: i64) -> Vec<Vec<usize>> {
    let mut found: Vec<(i64, Vec<usize>)> = Vec::new();
    for a in 0..spares.len() {
        for b in 0..a {
            let both = spares[a] + spares[b] - missing;
            found.push((both, vec![a, b]));
            found.extend((0..b).map(|c| (both + spares[c], vec![a, b, c])));
        }
    }
    found.retain(|g| g.0 >= 0);
    found.sort_by_key(|g| (g.1.len(), std::cmp::Reverse(g.0), g.1.clone()));
    found.into_iter().map(|g| g.1).take(GROUPS).collect()
}
