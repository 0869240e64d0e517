//! Sections of a template: profile from the stock, ends, holes on faces.

use super::Builder;
use crate::geom::Point;
use crate::handbook::section_radii::{self, TubeMake};
use crate::piece::{End, Face, FaceHole, Flats, Profile, Section, Stock};
use crate::source::{Obj, nearest};
use crate::units::{Angle, Length};
use std::f64::consts::FRAC_PI_2;

/// The profile of a stock, with its usual radii.
///
/// # Errors
/// A sentence when the shape is no section, the sizes are too few or too many,
/// or the wall leaves no room inside.
pub fn profile_of(stock: &Stock) -> Result<Profile, String> {
    let size = &stock.size;
    let wrong = |needs: &str| format!("{} needs {needs}; this has {} sizes", stock.shape, size.len());
    let profile = match (stock.shape.as_str(), size.as_slice()) {
        ("flat bar", &[width, thickness]) => Profile::FlatBar { width, thickness },
        ("flat bar", _) => return Err(wrong("width and thickness")),
        ("round bar", &[diameter]) => Profile::RoundBar { diameter },
        ("round bar", _) => return Err(wrong("its diameter")),
        ("round tube", &[outside, wall]) => Profile::RoundTube { outside, wall },
        ("round tube", _) => return Err(wrong("outside diameter and wall")),
        ("square tube" | "rectangular tube", &[width, height, wall]) => {
            let radii = section_radii::tube_corners(TubeMake::ColdFormed, wall);
            let (outside_radius, inside_radius) = (radii.outer, radii.inner);
            Profile::BoxTube { width, height, wall, outside_radius, inside_radius }
        }
        ("square tube" | "rectangular tube", _) => return Err(wrong("two sides and the wall")),
        ("angle", &[flat_leg, upright_leg, wall]) => {
            let (root_radius, toe_radius) = angle_radii(flat_leg.max(upright_leg), flat_leg.min(upright_leg), wall);
            Profile::Angle { flat_leg, upright_leg, wall, root_radius, toe_radius }
        }
        ("angle", _) => return Err(wrong("two legs and the wall")),
        ("channel", &[height, flange, wall]) => Profile::Channel { height, flange, wall, root_radius: wall },
        ("channel", _) => return Err(wrong("height, flange and wall")),
        (other, _) => return Err(format!("{other} is no section; it has no length to saw")),
    };
    let (least, wall) = (size.iter().fold(Length::mm(f64::INFINITY), |a, b| a.min(*b)), profile.wall());
    let hollow = !matches!(profile, Profile::FlatBar { .. } | Profile::RoundBar { .. });
    if hollow && size.iter().take(size.len() - 1).any(|s| s.to_mm() <= 2.0 * wall.to_mm()) {
        return Err(format!("a wall of {:.1} mm leaves nothing inside the section", wall.to_mm()));
    }
    if !least.is_finite() || least.to_mm() < 0.1 || size.iter().any(|s| s.to_mm() > 1e4) {
        return Err("a size of the section is less than 0.1 mm or more than 10 m".to_string());
    }
    Ok(profile)
}

/// Root and toe radius of an angle. A wall thinner than half the table's root
/// radius, as inch bar sizes have, takes a smaller fillet (common practice, no
/// source); legs beyond the table take the wall (likewise).
fn angle_radii(longer: Length, shorter: Length, wall: Length) -> (Length, Length) {
    let (root, toe) = section_radii::angle_radii(longer, shorter).map_or((wall, wall / 2.0), |r| (r.root, r.toe));
    let root = root.min(wall * 2.0).min(shorter / 4.0);
    (root, toe.min(root / 2.0).min(wall * 0.8))
}

/// A round bar that is bored is a tube from then on.
fn bored(profile: Profile, bore: Option<Length>) -> Result<Profile, String> {
    match (profile, bore) {
        (p, None) => Ok(p),
        (Profile::RoundBar { diameter: outside }, Some(bore)) if bore < outside => {
            Ok(Profile::RoundTube { outside, wall: (outside - bore) / 2.0 })
        }
        (Profile::RoundBar { diameter }, Some(bore)) => {
            Err(format!("a bore of {:.1} mm leaves nothing of a bar of {:.1} mm", bore.to_mm(), diameter.to_mm()))
        }
        _ => Err("only round bar is bored from end to end".to_string()),
    }
}

