//! Threads cut in a part: the drill before the tap, how much thread it leaves,
//! and how long the thread must be so that the bolt breaks before it strips.

use std::f64::consts::PI;

use crate::handbook::bolts::BoltSize;
use crate::handbook::drills::{self, Drawer, Drill};
use crate::handbook::sources::Ledger;
use crate::handbook::{Citation, Material};
use crate::units::{Length, Stress};

use Printed::{Letter, Number, SixtyFourths};

/// A drill as tap tables print it.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Printed {
    Number(usize),
    Letter(char),
    SixtyFourths(u32),
    Mm(f64),
}

impl Printed {
    fn drill(self) -> Option<Drill> {
        match self {
            Printed::Number(n) => drills::number(n),
            Printed::Letter(l) => drills::letter(l),
            Printed::SixtyFourths(n) => drills::fractional(n),
            Printed::Mm(d) => drills::nearest_larger(Length::mm(d), Drawer::Metric),
        }
    }
}

/// One thread that a tap cuts, and the drill before it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TapThread {
    /// As the trade writes it: `M10 x 1.5`, `1/4-20`.
    pub name: &'static str,
    /// Outside diameter of the screw.
    pub diameter: Length,
    /// From thread to thread.
    pub pitch: Length,
    /// Where the drill is from.
    pub source: Citation,
    drill: Printed,
    eased: Option<Printed>,
}

const METRIC: Citation = Citation::read("Mechanical Engineer's Data Handbook", "8.2.4, p. 299, tapping drills");
const METRIC_M14: Citation = Citation::quoted("metric tapping drills", "d - P, as in ISO 2306");
const MHB: Citation = Citation::read("Machinery's Handbook, 31st ed.", "p. 2168, Table 4, commercial tap drills");
const CHART: Citation = Citation::quoted("tap drill chart for unified threads", "75 % of thread");
/// Where the larger drills for a thread cut by hand in steel are from.
pub const EASED: Citation = Citation::quoted("tap drill chart for unified threads", "50 % of thread, steel");

const fn metric(name: &'static str, d: f64, pitch: f64, drill: f64, source: Citation) -> TapThread {
    let (diameter, pitch) = (Length::mm(d), Length::mm(pitch));
    TapThread { name, diameter, pitch, source, drill: Printed::Mm(drill), eased: None }
}

const fn inch(name: &'static str, d: f64, tpi: f64, drill: Printed, eased: Option<Printed>) -> TapThread {
    // The numbered sizes stand in the chart, the fractional ones in the handbook's table.
    let source = if d < 0.25 { CHART } else { MHB };
    TapThread { name, diameter: Length::inches(d), pitch: Length::inches(1.0 / tpi), source, drill, eased }
}

/// The threads of the handbook: metric coarse, then inch coarse and fine, small to large.
pub const THREADS: &[TapThread] = &[
    metric("M4 x 0.7", 4.0, 0.7, 3.3, METRIC),
    metric("M5 x 0.8", 5.0, 0.8, 4.2, METRIC),
    metric("M6 x 1", 6.0, 1.0, 5.0, METRIC),
    metric("M8 x 1.25", 8.0, 1.25, 6.8, METRIC),
    metric("M10 x 1.5", 10.0, 1.5, 8.5, METRIC),
    metric("M12 x 1.75", 12.0, 1.75, 10.2, METRIC),
    metric("M14 x 2", 14.0, 2.0, 12.0, METRIC_M14),
    metric("M16 x 2", 16.0, 2.0, 14.0, METRIC),
    inch("#8-32", 0.164, 32.0, Number(29), Some(Number(27))),
    inch("#10-24", 0.19, 24.0, Number(25), Some(Number(20))),
    inch("#10-32", 0.19, 32.0, Number(21), Some(Number(18))),
    inch("1/4-20", 0.25, 20.0, Number(7), Some(SixtyFourths(14))),
    inch("1/4-28", 0.25, 28.0, Number(3), Some(Number(1))),
    inch("5/16-18", 0.3125, 18.0, Letter('F'), Some(Letter('J'))),
    inch("5/16-24", 0.3125, 24.0, Letter('I'), None),
    inch("3/8-16", 0.375, 16.0, SixtyFourths(20), Some(Letter('Q'))),
    inch("3/8-24", 0.375, 24.0, Letter('Q'), Some(Letter('S'))),
    inch("7/16-14", 0.4375, 14.0, Letter('U'), None),
    inch("7/16-20", 0.4375, 20.0, SixtyFourths(25), None),
    inch("1/2-13", 0.5, 13.0, SixtyFourths(27), None),
    inch("1/2-20", 0.5, 20.0, SixtyFourths(29), None),
    inch("5/8-11", 0.625, 11.0, SixtyFourths(34), None),
    inch("5/8-18", 0.625, 18.0, SixtyFourths(37), None),
];

