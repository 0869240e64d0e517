//! What weld metal bears on a metal of the handbook.

use super::named::Outside;
use crate::handbook::Material;
use crate::handbook::welds::{EN_STRENGTH, en_strength};
use crate::units::Stress;

/// Correlation factor where the code has none for a structural steel: its
/// highest, which gives the lowest strength.
const HIGHEST_CORRELATION: f64 = 1.0;

/// Strength on the throat and where it is from; nothing for metals that the
/// code's formula is not for.
pub(super) fn weld_strength(m: &Material) -> Result<(Stress, String), Outside> {
    use crate::handbook::BendClass::{MildSteel, StrongSteel};
    match (m.weld_correlation, m.bend_class) {
        (Some(b), _) => Ok((en_strength(m.tensile_strength, b), EN_STRENGTH.to_string())),
        (None, MildSteel | StrongSteel) => {
            let strength = en_strength(m.tensile_strength, HIGHEST_CORRELATION);
            Ok((strength, format!("{EN_STRENGTH}; {} has no factor there, the highest is taken", m.name)))
        }
        _ => Err(Outside(format!("the strength of a weld on {} is not known here", m.name))),
    }
}
