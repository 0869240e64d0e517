//! Numbers that look random and are the same in every run.

#![allow(dead_code)] // each test file uses its own part of it

/// Steps of Knuth's MMIX generator (from memory).
pub struct Dice(pub u64);

impl Dice {
    /// From 0 up to 1.
    pub fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn within(&mut self, least: f64, most: f64) -> f64 {
        least + self.share() * (most - least)
    }

    pub fn below(&mut self, n: usize) -> usize {
        (self.share() * n as f64) as usize
    }
}
