//! The order of work: what is done when, to which parts, and why then.

use crate::drawing::{Block, Rows};
use crate::handbook::load_case::LoadCase;
use crate::units::{Dim, KG_PER_LB, System, show_quantity, trimmed};

/// What the order needs to know of a part.
#[derive(Clone, Debug, Default)]
pub struct PartFacts {
    /// Name.
    pub name: String,
    /// `fuel`, `steering`, `brakes` or empty.
    pub holds: String,
    /// It has welds.
    pub welded: bool,
    /// It has bends.
    pub bent: bool,
    /// It has holes.
    pub drilled: bool,
    /// Its welded pieces have holes or bores that the weld may pull.
    pub bored: bool,
    /// It is bolted.
    pub bolted: bool,
    /// It has rubber or liner.
    pub lined: bool,
    /// Holes that are drilled after bending: piece and letters.
    pub after_bending: Vec<(String, Vec<String>)>,
}

/// What the order needs to know of a job.
#[derive(Clone, Debug)]
pub struct WorkFacts<'a> {
    /// Parts in the order of the job.
    pub parts: Vec<PartFacts>,
    /// Load cases of the job.
    pub loads: &'a [LoadCase],
    /// Some piece is made of steel that nobody knows.
    pub unknown_steel: bool,
    /// Something is cut from the bin or from new stock.
    pub sawn: bool,
    /// Unit system.
    pub system: System,
}

/// How far the first drive goes before everything is tightened again.
///
/// # Source
/// Common practice, no source.
const FIRST_DRIVE: (&str, &str) = ("50 km", "30 miles");
/// Bare metal on each side of a weld.
///
/// # Source
/// Common practice, no source.
const BARE: (&str, &str) = ("25 mm", "1 in");

/// Names of the parts for which something holds, with no name twice.
fn named(parts: &[PartFacts], which: impl Fn(&PartFacts) -> bool) -> Option<String> {
    let names: Vec<&str> = parts.iter().filter(|p| which(p)).map(|p| p.name.as_str()).collect();
    (!names.is_empty()).then(|| names.join(", "))
}

struct Steps(Vec<Block>);

impl Steps {
    fn add(&mut self, what: impl Into<String>, why: &str) {
        self.0.push(Block::Step(what.into(), why.to_string()));
    }
}

