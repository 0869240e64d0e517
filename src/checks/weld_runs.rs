//! Two runs of fillet weld, or the weld all round a tube.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, force, length, metal, moment, optional, word};
use super::weld_strength::weld_strength;
use crate::handbook::strength::two_runs;
use crate::handbook::welds::{en_effective_length, en_shortest_run};

pub(super) const RULE: Rule = Rule {
    code: "weld-runs",
    rule: "the stress in the throat of two runs is no more than fu / (sqrt 3 bw 1.25); each end of a run loses one throat, and a run that is left shorter than 6 throats or 30 mm does not count",
    why: "a fillet breaks in its throat without a warning; its ends are craters that carry nothing",
    source: "EN 1993-1-8, 4.5.1 and 4.5.3.3, as quoted in a secondary source; group as a line by Shigley, 9th ed., Table 9-2",
    holds: "sound fillets on clean steel; of a weld all round only the two sides along the load are counted",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        optional(force("across", "force along the joint's face")),
        optional(force("pull", "force away from the joint's face")),
        optional(moment("bends", "moment on the joint")),
        length("run", "length of each run, or side of the tube"),
        length("throat", "throat of the weld"),
        length("apart", "from run to run"),
        optional(word("welded", &["two runs", "all round"], "how it is welded")),
        metal("the weaker of the two parts"),
    ],
    example: &[
        ("across", "2 kN"),
        ("bends", "40 N m"),
        ("run", "40 mm"),
        ("throat", "3 mm"),
        ("apart", "40 mm"),
        ("material", "mild steel"),
    ],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let (strength, source) = weld_strength(t.material()?)?;
    let (run, throat) = (t.length("run"), t.length("throat"));
    let round = t.word("welded") == "all round";
    let counted = if round { run } else { en_effective_length(run, throat) };
    let joined = if round { run * 4.0 } else { counted };
    let least = en_shortest_run(throat);
    if joined < least {
        let says = format!("a run of {} counts for {}", t.show_length(run), t.show_length(joined));
        return Ok(vec![Judged::long_enough(joined, least, says)]);
    }
    let stress = two_runs(t.force("across"), t.force("pull"), t.moment("bends"), counted, throat, t.length("apart"));
    let says = format!(
        "fillets with a throat of {} carry {:.1} MPa; {:.1} MPa is allowed",
        t.show_length(throat),
        stress.to_mpa(),
        strength.to_mpa()
    );
    Ok(vec![Judged::stress(stress, strength, says).from(format!("{}; {source}", RULE.source))])
}
