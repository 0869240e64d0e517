//! The shop sheet: how each hole is drilled, where the saw is set, and what a
//! tapped hole would need.

use crate::drawing::{Block, Rows, SawAngle, SawBar};
use crate::flat::FlatPattern;
use crate::handbook::bolts::{BoltClass, BoltSize};
use crate::handbook::drilling::{HAND_MOST, Machine, PRESS_MOST, Step, coolant, cutting_speed, steps};
use crate::handbook::drills::Drawer;
use crate::handbook::material::{Material, find};
use crate::handbook::tapping::{least_engagement, of_bolt};
use crate::piece::HoleShape;
use crate::units::{Length, System, show_length, trimmed};

/// What the sheet is made from.
#[derive(Clone, Debug)]
pub struct ShopSheet<'a> {
    /// Pieces, and things that are there already.
    pub flats: Vec<&'a FlatPattern>,
    /// Bars in the order of the saw.
    pub bars: &'a [SawBar],
    /// Bolts of the job.
    pub bolts: Vec<(&'static BoltSize, &'static BoltClass)>,
    /// Drills in the drawer.
    pub drawer: Drawer,
    /// Unit system.
    pub system: System,
}

/// Holes of one size in one metal.
struct Drilling<'a> {
    diameter: f64,
    metal: &'static Material,
    /// Piece and letters.
    where_to: Vec<(String, Vec<&'a str>)>,
    slot: bool,
}