impl WorkFacts<'_> {
    fn says(&self, both: (&'static str, &'static str)) -> &'static str {
        if self.system == System::Inch { both.1 } else { both.0 }
    }

    fn any(&self, which: impl Fn(&PartFacts) -> bool) -> bool {
        self.parts.iter().any(which)
    }

    /// Cautions of the work itself, whatever the templates say: hot work, lifting, steel of unknown origin.
    pub fn cautions(&self) -> Vec<String> {
        let mut out = vec![];
        if self.any(|p| p.welded) {
            out.push("Welding: prove the welder on coupons that are bent till they fold. Zinc and paint off, air moving, fire watch, battery off. A crack or an undercut is ground out, never covered.");
        }
        if self.any(|p| p.welded || p.drilled) && self.any(|p| p.holds == "fuel") {
            out.push("Fuel: no spark, no grinder and no drill in the room where a tank or a fuel line is open.");
        }
        if self.any(|p| !p.holds.is_empty()) {
            out.push("Lifting and proof loads: vehicle on stands, wheels chocked; load by weights or by a jack with a scale; stand clear, nobody below.");
        }
        if self.unknown_steel {
            out.push("Steel of unknown origin counts as the weakest grade here. Cracked, pitted, heat-blued or bent-and-straightened steel goes into no part that a life hangs on.");
        }
        out.into_iter().map(String::from).collect()
    }

    /// The steps, numbered through.
    pub fn order(&self) -> Vec<Block> {
        let mut steps = Steps(vec![Block::Heading("Order of work".into())]);
        self.before(&mut steps);
        self.make(&mut steps);
        self.join(&mut steps);
        self.fit(&mut steps);
        steps.0.push(Block::Say(
            "The order is common practice, no source; the work of the place and its rules come first.".into(),
        ));
        steps.0
    }

    fn before(&self, steps: &mut Steps) {
        if self.any(|p| p.holds == "fuel") {
            steps.add(
                "Take the tank off the vehicle and out of the room, drained and closed, before any drilling, grinding \
                 or welding. It comes back when the steel is cold and painted.",
                "Vapour burns from one spark, also out of an empty tank. Nothing is ever welded, ground or drilled on it.",
            );
        }
        if self.any(|p| p.welded) {
            steps.add(
                "Take the battery off. Clear what burns from both sides of the metal. Fire watch during the work and \
                 half an hour after it.",
                "",
            );
        }
        steps.add(
            "Measure once more each size that the cover lists, at the place where its part will sit. Where one differs, \
             change the job and print again.",
            "A wrong number costs nothing now.",
        );
    }

    fn make(&self, steps: &mut Steps) {
        if self.sawn {
            steps.add(
                "Cut by the saw list and the plate list, tick by tick, and chalk the number on each piece. Deburr.",
                "",
            );
        }
        if let Some(names) = named(&self.parts, |p| p.drilled) {
            steps.add(
                format!("Tape the templates on, measure both check bars, punch and drill: {names}. Deburr both sides."),
                "Flat steel lies still under the drill; a bent one does not. So drilling comes before bending.",
            );
        }
        if let Some(names) = named(&self.parts, |p| p.bent) {
            steps.add(
                format!("Bend in the order that each template gives, and hold each bend to a square: {names}."),
                "",
            );
        }
        let after: Vec<String> = self
            .parts
            .iter()
            .flat_map(|p| p.after_bending.iter().map(|(piece, l)| format!("{}, {piece}: {}", p.name, l.join(", "))))
            .collect();
        if !after.is_empty() {
            steps.add(
                format!("Drill these holes now, after the bends: {}.", after.join("; ")),
                "So near to a bend they would have been drawn out of round.",
            );
        }
    }

    fn join(&self, steps: &mut Steps) {
        let Some(names) = named(&self.parts, |p| p.welded) else { return };
        steps.add(
            format!("Take zinc, paint, scale and oil off, {} on each side of every weld: {names}.", self.says(BARE)),
            "Zinc boils into the weld, which cracks; its fume makes the welder ill.",
        );
        steps.add(
            "Clamp, bolts through the holes that belong together, and tack: one tack at each end first, then opposite \
             ones. Measure gaps and both diagonals before anything more.",
            "Bolts hold the holes in line while the tacks cool. A tack is ground out in a minute.",
        );
        steps.add(
            "Weld in short runs, on opposite sides in turn, with time to cool between them.",
            "So the pull of one run works against that of the other.",
        );
        steps.add(
            "When it is cold, look at each run: cracks, undercut and pores are ground out and welded again. Measure \
             the gaps, the diagonals and the holes again.",
            "A weld pulls. What has moved is slotted, shimmed or made again before anything is drilled to it.",
        );
        if let Some(names) = named(&self.parts, |p| p.welded && p.bored) {
            steps.add(format!("Drill out or ream what the weld has pulled: {names}."), "");
        }
    }

    fn fit(&self, steps: &mut Steps) {
        if let Some(names) = named(&self.parts, |p| p.bolted) {
            steps.add(
                format!("Holes into the vehicle: drill the first through the bolted part, put its bolt in, then the others: {names}."),
                "Match-drilled holes fit; measured ones nearly fit.",
            );
        }
        self.moving(steps);
        self.proof(steps);
        steps.add(
            "Prime and paint, inside faces too, but no thread, no reamed bore and not the spot of the earth strap.",
            "",
        );
        if let Some(names) = named(&self.parts, |p| p.lined) {
            steps.add(
                format!("Rubber and liners on, over the full width, no edge bare: {names}."),
                "Glue burns and rubber melts: they come after the last weld.",
            );
        }
        if self.any(|p| p.holds == "fuel") {
            steps.add(
                "The tank comes back. Strap bolts up by turns until the liner just bulges. Earth strap from tank to bare \
                 metal of the frame, last.",
                "The straps stand on rubber: they earth nothing.",
            );
        }
        if self.any(|p| p.bolted) {
            steps.add(
                "New self-locking nuts, tightened with the torque of the buy list where the joint is steel on steel. A line of paint \
                 over nut and steel.",
                "The line shows a nut that has turned.",
            );
        }
        steps.add(
            format!(
                "After the first {}: every nut again, every weld looked at, nothing chafes. Then once a year.",
                self.says(FIRST_DRIVE)
            ),
            "Rubber settles, paint under washers creeps.",
        );
    }

    fn moving(&self, steps: &mut Steps) {
        if self.any(|p| p.holds == "steering") {
            steps.add(
                "Two people: full lock both ways, slowly, then with the engine running. The shaft turns free at every \
                 angle, slides where it must slide, and clears everything.",
                "",
            );
        }
        if self.any(|p| p.holds == "brakes") {
            steps.add(
                "Pedal through its full travel by hand: no play, no touch, it comes back by itself to its stop.",
                "",
            );
        }
    }

    fn proof(&self, steps: &mut Steps) {
        for l in self.loads {
            steps.add(
                format!(
                    "Proof load, unless the certifier names another: {} hung from the mounts of \"{}\" for 10 minutes, \
                     {} times what they carry. Vehicle on stands, nobody under it. Nothing may have bent or cracked.",
                    proof_mass(l, self.system),
                    l.name,
                    trimmed(PROOF_SHARE, 1)
                ),
                "A static test with weights; it shows poor welds, not the crash.",
            );
        }
        if self.any(|p| p.holds == "brakes") {
            steps.add(
                format!(
                    "Proof load: {} on the pedal pad, by weights or a jack with a scale.",
                    proof_force(self.system)
                ),
                "Formula SAE Rules 2019, T.5.1.10.",
            );
        }
    }

    /// Lines for whoever accepts the work.
    pub fn sign_off(&self) -> Vec<Block> {
        let mut out = vec![
            Block::Heading("Sign-off".into()),
            Block::Caution(
                "A rule that is met on these pages releases nothing. The person below has seen the steel.".into(),
            ),
        ];
        let mut rows = vec![];
        for l in self.loads {
            rows.push(vec![format!("mounts of \"{}\"", l.name), proof_mass(l, self.system)]);
        }
        if self.any(|p| p.holds == "brakes") {
            rows.push(vec!["brake pedal, on the pad".into(), proof_force(self.system)]);
        }
        if self.any(|p| p.holds == "steering") {
            rows.push(vec!["steering: full lock both ways, two people, engine running".into(), "no load".into()]);
        }
        rows.iter_mut().for_each(|r| r.extend(["", ""].map(|_| "............".to_string())));
        if !rows.is_empty() {
            let heads = vec!["proof", "load", "load put on", "bent, cracked, loose?"];
            out.push(Block::Table(Rows { heads, rows, tick: true }));
        }
        for line in ["Welds looked at by", "Certifier, and number", "Remarks", "Place and date", "Signature"] {
            out.push(Block::Fill(line.to_string()));
        }
        out
    }
}

