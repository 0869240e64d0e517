//! One published number: what to work out, from what, and what the source prints.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use droprack::units::{Angle, Force, Length, Mass, Moment, Stress};
use serde::Deserialize;

/// An input as written: the end of its name is its unit.
#[derive(Deserialize)]
#[serde(untagged)]
enum Input {
    Number(f64),
    Text(String),
}

/// One row of a file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Row {
    /// Unique over all files.
    pub id: String,
    /// What it is, in words.
    pub describe: String,
    /// The name `calls.rs` knows the library function by.
    pub call: String,
    inputs: BTreeMap<String, Input>,
    /// The published number.
    pub expected: f64,
    /// Its unit; empty for a plain number.
    pub unit: String,
    /// Greatest difference, in the same unit.
    pub tolerance: f64,
    /// Why that tolerance.
    pub why: String,
    /// Whether the number is from memory only.
    #[serde(default)]
    pub memory: bool,
    #[serde(skip)]
    used: RefCell<BTreeSet<String>>,
}

/// What a library function answered.
#[derive(Debug)]
pub enum Answer {
    Length(Length),
    Angle(Angle),
    Force(Force),
    Moment(Moment),
    Stress(Stress),
    Mass(Mass),
    /// An area, mm2.
    Area(f64),
    /// A mass per metre, kg/m.
    PerMetre(f64),
    /// A second moment of area, mm4.
    Inertia(f64),
    /// A section modulus, mm3.
    Modulus(f64),
    /// A plain number, or one whose unit stands in the library's name for it.
    Number(f64),
}

const N_PER_LBF: f64 = 4.448_221_615_260_5;
/// kg/m to lb/ft.
const LB_PER_FT: f64 = 0.3048 / 0.453_592_37;

impl Answer {
    /// The number in a unit, if it can be told in it.
    pub fn in_unit(&self, unit: &str) -> Option<f64> {
        Some(match (self, unit) {
            (Answer::Length(l), "mm") => l.to_mm(),
            (Answer::Length(l), "in") => l.to_inches(),
            (Answer::Angle(a), "deg") => a.to_degrees(),
            (Answer::Force(f), "N") => f.to_newtons(),
            (Answer::Force(f), "kN") => f.to_newtons() / 1000.0,
            (Answer::Force(f), "lbf") => f.to_newtons() / N_PER_LBF,
            (Answer::Moment(m), "N m") => m.to_newton_metres(),
            (Answer::Moment(m), "lbf ft") => m.to_newton_metres() / (N_PER_LBF * 0.3048),
            (Answer::Stress(s), "MPa") => s.to_mpa(),
            (Answer::Stress(s), "psi") => s.to_mpa() * 25.4 * 25.4 / N_PER_LBF,
            (Answer::Mass(m), "kg") => m.to_kg(),
            (Answer::Area(a), "mm2") => *a,
            (Answer::Area(a), "cm2") => a / 1e2,
            (Answer::Area(a), "in2") => a / (25.4 * 25.4),
            (Answer::PerMetre(m), "kg/m") => *m,
            (Answer::PerMetre(m), "lb/ft") => m * LB_PER_FT,
            (Answer::Inertia(i), "cm4") => i / 1e4,
            (Answer::Inertia(i), "in4") => i / 25.4_f64.powi(4),
            (Answer::Modulus(w), "cm3") => w / 1e3,
            (Answer::Number(n), "" | "L" | "gal" | "g" | "N/mm" | "%" | "ft/min" | "rpm") => *n,
            (Answer::Number(n), "kip/in") => n * 25.4 / N_PER_LBF / 1000.0,
            _ => return None,
        })
    }
}

impl Row {
    fn raw(&self, key: &str) -> Option<&Input> {
        let found = self.inputs.get(key)?;
        self.used.borrow_mut().insert(key.to_string());
        Some(found)
    }

    /// A plain number.
    pub fn number(&self, key: &str) -> Result<f64, String> {
        match self.raw(key) {
            Some(Input::Number(n)) => Ok(*n),
            _ => Err(format!("no number {key:?} among the inputs")),
        }
    }

    /// A word.
    pub fn text(&self, key: &str) -> Result<&str, String> {
        match self.raw(key) {
            Some(Input::Text(t)) => Ok(t),
            _ => Err(format!("no text {key:?} among the inputs")),
        }
    }

    /// A length, written as `key_mm` or `key_in`.
    pub fn length(&self, key: &str) -> Result<Length, String> {
        let mm = self.number(&format!("{key}_mm")).map(Length::mm);
        mm.or_else(|_| self.number(&format!("{key}_in")).map(Length::inches))
    }

    /// A length that may be absent.
    pub fn maybe_length(&self, key: &str) -> Option<Length> {
        self.length(key).ok()
    }

    /// An angle, written as `key_deg`.
    pub fn angle(&self, key: &str) -> Result<Angle, String> {
        self.number(&format!("{key}_deg")).map(Angle::degrees)
    }

    /// A stress, written as `key_mpa`, `key_psi` or `key_ksi`.
    pub fn stress(&self, key: &str) -> Result<Stress, String> {
        let psi = |n: f64| Stress::mpa(n * N_PER_LBF / (25.4 * 25.4));
        let mpa = self.number(&format!("{key}_mpa")).map(Stress::mpa);
        let either = mpa.or_else(|_| self.number(&format!("{key}_psi")).map(psi));
        either.or_else(|_| self.number(&format!("{key}_ksi")).map(|n| psi(n * 1000.0)))
    }

    /// A force, written as `key_n` or `key_lbf`.
    pub fn force(&self, key: &str) -> Result<Force, String> {
        let newtons = self.number(&format!("{key}_n")).map(Force::newtons);
        newtons.or_else(|_| self.number(&format!("{key}_lbf")).map(|n| Force::newtons(n * N_PER_LBF)))
    }

    /// A torque, written as `key_nm`.
    pub fn moment(&self, key: &str) -> Result<Moment, String> {
        self.number(&format!("{key}_nm")).map(Moment::newton_metres)
    }

    /// An input that no call has read.
    pub fn unread(&self) -> Option<String> {
        let used = self.used.borrow();
        self.inputs.keys().find(|k| !used.contains(*k)).cloned()
    }
}