impl ShopSheet<'_> {
    /// As a document.
    pub fn blocks(&self) -> Vec<Block> {
        let mut out = vec![];
        self.drilling(&mut out);
        self.saw(&mut out);
        self.threads(&mut out);
        out
    }

    fn gathered(&self) -> Vec<Drilling<'_>> {
        let mut out: Vec<Drilling> = vec![];
        for flat in &self.flats {
            let Some(metal) = find(&flat.stock.material) else { continue };
            for h in &flat.holes {
                let (diameter, slot) = match h.shape {
                    HoleShape::Round { diameter } => (diameter, false),
                    HoleShape::Slot { width, .. } => (width, true),
                    HoleShape::Ellipse { .. } | HoleShape::Rectangle { .. } => continue,
                };
                let key = flat.key();
                let same = |d: &&mut Drilling| {
                    (d.diameter - diameter).abs() < 1e-6 && d.metal.name == metal.name && d.slot == slot
                };
                let at = match out.iter_mut().find(same) {
                    Some(d) => d,
                    None => {
                        out.push(Drilling { diameter, metal, where_to: vec![], slot });
                        let last = out.len() - 1;
                        &mut out[last]
                    }
                };
                match at.where_to.iter_mut().find(|w| w.0 == key) {
                    Some(w) => w.1.push(&h.letter),
                    None => at.where_to.push((key, vec![&h.letter])),
                }
            }
        }
        out.sort_by(|a, b| a.metal.name.cmp(b.metal.name).then(a.diameter.total_cmp(&b.diameter)));
        out
    }

    fn drilling(&self, out: &mut Vec<Block>) {
        let holes = self.gathered();
        if holes.is_empty() {
            return;
        }
        out.push(Block::Heading("Drilling: one drill after another, with its speed".into()));
        let rows = holes.iter().map(|d| self.drill_row(d)).collect();
        let heads = vec![">size", "metal", "drills, rpm in the hands", "drills, rpm at the bench", "holes"];
        out.push(Block::Table(Rows { heads, rows, tick: true }));
        let mut metals: Vec<&'static Material> = vec![];
        holes.iter().for_each(|d| {
            if !metals.iter().any(|m| m.name == d.metal.name) {
                metals.push(d.metal);
            }
        });
        for m in metals {
            let (speed, oil) = (cutting_speed(m), coolant(m));
            out.push(Block::Say(format!(
                "{}: the lip runs at {} to {} m a minute ({} to {} ft), the slower end is told; {}. {}; {}.",
                m.name,
                trimmed(speed.low.to_metres_per_minute(), 0),
                trimmed(speed.high.to_metres_per_minute(), 0),
                trimmed(speed.low.to_feet_per_minute(), 0),
                trimmed(speed.high.to_feet_per_minute(), 0),
                oil.0,
                speed.source,
                oil.1
            )));
        }
        out.push(Block::Say(format!("Caps: {}; {}. High-speed steel drills.", HAND_MOST.2, PRESS_MOST.2)));
        out.push(Block::Say(
            "Punch, drill the first size right through, then the next. Clamp the work: what grabs turns, and it turns \
             into the hand."
                .into(),
        ));
    }

    fn drill_row(&self, d: &Drilling) -> Vec<String> {
        let size = Length::mm(d.diameter);
        let told = |machine| steps(size, self.drawer, d.metal, machine).map_or_else(hole_saw, |s| drill_words(&s));
        let size = show_length(size, self.system);
        let where_to: Vec<String> = d.where_to.iter().map(|(key, l)| format!("{key} {}", l.join(" "))).collect();
        vec![
            if d.slot { format!("{size} slot ends") } else { size },
            d.metal.name.to_string(),
            told(Machine::Hand),
            told(Machine::Press),
            where_to.join("; "),
        ]
    }

    /// Every setting of the saw that is not square, with the pieces that want it.
    fn saw(&self, out: &mut Vec<Block>) {
        let mut set: Vec<(SawAngle, Vec<&str>)> = vec![];
        for line in self.bars.iter().flat_map(|b| &b.lines) {
            for angle in line.first.into_iter().chain([line.saw]).filter(|a| !a.is_square()) {
                let same = |s: &&mut (SawAngle, Vec<&str>)| s.0.words() == angle.words();
                match set.iter_mut().find(same) {
                    Some(s) if s.1.contains(&line.chalk.as_str()) => {}
                    Some(s) => s.1.push(&line.chalk),
                    None => set.push((angle, vec![&line.chalk])),
                }
            }
        }
        if self.bars.is_empty() {
            return;
        }
        out.push(Block::Heading("Saw".into()));
        if set.is_empty() {
            out.push(Block::Say("Every cut is square: set the fence with a square, cut a scrap, turn one half over and hold the cuts together; a gap shows twice the error.".into()));
            return;
        }
        set.sort_by(|a, b| a.0.off_square.total_cmp(&b.0.off_square));
        let rows =
            set.iter().map(|(a, chalk)| vec![a.words(), trimmed(90.0 - a.off_square, 1), chalk.join(", ")]).collect();
        let heads = vec!["set the saw to", ">against the fence, deg", "pieces by their chalk"];
        out.push(Block::Table(Rows { heads, rows, tick: true }));
        out.push(Block::Say(
            "Square cuts first, then each angle for all its pieces: a setting that is found twice is never the same."
                .into(),
        ));
    }

    /// What a tapped hole for the job's bolts would need.
    fn threads(&self, out: &mut Vec<Block>) {
        let mut rows: Vec<Vec<String>> = vec![];
        let mut sources: Vec<String> = vec![];
        let Some(steel) = find("mild steel") else { return };
        for (size, class) in &self.bolts {
            let Some((thread, drill)) = of_bolt(size).and_then(|t| Some((t, t.drill_from(self.drawer)?))) else {
                continue;
            };
            let Some((least, source)) = least_engagement(size, class.tensile, steel) else { continue };
            let row = vec![
                format!("{} {}", thread.name, class.name),
                drill.designation,
                show_length(Length::mm(libm::ceil(least.to_mm() * 10.0 - 1e-6) / 10.0), self.system),
            ];
            if !rows.contains(&row) {
                rows.push(row);
            }
            for s in [thread.source.to_string(), source.to_string()] {
                if !sources.contains(&s) {
                    sources.push(s);
                }
            }
        }
        if rows.is_empty() {
            return;
        }
        out.push(Block::Heading("If one of these bolts goes into a tapped hole in mild steel".into()));
        let heads = vec!["bolt", "tap drill", ">thread at least"];
        out.push(Block::Table(Rows { heads, rows, tick: false }));
        out.push(Block::Say(format!("{}.", sources.join("; "))));
    }
}