/// The thread of that name: `M10 x 1.5`, `1/4-20`; a bare size (`M10`, `1/4`)
/// means the coarse thread. Case and blanks do not matter.
pub fn find(name: &str) -> Option<&'static TapThread> {
    let plain = |s: &str| s.to_lowercase().replace(' ', "");
    let (wanted, size) = (plain(name), |t: &TapThread| plain(t.name.split([' ', '-']).next().unwrap_or("")));
    // Coarse comes before fine in the table.
    THREADS.iter().find(|t| plain(t.name) == wanted).or_else(|| THREADS.iter().find(|t| size(t) == wanted))
}

/// The coarse thread of a bolt.
pub fn of_bolt(size: &BoltSize) -> Option<&'static TapThread> {
    find(size.name)
}

/// The drill before the tap where no table is at hand.
///
/// # Formula
/// `D = d - P`
/// # Source
/// Mechanical Engineer's Data Handbook, 8.2.4, p. 299, whose drills it gives to 0.05 mm.
/// # Holds for
/// Metric threads and, within a drill, unified ones; a tap that cuts, not one that forms.
pub fn tap_hole(diameter: Length, pitch: Length) -> Length {
    diameter - pitch
}

/// How much of the full thread a drilled hole leaves, per cent.
///
/// # Formula
/// `100 (d - D) / (1.299 P)`, the full height twice being `1.299 P`
/// # Source
/// [`THREAD_SHARE`]
/// # Holds for
/// 60 degree threads, metric and unified, cut by a tap.
pub fn thread_share_percent(diameter: Length, pitch: Length, hole: Length) -> f64 {
    100.0 * ((diameter - hole) / (pitch * 1.299))
}

/// Where the share of the thread is from.
pub const THREAD_SHARE: Citation = Citation::quoted("tap drill chart for unified threads", "(D - d) n / 0.01299");
/// Least share of the full thread that a substitute drill may leave, per cent.
pub const LEAST_SHARE_PERCENT: (f64, Citation) =
    (55.0, Citation::quoted("tap drill charts", "bolts break first from 55 to 60 % of thread on"));

impl TapThread {
    /// The drill that tables print before this tap.
    pub fn drill(&self) -> Option<Drill> {
        self.drill.drill()
    }

    /// A larger drill that leaves about half the thread, which a hand tap cuts
    /// in steel with much less force; only where a chart prints one.
    pub fn eased_drill(&self) -> Option<Drill> {
        self.eased?.drill()
    }

    /// The drill to take from a drawer: the printed one, else the next one up
    /// if it leaves [`LEAST_SHARE_PERCENT`] of the thread.
    pub fn drill_from(&self, drawer: Drawer) -> Option<Drill> {
        let printed = self.drill()?;
        let next = drills::nearest_larger(printed.diameter, drawer)?;
        if next.designation == printed.designation {
            return Some(printed);
        }
        let share = thread_share_percent(self.diameter, self.pitch, next.diameter);
        (share >= LEAST_SHARE_PERCENT.0).then_some(next)
    }
}

const IN_STEEL: Citation = Citation::quoted("workmanship standard for fasteners", "15.8.13, hard metals: 1 diameter");
const IN_ALUMINIUM: Citation =
    Citation::quoted("workmanship standard for fasteners", "15.8.13, aluminium and other soft metals: 1.5 diameters");

/// Least length of thread in a tapped hole, as a multiple of the bolt's diameter.
///
/// # Formula
/// `L = 1 d` in steel, `1.5 d` in aluminium
/// # Source
/// A workmanship standard for fasteners, 15.8.13, as quoted in a secondary source.
/// # Holds for
/// Ordinary bolts; strong ones in soft metal need [`stripping_length`], take the longer of the two.
pub fn engagement_multiple(body: &Material) -> (f64, Citation) {
    if body.is_steel() { (1.0, IN_STEEL) } else { (1.5, IN_ALUMINIUM) }
}

/// Where [`stripping_length`] is from.
pub const STRIPPING: Citation = Citation::quoted(
    "Machinery's Handbook, 24th and 30th ed.",
    "shear areas and length of engagement of screw threads",
)
.noting("as quoted in a secondary source, which names FED-STD-H28/2 for it; here at basic sizes");

/// Length of thread at which the bolt breaks before either thread strips.
///
/// # Formula
/// `L = 2 As / (0.75 pi D1)`, times `J = 0.75 D1 Rb / (0.875 d Rm)` where that is over 1; `D1 = d - 1.0825 P`,
/// `Rb` and `Rm` tensile strengths of bolt and body. 0.75 and 0.875 are the printed brackets at basic sizes.
/// # Source
/// [`STRIPPING`]
/// # Holds for
/// Full threads at basic sizes, shear strength the same share of tensile in both; `None` unless both strengths are over zero.
pub fn stripping_length(size: &BoltSize, bolt_tensile: Stress, body_tensile: Stress) -> Option<Length> {
    let (rb, rm) = (bolt_tensile.to_mpa(), body_tensile.to_mpa());
    if !(rb > 0.0 && rm > 0.0 && rb.is_finite() && rm.is_finite()) {
        return None;
    }
    let d = size.diameter.to_mm();
    let minor = d - 1.0825 * size.pitch.to_mm();
    let length = 2.0 * size.stress_area_mm2 / (0.75 * PI * minor);
    let weaker = 0.75 * minor * rb / (0.875 * d * rm);
    Some(Length::mm(length * weaker.max(1.0)))
}

