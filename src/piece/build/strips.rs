//! Strips of a template: the walk and the holes on its flats.

use super::Builder;
use crate::geom::Point;
use crate::handbook::{self, bend::KMethod};
use crate::piece::{BendTurn, EndShape, Measured, Step, Stock, Strip, StripHole, WalkStep, build_steps};
use crate::source::{Obj, nearest};
use crate::units::{Angle, Length, System};

/// Most flats and bends of one strip. Each hole is held against every bend.
const MOST_STEPS: usize = 200;

fn measured(word: Option<&str>) -> Option<Measured> {
    Some(match word? {
        "outside" => Measured::Outside,
        "middle" => Measured::Middle,
        "straight" => Measured::Straight,
        _ => Measured::Inside,
    })
}

impl Builder<'_> {
    pub(super) fn strip(&mut self, obj: &Obj, holes: &[Obj], stock: &Stock) -> Option<Strip> {
        let width = self.length(obj, "width");
        let thickness = self.length(obj, "thickness");
        let radius = self.length(obj, "inside_radius");
        let (width, thickness, radius) = (width?, thickness?, radius?);
        // Sheet is bent as bar is; its blank is then cut from plate.
        let (shape, sizes) = match stock.shape.as_str() {
            "plate" => ("plate", vec![thickness]),
            _ => ("flat bar", vec![width, thickness]),
        };
        if !self.same_stock(stock, shape, &sizes, obj.span.clone()) {
            return None;
        }
        let walk = self.walk(obj, radius)?;
        let method = self.bend_method(obj)?;
        let material = handbook::material::find(&stock.material)?;
        let k = |r: Length| handbook::bend::k_for(material, method, r, thickness).0;
        let steps = match build_steps(&walk, thickness, &k) {
            Ok(s) => s,
            Err(why) => {
                self.fault("no-corner", why, obj.span.clone(), "give this flat with measured = \"straight\"");
                return None;
            }
        };
        let (left, right) = (self.end(obj, "left_shape")?, self.end(obj, "right_shape")?);
        let mut strip = Strip { width, thickness, steps, left, right, holes: vec![] };
        for h in holes {
            if self.applies(h) {
                self.strip_hole(h, &mut strip);
            }
        }
        Some(strip)
    }

    /// The template's own K, the job's, or the usual method: DIN 6935 where
    /// sizes are metric, Machinery's Handbook where they are inches.
    fn bend_method(&mut self, obj: &Obj) -> Option<KMethod> {
        if obj.text("k").is_some() {
            return self.scope.field(obj, "k", self.out).map(KMethod::Own);
        }
        Some(match self.request.bending {
            Some(method) => method,
            None if self.request.sizes == System::Inch => KMethod::MachinerysHandbook,
            None => KMethod::Din6935,
        })
    }

    fn end(&mut self, obj: &Obj, key: &str) -> Option<EndShape> {
        let word = obj.word(key).unwrap_or("square").to_string();
        Some(match word.as_str() {
            "square" => EndShape::Square,
            "rounded" => EndShape::Rounded,
            other => {
                let size = self.needed(obj, "end_size", &format!("a {other} end"))?.to_mm();
                if other == "radius" { EndShape::Radius(size) } else { EndShape::Clipped(size) }
            }
        })
    }

    fn walk(&mut self, obj: &Obj, radius: Length) -> Option<Vec<WalkStep>> {
        let usual = measured(obj.word("measured")).unwrap_or(Measured::Inside);
        let mut walk = vec![];
        let mut whole = true;
        let given = obj.list("steps").len();
        if given > MOST_STEPS {
            let message = format!("this strip has {given} steps; {MOST_STEPS} at most");
            self.fault("too-many-steps", message, obj.span.clone(), "make the strip of several pieces");
            return None;
        }
        for step in obj.list("steps") {
            if !self.applies(step) {
                continue;
            }
            match self.step(step, usual, radius) {
                Some(s) => walk.push(s),
                None => whole = false,
            }
        }
        whole.then_some(walk)
    }

    fn step(&mut self, step: &Obj, usual: Measured, radius: Length) -> Option<WalkStep> {
        match (step.text("flat"), step.text("bend")) {
            (Some(_), None) => Some(WalkStep::Flat {
                name: step.word("name").unwrap_or("flat").to_string(),
                length: self.length(step, "flat")?,
                measured: measured(step.word("measured")).unwrap_or(usual),
            }),
            (None, Some(_)) => {
                let degrees = self.scope.field(step, "bend", self.out)?;
                let inside_radius = if step.text("radius").is_some() { self.length(step, "radius")? } else { radius };
                // A negative bend is one the other way.
                let up = (step.word("turn") == Some("up")) == (degrees >= 0.0);
                Some(WalkStep::Bend {
                    angle: Angle::degrees(degrees.abs()),
                    turn: if up { BendTurn::Up } else { BendTurn::Down },
                    inside_radius,
                })
            }
            _ => {
                self.fault(
                    "no-step",
                    "a step is a flat or a bend".to_string(),
                    step.span.clone(),
                    "write { flat = \"...\", name = \"...\" } or { bend = \"90 deg\", turn = \"up\" }",
                );
                None
            }
        }
    }

    fn strip_hole(&mut self, obj: &Obj, strip: &mut Strip) {
        let flats: Vec<(usize, String, Length)> = strip
            .steps
            .iter()
            .enumerate()
            .filter_map(|(i, s)| match s {
                Step::Flat(f) => Some((i, f.name.clone(), f.length)),
                Step::Bend(_) => None,
            })
            .collect();
        let Some(on) = obj.text("on") else { return self.missing(obj, "on", "a hole in a strip") };
        let Some((step, _, length)) = flats.iter().find(|f| f.1 == on.value) else {
            let near =
                nearest(&on.value, flats.iter().map(|f| f.1.as_str())).map(|n| format!("did you mean \"{n}\"? "));
            let names: Vec<&str> = flats.iter().map(|f| f.1.as_str()).collect();
            let help = format!("{}flats are: {}", near.unwrap_or_default(), names.join(", "));
            return self.fault(
                "unknown-flat",
                format!("there is no flat \"{}\" for this hole", on.value),
                on.span.clone(),
                &help,
            );
        };
        let along = self.needed(obj, "along", "a hole in a strip");
        let across = self.needed(obj, "across", "a hole in a strip");
        let (Some(along), Some(across)) = (along, across) else { return };
        let first = *step == 0;
        let from_right = match obj.word("from").unwrap_or("left") {
            "right" => true,
            "free end" => !first,
            "bend" => first,
            _ => false,
        };
        let x = if from_right { *length - along } else { along };
        let holes = self.holes_at(obj, Point::new(x.to_mm(), across.to_mm()));
        strip.holes.extend(holes.into_iter().map(|hole| StripHole { step: *step, hole }));
    }
}