fn hole_saw() -> String {
    "no drill so large: pilot, then hole saw, or chain-drill and file".to_string()
}

/// `3.0 mm 1500; 9.0 mm 860`.
fn drill_words(steps: &[Step]) -> String {
    let one = |s: &Step| {
        let chuck = if s.fits_chuck { "" } else { " (reduced shank)" };
        format!("{} {}{chuck}", s.drill.designation, trimmed(s.set.speed.to_rpm(), 0))
    };
    steps.iter().map(one).collect::<Vec<_>>().join("; ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flat::{FlatPattern, unfold};
    use crate::geom::{Point, rectangle};
    use crate::handbook::bolts;
    use crate::piece::{Form, Hole, Piece, Plate, Stock};

    fn plate(material: &str, sizes: &[f64]) -> FlatPattern {
        let holes = sizes.iter().enumerate().map(|(i, d)| Hole {
            name: format!("hole {i}"),
            shape: HoleShape::Round { diameter: *d },
            at: Point::new(30.0 + 45.0 * i as f64, 30.0),
            bolt: false,
        });
        let outline = rectangle(Point::default(), 200.0, 60.0, 0.0);
        let plate = Plate { thickness: Length::mm(4.0), outline, holes: holes.collect() };
        let stock = Stock { shape: "plate".into(), size: vec![Length::mm(4.0)], material: material.into() };
        let piece = Piece {
            part: "P".into(),
            name: "plate".into(),
            copies: 1,
            hand: None,
            form: Form::Plate(plate),
            stock,
            places: vec![],
            notes: vec![],
            cautions: vec![],
        };
        unfold(&piece, 7850.0).unwrap_or_else(|f| panic!("{f:?}"))
    }

    fn tables(blocks: &[Block]) -> Vec<&Rows> {
        blocks.iter().filter_map(|b| if let Block::Table(t) = b { Some(t) } else { None }).collect()
    }

    #[test]
    fn holes_of_one_size_and_metal_share_a_row_with_their_letters() {
        let (a, b) = (plate("mild steel", &[9.0, 9.0, 40.0]), plate("stainless 304", &[9.0]));
        let sheet =
            ShopSheet { flats: vec![&a, &b], bars: &[], bolts: vec![], drawer: Drawer::Metric, system: System::Metric };
        let blocks = sheet.blocks();
        let rows = &tables(&blocks)[0].rows;
        assert_eq!(rows.len(), 3);
        // 24.384 m a minute at 9 mm: 862 rpm, told as 860; 3 mm is capped by hand, not at the bench.
        assert_eq!(rows[0][2], "3.0 mm 1500; 9.0 mm 860");
        assert_eq!(rows[0][3], "3.0 mm 2500; 9.0 mm 860");
        assert_eq!(rows[0][4], "P/plate A B");
        assert!(rows[1][2].contains("hole saw"));
        assert!(rows[2][1].contains("304") && rows[2][2].ends_with("9.0 mm 320"), "{rows:?}");
    }

    #[test]
    fn a_bolt_of_the_job_has_its_tap_drill() {
        let m8 = bolts::find("M8").unwrap_or_else(|| panic!("M8"));
        let class = bolts::class("8.8", m8.diameter).unwrap_or_else(|| panic!("8.8"));
        let sheet = ShopSheet {
            flats: vec![],
            bars: &[],
            bolts: vec![(m8, class), (m8, class)],
            drawer: Drawer::Metric,
            system: System::Metric,
        };
        let blocks = sheet.blocks();
        let rows = &tables(&blocks)[0].rows;
        assert_eq!(rows.len(), 1);
        assert_eq!(rows[0][..2], ["M8 x 1.25 8.8", "6.8 mm"]);
    }
}
