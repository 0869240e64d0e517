//! Stock that may stand in for the size that was asked for.

use super::{material, shape_facts};
use crate::diag::Diagnostic;
use crate::source::Text;
use crate::units::{Length, parse_size, same_size};

/// One thing that is accepted in place of what was asked for.
#[derive(Clone, Debug, PartialEq)]
pub enum Accept {
    /// This size of the same shape.
    Size(Vec<Length>),
    /// Flat bar of the same thickness that is wider, as it is.
    Wider,
    /// The same outside sizes with more thickness or wall.
    Thicker,
    /// Flat bar of the same thickness that is wider, ripped to the width asked for.
    Ripped,
    /// The same size in another material, by its name in the handbook.
    Material(&'static str),
}

/// How stock stands in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum StandsIn {
    /// The piece is made from it as it is: its shape follows.
    AsItIs,
    /// It is cut lengthwise to the size asked for: the piece stays as it was.
    Ripped,
}

impl Accept {
    /// Read one from a job or a bin: a size, a material, or one of the words
    /// `wider`, `thicker`, `ripped`. A fault goes to `out`.
    pub fn read(text: &Text, out: &mut Vec<Diagnostic>) -> Option<Accept> {
        let word = text.value.trim();
        match word {
            "wider" => return Some(Accept::Wider),
            "thicker" => return Some(Accept::Thicker),
            "ripped" => return Some(Accept::Ripped),
            _ => {}
        }
        if let Some(m) = material::find(word) {
            return Some(Accept::Material(m.name));
        }
        match parse_size(word) {
            Ok(size) => Some(Accept::Size(size)),
            Err(_) => {
                let message = format!("\"{word}\" is no size, no material and none of wider, thicker, ripped");
                let d = Diagnostic::error("bad-accept", message, text.file, text.span.clone());
                out.push(d.help("write what may stand in, like accept = [\"40 x 3 mm\", \"thicker\"]"));
                None
            }
        }
    }

    /// Whether stock of this size and material may stand in for what is
    /// wanted, and how; both of one shape.
    pub fn allows(
        &self,
        shape: &str,
        (wanted, wanted_material): (&[Length], &str),
        (offered, offered_material): (&[Length], &str),
    ) -> Option<StandsIn> {
        let same_material = wanted_material == offered_material;
        if wanted.len() != offered.len() || (same_material && same_size(wanted, offered)) {
            return None;
        }
        let last = wanted.len().checked_sub(1)?;
        let allowed = match self {
            Accept::Material(m) => same_size(wanted, offered) && offered_material == *m,
            _ if !same_material => false,
            Accept::Size(size) => same_size(size, offered),
            Accept::Wider | Accept::Ripped => {
                shape == "flat bar" && same_size(&wanted[1..], &offered[1..]) && offered[0] > wanted[0]
            }
            Accept::Thicker => {
                let has_wall = shape_facts(shape).is_some() && shape != "round bar";
                has_wall && same_size(&wanted[..last], &offered[..last]) && offered[last] > wanted[last]
            }
        };
        let how = if *self == Accept::Ripped { StandsIn::Ripped } else { StandsIn::AsItIs };
        allowed.then_some(how)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(size: &[f64]) -> Vec<Length> {
        size.iter().map(|v| Length::mm(*v)).collect()
    }

    #[test]
    fn words_mean_what_they_say() {
        let (wanted, steel) = (mm(&[30.0, 3.0]), "mild steel");
        let may = |a: &Accept, size: &[f64], m: &str| a.allows("flat bar", (&wanted, steel), (&mm(size), m));
        assert_eq!(may(&Accept::Wider, &[40.0, 3.0], steel), Some(StandsIn::AsItIs));
        assert_eq!(may(&Accept::Ripped, &[40.0, 3.0], steel), Some(StandsIn::Ripped));
        for (a, size, m) in [
            (Accept::Wider, [40.0, 4.0], steel),
            (Accept::Wider, [25.0, 3.0], steel),
            (Accept::Wider, [40.0, 3.0], "aluminium 6061-T6"),
            (Accept::Thicker, [40.0, 4.0], steel),
            (Accept::Thicker, [30.0, 2.0], steel),
            (Accept::Size(mm(&[40.0, 3.0])), [30.0, 4.0], steel),
        ] {
            assert_eq!(may(&a, &size, m), None, "{a:?} {size:?}");
        }
        assert_eq!(may(&Accept::Thicker, &[30.0, 4.0], steel), Some(StandsIn::AsItIs));
        let wider_tube = Accept::Wider.allows("round tube", (&mm(&[20.0, 2.0]), steel), (&mm(&[25.0, 2.0]), steel));
        assert_eq!(wider_tube, None, "a wider tube is another part");
        let plate = Accept::Thicker.allows("plate", (&mm(&[5.0]), steel), (&mm(&[6.0]), steel));
        assert_eq!(plate, Some(StandsIn::AsItIs));
    }
}
