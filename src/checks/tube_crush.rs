//! A tube squeezed by the bolt that goes through it.

use super::Rule;
use super::judged::Judged;
use super::named::{Named, Outside, Told, class, length, length_or_none, metal, optional};
use crate::handbook::bolts::{REUSABLE_SHARE, proof_load};
use crate::handbook::strength::wall_fold;
use crate::units::Force;

pub(super) const RULE: Rule = Rule {
    code: "tube-crush",
    rule: "a bolt tightened to 0.75 of its proof load does not squeeze the tube: its sleeve stays below yield, or without one the wall does not fold under the washer",
    why: "a tube that gives under the nut never holds its tightness: the bolt works loose",
    source: "clamp load of torque tables for SAE J429 bolts, as quoted in a secondary source; sleeve and wall by elementary plastic theory",
    holds: "sleeve as long as the tube is deep; washer no wider than the clear width of the tube",
};

pub(super) const CHECK: Named = Named {
    rule: &RULE,
    arguments: &[
        length("hole", "hole for the bolt: tells its size"),
        class("class of the bolt"),
        optional(length_or_none("sleeve_outside", "outside of the crush sleeve; 0 mm: none")),
        optional(length_or_none("sleeve_wall", "its wall")),
        length("washer", "outside diameter of the washer"),
        length("side", "side of the tube"),
        length("wall", "wall of the tube"),
        metal("material of tube and sleeve"),
    ],
    example: &[
        ("hole", "9 mm"),
        ("class", "8.8"),
        ("sleeve_outside", "14 mm"),
        ("sleeve_wall", "2 mm"),
        ("washer", "16 mm"),
        ("side", "30 mm"),
        ("wall", "2 mm"),
        ("material", "mild steel"),
    ],
    work,
};

fn work(t: &Told) -> Result<Vec<Judged>, Outside> {
    let (m, (size, class)) = (t.material()?, t.bolt("hole")?);
    let clamp = proof_load(size, class) * REUSABLE_SHARE;
    let (outside, wall) = (t.length("sleeve_outside").to_mm(), t.length("sleeve_wall").to_mm());
    let (limit, by) = if outside > 0.0 {
        if wall <= 0.0 || 2.0 * wall >= outside {
            return Err(Outside("the sleeve has no wall, or no bore".to_string()));
        }
        let area = std::f64::consts::PI * (outside - wall) * wall;
        (Force::newtons(area * m.yield_strength.to_mpa()), "its sleeve carries")
    } else {
        let clear = t.length("side") - t.length("wall") * 2.0;
        if clear.to_mm() <= 0.0 {
            return Err(Outside("the walls fill the tube".to_string()));
        }
        let washer = t.length("washer").min(clear);
        (wall_fold(washer, t.length("side"), t.length("wall"), m.yield_strength), "without a sleeve the wall folds at")
    };
    let says = format!(
        "{} of class {} squeezes the tube with {} when it is tight; {by} {}",
        size.name,
        class.name,
        t.show_force(clamp),
        t.show_force(limit)
    );
    Ok(vec![Judged::force(clamp, limit, says)])
}
