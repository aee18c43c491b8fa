//! The neck: lengths in millimetres, the only numbers in this crate that are not exact.

/// A banjo's neck, as far as reach and range depend on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Neck {
    /// How many frets it has.
    pub frets: u8,
    /// From nut to bridge, in millimetres.
    pub scale_mm: f64,
    /// The widest comfortable reach between the lowest and highest held fret, in millimetres.
    pub widest_mm: f64,
}

impl Default for Neck {
    /// 22 frets, 26.25 in from nut to bridge, a reach of 110 mm. Common practice; the reach is from memory.
    fn default() -> Self {
        Self { frets: 22, scale_mm: 666.75, widest_mm: 110.0 }
    }
}

impl Neck {
    /// How far `fret` lies from the nut, in millimetres: `scale * (1 - 2^(-fret/12))`, equal temperament.
    #[expect(clippy::float_arithmetic, reason = "a length on the neck is not a time")]
    pub fn from_nut_mm(&self, fret: u8) -> f64 {
        self.scale_mm * (1.0 - (-f64::from(fret) / 12.0).exp2())
    }

    /// The reach from fret `low` to fret `high`, both counted from the nut, in millimetres.
    #[expect(clippy::float_arithmetic, reason = "a length on the neck is not a time")]
    pub fn reach_mm(&self, low: u8, high: u8) -> f64 {
        self.from_nut_mm(high) - self.from_nut_mm(low)
    }
}