impl Builder<'_> {
    pub(super) fn section(&mut self, obj: &Obj, holes: &[Obj], stock: &Stock) -> Option<Section> {
        let bore = self.length_or_none(obj, "bore")?;
        let profile = match profile_of(stock).and_then(|p| bored(p, bore)) {
            Ok(p) => p,
            Err(why) => {
                self.fault("impossible-section", why, obj.span.clone(), "check shape and size in its [stock]");
                return None;
            }
        };
        let given = self.length(obj, "length")?;
        let across = self.face(obj, "mitre_across", &profile)?;
        let left = self.section_end(obj, "left", across)?;
        let right = self.section_end(obj, "right", across)?;
        let mut section = Section { profile, length: given, left, right, holes: vec![] };
        let width = profile.face_width(across).map_or(0.0, Length::to_mm);
        let behind = |y: f64| {
            let l = section.left_x(across, y);
            (l, section.length.to_mm() - section.right_x(across, y) + l)
        };
        let (heel_left, heel) = behind(0.0);
        let (_, far) = behind(width);
        let (extra, start) = match obj.word("measured").unwrap_or("long point") {
            "heel" => (heel, heel_left),
            "short point" => (heel.max(far), 0.0),
            _ => (0.0, 0.0),
        };
        section.length = given + Length::mm(extra);
        for h in holes {
            if self.applies(h) {
                self.face_hole(h, start, &mut section);
            }
        }
        Some(section)
    }

    fn section_end(&mut self, obj: &Obj, side: &str, across: Face) -> Option<End> {
        let key = |what: &str| format!("{side}_{what}");
        let angle = Angle::radians(self.angle_or(obj, &key("end"), FRAC_PI_2)?);
        // Nothing is a square or mitred end, so that a template can choose.
        let cope = self.length_or_none(obj, &key("cope"))?.map(|d| d * 0.5);
        let flats = match self.length_or_none(obj, &key("flats"))? {
            None => None,
            Some(across) => Some(Flats { across, length: self.needed(obj, "flats_length", "an end with two flats")? }),
        };
        Some(End { angle, across, cope, flats })
    }

    /// A length that may be left out or nothing; `None` when it is at fault.
    fn length_or_none(&mut self, obj: &Obj, key: &str) -> Option<Option<Length>> {
        let given = if obj.get(key).is_some() { Some(self.length(obj, key)?) } else { None };
        Some(given.filter(|v| v.to_mm() > 0.0))
    }

    fn face(&mut self, obj: &Obj, key: &str, profile: &Profile) -> Option<Face> {
        let faces = profile.faces();
        let Some(text) = obj.text(key) else { return faces.first().map(|f| f.0) };
        let found = faces.iter().find(|f| f.1 == text.value).map(|f| f.0);
        if found.is_none() {
            let words: Vec<&str> = faces.iter().map(|f| f.1).collect();
            let near = nearest(&text.value, words.iter().copied()).map(|n| format!("did you mean \"{n}\"? "));
            let help = format!("{}faces are: {}", near.unwrap_or_default(), words.join(", "));
            self.fault(
                "unknown-face",
                format!("this section has no face \"{}\"", text.value),
                text.span.clone(),
                &help,
            );
        }
        found
    }

    fn face_hole(&mut self, obj: &Obj, start: f64, section: &mut Section) {
        let face = self.face(obj, "on", &section.profile);
        let along = self.needed(obj, "along", "a hole in a section");
        let across = self.needed(obj, "across", "a hole in a section");
        let (Some(face), Some(along), Some(across)) = (face, along, across) else { return };
        let through = obj.flag("through").unwrap_or(false);
        let holes = self.holes_at(obj, Point::new(start + along.to_mm(), across.to_mm()));
        section.holes.extend(holes.into_iter().map(|hole| FaceHole { face, through, hole }));
    }
}