/// Proof load of a mount as a multiple of the mass it carries.
///
/// # Source
/// WAC 296-307-42507 asks twice the filled weight; here as a test load.
const PROOF_SHARE: f64 = 2.0;

/// Weights to hang, never less than [`PROOF_SHARE`] asks: to the next kilogram or pound.
fn proof_mass(l: &LoadCase, system: System) -> String {
    let kg = l.mass.to_kg() * PROOF_SHARE;
    let up = |v: f64| libm::ceil(v - 1e-9);
    if system == System::Inch { format!("{} lb", up(kg / KG_PER_LB)) } else { format!("{} kg", up(kg)) }
}

/// Force on a brake pedal, by the Formula SAE rules.
fn proof_force(system: System) -> String {
    show_quantity(crate::handbook::loads::PEDAL_FORCE.0.to_newtons(), Dim::FORCE, system)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn whats(blocks: &[Block]) -> Vec<String> {
        let step = |b: &Block| if let Block::Step(what, _) = b { Some(what.clone()) } else { None };
        blocks.iter().filter_map(step).collect()
    }

    fn find(steps: &[String], word: &str) -> usize {
        steps.iter().position(|s| s.contains(word)).unwrap_or_else(|| panic!("{word}: {steps:?}"))
    }

    fn facts(part: PartFacts) -> WorkFacts<'static> {
        WorkFacts { parts: vec![part], loads: &[], sawn: true, unknown_steel: false, system: System::Metric }
    }

    #[test]
    fn the_tank_is_off_before_and_on_after_everything_hot() {
        let part = PartFacts {
            name: "Hanger".into(),
            holds: "fuel".into(),
            welded: true,
            bent: true,
            drilled: true,
            bored: true,
            bolted: true,
            lined: true,
            after_bending: vec![("strap".into(), vec!["B".into()])],
        };
        let steps = whats(&facts(part).order());
        let order = [
            "Take the tank off",
            "battery",
            "Measure once more",
            "Cut by",
            "Tape the templates",
            "Bend in",
            "Hanger, strap: B",
            "zinc",
            "tack:",
            "short runs",
            "When it is cold",
            "ream",
            "drill the first through",
            "paint, inside",
            "Rubber",
            "Earth strap",
            "torque",
            "50 km",
        ];
        let places: Vec<usize> = order.iter().map(|w| find(&steps, w)).collect();
        assert!(places.windows(2).all(|w| w[0] < w[1]), "{places:?}");
        assert_eq!(places[0], 0);
    }

    #[test]
    fn a_plain_cut_is_not_told_of_welds_and_tanks() {
        let steps = whats(&facts(PartFacts { name: "Bar".into(), ..PartFacts::default() }).order()).join(" ");
        for word in ["tank", "weld", "Bend", "torque", "pedal", "Proof"] {
            assert!(
                !steps.contains(word) || word == "weld" && steps.contains("every weld looked at"),
                "{word}: {steps}"
            );
        }
    }

    #[test]
    fn each_kind_of_work_brings_its_cautions() {
        let words = |part: PartFacts, unknown_steel| WorkFacts { unknown_steel, ..facts(part) }.cautions().join(" ");
        assert_eq!(words(PartFacts::default(), false), "");
        assert!(words(PartFacts::default(), true).contains("weakest grade"));
        let hot = PartFacts { welded: true, holds: "fuel".into(), ..PartFacts::default() };
        for word in ["Welding", "no spark", "Lifting"] {
            assert!(words(hot.clone(), false).contains(word), "{word}");
        }
    }

    #[test]
    fn a_pedal_is_proof_loaded_before_the_first_drive() {
        let pedal = PartFacts { name: "Pedal".into(), holds: "brakes".into(), ..PartFacts::default() };
        let f = facts(pedal);
        let steps = whats(&f.order());
        assert!(find(&steps, "Proof load: 2000 N") < find(&steps, "After the first"));
        assert!(f.sign_off().iter().any(|b| matches!(b, Block::Table(t) if t.rows[0][1].contains("2000 N"))));
    }
}
