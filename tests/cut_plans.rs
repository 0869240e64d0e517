//! Random cut plans against an independent checker, and small ones against
//! every plan there is.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

mod cut_checker;

use cut_checker::{check_bars, try_everything};
use droprack::cut::{BarDemand, BarPlan, BarRules, BarStock, Effort, EndCut, Mitre, Nm, Turns, plan_bars};

/// Numbers that look random and are the same in every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        (self.0 >> 33) % n
    }

    fn pick<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.below(list.len() as u64) as usize]
    }

    /// A length in mm between limits, on the metric or the inch grid, often
    /// nearly equal to the one before.
    fn length(&mut self, low: u64, high: u64, before: Nm) -> Nm {
        match self.below(4) {
            0 if before.0 > 2_000_000 => Nm(before.0 + self.below(3) as i64 - 1),
            1 => {
                let inch64 = (low + self.below(high - low)) as f64 / 25.4 * 64.0;
                Nm(inch64.round() as i64 * 396_875)
            }
            _ => Nm::from_mm_snapped((low * 10 + self.below((high - low) * 10)) as f64 / 10.0),
        }
    }

    fn end(&mut self, mitres: bool) -> EndCut {
        let angle_deg = if mitres { self.pick(&[90.0, 90.0, 45.0, 60.0, 135.0, 22.5]) } else { 90.0 };
        EndCut { angle_deg }
    }

    /// A tube that may be turned any way, a channel, an angle, or unknown.
    fn mitre(&mut self) -> Mitre {
        let all = Turns { flat: true, over: true, roll: true };
        let turns = [all, all, Turns { flat: true, ..Turns::default() }, Turns::default()];
        Mitre {
            face: self.below(8) as u8 / 7,
            depth: self.pick(&[Nm(40_000_000), Nm(40_000_000), Nm(0)]),
            turns: self.pick(&turns),
        }
    }
}

struct Job {
    demands: Vec<BarDemand>,
    stock: Vec<BarStock>,
    rules: BarRules,
}

fn bar(id: String, length: Nm, price: i64, count: Option<u32>, raw: bool) -> BarStock {
    BarStock { id, length, price, count, left_raw: raw, right_raw: raw, ..BarStock::default() }
}

fn job(dice: &mut Dice, kinds: u64, copies: u64, offcuts: u64, bought: u64, mitres: bool) -> Job {
    let mut before = Nm::ZERO;
    let mut demands = Vec::new();
    for i in 0..1 + dice.below(kinds) {
        before = dice.length(60, 900, before);
        let count = 1 + dice.below(copies) as u32;
        demands.push(BarDemand {
            key: format!("part/{i}"),
            length: before,
            count,
            left: dice.end(mitres),
            right: dice.end(mitres),
            mitre: if mitres { dice.mitre() } else { Mitre::default() },
        });
    }
    let mut stock = Vec::new();
    for i in 0..dice.below(offcuts + 1) {
        before = dice.length(150, 1600, before);
        let raw = dice.below(2) == 0;
        let count = Some(1 + dice.below(5) as u32 / 4);
        stock.push(bar(format!("F-{i}"), before, 0, count, raw));
    }
    for i in 0..dice.below(bought + 1) {
        let length = Nm(dice.pick(&[1000, 1500, 2000, 3000]) * 1_000_000);
        let price = length.0 / 40_000 + dice.below(30_000) as i64;
        stock.push(bar(format!("B-{i}"), length, price, None, true));
    }
    let rules = BarRules {
        kerf: dice.pick(&[Nm(0), Nm(1_587_500), Nm(3_175_000), Nm(2_000_000)]),
        trim: dice.pick(&[Nm(0), Nm(5_000_000)]),
        keep: dice.pick(&[Nm(0), Nm(200_000_000), Nm(300_000_000)]),
        value: 0,
    };
    Job { demands, stock, rules }
}

fn plan(job: &Job, effort: Effort) -> BarPlan {
    plan_bars(&job.demands, &job.stock, &job.rules, effort)
}

#[test]
fn two_hundred_random_plans_keep_every_promise() {
    let mut dice = Dice(7);
    let mut proved = 0;
    for round in 0..200 {
        let job = job(&mut dice, 6, 4, 12, 3, round % 3 == 0);
        let plan = plan(&job, Effort::QUICK);
        if let Err(fault) = check_bars(&job.demands, &job.stock, &job.rules, &plan) {
            panic!("job {round}: {fault}");
        }
        proved += u32::from(plan.proved);
    }
    assert!(proved >= 195, "only {proved} of 200 proved");
}

