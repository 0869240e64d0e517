//! One part on paper: picture, pieces, bends, holes, welds, hardware, notes.

use super::text::{hole_size, mm};
use crate::drawing::picture::Picture;
use crate::drawing::{Block, Rows};
use crate::flat::FlatPattern;
use crate::geom::Point;
use crate::piece::{BendTurn, Hand};
use crate::template::Weld;
use crate::units::{Length, System, show_mass, show_size, trimmed};

/// What is said of a part.
#[derive(Clone, Debug)]
pub struct PartSheet<'a> {
    /// Name.
    pub name: &'a str,
    /// Lines of the part put together, if it has a body.
    pub picture: Option<&'a Picture>,
    /// Its pieces.
    pub flats: Vec<&'a FlatPattern>,
    /// What each piece is cut from, in their order; empty where it has no stock.
    pub from: Vec<String>,
    /// What to buy for it, and how many.
    pub hardware: Vec<(String, u32)>,
    /// Its welds.
    pub welds: Vec<&'a Weld>,
    /// What failed or is to be looked at.
    pub open: Vec<String>,
    /// Unit system.
    pub system: System,
}

/// Highest the picture of a part stands, mm.
const PICTURE_MM: f64 = 55.0;

impl PartSheet<'_> {
    /// As a document.
    pub fn blocks(&self) -> Vec<Block> {
        let mut out = vec![Block::Heading(self.name.to_string())];
        out.extend(self.picture.map(|p| Block::Picture(p.clone(), PICTURE_MM)));
        out.extend(self.open.iter().cloned().map(Block::Caution));
        self.pieces(&mut out);
        self.bends(&mut out);
        self.holes(&mut out);
        let weld = |w: &&Weld| {
            let (throat, length) = (self.length(w.throat), self.length(w.length));
            Block::Say(format!("Weld, {}: throat {throat}, {length} of run.", w.name))
        };
        out.extend(self.welds.iter().map(weld));
        let rows: Vec<Vec<String>> = self.hardware.iter().map(|(w, n)| vec![n.to_string(), w.clone()]).collect();
        if !rows.is_empty() {
            out.push(Block::Table(Rows { heads: vec![">count", "hardware"], rows, tick: true }));
        }
        for f in &self.flats {
            out.extend(f.notes.iter().map(|n| Block::Say(format!("{}: {n}.", f.piece))));
        }
        out
    }

    fn length(&self, l: Length) -> String {
        mm(l.to_mm(), self.system)
    }

    fn pieces(&self, out: &mut Vec<Block>) {
        let row = |(f, from): (&&FlatPattern, &String)| {
            let hand = match f.hand {
                Some(Hand::Left) => " LEFT",
                Some(Hand::Right) => " RIGHT",
                None => "",
            };
            let size = match f.form {
                "plate" => format!("{} x {}", self.length(f.length), self.length(f.width)),
                _ => self.length(f.length),
            };
            vec![
                f.copies.to_string(),
                format!("{}{hand}", f.piece),
                format!("{} {}, {}", f.stock.shape, show_size(&f.stock.size), f.stock.material),
                size,
                show_mass(f.mass, self.system),
                from.clone(),
            ]
        };
        let rows: Vec<Vec<String>> = self.flats.iter().zip(&self.from).map(row).collect();
        if !rows.is_empty() {
            let heads = vec![">count", "piece", "of", ">flat size", ">mass", "cut from"];
            out.push(Block::Table(Rows { heads, rows, tick: true }));
        }
    }

    fn bends(&self, out: &mut Vec<Block>) {
        let mut rows = vec![];
        for f in &self.flats {
            rows.extend(f.bend_lines.iter().map(|b| {
                vec![
                    f.piece.clone(),
                    mm(b.from.x, self.system),
                    if b.turn == BendTurn::Up { "up" } else { "down" }.to_string(),
                    format!("{} deg", trimmed(b.angle.to_degrees(), 1)),
                    self.length(b.inside_radius),
                    format!("{} and {}", mm(b.tangent_left, self.system), mm(b.tangent_right, self.system)),
                ]
            }));
        }
        if !rows.is_empty() {
            let heads = vec!["bend of", ">middle line at", "way", ">by", ">inside radius", "begins and ends at"];
            out.push(Block::Table(Rows { heads, rows, tick: true }));
        }
    }

    fn holes(&self, out: &mut Vec<Block>) {
        let mut rows = vec![];
        for f in &self.flats {
            rows.extend(f.holes.iter().map(|h| {
                let Point { x, y } = h.at;
                let on = h.flat.clone().unwrap_or_else(|| h.face.clone());
                vec![
                    format!("{} {}", f.piece, h.letter),
                    mm(x, self.system),
                    mm(y, self.system),
                    hole_size(h.shape, self.system),
                    on,
                    h.name.clone(),
                ]
            }));
        }
        if !rows.is_empty() {
            let heads = vec!["hole", ">x", ">y", "size", "on", "for"];
            out.push(Block::Table(Rows { heads, rows, tick: true }));
        }
    }
}
