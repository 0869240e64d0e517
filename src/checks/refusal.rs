//! What is not made, whatever the numbers say, unless the person overrules it
//! with a written reason.

use super::named::{Named, Outside, Told, word};
use super::{Finding, Judged, Rule, Verdict};

const REFUSED: &str = "rule of this tool after the cautions of certifiers: common practice, no source";

const UNKNOWN_SCRAP: Rule = Rule {
    code: "unknown-scrap",
    rule: "no part that holds fuel, steering or brakes is made of unknown or hardened scrap",
    why: "nobody knows whether it bends or snaps, and it shows only in the crash",
    source: REFUSED,
    holds: "parts whose template says that they hold fuel, steering or brakes",
};

const WELD_OVER_COATING: Rule = Rule {
    code: "weld-over-coating",
    rule: "nothing is welded over zinc or paint",
    why: "zinc boils into the weld, which cracks; its fume makes the welder ill",
    source: REFUSED,
    holds: "parts whose template says that they are welded; strip the coating well beyond the weld first",
};

const WELD_HARDENED: Rule = Rule {
    code: "weld-hardened",
    rule: "cast or hardened steel is not welded here",
    why: "beside the weld it turns as hard and as brittle as glass, or loses its strength",
    source: REFUSED,
    holds: "parts whose template says that they are welded",
};

const DOUBLE_D: Rule = Rule {
    code: "home-made-double-d",
    rule: "double-D shafts and push rods are made from certified bar only",
    why: "the flats leave little steel, and the whole steering hangs on it",
    source: REFUSED,
    holds: "round bar with flats filed or milled at an end, and parts whose template says that only certified bar will do",
};

const SHAFT: Rule = Rule {
    code: "welded-shaft",
    rule: "a steering shaft is joined by splines, clamps or a double-D, never by welding",
    why: "a weld on a shaft that turns and is bent cracks all round before it shows",
    source: REFUSED,
    holds: "steering shafts",
};

const ARM: Rule = Rule {
    code: "hardened-arm",
    rule: "cast, forged-and-hardened or plated pedal arms are not welded",
    why: "the arm breaks beside the weld, at the hardest braking there is",
    source: REFUSED,
    holds: "pedal arms and levers",
};

/// Everything that can be overruled.
pub(super) const RULES: [&Rule; 6] = [&ARM, &DOUBLE_D, &SHAFT, &UNKNOWN_SCRAP, &WELD_HARDENED, &WELD_OVER_COATING];

/// Whether a reason may overrule this code.
pub fn may_be_overruled(code: &str) -> bool {
    RULES.iter().any(|r| r.code == code)
}

/// The codes that a reason may overrule.
pub fn refusals() -> Vec<&'static str> {
    RULES.iter().map(|r| r.code).collect()
}

/// What is known of a part's steel and duty.
#[derive(Clone, Copy, Debug)]
pub struct Duty<'a> {
    /// `fuel`, `steering`, `brakes`, or nothing.
    pub holds: &'a str,
    /// Whether it is welded.
    pub welded: bool,
    /// What its steel is, in the job's words.
    pub steel: &'a str,
    /// Whether one of its pieces is a bar with flats.
    pub double_d: bool,
    /// Whether its template takes certified bar only.
    pub certified: bool,
}

/// The refusals of a part.
pub fn refuse(part: &str, d: &Duty) -> Vec<Finding> {
    let mut out = vec![];
    let mut say = |rule: &Rule, says: String| {
        out.push(Finding {
            code: rule.code.to_string(),
            part: part.to_string(),
            verdict: Verdict::Fail,
            says: format!("REFUSED: {says}"),
            source: rule.source.to_string(),
            mend: "known, uncoated, weldable steel; or a written [[part.overrule]]".to_string(),
            ..Finding::default()
        });
    };
    if !d.holds.is_empty() && matches!(d.steel, "unknown scrap" | "hardened" | "cast") {
        say(&UNKNOWN_SCRAP, format!("the part holds {} and its steel is {}", d.holds, d.steel));
    }
    if d.welded && matches!(d.steel, "galvanised" | "painted") {
        say(&WELD_OVER_COATING, format!("the part is welded and its steel is {}", d.steel));
    }
    if d.welded && matches!(d.steel, "hardened" | "cast") {
        say(&WELD_HARDENED, format!("the part is welded and its steel is {}", d.steel));
    }
    if (d.double_d || d.certified) && d.steel != "certified" {
        let what = if d.double_d { "a bar with two flats" } else { "a part for certified bar only" };
        say(&DOUBLE_D, format!("{what}, and its steel is not certified"));
    }
    out
}

/// What the bin knows of a piece of steel, in the bin's words.
#[derive(Clone, Copy, Debug)]
pub struct Offcut<'a> {
    /// `known` or `unknown`; empty where it is not told.
    pub grade: &'a str,
    /// `none`, `paint`, `powder`, `zinc`, `chrome`; empty where it is not told.
    pub coating: &'a str,
    /// `yes`, `no` or `unknown`; empty where it is not told.
    pub weldable: &'a str,
}

/// Why a piece of steel is not taken for a part of this duty: the code that a
/// reason may overrule, and the reason in words. Paint is no reason: it is
/// taken off before the weld, which the order of work says.
pub fn bars(d: &Duty, o: &Offcut) -> Vec<(&'static str, String)> {
    let mut out = vec![];
    if !d.holds.is_empty() && o.grade == "unknown" {
        out.push((UNKNOWN_SCRAP.code, format!("its grade is not known, and the part holds {}", d.holds)));
    }
    if d.welded && matches!(o.coating, "zinc" | "chrome") {
        out.push((WELD_OVER_COATING.code, format!("{} is on it, and the part is welded", o.coating)));
    }
    if d.welded && o.weldable == "no" {
        out.push((WELD_HARDENED.code, "it is not to be welded, and the part is".to_string()));
    }
    out
}

/// The finding once the person has overruled it: still to look at, with the reason.
pub fn overruled(mut f: Finding, reason: &str) -> Finding {
    f.verdict = Verdict::Warn;
    f.says = format!("{}. OVERRULED in the job: {reason}", f.says);
    f
}

fn refused(says: &str) -> Judged {
    Judged { below: Verdict::Fail, ..Judged::untold(format!("REFUSED: {says}")) }
}

pub(super) const SHAFT_CHECK: Named = Named {
    rule: &SHAFT,
    arguments: &[word("joined", &["splines or clamps", "double-D", "welded"], "how the shaft is joined")],
    example: &[("joined", "welded")],
    work: |t: &Told| -> Result<Vec<Judged>, Outside> {
        Ok(if t.word("joined") == "welded" { vec![refused("the steering shaft is welded")] } else { vec![] })
    },
};

pub(super) const ARM_CHECK: Named = Named {
    rule: &ARM,
    arguments: &[word("arm", &["plain steel", "cast", "hardened", "plated"], "what the arm is")],
    example: &[("arm", "cast")],
    work: |t: &Told| -> Result<Vec<Judged>, Outside> {
        let arm = t.word("arm");
        Ok(if arm == "plain steel" { vec![] } else { vec![refused(&format!("the pedal arm is {arm} and is welded"))] })
    },
};