#[test]
fn small_plans_are_the_best_of_all_in_every_aim() {
    let mut dice = Dice(11);
    let mut tried = 0;
    let mut with = [0; 4];
    while tried < 2000 {
        let mitres = tried % 3 == 0;
        let mut job = job(&mut dice, 6, 3, 3, 1, mitres);
        // A value near what bought steel costs, or far below it.
        job.rules.value = if tried % 4 == 1 { dice.pick(&[2_000, 20_000, 40_000]) } else { 0 };
        if job.demands.iter().map(|d| d.count).sum::<u32>() > 8 {
            continue;
        }
        tried += 1;
        let plan = plan(&job, Effort::NORMAL);
        if let Err(fault) = check_bars(&job.demands, &job.stock, &job.rules, &plan) {
            panic!("job {tried}: {fault}; {:?} {:?} {:?} {plan:?}", job.demands, job.stock, job.rules);
        }
        let best = try_everything(&job.demands, &job.stock, &job.rules);
        let value = |name: &str| plan.stages.iter().find(|s| s.name == name).map_or(0, |s| s.value);
        let mut best = best;
        best[1] = best[1].div_euclid(1_000_000_000);
        let [uncut, net, money, waste, items, remainder] =
            ["uncut", "net", "money", "waste", "items", "remainder"].map(value);
        assert_eq!([uncut, net, money, waste, items, -remainder], best, "job {tried}");
        assert!(plan.proved, "job {tried}: {:?}", plan.stages);
        with[0] += usize::from(!plan.uncut.is_empty());
        with[1] += usize::from(plan.bars.iter().flat_map(|b| &b.cuts).any(|c| c.shared));
        with[2] += usize::from(waste > 0);
        with[3] += usize::from(net > 0);
    }
    assert!(with.iter().all(|&n| n > 100), "uncut, shared cuts, waste, net: {with:?} of 2000 only");
}

#[test]
fn four_pieces_and_three_kerfs_come_out_of_a_two_foot_bar() {
    let job = Job {
        demands: vec![BarDemand::square("rail/rung", Nm::from_mm_snapped((5.0 + 61.0 / 64.0) * 25.4), 4)],
        stock: vec![bar("F-1".into(), Nm::from_mm_snapped(609.6), 0, Some(1), false)],
        rules: BarRules {
            kerf: Nm::from_mm_snapped(25.4 / 16.0),
            trim: Nm(5_000_000),
            keep: Nm(200_000_000),
            value: 0,
        },
    };
    let exact = plan(&job, Effort::QUICK);
    assert_eq!(exact.bars.len(), 1);
    assert_eq!(exact.bars[0].cuts[3].to, Nm(609_600_000));
    assert!(exact.proved && exact.uncut.is_empty() && exact.bars[0].remainder == Nm::ZERO);
    let mut short = job;
    short.stock[0].length.0 -= 1;
    let plan = plan(&short, Effort::QUICK);
    assert_eq!(plan.uncut.len(), 1, "one nanometre short is too short");
    assert!(plan.proved);
}

/// A plan in names, without the caller's indices.
fn by_name(job: &Job, plan: &BarPlan) -> Vec<String> {
    let name = |d: usize| job.demands[d].key.as_str();
    let mut lines: Vec<String> = Vec::new();
    for bar in &plan.bars {
        let cuts = bar.cuts.iter().map(|c| format!(" {}#{}@{}", name(c.demand), c.copy, c.from.0));
        lines.push(format!("{}{}", bar.id, cuts.collect::<String>()));
    }
    lines.extend(plan.uncut.iter().map(|u| format!("uncut {}#{}", name(u.demand), u.first_copy)));
    lines
}

#[test]
fn the_order_of_the_lists_does_not_matter() {
    let mut dice = Dice(3);
    for round in 0..20 {
        let mut job = job(&mut dice, 6, 3, 8, 2, round % 2 == 0);
        let first = by_name(&job, &plan(&job, Effort::QUICK));
        for i in (1..job.demands.len()).rev() {
            job.demands.swap(i, dice.below(i as u64 + 1) as usize);
        }
        job.stock.reverse();
        let second = by_name(&job, &plan(&job, Effort::QUICK));
        assert_eq!(first, second, "job {round}");
    }
}

#[test]
fn nonsense_is_refused_and_never_panics() {
    let wild = [i64::MIN, -1, 0, 1, i64::MAX];
    for a in wild {
        for b in wild {
            let demand = |length, count, angle_deg| BarDemand {
                left: EndCut { angle_deg },
                ..BarDemand::square("x/y", Nm(length), count)
            };
            let demands = [demand(a, 3, 90.0), demand(5, 2, f64::NAN), demand(7, u32::MAX, 30.0)];
            let stock = [
                bar("a".into(), Nm(b), a, Some(u32::MAX), true),
                bar("b".into(), Nm(a), b, None, false),
                bar("c".into(), Nm(0), 1, Some(0), false),
            ];
            let rules = BarRules { kerf: Nm(b), trim: Nm(a), keep: Nm(b), value: b };
            let plan = plan_bars(&demands, &stock, &rules, Effort { steps: 1000 });
            assert!(!plan.uncut.is_empty());
        }
    }
}

#[test]
fn a_home_job_is_proved_within_the_usual_effort() {
    let mut dice = Dice(23);
    for round in 0..20 {
        let mut job = job(&mut dice, 1, 1, 1, 1, false);
        job.demands.clear();
        job.stock.clear();
        for i in 0..15 {
            let length = Nm::from_mm_snapped(80.0 + dice.below(10_000) as f64 / 10.0);
            job.demands.push(BarDemand::square(&format!("p/{i}"), length, 1));
        }
        for i in 0..12 {
            let length = Nm::from_mm_snapped(200.0 + dice.below(1500) as f64);
            job.stock.push(bar(format!("F-{i}"), length, 0, Some(1), true));
        }
        for (length, price) in [(1000, 50_000), (3000, 98_000), (6000, 180_000)] {
            job.stock.push(bar(format!("{length}"), Nm(length * 1_000_000), price, None, true));
        }
        let plan = plan(&job, Effort::NORMAL);
        check_bars(&job.demands, &job.stock, &job.rules, &plan).expect("a sound plan");
        assert!(plan.proved, "job {round}");
    }
}
