//! What a reading that is a little out would change, in words and JSON.

use serde_json::{Value, json};

/// A finding whose verdict turns over.
#[derive(Clone, Debug, PartialEq)]
pub struct Turned {
    /// Part.
    pub part: String,
    /// Verdict as the job is.
    pub from: &'static str,
    /// Verdict with the other reading.
    pub to: &'static str,
    /// What it says then.
    pub says: String,
}

/// The job with one reading less or more.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Around {
    /// The reading.
    pub name: String,
    /// More than the job says, else less.
    pub more: bool,
    /// Its value then, in words.
    pub value: String,
    /// The first fault, where nothing can be made.
    pub fault: String,
    /// Findings that turn over.
    pub turned: Vec<Turned>,
    /// Pieces to be made again, and why.
    pub again: Vec<String>,
    /// Pieces that are drilled or cut anew.
    pub worked_over: Vec<String>,
    /// Pieces that stay as they are.
    pub stay: usize,
    /// Pieces that can no longer be cut from the bin.
    pub uncut: u32,
}

/// In words.
pub fn around_text(all: &[Around]) -> String {
    let mut out = String::new();
    for a in all {
        out += &format!("{} {} than measured: {}\n", a.name, if a.more { "more" } else { "less" }, a.value);
        if !a.fault.is_empty() {
            out += &format!("  nothing can be made: {}\n", a.fault);
            continue;
        }
        if a.turned.is_empty() {
            out += "  no finding turns over\n";
        }
        for t in &a.turned {
            out += &format!("  {}: {} becomes {}: {}\n", t.part, t.from, t.to, t.says);
        }
        for w in &a.again {
            out += &format!("  make again {w}\n");
        }
        if !a.worked_over.is_empty() {
            out += &format!("  drilled or cut anew: {}\n", a.worked_over.join(", "));
        }
        out += &format!("  {} pieces stay as they are\n", a.stay);
        if a.uncut > 0 {
            out += &format!("  {} pieces can no longer be cut from the bin\n", a.uncut);
        }
    }
    out
}

/// For other programs.
pub fn around_json(all: &[Around]) -> Value {
    let one = |a: &Around| {
        json!({
            "name": a.name, "more": a.more, "value": a.value, "fault": a.fault,
            "turned": a.turned.iter().map(|t| json!({ "part": t.part, "from": t.from, "to": t.to, "says": t.says })).collect::<Vec<_>>(),
            "make_again": a.again, "worked_over": a.worked_over, "stay": a.stay, "uncut": a.uncut,
        })
    };
    Value::Array(all.iter().map(one).collect())
}