/// Thread that a tapped hole must have for a bolt: the longer of the rule of
/// the trade and the length that does not strip, with the source of that one.
///
/// # Formula
/// `max(m d, L)`
/// # Source
/// [`engagement_multiple`] and [`stripping_length`].
/// # Holds for
/// As those; `None` for a strength that is none.
pub fn least_engagement(size: &BoltSize, bolt_tensile: Stress, body: &Material) -> Option<(Length, Citation)> {
    let (multiple, rule) = engagement_multiple(body);
    let by_rule = size.diameter * multiple;
    let strips = stripping_length(size, bolt_tensile, body.tensile_strength)?;
    Some(if strips > by_rule { (strips, STRIPPING) } else { (by_rule, rule) })
}

/// What this file rests on.
pub(super) fn cited(to: &mut Ledger) {
    for t in THREADS {
        to.row(format!("tap drill {}", t.name), t.source);
        if t.eased.is_some() {
            to.row(format!("larger tap drill {}", t.name), EASED);
        }
    }
    to.row("least share of thread", LEAST_SHARE_PERCENT.1);
    to.row("engagement in steel", IN_STEEL);
    to.row("engagement in aluminium", IN_ALUMINIUM);
    to.formulas(&["tap_hole"], METRIC);
    to.formulas(&["thread_share_percent"], THREAD_SHARE);
    to.formulas(&["engagement_multiple"], IN_STEEL);
    to.formulas(&["stripping_length", "least_engagement"], STRIPPING);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::handbook::{bolts, material};

    #[test]
    fn every_thread_has_its_drill_and_it_is_near_d_less_p() {
        for t in THREADS {
            let drill = t.drill().unwrap();
            let off = (drill.diameter - tap_hole(t.diameter, t.pitch)).abs();
            assert!(off.to_mm() < 0.25, "{}: {} is {off:?} off", t.name, drill.designation);
            let share = thread_share_percent(t.diameter, t.pitch, drill.diameter);
            assert!((62.0..=82.0).contains(&share), "{}: {share} %", t.name);
            if let Some(eased) = t.eased_drill() {
                let share = thread_share_percent(t.diameter, t.pitch, eased.diameter);
                assert!((45.0..60.0).contains(&share), "{}: {share} %", t.name);
            }
        }
    }

    #[test]
    fn a_bare_size_is_the_coarse_thread_and_every_bolt_has_one() {
        assert_eq!(find("m10").unwrap().name, "M10 x 1.5");
        assert_eq!(find(" 1/4 ").unwrap().name, "1/4-20");
        assert_eq!(find("1/4-28").unwrap().name, "1/4-28");
        assert!(find("M11").is_none() && find("").is_none());
        for s in bolts::SIZES {
            let t = of_bolt(s).unwrap();
            assert!((t.pitch - s.pitch).abs().to_mm() < 1e-9 && t.diameter == s.diameter, "{}", s.name);
        }
    }

    #[test]
    fn another_drawer_gives_a_drill_that_leaves_enough_thread() {
        let quarter = find("1/4-20").unwrap();
        assert_eq!(quarter.drill_from(Drawer::Inch).unwrap().designation, "No. 7");
        assert_eq!(quarter.drill_from(Drawer::Metric).unwrap().designation, "5.1 mm");
        assert_eq!(find("M10").unwrap().drill_from(Drawer::Metric).unwrap().designation, "8.5 mm");
        for t in THREADS {
            for drawer in [Drawer::Inch, Drawer::Metric, Drawer::Any] {
                let Some(d) = t.drill_from(drawer) else { continue };
                assert!(d.diameter < t.diameter, "{}", t.name);
                assert!(thread_share_percent(t.diameter, t.pitch, d.diameter) >= LEAST_SHARE_PERCENT.0 - 1e-9);
            }
        }
    }

    #[test]
    fn stronger_bolts_and_softer_bodies_need_more_thread() {
        let m10 = bolts::find("M10").unwrap();
        let (mild, soft) = (material::find("mild steel").unwrap(), material::find("5052-H32").unwrap());
        let need = |rb: f64, body| least_engagement(m10, Stress::mpa(rb), body).unwrap().0;
        assert_eq!(need(400.0, mild), Length::mm(10.0));
        assert!(need(800.0, soft) > need(800.0, mild) && need(1000.0, soft) > need(800.0, soft));
        assert!(need(1000.0, soft).to_mm() > 15.0);
        // Both threads of one metal: what shears is twice what is pulled, about 0.6 d.
        let same = stripping_length(m10, Stress::mpa(400.0), Stress::mpa(400.0)).unwrap();
        assert!((same.to_mm() / 10.0 - 0.59).abs() < 0.01, "{same:?}");
        assert!(stripping_length(m10, Stress::mpa(400.0), Stress::ZERO).is_none());
        assert!(stripping_length(m10, Stress::mpa(f64::NAN), Stress::mpa(1.0)).is_none());
    }
}
